//! The long section: ground, posts, strands and their band along the chosen line, with a pointer shared with the map.

mod chart;
mod look;
mod posts;
mod track;
mod volts;

pub use chart::nice_step;
pub use posts::{is_at, is_lifted};

use crate::command::Command;
use crate::session::{Pointed, Session, Stage};
use crate::theme::{self, bold};
use crate::words;
use chart::Chart;
use egui::{Align2, FontId, RichText, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use hillwire_core::hold::{PostRole, TREE_POST};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::units::Length;
use posts::{Held, Pane};

/// With less room than this the figures over the section are left out: three dots tell nobody anything.
const LEAST_ROOM: f32 = 90.0;
/// Room that the stretch of heights takes in the right upper corner of the chart, points.
const STRETCH_WIDTH: f32 = 80.0;

/// The long section's own memory: the post that the pointer holds.
#[derive(Default)]
pub struct SectionPane {
    held: Option<Held>,
}

/// Draws the long section into all the space there is.
pub fn show(ui: &mut Ui, pane: &mut SectionPane, session: &mut Session, commands: &mut Vec<Command>) {
    if let Some(of) = session.chosen_track() {
        track::show(ui, session, of, commands);
        session.pointed_in_section = None;
        return;
    }
    let Some(line) = session.section_line().cloned() else {
        empty(ui, session);
        return;
    };
    head(ui, session, &line, commands);
    let rect = ui.available_rect_before_wrap();
    let response = ui.allocate_rect(rect, Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, "Long section"));
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, ui.visuals().extreme_bg_color);
    let Some(chart) = Chart::of(&line, rect, session.exaggeration, look::shown(session, &line)) else {
        let inks = theme::inks(ui);
        let text = "No ground under this line: load an elevation grid that covers it";
        painter.text(rect.center(), Align2::CENTER_CENTER, text, FontId::proportional(14.0), inks.faint_ink);
        return;
    };
    let build = session.plan().feature(&line.id).and_then(|feature| match &feature.kind {
        hillwire_core::plan::Kind::Fence(fence) => session.plan().build(&fence.build),
        _ => None,
    });
    chart::paint(&painter, &chart, &line, build, session, &theme::inks(ui));
    let posts = Pane { chart: &chart, line: &line, build };
    if session.stage != Stage::Power {
        posts.name_posts(ui, session);
    }
    let on_power = session.stage == Stage::Power;
    let on_post = !on_power && posts.point(ui, &response, session, &mut pane.held, commands);
    session.pointed_in_section = point(ui, &response, &chart, &line, session);
    if response.double_clicked() {
        session.section_stretch = None;
    }
    look::around(ui, &response, &chart, &line, session);
    if response.clicked()
        && !on_post
        && let Some(pointed) = &session.pointed_in_section
        && let Some(at) = at_station(&line, pointed.station_m)
    {
        commands.push(if on_power { Command::PulseAt(Some(pointed.clone())) } else { Command::ShowPoint(at) });
    }
}

fn empty(ui: &mut Ui, session: &Session) {
    let inks = theme::inks(ui);
    ui.centered_and_justified(|ui| {
        let text = if session.plan().features.is_empty() {
            "The long section of a line appears here once one is drawn"
        } else {
            "Select a fence line, a lead-out or a track to see its long section"
        };
        ui.label(RichText::new(text).color(inks.faint_ink));
    });
}

fn head(ui: &mut Ui, session: &Session, line: &LineOutcome, commands: &mut Vec<Command>) {
    let units = session.units();
    let text = format!("{} · {}", words::course_lengths(&line.measure, " · ", units), words::posts_and_pegs(line));
    ui.horizontal(|ui| {
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            stretch_heights(ui, session, commands);
            if look::shown(session, line).is_some() {
                let tip =
                    "Show the whole line again; so does a double click. The wheel looks closer, the right button moves along";
                if ui.button("Whole line").on_hover_text(tip).clicked() {
                    commands.push(Command::ShowWholeLine);
                }
            }
            if session.stage != Stage::Power {
                add_posts(ui, session, line, commands);
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let name = session.plan().feature(&line.id).map_or("", |feature| feature.label());
                ui.add(egui::Label::new(RichText::new(name).font(bold(14.0))).truncate());
                // What has no room stands in the card of the line.
                if ui.available_width() > LEAST_ROOM {
                    ui.add(egui::Label::new(&text).truncate()).on_hover_text(&text);
                }
            });
        });
    });
}

