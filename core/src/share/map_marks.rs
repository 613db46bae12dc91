//! What stands beside a printed map: the key, the scale bar, north; and how each kind is drawn.

use super::drawing::{Anchor, DASH_DOT, DASH_DOT_DOT, DOTTED, LONG_DASHED, Pen, Type};
use super::map_sheet::Sheet;
use super::sheet_paper::{BODY, INK, MARGIN, SMALL, fitting};
use super::signs;
use crate::plan::Kind;
use crate::units::FOOT_M;

/// How something is drawn.
#[derive(Clone, Copy, Debug)]
pub(super) enum Key {
    Line(Pen),
    Area(&'static str),
    Sign(&'static str),
}

const FENCE: &str = "#0072b2";
const LEAD: &str = "#623454";
const WATER: &str = "#2c78a8";
const TRACK: &str = "#7a5c3a";
const WAY: &str = "#007456";
const BOUNDARY: &str = "#965478";

/// The colour of a kind.
pub(super) fn ink_of(kind: &Kind) -> &'static str {
    match kind {
        Kind::Fence(_) => FENCE,
        Kind::LeadOut(_) | Kind::Jumper(_) => LEAD,
        Kind::Stream { .. } | Kind::Water => WATER,
        Kind::Track(_) => TRACK,
        Kind::PublicWay { .. } => WAY,
        Kind::Boundary { .. } => BOUNDARY,
        Kind::Paddock(_) => "#b07600",
        Kind::Zone(zone) => match zone.of.as_str() {
            "wet" => WATER,
            "wood" => WAY,
            "keep_out" => "#c44800",
            _ => TRACK,
        },
        _ => INK,
    }
}

/// The sign of a kind that is a point.
pub(super) fn sign_of(kind: &Kind) -> Option<&'static str> {
    Some(match kind {
        Kind::Gate(_) => "gate",
        Kind::Energizer(_) => "energizer",
        Kind::Earth { .. } => "earth",
        Kind::Cutout { open: true } => "cutout_off",
        Kind::Cutout { .. } => "cutout",
        Kind::Jumper(_) => "jumper",
        Kind::Building { mains: true } => "building_mains",
        Kind::Building { .. } => "building",
        Kind::Water => "water",
        Kind::Shelter => "shelter",
        Kind::Feed => "feed",
        Kind::SpotHeight { .. } => "spot_height",
        Kind::Tree { .. } => "tree",
        Kind::Mark => "mark",
        Kind::Paddock(_) => "paddock",
        Kind::Reading(_) => "reading",
        Kind::Fault(_) => "fault",
        Kind::Photo(_) => "photo",
        _ => return None,
    })
}

/// How a kind is drawn.
pub(super) fn key_of(kind: &Kind) -> Key {
    let ink = ink_of(kind);
    match kind {
        Kind::Fence(_) => Key::Line(Pen::of(ink, 1.7)),
        Kind::LeadOut(_) => Key::Line(Pen::dashed(ink, 1.4)),
        Kind::Stream { .. } => Key::Line(Pen::of(ink, 0.8)),
        Kind::Jumper(_) => Key::Line(Pen::of(ink, 1.2).with(DOTTED)),
        Kind::Track(_) => Key::Line(Pen::double(ink, 2.4)),
        Kind::PublicWay { .. } => Key::Line(Pen::of(ink, 1.2).with(LONG_DASHED)),
        Kind::OverheadLine { .. } => Key::Line(Pen::of(ink, 0.8).with(DASH_DOT_DOT)),
        Kind::Boundary { .. } => Key::Line(Pen::of(ink, 0.8).with(DASH_DOT)),
        Kind::Zone(_) | Kind::Paddock(_) => Key::Area(ink),
        kind => sign_of(kind).map_or(Key::Line(Pen::of(ink, 0.8)), Key::Sign),
    }
}

/// The scale bar, north, what the contours are, and the key.
pub(super) fn furniture(sheet: &mut Sheet, keys: &[(Key, String)], columns: usize) {
    let top = sheet.map.bottom + 14.0;
    scale_bar(sheet, top);
    north(sheet);
    let width = (sheet.drawing.width - 2.0 * MARGIN) / columns as f64;
    for (index, (key, says)) in keys.iter().enumerate() {
        let (x, y) = (MARGIN + width * (index % columns) as f64, top + 34.0 + 12.0 * (index / columns) as f64);
        match key {
            Key::Line(pen) => sheet.drawing.line(&[(x, y - 2.5), (x + 16.0, y - 2.5)], *pen),
            Key::Area(ink) => {
                sheet.drawing.area(&[(x, y - 6.0), (x + 16.0, y - 6.0), (x + 16.0, y + 1.0), (x, y + 1.0)], ink, 0.2);
            }
            Key::Sign(name) => signs::draw(&mut sheet.drawing, name, (x + 8.0, y - 2.5), 3.8, INK),
        }
        let words = fitting(says, SMALL.size, width - 26.0);
        sheet.drawing.words((x + 21.0, y), &words, Type { ink: INK, ..SMALL });
    }
}

