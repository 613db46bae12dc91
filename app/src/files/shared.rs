//! Files that go out to others and come back from them.

use super::{png_of, read_whole};
use crate::words;
use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::land::Ground;
use hillwire_core::order::Order;
use hillwire_core::order::quote::{Quote, quote};
use hillwire_core::outcome::{LineOutcome, Outcome};
use hillwire_core::plan::{FeatureId, Kind, Plan};
use hillwire_core::round::{Asked, By, Extent, Round, round};
use hillwire_core::share::{
    self, Audience, Drawing, MapSheet, Paper, Part, Recipient, SectionPaper, SectionPicture, WorkWords, fitted_sheet, map_sheet,
    order_xlsx, pdf, read_sheet, section_drawing, table_sheets,
};
use jiff::civil::Date;
use std::path::Path;

/// Everything that a file for somebody else is made from.
#[derive(Clone, Copy)]
pub struct Sharing<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What follows from it.
    pub outcome: &'a Outcome,
    /// The catalogue's rows in use.
    pub catalogue: &'a Catalogue,
    /// The ground.
    pub ground: Option<&'a Ground>,
    /// Who gets it, and how.
    pub to: &'a Addressed,
    /// The day that it is made.
    pub on: Date,
}

/// Who gets a file, and how it is made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Addressed {
    /// Who, and what they are shown.
    pub audience: Audience,
    /// What it is printed on.
    pub paper: Paper,
    /// Whether in shades of grey.
    pub grey: bool,
    /// Metres on the ground for one on paper; as large as it fits without it.
    pub scale: Option<u32>,
    /// The line whose long section is wanted instead of the map.
    pub line: Option<FeatureId>,
    /// Whom to ask, for sheets and pages.
    pub contact: Option<String>,
    /// How the round is gone, and how much of it, for who goes it.
    pub round: (By, Extent),
}

/// Endings of files that can be written.
pub const ENDINGS: [&str; 9] = ["geojson", "gpx", "kml", "csv", "xlsx", "svg", "png", "pdf", "html"];

