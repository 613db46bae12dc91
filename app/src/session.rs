//! What the window knows: plan, history, ground, consequences, selection, view. Only `perform.rs` and this file change it.

use crate::air::AirView;
use crate::guide::Guide;
use crate::helping::Asked;
pub use crate::home::{Home, Land};
use crate::incoming::Incoming;
use crate::keeping::Keeping;
use crate::layouts::LayoutView;
use crate::locating::Search;
use crate::log_view::LogView;
use crate::map::look::{LookGround, LookView};
use crate::map::used::DrawnBy;
use crate::map::view::View;
use crate::order_view::OrderView;
pub use crate::pointed::{Pointed, Stretch};
use crate::power_view::{PowerView, PulseOf, PulseShape};
use crate::recent;
use crate::rerouting::CourseView;
use crate::round_view::RoundView;
pub use crate::selection::Selection;
use crate::shapes::Shapes;
use crate::share_view::ShareView;
use crate::sheets::PathWanted;
pub use crate::stage::Stage;
use crate::tools::ToolKind;
use crate::tools::draw::Draft;
use crate::words::{self, Cells};
use crate::worker::{Pace, Worker};
use hillwire_core::catalogue::{Catalogue, InUse};
use hillwire_core::finding::{Finding, Weight};
use hillwire_core::hold::Section;
use hillwire_core::land::{Frame, MapPoint, MapRect, Position};
use hillwire_core::mend::Trial;
use hillwire_core::outcome::{self, LineOutcome, Outcome};
use hillwire_core::plan::{Feature, FeatureId, Head, History, Kind, Plan, UnitSystem};
use hillwire_core::site::JudgedTrack;
use hillwire_core::units::{Elevation, Length};
use std::cmp::Ordering;
use std::collections::HashMap;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

/// The sheet that lies over the window, if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Three doors.
    Welcome,
    /// What the keys do.
    Keys,
    /// The catalogue.
    Catalogue,
    /// What another program drew, and what it is.
    Incoming,
    /// Prices that came back from a supplier.
    Prices,
    /// What was written on a round, and what it is.
    Written,
    /// Sheets for somebody else.
    Look,
    /// A journal holds more than the plan file.
    LeftOver,
    /// Another program has changed the plan file.
    Theirs,
    /// A save would take the place of something.
    Refused,
    /// Another window has the plan open.
    OpenElsewhere,
    /// Unsaved changes: what now?
    Unsaved(AfterUnsaved),
    /// A file that is there would be written over.
    Over,
}

impl Sheet {
    /// Whether it waits for an answer, and so for its turn when another sheet comes over it.
    pub fn asks(self) -> bool {
        !matches!(self, Self::Welcome | Self::Keys | Self::Catalogue | Self::Look)
    }
}

/// What waits behind the question about unsaved changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AfterUnsaved {
    /// The window closes.
    Close,
    /// Another file takes its place.
    Open,
}

/// What the window knows.
pub struct Session {
    /// The plan and how it came to be.
    pub history: History,
    /// Where the plan is kept.
    pub home: Home,
    /// The ground.
    pub land: Land,
    /// Air photos under the plan.
    pub air: AirView,
    /// The working frame.
    pub frame: Frame,
    /// Features on the map.
    pub shapes: Shapes,
    /// The catalogue's rows, the plan's own among them.
    pub rows: InUse,
    /// What follows from the plan.
    pub outcome: Arc<Outcome>,
    /// What is selected.
    pub selection: Selection,
    /// The mend that was tried last, as long as the plan is what it was.
    pub trial: Option<Trial>,
    /// The stage shown.
    pub stage: Stage,
    /// The tool in hand.
    pub tool: ToolKind,
    /// A line or an area under the pen.
    pub draft: Option<Draft>,
    /// The feature that the draft stands in the plan as.
    pub draft_id: Option<FeatureId>,
    /// Where the map is looked at from.
    pub view: View,
    /// Whether the view shall fit the plan once the pane's size is known.
    pub fit_wanted: bool,
    /// The pane the map was last drawn in.
    pub pane: egui::Rect,
    /// The station that the pointer is at in the long section.
    pub pointed_in_section: Option<Pointed>,
    /// The station that the pointer is at on the map, when it is near the line of the long section.
    pub pointed_on_map: Option<Pointed>,
    /// Whether a click in the long section adds a post.
    pub adds_posts: bool,
    /// The part of its line that the long section shows; `None` for all of it.
    pub section_stretch: Option<Stretch>,
    /// Vertical stretch of the long section.
    pub exaggeration: f64,
    /// What lines are drawn by on the stage Hold.
    pub drawn_by: DrawnBy,
    /// What the ground is coloured by on the stage Land.
    pub look: LookView,
    /// What would bring more to the far end, as far as it was asked for.
    pub helps: Asked,
    /// Where the fault is, as far as it was looked for.
    pub search: Search,
    /// What the stage Power shows.
    pub power_view: PowerView,
    /// What the stage Share shows.
    pub share_view: ShareView,
    /// Other courses of a line.
    pub course_view: CourseView,
    /// Layouts side by side.
    pub layout_view: LayoutView,
    /// What the stage Order shows.
    pub order_view: OrderView,
    /// What the stage Round shows of the log.
    pub log_view: LogView,
    /// What the stage Round shows.
    pub round_view: RoundView,
    /// The pulse that was worked out last.
    pub pulse: Option<PulseShape>,
    pub(crate) asked_pulse: Option<PulseOf>,
    /// The stations of each line in the wiring.
    pub(crate) power_stations: HashMap<FeatureId, Range<usize>>,
    /// The first paddock step by step, while it is shown.
    pub guide: Option<Guide>,
    /// The sheet that lies over the window.
    pub sheet: Option<Sheet>,
    /// Those under it that wait for an answer, the uppermost last.
    pub(crate) sheets_below: Vec<Sheet>,
    /// What another program drew, until it is taken in.
    pub incoming: Option<Incoming>,
    /// What the catalogue is searched for.
    pub catalogue_search: String,
    /// What is known of what is not saved.
    pub keeping: Keeping,
    /// Grows whenever another plan is opened.
    pub opened: u64,
    /// A path that is asked for in the window, because the desktop has no dialog.
    pub path_wanted: Option<PathWanted>,
    /// Set when the window may close although something is unsaved.
    pub may_close: bool,
    /// A file that would take the place of a plan that is not saved.
    pub waiting_file: Option<PathBuf>,
    /// What the keeper should read, newest last.
    pub notices: Vec<String>,
    /// Sample plans.
    pub samples: Vec<PathBuf>,
    /// Recently opened plans.
    pub recent: Vec<PathBuf>,
    /// Work beside drawing.
    pub worker: Worker,
    pub(crate) asked_revision: Option<(u64, u64)>,
    /// What the consequences that are shown were worked out from: the revision of the plan, the generation of the ground.
    pub(crate) outcome_of: Option<(u64, u64)>,
}

