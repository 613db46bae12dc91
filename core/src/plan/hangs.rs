//! What stands on lines: gates, cut-outs, jumpers, and entries of the log.

use super::{ENTRY_REACH_M, Feature, FeatureId, Kind, Plan};
use crate::land::{MapPoint, MapRect, Position};

/// A gate, cut-out or jumper this near to a line stands on it, metres on the map (`common-practice`).
pub const STANDS_WITHIN_M: f64 = 1.0;

/// The word of a kind that belongs on a line, and how far off it may lie, metres; `None` of any other.
pub fn belongs_on_a_line(kind: &Kind) -> Option<(&'static str, f64)> {
    Some(match kind {
        Kind::Gate(_) => ("gate", STANDS_WITHIN_M),
        Kind::Cutout { .. } => ("cutout", STANDS_WITHIN_M),
        Kind::Jumper(_) => ("jumper", STANDS_WITHIN_M),
        Kind::Reading(_) => ("reading", ENTRY_REACH_M),
        Kind::Fault(fault) if fault.is_active() => ("fault", ENTRY_REACH_M),
        _ => return None,
    })
}

/// Lines on a plain even map of their neighbourhood: good to the centimetre, and quick for thousands of entries of the log.
pub struct NearLines<'a> {
    cos_lat: f64,
    lines: Vec<Nearby<'a>>,
}

struct Nearby<'a> {
    id: &'a FeatureId,
    points: Vec<MapPoint>,
    around: MapRect,
}

/// Metres in a degree of latitude.
const PER_DEGREE_M: f64 = 111_195.0;

impl<'a> NearLines<'a> {
    /// The lines of a plan that carry strands.
    pub fn of(plan: &'a Plan) -> Self {
        let carrying = || plan.features.iter().filter(|line| line.kind.carries_strands());
        let origin = carrying().find_map(|line| line.line()?.first().copied());
        let mut all = Self { cos_lat: origin.map_or(1.0, |at| at.lat_deg().to_radians().cos()), lines: Vec::new() };
        all.lines = carrying()
            .filter_map(|line| {
                let points: Vec<MapPoint> = line.line()?.iter().map(|at| all.place(*at)).collect();
                Some(Nearby { id: &line.id, around: MapRect::around(points.iter().copied())?, points })
            })
            .collect();
        all
    }

    fn place(&self, at: Position) -> MapPoint {
        MapPoint::new(at.lon_deg() * PER_DEGREE_M * self.cos_lat, at.lat_deg() * PER_DEGREE_M)
    }

    /// The lines that a feature lies on, or so near to, metres.
    pub fn under(&self, feature: &Feature, within_m: f64) -> Vec<&'a FeatureId> {
        let places: Vec<MapPoint> = feature.places().iter().map(|at| self.place(*at)).collect();
        let is_under = |line: &&Nearby| places.iter().any(|at| line.is_within(*at, within_m));
        self.lines.iter().filter(is_under).map(|line| line.id).collect()
    }

    /// How far the nearest line is, metres; `None` without any.
    pub fn nearest_m(&self, feature: &Feature) -> Option<f64> {
        let places: Vec<MapPoint> = feature.places().iter().map(|at| self.place(*at)).collect();
        let legs = self.lines.iter().flat_map(|line| line.points.windows(2));
        legs.flat_map(|leg| places.iter().map(move |at| off_m(*at, leg[0], leg[1]))).min_by(f64::total_cmp)
    }
}

impl Nearby<'_> {
    fn is_within(&self, at: MapPoint, within_m: f64) -> bool {
        let MapRect { min, max } = self.around;
        let is_beside = at.x_m < min.x_m - within_m || at.x_m > max.x_m + within_m;
        let is_beyond = at.y_m < min.y_m - within_m || at.y_m > max.y_m + within_m;
        !is_beside && !is_beyond && self.points.windows(2).any(|leg| off_m(at, leg[0], leg[1]) <= within_m)
    }
}

fn off_m(at: MapPoint, from: MapPoint, to: MapPoint) -> f64 {
    let (way, off) = (to - from, at - from);
    let length2 = way.x_m * way.x_m + way.y_m * way.y_m;
    let share = if length2 > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
    at.distance_m(from.towards(to, share))
}

/// What hangs on lines that are taken away and on no other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hanging {
    /// Gates, cut-outs and jumpers: they go with the line.
    pub goes: Vec<FeatureId>,
    /// Entries of the log: they stay where they were written down.
    pub stays: Vec<FeatureId>,
}

/// What hangs on these lines alone, apart from what is taken away with them anyhow.
pub fn hanging_on(plan: &Plan, taken: &[FeatureId]) -> Hanging {
    let lines = NearLines::of(plan);
    let mut hanging = Hanging::default();
    for feature in plan.features.iter().filter(|feature| !taken.contains(&feature.id)) {
        let Some((_, within_m)) = belongs_on_a_line(&feature.kind) else { continue };
        let under = lines.under(feature, within_m);
        if under.is_empty() || !under.iter().all(|line| taken.contains(line)) {
            continue;
        }
        let to = if feature.kind.is_log_entry() { &mut hanging.stays } else { &mut hanging.goes };
        to.push(feature.id.clone());
    }
    hanging
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Fence, Gate, Geometry, Head, Reading};

    #[test]
    fn gates_and_switches_go_with_their_line_and_readings_stay() {
        let at =
            |east: i64, north: i64| Position { lon_e9: -3_810_000_000 + east * 16_000, lat_e9: 56_600_000_000 + north * 9_000 };
        let line = |id: &str, from: Position, to: Position| {
            Feature::new(FeatureId::new(id), Kind::Fence(Fence::default()), Geometry::Line(vec![from, to]))
        };
        let point = |id: &str, kind: Kind, at: Position| Feature::new(FeatureId::new(id), kind, Geometry::Point(at));
        let plan = Plan::new(
            Head::default(),
            vec![
                line("north", at(0, 50), at(100, 50)),
                line("south", at(0, 0), at(100, 0)),
                line("divider", at(50, 0), at(50, 50)),
                point("gate", Kind::Gate(Gate::default()), at(20, 50)),
                point("shared", Kind::Cutout { open: false }, at(50, 50)),
                point("switch", Kind::Cutout { open: false }, at(80, 50)),
                point("elsewhere", Kind::Gate(Gate::default()), at(20, 0)),
                point("reading", Kind::Reading(Reading::default()), at(90, 52)),
            ],
        );
        let ids = |ids: &[FeatureId]| ids.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
        let found = hanging_on(&plan, &[FeatureId::new("north")]);
        assert_eq!((ids(&found.goes), ids(&found.stays)), ("gate switch".to_owned(), "reading".to_owned()));
        let both = hanging_on(&plan, &[FeatureId::new("north"), FeatureId::new("divider")]);
        assert_eq!(ids(&both.goes), "gate shared switch");
    }
}
