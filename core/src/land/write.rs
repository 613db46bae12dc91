//! A grid of numbers (slope, shade) as a GeoTIFF that lies where the elevation grid lies.

use super::{CrsKind, Grid};
use crate::units::FOOT_M;
use proj::Proj;
use proj::wkt::WktVersion;
use rayon::prelude::*;
use std::io::{Seek, Write};
use std::num::TryFromIntError;
use tiff::TiffError;
use tiff::encoder::{DirectoryEncoder, TiffEncoder, TiffKindStandard};
use tiff::tags::{CompressionMethod, PhotometricInterpretation, SampleFormat, Tag};

/// The number that stands for void in written grids.
const VOID: f32 = -9999.0;

/// Numbers that cannot be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GridWriteError {
    /// The file became too large, or its coordinate system cannot be written down.
    #[error("the grid cannot be written: {0}")]
    Encoding(String),
}

impl From<TiffError> for GridWriteError {
    fn from(error: TiffError) -> Self {
        Self::Encoding(error.to_string())
    }
}

/// Cells written in one go, some megabytes of them: a large grid is never held a second time.
const CELLS_AT_ONCE: usize = 1 << 20;

/// Writes a GeoTIFF in the place and the coordinate system of `like`: one band of 32-bit floats, void value -9999.
/// `fill` is asked for its numbers band by band: given the first row and room for some whole rows, it fills them, row by
/// row from the north, NaN where void.
///
/// # Errors
/// [`GridWriteError`] when the file cannot be made.
pub fn write_geotiff(to: impl Write + Seek, like: &Grid, mut fill: impl FnMut(usize, &mut [f32])) -> Result<(), GridWriteError> {
    let mut encoder = TiffEncoder::new(to)?;
    let mut image = encoder.image_directory()?;
    let rows_at_once = (CELLS_AT_ONCE / like.columns.max(1)).clamp(1, like.rows.max(1));
    let mut band = vec![0.0; rows_at_once * like.columns];
    let (mut offsets, mut sizes) = (Vec::new(), Vec::new());
    for first in (0..like.rows).step_by(rows_at_once) {
        let band = &mut band[..rows_at_once.min(like.rows - first) * like.columns];
        fill(first, band);
        let strip = strip_of(band);
        offsets.push(whole(image.write_data(strip.as_slice())?)?);
        sizes.push(whole(strip.len())?);
    }
    image.write_tag(Tag::ImageWidth, whole(like.columns)?)?;
    image.write_tag(Tag::ImageLength, whole(like.rows)?)?;
    image.write_tag(Tag::BitsPerSample, 32_u16)?;
    image.write_tag(Tag::SampleFormat, SampleFormat::IEEEFP.to_u16())?;
    image.write_tag(Tag::Compression, CompressionMethod::None.to_u16())?;
    image.write_tag(Tag::PhotometricInterpretation, PhotometricInterpretation::BlackIsZero.to_u16())?;
    image.write_tag(Tag::SamplesPerPixel, 1_u16)?;
    image.write_tag(Tag::RowsPerStrip, whole(rows_at_once)?)?;
    image.write_tag(Tag::StripOffsets, offsets.as_slice())?;
    image.write_tag(Tag::StripByteCounts, sizes.as_slice())?;
    write_place(&mut image, like)?;
    image.write_tag(Tag::GdalNodata, VOID.to_string().as_str())?;
    Ok(image.finish()?)
}

fn write_place<W: Write + Seek>(
    image: &mut DirectoryEncoder<'_, W, TiffKindStandard>,
    like: &Grid,
) -> Result<(), GridWriteError> {
    let keys = geo_keys(like)?;
    // A matrix says everything: upright, oblong and rotated cells alike.
    image.write_tag(Tag::ModelTransformationTag, matrix(like).as_slice())?;
    image.write_tag(Tag::GeoKeyDirectoryTag, keys.directory.as_slice())?;
    if !keys.doubles.is_empty() {
        image.write_tag(Tag::GeoDoubleParamsTag, keys.doubles.as_slice())?;
    }
    if !keys.text.is_empty() {
        image.write_tag(Tag::GeoAsciiParamsTag, keys.text.as_str())?;
    }
    Ok(())
}

