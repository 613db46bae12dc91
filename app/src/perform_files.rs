//! Opening and saving: what a file would take the place of, and where a plan is kept.

use crate::files::links;
use crate::guide::Guide;
use crate::home::{Home, LookOnly};
use crate::journal::{Keep, LeftOver};
use crate::opening::replaces_the_plan;
use crate::perform::Hands;
use crate::picker::Purpose;
use crate::saving::{Looked, Replaces, SaveEnd, Saved, free_name};
use crate::session::{AfterUnsaved, Session, Sheet};
use hillwire_core::plan::Gesture;
use std::path::{Path, PathBuf};

impl Session {
    /// Opens a file; one that would take the place of a plan that is not saved waits for an answer.
    pub(crate) fn open(&mut self, path: PathBuf, ctx: &egui::Context) {
        if (self.is_unsaved() || self.holds_the_only_copy()) && replaces_the_plan(&path) {
            self.waiting_file = Some(path);
            if self.worker.saves_underway() > 0 {
                self.keeping.after_saving = Some(AfterUnsaved::Open);
            } else {
                self.put_up(Sheet::Unsaved(AfterUnsaved::Open));
            }
        } else {
            self.open_now(path, ctx);
        }
    }

    fn open_now(&mut self, path: PathBuf, ctx: &egui::Context) {
        self.worker.open(path, self.keeps(), ctx.input(|input| input.time));
    }

    /// Saves, and then does what waits for that.
    pub(crate) fn save_then(&mut self, after: AfterUnsaved, hands: &mut Hands<'_>) {
        // Where a name has to be asked for first, what waits is asked for again.
        let has_home = self.home.path.is_some() && self.home.look_only.is_none();
        let waiting = self.waiting_file.take().filter(|_| has_home);
        self.close_sheet();
        self.waiting_file = waiting;
        self.keeping.after_saving = has_home.then_some(after);
        self.save(hands);
    }

    /// Leaves the plan as it is: what is not saved of it is kept aside.
    pub(crate) fn leave_unsaved(&mut self, after: AfterUnsaved, ctx: &egui::Context) {
        let waiting = self.waiting_file.take();
        self.close_sheet();
        match after {
            AfterUnsaved::Close => {
                self.keep_only_copy();
                self.keeping.orders.push(Keep::DiscardOwn);
                self.may_close = true;
            }
            AfterUnsaved::Open => {
                self.keeping.may_go = Some((self.opened, self.history.revision()));
                waiting.into_iter().for_each(|path| self.open_now(path, ctx));
            }
        }
    }

    /// Whether the plan file is gone, or another program has written something into it that is no plan.
    pub fn holds_the_only_copy(&self) -> bool {
        self.home.is_gone || self.keeping.theirs.as_ref().is_some_and(|theirs| theirs.plan.is_err())
    }

    /// Looks, beside the window, whether another program has written the plan file or taken it away. Whether there is a file to look at.
    pub(crate) fn look_at_file(&mut self) -> bool {
        let known = self.keeping.theirs.as_ref().map(|theirs| theirs.mark).or(self.home.mark);
        let file = self.home.path.clone().zip(known);
        let is_asked = file.is_some();
        file.into_iter().for_each(|(path, known)| self.worker.look_at_file(path, known));
        is_asked
    }

    /// The plan file was looked at.
    pub(crate) fn take_looked(&mut self, looked: Looked) {
        if self.home.path.as_ref() == Some(&looked.path) {
            self.home.is_gone = looked.is_gone;
            looked.theirs.into_iter().for_each(|theirs| self.take_changed(theirs));
        }
        if std::mem::take(&mut self.keeping.closes_after_look) {
            self.close_if_kept();
        }
    }

    /// Closes the window where all of the plan is in its file; else the keeper is asked.
    fn close_if_kept(&mut self) {
        if self.is_unsaved() || self.holds_the_only_copy() {
            self.put_up(Sheet::Unsaved(AfterUnsaved::Close));
        } else {
            // What a journal brought back was never saved, so it was undone.
            let is_undone = self.keeping.brought_back.is_some();
            self.keeping.orders.push(if is_undone { Keep::Undone } else { Keep::Saved });
            self.may_close = true;
        }
    }

