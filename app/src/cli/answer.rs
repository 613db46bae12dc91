//! How a command ends: with an answer to print and outputs to write, or with one reason why not.

use super::{DONE, STOPPED, UNUSABLE, UNWRITABLE};
use crate::files::{FileTrouble, Waiting};
use hillwire_core::job::Cancelled;
use serde_json::Value;

/// What a command has to say and to write.
#[derive(Debug, Default)]
pub struct Answer {
    /// For standard output.
    pub text: String,
    /// For standard error, one a line.
    pub notes: Vec<String>,
    /// Files that wait beside their places.
    pub outputs: Vec<Waiting>,
    /// Exit status.
    pub status: u8,
}

impl Answer {
    /// A table, or any other text.
    pub fn text(text: String) -> Self {
        Self { text, status: DONE, ..Self::default() }
    }
    /// One JSON document.
    pub fn json(value: &Value) -> Self {
        Self::text(format!("{value:#}\n"))
    }
    /// Puts all outputs in their places. None is put there before all are on the disk.
    ///
    /// # Errors
    /// When one cannot be written.
    pub fn write_outputs(&mut self) -> Result<(), Stop> {
        Ok(Waiting::put_all(std::mem::take(&mut self.outputs))?)
    }
}

/// Why a command could not be done.
#[derive(Debug)]
pub struct Stop {
    /// Exit status.
    pub status: u8,
    /// One sentence that names the file and the place.
    pub says: String,
}

impl Stop {
    /// What is said is one line, whatever the names of files hold.
    fn new(status: u8, says: &str) -> Self {
        Self { status, says: says.replace('\n', "\\n") }
    }

    /// Input or options that cannot be used.
    pub fn unusable(says: String) -> Self {
        Self::new(UNUSABLE, &says)
    }
}

impl From<FileTrouble> for Stop {
    fn from(trouble: FileTrouble) -> Self {
        let status = match trouble {
            FileTrouble::Unwritable { .. } => UNWRITABLE,
            FileTrouble::Cancelled(_) => STOPPED,
            _ => UNUSABLE,
        };
        Self::new(status, &trouble.to_string())
    }
}

impl From<Cancelled> for Stop {
    fn from(cancelled: Cancelled) -> Self {
        Self { status: STOPPED, says: cancelled.to_string() }
    }
}
