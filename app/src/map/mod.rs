//! The map: shaded ground, the plan on it, and what the pointer does there.

pub mod area;
mod barred;
pub mod contours;
pub mod courses;
pub mod draw;
pub mod filling;
pub mod label;
pub mod look;
mod names;
mod order;
mod pointer;
mod posts;
pub mod reached;
mod round;
pub mod signs;
pub mod tiles;
pub mod used;
pub mod view;
pub mod voltage;

pub use pointer::{along, nearest_line};

use crate::command::Command;
use crate::session::{Land, Session, Stage, TileArrival};
use crate::theme;
use crate::tools::ToolKind;
use draw::Canvas;
use egui::{Sense, Ui, WidgetInfo};
use hillwire_core::land::Paper;
use look::{LandLook, LookTexture};
use std::sync::Arc;
use tiles::{Layer, Look, Scene, Source, Tiles};

/// The grids of the ground, the finest last: it lies on top.
fn ground_layers(land: &Land, look: Look) -> Vec<Layer<'_>> {
    let Some(ground) = &land.ground else { return Vec::new() };
    let mut layers: Vec<Layer<'_>> = (ground.layers().enumerate())
        .map(|(index, layer)| Layer {
            index,
            generation: land.generation,
            look,
            placement: layer.placement(),
            source: Source::Ground(Arc::clone(ground), land.heights_m),
            opacity: 1.0,
        })
        .collect();
    layers.reverse();
    layers
}

/// The map's own memory: textures, and what the held pointer is doing.
#[derive(Default)]
pub struct MapPane {
    tiles: Tiles,
    press: Option<pointer::Press>,
    mean_slope: Option<(u64, f64)>,
    look: LookTexture,
}

/// What to do next, over the map: with the tool in hand until it is used, or with an empty plan.
fn hint(session: &Session) -> Option<&'static str> {
    let is_empty = session.plan().features.is_empty() && session.land.ground.is_some();
    let first = is_empty.then_some("Nothing is drawn yet: take “Fence line” above and click its corners");
    let is_told_already = session.draft.is_some() || session.guide.is_some();
    session.tool.tip().or(first).filter(|_| !is_told_already)
}

impl MapPane {
    /// Takes shaded tiles in.
    pub fn take(&mut self, tiles: Vec<TileArrival>) {
        self.tiles.take(tiles);
    }

    /// Draws the map into all the space there is, and says what the pointer asks for.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
        let pane = ui.available_rect_before_wrap();
        session.pane = pane;
        session.fit_if_wanted();
        let response = ui.allocate_rect(pane, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, "Map"));
        let painter = ui.painter_at(pane);
        let inks = theme::inks(ui);
        painter.rect_filled(pane, 0.0, inks.paper);
        self.draw_ground(ui, &painter, session);
        let canvas = Canvas { painter: &painter, pane, view: session.view, inks };
        draw::draw_plan(&canvas, session);
        barred::draw(&canvas, session);
        order::draw(&canvas, session);
        courses::draw(&canvas, session);
        pointer::handles(ui, &canvas, session);
        // Above the handles: the numbers of its stops are read there, not corners moved.
        round::draw(&canvas, session);
        self.look_around(ui, &response, session, commands);
        let reached = pointer::reach(&response, ui, session);
        self.use_tool(ui, &response, session, reached, commands);
        session.pointed_on_map = reached.and_then(|reached| pointer::along_section_line(session, reached.at));
        label::section_pointer(&canvas, session);
        label::furniture(&canvas, session, reached.map(|reached| reached.at));
        if let Some(reached) = reached {
            label::at_pointer(&canvas, session, &reached);
        }
        if let Some(hint) = hint(session) {
            draw::draw_hint(&canvas, hint);
        }
    }

    fn draw_ground(&mut self, ui: &Ui, painter: &egui::Painter, session: &mut Session) {
        let paper = if ui.visuals().dark_mode { Paper::Dark } else { Paper::Light };
        let is_land = session.stage == Stage::Land;
        let look = if is_land && session.look.by == LandLook::Slope { Look::Slope(paper) } else { Look::Relief(paper) };
        let photos = session.air.shown(session.plan());
        let layers = ground_layers(&session.land, look).into_iter().chain(photos).collect();
        let scene = Scene { layers, view: session.view, pane: session.pane };
        let missing = self.tiles.draw(painter, &scene);
        if !missing.is_empty() {
            session.worker.request_tiles(missing);
        }
        let Some(ground) = session.land.ground.clone() else { return };
        if let Some(picture) = session.look.picture.as_ref().filter(|_| is_land) {
            self.look.draw(painter, session.pane, &session.view, picture);
        }
        if let Some(lines) = &session.land.contours {
            let generation = session.land.generation;
            if self.mean_slope.is_none_or(|(of, _)| of != generation) {
                self.mean_slope = Some((generation, contours::rough_slope(&ground)));
            }
            let slope = self.mean_slope.map_or(0.2, |(_, slope)| slope);
            contours::draw(painter, session.pane, &session.view, lines, slope, &theme::inks(ui));
        }
    }

    /// Wheel, pinch, arrow keys and dragging with another button than the first move the view.
    fn look_around(&mut self, ui: &Ui, response: &egui::Response, session: &mut Session, _commands: &mut Vec<Command>) {
        let space = ui.input(|input| input.key_down(egui::Key::Space)) && !ui.ctx().text_edit_focused();
        let panning = response.dragged_by(egui::PointerButton::Middle)
            || response.dragged_by(egui::PointerButton::Secondary)
            || (space && response.dragged_by(egui::PointerButton::Primary));
        if panning {
            session.view.pan(response.drag_delta());
            ui.set_cursor_icon(egui::CursorIcon::Grabbing);
        }
        if let Some(at) = response.hover_pos() {
            let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta()));
            let factor = f64::from(pinch) * (f64::from(scroll.y) * 0.0035).exp();
            if (factor - 1.0).abs() > 1e-4 {
                session.view.zoom(session.pane, at, factor);
            }
        }
        if !ui.ctx().egui_wants_keyboard_input() {
            let step = 60.0;
            let arrows = [
                (egui::Key::ArrowLeft, egui::vec2(step, 0.0)),
                (egui::Key::ArrowRight, egui::vec2(-step, 0.0)),
                (egui::Key::ArrowUp, egui::vec2(0.0, step)),
                (egui::Key::ArrowDown, egui::vec2(0.0, -step)),
            ];
            for (key, by) in arrows {
                if ui.input(|input| input.key_pressed(key)) {
                    session.view.pan(by);
                }
            }
        }
    }

    fn use_tool(
        &mut self,
        ui: &Ui,
        response: &egui::Response,
        session: &Session,
        reached: Option<pointer::Reached>,
        commands: &mut Vec<Command>,
    ) {
        if ui.input(|input| input.key_down(egui::Key::Space)) && !ui.ctx().text_edit_focused() {
            return;
        }
        match session.tool {
            ToolKind::Choose => pointer::choose(ui, response, session, &mut self.press, commands),
            ToolKind::Draw(_) => pointer::draw(ui, response, reached, commands),
            ToolKind::Set(point) => pointer::set(ui, response, point, reached, commands),
        }
    }
}
