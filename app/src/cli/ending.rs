//! A command that is ended from outside leaves nothing half-written behind, and ends as a shell expects of it.

use crate::files::abandon_all;
use std::io::{self, IsTerminal, Write};

/// What a shell expects of a program that a signal ended, without the signal's number.
const BY_SIGNAL: u8 = 128;

/// What is told, and what goes away, before the program ends.
fn tidy_up() -> impl Sized {
    let kept = abandon_all();
    let mut err = io::stderr();
    let clear = if err.is_terminal() { "\r            \r" } else { "" };
    let _ = writeln!(err, "{clear}hillwire: stopped before it was done");
    kept
}

/// From now on an interrupt, a hang-up or a request to terminate ends the program at once and without leftovers.
#[cfg(unix)]
pub fn end_tidily() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    let hang_up = (!ignores(SIGHUP)).then_some(SIGHUP);
    // Without a thread for signals they end the program all the same, only less tidily.
    let Ok(mut signals) = Signals::new([SIGINT, SIGTERM].into_iter().chain(hang_up)) else { return };
    std::thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            let _nothing_is_put_any_more = tidy_up();
            signal_hook::low_level::exit(i32::from(BY_SIGNAL) + signal);
        }
    });
}

/// Whether whoever started the program had it ignore a signal, as `nohup` does. Only Linux tells.
#[cfg(unix)]
fn ignores(signal: i32) -> bool {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).is_some_and(|mask| mask >> (signal - 1) & 1 == 1)
}

/// From now on an interrupt ends the program at once and without leftovers.
#[cfg(not(unix))]
pub fn end_tidily() {
    /// The number of an interrupt.
    const INTERRUPT: i32 = 2;
    let end = || {
        let _nothing_is_put_any_more = tidy_up();
        std::process::exit(i32::from(BY_SIGNAL) + INTERRUPT);
    };
    // Without the handler Ctrl-C still ends the program, only less tidily.
    let _ = ctrlc::set_handler(end);
}
