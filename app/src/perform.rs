//! Carrying commands out: the one place where the window's requests change the session.

use crate::command::{Act, Command};
use crate::incoming::Incoming;
use crate::layouts::LayoutAsk;
use crate::log_view::LogAsk;
use crate::map::view::View;
use crate::perform_draft::Stroke;
use crate::picker::{Answer, Picker, Purpose};
use crate::session::{Selection, Session, Sheet};
use crate::tools::ToolKind;
use crate::tools::draw::Draft;
use crate::tools::posts::{is_free, without_post};
use crate::words;
use hillwire_core::finding::Place;
use hillwire_core::hold::leg_lengths;
use hillwire_core::land::{MapPoint, Position};
use hillwire_core::plan::{Edit, EditError, FeatureId, Gesture, Kind, UnitSystem, hanging_on};

/// What carrying out commands needs besides the session.
pub struct Hands<'a> {
    /// The window.
    pub ctx: &'a egui::Context,
    /// Asks for files.
    pub picker: &'a mut Picker,
}

impl Session {
    /// Carries out one command.
    pub fn perform(&mut self, command: Command, hands: &mut Hands<'_>) {
        if !matches!(command, Command::Stroke(_)) {
            self.settle_draft();
        }
        self.carry_out(command, hands);
    }

    fn carry_out(&mut self, command: Command, hands: &mut Hands<'_>) {
        match command {
            Command::Act(act) => self.act(act, hands),
            Command::OpenPath(path) => self.open(path, hands.ctx),
            Command::AddGrid(path) => self.add_grid(&path),
            Command::AddPhoto(path) => self.add_photo(&path),
            Command::SavePath(path) => self.save_under(path),
            Command::SharePath(path) => self.share_to(path),
            Command::Keep(ask) => self.perform_keeping(ask, hands),
            Command::SaveThen(after) => self.save_then(after, hands),
            Command::LeaveUnsaved(after) => self.leave_unsaved(after, hands.ctx),
            Command::Share(ask) => self.perform_share_ask(ask),
            Command::ShareAs(ending) => self.ask_where_to_share(ending, hands),
            Command::Layouts(LayoutAsk::AskForPlan) => {
                hands.picker.ask(Purpose::ComparePlan, self.home.path.as_deref(), hands.ctx)
            }
            Command::Layouts(ask) => self.perform_layout(ask),
            Command::Courses(ask) => self.perform_courses(ask),
            Command::Stage(stage) => self.stage = stage,
            Command::Take(tool) => self.take(tool),
            Command::Select(selection) => self.selection = selection,
            Command::Show(place) => self.show_place(&place),
            Command::ShowPoint(at) => self.view.centre = at,
            Command::Change(gesture, edits) => self.change(gesture, &edits),
            Command::DrawBy(what) => self.drawn_by = what,
            Command::LookAtLand(look) => self.look.by = look,
            Command::ShowPower(state, measured) => (self.power_view.state, self.power_view.measured) = (state, measured),
            Command::AskForPrices => hands.picker.ask(Purpose::ReadPrices, self.home.path.as_deref(), hands.ctx),
            Command::ReadPrices(path) => self.read_prices(&path),
            Command::Order(ask) => self.perform_order(ask),
            Command::Log(LogAsk::AskForRound) => hands.picker.ask(Purpose::ReadRound, self.home.path.as_deref(), hands.ctx),
            Command::Log(ask) => self.perform_log(ask),
            Command::Round(ask) => self.perform_round(ask, hands),
            Command::AskWhatHelps => self.ask_what_helps(),
            Command::LookForFault => self.look_for_fault(),
            Command::Help(change) => self.help(&change),
            Command::PulseAt(place) => self.power_view.pulse_at = place,
            Command::TryMend(choice) => self.try_mend(choice),
            Command::Confirm(index, remedy) => self.confirm(index, &remedy),
            Command::Mend => self.mend(),
            Command::LeaveMend => self.trial = None,
            Command::BeginChange(gesture) => self.history.begin(gesture),
            Command::GoOn(edits) => self.go_on(&edits),
            Command::EndChange => self.history.commit(),
            Command::AbandonChange => self.history.abandon(),
            Command::Stroke(stroke) => self.stroke(stroke),
            Command::SetPoint(point, at) => self.set_point(point, at),
            Command::Units(units) => self.set_units(units),
            Command::Guide(false) => self.guide = None,
            Command::Guide(true) => self.start_guide(hands.ctx),
            Command::DismissNotices => self.notices.clear(),
            Command::CancelOpening => self.worker.cancel_opening(),
            Command::AddPosts(adds) => self.adds_posts = adds,
            Command::ShowWholeLine => self.section_stretch = None,
            Command::Exaggerate(factor) => self.exaggeration = factor.clamp(1.0, 20.0),
            Command::StepBack => self.step_back(),
            Command::ShowCatalogue(search) => self.show_catalogue(search),
            Command::SayIncoming(which, taking) => {
                self.incoming.iter_mut().for_each(|incoming| incoming.say(which, &taking));
            }
            Command::TakeIn => {
                if let Some((features, notices)) = self.incoming.take().map(Incoming::taken) {
                    self.take_features(features, notices);
                }
            }
            Command::CloseSheet => self.close_sheet(),
            Command::LeaveSheet => self.leave_sheet(),
        }
    }

