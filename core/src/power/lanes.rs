//! Eight complex numbers side by side: eight frequencies go through the network in one pass.

use num_complex::Complex64;

/// How many frequencies go together.
pub(super) const LANES: usize = 8;

/// The same quantity at [`LANES`] frequencies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lanes {
    re: [f64; LANES],
    im: [f64; LANES],
}

impl Lanes {
    pub(super) const ZERO: Self = Self { re: [0.0; LANES], im: [0.0; LANES] };

    pub(super) fn from_fn(mut of: impl FnMut(usize) -> Complex64) -> Self {
        let mut lanes = Self::ZERO;
        for n in 0..LANES {
            let value = of(n);
            (lanes.re[n], lanes.im[n]) = (value.re, value.im);
        }
        lanes
    }

    pub(super) fn real(value: f64) -> Self {
        Self { re: [value; LANES], im: [0.0; LANES] }
    }

    pub(super) fn at(&self, n: usize) -> Complex64 {
        Complex64::new(self.re[n], self.im[n])
    }

    #[inline]
    pub(super) fn times(&self, other: &Self) -> Self {
        let mut product = Self::ZERO;
        for n in 0..LANES {
            product.re[n] = self.re[n] * other.re[n] - self.im[n] * other.im[n];
            product.im[n] = self.re[n] * other.im[n] + self.im[n] * other.re[n];
        }
        product
    }

    #[inline]
    pub(super) fn add(&mut self, other: &Self) {
        for n in 0..LANES {
            self.re[n] += other.re[n];
            self.im[n] += other.im[n];
        }
    }

    #[inline]
    pub(super) fn subtract(&mut self, other: &Self) {
        for n in 0..LANES {
            self.re[n] -= other.re[n];
            self.im[n] -= other.im[n];
        }
    }

    /// Takes the product of two others away.
    #[inline]
    pub(super) fn subtract_product(&mut self, one: &Self, other: &Self) {
        for n in 0..LANES {
            self.re[n] -= one.re[n] * other.re[n] - one.im[n] * other.im[n];
            self.im[n] -= one.re[n] * other.im[n] + one.im[n] * other.re[n];
        }
    }

    #[inline]
    pub(super) fn inverse(&self) -> Self {
        let mut inverse = Self::ZERO;
        for n in 0..LANES {
            let scale = 1.0 / (self.re[n] * self.re[n] + self.im[n] * self.im[n]);
            inverse.re[n] = self.re[n] * scale;
            inverse.im[n] = -self.im[n] * scale;
        }
        inverse
    }

    #[inline]
    pub(super) fn negative(&self) -> Self {
        let mut negative = *self;
        for n in 0..LANES {
            negative.re[n] = -self.re[n];
            negative.im[n] = -self.im[n];
        }
        negative
    }
}
