//! One drawn thing: an id, a geometry, a kind with its own properties, and whatever else its file said.

use super::kinds::Kind;
use crate::land::Position;
use serde_json::{Map, Value};
use std::fmt;
use std::sync::Arc;

/// Names a feature within its plan.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FeatureId(Arc<str>);

impl FeatureId {
    /// An id with this text.
    pub fn new(text: &str) -> Self {
        Self(Arc::from(text))
    }
    /// Its text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FeatureId {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str(&self.0)
    }
}

/// Where a feature lies, on WGS 84.
#[derive(Clone, Debug, PartialEq)]
pub enum Geometry {
    /// One place.
    Point(Position),
    /// Corners of a line, in order; two at least. Closed when the first and last are equal.
    Line(Vec<Position>),
    /// Rings of an area, the outer one first, each closed (first = last), outer anticlockwise (RFC 7946).
    Area(Vec<Vec<Position>>),
    /// Anything else that a GeoJSON file may hold, kept as it came.
    Other(Value),
}

/// One drawn thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// Names it within the plan.
    pub id: FeatureId,
    /// What the keeper calls it.
    pub name: Option<String>,
    /// What the keeper noted about it.
    pub note: Option<String>,
    /// Where it lies.
    pub geometry: Geometry,
    /// What it is, with the properties of its kind.
    pub kind: Kind,
    /// Properties that are not of its kind, kept as they came.
    pub extra: Map<String, Value>,
    /// Members of the GeoJSON feature that are not of the standard, kept as they came.
    pub foreign: Map<String, Value>,
}

impl Feature {
    /// The corners, when it is a line.
    pub fn line(&self) -> Option<&[Position]> {
        match &self.geometry {
            Geometry::Line(corners) => Some(corners),
            _ => None,
        }
    }
    /// The place, when it is a point.
    pub fn point(&self) -> Option<Position> {
        match &self.geometry {
            Geometry::Point(at) => Some(*at),
            _ => None,
        }
    }
    /// Its name, or its id when it has none.
    pub fn label(&self) -> &str {
        self.name.as_deref().unwrap_or(self.id.as_str())
    }
}
