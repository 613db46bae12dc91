//! Better courses for one line: searched over the working cells, then over fine cells beside what was found, judged as the drawn one is.

use super::beside::beside_track;
use super::course::Course;
use super::drawn::Obstacles;
use super::relief::{FINE, Relief};
use super::search::Lattice;
use super::setting::{Judged, Scales};
use super::tighten::tighten;
use super::weights::{Amounts, Weights};
use crate::catalogue::Catalogue;
use crate::check::weakest_breaks_from;
use crate::hold::along::distance_m;
use crate::hold::{FootingMap, specification_of};
use crate::job::{Cancelled, Job};
use crate::land::{Frame, Ground, MapPoint, MapRect, WorkingGrid};
use crate::outcome::{LineOutcome, Outcome};
use crate::plan::{Edit, EditError, Feature, FeatureId, Kind, Plan};
use crate::site::{LARGEST_CELL, Scale};
use std::sync::Arc;

/// Courses are looked for this far around the drawn one, metres, or this share of its length if that is more.
const AROUND_M: f64 = 300.0;
const AROUND_SHARE: f64 = 0.6;
/// More cells than this are not searched.
const MOST_CELLS: f64 = 400_000.0;
/// Over fine cells a course is looked for this far beside the one found before, metres.
const CORRIDOR_M: f64 = 30.0;
/// The ground around a corridor that slopes are made from, metres.
const CORRIDOR_RIM_M: f64 = 20.0;
/// Shorter spans than this stay as they are drawn, metres.
const SHORTEST_SPAN_M: f64 = 30.0;

/// Which line of what plan.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its ground.
    pub ground: Option<&'a Ground>,
    /// What follows from the plan.
    pub outcome: &'a Outcome,
    /// The catalogue's rows in use.
    pub catalogue: &'a Catalogue,
    /// The line.
    pub line: &'a FeatureId,
}

/// Why no course is looked for.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoCourse {
    /// The plan has no such fence.
    #[error("the plan has no fence {0}")]
    NoFence(FeatureId),
    /// Without heights nothing speaks for another course.
    #[error("the ground is not known")]
    NoGround,
    /// The ground's cells tell nothing of water, animals and hollows.
    #[error("the cells of the ground are too wide")]
    TooCoarse,
    /// Every stretch between places that stay is short.
    #[error("nothing of it may move: every stretch between places that stay is shorter than 30 m")]
    NothingMoves,
    /// The ground around it has too many cells.
    #[error("it is too long")]
    TooLong,
    /// The plan does not take it.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// Nobody wants it any more.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// What courses of one line are judged by, and how it is drawn.
pub struct Setting<'a> {
    asked: Asked<'a>,
    frame: Frame,
    drawn: Course,
    judged: Judged<'a>,
}

impl<'a> Setting<'a> {
    /// For a fence of a plan on known ground.
    ///
    /// # Errors
    /// [`NoCourse`].
    pub fn of(asked: Asked<'a>) -> Result<Self, NoCourse> {
        let no_fence = || NoCourse::NoFence(asked.line.clone());
        let feature = asked.plan.feature(asked.line).ok_or_else(no_fence)?;
        let Kind::Fence(fence) = &feature.kind else { return Err(no_fence()) };
        let line = asked.outcome.lines.iter().find(|line| line.id == *asked.line).ok_or_else(no_fence)?;
        let frame = asked.outcome.frame.ok_or(NoCourse::NoGround)?;
        let ground = asked.ground.ok_or(NoCourse::NoGround)?;
        if ground.cell() > LARGEST_CELL {
            return Err(NoCourse::TooCoarse);
        }
        let drawn = Course::drawn(asked.plan, frame, &line.section, fence, asked.line).ok_or_else(no_fence)?;
        let setting = Self { judged: judged(asked, frame, feature, line, &drawn)?, asked, frame, drawn };
        if setting.drawn.spans().into_iter().all(|span| setting.is_short(&setting.drawn, span)) {
            return Err(NoCourse::NothingMoves);
        }
        Ok(setting)
    }

    /// The corners of the line as it is drawn, with the places that it keeps.
    pub fn drawn(&self) -> Vec<MapPoint> {
        self.drawn.all_points()
    }

    /// What there is along a course: the one judgement for what is drawn and what is found.
    pub fn amounts(&self, course: &[MapPoint]) -> Amounts {
        self.judged.course(course)
    }

    /// The cheapest course that is found; the drawn one where nothing cheaper is.
    ///
    /// # Errors
    /// [`Cancelled`].
    pub fn cheapest(&self, weights: Weights, job: &Job) -> Result<Vec<MapPoint>, Cancelled> {
        let scales = Scales { judged: &self.judged, weights };
        Ok(self.improved(&self.drawn, scales, Way::Anywhere, job)?.all_points())
    }

    pub(super) fn drawn_course(&self) -> &Course {
        &self.drawn
    }

    pub(super) fn edits(&self, course: &Course) -> Vec<Edit> {
        course.edits(&self.drawn, self.asked.line, self.frame)
    }

