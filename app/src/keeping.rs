//! What the window knows of what is not saved: journals from before, what was discarded and is kept aside, the plan file as another program
//! left it, and a save that waits for an answer.

use crate::clock::here;
use crate::files::links;
use crate::home::{Home, LookOnly};
use crate::journal::{Journal, Keep, KeptJournal, LeftOver, Places, Report, Told};
use crate::opening::OpenedPlan;
use crate::perform::Hands;
use crate::recent;
use crate::saving::{Refusal, Replaces, SaveRequest, Theirs, free_name};
use crate::session::{Session, Sheet};
use crate::words;
use crate::worker::{Keeps, Pace};
use hillwire_core::plan::{Edit, Gesture, Head, Plan};
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What the window knows of what is not saved.
#[derive(Default)]
pub struct Keeping {
    /// The journal of the plan that is open; without it none is kept.
    pub journal: Option<Journal>,
    /// The plan and the revision that it was told of last.
    followed: Option<(u64, u64)>,
    /// How many corners of the line under the pen the journal has followed; `None` while none is drawn.
    followed_draft: Option<usize>,
    /// Where journals stand that cannot stand beside their plan; without it nothing is locked and nothing kept aside.
    pub folder: Option<PathBuf>,
    /// Changes from before that were not saved, until the keeper has said what becomes of them.
    pub left_over: Option<LeftOver>,
    /// What becomes of the journal, in order, until the window has told it.
    pub orders: Vec<Keep>,
    /// Journals that wait, or are kept aside.
    pub kept: Vec<KeptJournal>,
    /// Plans that were open before and whose files are gone: their journals may still wait.
    pub gone: Vec<PathBuf>,
    /// The plan file as another program left it, until the keeper has said what becomes of it.
    pub theirs: Option<Theirs>,
    /// A save that was refused, until the keeper has said more.
    pub refused: Option<(SaveRequest, Refusal)>,
    /// Changes that a journal brought back and that are not saved yet.
    pub brought_back: Option<Told>,
    /// A journal to be looked at once its plan is open.
    pub(crate) wanted: Option<PathBuf>,
    /// What waits for a save that was refused, should it be made all the same.
    pub(crate) refused_before: Option<crate::session::AfterUnsaved>,
    /// Whether the journal could be written nowhere when it was tried last: what is not saved is in memory only.
    pub is_nowhere: bool,
    /// When the first change was made that is not saved.
    pub since: Option<Timestamp>,
    /// What was open, at which revision, when the keeper let another file take its place.
    pub(crate) may_go: Option<(u64, u64)>,
    /// The window closes once the plan file was looked at.
    pub(crate) closes_after_look: bool,
    /// The window closes, or another file is opened, once what is being saved is on the disk.
    pub(crate) after_saving: Option<crate::session::AfterUnsaved>,
}

/// What can be said about what is not saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeepAsk {
    /// Show again what waits for an answer.
    Show(Sheet),
    /// Bring back what a journal holds.
    BringBack,
    /// What a journal holds is not wanted.
    DiscardLeftOver,
    /// What is kept aside stays so.
    LeaveLeftOver,
    /// Have a journal that is kept aside offered again.
    TakeBack(KeptJournal),
    /// Replace what stands under the name.
    Replace,
    /// Save under another name.
    SaveElsewhere,
    /// The next save replaces what another program wrote.
    KeepMine,
    /// Take the plan as another program left it.
    TakeTheirs,
    /// Save the plan beside what another program wrote.
    SaveBeside,
    /// Look at both side by side.
    LookAtBoth,
    /// Go on with a copy that is kept nowhere yet.
    WorkOnCopy,
}

impl Session {
    /// What opening a file needs to know.
    pub(crate) fn keeps(&self) -> Keeps {
        Keeps { folder: self.keeping.folder.clone(), hold: self.home.hold.clone() }
    }