    /// The window is asked to close. Whether it may at once; else it does later, or somebody is asked.
    pub(crate) fn asked_to_close(&mut self) -> bool {
        if self.may_close {
            return true;
        }
        self.end_draft();
        let is_looking = std::mem::take(&mut self.keeping.closes_after_look);
        if self.worker.saves_underway() > 0 {
            self.keeping.after_saving = Some(AfterUnsaved::Close);
        } else if !is_looking && !self.is_unsaved() && self.look_at_file() {
            self.keeping.closes_after_look = true;
        } else {
            // Whoever asks a second time does not wait for a disk that does not answer.
            self.close_if_kept();
        }
        self.may_close
    }

    /// Where the plan file is gone the journal holds the plan, changed or not.
    pub(crate) fn keep_only_copy(&mut self) {
        if self.holds_the_only_copy()
            && let Some(mut journal) = self.keeping.journal.take()
        {
            journal.follow(self.plan(), self.unsaved_changes().max(1), self.home.path.as_deref());
            self.keeping.journal = Some(journal);
        }
    }

    /// The guide works on the ground of the first sample, on a plan with nothing drawn.
    pub(crate) fn start_guide(&mut self, ctx: &egui::Context) {
        let grid =
            self.samples.first().map(|plan| plan.with_file_name(plan.file_name().map_or_else(String::new, grid_of_sample)));
        if let Some(grid) = grid {
            self.open(grid, ctx);
            self.guide = self.waiting_file.is_none().then(Guide::default);
        }
    }

    pub(crate) fn file_stem(&self) -> String {
        let name = self.plan().head.name.trim();
        let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        if plain.is_empty() { "plan".to_owned() } else { plain.to_lowercase() }
    }

    pub(crate) fn save(&mut self, hands: &mut Hands<'_>) {
        match self.home.path.clone() {
            Some(path) if self.home.look_only.is_none() => self.ask_to_save(path, Replaces::Own(self.home.mark)),
            _ => self.ask_where_to_save(hands),
        }
    }

    pub(crate) fn ask_where_to_save(&mut self, hands: &mut Hands<'_>) {
        let folder = self.offered_folder();
        let name = free_name(&folder, &format!("{}.plan.geojson", self.file_stem()));
        hands.picker.ask(Purpose::SavePlan { name }, Some(&folder.join("plan")), hands.ctx);
    }

    /// Where files of the plan are offered to be written: beside it, else beside its ground, else among the keeper's documents.
    pub(crate) fn offered_folder(&self) -> PathBuf {
        let is_sample = |folder: &Path| self.samples.iter().any(|sample| sample.parent() == Some(folder));
        let beside = |file: &Path| file.parent().filter(|folder| folder.is_absolute()).map(Path::to_path_buf);
        let home = self.home.path.as_deref().and_then(beside);
        let ground = || self.land.files.first().and_then(|file| beside(file)).filter(|folder| !is_sample(folder));
        let documents = || {
            let user = directories::UserDirs::new()?;
            Some(user.document_dir().filter(|folder| folder.is_dir()).unwrap_or_else(|| user.home_dir()).to_owned())
        };
        home.or_else(ground).or_else(documents).or_else(|| std::env::current_dir().ok()).unwrap_or_default()
    }

    /// Saves under a name that was chosen. Unless it is the plan's own, nothing may be there.
    pub(crate) fn save_under(&mut self, path: PathBuf) {
        let mut absolute = std::path::absolute(&path).unwrap_or(path);
        match absolute.extension().map(|ending| ending.to_string_lossy().to_lowercase()).as_deref() {
            Some("geojson" | "json") => {}
            None => absolute.as_mut_os_string().push(".plan.geojson"),
            Some(ending) => {
                let path = absolute.display();
                return self.say(format!(
                    "{path}: found the ending .{ending}; a plan is saved as .geojson or .json. Nothing was saved."
                ));
            }
        }
        let is_own = self.home.path.as_ref() == Some(&absolute) && self.home.look_only.is_none();
        let replaces = if is_own { Replaces::Own(self.home.mark) } else { Replaces::Nothing };
        self.ask_to_save(absolute, replaces);
    }

