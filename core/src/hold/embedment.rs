//! What the ground holds of a post that is pulled sideways or upwards.

use super::range::{OutOfRange, within};
use std::f64::consts::PI;
use std::ops::RangeInclusive;

/// Widths of posts that the formulas are used for, metres.
pub const WIDTH_M: RangeInclusive<f64> = 0.005..=1.0;
/// Depths that the formulas are used for, metres. The building code's pressure stops growing at 12 ft.
pub const DEPTH_M: RangeInclusive<f64> = 0.0..=3.658;
/// Heights of the pull above ground that the formulas are used for, metres.
pub const HEIGHT_M: RangeInclusive<f64> = 0.0..=5.0;
/// Undrained strengths, Pa: very soft to hard clay.
pub const UNDRAINED_PA: RangeInclusive<f64> = 1e3..=400e3;
/// Friction angles of sand and gravel, degrees.
pub const FRICTION_ANGLE_DEG: RangeInclusive<f64> = 20.0..=45.0;

/// A post in the ground: how wide it is, how deep, how high above ground the pull acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetPost {
    /// Width that presses on the soil (D), metres.
    pub width_m: f64,
    /// Depth in the ground (L), metres.
    pub depth_m: f64,
    /// Height of the pull above ground (e), metres.
    pub height_m: f64,
}

impl SetPost {
    fn checked(self) -> Result<Self, OutOfRange> {
        within("width in m", self.width_m, &WIDTH_M)?;
        within("depth in m", self.depth_m, &DEPTH_M)?;
        within("height of the pull in m", self.height_m, &HEIGHT_M)?;
        Ok(self)
    }
}

/// Ultimate sideways load of a short free-headed post in clay. The soil presses with 9 cu D below a depth of 1.5 D:
/// `f = H / (9 cu D)`, `Mmax = H (e + 1.5 D + 0.5 f) = 2.25 D g^2 cu`, `L = 1.5 D + f + g`, solved for H.
///
/// With q = 9 cu D, G = L - 1.5 D, B = e + 1.5 D + G/2 the three give `H = 2 q (sqrt(B^2 + G^2/4) - B)`.
///
/// # Units
/// `undrained_pa` (cu) in pascals; the result in newtons.
/// # Valid for
/// [`WIDTH_M`], [`DEPTH_M`], [`HEIGHT_M`], [`UNDRAINED_PA`]; a post that turns as one stiff piece. Above 1.5 D it holds nothing.
/// # Source
/// `broms-clay` 6.24 (f and Mmax), `broms-1964` (2.25 D g^2 cu).
/// # Errors
/// [`OutOfRange`].
pub fn broms_clay_n(post: SetPost, undrained_pa: f64) -> Result<f64, OutOfRange> {
    let SetPost { width_m, depth_m, height_m } = post.checked()?;
    within("undrained strength in Pa", undrained_pa, &UNDRAINED_PA)?;
    let pressure_n_per_m = 9.0 * undrained_pa * width_m;
    let working_m = (depth_m - 1.5 * width_m).max(0.0);
    let arm_m = height_m + 1.5 * width_m + working_m / 2.0;
    Ok(2.0 * pressure_n_per_m * ((arm_m * arm_m + working_m * working_m / 4.0).sqrt() - arm_m))
}

/// Ultimate sideways load of a short free-headed post in sand:
/// `H = 0.5 gamma D L^3 Kp / (e + L)`, `Kp = tan^2(45 + phi/2)`.
///
/// # Units
/// `unit_weight_n_per_m3` (gamma), `friction_angle_deg` (phi); the result in newtons.
/// # Valid for
/// [`WIDTH_M`], [`DEPTH_M`], [`HEIGHT_M`], [`FRICTION_ANGLE_DEG`].
/// # Source
/// `broms-1964`.
/// # Errors
/// [`OutOfRange`].
pub fn broms_sand_n(post: SetPost, unit_weight_n_per_m3: f64, friction_angle_deg: f64) -> Result<f64, OutOfRange> {
    let SetPost { width_m, depth_m, height_m } = post.checked()?;
    within("friction angle in degrees", friction_angle_deg, &FRICTION_ANGLE_DEG)?;
    within("unit weight in N/m3", unit_weight_n_per_m3, &(5e3..=30e3))?;
    if depth_m <= 0.0 {
        return Ok(0.0);
    }
    let passive = passive_pressure(friction_angle_deg);
    Ok(0.5 * unit_weight_n_per_m3 * width_m * depth_m.powi(3) * passive / (height_m + depth_m))
}