fn stretch_heights(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if ui.button("+").on_hover_text("Stretch heights more").clicked() {
        commands.push(Command::Exaggerate(session.exaggeration * 1.5));
    }
    if ui.button("−").on_hover_text("Stretch heights less; 1 is true to scale").clicked() {
        commands.push(Command::Exaggerate(session.exaggeration / 1.5));
    }
}

fn add_posts(ui: &mut Ui, session: &Session, line: &LineOutcome, commands: &mut Vec<Command>) {
    let is_fence =
        |feature: &std::sync::Arc<hillwire_core::plan::Feature>| matches!(feature.kind, hillwire_core::plan::Kind::Fence(_));
    if !session.plan().feature(&line.id).is_some_and(is_fence) {
        return;
    }
    let tip = "Click in the long section where you want a post, as often as you like; Esc ends it. Shift and a click does the same once";
    if ui.add(egui::Button::selectable(session.adds_posts, "Add posts")).on_hover_text(tip).clicked() {
        commands.push(Command::AddPosts(!session.adds_posts));
    }
}

/// Moves the shared pointer, and draws it with its numbers.
fn point(ui: &Ui, response: &egui::Response, chart: &Chart, line: &LineOutcome, session: &Session) -> Option<Pointed> {
    let here = response.hover_pos().map(|at| Pointed { line: line.id.clone(), station_m: chart.station_m(at.x) });
    let on_map = || session.pointed_on_map.clone().filter(|pointed| pointed.line == line.id);
    let shown = here.clone().or_else(on_map)?;
    let x = chart.x(shown.station_m);
    let inks = theme::inks(ui);
    let painter = ui.painter_at(chart.rect);
    painter.line_segment([pos2(x, chart.rect.top()), pos2(x, chart.rect.bottom())], Stroke::new(1.0, inks.chosen));
    let text = volts::reading(line, shown.station_m, session).unwrap_or_else(|| reading(line, shown.station_m, session));
    let right = x + 200.0 < chart.rect.right();
    let (align, dx) = if right { (Align2::LEFT_TOP, 6.0) } else { (Align2::RIGHT_TOP, -6.0) };
    let galley = painter.layout_no_wrap(text, FontId::proportional(12.0), inks.ink);
    // On the right it keeps clear of the stretch of heights.
    let top = if !right && x + dx > chart.rect.right() - STRETCH_WIDTH { 20.0 } else { 5.0 };
    let mut rect = align.anchor_size(pos2(x + dx, chart.rect.top() + top), galley.size());
    if session.stage == Stage::Power {
        // Below the curves, which mostly lie high.
        rect = rect.translate(vec2(0.0, chart.curves().1 - rect.bottom()));
    }
    painter.rect_filled(rect.expand(3.0), 3.0, ui.visuals().window_fill);
    painter.galley(rect.min, galley, inks.ink);
    here
}

fn reading(line: &LineOutcome, station_m: f64, session: &Session) -> String {
    let units = session.units();
    let mut text = format!("at {}", words::length(Length::metres(station_m), units));
    let bay = line.hold.bays.iter().find(|bay| (bay.from.as_metres()..=bay.to.as_metres()).contains(&station_m));
    if let Some(bay) = bay {
        text.push_str(&format!(" · bay {}", words::length(bay.to - bay.from, units)));
        if let Some(lowest) = bay.strands.first() {
            text.push_str(&format!(
                "\nlowest strand {} to {} up",
                words::gap(lowest.lowest_gap, units),
                words::gap(lowest.highest_gap, units)
            ));
        }
    }
    let near = line.hold.posts.iter().find(|post| (post.station.as_metres() - station_m).abs() < 0.6);
    if let Some(post) = near {
        let tree = if post.post == TREE_POST { "living tree, " } else { "" };
        text.push_str(&format!("\n{tree}{}", words::role(post.role)));
        if post.role == PostRole::Dip {
            text.push_str(&format!(", pulled up {}", words::force(post.uplift, units)));
        }
    }
    text
}

/// The map point at a station of a line.
pub fn at_station(line: &LineOutcome, station_m: f64) -> Option<hillwire_core::land::MapPoint> {
    let samples = &line.section.samples;
    let after = samples.partition_point(|sample| sample.station_m < station_m);
    let (a, b) = (samples.get(after.saturating_sub(1))?, samples.get(after.min(samples.len() - 1))?);
    let span = b.station_m - a.station_m;
    let share = if span > 0.0 { ((station_m - a.station_m) / span).clamp(0.0, 1.0) } else { 0.0 };
    Some(a.at.towards(b.at, share))
}