impl Session {
    /// A session with an empty plan.
    pub fn new(ctx: &egui::Context, pace: Pace) -> Self {
        Self {
            history: History::new(Plan::new(Head::default(), Vec::new())),
            home: Home::default(),
            land: Land::default(),
            air: AirView::default(),
            frame: Frame::near(Position::from_degrees(0.0, 50.0)),
            shapes: Shapes::default(),
            rows: InUse::default(),
            outcome: Arc::default(),
            selection: Selection::default(),
            trial: None,
            stage: Stage::Line,
            tool: ToolKind::Choose,
            draft: None,
            draft_id: None,
            view: View::default(),
            fit_wanted: true,
            pane: crate::map::view::assumed_pane(),
            pointed_in_section: None,
            pointed_on_map: None,
            adds_posts: false,
            section_stretch: None,
            exaggeration: 2.0,
            drawn_by: DrawnBy::default(),
            look: LookView::default(),
            helps: Asked::default(),
            search: Search::default(),
            power_view: PowerView::default(),
            share_view: ShareView::default(),
            course_view: CourseView::default(),
            layout_view: LayoutView::default(),
            order_view: OrderView::default(),
            log_view: LogView::default(),
            round_view: RoundView::default(),
            pulse: None,
            asked_pulse: None,
            power_stations: HashMap::new(),
            guide: None,
            sheet: None,
            sheets_below: Vec::new(),
            incoming: None,
            catalogue_search: String::new(),
            keeping: Keeping::default(),
            opened: 0,
            path_wanted: None,
            may_close: false,
            waiting_file: None,
            notices: Vec::new(),
            samples: Vec::new(),
            recent: Vec::new(),
            worker: Worker::new(ctx, pace),
            asked_revision: None,
            outcome_of: None,
        }
    }

    /// The plan as it stands.
    pub fn plan(&self) -> &Plan {
        self.history.plan()
    }

    /// The unit system that the plan is read in.
    pub fn units(&self) -> UnitSystem {
        self.plan().head.units
    }

    /// The catalogue that the plan is worked out with.
    pub fn catalogue(&self) -> &Catalogue {
        self.rows.rows()
    }

    /// The height of the ground in the elevation grid.
    pub fn ground_at(&self, at: MapPoint) -> Option<Elevation> {
        self.land.ground.as_ref()?.elevation(at)
    }

    /// The cells under a line, with the length that lies on each size.
    pub fn cells_under(&self, section: &Section) -> Vec<(Cells, Length)> {
        words::cells_under(section, self.land.ground.as_deref(), &self.land.cells)
    }

    /// The only selected feature.
    pub fn chosen(&self) -> Option<&Arc<Feature>> {
        self.plan().feature(self.selection.only()?)
    }

    /// What follows for a line.
    pub fn line_outcome(&self, id: &FeatureId) -> Option<&Arc<LineOutcome>> {
        self.outcome.lines.iter().find(|line| line.id == *id)
    }

