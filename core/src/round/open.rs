//! What lies in the way where a round leaves the drawn tracks: how steep it is, and the streams.

use super::fence::Goes;
use super::legs::Leg;
use crate::hold::along::crossing;
use crate::land::{Frame, MapPoint};
use crate::plan::{FeatureId, Kind};
use crate::site::steepest_grade_pct;
use crate::units::Length;

/// The part of a leg that leads across open ground.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenGround {
    /// The steepest that it goes up or down over 20 m, per cent; `None` where the ground is not known.
    pub steepest_pct: Option<f64>,
    /// Drawn streams that it crosses.
    pub streams: Vec<FeatureId>,
}

/// A way this near to a usable track is on it, metres.
const ON_TRACK_M: f64 = 6.0;
/// So little off the tracks is no way across open ground.
const LEAST: Length = Length::metres(12.0);

/// Says of each leg that leaves the tracks, and follows no line, what lies in its way.
pub(super) fn say(legs: &mut [Leg], goes: &Goes, frame: Frame) {
    let streams: Vec<(FeatureId, Vec<MapPoint>)> = goes
        .plan
        .features
        .iter()
        .filter(|feature| matches!(feature.kind, Kind::Stream { culvert: false, .. }))
        .filter_map(|feature| {
            let corners = feature.line()?.iter().filter_map(|at| frame.to_map(*at).ok()).collect();
            Some((feature.id.clone(), corners))
        })
        .collect();
    for leg in legs.iter_mut().filter(|leg| leg.line.is_none() && leg.length - leg.on_track > LEAST) {
        leg.open = Some(open(&leg.path, goes, &streams));
    }
}

fn open(path: &[MapPoint], goes: &Goes, streams: &[(FeatureId, Vec<MapPoint>)]) -> OpenGround {
    let tracks = &goes.outcome.reach.tracks;
    let is_off = |at: MapPoint| tracks.nearest_m(at).is_none_or(|off_m| off_m > ON_TRACK_M);
    let off: Vec<&[MapPoint]> =
        path.chunk_by(|one, other| is_off(one.towards(*other, 0.5))).filter(|part| part.len() > 1).collect();
    let steep = |ground| off.iter().map(|part| steepest_grade_pct(part, ground)).fold(0.0, f64::max);
    let crosses = |corners: &[MapPoint]| {
        let mut steps = off.iter().flat_map(|part| part.windows(2));
        steps.any(|step| corners.windows(2).any(|piece| crossing(step[0], step[1], piece[0], piece[1]).is_some()))
    };
    let streams = streams.iter().filter(|(_, corners)| crosses(corners)).map(|(id, _)| id.clone()).collect();
    OpenGround { steepest_pct: goes.ground.map(steep), streams }
}
