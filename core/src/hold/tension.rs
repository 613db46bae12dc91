//! How a strand hangs and what heat and cold do to its tension.

use super::range::{OutOfRange, within};
use std::ops::RangeInclusive;

/// Sag in parts of the span up to which the parabola stands for the catenary (0.03 % apart at 1.4 %).
pub const PARABOLA_SAG_SHARE: f64 = 0.05;
/// Spans that the sag formulas are used for, metres.
pub const SPAN_M: RangeInclusive<f64> = 0.0..=500.0;
/// Tensions that the formulas are used for, newtons.
pub const TENSION_N: RangeInclusive<f64> = 1.0..=50e3;

/// Sag at the middle of a level bay: `s = w L^2 / (8 H)`.
///
/// # Units
/// `weight_n_per_m` (w) in N/m, `span_m` (L) in metres on the map, `tension_n` (H) in newtons; the result in metres.
/// # Valid for
/// [`SPAN_M`], [`TENSION_N`], and a sag below [`PARABOLA_SAG_SHARE`] of the span.
/// # Source
/// `statics` (parabola for the catenary).
/// # Errors
/// [`OutOfRange`] outside of that.
pub fn sag_m(weight_n_per_m: f64, span_m: f64, tension_n: f64) -> Result<f64, OutOfRange> {
    within("span in m", span_m, &SPAN_M)?;
    within("tension in N", tension_n, &TENSION_N)?;
    let sag_m = weight_n_per_m * span_m * span_m / (8.0 * tension_n);
    within("sag in m", sag_m, &(0.0..=PARABOLA_SAG_SHARE * span_m))
}

/// Tension that keeps the sag of a level bay: `H = w L^2 / (8 s)`.
///
/// # Units
/// As [`sag_m`]; the result in newtons.
/// # Valid for
/// As [`sag_m`], with a sag above zero.
/// # Source
/// `statics`.
/// # Errors
/// [`OutOfRange`] outside of that.
pub fn tension_for_sag_n(weight_n_per_m: f64, span_m: f64, sag_m: f64) -> Result<f64, OutOfRange> {
    within("span in m", span_m, &SPAN_M)?;
    within("sag in m", sag_m, &(f64::MIN_POSITIVE..=PARABOLA_SAG_SHARE * span_m))?;
    Ok(weight_n_per_m * span_m * span_m / (8.0 * sag_m))
}

/// Sag at the middle of a level bay, exactly: `s = (H / w) (cosh(w L / (2 H)) - 1)`.
///
/// # Units
/// As [`sag_m`].
/// # Valid for
/// [`SPAN_M`], [`TENSION_N`].
/// # Source
/// `statics` (catenary).
/// # Errors
/// [`OutOfRange`] outside of that.
pub fn catenary_sag_m(weight_n_per_m: f64, span_m: f64, tension_n: f64) -> Result<f64, OutOfRange> {
    within("span in m", span_m, &SPAN_M)?;
    within("tension in N", tension_n, &TENSION_N)?;
    let half = weight_n_per_m * span_m / (2.0 * tension_n);
    // cosh(x) - 1 = 2 sinh(x/2)^2 keeps its digits where the sag is small.
    Ok(tension_n / weight_n_per_m * 2.0 * (half / 2.0).sinh().powi(2))
}

/// What a change of temperature does to the tension of a wire between rigid ends: `dT = E A alpha dtheta`; cooling tightens.
///
/// # Units
/// `stiffness_n` (E A) in newtons, `expansion_per_k` (alpha) in 1/K, `cooling_k` in kelvin; the result in newtons.
/// # Valid for
/// Bays whose sag takes up nothing worth counting: taut fence strands.
/// # Source
/// Hooke's law; agrees with the pull on braces in `bc-307-220`.
pub fn tightening_n(stiffness_n: f64, expansion_per_k: f64, cooling_k: f64) -> f64 {
    stiffness_n * expansion_per_k * cooling_k
}

/// The same with a spring in the strain: `dT = alpha dtheta Lt / (Lt / EA + 1 / k)`.
///
/// # Units
/// `strain_m` (Lt) in metres, `spring_n_per_m` (k) in N/m; else as [`tightening_n`].
/// # Valid for
/// A strand that slides at all posts between its ends, within the spring's travel; a spring above 0 N/m.
/// # Source
/// Hooke's law: `statics`.
/// # Errors
/// [`OutOfRange`] for a spring without stiffness.
pub fn tightening_with_spring_n(
    stiffness_n: f64,
    expansion_per_k: f64,
    cooling_k: f64,
    strain_m: f64,
    spring_n_per_m: f64,
) -> Result<f64, OutOfRange> {
    within("spring in N/m", spring_n_per_m, &(1.0..=1e6))?;
    Ok(expansion_per_k * cooling_k * strain_m / (strain_m / stiffness_n + 1.0 / spring_n_per_m))
}

