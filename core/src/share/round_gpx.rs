//! A round for a receiver or phone: its way as a track, its stops as waypoints.

use super::svg::escaped;
use super::xml_maps::lat_lon;
use crate::land::Position;
use std::fmt::Write;

/// A stop with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedStop {
    /// Where.
    pub at: Position,
    /// Its name, short enough for a small screen.
    pub name: String,
    /// What is done there.
    pub says: String,
}

/// GPX 1.1: waypoints in the order of the stops, one track with a segment for each leg. No times: nobody has been there yet.
pub fn round_gpx(title: &str, stops: &[NamedStop], legs: &[Vec<Position>]) -> Vec<u8> {
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Hillwire\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n\
         <metadata><name>{}</name></metadata>\n",
        escaped(title)
    );
    for stop in stops {
        let (name, says) = (escaped(&stop.name), escaped(&stop.says));
        let _ = writeln!(text, "<wpt {}><name>{name}</name><desc>{says}</desc><type>stop</type></wpt>", lat_lon(stop.at));
    }
    let _ = write!(text, "<trk><name>{}</name>", escaped(title));
    for leg in legs {
        let points: String = leg.iter().map(|at| format!("<trkpt {}/>", lat_lon(*at))).collect();
        let _ = write!(text, "<trkseg>{points}</trkseg>");
    }
    text.push_str("</trk>\n</gpx>\n");
    text.into_bytes()
}
