//! What is offered beside the drawn course, each with what it brings and takes.

use super::course::Course;
use super::find::{Asked, NoCourse, Setting, Way};
use super::weights::{Amounts, Weights};
use crate::compare::{Compared, Figure, compare};
use crate::hold::leg_lengths;
use crate::job::{Cancelled, Job};
use crate::land::MapPoint;
use crate::outcome::{Kept, frame, outcome_on};
use crate::plan::{Edit, FeatureId, Gesture, History, Plan};
use jiff::civil::Date;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU32, Ordering};

/// Where strikes or walking shall weigh more, they weigh so many times what they do otherwise.
const STRESSED: f64 = 5.0;

/// A course that is better by less than this share of what the drawn one costs is not offered: the weights are not known so well (`common-practice`).
const NOTICED: f64 = 0.02;

/// What a course is to be good for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The least cost by the weights as they are.
    Cheapest,
    /// Few strikes: they weigh five times as much.
    FewestStrikes,
    /// Near a track: walking weighs five times as much, and running along a track is tried.
    ClosestToTrack,
}

impl Aim {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Cheapest, Self::FewestStrikes, Self::ClosestToTrack];

    /// The weights under which a course for this is looked for.
    pub fn weights(self, usual: Weights) -> Weights {
        match self {
            Self::Cheapest => usual,
            Self::FewestStrikes => Weights { strike: STRESSED * usual.strike, nudge: STRESSED * usual.nudge, ..usual },
            Self::ClosestToTrack => Weights { walk: STRESSED * usual.walk, ..usual },
        }
    }
}

/// A course that was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// What it is the best for of all that were found.
    pub aims: Vec<Aim>,
    /// Its corners on the map.
    pub points: Vec<MapPoint>,
    /// What there is along it.
    pub amounts: Amounts,
    /// What it changes in the plan.
    pub edits: Vec<Edit>,
    /// The plan with it.
    pub plan: Plan,
    /// The whole plan's figures: as drawn, and with it.
    pub figures: Vec<Compared>,
}

impl Found {
    /// How many more findings of the whole plan must be fixed with it; nothing where there are no more.
    pub fn more_to_fix(&self) -> Option<usize> {
        let row = self.figures.iter().find(|row| row.figure == Figure::MustFix)?;
        Some((row.b? - row.a?).round()).filter(|more| *more >= 1.0).map(|more| more as usize)
    }
}

/// The courses of one line.
#[derive(Clone, Debug)]
pub struct Courses {
    /// The line.
    pub line: FeatureId,
    /// The revision of the plan they were looked for in.
    pub revision: u64,
    /// What things are worth.
    pub weights: Weights,
    /// What there is along the course as it is drawn.
    pub drawn: Amounts,
    /// What the drawn course is the best for.
    pub stands: Vec<Aim>,
    /// The others, in the order of their aims.
    pub found: Vec<Found>,
}

impl Courses {
    /// The course for an aim; `None` where the drawn one is the best for it, or nothing is known that it needs.
    pub fn of(&self, aim: Aim) -> Option<&Found> {
        self.found.iter().find(|found| found.aims.contains(&aim))
    }
}

/// Looks for other courses of a fence. `on`: the day for which growing stock is judged, as it was for the outcome that is given.
///
/// # Errors
/// [`NoCourse`].
pub fn courses(asked: Asked, weights: Weights, on: Option<Date>, job: &Job) -> Result<Courses, NoCourse> {
    let setting = Setting::of(asked)?;
    let aims = aims(&setting);
    let progress = Progress { job, done: AtomicU32::new(0), of: 2 * aims.len() as u32 + 3 };
    let found = searched(&setting, &aims, weights, &progress)?;
    let finer = setting.finer(&found.iter().map(|(_, course)| course).collect::<Vec<_>>());
    let judge = finer.as_ref().unwrap_or(&setting);
    let refined = |(aim, course): &(Aim, Course)| -> Result<Course, Cancelled> {
        let course = if finer.is_some() { judge.refined(course, aim.weights(weights), job)? } else { course.clone() };
        progress.step()?;
        Ok(course)
    };
    let found = found.par_iter().map(refined).collect::<Result<Vec<_>, _>>()?;
    let mut all = Courses {
        line: asked.line.clone(),
        revision: asked.outcome.revision,
        weights,
        drawn: judge.amounts(&judge.drawn()),
        stands: Vec::new(),
        found: Vec::new(),
    };
    let mut kept = Kept::default();
    for (course, aims) in chosen(judge, &found, &aims, weights) {
        progress.step()?;
        match course {
            None => all.stands = aims,
            Some(course) => all.found.push(tried(judge, course, aims, on, &mut kept)?),
        }
    }
    job.set_share_done(1.0);
    Ok(all)
}