    /// What is left from before of a plan that has just been opened.
    pub(crate) fn keep_of(&mut self, left: Option<LeftOver>) {
        let keeping = &mut self.keeping;
        (keeping.theirs, keeping.refused, keeping.since, keeping.may_go) = (None, None, None, None);
        keeping.after_saving = None;
        keeping.left_over = None;
        let is_brought_back = self.home.path.is_none() && left.is_some();
        if !is_brought_back {
            self.keeping.brought_back = None;
        }
        let places = self.journal_places();
        if is_brought_back {
            self.keeping.orders.push(Keep::Turned(places, left));
            return;
        }
        self.keeping.orders.push(Keep::Turned(places, None));
        let own = self.home.path.as_deref().map(crate::journal::true_path);
        let wanted = self.keeping.wanted.take().and_then(|place| LeftOver::at(&place, Some(self.plan())));
        self.keeping.left_over = wanted.filter(|wanted| wanted.told.of == own).or(left);
        if self.keeping.left_over.is_some() {
            self.put_up(Sheet::LeftOver);
        }
        if self.home.look_only == Some(LookOnly::OpenElsewhere) {
            self.put_up(Sheet::OpenElsewhere);
        }
    }

    /// Saving has ended.
    pub(crate) fn take_save_end(&mut self, end: SaveEnd) {
        match end {
            SaveEnd::Saved(saved) => self.take_saved(*saved),
            SaveEnd::Refused(request, refusal) => self.ask_about_refusal(*request, refusal),
            SaveEnd::Failed(trouble) => {
                self.keeping.after_saving = None;
                self.say(trouble);
            }
        }
        if self.worker.saves_underway() > 0 {
            return;
        }
        match self.keeping.after_saving.take() {
            None => {}
            Some(after) if self.is_unsaved() => self.put_up(Sheet::Unsaved(after)),
            Some(AfterUnsaved::Close) => self.may_close = true,
            Some(AfterUnsaved::Open) => {
                // Nothing is lost any more: the file takes the plan's place as if it had been asked for now.
                let now_s = 0.0;
                let (path, keeps) = (self.waiting_file.take(), self.keeps());
                path.into_iter().for_each(|path| self.worker.open(path, keeps.clone(), now_s));
            }
        }
    }

    fn take_saved(&mut self, saved: Saved) {
        let is_new_home = self.home.path.as_ref() != Some(&saved.path);
        if is_new_home {
            let from = self.home.path.take();
            let is_same_ground = self.land.links == self.plan().head.elevation;
            self.history.rename(|head| links::named_from(head, from.as_deref(), &saved.path));
            if is_same_ground {
                self.land.links.clone_from(&self.history.plan().head.elevation);
            }
            // What waits is of the plan that was open under the old name, and is offered there again.
            self.keeping.left_over.take_if(|left| !left.is_unsaved);
        } else if let Some(left) = &mut self.keeping.left_over {
            left.told.saved_after = Some(crate::clock::now());
        }
        self.history.mark_saved_as(saved.plan);
        // What could not be written before, the plan or its journal beside it, is written now.
        let written = saved.path.display().to_string();
        self.notices.retain(|notice| !notice.starts_with(&written));
        self.remember(saved.path.clone());
        if is_new_home {
            self.say(format!("Saved: {}", saved.path.display()));
        }
        self.keeping.theirs = None;
        self.home = Home {
            path: Some(saved.path),
            original: None,
            look_only: None,
            mark: Some(saved.mark),
            hold: saved.hold,
            is_gone: false,
        };
        if self.is_unsaved() {
            if is_new_home {
                self.keeping.orders.push(Keep::Moved(self.journal_places()));
            }
            return;
        }
        let is_undone = self.keeping.brought_back.is_some() && self.history.next_redo() == Some(&Gesture::BroughtBack);
        (self.keeping.brought_back, self.keeping.since) = (None, None);
        self.keeping.orders.push(if is_undone { Keep::Undone } else { Keep::Saved });
        if is_new_home {
            self.keeping.orders.push(Keep::Moved(self.journal_places()));
        }
    }
}

/// The elevation grid beside a sample plan has the same name.
fn grid_of_sample(plan: &std::ffi::OsStr) -> String {
    plan.to_string_lossy().replace(".plan.geojson", ".tif")
}