/// A number as the file has it: a classic TIFF ends at 4 GB.
fn whole<N: TryInto<u32, Error = TryFromIntError>>(number: N) -> Result<u32, GridWriteError> {
    number.try_into().map_err(|error: TryFromIntError| GridWriteError::Encoding(error.to_string()))
}

/// The bytes of a band, NaN replaced by the void value. They stand as they are: derived values hardly get smaller by packing, and packing them takes longer
/// than all the rest.
fn strip_of(band: &[f32]) -> Vec<u8> {
    const PART: usize = 1 << 14;
    let mut bytes = vec![0; size_of_val(band)];
    bytes.par_chunks_mut(4 * PART).zip(band.par_chunks(PART)).for_each(|(bytes, values)| {
        for (to, value) in bytes.chunks_exact_mut(4).zip(values) {
            to.copy_from_slice(&(if value.is_nan() { VOID } else { *value }).to_ne_bytes());
        }
    });
    bytes
}

/// From (column, row) of a cell's corner to coordinates, as GeoTIFF wants it: 4 by 4, row by row.
fn matrix(like: &Grid) -> [f64; 16] {
    let place = &like.georeference;
    let (column, row) = (place.per_column, place.per_row);
    let corner = (place.origin.0 - (column.0 + row.0) / 2.0, place.origin.1 - (column.1 + row.1) / 2.0);
    [column.0, row.0, 0.0, corner.0, column.1, row.1, 0.0, corner.1, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0]
}

/// The three GeoKey tags.
struct GeoKeys {
    directory: Vec<u16>,
    doubles: Vec<f64>,
    text: String,
}

/// The EPSG code where there is one, else the whole system as WKT in a citation, as GDAL does; for longitude and
/// latitude also the ellipsoid, for programs that do not look there.
fn geo_keys(like: &Grid) -> Result<GeoKeys, GridWriteError> {
    const USER_DEFINED: u16 = 32767;
    let crs = &like.georeference.crs;
    let code = crs.definition.strip_prefix("EPSG:").and_then(|code| code.parse::<u16>().ok());
    let mut keys = vec![[1025, 0, 1, 1]];
    let (mut doubles, mut text) = (Vec::new(), String::new());
    if code.is_none() {
        text = format!("ESRI PE String = {}|", wkt(&crs.definition)?);
    }
    let length = u16::try_from(text.len()).map_err(|error| GridWriteError::Encoding(error.to_string()))?;
    match (code, crs.kind) {
        (Some(code), CrsKind::Projected { .. }) => keys.extend([[1024, 0, 1, 1], [3072, 0, 1, code]]),
        (Some(code), CrsKind::Geographic) => keys.extend([[1024, 0, 1, 2], [2048, 0, 1, code]]),
        (None, CrsKind::Projected { metres_per_unit }) => {
            let unit = if metres_per_unit > 0.5 { 9001 } else { 9003 - u16::from(metres_per_unit <= FOOT_M) };
            keys.extend([[1024, 0, 1, USER_DEFINED], [3073, 34737, length, 0], [3076, 0, 1, unit]]);
        }
        (None, CrsKind::Geographic) => {
            keys.extend([[1024, 0, 1, 2], [2048, 0, 1, USER_DEFINED], [2049, 34737, length, 0], [2054, 0, 1, 9102]]);
            if let Some(axes) = ellipsoid(&text) {
                doubles.extend(axes);
                keys.extend([[2056, 0, 1, USER_DEFINED], [2057, 34736, 1, 0], [2059, 34736, 1, 1]]);
            }
        }
    }
    keys.sort_unstable();
    keys.insert(0, [1, 1, 0, keys.len() as u16]);
    Ok(GeoKeys { directory: keys.concat(), doubles, text })
}

fn wkt(definition: &str) -> Result<String, GridWriteError> {
    let wkt = Proj::new(definition).ok().and_then(|proj| proj.as_wkt(Some(WktVersion::Wkt1_Esri), None).ok());
    wkt.ok_or_else(|| GridWriteError::Encoding(format!("no WKT for {definition}")))
}

