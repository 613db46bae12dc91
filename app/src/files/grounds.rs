//! Opening elevation grids, one or several over each other.

use super::{FileTrouble, PlanFile, open_file, read_beside};
use hillwire_core::job::Job;
use hillwire_core::land::{Frame, Grid, GridBytes, GridError, GridFile, Ground, Placement, ReadSeek, read_grid};
use std::io::{self, BufReader};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Ground with the files that it was made from.
#[derive(Clone)]
pub struct MadeGround {
    /// The ground.
    pub ground: Arc<Ground>,
    /// Its files, in the order of its layers.
    pub files: Vec<PathBuf>,
}

impl MadeGround {
    /// One ground of several grids with their files.
    pub fn of(grids: Vec<(PathBuf, Ground)>) -> Option<Self> {
        let known: Vec<(PathBuf, Arc<Grid>)> =
            grids.iter().map(|(path, ground)| (path.clone(), Arc::clone(ground.grid()))).collect();
        let ground = Ground::layered(grids.into_iter().map(|(_, ground)| ground).collect())?;
        let file = |layer: &Ground| known.iter().find(|(_, grid)| Arc::ptr_eq(grid, layer.grid())).map(|(path, _)| path.clone());
        let files = ground.layers().filter_map(file).collect();
        Some(Self { ground: Arc::new(ground), files })
    }

    /// Each grid with its file, the finest first.
    pub fn layers(&self) -> impl Iterator<Item = (&PathBuf, &Ground)> {
        self.files.iter().zip(self.ground.layers())
    }
}

/// Reads an elevation grid; a projection file (.prj) beside it says where it lies when the grid itself does not.
///
/// # Errors
/// [`FileTrouble`] that names the file.
pub fn open_grid(path: &Path, job: &Job) -> Result<Grid, FileTrouble> {
    open_grid_with(path, |file| read_grid(file, job))
}

/// As [`open_grid`], with the reader of the caller's choice.
///
/// # Errors
/// [`FileTrouble`] that names the file.
pub fn open_grid_with(path: &Path, read: impl FnOnce(&GridFile) -> Result<Grid, GridError>) -> Result<Grid, FileTrouble> {
    open_file(path).map_err(|reason| FileTrouble::Unreadable { file: path.to_owned(), reason })?;
    let prj = read_beside(path, &["prj".to_owned(), "PRJ".to_owned()])?;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
    match read(&GridFile { name: &name, bytes: &OnDisk(path), prj: prj.as_deref() }) {
        Ok(grid) => Ok(grid),
        Err(GridError::Cancelled(cancelled)) => Err(cancelled.into()),
        Err(trouble) => Err(FileTrouble::Grid { file: path.to_owned(), trouble }),
    }
}

/// Places a grid on the map of a frame; without one the frame is the grid's own.
///
/// # Errors
/// [`FileTrouble`] that names the file the grid came from.
pub fn place_grid(path: &Path, grid: Arc<Grid>, frame: Option<Frame>) -> Result<Ground, FileTrouble> {
    let trouble = |trouble| FileTrouble::Ground { file: path.to_owned(), trouble };
    let frame = frame.map_or_else(|| Ground::frame_of(&grid), Ok).map_err(trouble)?;
    Ground::new(grid, frame).map_err(trouble)
}

/// Reads the elevation grids that a plan names, and lays them over each other on the map.
///
/// # Errors
/// [`FileTrouble`] that names the grid, and the plan when the grid is not there.
pub fn open_ground_of(plan: &PlanFile, frame: Option<Frame>, job: &Job) -> Result<Option<MadeGround>, FileTrouble> {
    let mut frame = frame;
    let mut grids = Vec::new();
    for (index, path) in plan.grid_paths().into_iter().enumerate() {
        let grid = open_grid(&path, job).map_err(|trouble| match trouble {
            FileTrouble::Unreadable { file, reason } => {
                let named = plan.plan.head.elevation[index].file.clone();
                FileTrouble::MissingGrid { plan: plan.path.clone(), index, named, grid: file, reason }
            }
            other => other,
        })?;
        let ground = place_grid(&path, Arc::new(grid), frame)?;
        if let (None, Some(middle)) = (frame, plan.plan.middle()) {
            let elsewhere = |trouble| FileTrouble::Ground { file: path.clone(), trouble };
            Placement::refuse_plan_elsewhere(ground.frame(), middle).map_err(elsewhere)?;
        }
        frame = Some(ground.frame());
        grids.push((path, ground));
    }
    Ok(MadeGround::of(grids))
}

/// A grid file that every decoding thread opens for itself.
pub(super) struct OnDisk<'a>(pub(super) &'a Path);

impl GridBytes for OnDisk<'_> {
    fn open(&self) -> io::Result<Box<dyn ReadSeek + Send + '_>> {
        Ok(Box::new(BufReader::new(open_file(self.0)?)))
    }
}
