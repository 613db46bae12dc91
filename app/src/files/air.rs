//! Opening air photos: the points through general decoders, the place from the file itself or from what lies beside it.

use super::air_parts::{PartTrouble, reduce, size};
use super::grounds::OnDisk;
use super::{FileTrouble, open_file, read_beside};
use hillwire_core::bounds::{PICTURE_POINTS, PICTURE_POINTS_KEPT, beginning};
use hillwire_core::job::Job;
use hillwire_core::land::{Beside, Crs, GridFile, Picture, is_picture, picture_place};
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;

/// An air photo as it was read.
#[derive(Debug)]
pub struct ReadPicture {
    /// Its points and their place.
    pub picture: Picture,
    /// Whether nothing names its coordinate system, so that the elevation grid's was taken.
    pub crs_guessed: bool,
    /// Along each side, so many of its points became one.
    pub reduced: usize,
}

/// Whether a file is a picture and not a grid of heights.
///
/// # Errors
/// [`FileTrouble`] that names the file.
pub fn is_air_photo(path: &Path) -> Result<bool, FileTrouble> {
    open_file(path).map_err(|reason| FileTrouble::Unreadable { file: path.to_owned(), reason })?;
    is_picture(&OnDisk(path)).map_err(|trouble| FileTrouble::Grid { file: path.to_owned(), trouble })
}

/// Reads an air photo. Where it lies, a GeoTIFF says itself; beside another picture lies a world file (.pgw, .jgw, .tfw, .wld) and a projection file
/// (.prj); without one its coordinates are those of `crs`.
///
/// # Errors
/// [`FileTrouble`] that names the file.
pub fn open_air_photo(path: &Path, crs: Option<&Crs>, job: &Job) -> Result<ReadPicture, FileTrouble> {
    open_file(path).map_err(|reason| FileTrouble::Unreadable { file: path.to_owned(), reason })?;
    let (prj, world) = (read_beside(path, &both_cases("prj".to_owned()))?, read_beside(path, &world_endings(path))?);
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
    let file = GridFile { name: &name, bytes: &OnDisk(path), prj: prj.as_deref() };
    let place = picture_place(&file, Beside { world: world.as_deref(), crs });
    let (georeference, crs_guessed) = place.map_err(|trouble| FileTrouble::Grid { file: path.to_owned(), trouble })?;
    let undecoded = |reason: String| FileTrouble::Undecoded { file: path.to_owned(), reason: beginning(&reason) };
    let trouble = |trouble: PartTrouble| match trouble {
        PartTrouble::Cancelled(cancelled) => FileTrouble::Cancelled(cancelled),
        trouble => undecoded(trouble.to_string()),
    };
    let (columns, rows) = size(path).map_err(trouble)?;
    if (columns as u64).saturating_mul(rows as u64) > PICTURE_POINTS {
        let most = PICTURE_POINTS / 1_000_000;
        return Err(undecoded(format!("found {columns} × {rows} points; allowed are {most} million of them")));
    }
    let reduced = (1..).find(|step| columns.div_ceil(*step) * rows.div_ceil(*step) <= PICTURE_POINTS_KEPT).unwrap_or(1);
    // A decoder that breaks on a broken picture must not take the worker with it.
    let read = panic::catch_unwind(AssertUnwindSafe(|| reduce(path, (columns, rows), reduced, job)));
    let parts = read.map_err(|_| undecoded("its decoder broke off".to_owned()))?.map_err(trouble)?;
    Ok(ReadPicture { picture: parts.finish(georeference), crs_guessed, reduced })
}

/// Endings of world files: the first and last letter of the picture's own ending with a w, the whole with a w, or wld.
pub(super) fn world_endings(path: &Path) -> Vec<String> {
    let own = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    let mut letters = own.chars();
    let short: String = letters.next().into_iter().chain(letters.last()).chain(['w']).collect();
    [short, format!("{own}w"), "wld".to_owned()].into_iter().flat_map(both_cases).collect()
}

fn both_cases(ending: String) -> [String; 2] {
    [ending.to_uppercase(), ending]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn world_files_have_the_usual_endings() {
        let of = |name: &str| world_endings(Path::new(name)).join(" ");
        assert_eq!(of("air.png"), "PGW pgw PNGW pngw WLD wld");
        assert_eq!(of("air.JPG"), "JGW jgw JPGW jpgw WLD wld");
        assert_eq!(of("air.tif"), "TFW tfw TIFW tifw WLD wld");
    }
}
