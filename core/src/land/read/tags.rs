//! The tags of a TIFF file, and what its reader says in our words.

use super::{GridError, ReadSeek, contents};
use crate::bounds::beginning;
use std::io::{BufReader, Seek, SeekFrom};
use tiff::decoder::{ChunkType, Decoder};
use tiff::tags::{ByteOrder, Tag};
use tiff::{TiffError, TiffFormatError};

/// A TIFF file, open at one of its images.
pub(super) struct Tags<'a> {
    decoder: Decoder<BufReader<Box<dyn ReadSeek + Send + 'a>>>,
    /// Bytes of the file.
    pub(super) length: u64,
}

impl<'a> Tags<'a> {
    pub(super) fn open(mut handle: Box<dyn ReadSeek + Send + 'a>) -> Result<Self, GridError> {
        let length = handle.seek(SeekFrom::End(0))?;
        contents::check(&mut handle, length)?;
        let decoder = Decoder::new(BufReader::new(handle)).map_err(|error| trouble(error, length))?;
        Ok(Self { decoder, length })
    }

    /// Goes to the next image; `false` when there is none.
    pub(super) fn next_image(&mut self) -> Result<bool, GridError> {
        if !self.decoder.more_images() {
            return Ok(false);
        }
        self.decoder.next_image().map_err(|error| trouble(error, self.length))?;
        Ok(true)
    }

    /// Columns and rows.
    pub(super) fn size(&mut self) -> Result<(u32, u32), GridError> {
        self.decoder.dimensions().map_err(|error| trouble(error, self.length))
    }

    /// Columns and rows of a chunk.
    pub(super) fn chunk_size(&self) -> (u32, u32) {
        self.decoder.chunk_dimensions()
    }

    /// Offset and length of each chunk.
    pub(super) fn chunks(&mut self) -> Result<Vec<(u64, u64)>, GridError> {
        let (offsets, lengths) = match self.decoder.get_chunk_type() {
            ChunkType::Strip => (Tag::StripOffsets, Tag::StripByteCounts),
            ChunkType::Tile => (Tag::TileOffsets, Tag::TileByteCounts),
        };
        Ok(self.whole_numbers(offsets)?.into_iter().zip(self.whole_numbers(lengths)?).collect())
    }

    pub(super) fn is_big_endian(&self) -> bool {
        self.decoder.byte_order() == ByteOrder::BigEndian
    }

    /// A number below 65536; the first one where there are several.
    pub(super) fn short(&mut self, tag: Tag, default: u16) -> Result<u16, GridError> {
        Ok(self.shorts(tag)?.first().copied().unwrap_or(default))
    }

    /// Numbers below 65536; none if the tag is not there.
    pub(super) fn shorts(&mut self, tag: Tag) -> Result<Vec<u16>, GridError> {
        let found = self.decoder.find_tag_unsigned_vec(tag).map_err(|error| trouble(error, self.length))?;
        Ok(found.unwrap_or_default())
    }

    fn whole_numbers(&mut self, tag: Tag) -> Result<Vec<u64>, GridError> {
        let found = self.decoder.find_tag_unsigned_vec(tag).map_err(|error| trouble(error, self.length))?;
        Ok(found.unwrap_or_default())
    }

    /// Floating-point numbers; none if the tag is not there.
    pub(super) fn doubles(&mut self, tag: Tag) -> Result<Vec<f64>, GridError> {
        let found = self.decoder.find_tag(tag).and_then(|value| value.map(|value| value.into_f64_vec()).transpose());
        Ok(found.map_err(|error| trouble(error, self.length))?.unwrap_or_default())
    }

    /// Text; empty if the tag is not there.
    pub(super) fn text(&mut self, tag: Tag) -> Result<String, GridError> {
        let found = self.decoder.find_tag(tag).and_then(|value| value.map(|value| value.into_string()).transpose());
        Ok(found.map_err(|error| trouble(error, self.length))?.unwrap_or_default())
    }
}

/// What is wrong with the form of a TIFF, in our words.
fn plainly(what: &TiffFormatError) -> String {
    use TiffFormatError as F;
    match what {
        F::TiffSignatureNotFound | F::TiffSignatureInvalid => "it does not begin as a TIFF does".to_owned(),
        F::ImageFileDirectoryNotFound => "it has no list of contents".to_owned(),
        F::InconsistentSizesEncountered => "the sizes of its parts contradict each other".to_owned(),
        F::InvalidTagValueType(tag) => format!("its entry {} holds a value of another sort than it must", entry(*tag)),
        F::RequiredTagNotFound(tag) => format!("it lacks the entry {}", entry(*tag)),
        F::InvalidCountForTag(tag, found) => {
            format!("its entry {} holds {found} values, which is not how many it must", entry(*tag))
        }
        F::UnknownPredictor(found) => format!("its cells are stored with predictor {found}, which there is not"),
        F::UnknownPlanarConfiguration(found) => format!("its bands are stored in the order {found}, which there is not"),
        F::StripTileTagConflict => "it says that its cells lie in strips and in tiles at once".to_owned(),
        F::CycleInOffsets => "its list of contents leads back to itself".to_owned(),
        F::SamplesPerPixelIsZero => "its cells hold no number".to_owned(),
        F::CompressedDataCorrupt(_) => "its compressed cells are broken".to_owned(),
        _ => "an entry of its list of contents is none".to_owned(),
    }
}

/// An entry by its name in the standard and its number.
fn entry(tag: Tag) -> String {
    format!("{tag:?} ({})", tag.to_u16())
}

/// What the TIFF reader says, in our words.
fn trouble(error: TiffError, length: u64) -> GridError {
    let part = match error {
        TiffError::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
            return GridError::Damaged { part: format!("its list of contents points beyond its end at byte {length}") };
        }
        TiffError::IoError(error) => return error.into(),
        TiffError::FormatError(TiffFormatError::InvalidDimensions(columns, rows)) => {
            return GridError::TooSmall { columns: u64::from(columns), rows: u64::from(rows) };
        }
        TiffError::UnsupportedError(what) => return GridError::Unsupported { found: beginning(&what.to_string()) },
        TiffError::LimitsExceeded | TiffError::IntSizeError => {
            "its list of contents names far more than the file holds".to_owned()
        }
        TiffError::FormatError(what) => plainly(&what),
        _ => "its list of contents contradicts itself".to_owned(),
    };
    GridError::Damaged { part }
}
