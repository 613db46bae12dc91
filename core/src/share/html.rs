//! The plan as one web page: nothing is asked of any other place, and a phone can show it.

use super::drawing::Pen;
use super::map_marks::{Key, ink_of, key_of, sign_of};
use super::recipient::{Audience, Part};
use super::shown::{ELECTRIC_CAUTION, ELECTRIC_IN_SHORT, Shown, ShownShape, shown};
use super::svg::escaped;
use super::xml_maps::fact;
use super::{map_sheet::MapTrouble, signs};
use crate::land::{Frame, MapPoint, MapRect, Position};
use crate::outcome::Outcome;
use crate::plan::{Kind, Plan};
use std::fmt::Write;

/// What the page is drawn on.
const PAPER: &str = "#fdfbf6";

/// What the page says beside the map.
pub struct PageWords {
    /// Above everything.
    pub title: String,
    /// Who made it and when, and how to reach them; each a line.
    pub by: Vec<String>,
    /// What to mind: the first above the map, the others under it.
    pub cautions: Vec<String>,
    /// How to move the map.
    pub help: String,
    /// Over the list of lines and gates, and over that of findings.
    pub headings: [String; 2],
    /// Findings, each with its place: what it is, and what is said.
    pub findings: Vec<(String, String, Position)>,
}

/// Everything of it that stands still.
const FRAME: &str = include_str!("page.html");

/// The page.
///
/// # Errors
/// [`MapTrouble::Nothing`].
pub fn html(plan: &Plan, outcome: &Outcome, to: Audience, words: &PageWords) -> Result<Vec<u8>, MapTrouble> {
    let frame = outcome.frame.ok_or(MapTrouble::Nothing)?;
    let all = shown(plan, outcome, to);
    let map = WebMap::of(&all, frame).ok_or(MapTrouble::Nothing)?;
    let mut lists = list(&words.headings[0], all.iter().enumerate().filter_map(|(index, one)| map.entry(index, one)));
    let mut drawn = map.drawn(&all);
    if to.sees(Part::Findings) && !words.findings.is_empty() {
        let entry = |(index, (what, says, at)): (usize, &(String, String, Position))| {
            let (x, y) = map.at(*at)?;
            Some(entry_of(&format!("f{index}"), (x, y), 40.0, [what, says, ""]))
        };
        lists += &list(&words.headings[1], words.findings.iter().enumerate().filter_map(entry));
        for (x, y) in words.findings.iter().filter_map(|(.., at)| map.at(*at)) {
            drawn += &map.mark((x, y), "<circle r=\"5\" fill=\"#c44800\" stroke=\"#fff\" stroke-width=\"1.5\"/>");
        }
    }
    let paragraphs =
        |lines: &[String], class: &str| lines.iter().map(|line| format!("<p{class}>{}</p>", escaped(line))).collect::<String>();
    let (first, others) = words.cautions.split_at(words.cautions.len().min(1));
    let fills = [
        ("title", escaped(&words.title)),
        ("by", paragraphs(&words.by, " class=\"by\"")),
        ("shock", paragraphs(first, "")),
        ("mind", paragraphs(others, "")),
        ("box", map.view_box()),
        ("help", escaped(&words.help)),
        ("lists", lists),
        ("map", drawn),
    ];
    // Piece by piece: what people typed may look like one of the places that are filled.
    let fill = |(index, piece): (usize, &str)| match fills.iter().find(|(name, _)| *name == piece).filter(|_| index % 2 == 1) {
        Some((_, text)) => text.clone(),
        None => piece.to_owned(),
    };
    let page: String = FRAME.split('@').enumerate().map(fill).collect();
    Ok(page.into_bytes())
}

/// The map of the page: metres from its middle, y down.
struct WebMap {
    frame: Frame,
    middle: MapPoint,
    width_m: f64,
    height_m: f64,
}

impl WebMap {
    fn of(all: &[Shown], frame: Frame) -> Option<Self> {
        let is_fence = |one: &&Shown| {
            matches!(one.feature.kind, Kind::Fence(_) | Kind::LeadOut(_) | Kind::Gate(_) | Kind::Paddock(_) | Kind::Energizer(_))
        };
        let around = |things: Vec<&Shown>| {
            let points = things.into_iter().flat_map(|one| places(&one.shape)).filter_map(|at| frame.to_map(at).ok());
            MapRect::around(points)
        };
        let rect = around(all.iter().filter(is_fence).collect()).or_else(|| around(all.iter().collect()))?;
        let room = |side_m: f64| side_m.max(30.0) * 1.12;
        let (width_m, height_m) = (room(rect.max.x_m - rect.min.x_m), room(rect.max.y_m - rect.min.y_m));
        Some(Self { frame, middle: rect.centre(), width_m, height_m })
    }

    fn view_box(&self) -> String {
        format!("{:.1} {:.1} {:.1} {:.1}", -self.width_m / 2.0, -self.height_m / 2.0, self.width_m, self.height_m)
    }

    fn at(&self, place: Position) -> Option<(f64, f64)> {
        let at = self.frame.to_map(place).ok()?;
        Some((at.x_m - self.middle.x_m, self.middle.y_m - at.y_m))
    }

    fn points(&self, corners: &[Position]) -> String {
        corners.iter().filter_map(|at| self.at(*at)).map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
    }

    /// Something that keeps its size on the screen. Before the page has run it is as large as on a screen of 800 points.
    fn mark(&self, (x, y): (f64, f64), inside: &str) -> String {
        let unit = self.width_m / 800.0;
        format!(
            "<g class=\"m\" data-x=\"{x:.1}\" data-y=\"{y:.1}\" transform=\"translate({x:.1} {y:.1}) scale({unit:.3})\">{inside}</g>\n"
        )
    }

