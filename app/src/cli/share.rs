//! `hillwire share`: the plan for somebody else.

use super::answer::{Answer, Stop, check_outputs};
use super::opened::PlanOptions;
use crate::files::Waiting;
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::share;
use std::path::PathBuf;

/// The plan for somebody else, by the ending of OUT: .geojson is the map for a neighbour, .csv the order for a supplier.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire share my-farm.plan.geojson neighbour.geojson")]
pub struct Options {
    /// Plan file
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// File to write: .geojson or .csv
    #[arg(value_name = "OUT")]
    out: PathBuf,
}

/// Writes the plan for somebody else.
///
/// # Errors
/// When a file cannot be used, or the ending is none that can be written.
pub fn share(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let ending = options.out.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    if !["geojson", "csv"].contains(&ending.as_str()) {
        let found = if ending.is_empty() { "no ending".to_owned() } else { format!("the ending .{ending}") };
        return Err(Stop::unusable(format!("{}: found {found}; allowed are .geojson and .csv", options.out.display())));
    }
    check_outputs(&[&options.out], &[&options.plan])?;
    let plan = PlanOptions { plan: options.plan.clone(), json: false, units: None };
    let opened = plan.open(job)?;
    let bytes = match ending.as_str() {
        "csv" => share::order_csv(&opened.outcome.order, opened.catalogue(), share::Recipient::Supplier),
        _ => share::geojson(&opened.file.plan, &opened.outcome),
    };
    let mut answer = Answer { outputs: vec![Waiting::of_bytes(&options.out, &bytes)?], ..Answer::default() };
    answer.notes = opened.notes;
    Ok(answer)
}
