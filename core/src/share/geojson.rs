//! The plan for a neighbour: GeoJSON that any map program opens, with properties that need no glossary.

use crate::land::{Frame, MapPoint, Position};
use crate::outcome::{LineOutcome, Outcome};
use crate::plan::{Feature, FeatureId, Geometry, Kind, PaddockFace, Plan, paddocks};
use serde_json::{Map, Value, json};

/// What everybody who meets the fence has to know.
const ELECTRIC_CAUTION: &str = "Electric fence: it gives a painful shock. Do not touch it, lean anything on it or climb through it; \
     keep children and animals away. Local rules for electric fences and their warning signs come first.";

/// What everybody who works near an overhead line has to know.
const OVERHEAD_CAUTION: &str = "Overhead power line: keep people, poles, wire and machines well away from it. Ask the network's \
     operator before any work near it; its rules come first.";

/// An RFC 7946 FeatureCollection of what the plan shows on the ground, without any foreign member: lines with their length on
/// the ground, strands, height and posts, gates, the energizer, ways, and paddocks as areas. The keeper's stock, prices,
/// readings and faults stay at home. Coordinates carry 7 decimals (1 cm).
pub fn geojson(plan: &Plan, outcome: &Outcome) -> Vec<u8> {
    let faces = first_place(plan).map(|place| {
        let frame = Frame::near(place);
        (frame, paddocks(plan, frame))
    });
    let mut features = Vec::new();
    for feature in &plan.features {
        let face = faces.as_ref().and_then(|(frame, faces)| Some((*frame, faces.iter().find(|face| face.id == feature.id)?)));
        features.extend(shown(plan, outcome, feature, face));
    }
    let lines: Vec<_> = features.iter().map(Value::to_string).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", lines.join(",\n")).into_bytes()
}

/// A place in the middle of things for a frame to work in.
fn first_place(plan: &Plan) -> Option<Position> {
    plan.features.iter().find_map(|feature| match &feature.geometry {
        Geometry::Point(at) => Some(*at),
        Geometry::Line(corners) => corners.first().copied(),
        Geometry::Area(rings) => rings.first().and_then(|ring| ring.first()).copied(),
        Geometry::Other(_) => None,
    })
}

/// What a kind is called by somebody who has never built a fence; `None` for what is nobody else's business.
fn kind_in_words(kind: &Kind) -> Option<&str> {
    Some(match kind {
        Kind::Fence(_) => "electric fence",
        Kind::LeadOut(lead_out) if lead_out.underground => "buried cable to the electric fence",
        Kind::LeadOut(_) => "wire that feeds the electric fence",
        Kind::Gate(gate) if gate.live == Some(true) => "electric gate",
        Kind::Gate(_) => "gate",
        Kind::Energizer { .. } => "energizer of the electric fence",
        Kind::Earth { .. } => "earth rods of the electric fence",
        Kind::Cutout { .. } => "switch in the electric fence",
        Kind::Jumper(_) => "wire that joins electric fences",
        Kind::Track(_) => "track",
        Kind::PublicWay { .. } => "public way",
        Kind::OverheadLine { .. } => "overhead power line",
        Kind::Stream { .. } => "stream",
        Kind::Boundary { .. } => "boundary",
        Kind::Building { .. } => "building",
        Kind::Zone(zone) => match zone.of.as_str() {
            "soil" => "soil",
            "rock" => "rock",
            "wet" => "wet ground",
            "wood" => "wood",
            "crop" => "crop",
            _ => "ground to keep out of",
        },
        Kind::Paddock(_) => "paddock",
        Kind::Water => "drinking water",
        Kind::Shelter => "shelter",
        Kind::Feed => "feeding place",
        Kind::SpotHeight { .. } => "measured height",
        Kind::Tree { .. } => "tree",
        Kind::Mark => "mark",
        Kind::Reading(_) | Kind::Fault(_) | Kind::Other(_) => return None,
    })
}

fn caution(kind: &Kind) -> Option<&'static str> {
    match kind {
        Kind::Fence(_)
        | Kind::LeadOut(_)
        | Kind::Energizer { .. }
        | Kind::Earth { .. }
        | Kind::Cutout { .. }
        | Kind::Jumper(_) => Some(ELECTRIC_CAUTION),
        Kind::Gate(gate) if gate.live == Some(true) => Some(ELECTRIC_CAUTION),
        Kind::OverheadLine { .. } => Some(OVERHEAD_CAUTION),
        _ => None,
    }
}

