//! A packed sheet looked through before another reader trusts it: how much it unpacks to, and the counts and places that its parts claim.

use super::sheet::{BROKEN_PACK, SheetTrouble};
use crate::bounds::{TABLE_PARTS, TABLE_TEXTS, TABLE_UNPACKED_BYTES};
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// The attribute of shared strings by which a reader asks for memory (ECMA-376 part 1, 18.4.9).
const CLAIM: &[u8] = b"uniqueCount";
/// How a text begins (ECMA-376 part 1, 18.4.8), with what else begins so.
const TEXT: &[u8] = b"<si";

/// Refuses what unpacks to more than a sheet holds, whatever its directory says, a count of texts that its part is too short for, and
/// cells where no sheet has any.
///
/// # Errors
/// [`SheetTrouble`].
pub(super) fn look_through(bytes: &[u8]) -> Result<(), SheetTrouble> {
    let broken = || SheetTrouble::NotASpreadsheet(BROKEN_PACK.to_owned());
    if claimed_bytes(bytes) > TABLE_UNPACKED_BYTES {
        return Err(SheetTrouble::TooLargeUnpacked);
    }
    let mut parts = ZipArchive::new(Cursor::new(bytes)).map_err(|_| broken())?;
    if parts.len() > TABLE_PARTS {
        return Err(SheetTrouble::TooManyParts { found: parts.len() });
    }
    let mut left = TABLE_UNPACKED_BYTES;
    for index in 0..parts.len() {
        let part = parts.by_index(index).map_err(|_| broken())?;
        let holds_texts = String::from_utf8_lossy(part.name_raw()).to_ascii_lowercase().ends_with("sharedstrings.xml");
        // One byte more than there may be tells too much from just enough.
        let mut text = Vec::new();
        part.take(left + 1).read_to_end(&mut text).map_err(|_| broken())?;
        left = left.checked_sub(text.len() as u64).ok_or(SheetTrouble::TooLargeUnpacked)?;
        if holds_texts {
            refuse_false_claims(&text)?;
        }
        refuse_false_places(&text)?;
    }
    Ok(())
}

/// What the parts of a packed file say they are unpacked, together.
///
/// # Source
/// Key `zip-format`, central directory file header: signature `PK 1 2`, uncompressed size in the four bytes from 24 on.
fn claimed_bytes(bytes: &[u8]) -> u64 {
    const ENTRY: &[u8] = b"PK\x01\x02";
    let entries = bytes.windows(28).filter(|entry| entry.starts_with(ENTRY));
    entries.map(|entry| u64::from(u32::from_le_bytes([entry[24], entry[25], entry[26], entry[27]]))).sum()
}

/// A text is `<si/>` at least: there cannot be more of them than the part has bytes.
fn refuse_false_claims(part: &[u8]) -> Result<(), SheetTrouble> {
    if part.contains(&0) {
        return Err(SheetTrouble::NotASpreadsheet("its texts are not in UTF-8".to_owned()));
    }
    let texts = part.windows(TEXT.len()).filter(|here| *here == TEXT).count();
    if texts > TABLE_TEXTS {
        return Err(SheetTrouble::FalseCount { found: texts.to_string(), allowed: TABLE_TEXTS });
    }
    let claims = part.windows(CLAIM.len()).enumerate().filter(|(_, here)| *here == CLAIM);
    for (at, _) in claims {
        let after = &part[at + CLAIM.len()..];
        let digits: Vec<u8> = after.iter().copied().skip_while(|byte| b" \t\r\n='\"+".contains(byte)).take(40).collect();
        let digits: String = digits.into_iter().take_while(u8::is_ascii_digit).map(char::from).collect();
        let count = if digits.is_empty() { 0 } else { digits.parse().unwrap_or(u64::MAX) };
        if count > part.len() as u64 {
            return Err(SheetTrouble::FalseCount { found: digits, allowed: part.len() / 5 });
        }
    }
    Ok(())
}

/// Names of attributes under which the place of a cell stands, or those of two with a colon between them (ECMA-376 part 1, 18.3.1).
const PLACES: [&[u8]; 2] = [b"r", b"ref"];

/// Columns have three letters and rows seven digits at most: of longer ones a reader would make other cells.
fn refuse_false_places(part: &[u8]) -> Result<(), SheetTrouble> {
    let is_blank = |byte: &u8| byte.is_ascii_whitespace();
    for (at, _) in part.windows(2).enumerate().filter(|(_, pair)| is_blank(&pair[0]) && pair[1] == b'r') {
        let attribute = &part[at + 1..(at + 64).min(part.len())];
        let name = attribute.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
        let after = attribute[name..].trim_ascii_start();
        let Some((b'=', value)) = after.split_first().filter(|_| PLACES.contains(&&attribute[..name])) else { continue };
        let Some((quote @ (b'"' | b'\''), value)) = value.trim_ascii_start().split_first() else { continue };
        let value = value.split(|byte| byte == quote).next().unwrap_or_default();
        if let Some(wrong) = value.split(|byte| *byte == b':').find(|place| is_beyond(place)) {
            let found = String::from_utf8_lossy(wrong);
            return Err(SheetTrouble::NotASpreadsheet(format!("found a cell {found}; allowed are A1 to XFD1048576")));
        }
    }
    Ok(())
}

/// Whether it is written as the place of a cell and lies farther out than any.
fn is_beyond(place: &[u8]) -> bool {
    let letters = place.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
    let is_place = place[letters..].iter().all(u8::is_ascii_digit);
    is_place && (letters > 3 || place.len() - letters > 7)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_farther_out_than_any_sheet_reaches_is_refused() {
        for (part, is_fine) in [
            ("<c r=\"A1\"/><row r=\"1048576\"/><dimension ref=\"A1:XFD1048576\"/>", true),
            ("<drawing r:id=\"rId12345678901\"/><a ref=\"a page of text\"/>", true),
            ("<c r=\"ABCDEFGHIJ1\"/>", false),
            ("<c\n r = 'A99999999999'/>", false),
            ("<dimension ref=\"A1:AAAA5\"/>", false),
            ("<c r=", true),
        ] {
            assert_eq!(refuse_false_places(part.as_bytes()).is_ok(), is_fine, "{part}");
        }
    }

    #[test]
    fn a_count_of_texts_that_cannot_be_is_refused_before_anybody_asks_for_memory() {
        for (claim, is_fine) in [
            ("<sst uniqueCount=\"1\"><si><t>a</t></si></sst>", true),
            ("<sst uniqueCount=\"4294967295\"><si><t>a</t></si></sst>", false),
            ("<sst count='1' uniqueCount = '99999999999999999999999'/>", false),
            ("<sst/>", true),
        ] {
            assert_eq!(refuse_false_claims(claim.as_bytes()).is_ok(), is_fine, "{claim}");
        }
    }
}