fn passive_pressure(friction_angle_deg: f64) -> f64 {
    (45.0 + friction_angle_deg / 2.0).to_radians().tan().powi(2)
}

/// Largest bending moment in a post in clay that a sideways load makes: `M = H (e + 1.5 D + 0.5 f)`, `f = H / (9 cu D)`.
///
/// # Units
/// `load_n` (H) in newtons, `undrained_pa` (cu) in pascals; the result in newton metres.
/// # Valid for
/// As [`broms_clay_n`].
/// # Source
/// `broms-clay` 6.24.
/// # Errors
/// [`OutOfRange`].
pub fn bending_in_clay_nm(post: SetPost, undrained_pa: f64, load_n: f64) -> Result<f64, OutOfRange> {
    let post = post.checked()?;
    within("undrained strength in Pa", undrained_pa, &UNDRAINED_PA)?;
    let pressed_m = load_n / (9.0 * undrained_pa * post.width_m);
    Ok(load_n * (post.height_m + 1.5 * post.width_m + 0.5 * pressed_m))
}

/// Largest bending moment in a post in sand: `M = H (e + 2 f / 3)`, `f = sqrt(H / (1.5 gamma D Kp))` where the shear is zero.
///
/// # Units
/// As [`broms_sand_n`] and [`bending_in_clay_nm`].
/// # Valid for
/// As [`broms_sand_n`].
/// # Source
/// `broms-1964`.
/// # Errors
/// [`OutOfRange`].
pub fn bending_in_sand_nm(
    post: SetPost,
    unit_weight_n_per_m3: f64,
    friction_angle_deg: f64,
    load_n: f64,
) -> Result<f64, OutOfRange> {
    let post = post.checked()?;
    within("friction angle in degrees", friction_angle_deg, &FRICTION_ANGLE_DEG)?;
    let grows = 1.5 * unit_weight_n_per_m3 * post.width_m * passive_pressure(friction_angle_deg);
    Ok(load_n * (post.height_m + 2.0 / 3.0 * (load_n / grows).sqrt()))
}

/// The load that bends a post in clay by a moment: [`bending_in_clay_nm`] solved for H, `H = 2 M / (a + sqrt(a^2 + 4 b M))` with
/// `a = e + 1.5 D`, `b = 1 / (18 cu D)`.
///
/// # Units
/// `moment_nm` (M) in newton metres; the result in newtons.
/// # Valid for
/// As [`bending_in_clay_nm`].
/// # Source
/// `broms-clay` 6.24.
/// # Errors
/// [`OutOfRange`].
pub fn breaking_in_clay_n(post: SetPost, undrained_pa: f64, moment_nm: f64) -> Result<f64, OutOfRange> {
    let post = post.checked()?;
    within("undrained strength in Pa", undrained_pa, &UNDRAINED_PA)?;
    let arm_m = post.height_m + 1.5 * post.width_m;
    let pressed_m_per_n = 1.0 / (18.0 * undrained_pa * post.width_m);
    Ok(2.0 * moment_nm / (arm_m + (arm_m * arm_m + 4.0 * pressed_m_per_n * moment_nm).sqrt()))
}

