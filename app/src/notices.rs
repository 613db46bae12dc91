//! What the keeper should read at once: troubles, and files on their way in.

use crate::command::Command;
use crate::keeping::KeepAsk;
use crate::keeping_sheets;
use crate::session::Session;
use crate::theme;
use egui::{Frame, Margin, Panel, ProgressBar, Ui};

/// Progress is shown for what takes longer than this.
const PATIENCE_S: f64 = 0.2;

/// Draws the strip below the tally, when there is something to say.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let inks = theme::inks(ui);
    if !session.notices.is_empty() {
        let frame = Frame::new().fill(inks.look_at.gamma_multiply(0.22)).inner_margin(Margin::symmetric(12, 7));
        Panel::top("notices").frame(frame).show(ui, |ui| {
            ui.horizontal_top(|ui| {
                if ui.button("Put away").clicked() {
                    commands.push(Command::DismissNotices);
                }
                ui.vertical(|ui| {
                    for notice in session.notices.iter().rev().take(4) {
                        ui.label(notice);
                    }
                    if session.notices.len() > 4 {
                        ui.label(format!("and {} more", session.notices.len() - 4));
                    }
                });
            });
        });
    }
    waiting(ui, session, commands);
    let Some(opening) = session.worker.opening() else { return };
    let waited_s = ui.input(|input| input.time) - opening.began_s;
    ui.ctx().request_repaint_after_secs(0.1);
    if waited_s < PATIENCE_S {
        return;
    }
    let frame = Frame::new().fill(ui.visuals().faint_bg_color).inner_margin(Margin::symmetric(12, 6));
    Panel::top("opening").frame(frame).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.label(format!("Reading {}", opening.name));
            ui.add(ProgressBar::new(opening.job.share_done() as f32).desired_width(220.0).show_percentage());
            if ui.button("Stop").clicked() {
                commands.push(Command::CancelOpening);
            }
        });
    });
}

/// What waits for an answer while its sheet is put away.
fn waiting(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let waiting = keeping_sheets::waiting(session);
    if waiting.is_empty() {
        return;
    }
    let frame = Frame::new().fill(ui.visuals().faint_bg_color).inner_margin(Margin::symmetric(12, 6));
    Panel::top("waiting").frame(frame).show(ui, |ui| {
        for (text, sheet) in waiting {
            ui.horizontal(|ui| {
                if ui.button("Look at it…").clicked() {
                    commands.push(Command::Keep(KeepAsk::Show(sheet)));
                }
                ui.label(text);
            });
        }
    });
}
