//! Which part of a line the long section shows: the wheel looks closer at the pointer, another button than the first moves along.

use super::chart::Chart;
use crate::session::{Session, Stretch};
use egui::{PointerButton, Response, Ui};
use hillwire_core::outcome::LineOutcome;

/// The shortest part that is shown, metres.
const SHORTEST_M: f64 = 4.0;

/// The stations that are looked at; `None` for the whole line.
pub fn shown(session: &Session, line: &LineOutcome) -> Option<(f64, f64)> {
    let stretch = session.section_stretch.as_ref().filter(|stretch| stretch.line == line.id)?;
    let length_m = line.section.samples.last()?.station_m;
    // The line may have been shortened since.
    (stretch.to_m <= length_m + 0.5).then_some((stretch.from_m, stretch.to_m.min(length_m)))
}

/// Moves what is shown as the pointer asks for.
pub fn around(ui: &Ui, response: &Response, chart: &Chart, line: &LineOutcome, session: &mut Session) {
    let length_m = line.section.samples.last().map_or(0.0, |sample| sample.station_m);
    let now = chart.shown_m();
    let mut then = now;
    if let Some(at) = response.hover_pos() {
        let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta()));
        let factor = f64::from(pinch) * (f64::from(scroll.y) * 0.0035).exp();
        if (factor - 1.0).abs() > 1e-4 {
            then = closer(now, chart.station_m(at.x), factor, length_m);
        }
    }
    if response.dragged_by(PointerButton::Middle) || response.dragged_by(PointerButton::Secondary) {
        let left = response.rect.left();
        let by_m = chart.station_m(left + 200.0) - chart.station_m(left + 200.0 + response.drag_delta().x);
        then = along(now, by_m, length_m);
        ui.set_cursor_icon(egui::CursorIcon::Grabbing);
    }
    if then == now {
        return;
    }
    let whole = then.1 - then.0 >= length_m - 1e-6;
    session.section_stretch = (!whole).then(|| Stretch { line: line.id.clone(), from_m: then.0, to_m: then.1 });
}

/// The same stations seen closer by a factor, with the one at the pointer staying where it is.
fn closer((from_m, to_m): (f64, f64), at_m: f64, factor: f64, length_m: f64) -> (f64, f64) {
    let width_m = ((to_m - from_m) / factor).clamp(SHORTEST_M.min(length_m), length_m);
    let share = (at_m - from_m) / (to_m - from_m);
    let from_m = (at_m - share * width_m).clamp(0.0, length_m - width_m);
    (from_m, from_m + width_m)
}

/// The stations farther along.
fn along((from_m, to_m): (f64, f64), by_m: f64, length_m: f64) -> (f64, f64) {
    let width_m = to_m - from_m;
    let from_m = (from_m + by_m).clamp(0.0, (length_m - width_m).max(0.0));
    (from_m, from_m + width_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn looking_closer_keeps_the_station_at_the_pointer_and_never_leaves_the_line() {
        for (shown, at_m, factor, expected) in [
            ((0.0, 100.0), 50.0, 2.0, (25.0, 75.0)),
            ((0.0, 100.0), 0.0, 4.0, (0.0, 25.0)),
            ((25.0, 75.0), 40.0, 0.5, (0.0, 100.0)),
            ((0.0, 100.0), 30.0, 1000.0, (28.8, 32.8)),
            ((80.0, 100.0), 100.0, 0.8, (75.0, 100.0)),
        ] {
            let found = closer(shown, at_m, factor, 100.0);
            assert!(
                (found.0 - expected.0).abs() < 1e-9 && (found.1 - expected.1).abs() < 1e-9,
                "{shown:?} {at_m} {factor}: {found:?}"
            );
        }
        assert_eq!(along((10.0, 30.0), -20.0, 100.0), (0.0, 20.0));
        assert_eq!(along((70.0, 90.0), 50.0, 100.0), (80.0, 100.0));
    }
}