    fn drawn(&self, all: &[Shown]) -> String {
        let mut text = String::new();
        for (index, one) in all.iter().enumerate() {
            if let ShownShape::Area(rings) = &one.shape {
                let ink = ink_of(&one.feature.kind);
                let opacity = if matches!(one.feature.kind, Kind::Boundary { .. }) { 0.0 } else { 0.13 };
                let ring = rings.first().map(|ring| self.points(ring)).unwrap_or_default();
                let _ = writeln!(
                    text,
                    "<polygon data-n=\"{index}\" points=\"{ring}\" fill=\"{ink}\" fill-opacity=\"{opacity}\" stroke=\"{ink}\" stroke-width=\"1\" stroke-dasharray=\"4 3\"/>"
                );
            }
        }
        let lines = |strands: bool| all.iter().enumerate().filter(move |(_, one)| one.feature.kind.carries_strands() == strands);
        for (index, one) in lines(false).chain(lines(true)) {
            let (ShownShape::Line(corners), Key::Line(pen)) = (&one.shape, key_of(&one.feature.kind)) else { continue };
            let points = self.points(corners);
            for Pen { ink, width, .. } in [Some(pen), pen.between(PAPER)].into_iter().flatten() {
                let (width, dashes) = (width * 1.6, super::svg::dashes(pen, 1.4));
                let _ = writeln!(
                    text,
                    "<polyline data-n=\"{index}\" points=\"{points}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\"{dashes}/>"
                );
            }
        }
        all.iter().for_each(|one| text += &self.mark_of(one));
        text
    }

    /// Signs of points, and names.
    fn mark_of(&self, one: &Shown) -> String {
        let Some(at) = self.middle_of(&one.shape) else { return String::new() };
        let mut inside = String::new();
        let is_point = matches!(one.shape, ShownShape::Point(_));
        if let Some(name) = sign_of(&one.feature.kind).filter(|_| is_point) {
            let mut sign = super::Drawing::new(0.0, 0.0, "#ffffff", "");
            signs::draw(&mut sign, name, (0.0, 0.0), 7.0, "#26221c");
            inside.push_str(&format!("<circle r=\"9.5\" fill=\"{PAPER}\"/>"));
            sign.shapes.iter().for_each(|shape| super::svg::write_shape(&mut inside, shape));
        }
        if let Some(name) = one.name {
            let (x, anchor) = if is_point { (12, "start") } else { (0, "middle") };
            let _ = write!(inside, "<text x=\"{x}\" y=\"4\" text-anchor=\"{anchor}\">{}</text>", escaped(name));
        }
        if inside.is_empty() { inside } else { self.mark(at, &inside) }
    }

    fn middle_of(&self, shape: &ShownShape) -> Option<(f64, f64)> {
        match shape {
            ShownShape::Point(at) => self.at(*at),
            ShownShape::Line(corners) => self.at(*corners.get(corners.len() / 2)?),
            ShownShape::Area(_) => {
                let points: Vec<(f64, f64)> = places(shape).into_iter().filter_map(|at| self.at(at)).collect();
                let count = points.len().max(1) as f64;
                let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), at| (x + at.0, y + at.1));
                (!points.is_empty()).then_some((x / count, y / count))
            }
        }
    }

    /// Lines, gates, paddocks and what one must keep away from are listed; of the rest what has a name.
    fn entry(&self, index: usize, one: &Shown) -> Option<String> {
        let is_listed = matches!(one.feature.kind, Kind::Fence(_) | Kind::LeadOut(_) | Kind::Gate(_) | Kind::Paddock(_));
        if !is_listed && one.caution.is_none() && one.name.is_none() {
            return None;
        }
        let points: Vec<(f64, f64)> = places(&one.shape).into_iter().filter_map(|at| self.at(at)).collect();
        let side = |of: fn(&(f64, f64)) -> f64| {
            let (low, high) =
                points.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
            ((low + high) / 2.0, high - low)
        };
        let ((x, wide), (y, high)) = (side(|at| at.0), side(|at| at.1));
        let facts: Vec<String> = one.facts.iter().map(|(key, value)| fact(key, value)).collect();
        let says =
            std::iter::once(one.kind.to_owned()).chain(facts).chain(one.note.map(str::to_owned)).collect::<Vec<_>>().join(", ");
        // The whole of it stands above the map.
        let minds = one.caution.map_or("", |caution| if caution == ELECTRIC_CAUTION { ELECTRIC_IN_SHORT } else { caution });
        (!points.is_empty()).then(|| entry_of(&index.to_string(), (x, y), wide.max(high), [one.title(), &says, minds]))
    }
}

fn places(shape: &ShownShape) -> Vec<Position> {
    match shape {
        ShownShape::Point(at) => vec![*at],
        ShownShape::Line(corners) => corners.clone(),
        ShownShape::Area(rings) => rings.first().cloned().unwrap_or_default(),
    }
}

fn entry_of(number: &str, (x, y): (f64, f64), wide: f64, [what, says, minds]: [&str; 3]) -> String {
    let minds = if minds.is_empty() { String::new() } else { format!("<span class=\"own\">{}</span>", escaped(minds)) };
    format!(
        "<li><button type=\"button\" data-n=\"{number}\" data-x=\"{x:.1}\" data-y=\"{y:.1}\" data-w=\"{wide:.0}\"><b>{}</b><span>{}</span>{minds}</button></li>\n",
        escaped(what),
        escaped(says)
    )
}

fn list(heading: &str, entries: impl Iterator<Item = String>) -> String {
    format!("<h2>{}</h2>\n<ul>\n{}</ul>\n", escaped(heading), entries.collect::<String>())
}
