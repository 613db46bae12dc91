//! Pictures too large to be held: decoded part by part, and made smaller on the way.

use hillwire_core::bounds::PICTURE_POINTS_WHOLE;
use hillwire_core::job::Job;
use hillwire_core::land::Reducing;
use image::{DynamicImage, ImageFormat, ImageReader, Limits};
use std::fs::File;
use std::io::BufReader;
use std::path::Path;
use tiff::decoder::{Decoder, DecodingResult};
use tiff::{ColorType, tags::Tag};

/// Bytes of one strip or tile of a picture, at the most.
const MOST_PART_BYTES: usize = 1_200_000_000;

/// Why a picture cannot be decoded.
#[derive(Debug, thiserror::Error)]
pub enum PartTrouble {
    /// What the decoder said.
    #[error("{0}")]
    Decoder(String),
    /// A form that cannot be read in parts, too large to be read whole.
    #[error(
        "found {columns} × {rows} points in a form that can only be decoded whole; allowed are {} million of them: save it as a plain PNG, or as a \
         GeoTIFF in tiles (gdal_translate -co TILED=YES), or make it smaller",
        PICTURE_POINTS_WHOLE / 1_000_000
    )]
    TooLargeWhole {
        /// Points across.
        columns: usize,
        /// Points down.
        rows: usize,
    },
    /// Nobody wanted it any more.
    #[error(transparent)]
    Cancelled(#[from] hillwire_core::job::Cancelled),
}

fn says(trouble: impl std::fmt::Display) -> PartTrouble {
    PartTrouble::Decoder(trouble.to_string())
}

/// Columns and rows of a picture, from its head.
pub fn size(path: &Path) -> Result<(usize, usize), PartTrouble> {
    let reader = ImageReader::open(path).and_then(ImageReader::with_guessed_format).map_err(says)?;
    let (columns, rows) = reader.into_dimensions().map_err(says)?;
    Ok((columns as usize, rows as usize))
}

/// Hands the rows of a picture over, `step` x `step` points of which become one.
pub fn reduce(path: &Path, (columns, rows): (usize, usize), step: usize, job: &Job) -> Result<Reducing, PartTrouble> {
    let format = ImageReader::open(path).and_then(ImageReader::with_guessed_format).map_err(says)?.format();
    let mut taking = Taking { reducing: Reducing::new(columns, step), rows, taken: 0, row: Vec::new(), job };
    let is_done = match format {
        Some(ImageFormat::Png) => of_png(path, &mut taking)?,
        Some(ImageFormat::Tiff) => of_tiff(path, (columns, rows), &mut taking)?,
        _ => false,
    };
    if !is_done {
        whole(path, (columns, rows), &mut taking)?;
    }
    Ok(taking.reducing)
}

/// Takes rows of any colours in.
struct Taking<'a> {
    reducing: Reducing,
    rows: usize,
    taken: usize,
    row: Vec<u8>,
    job: &'a Job,
}

impl Taking<'_> {
    /// A row of points of so many bytes: grey, grey and opacity, colours, colours and opacity.
    fn take(&mut self, row: &[u8], channels: usize) -> Result<(), PartTrouble> {
        let point = |point: &[u8]| match *point {
            [grey] => [grey, grey, grey, 255],
            [grey, opacity] => [grey, grey, grey, opacity],
            [red, green, blue] => [red, green, blue, 255],
            [red, green, blue, opacity, ..] => [red, green, blue, opacity],
            [] => [0; 4],
        };
        self.row.clear();
        self.row.extend(row.chunks_exact(channels).flat_map(point));
        self.reducing.take(&self.row);
        self.taken += 1;
        if self.taken.is_multiple_of(64) {
            self.job.proceed()?;
            self.job.set_share_done(self.taken as f64 / self.rows as f64);
        }
        Ok(())
    }
}

/// Row by row; `false` where the rows come in several passes.
fn of_png(path: &Path, taking: &mut Taking) -> Result<bool, PartTrouble> {
    let mut decoder = png::Decoder::new(BufReader::new(File::open(path).map_err(says)?));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info().map_err(says)?;
    if reader.info().interlaced {
        return Ok(false);
    }
    let channels = reader.output_color_type().0.samples();
    while let Some(row) = reader.next_row().map_err(says)? {
        taking.take(row.data(), channels)?;
    }
    Ok(true)
}

