//! The plan file: GeoJSON text to plan, plan to GeoJSON text.
//!
//! What [`write_plan`] writes is canonical: a fixed order of keys, one feature per line, the fewest digits. Reading and
//! writing a canonical file gives the same bytes. A file that somebody wrote by hand means the same after reading and
//! writing, but may look different: a caller keeps the bytes it opened for as long as the plan is not changed. Numbers that
//! are only kept keep all their digits; their exponents are written with a sign.

mod amounts;
mod before;
mod feature;
mod form;
mod head;
mod import;
mod layouts;
mod node;
mod number;
mod properties;
mod record;
mod shape;
mod taken;
#[cfg(test)]
mod tests;
mod trouble;
mod walked;
mod waypoints;
mod xml_trouble;

pub(super) use properties::own_names;
pub use record::Stamp;
pub(super) use record::{Entry, Record, read_entry, write_entry};
pub use taken::{THINNED_TO_M, kinds_to_take, word_to_take};
pub use trouble::{PlanError, PlanNote};
pub use walked::{looks_like_xml, read_walked};
pub use waypoints::{BadWaypoint, Waypoint, read_waypoints};

use super::feature::FreshIds;
use super::{Beyond, Feature, FeatureId, Geometry, Head, Kind, PLAN_VERSION, Plan};
use crate::bounds::{beginning, shown};
use feature::{expect_type, read_feature, take_id, write_feature};
use node::{Members, Node};
use serde_json::Value;
use std::collections::HashMap;
use std::sync::Arc;
use trouble::{Trouble, not_json};

/// What a GeoJSON text turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Opened {
    /// A plan, and what is worth saying about it.
    Plan(Plan, Vec<PlanNote>),
    /// Features without a kind, from a GeoJSON file that is not a plan: somebody has to say what they are.
    Import(Vec<Feature>, Vec<PlanNote>),
}

/// Reads a plan, or any other GeoJSON text as an import. Takes a byte order mark, any line ends and any order of keys.
///
/// # Errors
/// [`PlanError`] with the line, the feature, the property, what was found and what is allowed.
pub fn read_plan(name: &str, text: &[u8]) -> Result<Opened, PlanError> {
    let text = as_utf8(name, text)?;
    let breaks: Vec<usize> = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at).collect();
    let reader = Reader { name, text, breaks: &breaks };
    let root = Node::of_text(text).map_err(|error| reader.syntax(&error))?;
    let mut members = root.members().map_err(|trouble| reader.error(trouble, None))?;
    check_crs(&mut members).map_err(|trouble| reader.error(trouble, None))?;
    match members.take("hillwire") {
        Some(head) => reader.plan(head, members),
        None => reader.import(root, members),
    }
}

/// The plan as canonical text, ending in a line end.
pub fn write_plan(plan: &Plan) -> Vec<u8> {
    let mut text = String::from("{\"type\":\"FeatureCollection\",\n \"hillwire\":");
    text.push_str(&head::write_head(&plan.head));
    text.push_str(",\n \"features\":[");
    for (index, feature) in plan.features.iter().enumerate() {
        text.push_str(if index == 0 { "\n" } else { ",\n" });
        text.push_str(&write_feature(feature));
    }
    text.push_str("\n]");
    for (key, value) in &plan.foreign {
        text.push_str(&format!(",\n {}:{value}", Value::from(key.as_str())));
    }
    text.push_str("}\n");
    text.into_bytes()
}

/// Why a value cannot stand in a plan file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{property}: {found} cannot stand in a plan; allowed is {allowed}")]
pub struct NotAllowed {
    /// The property, with those around it.
    pub property: String,
    /// The value.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
}

impl From<Trouble> for NotAllowed {
    fn from(trouble: Trouble) -> Self {
        let property = trouble.property().unwrap_or_default();
        Self { property, found: trouble.found, allowed: trouble.allowed.into_owned() }
    }
}

/// Not even JSON: a number that is none.
fn no_number(text: &str) -> NotAllowed {
    NotAllowed { property: String::new(), found: text.to_owned(), allowed: "a number".to_owned() }
}

/// The feature as it comes back from a file: the outer ring anticlockwise, nothing that would be read otherwise.
///
/// # Errors
/// [`NotAllowed`] for a value that reading refuses.
pub(super) fn as_in_file(feature: &Feature) -> Result<Feature, NotAllowed> {
    let text = write_feature(feature);
    let node = Node::of_text(&text).map_err(|_| no_number(&text))?;
    Ok(read_standing_feature(node)?)
}

/// A feature that has an id.
fn read_standing_feature(node: Node<'_>) -> Result<Feature, Trouble> {
    let mut members = node.members()?;
    match take_id(&mut members)? {
        Some(id) => read_feature(members, id),
        None => Err(members.missing("id", "text in quotes or a number")),
    }
}