    /// Where the journal of the plan that is open may stand.
    pub(crate) fn journal_places(&self) -> Places {
        let folder = self.keeping.folder.clone();
        match self.home.path.as_deref() {
            Some(path) if self.home.look_only == Some(LookOnly::OpenElsewhere) => Places::of_plan_held_elsewhere(path, folder),
            Some(path) => Places::of_plan(path, folder),
            None => Places::of_unsaved(folder),
        }
    }

    /// How many changes are not in the plan file.
    pub fn unsaved_changes(&self) -> u64 {
        let before = self.keeping.brought_back.as_ref().map_or(0, |told| told.changes);
        match self.history.unsaved_steps() as u64 {
            steps if self.home.path.is_none() => before + steps,
            // What was brought back is one step, and stands for all of its changes.
            steps if before > 0 && steps > 0 => before + steps - 1,
            steps => steps,
        }
    }

    /// What would go if the plan were left without saving.
    pub fn would_go(&self) -> String {
        let since = self.keeping.brought_back.as_ref().and_then(|told| told.since).or(self.keeping.since);
        words::changes_since(self.unsaved_changes().max(1), since.map(here).as_ref())
    }

    /// Does what was said about what is not saved.
    pub(crate) fn perform_keeping(&mut self, ask: KeepAsk, hands: &mut Hands<'_>) {
        match ask {
            KeepAsk::Show(sheet) => self.put_up(sheet),
            KeepAsk::BringBack => self.bring_back(hands.ctx),
            KeepAsk::DiscardLeftOver => {
                if let Some(left) = self.keeping.left_over.take() {
                    self.keeping.orders.push(Keep::Discard(left));
                }
                self.close_sheet();
            }
            KeepAsk::LeaveLeftOver => {
                self.keeping.left_over = None;
                self.close_sheet();
            }
            KeepAsk::TakeBack(kept) => self.take_back(&kept, hands),
            KeepAsk::Replace => self.replace(),
            KeepAsk::SaveElsewhere => {
                self.close_sheet();
                self.ask_where_to_save(hands);
            }
            KeepAsk::KeepMine => self.keep_mine(),
            KeepAsk::TakeTheirs => self.take_theirs(),
            KeepAsk::SaveBeside => self.save_beside(),
            KeepAsk::LookAtBoth => {
                if let Some(theirs) = &self.keeping.theirs {
                    let path = theirs.path.clone();
                    self.perform_layout(crate::layouts::LayoutAsk::ComparePlan(path));
                }
                self.close_sheet();
            }
            KeepAsk::WorkOnCopy => self.work_on_copy(),
        }
    }

    /// Takes the plan back as a journal holds it: as one step, or, when it was never saved, as a plan of its own with its ground.
    fn bring_back(&mut self, ctx: &egui::Context) {
        let Some(left) = self.keeping.left_over.take() else { return };
        if left.is_unsaved && self.is_unsaved() {
            self.say("Save this plan first: what is brought back takes its place.".to_owned());
            self.keeping.left_over = Some(left);
        } else if left.is_unsaved {
            let mut plan = left.plan.clone();
            if let Some(of) = &left.told.of {
                plan.head = Arc::new(links::with_paths_in_full(&plan.head, of));
            }
            let grids = plan.head.elevation.iter().map(|link| PathBuf::from(&link.file)).collect();
            let mut opened = OpenedPlan::unsaved(plan, grids);
            self.keeping.brought_back = Some(left.told.clone());
            opened.left_over = Some(left);
            self.worker.open_plan(opened, ctx.input(|input| input.time));
        } else {
            self.keeping.brought_back = Some(left.told.clone());
            self.change(Gesture::BroughtBack, &[Edit::Replace(Box::new(left.plan.clone()))]);
            self.keeping.orders.push(Keep::BroughtBack(self.journal_places(), left));
            self.fit_wanted = true;
        }
        self.close_sheet();
    }

