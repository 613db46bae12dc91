//! What the stage Share shows: who gets a file, how it is made, and a look at its sheets before it is saved.

use crate::clock::today;
use crate::files::{Addressed, Look, Sharing, look_of};
use crate::perform::Hands;
use crate::picker::Purpose;
use crate::session::{Session, Sheet, Stage};
use crate::writing::Overwriting;
use hillwire_core::catalogue::InUse;
use hillwire_core::land::Ground;
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::Plan;
use hillwire_core::share::{Paper, Part, Recipient};
use std::path::PathBuf;
use std::sync::Arc;

/// What the stage shows.
#[derive(Default)]
pub struct ShareView {
    /// Who gets it, and how.
    pub to: Addressed,
    /// Its sheets as they would be printed, once somebody has asked for them.
    pub looks: Vec<Arc<Look>>,
    /// Which of them is shown.
    pub turned_to: usize,
    /// Whether they are being drawn.
    pub is_drawing: bool,
    /// Whether the next file holds the long section that is shown instead of the map.
    pub(crate) of_section: bool,
    /// Whether the next file is the keeper's own, whoever is chosen.
    pub(crate) for_keeper: bool,
    /// Whether the next file is of the round: its way, or its sheets.
    pub(crate) of_round: bool,
    /// The ending that the next file has to have.
    pub(crate) form: Option<&'static str>,
    /// The file that the next one would be written over.
    pub over: Option<Overwriting>,
}

/// What can be asked of the stage.
#[derive(Clone, Debug, PartialEq)]
pub enum ShareAsk {
    /// For this recipient.
    For(Recipient),
    /// Show them this part on top, or no longer.
    Also(Part),
    /// On this paper.
    On(Paper),
    /// In shades of grey, or in colour.
    Grey(bool),
    /// At this scale; or as large as it fits.
    Scale(Option<u32>),
    /// With this line that says whom to ask.
    Contact(Option<String>),
    /// Look at the sheets.
    Look,
    /// Turn to this sheet.
    TurnTo(usize),
    /// Write over the file that was asked about.
    Over,
}

/// Everything that making a file for somebody else needs.
pub struct ShareRequest {
    plan: Plan,
    outcome: Arc<Outcome>,
    rows: InUse,
    ground: Option<Arc<Ground>>,
    to: Addressed,
}

impl ShareRequest {
    /// What a file is made from.
    pub fn sharing(&self) -> Sharing<'_> {
        Sharing {
            plan: &self.plan,
            outcome: &self.outcome,
            catalogue: self.rows.rows(),
            ground: self.ground.as_deref(),
            to: &self.to,
            on: today(),
        }
    }
    /// Its sheets as pictures.
    ///
    /// # Errors
    /// One sentence.
    pub fn looks(&self) -> Result<Vec<Arc<Look>>, String> {
        let sheets = self.sharing().sheets()?;
        sheets.iter().map(|sheet| look_of(&sheet.to_svg()).map(Arc::new).map_err(|trouble| trouble.to_string())).collect()
    }
}

impl Session {
    /// Does what was asked of the stage Share.
    pub fn perform_share_ask(&mut self, ask: ShareAsk) {
        let to = &mut self.share_view.to;
        match ask {
            // What was chosen for one is not chosen for another.
            ShareAsk::For(recipient) => to.audience = recipient.into(),
            ShareAsk::Also(part) => to.audience = to.audience.turned(part),
            ShareAsk::On(paper) => to.paper = paper,
            ShareAsk::Grey(grey) => to.grey = grey,
            ShareAsk::Scale(scale) => to.scale = scale,
            ShareAsk::Contact(contact) => to.contact = contact,
            ShareAsk::Look => {
                self.share_view.is_drawing = true;
                let request = self.share_request(self.share_view.to.clone());
                self.worker.request_looks(request);
            }
            ShareAsk::TurnTo(sheet) => self.share_view.turned_to = sheet,
            ShareAsk::Over => self.share_over(),
        }
    }

    /// Shows sheets that were drawn.
    pub fn take_looks(&mut self, looks: Result<Vec<Arc<Look>>, String>) {
        self.share_view.is_drawing = false;
        match looks {
            Ok(looks) => {
                self.share_view.looks = looks;
                self.share_view.turned_to = 0;
                self.put_up(Sheet::Look);
            }
            Err(trouble) => self.notices.push(trouble),
        }
    }

    /// Asks where a file for somebody else shall stand.
    pub(crate) fn ask_where_to_share(&mut self, ending: &'static str, hands: &mut Hands<'_>) {
        self.share_view.form = ending.rsplit('.').next();
        self.share_view.of_section = ending == "section.png";
        self.share_view.for_keeper = self.stage == Stage::Order;
        self.share_view.of_round = false;
        let name = format!("{}.{ending}", self.file_stem());
        hands.picker.ask(Purpose::Share { name }, Some(&self.offered_folder().join("plan")), hands.ctx);
    }

    /// Writes a file for somebody else, whatever stands there.
    pub(crate) fn perform_share(&mut self, path: PathBuf) {
        let of_section = std::mem::take(&mut self.share_view.of_section);
        let line = self.section_line().filter(|_| of_section).map(|line| line.id.clone());
        let mut to = Addressed { line, ..self.share_view.to.clone() };
        if std::mem::take(&mut self.share_view.for_keeper) {
            to.audience = Recipient::Keeper.into();
        }
        if std::mem::take(&mut self.share_view.of_round) {
            let is_way = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("gpx"));
            if let Some(bytes) = self.round_for_receiver().filter(|_| is_way) {
                self.worker.write(path, bytes);
                return;
            }
            to.audience = Recipient::Round.into();
            to.round = (self.round_view.by, self.round_view.extent);
        }
        let request = self.share_request(to);
        self.worker.share(path, request);
    }

    fn share_request(&self, to: Addressed) -> ShareRequest {
        ShareRequest {
            plan: self.plan().clone(),
            outcome: Arc::clone(&self.outcome),
            rows: self.rows.clone(),
            ground: self.land.ground.clone(),
            to,
        }
    }
}
