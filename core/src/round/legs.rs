//! A round as somebody follows it: legs with their way, length and minutes, and stops in their order.

use super::go::{LEAVING_S, Map, Move};
use super::open::OpenGround;
use super::stops::{Sense, Stop, WaitingStops};
use super::ways::Course;
use crate::land::{Ground, MapPoint};
use crate::outcome::Outcome;
use crate::plan::FeatureId;
use crate::units::Length;

/// How a leg is gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// With the vehicle, along a track.
    Ride,
    /// With the vehicle, looking at the line beside the track.
    RideAlong,
    /// On foot.
    Walk,
    /// On foot, looking at the line.
    WalkAlong,
}

impl How {
    /// Whether it is gone with the vehicle.
    pub fn is_ridden(self) -> bool {
        matches!(self, Self::Ride | Self::RideAlong)
    }
}

/// A part of a round that is gone in one manner.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// How.
    pub how: How,
    /// The line that is looked at, if any.
    pub line: Option<FeatureId>,
    /// From this station of it.
    pub from: Option<Length>,
    /// To this one.
    pub to: Option<Length>,
    /// The way on the map.
    pub path: Vec<MapPoint>,
    /// Its length on the ground.
    pub length: Length,
    /// How much of it leads along tracks.
    pub on_track: Length,
    /// What lies in its way where it leaves them; `None` on tracks and along lines.
    pub open: Option<OpenGround>,
    /// How long it takes without stops, seconds; where the vehicle is left, with leaving and fetching it.
    pub seconds: f64,
    /// The way in which one sets off, degrees clockwise from north on the map: towards the place fifty metres on.
    pub bearing_deg: f64,
    /// The stops on it, as indices into those of the round.
    pub stops: std::ops::Range<usize>,
}

/// One sets off towards the place so far on, metres.
const SETS_OFF_M: f64 = 50.0;
/// Shorter ways between two legs of one manner are no legs, metres.
const SCRAP_M: f64 = 40.0;
/// A few steps beside the vehicle are none whatever the manner, metres.
const STEPS_M: f64 = 12.0;
/// Two ways of one manner that turn by less than this go on as one leg; those along a line always, unless it ends.
const SAME_LEG_M: f64 = 0.5;

/// Legs and stops of moves in their order.
pub(super) fn legs(
    map: &Map,
    moves: &[Move],
    outcome: &Outcome,
    ground: Option<&Ground>,
    mut waiting: WaitingStops,
) -> (Vec<Leg>, Vec<Stop>) {
    let mut legs: Vec<Leg> = Vec::new();
    let mut stops: Vec<Stop> = Vec::new();
    for one in moves {
        let leg = leg(map, *one, outcome, ground);
        let first = stops.len();
        if let Move::LookedAtFromSeat(piece, turned) | Move::LookedAtOnFoot(piece, turned) = one {
            let piece = &map.pieces[*piece];
            stops.extend(waiting.along(piece, if *turned { Sense::Back } else { Sense::On }));
        }
        match legs.last_mut().filter(|last| goes_on(last, &leg)) {
            Some(last) => {
                last.path.extend_from_slice(&leg.path[1..]);
                last.length += leg.length;
                last.on_track += leg.on_track;
                last.seconds += leg.seconds;
                last.to = leg.to;
                last.stops.end = stops.len();
            }
            None => legs.push(Leg { stops: first..stops.len(), ..leg }),
        }
    }
    let mut legs = without_scraps(legs);
    for index in 1..legs.len() {
        if legs[index - 1].how.is_ridden() && !legs[index].how.is_ridden() {
            legs[index].seconds += LEAVING_S;
        }
    }
    legs.iter_mut().for_each(|leg| leg.bearing_deg = sets_off_deg(&leg.path));
    (legs, stops)
}