    fn show_catalogue(&mut self, search: String) {
        self.catalogue_search = search;
        self.put_up(Sheet::Catalogue);
    }

    /// The sheet goes; the one below it comes up again. What was answered on it, or waits for an answer, stays for another time.
    pub(crate) fn close_sheet(&mut self) {
        match self.sheet {
            Some(Sheet::Unsaved(_)) => self.waiting_file = None,
            Some(Sheet::Over) => self.share_view.over = None,
            Some(Sheet::Refused) => (self.keeping.refused, self.keeping.refused_before) = (None, None),
            _ => {}
        }
        self.sheet = self.sheets_below.pop();
    }

    /// The sheet goes with what it shows: none of it is wanted.
    fn leave_sheet(&mut self) {
        match self.sheet {
            Some(Sheet::Incoming) => self.incoming = None,
            Some(Sheet::Written) => self.log_view.written = None,
            Some(Sheet::Prices) => self.order_view.quote = None,
            _ => {}
        }
        self.close_sheet();
    }

    fn act(&mut self, act: Act, hands: &mut Hands<'_>) {
        let ctx = hands.ctx;
        // What is written, or makes room for something else, is a plan that nobody is drawing in.
        if matches!(act, Act::NewPlan | Act::AddGrid | Act::Open | Act::Save | Act::SaveAs | Act::Remove | Act::SelectAll) {
            self.end_draft();
        }
        match act {
            Act::NewPlan => hands.picker.ask(Purpose::OpenGrid, self.home.path.as_deref(), ctx),
            Act::AddGrid => hands.picker.ask(Purpose::AddGrid, self.home.path.as_deref(), ctx),
            Act::AddPhoto => hands.picker.ask(Purpose::AddPhoto, self.home.path.as_deref(), ctx),
            Act::Open => hands.picker.ask(Purpose::Open, self.home.path.as_deref(), ctx),
            Act::Save => self.save(hands),
            Act::SaveAs => self.ask_where_to_save(hands),
            Act::Undo => self.undo(),
            Act::Redo => drop(self.history.redo()),
            Act::Remove => self.remove_selected(),
            Act::SelectAll => {
                let drawn = self.plan().features.iter().filter(|feature| !feature.kind.is_log_entry());
                let features = drawn.map(|feature| feature.id.clone()).collect();
                self.selection = Selection { features, ..Selection::default() };
            }
            Act::ShowAll => self.fit_wanted = true,
            Act::ZoomIn => self.view.zoom(self.pane, self.pane.center(), 1.4),
            Act::ZoomOut => self.view.zoom(self.pane, self.pane.center(), 1.0 / 1.4),
            Act::Keys if self.sheet == Some(Sheet::Keys) => self.close_sheet(),
            Act::Keys => self.put_up(Sheet::Keys),
            Act::Catalogue => self.show_catalogue(String::new()),
            Act::Welcome => {
                self.list_kept();
                self.put_up(Sheet::Welcome);
            }
            Act::LightOrDark => {
                let dark = ctx.global_style().visuals.dark_mode;
                ctx.set_theme(if dark { egui::Theme::Light } else { egui::Theme::Dark });
            }
            Act::LargerText => ctx.set_zoom_factor((ctx.zoom_factor() * 1.1).min(2.0)),
            Act::SmallerText => ctx.set_zoom_factor((ctx.zoom_factor() / 1.1).max(0.8)),
        }
    }

