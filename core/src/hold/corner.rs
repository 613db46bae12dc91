//! What strands pull on a post where a line turns, ends or changes grade, and what a brace or a crib makes of it.

use super::range::{OutOfRange, within};
use super::results::Post;
use crate::units::GRAVITY_M_PER_S2;

/// Pull of one strand on a post where it turns: `R = 2 T sin(theta / 2)`, along the inner bisector.
///
/// # Units
/// `tension_n` (T) in newtons, `deflection_deg` (theta, 0 straight on) in degrees; the result in newtons.
/// # Valid for
/// 0 to 180 degrees; the same tension on both sides.
/// # Source
/// `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn corner_pull_n(tension_n: f64, deflection_deg: f64) -> Result<f64, OutOfRange> {
    within("deflection in degrees", deflection_deg, &(0.0..=180.0))?;
    Ok(2.0 * tension_n * (deflection_deg.to_radians() / 2.0).sin())
}

/// Pull upwards of one strand on a post: `V = T ((z1 - z) / d1 + (z0 - z) / d0)`, d the slope lengths to its neighbours.
/// Negative presses the post down.
///
/// # Units
/// `tension_n` in newtons; `neighbours` as (rise to it, distance to it on the map) in metres; the result in newtons.
/// # Valid for
/// Distances above zero; one neighbour at an end.
/// # Source
/// `statics`.
pub fn uplift_n(tension_n: f64, neighbours: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    neighbours.into_iter().map(|(rise_m, plan_m)| tension_n * rise_m / rise_m.hypot(plan_m)).sum()
}

/// Forces in a horizontal brace: a rail from the pulled post to a second one, a wire from the foot of the first to the top of the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BraceForces {
    /// Compression of the rail, N.
    pub rail_n: f64,
    /// Tension of the brace wire, N.
    pub wire_n: f64,
    /// Lift of the pulled post, and push down of the second one, N.
    pub uplift_n: f64,
}

/// Forces in a horizontal brace, the posts pinned at the ground:
/// rail `C = P h / hb`, wire `W = C / cos(beta)` with `tan(beta) = hb / S`, lift `W sin(beta) = P h / S`.
/// A longer brace lifts less; its height does not matter for that.
///
/// # Units
/// `pull_n` (P) in newtons, `height_m` (h) of the pull, `rail_height_m` (hb), `brace_m` (S) in metres.
/// # Valid for
/// Heights and lengths above zero; `S >= 2 hb` is usual.
/// # Source
/// `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn brace_forces(pull_n: f64, height_m: f64, rail_height_m: f64, brace_m: f64) -> Result<BraceForces, OutOfRange> {
    within("height of the pull in m", height_m, &(0.0..=5.0))?;
    within("height of the rail in m", rail_height_m, &(0.1..=5.0))?;
    within("length of the brace in m", brace_m, &(0.1..=20.0))?;
    let rail_n = pull_n * height_m / rail_height_m;
    Ok(BraceForces {
        rail_n,
        wire_n: rail_n * rail_height_m.hypot(brace_m) / brace_m,
        uplift_n: rail_n * rail_height_m / brace_m,
    })
}

/// A crib of rails filled with rock that a line pulls on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crib {
    /// Width along the pull (B), metres.
    pub base_m: f64,
    /// Friction between rock and ground (mu).
    pub friction: f64,
    /// Height of its centre of mass above the ground (hc), metres.
    pub centre_m: f64,
    /// Slope of the ground down the pull (a), degrees.
    pub slope_deg: f64,
    /// Safety factor (FS).
    pub safety_factor: f64,
}

/// Safety factor of a crib (`common-practice`).
pub const CRIB_SAFETY_FACTOR: f64 = 1.5;
/// Friction of a crib on stony ground or slate (Table 1806.2 of `ibc-1806-2`, sedimentary rock and gravel).
pub const CRIB_FRICTION: f64 = 0.35;
/// Width of the usual crib, metres (`common-practice`).
pub const CRIB_BASE_M: f64 = 1.2;

/// Height of the usual crib, metres (`common-practice`).
const CRIB_HIGH_M: f64 = 1.0;
/// What loose rock weighs in it, kg a cubic metre (`common-practice`).
const LOOSE_ROCK_KG_PER_M3: f64 = 1600.0;

