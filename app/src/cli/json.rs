//! Numbers and places as other programs read them: SI, rounded below what any of it is worth, `null` for unknown.

use hillwire_core::land::Position;
use serde_json::{Value, json};

/// A number to a tenth of a millimetre, newton, per cent ...
pub fn number(value: f64) -> Value {
    let rounded = (value * 1e4).round() / 1e4;
    // Adding zero turns a negative zero into zero; what is not finite has no JSON and becomes null.
    json!(if rounded.is_finite() { rounded + 0.0 } else { value })
}

/// A number that may be unknown.
pub fn maybe(value: Option<f64>) -> Value {
    value.map_or(Value::Null, number)
}

/// `[longitude, latitude]` in degrees, as GeoJSON has it.
pub fn place(at: Position) -> Value {
    json!([at.lon_deg(), at.lat_deg()])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_unknown_is_null() {
        for (value, text) in [(412.000_000_000_03, "412.0"), (-0.000_01, "0.0"), (f64::NAN, "null"), (1.23456, "1.2346")] {
            assert_eq!(number(value).to_string(), text);
        }
        assert_eq!(maybe(None), Value::Null);
        assert_eq!(place(Position::from_degrees(-3.8, 56.6)).to_string(), "[-3.8,56.6]");
    }
}
