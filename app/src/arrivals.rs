//! What work in the background brings: the one place where it is taken in.

use crate::air::AirView;
use crate::files::TableOf;
use crate::helping::Asked;
use crate::journal::Keep;
use crate::layouts::LayoutView;
use crate::locating::Search;
use crate::log_view::{LogAsk, LogView};
use crate::opening::{self, MadeGround, Opened, OpenedPlan};
use crate::order_view::OrderView;
use crate::power_view::stations_by_line;
use crate::round_view::RoundView;
use crate::session::{AfterUnsaved, Land, Selection, Session, Sheet, TileArrival};
use crate::shapes::Shapes;
use crate::words::Cells;
use crate::worker::{Arrived, GroundStage};
use hillwire_core::finding::Finding;
use hillwire_core::land::{Frame, Ground};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Edit, Feature, FeatureId, FreshIds, Gesture, History};
use std::collections::HashSet;
use std::sync::Arc;

impl Session {
    /// Takes in what work has brought, and asks for what is now out of date. Once per frame.
    pub fn refresh(&mut self, now_s: f64) -> Vec<TileArrival> {
        let mut tiles = Vec::new();
        for arrived in self.worker.arrivals() {
            match arrived {
                Arrived::Outcome(outcome, generation) => self.take_outcome(outcome, generation),
                Arrived::Helps(helps) => self.take_helps(helps),
                Arrived::Beside(beside) => self.order_view.beside = Some(*beside),
                Arrived::Other(other) => self.take_other(other),
                Arrived::Looks(looks) => self.take_looks(looks),
                Arrived::Log(read) => self.take_log(*read),
                Arrived::WrittenRound(written) => self.take_written(*written),
                Arrived::Quote(quote) => self.show_quote(*quote),
                Arrived::Round(found) => self.take_round(*found),
                Arrived::Found(found) => self.take_found(*found),
                Arrived::Pulse(shape) => {
                    self.pulse = Some(*shape).filter(|shape| self.asked_pulse == Some(shape.of)).or(self.pulse.take())
                }
                Arrived::Opened(opened) => match opened {
                    Opened::Plan(opened) => self.take_plan_if_wanted(*opened),
                    Opened::Features(features, notices) => self.ask_about(features, notices),
                    Opened::Photo(path) => self.add_photo(&path),
                    Opened::Table(TableOf::Round, path) => self.perform_log(LogAsk::Read(path)),
                    Opened::Table(TableOf::Prices, path) => self.read_prices(&path),
                },
                Arrived::Ground(made, stage) => self.take_ground(made, stage),
                Arrived::NoGround => {
                    self.land = Land { generation: self.land.generation + 1, links: self.land.links.clone(), ..Land::default() }
                }
                Arrived::Tile(key, tile) => tiles.push((key, tile)),
                Arrived::Look(picture) => self.look.take(picture),
                Arrived::Photo(read) => self.take_photo(*read),
                Arrived::Surveys(surveys) => self.land.surveys = surveys,
                Arrived::Contours(lines) => self.land.contours = Some(lines),
                Arrived::SaveEnded(end) => self.take_save_end(end),
                Arrived::Looked(looked) => self.take_looked(*looked),
                Arrived::Kept(kept) => self.keeping.kept = kept,
                Arrived::Written(path) => self.notices.push(format!("Written: {}", path.display())),
                Arrived::Courses(answer) => self.take_courses(answer),
                Arrived::Trial(trial) => self.trial = Some(*trial).filter(|trial| trial.revision == self.history.revision()),
                Arrived::Trouble(text) => self.notices.push(text),
                Arrived::Broke(text) => self.take_broken(text),
            }
        }
        self.follow_grids(now_s);
        self.follow_frame();
        self.follow_rows();
        self.follow_air();
        self.shapes.follow(self.history.plan(), self.frame);
        let now = (self.history.revision(), self.land.generation);
        if self.asked_revision != Some(now) {
            self.trial = None;
            self.helps = Asked::Not;
            self.course_view.forget();
            self.search = Search::NotAsked;
            self.follow_layouts();
            self.asked_revision = Some(now);
            let ground = (self.land.ground.clone(), now.1);
            self.worker.request_outcome(self.history.plan().clone(), now.0, ground, self.rows.clone());
        }
        self.follow_pulse();
        if let Some(request) = self.look.follow(&self.look_ground()) {
            self.worker.request_look(request);
        }
        self.follow_order();
        self.follow_log();
        self.follow_round();
        tiles
    }