impl Sharing<'_> {
    /// The bytes of a file with this ending.
    ///
    /// # Errors
    /// One sentence.
    pub fn bytes(&self, ending: &str) -> Result<Vec<u8>, String> {
        let to = self.to.audience;
        if !words::gets(to, ending) {
            return Err(format!("{} gets no .{ending}: {}", words::recipient(to.recipient), words::recipient_sees(to.recipient)));
        }
        let (plan, outcome) = (self.plan, self.outcome);
        match ending {
            "geojson" => Ok(share::geojson(plan, outcome, to)),
            "gpx" => Ok(share::gpx(plan, outcome, to)),
            "kml" => Ok(share::kml(plan, outcome, to)),
            "csv" => Ok(share::order_csv(&outcome.order, self.catalogue, to)),
            "xlsx" => order_book(&outcome.order, self.catalogue, to, self.on),
            "html" => {
                let page = words::page_words(plan, outcome, (to, self.catalogue), self.on, self.to.contact.as_deref());
                share::html(plan, outcome, to, &page).map_err(|trouble| trouble.to_string())
            }
            "svg" => Ok(self.picture()?.to_svg()),
            "png" => png_of(&self.picture()?.to_svg()).map_err(|trouble| trouble.to_string()),
            "pdf" => pdf(&words::map_words(plan, outcome, to, self.on, None).title, &self.sheets()?)
                .map_err(|trouble| trouble.to_string()),
            other => Err(format!("found the ending .{other}; allowed are {}", endings())),
        }
    }

    /// The map, or the long section of the line that is wanted.
    fn picture(&self) -> Result<Drawing, String> {
        let drawing = match &self.to.line {
            Some(id) => {
                let line = self.outcome.lines.iter().find(|line| line.id == *id);
                line.and_then(|line| self.section(line, SectionPaper::Screen))
                    .ok_or_else(|| format!("there is no line {id} on known ground to draw"))?
            }
            None => self.map(self.round().as_ref())?,
        };
        Ok(self.inked(drawing))
    }

    /// All sheets that whoever gets it may see.
    ///
    /// # Errors
    /// One sentence.
    pub fn sheets(&self) -> Result<Vec<Drawing>, String> {
        let (to, paper) = (self.to.audience, self.to.paper);
        let mut sheets = Vec::new();
        let round = self.round();
        if to.sees(Part::Fence) && self.to.line.is_none() {
            sheets.push(self.map(round.as_ref())?);
        }
        if to.sees(Part::Posts) {
            let is_wanted = |line: &&std::sync::Arc<LineOutcome>| match &self.to.line {
                Some(id) => line.id == *id,
                None => self.plan.feature(&line.id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_))),
            };
            let lines = self.outcome.lines.iter().filter(is_wanted);
            sheets.extend(
                lines.filter_map(|line| self.section(line, SectionPaper::Page)).map(|drawing| fitted_sheet(drawing, paper)),
            );
        }
        if to.sees(Part::Order) && self.to.line.is_none() && !self.outcome.order.items.is_empty() {
            let table = words::order_table(self.plan, &self.outcome.order, self.catalogue, to, self.on);
            sheets.extend(table_sheets(&table, paper));
        }
        if let Some(round) = &round {
            sheets.extend(table_sheets(&words::round_table(self.plan, round, &self.outcome.lines, self.catalogue), paper));
        }
        if sheets.is_empty() {
            return Err("there is nothing to print yet".to_owned());
        }
        Ok(sheets.into_iter().map(|sheet| self.inked(sheet)).collect())
    }

    fn inked(&self, drawing: Drawing) -> Drawing {
        if self.to.grey { drawing.in_grey() } else { drawing }
    }

    /// The round, for who goes it; `None` for all others, and where there is none.
    fn round(&self) -> Option<Round> {
        let asked = |(by, extent): (By, Extent)| Asked {
            by,
            extent,
            on: Some(self.on),
            state: GroundState::from_word(&self.plan.head.ground.state).unwrap_or(GroundState::Damp),
        };
        let is_wanted = self.to.audience.recipient == Recipient::Round && self.to.line.is_none();
        is_wanted.then(|| round(self.plan, self.outcome, self.ground, self.catalogue, asked(self.to.round)).ok()).flatten()
    }

    fn map(&self, round: Option<&Round>) -> Result<Drawing, String> {
        let to = self.to;
        let words = words::map_words(self.plan, self.outcome, to.audience, self.on, to.contact.as_deref());
        let (plan, outcome, ground) = (self.plan, self.outcome, self.ground);
        let sheet = MapSheet { plan, outcome, ground, to: to.audience, paper: to.paper, scale: to.scale, round, words };
        map_sheet(&sheet).map_err(|trouble| trouble.to_string())
    }

    fn section(&self, line: &LineOutcome, on: SectionPaper) -> Option<Drawing> {
        let cells = words::cells_under(&line.section, self.ground, &self.ground.map(words::Cells::of).unwrap_or_default());
        let picture = words::section_picture(self.plan, line, &self.outcome.findings, &cells, self.catalogue);
        section_drawing(&SectionPicture { on, ..picture })
    }
}

/// The endings as a sentence lists them.
pub fn endings() -> String {
    ENDINGS.map(|ending| format!(".{ending}")).join(", ")
}

/// The order as a spreadsheet, made on this day.
///
/// # Errors
/// One sentence.
pub fn order_book(order: &Order, catalogue: &Catalogue, to: Audience, on: Date) -> Result<Vec<u8>, String> {
    let work = WorkWords { task: words::task, terrain: words::terrain };
    order_xlsx(order, catalogue, to, &work, on).map_err(|trouble| format!("the spreadsheet could not be made: {trouble}"))
}

/// Reads a sheet of prices that somebody filled in, and holds it against the order.
///
/// # Errors
/// One sentence that names the file.
pub fn open_quote(path: &Path, order: &Order, catalogue: &Catalogue) -> Result<Quote, String> {
    let bytes = read_whole(path).map_err(|trouble| trouble.to_string())?;
    let rows = read_sheet(&bytes).map_err(|trouble| format!("{}: {trouble}", path.display()))?;
    quote(&rows, order, catalogue).map_err(|trouble| format!("{}: {trouble}", path.display()))
}
