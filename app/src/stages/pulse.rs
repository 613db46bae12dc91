//! The pulse at a chosen place as a small picture: volts over microseconds, open and over 500 ohm.

use crate::card::heading;
use crate::power_view::PulseShape;
use crate::session::Session;
use crate::theme::{self, Inks};
use crate::words;
use egui::{Align2, FontId, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::power::Pulse;
use hillwire_core::units::Length;

const HEIGHT: f32 = 130.0;
/// A pulse is over where it stays below this share of its peak.
const OVER: f64 = 0.05;
/// The last part of the window is no longer trusted: the way back to time amplifies what is left of errors there.
const TRUSTED: f64 = 0.75;

/// The picture, or how to get one.
pub fn picture(ui: &mut Ui, session: &Session) {
    if session.outcome.power.states.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "The pulse");
    let faint = theme::inks(ui).faint_ink;
    let Some(pointed) = &session.power_view.pulse_at else {
        ui.label(egui::RichText::new("Click a line on the map or in the long section to see the pulse there.").color(faint));
        return;
    };
    let Some(of) = session.pulse_wanted() else {
        ui.label("No pulse gets to this place.");
        return;
    };
    let name = session.plan().feature(&pointed.line).map_or("", |feature| feature.label());
    let station = session.outcome.power.wiring.stations.get(of.station);
    let at = words::length(station.map_or(Length::ZERO, |station| station.station), session.units());
    ui.label(format!("{name}, at {at}, {}", words::ground_state(of.state)));
    // While the next one is on its way the last one stays: the picture must not flicker under a drag.
    if let Some(shape) = &session.pulse {
        draw(ui, shape);
    }
}

fn draw(ui: &mut Ui, shape: &PulseShape) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, "The pulse over time"));
    let inks = theme::inks(ui);
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 4.0, ui.visuals().extreme_bg_color);
    let plot = Rect::from_min_max(rect.min + vec2(42.0, 8.0), rect.max - vec2(10.0, 20.0));
    let [open, loaded] = &shape.pulses;
    let last_s = shown_s(open).max(shown_s(loaded));
    let most_v = open.peak().value.abs().max(loaded.peak().value.abs()).max(1.0) * 1.05;
    let at = |time_s: f64, volts: f64| {
        pos2(plot.left() + (time_s / last_s) as f32 * plot.width(), plot.bottom() - (volts / most_v) as f32 * plot.height())
    };
    axes(&painter, plot, (last_s, most_v), &inks);
    let solid = points(open, last_s).map(|(time_s, volts)| at(time_s, volts)).collect::<Vec<Pos2>>();
    painter.add(Shape::line(solid, Stroke::new(2.0, inks.note)));
    let dashed = points(loaded, last_s).map(|(time_s, volts)| at(time_s, volts)).collect::<Vec<Pos2>>();
    painter.extend(Shape::dashed_line(&dashed, Stroke::new(2.0, inks.must_fix), 6.0, 3.0));
    legend(&painter, plot, [open, loaded], &inks);
}

fn points(pulse: &Pulse, last_s: f64) -> impl Iterator<Item = (f64, f64)> {
    let samples = pulse.samples.iter().enumerate().map(|(index, volts)| (index as f64 * pulse.step_s, volts.max(0.0)));
    samples.take_while(move |(time_s, _)| *time_s <= last_s)
}

/// Until when a pulse is worth drawing.
fn shown_s(pulse: &Pulse) -> f64 {
    let window_s = pulse.samples.len() as f64 * pulse.step_s * TRUSTED;
    let least = pulse.peak().value.abs() * OVER;
    let last = pulse.samples.iter().rposition(|volts| volts.abs() > least).unwrap_or(0);
    (last as f64 * pulse.step_s * 1.1).clamp(20.0 * pulse.step_s, window_s.max(20.0 * pulse.step_s))
}

fn axes(painter: &Painter, plot: Rect, (last_s, most_v): (f64, f64), inks: &Inks) {
    let font = FontId::proportional(11.0);
    let thin = Stroke::new(1.0, inks.faint_ink.gamma_multiply(0.6));
    painter.line_segment([plot.left_bottom(), plot.right_bottom()], thin);
    painter.line_segment([plot.left_bottom(), plot.left_top()], thin);
    let step_v = crate::section::nice_step(most_v / 5.0);
    let mut volts = step_v;
    while volts < most_v {
        let y = plot.bottom() - (volts / most_v) as f32 * plot.height();
        painter.line_segment([pos2(plot.left(), y), pos2(plot.right(), y)], Stroke::new(0.6, inks.faint_ink.gamma_multiply(0.3)));
        let is_top = volts + step_v >= most_v;
        let text = if is_top { format!("{}\u{a0}kV", words::count(volts / 1e3)) } else { words::count(volts / 1e3) };
        painter.text(pos2(plot.left() - 4.0, y), Align2::RIGHT_CENTER, text, font.clone(), inks.faint_ink);
        volts += step_v;
    }
    let step_us = crate::section::nice_step(last_s * 1e6 / 4.0);
    let mut time_us = step_us;
    while time_us <= last_s * 1e6 {
        let x = plot.left() + (time_us / (last_s * 1e6)) as f32 * plot.width();
        painter.text(pos2(x, plot.bottom() + 3.0), Align2::CENTER_TOP, words::count(time_us), font.clone(), inks.faint_ink);
        time_us += step_us;
    }
    painter.text(plot.left_bottom() + vec2(0.0, 3.0), Align2::LEFT_TOP, "µs", font, inks.faint_ink);
}

fn legend(painter: &Painter, plot: Rect, [open, loaded]: [&Pulse; 2], inks: &Inks) {
    let rows = [
        (format!("open, {}", words::voltage(open.peak().value.abs())), inks.note, None),
        (format!("over 500 Ω, {}", words::voltage(loaded.peak().value.abs())), inks.must_fix, Some((6.0, 3.0))),
    ];
    for (row, (text, ink, dashes)) in rows.into_iter().enumerate() {
        let right = plot.right_top() + vec2(0.0, 6.0 + 15.0 * row as f32);
        let drawn = painter.text(right, Align2::RIGHT_CENTER, text, FontId::proportional(11.0), inks.ink);
        let ends = [pos2(drawn.left() - 28.0, right.y), pos2(drawn.left() - 5.0, right.y)];
        match dashes {
            Some((dash, gap)) => painter.extend(Shape::dashed_line(&ends, Stroke::new(2.0, ink), dash, gap)),
            None => drop(painter.line_segment(ends, Stroke::new(2.0, ink))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pulse_is_drawn_until_it_is_over_and_never_into_the_end_of_its_window() {
        let pulse = |decay: f64| Pulse { samples: (0..256).map(|at| (-f64::from(at) * decay).exp()).collect(), step_s: 2e-6 };
        // 5 % of the peak is left after 3 time constants: after 30 samples of a decay of 0.1.
        let quick_s = shown_s(&pulse(0.1));
        assert!((quick_s / 2e-6 - 29.0 * 1.1).abs() < 2.0, "{quick_s}");
        assert!((shown_s(&pulse(0.001)) - 256.0 * 2e-6 * TRUSTED).abs() < 1e-12);
    }
}
