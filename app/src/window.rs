//! The window.

use std::path::PathBuf;
use std::process::ExitCode;

/// Opens the window, with a plan or an elevation grid when one is given.
///
/// # Errors
/// When no window can be opened here.
pub fn run(_file: Option<PathBuf>) -> anyhow::Result<ExitCode> {
    anyhow::bail!("this build has no window yet")
}
