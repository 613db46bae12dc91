//! What fails when a strand is struck: insulators that let go one after the other, then the wire at its weakest joint.

use super::impact::{
    DYNAMIC_FACTOR, ENERGY_J, Elastic, SPEED_M_PER_S, TautWire, aside_m, push_n, running_energy_j, speed_m_per_s,
};
use super::range::{OutOfRange, within};
use super::tension::TENSION_N;
use crate::catalogue::{InsulatorRow, WireRow};
use crate::finding::{FirstToFail, StrikeOutcome};
use std::ops::RangeInclusive;

/// Joint shares that are used: what a knot, splice or sleeve leaves of the plain wire.
pub const JOINT_SHARE: RangeInclusive<f64> = 0.1..=1.0;

/// A strand as something strikes it in the middle of a bay, far from its strainers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StruckStrand {
    /// The strand between its strainers.
    pub strain: TautWire,
    /// Distance between posts, m.
    pub bay_m: f64,
    /// What pulls a line insulator off, N; `None` where the strand cannot come off its posts.
    pub pull_n: Option<f64>,
    /// What the plain wire holds (Tb), N.
    pub breaking_n: f64,
    /// What the weakest joint leaves of it (eta), 0 to 1.
    pub joint_share: f64,
}

/// Tensions and pulls that something fails at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrikeLimits {
    /// Sideways pull that a line insulator lets go at, N; `None` where it cannot.
    pub pull_n: Option<f64>,
    /// Tension that the strand breaks at, N.
    pub break_n: f64,
}

/// How far a strike went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct March {
    /// How it ended.
    pub outcome: StrikeOutcome,
    /// Highest tension, N; the tension at which it breaks where it does.
    pub peak_n: f64,
    /// Pairs of insulators that let go.
    pub released_pairs: u32,
    /// Distance between the posts that still hold the strand, m.
    pub free_bay_m: f64,
    /// How far the strand gave way, m.
    pub deflection_m: f64,
    /// Highest push on the animal, N.
    pub push_n: f64,
}

/// The verdict on one mass at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrikeVerdict {
    /// How it ends.
    pub outcome: StrikeOutcome,
    /// Highest tension with what the moving wire adds, N: what the strainer posts have to take from this strand.
    pub peak_n: f64,
    /// Pairs of insulators that let go.
    pub released_pairs: u32,
    /// How far the strand gives way, m.
    pub deflection_m: f64,
    /// Speed from which on insulators let go, m/s; `None` when they never do within [`SPEED_M_PER_S`].
    pub releases_from_m_per_s: Option<f64>,
    /// Speed from which on the strand breaks, m/s; `None` when it never does within [`SPEED_M_PER_S`].
    pub breaks_from_m_per_s: Option<f64>,
    /// What fails first as the speed rises; `None` when nothing does.
    pub first: Option<FirstToFail>,
}

/// One bay width of the march: from when the strand became free over it until the next pair lets go, or it breaks.
#[derive(Clone, Copy)]
struct Leg {
    free_bay_m: f64,
    from_n: f64,
    /// Tension at its end.
    until_n: f64,
    until_y_m: f64,
    work_j: f64,
    breaks: bool,
}

impl StruckStrand {
    /// Of rows of the catalogue; `None` for plastics, whose stretch is not known well enough.
    pub fn of(wire: &WireRow, insulator: &InsulatorRow, length_m: f64, set_n: f64, bay_m: f64) -> Option<Self> {
        Some(Self {
            strain: TautWire::of(wire, length_m, set_n)?,
            bay_m,
            pull_n: insulator.pull.map(crate::units::Force::as_newtons),
            breaking_n: wire.breaking.as_newtons(),
            joint_share: wire.joint_share,
        })
    }

    /// What the closed form may reach: the limits without what the moving wire adds, `limit / 1.15`.
    ///
    /// # Units
    /// Newtons.
    /// # Source
    /// `strike-dynamics-trial`.
    pub fn limits(&self) -> StrikeLimits {
        StrikeLimits {
            pull_n: self.pull_n.map(|pull_n| pull_n / DYNAMIC_FACTOR),
            break_n: self.joint_share * self.breaking_n / DYNAMIC_FACTOR,
        }
    }

