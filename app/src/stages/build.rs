//! Builds: the strands of a line, its posts, bays and tension; made from an animal of the catalogue, copied, renamed, removed.

use super::{netting, set_kind, springs};
use crate::card::heading;
use crate::command::{Act, Command};
use crate::fields::{Grip, Unit, choice, choice_shown_as, force, length, number, row, rows, small_button, text, tick};
use crate::session::Session;
use crate::starter;
use crate::theme;
use crate::words;
use egui::{CollapsingHeader, RichText, Ui};
use hillwire_core::bounds::STRANDS;
use hillwire_core::catalogue::{Catalogue, Purpose, WireRow};
use hillwire_core::hold::{SAFETY_FACTOR, SAFETY_FACTOR_PERMANENT};
use hillwire_core::plan::{Build, Edit, Feature, Fence, Gesture, Head, Kind, Plan, Strand, UnitSystem};
use hillwire_core::units::Length;

/// How far strands are fixed off their height at a post to follow the ground, at most, metres (common practice, no source).
const MOST_DRILL_M: f64 = 0.05;
/// A new strand goes this far above the top one, metres (common practice, no source).
const STRAND_STEP_M: (f64, f64) = (0.15, 0.20);
/// The highest strand, metres.
const HIGHEST_M: f64 = 2.5;
/// Strands keep this far apart, metres.
const APART_M: f64 = 0.02;
const LIVE: &str =
    "Ticked: the strand carries the pulse. Unticked: earth-return, it leads back to the earth rods, for dry or stony ground";

/// The build of a line: which one, and what it is.
pub fn of_line(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    ui.add_space(6.0);
    heading(ui, "Build");
    let builds = &session.plan().head.builds;
    ui.horizontal(|ui| {
        let ids = builds.iter().map(|build| (build.id.as_str(), build.id.as_str()));
        if let Some(build) = choice(ui, "build of this line", 150.0, &fence.build, ids) {
            set_kind(feature, Kind::Fence(Fence { build, ..fence.clone() }), commands);
        }
        start_from(ui, session, Some((feature, fence)), commands);
    });
    match session.plan().build(&fence.build) {
        Some(build) => {
            ui.push_id(&build.id, |ui| editor(ui, session, build, Some((feature, fence)), commands));
        }
        None => {
            ui.label("This line has no build yet: choose one, or start from an animal. Until then nothing is worked out for it.");
        }
    }
}

/// All builds of the plan.
pub fn overview(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.add_space(8.0);
    heading(ui, "Builds");
    if session.plan().head.builds.is_empty() {
        ui.label("A build says how a line is made: its strands, posts and tension. Start from the animal it shall hold.");
    }
    for build in &session.plan().head.builds {
        let title = format!("{}  ·  {}", build.id, used_by(session.plan(), &build.id));
        let header = CollapsingHeader::new(title).id_salt(("build", &build.id));
        header.show_unindented(ui, |ui| editor(ui, session, build, None, commands));
    }
    ui.horizontal(|ui| {
        start_from(ui, session, None, commands);
        if ui.button("Catalogue…").on_hover_text(Act::Catalogue.row().tip).clicked() {
            commands.push(Command::Act(Act::Catalogue));
        }
    });
}

fn uses(plan: &Plan, build: &str) -> usize {
    plan.features.iter().filter(|feature| matches!(&feature.kind, Kind::Fence(fence) if fence.build == build)).count()
}

fn used_by(plan: &Plan, build: &str) -> String {
    match uses(plan, build) {
        0 => "not used".to_owned(),
        1 => "1 line".to_owned(),
        count => format!("{count} lines"),
    }
}

/// A list of animals to start a new build from. With a line selected, the line takes it.
fn start_from(ui: &mut Ui, session: &Session, line: Option<(&Feature, &Fence)>, commands: &mut Vec<Command>) {
    let tip = if line.is_some() {
        "A new build for this line, with the strands that usually hold the animal"
    } else {
        "A new build, with the strands that usually hold the animal"
    };
    let menu = ui.menu_button("New build from…", |ui| {
        // A row for each animal, so that the list fits a small window.
        egui::Grid::new("animals to start from").spacing([12.0, 2.0]).show(ui, |ui| {
            for animal in &session.catalogue().animals {
                for row in &animal.barriers {
                    let where_ = if row.purpose == Purpose::Interior { "" } else { ", at a boundary" };
                    if ui.button(format!("{}{where_}", animal.label)).clicked() {
                        add(session, starter::build_for(animal, row.purpose, session.catalogue()), line, commands);
                        ui.close();
                    }
                }
                ui.end_row();
            }
        });
    });
    menu.response.on_hover_text(tip);
}

