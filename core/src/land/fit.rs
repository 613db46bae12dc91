//! Smooth maps from one plane to another, fitted once through PROJ so that a million samples need no PROJ call.

/// Highest total degree a fit may have.
const MAX_DEGREE: usize = 5;
/// Terms of a bivariate polynomial of [`MAX_DEGREE`].
const MAX_TERMS: usize = (MAX_DEGREE + 1) * (MAX_DEGREE + 2) / 2;
/// Nodes along each side of the square the fit is made on: more than twice the terms along it.
const NODES: usize = 12;

/// A pair of polynomials (u, v) of total degree `degree` in normalised coordinates s, t of a rectangle (-1 to 1 in it).
///
/// u = sum over i + j <= degree of a_ij s^i t^j, ordered by the power of t, then of s; v likewise.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fit {
    degree: usize,
    centre: (f64, f64),
    per_half: (f64, f64),
    u: [f64; MAX_TERMS],
    v: [f64; MAX_TERMS],
}

/// The rectangle a fit is made on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Domain {
    /// Smallest first and second coordinate.
    pub min: (f64, f64),
    /// Largest first and second coordinate.
    pub max: (f64, f64),
}

impl Domain {
    /// The smallest rectangle around the points, never of zero width.
    pub fn around(points: &[(f64, f64)]) -> Self {
        let mut min = (f64::INFINITY, f64::INFINITY);
        let mut max = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        for point in points {
            min = (min.0.min(point.0), min.1.min(point.1));
            max = (max.0.max(point.0), max.1.max(point.1));
        }
        Self { min, max: (max.0.max(min.0 + 1e-6), max.1.max(min.1 + 1e-6)) }
    }

    fn at(&self, s: f64, t: f64) -> (f64, f64) {
        let blend = |min: f64, max: f64, share: f64| 0.5 * (min + max) + 0.5 * (max - min) * share;
        (blend(self.min.0, self.max.0, s), blend(self.min.1, self.max.1, t))
    }

    /// The points on which a fit is made: the zeros of a Chebyshev polynomial along both sides.
    pub fn nodes(&self) -> Vec<(f64, f64)> {
        let zeros: Vec<f64> = (0..NODES).map(chebyshev_zero).collect();
        zeros.iter().flat_map(|t| zeros.iter().map(|s| self.at(*s, *t))).collect()
    }

    /// Points to test a fit on: an even lattice with its edges, denser than the nodes and none of them.
    pub fn lattice(&self) -> Vec<(f64, f64)> {
        const SIDE: usize = 2 * NODES + 1;
        let along = |i: usize| 2.0 * i as f64 / (SIDE - 1) as f64 - 1.0;
        (0..SIDE).flat_map(|j| (0..SIDE).map(move |i| (i, j))).map(|(i, j)| self.at(along(i), along(j))).collect()
    }
}

impl Fit {
    /// The least-squares polynomial of this degree through `images`, the images of [`Domain::nodes`].
    ///
    /// On Chebyshev zeros the Chebyshev polynomials are orthogonal, so each coefficient of the least-squares fit is a
    /// plain sum and no equations have to be solved; the sum is then written out in powers.
    pub fn through(domain: &Domain, images: &[(f64, f64)], degree: usize) -> Self {
        assert!(degree <= MAX_DEGREE && images.len() == NODES * NODES, "one image per node");
        let half = (0.5 * (domain.max.0 - domain.min.0), 0.5 * (domain.max.1 - domain.min.1));
        let centre = (0.5 * (domain.max.0 + domain.min.0), 0.5 * (domain.max.1 + domain.min.1));
        let mut fit = Self { degree, centre, per_half: (1.0 / half.0, 1.0 / half.1), u: [0.0; MAX_TERMS], v: [0.0; MAX_TERMS] };
        for (j, powers_t) in CHEBYSHEV.iter().enumerate().take(degree + 1) {
            for (i, powers_s) in CHEBYSHEV.iter().enumerate().take(degree + 1 - j) {
                let (cu, cv) = chebyshev_coefficient(images, i, j);
                for (power_t, factor_t) in powers_t.iter().enumerate() {
                    for (power_s, factor_s) in powers_s.iter().enumerate().filter(|(_, factor)| **factor != 0.0) {
                        if *factor_t != 0.0 {
                            let term = fit.term(power_s, power_t);
                            fit.u[term] += cu * factor_s * factor_t;
                            fit.v[term] += cv * factor_s * factor_t;
                        }
                    }
                }
            }
        }
        fit
    }

    /// Where the coefficient of s^i t^j stands.
    fn term(&self, i: usize, j: usize) -> usize {
        j * (self.degree + 1) - (j * j - j) / 2 + i
    }

    /// The image of a point.
    #[inline]
    pub fn at(&self, x: f64, y: f64) -> (f64, f64) {
        let (s, t) = ((x - self.centre.0) * self.per_half.0, (y - self.centre.1) * self.per_half.1);
        match self.degree {
            3 => self.powers::<3>(s, t),
            4 => self.powers::<4>(s, t),
            _ => self.powers::<MAX_DEGREE>(s, t),
        }
    }

