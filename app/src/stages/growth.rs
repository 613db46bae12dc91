//! The growth strip: a small picture of how a group's limits rise past the strands, day by day.

use crate::theme::{self, Inks};
use crate::words;
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::catalogue::{Catalogue, Purpose};
use hillwire_core::plan::{StockGroup, UnitSystem};
use hillwire_core::stock::GroupThen;
use hillwire_core::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

const HEIGHT: f32 = 132.0;
const MARGIN_LEFT: f32 = 44.0;
const MARGIN_RIGHT: f32 = 8.0;
const MARGIN_BELOW: f32 = 18.0;
const MARGIN_ABOVE: f32 = 8.0;
/// Points of a curve.
const STEPS: i32 = 48;

/// What the strip shows.
pub struct Strip<'a> {
    /// The animals.
    pub group: &'a StockGroup,
    /// What the fence parts them from.
    pub purpose: Purpose,
    /// The first day.
    pub from: Date,
    /// The last day.
    pub until: Date,
    /// Heights of the strands.
    pub strands: &'a [Length],
    /// The first day on which the strands no longer hold, if there is one.
    pub outgrown_on: Option<Date>,
    /// For the scale.
    pub units: UnitSystem,
    /// What is known of the animals.
    pub catalogue: &'a Catalogue,
}

/// Limits of the group on one day.
struct Limits {
    share: f32,
    shoulder_m: f64,
    highest_lowest_m: f64,
    lowest_top_m: f64,
}

impl Strip<'_> {
    fn days(&self) -> i32 {
        self.from.until(self.until).map_or(1, |span| span.get_days()).max(1)
    }

    fn share_of(&self, day: Date) -> f32 {
        let days = self.from.until(day).map_or(0, |span| span.get_days());
        (days as f32 / self.days() as f32).clamp(0.0, 1.0)
    }

    /// The limits from the first day to the last; empty when nothing is known.
    fn limits(&self) -> Vec<Limits> {
        let on = |step: i32| -> Option<Limits> {
            let day = self.from.saturating_add((self.days() * step / STEPS).days());
            let limits = GroupThen::of(self.group, self.purpose, Some(day), self.catalogue)?.limits;
            Some(Limits {
                share: step as f32 / STEPS as f32,
                shoulder_m: limits.shoulder_m,
                highest_lowest_m: limits.fine_m,
                lowest_top_m: limits.top_m,
            })
        };
        (0..=STEPS).filter_map(on).collect()
    }
}

/// Draws the strip.
pub fn strip(ui: &mut Ui, strip: &Strip<'_>) {
    let limits = strip.limits();
    let (Some(first), Some(last)) = (limits.first(), limits.last()) else { return };
    let highest = |limits: &Limits| limits.shoulder_m.max(limits.lowest_top_m);
    let top_strand = strip.strands.iter().map(|height| height.as_metres()).fold(0.0, f64::max);
    let top_m = highest(first).max(highest(last)).max(top_strand) * 1.12;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let spoken = format!(
        "Growth strip from {} to {}{}",
        words::day(strip.from),
        words::day(strip.until),
        strip.outgrown_on.map_or_else(String::new, |day| format!(", outgrown on {}", words::day(day)))
    );
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Image, true, &spoken));
    response.on_hover_text(
        "Strands as level lines. Dashed: how low the lowest strand has to hang, and how high the top one. \
         While every limit is kept, the strands hold these animals",
    );
    let plot = Rect::from_min_max(rect.min + vec2(MARGIN_LEFT, MARGIN_ABOVE), rect.max - vec2(MARGIN_RIGHT, MARGIN_BELOW));
    let paint = Paint { painter: ui.painter_at(rect), plot, top_m, inks: theme::inks(ui), fill: ui.visuals().extreme_bg_color };
    paint.all(strip, &limits);
}

struct Paint {
    painter: Painter,
    plot: Rect,
    top_m: f64,
    inks: Inks,
    fill: Color32,
}

