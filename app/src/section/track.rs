//! The long section of a track: the ground along it, the stretches that are too steep coloured.

use super::chart::{self, Chart};
use super::stretch_heights;
use crate::command::Command;
use crate::session::Session;
use crate::theme::{self, bold};
use crate::words;
use egui::{Align2, FontId, RichText, Sense, Shape, Stroke, Ui, WidgetInfo, pos2};
use hillwire_core::site::{HinderedStretch, JudgedTrack};
use hillwire_core::units::Length;

/// Draws it into all the space there is.
pub fn show(ui: &mut Ui, session: &Session, track: &JudgedTrack, commands: &mut Vec<Command>) {
    head(ui, session, track, commands);
    let inks = theme::inks(ui);
    let rect = ui.available_rect_before_wrap();
    let response = ui.allocate_rect(rect, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, "Long section of the track"));
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, ui.visuals().extreme_bg_color);
    let ground = || track.points.iter().map(|point| (point.station_m, point.ground_m));
    let Some(chart) = Chart::over(ground(), rect, session.exaggeration, None) else {
        let text = "No ground under this track: load an elevation grid that covers it";
        painter.text(rect.center(), Align2::CENTER_CENTER, text, FontId::proportional(14.0), inks.faint_ink);
        return;
    };
    chart::axes(&painter, &chart, session, &inks);
    chart::ground(&painter, &chart, ground(), inks.track);
    // What is out of use lies over what is only nearly so.
    for out_of_use in [false, true] {
        let (ink, width) = if out_of_use { (inks.must_fix, 5.0) } else { (inks.look_at, 3.5) };
        for stretch in track.stretches.iter().filter(|stretch| stretch.is_out_of_use == out_of_use) {
            painter.add(Shape::line(along(&chart, track, stretch), Stroke::new(width, ink)));
        }
    }
    let Some(pointer) = response.hover_pos() else { return };
    let station_m = chart.station_m(pointer.x);
    let x = chart.x(station_m);
    painter.line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], Stroke::new(1.0, inks.chosen));
    let after = track.points.partition_point(|point| point.station_m < station_m).clamp(1, track.points.len() - 1);
    if let Some(piece) = track.pieces.get(after - 1) {
        let text = words::track_at(Length::metres(station_m), *piece, session.units());
        let (align, dx) = if x + 260.0 < rect.right() { (Align2::LEFT_TOP, 6.0) } else { (Align2::RIGHT_TOP, -6.0) };
        painter.text(pos2(x + dx, rect.top() + 5.0), align, text, FontId::proportional(12.0), inks.ink);
    }
    if response.clicked() {
        commands.push(Command::ShowPoint(track.points[after].at));
    }
}

fn along(chart: &Chart, track: &JudgedTrack, stretch: &HinderedStretch) -> Vec<egui::Pos2> {
    let within = (stretch.from.as_metres() - 0.01)..=(stretch.to.as_metres() + 0.01);
    let points = track.points.iter().filter(|point| within.contains(&point.station_m));
    points.filter_map(|point| Some(chart.at(point.station_m, point.ground_m?))).collect()
}

fn head(ui: &mut Ui, session: &Session, track: &JudgedTrack, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            stretch_heights(ui, session, commands);
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let name = session.plan().feature(&track.id).map_or("", |feature| feature.label());
                ui.add(egui::Label::new(RichText::new(name).font(bold(14.0))).truncate());
                let text = words::track_in_short(track, session.units());
                ui.add(egui::Label::new(&text).truncate()).on_hover_text(&text);
            });
        });
    });
}
