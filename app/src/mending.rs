//! Mends: tried on a copy of the plan, shown with what they take and what they leave, then done or left.

use crate::command::Command;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::catalogue::InUse;
use hillwire_core::finding::{Finding, Remedy};
use hillwire_core::land::Ground;
use hillwire_core::mend::{MendChoice, MendReach, Trial, mend, mend_only_here};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{EditError, Gesture, Plan};
use std::sync::Arc;

/// Everything that a trial needs.
pub struct TrialRequest {
    /// The plan.
    pub plan: Plan,
    /// The ground.
    pub ground: Option<Arc<Ground>>,
    /// What follows from the plan now.
    pub before: Arc<Outcome>,
    /// The catalogue's rows in use.
    pub rows: InUse,
    /// What is tried.
    pub choice: MendChoice,
}

/// Tries a mend, for today.
///
/// # Errors
/// When the plan does not take its edits.
pub fn tried(request: &TrialRequest) -> Result<Option<Trial>, EditError> {
    let today = Some(crate::clock::today());
    let ground = request.ground.as_deref();
    Trial::of(request.choice, &request.plan, ground, &request.before, today, request.rows.rows())
}

impl Session {
    /// Has a mend tried, when the consequences shown are those of the plan as it is.
    pub fn try_mend(&mut self, choice: MendChoice) {
        if self.is_settled() {
            let (plan, ground) = (self.plan().clone(), self.land.ground.clone());
            self.worker.request_trial(TrialRequest {
                plan,
                ground,
                before: Arc::clone(&self.outcome),
                rows: self.rows.clone(),
                choice,
            });
        }
    }

    /// Does what was tried.
    pub fn mend(&mut self) {
        let Some(trial) = self.trial.take().filter(|trial| trial.revision == self.history.revision()) else { return };
        let line = self.outcome.findings.get(trial.choice.finding).and_then(|finding| finding.place.line.clone());
        let label = line.and_then(|id| self.plan().feature(&id).map(|feature| feature.label().to_owned()));
        self.selection.finding = None;
        self.change(Gesture::Mended { label: label.unwrap_or_default() }, &trial.edits);
    }
}

/// What can be done about a finding, with a button where the plan can be changed accordingly.
pub fn remedies(ui: &mut Ui, session: &Session, index: usize, finding: &Finding, commands: &mut Vec<Command>) {
    for (remedy_index, remedy) in finding.remedies.iter().enumerate() {
        ui.label(format!("→ {}", words::does(remedy, session.plan(), session.catalogue(), session.units())));
        crate::confirming::button(ui, index, remedy, commands);
        if mend(session.plan(), finding, remedy).is_none() {
            continue;
        }
        let choice = |reach| MendChoice { finding: index, remedy: remedy_index, reach };
        let is_this = |trial: &&Trial| (trial.choice.finding, trial.choice.remedy) == (index, remedy_index);
        match session.trial.as_ref().filter(is_this) {
            Some(trial) => trial_shown(ui, session, (finding, remedy), trial, commands),
            None => {
                let tip = "Try it on the plan: what it takes and what it leaves is shown before anything is changed";
                if named_button(ui, "Mend…", remedy, session).on_hover_text(tip).clicked() {
                    commands.push(Command::TryMend(choice(MendReach::AllOfBuild)));
                }
            }
        }
    }
}

fn trial_shown(
    ui: &mut Ui,
    session: &Session,
    (finding, remedy): (&Finding, &Remedy),
    trial: &Trial,
    commands: &mut Vec<Command>,
) {
    let frame = egui::Frame::new().fill(ui.visuals().extreme_bg_color).corner_radius(4.0).inner_margin(6.0);
    frame.show(ui, |ui| {
        for line in words::ends_and_brings(trial, session.plan(), session.units()) {
            ui.label(line);
        }
        ui.label(RichText::new(words::trial(trial, session.plan(), session.units(), session.catalogue())).small());
        if let Some(shared) = words::shared(trial, session.plan()) {
            ui.label(shared);
        }
        ui.horizontal_wrapped(|ui| {
            let tip = "Change the plan so, in one step that can be undone";
            if trial.is_worse() {
                ui.label(RichText::new("It would make things worse, so it is not offered.").color(theme::inks(ui).must_fix));
            } else if named_button(ui, "Mend", remedy, session).on_hover_text(tip).clicked() {
                commands.push(Command::Mend);
            }
            let reach = trial.choice.reach;
            let can = reach == MendReach::AllOfBuild && mend_only_here(session.plan(), finding, remedy).is_some();
            let tip = "Try it on this line alone: it gets a build of its own, and the other lines stay as they are";
            if can && named_button(ui, "Only here…", remedy, session).on_hover_text(tip).clicked() {
                commands.push(Command::TryMend(MendChoice { reach: MendReach::OnlyHere, ..trial.choice }));
            }
            if ui.small_button("Leave it").on_hover_text("Change nothing").clicked() {
                commands.push(Command::LeaveMend);
            }
        });
        ui.label(RichText::new("Before waste, packs and what is in the shed.").small().color(theme::inks(ui).faint_ink));
    });
}

/// A small button that says to a screen reader what it would do.
fn named_button(ui: &mut Ui, text: &str, remedy: &Remedy, session: &Session) -> egui::Response {
    let response = ui.small_button(text);
    let name = format!("{text}: {}", words::does(remedy, session.plan(), session.catalogue(), session.units()));
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
    response
}
