//! Warning signs along public ways.

use super::labour::foot_m;
use super::{BuiltLine, CountRule, ItemGroup, TakeOff, TakenAt};
use crate::catalogue::Code;
use crate::hold::Section;
use crate::land::{Frame, MapPoint, MapRect};
use crate::plan::{Kind, Plan};
use crate::units::Length;

/// A fence this near to a public way is met by whoever uses it, metres on the map (`common-practice`).
const BESIDE_WAY_M: f64 = 25.0;
/// So often a line is asked whether it is near, metres on the ground.
const STEP_M: f64 = 5.0;

impl TakeOff {
    /// Warning signs as far apart as the code says along every stretch of a fence that lies beside a public way.
    pub fn signs_beside_ways(&mut self, plan: &Plan, lines: &[BuiltLine], frame: Frame) {
        let ways = ways(plan, frame);
        if ways.is_empty() {
            return;
        }
        let every_m = Code::of(plan.head.code.as_deref()).signs_every.value.as_metres();
        let is_fence = |line: &&BuiltLine| plan.feature(line.id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
        for line in lines.iter().filter(is_fence) {
            for (from_m, until_m) in stretches(line.section, &ways) {
                let signs = ((until_m - from_m) / every_m).ceil().max(1.0);
                let apart_m = (until_m - from_m) / signs;
                for sign in 0..signs as usize {
                    let station = Length::metres(from_m + (sign as f64 + 0.5) * apart_m);
                    self.add(ItemGroup::Power, "warning-sign", CountRule::PublicWay, TakenAt::at(line.id, station, 1.0));
                }
            }
        }
    }
}

/// A public way on the map, with the ground from where it is met.
struct Way {
    points: Vec<MapPoint>,
    around: MapRect,
}

impl Way {
    fn is_beside(&self, at: MapPoint) -> bool {
        let MapRect { min, max } = self.around;
        let inside = (min.x_m..=max.x_m).contains(&at.x_m) && (min.y_m..=max.y_m).contains(&at.y_m);
        inside && self.points.windows(2).any(|leg| foot_m(at, leg[0], leg[1]) <= BESIDE_WAY_M)
    }
}

fn ways(plan: &Plan, frame: Frame) -> Vec<Way> {
    let public = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::PublicWay { .. }));
    let way = |corners: &[crate::land::Position]| {
        let points: Vec<MapPoint> = corners.iter().filter_map(|at| frame.to_map(*at).ok()).collect();
        let corners = points.iter().flat_map(|at| {
            let reach = |sign: f64| MapPoint::new(at.x_m + sign * BESIDE_WAY_M, at.y_m + sign * BESIDE_WAY_M);
            [reach(-1.0), reach(1.0)]
        });
        let around = MapRect::around(corners)?;
        Some(Way { points, around })
    };
    public.filter_map(|feature| way(feature.line()?)).collect()
}

/// The stretches of a line that lie beside a way, as stations in metres.
fn stretches(section: &Section, ways: &[Way]) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut goes_on = false;
    let mut next_m = 0.0;
    let last = section.samples.len().saturating_sub(1);
    for (index, sample) in section.samples.iter().enumerate() {
        if sample.station_m < next_m && index != last {
            continue;
        }
        next_m = sample.station_m + STEP_M;
        let is_beside = ways.iter().any(|way| way.is_beside(sample.at));
        match found.last_mut().filter(|_| goes_on && is_beside) {
            Some(stretch) => stretch.1 = sample.station_m,
            None if is_beside => found.push((sample.station_m, sample.station_m)),
            None => {}
        }
        goes_on = is_beside;
    }
    found
}