    /// Asks for the pulse that shall be drawn, once for each of them.
    fn follow_pulse(&mut self) {
        let wanted = self.pulse_wanted();
        if wanted == self.asked_pulse {
            return;
        }
        self.asked_pulse = wanted;
        match wanted {
            Some(of) => self.worker.request_pulse(Arc::clone(&self.outcome.power), of),
            None => self.pulse = None,
        }
    }

    /// A plan that took long to read does not take the place of what was drawn meanwhile, unless the keeper says so.
    fn take_plan_if_wanted(&mut self, opened: OpenedPlan) {
        let may_go = self.keeping.may_go == Some((self.opened, self.history.revision()));
        let path = opened.home.path.clone().or_else(|| opened.grids.first().cloned());
        if let (true, Some(path)) = (self.is_unsaved() && !may_go, path) {
            self.worker.cancel_opening();
            self.waiting_file = Some(path);
            self.put_up(Sheet::Unsaved(AfterUnsaved::Open));
        } else {
            self.take_plan(opened);
        }
    }

    fn take_plan(&mut self, opened: OpenedPlan) {
        if self.is_unsaved() || self.holds_the_only_copy() {
            // Left on purpose.
            self.keep_only_copy();
            self.keeping.orders.push(Keep::DiscardOwn);
        } else {
            // All of it is in its file: a journal that led back to what was saved is needless.
            let is_undone = self.keeping.brought_back.is_some();
            self.keeping.orders.push(if is_undone { Keep::Undone } else { Keep::Saved });
        }
        self.notices.clear();
        if let Some(frame) = opened.frame() {
            self.frame = frame;
        }
        self.notices.extend(opened.notices);
        if let Some(path) = &opened.home.path {
            self.remember(path.clone());
        }
        let links = opened.plan.head.elevation.clone();
        let is_again = self.home.path.is_some() && self.home.path == opened.home.path;
        self.history = History::new(opened.plan);
        self.home = opened.home;
        self.land = Land { generation: self.land.generation + 1, asked: opened.grids, links, ..Land::default() };
        self.selection = Selection::default();
        self.draft = None;
        self.draft_id = None;
        self.shapes = Shapes::default();
        (self.outcome, self.outcome_of) = (Arc::default(), None);
        self.worker.turn_to(self.opened + 1);
        self.order_view = OrderView { quote: self.order_view.quote.take().filter(|_| is_again), ..OrderView::default() };
        self.air = AirView::default();
        // What was read for this very plan, and answered, still waits to be taken in.
        let waiting = self.log_view.written.take();
        if waiting.is_some() && !is_again {
            self.say("What was written on the round was not taken into the plan that was open: read it again there.".to_owned());
        }
        self.log_view = LogView { below: self.log_view.below, written: waiting.filter(|_| is_again), ..LogView::default() };
        self.layout_view = LayoutView { reckoning: self.layout_view.reckoning, ..LayoutView::default() };
        self.round_view = RoundView { by: self.round_view.by, extent: self.round_view.extent, ..RoundView::default() };
        self.power_stations.clear();
        self.power_view.pulse_at = None;
        self.fit_wanted = true;
        (self.helps, self.search, self.trial) = (Asked::Not, Search::NotAsked, None);
        self.course_view.forget();
        (self.pulse, self.asked_pulse) = (None, None);
        self.sheet = None;
        self.sheets_below.clear();
        self.keep_of(opened.left_over);
        self.opened += 1;
        self.asked_revision = None;
    }

