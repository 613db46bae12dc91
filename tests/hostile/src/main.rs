//! Reads spoiled files one by one in the folder it is started in, and says of each how that ended. `tests/` starts it under limits, so that
//! an abort, a panic or an endless loop is the end of this process and not of the campaign. By hand:
//!
//! ```text
//! hostile list                           the readers
//! hostile work READER SEED FROM TO       reads files FROM up to and without TO
//! hostile write READER SEED NUMBER       writes the files of one case and reads nothing
//! hostile read READER FILE               reads a file that lies here, eight times, each time with other uses of it
//! hostile tell COMMAND FILE              runs a command of the program on a file that lies here
//! hostile make FILE                      makes one of the files that are too large to keep
//! ```
//!
//! Of each file stands a line on standard output: `start NUMBER`, then `end NUMBER SORT MILLISECONDS KILOBYTES WORDS`, with tabs between them;
//! SORT is `read`, `refused`, `told` or `wrong`, MILLISECONDS of the processor, KILOBYTES the most memory that the process had while it was read.

mod bytes;
mod chance;
mod deep;
mod desk;
mod escapes;
mod json;
mod made;
mod packed;
mod photograph;
mod readers;
mod tiff;
mod words;
mod xml;

use chance::Chance;
use desk::{Desk, Ended};
use readers::{READERS, Reader};
use std::io::{self, Write};
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;
use std::process::ExitCode;
use std::sync::OnceLock;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;
use std::{env, fs};

/// What the last panic said.
static PANIC: Mutex<String> = Mutex::new(String::new());

fn main() -> ExitCode {
    let words: Vec<String> = env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["list"] => READERS.iter().for_each(|reader| say(reader.name)),
        ["work", reader, seed, from, to] => work(reader_of(reader), number(seed), number(from)..number(to)),
        ["write", reader, seed, number_of] => {
            drop(write(reader_of(reader), &mut Chance::of(reader, number(seed), number(number_of))))
        }
        ["read", reader, file] => {
            catch_panics();
            let desk = Desk::laid();
            one(0, || eight_times(reader_of(reader), &desk, Path::new(file)));
        }
        ["tell", command, file] => {
            catch_panics();
            let _ = Desk::laid();
            one(0, || tell(command, file));
        }
        ["make", file] => fs::write(file, made::made(file).expect("it can be made")).expect("the folder is ours"),
        _ => {
            say("list | work READER SEED FROM TO | write READER SEED NUMBER | read READER FILE | tell COMMAND FILE | make FILE");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}

fn reader_of(name: &str) -> &'static Reader {
    READERS.iter().find(|reader| reader.name == name).expect("the list has it")
}

fn number(word: &str) -> u64 {
    word.parse().expect("a whole number")
}

/// Works through the files of a seed.
fn work(reader: &Reader, seed: u64, numbers: std::ops::Range<u64>) {
    catch_panics();
    let desk = Desk::laid();
    let mut before: Vec<String> = Vec::new();
    for index in numbers {
        let mut chance = Chance::of(reader.name, seed, index);
        before.drain(..).for_each(|name| drop(fs::remove_file(name)));
        say(&format!("start\t{index}"));
        before = write(reader, &mut chance);
        one(index, || (reader.read)(&desk, Path::new(&before[0]), &mut chance));
    }
}

/// Reads a file so often that every use of it comes up; the first thing that must not be ends it.
fn eight_times(reader: &Reader, desk: &Desk, file: &Path) -> Ended {
    let once = |number| (reader.read)(desk, file, &mut Chance::of("read", 0, number));
    let mut ended = once(0);
    for number in 1..8 {
        if matches!(ended, Ended::Wrong(_)) {
            break;
        }
        ended = once(number);
    }
    ended
}

/// What a command says of a file.
fn tell(command: &str, file: &str) -> Ended {
    let words: Vec<&str> = command.split(' ').chain([file]).collect();
    match desk::run(&words) {
        Ok(said) if said.status == 2 => desk::refused_by(&said, file, &[]),
        Ok(said) => Ended::Told(said.out),
        Err(fault) => Ended::Wrong(fault),
    }
}

/// Writes the files of one case here; their names.
fn write(reader: &Reader, chance: &mut Chance) -> Vec<String> {
    let files = (reader.spoil)(chance);
    let put = |(name, bytes): (String, Vec<u8>)| {
        fs::write(&name, bytes).expect("the folder is ours");
        name
    };
    files.into_iter().map(put).collect()
}

/// Reads one file and says how that ended.
fn one(index: u64, read: impl FnOnce() -> Ended) {
    forget_most_memory();
    let began = processor_ms();
    let ended = panic::catch_unwind(AssertUnwindSafe(read)).unwrap_or_else(|_| {
        let said = PANIC.lock().unwrap_or_else(PoisonError::into_inner).clone();
        Ended::Wrong(format!("panicked: {said}"))
    });
    let (sort, words) = match ended {
        Ended::Read => ("read", String::new()),
        Ended::Refused(says) => ("refused", says),
        Ended::Told(says) => ("told", says),
        Ended::Wrong(fault) => ("wrong", fault),
    };
    let words: String = words.replace(['\n', '\t', '\r'], " ").chars().take(20_000).collect();
    say(&format!("end\t{index}\t{sort}\t{}\t{}\t{words}", processor_ms() - began, most_memory_kb()));
}

fn say(line: &str) {
    let mut out = io::stdout().lock();
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

/// A panic is told in the line of its file instead of on standard error.
fn catch_panics() {
    panic::set_hook(Box::new(|told| {
        *PANIC.lock().unwrap_or_else(PoisonError::into_inner) = told.to_string();
    }));
}

/// Time that the processor gave to this process: on a busy machine a clock tells of its neighbours. Where the system does not tell, the clock.
fn processor_ms() -> u128 {
    static STARTED: OnceLock<Instant> = OnceLock::new();
    let started = STARTED.get_or_init(Instant::now);
    let counted = fs::read_to_string("/proc/self/stat").ok().and_then(|line| ticks(&line));
    counted.map_or_else(|| started.elapsed().as_millis(), |ticks| u128::from(ticks) * 10)
}

/// Hundredths of a second, from the system's line about a process.
fn ticks(line: &str) -> Option<u64> {
    // Behind the name, which may hold anything: state, parent ..., then time of its own and of the system for it.
    let mut after_name = line.rsplit_once(')')?.1.split_whitespace().skip(11).map(|word| word.parse::<u64>().ok());
    Some(after_name.next()?? + after_name.next()??)
}

/// From here on the system counts the most memory anew.
fn forget_most_memory() {
    let _ = fs::write("/proc/self/clear_refs", "5");
}

/// The most memory since then; 0 where the system does not tell.
fn most_memory_kb() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches("kB").trim().parse().ok()).unwrap_or(0)
}
