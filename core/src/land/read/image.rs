//! One image of a TIFF file: how its cells are stored, from its tags.

use super::chunk::{Coding, Compression, Predictor, SampleKind, Scaling};
use super::decode::Layout;
use super::tags::Tags;
use super::text_heading::shortened;
use super::{GridError, cells};
use crate::bounds::shown;
use tiff::tags::Tag;

/// GDAL's tag for scale, offset and unit (XML).
const GDAL_METADATA: Tag = Tag::Unknown(42112);

/// One image of the file.
pub(super) struct Image {
    pub(super) layout: Layout,
    /// Numbers per cell.
    pub(super) bands: u16,
    /// Whether the file says which number means void.
    pub(super) void_declared: bool,
    /// What the file says instead of such a number.
    pub(super) no_void: Option<String>,
    /// Name of the unit of height, if GDAL wrote one.
    pub(super) unit: Option<String>,
}

impl Image {
    /// The image at which `tags` stands.
    pub(super) fn read(tags: &mut Tags) -> Result<Self, GridError> {
        let (columns, rows) = tags.size()?;
        cells(u64::from(columns), u64::from(rows))?;
        let bands = tags.short(Tag::SamplesPerPixel, 1)?;
        let coding = coding(tags, bands)?;
        // Other programs write other things there; only GDAL's items count.
        let metadata = tags.text(GDAL_METADATA).unwrap_or_default();
        let void = tags.text(Tag::GdalNodata)?;
        let void = void.trim_matches(|c: char| c.is_whitespace() || c == '\0');
        let void_declared = void.parse::<f64>().is_ok();
        let no_void = (!void.is_empty() && !void_declared).then(|| shown(void));
        let (chunk_columns, chunk_rows) = tags.chunk_size();
        let mut layout = Layout {
            columns: columns as usize,
            rows: rows as usize,
            chunk_columns: chunk_columns as usize,
            chunk_rows: chunk_rows as usize,
            chunks: tags.chunks()?,
            coding,
            scaling: scaling(coding.kind, void, &metadata)?,
        };
        layout.check_lengths(tags.length)?;
        layout.divide_open_strip();
        let unit = item(&metadata, "unittype").map(str::to_owned);
        Ok(Self { layout, bands, void_declared, no_void, unit })
    }
}

/// The text of the item with this role in GDAL's metadata of the first band.
fn item<'t>(metadata: &'t str, role: &str) -> Option<&'t str> {
    let role = format!("role=\"{role}\"");
    metadata.split("<Item ").find_map(|item| {
        let (attributes, rest) = item.split_once('>')?;
        let ours = attributes.contains(&role) && attributes.contains("sample=\"0\"");
        ours.then(|| rest.split('<').next().unwrap_or_default().trim())
    })
}

impl Layout {
    /// Refuses chunks that lie beyond the end of the file, and sizes that so few bytes cannot hold.
    fn check_lengths(&self, length: u64) -> Result<(), GridError> {
        /// Memory that a grid may ask for beyond what its file makes likely, and how much one byte of a real grid makes on the whole.
        const LIKELY: (u64, u64) = (1 << 26, 1 << 9);
        let needed = self.chunks.iter().filter(|chunk| chunk.1 > 0).map(|(offset, bytes)| offset.saturating_add(*bytes));
        let needed = needed.max().unwrap_or(0);
        if needed > length {
            return Err(GridError::Truncated { length, needed });
        }
        let expansion = self.coding.compression.most_expansion();
        let row_bytes = (self.chunk_columns * self.coding.samples * self.coding.kind.bytes()) as u64;
        let across = self.columns.div_ceil(self.chunk_columns);
        for (index, (offset, bytes)) in self.chunks.iter().enumerate().filter(|(_, chunk)| chunk.1 > 0) {
            let first_row = index / across * self.chunk_rows;
            let rows = self.chunk_rows.min(self.rows.saturating_sub(first_row)) as u64;
            if row_bytes.saturating_mul(rows) > bytes.saturating_mul(expansion) {
                let part =
                    format!("the cells at byte {offset} need {rows} rows of {row_bytes} bytes, but only {bytes} bytes are there");
                return Err(GridError::Damaged { part });
            }
        }
        // Parts may be left out that are void: a grid of next to nothing else is a heading that lies about its size.
        let asked = (self.columns * self.rows * size_of::<f32>()) as u64;
        if asked > LIKELY.0.saturating_add(length.saturating_mul(LIKELY.1)) {
            let part = format!(
                "it says {} columns and {} rows, but has only {length} bytes: cut out the part with heights",
                self.columns, self.rows
            );
            return Err(GridError::Damaged { part });
        }
        Ok(())
    }

