//! The row of tools above the map.

use crate::command::{Act, Command};
use crate::session::Session;
use crate::tools::{DRAWN, Drawn, POINTS, POWER_POINTS, Point, ToolKind};
use egui::{Button, Ui};

/// Where the row is narrower, in points (with large text), all tools stand in one list.
const ROOM_FOR_ALL: f32 = 560.0;

/// What three buttons at the right take, points.
const ROOM_FOR_ZOOM: f32 = 150.0;

const MORE: &str = "Streams, public ways, overhead lines, boundary, ground zones, buildings, water, measured heights, marks";

/// Draws the row: the common tools by themselves, the rest in one list.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        tool(ui, session, ToolKind::Choose, "Select", "Select, move and reshape what is drawn (Esc)", commands);
        if ui.available_width() < ROOM_FOR_ALL {
            let drawn = DRAWN.iter().map(|&drawn| (ToolKind::Draw(drawn), drawn.text(), drawn.tip()));
            let points = POINTS.iter().map(|&point| (ToolKind::Set(point), point.text(), point.tip()));
            list(ui, session, ("Draw…", "Everything that can be drawn or set"), drawn.chain(points).collect(), commands);
        } else {
            ui.separator();
            for drawn in [Drawn::Fence, Drawn::LeadOut, Drawn::Track] {
                tool(ui, session, ToolKind::Draw(drawn), drawn.text(), drawn.tip(), commands);
            }
            for point in [Point::Gate, Point::Paddock] {
                tool(ui, session, ToolKind::Set(point), point.text(), point.tip(), commands);
            }
            power(ui, session, commands);
            more(ui, session, commands);
        }
        // The wheel and the keys look closer too.
        let acts: &[Act] =
            if ui.available_width() < ROOM_FOR_ZOOM { &[Act::ShowAll] } else { &[Act::ShowAll, Act::ZoomIn, Act::ZoomOut] };
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            for &act in acts {
                let text = match act {
                    Act::ZoomIn => "+",
                    Act::ZoomOut => "−",
                    _ => act.row().text,
                };
                let button = ui.button(text).on_hover_text(act.row().tip);
                button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, act.row().text));
                if button.clicked() {
                    commands.push(Command::Act(act));
                }
            }
        });
    });
}

fn tool(ui: &mut Ui, session: &Session, kind: ToolKind, text: &str, tip: &str, commands: &mut Vec<Command>) {
    let in_hand = session.tool == kind;
    if ui.add(Button::selectable(in_hand, text)).on_hover_text(tip).clicked() {
        commands.push(Command::Take(if in_hand { ToolKind::Choose } else { kind }));
    }
}

/// What belongs to the pulse.
fn power(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let points = POWER_POINTS.iter().map(|&point| (ToolKind::Set(point), point.text(), point.tip()));
    let wire = Drawn::JumperWire;
    let wire = (ToolKind::Draw(wire), wire.text(), wire.tip());
    list(
        ui,
        session,
        ("Power…", "Energizer, earth rods, switches, jumpers, readings, faults, strikes, photos"),
        points.chain([wire]).collect(),
        commands,
    );
}

fn more(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let others = DRAWN.iter().filter(|drawn| !matches!(drawn, Drawn::Fence | Drawn::LeadOut | Drawn::JumperWire | Drawn::Track));
    let drawn = others.map(|&drawn| (ToolKind::Draw(drawn), drawn.text(), drawn.tip()));
    let points = POINTS.iter().filter(|point| !matches!(point, Point::Gate | Point::Paddock) && !POWER_POINTS.contains(point));
    let points = points.map(|&point| (ToolKind::Set(point), point.text(), point.tip()));
    list(ui, session, ("More…", MORE), drawn.chain(points).collect(), commands);
}

/// A list of tools; it is called by the one in hand.
fn list(
    ui: &mut Ui,
    session: &Session,
    (title, tip): (&str, &str),
    tools: Vec<(ToolKind, &'static str, &'static str)>,
    commands: &mut Vec<Command>,
) {
    let in_hand = tools.iter().find(|(kind, ..)| *kind == session.tool).map_or(title, |(_, text, _)| text);
    let menu = ui.menu_button(in_hand, |ui| {
        for (kind, text, tip) in tools {
            if ui.button(text).on_hover_text(tip).clicked() {
                commands.push(Command::Take(kind));
                ui.close();
            }
        }
    });
    menu.response.on_hover_text(tip);
}
