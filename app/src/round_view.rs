//! What the stage Round shows: how somebody goes round, the way and its stops, and which of them is pointed at.

use crate::clock::today;
use crate::perform::Hands;
use crate::picker::Purpose;
use crate::session::Session;
use crate::words;
use hillwire_core::catalogue::{GroundState, InUse};
use hillwire_core::land::{Ground, MapPoint};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::Plan;
use hillwire_core::round::{Asked, By, Extent, NoRound, Round, round};
use std::sync::Arc;

/// A part of the round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartOfRound {
    /// A leg, by its place in the round.
    Leg(usize),
    /// A stop, by its place in the round.
    Stop(usize),
}

/// A round, or why there is none.
pub struct Found {
    /// How many plans had been opened when it was asked for.
    opened: u64,
    /// The round.
    pub round: Result<Round, NoRound>,
}

/// What the stage shows.
#[derive(Default)]
pub struct RoundView {
    /// How somebody goes round.
    pub by: By,
    /// How much of it.
    pub extent: Extent,
    /// The round that was worked out last.
    pub found: Option<Arc<Found>>,
    /// What is pointed at.
    pub chosen: Option<PartOfRound>,
    /// What was asked for last, and of what.
    pub(crate) asked: Option<(Asked, Arc<Outcome>)>,
    /// Whether it is being worked out.
    pub(crate) is_underway: bool,
}

/// What can be asked of the stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoundAsk {
    /// Go round so.
    By(By),
    /// So much of it.
    Extent(Extent),
    /// Point at this; or at nothing.
    Choose(Option<PartOfRound>),
    /// Save the way for a receiver or phone.
    SaveWay,
    /// Save the sheets that are printed for it.
    SaveSheets,
}

/// Everything that working out a round needs.
pub struct RoundRequest {
    plan: Plan,
    outcome: Arc<Outcome>,
    ground: Option<Arc<Ground>>,
    rows: InUse,
    asked: Asked,
    opened: u64,
}

/// Works it out.
pub fn worked_out(request: &RoundRequest) -> Found {
    let round = round(&request.plan, &request.outcome, request.ground.as_deref(), request.rows.rows(), request.asked);
    Found { opened: request.opened, round }
}

/// Minutes of a round of all lines with the vehicle: what layouts are compared by.
pub fn usual_minutes(plan: &Plan, outcome: &Outcome, ground: Option<&Ground>, rows: &InUse) -> Option<f64> {
    let state = GroundState::from_word(&plan.head.ground.state).unwrap_or(GroundState::Damp);
    let asked = Asked { by: By::Vehicle, extent: Extent::Whole, on: Some(today()), state };
    Some(round(plan, outcome, ground, rows.rows(), asked).ok()?.minutes())
}

impl RoundView {
    /// The same of the plan as it was last; `None` while another round is shown.
    pub fn usual_minutes(&self) -> Option<f64> {
        let is_usual = self.by == By::Vehicle && self.extent == Extent::Whole;
        self.round().filter(|_| is_usual).map(Round::minutes)
    }

    /// The round of the plan as it was last, if there is one.
    pub fn round(&self) -> Option<&Round> {
        self.found.as_deref()?.round.as_ref().ok()
    }
}

impl Session {
    /// Does what was asked of the stage Round.
    pub fn perform_round(&mut self, ask: RoundAsk, hands: &mut Hands<'_>) {
        match ask {
            RoundAsk::By(by) => self.round_view.by = by,
            RoundAsk::Extent(extent) => self.round_view.extent = extent,
            RoundAsk::Choose(part) => {
                self.round_view.chosen = part;
                if let Some(at) = part.and_then(|part| self.place_of(part)) {
                    self.view.centre = at;
                }
            }
            RoundAsk::SaveWay => self.ask_where(hands, "gpx"),
            RoundAsk::SaveSheets => self.ask_where(hands, "pdf"),
        }
    }

    fn ask_where(&mut self, hands: &mut Hands<'_>, ending: &'static str) {
        self.share_view.of_round = true;
        self.share_view.form = Some(ending);
        let name = format!("{}-round.{ending}", self.file_stem());
        hands.picker.ask(Purpose::Share { name }, Some(&self.offered_folder().join("plan")), hands.ctx);
    }

    /// The middle of a leg, or where a stop is.
    fn place_of(&self, part: PartOfRound) -> Option<MapPoint> {
        let round = self.round_view.round()?;
        match part {
            PartOfRound::Leg(leg) => {
                let path = &round.legs.get(leg)?.path;
                path.get(path.len() / 2).copied()
            }
            PartOfRound::Stop(stop) => Some(round.stops.get(stop)?.at),
        }
    }

    /// The bytes of the way for a receiver; `None` without a round.
    pub(crate) fn round_for_receiver(&self) -> Option<Vec<u8>> {
        let frame = self.outcome.frame?;
        Some(words::round::round_on_receiver(self.round_view.round()?, self.plan(), frame, self.units()))
    }

    /// Asks for the round once the consequences of the plan as it is have come, and nobody is in the middle of a change.
    pub(crate) fn follow_round(&mut self) {
        let is_settled = self.is_settled() && !self.history.is_open();
        if !is_settled || self.round_view.is_underway || self.outcome.frame.is_none() || self.land.is_first_look {
            return;
        }
        let state = GroundState::from_word(&self.plan().head.ground.state).unwrap_or(GroundState::Damp);
        let asked = Asked { by: self.round_view.by, extent: self.round_view.extent, on: Some(today()), state };
        let is_asked = |(before, of): &(Asked, Arc<Outcome>)| *before == asked && Arc::ptr_eq(of, &self.outcome);
        if self.round_view.asked.as_ref().is_some_and(is_asked) {
            return;
        }
        (self.round_view.asked, self.round_view.is_underway) = (Some((asked, Arc::clone(&self.outcome))), true);
        self.worker.request_round(RoundRequest {
            plan: self.plan().clone(),
            outcome: Arc::clone(&self.outcome),
            ground: self.land.ground.clone(),
            rows: self.rows.clone(),
            asked,
            opened: self.opened,
        });
    }

    /// Takes a round in.
    pub(crate) fn take_round(&mut self, found: Found) {
        if found.opened != self.opened {
            return;
        }
        self.round_view.is_underway = false;
        self.round_view.chosen = None;
        self.round_view.found = Some(Arc::new(found));
    }
}
