//! What comes back from work.

use crate::air::ReadPhoto;
use crate::files::Look;
use crate::helping::Helps;
use crate::journal::KeptJournal;
use crate::layouts::Other;
use crate::locating::Found;
use crate::log_view::{ReadLog, WrittenRound};
use crate::map::contours::ContourLine;
use crate::map::look::LookPicture;
use crate::map::tiles::TileKey;
use crate::opening::{MadeGround, Opened};
use crate::order_view::Beside;
use crate::power_view::PulseShape;
use crate::rerouting::CourseAnswer;
use crate::round_view;
use crate::saving::{Looked, SaveEnd};
use hillwire_core::land::{ShadeTile, Survey};
use hillwire_core::mend::Trial;
use hillwire_core::order::quote::Quote;
use hillwire_core::outcome::Outcome;
use std::path::PathBuf;
use std::sync::Arc;

/// What comes back from work.
pub enum Arrived {
    /// Consequences of a revision, with the generation of the ground that they were worked out on.
    Outcome(Arc<Outcome>, u64),
    /// What would bring more to the far end.
    Helps(Helps),
    /// What is worked out beside the order.
    Beside(Box<Beside>),
    /// Another layout, to be held against the drawn one.
    Other(Result<Box<Other>, String>),
    /// Sheets for somebody else, as they would be printed.
    Looks(Result<Vec<Arc<Look>>, String>),
    /// Prices that came back.
    Quote(Box<Quote>),
    /// The log, and what it teaches.
    Log(Box<ReadLog>),
    /// What was written on a round.
    WrittenRound(Box<WrittenRound>),
    /// The way round.
    Round(Box<round_view::Found>),
    /// Where the fault is.
    Found(Box<Found>),
    /// The pulse at a place.
    Pulse(Box<PulseShape>),
    /// A file was read.
    Opened(Opened),
    /// Ground for the plan: a coarse first look, then all of it.
    Ground(MadeGround, GroundStage),
    /// The plan has no elevation grid any more.
    NoGround,
    /// Saving has ended.
    SaveEnded(SaveEnd),
    /// The file of the plan was looked at.
    Looked(Box<Looked>),
    /// Journals that wait, or are kept aside.
    Kept(Vec<KeptJournal>),
    /// A file for somebody else was written.
    Written(PathBuf),
    /// A shaded tile.
    Tile(TileKey, Option<ShadeTile>),
    /// A picture of the ground in classes.
    Look(LookPicture),
    /// An air photo was read.
    Photo(Box<Result<ReadPhoto, String>>),
    /// What each elevation grid is, the finest first.
    Surveys(Arc<Vec<Survey>>),
    /// Contour lines of a ground.
    Contours(Arc<Vec<ContourLine>>),
    /// Other courses of a line.
    Courses(Box<CourseAnswer>),
    /// A mend was tried.
    Trial(Box<Trial>),
    /// Something went wrong: one sentence for people.
    Trouble(String),
    /// Something went wrong inside the program: what was being done ends without an answer.
    Broke(String),
}

impl Arrived {
    /// Whether it is worth something although another plan is open meanwhile.
    pub(super) fn outlives_its_plan(&self) -> bool {
        matches!(
            self,
            Self::Opened(_)
                | Self::Ground(..)
                | Self::NoGround
                | Self::SaveEnded(_)
                | Self::Kept(_)
                | Self::Written(_)
                | Self::Tile(..)
                | Self::Trouble(_)
                | Self::Broke(_)
        )
    }
}

impl Arrived {
    /// The same once another plan is open: what became of saving the one before is told, and is no news of this one.
    pub(super) fn of_another_plan(self) -> Self {
        match self {
            Self::SaveEnded(SaveEnd::Saved(saved)) => Self::Written(saved.path),
            Self::SaveEnded(SaveEnd::Refused(request, _)) => {
                Self::Trouble(format!("{}: not saved, for it would have taken the place of something", request.path.display()))
            }
            Self::SaveEnded(SaveEnd::Failed(trouble)) => Self::Trouble(trouble),
            other => other,
        }
    }
}

/// How much of the ground has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GroundStage {
    /// A coarse picture; the whole is still being read.
    FirstLook,
    /// All of it.
    Whole,
}
