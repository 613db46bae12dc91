//! The stages of the job down the left side, and what the card offers in each of them.

mod build;
mod corner;
mod drawn_by;
mod energizer;
mod growth;
mod held;
pub mod hold;
pub mod land;
mod lay;
mod leads;
pub mod line;
mod netting;
mod observed;
pub mod order;
mod order_item;
mod paddock;
mod post;
pub mod power;
mod pulse;
mod reach;
pub mod round;
mod round_log;
mod season;
pub mod share;
mod spot;
mod springs;
mod stock;
mod tree;
mod voltage;
mod zone;

use crate::command::Command;
use crate::fields::Grip;
use crate::map::draw::{weight_ink, weight_sign};
use crate::map::signs::{SignInks, sign};
use crate::session::{Session, Stage};
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{Button, CollapsingHeader, RichText, Ui, vec2};
use hillwire_core::finding::{Rule, Weight};
use hillwire_core::plan::{Edit, Feature, Gesture, Kind};

/// Draws the list of stages. A mark shows where findings wait.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    ui.with_layout(egui::Layout::top_down_justified(egui::Align::Min), |ui| {
        for stage in Stage::ALL {
            let chosen = session.stage == stage;
            let text = RichText::new(stage.text()).size(15.0);
            let button = Button::selectable(chosen, text).min_size(vec2(0.0, 34.0));
            let response = ui.add(button).on_hover_text(stage.question());
            if let Some(weight) = worst(session, stage) {
                let inks = theme::inks(ui);
                let at = response.rect.right_center() - vec2(11.0, 0.0);
                let paper = ui.visuals().panel_fill;
                sign(weight_sign(weight)).paint(ui.painter(), at, 6.0, SignInks { ink: weight_ink(&inks, weight), paper });
            }
            if response.clicked() {
                commands.push(Command::Stage(stage));
            }
        }
    });
}

/// The stage that a rule's findings belong to.
pub fn stage_of(rule: Rule) -> Stage {
    match rule {
        Rule::GridCoarse | Rule::GridEdge | Rule::GridUnknown | Rule::Access | Rule::Sight | Rule::TrackGrade => Stage::Land,
        Rule::CornerLoad
        | Rule::PostBending
        | Rule::PostShort
        | Rule::Unbraced
        | Rule::Crooked
        | Rule::Uplift
        | Rule::ColdWire
        | Rule::Tension
        | Rule::RootedSoil
        | Rule::CrossSlope
        | Rule::Slope
        | Rule::Shade
        | Rule::Dip
        | Rule::Rise
        | Rule::Water
        | Rule::AreaPerHead
        | Rule::Outgrown => Stage::Hold,
        Rule::FarEnd
        | Rule::Earth
        | Rule::LeadOut
        | Rule::EnergizerLimit
        | Rule::EnergizerSize
        | Rule::Unfed
        | Rule::TwoEnergizers
        | Rule::EarthDistance => Stage::Power,
        _ => Stage::Line,
    }
}

/// The edit that makes a feature's kind this one, and what it is called.
fn kind_change(feature: &Feature, kind: Kind) -> (Gesture, Edit) {
    let word = kind.word().unwrap_or_default().to_owned();
    let gesture = Gesture::ChangedKind { label: feature.label().to_owned(), kind: word };
    (gesture, Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) })
}

/// Says what a feature is, or changes the properties of its kind, in one step.
fn set_kind(feature: &Feature, kind: Kind, commands: &mut Vec<Command>) {
    let (gesture, edit) = kind_change(feature, kind);
    commands.push(Command::Change(gesture, vec![edit]));
}

/// Changes the properties of a feature's kind: at once, or while the pointer holds a field.
fn change_kind(grip: Grip, feature: &Feature, kind: Option<Kind>, commands: &mut Vec<Command>) {
    let (gesture, _) = kind_change(feature, feature.kind.clone());
    grip.ask(gesture, kind.map(|kind| vec![kind_change(feature, kind).1]), commands);
}

/// How many cautions stand open; those that follow are folded away under them.
const OPEN: usize = 2;

/// Cautions beside the work that they concern, the worst first.
pub fn cautions(ui: &mut Ui, place: Place) {
    ui.add_space(8.0);
    ui.label(RichText::new("Before you work on it").font(theme::bold(12.0)).color(theme::inks(ui).must_fix));
    let all: Vec<&str> = words::cautions::at(place).collect();
    let (open, folded) = all.split_at(if all.len() > OPEN + 1 { OPEN } else { all.len() });
    open.iter().for_each(|says| caution(ui, says));
    if !folded.is_empty() {
        let heading = RichText::new(format!("What else to mind ({})", folded.len())).small().color(theme::inks(ui).must_fix);
        CollapsingHeader::new(heading).id_salt(("cautions", place)).show(ui, |ui| {
            folded.iter().for_each(|says| caution(ui, says));
        });
    }
}

/// The cautions of a place that has one or two, without a heading.
pub fn small_cautions(ui: &mut Ui, place: Place) {
    words::cautions::at(place).for_each(|says| caution(ui, says));
}

fn caution(ui: &mut Ui, says: &str) {
    ui.label(RichText::new(says).small().color(theme::inks(ui).must_fix));
}

fn worst(session: &Session, stage: Stage) -> Option<Weight> {
    let findings = session.outcome.findings.iter().filter(|finding| stage_of(finding.rule) == stage);
    findings.map(|finding| finding.weight).filter(|weight| *weight != Weight::Note).min()
}
