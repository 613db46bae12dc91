//! What is said of one track: how it lies on the ground, and where it is hard or impossible to drive.

use super::tracks::Step;
use crate::finding::TrackHindrance;
use crate::land::{Ground, MapPoint};
use crate::plan::FeatureId;
use crate::units::Length;

/// A stretch of a track that is hard or impossible to drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HinderedStretch {
    /// Why.
    pub hindrance: TrackHindrance,
    /// Whether it takes the stretch out of use.
    pub is_out_of_use: bool,
    /// From where, along the track on the ground.
    pub from: Length,
    /// Until where.
    pub to: Length,
    /// Its worst place.
    pub at: MapPoint,
    /// How steep it is there, per cent.
    pub worst_pct: f64,
    /// What it is held against there, per cent.
    pub limit_pct: f64,
    /// Whether its soil is wet there.
    pub is_wet: bool,
}

/// A track that is narrower than its vehicle asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooNarrow {
    /// Its width.
    pub has: Length,
    /// The width its vehicle needs.
    pub needs: Length,
}

/// A point of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// Where it is.
    pub at: MapPoint,
    /// How far along on the ground, metres; on the map where the ground is not known.
    pub station_m: f64,
    /// How high the ground is, metres.
    pub ground_m: Option<f64>,
}

/// A piece between two points of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPiece {
    /// The steepest grade over 20 m that it lies in, per cent.
    pub grade_pct: f64,
    /// How much the ground leans across it, whatever its surface, per cent.
    pub leans_pct: f64,
}

/// What is said of one track.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedTrack {
    /// The track.
    pub id: FeatureId,
    /// Its stretches that are hard or impossible to drive, in order.
    pub stretches: Vec<HinderedStretch>,
    /// Whether it is too narrow for its vehicle; then no part of it counts.
    pub too_narrow: Option<TooNarrow>,
    /// Ends where nobody can turn.
    pub dead_ends: Vec<MapPoint>,
    /// Points along it, at most 5 m apart, from its start to its end.
    pub points: Vec<TrackPoint>,
    /// The pieces between them.
    pub pieces: Vec<TrackPiece>,
    /// Its steepest grade over 20 m, per cent; `None` where the ground is not known.
    pub steepest_pct: Option<f64>,
    /// The steepest that the ground leans across it, whatever its surface, per cent.
    pub leans_pct: Option<f64>,
    /// Its stretches that are out of use, as points.
    pub barred: Vec<Vec<MapPoint>>,
    /// Its stretches that no vehicle gets to, for what is out of use lies before them.
    pub behind: Vec<Vec<MapPoint>>,
}

impl JudgedTrack {
    /// Its length on the ground, on the map where the ground is not known.
    pub fn length(&self) -> Length {
        Length::metres(self.points.last().map_or(0.0, |last| last.station_m))
    }

    /// How far it climbs and how far it falls from its start to its end.
    pub fn climb_and_descent(&self) -> (Length, Length) {
        let rises = self.points.windows(2).filter_map(|pair| Some(pair[1].ground_m? - pair[0].ground_m?));
        let (up, down) = rises.fold((0.0, 0.0), |(up, down), rise| (up + rise.max(0.0), down + (-rise).max(0.0)));
        (Length::metres(up), Length::metres(down))
    }

    /// The length of its stretches that are out of use.
    pub fn out_of_use(&self) -> Length {
        let out = self.stretches.iter().filter(|stretch| stretch.is_out_of_use);
        let mut ends: Vec<(f64, f64)> = out.map(|stretch| (stretch.from.as_metres(), stretch.to.as_metres())).collect();
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut until_m = 0.0_f64;
        let new_m = ends.into_iter().map(|(from_m, to_m)| {
            let length_m = (to_m - from_m.max(until_m)).max(0.0);
            until_m = until_m.max(to_m);
            length_m
        });
        Length::metres(new_m.sum())
    }
}

/// The steps of a track as they lie on the ground.
pub(super) fn points_on_ground(steps: &[Step], ground: Option<&Ground>) -> Vec<TrackPoint> {
    let mut points: Vec<TrackPoint> = Vec::with_capacity(steps.len());
    for (at, plan_m) in steps {
        let ground_m = ground.and_then(|ground| ground.elevation(*at)).map(|height| height.as_metres());
        let station_m = match (points.last(), points.len().checked_sub(1).and_then(|before| steps.get(before))) {
            (Some(last), Some((_, before_m))) => {
                let rise_m = ground_m.zip(last.ground_m).map_or(0.0, |(here, there)| here - there);
                last.station_m + (plan_m - before_m).hypot(rise_m)
            }
            _ => 0.0,
        };
        points.push(TrackPoint { at: *at, station_m, ground_m });
    }
    points
}
