//! The campaign: so many spoiled files through every reader. `HOSTILE_FILES` says how many (200 without it, 2000 in `.ci/run`), `HOSTILE_SEED` which
//! ones, `HOSTILE_READER` names a single reader. What failed lies in `target/hostile/`, with the figures in `target/hostile/figures.txt`.

mod driven;

use driven::{Report, follow, left_in, process};
use std::collections::VecDeque;
use std::fmt::Write;
use std::path::Path;
use std::process::Stdio;
use std::sync::Mutex;
use std::{env, fs, thread};

/// Enough for everybody's `cargo test`.
const USUAL_FILES: u64 = 200;

/// Two processes at a time: the machines that check have two cores.
const PROCESSES: usize = 2;

/// A reader that fails on everything needs no more examples.
const ENOUGH_FAULTS: usize = 25;

/// What became of the files of one reader.
#[derive(Default)]
struct Figures {
    reader: String,
    read: usize,
    refused: usize,
    longest: Report,
    largest: Report,
    faults: Vec<(u64, String)>,
}

impl Figures {
    fn take(&mut self, report: Report) {
        match report.fault() {
            Some(fault) => self.faults.push((report.number, fault)),
            None if report.sort == "read" => self.read += 1,
            None => self.refused += 1,
        }
        if report.millis > self.longest.millis {
            self.longest = report.clone();
        }
        if report.memory_kb > self.largest.memory_kb {
            self.largest = report;
        }
    }

    fn line(&self) -> String {
        format!(
            "{:12} {:6} read {:6} refused {:3} wrong; longest {} ms (file {}), most memory {} MB (file {})\n",
            self.reader,
            self.read,
            self.refused,
            self.faults.len(),
            self.longest.millis,
            self.longest.number,
            self.largest.memory_kb / 1024,
            self.largest.number
        )
    }
}

#[test]
fn every_spoiled_file_is_read_or_refused_with_one_message() {
    let (files, seed) = (asked("HOSTILE_FILES", USUAL_FILES), asked("HOSTILE_SEED", 1));
    let only = env::var("HOSTILE_READER").ok();
    let listed = process(&["list"], &env::temp_dir()).stdout(Stdio::piped()).output().expect("the process starts");
    let listed = String::from_utf8(listed.stdout).expect("names");
    let readers: VecDeque<String> =
        listed.lines().filter(|name| only.as_deref().is_none_or(|only| only == *name)).map(str::to_owned).collect();
    assert!(!readers.is_empty(), "no such reader; there are {}", listed.replace('\n', " "));
    let (waiting, done) = (Mutex::new(readers), Mutex::new(Vec::new()));
    thread::scope(|scope| {
        for _ in 0..PROCESSES {
            scope.spawn(|| {
                while let Some(reader) = { waiting.lock().expect("no thread panics").pop_front() } {
                    let figures = through(&reader, seed, files);
                    done.lock().expect("no thread panics").push(figures);
                }
            });
        }
    });
    let done = done.into_inner().expect("no thread panics");
    let table: String = done.iter().map(Figures::line).collect();
    fs::write(left_in().join("figures.txt"), format!("{files} files a reader, seed {seed}\n{table}"))
        .expect("the folder is ours");
    let mut says = String::new();
    for figures in &done {
        for (number, fault) in &figures.faults {
            let _ = writeln!(says, "{} seed {seed} file {number}: {fault}", figures.reader);
        }
        let all = (figures.read + figures.refused) as u64;
        // A campaign whose files are all refused at the door looks at nothing behind it.
        assert!(
            !figures.faults.is_empty() || (all == files && (files < 100 || figures.read * 20 > figures.refused)),
            "{}",
            figures.line()
        );
    }
    assert!(says.is_empty(), "\n{table}\n{says}\nThe files lie in {}.", left_in().display());
}

fn asked(variable: &str, usual: u64) -> u64 {
    env::var(variable)
        .map_or(usual, |word| word.parse().unwrap_or_else(|_| panic!("{variable}: found {word}; allowed are whole numbers")))
}

/// All files of one reader. A file that ends the process is noted, and a new process goes on behind it.
fn through(reader: &str, seed: u64, files: u64) -> Figures {
    let folder = left_in().join(reader);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("the target folder can be written");
    let mut figures = Figures { reader: reader.to_owned(), ..Figures::default() };
    let mut from = 0;
    while from < files && figures.faults.len() < ENOUGH_FAULTS {
        let mut next = files;
        follow(&["work", reader, &seed.to_string(), &from.to_string(), &files.to_string()], &folder, |report| {
            if matches!(report.sort.as_str(), "hung" | "aborted") {
                next = report.number + 1;
            }
            figures.take(report);
        });
        from = next;
    }
    for (number, fault) in &figures.faults {
        keep(reader, seed, *number, fault);
    }
    if figures.faults.is_empty() {
        let _ = fs::remove_dir_all(&folder);
    }
    figures
}

/// Leaves the files of a case, and what they did.
fn keep(reader: &str, seed: u64, number: u64, fault: &str) {
    let folder = left_in().join("failed").join(format!("{reader}-{seed}-{number}"));
    fs::create_dir_all(&folder).expect("the target folder can be written");
    fs::write(folder.join("fault.txt"), fault).expect("the folder is ours");
    write_case(reader, seed, number, &folder);
}

fn write_case(reader: &str, seed: u64, number: u64, folder: &Path) {
    let words = ["write", reader, &seed.to_string(), &number.to_string()];
    let _ = process(&words, folder).stdout(Stdio::null()).stderr(Stdio::null()).status();
}
