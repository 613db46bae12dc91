//! A look at a TIFF file's lists of contents before its reader trusts them: no tag holds more than the file does.

use super::{GridError, ReadSeek};
use std::collections::HashSet;
use std::io::{self, SeekFrom};

/// More lists than this are not looked through: the reader follows no more.
const MOST_LISTS: usize = 1000;
/// The longest text of a tag, bytes: the reader of TIFF files prints a line of its own about longer ones.
const LONGEST_TEXT: u64 = 64 << 20;
/// The type of a tag that holds text.
const TEXT: u16 = 2;

/// Refuses a file whose tags say that they hold more than the file does. What is not even a list is left to the reader.
///
/// # Errors
/// [`GridError::Damaged`].
///
/// # Source
/// `tiff-6`, sections 2 and 8; files with long addresses as BigTIFF lengthens them.
pub(super) fn check(file: &mut dyn ReadSeek, length: u64) -> Result<(), GridError> {
    for Entry { tag, kind, count } in entries(file).unwrap_or_default() {
        let bytes = count.saturating_mul(size_of_kind(kind));
        if bytes > length || (kind == TEXT && bytes > LONGEST_TEXT) {
            let part = format!("its tag {tag} says that it holds {bytes} bytes, but the file has {length}");
            return Err(GridError::Damaged { part });
        }
    }
    file.seek(SeekFrom::Start(0))?;
    Ok(())
}

struct Entry {
    tag: u16,
    kind: u16,
    count: u64,
}

/// Bytes of one value.
fn size_of_kind(kind: u16) -> u64 {
    match kind {
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 | 16..=18 => 8,
        _ => 1,
    }
}

fn entries(file: &mut dyn ReadSeek) -> io::Result<Vec<Entry>> {
    file.seek(SeekFrom::Start(0))?;
    let mut first = [0; 4];
    file.read_exact(&mut first)?;
    let mut bytes = Numbers { file, big_endian: first[0] == b'M', long: first.contains(&43) };
    if bytes.long {
        // How long addresses are, and nothing.
        bytes.short()?;
        bytes.short()?;
    }
    let (mut found, mut seen, mut at) = (Vec::new(), HashSet::new(), bytes.address()?);
    while at != 0 && seen.len() < MOST_LISTS && seen.insert(at) {
        bytes.file.seek(SeekFrom::Start(at))?;
        let count = if bytes.long { bytes.address()?.min(u64::from(u16::MAX)) } else { u64::from(bytes.short()?) };
        for _ in 0..count {
            let (tag, kind) = (bytes.short()?, bytes.short()?);
            found.push(Entry { tag, kind, count: bytes.address()? });
            // The value, or its address.
            bytes.address()?;
        }
        at = bytes.address()?;
    }
    Ok(found)
}

/// Numbers as the file stores them.
struct Numbers<'a> {
    file: &'a mut dyn ReadSeek,
    big_endian: bool,
    /// Whether addresses have eight bytes.
    long: bool,
}

impl Numbers<'_> {
    fn short(&mut self) -> io::Result<u16> {
        let mut two = [0; 2];
        self.file.read_exact(&mut two)?;
        Ok(if self.big_endian { u16::from_be_bytes(two) } else { u16::from_le_bytes(two) })
    }

    fn address(&mut self) -> io::Result<u64> {
        if self.long {
            let mut eight = [0; 8];
            self.file.read_exact(&mut eight)?;
            return Ok(if self.big_endian { u64::from_be_bytes(eight) } else { u64::from_le_bytes(eight) });
        }
        let mut four = [0; 4];
        self.file.read_exact(&mut four)?;
        Ok(u64::from(if self.big_endian { u32::from_be_bytes(four) } else { u32::from_le_bytes(four) }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    /// A file with one list of one tag.
    fn file(big_endian: bool, kind: u16, count: u32) -> Vec<u8> {
        let two = |number: u16| if big_endian { number.to_be_bytes() } else { number.to_le_bytes() };
        let four = |number: u32| if big_endian { number.to_be_bytes() } else { number.to_le_bytes() };
        let mark: &[u8] = if big_endian { b"MM" } else { b"II" };
        [mark, &two(42), &four(8), &two(1), &two(270), &two(kind), &four(count), &four(0), &four(0)].concat()
    }

    #[test]
    fn a_tag_that_holds_more_than_the_file_is_damage_and_anything_else_is_left_to_the_reader() {
        for big_endian in [false, true] {
            for (kind, count, is_damage) in [(2, 26, false), (2, 27, true), (3, 14, true), (12, u32::MAX, true), (99, 9, false)] {
                let bytes = file(big_endian, kind, count);
                let length = bytes.len() as u64;
                let checked = check(&mut Cursor::new(bytes), length);
                assert_eq!(checked.is_err(), is_damage, "{kind} {count}: {checked:?}");
            }
        }
        for bytes in [&b""[..], b"II*\0", b"II*\0\x08\0\0\0\xff\xff", b"MM\0+\0\x08\0\0\0\0\0\0\0\0\0\x10"] {
            assert_eq!(check(&mut Cursor::new(bytes.to_vec()), bytes.len() as u64), Ok(()));
        }
    }
}
