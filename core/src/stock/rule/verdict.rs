//! What is judged, and what is said of it.

use crate::finding::{Grade, WayOut};

/// What a strand carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carries {
    /// The pulse.
    Pulse,
    /// The way back to earth.
    Return,
}

/// A strand as it hangs in a bay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hung {
    /// Height at the posts, metres.
    pub height_m: f64,
    /// Smallest clearance over the ground, metres.
    pub least_m: f64,
    /// Largest clearance over the ground, metres.
    pub most_m: f64,
    /// What it carries.
    pub carries: Carries,
}

impl Hung {
    /// A strand over level ground.
    pub fn level(height_m: f64, carries: Carries) -> Self {
        Self { height_m, least_m: height_m, most_m: height_m, carries }
    }
    /// The same over a dip and a hump of this size.
    pub fn over(self, dip_m: f64, hump_m: f64) -> Self {
        Self { least_m: self.least_m - hump_m, most_m: self.most_m + dip_m, ..self }
    }
}

/// What stands between the animal and the other side, in one bay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Barrier<'a> {
    /// Strands, the lowest first.
    Strands(&'a [Hung]),
    /// Netting.
    Net {
        /// Height at its stakes, metres.
        height_m: f64,
        /// Smallest height of its top over the ground, metres.
        least_m: f64,
        /// Largest distance of its foot from the ground, metres.
        foot_m: f64,
    },
}

/// One of the ways out, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// What it is worth.
    pub grade: Grade,
    /// The height, gap or number found.
    pub value: f64,
    /// What it is held against.
    pub limit: f64,
    /// The strand that it is about, 0 the lowest of those given; of a gap the upper one.
    pub strand: Option<usize>,
}

/// What a fence is worth for one class at one weight and purpose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// The worst of all.
    pub grade: Grade,
    /// Which of them it is; `None` where all is as it should be.
    pub way: Option<WayOut>,
    /// Under the lowest strand, metres.
    pub under: Part,
    /// The gap that is worst beside what it may be, metres; `None` without two strands.
    pub between: Option<Part>,
    /// Over the top strand, metres.
    pub over: Part,
    /// Number of strands that count.
    pub number: Part,
    /// What such a fence is worth at most, whatever its heights.
    pub at_best: Grade,
    /// Whether it rests on one strand that the animals have learnt.
    pub single: bool,
    /// Whether strands that return to earth count.
    pub returns: bool,
}

impl Verdict {
    /// The part that a way out is judged by; `None` for the kind of fence.
    pub fn part(&self, way: WayOut) -> Option<Part> {
        match way {
            WayOut::Under => Some(self.under),
            WayOut::Between => self.between,
            WayOut::Over => Some(self.over),
            WayOut::Number => Some(self.number),
            WayOut::Kind => None,
        }
    }
}