    /// One uncompressed strip with the whole grid in it becomes many, so that all threads have work.
    fn divide_open_strip(&mut self) {
        const ROWS: usize = 64;
        if self.coding.compression != Compression::None || self.chunk_columns != self.columns || self.chunk_rows < self.rows {
            return;
        }
        let [(offset, 1..), ..] = self.chunks[..] else { return };
        let row_bytes = (self.columns * self.coding.samples * self.coding.kind.bytes()) as u64;
        let strip = |first: usize| (offset + first as u64 * row_bytes, ROWS.min(self.rows - first) as u64 * row_bytes);
        self.chunks = (0..self.rows).step_by(ROWS).map(strip).collect();
        self.chunk_rows = ROWS.min(self.rows);
    }
}

/// How the cells are coded.
fn coding(tags: &mut Tags, bands: u16) -> Result<Coding, GridError> {
    let (bits, format) = (tags.short(Tag::BitsPerSample, 1)?, tags.short(Tag::SampleFormat, 1)?);
    refuse_picture(tags.short(Tag::PhotometricInterpretation, 1)?, bands, bits)?;
    let compression = compression(tags.short(Tag::Compression, 1)?)?;
    let kind = sample_kind(format, bits)?;
    let predictor = match (tags.short(Tag::Predictor, 1)?, kind) {
        (1, _) => Predictor::None,
        (2, _) => Predictor::Horizontal,
        (3, SampleKind::F32 | SampleKind::F64) => Predictor::FloatingPoint,
        (found, _) => return Err(GridError::Predictor { found }),
    };
    let planar = tags.short(Tag::PlanarConfiguration, 1)? == 2;
    let samples = if planar { 1 } else { usize::from(bands) };
    Ok(Coding { compression, predictor, kind, samples, big_endian: tags.is_big_endian() })
}

fn refuse_picture(photometric: u16, bands: u16, bits: u16) -> Result<(), GridError> {
    let found = match photometric {
        2 => format!("a colour picture ({bands} bands: red, green, blue)"),
        3 => "a picture with a colour table".to_owned(),
        5 | 6 | 8 | 9 | 10 => format!("a colour picture ({bands} bands)"),
        _ if bits == 8 && bands >= 3 => format!("a colour picture ({bands} bands of 8 bits)"),
        _ => return Ok(()),
    };
    Err(GridError::Picture { found })
}

fn sample_kind(format: u16, bits: u16) -> Result<SampleKind, GridError> {
    Ok(match (format, bits) {
        (1, 8) => SampleKind::U8,
        (2, 8) => SampleKind::I8,
        (1, 16) => SampleKind::U16,
        (2, 16) => SampleKind::I16,
        (1, 32) => SampleKind::U32,
        (2, 32) => SampleKind::I32,
        (3, 32) => SampleKind::F32,
        (3, 64) => SampleKind::F64,
        _ => {
            let kind = match format {
                1 | 2 => "whole",
                3 => "floating-point",
                5 | 6 => "complex",
                _ => "unknown",
            };
            return Err(GridError::SampleType { bits, kind });
        }
    })
}

fn compression(code: u16) -> Result<Compression, GridError> {
    let name = match code {
        1 => return Ok(Compression::None),
        5 => return Ok(Compression::Lzw),
        8 | 32946 => return Ok(Compression::Deflate),
        32773 => return Ok(Compression::PackBits),
        50000 => return Ok(Compression::Zstd),
        2..=4 => "fax coding",
        6 | 7 | 34892 => "JPEG",
        33003 | 33004 | 33005 | 34712 => "JPEG 2000",
        34887 => "LERC",
        34925 => "LZMA",
        50001 => "WebP",
        50002 | 52546 => "JPEG XL",
        _ => return Err(GridError::Compression { found: format!("method {code}") }),
    };
    Err(GridError::Compression { found: name.to_owned() })
}

/// Void value, scale and offset as the tags give them.
fn scaling(kind: SampleKind, void: &str, metadata: &str) -> Result<Scaling, GridError> {
    let number = |role: &str, default: f64| match item(metadata, role) {
        None => Ok(default),
        Some(text) => text.parse::<f64>().ok().filter(|number| number.is_finite()).ok_or_else(|| GridError::Damaged {
            part: format!("its {role} is \"{}\", allowed are numbers", shortened(text.as_bytes())),
        }),
    };
    let void = void.parse::<f64>().ok();
    let void = void.map(|number| if kind == SampleKind::F32 { f64::from(number as f32) } else { number });
    Ok(Scaling { void, scale: number("scale", 1.0)?, offset: number("offset", 0.0)?, ..Scaling::METRES })
}
