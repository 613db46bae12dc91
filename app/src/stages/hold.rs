//! The card of the Hold stage: posts by role and how the line is built; and the choices that a selected feature offers.

use crate::card::{fact, facts, heading};
use crate::command::Command;
use crate::session::Session;
use crate::tools::{DRAWN, Drawn, POINTS};
use crate::words;
use egui::{ComboBox, DragValue, Ui};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::PostRole;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Build, Edit, Feature, Fence, Geometry, Gesture, Kind, UnitSystem};
use hillwire_core::units::{FOOT_M, Force, Length, POUND_FORCE_N};
use std::sync::Arc;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let chosen = session.chosen().and_then(|feature| session.line_outcome(&feature.id).map(|line| (feature, line)));
    match chosen {
        Some((feature, line)) => {
            heading(ui, feature.label());
            posts(ui, std::slice::from_ref(line), session.units());
            build_of(ui, session, feature, commands);
        }
        None => {
            heading(ui, "All posts");
            posts(ui, &session.outcome.lines, session.units());
            for build in &session.plan().head.builds {
                ui.add_space(8.0);
                heading(ui, &format!("Build “{}”", build.id));
                ui.push_id(&build.id, |ui| build_editor(ui, session, build, commands));
            }
        }
    }
}

fn posts(ui: &mut Ui, lines: &[Arc<LineOutcome>], units: UnitSystem) {
    facts(ui, "posts", |ui| {
        for role in [PostRole::Line, PostRole::Corner, PostRole::End, PostRole::Gate, PostRole::Dip, PostRole::Rise] {
            let count = lines.iter().map(|line| words::posts_with_role(line, role)).sum::<usize>();
            if count > 0 {
                fact(ui, words::role(role), &count.to_string());
            }
        }
    });
    let mut bays: Vec<f64> =
        lines.iter().flat_map(|line| line.hold.bays.iter().map(|bay| (bay.to - bay.from).as_metres())).collect();
    bays.sort_by(f64::total_cmp);
    if let (Some(shortest), Some(longest)) = (bays.first(), bays.last()) {
        let length = |metres: &f64| words::length(Length::metres(*metres), units);
        ui.label(format!("bays from {} to {}", length(shortest), length(longest)));
    }
}

/// The choices that a feature of its kind offers.
pub fn properties(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    match &feature.kind {
        Kind::Fence(_) => build_of(ui, session, feature, commands),
        Kind::Gate(gate) => {
            let width = gate.width.unwrap_or(Length::metres(3.6));
            if let Some(width) = length_field(ui, "width", width, 0.8..=12.0, session.units()) {
                set_kind(feature, Kind::Gate(hillwire_core::plan::Gate { width: Some(width), ..gate.clone() }), commands);
            }
        }
        Kind::Building { mains } => {
            let mut has = *mains;
            if ui.checkbox(&mut has, "mains electricity").changed() {
                set_kind(feature, Kind::Building { mains: has }, commands);
            }
        }
        Kind::Track(track) => track_choices(ui, feature, track, commands),
        Kind::Other(None) => what_is_it(ui, session, feature, commands),
        _ => {}
    }
}

fn track_choices(ui: &mut Ui, feature: &Feature, track: &hillwire_core::plan::Track, commands: &mut Vec<Command>) {
    let now = track.vehicle.clone().unwrap_or_else(|| "utility".to_owned());
    let choices = [("foot", "on foot only"), ("utility", "a utility vehicle"), ("tractor", "a tractor"), ("none", "nothing")];
    let text = choices.iter().find(|(id, _)| *id == now).map_or(now.as_str(), |(_, text)| text);
    ui.horizontal(|ui| {
        ui.label("usable by");
        ComboBox::from_id_salt("vehicle").selected_text(text).show_ui(ui, |ui| {
            for (id, text) in choices {
                if ui.selectable_label(now == id, text).clicked() {
                    let vehicle = Some(id.to_owned());
                    set_kind(feature, Kind::Track(hillwire_core::plan::Track { vehicle, ..track.clone() }), commands);
                }
            }
        });
    });
}

/// A feature from another program came without a kind: the keeper says what it is.
fn what_is_it(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    ui.label("It came from another file. What is it?");
    let fits = |drawn: &&Drawn| match feature.geometry {
        Geometry::Line(_) => !drawn.is_area(),
        Geometry::Area(_) => drawn.is_area() || **drawn == Drawn::Boundary,
        _ => false,
    };
    ui.horizontal_wrapped(|ui| {
        for drawn in DRAWN.iter().filter(fits) {
            if ui.button(drawn.text()).on_hover_text(drawn.tip()).clicked() {
                set_kind(feature, drawn.kind(session.plan()), commands);
            }
        }
        for point in POINTS.iter().filter(|_| feature.point().is_some()) {
            if ui.button(point.text()).on_hover_text(point.tip()).clicked() {
                set_kind(feature, point.kind(), commands);
            }
        }
    });
}

fn set_kind(feature: &Feature, kind: Kind, commands: &mut Vec<Command>) {
    let word = kind.word().unwrap_or_default().to_owned();
    let edit = Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) };
    commands.push(Command::Change(Gesture::ChangedKind { label: feature.label().to_owned(), kind: word }, vec![edit]));
}