    /// The strike step by step: the strand gives way until the sideways pull `T sin(phi)` on the nearest two insulators takes it off
    /// them; then the free bay is wider by a bay on each side, the tension falls, and so on until the energy is spent or the strand breaks.
    ///
    /// What the strand loses in tension at each release is taken to be lost in its whipping, not given back to the animal.
    ///
    /// # Units
    /// `energy_j` in joules; the result in metres and newtons.
    /// # Valid for
    /// [`ENERGY_J`] and what [`TautWire::peak_n`] is good for; equal bays of 0.5 to 60 m; tensions that are not raised by friction at posts.
    /// # Source
    /// Energy and balance of forces: `statics`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn march(&self, limits: StrikeLimits, energy_j: f64) -> Result<March, OutOfRange> {
        self.march_over(&self.legs(limits)?, energy_j)
    }

    /// The strike over bay widths that are known.
    fn march_over(&self, legs: &[Leg], energy_j: f64) -> Result<March, OutOfRange> {
        within("energy in J", energy_j, &ENERGY_J)?;
        let elastic = self.strain.elastic()?;
        let mut left_j = energy_j;
        let (mut peak_n, mut push, mut released_pairs) = (self.strain.set_n, 0.0f64, 0);
        for leg in legs {
            let is_spent = left_j < leg.work_j;
            let (tension_n, y_m) = if is_spent {
                let tension_n = elastic.tension_after_n(leg.from_n, left_j);
                (tension_n, aside_m(leg.free_bay_m, elastic.stretch_m(tension_n)))
            } else {
                (leg.until_n, leg.until_y_m)
            };
            (peak_n, push) = (peak_n.max(tension_n), push.max(push_n(tension_n, leg.free_bay_m, y_m)));
            if is_spent || leg.breaks {
                let outcome = match (is_spent, released_pairs) {
                    (false, _) => StrikeOutcome::Breaks,
                    (true, 0) => StrikeOutcome::Holds,
                    (true, _) => StrikeOutcome::InsulatorsRelease,
                };
                let free_bay_m = leg.free_bay_m;
                return Ok(March { outcome, peak_n, released_pairs, free_bay_m, deflection_m: y_m, push_n: push });
            }
            left_j -= leg.work_j;
            released_pairs += 1;
        }
        unreachable!("the last leg breaks the strand")
    }

    /// Three outcomes, and the speed at which each begins. Both limits feel the tension with [`DYNAMIC_FACTOR`].
    ///
    /// # Units
    /// `mass_kg` in kilograms, `speed_m_per_s` in m/s.
    /// # Valid for
    /// [`MASS_KG`](super::impact::MASS_KG), [`SPEED_M_PER_S`]; else as [`StruckStrand::march`]. See the head of `impact` for what is not known.
    /// # Source
    /// `statics`, as [`StruckStrand::march`]; the factor from `strike-dynamics-trial`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn verdict(&self, mass_kg: f64, speed_m_per_s: f64) -> Result<StrikeVerdict, OutOfRange> {
        let legs = self.legs(self.limits())?;
        let march = self.march_over(&legs, running_energy_j(mass_kg, speed_m_per_s)?)?;
        let releases_from_m_per_s = match legs.first().filter(|leg| !leg.breaks) {
            Some(leg) => reached_by(leg.work_j, mass_kg)?,
            None => None,
        };
        let breaks_from_m_per_s = reached_by(legs.iter().map(|leg| leg.work_j).sum(), mass_kg)?;
        let breaks_at = if self.joint_share < 1.0 { FirstToFail::Joint } else { FirstToFail::Wire };
        Ok(StrikeVerdict {
            outcome: march.outcome,
            peak_n: march.peak_n * DYNAMIC_FACTOR,
            released_pairs: march.released_pairs,
            deflection_m: march.deflection_m,
            releases_from_m_per_s,
            breaks_from_m_per_s,
            first: releases_from_m_per_s.map(|_| FirstToFail::Insulators).or(breaks_from_m_per_s.map(|_| breaks_at)),
        })
    }

    /// The speed from which on the strand breaks, m/s; `None` when it never does within [`SPEED_M_PER_S`]. As in [`StruckStrand::verdict`].
    ///
    /// # Units
    /// `mass_kg` in kilograms.
    /// # Valid for
    /// As [`StruckStrand::verdict`].
    /// # Source
    /// `statics`; the factor from `strike-dynamics-trial`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn breaks_from(&self, mass_kg: f64) -> Result<Option<f64>, OutOfRange> {
        let legs = self.legs(self.limits())?;
        reached_by(legs.iter().map(|leg| leg.work_j).sum(), mass_kg)
    }

    /// The bay widths that a strike goes through, until the strand breaks.
    fn legs(&self, limits: StrikeLimits) -> Result<Vec<Leg>, OutOfRange> {
        let elastic = self.strain.elastic()?;
        within("bay in m", self.bay_m, &(0.5..=60.0))?;
        within("share that the joint leaves", self.joint_share, &JOINT_SHARE)?;
        within("breaking load in N", limits.break_n, &(f64::MIN_POSITIVE..=*TENSION_N.end()))?;
        limits.pull_n.map(|pull_n| within("pull of an insulator in N", pull_n, &(1.0..=*TENSION_N.end()))).transpose()?;
        let mut legs = Vec::new();
        let (mut free_bay_m, mut y_m) = (self.bay_m.min(self.strain.length_m), 0.0);
        loop {
            let wider_m = free_bay_m + 2.0 * self.bay_m;
            // Beyond the last line post stand the strainer posts: the strand does not come off those.
            let pull_n = limits.pull_n.filter(|_| wider_m <= self.strain.length_m);
            let leg = leg(&elastic, free_bay_m, y_m, StrikeLimits { pull_n, ..limits });
            legs.push(leg);
            if leg.breaks {
                return Ok(legs);
            }
            (free_bay_m, y_m) = (wider_m, leg.until_y_m);
        }
    }
}

