//! Contour lines as GeoJSON.

use hillwire_core::job::Job;
use hillwire_core::land::{Contour, ContourError, Ground, contours};
use std::fmt::Write;

/// Contour lines at every multiple of `every_m`, as an RFC 7946 FeatureCollection, one line of text each.
///
/// # Errors
/// An interval that is none or has too many lines, or nobody wants them any more.
pub fn contours_geojson(ground: &Ground, every_m: f64, job: &Job) -> Result<Vec<u8>, ContourError> {
    let lines = contours(ground.grid(), every_m, job)?;
    let mut text = String::from("{\"type\":\"FeatureCollection\",\"features\":[");
    for (index, line) in lines.iter().enumerate() {
        if index.is_multiple_of(256) {
            job.proceed()?;
        }
        text.push_str(if index == 0 { "\n" } else { ",\n" });
        push_line(&mut text, ground, line);
    }
    text.push_str("\n]}\n");
    Ok(text.into_bytes())
}

fn push_line(text: &mut String, ground: &Ground, line: &Contour) {
    text.push_str("{\"type\":\"Feature\",\"geometry\":{\"type\":\"LineString\",\"coordinates\":[");
    for (index, (column, row)) in line.way().enumerate() {
        let at = ground.frame().to_position(ground.to_map(column, row));
        let comma = if index == 0 { "" } else { "," };
        // Seven decimals: a centimetre. Writing into a String cannot fail.
        let _ = write!(text, "{comma}[{:.7},{:.7}]", at.lon_deg(), at.lat_deg());
    }
    // Levels are multiples of the interval: the shortest digits that say so.
    let level = (line.level_m * 1e6).round() / 1e6;
    let _ = write!(text, "]}},\"properties\":{{\"height_m\":{level}}}}}");
}