/// The head as it comes back from a file.
///
/// # Errors
/// [`NotAllowed`] for a value that reading refuses.
pub(super) fn head_as_in_file(head: &Head) -> Result<Head, NotAllowed> {
    let text = head::write_head(head);
    let node = Node::of_text(&text).map_err(|_| no_number(&text))?;
    Ok(head::read_head(node)?)
}

/// The text without its byte order mark.
fn as_utf8<'a>(name: &str, bytes: &'a [u8]) -> Result<&'a str, PlanError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = &bytes[..error.valid_up_to()];
        let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
        PlanError::in_line(name, line, &format!("byte 0x{:02x}, which is not UTF-8", bytes[good.len()]), "UTF-8 text")
    })
}

/// GeoJSON of before 2016 could name a coordinate system; only the one that RFC 7946 fixes is read.
fn check_crs(members: &mut Members<'_>) -> Result<(), Trouble> {
    let Some((_, node)) = members.list.iter().find(|(key, node)| key == "crs" && !node.is_null()) else {
        return Ok(());
    };
    let said = node.value().map_err(|trouble| trouble.under("crs"))?.to_string();
    if ["CRS84", "EPSG::4326", "EPSG:4326", "OGC:1.3:CRS84"].iter().any(|known| said.contains(known)) {
        return Ok(());
    }
    Err(node.trouble("WGS 84 longitude and latitude (RFC 7946 section 4), and so no crs").under("crs"))
}

/// Knows the file while it is read.
#[derive(Clone, Copy)]
struct Reader<'a> {
    name: &'a str,
    text: &'a str,
    /// Offsets of its line ends.
    breaks: &'a [usize],
}

impl<'a> Reader<'a> {
    fn line_at(self, address: usize) -> usize {
        let offset = address.saturating_sub(self.text.as_ptr() as usize);
        1 + self.breaks.partition_point(|line_end| *line_end < offset)
    }

    fn syntax(self, error: &serde_json::Error) -> PlanError {
        let line = error.line().max(1);
        let begins = self.text.trim_start();
        let found = match begins.chars().next() {
            // Not even the beginning of what a plan is: the line alone would say little.
            Some(first) if !"{[\"-0123456789tfn".contains(first) => {
                let allowed = "a plan: GeoJSON, which begins with {";
                let found = format!("text that begins with {:?}", shown(begins.lines().next().unwrap_or_default()));
                return PlanError::in_line(self.name, self.line_at(begins.as_ptr() as usize), &found, allowed);
            }
            _ => format!("{} at column {}", not_json(error, self.text), error.column()),
        };
        PlanError::in_line(self.name, line, &found, "JSON as of RFC 8259")
    }

    fn error(self, trouble: Trouble, feature: Option<String>) -> PlanError {
        PlanError {
            file: self.name.into(),
            line: self.line_at(trouble.address),
            feature: feature.map(|id| beginning(&id).into()),
            property: trouble.property().map(|property| beginning(&property).into()),
            found: beginning(&trouble.found).into(),
            allowed: trouble.allowed.into(),
            newer_version: None,
        }
    }

    fn plan(self, head: Node<'a>, mut members: Members<'a>) -> Result<Opened, PlanError> {
        let own = |trouble: Trouble| self.error(trouble, None);
        let version = head::read_version(head).map_err(|trouble| own(trouble.under("hillwire")))?;
        let newer_version = (version > PLAN_VERSION).then_some(version);
        let read = || {
            expect_type(&mut members, "FeatureCollection").map_err(own)?;
            let mut head = head::read_head(head).map_err(|trouble| own(trouble.under("hillwire")))?;
            let changed = before::taken_over(&mut head);
            let list = members.take("features").ok_or_else(|| members.missing("features", "a list of features")).map_err(own)?;
            let nodes = list.elements().map_err(|trouble| own(trouble.under("features")))?;
            let lines: Vec<usize> = nodes.iter().map(|node| self.line_at(node.address())).collect();
            let (features, mut notes) = self.features(nodes)?;
            notes.extend(changed);
            let foreign = members.rest().map_err(own)?;
            let plan = Plan { head: Arc::new(head), features, foreign };
            match plan.beyond() {
                Some(beyond) => Err(self.beyond(&plan, &beyond, &lines)),
                None => Ok((plan, notes)),
            }
        };
        let (plan, given) = read().map_err(|error| PlanError { newer_version, ..error })?;
        let mut notes: Vec<_> =
            newer_version.map(|found| PlanNote::NewerVersion { found, known: PLAN_VERSION }).into_iter().collect();
        notes.extend(given);
        notes.extend(notes_about(&plan));
        Ok(Opened::Plan(plan, notes))
    }

