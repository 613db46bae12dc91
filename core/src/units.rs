//! Quantities that are stored or cross a module boundary. SI inside; feet, pounds and gauges exist at the rim only.

use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $make:ident, $read:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// From the SI unit in the function's name.
            pub const fn $make(value: f64) -> Self {
                Self(value)
            }
            /// In the SI unit in the function's name.
            pub const fn $read(self) -> f64 {
                self.0
            }
            /// The larger of the two.
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// The smaller of the two.
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// Its size without its sign.
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self::ZERO, Add::add)
            }
        }
    };
}

quantity!(
    /// A distance or a difference of heights, in metres.
    Length, metres, as_metres
);
quantity!(
    /// An area, in square metres.
    Area, square_metres, as_square_metres
);
quantity!(
    /// A force, in newtons.
    Force, newtons, as_newtons
);
quantity!(
    /// A bending moment, in newton metres.
    Moment, newton_metres, as_newton_metres
);

/// Square metres of a hectare.
const HECTARE_M2: f64 = 10_000.0;

impl Area {
    /// From hectares.
    pub const fn hectares(value: f64) -> Self {
        Self::square_metres(value * HECTARE_M2)
    }
    /// In hectares.
    pub const fn as_hectares(self) -> f64 {
        self.as_square_metres() / HECTARE_M2
    }
}

/// A height above the datum of an elevation grid, in metres: a position, not a difference.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Elevation(f64);

impl Elevation {
    /// From metres above the grid's datum.
    pub const fn metres(value: f64) -> Self {
        Self(value)
    }
    /// In metres above the grid's datum.
    pub const fn as_metres(self) -> f64 {
        self.0
    }
}

impl Sub for Elevation {
    type Output = Length;
    fn sub(self, other: Self) -> Length {
        Length::metres(self.0 - other.0)
    }
}

impl Add<Length> for Elevation {
    type Output = Self;
    fn add(self, rise: Length) -> Self {
        Self(self.0 + rise.as_metres())
    }
}

/// International foot: 0.3048 m exactly (international yard and pound agreement, 1959).
pub const FOOT_M: f64 = 0.3048;
/// US survey foot: 1200/3937 m.
pub const US_SURVEY_FOOT_M: f64 = 1200.0 / 3937.0;
/// Pound-force in newtons.
pub const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Standard gravity, m/s2 (CGPM 1901).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;
