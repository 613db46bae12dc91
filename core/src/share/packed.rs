//! A packed sheet looked through before another reader trusts it: how much it unpacks to, and the counts that its parts claim.

use super::sheet::SheetTrouble;
use crate::bounds::{TABLE_PARTS, TABLE_UNPACKED_BYTES};
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// The attribute of shared strings by which a reader asks for memory (ECMA-376 part 1, 18.4.9).
const CLAIM: &[u8] = b"uniqueCount";

/// Refuses what unpacks to more than a sheet holds, whatever its directory says, and a count of texts that its part is too short for.
///
/// # Errors
/// [`SheetTrouble`].
pub(super) fn look_through(bytes: &[u8]) -> Result<(), SheetTrouble> {
    let unreadable = |trouble: &dyn std::fmt::Display| SheetTrouble::NotASpreadsheet(trouble.to_string());
    if claimed_bytes(bytes) > TABLE_UNPACKED_BYTES {
        return Err(SheetTrouble::TooLong);
    }
    let mut parts = ZipArchive::new(Cursor::new(bytes)).map_err(|trouble| unreadable(&trouble))?;
    if parts.len() > TABLE_PARTS {
        return Err(SheetTrouble::TooLong);
    }
    let mut left = TABLE_UNPACKED_BYTES;
    for index in 0..parts.len() {
        let part = parts.by_index(index).map_err(|trouble| unreadable(&trouble))?;
        let holds_texts = String::from_utf8_lossy(part.name_raw()).to_ascii_lowercase().ends_with("sharedstrings.xml");
        // One byte more than there may be tells too much from just enough.
        let mut part = part.take(left + 1);
        let unpacked = if holds_texts {
            let mut text = Vec::new();
            part.read_to_end(&mut text).map_err(|trouble| unreadable(&trouble))?;
            refuse_false_claims(&text)?;
            text.len() as u64
        } else {
            std::io::copy(&mut part, &mut std::io::sink()).map_err(|trouble| unreadable(&trouble))?
        };
        left = left.checked_sub(unpacked).ok_or(SheetTrouble::TooLong)?;
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

#[cfg(test)]
mod tests {
    use super::*;

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
