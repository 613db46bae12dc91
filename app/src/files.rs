//! The one door to files: opening grids and plans, writing whole or not at all, and one clear sentence for each trouble.

mod air;
mod air_parts;
mod grounds;
pub(crate) mod links;
mod picture;
mod rounds;
mod shared;

pub use air::{ReadPicture, is_air_photo, open_air_photo};
pub use grounds::{MadeGround, open_grid, open_grid_with, open_ground_of, place_grid};
pub use picture::{Look, PictureTrouble, look_of, png_of};
pub use rounds::{TableOf, is_table, open_written, table_of};
pub use shared::{Addressed, ENDINGS, Sharing, endings, open_quote, order_book};

use hillwire_core::bounds::FILE_BYTES;
use hillwire_core::catalogue::{InUse, OwnRowError};
use hillwire_core::job::Cancelled;
use hillwire_core::land::{GridError, GroundError};
use hillwire_core::plan::{self, Feature, Plan, PlanError, PlanNote};
use std::fs::{self, File};
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

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

/// What the system said, without its number.
fn plainly(reason: &io::Error) -> String {
    match reason.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => "this is a folder; a file is needed".to_owned(),
        io::ErrorKind::NotADirectory => "a part of its path is a file, not a folder".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        _ => reason.to_string(),
    }
}

/// Opens a file and nothing else: a folder opens too on some systems, and then fails at the first byte.
fn open_file(path: &Path) -> io::Result<File> {
    let file = File::open(path)?;
    if file.metadata()?.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    Ok(file)
}

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

/// Reads features of another program: GeoJSON that is no plan, GPX or KML.
///
/// # Errors
/// [`FileTrouble`] that names the file, and the place in it.
pub fn open_foreign(path: &Path) -> Result<(Vec<Feature>, Vec<PlanNote>), FileTrouble> {
    let bytes = read_whole(path)?;
    let name = path.display().to_string();
    let read = if plan::looks_like_xml(&bytes) { plan::read_walked(&name, &bytes) } else { plan::read_plan(&name, &bytes) };
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

/// A finished file that waits beside its place. It vanishes unless it is put there.
#[derive(Debug)]
pub struct Waiting {
    path: PathBuf,
    place: PathBuf,
    beside: NamedTempFile,
}

impl Waiting {
    /// Makes a file beside its place, with the rights of what it will replace, and brings it to the disk.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn make(
        path: &Path,
        write: impl FnOnce(&mut BufWriter<&mut NamedTempFile>) -> io::Result<()>,
    ) -> Result<Self, FileTrouble> {
        // A link stays a link: what it points at is replaced.
        let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        let make = || {
            let mut beside = empty_beside(&place)?;
            let mut buffered = BufWriter::new(&mut beside);
            write(&mut buffered)?;
            buffered.flush()?;
            drop(buffered);
            beside.as_file().sync_all()?;
            Ok(beside)
        };
        match make() {
            Ok(beside) => Ok(Self { path: path.to_owned(), place, beside }),
            Err(reason) => Err(FileTrouble::Unwritable { file: path.to_owned(), reason }),
        }
    }

    /// The same with a plan that was read from another file: it names the same grids and pictures.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn of_plan(path: &Path, plan: &Plan, from: &Path) -> Result<Self, FileTrouble> {
        Self::of_bytes(path, &plan::write_plan(&links::moved(plan, from, path)))
    }

    /// As [`Waiting::make`], of bytes in memory.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn of_bytes(path: &Path, bytes: &[u8]) -> Result<Self, FileTrouble> {
        Self::make(path, |file| file.write_all(bytes))
    }

    /// Puts it in its place.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`]; what was there before is still there.
    pub fn put(self) -> Result<(), FileTrouble> {
        let Self { path, place, beside } = self;
        beside.persist(&place).map(|_| ()).map_err(|trouble| FileTrouble::Unwritable { file: path, reason: trouble.error })
    }
}