impl Paint {
    fn at(&self, share: f32, height_m: f64) -> Pos2 {
        let y = self.plot.bottom() - (height_m / self.top_m) as f32 * self.plot.height();
        pos2(self.plot.left() + share * self.plot.width(), y)
    }

    fn text(&self, at: Pos2, align: Align2, text: &str, ink: Color32) {
        let galley = self.painter.layout_no_wrap(text.to_owned(), FontId::proportional(11.0), ink);
        let rect = align.anchor_size(at, galley.size());
        self.painter.rect_filled(rect.expand2(vec2(2.0, 0.0)), 2.0, self.fill.gamma_multiply(0.85));
        self.painter.galley(rect.min, galley, ink);
    }

    fn all(&self, strip: &Strip<'_>, limits: &[Limits]) {
        self.painter.rect_filled(self.plot, 2.0, self.fill);
        for height in strip.strands {
            let y = self.at(0.0, height.as_metres()).y;
            self.painter.hline(self.plot.x_range(), y, Stroke::new(1.8, self.inks.fence));
            let label = words::gap(*height, strip.units);
            self.painter.text(
                pos2(self.plot.left() - 5.0, y),
                Align2::RIGHT_CENTER,
                label,
                FontId::proportional(11.0),
                self.inks.fence,
            );
        }
        let curve = |of: &dyn Fn(&Limits) -> f64| limits.iter().map(|on| self.at(on.share, of(on))).collect::<Vec<_>>();
        let dashed = |points: &[Pos2], ink: Color32| {
            self.painter.extend(egui::Shape::dashed_line(points, Stroke::new(1.6, ink), 5.0, 3.0));
        };
        self.painter.add(egui::Shape::line(curve(&|on| on.shoulder_m), Stroke::new(1.4, self.inks.ink)));
        dashed(&curve(&|on| on.lowest_top_m), self.inks.must_fix);
        dashed(&curve(&|on| on.highest_lowest_m), self.inks.look_at);
        self.labels(limits);
        self.days(strip);
    }

    /// Names at the right end of the curves, kept apart.
    fn labels(&self, limits: &[Limits]) {
        let Some(last) = limits.last() else { return };
        let mut names = [
            (last.shoulder_m, "shoulder", self.inks.ink),
            (last.lowest_top_m, "top strand at least", self.inks.must_fix),
            (last.highest_lowest_m, "lowest strand at most", self.inks.look_at),
        ];
        names.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut above = self.plot.top() - 8.0;
        for (height_m, name, ink) in names {
            let y = (self.at(1.0, height_m).y - 7.0).max(above + 13.0);
            above = y;
            self.text(pos2(self.plot.right() - 3.0, y), Align2::RIGHT_CENTER, name, ink);
        }
    }

    /// The first and the last day, and the one on which the strands are outgrown.
    fn days(&self, strip: &Strip<'_>) {
        let faint = self.inks.faint_ink;
        let y = self.plot.bottom() + 3.0;
        let font = FontId::proportional(11.0);
        self.painter.text(pos2(self.plot.left(), y), Align2::LEFT_TOP, words::day_of_year(strip.from), font.clone(), faint);
        let last = self.painter.text(
            pos2(self.plot.right(), y),
            Align2::RIGHT_TOP,
            words::day_of_year(strip.until),
            font.clone(),
            faint,
        );
        let Some(day) = strip.outgrown_on else { return };
        let x = self.at(strip.share_of(day), 0.0).x;
        self.painter.vline(x, self.plot.y_range(), Stroke::new(1.4, self.inks.must_fix));
        let galley = self.painter.layout_no_wrap(words::day_of_year(day), font, self.inks.must_fix);
        let left =
            (x - galley.size().x / 2.0).clamp(self.plot.left(), (last.left() - galley.size().x - 6.0).max(self.plot.left()));
        let rect = Rect::from_min_size(pos2(left, y), galley.size());
        self.painter.rect_filled(rect.expand2(vec2(3.0, 0.0)), 2.0, self.fill);
        self.painter.galley(rect.min, galley, self.inks.must_fix);
    }
}
