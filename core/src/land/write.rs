//! A grid of numbers (slope, shade) as a GeoTIFF that lies where the elevation grid lies.

use super::{CrsKind, Grid};
use crate::units::FOOT_M;
use proj::Proj;
use proj::wkt::WktVersion;
use std::borrow::Cow;
use std::io::Cursor;
use tiff::TiffError;
use tiff::encoder::{Compression, DeflateLevel, TiffEncoder, colortype};
use tiff::tags::Tag;

/// The number that stands for void in written grids.
const VOID: f32 = -9999.0;

/// Numbers that cannot be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GridWriteError {
    /// Not one number per cell.
    #[error("{found} numbers for a grid of {allowed} cells")]
    Count {
        /// Numbers given.
        found: usize,
        /// Cells of the grid.
        allowed: usize,
    },
    /// The file became too large, or its coordinate system cannot be written down.
    #[error("the grid cannot be written: {0}")]
    Encoding(String),
}

impl From<TiffError> for GridWriteError {
    fn from(error: TiffError) -> Self {
        Self::Encoding(error.to_string())
    }
}

/// The bytes of a GeoTIFF with these numbers, row by row from the north, NaN where void: one band of 32-bit floats,
/// DEFLATE, void value -9999, in the place and the coordinate system of `like`.
///
/// # Errors
/// [`GridWriteError`] when the numbers do not fit the grid or the file cannot be made.
pub fn write_geotiff(values: &[f32], like: &Grid) -> Result<Vec<u8>, GridWriteError> {
    let (found, allowed) = (values.len(), like.columns * like.rows);
    if found != allowed {
        return Err(GridWriteError::Count { found, allowed });
    }
    let side = |cells: usize| u32::try_from(cells).map_err(|error| GridWriteError::Encoding(error.to_string()));
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes)?.with_compression(Compression::Deflate(DeflateLevel::Fast));
    let mut image = encoder.new_image::<colortype::Gray32Float>(side(like.columns)?, side(like.rows)?)?;
    let keys = geo_keys(like)?;
    let tags = image.encoder();
    // A matrix says everything: upright, oblong and rotated cells alike.
    tags.write_tag(Tag::ModelTransformationTag, matrix(like).as_slice())?;
    tags.write_tag(Tag::GeoKeyDirectoryTag, keys.directory.as_slice())?;
    if !keys.doubles.is_empty() {
        tags.write_tag(Tag::GeoDoubleParamsTag, keys.doubles.as_slice())?;
    }
    if !keys.text.is_empty() {
        tags.write_tag(Tag::GeoAsciiParamsTag, keys.text.as_str())?;
    }
    tags.write_tag(Tag::GdalNodata, VOID.to_string().as_str())?;
    image.write_data(&voids_marked(values))?;
    Ok(bytes.into_inner())
}

fn voids_marked(values: &[f32]) -> Cow<'_, [f32]> {
    if values.iter().any(|value| value.is_nan()) {
        values.iter().map(|value| if value.is_nan() { VOID } else { *value }).collect()
    } else {
        Cow::Borrowed(values)
    }
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
            let bytes = write_geotiff(&values, &like).expect(definition);
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
    fn too_few_numbers_are_refused() {
        let like = grid("EPSG:32633", CrsKind::Projected { metres_per_unit: 1.0 }, ((1.0, 0.0), (0.0, -1.0)));
        assert_eq!(write_geotiff(&[1.0; 11], &like), Err(GridWriteError::Count { found: 11, allowed: 12 }));
    }
}
