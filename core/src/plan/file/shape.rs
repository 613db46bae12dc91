//! Geometries as they stand in the file.

use super::super::feature::Geometry;
use super::node::{Members, Node};
use super::number::lon_lat;
use super::trouble::Trouble;
use crate::bounds::CORNERS;
use crate::land::Position;
use serde_json::{Map, Number, Value};

const LONGITUDE: &str = "a longitude from -180 to 180 degrees";
const LATITUDE: &str = "a latitude from -90 to 90 degrees";

/// A geometry with what the file says beside it.
#[derive(Debug)]
pub(super) struct Shape {
    pub geometry: Geometry,
    pub heights: Vec<Vec<Number>>,
    pub foreign: Map<String, Value>,
}

/// One corner with whatever follows latitude.
type Corner = (Position, Vec<Number>);

/// The word under `type`, when there is one.
pub(super) fn type_of(node: Node<'_>) -> Result<Option<String>, Trouble> {
    if node.is_null() {
        return Ok(None);
    }
    let mut members = node.members()?;
    match members.take("type") {
        Some(word) => word.text().map(Some).map_err(|trouble| trouble.under("type")),
        None => Err(members.missing("type", "the name of a GeoJSON geometry")),
    }
}

/// Any geometry; what is not a point, line or polygon is kept as it came.
pub(super) fn read_shape(node: Node<'_>) -> Result<Shape, Trouble> {
    let Some(word) = type_of(node)?.filter(|word| ["Point", "LineString", "Polygon"].contains(&word.as_str())) else {
        return Ok(Shape { geometry: Geometry::Other(node.value()?), heights: Vec::new(), foreign: Map::new() });
    };
    let mut members = node.members()?;
    let coordinates = take_coordinates(&mut members)?;
    members.take("type");
    let shape = read_coordinates(&word, coordinates).map_err(|trouble| trouble.under("coordinates"))?;
    Ok(Shape { foreign: members.rest()?, ..shape })
}

/// The coordinates of a point, a line or (any other word) a polygon.
pub(super) fn read_coordinates(word: &str, node: Node<'_>) -> Result<Shape, Trouble> {
    let (geometry, corners) = match word {
        "Point" => read_point(node)?,
        "LineString" => read_line(node)?,
        _ => read_area(node)?,
    };
    let heights = if corners.iter().any(|(_, beyond)| !beyond.is_empty()) {
        corners.into_iter().map(|(_, beyond)| beyond).collect()
    } else {
        Vec::new()
    };
    Ok(Shape { geometry, heights, foreign: Map::new() })
}

/// The `coordinates` of a geometry.
pub(super) fn take_coordinates<'a>(members: &mut Members<'a>) -> Result<Node<'a>, Trouble> {
    members.take("coordinates").ok_or_else(|| members.missing("coordinates", "a list of longitudes and latitudes"))
}

fn read_point(node: Node<'_>) -> Result<(Geometry, Vec<Corner>), Trouble> {
    let corner = read_corner(node)?;
    Ok((Geometry::Point(corner.0), vec![corner]))
}

fn read_line(node: Node<'_>) -> Result<(Geometry, Vec<Corner>), Trouble> {
    let corners = read_corners(node)?;
    if corners.len() < 2 {
        return Err(node.trouble_found(format!("{} corners", corners.len()), "2 corners or more"));
    }
    if corners.iter().all(|(at, _)| *at == corners[0].0) {
        return Err(node.trouble_found("all corners at one place", "2 different corners or more"));
    }
    Ok((Geometry::Line(corners.iter().map(|(at, _)| *at).collect()), corners))
}

fn read_area(node: Node<'_>) -> Result<(Geometry, Vec<Corner>), Trouble> {
    let nodes = node.elements()?;
    if nodes.is_empty() {
        return Err(node.trouble_found("no ring", "1 ring or more"));
    }
    let mut rings = Vec::new();
    let mut all = Vec::new();
    for (index, node) in nodes.into_iter().enumerate() {
        let mut ring = read_ring(node).map_err(|trouble| trouble.under(format!("[{index}]")))?;
        // RFC 7946 3.1.6: the outer ring anticlockwise, holes clockwise; files of the older form may have it otherwise.
        let turned = signed_area(&ring);
        if (index == 0 && turned < 0) || (index > 0 && turned > 0) {
            ring.reverse();
        }
        rings.push(ring.iter().map(|(at, _)| *at).collect());
        all.append(&mut ring);
    }
    Ok((Geometry::Area(rings), all))
}

