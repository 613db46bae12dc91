//! One drawn thing: an id, a geometry, a kind with its own properties, and whatever else its file said.

use super::kinds::Kind;
use crate::land::Position;
use serde_json::{Map, Number, Value};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::sync::Arc;

/// Names a feature within its plan. Two ids are the same when their texts are: `7` and `"7"` in a file name one feature.
#[derive(Clone, Debug)]
pub struct FeatureId {
    text: Arc<str>,
    numeric: bool,
}

impl FeatureId {
    /// An id with this text.
    pub fn new(text: &str) -> Self {
        Self { text: Arc::from(text), numeric: false }
    }
    /// An id that its file gives as a number (RFC 7946 3.2 allows it) and that is written back as one.
    pub fn from_number(number: &Number) -> Self {
        Self { text: Arc::from(number.to_string()), numeric: true }
    }
    /// Its text.
    pub fn as_str(&self) -> &str {
        &self.text
    }
    /// Whether its file gives it as a number.
    pub fn is_numeric(&self) -> bool {
        self.numeric
    }
}

impl PartialEq for FeatureId {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Eq for FeatureId {}

impl Hash for FeatureId {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.text.hash(state);
    }
}

impl PartialOrd for FeatureId {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for FeatureId {
    fn cmp(&self, other: &Self) -> Ordering {
        self.text.cmp(&other.text)
    }
}

impl fmt::Display for FeatureId {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str(&self.text)
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
    /// Members of the geometry that are not of the standard, kept as they came.
    pub geometry_foreign: Map<String, Value>,
    /// What the file gives beyond longitude and latitude (RFC 7946 3.1.1: first a height), per corner in order of writing;
    /// empty when no corner has any. Kept, not used: heights come from the elevation grid.
    pub heights: Vec<Vec<Number>>,
}

impl Feature {
    /// A feature without a name and without anything else that a file could have said.
    pub fn new(id: FeatureId, kind: Kind, geometry: Geometry) -> Self {
        Self {
            id,
            name: None,
            note: None,
            geometry,
            kind,
            extra: Map::new(),
            foreign: Map::new(),
            geometry_foreign: Map::new(),
            heights: Vec::new(),
        }
    }
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
    /// The place of a point or the corners of a line; nothing for an area.
    pub fn places(&self) -> Vec<Position> {
        match &self.geometry {
            Geometry::Point(at) => vec![*at],
            Geometry::Line(corners) => corners.clone(),
            _ => Vec::new(),
        }
    }
    /// Its name, or its id when it has none.
    pub fn label(&self) -> &str {
        self.name.as_deref().unwrap_or(self.id.as_str())
    }
}

/// Makes up ids: `fence-1`, `fence-2` ...
#[derive(Clone, Debug)]
pub struct FreshIds {
    word: String,
    next: u64,
}

impl FreshIds {
    /// Ids that begin with this word.
    pub fn new(word: &str) -> Self {
        Self { word: word.to_owned(), next: 1 }
    }
    /// The next one that is not taken.
    pub fn next(&mut self, taken: impl Fn(&FeatureId) -> bool) -> FeatureId {
        loop {
            let id = FeatureId::new(&format!("{}-{}", self.word, self.next));
            self.next += 1;
            if !taken(&id) {
                return id;
            }
        }
    }
}
