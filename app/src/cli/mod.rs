//! The commands that work without a window, one file each. They read, reckon, print, and write outputs whole or not at all.

mod answer;
mod check;
mod compare;
mod contours;
mod ending;
mod import;
mod import_log;
mod json;
mod locate;
mod log;
mod measure;
mod mend;
mod opened;
mod order;
mod order_prices;
mod outputs;
mod power;
mod print;
mod progress;
mod readings;
mod recover;
mod reroute;
mod round;
mod section;
mod section_track;
mod share;
mod survey;
mod table;
mod typed;

use crate::files::plain_reason;
use answer::{Answer, Stop};
use clap::{Parser, Subcommand, ValueEnum};
use hillwire_core::job::Job;
use hillwire_core::plan::UnitSystem;
use print::print;
use std::ffi::OsString;
use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

/// The commands that need no window.
pub const WITHOUT_A_WINDOW: [&str; 15] = [
    "survey", "measure", "section", "check", "mend", "power", "locate", "order", "round", "compare", "reroute", "log", "import",
    "share", "recover",
];

/// Done.
pub const DONE: u8 = 0;
/// Done, and `check` found something that must be fixed.
pub const MUST_FIX: u8 = 1;
/// Unusable input or options; nothing was written.
pub const UNUSABLE: u8 = 2;
/// An output could not be written.
pub const UNWRITABLE: u8 = 3;
/// Stopped before it was done: what a shell expects of a program that Ctrl-C ended. Other signals end it with their own number above 128.
pub const STOPPED: u8 = 130;

const EXIT_STATUS: &str = "Exit status: 0 done; 1 done, and check found something that must be fixed;\n\
    2 unusable input or options, nothing written; 3 an output could not be written;\n\
    130, 143 or 129 stopped by an interrupt (SIGINT), a request to end (SIGTERM) or a hang-up (SIGHUP).";