    /// The line that the long section shows: the drawn one, the selected one, else the longest fence.
    pub fn section_line(&self) -> Option<&Arc<LineOutcome>> {
        let drawn = self.draft_id.as_ref().and_then(|id| self.line_outcome(id));
        let chosen = || self.selection.features.iter().find_map(|id| self.line_outcome(id));
        let longest = || {
            let is_fence = |id: &FeatureId| self.plan().feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
            let rank = |line: &Arc<LineOutcome>| (is_fence(&line.id), line.measure.ground_length.as_metres());
            self.outcome.lines.iter().max_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(Ordering::Equal))
        };
        drawn.or_else(chosen).or_else(longest)
    }

    /// The chosen track, where a vehicle shall use it.
    pub fn chosen_track(&self) -> Option<&JudgedTrack> {
        let feature = self.chosen().filter(|feature| matches!(feature.kind, Kind::Track(_)))?;
        self.outcome.reach.tracks.judged.iter().find(|track| track.id == feature.id)
    }

    /// What lines are drawn by now.
    pub fn lines_show(&self) -> DrawnBy {
        if self.stage == Stage::Hold { self.drawn_by } else { DrawnBy::Kind }
    }

    /// What the ground can be coloured by.
    pub fn look_ground(&self) -> LookGround {
        let finding = self.selection.finding.and_then(|index| self.outcome.findings.get(index));
        LookGround::of(&self.outcome, finding)
    }

    /// How many findings have this weight.
    pub fn count(&self, weight: Weight) -> usize {
        self.outcome.findings.iter().filter(|finding| finding.weight == weight).count()
    }

    /// Findings on one line, with their index.
    pub fn findings_on<'a>(&'a self, id: &'a FeatureId) -> impl Iterator<Item = (usize, &'a Finding)> {
        self.outcome.findings.iter().enumerate().filter(move |(_, finding)| finding.place.line.as_ref() == Some(id))
    }

    /// The frame is the one that the consequences are worked out in; where the map stands on the globe, it stays.
    pub(crate) fn follow_frame(&mut self) {
        let frame = outcome::frame(self.history.plan(), self.land.ground.as_deref());
        if frame == self.frame || self.plan().features.is_empty() && self.land.ground.is_none() {
            return;
        }
        let before = self.frame;
        let moved = |at: MapPoint| frame.to_map(before.to_position(at)).unwrap_or(at);
        self.view.centre = moved(self.view.centre);
        if let Some(draft) = &mut self.draft {
            draft.corners.iter_mut().chain(draft.pointer.as_mut()).for_each(|corner| *corner = moved(*corner));
        }
        self.frame = frame;
    }

    /// The rows in use are those of the plan; where one of its own cannot be used, that is said and the built-in ones are used.
    pub(crate) fn follow_rows(&mut self) {
        if let Err(trouble) = self.rows.follow(&self.history.plan().head.catalogue) {
            self.notices.push(words::unusable_row(&trouble));
        }
    }

    /// Whether the consequences of the newest change were not asked for yet.
    pub fn is_waiting(&self) -> bool {
        self.asked_revision != Some((self.history.revision(), self.land.generation))
    }

    /// Whether what is shown follows from the plan and the ground as they are.
    pub fn is_settled(&self) -> bool {
        self.outcome_of == Some((self.history.revision(), self.land.generation))
    }

    /// Lays a sheet over the window; one that waits for an answer waits below it.
    pub(crate) fn put_up(&mut self, sheet: Sheet) {
        self.sheets_below.retain(|below| *below != sheet);
        self.sheets_below.extend(self.sheet.filter(|below| below.asks() && *below != sheet));
        self.sheet = Some(sheet);
    }

    /// Whether nothing has been worked out yet of what is drawn, or its ground is on the way: there are no figures to show, not even zeros.
    pub fn awaits_figures(&self) -> bool {
        let ground_comes = self.land.ground.is_none() && self.worker.opening().is_some();
        let nothing_yet = self.outcome_of.is_none() || self.outcome.lines.is_empty() && !self.is_settled();
        (nothing_yet || ground_comes) && self.plan().features.iter().any(|feature| feature.kind.carries_strands())
    }

    /// Whether the keeper would lose something by leaving this plan.
    pub fn is_unsaved(&self) -> bool {
        let kept_nowhere = self.home.path.is_none() && !self.plan().features.is_empty();
        kept_nowhere || !self.history.is_saved() || self.worker.saves_underway() > 0
    }

    /// Puts a plan at the head of the recent ones.
    pub fn remember(&mut self, path: PathBuf) {
        let path = std::path::absolute(&path).unwrap_or(path);
        self.recent.retain(|known| *known != path);
        self.recent.insert(0, path);
        self.recent.truncate(recent::KEPT);
    }

    /// The part of the map that holds the plan, else the ground, else the air photos.
    pub fn whole(&self) -> Option<MapRect> {
        let corners: Vec<MapPoint> = self.shapes.all().flat_map(|shape| shape.corners()).collect();
        let ground = || self.land.ground.as_ref().map(|ground| ground.whole_extent());
        MapRect::around(corners).or_else(ground).or_else(|| MapRect::around(self.photo_corners()))
    }
}

/// A tile for the map, or the word that there is none.
pub type TileArrival = (crate::map::tiles::TileKey, Option<hillwire_core::land::ShadeTile>);