fn shown(plan: &Plan, outcome: &Outcome, feature: &Feature, face: Option<(Frame, &PaddockFace)>) -> Option<Value> {
    let words = kind_in_words(&feature.kind)?;
    let enclosed = face.filter(|(_, face)| face.open.is_none());
    let geometry = match enclosed {
        Some((frame, face)) => paddock_area(frame, face),
        None => geometry(&feature.geometry)?,
    };
    let mut properties = Map::new();
    if let Some(name) = &feature.name {
        properties.insert("name".to_owned(), json!(name));
    }
    properties.insert("kind".to_owned(), json!(words));
    if let Some(line) = outcome.lines.iter().find(|line| line.id == feature.id) {
        line_properties(plan, feature, line, &mut properties);
    }
    if let Some((_, face)) = enclosed {
        paddock_properties(outcome, face, &mut properties);
    }
    if let Kind::Gate(gate) = &feature.kind
        && let Some(width) = gate.width
    {
        properties.insert("width_m".to_owned(), rounded(width.as_metres(), 2));
    }
    if let Some(note) = &feature.note {
        properties.insert("note".to_owned(), json!(note));
    }
    if let Some(caution) = caution(&feature.kind) {
        properties.insert("caution".to_owned(), json!(caution));
    }
    Some(json!({"type": "Feature", "id": id(&feature.id), "geometry": geometry, "properties": properties}))
}

fn line_properties(plan: &Plan, feature: &Feature, line: &LineOutcome, properties: &mut Map<String, Value>) {
    let mut add = |key: &str, value: Value| properties.insert(key.to_owned(), value);
    match &feature.kind {
        Kind::Fence(fence) => {
            if let Some(build) = plan.build(&fence.build) {
                add("strands", json!(build.strands.len()));
                let top_m = build.strands.iter().map(|strand| strand.height.as_metres()).reduce(f64::max);
                if let Some(top_m) = top_m {
                    add("height_m", rounded(top_m, 2));
                }
            }
            add("posts", json!(line.hold.posts.len()));
        }
        Kind::LeadOut(lead_out) => {
            if let Some(height) = lead_out.height.filter(|_| !lead_out.underground) {
                add("height_m", rounded(height.as_metres(), 2));
            }
        }
        _ => {}
    }
    add("length_m", rounded(line.measure.ground_length.as_metres(), 1));
}

fn paddock_properties(outcome: &Outcome, face: &PaddockFace, properties: &mut Map<String, Value>) {
    let mut add = |key: &str, value: Value| properties.insert(key.to_owned(), value);
    add("area_m2", rounded(face.area().as_square_metres(), 0));
    if let Some(paddock) = outcome.paddocks.iter().find(|paddock| paddock.id == face.id && !paddock.ring.is_empty()) {
        add("ground_area_m2", rounded(paddock.ground_area.as_square_metres(), 0));
    }
    add("perimeter_m", rounded(face.perimeter().as_metres(), 1));
}

/// The number with so many decimals, as short as it prints.
fn rounded(value: f64, decimals: u32) -> Value {
    let factor = f64::from(10_u32.pow(decimals));
    let value = (value * factor).round() / factor;
    if value.fract() == 0.0 && value.abs() < 1e15 { json!(value as i64) } else { json!(value) }
}

fn id(id: &FeatureId) -> Value {
    if id.is_numeric() { serde_json::from_str(id.as_str()).unwrap_or_else(|_| json!(id.as_str())) } else { json!(id.as_str()) }
}

/// Longitude and latitude with 7 decimals.
fn lon_lat(at: Position) -> Value {
    let degrees = |e9: i64| rounded(e9 as f64 / 1e9, 7);
    json!([degrees(at.lon_e9), degrees(at.lat_e9)])
}

fn geometry(geometry: &Geometry) -> Option<Value> {
    let list = |corners: &[Position]| Value::Array(corners.iter().map(|at| lon_lat(*at)).collect());
    Some(match geometry {
        Geometry::Point(at) => json!({"type": "Point", "coordinates": lon_lat(*at)}),
        Geometry::Line(corners) => json!({"type": "LineString", "coordinates": list(corners)}),
        // Rings are right-handed in a plan already.
        Geometry::Area(rings) => {
            json!({"type": "Polygon", "coordinates": rings.iter().map(|ring| list(ring)).collect::<Vec<_>>()})
        }
        Geometry::Other(_) => return None,
    })
}

