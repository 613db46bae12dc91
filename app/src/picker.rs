//! Asking the keeper for a file through the desktop's own dialog, beside the drawing thread. Where the desktop has no dialog to offer,
//! the window shows a field for the path instead.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// What the file is wanted for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Open a plan or an elevation grid.
    Open,
    /// Start a plan on an elevation grid.
    OpenGrid,
    /// Lay a further elevation grid over or under those that there are.
    AddGrid,
    /// Lay an air photo under the plan.
    AddPhoto,
    /// Read the prices that somebody filled in.
    ReadPrices,
    /// Read what was written on a round.
    ReadRound,
    /// Hold another plan against the open one.
    ComparePlan,
    /// Save the plan.
    SavePlan {
        /// Suggested name.
        name: String,
    },
    /// Write the plan for others; the ending tells the form.
    Share {
        /// Suggested name.
        name: String,
    },
}

/// How the question ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// This file.
    Picked(PathBuf),
    /// No file is wanted.
    Cancelled,
    /// The desktop has no dialog: ask in the window.
    NoDialog,
}

/// A dialog that answers this fast was never shown to anybody.
const NOBODY_IS_THAT_FAST: Duration = Duration::from_millis(80);

/// Asks for files.
#[derive(Default)]
pub struct Picker {
    asked: Option<(Purpose, Receiver<Answer>)>,
}

impl Picker {
    /// Shows the dialog. An earlier question that is still open stays: one at a time.
    pub fn ask(&mut self, purpose: Purpose, beside: Option<&Path>, ctx: &egui::Context) {
        if self.asked.is_some() {
            return;
        }
        let (sender, receiver) = channel();
        let (question, folder, ctx) = (purpose.clone(), beside.and_then(Path::parent).map(Path::to_path_buf), ctx.clone());
        std::thread::spawn(move || {
            let began = Instant::now();
            let picked = show(&question, folder);
            let answer = match picked {
                Some(path) => Answer::Picked(path),
                None if began.elapsed() < NOBODY_IS_THAT_FAST => Answer::NoDialog,
                None => Answer::Cancelled,
            };
            let _ = sender.send(answer);
            ctx.request_repaint();
        });
        self.asked = Some((purpose, receiver));
    }

    /// The answer, once it has come.
    pub fn answer(&mut self) -> Option<(Purpose, Answer)> {
        let (_, receiver) = self.asked.as_ref()?;
        let answer = match receiver.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Answer::NoDialog,
        };
        self.asked.take().map(|(purpose, _)| (purpose, answer))
    }
}

fn show(purpose: &Purpose, folder: Option<PathBuf>) -> Option<PathBuf> {
    let mut dialog = rfd::FileDialog::new();
    if let Some(folder) = folder {
        dialog = dialog.set_directory(folder);
    }
    let grids = ["tif", "tiff", "asc"];
    match purpose {
        Purpose::Open => dialog
            .set_title("Open a plan, an elevation grid, or what another program drew")
            .add_filter("Plans, grids, and what other programs drew", &["geojson", "json", "gpx", "kml", "tif", "tiff", "asc"])
            .pick_file(),
        Purpose::OpenGrid => dialog.set_title("Elevation grid of your ground").add_filter("Elevation grids", &grids).pick_file(),
        Purpose::AddGrid => dialog.set_title("A further elevation grid").add_filter("Elevation grids", &grids).pick_file(),
        Purpose::AddPhoto => {
            dialog.set_title("An air photo").add_filter("Pictures", &["png", "jpg", "jpeg", "tif", "tiff"]).pick_file()
        }
        Purpose::ReadPrices => {
            dialog.set_title("A sheet with prices filled in").add_filter("Spreadsheets", &["xlsx", "csv"]).pick_file()
        }
        Purpose::ReadRound => {
            dialog.set_title("What was written on a round").add_filter("Rounds", &["gpx", "csv", "xlsx"]).pick_file()
        }
        Purpose::ComparePlan => dialog.set_title("A plan to compare with").add_filter("Plans", &["geojson", "json"]).pick_file(),
        Purpose::SavePlan { name } => dialog.set_title("Save the plan").set_file_name(name).save_file(),
        Purpose::Share { name } => dialog.set_title("Write a file for somebody else").set_file_name(name).save_file(),
    }
}
