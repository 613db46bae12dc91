//! The weeks of the years: which were gone round, and what they brought.

use super::small;
use crate::command::Command;
use crate::log_view::LogAsk;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align2, Rect, ScrollArea, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::log::{Log, Round};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Weeks that a year may begin.
const WEEKS: usize = 53;
/// Height of a year, points.
const ROW: f32 = 20.0;

#[derive(Clone, Copy, Default)]
struct Week {
    rounds: u32,
    readings: u32,
    faults: u32,
}

/// Draws it.
pub fn show(ui: &mut Ui, session: &Session, log: &Log, commands: &mut Vec<Command>) {
    ui.label("A week gone round is a stroke, as high as what was written down: readings and photos below, faults on top and broader. A dot: no round. Outlined: the next one.");
    let years = years(&log.rounds);
    let left = 44.0;
    let wide = ((ui.available_width() - left - 20.0) / WEEKS as f32).clamp(4.0, 18.0);
    months(ui, left, wide);
    let most = years.values().flatten().map(|week| week.readings + week.faults).max().unwrap_or(1).max(1);
    let due = log.due.as_ref().map(|due| due.next);
    ScrollArea::vertical().auto_shrink([false, false]).show_rows(ui, ROW, years.len(), |ui, shown| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for (year, weeks) in years.iter().rev().skip(shown.start).take(shown.len()) {
            row(ui, session, (*year, weeks), (left, wide, most), due, commands);
        }
    });
}

/// Which week of its year a day is in, 0 the first: seven days from the first of January each.
fn week_of(day: Date) -> usize {
    usize::try_from((day.day_of_year() - 1) / 7).unwrap_or(0).min(WEEKS - 1)
}

fn years(rounds: &[Round]) -> BTreeMap<i16, [Week; WEEKS]> {
    let mut years: BTreeMap<i16, [Week; WEEKS]> = BTreeMap::new();
    for round in rounds {
        let week = &mut years.entry(round.day.year()).or_insert([Week::default(); WEEKS])[week_of(round.day)];
        week.rounds += 1;
        week.readings += round.readings + round.photos;
        week.faults += round.faults;
    }
    years
}

fn months(ui: &mut Ui, left: f32, wide: f32) {
    let (rect, _) = ui.allocate_exact_size(vec2(left + wide * WEEKS as f32, 14.0), Sense::hover());
    let ink = theme::inks(ui).faint_ink;
    for (month, text) in words::log::MONTHS_SHORT.iter().enumerate() {
        let x = rect.left() + left + month as f32 * wide * 365.25 / 12.0 / 7.0;
        ui.painter().text(pos2(x, rect.center().y), Align2::LEFT_CENTER, *text, small(), ink);
    }
}

fn row(
    ui: &mut Ui,
    session: &Session,
    (year, weeks): (i16, &[Week; WEEKS]),
    (left, wide, most): (f32, f32, u32),
    due: Option<Date>,
    commands: &mut Vec<Command>,
) {
    let (rect, response) = ui.allocate_exact_size(vec2(left + wide * WEEKS as f32, ROW), Sense::click());
    let gone = weeks.iter().filter(|week| week.rounds > 0).count();
    let faults: u32 = weeks.iter().map(|week| week.faults).sum();
    let name = format!("{year}: {gone} weeks gone round, {faults} faults");
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
    let inks = theme::inks(ui);
    let is_shown = session.log_view.year_shown() == Some(year);
    if is_shown {
        let behind = Rect::from_min_size(rect.left_top() + vec2(-3.0, 2.0), vec2(left - 8.0, ROW - 4.0));
        ui.painter().rect_filled(behind, 3.0, inks.chosen.gamma_multiply(0.5));
    }
    ui.painter().text(pos2(rect.left(), rect.center().y), Align2::LEFT_CENTER, year.to_string(), small(), inks.ink);
    for (index, week) in weeks.iter().enumerate() {
        let cell = Rect::from_min_size(pos2(rect.left() + left + index as f32 * wide, rect.top() + 2.0), vec2(wide, ROW - 4.0))
            .shrink(1.0);
        paint(ui, cell, week, most, &inks);
        if due.is_some_and(|due| due.year() == year && week_of(due) == index) {
            ui.painter().rect_stroke(cell, 1.0, Stroke::new(2.0, inks.chosen), egui::StrokeKind::Inside);
        }
    }
    let pointed = response.hover_pos().filter(|at| at.x >= rect.left() + left);
    if let Some(pointer) = pointed {
        let index = (((pointer.x - rect.left() - left) / wide) as usize).min(WEEKS - 1);
        response.clone().on_hover_text_at_pointer(tip(year, index, &weeks[index]));
    }
    if response.clicked() {
        commands.push(Command::Log(LogAsk::Year(year)));
    }
}

/// A stroke of a round in which nothing was written down, points.
const LEAST_STROKE: f32 = 2.0;

/// How high readings with photos, and faults above them, stand in a stroke of this height at most.
fn stroke(week: &Week, most: u32, height: f32) -> (f32, f32) {
    let of = |count: u32| height * count as f32 / most as f32;
    (of(week.readings).max(LEAST_STROKE), of(week.faults))
}

/// No round: a dot. A round: a stroke, as high as what was written down.
fn paint(ui: &Ui, cell: Rect, week: &Week, most: u32, inks: &theme::Inks) {
    if week.rounds == 0 {
        ui.painter().circle_filled(cell.center_bottom() - vec2(0.0, 1.2), 1.2, inks.faint_ink);
        return;
    }
    let (read, found) = stroke(week, most, cell.height() - LEAST_STROKE);
    let half = (cell.width() * 0.2).clamp(0.75, 2.0);
    let piece = |from: f32, to: f32, half: f32| {
        let (x, bottom) = (cell.center().x, cell.bottom());
        Rect::from_min_max(pos2(x - half, bottom - to), pos2(x + half, bottom - from))
    };
    ui.painter().rect_filled(piece(0.0, read, half), 0.0, inks.fence);
    if found > 0.0 {
        ui.painter().rect_filled(piece(read, read + found.max(1.5), 2.0 * half), 0.0, inks.must_fix);
    }
}

fn tip(year: i16, index: usize, week: &Week) -> String {
    let first = Date::new(year, 1, 1).ok();
    let from = first.and_then(|first| first.checked_add(i32::try_from(index * 7).unwrap_or(0).days()).ok());
    let from = from.map_or_else(String::new, words::day);
    let count = |number: u32, one: &str, many: &str| if number == 1 { format!("1 {one}") } else { format!("{number} {many}") };
    if week.rounds == 0 {
        return format!("Week from {from}: no round");
    }
    format!(
        "Week from {from}: {}, {}, {}",
        count(week.rounds, "round", "rounds"),
        count(week.readings, "reading or photo", "readings and photos"),
        count(week.faults, "fault", "faults")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_is_as_high_as_its_count_and_never_higher_than_its_row() {
        for (readings, faults, most, expected) in [
            (10, 0, 20, (10.0, 0.0)),
            (15, 5, 20, (15.0, 5.0)),
            (0, 0, 20, (LEAST_STROKE, 0.0)),
            (0, 20, 20, (LEAST_STROKE, 20.0)),
        ] {
            let (read, found) = stroke(&Week { rounds: 1, readings, faults }, most, 20.0);
            assert_eq!((read, found), expected, "{readings} and {faults} of {most}");
            assert!(read + found <= 20.0 + LEAST_STROKE);
        }
    }
}
