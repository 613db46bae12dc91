//! Sheets about what is not saved: what a journal holds, a plan file that another program changed, a plan that another window has open, a
//! file that would be replaced, what is kept aside.

use crate::clock::here;
use crate::command::Command;
use crate::journal::{KeptJournal, Told};
use crate::keeping::KeepAsk;
use crate::saving::Refusal;
use crate::session::{AfterUnsaved, Session, Sheet};
use crate::sheets::question;
use crate::theme;
use crate::words;
use egui::{Label, RichText, ScrollArea, Ui};
use std::path::Path;

/// Where what is discarded can be had back.
const KEPT_ASIDE: &str = "What is discarded is kept aside for a week: the welcome sheet has it.";

/// Room for journals in the welcome sheet, points: two of them, and more by scrolling.
const KEPT_HEIGHT: f32 = 84.0;

fn ask(ui: &mut Ui, text: impl Into<egui::WidgetText>, what: KeepAsk, commands: &mut Vec<Command>) {
    if ui.button(text).clicked() {
        commands.push(Command::Keep(what));
    }
}

fn faint(ui: &mut Ui, text: &str) {
    let ink = theme::inks(ui).faint_ink;
    ui.add(Label::new(RichText::new(text).small().color(ink)).wrap());
}

fn close_unless(open: bool, commands: &mut Vec<Command>) {
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn told(told: &Told) -> String {
    words::these_changes(told.changes, told.since.map(here).as_ref(), told.at.map(here).as_ref())
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

/// A journal holds more than was saved.
pub fn left_over(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(left) = &session.keeping.left_over else { return commands.push(Command::CloseSheet) };
    let open = question(ui, "There is more than was saved", |ui| {
        ui.set_width(460.0);
        let name = if left.told.name.is_empty() { "this plan".to_owned() } else { format!("“{}”", left.told.name) };
        let changes = told(&left.told);
        ui.label(if left.was_discarded() {
            format!("What was discarded of {name} is still kept: {changes}.")
        } else {
            format!("The program ended before {name} was saved. The journal holds {changes}.")
        });
        if let Some(saved) = left.told.saved_after.map(here) {
            ui.label(words::saved_after(&saved));
        } else if session.is_unsaved() && !left.is_unsaved {
            ui.label(words::GOES_WITH_IT);
        }
        ui.add_space(2.0);
        faint(ui, &left.place.display().to_string());
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            ask(ui, "Bring it back", KeepAsk::BringBack, commands);
            if left.was_discarded() {
                if ui.button("Leave it").on_hover_text("It stays kept aside until its week is over").clicked() {
                    commands.push(Command::Keep(KeepAsk::LeaveLeftOver));
                }
                return;
            }
            if ui.button("Later").on_hover_text("The journal stays where it is and is offered again").clicked() {
                commands.push(Command::CloseSheet);
            }
            let discard = format!("Discard {}", words::changes(left.told.changes));
            ask(ui, discard, KeepAsk::DiscardLeftOver, commands);
        });
        if !left.was_discarded() {
            ui.add_space(6.0);
            faint(ui, KEPT_ASIDE);
        }
    });
    close_unless(open, commands);
}

/// The plan is not saved, and something would take its place.
pub fn unsaved(ui: &Ui, session: &Session, after: AfterUnsaved, commands: &mut Vec<Command>) {
    let open = question(ui, "This plan is not saved", |ui| {
        ui.set_width(420.0);
        if session.holds_the_only_copy() {
            ui.label("The plan file is gone, or what stands in it is no plan any more: this window holds the only copy.");
        } else {
            ui.label(format!("Not in the plan file: {}.", session.would_go()));
        }
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            if ui.button("Save").clicked() {
                commands.push(Command::SaveThen(after));
            }
            if ui.button("Leave without saving").clicked() {
                commands.push(Command::LeaveUnsaved(after));
            }
            if ui.button("Stay").clicked() {
                commands.push(Command::CloseSheet);
            }
        });
        ui.add_space(6.0);
        if session.keeping.is_nowhere || session.keeping.folder.is_none() {
            ui.label(RichText::new(words::NOTHING_KEEPS_THEM).color(theme::inks(ui).must_fix));
        } else {
            faint(ui, "Left without saving, the changes are kept aside for a week: the welcome sheet has them.");
        }
    });
    close_unless(open, commands);
}

/// Another program has changed the plan file.
pub fn theirs(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(theirs) = &session.keeping.theirs else { return commands.push(Command::CloseSheet) };
    let open = question(ui, "The plan file was changed elsewhere", |ui| {
        ui.set_width(520.0);
        ui.label(format!(
            "Another program or another computer has written {} since it was opened here.",
            file_name(&theirs.path)
        ));
        let mine = if session.history.is_saved() {
            "You have changed nothing since.".to_owned()
        } else {
            format!("Not saved here: {}.", session.would_go())
        };
        ui.label(mine);
        if let Err(trouble) = &theirs.plan {
            ui.add_space(4.0);
            ui.label(format!("What stands there now cannot be read as a plan: {trouble}"));
        }
        ui.add_space(10.0);
        let can_be_read = theirs.plan.is_ok();
        let mut row = |text: &str, tip: &str, ask: KeepAsk, enabled: bool, ui: &mut Ui| {
            ui.horizontal(|ui| {
                if ui.add_enabled(enabled, egui::Button::new(text).min_size(egui::vec2(170.0, 0.0))).clicked() {
                    commands.push(Command::Keep(ask));
                }
                faint(ui, tip);
            });
        };
        row(
            "Look at both",
            "side by side: theirs dashed on the map, both in figures in the card",
            KeepAsk::LookAtBoth,
            can_be_read,
            ui,
        );
        row("Save mine beside it", "under another name; theirs stays as it is", KeepAsk::SaveBeside, true, ui);
        row("Take theirs", "one step, which undo takes back", KeepAsk::TakeTheirs, can_be_read, ui);
        row("Keep mine", "the next save replaces what they wrote", KeepAsk::KeepMine, true, ui);
    });
    close_unless(open, commands);
}

