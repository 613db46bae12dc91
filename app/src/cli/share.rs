//! `hillwire share`: the plan for somebody else.

use super::answer::{Answer, Stop};
use super::opened::PlanOptions;
use super::outputs::{Outputs, Writing};
use super::typed::whole;
use crate::clock::today;
use crate::files::{Addressed, ENDINGS, Sharing, Waiting, endings};
use crate::words;
use clap::{Args, ValueEnum};
use hillwire_core::job::Job;
use hillwire_core::plan::FeatureId;
use hillwire_core::share::{Audience, Paper, Part, Recipient};
use std::path::PathBuf;

/// The plan for somebody else, by the ending of OUT: .geojson .gpx .kml for map programs and receivers, .pdf sheets to print, .html a web
/// page, .svg .png a picture, .xlsx .csv the order. Each recipient sees a part of the plan only.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire share my-farm.plan.geojson neighbour.html --contact \"Ring 01632 960123\"\n  \
    hillwire share my-farm.plan.geojson sheets.pdf --for contractor --scale 1250")]
pub struct Options {
    /// Plan file
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// File to write: .geojson .gpx .kml .pdf .html .svg .png .csv .xlsx
    #[arg(value_name = "OUT")]
    out: PathBuf,
    /// Who gets it [default: the supplier for .csv and .xlsx, the neighbour for all others]
    #[arg(long = "for", value_enum)]
    recipient: Option<To>,
    /// Show them this on top, several with commas between them
    #[arg(long, value_enum, value_delimiter = ',')]
    also: Vec<Also>,
    /// The long section of this line instead of the map
    #[arg(long, value_name = "ID")]
    line: Option<String>,
    /// Metres on the ground for one on paper [default: as large as it fits]
    #[arg(long, value_name = "1250", value_parser = whole::<1, 1_000_000_000>)]
    scale: Option<u32>,
    /// What it is printed on
    #[arg(long, value_enum, default_value = "a4")]
    paper: OnPaper,
    /// In shades of grey
    #[arg(long)]
    grey: bool,
    /// Whom to ask; it stands on sheets and on the web page
    #[arg(long, value_name = "TEXT")]
    contact: Option<String>,
    #[command(flatten)]
    writing: Writing,
}

/// Who gets it.
#[derive(Clone, Copy, ValueEnum)]
enum To {
    /// Whoever made the plan: everything
    Keeper,
    /// Where it runs and where it is switched off; nothing private
    Neighbour,
    /// What is to be bought; no prices of others
    Supplier,
    /// What is needed to build it; no prices
    Contractor,
    /// What is needed to look after it
    Round,
}

/// What can be shown on top.
#[derive(Clone, Copy, ValueEnum)]
enum Also {
    /// What the checker has to say
    Findings,
    /// What was written to things
    Notes,
    /// What was marked, and the names of zones, trees and measured heights
    Marks,
    /// Readings, faults, strikes and photos
    Log,
    /// What it costs
    Prices,
}

/// What it is printed on.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum OnPaper {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 inches
    Letter,
}

impl From<OnPaper> for Paper {
    fn from(paper: OnPaper) -> Self {
        match paper {
            OnPaper::A4 => Self::A4,
            OnPaper::Letter => Self::Letter,
        }
    }
}

impl Options {
    /// Who gets it, and what is shown to them on top.
    fn audience(&self, to: To) -> Result<Audience, String> {
        let recipient = match to {
            To::Keeper => Recipient::Keeper,
            To::Neighbour => Recipient::Neighbour,
            To::Supplier => Recipient::Supplier,
            To::Contractor => Recipient::Contractor,
            To::Round => Recipient::Round,
        };
        let mut audience = Audience::from(recipient);
        for also in &self.also {
            let part = match also {
                Also::Findings => Part::Findings,
                Also::Notes => Part::Notes,
                Also::Marks => Part::Marks,
                Also::Log => Part::Log,
                Also::Prices => Part::Prices,
            };
            if !audience.sees(part) {
                audience = audience.turned(part);
            }
            if !audience.sees(part) {
                let name = |part: Part| words::EXTRAS.into_iter().find(|(one, ..)| *one == part).map_or("", |(_, name, _)| name);
                let allowed: Vec<&str> = recipient.may_see().map(name).collect();
                let allowed = if allowed.is_empty() { "nothing more".to_owned() } else { allowed.join(", ") };
                let who = words::recipient(recipient);
                return Err(format!("found --also {}; allowed for {who} is {allowed}", name(part)));
            }
        }
        Ok(audience)
    }

    fn addressed(&self, ending: &str) -> Result<Addressed, String> {
        let usual = if matches!(ending, "csv" | "xlsx") { To::Supplier } else { To::Neighbour };
        // Nobody but who builds it or goes round it is shown a long section.
        let usual = if self.line.is_some() { To::Contractor } else { usual };
        Ok(Addressed {
            audience: self.audience(self.recipient.unwrap_or(usual))?,
            paper: self.paper.into(),
            grey: self.grey,
            scale: self.scale,
            line: self.line.as_deref().map(FeatureId::new),
            contact: self.contact.clone(),
            round: Default::default(),
        })
    }
}

/// Writes the plan for somebody else.
///
/// # Errors
/// When a file cannot be used, or the ending is none that can be written.
pub fn share(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let ending = options.out.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    let named = |says: String| Stop::unusable(format!("{}: {says}", options.out.display()));
    // The ending tells the form, of a device or a pipe too.
    if !ENDINGS.contains(&ending.as_str()) {
        let found = if ending.is_empty() { "no ending".to_owned() } else { format!("the ending .{ending}") };
        return Err(named(format!("found {found}; allowed are {}", endings())));
    }
    let plan = PlanOptions { plan: options.plan.clone(), json: false, units: None };
    let opened = plan.open_to_write(&Outputs::new(options.writing).file(Some(&options.out), &ENDINGS), None, job)?;
    let to = options.addressed(&ending).map_err(named)?;
    let sharing = Sharing {
        plan: &opened.file.plan,
        outcome: &opened.outcome,
        catalogue: opened.catalogue(),
        ground: opened.ground.as_deref(),
        to: &to,
        on: today(),
    };
    let of_plan = |says: String| Stop::unusable(format!("{}: {says}", options.plan.display()));
    let bytes = sharing.bytes(&ending).map_err(of_plan)?;
    let mut answer = Answer { outputs: vec![Waiting::of_bytes(&options.out, &bytes)?], ..Answer::default() };
    answer.notes = opened.notes;
    Ok(answer)
}