/// Rock that the usual crib needs on such ground, kg; `None` where no filling that goes into it holds.
///
/// # Units
/// `pull_n` in newtons, `height_m` in metres; `slope_deg`: of the ground at the post, taken as if the strands pulled down it.
/// # Valid for
/// As [`crib_weight_n`]; beyond it nothing holds.
/// # Source
/// `statics`; the crib itself `common-practice`.
pub fn usual_crib_kg(pull_n: f64, height_m: f64, slope_deg: f64) -> Option<f64> {
    let crib = Crib { slope_deg, ..Crib::usual() };
    let rock_kg = crib_weight_n(pull_n, height_m, crib).ok()?? / GRAVITY_M_PER_S2;
    (rock_kg <= FULL_CRIB_KG).then_some(rock_kg)
}

/// Rock in the usual crib when it is full, kilograms (`common-practice`).
pub const FULL_CRIB_KG: f64 = CRIB_BASE_M * CRIB_BASE_M * CRIB_HIGH_M * LOOSE_ROCK_KG_PER_M3;

/// The same for a post as it stands; where its slope is not known, on level ground.
pub fn crib_kg(post: &Post) -> Option<f64> {
    usual_crib_kg(post.sideways.as_newtons(), post.pull_height.as_metres(), post.slope_deg.unwrap_or(0.0))
}

impl Crib {
    /// The usual one, on level ground.
    pub const fn usual() -> Self {
        Self {
            base_m: CRIB_BASE_M,
            friction: CRIB_FRICTION,
            centre_m: CRIB_HIGH_M / 2.0,
            slope_deg: 0.0,
            safety_factor: CRIB_SAFETY_FACTOR,
        }
    }

    /// Pull at this height at which a crib of this weight gives way, newtons: [`crib_weight_n`] solved for P, without its safety factor.
    pub fn gives_way_n(self, weight_n: f64, height_m: f64) -> f64 {
        let (sin, cos) = self.slope_deg.to_radians().sin_cos();
        let slides_n = weight_n * (self.friction * cos - sin);
        let overturns_n = weight_n * (cos * self.base_m / 2.0 - sin * self.centre_m) / height_m.max(1e-6);
        slides_n.min(overturns_n).max(0.0)
    }
}

/// Weight of rock that keeps a crib standing, what resists against what drives, its own weight down the slope with the pull:
/// against sliding `mu W cos a >= FS (P + W sin a)`, against overturning `W cos a B/2 >= FS (P h + W sin a hc)`. `None` where no weight
/// is enough (`mu <= FS tan a`).
///
/// # Units
/// `pull_n` (P) in newtons, `height_m` (h) in metres; the result in newtons.
/// # Valid for
/// Slopes of 0 to 60 degrees down the pull, widths of 0.3 to 5 m.
/// # Source
/// `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn crib_weight_n(pull_n: f64, height_m: f64, crib: Crib) -> Result<Option<f64>, OutOfRange> {
    within("width of the crib in m", crib.base_m, &(0.3..=5.0))?;
    within("slope in degrees", crib.slope_deg, &(0.0..=60.0))?;
    let (sin, cos) = crib.slope_deg.to_radians().sin_cos();
    let driving_n = crib.safety_factor * pull_n;
    let grip = crib.friction * cos - crib.safety_factor * sin;
    let righting_m = cos * crib.base_m / 2.0 - crib.safety_factor * sin * crib.centre_m;
    Ok((grip > 0.0 && righting_m > 0.0).then(|| (driving_n / grip).max(driving_n * height_m / righting_m)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_straight_line_pulls_nothing_and_a_hairpin_twice_the_tension() {
        assert!(corner_pull_n(667.0, 0.0).expect("in range").abs() < 1e-12);
        assert!((corner_pull_n(667.0, 180.0).expect("in range") - 1334.0).abs() < 1e-9);
        assert!(corner_pull_n(667.0, -10.0).is_err());
    }

    proptest! {
        #[test]
        fn a_sharper_corner_never_pulls_less(angle in 0.0..179.0f64, more in 0.0..1.0f64) {
            prop_assert!(corner_pull_n(500.0, angle + more)? >= corner_pull_n(500.0, angle)?);
        }
        #[test]
        fn a_steeper_slope_never_needs_less_rock(slope in 0.0..15.0f64, more in 0.0..3.0f64) {
            let weight = |slope_deg| crib_weight_n(2000.0, 0.4, Crib { friction: 0.5, slope_deg, ..Crib::usual() });
            prop_assert!(weight(slope + more)? >= weight(slope)?);
        }
    }
}
