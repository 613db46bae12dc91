//! Readings of one place over time, beside what a sound fence would read there.

use super::{plot, small};
use crate::command::Command;
use crate::log_view::LogAsk;
use crate::section::nice_step;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align2, ComboBox, Pos2, Rect, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::log::{Against, Entry, Log, PlaceReadings, held_against};
use jiff::ToSpan;
use jiff::civil::Date;

/// Draws the choice of the place, and its readings.
pub fn show(ui: &mut Ui, session: &Session, log: &Log, commands: &mut Vec<Command>) {
    let Some(place) = log.places.get(session.log_view.place).or(log.places.first()) else {
        return super::empty(ui, "No reading with a value stands on a line yet");
    };
    choice(ui, session, log, place, commands);
    let readings: Vec<(Date, f64, &Entry, usize)> = place
        .entries
        .iter()
        .filter_map(|index| {
            let entry = log.entries.get(*index)?;
            Some((entry.day?, entry.kv()?, entry, *index))
        })
        .collect();
    let (painter, inner, response) = plot(ui, "Readings over time");
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else { return };
    let inks = theme::inks(ui);
    let tops = readings.iter().map(|(_, kv, entry, _)| entry.expected.map_or(*kv, |expected| expected.high_kv.max(*kv)));
    let axes =
        Axes { inner, first: first.0, days: days_between(first.0, last.0).max(1.0), most_kv: tops.fold(1.0, f64::max) * 1.1 };
    axes.paint(&painter, (inks.ink, inks.faint_ink));
    for (day, _, entry, _) in &readings {
        let Some(expected) = entry.expected else { continue };
        let (x, low, high) = (axes.x(*day), axes.y(expected.least_kv()), axes.y(expected.high_kv));
        painter.line_segment([pos2(x, low), pos2(x, high.min(low - 2.0))], Stroke::new(5.0, inks.good.gamma_multiply(0.35)));
    }
    for (day, kv, entry, _) in &readings {
        let at = pos2(axes.x(*day), axes.y(*kv));
        let is_low = entry.expected.is_some_and(|expected| held_against(*kv, &expected) == Against::Below);
        // Too little is told by its shape as well.
        if is_low {
            let corners = vec![at + vec2(0.0, 5.0), at + vec2(-5.0, -4.0), at + vec2(5.0, -4.0)];
            painter.add(Shape::convex_polygon(corners, inks.must_fix, Stroke::NONE));
        } else {
            painter.circle_filled(at, 3.6, inks.ink);
        }
    }
    point(&readings, &axes, &response, commands);
}

/// Pointing tells a reading, a click shows it on the map.
fn point(readings: &[(Date, f64, &Entry, usize)], axes: &Axes, response: &egui::Response, commands: &mut Vec<Command>) {
    let Some(pointer) = response.hover_pos() else { return };
    let off = |of: &&(Date, f64, &Entry, usize)| pos2(axes.x(of.0), axes.y(of.1)).distance(pointer);
    let Some(near) = readings.iter().min_by(|one, other| off(one).total_cmp(&off(other))).filter(|near| off(near) < 14.0) else {
        return;
    };
    let expected = near.2.expected.map_or_else(String::new, |expected| {
        format!("; expected {}: {}", words::log::expectation(&expected), words::log::against(near.1, &expected))
    });
    response.clone().on_hover_text_at_pointer(format!("{}: {}{expected}", words::log::when(near.2), words::log::entry(near.2)));
    if response.clicked() {
        commands.push(Command::Log(LogAsk::Show(near.3)));
    }
}

