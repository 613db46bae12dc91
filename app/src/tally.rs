//! The tally: one sentence of live figures over everything, each of them a way to where it comes from.

use crate::command::{Act, Command, key_text};
use crate::map::draw::weight_sign;
use crate::map::signs::{SignInks, sign};
use crate::session::{Selection, Session, Stage};
use crate::theme::{self, bold};
use crate::tools::{Point, ToolKind};
use crate::words;
use egui::{Color32, RichText, Sense, Ui, Vec2};
use hillwire_core::catalogue::GroundState;
use hillwire_core::finding::Weight;
use hillwire_core::plan::Kind;
use hillwire_core::units::Length;

/// Where the window is narrower, in points (with large text), the figures take a row of their own.
const ONE_ROW: f32 = 1000.0;

/// Draws the tally and the few acts that are always at hand.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let in_one_row = ui.available_width() >= ONE_ROW;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        name(ui, session);
        if in_one_row {
            figures(ui, session, commands);
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| acts(ui, session, commands));
    });
    if !in_one_row {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            figures(ui, session, commands);
        });
    }
}

fn name(ui: &mut Ui, session: &Session) {
    let name = session.plan().head.name.trim();
    let name = if name.is_empty() { "New plan" } else { name };
    let unsaved = if session.is_unsaved() { " *" } else { "" };
    let label = ui.label(RichText::new(format!("{name}{unsaved}")).font(bold(16.0)));
    if session.is_unsaved() {
        label.on_hover_text("Changed since it was saved");
    }
    ui.add_space(8.0);
}

fn figures(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let (units, outcome) = (session.units(), &session.outcome);
    if session.awaits_figures() {
        ui.label(words::WORKING_OUT);
        return;
    }
    // Seven figures stand in a row of 1280 points.
    let padding = std::mem::replace(&mut ui.spacing_mut().button_padding.x, 3.0);
    let is_fence = |id| session.plan().feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
    let fences = || outcome.lines.iter().filter(|line| is_fence(&line.id));
    let length: Length = fences().map(|line| line.measure.ground_length).sum();
    let posts: usize = outcome.lines.iter().map(|line| words::post_count(line)).sum();
    let mut to_stage = |ui: &mut Ui, text: String, tip: &str, stage: Stage| {
        if figure(ui, &text, tip, None) {
            commands.push(Command::Stage(stage));
        }
    };
    to_stage(ui, format!("{} of fence", words::length(length, units)), "Length of all fence lines on the ground", Stage::Line);
    to_stage(ui, format!("{posts} posts"), "Line posts, corner posts, end and gate posts of all lines", Stage::Hold);
    far_end(ui, session, commands);
    weights(ui, session, commands);
    let order = &outcome.order;
    if !order.items.is_empty() {
        let money = words::money_short(order.total, &order.currency);
        let text = match order.unpriced {
            0 => money,
            all if all == order.items.len() => format!("{all} things to buy, no prices yet"),
            some => format!("{money} + {some} unpriced"),
        };
        if figure(ui, &text, "What is still to be bought, at the prices of the plan", None) {
            commands.push(Command::Stage(Stage::Order));
        }
    }
    if let Some(round) = session.round_view.round() {
        let text = format!("round {}\u{a0}min", words::count(round.minutes().round()));
        if figure(ui, &text, "How long it takes to go round all lines, with its stops; mending not counted", None) {
            commands.push(Command::Stage(Stage::Round));
        }
    }
    ui.spacing_mut().button_padding.x = padding;
}

/// What a meter would read where least arrives in wet ground; or what is wanted before anything can.
fn far_end(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let power = &session.outcome.power;
    if session.outcome.lines.is_empty() {
        return;
    }
    let wet = GroundState::Wet;
    if let Some(far) = power.far_end(wet) {
        let text = format!("far end {} {}", words::voltage(far.arrived.open_v), words::ground_state(wet));
        let tip = "What a meter reads in wet ground where least arrives; a click shows the place";
        if figure(ui, &text, tip, None) {
            commands.push(Command::Stage(Stage::Power));
            commands.push(Command::ShowPower(wet, session.power_view.measured));
            commands.push(Command::Select(Selection::of(far.station.line.clone())));
            commands.push(Command::ShowPoint(far.station.at));
        }
        return;
    }
    let why = words::sentence(&words::undriven(&power.wiring, session.plan()));
    match power.wiring.energizers.first() {
        None => {
            if figure(ui, "no energizer yet", &format!("{why} A click takes it in hand"), None) {
                commands.push(Command::Stage(Stage::Power));
                commands.push(Command::Take(ToolKind::Set(Point::Energizer)));
            }
        }
        Some(unit) => {
            if figure(ui, "no pulse", &why, None) {
                commands.push(Command::Stage(Stage::Power));
                commands.push(Command::Select(Selection::of(unit.id.clone())));
            }
        }
    }
}