/// Outer ring anticlockwise, holes clockwise, as the paddock's face has them.
fn paddock_area(frame: Frame, face: &PaddockFace) -> Value {
    let ring = |ring: &Vec<MapPoint>| {
        let closed = ring.iter().chain(ring.first());
        Value::Array(closed.map(|at| lon_lat(frame.to_position(*at))).collect())
    };
    json!({"type": "Polygon", "coordinates": std::iter::once(&face.ring).chain(&face.holes).map(ring).collect::<Vec<_>>()})
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Fence, Head, ring_area};

    fn at(lon_e9: i64, lat_e9: i64) -> Position {
        Position { lon_e9: -3_810_000_000 + lon_e9, lat_e9: 56_600_000_000 + lat_e9 }
    }

    fn plan() -> Plan {
        // Clockwise on purpose: the area has to come out anticlockwise.
        let square = vec![at(0, 0), at(0, 1_000_000), at(1_000_000, 1_000_000), at(1_000_000, 0), at(0, 0)];
        let island: Vec<_> = [(400_000, 400_000), (600_000, 400_000), (600_000, 600_000), (400_000, 400_000)]
            .map(|(lon, lat)| at(lon, lat))
            .to_vec();
        let mut fence = Feature::new(FeatureId::new("north"), Kind::Fence(Fence::default()), Geometry::Line(square));
        fence.name = Some("North line".to_owned());
        fence.foreign.insert("secret".to_owned(), json!(1));
        fence.extra.insert("colour".to_owned(), json!("red"));
        let paddock = Kind::Paddock(crate::plan::Paddock { stock: Some("growers".to_owned()), ..Default::default() });
        let mut head = Head::default();
        head.foreign.insert("mine".to_owned(), json!("alone"));
        let mut plan = Plan::new(
            head,
            vec![
                fence,
                Feature::new(FeatureId::new("south"), Kind::Fence(Fence::default()), Geometry::Line(island)),
                Feature::new(FeatureId::new("p"), paddock, Geometry::Point(at(123_456_789 / 1000, 100_000))),
                Feature::new(FeatureId::new("?"), Kind::Other(None), Geometry::Point(at(5, 5))),
            ],
        );
        plan.foreign.insert("crs".to_owned(), json!("old"));
        plan
    }

    #[test]
    fn a_neighbour_gets_plain_geojson_and_nothing_that_is_not_theirs() {
        let text = geojson(&plan(), &Outcome::default());
        let all: Value = serde_json::from_slice(&text).expect("JSON");
        let members = |value: &Value| value.as_object().map(|map| map.keys().cloned().collect::<Vec<_>>()).unwrap_or_default();
        assert_eq!(members(&all), ["type", "features"]);
        let features = all["features"].as_array().expect("a list");
        assert_eq!(features.len(), 3);
        for feature in features {
            assert_eq!(members(feature), ["type", "id", "geometry", "properties"]);
        }
        assert_eq!(members(&features[0]["properties"]), ["name", "kind", "caution"]);
        assert_eq!(features[0]["properties"]["kind"], "electric fence");
        assert!(!String::from_utf8_lossy(&text).contains("growers"));
    }

    #[test]
    fn a_paddock_is_an_area_with_right_handed_rings_and_closed_ones() {
        let all: Value = serde_json::from_slice(&geojson(&plan(), &Outcome::default())).expect("JSON");
        let paddock = &all["features"][2];
        assert_eq!(paddock["geometry"]["type"], "Polygon");
        let rings: Vec<Vec<[f64; 2]>> = serde_json::from_value(paddock["geometry"]["coordinates"].clone()).expect("rings");
        assert_eq!(rings.iter().map(Vec::len).collect::<Vec<_>>(), [5, 4]);
        for (index, ring) in rings.iter().enumerate() {
            assert_eq!(ring.first(), ring.last());
            let turned: f64 = ring.windows(2).map(|pair| pair[0][0] * pair[1][1] - pair[1][0] * pair[0][1]).sum();
            assert_eq!(turned > 0.0, index == 0);
        }
        // 0.001 by 0.001 degree at 56.6 north (61.5 m by 111.4 m on WGS 84), less the island's fiftieth.
        let area_m2 = paddock["properties"]["area_m2"].as_f64().expect("a number");
        assert!((area_m2 - 61.46 * 111.36 * 0.98).abs() < 20.0, "{area_m2}");
        assert!(ring_area(&[]).as_square_metres().abs() < 1e-12);
    }

    #[test]
    fn coordinates_carry_seven_decimals() {
        assert_eq!(lon_lat(Position { lon_e9: -3_812_345_678, lat_e9: 56_601_234_449 }).to_string(), "[-3.8123457,56.6012344]");
        assert_eq!(lon_lat(Position { lon_e9: 180_000_000_000, lat_e9: 1 }).to_string(), "[180,0]");
    }
}
