//! Something in the tree that breaks an invariant, and what to do about it.

use std::fmt;

/// One broken invariant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// Path below the repository's top.
    pub file: String,
    /// Line, from 1; 0 for the whole file.
    pub line: usize,
    /// What is wrong and what to do.
    pub says: String,
}

impl Trouble {
    pub fn new(file: &str, line: usize, says: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, says: says.into() }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "{}:{}: {}", self.file, self.line, self.says)
    }
}

/// Fails with all troubles, one a line.
#[track_caller]
pub fn assert_none(troubles: &[Trouble]) {
    let lines: Vec<String> = troubles.iter().map(ToString::to_string).collect();
    assert!(troubles.is_empty(), "\n{}", lines.join("\n"));
}
