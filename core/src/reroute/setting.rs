//! What a course is judged by on this ground: one function for the drawn course and for those that are found.

use super::drawn::Obstacles;
use super::relief::Relief;
use super::weights::{Amounts, Weights};
use crate::check::PROBABLY_FROM;
use crate::land::{MapPoint, Pace, RunnerSteps};
use crate::site::{CHANNEL_FROM, Crossed, CrossedStream, Culvert, Walking, Water};
use crate::units::Area;
use std::sync::Arc;

/// A turn up to this is taken by an ordinary post, degrees.
///
/// # Source
/// Key `common-practice`.
pub const SLIGHT_DEG: f64 = 17.0;
/// From this turn on a corner costs what a square one does, degrees.
///
/// # Source
/// Key `common-practice`.
pub const SQUARE_DEG: f64 = 69.0;
/// A walk of more than this counts as one of this long: somebody would make a path first, seconds.
const LONGEST_WALK_S: f64 = 3600.0;
/// Pieces of a leg are no longer than this, in cells.
const PIECE_CELLS: f64 = 1.2;
/// Runners are counted over pieces no longer than this, metres.
const STRIKES_M: f64 = 25.0;
/// A drawn stream and the channel of the grid within so many cells are one crossing.
const SAME_WATER_CELLS: f64 = 2.0;

/// Everything that a piece of fence is judged by.
pub(super) struct Judged<'a> {
    pub relief: Relief,
    pub obstacles: Arc<Obstacles>,
    pub water: Option<&'a Water>,
    pub steps: Option<Arc<RunnerSteps<'a>>>,
    /// How many strikes there are for each that the model expects.
    pub strike_scale: f64,
    /// Strikes from this speed on break a strand, m/s.
    pub breaks_from_m_per_s: f64,
    pub walking: Option<&'a Walking>,
}