    /// Offers what a journal holds that waits or is kept aside: on its plan, or, where that is gone, as a plan of its own.
    fn take_back(&mut self, kept: &KeptJournal, hands: &mut Hands<'_>) {
        if let Some(plan_file) = kept.told.of.clone().filter(|of| of.is_file()) {
            self.keeping.wanted = Some(kept.place.clone());
            self.open(plan_file, hands.ctx);
        } else {
            self.close_sheet();
            self.keeping.left_over = self.keeping.left_over.take().or_else(|| LeftOver::at(&kept.place, None));
            if self.keeping.left_over.is_some() {
                self.put_up(Sheet::LeftOver);
            } else {
                self.say(words::journal_gone(&kept.place));
            }
        }
        self.list_kept();
    }

    /// Has the journals listed that wait or are kept aside.
    pub(crate) fn list_kept(&mut self) {
        if let Some(folder) = self.keeping.folder.clone() {
            let plans = self.recent.iter().chain(&self.keeping.gone).cloned().collect();
            self.worker.list_kept(folder, plans);
        }
    }

    /// Asks for a plan to be saved.
    pub(crate) fn ask_to_save(&mut self, path: PathBuf, replaces: Replaces) {
        let path = std::path::absolute(&path).unwrap_or(path);
        let from = self.home.path.as_deref();
        let untouched = self.history.is_saved() && from.is_some_and(|from| links::is_beside(from, &path));
        // Elsewhere it names the same files. Here it does so once it is saved there.
        let head = links::named_from(&self.plan().head, from, &path);
        // What is saved stands in the journal first: one that was older than the plan file would be taken for more than was saved.
        self.keep_journal();
        let mut plan = self.plan().clone();
        if head != *plan.head {
            plan.head = Arc::new(head);
        }
        let bytes = match &self.home.original {
            Some(original) if untouched => original.to_vec(),
            _ => hillwire_core::plan::write_plan(&plan),
        };
        self.worker.save(SaveRequest {
            path,
            bytes,
            plan,
            replaces,
            even_protected: false,
            guard: self.guard(),
            folder: self.keeping.folder.clone(),
            hold: self.home.hold.clone(),
            after: self.keeping.journal.as_ref().map(Journal::so_far),
        });
    }

    /// Keeps the journal: finished changes are written at once.
    pub(crate) fn keep_journal(&mut self) {
        let orders = std::mem::take(&mut self.keeping.orders);
        let Some(mut journal) = self.keeping.journal.take() else { return };
        for report in journal.reports() {
            self.take_journal_report(&report);
        }
        if !orders.is_empty() {
            self.keeping.followed = None;
            if self.worker.pace() == Pace::Beside {
                recent::keep(self.recent.iter().chain(&self.keeping.gone));
            }
        }
        orders.into_iter().for_each(|keep| journal.keep(keep));
        // What is left without saving is kept aside: it does not begin anew.
        let goes_on = !self.may_close;
        if goes_on {
            self.follow_draft(&mut journal);
        }
        let now = Some((self.opened, self.history.revision()));
        if goes_on && now != self.keeping.followed && !self.history.is_open() {
            // A plan on new ground in which nothing is drawn yet is not worth bringing back.
            if journal.has_begun() || self.is_unsaved() {
                journal.follow(self.plan(), self.unsaved_changes(), self.home.path.as_deref());
            }
            self.keeping.since = journal.since();
            self.keeping.followed = now;
        }
        self.keeping.journal = Some(journal);
    }

    /// Each corner that is set goes into the journal, not the one to come.
    fn follow_draft(&mut self, journal: &mut Journal) {
        let corners = self.draft.as_ref().map(|draft| draft.corners.len());
        if corners == self.keeping.followed_draft {
            return;
        }
        self.keeping.followed_draft = corners;
        if let Some(plan) = self.plan_with_draft() {
            journal.follow(&plan, self.unsaved_changes().max(1), self.home.path.as_deref());
            // Given up, it goes out of the journal again.
            self.keeping.followed = None;
        }
    }

    /// A save was refused: the keeper is asked.
    pub(crate) fn ask_about_refusal(&mut self, request: SaveRequest, refusal: Refusal) {
        let before = self.keeping.after_saving.take();
        if let Refusal::Changed(theirs) = refusal {
            self.take_changed(theirs);
        } else {
            (self.keeping.refused, self.keeping.refused_before) = (Some((request, refusal)), before);
            self.put_up(Sheet::Refused);
        }
    }

