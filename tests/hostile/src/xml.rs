//! What can be done to XML that is still nearly XML: elements lost, doubled, nested without end, attributes changed, entities, document types.

use crate::chance::Chance;
use crate::words;

/// Spoils XML in one to three places, or as any text.
pub fn spoil(text: &str, other: &str, chance: &mut Chance) -> Vec<u8> {
    if chance.one_in(3) {
        return words::spoil(text, other, chance);
    }
    let mut text = text.to_owned();
    for _ in 0..=chance.below(3) {
        text = once(&text, chance);
    }
    text.into_bytes()
}

fn once(text: &str, chance: &mut Chance) -> String {
    let places: Vec<usize> = text.match_indices('<').map(|(at, _)| at).collect();
    let Some(at) = places.get(chance.below(places.len())).copied() else { return text.to_owned() };
    let to = places.get(chance.below(places.len())).copied().unwrap_or(at);
    let (from, to) = (at.min(to), at.max(to));
    let (before, after) = text.split_at(at);
    match chance.below(12) {
        0 => format!("{}{}", &text[..from], &text[to..]),
        1 => format!("{}{}", &text[..to], &text[from..]),
        2 => in_value(text, chance),
        3 => format!("{before}{}{after}", escaped(&words::odd_word(chance))),
        4 => format!("{before}{}{after}", words::odd_word(chance)),
        5 => {
            let (name, deep) = (chance.pick(&["MultiGeometry", "Folder", "trk", "g"]), chance.pick(&[2, 50, 200, 20_000]));
            format!("{before}{}{}{after}", format!("<{name}>").repeat(deep), format!("</{name}>").repeat(deep))
        }
        6 => format!(
            "<!DOCTYPE gpx [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\"><!ENTITY c SYSTEM \"/etc/hostname\">]>{before}&b;&c;{after}"
        ),
        7 => format!(
            "{before}{}{after}",
            chance.pick(&[
                "<![CDATA[",
                "<![CDATA[ a ]]>",
                "<!-- - -->",
                "<!-- -- -->",
                "&#0;",
                "&#x110000;",
                "&none;",
                "<?php ?>",
                "</>"
            ])
        ),
        8 => text.replacen("<?xml", chance.pick(&["<?xml version=\"9.9\" encoding=\"UTF-16\"?><?xml", "<?xmm", " <?xml"]), 1),
        9 => renamed(text, chance),
        10 => {
            // One piece many times: long walks, many marks.
            let piece = &text[from..to.min(from + 400)];
            format!("{}{}{}", &text[..from], piece.repeat(chance.pick(&[2, 20, 500])), &text[from..])
        }
        _ => format!(
            "{}{}",
            before,
            after.replacen('>', chance.pick(&[" a=\"1\" a=\"2\">", " xmlns=\"urn:a\">", " xmlns:b=\"urn:b\">", "/>", ""]), 1)
        ),
    }
}

/// Another value between two quotes, or between two tags.
fn in_value(text: &str, chance: &mut Chance) -> String {
    let mark = chance.pick(&['"', '>']);
    let end = if mark == '"' { '"' } else { '<' };
    let starts: Vec<usize> = text.match_indices(mark).map(|(at, _)| at + 1).collect();
    let Some(from) = starts.get(chance.below(starts.len())).copied() else { return text.to_owned() };
    let length = text[from..].find(end).unwrap_or(0);
    let value = if chance.one_in(2) { chance.pick(&words::NUMBERS).to_owned() } else { escaped(&words::odd_word(chance)) };
    format!("{}{value}{}", &text[..from], &text[from + length..])
}

/// One name in the place of another, everywhere.
fn renamed(text: &str, chance: &mut Chance) -> String {
    let names = [
        "trkpt",
        "trkseg",
        "trk",
        "wpt",
        "rte",
        "rtept",
        "name",
        "desc",
        "time",
        "Placemark",
        "Point",
        "LineString",
        "LinearRing",
        "Polygon",
        "MultiGeometry",
        "coordinates",
        "coord",
        "Track",
        "gpx",
        "kml",
        "lat",
        "lon",
    ];
    let (from, to) = (chance.pick(&names), chance.pick(&names));
    text.replace(from, to)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;")
}
