//! What can be done to any bytes: flips, cuts, splices, repeats, and numbers that may be lengths.

use crate::chance::Chance;

/// No spoiled file is longer: what grows without end is tried by fixtures.
pub const LONGEST: usize = 400_000;

/// Numbers that lengths, offsets and counts go wrong with.
const LENGTHS: [u64; 14] = [
    0,
    1,
    0x7f,
    0xff,
    0x100,
    0x7fff,
    0x8000,
    0xffff,
    0x0001_0000,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ffff,
    0x7fff_ffff_ffff_ffff,
    0xffff_ffff_ffff_ffff,
];

/// Spoils bytes in one to four places; `other` lends pieces.
pub fn spoil(bytes: &mut Vec<u8>, other: &[u8], chance: &mut Chance) {
    for _ in 0..=chance.below(4) {
        once(bytes, other, chance);
    }
    bytes.truncate(LONGEST);
}

fn once(bytes: &mut Vec<u8>, other: &[u8], chance: &mut Chance) {
    if bytes.is_empty() {
        bytes.extend(other.iter().take(chance.below(64)));
        return;
    }
    let at = chance.below(bytes.len());
    match chance.below(9) {
        0 | 1 => bytes[at] ^= 1 << chance.below(8),
        2 => bytes[at] = chance.pick(&[0, 1, 0x7f, 0x80, 0xff, b'\n', b'"', b'<', b'0', b'-']),
        3 => bytes.truncate(at),
        4 => {
            let piece = piece_of(other, 512, chance);
            let end = if chance.one_in(2) { at } else { (at + piece.len()).min(bytes.len()) };
            bytes.splice(at..end, piece);
        }
        5 | 6 => length_field(bytes, at, chance),
        7 => {
            let piece = piece_of(bytes, 256, chance);
            let times = 1 + chance.below(64);
            bytes.splice(at..at, piece.repeat(times));
        }
        _ => {
            let end = (at + 1 + chance.below(64)).min(bytes.len());
            bytes.drain(at..end);
        }
    }
}

/// A piece from anywhere.
fn piece_of(bytes: &[u8], longest: usize, chance: &mut Chance) -> Vec<u8> {
    let from = chance.below(bytes.len());
    let length = 1 + chance.below(longest);
    bytes[from.min(bytes.len())..(from + length).min(bytes.len())].to_vec()
}

/// Writes a number of two, four or eight bytes, in either order, at an even place.
fn length_field(bytes: &mut [u8], at: usize, chance: &mut Chance) {
    let at = at & !1;
    let number = length(chance);
    let width = chance.pick(&[2, 4, 8]);
    let coded =
        if chance.one_in(2) { number.to_le_bytes()[..width].to_vec() } else { number.to_be_bytes()[8 - width..].to_vec() };
    for (byte, coded) in bytes[at..].iter_mut().zip(coded) {
        *byte = coded;
    }
}

/// A number that a length goes wrong with, or any small one.
pub fn length(chance: &mut Chance) -> u64 {
    if chance.one_in(4) { chance.below(5000) as u64 } else { chance.pick(&LENGTHS) }
}
