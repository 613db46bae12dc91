//! Where a picture lies: a GeoTIFF says so itself, beside others lies a world file.

use super::super::{Crs, Georeference};
use super::geotiff::place_of;
use super::signature::starts_as_tiff;
use super::tags::Tags;
use super::{GridBytes, GridError, GridFile, crs, orient};
use std::io::Read;
use tiff::tags::Tag;

/// What stands beside a picture.
#[derive(Clone, Copy, Default)]
pub struct Beside<'a> {
    /// The text of its world file, if there is one.
    pub world: Option<&'a str>,
    /// The coordinate system to take where neither the picture nor a projection file names one.
    pub crs: Option<&'a Crs>,
}

/// Where the points of a picture lie, and whether its coordinate system was taken from [`Beside::crs`].
///
/// A world file has six numbers: x and y per column, x and y per row, x and y of the centre of the upper left point, in the order A D B E C F.
///
/// # Errors
/// [`GridError`]: no place, a world file that is none, a coordinate system that nobody names or knows.
///
/// # Source
/// `geotiff-1.1`; `world-file`.
pub fn picture_place(file: &GridFile, beside: Beside<'_>) -> Result<(Georeference, bool), GridError> {
    let mut handle = file.bytes.open()?;
    let is_tiff = starts_as_tiff(&mut handle)?;
    let (named, own) = if is_tiff { place_of(&mut Tags::open(handle)?)? } else { (None, None) };
    let of_prj = || file.prj.filter(|text| !text.trim().is_empty()).map(crs::of_projection_file).transpose();
    let described = match named {
        Some(described) => Some(described),
        None => of_prj()?,
    };
    let guessed = described.is_none();
    let crs = described
        .map(|described| described.crs)
        .or_else(|| beside.crs.cloned())
        .ok_or_else(|| GridError::NoCrs { projection_file: format!("{}.prj", stem(file.name)) })?;
    let [a, d, b, e, c, f] = match (own, beside.world) {
        (Some(six), _) => six,
        (None, Some(world)) => six_numbers(world)?,
        (None, None) => return Err(GridError::NoWorldFile { world_file: format!("{}.wld", stem(file.name)) }),
    };
    let georeference = Georeference { origin: (c, f), per_column: (a, d), per_row: (b, e), crs };
    orient::check(&georeference)?;
    Ok((georeference, guessed))
}

/// Whether a file is a picture in colours and not a grid of heights: a PNG or JPEG, or a TIFF of three bands or more with a byte each.
///
/// # Errors
/// [`GridError`] when it cannot be read.
pub fn is_picture(bytes: &dyn GridBytes) -> Result<bool, GridError> {
    let mut handle = bytes.open()?;
    if starts_as_tiff(&mut handle)? {
        let mut tags = Tags::open(handle)?;
        return Ok(tags.short(Tag::SamplesPerPixel, 1)? >= 3 && tags.shorts(Tag::BitsPerSample)?.iter().all(|bits| *bits == 8));
    }
    let mut first = Vec::new();
    handle.take(4).read_to_end(&mut first)?;
    Ok(first.starts_with(b"\x89PNG") || first.starts_with(b"\xff\xd8\xff"))
}

fn stem(name: &str) -> &str {
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

fn six_numbers(world: &str) -> Result<[f64; 6], GridError> {
    let words: Vec<&str> = world.trim_start_matches('\u{feff}').split_whitespace().collect();
    let number = |word: &str| word.replace(',', ".").parse().ok().filter(|number: &f64| number.is_finite());
    let mut six = [0.0; 6];
    for (index, place) in six.iter_mut().enumerate() {
        let found = words.get(index).copied().unwrap_or("nothing");
        let bad = || GridError::BadWorldFile { line: index + 1, found: found.chars().take(40).collect() };
        *place = number(found).ok_or_else(bad)?;
    }
    if words.len() > 6 {
        return Err(GridError::BadWorldFile { line: 7, found: words[6].chars().take(40).collect() });
    }
    Ok(six)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::CrsKind;

    const PNG: &[u8] = b"\x89PNG....";
    const PRJ: &str = "EPSG:27700";

    fn place(prj: Option<&str>, beside: Beside<'_>) -> Result<(Georeference, bool), GridError> {
        picture_place(&GridFile { name: "air.png", bytes: &PNG, prj }, beside)
    }

    #[test]
    fn a_world_file_names_the_centre_of_the_upper_left_point() {
        let beside = Beside { world: Some("0.5\r\n0\r\n0\r\n-0.5\r\n300000.25\r\n700099,75\r\n"), crs: None };
        let (found, guessed) = place(Some(PRJ), beside).expect("placed");
        assert!(!guessed);
        assert_eq!((found.origin, found.per_column, found.per_row), ((300_000.25, 700_099.75), (0.5, 0.0), (0.0, -0.5)));
    }

    #[test]
    fn what_is_missing_or_wrong_beside_a_picture_is_named() {
        let crs = Crs { definition: "EPSG:27700".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        let good = "0.5 0 0 -0.5 3 7";
        let cases = [
            (None, Beside { world: Some(good), crs: None }, "air.prj"),
            (Some(PRJ), Beside::default(), "air.wld"),
            (Some(PRJ), Beside { world: Some("0.5 0 0"), crs: None }, "number 4 of the world file is nothing"),
            (Some(PRJ), Beside { world: Some("0.5 0 0 south 3 7"), crs: None }, "number 4 of the world file is south"),
            (Some(PRJ), Beside { world: Some("0.5 0 0 -0.5 3 7 9"), crs: None }, "number 7 of the world file is 9"),
        ];
        for (prj, beside, expected) in cases {
            let trouble = place(prj, beside).expect_err(expected).to_string();
            assert!(trouble.contains(expected), "{trouble}");
        }
        let (_, guessed) = place(None, Beside { world: Some(good), crs: Some(&crs) }).expect("placed");
        assert!(guessed, "the coordinate system of the elevation grid was taken");
    }
}
