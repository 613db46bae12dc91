//! How far long work is, on a terminal only.

use hillwire_core::job::Job;
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Work shorter than this shows nothing.
const QUIET: Duration = Duration::from_millis(400);
const STEP: Duration = Duration::from_millis(100);

/// Shows the progress of a job until it is dropped.
pub struct Shown {
    ended: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

/// Shows the progress of a job on standard error when that is a terminal.
pub fn show(job: &Arc<Job>) -> Option<Shown> {
    if !std::io::stderr().is_terminal() {
        return None;
    }
    let ended = Arc::new(AtomicBool::new(false));
    let (job, seen_ended) = (Arc::clone(job), Arc::clone(&ended));
    let thread = thread::spawn(move || print_until(&job, &seen_ended));
    Some(Shown { ended, thread: Some(thread) })
}

fn print_until(job: &Job, ended: &AtomicBool) {
    let mut waited = Duration::ZERO;
    while !ended.load(Ordering::Relaxed) {
        thread::park_timeout(STEP);
        waited += STEP;
        if waited > QUIET && !ended.load(Ordering::Relaxed) {
            let _ = write!(std::io::stderr(), "\r{:<12}", so_far(job.share_done(), waited));
        }
    }
    if waited > QUIET {
        let _ = write!(std::io::stderr(), "\r{:12}\r", "");
    }
}

/// How much of what can be counted is done, else how long it takes already.
fn so_far(share: f64, waited: Duration) -> String {
    if share > 0.0 && share < 1.0 { format!("{:3.0} %", share * 100.0) } else { format!("{} s", waited.as_secs()) }
}

impl Drop for Shown {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
            // A thread that only prints has nothing to report.
            let _ = thread.join();
        }
    }
}
