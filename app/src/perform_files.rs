//! Opening and saving: what a file would take the place of, and where a plan is kept.

use crate::files::links;
use crate::guide::Guide;
use crate::opening::{OpenedPlan, replaces_the_plan};
use crate::perform::Hands;
use crate::picker::Purpose;
use crate::session::{AfterUnsaved, Session, Sheet};
use hillwire_core::plan::{Edit, Gesture, Head, write_plan};
use std::path::PathBuf;

impl Session {
    /// Opens a file; one that would take the place of a plan that is not saved waits for an answer.
    pub(crate) fn open(&mut self, path: PathBuf, ctx: &egui::Context) {
        if self.is_unsaved() && replaces_the_plan(&path) {
            self.waiting_file = Some(path);
            self.sheet = Some(Sheet::Unsaved(AfterUnsaved::Open));
        } else {
            self.worker.open(path, ctx.input(|input| input.time));
        }
    }

    /// Opens what waited.
    pub(crate) fn open_anyway(&mut self, ctx: &egui::Context) {
        if let Some(path) = self.waiting_file.take() {
            self.worker.open(path, ctx.input(|input| input.time));
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
            Some(path) if !self.home.read_only => self.save_to(path),
            _ => self.ask_where_to_save(hands),
        }
    }

    pub(crate) fn ask_where_to_save(&mut self, hands: &mut Hands<'_>) {
        let name = format!("{}.plan.geojson", self.file_stem());
        hands.picker.ask(Purpose::SavePlan { name }, self.home.path.as_deref(), hands.ctx);
    }

    pub(crate) fn save_to(&mut self, path: PathBuf) {
        let mut untouched = self.history.is_saved();
        match self.home.path.clone() {
            None => self.settle(links::with_paths_beside(&self.plan().head, &path)),
            // Elsewhere it names the same files, and in full: that holds whether or not saving succeeds.
            Some(old) if !links::is_beside(&old, &path) => {
                untouched = false;
                self.settle(links::with_paths_in_full(&self.plan().head, &old));
            }
            Some(_) => {}
        }
        let bytes = match &self.home.original {
            Some(original) if untouched => original.to_vec(),
            _ => write_plan(self.plan()),
        };
        self.worker.save(path, bytes, self.history.plan().clone());
    }

    /// A plan that finds another home names its files so that they are found from there.
    fn settle(&mut self, head: Head) {
        if head != *self.plan().head {
            self.change(Gesture::ChangedPlan, &[Edit::SetHead(Box::new(head))]);
        }
    }

    /// Takes the plan back as a journal holds it, as one step.
    pub(crate) fn bring_back(&mut self, ctx: &egui::Context) {
        let Some(later) = self.left_over.take() else { return };
        if self.opened == 0 {
            // A plan that was never saved: its ground comes with it.
            let grids = later.head.elevation.iter().map(|link| PathBuf::from(&link.file)).collect();
            self.worker.open_plan(OpenedPlan::unsaved(later, grids), ctx.input(|input| input.time));
            return;
        }
        let removed = self.plan().features.iter().map(|feature| Edit::Remove(feature.id.clone()));
        let added = later.features.iter().map(|feature| Edit::Add(Box::new((**feature).clone())));
        let edits: Vec<Edit> = removed.chain([Edit::SetHead(Box::new((*later.head).clone()))]).chain(added).collect();
        self.change(Gesture::ChangedPlan, &edits);
        // A torn line may end the old journal: it is written anew.
        self.journal_served += 1;
        self.fit_wanted = true;
    }
}

/// The elevation grid beside a sample plan has the same name.
fn grid_of_sample(plan: &std::ffi::OsStr) -> String {
    plan.to_string_lossy().replace(".plan.geojson", ".tif")
}
