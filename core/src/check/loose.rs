//! Gates, cut-outs, jumpers and entries of the log that stand on no line.

use super::Checked;
use super::surroundings::nearest_m;
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::GATE_WITHIN_M;
use crate::hold::along::distance_m;
use crate::land::{MapPoint, MapRect, Position};
use crate::plan::{ENTRY_REACH_M, Kind};
use crate::source::SourceKey;
use crate::units::Length;
use std::collections::HashSet;

/// Everything that belongs on a line and lies on none.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let carrying = || checked.plan.features.iter().filter(|line| line.kind.carries_strands());
    let ids: HashSet<&str> = carrying().map(|line| line.id.as_str()).collect();
    // There may be thousands of entries of the log: a plain even map of the neighbourhood is good to the centimetre and costs nothing.
    let Some(origin) = checked.plan.features.iter().find_map(|feature| feature.places().first().copied()) else { return Vec::new() };
    let on_map = |at: &Position| Even::of(origin).place(*at);
    let lines: Vec<Nearby> = carrying().filter_map(|line| Nearby::of(line.line()?.iter().map(on_map).collect())).collect();
    let found = checked.plan.features.iter().filter_map(|feature| {
        let (word, within_m) = belongs_on_a_line(&feature.kind)?;
        let named = feature.kind.entry_line().and_then(|of| of.line.as_ref());
        if named.is_some_and(|named| ids.contains(named.as_str())) {
            return None;
        }
        let at = *feature.places().first()?;
        let places: Vec<MapPoint> = feature.places().iter().map(on_map).collect();
        if places.iter().any(|at| lines.iter().any(|line| line.is_within(*at, within_m))) {
            return None;
        }
        let off = lines.iter().flat_map(|line| places.iter().filter_map(|at| nearest_m(*at, &line.points)));
        let off_m = off.min_by(f64::total_cmp);
        Some(Finding {
            rule: Rule::Loose,
            weight: if matches!(feature.kind, Kind::Gate(_)) { Weight::LookAt } else { Weight::Note },
            place: Place { line: None, station: None, until: None, at, cell: None },
            value: off_m.unwrap_or(0.0),
            limit: Some(within_m),
            unit: Unit::Metre,
            reason: Reason::OnNoLine { kind: word.to_owned(), off: off_m.map(Length::metres) },
            remedies: vec![Remedy::OntoLine],
            source: SourceKey::new("common-practice"),
        })
    });
    found.collect()
}

/// A plain even map of a neighbourhood.
struct Even {
    lat_deg: f64,
}

impl Even {
    /// Metres in a degree of latitude.
    const PER_DEGREE_M: f64 = 111_195.0;

    fn of(origin: Position) -> Self {
        Self { lat_deg: origin.lat_deg() }
    }
    fn place(&self, at: Position) -> MapPoint {
        let east_m = at.lon_deg() * Self::PER_DEGREE_M * self.lat_deg.to_radians().cos();
        MapPoint::new(east_m, at.lat_deg() * Self::PER_DEGREE_M)
    }
}

/// A line with the rectangle around it.
struct Nearby {
    points: Vec<MapPoint>,
    around: MapRect,
}

impl Nearby {
    fn of(points: Vec<MapPoint>) -> Option<Self> {
        let around = MapRect::around(points.iter().copied())?;
        Some(Self { points, around })
    }
    fn is_within(&self, at: MapPoint, within_m: f64) -> bool {
        let MapRect { min, max } = self.around;
        let is_beside = at.x_m < min.x_m - within_m || at.x_m > max.x_m + within_m;
        let is_beyond = at.y_m < min.y_m - within_m || at.y_m > max.y_m + within_m;
        !is_beside && !is_beyond && self.points.windows(2).any(|leg| distance_m(at, leg[0], leg[1]) <= within_m)
    }
}

/// The word of a kind that belongs on a line, and how far off it may lie, metres.
fn belongs_on_a_line(kind: &Kind) -> Option<(&'static str, f64)> {
    Some(match kind {
        Kind::Gate(_) => ("gate", GATE_WITHIN_M),
        Kind::Cutout { .. } => ("cutout", GATE_WITHIN_M),
        Kind::Jumper(_) => ("jumper", GATE_WITHIN_M),
        Kind::Reading(_) => ("reading", ENTRY_REACH_M),
        Kind::Fault(fault) if fault.is_active() => ("fault", ENTRY_REACH_M),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Fault, Gate, Reading};

    #[test]
    fn what_hangs_on_no_line_is_told() {
        let things = |scene: Scene, off_m: f64| {
            scene
                .point(Kind::Gate(Gate::default()), (0.0, off_m))
                .point(Kind::Cutout { open: false }, (5.0, off_m))
                .point(Kind::Fault(Fault::default()), (8.0, off_m))
                .point(Kind::Reading(Reading::default()), (9.0, off_m))
        };
        let said = |scene: Scene| scene.say(Rule::Loose).len();
        let fenced = || Scene::on(flat()).fence(&[(-40.0, 0.0), (40.0, 0.0)]);
        assert_eq!(said(things(fenced(), 0.2)), 0);
        assert_eq!(said(things(fenced(), 3.0)), 2, "entries of the log may be written down farther off");
        assert_eq!(said(things(fenced(), 60.0)), 4);
        assert_eq!(said(things(Scene::on(flat()), 0.0)), 4);
        let mended = Fault { mended: Some("2026-05-01".to_owned()), ..Fault::default() };
        assert_eq!(said(Scene::on(flat()).point(Kind::Fault(mended), (0.0, 0.0))), 0);
    }
}
