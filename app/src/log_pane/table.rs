//! The log as a table: only the rows that are seen are made.

use crate::command::Command;
use crate::log_view::{LogAsk, SortBy};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Align2, FontId, Pos2, RichText, ScrollArea, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::log::{Against, Entry, Log, held_against};

/// Height of a row, points.
const ROW: f32 = 20.0;
/// Where columns begin, as shares of the width, with their headings.
const COLUMNS: [(f32, &str, SortBy); 4] = [
    (0.0, "When", SortBy::When),
    (0.17, "What", SortBy::What),
    (0.5, "Where", SortBy::Where),
    (0.8, "Expected", SortBy::Expected),
];

/// Draws it.
pub fn show(ui: &mut Ui, session: &Session, log: &Log, commands: &mut Vec<Command>) {
    let view = &session.log_view;
    let left = ui.available_rect_before_wrap().left();
    let width = ui.available_width() - 16.0;
    ui.horizontal(|ui| {
        for (index, (share, text, by)) in COLUMNS.into_iter().enumerate() {
            let want = left + share * width;
            let gap = want - ui.cursor().left();
            if index > 0 && gap > 0.0 {
                ui.add_space(gap);
            }
            let button = egui::Button::new(RichText::new(text).strong()).frame(false);
            let response = ui.add(button).on_hover_text("Sort by this; again turns the order round");
            response.widget_info(|| {
                WidgetInfo::labeled(egui::accesskit::Role::Button, true, format!("Sort by {}", text.to_lowercase()))
            });
            if view.sort == by {
                arrow(ui, response.rect.right_center() + vec2(7.0, 0.0), view.is_turned);
            }
            if response.clicked() {
                commands.push(Command::Log(LogAsk::Sort(by)));
            }
        }
    });
    ScrollArea::vertical().auto_shrink([false, false]).show_rows(ui, ROW, view.order.len(), |ui, shown| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for place in shown {
            let Some(entry) = view.order.get(place).and_then(|index| log.entries.get(*index)) else { continue };
            row(ui, session, entry, view.order[place], width, commands);
        }
    });
}

/// Which way the column is sorted.
fn arrow(ui: &Ui, at: Pos2, points_up: bool) {
    let way = if points_up { -1.0 } else { 1.0 };
    let corners = vec![at + vec2(0.0, 3.5 * way), at + vec2(-4.0, -3.0 * way), at + vec2(4.0, -3.0 * way)];
    ui.painter().add(Shape::convex_polygon(corners, theme::inks(ui).ink, Stroke::NONE));
}

fn row(ui: &mut Ui, session: &Session, entry: &Entry, index: usize, width: f32, commands: &mut Vec<Command>) {
    let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
    let cells = cells(session, entry);
    let name = cells.iter().map(|(text, _)| text.as_str()).filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" · ");
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
    let inks = theme::inks(ui);
    if session.selection.has(&entry.id) {
        ui.painter().rect_filled(rect, 3.0, inks.chosen.gamma_multiply(0.3));
    } else if response.hovered() {
        ui.painter().rect_filled(rect, 3.0, ui.visuals().faint_bg_color);
    }
    let font = FontId::proportional(13.0);
    for (column, (text, is_loud)) in cells.iter().enumerate() {
        let from = rect.left() + COLUMNS[column].0 * width;
        let to = rect.left() + COLUMNS.get(column + 1).map_or(1.0, |next| next.0) * width - 6.0;
        let clip = egui::Rect::from_min_max(pos2(from, rect.top()), pos2(to, rect.bottom()));
        let ink = if *is_loud { inks.must_fix } else { inks.ink };
        ui.painter().with_clip_rect(clip.intersect(ui.clip_rect())).text(
            pos2(from, rect.center().y),
            Align2::LEFT_CENTER,
            text,
            font.clone(),
            ink,
        );
    }
    if response.clicked() {
        commands.push(Command::Log(LogAsk::Show(index)));
    }
    response.on_hover_ui(|ui| {
        cells.iter().filter(|(text, _)| !text.is_empty()).for_each(|(text, _)| {
            ui.label(text);
        });
        if let Some(note) = &entry.note {
            ui.label(note);
        }
    });
}

/// The cells of a row, and which of them call for something.
fn cells(session: &Session, entry: &Entry) -> [(String, bool); 4] {
    let against = entry.kv().zip(entry.expected);
    let is_low = against.is_some_and(|(kv, expected)| held_against(kv, &expected) == Against::Below);
    let stands = matches!(entry.what, hillwire_core::log::What::Fault { stands: true, .. });
    let expected = against.map_or_else(String::new, |(kv, expected)| {
        format!("{}: {}", words::log::expectation(&expected), words::log::against(kv, &expected))
    });
    [
        (words::log::when(entry), false),
        (words::log::entry(entry), stands),
        (words::log::stands(entry, session.plan(), session.units()), false),
        (expected, is_low),
    ]
}