/// Share of a deflection that is no longer told apart.
const CLOSE: f64 = 1e-12;
const MOST_STEPS: usize = 100;

/// From a deflection on, with this free bay, until an insulator lets go or the strand breaks.
fn leg(elastic: &Elastic, free_bay_m: f64, from_y_m: f64, limits: StrikeLimits) -> Leg {
    let tension_at_n = |y_m: f64| elastic.tension_n(longer_m(free_bay_m, y_m));
    let from_n = tension_at_n(from_y_m);
    let break_n = limits.break_n.max(from_n);
    let break_y_m = aside_m(free_bay_m, elastic.stretch_m(break_n));
    let pulls_n = |y_m: f64| push_n(tension_at_n(y_m), free_bay_m, y_m) / 2.0;
    let lets_go = limits.pull_n.filter(|pull_n| pulls_n(break_y_m) > *pull_n);
    let until_y_m = lets_go.map_or(break_y_m, |pull_n| crossing(|y_m| pulls_n(y_m) - pull_n, from_y_m, break_y_m));
    let until_n = if lets_go.is_some() { tension_at_n(until_y_m) } else { break_n };
    let work_j = elastic.energy_j(until_n) - elastic.energy_j(from_n);
    Leg { free_bay_m, from_n, until_n, until_y_m, work_j, breaks: lets_go.is_none() }
}

/// Where a rising function passes zero between two values, the upper one beyond it: regula falsi, an end that stays put counting half (Illinois).
fn crossing(over: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let (mut at_low, mut at_high) = (over(low), over(high));
    if at_low >= 0.0 {
        return low;
    }
    let mut moved_high = None;
    for _ in 0..MOST_STEPS {
        if high - low <= CLOSE * high {
            break;
        }
        let next = high - at_high * (high - low) / (at_high - at_low);
        let at_next = over(next);
        let moves_high = at_next > 0.0;
        if moves_high {
            (high, at_high) = (next, at_next);
            at_low *= if moved_high == Some(true) { 0.5 } else { 1.0 };
        } else {
            (low, at_low) = (next, at_next);
            at_high *= if moved_high == Some(false) { 0.5 } else { 1.0 };
        }
        moved_high = Some(moves_high);
    }
    high
}

/// How much longer than its bay a strand is that is pushed aside: `2 sqrt((L/2)^2 + y^2) - L`, in a form that keeps its digits.
fn longer_m(bay_m: f64, y_m: f64) -> f64 {
    4.0 * y_m * y_m / (2.0 * (bay_m * bay_m / 4.0 + y_m * y_m).sqrt() + bay_m)
}

/// The speed at which a mass has an energy, if anything runs that fast.
fn reached_by(energy_j: f64, mass_kg: f64) -> Result<Option<f64>, OutOfRange> {
    if energy_j > *ENERGY_J.end() {
        return Ok(None);
    }
    let speed = speed_m_per_s(energy_j, mass_kg)?;
    Ok(SPEED_M_PER_S.contains(&speed).then_some(speed))
}

#[cfg(test)]
#[path = "strike_tests.rs"]
mod tests;
