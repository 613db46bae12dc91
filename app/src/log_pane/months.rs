//! Faults by month, beside what the planning defaults and the log make of them.

use super::{plot, small};
use crate::command::Command;
use crate::log_view::LogAsk;
use crate::section::nice_step;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align2, ComboBox, Rect, Stroke, Ui, WidgetInfo, pos2};
use hillwire_core::log::{FaultRate, Log};

/// Draws the choice of the kind, and the months.
pub fn show(ui: &mut Ui, session: &Session, log: &Log, commands: &mut Vec<Command>) {
    let kind = session.log_view.kind.as_deref();
    choice(ui, log, kind, commands);
    let rates: Vec<&FaultRate> = log.rates.iter().filter(|rate| kind.is_none_or(|kind| rate.kind == kind)).collect();
    let (mut counts, mut expected) = ([0.0_f64; 12], [0.0_f64; 12]);
    for rate in &rates {
        counts.iter_mut().zip(rate.by_month).for_each(|(count, seen)| *count += f64::from(seen));
        expected.iter_mut().zip(rate.expected_by_month).for_each(|(sum, here)| *sum += here);
    }
    let (painter, inner, response) = plot(ui, "Faults by month");
    let inks = theme::inks(ui);
    let most = counts.iter().chain(&expected).fold(1.0_f64, |most, count| most.max(*count)) * 1.12;
    let y = |count: f64| inner.bottom() - (count / most) as f32 * inner.height();
    let step = nice_step(most / f64::from((inner.height() / 24.0).max(1.0))).max(1.0);
    let mut line = 0.0;
    while line <= most {
        painter.line_segment(
            [pos2(inner.left(), y(line)), pos2(inner.right(), y(line))],
            Stroke::new(0.6, inks.faint_ink.gamma_multiply(0.5)),
        );
        painter.text(pos2(inner.left() - 5.0, y(line)), Align2::RIGHT_CENTER, words::count(line), small(), inks.ink);
        line += step;
    }
    let wide = inner.width() / 12.0;
    for (month, count) in counts.iter().enumerate() {
        let left = inner.left() + month as f32 * wide;
        let bar = Rect::from_min_max(pos2(left + wide * 0.2, y(*count)), pos2(left + wide * 0.8, inner.bottom()));
        painter.rect_filled(bar, 1.0, inks.fence);
        let at = y(expected[month]);
        // A month that nobody watched has nothing to expect.
        let width = if expected[month] > 0.0 { 2.2 } else { 0.0 };
        painter.line_segment([pos2(left + wide * 0.08, at), pos2(left + wide * 0.92, at)], Stroke::new(width, inks.must_fix));
        let middle = left + wide / 2.0;
        painter.text(pos2(middle, inner.bottom() + 4.0), Align2::CENTER_TOP, words::log::MONTHS_SHORT[month], small(), inks.ink);
    }
    if let Some(pointer) = response.hover_pos().filter(|at| inner.contains(*at)) {
        let month = (((pointer.x - inner.left()) / wide) as usize).min(11);
        let text = format!(
            "{}: {} found, {} to be expected in the time watched",
            words::log::MONTHS_SHORT[month],
            words::count(counts[month]),
            words::number_with(expected[month], 1)
        );
        response.on_hover_text_at_pointer(text);
    }
}

fn choice(ui: &mut Ui, log: &Log, kind: Option<&str>, commands: &mut Vec<Command>) {
    let text = |kind: Option<&str>| kind.map_or_else(|| "everything that fails".to_owned(), words::log::fault);
    ui.horizontal(|ui| {
        let shown = ComboBox::from_id_salt("kind of fault").width(240.0).selected_text(text(kind)).show_ui(ui, |ui| {
            if ui.selectable_label(kind.is_none(), text(None)).clicked() {
                commands.push(Command::Log(LogAsk::Kind(None)));
            }
            for rate in &log.rates {
                if ui.selectable_label(kind == Some(rate.kind.as_str()), text(Some(&rate.kind))).clicked() {
                    commands.push(Command::Log(LogAsk::Kind(Some(rate.kind.clone()))));
                }
            }
        });
        shown.response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::ComboBox, true, "kind of fault"));
        ui.label("Bars: found. Strokes: what planning and the log together expect in the time watched.");
    });
}