/// A save was refused.
pub fn refused(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some((request, refusal)) = &session.keeping.refused else { return commands.push(Command::CloseSheet) };
    let (title, text) = match refusal {
        Refusal::Protected => (
            "This file is write-protected",
            "It may only be read. Nothing was saved. Replacing it puts a new file in its place, with the same rights.",
        ),
        Refusal::Gone => (
            "The file is no longer there",
            "It was moved, deleted, or its disk was taken out. Nothing was saved. If it is a disk, put it back and save again.",
        ),
        Refusal::Exists | Refusal::Changed(_) => {
            ("There is a file of that name", "Saving would replace it. What is in it would be gone.")
        }
    };
    let open = question(ui, title, |ui| {
        ui.set_width(460.0);
        ui.add(Label::new(RichText::new(request.path.display().to_string()).strong()).wrap());
        ui.label(text);
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            ask(ui, "Save under another name…", KeepAsk::SaveElsewhere, commands);
            let verb = if matches!(refusal, Refusal::Gone) { "Write it anew:" } else { "Replace" };
            ask(ui, format!("{verb} {}", file_name(&request.path)), KeepAsk::Replace, commands);
            if ui.button("Do not save").clicked() {
                commands.push(Command::CloseSheet);
            }
        });
    });
    close_unless(open, commands);
}

/// Another window has the plan open.
pub fn open_elsewhere(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let open = question(ui, "This plan is open in another window", |ui| {
        ui.set_width(460.0);
        let name = session.home.path.as_deref().map_or_else(String::new, file_name);
        ui.label(format!(
            "Only one window writes {name}. Here you can look at it, or work on a copy that you save under another name."
        ));
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            if ui.button("Look at it").clicked() {
                commands.push(Command::CloseSheet);
            }
            ask(ui, "Work on a copy", KeepAsk::WorkOnCopy, commands);
        });
    });
    close_unless(open, commands);
}

/// What waits and what is kept aside, in the welcome sheet.
pub fn kept(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let kept = &session.keeping.kept;
    let is_offered = |kept: &&KeptJournal| session.keeping.left_over.as_ref().is_none_or(|left| left.place != kept.place);
    let own = session.home.path.as_deref().map(crate::journal::true_path);
    let is_own = |kept: &&KeptJournal| own.is_some() && kept.told.of == own && kept.discarded.is_none();
    let (waiting, aside): (Vec<&KeptJournal>, Vec<&KeptJournal>) =
        kept.iter().filter(is_offered).filter(|kept| !is_own(kept)).partition(|kept| kept.discarded.is_none());
    for (title, text, list) in [
        ("Not saved before", "The program ended before these changes were saved:", waiting),
        ("Kept aside", "Changes that were discarded; each goes a week after that:", aside),
    ] {
        if list.is_empty() {
            continue;
        }
        ui.label(RichText::new(title).font(theme::bold(15.0)));
        ui.label(text);
        ScrollArea::vertical().id_salt(title).max_height(KEPT_HEIGHT).show(ui, |ui| {
            list.into_iter().for_each(|one| kept_one(ui, one, commands));
        });
        ui.add_space(10.0);
    }
}

fn kept_one(ui: &mut Ui, one: &KeptJournal, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let name = if one.told.name.is_empty() { "New plan" } else { one.told.name.as_str() };
        let button = ui.button("Look…").on_hover_text(one.place.display().to_string());
        crate::fields::named(&button, &format!("Look at what is kept of {name}"));
        if button.clicked() {
            commands.push(Command::Keep(KeepAsk::TakeBack(one.clone())));
        }
        ui.vertical(|ui| {
            let of = one.told.of.as_deref().map_or_else(|| "never saved".to_owned(), |of| of.display().to_string());
            ui.add(Label::new(format!("{name}: {}", told(&one.told))).truncate());
            ui.add(Label::new(RichText::new(of).small().color(theme::inks(ui).faint_ink)).truncate());
        });
    });
}

/// What waits for an answer while its sheet is not shown: each in one line.
pub fn waiting(session: &Session) -> Vec<(String, Sheet)> {
    let mut all = Vec::new();
    let is_shown = |sheet: Sheet| session.sheet == Some(sheet) || session.sheets_below.contains(&sheet);
    let mut add = |sheet: Sheet, text: Option<String>| all.extend(text.filter(|_| !is_shown(sheet)).map(|text| (text, sheet)));
    let left = session.keeping.left_over.as_ref();
    add(Sheet::LeftOver, left.map(|left| format!("A journal from before holds {}.", told(&left.told))));
    let theirs = session.keeping.theirs.as_ref();
    add(Sheet::Theirs, theirs.map(|theirs| format!("{} was changed elsewhere.", file_name(&theirs.path))));
    let written = session.log_view.written.as_ref();
    add(Sheet::Written, written.map(|_| "What was written on a round waits to be taken in.".to_owned()));
    add(Sheet::Incoming, session.incoming.as_ref().map(|_| "What came from another program waits to be taken in.".to_owned()));
    add(Sheet::Prices, session.order_view.quote.as_ref().map(|_| "Prices that came back wait to be taken.".to_owned()));
    all
}
