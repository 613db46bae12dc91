//! One entry of a journal, in the plan file's own form: one line of JSON, which carries a checksum of itself.

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

/// What an entry says of itself beside what changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stamp {
    /// Its number in the journal: a gap shows by it.
    pub number: u64,
    /// When the first change that is not in the plan file was made, milliseconds since 1970.
    pub since_ms: i64,
    /// When the last one was.
    pub at_ms: i64,
    /// How many changes are not in the plan file.
    pub changes: u64,
    /// The plan file; `None` for a plan that is kept nowhere.
    pub of: Option<String>,
}

/// One entry as it was read.
pub(in crate::plan) struct Entry {
    /// What it says of itself; `None` in the first form of the journal, which had no such thing.
    pub stamp: Option<Stamp>,
    /// Whether it holds the whole plan, and builds on nothing.
    pub is_whole: bool,
    /// What changed.
    pub record: Record,
}

/// How an entry begins; eight digits and [`AFTER_SUM`] follow.
const SUM: &str = "{\"sum\":\"";
const AFTER_SUM: &str = "\",";

/// One line of JSON without its line end. The checksum is the CRC-32 of what follows it.
pub(in crate::plan) fn write_entry(entry: &Entry) -> String {
    let stamp = entry.stamp.clone().unwrap_or_default();
    let Stamp { number, since_ms, at_ms, changes, of } = stamp;
    let of = of.map_or_else(String::new, |of| format!(",\"of\":{}", Value::from(of)));
    let whole = if entry.is_whole { ",\"whole\":true" } else { "" };
    let record = write_record(&entry.record);
    let members = if record.is_empty() { record } else { format!(",{record}") };
    let rest = format!("\"number\":{number},\"since\":{since_ms},\"at\":{at_ms},\"changes\":{changes}{of}{whole}{members}}}");
    format!("{SUM}{:08x}{AFTER_SUM}{rest}", crc32fast::hash(rest.as_bytes()))
}

fn write_record(record: &Record) -> String {
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
    members.join(",")
}

/// Reads one line; `None` for one that is torn, whose checksum is another, or that is not an entry.
pub(in crate::plan) fn read_entry(line: &str) -> Option<Entry> {
    let summed = line.strip_prefix(SUM).map(|rest| rest.split_once(AFTER_SUM));
    if let Some(summed) = summed {
        let (sum, rest) = summed?;
        if u32::from_str_radix(sum, 16).ok()? != crc32fast::hash(rest.as_bytes()) {
            return None;
        }
    }
    let mut members = Node::of_text(line).ok()?.members().ok()?;
    members.take("sum");
    parse(members, summed.is_some()).ok()
}

fn parse(mut members: Members<'_>, is_stamped: bool) -> Result<Entry, Trouble> {
    let mut record = Record::default();
    let mut stamp = Stamp::default();
    if is_stamped {
        for (key, value) in [("number", &mut stamp.number), ("changes", &mut stamp.changes)] {
            *value = members.take(key).map_or(Ok(0.0), Node::number)? as u64;
        }
        for (key, value) in [("since", &mut stamp.since_ms), ("at", &mut stamp.at_ms)] {
            *value = members.take(key).map_or(Ok(0.0), Node::number)? as i64;
        }
        stamp.of = members.take("of").map(Node::text).transpose()?;
    }
    let is_whole = is_stamped && members.take("whole").map_or(Ok(false), Node::flag)?;
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
        None => Ok(Entry { stamp: is_stamped.then_some(stamp), is_whole, record }),
    }
}

fn read_ids(node: Node<'_>) -> Result<Vec<FeatureId>, Trouble> {
    node.elements()?.into_iter().map(read_id).collect()
}
