//! The folder that a process works in: a small farm to take things into, and the commands.

use hillwire::files::{MadeGround, PlanFile, open_ground_of, open_plan, rows_of};
use hillwire_core::catalogue::InUse;
use hillwire_core::job::Job;
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Opened, Plan, read_plan, write_plan};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

/// The plan that things are taken into.
pub const FARM: &str = "farm.plan.geojson";

/// How the reading of one file ended.
#[derive(Debug)]
pub enum Ended {
    /// It was taken.
    Read,
    /// A command said this of it.
    Told(String),
    /// It was refused with these words.
    Refused(String),
    /// Something happened that must not.
    Wrong(String),
}

/// The farm with what follows from it.
pub struct Farm {
    pub file: PlanFile,
    pub rows: InUse,
    pub ground: MadeGround,
    pub outcome: Outcome,
}

/// The folder, laid out.
#[derive(Default)]
pub struct Desk {
    farm: OnceLock<Farm>,
}

impl Desk {
    /// Lays the farm into the folder that this process stands in.
    pub fn laid() -> Self {
        let readings = include_str!("../seeds/readings.plan.geojson");
        let undriven = readings.replace("\"kind\":\"energizer\"", "\"kind\":\"mark\"").replace(",\"model\":\"field\"", "");
        let written = [
            ("undriven.plan.geojson", undriven),
            (FARM, include_str!("../seeds/farm.plan.geojson").to_owned()),
            ("readings.plan.geojson", readings.to_owned()),
            ("farm.asc", farm_heights()),
            ("farm.prj", "EPSG:32630\n".to_owned()),
        ];
        for (name, text) in written {
            fs::write(name, text).expect("the folder is ours");
        }
        Self::default()
    }

    /// The farm; worked out once.
    pub fn farm(&self) -> &Farm {
        self.farm.get_or_init(|| {
            let file = open_plan(Path::new(FARM)).expect("the farm is a plan");
            let rows = rows_of(&file).expect("its rows are good");
            let ground = open_ground_of(&file, None, &Job::new()).expect("its grid is good").expect("it has one");
            let outcome = outcome(&file.plan, 0, Some(&ground.ground), rows.rows(), &mut Kept::default());
            Farm { file, rows, ground, outcome }
        })
    }
}

/// A hillside of 40 x 40 cells of 5 m with a beck in it.
fn farm_heights() -> String {
    let mut text = "ncols 40\nnrows 40\nxllcorner 499900\nyllcorner 6094690\ncellsize 5\nNODATA_value -9999\n".to_owned();
    for row in 0..40_i32 {
        let height = |column: i32| {
            let (x, y) = (f64::from(column), f64::from(row));
            200.0 + 0.9 * y + 0.02 * (x - 27.0).powi(2) + 1.5 * (0.7 * x).sin()
        };
        let cells: Vec<String> = (0..40).map(|column| format!("{:.2}", height(column))).collect();
        text.push_str(&cells.join(" "));
        text.push('\n');
    }
    text
}

/// A refusal, held to what every refusal must be: one line that names the file, and says these words too.
pub fn refused(says: &str, name: &str, needed: &[&str]) -> Ended {
    match fault_of_message(says, name, needed) {
        Some(fault) => Ended::Wrong(format!("{fault}: {says:?}")),
        None => Ended::Refused(says.to_owned()),
    }
}

fn fault_of_message(says: &str, name: &str, needed: &[&str]) -> Option<String> {
    let after = says.split_once(name).map(|(_, after)| after);
    if after.is_none() {
        return Some(format!("a message that does not name {name}"));
    }
    if after.is_some_and(|after| after.trim_matches(|c: char| !c.is_alphanumeric()).is_empty()) {
        return Some("a message that says nothing".to_owned());
    }
    if says.contains('\n') {
        return Some("a message of several lines".to_owned());
    }
    if says.chars().count() > 1000 {
        return Some("a message of more than 1000 letters".to_owned());
    }
    let missing = needed.iter().find(|word| !says.contains(**word));
    missing.map(|word| format!("a message without {word:?}"))
}

/// What a command said.
pub struct Said {
    pub status: u8,
    pub out: String,
    pub err: String,
}

/// Runs a command in this process, and holds it to what every command keeps to.
///
/// # Errors
/// What it did not keep to.
pub fn run(words: &[&str]) -> Result<Said, String> {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let status = hillwire::cli::run(std::iter::once("hillwire").chain(words.iter().copied()), &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).map_err(|_| format!("{words:?}: what it says is no UTF-8"));
    let said = Said { status, out: text(out)?, err: text(err)? };
    let shown = |text: &str| text.chars().any(|c| c.is_control() && c != '\n');
    if shown(&said.out) || shown(&said.err) {
        return Err(format!("{words:?}: a control character goes to the terminal: {:?}", format!("{}{}", said.out, said.err)));
    }
    match status {
        0 | 1 => Ok(said),
        2 if said.out.is_empty() && said.err.lines().count() == 1 => Ok(said),
        _ => Err(format!("{words:?}: status {status}, {} lines of results, says {:?}", said.out.lines().count(), said.err)),
    }
}

/// What a command refused, as a refusal of this file.
pub fn refused_by(said: &Said, name: &str, needed: &[&str]) -> Ended {
    refused(said.err.trim_end(), name, needed)
}

/// Holds that a plan is written and read again the same.
///
/// # Errors
/// What differs.
pub fn comes_back(plan: &Plan) -> Result<(), String> {
    let written = write_plan(plan);
    match read_plan("again", &written) {
        Ok(Opened::Plan(again, _)) if again == *plan && write_plan(&again) == written => Ok(()),
        Ok(Opened::Plan(..)) => Err("it is written and read again as something else".to_owned()),
        Ok(Opened::Import(..)) => Err("it is written and read again as no plan".to_owned()),
        Err(trouble) => Err(format!("it is written and cannot be read again: {trouble}")),
    }
}