/// Plans electric fence for livestock on steep, wooded ground. Without a command it opens the window.
#[derive(Parser)]
#[command(name = "hillwire", version, after_help = EXIT_STATUS, args_conflicts_with_subcommands = true)]
struct Options {
    #[command(subcommand)]
    command: Option<Command>,
    /// Plan or elevation grid to open in the window
    #[arg(value_name = "PLAN|GRID")]
    file: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Command {
    /// What an elevation grid is: size, place, heights, slopes; slope, shade and contours made from it
    Survey(survey::Options),
    /// Every line: lengths, slopes, climb. Every paddock: area, perimeter
    Measure(measure::Options),
    /// The long section of one line: ground, posts, and the gap under every strand
    Section(section::Options),
    /// What may fail: every finding, worst first
    Check(check::Options),
    /// What the findings offer to change, and what that takes
    Mend(mend::Options),
    /// What arrives of the pulse at every place, and where least
    Power(power::Options),
    /// Where the fault is, from what a voltmeter read
    Locate(locate::Options),
    /// What to buy
    Order(order::Options),
    /// The way round, what to read where, what to take along
    Round(round::Options),
    /// Two layouts side by side, figure by figure
    Compare(compare::Options),
    /// Other courses for one fence, with what speaks for each
    Reroute(reroute::Options),
    /// What was read and found on the rounds, and what it teaches
    Log(log::Options),
    /// What another program drew, or what was written on a round, taken into a plan
    Import(import::Options),
    /// The plan for somebody else: map files, printed sheets, a web page, pictures, the order
    Share(share::Options),
    /// Changes that were never saved or were discarded, had back
    Recover(recover::Options),
}

/// Units of the tables; JSON is always SI.
#[derive(Clone, Copy, ValueEnum)]
enum Units {
    /// Metres, newtons
    Metric,
    /// Feet, pounds
    Us,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}

/// What the program does with the arguments it was started with.
pub fn main() -> ExitCode {
    match Options::try_parse() {
        Ok(Options { command: None, file }) => open_window(file),
        Ok(Options { command: Some(command), .. }) => {
            ending::end_tidily();
            let job = Arc::new(Job::new());
            let shown = progress::show(&job);
            let ended = perform(&command, &job);
            drop(shown);
            // Not locked: what waits for a reader must not keep a signal from being answered.
            ExitCode::from(tell(ended, &mut io::stdout(), &mut io::stderr()))
        }
        Err(usage) => ExitCode::from(explain(&usage, &mut io::stdout().lock(), &mut io::stderr().lock())),
    }
}

/// Runs a command given by its words, the program's name first, as `main` does, but into any writers and never into a window.
pub fn run<W: Into<OsString> + Clone>(words: impl IntoIterator<Item = W>, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    match Options::try_parse_from(words) {
        Ok(Options { command: Some(command), .. }) => tell(perform(&command, &Job::new()), out, err),
        Ok(_) => tell(Err(Stop::unusable(format!("name a command: {}", WITHOUT_A_WINDOW.join(", ")))), out, err),
        Err(usage) => explain(&usage, out, err),
    }
}

fn perform(command: &Command, job: &Job) -> Result<Answer, Stop> {
    match command {
        Command::Survey(options) => survey::survey(options, job),
        Command::Measure(options) => measure::measure(options, job),
        Command::Section(options) => section::section(options, job),
        Command::Check(options) => check::check(options, job),
        Command::Mend(options) => mend::mends(options, job),
        Command::Power(options) => power::power(options, job),
        Command::Locate(options) => locate::locate(options, job),
        Command::Order(options) => order::order(options, job),
        Command::Round(options) => round::round(options, job),
        Command::Compare(options) => compare::compare(options, job),
        Command::Reroute(options) => reroute::reroute(options, job),
        Command::Log(options) => log::log(options, job),
        Command::Import(options) => import::import(options, job),
        Command::Share(options) => share::share(options, job),
        Command::Recover(options) => recover::recover(options),
    }
}

/// Writes the outputs, then prints: notes to `err`, results to `out`. A reader that went away is no trouble.
fn tell(ended: Result<Answer, Stop>, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    match ended.and_then(|mut answer| answer.write_outputs().map(|()| answer)) {
        Ok(answer) => {
            for note in &answer.notes {
                let _ = print(err, &format!("{note}\n"));
            }
            match print(out, &answer.text).and_then(|()| out.flush()) {
                Err(trouble) if trouble.kind() != io::ErrorKind::BrokenPipe => {
                    let _ = writeln!(err, "hillwire: the results could not be printed: {}", plain_reason(&trouble));
                    UNWRITABLE
                }
                _ => answer.status,
            }
        }
        Err(stop) => {
            let _ = print(err, &format!("hillwire: {}\n", stop.says));
            stop.status
        }
    }
}

/// Help and version go to `out`, a misspelled option to `err`.
fn explain(usage: &clap::Error, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let text = usage.render().to_string();
    if usage.use_stderr() {
        let _ = print(err, &text);
        UNUSABLE
    } else {
        let _ = print(out, &text);
        DONE
    }
}

fn open_window(file: Option<PathBuf>) -> ExitCode {
    if !has_display() {
        let names = WITHOUT_A_WINDOW.join(", ");
        let _ = writeln!(
            io::stderr(),
            "hillwire: there is no display here to open a window on; without one these commands work: {names}"
        );
        return ExitCode::from(UNUSABLE);
    }
    crate::window::run(file).unwrap_or_else(|trouble| {
        let _ = print(&mut io::stderr(), &format!("hillwire: {trouble:#}\n"));
        ExitCode::from(UNUSABLE)
    })
}

/// Whether there is anything to open a window on. Only systems with X or Wayland say so in the environment.
fn has_display() -> bool {
    let names_one = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"].into_iter().any(names_one)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_options_do_not_contradict_each_other() {
        Options::command().debug_assert();
    }

    #[test]
    fn the_list_of_commands_is_complete() {
        let command = Options::command();
        let names: Vec<&str> = command.get_subcommands().map(clap::Command::get_name).collect();
        assert_eq!(names, WITHOUT_A_WINDOW);
    }

    #[test]
    fn every_command_has_an_example_in_its_help() {
        for command in Options::command().get_subcommands() {
            let help = command.clone().render_long_help().to_string();
            assert!(help.contains(&format!("hillwire {} ", command.get_name())), "{help}");
        }
    }
}
