//! What can be done to the tags of a TIFF: their number, kind, count and value.

use crate::bytes;
use crate::chance::Chance;

/// Tags that elevation grids live by.
const TAGS: [u16; 30] = [
    254, 256, 257, 258, 259, 262, 273, 277, 278, 279, 284, 317, 320, 322, 323, 324, 325, 330, 338, 339, 33550, 33922, 34264,
    34735, 34736, 34737, 42112, 42113, 50844, 65535,
];

/// Numbers with decimals that places and scales go wrong with.
const DOUBLES: [f64; 12] =
    [0.0, -0.0, -1.0, 1e-300, 1e-9, 1e9, 1e300, f64::MAX, f64::MIN_POSITIVE, f64::NAN, f64::INFINITY, f64::NEG_INFINITY];

/// Where a file's numbers stand, and in what order of bytes.
struct Form {
    is_big_endian: bool,
    is_big: bool,
}

/// Spoils one to three tags, or numbers that tags point at; any other bytes stay as they are.
pub fn spoil(file: &mut [u8], chance: &mut Chance) {
    let Some(form) = Form::of(file) else { return };
    let entries = form.entries(file);
    for _ in 0..=chance.pick(&[0, 0, 0, 1, 3]) {
        if !entries.is_empty() {
            let at = chance.pick(&entries);
            form.spoil_entry(file, at, chance);
        }
    }
}

impl Form {
    fn of(file: &[u8]) -> Option<Self> {
        let is_big_endian = file.get(..2)? == b"MM";
        let version = *file.get(if is_big_endian { 3 } else { 2 })?;
        Some(Self { is_big_endian, is_big: version == 43 })
    }

    fn number(&self, file: &[u8], at: usize, width: usize) -> u64 {
        let mut bytes: Vec<u8> = (at..at + width).map(|at| file.get(at).copied().unwrap_or(0)).collect();
        if !self.is_big_endian {
            bytes.reverse();
        }
        bytes.into_iter().fold(0, |number, byte| number << 8 | u64::from(byte))
    }

    fn write(&self, file: &mut [u8], at: usize, width: usize, number: u64) {
        let mut coded = number.to_le_bytes()[..width].to_vec();
        if self.is_big_endian {
            coded.reverse();
        }
        for (place, byte) in file.iter_mut().skip(at).zip(coded) {
            *place = byte;
        }
    }

    /// Where the entries of the first two directories stand.
    fn entries(&self, file: &[u8]) -> Vec<usize> {
        let (head, count_width, entry, next) = if self.is_big { (8, 8, 20, 8) } else { (4, 2, 12, 4) };
        let mut entries = Vec::new();
        let mut at = self.number(file, head, next) as usize;
        for _ in 0..2 {
            if at == 0 || at >= file.len() {
                break;
            }
            let count = self.number(file, at, count_width).min(100) as usize;
            let first = at + count_width;
            entries.extend((0..count).map(|index| first + index * entry));
            at = self.number(file, first + count * entry, next) as usize;
        }
        entries.retain(|at| at + 20 <= file.len());
        entries
    }

    fn spoil_entry(&self, file: &mut [u8], at: usize, chance: &mut Chance) {
        let (count_at, value_at, width) = if self.is_big { (at + 4, at + 12, 8) } else { (at + 4, at + 8, 4) };
        let kind = self.number(file, at + 2, 2);
        match chance.below(8) {
            0 => self.write(file, at, 2, u64::from(chance.pick(&TAGS))),
            1 => self.write(file, at + 2, 2, chance.below(19) as u64),
            2 => self.write(file, count_at, width, bytes::length(chance)),
            3 | 4 => self.write(file, value_at, if kind == 3 { 2 } else { width }, bytes::length(chance)),
            _ => {
                let size = match kind {
                    3 => 2,
                    12 | 16 | 17 => 8,
                    4 => 4,
                    _ => 1,
                };
                let count = self.number(file, count_at, width).min(4000) as usize;
                let inside = count * size <= width;
                let start = if inside { value_at } else { self.number(file, value_at, width) as usize };
                let place = start.saturating_add(chance.below(count) * size);
                let number = if kind == 12 { chance.pick(&DOUBLES).to_bits() } else { bytes::length(chance) };
                if place < file.len() {
                    self.write(file, place, size, number);
                }
            }
        }
    }
}
