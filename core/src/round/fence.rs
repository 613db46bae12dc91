//! The lines in pieces that are gone along as a whole.

use super::tracks::walking_s;
use crate::catalogue::GroundState;
use crate::hold::{SHARP_TURN_DEG, Section};
use crate::land::{Ground, MapPoint, Pace};
use crate::outcome::{LineOutcome, Outcome};
use crate::plan::{Kind, Network, Plan};
use crate::site::{ReachClass, ReachPiece, Season, WALK};
use std::sync::Arc;

/// A gate or switch this near to a line is in it, metres on the map (`common-practice`).
pub(super) const ON_LINE_M: f64 = 1.0;
/// Shorter stretches beside a track are not worth being ridden on their own, metres.
const LEAST_RIDDEN_M: f64 = 25.0;
/// Cuts nearer to each other than this are one, metres.
const SAME_CUT_M: f64 = 1.0;
/// Points along a piece are no further apart, metres.
const STEP_M: f64 = 5.0;

/// With more pieces than this, corners and gates are no places where a way begins.
const FEW_PIECES: usize = 120;

/// Where lines are cut.
#[derive(Clone, Copy, PartialEq, Eq)]
enum At {
    /// At sharp corners and gates as well.
    CornersToo,
    /// Where lines join, where the manner of going changes, at the ends of stretches that are wanted.
    JointsOnly,
}

/// A piece of a line between two cuts.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// Index of the line in the outcome.
    pub line: usize,
    /// From this distance along it on the map, metres.
    pub from_m: f64,
    /// To this one.
    pub to_m: f64,
    /// Points along it.
    pub points: Vec<MapPoint>,
    /// How long somebody walks along it, seconds.
    pub there_s: f64,
    /// The other way.
    pub back_s: f64,
    /// Whether it is seen well enough from a usable track that it is looked at from the seat.
    pub is_seen_from_seat: bool,
    /// Whether it has to be gone along.
    pub is_wanted: bool,
}

/// A stretch of a line, along it on the map, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// Index of the line in the outcome.
    pub line: usize,
    /// From here.
    pub from_m: f64,
    /// To there.
    pub to_m: f64,
}

/// What a round goes along.
pub(super) struct Goes<'a> {
    pub plan: &'a Plan,
    pub outcome: &'a Outcome,
    pub ground: Option<&'a Ground>,
    pub state: GroundState,
}

impl<'a> Goes<'a> {
    /// Lines that can be looked along: all but what lies in the ground.
    pub fn lines(&self) -> impl Iterator<Item = (usize, &'a Arc<LineOutcome>)> {
        let is_seen = |line: &LineOutcome| match self.plan.feature(&line.id).map(|feature| &feature.kind) {
            Some(Kind::Fence(_)) => true,
            Some(Kind::LeadOut(lead_out)) => !lead_out.underground,
            _ => false,
        };
        self.outcome.lines.iter().enumerate().filter(move |(_, line)| line.section.samples.len() > 1 && is_seen(line))
    }

    /// Whether a line is a fence, and no lead-out.
    pub fn is_fence(&self, line: &LineOutcome) -> bool {
        self.plan.feature(&line.id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)))
    }

    /// All pieces; of a short round only those in the stretches are wanted, and no other is ridden.
    pub fn pieces(&self, only: Option<&[Stretch]>) -> Vec<Piece> {
        let fine = self.cut(only, At::CornersToo);
        if fine.len() <= FEW_PIECES { fine } else { self.cut(only, At::JointsOnly) }
    }

    fn cut(&self, only: Option<&[Stretch]>, at: At) -> Vec<Piece> {
        let Some(frame) = self.outcome.frame else { return Vec::new() };
        let network = Network::of(self.plan, frame);
        let mut all = Vec::new();
        for (line, outcome) in self.lines() {
            let section = &outcome.section;
            let ridden = ridden(outcome, self.is_fence(outcome));
            let mut cuts = Vec::new();
            if at == At::CornersToo {
                cuts = corners(section);
                let gates = self.on_line(section, |kind| matches!(kind, Kind::Gate(_)));
                cuts.extend(gates.into_iter().map(|(_, plan_m)| plan_m));
                // Nobody gets off where all is seen from the seat.
                cuts.retain(|cut| ridden.iter().all(|(from_m, to_m)| cut <= from_m || cut >= to_m));
            }
            if let Some(index) = network.line_index(&outcome.id) {
                cuts.extend(network.joints_of(index).iter().map(|(plan_m, _)| *plan_m));
            }
            cuts.extend(ridden.iter().flat_map(|(from_m, to_m)| [*from_m, *to_m]));
            let wanted: Vec<&Stretch> = only.unwrap_or_default().iter().filter(|stretch| stretch.line == line).collect();
            cuts.extend(wanted.iter().flat_map(|stretch| [stretch.from_m, stretch.to_m]));
            for cut in cleaned(cuts, section).windows(2) {
                let middle_m = (cut[0] + cut[1]) / 2.0;
                let is_in = |(from_m, to_m): (f64, f64)| (from_m..=to_m).contains(&middle_m);
                let is_wanted = only.is_none() || wanted.iter().any(|stretch| is_in((stretch.from_m, stretch.to_m)));
                let points = points(section, cut[0], cut[1]);
                let is_ridden = is_wanted && ridden.iter().any(|stretch| is_in(*stretch));
                all.push(Piece {
                    line,
                    from_m: cut[0],
                    to_m: cut[1],
                    there_s: walking_s(&points, self.ground, Pace::OffPath, 1.0),
                    back_s: walking_s(&points, self.ground, Pace::OffPath, -1.0),
                    is_seen_from_seat: is_ridden,
                    points,
                    is_wanted,
                });
            }
        }
        all
    }

    /// Features of the plan that stand in a line, with their distance along it on the map.
    pub fn on_line(&self, section: &Section, is_meant: impl Fn(&Kind) -> bool) -> Vec<(&'a Arc<crate::plan::Feature>, f64)> {
        let Some(frame) = self.outcome.frame else { return Vec::new() };
        let meant = self.plan.features.iter().filter(|feature| is_meant(&feature.kind));
        let place = |feature: &'a Arc<crate::plan::Feature>| {
            let (plan_m, off_m) = foot(section, frame.to_map(feature.point()?).ok()?)?;
            (off_m <= ON_LINE_M).then_some((feature, plan_m))
        };
        meant.filter_map(place).collect()
    }
}