/// Adds a build under a name that no other has, and gives it to the line.
fn add(session: &Session, mut build: Build, line: Option<(&Feature, &Fence)>, commands: &mut Vec<Command>) {
    let wanted = build.id.clone();
    let mut number = 2;
    while session.plan().build(&build.id).is_some() {
        build.id = format!("{wanted} {number}");
        number += 1;
    }
    let mut head = (*session.plan().head).clone();
    let id = build.id.clone();
    head.builds.push(build);
    let mut edits = vec![Edit::SetHead(Box::new(head))];
    edits.extend(line.map(|(feature, fence)| takes(feature, fence, &id)));
    commands.push(Command::Change(Gesture::AddedBuild { build: id }, edits));
}

fn takes(feature: &Feature, fence: &Fence, build: &str) -> Edit {
    let kind = Kind::Fence(Fence { build: build.to_owned(), ..fence.clone() });
    Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) }
}

fn editor(ui: &mut Ui, session: &Session, build: &Build, line: Option<(&Feature, &Fence)>, commands: &mut Vec<Command>) {
    name_row(ui, session, build, line, commands);
    let units = session.units();
    let mut changed = build.clone();
    let mut grip = Grip::default();
    match changed.net.is_some() {
        true => netting::editor(ui, &mut grip, &mut changed, (units, session.catalogue())),
        false => strands(ui, &mut grip, &mut changed, (units, session.catalogue()), commands),
    }
    ui.add_space(2.0);
    let post_width = (ui.available_width() - 140.0).clamp(110.0, 220.0);
    rows(ui, "build", |ui| {
        posts(ui, &mut changed, (post_width, session.catalogue()), commands);
        row(ui, "longest bay", "The farthest that two neighbouring posts may stand apart", |ui| {
            let unit = Unit::length(units);
            if let Some(bay) = length(ui, &mut grip, "longest bay", unit, changed.max_bay, 1.0..=30.0) {
                changed.max_bay = bay;
            }
        });
        tension(ui, &mut grip, &mut changed, (units, session.catalogue()));
        purpose(ui, &mut grip, &mut changed, units);
    });
    let edits = (changed != *build).then(|| {
        let mut head = (*session.plan().head).clone();
        if let Some(slot) = head.builds.iter_mut().find(|known| known.id == build.id) {
            *slot = changed;
        }
        vec![Edit::SetHead(Box::new(head))]
    });
    grip.ask(Gesture::ChangedBuild { build: build.id.clone() }, edits, commands);
}

/// The build's name to be typed over, a copy of it, and its end.
fn name_row(ui: &mut Ui, session: &Session, build: &Build, line: Option<(&Feature, &Fence)>, commands: &mut Vec<Command>) {
    let plan = session.plan();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let refuse = |name: &str| refused(&plan.head, name);
        ui.label(RichText::new("name").color(theme::inks(ui).faint_ink)).on_hover_text("What you call this build");
        if let Some(name) = text(ui, "name of the build", 110.0, &build.id, "name of the build", refuse) {
            commands.push(renamed(plan, build, &name));
        }
        let tip = if line.is_some() {
            "A build of its own for this line, with the same values: changing it leaves other lines alone"
        } else {
            "Another build with the same values"
        };
        if ui.button("Copy").on_hover_text(tip).clicked() {
            add(session, Build { id: format!("{} copy", build.id), ..build.clone() }, line, commands);
        }
        let unused = uses(plan, &build.id) == 0;
        let button = ui.add_enabled(unused, egui::Button::new("Delete"));
        let button = button.on_hover_text("Take this build out of the plan; no line uses it");
        let in_use = format!("{} with this build: give it another one first", used_by(plan, &build.id));
        if button.on_disabled_hover_text(in_use).clicked() {
            let mut head = (*plan.head).clone();
            head.builds.retain(|known| known.id != build.id);
            let gesture = Gesture::RemovedBuild { build: build.id.clone() };
            commands.push(Command::Change(gesture, vec![Edit::SetHead(Box::new(head))]));
        }
    });
}

fn refused(head: &Head, name: &str) -> Option<String> {
    if name.is_empty() {
        Some("A build needs a name.".to_owned())
    } else if head.builds.iter().any(|build| build.id == name) {
        Some("Another build is called that.".to_owned())
    } else {
        None
    }
}

