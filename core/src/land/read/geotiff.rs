//! GeoTIFF: from tags to a placed grid.
//!
//! # Source
//! `geotiff-1.1`; GDAL's tags for void, scale and unit as GDAL reads them.

use super::super::{Crs, Georeference, Grid, GridNote};
use super::chunk::SampleKind;
use super::crs::Described;
use super::geokeys::GeoKeys;
use super::image::Image;
use super::sanity::{self, HeightsUnit, Origin};
use super::tags::Tags;
use super::{FIRST_LOOK_CELLS, GridError, GridFile, Placed, ReadSeek, crs_beside, orient};
use crate::job::Job;
use crate::units::{FOOT_M, US_SURVEY_FOOT_M};
use tiff::tags::Tag;

/// The images of the file, as far as they concern us.
struct Images {
    /// The first full-size one.
    full: Image,
    /// Smaller copies of it.
    overviews: Vec<Image>,
    /// Whether there are bands or full-size pictures that are left out.
    more: bool,
}

pub(super) fn read<'a>(
    file: &GridFile<'a>,
    handle: Box<dyn ReadSeek + Send + 'a>,
    job: &Job,
    first_look: &(dyn Fn(Grid) + Sync),
) -> Result<Grid, GridError> {
    let mut tags = Tags::open(handle)?;
    let full = full_size(&mut tags)?;
    let keys = geo_keys(&mut tags)?;
    let described = keys.crs()?.map_or_else(|| crs_beside(file), Ok)?;
    let stated = stated_unit(&keys, described.metres_per_height, full.unit.as_deref())?;
    let georeference = georeference(&mut tags, &keys, described.crs)?;
    orient::check(&georeference)?;
    let heights_unit = HeightsUnit::of(stated, &georeference.crs);
    let images = Images::read(tags, full, heights_unit);
    let layout = &images.full.layout;
    let placed = Placed { columns: layout.columns, rows: layout.rows, georeference };
    if layout.columns * layout.rows > FIRST_LOOK_CELLS
        && let Some(look) = images.coarse(file, &placed, job)?
    {
        first_look(look);
    }
    let (heights, tally) = layout.decode(file.bytes, job)?;
    let byte_cells = layout.coding.kind == SampleKind::U8;
    let origin = Origin { heights_unit, void_declared: images.full.void_declared, byte_cells };
    let mut grid = orient::upright(placed, heights);
    grid.notes.extend(images.full.no_void.map(|found| GridNote::VoidNoNumber { found }));
    if images.more {
        grid.notes.push(GridNote::OnlyFirstBand);
    }
    sanity::check(grid, &tally, &origin)
}

/// Bits of the tag NewSubfileType: a smaller copy; a mask of what is valid.
const REDUCED: u16 = 1;
const MASK: u16 = 4;

/// The first image that is neither an overview nor a mask.
fn full_size(tags: &mut Tags) -> Result<Image, GridError> {
    while tags.short(Tag::NewSubfileType, 0)? & (REDUCED | MASK) != 0 {
        if !tags.next_image()? {
            return Err(GridError::Damaged { part: "it holds only overviews and masks".to_owned() });
        }
    }
    Image::read(tags)
}

impl Images {
    /// The images after the full-size one. They are optional: trouble there is no reason to refuse the grid.
    fn read(mut tags: Tags, full: Image, unit: HeightsUnit) -> Self {
        let mut images = Self { more: full.bands > 1, full, overviews: Vec::new() };
        while tags.next_image().unwrap_or(false) {
            match tags.short(Tag::NewSubfileType, 0) {
                Ok(0) => images.more = true,
                Ok(REDUCED) => images.overviews.extend(Image::read(&mut tags)),
                _ => {}
            }
        }
        for image in std::iter::once(&mut images.full).chain(&mut images.overviews) {
            image.layout.scaling.metres_per_unit = unit.metres();
        }
        images
    }

