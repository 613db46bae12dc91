//! How the ground bends at a place: a surface of the second degree over a cell and its neighbours.

use super::Gradient;

/// The surface z = D x2 + E y2 + F x y + G x + H y + z5 around the middle of a cell, x to the east and y to the north, in metres.
///
/// # Source
/// zevenbergen-thorne-1987 (their fourth-order terms have no part in slope and curvature at the middle).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quadratic {
    /// D, per metre.
    pub d_per_m: f64,
    /// E, per metre.
    pub e_per_m: f64,
    /// F, per metre.
    pub f_per_m: f64,
    /// G towards the east and H towards the north: less smoothed than Horn's, and more shaken by noise in the heights.
    pub gradient: Gradient,
}

/// Squares of slopes below this are level ground, which bends in no direction.
const LEVEL: f64 = 1e-12;

impl Quadratic {
    /// From nine heights in metres, northern row first, in square cells of a side in metres:
    /// D = ((z4 + z6)/2 - z5)/L2, E = ((z2 + z8)/2 - z5)/L2, F = (-z1 + z3 + z7 - z9)/(4 L2), G = (z6 - z4)/(2 L), H = (z2 - z8)/(2 L).
    pub fn of(z: &[f64; 9], cell_m: f64) -> Self {
        let square = cell_m * cell_m;
        Self {
            d_per_m: (0.5 * (z[3] + z[5]) - z[4]) / square,
            e_per_m: (0.5 * (z[1] + z[7]) - z[4]) / square,
            f_per_m: (z[2] - z[0] + z[6] - z[8]) / (4.0 * square),
            gradient: Gradient { east: (z[5] - z[3]) / (2.0 * cell_m), north: (z[1] - z[7]) / (2.0 * cell_m) },
        }
    }

    /// How fast the slope grows uphill, per metre of map: 2 (D G2 + E H2 + F G H) / (G2 + H2), below zero where the ground steepens
    /// downhill (a brow), above zero where it eases (a foot). `None` on level ground.
    pub fn profile_per_m(&self) -> Option<f64> {
        let Gradient { east: g, north: h } = self.gradient;
        self.bend(self.d_per_m * g * g + self.e_per_m * h * h + self.f_per_m * g * h)
    }

    /// How the ground bends across the slope, per metre of map: -2 (D H2 + E G2 - F G H) / (G2 + H2), above zero on a nose, below zero
    /// in a hollow. `None` on level ground.
    pub fn plan_per_m(&self) -> Option<f64> {
        let Gradient { east: g, north: h } = self.gradient;
        self.bend(-(self.d_per_m * h * h + self.e_per_m * g * g - self.f_per_m * g * h))
    }

    fn bend(&self, sum: f64) -> Option<f64> {
        let slope2 = self.gradient.slope().powi(2);
        (slope2 > LEVEL).then(|| 2.0 * sum / slope2)
    }
}
