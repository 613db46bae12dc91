//! What opening a file means to the window: a plan with its ground, ground for a new plan, or features from elsewhere.

use crate::files::{self, Sharing, TableOf};
pub use crate::files::{FileTrouble, MadeGround};
use crate::home::LookOnly;
use crate::journal::{self, Held, Hold, LeftOver};
use crate::session::Home;
use crate::starter;
use crate::words;
use hillwire_core::job::Job;
use hillwire_core::land::{self, Frame, Ground, Position, read_grid_with_first_look};
use hillwire_core::plan::{self, Feature, Geometry, Plan};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A file as it came in.
#[derive(Debug)]
pub enum Opened {
    /// A plan of ours, or a new one on an elevation grid.
    Plan(Box<OpenedPlan>),
    /// An air photo, to lie under the plan that is open.
    Photo(PathBuf),
    /// Features from another program, to be taken into the plan that is open.
    Features(Vec<Feature>, Vec<String>),
    /// A table for the plan that is open.
    Table(TableOf, PathBuf),
}

/// A plan that came in.
#[derive(Debug)]
pub struct OpenedPlan {
    /// The plan.
    pub plan: Plan,
    /// Where it is kept.
    pub home: Home,
    /// Its elevation grids.
    pub grids: Vec<PathBuf>,
    /// The plan as it was last, when a journal holds more than the file.
    pub left_over: Option<LeftOver>,
    /// What the keeper should know about it.
    pub notices: Vec<String>,
}

impl OpenedPlan {
    /// A plan that is kept nowhere yet.
    pub fn unsaved(plan: Plan, grids: Vec<PathBuf>) -> Self {
        Self { plan, home: Home::default(), grids, left_over: None, notices: Vec::new() }
    }

    /// Takes hold of the plan file for this window and looks what a journal from before holds beyond it. Where another window has it open,
    /// its journal is that window's, and the plan is looked at only.
    pub fn take_hold(&mut self, folder: Option<&Path>, mine: Option<&Arc<Hold>>) {
        let Some(path) = self.home.path.clone() else { return };
        match journal::hold_soon(&path, folder, mine) {
            Held::Elsewhere => self.home.look_only = Some(LookOnly::OpenElsewhere),
            held => {
                self.left_over = journal::left_over(&path, &self.plan, folder);
                self.notices.extend(journal::unreadable(&path).map(|place| words::journal_unreadable(&place)));
                self.home.hold = if let Held::Here(hold) = held { Some(hold) } else { None };
            }
        }
    }

    /// The frame of its features; `None` when it has none yet.
    pub fn frame(&self) -> Option<Frame> {
        middle(self.plan.features.iter().map(AsRef::as_ref)).map(Frame::near)
    }
}

/// The middle of the rectangle around features, on the globe.
pub fn middle<'a>(features: impl Iterator<Item = &'a Feature>) -> Option<Position> {
    let corners: Vec<Position> = features.flat_map(corners).collect();
    land::middle(&corners)
}

fn corners(feature: &Feature) -> Vec<Position> {
    match &feature.geometry {
        Geometry::Point(at) => vec![*at],
        Geometry::Line(corners) => corners.clone(),
        Geometry::Area(rings) => rings.iter().flatten().copied().collect(),
        Geometry::Other(_) => Vec::new(),
    }
}

/// Opens a plan, plain GeoJSON or an elevation grid; what it is, its content tells.
///
/// # Errors
/// [`FileTrouble`] that names the file and the place in it.
pub fn open_anything(path: &Path) -> Result<Opened, FileTrouble> {
    if first_character(path)? == Some(b'<') || files::is_called_xml(path) {
        let (features, notes) = files::open_foreign(path)?;
        return Ok(Opened::Features(features, words::plan_notes(&notes)));
    }
    if files::is_air_photo(path)? {
        return Ok(Opened::Photo(path.to_owned()));
    }
    if let Some(of) = files::table_of(path)? {
        return Ok(Opened::Table(of, path.to_owned()));
    }
    if first_character(path)? != Some(b'{') {
        return Ok(Opened::Plan(Box::new(OpenedPlan::unsaved(starter::plan_on(path), vec![path.to_owned()]))));
    }
    // The time is asked first: what is written while it is read is noticed.
    let modified = std::fs::metadata(path).and_then(|known| known.modified()).ok();
    let (bytes, opened) = files::open_geojson(path)?;
    Ok(match opened {
        plan::Opened::Plan(plan, notes) => {
            let file = files::PlanFile { path: path.to_owned(), bytes, plan, notes };
            let grids = file.grid_paths();
            let notices = words::plan_notes(&file.notes);
            let is_newer = file.notes.iter().any(|note| matches!(note, plan::PlanNote::NewerVersion { .. }));
            let mark = files::mark_of_bytes(&file.bytes).written(modified);
            let home = Home {
                path: Some(std::path::absolute(&file.path).unwrap_or(file.path)),
                original: Some(Arc::from(file.bytes)),
                look_only: is_newer.then_some(LookOnly::NewerForm),
                mark: Some(mark),
                ..Home::default()
            };
            Opened::Plan(Box::new(OpenedPlan { plan: file.plan, home, grids, left_over: None, notices }))
        }
        plan::Opened::Import(features, notes) => Opened::Features(features, words::plan_notes(&notes)),
    })
}

