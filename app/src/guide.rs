//! The first paddock in eight steps on sample ground: each step is done when the plan shows that it is.

use crate::command::{Act, Command};
use crate::session::{Session, Stage};
use crate::theme::{self, bold};
use egui::{Frame, Margin, Panel, RichText, Ui};
use hillwire_core::plan::{Feature, Kind};

/// A step: what to do, and how the plan shows that it is done.
struct Step {
    title: &'static str,
    how: &'static str,
    is_done: fn(&Session) -> bool,
}

/// The guide: at which step it stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Guide {
    step: usize,
}

fn fences(session: &Session) -> impl Iterator<Item = &Feature> {
    session.plan().features.iter().map(AsRef::as_ref).filter(|feature| matches!(feature.kind, Kind::Fence(_)))
}

fn has(session: &Session, kind: fn(&Kind) -> bool) -> bool {
    session.plan().features.iter().any(|feature| kind(&feature.kind))
}

const STEPS: [Step; 8] = [
    Step {
        title: "Read the ground",
        how: "Open the stage Land: steep ground is dark. Look for a gentle place.",
        is_done: |session| session.stage == Stage::Land,
    },
    Step {
        title: "Take the pen",
        how: "Press F, or “Fence line” above the map.",
        is_done: |session| session.draft.is_some() || fences(session).next().is_some(),
    },
    Step {
        title: "Draw around it",
        how: "Click four or five corners, then the first one again: the line closes.",
        is_done: |session| {
            let closed = |line: &[_]| line.len() > 3 && line.first() == line.last();
            session.draft.is_none() && fences(session).any(|feature| feature.line().is_some_and(closed))
        },
    },
    Step {
        title: "Make it a paddock",
        how: "Press P and click inside: it gets an area.",
        is_done: |session| session.outcome.paddocks.iter().any(|paddock| !paddock.ring.is_empty()),
    },
    Step {
        title: "Let somebody in",
        how: "Press G and click the fence where the gate shall be.",
        is_done: |session| has(session, |kind| matches!(kind, Kind::Gate(_))),
    },
    Step {
        title: "See whether it holds",
        how: "Open the stage Hold, select the fence and look at its findings; drag a corner and watch them change.",
        is_done: |session| session.stage == Stage::Hold,
    },
    Step {
        title: "See what it takes",
        how: "Open the stage Order: wire, posts and insulators are counted as you draw.",
        is_done: |session| session.stage == Stage::Order,
    },
    Step {
        title: "Keep it",
        how: "Save the plan under a name of your own.",
        is_done: |session| session.home.path.is_some() && !session.is_unsaved(),
    },
];

/// Draws the guide above the map, and moves on when a step is done.
pub fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(mut guide) = session.guide else { return };
    while guide.step < STEPS.len() && (STEPS[guide.step].is_done)(session) {
        guide.step += 1;
    }
    session.guide = Some(guide);
    let inks = theme::inks(ui);
    let frame = Frame::new().fill(inks.note.gamma_multiply(0.16)).inner_margin(Margin::symmetric(12, 7));
    Panel::top("guide").frame(frame).show(ui, |ui| {
        ui.horizontal(|ui| {
            match STEPS.get(guide.step) {
                Some(step) => {
                    ui.label(RichText::new(format!("{} of {}  {}", guide.step + 1, STEPS.len(), step.title)).font(bold(14.0)));
                    ui.label(step.how);
                }
                None => {
                    ui.label(RichText::new("That is the whole way.").font(bold(14.0)));
                    ui.label("Now your own ground: start a new plan on its elevation grid.");
                    if ui.button("New plan…").clicked() {
                        commands.push(Command::Act(Act::NewPlan));
                    }
                }
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.button("End the guide").clicked() {
                    commands.push(Command::Guide(false));
                }
                if guide.step < STEPS.len() && ui.button("Skip").on_hover_text("Go on without this step").clicked() {
                    session.guide = Some(Guide { step: guide.step + 1 });
                }
            });
        });
    });
}
