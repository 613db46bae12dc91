//! What a file is, told by its first bytes.

use super::{GridError, ReadSeek};
use std::io::{Read, SeekFrom};

/// The kinds of file that we read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Signature {
    /// TIFF or BigTIFF.
    Tiff,
    /// A text grid.
    Text,
}

/// First bytes of files that people take for an elevation grid, and what they are.
const OTHERS: [(&[u8], &str); 20] = [
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"BM", "a bitmap picture"),
    (b"RIFF", "a WebP picture or a sound"),
    (b"\x00\x00\x00\x0cjP  ", "a JPEG 2000 picture"),
    (b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive (or .npz array, .kmz or office file): unpack it first if the grid is in it"),
    (b"\x1f\x8b", "a gzip archive: unpack it first if the grid is in it"),
    (b"7z\xbc\xaf", "a 7z archive: unpack it first if the grid is in it"),
    (b"\x93NUMPY", "a NumPy array without a place on the map"),
    (b"LASF", "a point cloud (LAS or LAZ): make a grid of its ground points first"),
    (b"\x89HDF", "an HDF5 or NetCDF file"),
    (b"CDF", "a NetCDF file"),
    (b"SQLite format 3", "a database (GeoPackage or other)"),
    (b"GRIB", "a GRIB weather file"),
    (b"<", "a web page or XML text (was the download refused?)"),
    (b"{", "a JSON text (a plan or GeoJSON?)"),
    (b"\x00\x00\x27\x0a", "a shapefile"),
];

/// Words with which a text grid begins.
const HEADING_WORDS: [&[u8]; 9] = [b"ncols", b"nrows", b"xll", b"yll", b"cellsize", b"nodata", b"dx", b"dy", b"byteorder"];

/// What the file is; the handle is back at the first byte.
///
/// # Errors
/// [`GridError::Empty`], [`GridError::NotAGrid`] with what it is instead, or what the system says.
pub(super) fn of(handle: &mut (impl ReadSeek + ?Sized)) -> Result<Signature, GridError> {
    let mut first = Vec::new();
    handle.take(64).read_to_end(&mut first)?;
    handle.seek(SeekFrom::Start(0))?;
    if first.is_empty() {
        return Err(GridError::Empty);
    }
    if is_tiff(&first) {
        return Ok(Signature::Tiff);
    }
    let words = first.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&first).trim_ascii_start();
    if HEADING_WORDS.iter().any(|word| words.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word))) {
        return Ok(Signature::Text);
    }
    Err(GridError::NotAGrid { found: other(&first, words) })
}

fn is_tiff(first: &[u8]) -> bool {
    [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"].iter().any(|magic| first.starts_with(*magic))
}

/// Whether a file begins as a TIFF does; the handle stands at the first byte again.
pub(super) fn starts_as_tiff(handle: &mut (impl ReadSeek + ?Sized)) -> Result<bool, GridError> {
    let mut first = Vec::new();
    handle.take(4).read_to_end(&mut first)?;
    handle.seek(SeekFrom::Start(0))?;
    Ok(is_tiff(&first))
}

fn other(first: &[u8], words: &[u8]) -> &'static str {
    if let Some((_, found)) = OTHERS.iter().find(|(magic, _)| first.starts_with(magic) || words.starts_with(magic)) {
        return found;
    }
    let plain = |byte: &u8| (b' '..=b'~').contains(byte) || byte.is_ascii_whitespace() || *byte >= 0x80;
    if !first.iter().all(plain) {
        return "a file of a kind that is not known here";
    }
    if words.first().is_some_and(|byte| byte.is_ascii_digit() || b"+-.".contains(byte)) {
        return "a list of numbers without a text grid's heading (ncols, nrows, ...)";
    }
    "a text without a text grid's heading (ncols, nrows, ...)"
}
