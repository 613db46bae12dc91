//! Elevation grids from files' bytes: GeoTIFF and text grids. The bytes decide what it is, never the name.

mod chunk;
mod contents;
mod crs;
mod decode;
mod error;
mod geokeys;
mod geotiff;
mod image;
mod number;
mod orient;
mod own_crs;
mod sanity;
mod signature;
mod tags;
#[cfg(test)]
mod tests;
mod text_grid;
mod text_heading;
mod world;

pub use error::GridError;
pub use world::{Beside, is_picture, picture_place};

use super::{Georeference, Grid};
use crate::job::Job;
use crs::Described;
use signature::Signature;
use std::io::{self, Cursor, Read, Seek};

/// Bytes that can be read from any place.
pub trait ReadSeek: Read + Seek {}
impl<T: Read + Seek> ReadSeek for T {}

/// Where the bytes of a grid come from. Every decoding thread opens its own handle, so nobody waits for another's place.
pub trait GridBytes: Sync {
    /// A new handle, at the first byte.
    ///
    /// # Errors
    /// What the system says when it cannot be opened.
    fn open(&self) -> io::Result<Box<dyn ReadSeek + Send + '_>>;
}

impl GridBytes for &[u8] {
    fn open(&self) -> io::Result<Box<dyn ReadSeek + Send + '_>> {
        Ok(Box::new(Cursor::new(*self)))
    }
}

impl GridBytes for Vec<u8> {
    fn open(&self) -> io::Result<Box<dyn ReadSeek + Send + '_>> {
        Ok(Box::new(Cursor::new(self.as_slice())))
    }
}

/// A file that should hold an elevation grid.
pub struct GridFile<'a> {
    /// Its name, for messages: what to lay beside it.
    pub name: &'a str,
    /// Its bytes.
    pub bytes: &'a dyn GridBytes,
    /// Text of the projection file (.prj) beside it, if there is one: used where the grid itself names no system.
    pub prj: Option<&'a str>,
}

/// The most cells that are taken into memory: 4 GB of heights.
pub const MOST_CELLS: u64 = 1_000_000_000;

/// Grids of fewer cells than this come whole before anybody would see a first look.
const FIRST_LOOK_CELLS: usize = 2_000_000;

/// Reads an elevation grid: heights in metres, north row first, voids NaN, and what is doubtful about it as notes.
///
/// # Errors
/// [`GridError`] when it cannot be used, or was cancelled.
pub fn read_grid(file: &GridFile, job: &Job) -> Result<Grid, GridError> {
    read_grid_with_first_look(file, job, &|_| {})
}

/// As [`read_grid`]; for a large grid `first_look` is called once, early, with a coarse copy of it (without notes).
///
/// # Errors
/// [`GridError`] when it cannot be used, or was cancelled.
pub fn read_grid_with_first_look(file: &GridFile, job: &Job, first_look: &(dyn Fn(Grid) + Sync)) -> Result<Grid, GridError> {
    let mut handle = file.bytes.open()?;
    let grid = match signature::of(&mut handle)? {
        Signature::Tiff => geotiff::read(file, handle, job, first_look)?,
        Signature::Text => text_grid::read(file, handle, job, first_look)?,
    };
    job.set_share_done(1.0);
    Ok(grid)
}

/// What a reader knows before the heights are decoded.
struct Placed {
    columns: usize,
    rows: usize,
    georeference: Georeference,
}

/// The coordinate system of the projection file, for a grid that names none itself.
fn crs_beside(file: &GridFile) -> Result<Described, GridError> {
    match file.prj {
        Some(text) if !text.trim().is_empty() => crs::of_projection_file(text),
        _ => {
            let stem = file.name.rsplit_once('.').map_or(file.name, |(stem, _)| stem);
            Err(GridError::NoCrs { projection_file: format!("{stem}.prj") })
        }
    }
}

/// Checks the size of a grid before any memory is asked for.
fn cells(columns: u64, rows: u64) -> Result<usize, GridError> {
    if columns < 2 || rows < 2 {
        return Err(GridError::TooSmall { columns, rows });
    }
    let too_large = GridError::TooLarge { columns, rows, most_cells: MOST_CELLS };
    let cells = columns.checked_mul(rows).filter(|cells| *cells <= MOST_CELLS).ok_or(too_large.clone())?;
    usize::try_from(cells).map_err(|_| too_large)
}

/// Memory for the heights, zeroed by the system page by page as the decoding threads come to it.
fn room_for(columns: usize, rows: usize) -> Result<Vec<f32>, GridError> {
    let cells = columns * rows;
    // Asked first in a way that can be refused: `vec!` would end the program.
    Vec::<f32>::new().try_reserve_exact(cells).map_err(|_| GridError::TooLarge {
        columns: columns as u64,
        rows: rows as u64,
        most_cells: MOST_CELLS,
    })?;
    Ok(vec![0.0; cells])
}