/// A bar of a round length, black and white by halves, with the scale in words beside it.
fn scale_bar(sheet: &mut Sheet, top: f64) {
    let unit_m = if sheet.in_feet() { FOOT_M } else { 1.0 };
    let most = 170.0 / sheet.points_per_m / unit_m;
    let power = 10.0_f64.powf(most.log10().floor());
    let length = [5.0, 2.0, 1.0].into_iter().map(|step| step * power).find(|length| *length <= most).unwrap_or(power);
    let half = length * unit_m * sheet.points_per_m / 2.0;
    let (x, y) = (MARGIN, top);
    let bar = |from: f64, to: f64, top: f64, bottom: f64| {
        [(x + from, y + top), (x + to, y + top), (x + to, y + bottom), (x + from, y + bottom)]
    };
    // Areas, not strokes: half of a stroke would lie beyond what is measured.
    for part in [
        bar(0.0, half, 0.0, 4.0),
        bar(half, 2.0 * half, 0.0, 0.5),
        bar(half, 2.0 * half, 3.5, 4.0),
        bar(2.0 * half - 0.5, 2.0 * half, 0.0, 4.0),
    ] {
        sheet.drawing.area(&part, INK, 1.0);
    }
    let under = Type { anchor: Anchor::Middle, ink: INK, ..SMALL };
    let unit = if sheet.in_feet() { "ft" } else { "m" };
    for (share, text) in [(0.0, "0".to_owned()), (1.0, (length / 2.0).to_string()), (2.0, format!("{length} {unit}"))] {
        sheet.drawing.words((x + share * half, y + 13.0), &text, under);
    }
    let mut says = vec![(sheet.of.words.scale)(sheet.scale)];
    says.extend(sheet.contour_m.map(sheet.of.words.contours));
    sheet.drawing.words((x + 2.0 * half + 34.0, y + 6.0), &says.join("   "), BODY);
}

/// An arrow to grid north in the corner of the map; the grid's north is true north at its middle.
fn north(sheet: &mut Sheet) {
    let (x, y) = (sheet.map.right - 16.0, sheet.map.top + 12.0);
    sheet.drawing.area(&[(x - 11.0, y - 9.0), (x + 11.0, y - 9.0), (x + 11.0, y + 34.0), (x - 11.0, y + 34.0)], "#ffffff", 0.8);
    sheet.drawing.area(&[(x, y - 6.0), (x + 6.0, y + 16.0), (x, y + 11.0)], INK, 1.0);
    let outline = [(x, y - 6.0), (x - 6.0, y + 16.0), (x, y + 11.0), (x, y - 6.0)];
    sheet.drawing.line(&outline, Pen::of(INK, 0.7));
    sheet.drawing.words((x, y + 29.0), "N", Type { anchor: Anchor::Middle, bold: true, ..BODY });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Fence, Jumper, LeadOut, Track};

    #[test]
    fn no_two_kinds_of_line_look_the_same_in_shades_of_grey() {
        let kinds = [
            Kind::Fence(Fence::default()),
            Kind::LeadOut(LeadOut::default()),
            Kind::Jumper(Jumper::default()),
            Kind::Stream { width: None, seasonal: false, culvert: false },
            Kind::Track(Track::default()),
            Kind::PublicWay { use_by: None },
            Kind::OverheadLine { kv: None, wire_height: None },
            Kind::Boundary { neighbour: None },
        ];
        let pens = kinds.each_ref().map(|kind| match key_of(kind) {
            Key::Line(pen) => pen,
            _ => panic!("{kind:?} is no line"),
        });
        for (index, one) in pens.iter().enumerate() {
            for other in &pens[index + 1..] {
                let by_pattern = one.dashes != other.dashes || one.is_double != other.is_double;
                let by_width = one.width.max(other.width) > 1.8 * one.width.min(other.width);
                assert!(by_pattern || by_width, "{one:?} {other:?}");
            }
        }
    }
}