/// Counts the steps of the search.
struct Progress<'a> {
    job: &'a Job,
    done: AtomicU32,
    of: u32,
}

impl Progress<'_> {
    fn step(&self) -> Result<(), Cancelled> {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        self.job.set_share_done(f64::from(done) / f64::from(self.of));
        self.job.proceed()
    }
}

/// What can be aimed at with what is known.
fn aims(setting: &Setting) -> Vec<Aim> {
    let is_known = |aim: &Aim| match aim {
        Aim::Cheapest => true,
        Aim::FewestStrikes => setting.has_runners(),
        Aim::ClosestToTrack => setting.has_track(),
    };
    Aim::ALL.into_iter().filter(is_known).collect()
}

/// The courses found over the working cells, each with the aim it was looked for by.
fn searched(setting: &Setting, aims: &[Aim], weights: Weights, progress: &Progress) -> Result<Vec<(Aim, Course)>, Cancelled> {
    let anywhere = aims.iter().map(|aim| (*aim, Way::Anywhere));
    let beside = aims.iter().filter(|aim| **aim == Aim::ClosestToTrack).map(|aim| (*aim, Way::BesideTrack));
    let ways: Vec<(Aim, Way)> = anywhere.chain(beside).collect();
    let search = |(aim, way): &(Aim, Way)| {
        let course = setting.found(aim.weights(weights), *way, progress.job)?;
        progress.step()?;
        Ok((*aim, course))
    };
    ways.par_iter().map(search).collect()
}

/// For each aim the best of all courses, the drawn one (`None`) among them; those that are best for several once.
fn chosen<'a>(judge: &Setting, found: &'a [Course], aims: &[Aim], weights: Weights) -> Vec<(Option<&'a Course>, Vec<Aim>)> {
    let mut all: Vec<(Option<&Course>, Vec<Aim>)> = Vec::new();
    for aim in aims {
        let weights = aim.weights(weights);
        let drawn = judge.cost(judge.drawn_course(), &weights);
        let least_gain = if drawn.is_finite() { NOTICED * drawn } else { 0.0 };
        let mut best: (f64, Option<&Course>) = (drawn - least_gain, None);
        for course in found {
            let cost = judge.cost(course, &weights);
            if cost < best.0 && !course.is_like(judge.drawn_course()) {
                best = (cost, Some(course));
            }
        }
        let is_same = |other: &Option<&Course>| match (best.1, other) {
            (Some(one), Some(other)) => one.is_like(other),
            (None, None) => true,
            _ => false,
        };
        match all.iter_mut().find(|(course, _)| is_same(course)) {
            Some((_, aims)) => aims.push(*aim),
            None => all.push((best.1, vec![*aim])),
        }
    }
    all
}

/// A course tried on a copy of the plan.
fn tried(judge: &Setting, course: &Course, aims: Vec<Aim>, on: Option<Date>, kept: &mut Kept) -> Result<Found, NoCourse> {
    let (asked, course) = (judge.asked(), &course.without_doubled());
    let edits = judge.edits(course);
    let mut history = History::new(asked.plan.clone());
    history.begin(Gesture::Rerouted { label: String::new() });
    history.edit_anew(&edits, &leg_lengths(asked.plan, frame(asked.plan, asked.ground), asked.ground))?;
    history.commit();
    let plan = history.plan().clone();
    let after = outcome_on(on, &plan, 0, asked.ground, asked.catalogue, kept);
    let figures = compare((asked.plan, asked.outcome), (&plan, &after));
    Ok(Found { aims, points: course.all_points(), amounts: judge.amounts(&course.all_points()), edits, plan, figures })
}