/// Whether a file takes the place of the plan that is open: another plan, or ground for a new one. All others are taken into it. A look at
/// its beginning and its ending, and for GeoJSON whether a plan's own member is in it: no more than a frame's time.
pub fn replaces_the_plan(path: &Path) -> bool {
    if files::is_table(path) || files::is_air_photo(path).unwrap_or(false) {
        return false;
    }
    match first_character(path) {
        Ok(Some(b'{')) => {
            files::read_whole(path).is_ok_and(|bytes| bytes.windows(OWN_MEMBER.len()).any(|here| here == OWN_MEMBER))
        }
        Ok(Some(first)) => first != b'<',
        _ => false,
    }
}

/// What only a plan of ours has.
const OWN_MEMBER: &[u8] = b"\"hillwire\"";

/// The first character that is not a space, after a byte order mark.
fn first_character(path: &Path) -> Result<Option<u8>, FileTrouble> {
    let mut first = Vec::new();
    let read = files::open_file(path).and_then(|file| file.take(512).read_to_end(&mut first));
    read.map_err(|reason| FileTrouble::Unreadable { file: path.to_owned(), reason })?;
    let text = first.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&first);
    Ok(text.iter().find(|byte| !byte.is_ascii_whitespace()).copied())
}

/// Reads elevation grids and lays them over each other, and says what is wrong with those that cannot be used; a coarse first look at the
/// first one is handed out while the rest is being read.
pub fn open_grounds(
    paths: &[PathBuf],
    frame: Option<Frame>,
    job: &Job,
    first_look: &(dyn Fn(Ground) + Sync),
) -> (Option<MadeGround>, Vec<FileTrouble>) {
    let (mut grids, mut troubles) = (Vec::new(), Vec::new());
    let mut frame = frame;
    for (index, path) in paths.iter().enumerate() {
        let show = |ground: Ground| {
            if index == 0 {
                first_look(ground)
            }
        };
        match open_ground(path, frame, job, &show) {
            Ok(ground) => {
                frame = Some(ground.frame());
                grids.push((path.clone(), ground));
            }
            Err(trouble) => troubles.push(trouble),
        }
    }
    (MadeGround::of(grids), troubles)
}

/// Reads an elevation grid and places it on the map; a coarse first look is handed out while the rest is being read.
///
/// # Errors
/// [`FileTrouble`] that names the grid.
pub fn open_ground(
    path: &Path,
    frame: Option<Frame>,
    job: &Job,
    first_look: &(dyn Fn(Ground) + Sync),
) -> Result<Ground, FileTrouble> {
    let look = |grid: hillwire_core::land::Grid| {
        if let Ok(ground) = files::place_grid(path, Arc::new(grid), frame) {
            first_look(ground);
        }
    };
    let grid = files::open_grid_with(path, |file| read_grid_with_first_look(file, job, &look))?;
    files::place_grid(path, Arc::new(grid), frame)
}

/// Writes a file for somebody else; its ending tells the form.
///
/// # Errors
/// One sentence that names the file.
pub fn share(path: &Path, sharing: &Sharing) -> Result<(), String> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    let bytes = sharing.bytes(&ending).map_err(|trouble| format!("{}: {trouble}", path.display()))?;
    files::write_whole(path, &bytes).map_err(|trouble| trouble.to_string())
}