/// Lines that use the build follow its new name.
fn renamed(plan: &Plan, build: &Build, name: &str) -> Command {
    let mut head = (*plan.head).clone();
    if let Some(slot) = head.builds.iter_mut().find(|known| known.id == build.id) {
        name.clone_into(&mut slot.id);
    }
    let lines = plan.features.iter().filter_map(|feature| match &feature.kind {
        Kind::Fence(fence) if fence.build == build.id => Some(takes(feature, fence, name)),
        _ => None,
    });
    let edits = [Edit::SetHead(Box::new(head))].into_iter().chain(lines).collect();
    Command::Change(Gesture::Renamed { from: build.id.clone(), to: name.to_owned() }, edits)
}

/// The strands as a small table, the lowest first.
fn strands(
    ui: &mut Ui,
    grip: &mut Grip,
    build: &mut Build,
    (units, catalogue): (UnitSystem, &Catalogue),
    commands: &mut Vec<Command>,
) {
    let heights: Vec<f64> = build.strands.iter().map(|strand| strand.height.as_metres()).collect();
    let wire_width = (ui.available_width() - 152.0).clamp(90.0, 220.0);
    let mut removed = None;
    egui::Grid::new("strands").num_columns(5).spacing([6.0, 3.0]).min_col_width(8.0).show(ui, |ui| {
        ui.label("");
        column(ui, "height", "Height above the ground at the posts. The lowest strand stands first");
        ui.horizontal(|ui| {
            column(ui, "wire", "A strand is one wire of the line: what it is made of");
            let wire = build.strands.first().map_or("", |strand| &strand.wire);
            explain(ui, catalogue.label(wire), "What is known about this wire", commands);
        });
        column(ui, "live", LIVE);
        ui.end_row();
        for (index, strand) in build.strands.iter_mut().enumerate() {
            let below = if index > 0 { heights[index - 1] + APART_M } else { 0.05 };
            let above = heights.get(index + 1).map_or(HIGHEST_M, |above| above - APART_M).max(below);
            let row = StrandRow { index, metres: (below, above), wire_width, units, catalogue };
            strand_row(ui, grip, strand, &row);
            let name = format!("Remove strand {}", index + 1);
            if heights.len() > 1 && small_button(ui, "−", &name, "Take this strand off") {
                removed = Some(index);
            }
            ui.end_row();
        }
    });
    if let Some(index) = removed {
        build.strands.remove(index);
    }
    let tip = "One more strand above the top one, of the same wire";
    ui.horizontal(|ui| {
        let add = ui.add_enabled(build.strands.len() < STRANDS, egui::Button::new("Add strand"));
        if add.on_hover_text(tip).clicked() {
            add_strand(build);
        }
        netting::instead(ui, build, catalogue);
    });
}

fn column(ui: &mut Ui, text: &str, tip: &str) {
    ui.label(RichText::new(text).small().color(theme::inks(ui).faint_ink)).on_hover_text(tip);
}

/// What a row of the strands' table needs to know.
struct StrandRow<'a> {
    index: usize,
    /// Between the neighbours.
    metres: (f64, f64),
    wire_width: f32,
    units: UnitSystem,
    catalogue: &'a Catalogue,
}

fn strand_row(ui: &mut Ui, grip: &mut Grip, strand: &mut Strand, row: &StrandRow) {
    let name = |what: &str| format!("strand {} {what}", row.index + 1);
    ui.label(format!("{}", row.index + 1));
    let metres = row.metres.0..=row.metres.1;
    if let Some(height) = length(ui, grip, &name("height"), Unit::height(row.units), strand.height, metres) {
        // A band of its own moves with its strand.
        let by = height - strand.height;
        strand.band = strand.band.map(|(low, high)| ((low + by).max(Length::ZERO), high + by));
        strand.height = height;
    }
    let wires = row.catalogue.wires.iter().map(|row| (row.id.as_str(), row.label.as_str()));
    let label = row.catalogue.wire(&strand.wire).map_or(strand.wire.as_str(), |wire| &wire.label);
    let short = RichText::new(words::wire_in_short(label)).small();
    if let Some(wire) = choice_shown_as(ui, &name("wire"), row.wire_width, (&strand.wire, short), wires) {
        strand.wire = wire;
    }
    tick(ui, &name("live"), &mut strand.live, LIVE);
}

/// A way from a row of the catalogue to its numbers and their source.
fn explain(ui: &mut Ui, label: Option<&str>, name: &str, commands: &mut Vec<Command>) {
    if small_button(ui, "?", name, "Its numbers, and where they come from") {
        commands.push(Command::ShowCatalogue(label.unwrap_or_default().to_owned()));
    }
}

