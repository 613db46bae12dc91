//! What a coordinate system is, asked of PROJ.

use super::super::{Crs, CrsKind};
use super::GridError;
use crate::units::US_SURVEY_FOOT_M;
use proj::Proj;
use serde_json::Value;

/// A coordinate system with what it says of heights.
#[derive(Debug)]
pub(super) struct Described {
    pub(super) crs: Crs,
    /// Metres in one unit of height, if the system has a height axis.
    pub(super) metres_per_height: Option<f64>,
}

/// The system that the text of a projection file describes: WKT, a PROJ string, or a code.
pub(super) fn of_projection_file(text: &str) -> Result<Described, GridError> {
    let text = text.trim_start_matches('\u{feff}').trim();
    describe(text, &shown(text))
}

/// Asks PROJ about a definition; `found` is what messages call it.
pub(super) fn describe(definition: &str, found: &str) -> Result<Described, GridError> {
    let definition = complete(definition);
    let json = projjson(&definition).ok_or_else(|| GridError::UnknownCrs { found: found.to_owned() })?;
    let (horizontal, vertical) = parts(&json);
    let kind = kind(horizontal).map_err(|kind| GridError::CrsKind { found: found.to_owned(), kind })?;
    let metres_per_height = vertical.and_then(|vertical| axis_unit_m(vertical, 0));
    Ok(Described { crs: Crs { definition, kind }, metres_per_height })
}

/// Metres in one unit of a vertical system, by its EPSG code.
pub(super) fn metres_per_height(epsg: u16) -> Option<f64> {
    let json = projjson(&format!("EPSG:{epsg}"))?;
    let (_, vertical) = parts(&json);
    axis_unit_m(vertical.unwrap_or(&json), 0)
}

/// What PROJ makes of a definition, as PROJJSON. `None` if it does not know it.
pub(super) fn projjson(definition: &str) -> Option<Value> {
    let text = Proj::new(definition).ok()?.to_projjson(None, None, None).ok()?;
    serde_json::from_str(&text).ok()
}

/// PROJ strings describe an operation unless they say that they mean a system.
fn complete(definition: &str) -> String {
    if definition.contains("+proj=") && !definition.contains("+type=crs") {
        format!("{definition} +type=crs")
    } else {
        definition.to_owned()
    }
}

/// The horizontal part and the vertical one.
fn parts(json: &Value) -> (&Value, Option<&Value>) {
    match json["type"].as_str() {
        Some("BoundCRS") => parts(&json["source_crs"]),
        Some("CompoundCRS") => (parts(&json["components"][0]).0, Some(&json["components"][1])),
        _ => (json, None),
    }
}

fn kind(json: &Value) -> Result<CrsKind, &'static str> {
    match json["type"].as_str() {
        Some("ProjectedCRS" | "DerivedProjectedCRS") => {
            let metres_per_unit = axis_unit_m(json, 0).ok_or("counted in an unknown unit")?;
            Ok(CrsKind::Projected { metres_per_unit })
        }
        Some("GeographicCRS" | "DerivedGeographicCRS") => {
            if counts_in_degrees(json) {
                Ok(CrsKind::Geographic)
            } else {
                Err("not counted in degrees")
            }
        }
        Some("GeodeticCRS" | "DerivedGeodeticCRS") => Err("geocentric (X, Y, Z from the Earth's centre)"),
        Some("VerticalCRS" | "DerivedVerticalCRS") => Err("for heights only"),
        Some("EngineeringCRS") => Err("a local one without a place on the Earth"),
        _ => Err("of another kind"),
    }
}

/// PROJ writes the degree that it knows as a word, and one that a text defines as its size in radians.
fn counts_in_degrees(json: &Value) -> bool {
    let unit = &json["coordinate_system"]["axis"][0]["unit"];
    let radians = 1_f64.to_radians();
    unit.as_str() == Some("degree") || unit["conversion_factor"].as_f64().is_some_and(|size| (size - radians).abs() < 1e-12)
}

fn axis_unit_m(json: &Value, axis: usize) -> Option<f64> {
    let unit = &json["coordinate_system"]["axis"][axis]["unit"];
    if unit.as_str() == Some("metre") {
        return Some(1.0);
    }
    let factor = unit["conversion_factor"].as_f64().filter(|factor| *factor > 0.0)?;
    // PROJ prints 15 digits; the survey foot is a fraction.
    Some(if (factor - US_SURVEY_FOOT_M).abs() < 1e-12 { US_SURVEY_FOOT_M } else { factor })
}

/// As much of a long text as a message can show.
pub(super) fn shown(text: &str) -> String {
    const MOST: usize = 80;
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() <= MOST { line } else { line.chars().take(MOST).chain("...".chars()).collect() }
}
