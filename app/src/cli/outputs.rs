//! What a command may write: each output has an ending of its form, is no input, and takes the place of another file only with `--replace`.

use super::answer::Stop;
use crate::files::{Guard, Over, is_stream, same_place};
use crate::words;
use clap::Args;
use std::path::{Path, PathBuf};

/// Whether files that are there may be replaced.
#[derive(Args, Clone, Copy, Default)]
pub struct Writing {
    /// Write over files that are there already; never over what is read
    #[arg(long)]
    replace: bool,
}

/// A form of output, by the endings that its files may have.
pub type Form = &'static [&'static str];
pub const CSV: Form = &["csv"];
pub const XLSX: Form = &["xlsx"];
pub const GPX: Form = &["gpx"];
pub const SVG: Form = &["svg"];
pub const PNG: Form = &["png"];
pub const GEOTIFF: Form = &["tif", "tiff"];
pub const GEOJSON: Form = &["geojson", "json"];
pub const SHEET: Form = &["pdf", "svg"];

/// All that a command writes, and what it reads besides the plan.
#[derive(Default)]
pub struct Outputs<'a> {
    writing: Writing,
    files: Vec<(&'a Path, Form)>,
    reads: Vec<PathBuf>,
}

impl<'a> Outputs<'a> {
    /// Nothing yet.
    pub fn new(writing: Writing) -> Self {
        Self { writing, ..Self::default() }
    }

    /// This file in this form, where one is wanted.
    #[must_use]
    pub fn file(mut self, path: Option<&'a PathBuf>, form: Form) -> Self {
        self.files.extend(path.map(|path| (path.as_path(), form)));
        self
    }

    /// This file is read too.
    #[must_use]
    pub fn reading(mut self, path: Option<&Path>) -> Self {
        self.reads.extend(path.map(Path::to_owned));
        self
    }

    /// Refuses endings that do not fit and two outputs in one place: before anything is read.
    ///
    /// # Errors
    /// Names the output.
    pub fn check_names(&self) -> Result<(), Stop> {
        for (index, (path, form)) in self.files.iter().enumerate() {
            let named = |says: String| Err(Stop::unusable(format!("{}: {says}", path.display())));
            let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
            if !is_stream(path) && !form.contains(&ending.as_str()) {
                let found = if ending.is_empty() { "no ending".to_owned() } else { format!("the ending .{ending}") };
                let allowed: Vec<String> = form.iter().map(|ending| format!(".{ending}")).collect();
                return named(format!("found {found}; allowed is {}", allowed.join(" or ")));
            }
            if self.files[..index].iter().any(|(before, _)| same_place(before, path)) {
                return named("two outputs have this name; give each its own".to_owned());
            }
        }
        Ok(())
    }

    /// Refuses outputs over what is read, and over other files unless these may be replaced: before any work is done.
    ///
    /// # Errors
    /// Names the output.
    pub fn check(&self, guard: Guard) -> Result<(), Stop> {
        let guard = guard.with(self.reads.iter().cloned());
        for (path, _) in &self.files {
            let named = |says: String| Err(Stop::unusable(format!("{}: {says}", path.display())));
            match guard.over(path) {
                Over::Own => return named("this is the input itself; give the output another name".to_owned()),
                Over::Input(_) => return named("this file is read for it; give the output another name".to_owned()),
                Over::Another { modified } if !self.writing.replace => {
                    let changed = modified.map_or_else(String::new, |at| format!(", last changed {}", words::last_changed(at)));
                    return named(format!(
                        "this file is there already{changed}; give another name, or --replace to write over it"
                    ));
                }
                Over::Another { .. } | Over::Nothing => {}
            }
        }
        Ok(())
    }
}