    /// A coarse copy: an overview of the right size if the file has one, else every n-th cell.
    fn coarse(&self, file: &GridFile, placed: &Placed, job: &Job) -> Result<Option<Grid>, GridError> {
        let cells_of = |image: &&Image| image.layout.columns * image.layout.rows;
        let overview = self.overviews.iter().filter(|image| cells_of(image) <= FIRST_LOOK_CELLS / 2).max_by_key(cells_of);
        if let Some(Image { layout, .. }) = overview {
            // A job of its own: its progress is not the grid's.
            let (heights, _) = layout.decode(file.bytes, &Job::new())?;
            let georeference = orient::fewer_cells(placed, layout.columns, layout.rows);
            return Ok(Some(orient::upright(Placed { columns: layout.columns, rows: layout.rows, georeference }, heights)));
        }
        let coarse = self.full.layout.decode_coarse(file.bytes, job)?;
        Ok(coarse.map(|coarse| {
            let georeference = orient::every(&placed.georeference, coarse.step);
            orient::upright(Placed { columns: coarse.columns, rows: coarse.rows, georeference }, coarse.heights)
        }))
    }
}

fn geo_keys(tags: &mut Tags) -> Result<GeoKeys, GridError> {
    let directory = tags.shorts(Tag::GeoKeyDirectoryTag)?;
    let doubles = tags.doubles(Tag::GeoDoubleParamsTag)?;
    Ok(GeoKeys::parse(&directory, &doubles, &tags.text(Tag::GeoAsciiParamsTag)?))
}

/// What a TIFF says of its own place: its coordinate system, and x and y per column, per row, and of the first centre.
pub(super) fn place_of(tags: &mut Tags) -> Result<(Option<Described>, Option<[f64; 6]>), GridError> {
    let keys = geo_keys(tags)?;
    let six = match cells_of(tags, &keys) {
        Ok(six) => Some(six),
        Err(GridError::NoPlace { .. }) => None,
        Err(trouble) => return Err(trouble),
    };
    Ok((keys.crs()?, six))
}

/// Where the cells lie.
fn georeference(tags: &mut Tags, keys: &GeoKeys, crs: Crs) -> Result<Georeference, GridError> {
    let [ax, ay, bx, by, x, y] = cells_of(tags, keys)?;
    Ok(Georeference { origin: (x, y), per_column: (ax, ay), per_row: (bx, by), crs })
}

/// x and y per column, per row, and of the centre of the first cell.
fn cells_of(tags: &mut Tags, keys: &GeoKeys) -> Result<[f64; 6], GridError> {
    let (scale, tie) = (tags.doubles(Tag::ModelPixelScaleTag)?, tags.doubles(Tag::ModelTiepointTag)?);
    let matrix = tags.doubles(Tag::ModelTransformationTag)?;
    // Six numbers: x = a + b column + c row, y = d + e column + f row, where whole numbers are corners of cells.
    let [a, b, c, d, e, f] = match (scale.as_slice(), tie.as_slice(), matrix.as_slice()) {
        ([sx, sy, ..], [i, j, _, x, y, ..], _) => {
            // A negative height of a cell is how some writers say "downwards"; GDAL too reads it as north-up.
            let sy = sy.abs();
            [x - i * sx, *sx, 0.0, y + j * sy, 0.0, -sy]
        }
        (_, _, [b, c, _, a, e, f, _, d, ..]) => [*a, *b, *c, *d, *e, *f],
        ([], [_, ..], _) => return Err(GridError::NoPlace { missing: "it has tie points, but no cell size" }),
        _ => return Err(GridError::NoPlace { missing: "it has neither a corner with a cell size nor a transformation" }),
    };
    let half = if keys.pixel_is_point() { 0.0 } else { 0.5 };
    Ok([b, e, c, f, a + half * (b + c), d + half * (e + f)])
}

/// Metres in one unit of height, where the file says so: by GeoKey, by its vertical system, or by GDAL's unit name.
fn stated_unit(keys: &GeoKeys, of_crs: Option<f64>, unit: Option<&str>) -> Result<Option<f64>, GridError> {
    if let Some(metres) = keys.metres_per_height()?.or(of_crs) {
        return Ok(Some(metres));
    }
    Ok(unit.and_then(|unit| match unit.to_ascii_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(1.0),
        "ft" | "foot" | "feet" => Some(FOOT_M),
        "us-ft" | "ftus" | "us survey foot" | "us_survey_foot" | "foot_us" => Some(US_SURVEY_FOOT_M),
        _ => None,
    }))
}