/// The load that bends a post in sand by a moment: [`bending_in_sand_nm`] solved for H, as `e x^2 + b x^3 = M` with `x = sqrt(H)`,
/// `b = 2 / (3 sqrt(1.5 gamma D Kp))`, by Newton's method from above, where the cubic is steeper than its chord.
///
/// # Units
/// `moment_nm` (M) in newton metres; the result in newtons.
/// # Valid for
/// As [`bending_in_sand_nm`].
/// # Source
/// `broms-1964`.
/// # Errors
/// [`OutOfRange`].
pub fn breaking_in_sand_n(
    post: SetPost,
    unit_weight_n_per_m3: f64,
    friction_angle_deg: f64,
    moment_nm: f64,
) -> Result<f64, OutOfRange> {
    let post = post.checked()?;
    within("friction angle in degrees", friction_angle_deg, &FRICTION_ANGLE_DEG)?;
    let grows = 1.5 * unit_weight_n_per_m3 * post.width_m * passive_pressure(friction_angle_deg);
    let (arm_m, b) = (post.height_m, 2.0 / (3.0 * grows.sqrt()));
    let mut x = (moment_nm / b).cbrt();
    for _ in 0..NEWTON_STEPS {
        x -= ((arm_m + b * x) * x * x - moment_nm) / ((2.0 * arm_m + 3.0 * b * x) * x).max(f64::MIN_POSITIVE);
    }
    Ok(x * x)
}

/// Each doubles the digits; beginning at the cube root, a long arm costs a few halvings first.
const NEWTON_STEPS: usize = 24;

/// Depth that a building code asks of a post that nothing holds at the ground:
/// `d = 0.5 A (1 + sqrt(1 + 4.36 h / A))`, `A = 2.34 P / (S1 b)`, S1 the allowed pressure at d/3; iterated because S1 grows with d.
/// For information only: an allowable for buildings, ten to twenty times on the safe side of collapse.
///
/// # Units
/// `load_n` (P) in newtons, `height_m` (h) and `width_m` (b: the diameter, or a square post's diagonal) in metres,
/// `bearing_pa_per_m` (allowed pressure per metre of depth); the result in metres.
/// # Valid for
/// [`WIDTH_M`], [`HEIGHT_M`]; pressures count to 12 ft of depth at most.
/// # Source
/// `ibc-1807-3-2-1` equation 18-1; pressures in `ibc-1806-2`.
/// # Errors
/// [`OutOfRange`].
pub fn code_depth_m(load_n: f64, height_m: f64, width_m: f64, bearing_pa_per_m: f64) -> Result<f64, OutOfRange> {
    within("width in m", width_m, &WIDTH_M)?;
    within("height of the pull in m", height_m, &HEIGHT_M)?;
    within("load in N", load_n, &(0.0..=1e6))?;
    within("bearing in Pa/m", bearing_pa_per_m, &(1e3..=1e6))?;
    if load_n <= 0.0 {
        return Ok(0.0);
    }
    let asked_m = |depth_m: f64| {
        let term_m = code_term_m(load_n, width_m, bearing_pa_per_m, depth_m);
        0.5 * term_m * (1.0 + (1.0 + 4.36 * height_m / term_m).sqrt())
    };
    // asked_m falls as the assumed depth grows, so there is one crossing of asked = assumed.
    let (mut low_m, mut high_m) = (1e-6, 1e3);
    for _ in 0..100 {
        let middle_m = f64::midpoint(low_m, high_m);
        if asked_m(middle_m) > middle_m { low_m = middle_m } else { high_m = middle_m }
    }
    Ok(high_m)
}

/// The term A of the code's equation at an assumed depth: `A = 2.34 P / (S1 b)`, `S1 = p d / 3`, d at most 12 ft.
///
/// # Units
/// As [`code_depth_m`]; the result in metres.
/// # Valid for
/// As [`code_depth_m`].
/// # Source
/// `ibc-1807-3-2-1` equation 18-1.
pub fn code_term_m(load_n: f64, width_m: f64, bearing_pa_per_m: f64, depth_m: f64) -> f64 {
    let pressure_pa = bearing_pa_per_m * depth_m.min(*DEPTH_M.end()) / 3.0;
    2.34 * load_n / (pressure_pa * width_m)
}