impl Judged<'_> {
    /// What there is along a straight piece.
    pub fn leg(&self, from: MapPoint, to: MapPoint) -> Amounts {
        let mut all = Amounts { map_m: from.distance_m(to), ..Amounts::default() };
        if all.map_m <= 0.0 {
            return all;
        }
        all.barred = self.obstacles.barred(from, to);
        all.ways = self.obstacles.ways(from, to);
        self.water_across(from, to, &mut all);
        self.strikes_along(from, to, &mut all);
        let count = (all.map_m / (PIECE_CELLS * self.relief.grid().spacing().as_metres())).ceil();
        let at = |index: usize| from.towards(to, index as f64 / count);
        let way = (to - from) * (1.0 / all.map_m);
        let mut before = self.relief.grid().elevation_m(from);
        for index in 1..=count as usize {
            let after = self.relief.grid().elevation_m(at(index));
            let climb_m = before.zip(after).map_or(0.0, |(before, after)| after - before);
            self.piece(at(index - 1).towards(at(index), 0.5), way, (all.map_m / count, climb_m), &mut all);
            before = after;
        }
        all
    }

    fn strikes_along(&self, from: MapPoint, to: MapPoint, all: &mut Amounts) {
        let Some(steps) = &self.steps else { return };
        // In short pieces, for around each of them all cells are asked.
        let count = (all.map_m / STRIKES_M).ceil();
        let at = |index: usize| from.towards(to, index as f64 / count);
        for index in 0..count as usize {
            steps.each_strike(at(index), at(index + 1), |strikes, speed_m_per_s| {
                let kind = if speed_m_per_s >= self.breaks_from_m_per_s { &mut all.breaking } else { &mut all.holding };
                *kind += strikes * self.strike_scale;
            });
        }
    }

    /// What there is along a short piece, by its middle.
    fn piece(&self, middle: MapPoint, way: MapPoint, (length_m, climb_m): (f64, f64), all: &mut Amounts) {
        all.ground_m += length_m.hypot(climb_m);
        if let Some(gradient) = self.relief.gradient(middle) {
            let along = gradient.east * way.x_m + gradient.north * way.y_m;
            let across = gradient.east * way.y_m - gradient.north * way.x_m;
            all.slope_m += length_m * (along * along + 0.5 * across * across);
        }
        let soil = self.relief.soil(middle);
        all.rock_m += if soil.is_thin { length_m } else { 0.0 };
        all.soft_m += if soil.is_wet { length_m } else { 0.0 };
        all.beside_m += if self.obstacles.is_beside(middle) { length_m } else { 0.0 };
        if self.relief.is_fine() {
            all.hollows += length_m * self.relief.curvature(middle, way).max(0.0);
        }
        all.walks += length_m * self.walk(middle);
    }

    /// How far the walk is, in hundreds of level metres; 0 where there is no track at all.
    fn walk(&self, at: MapPoint) -> f64 {
        let Some(walking) = self.walking else { return 0.0 };
        let there_s = walking.grid().cell_of(at).map_or(f64::INFINITY, |cell| walking.there_s()[cell]);
        let level_s = Pace::OffPath.seconds(100.0, 0.0).unwrap_or(f64::INFINITY);
        there_s.min(LONGEST_WALK_S) / level_s
    }

    fn water_across(&self, from: MapPoint, to: MapPoint, all: &mut Amounts) {
        let Some(water) = self.water else { return };
        let crossed = water.across(from, to);
        let together = SAME_WATER_CELLS * water.grid().spacing().as_metres() / all.map_m;
        let is_piped = |one: &Crossed| matches!(one.stream, Some(CrossedStream { culvert: Culvert::Piped, .. }));
        let near = |one: &Crossed, is_meant: &dyn Fn(&Crossed) -> bool| {
            crossed.iter().any(|other| is_meant(other) && (other.along - one.along).abs() < together)
        };
        for one in &crossed {
            let size = match one.upslope {
                // In a pipe water does a fence nothing.
                Some(upslope) => Some(upslope).filter(|_| !near(one, &is_piped)),
                // The channel that the grid shows beside a drawn stream is that stream.
                None => Some(CHANNEL_FROM).filter(|_| !is_piped(one) && !near(one, &|other| other.upslope.is_some())),
            };
            if let Some(size) = size {
                all.gaps += 1.0;
                all.gap_sizes += 10.0 * Area::as_hectares(size).sqrt();
            }
        }
    }

    /// What a corner is between the places before and after it.
    pub fn corner(&self, before: MapPoint, at: MapPoint, after: MapPoint) -> Amounts {
        let corners = corners_of(turn_deg(before, at, after));
        let poor_corners = if corners > 0.0 && self.is_poor(at) { 1.0 } else { 0.0 };
        Amounts { corners, poor_corners, ..Amounts::default() }
    }

    /// Whether a corner post stands badly here: in a dip, on wet ground, on thin soil.
    pub fn is_poor(&self, at: MapPoint) -> bool {
        let soil = self.relief.soil(at);
        let is_wet = || self.water.and_then(|water| water.wetness(at)).is_some_and(|wetness| wetness > PROBABLY_FROM);
        soil.is_thin || soil.is_wet || is_wet() || self.relief.is_dip(at)
    }

    /// What there is along a course.
    pub fn course(&self, points: &[MapPoint]) -> Amounts {
        let mut all = points.windows(2).fold(Amounts::default(), |sum, leg| sum + self.leg(leg[0], leg[1]));
        points.windows(3).for_each(|turn| all += self.corner(turn[0], turn[1], turn[2]));
        all
    }

    /// Whether the ground of a place is known.
    pub fn is_known(&self, at: MapPoint) -> bool {
        self.relief.grid().elevation_m(at).is_some()
    }
}

/// A corner with this turn, 0 to 1.
pub(super) fn corners_of(turn_deg: f64) -> f64 {
    if turn_deg > SLIGHT_DEG { (turn_deg / SQUARE_DEG).min(1.0) } else { 0.0 }
}

/// By how much a course turns, degrees.
pub(super) fn turn_deg(before: MapPoint, at: MapPoint, after: MapPoint) -> f64 {
    let (a, b) = (at - before, after - at);
    let (cross, dot) = (a.x_m * b.y_m - a.y_m * b.x_m, a.x_m * b.x_m + a.y_m * b.y_m);
    cross.atan2(dot).abs().to_degrees()
}

/// A setting with the worth of things.
#[derive(Clone, Copy)]
pub(super) struct Scales<'a> {
    pub judged: &'a Judged<'a>,
    pub weights: Weights,
}

impl Scales<'_> {
    /// What a straight piece costs.
    pub fn leg(&self, from: MapPoint, to: MapPoint) -> f64 {
        self.judged.leg(from, to).cost(&self.weights)
    }

    /// What a course costs.
    pub fn course(&self, points: &[MapPoint]) -> f64 {
        self.judged.course(points).cost(&self.weights)
    }
}
