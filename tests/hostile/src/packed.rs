//! Packed files: a spreadsheet from its parts, and pictures in chunks, put together again so that what is spoiled gets past the checksums.

use crate::bytes;
use crate::chance::Chance;
use flate2::Compression;
use flate2::write::{DeflateEncoder, ZlibEncoder};
use std::io::Write;

/// A part of a packed file.
#[derive(Clone)]
pub struct Part {
    pub name: String,
    pub bytes: Vec<u8>,
}

/// What a packed file says of a part, against what it is.
#[derive(Clone, Copy, Default)]
pub struct Lies {
    /// Unpacked bytes as stated in the list at the end.
    pub unpacked: Option<u32>,
    /// Packed bytes as stated.
    pub packed: Option<u32>,
    /// Method as stated.
    pub method: Option<u16>,
}

/// The parts as one file; `lies` speak of one part each.
pub fn zip(parts: &[Part], lies: &[(usize, Lies)]) -> Vec<u8> {
    let (mut file, mut list) = (Vec::new(), Vec::new());
    for (index, part) in parts.iter().enumerate() {
        let lie = lies.iter().find(|(of, _)| *of == index).map(|(_, lie)| *lie).unwrap_or_default();
        let packed = deflated(&part.bytes);
        let mut crc = flate2::Crc::new();
        crc.update(&part.bytes);
        let at = file.len() as u32;
        let mut head = Vec::new();
        // Version, flags, method, time, day, checksum, sizes, lengths of name and extra field.
        for number in [20, 0, lie.method.unwrap_or(8), 0, 0x21] {
            head.extend(number.to_le_bytes());
        }
        for number in [crc.sum(), lie.packed.unwrap_or(packed.len() as u32), lie.unpacked.unwrap_or(part.bytes.len() as u32)] {
            head.extend(number.to_le_bytes());
        }
        head.extend((part.name.len() as u16).to_le_bytes());
        head.extend([0, 0]);
        file.extend(b"PK\x03\x04");
        file.extend(&head);
        file.extend(part.name.as_bytes());
        file.extend(&packed);
        list.extend(b"PK\x01\x02\x14\x00");
        list.extend(&head);
        // Remark, disk, attributes; then where it stands.
        list.extend([0; 10]);
        list.extend(at.to_le_bytes());
        list.extend(part.name.as_bytes());
    }
    let (at, length, count) = (file.len() as u32, list.len() as u32, parts.len() as u16);
    file.extend(&list);
    file.extend(b"PK\x05\x06\0\0\0\0");
    file.extend(count.to_le_bytes().repeat(2));
    file.extend(length.to_le_bytes());
    file.extend(at.to_le_bytes());
    file.extend([0, 0]);
    file
}

fn deflated(bytes: &[u8]) -> Vec<u8> {
    let mut packer = DeflateEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(bytes).and_then(|()| packer.finish()).expect("memory takes all bytes")
}

/// The rows of a sheet, and the words that they share.
fn cells<'a>(rows: &[Vec<&'a str>]) -> (String, Vec<&'a str>) {
    let mut shared: Vec<&str> = Vec::new();
    let mut sheet = String::new();
    for (row, cells) in rows.iter().enumerate() {
        sheet.push_str(&format!("<row r=\"{}\">", row + 1));
        for (column, cell) in cells.iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
            let place = format!("{}{}", char::from(b'A' + column as u8), row + 1);
            if cell.parse::<f64>().is_ok() {
                sheet.push_str(&format!("<c r=\"{place}\"><v>{cell}</v></c>"));
            } else if let Some(day) = cell.strip_prefix("day ") {
                sheet.push_str(&format!("<c r=\"{place}\" s=\"1\"><v>{day}</v></c>"));
            } else {
                shared.push(cell);
                sheet.push_str(&format!("<c r=\"{place}\" t=\"s\"><v>{}</v></c>", shared.len() - 1));
            }
        }
        sheet.push_str("</row>");
    }
    (sheet, shared)
}

