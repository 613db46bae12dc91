//! One entry of a journal, in the plan file's own form.

use super::super::{Feature, FeatureId, Head};
use super::feature::{read_id, write_feature, write_id};
use super::head::{read_head, write_head};
use super::node::{Members, Node};
use super::read_standing_feature;
use super::trouble::Trouble;
use serde_json::{Map, Value};
use std::sync::Arc;

/// What differs between two plans.
#[derive(Clone, Debug, Default)]
pub(in crate::plan) struct Record {
    /// Changed and new features, in the order of the plan.
    pub changed: Vec<Arc<Feature>>,
    /// Ids of features that are gone.
    pub removed: Vec<FeatureId>,
    /// All ids in order, when the order is not what follows from the rest.
    pub order: Option<Vec<FeatureId>>,
    /// The head, when it changed.
    pub head: Option<Arc<Head>>,
    /// The plan's other members, when they changed.
    pub foreign: Option<Map<String, Value>>,
}

impl Record {
    /// Whether it changes nothing.
    pub fn is_empty(&self) -> bool {
        self.changed.is_empty()
            && self.removed.is_empty()
            && self.order.is_none()
            && self.head.is_none()
            && self.foreign.is_none()
    }
}

/// One line of JSON without its line end.
pub(in crate::plan) fn write_record(record: &Record) -> String {
    let ids = |ids: &[FeatureId]| ids.iter().map(write_id).collect::<Vec<_>>().join(",");
    let mut members = Vec::new();
    if !record.changed.is_empty() {
        let features: Vec<_> = record.changed.iter().map(|feature| write_feature(feature)).collect();
        members.push(format!("\"changed\":[{}]", features.join(",")));
    }
    if !record.removed.is_empty() {
        members.push(format!("\"removed\":[{}]", ids(&record.removed)));
    }
    if let Some(order) = &record.order {
        members.push(format!("\"order\":[{}]", ids(order)));
    }
    if let Some(head) = &record.head {
        // Line ends stand only between members there, never within a text: JSON writes those as \n.
        members.push(format!("\"hillwire\":{}", write_head(head).replace('\n', "")));
    }
    if let Some(foreign) = &record.foreign {
        members.push(format!("\"members\":{}", Value::Object(foreign.clone())));
    }
    format!("{{{}}}", members.join(","))
}

/// Reads one line; `None` for one that is torn or not an entry.
pub(in crate::plan) fn read_record(line: &str) -> Option<Record> {
    let members = Node::of_text(line).ok()?.members().ok()?;
    parse(members).ok()
}

fn parse(mut members: Members<'_>) -> Result<Record, Trouble> {
    let mut record = Record::default();
    if let Some(list) = members.take("changed") {
        for node in list.elements()? {
            record.changed.push(Arc::new(read_standing_feature(node)?));
        }
    }
    if let Some(list) = members.take("removed") {
        record.removed = read_ids(list)?;
    }
    record.order = members.take("order").map(read_ids).transpose()?;
    record.head = members.take("hillwire").map(read_head).transpose()?.map(Arc::new);
    if let Some(node) = members.take("members") {
        record.foreign = Some(node.members()?.rest()?);
    }
    match members.list.first() {
        Some((_, unknown)) => Err(unknown.trouble("changed, removed, order, hillwire or members")),
        None => Ok(record),
    }
}

fn read_ids(node: Node<'_>) -> Result<Vec<FeatureId>, Trouble> {
    node.elements()?.into_iter().map(read_id).collect()
}