/// The bytes of a file.
///
/// # Errors
/// When it cannot be read.
pub fn read_whole(path: &Path) -> Result<Vec<u8>, FileTrouble> {
    let unreadable = |reason| FileTrouble::Unreadable { file: path.to_owned(), reason };
    let file = open_file(path).map_err(unreadable)?;
    let mut bytes = Vec::new();
    // One byte more than there may be tells a file without end from one that just fits.
    file.take(FILE_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > FILE_BYTES {
        let says = format!("found more than {0} MB; allowed are {0} MB", FILE_BYTES / 1_000_000);
        return Err(unreadable(io::Error::new(io::ErrorKind::FileTooLarge, says)));
    }
    Ok(bytes)
}

/// Writes a file whole or not at all: beside its place, to the disk, then renamed over what was there.
///
/// # Errors
/// [`FileTrouble::Unwritable`]; what was there before is still there.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), FileTrouble> {
    Waiting::of_bytes(path, bytes)?.put()
}

fn empty_beside(place: &Path) -> io::Result<NamedTempFile> {
    let before = fs::metadata(place).ok();
    if before.as_ref().is_some_and(fs::Metadata::is_dir) {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".hillwire-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let rights = before.as_ref().map_or_else(|| fs::Permissions::from_mode(0o666), fs::Metadata::permissions);
        builder.permissions(rights);
    }
    builder.tempfile_in(folder)
}

/// Refuses an output that is one of the inputs.
///
/// # Errors
/// [`FileTrouble::OverInput`].
pub fn refuse_over_input(outputs: &[&Path], inputs: &[&Path]) -> Result<(), FileTrouble> {
    let is_input = |output: &&&Path| {
        let output = fs::canonicalize(output);
        inputs.iter().any(|input| matches!((&output, fs::canonicalize(input)), (Ok(output), Ok(input)) if *output == input))
    };
    outputs.iter().find(is_input).map_or(Ok(()), |output| Err(FileTrouble::OverInput { file: output.to_path_buf() }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("plan.geojson");
        write_whole(&path, b"first").expect("written");
        write_whole(&path, b"second").expect("replaced");
        assert_eq!(fs::read(&path).expect("read"), b"second");
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 1);
    }

    #[test]
    fn what_waits_is_not_there_until_it_is_put_and_vanishes_when_nobody_does() {
        let folder = tempfile::tempdir().expect("a folder");
        let good = folder.path().join("a.csv");
        let waiting = Waiting::of_bytes(&good, b"a").expect("made");
        let bad = folder.path().join("no-such-folder").join("b.csv");
        let trouble = Waiting::of_bytes(&bad, b"b").expect_err("no such folder");
        assert!(matches!(trouble, FileTrouble::Unwritable { .. }), "{trouble}");
        assert!(trouble.to_string().contains("no-such-folder"), "{trouble}");
        assert!(!good.exists());
        drop(waiting);
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 0);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_rights_stay_as_they_were() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().expect("a folder");
        let (file, link) = (folder.path().join("real.csv"), folder.path().join("link.csv"));
        fs::write(&file, b"old").expect("written");
        fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).expect("set");
        symlink(&file, &link).expect("linked");
        write_whole(&link, b"new").expect("written");
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
        assert_eq!(fs::read(&file).expect("read"), b"new");
        assert_eq!(fs::metadata(&file).expect("there").permissions().mode() & 0o777, 0o640);
    }

    #[test]
    fn an_output_over_its_input_is_refused_however_it_is_spelled() {
        let folder = tempfile::tempdir().expect("a folder");
        let input = folder.path().join("a.tif");
        fs::write(&input, b"x").expect("written");
        let again = folder.path().join(".").join("a.tif");
        assert!(refuse_over_input(&[&again], &[&input]).is_err());
        assert!(refuse_over_input(&[&folder.path().join("b.tif")], &[&input]).is_ok());
    }
}
