//! The one door to files: opening grids and plans, writing whole or not at all, and one clear sentence for each trouble.

mod air;
mod air_parts;
mod disk;
mod grounds;
mod guard;
mod kept;
pub(crate) mod links;
mod memory;
mod picture;
mod rounds;
mod shared;
mod waiting;

pub use air::{ReadPicture, is_air_photo, open_air_photo};
pub use disk::{Disk, RealDisk, Standing, lock_soon, plain_reason, try_lock};
pub use grounds::{MadeGround, open_grid, open_grid_with, open_ground_of, place_grid};
pub use guard::{Guard, Over, same_place};
pub use kept::{FileMark, is_write_protected, mark_of, mark_of_bytes};
pub use memory::free as free_memory;
pub use picture::{Look, PictureTrouble, look_of, png_of};
pub use rounds::{TableOf, is_table, open_readings, open_written, table_of};
pub use shared::{Addressed, ENDINGS, Sharing, endings, open_quote, order_book};
pub use waiting::{Waiting, abandon_all, is_stream, write_whole};

use hillwire_core::bounds::{BESIDE_BYTES, FILE_BYTES};
use hillwire_core::catalogue::{InUse, OwnRowError};
use hillwire_core::job::Cancelled;
use hillwire_core::land::{GridError, GroundError};
use hillwire_core::plan::{self, Feature, Plan, PlanError, PlanNote};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A file that cannot be used or written. Each sentence names the file first.
#[derive(Debug, thiserror::Error)]
pub enum FileTrouble {
    /// It cannot be opened or read.
    #[error("{}: {}", file.display(), plainly(reason))]
    Unreadable {
        /// Which.
        file: PathBuf,
        /// What the system said.
        reason: io::Error,
    },
    /// It is no usable elevation grid.
    #[error("{}: {trouble}", file.display())]
    Grid {
        /// Which.
        file: PathBuf,
        /// Why.
        trouble: GridError,
    },
    /// Its place on the globe cannot be used.
    #[error("{}: {trouble}", file.display())]
    Ground {
        /// Which.
        file: PathBuf,
        /// Why.
        trouble: GroundError,
    },
    /// Its points cannot be decoded.
    #[error("{}: the picture cannot be decoded: {reason}; allowed are PNG, JPEG and TIFF", file.display())]
    Undecoded {
        /// Which.
        file: PathBuf,
        /// What the decoder said.
        reason: String,
    },
    /// It is no usable plan.
    #[error("{0}")]
    Plan(PlanError),
    /// One of its own catalogue rows cannot be used.
    #[error("{}: {trouble}", file.display())]
    OwnRow {
        /// Which plan.
        file: PathBuf,
        /// The row, and why.
        trouble: OwnRowError,
    },
    /// It is GeoJSON, but no plan.
    #[error(
        "{}: found GeoJSON without a hillwire member; a plan is needed: open it in the window, say what its features are, and save it",
        file.display()
    )]
    NotAPlan {
        /// Which.
        file: PathBuf,
    },
    /// It is nothing that was written on a round.
    #[error("{}: {says}", file.display())]
    NotWritten {
        /// Which.
        file: PathBuf,
        /// Why.
        says: String,
    },
    /// It is a plan, where features of another program are needed.
    #[error("{}: found a plan; allowed are GPX, KML, and GeoJSON of other programs", file.display())]
    IsAPlan {
        /// Which.
        file: PathBuf,
    },
    /// The plan names an elevation grid that is not there.
    #[error(
        "{}: hillwire.elevation[{index}].file: found {named:?}, but {} cannot be opened ({}); lay it there, or take the entry out of the plan",
        plan.display(), grid.display(), plainly(reason)
    )]
    MissingGrid {
        /// The plan.
        plan: PathBuf,
        /// Which of its grids.
        index: usize,
        /// As the plan names it.
        named: String,
        /// Where that is.
        grid: PathBuf,
        /// What the system said.
        reason: io::Error,
    },
    /// It would be written over what it is made from.
    #[error("{}: this is the input itself; give the output another name", file.display())]
    OverInput {
        /// Which.
        file: PathBuf,
    },
    /// It cannot be written.
    #[error("{}: could not be written: {}", file.display(), plainly(reason))]
    Unwritable {
        /// Which.
        file: PathBuf,
        /// What the system said.
        reason: io::Error,
    },
    /// Nobody wanted it any more.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// What the system said, without its number, and without the name of a file that nobody knows.
fn plainly(reason: &io::Error) -> String {
    match reason.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => "this is a folder; a file is needed".to_owned(),
        io::ErrorKind::NotADirectory => "a part of its path is a file, not a folder".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::InvalidInput if reason.raw_os_error().is_some() => "the system cannot do that with such a file".to_owned(),
        io::ErrorKind::QuotaExceeded => "no more may be stored there".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        io::ErrorKind::InvalidFilename => "its name is too long, or has signs that no name may have here".to_owned(),
        _ => without_number(&reason.to_string()),
    }
}

fn without_number(says: &str) -> String {
    let says = says.split(" (os error").next().unwrap_or(says);
    let mut letters = says.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// What the system said, out of what a library wrapped around it.
fn reason_of(reason: io::Error) -> io::Error {
    let mut within: Option<&(dyn std::error::Error + 'static)> = reason.get_ref().map(|inner| inner as _);
    let mut innermost = None;
    while let Some(error) = within {
        innermost = error.downcast_ref::<io::Error>().or(innermost);
        within = error.source();
    }
    match innermost {
        Some(inner) => inner.raw_os_error().map_or_else(|| inner.kind().into(), io::Error::from_raw_os_error),
        None => reason,
    }
}

/// Opens an ordinary file, which can be read from any byte: a pipe may never have one, and a folder opens too on some systems and then fails.
pub(crate) fn open_file(path: &Path) -> io::Result<File> {
    refuse_stream(&fs::metadata(path)?)?;
    File::open(path)
}

fn refuse_stream(about: &fs::Metadata) -> io::Result<()> {
    if about.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    if !about.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, NotAFile));
    }
    Ok(())
}

