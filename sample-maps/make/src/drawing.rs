//! A plan drawn in metres on the sheet, and its text as a plan file.

use crate::shape::Place;
use hillwire_core::plan::{Opened, read_plan, write_plan};
use proj::Proj;

/// Where a sheet lies: its south-west corner in a UTM zone of WGS 84.
pub struct Corner {
    /// Zone, 1 to 60.
    pub zone: u8,
    /// EPSG code of the zone.
    pub epsg: u16,
    /// Easting.
    pub east_m: f64,
    /// Northing.
    pub north_m: f64,
}

/// One drawn thing.
pub struct Drawn {
    /// Its id in the plan.
    pub id: &'static str,
    /// Its shape on the sheet.
    pub shape: Shape,
    /// Its properties as JSON, `kind` first, without braces.
    pub properties: String,
}

/// What a drawn thing looks like.
pub enum Shape {
    /// A place.
    Point(Place),
    /// A line.
    Line(Vec<Place>),
    /// An area by its corners, anticlockwise, not closed.
    Area(Vec<Place>),
}

/// A point with its properties.
pub fn point(id: &'static str, at: Place, properties: &str) -> Drawn {
    Drawn { id, shape: Shape::Point(at), properties: properties.to_owned() }
}

/// A line with its properties.
pub fn line(id: &'static str, places: &[Place], properties: &str) -> Drawn {
    Drawn { id, shape: Shape::Line(places.to_vec()), properties: properties.to_owned() }
}

/// An area with its properties.
pub fn area(id: &'static str, corners: &[Place], properties: &str) -> Drawn {
    Drawn { id, shape: Shape::Area(corners.to_vec()), properties: properties.to_owned() }
}

/// The text of the plan file, as the program itself would write it.
pub fn plan_text(head: &str, drawn: &[Drawn], corner: &Corner) -> Vec<u8> {
    let utm = Proj::new(&format!("+proj=utm +zone={} +datum=WGS84", corner.zone)).expect("a UTM zone is known to PROJ");
    let position = |place: &Place| {
        let (lon, lat) =
            utm.project((corner.east_m + place.0, corner.north_m + place.1), true).expect("the sheet lies in its zone");
        let degrees = |radians: f64| (radians.to_degrees() * 1e9).round() / 1e9;
        format!("[{},{}]", degrees(lon), degrees(lat))
    };
    let list = |places: &[Place]| places.iter().map(position).collect::<Vec<_>>().join(",");
    let features: Vec<String> = drawn
        .iter()
        .map(|Drawn { id, shape, properties }| {
            let geometry = match shape {
                Shape::Point(at) => format!(r#"{{"type":"Point","coordinates":{}}}"#, position(at)),
                Shape::Line(places) => format!(r#"{{"type":"LineString","coordinates":[{}]}}"#, list(places)),
                Shape::Area(corners) => {
                    format!(r#"{{"type":"Polygon","coordinates":[[{},{}]]}}"#, list(corners), position(&corners[0]))
                }
            };
            format!(r#"{{"type":"Feature","id":"{id}","geometry":{geometry},"properties":{{{properties}}}}}"#)
        })
        .collect();
    let text = format!(r#"{{"type":"FeatureCollection","hillwire":{head},"features":[{}]}}"#, features.join(","));
    match read_plan("the sample", text.as_bytes()) {
        Ok(Opened::Plan(plan, notes)) if notes.is_empty() => write_plan(&plan),
        other => panic!("the sample is a plan without a doubt: {other:?}"),
    }
}