    /// Horner's rule in t over Horner's rule in s; the degree is a constant so that the loops unroll.
    #[inline]
    fn powers<const DEGREE: usize>(&self, s: f64, t: f64) -> (f64, f64) {
        let mut end = (DEGREE + 1) * (DEGREE + 2) / 2;
        let (mut u, mut v) = (0.0, 0.0);
        for j in (0..=DEGREE).rev() {
            let start = end - (DEGREE + 1 - j);
            let (mut row_u, mut row_v) = (0.0, 0.0);
            for k in (start..end).rev() {
                row_u = row_u * s + self.u[k];
                row_v = row_v * s + self.v[k];
            }
            u = u * t + row_u;
            v = v * t + row_v;
            end = start;
        }
        (u, v)
    }

    /// The derivatives ((du/dx, du/dy), (dv/dx, dv/dy)) at a point.
    pub fn slopes(&self, x: f64, y: f64) -> ((f64, f64), (f64, f64)) {
        let (s, t) = ((x - self.centre.0) * self.per_half.0, (y - self.centre.1) * self.per_half.1);
        let (mut by_s, mut by_t) = ((0.0, 0.0), (0.0, 0.0));
        let mut power_t = 1.0;
        let mut power_t_less = 0.0;
        for j in 0..=self.degree {
            let mut power_s = 1.0;
            let mut power_s_less = 0.0;
            for i in 0..=self.degree - j {
                let term = self.term(i, j);
                let (ds, dt) = (i as f64 * power_s_less * power_t, j as f64 * power_s * power_t_less);
                by_s = (by_s.0 + self.u[term] * ds, by_s.1 + self.v[term] * ds);
                by_t = (by_t.0 + self.u[term] * dt, by_t.1 + self.v[term] * dt);
                (power_s_less, power_s) = (power_s, power_s * s);
            }
            (power_t_less, power_t) = (power_t, power_t * t);
        }
        let (per_x, per_y) = self.per_half;
        ((by_s.0 * per_x, by_t.0 * per_y), (by_s.1 * per_x, by_t.1 * per_y))
    }
}

/// Chebyshev polynomials T_0 to T_5 in powers. Source: their recurrence T_n+1 = 2 x T_n - T_n-1.
const CHEBYSHEV: [[f64; MAX_DEGREE + 1]; MAX_DEGREE + 1] = [
    [1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [0.0, 1.0, 0.0, 0.0, 0.0, 0.0],
    [-1.0, 0.0, 2.0, 0.0, 0.0, 0.0],
    [0.0, -3.0, 0.0, 4.0, 0.0, 0.0],
    [1.0, 0.0, -8.0, 0.0, 8.0, 0.0],
    [0.0, 5.0, 0.0, -20.0, 0.0, 16.0],
];

fn chebyshev_angle(k: usize) -> f64 {
    std::f64::consts::PI * (k as f64 + 0.5) / NODES as f64
}

fn chebyshev_zero(k: usize) -> f64 {
    chebyshev_angle(k).cos()
}

/// The coefficient of T_i(s) T_j(t) by discrete orthogonality.
fn chebyshev_coefficient(images: &[(f64, f64)], i: usize, j: usize) -> (f64, f64) {
    let norm = |order: usize| if order == 0 { 1.0 } else { 2.0 } / NODES as f64;
    let wave = |order: usize, k: usize| (order as f64 * chebyshev_angle(k)).cos();
    let mut sum = (0.0, 0.0);
    for row in 0..NODES {
        for column in 0..NODES {
            let weight = wave(i, column) * wave(j, row);
            let image = images[row * NODES + column];
            sum = (sum.0 + weight * image.0, sum.1 + weight * image.1);
        }
    }
    let norm = norm(i) * norm(j);
    (sum.0 * norm, sum.1 * norm)
}

/// The lowest and the highest degree tried.
pub(super) const DEGREES: std::ops::RangeInclusive<usize> = 3..=MAX_DEGREE;

#[cfg(test)]
mod tests {
    use super::*;

    fn cubic(x: f64, y: f64) -> (f64, f64) {
        (3.0 + 2.0 * x - y + 1e-3 * x * x * y - 2e-3 * y * y * y, -7.0 + x * y * 1e-2 + 4e-4 * x * x * x)
    }

    const DOMAIN: Domain = Domain { min: (-10.0, 5.0), max: (30.0, 17.0) };

    #[test]
    fn a_cubic_is_recovered_by_every_degree_with_its_derivatives() {
        let images: Vec<_> = DOMAIN.nodes().iter().map(|(x, y)| cubic(*x, *y)).collect();
        for degree in DEGREES {
            let fit = Fit::through(&DOMAIN, &images, degree);
            for (x, y) in DOMAIN.lattice() {
                let ((u, v), expected) = (fit.at(x, y), cubic(x, y));
                assert!((u - expected.0).abs() < 1e-11 && (v - expected.1).abs() < 1e-11, "degree {degree} at {x} {y}");
                let ((ux, uy), (vx, vy)) = fit.slopes(x, y);
                assert!((ux - (2.0 + 2e-3 * x * y)).abs() < 1e-11 && (uy - (-1.0 + 1e-3 * x * x - 6e-3 * y * y)).abs() < 1e-11);
                assert!((vx - (1e-2 * y + 12e-4 * x * x)).abs() < 1e-11 && (vy - 1e-2 * x).abs() < 1e-11);
            }
        }
    }
}