fn weights(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    for (weight, tip) in [
        (Weight::MustFix, "Findings that will fail or are unsafe; a click shows the first"),
        (Weight::LookAt, "Findings that may fail: go and see; a click shows the first"),
    ] {
        let count = session.count(weight);
        let text = format!("{count} {}", words::weight(weight));
        if figure(ui, &text, tip, Some(weight)) {
            let first = session.outcome.findings.iter().position(|finding| finding.weight == weight);
            commands.push(Command::Stage(Stage::Hold));
            if let Some(index) = first {
                let finding = &session.outcome.findings[index];
                commands.push(Command::Select(Selection { finding: Some(index), ..Selection::default() }));
                commands.push(Command::Show(finding.place.clone()));
            }
        }
    }
}

/// One figure of the tally as a quiet button.
fn figure(ui: &mut Ui, text: &str, tip: &str, weight: Option<Weight>) -> bool {
    ui.label(RichText::new("·").color(theme::inks(ui).faint_ink));
    if let Some(weight) = weight {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(16.0), Sense::hover());
        let inks = theme::inks(ui);
        let ink = crate::map::draw::weight_ink(&inks, weight);
        sign(weight_sign(weight)).paint(ui.painter(), rect.center(), 7.5, SignInks { ink, paper: ui.visuals().panel_fill });
    }
    ui.add(egui::Button::new(text).fill(Color32::TRANSPARENT)).on_hover_text(tip).clicked()
}

fn acts(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    use hillwire_core::plan::UnitSystem;
    ui.menu_button("Menu", |ui| {
        let acts = [
            Act::NewPlan,
            Act::Open,
            Act::Save,
            Act::SaveAs,
            Act::Catalogue,
            Act::Welcome,
            Act::Keys,
            Act::LightOrDark,
            Act::LargerText,
            Act::SmallerText,
        ];
        for act in acts {
            act_button(ui, act, commands);
        }
    })
    .response
    .on_hover_text("Open, save, sheets, text size, light or dark");
    let (other, text) = match session.units() {
        UnitSystem::Metric => (UnitSystem::Us, "m"),
        UnitSystem::Us => (UnitSystem::Metric, "ft"),
    };
    let tip = "Units: metric or US customary. A click changes over";
    let button = ui.button(text).on_hover_text(tip);
    button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, "Units"));
    if button.clicked() {
        commands.push(Command::Units(other));
    }
    let undo_tip = session
        .history
        .next_undo()
        .map_or_else(|| "Nothing to take back".to_owned(), |gesture| format!("Undo: {}", words::gesture(gesture)));
    let redo_tip = session
        .history
        .next_redo()
        .map_or_else(|| "Nothing to make again".to_owned(), |gesture| format!("Redo: {}", words::gesture(gesture)));
    for (act, enabled, tip) in [
        (Act::Redo, session.history.next_redo().is_some(), redo_tip),
        (Act::Undo, session.history.next_undo().is_some() || session.draft.is_some(), undo_tip),
        (
            Act::Save,
            session.is_unsaved() || session.home.path.is_none() || ui.ctx().text_edit_focused(),
            Act::Save.row().tip.to_owned(),
        ),
        (Act::Open, true, Act::Open.row().tip.to_owned()),
    ] {
        let button = ui.add_enabled(enabled, egui::Button::new(act.row().text));
        if button.on_hover_text(&tip).on_disabled_hover_text(&tip).clicked() {
            commands.push(Command::Act(act));
        }
    }
}

/// A button with an act's text, key and tip.
pub fn act_button(ui: &mut Ui, act: Act, commands: &mut Vec<Command>) {
    let row = act.row();
    let mut button = egui::Button::new(row.text);
    if let Some(shortcut) = row.shortcut {
        button = button.shortcut_text(key_text(ui.ctx(), &shortcut));
    }
    if ui.add(button).on_hover_text(row.tip).clicked() {
        commands.push(Command::Act(act));
        ui.close();
    }
}