/// Half the greater axis and the inverse flattening: the two numbers of `SPHEROID["name",a,1/f]`.
fn ellipsoid(wkt: &str) -> Option<[f64; 2]> {
    let spheroid = wkt.split_once("SPHEROID[")?.1.split(']').next()?;
    let mut numbers = spheroid.rsplit(',').map(str::parse);
    let inverse_flattening = numbers.next()?.ok()?;
    Some([numbers.next()?.ok()?, inverse_flattening])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use crate::land::{Crs, Georeference, GridFile, read_grid};
    use std::io::Cursor;

    fn grid(definition: &str, kind: CrsKind, steps: ((f64, f64), (f64, f64))) -> Grid {
        let crs = Crs { definition: definition.to_owned(), kind };
        let georeference = Georeference { origin: (12.25, 46.5), per_column: steps.0, per_row: steps.1, crs };
        let heights_m = (0..12_i16).map(|k| f32::from(k) / 8.0 + 300.0).collect();
        Grid { columns: 4, rows: 3, georeference, heights_m, notes: Vec::new() }
    }

    #[test]
    fn a_written_grid_comes_back_with_its_numbers_voids_and_place() {
        let metre = CrsKind::Projected { metres_per_unit: 1.0 };
        let upright = ((2.0, 0.0), (0.0, -3.0));
        let rotated = ((1.6, 1.2), (1.2, -1.6));
        let degrees = ((1e-5, 0.0), (0.0, -1e-5));
        let own = "+proj=tmerc +lat_0=46 +lon_0=15 +k=0.9999 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m +no_defs +type=crs";
        let sphere = "+proj=longlat +ellps=bessel +no_defs +type=crs";
        for (definition, kind, steps) in [
            ("EPSG:32633", metre, upright),
            ("EPSG:32633", metre, rotated),
            ("EPSG:4326", CrsKind::Geographic, degrees),
            (own, metre, upright),
            (sphere, CrsKind::Geographic, degrees),
        ] {
            let like = grid(definition, kind, steps);
            let mut values = like.heights_m.clone();
            values[5] = f32::NAN;
            let mut bytes = Cursor::new(Vec::new());
            write_geotiff(&mut bytes, &like, |first, band| copy_rows(&values, &like, first, band)).expect(definition);
            let bytes = bytes.into_inner();
            let file = GridFile { name: "slope.tif", bytes: &bytes, prj: None };
            let back = read_grid(&file, &Job::new()).expect(definition);
            let bits = |values: &[f32]| values.iter().map(|value| value.to_bits()).collect::<Vec<_>>();
            assert_eq!(bits(&back.heights_m), bits(&values), "{definition}");
            let (a, b) = (&back.georeference, &like.georeference);
            for (found, wanted) in [(a.origin, b.origin), (a.per_column, b.per_column), (a.per_row, b.per_row)] {
                assert!((found.0 - wanted.0).hypot(found.1 - wanted.1) < 1e-12 * 500.0, "{definition}: {a:?}");
            }
            assert_eq!(a.crs.kind, kind, "{definition}");
        }
    }

    #[test]
    fn a_grid_of_several_bands_is_written_row_for_row() {
        let mut like = grid("EPSG:32633", CrsKind::Projected { metres_per_unit: 1.0 }, ((1.0, 0.0), (0.0, -1.0)));
        (like.columns, like.rows) = (900, 2600);
        like.heights_m = (0..900 * 2600).map(|cell| 300.0 + (cell % 900) as f32 + (cell / 900) as f32 / 16.0).collect();
        let mut bytes = Cursor::new(Vec::new());
        let mut bands = 0;
        let fill = |first: usize, band: &mut [f32]| {
            bands += 1;
            copy_rows(&like.heights_m, &like, first, band);
        };
        write_geotiff(&mut bytes, &like, fill).expect("written");
        assert!(bands > 2, "{bands}");
        let bytes = bytes.into_inner();
        let back = read_grid(&GridFile { name: "big.tif", bytes: &bytes, prj: None }, &Job::new()).expect("read");
        assert!(back.heights_m == like.heights_m);
    }

    fn copy_rows(values: &[f32], like: &Grid, first: usize, band: &mut [f32]) {
        band.copy_from_slice(&values[first * like.columns..][..band.len()]);
    }
}
