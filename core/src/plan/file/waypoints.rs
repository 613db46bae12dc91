//! The waypoints of a GPX file, with their times: what a phone wrote on a round.

use super::as_utf8;
use super::trouble::PlanError;
use super::walked::parse_xml;
use crate::bounds::ENTRIES;
use crate::land::Position;
use roxmltree::Node;

/// One waypoint.
#[derive(Clone, Debug, PartialEq)]
pub struct Waypoint {
    /// Which one of the file it is, from 1: many files are one long line.
    pub number: usize,
    /// Where it lies.
    pub at: Position,
    /// What it is called.
    pub name: Option<String>,
    /// What else is said about it.
    pub note: Option<String>,
    /// When it was made, as written.
    pub time: Option<String>,
}

/// A waypoint whose place cannot be used: which one of the file it is, what was found, what is allowed.
pub type BadWaypoint = (usize, String, String);

/// Reads the waypoints of a GPX file, one by one: one that is broken does not keep the others from being read.
///
/// # Errors
/// [`PlanError`] with the line for text that is not XML, or has another root.
pub fn read_waypoints(name: &str, text: &[u8]) -> Result<Vec<Result<Waypoint, BadWaypoint>>, PlanError> {
    let text = as_utf8(name, text)?;
    let document = parse_xml(name, text)?;
    let root = document.root_element();
    let line_of = |node: Node<'_, '_>| document.text_pos_at(node.range().start).row as usize;
    if root.tag_name().name() != "gpx" {
        return Err(PlanError::in_line(name, line_of(root), &format!("<{}>", root.tag_name().name()), "<gpx>"));
    }
    let points = root.children().filter(|node| node.is_element() && node.tag_name().name() == "wpt");
    let count = points.clone().count();
    if count > ENTRIES {
        return Err(PlanError::in_line(name, line_of(root), &format!("{count} waypoints"), &format!("{ENTRIES} at most")));
    }
    Ok(points.zip(1..).map(|(point, number)| waypoint(point, number)).collect())
}

fn waypoint(point: Node<'_, '_>, number: usize) -> Result<Waypoint, BadWaypoint> {
    let degrees = |key: &str, most: f64| {
        let written = point.attribute(key).unwrap_or_default();
        let number_of = written.trim().parse::<f64>().ok().filter(|degrees| degrees.abs() <= most);
        let found = written.chars().take(40).collect::<String>();
        number_of.ok_or_else(|| (number, format!("{key}={found:?}"), format!("{key} from -{most} to {most} degrees")))
    };
    let at = Position::from_degrees(degrees("lon", 180.0)?, degrees("lat", 90.0)?);
    let text = |tag: &str| {
        let node = point.children().find(|node| node.is_element() && node.tag_name().name() == tag)?;
        Some(node.text()?.trim().to_owned()).filter(|text| !text.is_empty())
    };
    let note = text("desc").or_else(|| text("cmt"));
    Ok(Waypoint { number, at, name: text("name"), note, time: text("time") })
}