    /// Takes features of another file into the plan, in one step; those of which nobody has said what they are are drawn grey until it is said.
    pub(crate) fn take_features(&mut self, features: Vec<Feature>, notices: Vec<String>) {
        self.notices.extend(notices);
        if self.plan().features.is_empty() && self.land.ground.is_none() {
            if let Some(middle) = opening::middle(features.iter()) {
                self.frame = Frame::near(middle);
            }
            self.fit_wanted = true;
        }
        let mut ids = FreshIds::new("import");
        let mut taken: HashSet<FeatureId> = self.plan().features.iter().map(|feature| feature.id.clone()).collect();
        let count = features.len();
        let added = features.into_iter().map(|mut feature| {
            if !taken.insert(feature.id.clone()) {
                feature.id = ids.next(|id| taken.contains(id));
                taken.insert(feature.id.clone());
            }
            feature
        });
        let added = Edit::AddAll(added.collect());
        self.change(Gesture::Imported { count }, &[added]);
        if self.sheet == Some(Sheet::Incoming) {
            self.close_sheet();
        }
    }

    fn take_ground(&mut self, made: MadeGround, stage: GroundStage) {
        let ground = made.ground;
        self.land.files = made.files;
        self.frame = ground.frame();
        self.shapes = Shapes::default();
        self.land.generation += 1;
        self.land.is_first_look = stage == GroundStage::FirstLook;
        self.land.heights_m = rough_heights_m(&ground);
        self.land.cells = Cells::of(&ground);
        if stage == GroundStage::Whole {
            self.worker.request_survey(Arc::clone(&ground));
        }
        self.land.ground = Some(ground);
    }

    /// A selected finding stays selected after an edit: the one of its rule and line that is nearest to where it was.
    fn take_outcome(&mut self, outcome: Arc<Outcome>, generation: u64) {
        self.outcome_of = Some((outcome.revision, generation));
        let before = self.selection.finding.and_then(|index| self.outcome.findings.get(index));
        self.selection.finding = before.and_then(|before| {
            let place = |finding: &Finding| finding.place.station.map_or(0.0, |station| station.as_metres());
            let same = |finding: &Finding| finding.rule == before.rule && finding.place.line == before.place.line;
            let all = outcome.findings.iter().enumerate().filter(|(_, finding)| same(finding));
            let off = |finding: &Finding| (place(finding) - place(before)).abs();
            all.min_by(|a, b| off(a.1).total_cmp(&off(b.1))).map(|(index, _)| index)
        });
        self.power_stations = stations_by_line(&outcome.power.wiring.stations);
        self.outcome = outcome;
    }

    /// Work broke off: what waits for its answer can be asked for again.
    fn take_broken(&mut self, text: String) {
        if self.helps == Asked::Underway {
            self.helps = Asked::Not;
        }
        if matches!(self.search, Search::Underway) {
            self.search = Search::NotAsked;
        }
        if self.course_view.found().is_none() {
            self.course_view.forget();
        }
        self.layout_view.underway = None;
        self.share_view.is_drawing = false;
        self.round_view.is_underway = false;
        self.say(text);
    }
}

/// Lowest and highest of some ten thousand cells of each grid: enough for a tint.
fn rough_heights_m(ground: &Ground) -> (f64, f64) {
    let sampled = ground.layers().flat_map(|layer| {
        let heights = &layer.grid().heights_m;
        heights.iter().step_by((heights.len() / 10_000).max(1)).filter(|height| height.is_finite())
    });
    let (low, high) =
        sampled.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), &height| (low.min(height), high.max(height)));
    if low < high { (f64::from(low), f64::from(high)) } else { (0.0, 1.0) }
}