    /// Goes on when the desktop's dialog has been answered.
    pub fn after_picking(&mut self, purpose: Purpose, answer: Answer, ctx: &egui::Context) {
        match (purpose, answer) {
            (_, Answer::Cancelled) => {}
            (purpose, Answer::NoDialog) => {
                self.path_wanted = Some(crate::sheets::PathWanted::new(purpose, Some(&self.offered_folder().join("plan"))))
            }
            (Purpose::Open | Purpose::OpenGrid, Answer::Picked(path)) => self.open(path, ctx),
            (Purpose::AddGrid, Answer::Picked(path)) => self.add_grid(&path),
            (Purpose::AddPhoto, Answer::Picked(path)) => self.add_photo(&path),
            (Purpose::ReadPrices, Answer::Picked(path)) => self.read_prices(&path),
            (Purpose::ReadRound, Answer::Picked(path)) => self.perform_log(LogAsk::Read(path)),
            (Purpose::ComparePlan, Answer::Picked(path)) => self.perform_layout(LayoutAsk::ComparePlan(path)),
            (Purpose::SavePlan { .. }, Answer::Picked(path)) => self.save_under(path),
            (Purpose::Share { .. }, Answer::Picked(path)) => self.share_to(path),
        }
    }

    /// Another tool in hand ends what was drawn with the last one.
    fn take(&mut self, tool: ToolKind) {
        self.end_draft();
        self.drop_draft();
        self.tool = tool;
        if let ToolKind::Draw(drawn) = tool {
            self.draft = Some(Draft::new(drawn));
            self.selection = Selection::default();
        }
    }

    /// Takes a line under the pen out of the plan again.
    pub fn drop_draft(&mut self) {
        if self.draft_id.take().is_some() {
            self.history.abandon();
        }
        self.draft = None;
    }

    /// Esc: the typed digits, the last corner, the tool, the selection, one at a time.
    fn step_back(&mut self) {
        if self.draft.is_some() {
            self.stroke(Stroke::TakenBack);
        } else if self.adds_posts {
            self.adds_posts = false;
        } else if self.tool != ToolKind::Choose {
            self.tool = ToolKind::Choose;
        } else {
            self.selection = Selection::default();
        }
    }

    fn undo(&mut self) {
        if self.draft.as_ref().is_some_and(|draft| !draft.corners.is_empty()) {
            self.stroke(Stroke::TakenBack);
        } else if matches!(self.history.undo(), Some(Gesture::Removed { .. } | Gesture::RemovedSeveral { .. })) {
            self.notices.retain(|notice| !notice.ends_with(words::UNDO_BRINGS_BACK));
        }
        self.forget_what_is_gone();
    }

    /// Selected features that an edit took away are no longer selected.
    pub fn forget_what_is_gone(&mut self) {
        let plan = self.history.plan();
        self.selection.features.retain(|id| plan.feature(id).is_some());
        let corners = self.chosen().and_then(|feature| feature.line()).map_or(0, <[_]>::len);
        if self.selection.corner.is_some_and(|corner| corner >= corners) {
            self.selection.corner = None;
        }
    }

    /// Changes the plan in one step, or not at all.
    pub fn change(&mut self, gesture: Gesture, edits: &[Edit]) {
        // Undo brings this step back from now on, not what was taken away before.
        self.notices.retain(|notice| !notice.ends_with(words::UNDO_BRINGS_BACK));
        self.history.begin(gesture);
        if let Err(trouble) = self.edit_anew(edits) {
            self.notices.push(trouble.to_string());
        }
        self.history.commit();
        self.forget_what_is_gone();
    }

