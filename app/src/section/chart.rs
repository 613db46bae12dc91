//! The long section as a picture: stations to the right, heights up, stretched by a stated factor.

use super::posts::PostPaint;
use crate::map::draw::{weight_ink, weight_sign};
use crate::map::signs::{SignInks, sign};
use crate::map::used::{DrawnBy, stroke_of, used};
use crate::session::Session;
use crate::theme::Inks;
use crate::words;
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Shape, Stroke, pos2};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::Build;
use hillwire_core::units::Length;

/// How stations and heights become places in the pane.
#[derive(Clone, Copy, Debug)]
pub struct Chart {
    /// The pane.
    pub rect: Rect,
    /// The stations shown.
    shown_m: (f64, f64),
    middle_m: f64,
    points_per_m: f64,
    points_per_m_up: f64,
}

const MARGIN_LEFT: f32 = 46.0;
const MARGIN_RIGHT: f32 = 16.0;
const MARGIN_BELOW: f32 = 20.0;
const MARGIN_ABOVE: f32 = 30.0;
/// Where the pane is narrower, in points (with large text), a key and the stretch of heights do not both find room.
const ROOM_FOR_KEY: f32 = 520.0;

impl Chart {
    /// The chart of a line, or of the stations of it that are looked at, in this pane; `None` when there is no ground under it.
    pub fn of(line: &LineOutcome, rect: Rect, exaggeration: f64, stretch: Option<(f64, f64)>) -> Option<Self> {
        Self::over(line.section.samples.iter().map(|sample| (sample.station_m, sample.ground_m)), rect, exaggeration, stretch)
    }

    /// The same over ground that is known at stations in order.
    pub(super) fn over(
        ground: impl DoubleEndedIterator<Item = (f64, Option<f64>)> + Clone,
        rect: Rect,
        exaggeration: f64,
        stretch: Option<(f64, f64)>,
    ) -> Option<Self> {
        let length_m = ground.clone().next_back()?.0.max(1.0);
        let shown_m = stretch.unwrap_or((0.0, length_m));
        let heights =
            || ground.clone().filter(|(station_m, _)| (shown_m.0..=shown_m.1).contains(station_m)).filter_map(|at| at.1);
        let (low, high) = heights().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)));
        if !low.is_finite() {
            return None;
        }
        let width = f64::from(rect.width() - MARGIN_LEFT - MARGIN_RIGHT).max(10.0);
        let height = f64::from(rect.height() - MARGIN_ABOVE - MARGIN_BELOW).max(10.0);
        let points_per_m = width / (shown_m.1 - shown_m.0);
        // As asked for, but never so steep that the ground leaves the pane.
        let points_per_m_up = (points_per_m * exaggeration).min(height / (high - low + 2.0));
        Some(Self { rect, shown_m, middle_m: (low + high) / 2.0 + 0.5, points_per_m, points_per_m_up })
    }

    /// Across the pane.
    pub fn x(&self, station_m: f64) -> f32 {
        self.rect.left() + MARGIN_LEFT + ((station_m - self.shown_m.0) * self.points_per_m) as f32
    }
    /// Down the pane.
    pub fn y(&self, height_m: f64) -> f32 {
        let middle = (self.rect.top() + MARGIN_ABOVE + self.rect.bottom() - MARGIN_BELOW) / 2.0;
        middle - ((height_m - self.middle_m) * self.points_per_m_up) as f32
    }
    /// The station at a place across the pane.
    pub fn station_m(&self, x: f32) -> f64 {
        (self.shown_m.0 + f64::from(x - self.rect.left() - MARGIN_LEFT) / self.points_per_m).clamp(self.shown_m.0, self.shown_m.1)
    }
    /// The stations shown, from and to.
    pub fn shown_m(&self) -> (f64, f64) {
        self.shown_m
    }
    /// The part of the pane where the line is drawn, beside the heights and above the stations.
    pub(super) fn plot(&self) -> Rect {
        let left = self.rect.left() + MARGIN_LEFT - 7.0;
        Rect::from_min_max(pos2(left, self.rect.top()), pos2(self.rect.right(), self.rect.bottom() - MARGIN_BELOW + 14.0))
    }
    /// Where curves of another quantity lie: below what stands at the top, above the findings.
    pub(super) fn curves(&self) -> (f32, f32) {
        (self.rect.top() + MARGIN_ABOVE, self.rect.bottom() - MARGIN_BELOW - 20.0)
    }
    /// The stretch of heights that is really drawn.
    pub fn stretch(&self) -> f64 {
        self.points_per_m_up / self.points_per_m
    }
    pub(super) fn at(&self, station_m: f64, height_m: f64) -> Pos2 {
        pos2(self.x(station_m), self.y(height_m))
    }
}