/// A few steps between two legs belong to the one before them, at the beginning to the one after.
fn without_scraps(legs: Vec<Leg>) -> Vec<Leg> {
    let mut all: Vec<Leg> = Vec::new();
    for mut leg in legs {
        let is_scrap = |leg: &Leg, other: &Leg| {
            let alike = leg.how.is_ridden() == other.how.is_ridden();
            leg.line.is_none() && leg.length < Length::metres(if alike { SCRAP_M } else { STEPS_M })
        };
        let takes = |one: &mut Leg, other: &Leg| {
            one.length += other.length;
            one.on_track += other.on_track;
            one.seconds += other.seconds;
        };
        let is_second = all.len() == 1;
        match all.last_mut() {
            Some(last) if is_scrap(&leg, last) => {
                last.path.extend_from_slice(&leg.path);
                takes(last, &leg);
            }
            Some(last) if is_scrap(last, &leg) && is_second => {
                takes(&mut leg, last);
                leg.path.splice(0..0, last.path.iter().copied());
                *last = leg;
            }
            _ => all.push(leg),
        }
    }
    all
}

/// Whether a leg goes on in the next: the same manner, the same line, the same sense along it.
fn goes_on(last: &Leg, next: &Leg) -> bool {
    let along = |leg: &Leg| leg.from.zip(leg.to).map(|(from, to)| to > from);
    let touches = || last.path.last().zip(next.path.first()).is_some_and(|(one, other)| one.distance_m(*other) < SAME_LEG_M);
    // A closed line begins anew where it ends.
    let goes_on = last.to.zip(next.from).is_none_or(|(to, from)| (to - from).abs() < Length::metres(SAME_LEG_M));
    last.how == next.how && last.line == next.line && along(last) == along(next) && goes_on && touches()
}

fn leg(map: &Map, one: Move, outcome: &Outcome, ground: Option<&Ground>) -> Leg {
    let path = map.points(one);
    let how = match one {
        Move::Ridden(..) => How::Ride,
        Move::Walked(..) => How::Walk,
        Move::LookedAtFromSeat(..) => How::RideAlong,
        Move::LookedAtOnFoot(..) => How::WalkAlong,
    };
    let looked_at = match one {
        Move::LookedAtFromSeat(piece, turned) | Move::LookedAtOnFoot(piece, turned) => Some((&map.pieces[piece], turned)),
        Move::Ridden(..) | Move::Walked(..) => None,
    };
    let station =
        |line: usize, plan_m: f64| outcome.lines[line].section.sample_at(plan_m).map(|sample| Length::metres(sample.station_m));
    let (from, to) = looked_at.map_or((None, None), |(piece, turned)| {
        let ends = (station(piece.line, piece.from_m), station(piece.line, piece.to_m));
        if turned { (ends.1, ends.0) } else { ends }
    });
    let length = on_ground(&path, ground);
    let is_track = matches!(one, Move::Ridden(..) | Move::LookedAtFromSeat(..))
        || matches!(one, Move::Walked(way, _) if matches!(way.course, Course::Track { .. }));
    Leg {
        how,
        line: looked_at.map(|(piece, _)| outcome.lines[piece.line].id.clone()),
        from,
        to,
        length,
        on_track: if is_track { length } else { Length::ZERO },
        open: None,
        seconds: map.seconds(one),
        bearing_deg: 0.0,
        stops: 0..0,
        path,
    }
}

/// Length of a way on the ground; on the map where that is not known.
fn on_ground(path: &[MapPoint], ground: Option<&Ground>) -> Length {
    let height_m = |at: MapPoint| Some(ground?.elevation(at)?.as_metres());
    let step = |pair: &[MapPoint]| {
        let climb_m = height_m(pair[1]).zip(height_m(pair[0])).map_or(0.0, |(to, from)| to - from);
        pair[0].distance_m(pair[1]).hypot(climb_m)
    };
    Length::metres(path.windows(2).map(step).sum())
}

/// The bearing of the place fifty metres on, or of the end of a shorter way.
fn sets_off_deg(path: &[MapPoint]) -> f64 {
    let Some(first) = path.first() else { return 0.0 };
    let mut left_m = SETS_OFF_M;
    let mut there = *first;
    for pair in path.windows(2) {
        let step_m = pair[0].distance_m(pair[1]);
        if step_m >= left_m {
            there = pair[0].towards(pair[1], left_m / step_m);
            break;
        }
        (left_m, there) = (left_m - step_m, pair[1]);
    }
    let off = there - *first;
    (off.x_m.atan2(off.y_m).to_degrees() + 360.0) % 360.0
}