    /// The pointer is held and has moved: where an edit cannot be done just there, the last one that could stands.
    fn go_on(&mut self, edits: &[Edit]) {
        if self.history.is_open() {
            let _ = self.edit_anew(edits);
        }
    }

    /// Edits instead of what the open gesture did before, on the ground as it is known.
    pub(crate) fn edit_anew(&mut self, edits: &[Edit]) -> Result<(), EditError> {
        let legs = leg_lengths(self.history.plan(), self.frame, self.land.ground.as_deref());
        self.history.edit_anew(edits, &legs)
    }

    fn remove_selected(&mut self) {
        if let (Some(id), Some(corner)) = (self.selection.only().cloned(), self.selection.corner) {
            let corners = self.chosen().and_then(|feature| feature.line()).map_or(0, <[_]>::len);
            if corners > 2 {
                self.selection.corner = None;
                self.change(Gesture::RemovedCorner { label: self.label(&id) }, &[Edit::RemoveCorner { id, corner }]);
                return;
            }
        }
        if self.selection.post.is_some() {
            self.take_post_out();
            return;
        }
        let ids = std::mem::take(&mut self.selection.features);
        let gesture = match ids.as_slice() {
            [] => return,
            [id] => Gesture::Removed { label: self.label(id) },
            several => Gesture::RemovedSeveral { count: several.len() },
        };
        let hanging = hanging_on(self.plan(), &ids);
        let says = words::hanging(&hanging, self.plan());
        let edits: Vec<_> = ids.into_iter().chain(hanging.goes).map(Edit::Remove).collect();
        self.change(gesture, &edits);
        self.notices.extend(says);
        self.selection = Selection::default();
    }

    /// Takes the chosen post out, where its line lets it.
    fn take_post_out(&mut self) {
        let (Some(station), Some(feature)) = (self.selection.post.take(), self.chosen().cloned()) else { return };
        let Kind::Fence(fence) = &feature.kind else { return };
        let line = self.line_outcome(&feature.id);
        let post = line.and_then(|line| line.hold.posts.iter().find(|post| crate::section::is_at(post, station)));
        let Some(post) = post else { return };
        if !is_free(post) {
            self.notices.push(
                "Corner, end and gate posts stand where the map has them: move the corner, the end or the gate.".to_owned(),
            );
            return;
        }
        let kind = Kind::Fence(without_post(fence, post));
        let gesture = Gesture::RemovedPost { label: feature.label().to_owned() };
        self.change(gesture, &[Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) }]);
    }

    /// The name of a feature, or its id.
    pub fn label(&self, id: &FeatureId) -> String {
        self.plan().feature(id).map_or_else(|| id.to_string(), |feature| feature.label().to_owned())
    }

    fn set_units(&mut self, units: UnitSystem) {
        let mut head = (*self.plan().head).clone();
        head.units = units;
        self.change(Gesture::ChangedUnits, &[Edit::SetHead(Box::new(head))]);
    }

    fn show_place(&mut self, place: &Place) {
        self.section_stretch = None;
        if let Ok(at) = self.frame.to_map(place.at) {
            self.view.centre = at;
            self.view.metres_per_point = self.view.metres_per_point.min(0.35);
        }
        if let Some(line) = &place.line {
            let finding = self.selection.finding;
            self.selection = Selection { finding, ..Selection::of(line.clone()) };
        }
    }

    /// The place on the globe of a map point.
    pub fn position(&self, at: MapPoint) -> Position {
        self.frame.to_position(at)
    }

    /// Shows the whole plan once the pane's size is known.
    pub fn fit_if_wanted(&mut self) {
        if !self.fit_wanted {
            return;
        }
        if let Some(whole) = self.whole() {
            self.view = View::fitting(whole, self.pane.size());
            self.fit_wanted = false;
        }
    }
}