    /// Another program has written the file of the plan that is open.
    pub(crate) fn take_changed(&mut self, theirs: Theirs) {
        if self.home.path.as_ref() != Some(&theirs.path) {
            return;
        }
        if self.home.mark.is_some_and(|mark| mark.same_content(&theirs.mark)) {
            // It is as it was again, as after a synchronised folder has written it in two goes.
            self.keeping.theirs = None;
            return;
        }
        self.keeping.theirs = Some(theirs);
        self.put_up(Sheet::Theirs);
    }

    fn replace(&mut self) {
        let before = self.keeping.refused_before.take();
        if let Some((mut request, refusal)) = self.keeping.refused.take() {
            match refusal {
                Refusal::Exists | Refusal::Changed(_) | Refusal::Gone => request.replaces = Replaces::Anything,
                Refusal::Protected => request.even_protected = true,
            }
            request.hold.clone_from(&self.home.hold);
            self.worker.save(request);
            self.keeping.after_saving = before;
        }
        self.close_sheet();
    }

    fn keep_mine(&mut self) {
        if let Some(theirs) = self.keeping.theirs.take() {
            self.home.mark = Some(theirs.mark);
            self.home.original = None;
            // What is in the file is theirs now: mine is not saved.
            self.history.mark_saved_as(theirs.plan.unwrap_or_else(|_| Plan::new(Head::default(), Vec::new())));
        }
        self.layout_view.other = None;
        self.close_sheet();
    }

    fn take_theirs(&mut self) {
        let Some(theirs) = self.keeping.theirs.take() else { return };
        if let Ok(plan) = &theirs.plan {
            // Mine is one undo away, and what was not saved of it is kept aside as well.
            if !self.history.is_saved() {
                self.keeping.orders.push(Keep::DiscardOwn);
            }
            self.change(Gesture::TookFromFile, &[Edit::Replace(Box::new(plan.clone()))]);
            self.history.mark_saved_as(self.history.plan().clone());
            self.home.mark = Some(theirs.mark);
            self.home.original = Some(Arc::clone(&theirs.bytes));
            (self.keeping.brought_back, self.keeping.since) = (None, None);
        }
        self.layout_view.other = None;
        self.close_sheet();
    }

    fn save_beside(&mut self) {
        if let Some(theirs) = self.keeping.theirs.take() {
            let folder = theirs.path.parent().map(Path::to_path_buf).unwrap_or_default();
            let name = theirs.path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
            let stem = name.trim_end_matches(".geojson").trim_end_matches(".plan");
            let name = free_name(&folder, &format!("{stem}-mine.plan.geojson"));
            self.ask_to_save(folder.join(name), Replaces::Nothing);
        }
        self.layout_view.other = None;
        self.close_sheet();
    }

    /// The plan of another window becomes one of its own, which is kept nowhere yet.
    fn work_on_copy(&mut self) {
        if let Some(path) = self.home.path.clone() {
            self.history.rename(|head| links::with_paths_in_full(head, &path));
            self.home = Home::default();
            self.keeping.orders.push(Keep::Turned(self.journal_places(), None));
        }
        self.close_sheet();
    }

    /// What the journal has to say.
    pub(crate) fn take_journal_report(&mut self, report: &Report) {
        self.keeping.is_nowhere = matches!(report, Report::Nowhere { .. });
        let text = match report {
            Report::Elsewhere { wanted, reason, place } => words::journal_elsewhere(wanted, reason, place),
            Report::Nowhere { wanted, reason } => words::journal_nowhere(wanted.as_deref(), reason),
            Report::Back(place) => words::journal_back(place),
            Report::NotDiscarded(place) => words::not_discarded(place),
        };
        self.say(text);
    }

    /// Says something, once.
    pub(crate) fn say(&mut self, text: String) {
        if !self.notices.contains(&text) {
            self.notices.push(text);
        }
    }
}