/// Paints the chart.
pub fn paint(painter: &Painter, chart: &Chart, line: &LineOutcome, build: Option<&Build>, session: &Session, inks: &Inks) {
    axes(painter, chart, session, inks);
    // Under curves of another quantity the ground is only a quiet picture.
    let is_power = session.stage == crate::session::Stage::Power;
    if !is_power || chart.rect.width() > ROOM_FOR_KEY {
        let stretch = format!("heights × {:.1}", chart.stretch());
        let corner = chart.rect.right_top() + egui::vec2(-8.0, 4.0);
        painter.text(corner, Align2::RIGHT_TOP, stretch, FontId::proportional(11.0), inks.faint_ink);
    }
    let painter = &painter.with_clip_rect(chart.plot().intersect(painter.clip_rect()));
    let samples = line.section.samples.iter().map(|sample| (sample.station_m, sample.ground_m));
    ground(painter, chart, samples, inks.track.gamma_multiply(if is_power { 0.45 } else { 1.0 }));
    if super::volts::paint(painter, chart, line, session, inks) {
        return findings(painter, chart, line, session, inks);
    }
    if let Some(build) = build {
        band(painter, chart, line, inks);
        match session.lines_show() {
            DrawnBy::Kind => strands(painter, chart, line, build, inks),
            by => used_strands(painter, chart, line, build, by, inks),
        }
    }
    let chosen = session.selection.post.filter(|_| session.selection.has(&line.id));
    PostPaint { painter, chart, line, inks, chosen }.paint(build);
    findings(painter, chart, line, session, inks);
}

pub(super) fn axes(painter: &Painter, chart: &Chart, session: &Session, inks: &Inks) {
    let unit_m = if session.units() == hillwire_core::plan::UnitSystem::Us { hillwire_core::units::FOOT_M } else { 1.0 };
    let font = FontId::proportional(11.0);
    let faint = Stroke::new(0.6, inks.faint_ink.gamma_multiply(0.35));
    let step = nice_step(70.0 / chart.points_per_m / unit_m) * unit_m;
    let mut station = (chart.shown_m.0 / step).ceil() * step;
    while station <= chart.shown_m.1 + 1e-6 {
        let x = chart.x(station);
        painter.line_segment([pos2(x, chart.rect.top()), pos2(x, chart.rect.bottom() - MARGIN_BELOW)], faint);
        let text = words::set_length(Length::metres(station), session.units());
        painter.text(pos2(x, chart.rect.bottom() - 4.0), Align2::CENTER_BOTTOM, text, font.clone(), inks.faint_ink);
        station += step;
    }
    let rows = nice_step(26.0 / chart.points_per_m_up / unit_m) * unit_m;
    let left = chart.rect.left() + MARGIN_LEFT;
    let bottom_m = chart.middle_m - f64::from(chart.rect.height()) / chart.points_per_m_up;
    let mut height = (bottom_m / rows).ceil() * rows;
    loop {
        let y = chart.y(height);
        if y < chart.rect.top() + 6.0 {
            break;
        }
        if y < chart.rect.bottom() - MARGIN_BELOW {
            painter.line_segment([pos2(left, y), pos2(chart.rect.right(), y)], faint);
            let text = format!("{}", (height / unit_m).round());
            painter.text(pos2(left - 6.0, y), Align2::RIGHT_CENTER, text, font.clone(), inks.faint_ink);
        }
        height += rows;
    }
}

/// A step of 1, 2 or 5 times a power of ten, at least this large.
pub fn nice_step(at_least: f64) -> f64 {
    let power = 10.0_f64.powf(at_least.max(1e-6).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power).find(|step| *step >= at_least).unwrap_or(10.0 * power)
}