    /// `lines` are those where features begin.
    fn beyond(self, plan: &Plan, beyond: &Beyond, lines: &[usize]) -> PlanError {
        let index = plan.features.iter().position(|feature| Some(&feature.id) == beyond.feature.as_ref());
        let is_drawn = !beyond.property.starts_with("hillwire");
        PlanError {
            file: self.name.into(),
            line: index.filter(|_| is_drawn).map_or(1, |index| lines[index]),
            feature: beyond.feature.as_ref().map(|id| id.as_str().into()),
            property: Some(beyond.property.as_str().into()),
            found: beyond.found.as_str().into(),
            allowed: beyond.allowed.as_str().into(),
            newer_version: None,
        }
    }

    fn features(self, nodes: Vec<Node<'a>>) -> Result<(Vec<Arc<Feature>>, Vec<PlanNote>), PlanError> {
        let mut parts = Vec::new();
        // By id, the line and the number of the feature that has it.
        let mut ids: HashMap<FeatureId, (usize, usize)> = HashMap::new();
        for (index, node) in nodes.into_iter().enumerate() {
            let number = format!("#{}", index + 1);
            let own = |trouble: Trouble| self.error(trouble, Some(number.clone()));
            let mut members = node.members().map_err(own)?;
            let line = self.line_at(node.address());
            let id = take_id(&mut members).map_err(own)?;
            if let Some((first, before)) = id.as_ref().and_then(|id| ids.insert(id.clone(), (line, index + 1))) {
                let id = id.as_ref().map(ToString::to_string).unwrap_or_default();
                // Where a file is one line, its number tells nothing.
                let other = if first == line { format!("#{before}") } else { format!("of line {first}") };
                let twice = node.trouble_found(format!("an id that the feature {other} has"), "an id of its own");
                return Err(self.error(twice.under("id"), Some(id)));
            }
            parts.push((node, members, id));
        }
        let mut notes = Vec::new();
        let mut fresh = FreshIds::new("feature");
        let mut features = Vec::with_capacity(parts.len());
        for (node, members, id) in parts {
            let given = id.is_none();
            let id = id.unwrap_or_else(|| fresh.next(|id| ids.contains_key(id)));
            let line = self.line_at(node.address());
            if given {
                ids.insert(id.clone(), (line, features.len() + 1));
                notes.push(PlanNote::GivenId { feature: id.clone(), line });
            }
            let shown = if given { format!("#{}", features.len() + 1) } else { id.to_string() };
            features.push(Arc::new(read_feature(members, id).map_err(|trouble| self.error(trouble, Some(shown)))?));
        }
        Ok((features, notes))
    }
}

/// What is worth saying about the plan itself.
fn notes_about(plan: &Plan) -> Vec<PlanNote> {
    let mut notes: Vec<_> = head::unknown_members(&plan.head)
        .into_iter()
        .chain(plan.foreign.keys().filter(|key| !["bbox", "crs"].contains(&key.as_str())).cloned())
        .map(|member| PlanNote::UnknownMember { feature: None, member })
        .collect();
    for feature in &plan.features {
        notes_about_feature(plan, feature, &mut notes);
    }
    notes
}

fn notes_about_feature(plan: &Plan, feature: &Feature, notes: &mut Vec<PlanNote>) {
    let id = || feature.id.clone();
    match &feature.kind {
        Kind::Other(None) => notes.push(PlanNote::NoKind { feature: id() }),
        Kind::Other(Some(word)) => notes.push(PlanNote::UnknownKind { feature: id(), kind: word.clone() }),
        kind => {
            let word = kind.word().unwrap_or_default();
            let unknown = feature.extra.keys().filter(|property| !properties::is_listed(word, property));
            notes.extend(unknown.map(|property| PlanNote::UnknownProperty { feature: id(), property: property.clone() }));
        }
    }
    if let Kind::Fence(fence) = &feature.kind
        && plan.build(&fence.build).is_none()
    {
        notes.push(PlanNote::NoSuchBuild { feature: id(), build: fence.build.clone() });
    }
    let members = feature.foreign.keys().cloned().chain(feature.geometry_foreign.keys().map(|key| format!("geometry.{key}")));
    let unknown = members.filter(|member| member != "bbox" && member != "geometry.bbox");
    notes.extend(unknown.map(|member| PlanNote::UnknownMember { feature: Some(id()), member }));
    if !feature.heights.is_empty() {
        notes.push(PlanNote::Heights { feature: id() });
    }
    match &feature.geometry {
        Geometry::Other(_) => notes.push(PlanNote::UnknownGeometry { feature: id() }),
        Geometry::Line(corners) => {
            let same = corners.windows(2).position(|pair| pair[0] == pair[1]);
            notes.extend(same.map(|index| PlanNote::SamePlace { feature: id(), corner: index + 1 }));
        }
        _ => {}
    }
}