/// The nearest place of a line to a point: how far along on the map, and how far off.
pub(super) fn foot(section: &Section, at: MapPoint) -> Option<(f64, f64)> {
    let corners = section.corners.windows(2).map(|leg| (&section.samples[leg[0]], &section.samples[leg[1]]));
    let place = corners.map(|(from, to)| {
        let (way, off) = (to.at - from.at, at - from.at);
        let squared = way.x_m * way.x_m + way.y_m * way.y_m;
        let share = if squared > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / squared).clamp(0.0, 1.0) } else { 0.0 };
        (from.plan_m + share * (to.plan_m - from.plan_m), from.at.towards(to.at, share).distance_m(at))
    });
    place.min_by(|one, other| one.1.total_cmp(&other.1))
}

/// Where a line turns sharply.
fn corners(section: &Section) -> Vec<f64> {
    let at = |index: usize| &section.samples[section.corners[index]];
    let is_sharp = |index: &usize| {
        let (before, here, after) = (at(index - 1), at(*index), at(index + 1));
        let (a, b) = (here.at - before.at, after.at - here.at);
        let turn = (a.x_m * b.y_m - a.y_m * b.x_m).atan2(a.x_m * b.x_m + a.y_m * b.y_m).to_degrees().abs();
        turn >= SHARP_TURN_DEG
    };
    (1..section.corners.len().saturating_sub(1)).filter(is_sharp).map(|index| at(index).plan_m).collect()
}

/// Stretches that are looked at from the seat, along the line on the map, metres: fence that the hand reaches, and lead-outs, which hang over
/// the hand anyway, where they are seen close by.
fn ridden(line: &LineOutcome, is_fence: bool) -> Vec<(f64, f64)> {
    let Some(reach) = &line.reach else { return Vec::new() };
    let is_seen = |piece: &ReachPiece| piece.track_m <= WALK.as_metres() && piece.is_seen(Season::LeafOff) == Some(true);
    let from_seat = |piece: &ReachPiece| piece.class(Season::Summer) == ReachClass::FromSeat;
    let is_beside = |index: &usize| if is_fence { from_seat(&reach.pieces[*index]) } else { is_seen(&reach.pieces[*index]) };
    let beside: Vec<usize> = (0..reach.pieces.len()).filter(is_beside).collect();
    let runs = beside.chunk_by(|one, other| one + 1 == *other);
    let plan_m = |station_m: f64| line.section.sample_at_station(station_m).map_or(0.0, |sample| sample.plan_m);
    let stretches = runs.map(|run| {
        let (first, last) = (&reach.pieces[run[0]], &reach.pieces[run[run.len() - 1]]);
        (plan_m(first.from.as_metres()), plan_m(last.to.as_metres()))
    });
    stretches.filter(|(from_m, to_m)| to_m - from_m >= LEAST_RIDDEN_M).collect()
}

/// Cuts in order, from the first end to the last, none twice.
fn cleaned(mut cuts: Vec<f64>, section: &Section) -> Vec<f64> {
    let whole_m = section.samples[section.samples.len() - 1].plan_m;
    cuts.retain(|cut| *cut > SAME_CUT_M && *cut < whole_m - SAME_CUT_M);
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|later, earlier| *later - *earlier < SAME_CUT_M);
    std::iter::once(0.0).chain(cuts).chain([whole_m]).collect()
}

/// Points of a line from one place to another, every corner among them.
pub(super) fn points(section: &Section, from_m: f64, to_m: f64) -> Vec<MapPoint> {
    let corners = section.corners.iter().map(|index| section.samples[*index].plan_m);
    let mut stops: Vec<f64> = corners.filter(|corner_m| *corner_m > from_m && *corner_m < to_m).collect();
    let steps = ((to_m - from_m) / STEP_M).ceil().max(1.0) as usize;
    stops.extend((0..=steps).map(|step| from_m + (to_m - from_m) * step as f64 / steps as f64));
    stops.sort_by(f64::total_cmp);
    stops.iter().filter_map(|plan_m| Some(section.sample_at(*plan_m)?.at)).collect()
}
