//! What the ground only suggests becomes known: the keeper went there, and says that it is wet, or that a bar met rock.

use crate::command::Command;
use crate::fields::small_button;
use crate::perform_draft::{fresh_id, fresh_name};
use crate::session::{Selection, Session};
use crate::tools::{PROBED_M, Point};
use crate::words;
use egui::Ui;
use hillwire_core::finding::{Finding, LayRemedy, Remedy};
use hillwire_core::hold::Sample;
use hillwire_core::land::MapPoint;
use hillwire_core::plan::{Edit, Feature, Geometry, Gesture, Kind, Zone};

/// How far to each side of the line the ground is taken for known, metres (`common-practice`).
const HALF_WIDTH_M: f64 = 5.0;

/// The zone that a remedy asks to be drawn, and what its button says.
fn zone_for(remedy: &Remedy) -> Option<(Zone, &'static str)> {
    match remedy {
        Remedy::Lay(LayRemedy::DrawWet) => Some((Zone { of: "wet".to_owned(), value: None }, "It is wet here")),
        Remedy::Lay(LayRemedy::ProbeRock) => {
            Some((Zone { of: "rock".to_owned(), value: Some(PROBED_M.into()) }, "A bar met rock here"))
        }
        _ => None,
    }
}

/// A button for what was seen there, where the finding is a guess.
pub fn button(ui: &mut Ui, index: usize, remedy: &Remedy, commands: &mut Vec<Command>) {
    let Some((zone, text)) = zone_for(remedy) else { return };
    let tip =
        "Draws a zone 5 m to each side along this stretch, in one step; its card says how deep, and its corners can be dragged";
    if small_button(ui, text, &format!("{text}: {}", words::zone(&zone.of)), tip) {
        commands.push(Command::Confirm(index, remedy.clone()));
    }
}

impl Session {
    /// Draws the zone that a finding guesses at.
    pub(crate) fn confirm(&mut self, index: usize, remedy: &Remedy) {
        let Some((zone, _)) = zone_for(remedy) else { return };
        let Some(ring) = self.outcome.findings.get(index).and_then(|finding| self.ground_of(finding)) else { return };
        let kind = Kind::Zone(zone);
        let id = fresh_id(self.plan(), &kind);
        let name = Some(fresh_name(&id, words::kind(&kind)));
        let ring = ring.into_iter().map(|corner| self.position(corner)).collect();
        let gesture = Gesture::Drew { kind: kind.word().unwrap_or_default().to_owned() };
        let feature = Feature { name, ..Feature::new(id.clone(), kind, Geometry::Area(vec![ring])) };
        self.change(gesture, &[Edit::Add(Box::new(feature))]);
        self.selection = Selection::of(id);
    }

    /// The ground along the stretch of a finding; a disc where it is a place.
    fn ground_of(&self, finding: &Finding) -> Option<Vec<MapPoint>> {
        let place = &finding.place;
        let line = self.outcome.lines.iter().find(|line| Some(&line.id) == place.line.as_ref());
        let stretch = line.zip(place.station).zip(place.until).map(|((line, from), until)| {
            let within = |sample: &&Sample| (from.as_metres()..=until.as_metres()).contains(&sample.station_m);
            line.section.samples.iter().filter(within).map(|sample| sample.at).collect::<Vec<MapPoint>>()
        });
        let at = self.frame.to_map(place.at).ok()?;
        stretch.and_then(|along| strip(&along, HALF_WIDTH_M)).or_else(|| Point::Probe.outline(at))
    }
}

/// The ring around a way, so far to each side; `None` for a way without a length.
fn strip(along: &[MapPoint], half_m: f64) -> Option<Vec<MapPoint>> {
    let mut way: Vec<MapPoint> = Vec::new();
    for at in along {
        // Points every few metres are enough for the edge of a zone.
        if way.last().is_none_or(|last| last.distance_m(*at) >= half_m) {
            way.push(*at);
        }
    }
    let last = *along.last()?;
    if way.len() > 1 && way.last() != Some(&last) {
        way.push(last);
    }
    if way.len() < 2 {
        return None;
    }
    let side = |k: usize, sign: f64| {
        let (from, to) = (way[k.saturating_sub(1)], way[(k + 1).min(way.len() - 1)]);
        let length_m = from.distance_m(to).max(f64::MIN_POSITIVE);
        let (x, y) = ((to.x_m - from.x_m) / length_m, (to.y_m - from.y_m) / length_m);
        MapPoint::new(way[k].x_m - sign * half_m * y, way[k].y_m + sign * half_m * x)
    };
    let right = (0..way.len()).map(|k| side(k, -1.0));
    let left = (0..way.len()).rev().map(|k| side(k, 1.0));
    let mut ring: Vec<MapPoint> = right.chain(left).collect();
    ring.push(ring[0]);
    Some(ring)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::plan::ring_area;

    #[test]
    fn a_strip_lies_as_far_to_each_side_all_along() {
        let along: Vec<MapPoint> = (0..=40).map(|x| MapPoint::new(f64::from(x), 0.0)).collect();
        let ring = strip(&along, 5.0).expect("it has a length");
        assert_eq!(ring.first(), ring.last());
        assert!((ring_area(&ring).as_square_metres() - 400.0).abs() < 1e-9);
        assert!(ring.iter().all(|corner| (corner.y_m.abs() - 5.0).abs() < 1e-9));
        assert_eq!(strip(&along[..3], 5.0), None, "too short for a strip");
    }
}