/// What friction leaves of the tension: `T2 / T1 = exp(-mu sum|theta|)`.
///
/// # Units
/// `friction` (mu) a pure number, `turned_rad` (sum of the angles turned at supports, up and down and sideways) in radians.
/// # Valid for
/// Strands that slide at their supports.
/// # Source
/// Euler and Eytelwein's rope friction; `statics`.
pub fn friction_share(friction: f64, turned_rad: f64) -> f64 {
    (-friction * turned_rad).exp()
}

/// A wire as the formulas see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HungWire {
    /// Weight, N/m.
    pub weight_n_per_m: f64,
    /// Young's modulus times area, N.
    pub stiffness_n: f64,
    /// Thermal expansion, 1/K; `None` for plastics.
    pub expansion_per_k: Option<f64>,
}

/// Tension after a change of temperature, the sag included: the root T2 > 0 of
/// `T2^2 (T2 + EA w^2 L^2 / (24 T1^2) - T1 + EA alpha dtheta) = EA w^2 L^2 / 24`, dtheta the warming.
///
/// Where a wire between rigid ends would go slack by Hooke's law alone, the sag keeps the tension above zero.
///
/// # Units
/// `set_n` (T1) in newtons, `span_m` (L) in metres, `warming_k` in kelvin; the result in newtons.
/// # Valid for
/// [`TENSION_N`], [`SPAN_M`], level bays of equal span.
/// # Source
/// `conductor-state`.
/// # Errors
/// [`OutOfRange`] outside of that.
pub fn tension_after_n(wire: &HungWire, set_n: f64, span_m: f64, warming_k: f64) -> Result<f64, OutOfRange> {
    within("tension in N", set_n, &TENSION_N)?;
    within("span in m", span_m, &SPAN_M)?;
    let Some(expansion) = wire.expansion_per_k else { return Ok(set_n) };
    let stretch = wire.stiffness_n * (wire.weight_n_per_m * span_m).powi(2) / 24.0;
    let linear = stretch / (set_n * set_n) - set_n + wire.stiffness_n * expansion * warming_k;
    // f(T) = T^2 (T + linear) - stretch has exactly one positive root; Newton from above it falls monotonically.
    let mut tension = (-linear).max(0.0) + stretch.cbrt() + f64::MIN_POSITIVE;
    for _ in 0..60 {
        let value = tension * tension * (tension + linear) - stretch;
        let slope = tension * (3.0 * tension + 2.0 * linear);
        let next = tension - value / slope;
        if (next - tension).abs() <= 1e-9 * tension {
            return Ok(next);
        }
        tension = next;
    }
    Ok(tension)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HT_125: HungWire = HungWire { weight_n_per_m: 0.3823, stiffness_n: 993e3, expansion_per_k: Some(11.7e-6) };

    #[test]
    fn a_taut_strand_loses_by_heat_what_hooke_says() {
        let hot = tension_after_n(&HT_125, 667.0, 10.0, 20.0).expect("in range");
        // The sag that grows takes up a little of the lengthening: 2 N here.
        assert!((hot - (667.0 - 232.4)).abs() < 2.5, "{hot}");
    }

    #[test]
    fn a_strand_that_hooke_would_leave_slack_still_hangs() {
        let hot = tension_after_n(&HT_125, 100.0, 10.0, 40.0).expect("in range");
        assert!(hot > 1.0 && hot < 100.0, "{hot}");
        // The wire's length decides: unstretched length + heat = arc. Arc excess of the parabola is w^2 L^2 / (24 T^2).
        let arc = |tension: f64| (0.3823f64 * 10.0).powi(2) / (24.0 * tension * tension);
        let lengthening = arc(hot) - arc(100.0) - 11.7e-6 * 40.0 - (hot - 100.0) / 993e3;
        assert!(lengthening.abs() < 1e-12, "{lengthening}");
    }

    #[test]
    fn a_strand_without_tension_is_refused_with_its_numbers() {
        let error = sag_m(0.38, 10.0, 0.0).expect_err("no tension");
        assert_eq!(error.to_string(), "tension in N is 0; allowed are 1 to 50000");
        assert!(sag_m(0.38, 400.0, 10.0).is_err());
        assert!(sag_m(0.38, f64::NAN, 100.0).is_err());
    }

    proptest! {
        #[test]
        fn more_tension_never_increases_sag(span in 1.0..40.0f64, low in 100.0..1000.0f64, more in 0.0..1000.0f64) {
            prop_assert!(sag_m(0.38, span, low + more)? <= sag_m(0.38, span, low)?);
        }
        #[test]
        fn heat_never_tightens(set in 50.0..1200.0f64, span in 1.0..30.0f64, kelvin in 0.0..50.0f64) {
            let after = tension_after_n(&HT_125, set, span, kelvin)?;
            prop_assert!(after <= set * (1.0 + 1e-9) && after > 0.0);
        }
    }
}