/// Strip by strip or one row of tiles after the other; `false` for colours that only the whole decoder knows.
fn of_tiff(path: &Path, (columns, rows): (usize, usize), taking: &mut Taking) -> Result<bool, PartTrouble> {
    let mut limits = tiff::decoder::Limits::default();
    limits.decoding_buffer_size = MOST_PART_BYTES;
    limits.intermediate_buffer_size = MOST_PART_BYTES;
    let mut decoder = Decoder::new(BufReader::new(File::open(path).map_err(says)?)).map_err(says)?.with_limits(limits);
    let channels = match decoder.colortype().map_err(says)? {
        ColorType::Gray(8) => 1,
        ColorType::RGB(8) => 3,
        ColorType::RGBA(8) => 4,
        _ => return Ok(false),
    };
    let is_planar = decoder.find_tag_unsigned::<u16>(Tag::PlanarConfiguration).map_err(says)? == Some(2);
    let dark_is_one = decoder.find_tag_unsigned::<u16>(Tag::PhotometricInterpretation).map_err(says)? == Some(0);
    if is_planar || dark_is_one {
        return Ok(false);
    }
    let (part_columns, part_rows) = decoder.chunk_dimensions();
    let (part_columns, part_rows) = (part_columns as usize, part_rows as usize);
    if part_columns == 0 || part_rows == 0 || part_columns * part_rows * channels > MOST_PART_BYTES {
        return Ok(false);
    }
    let across = columns.div_ceil(part_columns);
    for down in 0..rows.div_ceil(part_rows) {
        let mut band = vec![0; columns * channels * part_rows.min(rows - down * part_rows)];
        for part in 0..across {
            let index = u32::try_from(down * across + part).map_err(says)?;
            let DecodingResult::U8(points) = decoder.read_chunk(index).map_err(says)? else { return Ok(false) };
            let width = decoder.chunk_data_dimensions(index).0 as usize * channels;
            let to = part * part_columns * channels;
            for (row, line) in points.chunks_exact(width.max(1)).zip(band.chunks_exact_mut(columns * channels)) {
                line[to..to + width].copy_from_slice(row);
            }
        }
        band.chunks_exact(columns * channels).try_for_each(|row| taking.take(row, channels))?;
    }
    Ok(true)
}

/// The whole picture at once, where that can be borne.
fn whole(path: &Path, (columns, rows): (usize, usize), taking: &mut Taking) -> Result<(), PartTrouble> {
    if (columns * rows) as u64 > PICTURE_POINTS_WHOLE {
        return Err(PartTrouble::TooLargeWhole { columns, rows });
    }
    let mut reader = ImageReader::open(path).and_then(ImageReader::with_guessed_format).map_err(says)?;
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(8 * PICTURE_POINTS_WHOLE);
    reader.limits(limits);
    let (bytes, channels) = match reader.decode().map_err(says)? {
        DynamicImage::ImageLuma8(picture) => (picture.into_raw(), 1),
        DynamicImage::ImageLumaA8(picture) => (picture.into_raw(), 2),
        DynamicImage::ImageRgb8(picture) => (picture.into_raw(), 3),
        other => (other.into_rgba8().into_raw(), 4),
    };
    bytes.chunks_exact(columns * channels).try_for_each(|row| taking.take(row, channels))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::land::{Crs, CrsKind, Georeference, Picture};
    use image::{Rgba, RgbaImage};

    fn place() -> Georeference {
        let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        Georeference { origin: (5e5, 5e6), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs }
    }

    #[test]
    fn a_picture_read_in_parts_is_the_whole_one_made_smaller() {
        let folder = tempfile::tempdir().expect("a folder");
        let picture = RgbaImage::from_fn(37, 23, |x, y| Rgba([(7 * x) as u8, (9 * y) as u8, (x * y) as u8, 255 - (3 * x) as u8]));
        let picture = DynamicImage::ImageRgba8(picture);
        let forms = [picture.clone(), DynamicImage::ImageRgb8(picture.to_rgb8()), DynamicImage::ImageLuma8(picture.to_luma8())];
        for name in ["a.png", "a.tif", "a.jpg"] {
            for form in &forms {
                let path = folder.path().join(name);
                if name == "a.jpg" { form.to_rgb8().save(&path) } else { form.save(&path) }.expect("saved");
                let decoded = image::open(&path).expect("decoded").into_rgba8().into_raw();
                let whole = Picture { columns: 37, rows: 23, rgba: decoded, georeference: place() };
                for step in [1, 2, 5] {
                    let parts = reduce(&path, size(&path).expect("a size"), step, &Job::new()).expect(name);
                    assert_eq!(parts.finish(place()), whole.reduced(step), "{name} {step}");
                }
            }
        }
    }

    #[test]
    fn a_torn_picture_says_so_and_one_that_is_not_wanted_stops() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.png");
        let noise = |x: u32, y: u32| image::Luma([(x.wrapping_mul(2_654_435_761).wrapping_add(y * 40_503) >> 7) as u8]);
        image::GrayImage::from_fn(200, 200, noise).save(&path).expect("saved");
        let job = Job::new();
        job.cancel();
        assert!(matches!(reduce(&path, (200, 200), 2, &job), Err(PartTrouble::Cancelled(_))));
        let bytes = std::fs::read(&path).expect("read");
        std::fs::write(&path, &bytes[..bytes.len() / 2]).expect("torn");
        assert!(matches!(reduce(&path, (200, 200), 2, &Job::new()), Err(PartTrouble::Decoder(_))));
    }
}