fn read_ring(node: Node<'_>) -> Result<Vec<Corner>, Trouble> {
    let ring = read_corners(node)?;
    if ring.len() < 4 {
        return Err(
            node.trouble_found(format!("a ring of {} positions", ring.len()), "4 positions or more, the last equal to the first")
        );
    }
    if ring.first().map(|(at, _)| at) != ring.last().map(|(at, _)| at) {
        return Err(node.trouble_found("a ring that does not close", "a last position equal to the first"));
    }
    Ok(ring)
}

/// Twice the area in square billionths of a degree; positive anticlockwise. A ring across the date line is one ring.
fn signed_area(ring: &[Corner]) -> i128 {
    const TURN_E9: i64 = 360_000_000_000;
    let Some((first, _)) = ring.first() else { return 0 };
    let cross = |one: Position, other: Position| {
        let east = |at: Position| i128::from((at.lon_e9 - first.lon_e9 + TURN_E9 / 2).rem_euclid(TURN_E9) - TURN_E9 / 2);
        east(one) * i128::from(other.lat_e9) - east(other) * i128::from(one.lat_e9)
    };
    ring.windows(2).map(|pair| cross(pair[0].0, pair[1].0)).sum()
}

fn read_corners(node: Node<'_>) -> Result<Vec<Corner>, Trouble> {
    let corners = read_all_corners(node)?;
    if corners.len() > CORNERS {
        return Err(node.trouble_found(format!("{} corners", corners.len()), format!("{CORNERS} corners at most")));
    }
    Ok(corners)
}

fn read_all_corners(node: Node<'_>) -> Result<Vec<Corner>, Trouble> {
    // Nearly every list is one of plain pairs: read at once. Whatever is not is read number by number, to say where.
    if let Ok(pairs) = serde_json::from_str::<Vec<[f64; 2]>>(node.as_text())
        && pairs.iter().all(|[lon, lat]| lon.abs() <= 180.0 && lat.abs() <= 90.0)
    {
        return Ok(pairs.into_iter().map(|[lon, lat]| (Position::from_degrees(lon, lat), Vec::new())).collect());
    }
    let nodes = node.elements()?.into_iter().enumerate();
    nodes.map(|(index, node)| read_corner(node).map_err(|trouble| trouble.under(format!("[{index}]")))).collect()
}

fn read_corner(node: Node<'_>) -> Result<Corner, Trouble> {
    let numbers = node.elements().map_err(|_| node.trouble("a position [longitude, latitude]"))?;
    let [lon, lat, beyond @ ..] = numbers.as_slice() else {
        return Err(node.trouble("a position [longitude, latitude]"));
    };
    let within = |index: usize, node: &Node<'_>, limit_deg: f64, allowed: &'static str| match node.number() {
        Ok(degrees) if degrees.abs() <= limit_deg => Ok(degrees),
        _ => Err(node.trouble(allowed).under(format!("[{index}]"))),
    };
    let at = Position::from_degrees(within(0, lon, 180.0, LONGITUDE)?, within(1, lat, 90.0, LATITUDE)?);
    let number =
        |(index, node): (usize, &Node<'_>)| node.exact_number().map_err(|trouble| trouble.under(format!("[{}]", index + 2)));
    let beyond = beyond.iter().enumerate().map(number).collect::<Result<_, _>>()?;
    Ok((at, beyond))
}

/// A geometry as one line of JSON.
pub(super) fn write_shape(geometry: &Geometry, heights: &[Vec<Number>], foreign: &Map<String, Value>) -> String {
    let mut heights = heights.iter();
    let mut position = |at: &Position| {
        let beyond = heights.next().map_or(&[][..], Vec::as_slice);
        let beyond: String = beyond.iter().map(|number| format!(",{number}")).collect();
        format!("[{}{beyond}]", lon_lat(*at))
    };
    let mut list = |positions: &[Position]| format!("[{}]", positions.iter().map(&mut position).collect::<Vec<_>>().join(","));
    let (word, coordinates) = match geometry {
        Geometry::Point(at) => ("Point", list(&[*at])),
        Geometry::Line(corners) => ("LineString", list(corners)),
        Geometry::Area(rings) => ("Polygon", format!("[{}]", rings.iter().map(|ring| list(ring)).collect::<Vec<_>>().join(","))),
        Geometry::Other(value) => return value.to_string(),
    };
    let coordinates = match geometry {
        Geometry::Point(_) => &coordinates[1..coordinates.len() - 1],
        _ => &coordinates,
    };
    let foreign: String = foreign.iter().map(|(key, value)| format!(",{}:{value}", Value::from(key.as_str()))).collect();
    format!("{{\"type\":\"{word}\",\"coordinates\":{coordinates}{foreign}}}")
}
