//! The plan as GeoJSON that any map program opens, with properties that need no glossary.

use super::cleaned::{cleaned, cleaned_value};
use super::recipient::Audience;
use super::shown::{Shown, ShownShape, rounded, shown};
use crate::land::Position;
use crate::outcome::Outcome;
use crate::plan::Plan;
use serde_json::{Map, Value, json};

/// An RFC 7946 FeatureCollection of what somebody may see of the plan, without any foreign member: lines with their length on
/// the ground, strands, height and posts, gates, the energizer, ways, and paddocks as areas. Coordinates carry 7 decimals (1 cm).
pub fn geojson(plan: &Plan, outcome: &Outcome, to: Audience) -> Vec<u8> {
    let lines: Vec<_> = shown(plan, outcome, to).iter().map(|one| feature(one).to_string()).collect();
    format!("{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n", lines.join(",\n")).into_bytes()
}

fn feature(one: &Shown) -> Value {
    let mut properties = Map::new();
    let mut add = |key: &str, value: Value| properties.insert(key.to_owned(), value);
    if let Some(name) = one.name {
        add("name", json!(name));
    }
    add("kind", json!(one.kind));
    for (key, value) in &one.facts {
        add(key, value.clone());
    }
    if let Some(note) = one.note {
        add("note", json!(note));
    }
    if let Some(caution) = one.caution {
        add("caution", json!(caution));
    }
    let properties = cleaned_value(Value::Object(properties));
    json!({"type": "Feature", "id": id(one), "geometry": geometry(&one.shape), "properties": properties})
}

fn id(one: &Shown) -> Value {
    let Some(id) = one.id else { return json!(one.number) };
    let clean = cleaned(id.as_str());
    // An id with signs that nobody sees would still have to be one of its own.
    if clean != id.as_str() {
        return json!(one.number);
    }
    if id.is_numeric() { serde_json::from_str(id.as_str()).unwrap_or_else(|_| json!(id.as_str())) } else { json!(id.as_str()) }
}

/// Longitude and latitude with 7 decimals.
fn lon_lat(at: Position) -> Value {
    let degrees = |e9: i64| rounded(e9 as f64 / 1e9, 7);
    json!([degrees(at.lon_e9), degrees(at.lat_e9)])
}

fn geometry(shape: &ShownShape) -> Value {
    let list = |corners: &[Position]| Value::Array(corners.iter().map(|at| lon_lat(*at)).collect());
    match shape {
        ShownShape::Point(at) => json!({"type": "Point", "coordinates": lon_lat(*at)}),
        ShownShape::Line(corners) => json!({"type": "LineString", "coordinates": list(corners)}),
        ShownShape::Area(rings) => {
            json!({"type": "Polygon", "coordinates": rings.iter().map(|ring| list(ring)).collect::<Vec<_>>()})
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Feature, FeatureId, Fence, Geometry, Head, Kind, ring_area};
    use crate::share::Recipient;

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
        fence.note = Some("costs me a fortune".to_owned());
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
        let text = geojson(&plan(), &Outcome::default(), Recipient::Neighbour.into());
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
        let for_builder = geojson(&plan(), &Outcome::default(), Recipient::Contractor.into());
        assert!(String::from_utf8_lossy(&for_builder).contains("costs me a fortune"), "who builds it reads the notes");
    }

    #[test]
    fn ids_say_nothing_to_who_may_not_read_them_and_stay_when_another_kind_is_drawn() {
        let ids = |plan: &Plan, to: Recipient| {
            let all: Value = serde_json::from_slice(&geojson(plan, &Outcome::default(), to.into())).expect("JSON");
            all["features"].as_array().expect("a list").iter().map(|one| one["id"].to_string()).collect::<Vec<_>>()
        };
        let mut plan = plan();
        let said = ["\"fence-1\"", "\"fence-2\"", "\"paddock-1\""];
        assert_eq!(ids(&plan, Recipient::Neighbour), said);
        assert_eq!(ids(&plan, Recipient::Contractor), ["\"north\"", "\"south\"", "\"p\""]);
        let spring = Feature::new(FeatureId::new("the-hidden-spring"), Kind::Water, Geometry::Point(at(7, 7)));
        plan.features.insert(0, spring.into());
        assert_eq!(ids(&plan, Recipient::Neighbour), said, "water is none of theirs");
        plan.features.push(Feature::new(FeatureId::new("z\u{202e}"), Kind::Water, Geometry::Point(at(8, 8))).into());
        assert_eq!(ids(&plan, Recipient::Keeper).last().map(String::as_str), Some("\"water-2\""));
    }

    #[test]
    fn a_paddock_is_an_area_with_right_handed_rings_and_closed_ones() {
        let all: Value =
            serde_json::from_slice(&geojson(&plan(), &Outcome::default(), Recipient::Neighbour.into())).expect("JSON");
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
