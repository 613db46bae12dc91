//! Where the plan is kept, and the ground it lies on.

use crate::files::FileMark;
use crate::journal::Hold;
use crate::map::contours::ContourLine;
use crate::session::Session;
use crate::words::Cells;
use hillwire_core::land::{Ground, Survey};
use hillwire_core::plan::FileLink;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where the plan is kept, and the bytes it came as.
#[derive(Clone, Debug, Default)]
pub struct Home {
    /// The file; `None` for a plan that was never saved.
    pub path: Option<PathBuf>,
    /// The bytes as opened: an untouched plan is written back as it came.
    pub original: Option<Arc<[u8]>>,
    /// Why the plan may not be written back, when it may not.
    pub look_only: Option<LookOnly>,
    /// The file as it was last read or written here.
    pub mark: Option<FileMark>,
    /// That this window has the file open.
    pub hold: Option<Arc<Hold>>,
    /// Whether the file was gone when it was looked at last.
    pub is_gone: bool,
}

/// Why a plan is only looked at, and saved under another name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LookOnly {
    /// A newer program wrote its file.
    NewerForm,
    /// Another window has it open.
    OpenElsewhere,
}

/// The ground as the window has it.
#[derive(Clone, Default)]
pub struct Land {
    /// The newest ground that came.
    pub ground: Option<Arc<Ground>>,
    /// Whether it is only the first look.
    pub is_first_look: bool,
    /// Grows with every ground: tells tiles of an old ground from those of a new one.
    pub generation: u64,
    /// Its lowest and highest height, roughly.
    pub heights_m: (f64, f64),
    /// How fine and how rough the cells of each of its grids are, the finest first.
    pub cells: Vec<Cells>,
    /// What each of its grids is.
    pub surveys: Arc<Vec<Survey>>,
    /// The files of its grids, the finest first.
    pub files: Vec<PathBuf>,
    /// What the plan called its grids when they were last asked for.
    pub links: Vec<FileLink>,
    /// Where these are.
    pub asked: Vec<PathBuf>,
    /// Contour lines of it.
    pub contours: Option<Arc<Vec<ContourLine>>>,
}

impl Session {
    /// What the window is called.
    pub(crate) fn window_title(&self) -> String {
        let name = |path: &Path| {
            let folder = path.parent().map_or_else(String::new, |folder| format!(" ({})", folder.display()));
            let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
            format!("{name}{folder}")
        };
        let looked_at = if self.home.look_only.is_some() { ", only looked at" } else { "" };
        match self.home.path.as_deref() {
            Some(path) => format!("{}{looked_at} - Hillwire", name(path)),
            None => "Hillwire".to_owned(),
        }
    }
}