pub(super) fn add_strand(build: &mut Build) {
    let top = build.strands.last();
    let below = build.strands.iter().rev().nth(1);
    let gap_m = top.zip(below).map_or(STRAND_STEP_M.1, |(top, below)| (top.height - below.height).as_metres());
    let step = Length::metres(gap_m.clamp(STRAND_STEP_M.0, STRAND_STEP_M.1));
    let height = top.map_or(step, |top| top.height + step).min(Length::metres(HIGHEST_M));
    let wire = top.map_or(starter::USUAL_WIRE, |top| &top.wire).to_owned();
    build.strands.push(Strand::live(height, &wire));
}

fn posts(ui: &mut Ui, build: &mut Build, (width, catalogue): (f32, &Catalogue), commands: &mut Vec<Command>) {
    let all = || catalogue.posts.iter().map(|row| (row.id.as_str(), row.label.as_str()));
    for (what, tip, post) in [
        ("line posts", "Posts that hold the strands at their height", &mut build.line_post),
        ("corner posts", "Corner, end and gate posts: they take the strain", &mut build.corner_post),
    ] {
        row(ui, what, tip, |ui| {
            if let Some(chosen) = choice(ui, what, width, post, all()) {
                *post = chosen;
            }
            explain(ui, catalogue.label(post), &format!("What is known about the {what}"), commands);
        });
    }
}

fn tension(ui: &mut Ui, grip: &mut Grip, build: &mut Build, (units, catalogue): (UnitSystem, &Catalogue)) {
    let tip = "The pull in each strand as you set it, on the day you tension it";
    row(ui, "tension", tip, |ui| {
        if let Some(tension) = force(ui, grip, "tension as set", Unit::force(units), build.tension, 20.0..=2500.0) {
            build.tension = tension;
        }
        if let Some(usual) = usual_tension(build, units, catalogue) {
            ui.label(RichText::new(usual).color(theme::inks(ui).faint_ink)).on_hover_text("What the wire is usually set to");
        }
    });
    springs::rows_of(ui, grip, build, units);
}

/// What the strands' wires are usually set to.
fn usual_tension(build: &Build, units: UnitSystem, catalogue: &Catalogue) -> Option<String> {
    let wires = build.strands.iter().filter_map(|strand| catalogue.wire(&strand.wire));
    let mut usual: Vec<&WireRow> = wires.collect();
    usual.sort_by(|a, b| a.tension.as_newtons().total_cmp(&b.tension.as_newtons()));
    let (least, most) = (usual.first()?.tension, usual.last()?.tension);
    Some(if least == most {
        format!("usual {}", words::force(least, units))
    } else {
        // Room is short beside the field: its tip says that this is usual.
        format!("{} to {}", words::force(least, units), words::force(most, units))
    })
}

/// What holding down a post usually costs, in posts (common practice).
const USUAL_HOLD_DOWN_COST: f64 = 1.5;

fn purpose(ui: &mut Ui, grip: &mut Grip, build: &mut Build, units: UnitSystem) {
    let tip = "Fix strands a little higher or lower at single posts, so that they follow the ground between fewer posts";
    row(ui, "follows ground", tip, |ui| {
        let mut drills = build.drill > Length::ZERO;
        if tick(ui, "follow the ground at posts", &mut drills, tip) {
            build.drill = if drills { Length::metres(MOST_DRILL_M) } else { Length::ZERO };
        }
        if build.drill > Length::ZERO {
            ui.label("up to");
            let range = 0.01..=MOST_DRILL_M.max(build.drill.as_metres());
            if let Some(drill) = length(ui, grip, "strands moved at posts by up to", Unit::height(units), build.drill, range) {
                build.drill = drill;
            }
        }
    });
    let tip = format!(
        "Ticked: posts must hold {SAFETY_FACTOR_PERMANENT} times the pull. Unticked: it is moved again within a season or two, and \
         {SAFETY_FACTOR} times is enough"
    );
    row(ui, "stands for good", &tip, |ui| {
        tick(ui, "stands for good", &mut build.permanent, &tip);
    });
    hold_downs(ui, grip, build);
}

/// Where lifted posts cost more than posts, more posts are planned instead.
fn hold_downs(ui: &mut Ui, grip: &mut Grip, build: &mut Build) {
    let tip = "Ticked: posts go where they and the hold-downs of lifted ones together cost least. Strands that follow the ground at posts go first";
    row(ui, "hold-downs", tip, |ui| {
        let mut priced = build.hold_down_cost.is_some();
        if tick(ui, "weigh hold-downs", &mut priced, tip) {
            build.hold_down_cost = priced.then_some(USUAL_HOLD_DOWN_COST);
        }
        if let Some(cost) = build.hold_down_cost {
            if let Some(cost) = number(ui, grip, "what a hold-down costs, in posts", Unit::plain(), cost, 0.0..=20.0) {
                build.hold_down_cost = Some(cost);
            }
            ui.label("posts each");
        }
    });
}
