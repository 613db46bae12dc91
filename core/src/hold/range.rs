//! The range that a formula is good for.

use std::ops::RangeInclusive;

/// A value that a formula is not good for.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{quantity} is {value}; allowed are {lowest} to {highest}")]
pub struct OutOfRange {
    /// What it is, with its unit.
    pub quantity: &'static str,
    /// What was given.
    pub value: f64,
    /// The least that is allowed.
    pub lowest: f64,
    /// The most that is allowed.
    pub highest: f64,
}

/// The value, if the range holds it; NaN is in no range.
pub(crate) fn within(quantity: &'static str, value: f64, range: &RangeInclusive<f64>) -> Result<f64, OutOfRange> {
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(OutOfRange { quantity, value, lowest: *range.start(), highest: *range.end() })
    }
}