fn choice(ui: &mut Ui, session: &Session, log: &Log, place: &PlaceReadings, commands: &mut Vec<Command>) {
    let text = |place: &PlaceReadings| {
        let station = words::length(place.station, session.units());
        let line = words::log::line(session.plan(), &place.line);
        let count = if place.entries.len() == 1 { "1 reading".to_owned() } else { format!("{} readings", place.entries.len()) };
        format!("{station} of {line}: {count}")
    };
    ui.horizontal(|ui| {
        let shown = ComboBox::from_id_salt("place of readings").width(300.0).selected_text(text(place)).show_ui(ui, |ui| {
            for (index, other) in log.places.iter().enumerate() {
                if ui.selectable_label(std::ptr::eq(other, place), text(other)).clicked() {
                    commands.push(Command::Log(LogAsk::Place(index)));
                }
            }
        });
        shown.response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::ComboBox, true, "place of the readings"));
        ui.label(trend(place));
        let text = "Bars: what a sound fence reads. Triangles: too little.";
        ui.label(egui::RichText::new(text).color(theme::inks(ui).faint_ink));
    });
}

fn trend(place: &PlaceReadings) -> String {
    match place.slope {
        None => "No trend yet.".to_owned(),
        Some(slope) => format!(
            "Trend {} a year ({} to {}).",
            words::log::kilovolts(slope.per_year),
            words::number_with(slope.between.0, 1),
            words::number_with(slope.between.1, 1)
        ),
    }
}

/// Days to the right, kilovolts up.
struct Axes {
    inner: Rect,
    first: Date,
    days: f64,
    most_kv: f64,
}

fn days_between(from: Date, to: Date) -> f64 {
    from.until(to).map_or(0.0, |span| f64::from(span.get_days()))
}

impl Axes {
    fn x(&self, day: Date) -> f32 {
        self.inner.left() + (days_between(self.first, day) / self.days) as f32 * self.inner.width()
    }
    fn y(&self, kv: f64) -> f32 {
        self.inner.bottom() - (kv / self.most_kv) as f32 * self.inner.height()
    }
    fn paint(&self, painter: &egui::Painter, (ink, faint): (egui::Color32, egui::Color32)) {
        let step = nice_step(self.most_kv / f64::from((self.inner.height() / 26.0).max(1.0)));
        let mut kv = 0.0;
        while kv <= self.most_kv {
            let y = self.y(kv);
            painter.line_segment(
                [pos2(self.inner.left(), y), pos2(self.inner.right(), y)],
                Stroke::new(0.6, faint.gamma_multiply(0.5)),
            );
            painter.text(pos2(self.inner.left() - 5.0, y), Align2::RIGHT_CENTER, words::count(kv), small(), ink);
            kv += step;
        }
        painter.text(pos2(self.inner.left() - 40.0, self.inner.top()), Align2::LEFT_TOP, "kV", small(), ink);
        self.years(painter, ink, faint);
    }

    /// A mark at every first of January, or at the first and the last day where there is none between.
    fn years(&self, painter: &egui::Painter, ink: egui::Color32, faint: egui::Color32) {
        let base = self.inner.bottom();
        let mark = |x: f32, text: &str, align: Align2| {
            painter.text(pos2(x, base + 4.0), align, text, small(), ink);
        };
        let mut marked: Vec<Pos2> = Vec::new();
        for year in self.first.year()..=self.first.year() + 60 {
            let Ok(day) = Date::new(year, 1, 1) else { break };
            let since = days_between(self.first, day);
            if since > self.days {
                break;
            }
            if since > 0.0 {
                let x = self.x(day);
                painter.line_segment([pos2(x, self.inner.top()), pos2(x, base)], Stroke::new(0.8, faint.gamma_multiply(0.7)));
                mark(x, &year.to_string(), Align2::CENTER_TOP);
                marked.push(pos2(x, base));
            }
        }
        if marked.iter().all(|at| at.x > self.inner.left() + 80.0) {
            mark(self.inner.left(), &self.first.to_string(), Align2::LEFT_TOP);
        }
        if let (true, Ok(last)) = (marked.is_empty() && self.days > 1.0, self.first.checked_add((self.days as i64).days())) {
            mark(self.inner.right(), &last.to_string(), Align2::RIGHT_TOP);
        }
    }
}
