//! The plan as GPX 1.1 for hand-held receivers and phones, and as KML 2.2 for map programs.

use super::recipient::Audience;
use super::shown::{Shown, ShownShape, shown};
use super::svg::escaped;
use crate::land::Position;
use crate::outcome::Outcome;
use crate::plan::{Kind, Plan};
use std::fmt::Write;

/// GPX 1.1: points as waypoints, lines and the edges of areas as tracks. No times: nobody has been there yet.
pub fn gpx(plan: &Plan, outcome: &Outcome, to: Audience) -> Vec<u8> {
    let all = shown(plan, outcome, to);
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Hillwire\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n\
         <metadata><name>{}</name></metadata>\n",
        escaped(&plan.head.name)
    );
    // The schema wants all waypoints before the first track.
    for one in &all {
        if let ShownShape::Point(at) = &one.shape {
            let _ = writeln!(text, "<wpt {}>{}</wpt>", lat_lon(*at), described(one));
        }
    }
    for one in &all {
        let lines: Vec<&Vec<Position>> = match &one.shape {
            ShownShape::Point(_) => continue,
            ShownShape::Line(corners) => vec![corners],
            ShownShape::Area(rings) => rings.iter().collect(),
        };
        let _ = write!(text, "<trk>{}", described(one));
        for corners in lines {
            let points: String = corners.iter().map(|at| format!("<trkpt {}/>", lat_lon(*at))).collect();
            let _ = write!(text, "<trkseg>{points}</trkseg>");
        }
        text.push_str("</trk>\n");
    }
    text.push_str("</gpx>\n");
    text.into_bytes()
}

/// Name, what it is and what to mind, in the order that the schema wants.
fn described(one: &Shown) -> String {
    format!("<name>{}</name><desc>{}</desc><type>{}</type>", escaped(one.title()), escaped(&says(one)), escaped(one.kind))
}

/// What is known of it, in a sentence or two.
fn says(one: &Shown) -> String {
    let facts: Vec<String> = one.facts.iter().map(|(key, value)| fact(key, value)).collect();
    let mut parts = vec![one.kind.to_owned()];
    if !facts.is_empty() {
        parts.push(facts.join(", "));
    }
    parts.extend(one.note.map(str::to_owned));
    parts.extend(one.caution.map(str::to_owned));
    parts.join(". ")
}

/// A fact with its unit, which is its key's ending.
pub(super) fn fact(key: &str, value: &serde_json::Value) -> String {
    let value = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
    let (name, unit) = match key {
        "ground_area_m2" => ("on the ground", " m²"),
        "area_m2" => ("area", " m²"),
        "perimeter_m" => ("round it", " m"),
        "length_m" => ("length", " m"),
        "height_m" => ("height", " m"),
        "width_m" => ("width", " m"),
        "kv" => ("voltage", " kV"),
        "at_time" => ("read", ""),
        other => (other, ""),
    };
    format!("{name} {value}{unit}")
}

fn degrees(e9: i64) -> String {
    format!("{:.7}", e9 as f64 / 1e9)
}

pub(super) fn lat_lon(at: Position) -> String {
    format!("lat=\"{}\" lon=\"{}\"", degrees(at.lat_e9), degrees(at.lon_e9))
}

/// KML 2.2: a placemark for each thing, in a folder for each sort of thing.
pub fn kml(plan: &Plan, outcome: &Outcome, to: Audience) -> Vec<u8> {
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document><name>{}</name>\n",
        escaped(&plan.head.name)
    );
    for (id, ink, width) in STYLES {
        let _ = writeln!(
            text,
            "<Style id=\"{id}\"><LineStyle><color>{ink}</color><width>{width}</width></LineStyle>\
             <PolyStyle><color>40{}</color></PolyStyle></Style>",
            &ink[2..]
        );
    }
    for one in shown(plan, outcome, to) {
        let _ = writeln!(
            text,
            "<Placemark><name>{}</name><description>{}</description><styleUrl>#{}</styleUrl>{}</Placemark>",
            escaped(one.title()),
            escaped(&says(&one)),
            style(&one.feature.kind),
            geometry(&one.shape)
        );
    }
    text.push_str("</Document>\n</kml>\n");
    text.into_bytes()
}

/// Styles by id: colour as alpha, blue, green, red; width in points of the screen.
const STYLES: [(&str, &str, u8); 5] = [
    ("fence", "ffb27200", 3),
    ("lead", "ff543462", 2),
    ("water", "ffa8782c", 2),
    ("way", "ff567400", 2),
    ("other", "ff5a6770", 1),
];

fn style(kind: &Kind) -> &'static str {
    match kind {
        Kind::Fence(_) | Kind::Gate(_) => "fence",
        Kind::LeadOut(_) | Kind::Jumper(_) | Kind::Energizer(_) | Kind::Earth { .. } => "lead",
        Kind::Stream { .. } | Kind::Water => "water",
        Kind::PublicWay { .. } | Kind::Track(_) => "way",
        _ => "other",
    }
}

fn coordinates(corners: &[Position]) -> String {
    let listed: Vec<String> = corners.iter().map(|at| format!("{},{}", degrees(at.lon_e9), degrees(at.lat_e9))).collect();
    format!("<coordinates>{}</coordinates>", listed.join(" "))
}

fn geometry(shape: &ShownShape) -> String {
    match shape {
        ShownShape::Point(at) => format!("<Point>{}</Point>", coordinates(&[*at])),
        ShownShape::Line(corners) => format!("<LineString><tessellate>1</tessellate>{}</LineString>", coordinates(corners)),
        ShownShape::Area(rings) => {
            let mut text = "<Polygon><tessellate>1</tessellate>".to_owned();
            for (index, ring) in rings.iter().enumerate() {
                let side = if index == 0 { "outerBoundaryIs" } else { "innerBoundaryIs" };
                let _ = write!(text, "<{side}><LinearRing>{}</LinearRing></{side}>", coordinates(ring));
            }
            text + "</Polygon>"
        }
    }
}