fn build_of(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    let Kind::Fence(fence) = &feature.kind else { return };
    ui.add_space(6.0);
    heading(ui, "Build");
    ComboBox::from_id_salt("build").selected_text(fence.build.as_str()).show_ui(ui, |ui| {
        for build in &session.plan().head.builds {
            if ui.selectable_label(fence.build == build.id, &build.id).clicked() {
                set_kind(feature, Kind::Fence(Fence { build: build.id.clone(), ..fence.clone() }), commands);
            }
        }
    });
    if let Some(build) = session.plan().build(&fence.build) {
        build_editor(ui, session, build, commands);
    }
    corner_card(ui, session, feature, fence, commands);
}

/// The selected corner: its angle, its load, and what the keeper knows of the rock there.
fn corner_card(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    let Some(corner) = session.selection.corner else { return };
    ui.add_space(6.0);
    heading(ui, &format!("Corner {}", corner + 1));
    let line = session.line_outcome(&feature.id);
    let post = line.and_then(|line| {
        let at = line.section.samples.get(*line.section.corners.get(corner)?)?;
        line.hold.posts.iter().find(|post| (post.plan_m - at.plan_m).abs() < 0.05)
    });
    if let Some(post) = post {
        facts(ui, "corner", |ui| {
            if let Some(deflection) = post.deflection_deg {
                fact(ui, "turns by", &words::angle(deflection.abs()));
            }
            fact(ui, "strands pull", &words::force(post.sideways, session.units()));
            if let Some(capacity) = post.capacity {
                fact(ui, "ground holds", &words::force(capacity, session.units()));
            }
        });
    }
    let choice = fence.corners.get(&corner).cloned().unwrap_or_default();
    let mut known = choice.rock_depth.is_some();
    let toggled = ui.checkbox(&mut known, "a bar met rock here").changed();
    let depth = choice.rock_depth.unwrap_or(Length::metres(0.3));
    let typed = if known { length_field(ui, "rock at", depth, 0.05..=2.0, session.units()) } else { None };
    if toggled || typed.is_some() {
        let mut fence = fence.clone();
        let mut choice = choice;
        choice.rock_depth = known.then_some(typed.unwrap_or(depth));
        fence.corners.insert(corner, choice);
        set_kind(feature, Kind::Fence(fence), commands);
    }
}

fn build_editor(ui: &mut Ui, session: &Session, build: &Build, commands: &mut Vec<Command>) {
    let units = session.units();
    let mut changed = build.clone();
    let catalogue = Catalogue::built_in();
    for (index, strand) in build.strands.iter().enumerate() {
        let label = format!("strand {}", index + 1);
        if let Some(height) = length_field(ui, &label, strand.height, 0.05..=2.5, units) {
            changed.strands[index].height = height;
        }
    }
    if let Some(bay) = length_field(ui, "longest bay", build.max_bay, 1.0..=30.0, units) {
        changed.max_bay = bay;
    }
    if let Some(tension) = force_field(ui, "tension", build.tension, units) {
        changed.tension = tension;
    }
    post_choice(ui, "line posts", &mut changed.line_post, catalogue);
    post_choice(ui, "corner posts", &mut changed.corner_post, catalogue);
    if changed != *build {
        let mut head = (*session.plan().head).clone();
        if let Some(slot) = head.builds.iter_mut().find(|known| known.id == build.id) {
            *slot = changed;
        }
        commands.push(Command::Change(Gesture::ChangedBuild { build: build.id.clone() }, vec![Edit::SetHead(Box::new(head))]));
    }
}

fn post_choice(ui: &mut Ui, label: &str, chosen: &mut String, catalogue: &Catalogue) {
    ui.horizontal(|ui| {
        ui.label(label);
        ComboBox::from_id_salt(label).selected_text(words::item(chosen, catalogue)).show_ui(ui, |ui| {
            for row in &catalogue.posts {
                if ui.selectable_label(*chosen == row.id, words::item(&row.id, catalogue)).clicked() {
                    chosen.clone_from(&row.id);
                }
            }
        });
    });
}

/// A length to be changed; the new one when it was.
fn length_field(
    ui: &mut Ui,
    label: &str,
    length: Length,
    metres: std::ops::RangeInclusive<f64>,
    units: UnitSystem,
) -> Option<Length> {
    let (unit_m, suffix) = if units == UnitSystem::Us { (FOOT_M, " ft") } else { (1.0, " m") };
    let range = metres.start() / unit_m..=metres.end() / unit_m;
    number_field(ui, label, length.as_metres() / unit_m, range, 0.01 / unit_m, suffix).map(|value| Length::metres(value * unit_m))
}

fn force_field(ui: &mut Ui, label: &str, force: Force, units: UnitSystem) -> Option<Force> {
    let (unit_n, suffix) = if units == UnitSystem::Us { (POUND_FORCE_N, " lbf") } else { (1.0, " N") };
    number_field(ui, label, force.as_newtons() / unit_n, 20.0 / unit_n..=1500.0 / unit_n, 5.0 / unit_n, suffix)
        .map(|value| Force::newtons(value * unit_n))
}

fn number_field(
    ui: &mut Ui,
    label: &str,
    value: f64,
    range: std::ops::RangeInclusive<f64>,
    speed: f64,
    suffix: &str,
) -> Option<f64> {
    let mut typed = value;
    let mut changed = false;
    ui.horizontal(|ui| {
        let name = ui.label(label);
        let field = DragValue::new(&mut typed).range(range).speed(speed).suffix(suffix).max_decimals(2);
        changed = ui.add(field).labelled_by(name.id).changed();
    });
    changed.then_some(typed)
}
