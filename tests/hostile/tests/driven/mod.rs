//! Starts the process that reads, under limits, and follows what it says.

#![allow(dead_code, reason = "each test uses its own part of this")]

use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::{Duration, Instant};

/// No file may take more of the processor.
const LONGEST: Duration = Duration::from_secs(20);
/// No file may take longer by the clock, on however busy a machine: where nothing moves, the processor is not asked for either.
const LONGEST_BY_CLOCK: Duration = Duration::from_secs(240);
/// How often a silent process is looked at.
const LOOK: Duration = Duration::from_secs(2);
/// No file may take more memory, kilobytes.
pub const MOST_MEMORY_KB: u64 = 1 << 20;
/// Addresses that the process may ask for, kilobytes: the memory above, and room for the program itself and the stacks of its threads.
const MOST_ADDRESSES_KB: u64 = MOST_MEMORY_KB + 600_000;

/// How the reading of one file ended.
#[derive(Clone, Debug, Default)]
pub struct Report {
    pub number: u64,
    /// `read`, `refused`, `told`, `wrong`, `aborted` or `hung`.
    pub sort: String,
    pub millis: u64,
    pub memory_kb: u64,
    /// What was said, or what went wrong.
    pub words: String,
}

impl Report {
    /// What must not be, if that is what happened.
    pub fn fault(&self) -> Option<String> {
        match self.sort.as_str() {
            "read" | "refused" | "told" if self.memory_kb > MOST_MEMORY_KB => Some(format!("took {} MB", self.memory_kb / 1024)),
            "read" | "refused" | "told" => None,
            sort => Some(format!("{sort}: {}", self.words)),
        }
    }
}

/// Where everything of the campaign is left.
pub fn left_in() -> PathBuf {
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().expect("it lies in the target folder");
    target.join("hostile")
}

/// The process with these words, in a folder, with as much memory as is allowed.
pub fn process(words: &[&str], folder: &Path) -> Command {
    let program = env!("CARGO_BIN_EXE_hostile");
    let mut command = if cfg!(unix) {
        let mut shell = Command::new("sh");
        shell.args(["-c", &format!("ulimit -v {MOST_ADDRESSES_KB} && ulimit -c 0 && exec \"$@\""), "sh", program]);
        shell
    } else {
        Command::new(program)
    };
    // One thread of each kind: two processes share two cores, and threads that wait take addresses.
    command.args(words).current_dir(folder).env("RAYON_NUM_THREADS", "1").env("MALLOC_ARENA_MAX", "2").stdin(Stdio::null());
    // As the program itself starts: what PROJ does not know it says itself.
    command.env("PROJ_DEBUG", "0");
    command
}

/// Runs the process and hands on each report, a last one too for a file that ended it.
pub fn follow(words: &[&str], folder: &Path, mut each: impl FnMut(Report)) {
    let errors = folder.join("errors.txt");
    let mut child = process(words, folder)
        .stdout(Stdio::piped())
        .stderr(File::create(&errors).expect("the folder is ours"))
        .spawn()
        .expect("the process starts");
    let lines = lines_of(&mut child);
    let mut at = None;
    let mut last = (Instant::now(), processor_time(&child));
    let sort = loop {
        match lines.recv_timeout(LOOK) {
            Ok(line) => {
                last = (Instant::now(), processor_time(&child));
                match parsed(&line) {
                    Line::Start(number) => at = Some(number),
                    Line::End(report) => {
                        at = None;
                        each(report);
                    }
                }
            }
            Err(RecvTimeoutError::Timeout) => {
                let used = processor_time(&child).zip(last.1).map(|(now, before)| now.saturating_sub(before));
                if used.unwrap_or_else(|| last.0.elapsed()) > LONGEST || last.0.elapsed() > LONGEST_BY_CLOCK {
                    break "hung";
                }
            }
            Err(RecvTimeoutError::Disconnected) => break "aborted",
        }
    };
    let _ = child.kill();
    let status = child.wait().expect("it is ours");
    let said = fs::read_to_string(&errors).unwrap_or_default();
    if sort == "hung" || !status.success() {
        let words =
            if sort == "hung" { format!("longer than {LONGEST:?}") } else { format!("{}: {}", shown(status), said.trim()) };
        each(Report { number: at.unwrap_or_default(), sort: sort.to_owned(), words, ..Report::default() });
    } else if !said.trim().is_empty() {
        let words = format!("a library writes past the program: {}", said.chars().take(500).collect::<String>());
        each(Report { number: u64::MAX, sort: "wrong".to_owned(), words, ..Report::default() });
    }
}

/// Time that the processor gave to the process so far, where the system tells.
fn processor_time(child: &Child) -> Option<Duration> {
    let line = fs::read_to_string(format!("/proc/{}/stat", child.id())).ok()?;
    // Behind the name, which may hold anything: state, parent ..., then hundredths of a second of its own and of the system for it.
    let mut after_name = line.rsplit_once(')')?.1.split_whitespace().skip(11).map(|word| word.parse::<u64>().ok());
    let hundredths = after_name.next()?? + after_name.next()??;
    Some(Duration::from_millis(hundredths * 10))
}

enum Line {
    Start(u64),
    End(Report),
}

fn parsed(line: &str) -> Line {
    let mut parts = line.splitn(6, '\t');
    let mut part = || parts.next().unwrap_or_default();
    if part() == "start" {
        return Line::Start(part().parse().expect("the process says the number"));
    }
    let number = part().parse().unwrap_or_default();
    let sort = part().to_owned();
    let (millis, memory_kb) = (part().parse().unwrap_or_default(), part().parse().unwrap_or_default());
    Line::End(Report { number, sort, millis, memory_kb, words: part().to_owned() })
}

fn lines_of(child: &mut Child) -> Receiver<String> {
    let out = BufReader::new(child.stdout.take().expect("it is piped"));
    let (to, from) = channel();
    thread::spawn(move || {
        for line in out.lines().map_while(Result::ok) {
            if to.send(line).is_err() {
                return;
            }
        }
    });
    from
}

fn shown(status: ExitStatus) -> String {
    #[cfg(unix)]
    if let Some(signal) = std::os::unix::process::ExitStatusExt::signal(&status) {
        return format!("ended by signal {signal}");
    }
    status.to_string()
}