/// A spreadsheet with these rows. Words are shared strings, numbers numbers; a column of days is as spreadsheets write them.
pub fn workbook(rows: &[Vec<&str>]) -> Vec<Part> {
    let (sheet, shared) = cells(rows);
    let strings: String = shared.iter().map(|text| format!("<si><t>{text}</t></si>")).collect();
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml";
    let (count, relation) = (shared.len(), |id: u8, what: &str, target: &str| {
        format!("<Relationship Id=\"rId{id}\" Type=\"{office}/{what}\" Target=\"{target}\"/>")
    });
    let part = |name: &str, body: String| Part {
        name: name.to_owned(),
        bytes: format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{body}").into_bytes(),
    };
    let relations = |list: String| format!("<Relationships xmlns=\"{package}/relationships\">{list}</Relationships>");
    let of = |name: &str, kind: &str| format!("<Override PartName=\"/xl/{name}.xml\" ContentType=\"{kinds}.{kind}+xml\"/>");
    vec![
        part(
            "[Content_Types].xml",
            format!(
                "<Types xmlns=\"{package}/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>{}{}{}{}</Types>",
                of("workbook", "sheet.main"),
                of("worksheets/sheet1", "worksheet"),
                of("sharedStrings", "sharedStrings"),
                of("styles", "styles")
            ),
        ),
        part("_rels/.rels", relations(relation(1, "officeDocument", "xl/workbook.xml"))),
        part(
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{main}\" xmlns:r=\"{office}\"><sheets><sheet name=\"Order\" sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>"
            ),
        ),
        part(
            "xl/_rels/workbook.xml.rels",
            relations(
                [
                    relation(1, "worksheet", "worksheets/sheet1.xml"),
                    relation(2, "sharedStrings", "sharedStrings.xml"),
                    relation(3, "styles", "styles.xml"),
                ]
                .concat(),
            ),
        ),
        part("xl/sharedStrings.xml", format!("<sst xmlns=\"{main}\" count=\"{count}\" uniqueCount=\"{count}\">{strings}</sst>")),
        part(
            "xl/styles.xml",
            format!(
                "<styleSheet xmlns=\"{main}\"><cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"22\" applyNumberFormat=\"1\"/></cellXfs></styleSheet>"
            ),
        ),
        part(
            "xl/worksheets/sheet1.xml",
            format!(
                "<worksheet xmlns=\"{main}\"><dimension ref=\"A1:I{}\"/><sheetData>{sheet}</sheetData></worksheet>",
                rows.len()
            ),
        ),
    ]
}

/// Spoils a packed file in its parts, in what it says of them, or as any bytes.
pub fn spoil(parts: &[Part], chance: &mut Chance) -> Vec<u8> {
    let mut parts = parts.to_vec();
    let at = chance.below(parts.len());
    let mut lies = Vec::new();
    match chance.below(10) {
        0..=5 => {
            // The sheet and its words hold most of what is read.
            let at = if chance.one_in(2) { parts.len() - 1 } else { at };
            let text = String::from_utf8_lossy(&parts[at].bytes).into_owned();
            let other = String::from_utf8_lossy(&parts[chance.below(parts.len())].bytes).into_owned();
            parts[at].bytes = crate::xml::spoil(&text, &other, chance);
        }
        6 => drop(parts.remove(at)),
        7 => {
            let twice = parts[at].clone();
            parts.push(twice);
        }
        8 => {
            let mut number = || chance.one_in(2).then(|| bytes::length(chance) as u32);
            let lie = Lies { unpacked: number(), packed: number(), method: None };
            let method = chance.one_in(3).then(|| chance.pick(&[0, 1, 9, 12, 14, 93, 95, 99]));
            lies.push((at, Lies { method, ..lie }));
        }
        _ => {
            parts[at].name = chance
                .pick(&["xl/../../../x.xml", "/xl/workbook.xml", "XL/WORKBOOK.XML", "", "xl/worksheets/sheet1.xml"])
                .to_owned()
        }
    }
    let mut file = zip(&parts, &lies);
    if chance.one_in(6) {
        bytes::spoil(&mut file, b"PK\x03\x04\x14\0PK\x01\x02", chance);
    }
    file
}

/// Spoils a PNG chunk by chunk, with checksums that fit again.
pub fn spoil_png(png: &[u8], chance: &mut Chance) -> Vec<u8> {
    let mut chunks = chunks_of(png);
    for _ in 0..=chance.below(2) {
        let at = chance.below(chunks.len());
        match chance.below(6) {
            0 | 1 => bytes::spoil(&mut chunks[at].1, b"\0\0\0\x01\x08\x06", chance),
            2 => {
                let twice = chunks[at].clone();
                chunks.insert(at, twice);
            }
            3 if chunks.len() > 1 => drop(chunks.remove(at)),
            4 => {
                chunks[at].0 = chance.pick(&[
                    *b"IHDR", *b"IDAT", *b"PLTE", *b"tRNS", *b"iCCP", *b"zTXt", *b"gAMA", *b"acTL", *b"fdAT", *b"IEND", *b"eXIf",
                ])
            }
            _ => {
                // Points that unpack to something else than the header says.
                let mut packer = ZlibEncoder::new(Vec::new(), Compression::fast());
                let points = vec![chance.next() as u8; chance.pick(&[0, 1, 1000, 3_000_000])];
                let packed = packer.write_all(&points).and_then(|()| packer.finish()).expect("memory takes all bytes");
                chunks.insert(at, (*b"IDAT", packed));
            }
        }
    }
    let mut file = png[..8].to_vec();
    for (kind, content) in chunks {
        let mut crc = flate2::Crc::new();
        crc.update(&[&kind[..], &content].concat());
        file.extend((content.len() as u32).to_be_bytes());
        file.extend(kind);
        file.extend(content);
        file.extend(crc.sum().to_be_bytes());
    }
    file
}

fn chunks_of(png: &[u8]) -> Vec<([u8; 4], Vec<u8>)> {
    let mut chunks = Vec::new();
    let mut rest = &png[8..];
    while let Some((head, after)) = rest.split_first_chunk::<8>() {
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        chunks.push(([head[4], head[5], head[6], head[7]], after[..length].to_vec()));
        rest = &after[length + 4..];
    }
    chunks
}