/// Ultimate load that lifts a post: `Q = pi d L fs + W`.
///
/// # Units
/// `width_m` (d), `depth_m` (L) in metres, `shaft_friction_pa` (fs) in pascals, `weight_n` (W); the result in newtons.
/// # Valid for
/// [`WIDTH_M`], [`DEPTH_M`]; an order of magnitude, see the field figures (90 to 900 kgf) in `straining-posts-handbook`.
/// # Source
/// Shaft friction by the alpha method (`soil-ranges`).
/// # Errors
/// [`OutOfRange`].
pub fn uplift_capacity_n(width_m: f64, depth_m: f64, shaft_friction_pa: f64, weight_n: f64) -> Result<f64, OutOfRange> {
    within("width in m", width_m, &WIDTH_M)?;
    within("depth in m", depth_m, &DEPTH_M)?;
    Ok(PI * width_m * depth_m * shaft_friction_pa + weight_n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn post(width_m: f64, depth_m: f64) -> SetPost {
        SetPost { width_m, depth_m, height_m: 0.37 }
    }

    #[test]
    fn the_closed_form_in_clay_satisfies_the_three_equations_it_came_from() {
        for (width, depth, cu) in [(0.15, 0.9, 50e3), (0.1, 0.6, 25e3), (0.2, 1.05, 18e3)] {
            let load = broms_clay_n(post(width, depth), cu).expect("in range");
            let f = load / (9.0 * cu * width);
            let g = depth - 1.5 * width - f;
            let moment = load * (0.37 + 1.5 * width + 0.5 * f);
            assert!((moment - 2.25 * width * g * g * cu).abs() < 1e-6 * moment, "{width} {depth} {cu}");
        }
    }

    #[test]
    fn the_code_depth_gives_itself_back() {
        let depth = code_depth_m(2830.0, 0.37, 0.15, 15_709.0).expect("in range");
        let term = code_term_m(2830.0, 0.15, 15_709.0, depth);
        assert!((0.5 * term * (1.0 + (1.0 + 4.36 * 0.37 / term).sqrt()) - depth).abs() < 1e-9);
    }

    #[test]
    fn a_post_that_stands_in_the_top_soil_only_holds_nothing_in_clay() {
        assert!(broms_clay_n(post(0.2, 0.3), 50e3).expect("in range").abs() < 1e-9);
    }

    #[test]
    fn what_the_formulas_are_not_good_for_is_refused() {
        assert!(broms_clay_n(post(0.15, 5.0), 50e3).is_err());
        assert!(broms_clay_n(post(0.15, 0.9), f64::NAN).is_err());
        assert!(broms_sand_n(post(0.15, 0.9), 18e3, 60.0).is_err());
    }

    proptest! {
        #[test]
        fn deeper_never_holds_less(width in 0.03..0.3f64, depth in 0.0..2.0f64, more in 0.0..1.0f64, cu in 10e3..150e3f64) {
            prop_assert!(broms_clay_n(post(width, depth + more), cu)? >= broms_clay_n(post(width, depth), cu)?);
            prop_assert!(broms_sand_n(post(width, depth + more), 18e3, 33.0)? >= broms_sand_n(post(width, depth), 18e3, 33.0)?);
        }
        #[test]
        fn the_load_that_breaks_a_post_bends_it_by_just_its_moment(
            width in 0.03..0.3f64, depth in 0.1..1.5f64, height in 0.0..2.0f64, moment in 10.0..30e3f64,
            cu in 10e3..150e3f64, angle in 28.0..38.0f64,
        ) {
            let post = SetPost { width_m: width, depth_m: depth, height_m: height };
            let in_clay = bending_in_clay_nm(post, cu, breaking_in_clay_n(post, cu, moment)?)?;
            let in_sand = bending_in_sand_nm(post, 18e3, angle, breaking_in_sand_n(post, 18e3, angle, moment)?)?;
            prop_assert!((in_clay - moment).abs() < 1e-9 * moment && (in_sand - moment).abs() < 1e-9 * moment, "{in_clay} {in_sand} {moment}");
        }
        #[test]
        fn a_higher_pull_is_never_held_better(depth in 0.3..1.5f64, low in 0.0..2.0f64, more in 0.0..1.0f64) {
            let at = |height_m| SetPost { width_m: 0.15, depth_m: depth, height_m };
            prop_assert!(broms_clay_n(at(low + more), 50e3)? <= broms_clay_n(at(low), 50e3)?);
            prop_assert!(broms_sand_n(at(low + more), 18e3, 33.0)? <= broms_sand_n(at(low), 18e3, 33.0)?);
        }
    }
}
