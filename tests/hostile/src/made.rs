//! Files that once failed and are too large to keep: made when they are asked for.

use crate::packed::{Lies, workbook, zip};

/// The bytes of a file of this name.
pub fn made(name: &str) -> Option<Vec<u8>> {
    Some(match name {
        // 300 MB of words that the list of parts calls a thousand bytes.
        "lying-size.xlsx" => {
            let mut parts = workbook(&[vec!["id", "price of one"], vec!["t-post", "4"]]);
            let words = parts.iter().position(|part| part.name == "xl/sharedStrings.xml")?;
            let text = String::from_utf8_lossy(&parts[words].bytes).replace("t-post", &"a".repeat(300_000_000));
            parts[words].bytes = text.into_bytes();
            zip(&parts, &[(words, Lies { unpacked: Some(1000), ..Lies::default() })])
        }
        "deep.plan.geojson" => format!("{{\"hillwire\":{}{}}}", "[".repeat(100_000), "]".repeat(100_000)).into_bytes(),
        "deep.kml" => {
            format!("<kml>{}{}</kml>", "<MultiGeometry>".repeat(100_000), "</MultiGeometry>".repeat(100_000)).into_bytes()
        }
        _ => return None,
    })
}