    pub(super) fn asked(&self) -> Asked<'a> {
        self.asked
    }

    /// Whether a track is known that somebody can drive on.
    pub(super) fn has_track(&self) -> bool {
        !self.asked.outcome.reach.tracks.runs().is_empty()
    }

    /// Whether animals that run down are known of.
    pub(super) fn has_runners(&self) -> bool {
        self.judged.steps.is_some()
    }

    pub(super) fn cost(&self, course: &Course, weights: &Weights) -> f64 {
        self.judged.course(&course.all_points()).cost(weights)
    }

    /// A course found over the working cells.
    pub(super) fn found(&self, weights: Weights, way: Way, job: &Job) -> Result<Course, Cancelled> {
        self.improved(&self.drawn, Scales { judged: &self.judged, weights }, way, job)
    }

    /// A course made better beside where it runs.
    pub(super) fn refined(&self, course: &Course, weights: Weights, job: &Job) -> Result<Course, Cancelled> {
        self.improved(course, Scales { judged: &self.judged, weights }, Way::Corridor, job)
    }

    /// The same judged on cells that show hollows, over the ground of these courses; `None` where the ground's cells are wider.
    pub(super) fn finer(&self, courses: &[&Course]) -> Option<Setting<'a>> {
        let ground = self.asked.ground.filter(|ground| ground.cell() <= FINE)?;
        let points = courses.iter().flat_map(|course| course.all_points()).chain(self.drawn());
        let within = grown(MapRect::around(points)?, CORRIDOR_M + CORRIDOR_RIM_M);
        let footings = FootingMap::of(self.asked.plan, self.frame, self.asked.catalogue).ok();
        let relief = Relief::of(ground, FINE, within, footings.as_ref())?;
        let obstacles = Arc::clone(&self.judged.obstacles);
        let judged = Judged { relief, obstacles, steps: self.judged.steps.clone(), ..self.judged };
        Some(Setting { judged, drawn: self.drawn.clone(), ..*self })
    }

    fn is_short(&self, course: &Course, (from, until): (usize, usize)) -> bool {
        course.places[from].at.distance_m(course.places[until].at) < SHORTEST_SPAN_M
    }

    /// Span by span what is found in place of what is there, where it costs less.
    fn improved(&self, course: &Course, scales: Scales, way: Way, job: &Job) -> Result<Course, Cancelled> {
        let mut best = (scales.course(&course.all_points()), course.clone());
        for nth in 0..course.spans().len() {
            let span = best.1.spans()[nth];
            if self.is_short(&best.1, span) {
                continue;
            }
            let Some(between) = self.between(&best.1, span, scales, way, job)? else { continue };
            let mut tried = best.1.with(span, &between[1..between.len() - 1]);
            tighten(&mut tried, scales, job)?;
            let cost = scales.course(&tried.all_points());
            if cost < best.0 && !tried.crosses_itself() {
                best = (cost, tried);
            }
        }
        Ok(best.1)
    }

    fn between(
        &self,
        course: &Course,
        (from, until): (usize, usize),
        scales: Scales,
        way: Way,
        job: &Job,
    ) -> Result<Option<Vec<MapPoint>>, Cancelled> {
        let ends = [course.places[from].at, course.places[until].at];
        let points = course.points(from..until + 1);
        let grid = scales.judged.relief.grid();
        let is_allowed = |cell: usize| match way {
            Way::Corridor => points.windows(2).any(|leg| distance_m(grid.centre_of(cell), leg[0], leg[1]) <= CORRIDOR_M),
            Way::Anywhere | Way::BesideTrack => true,
        };
        let Some(lattice) = Lattice::new(scales, ends, is_allowed) else { return Ok(None) };
        match way {
            Way::BesideTrack => beside_track(&lattice, scales, self.asked.outcome.reach.tracks.runs(), job),
            Way::Anywhere | Way::Corridor => lattice.cheapest(job),
        }
    }
}

/// Where a course is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// All around.
    Anywhere,
    /// Beside where it runs already.
    Corridor,
    /// Along a track for a while.
    BesideTrack,
}

fn grown(rect: MapRect, by_m: f64) -> MapRect {
    let by = MapPoint::new(by_m, by_m);
    MapRect { min: rect.min - by, max: rect.max + by }
}

fn judged<'a>(
    asked: Asked<'a>,
    frame: Frame,
    feature: &Feature,
    line: &LineOutcome,
    drawn: &Course,
) -> Result<Judged<'a>, NoCourse> {
    let ground = asked.ground.ok_or(NoCourse::NoGround)?;
    let points = drawn.all_points();
    let length_m: f64 = points.windows(2).map(|leg| leg[0].distance_m(leg[1])).sum();
    let around = MapRect::around(points).ok_or(NoCourse::NoGround)?;
    let within = grown(around, AROUND_M.max(AROUND_SHARE * length_m));
    let spacing = WorkingGrid::usual_spacing(ground);
    let (width_m, height_m) = (within.max.x_m - within.min.x_m, within.max.y_m - within.min.y_m);
    if width_m * height_m > MOST_CELLS * spacing.as_metres().powi(2) {
        return Err(NoCourse::TooLong);
    }
    let footings = FootingMap::of(asked.plan, frame, asked.catalogue).ok();
    let relief = Relief::of(ground, spacing, within, footings.as_ref()).ok_or(NoCourse::NoGround)?;
    let kept = drawn.places.iter().filter(|stop| stop.is_kept).map(|stop| stop.at).collect();
    let specification = specification_of(asked.plan, feature, line.hold.longest_strain, asked.catalogue).ok();
    let breaks_from = specification.and_then(|specification| weakest_breaks_from(&specification, &line.hold));
    let runners = asked.outcome.runners.as_deref();
    Ok(Judged {
        relief,
        obstacles: Arc::new(Obstacles::of(asked.plan, frame, asked.line, kept)),
        water: asked.outcome.water.as_deref(),
        steps: runners.map(|runners| Arc::new(runners.steps(grown(within, 3.0 * runners.grid().spacing().as_metres())))),
        strike_scale: asked.outcome.strike_scale.map_or(1.0, Scale::factor),
        // Where that is not known, every strike counts as one that breaks.
        breaks_from_m_per_s: breaks_from.unwrap_or(0.0),
        walking: asked.outcome.reach.walking.as_ref(),
    })
}