pub(super) fn ground(painter: &Painter, chart: &Chart, samples: impl Iterator<Item = (f64, Option<f64>)>, ink: Color32) {
    let mut surface: Vec<Pos2> = Vec::new();
    let foot = chart.rect.bottom() - MARGIN_BELOW;
    let mut mesh = egui::Mesh::default();
    let fill = ink.gamma_multiply(0.28);
    for (station_m, height) in samples {
        let Some(height) = height else { continue };
        let at = chart.at(station_m, height);
        // A sample a point will do: finer detail than the screen's is kept in what the numbers say.
        if surface.last().is_some_and(|last| at.x - last.x < 0.7) {
            continue;
        }
        let base = mesh.vertices.len() as u32;
        mesh.colored_vertex(at, fill);
        mesh.colored_vertex(pos2(at.x, foot), fill);
        if base >= 2 {
            mesh.add_triangle(base - 2, base - 1, base);
            mesh.add_triangle(base - 1, base, base + 1);
        }
        surface.push(at);
    }
    painter.add(Shape::mesh(mesh));
    painter.add(Shape::line(surface, Stroke::new(1.6, ink)));
}

/// The ground's height at a post.
fn foot_m(line: &LineOutcome, post: usize) -> Option<f64> {
    line.hold.posts.get(post)?.ground.map(|ground| ground.as_metres())
}

/// The strands bay by bay, drawn as the map draws them when it shows how far they are used.
fn used_strands(painter: &Painter, chart: &Chart, line: &LineOutcome, build: &Build, by: DrawnBy, inks: &Inks) {
    for bay in 0..line.hold.bays.len() {
        let Some((from, to)) = line.hold.posts_of(bay).filter(|_| line.hold.bays[bay].gate.is_none()) else { continue };
        let Some((foot, next)) = from.ground.zip(to.ground) else { continue };
        let (width, ink) = stroke_of(inks, used(by, line, build, bay));
        for strand in &build.strands {
            let height_m = strand.height.as_metres();
            let start = chart.at(line.hold.bays[bay].from.as_metres(), foot.as_metres() + height_m);
            let end = chart.at(line.hold.bays[bay].to.as_metres(), next.as_metres() + height_m);
            painter.line_segment([start, end], Stroke::new(width * 0.6, ink));
        }
    }
}

fn strands(painter: &Painter, chart: &Chart, line: &LineOutcome, build: &Build, inks: &Inks) {
    for strand in &build.strands {
        let ink = if strand.live { inks.fence } else { inks.faint_ink };
        let points = (0..line.hold.posts.len()).filter_map(|post| {
            let height = foot_m(line, post)? + strand.height.as_metres();
            Some(chart.at(line.hold.posts[post].station.as_metres(), height))
        });
        painter.add(Shape::line(points.collect(), Stroke::new(1.2, ink)));
    }
}

/// The band that the lowest strand must keep to, above the ground.
fn band(painter: &Painter, chart: &Chart, line: &LineOutcome, inks: &Inks) {
    let Some((low, high)) = line.hold.bands.first().copied() else { return };
    if chart.points_per_m_up * (high - low).as_metres() < 1.5 {
        return;
    }
    let mut mesh = egui::Mesh::default();
    let fill = inks.good.gamma_multiply(0.22);
    let mut last_x = f32::NEG_INFINITY;
    for sample in &line.section.samples {
        let Some(ground) = sample.ground_m else { continue };
        let at = chart.at(sample.station_m, ground + high.as_metres());
        if at.x - last_x < 0.7 {
            continue;
        }
        last_x = at.x;
        let base = mesh.vertices.len() as u32;
        mesh.colored_vertex(at, fill);
        mesh.colored_vertex(chart.at(sample.station_m, ground + low.as_metres()), fill);
        if base >= 2 {
            mesh.add_triangle(base - 2, base - 1, base);
            mesh.add_triangle(base - 1, base, base + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}

fn findings(painter: &Painter, chart: &Chart, line: &LineOutcome, session: &Session, inks: &Inks) {
    for (index, finding) in session.findings_on(&line.id) {
        let Some(station) = finding.place.station else { continue };
        let ink = weight_ink(inks, finding.weight);
        let x = chart.x(station.as_metres());
        let y = chart.rect.bottom() - MARGIN_BELOW - 8.0;
        if let Some(until) = finding.place.until {
            let stroke = Stroke::new(3.0, ink.gamma_multiply(0.7));
            painter.line_segment([pos2(x, y + 7.0), pos2(chart.x(until.as_metres()), y + 7.0)], stroke);
        }
        let chosen = session.selection.finding == Some(index);
        sign(weight_sign(finding.weight)).paint(
            painter,
            pos2(x, y),
            if chosen { 8.0 } else { 5.5 },
            SignInks { ink, paper: inks.paper },
        );
    }
}