/// What stands at a path is a pipe, a device or the like.
#[derive(Debug, thiserror::Error)]
#[error("this is a pipe or a device; an ordinary file is needed")]
struct NotAFile;

/// A plan as it stands in its file.
#[derive(Debug)]
pub struct PlanFile {
    /// Where.
    pub path: PathBuf,
    /// The bytes it came as.
    pub bytes: Vec<u8>,
    /// The plan.
    pub plan: Plan,
    /// What is worth saying about the file.
    pub notes: Vec<PlanNote>,
}

impl PlanFile {
    /// Where the plan's elevation grids are: relative to the plan's own folder.
    pub fn grid_paths(&self) -> Vec<PathBuf> {
        let folder = self.path.parent().unwrap_or(Path::new(""));
        self.plan.head.elevation.iter().map(|link| folder.join(&link.file)).collect()
    }
}

/// Reads a plan, or any other GeoJSON as features that somebody has to say what they are.
///
/// # Errors
/// [`FileTrouble`] that names the file, and the place in it.
pub fn open_geojson(path: &Path) -> Result<(Vec<u8>, plan::Opened), FileTrouble> {
    let bytes = read_whole(path)?;
    let opened = plan::read_plan(&path.display().to_string(), &bytes).map_err(FileTrouble::Plan)?;
    Ok((bytes, opened))
}

/// Whether its name says that XML is in it.
pub fn is_called_xml(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ["gpx", "kml"].iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// Reads features of another program: GeoJSON that is no plan, GPX or KML.
///
/// # Errors
/// [`FileTrouble`] that names the file, and the place in it.
pub fn open_foreign(path: &Path) -> Result<(Vec<Feature>, Vec<PlanNote>), FileTrouble> {
    let bytes = read_whole(path)?;
    let name = path.display().to_string();
    let read = if plan::looks_like_xml(&bytes) || is_called_xml(path) {
        plan::read_walked(&name, &bytes)
    } else {
        plan::read_plan(&name, &bytes)
    };
    match read.map_err(FileTrouble::Plan)? {
        plan::Opened::Import(features, notes) => Ok((features, notes)),
        plan::Opened::Plan(..) => Err(FileTrouble::IsAPlan { file: path.to_owned() }),
    }
}

/// Reads a plan.
///
/// # Errors
/// [`FileTrouble`] that names the file, and the place in it.
pub fn open_plan(path: &Path) -> Result<PlanFile, FileTrouble> {
    match open_geojson(path)? {
        (bytes, plan::Opened::Plan(plan, notes)) => Ok(PlanFile { path: path.to_owned(), bytes, plan, notes }),
        (_, plan::Opened::Import(..)) => Err(FileTrouble::NotAPlan { file: path.to_owned() }),
    }
}

/// The catalogue's rows with the plan's own.
///
/// # Errors
/// [`FileTrouble`] that names the plan and the row.
pub fn rows_of(plan: &PlanFile) -> Result<InUse, FileTrouble> {
    let own_row = |trouble| FileTrouble::OwnRow { file: plan.path.clone(), trouble };
    InUse::with(&plan.plan.head.catalogue).map_err(own_row)
}

/// The bytes of a file, or of a pipe that another program writes for this one.
///
/// # Errors
/// When it cannot be read.
pub fn read_whole(path: &Path) -> Result<Vec<u8>, FileTrouble> {
    read_up_to(path, FILE_BYTES)
}

/// What stands beside a grid or a picture and says where that lies; `None` where there is none.
///
/// # Errors
/// [`FileTrouble::Unreadable`] for one that is longer than such a text ever is.
pub fn read_beside(path: &Path, endings: &[String]) -> Result<Option<String>, FileTrouble> {
    let beside = endings.iter().map(|ending| path.with_extension(ending)).find(|beside| beside.is_file());
    let bytes = beside.map(|beside| read_up_to(&beside, BESIDE_BYTES)).transpose()?;
    Ok(bytes.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
}

fn read_up_to(path: &Path, most: u64) -> Result<Vec<u8>, FileTrouble> {
    let read = || {
        let about = fs::metadata(path)?;
        if !is_passed_pipe(path, &about) {
            refuse_stream(&about)?;
        }
        let mut bytes = Vec::new();
        // One byte more than there may be tells a file without end from one that just fits.
        File::open(path)?.take(most + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > most {
            let says = format!("found more than {0} MB; allowed are {0} MB", most / 1_000_000);
            return Err(io::Error::new(io::ErrorKind::FileTooLarge, says));
        }
        Ok(bytes)
    };
    read().map_err(|reason| FileTrouble::Unreadable { file: path.to_owned(), reason })
}

/// Whether it is a pipe without a name, as a shell makes it: its writer is there already, or gone. One that has a name may wait for ever.
#[cfg(unix)]
fn is_passed_pipe(path: &Path, about: &fs::Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt;
    about.file_type().is_fifo() && fs::canonicalize(path).is_err()
}

#[cfg(not(unix))]
fn is_passed_pipe(_: &Path, _: &fs::Metadata) -> bool {
    false
}
