//! Plain GeoJSON as an import: points, lines and polygons without a kind.

use super::super::feature::{Feature, FeatureId, FreshIds};
use super::super::kinds::Kind;
use super::feature::{expect_type, take_id};
use super::node::{Members, Node};
use super::shape::{Shape, read_coordinates, read_shape, take_coordinates, type_of};
use super::trouble::{PlanError, PlanNote, Trouble};
use super::{Opened, Reader};
use serde_json::{Map, Value};
use std::collections::HashSet;

const ROOTS: &str = "FeatureCollection, Feature or a GeoJSON geometry";

/// What one feature of an import is made of, until it has its id.
struct Piece {
    id: Option<FeatureId>,
    properties: Map<String, Value>,
    foreign: Map<String, Value>,
    geometry: Vec<Shape>,
}

impl<'a> Reader<'a> {
    /// Reads any GeoJSON that is not a plan.
    pub(super) fn import(self, root: Node<'a>, mut members: Members<'a>) -> Result<Opened, PlanError> {
        let own = |trouble: Trouble| self.error(trouble, None);
        let Some(kind) = members.take("type") else {
            return Err(own(members.missing("type", ROOTS)));
        };
        let word = kind.text().map_err(|_| own(kind.trouble(ROOTS).under("type")))?;
        let pieces = match word.as_str() {
            "FeatureCollection" => {
                let list = members.take("features").ok_or_else(|| own(members.missing("features", "a list of features")))?;
                let nodes = list.elements().map_err(|trouble| own(trouble.under("features")))?;
                let read = |(index, node): (usize, Node<'a>)| {
                    read_piece(node).map_err(|trouble| self.error(trouble, Some(format!("#{}", index + 1))))
                };
                nodes.into_iter().enumerate().map(read).collect::<Result<Vec<_>, _>>()?
            }
            "Feature" => vec![read_piece(root).map_err(own)?],
            "Point" | "LineString" | "Polygon" | "MultiPoint" | "MultiLineString" | "MultiPolygon" | "GeometryCollection" => {
                let geometry = parts(root, 0).map_err(own)?;
                vec![Piece { id: None, properties: Map::new(), foreign: Map::new(), geometry }]
            }
            _ => return Err(own(kind.trouble(ROOTS).under("type"))),
        };
        let (features, notes) = with_ids(pieces);
        Ok(Opened::Import(features, notes))
    }
}

fn read_piece(node: Node<'_>) -> Result<Piece, Trouble> {
    let mut members = node.members()?;
    expect_type(&mut members, "Feature")?;
    let id = take_id(&mut members)?;
    let geometry = match members.take("geometry") {
        Some(geometry) => parts(geometry, 0).map_err(|trouble| trouble.under("geometry"))?,
        None => Vec::new(),
    };
    let properties = match members.take("properties") {
        Some(properties) => {
            let members = properties.members().map_err(|trouble| trouble.under("properties"))?;
            members.rest().map_err(|trouble| trouble.under("properties"))?
        }
        None => Map::new(),
    };
    Ok(Piece { id, properties, foreign: members.rest()?, geometry })
}

/// A geometry as points, lines and polygons: what has several parts is taken apart.
fn parts(node: Node<'_>, depth: usize) -> Result<Vec<Shape>, Trouble> {
    let word = type_of(node)?.unwrap_or_default();
    let mut members = node.members()?;
    let single = match word.as_str() {
        "Point" | "LineString" | "Polygon" => return Ok(vec![read_shape(node)?]),
        "MultiPoint" => "Point",
        "MultiLineString" => "LineString",
        "MultiPolygon" => "Polygon",
        "GeometryCollection" if depth < super::node::DEEPEST => {
            let list = members.take("geometries").ok_or_else(|| members.missing("geometries", "a list of geometries"))?;
            let mut all = Vec::new();
            for (index, node) in list.elements().map_err(|trouble| trouble.under("geometries"))?.into_iter().enumerate() {
                all.extend(parts(node, depth + 1).map_err(|trouble| trouble.under(format!("geometries[{index}]")))?);
            }
            return Ok(all);
        }
        _ => return Err(node.trouble("a GeoJSON geometry").under("type")),
    };
    let coordinates = take_coordinates(&mut members)?;
    let elements = coordinates.elements().map_err(|trouble| trouble.under("coordinates"))?.into_iter().enumerate();
    let read = |(index, node)| read_coordinates(single, node).map_err(|trouble| trouble.under(format!("coordinates[{index}]")));
    elements.map(read).collect()
}

/// Gives every feature an id of its own.
fn with_ids(pieces: Vec<Piece>) -> (Vec<Feature>, Vec<PlanNote>) {
    let mut taken = HashSet::new();
    let mut features = Vec::new();
    let mut notes = Vec::new();
    let mut fresh = FreshIds::new("import");
    for (index, piece) in pieces.into_iter().enumerate() {
        let shown = piece.id.as_ref().map_or_else(|| format!("#{}", index + 1), ToString::to_string);
        if piece.geometry.len() != 1 {
            notes.push(PlanNote::TakenApart { feature: shown, parts: piece.geometry.len() });
        }
        let name = piece.properties.get("name").and_then(Value::as_str).map(str::to_owned);
        for shape in piece.geometry {
            let own = piece.id.clone().filter(|id| !taken.contains(id));
            let id = own.unwrap_or_else(|| fresh.next(|id| taken.contains(id)));
            taken.insert(id.clone());
            let mut feature = Feature::new(id, Kind::Other(None), shape.geometry);
            feature.name.clone_from(&name);
            feature.extra.clone_from(&piece.properties);
            if name.is_some() {
                feature.extra.shift_remove("name");
            }
            feature.foreign.clone_from(&piece.foreign);
            (feature.heights, feature.geometry_foreign) = (shape.heights, shape.foreign);
            features.push(feature);
        }
    }
    (features, notes)
}
