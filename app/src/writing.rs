//! What the window writes takes the place of no file unasked, and of the plan's own files never.

use crate::command::Command;
use crate::files::{Guard, Over, is_stream};
use crate::session::{Session, Sheet};
use crate::share_view::ShareAsk;
use crate::sheets::question;
use crate::theme::bold;
use crate::words;
use egui::{RichText, Ui};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A file that something would be written over, until somebody has said so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overwriting {
    /// Which.
    pub path: PathBuf,
    /// When it was last changed.
    pub modified: Option<SystemTime>,
}

impl Session {
    /// The files that outlive whatever is written: the open plan's own.
    pub(crate) fn guard(&self) -> Guard {
        Guard::of_plan(self.home.path.as_deref(), &self.plan().head).with(self.land.files.iter().cloned())
    }

    /// Writes a file for somebody else; over another file only once that was answered.
    pub fn share_to(&mut self, path: PathBuf) {
        let trouble = match self.guard().over(&path) {
            _ if !self.has_the_form(&path) => {
                let form = self.share_view.form.unwrap_or_default();
                Some(format!("its name has to end in .{form}, as its form does"))
            }
            Over::Own => Some("this is the open plan itself; give the file another name".to_owned()),
            Over::Input(_) => Some("the open plan needs this file; give the new one another name".to_owned()),
            Over::Another { modified } => {
                self.share_view.over = Some(Overwriting { path, modified });
                self.put_up(Sheet::Over);
                return;
            }
            Over::Nothing => None,
        };
        match trouble {
            Some(trouble) => self.notices.push(format!("{}: {trouble}", path.display())),
            None => self.perform_share(path),
        }
    }

    /// Writes over the file that was asked about.
    pub fn share_over(&mut self) {
        let over = self.share_view.over.take();
        self.close_sheet();
        if let Some(over) = over {
            self.perform_share(over.path);
        }
    }

    fn has_the_form(&self, path: &Path) -> bool {
        let fits = |form: &str| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(form));
        self.share_view.form.is_none_or(fits) || is_stream(path)
    }
}

/// Asks whether a file may be written over.
pub fn show(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(over) = &session.share_view.over else { return commands.push(Command::CloseSheet) };
    let open = question(ui, "There is such a file already", |ui| {
        ui.set_width(460.0);
        let name = over.path.file_name().unwrap_or(over.path.as_os_str()).to_string_lossy();
        ui.label(RichText::new(name).font(bold(15.0)));
        let full = std::path::absolute(&over.path).unwrap_or_else(|_| over.path.clone());
        ui.label(format!("in {}", full.parent().unwrap_or(Path::new("")).display()));
        if let Some(modified) = over.modified {
            ui.label(format!("last changed {}", words::last_changed(modified)));
        }
        ui.add_space(10.0);
        ui.label("What is in it now would be gone.");
        ui.add_space(10.0);
        ui.horizontal(|ui| {
            if ui.button("Leave it as it is").clicked() {
                commands.push(Command::CloseSheet);
            }
            if ui.button("Write over it").clicked() {
                commands.push(Command::Share(ShareAsk::Over));
            }
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}
