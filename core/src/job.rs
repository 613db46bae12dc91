//! Long work: how far it is, and whether somebody no longer wants it.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// Shared between the one who waits and the one who works. Cheap to ask.
#[derive(Debug, Default)]
pub struct Job {
    cancelled: AtomicBool,
    permille: AtomicU32,
}

/// The work was stopped because nobody wanted it any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("stopped before it was done")]
pub struct Cancelled;

impl Job {
    /// Work that has not begun.
    pub fn new() -> Self {
        Self::default()
    }
    /// Asks the work to stop at its next step.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }
    /// Whether somebody asked it to stop.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }
    /// For the middle of a loop: an error once the work is no longer wanted.
    ///
    /// # Errors
    /// [`Cancelled`] after [`Job::cancel`].
    pub fn proceed(&self) -> Result<(), Cancelled> {
        if self.is_cancelled() { Err(Cancelled) } else { Ok(()) }
    }
    /// Says how much of the work is done, 0 to 1.
    pub fn set_share_done(&self, share: f64) {
        self.permille.store((share.clamp(0.0, 1.0) * 1000.0) as u32, Ordering::Relaxed);
    }
    /// How much of the work is done, 0 to 1.
    pub fn share_done(&self) -> f64 {
        f64::from(self.permille.load(Ordering::Relaxed)) / 1000.0
    }
}
