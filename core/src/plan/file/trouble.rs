//! What can be wrong with a plan file, and what is worth saying about one that is not wrong.

use super::super::FeatureId;
use std::borrow::Cow;
use std::fmt;

/// Why a plan file cannot be used: the place, what was found there and what is allowed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanError {
    /// Name of the file, as the caller gave it.
    pub file: Box<str>,
    /// Line of the text, 1 the first.
    pub line: usize,
    /// Id of the feature, when the trouble is in one; its number in the file (`#3`) when it has no usable id.
    pub feature: Option<Box<str>>,
    /// The member or property, with those around it: `hillwire.builds[0].strands[1].height_m`.
    pub property: Option<Box<str>>,
    /// What stands there.
    pub found: Box<str>,
    /// What may stand there.
    pub allowed: Box<str>,
    /// The file's version, when it is newer than this program reads.
    pub newer_version: Option<u32>,
}

impl PlanError {
    /// Trouble in a line of a file that is in no feature.
    pub(super) fn in_line(file: &str, line: usize, found: &str, allowed: &str) -> Self {
        let (file, found, allowed) = (file.into(), found.into(), allowed.into());
        Self { file, line, feature: None, property: None, found, allowed, newer_version: None }
    }
}

impl std::error::Error for PlanError {}

impl fmt::Display for PlanError {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "{}, line {}", self.file, self.line)?;
        if let Some(feature) = &self.feature {
            write!(to, ", feature {feature}")?;
        }
        if let Some(property) = &self.property {
            write!(to, ", {property}")?;
        }
        write!(to, ": found {}; allowed is {}", self.found, self.allowed)?;
        if let Some(version) = self.newer_version {
            write!(to, " (the file is of the newer version {version})")?;
        }
        Ok(())
    }
}

/// Something worth saying about a file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlanNote {
    /// The file is of a newer version: it may be looked at, not saved.
    NewerVersion {
        /// Its version.
        found: u32,
        /// The newest version this program knows.
        known: u32,
    },
    /// A member that is not of the form; kept.
    UnknownMember {
        /// The feature it is in, when it is in one.
        feature: Option<FeatureId>,
        /// The member, with those around it.
        member: String,
    },
    /// A property that is not of the feature's kind; kept.
    UnknownProperty {
        /// The feature.
        feature: FeatureId,
        /// The property.
        property: String,
    },
    /// A kind that this version does not know; the feature is kept and drawn grey.
    UnknownKind {
        /// The feature.
        feature: FeatureId,
        /// The word.
        kind: String,
    },
    /// A feature without a kind; kept and drawn grey.
    NoKind {
        /// The feature.
        feature: FeatureId,
    },
    /// A feature that came without an id was given this one.
    GivenId {
        /// The new id.
        feature: FeatureId,
        /// Line of the text.
        line: usize,
    },
    /// Corners carry heights; they are kept and not used.
    Heights {
        /// The feature.
        feature: FeatureId,
    },
    /// A fence names a build that the plan does not have.
    NoSuchBuild {
        /// The fence.
        feature: FeatureId,
        /// The name.
        build: String,
    },
    /// A stock group is of a class that neither the catalogue nor the plan's own rows have.
    NoSuchClass {
        /// The group.
        group: String,
        /// Its class.
        class: String,
        /// The classes of its species.
        allowed: Vec<String>,
    },
    /// A class has another name since the version that wrote the plan.
    RenamedClass {
        /// The group.
        group: String,
        /// What it was.
        from: String,
        /// What it is now.
        to: String,
    },
    /// Own rows of the catalogue that are used no more, or only in part, since the version that wrote the plan.
    RowsOfBefore {
        /// The section, and the row where it is one.
        rows: String,
    },
    /// Two neighbouring corners lie at the same place.
    SamePlace {
        /// The feature.
        feature: FeatureId,
        /// Index of the second of the two.
        corner: usize,
    },
    /// A geometry that this program does not draw (a geometry collection, nothing at all ...); kept.
    UnknownGeometry {
        /// The feature.
        feature: FeatureId,
    },
    /// A feature of several parts, or of none, was taken apart on import.
    TakenApart {
        /// The feature's id, or its number in the file.
        feature: String,
        /// How many parts.
        parts: usize,
    },
    /// A walked line was thinned on import: nothing of it lies farther off than [`super::THINNED_TO_M`].
    Thinned {
        /// What it is called.
        feature: String,
        /// How many places it had.
        from: usize,
        /// How many it kept.
        to: usize,
    },
}

impl PlanNote {
    /// Whether the plan may only be looked at.
    pub fn makes_read_only(&self) -> bool {
        matches!(self, Self::NewerVersion { .. })
    }
}

/// What a text that is no JSON has at its error's place, in our words.
pub(super) fn not_json(error: &serde_json::Error, text: &str) -> String {
    let said = error.to_string();
    let begins = |one_of: &[&str]| one_of.iter().any(|begin| said.starts_with(begin));
    if begins(&["EOF"]) {
        return "text that breaks off (the end is missing)".to_owned();
    }
    let plain = [
        (&["control character"][..], "a quoted text that does not end on its line"),
        (&["trailing characters"], "more text behind the end"),
        (&["key must be a string"], "a name without quotes"),
        (&["expected `:`"], "a name without a colon"),
        (&["expected `,`"], "neither a comma nor the end of a list or an object"),
        (&["trailing comma"], "a comma with nothing behind it"),
        (&["invalid number", "number out of range"], "a number that is none"),
        (&["recursion"], "lists or objects far too deep in each other"),
        (&["invalid escape", "invalid unicode", "lone", "unexpected end of hex"], "a \\ that begins no sign"),
    ];
    if let Some((_, ours)) = plain.iter().find(|(theirs, _)| begins(theirs)) {
        return (*ours).to_owned();
    }
    let line = text.lines().nth(error.line().saturating_sub(1)).unwrap_or_default();
    let before = line.char_indices().take_while(|(at, _)| *at < error.column()).map(|(_, sign)| sign);
    let is_part = |sign: &char| !sign.is_whitespace() && !"{}[]:,\"".contains(*sign);
    let begun: usize = before.collect::<Vec<_>>().iter().rev().take_while(|sign| is_part(sign)).map(|sign| sign.len_utf8()).sum();
    let from = line.get(error.column().saturating_sub(begun).min(line.len())..).unwrap_or_default();
    let word: String = from.chars().take_while(is_part).take(20).collect();
    if word.is_empty() { "no value where one is needed".to_owned() } else { format!("{word}, which is no value,") }
}

/// Something wrong at an address of the text; becomes a [`PlanError`] where the file and the feature are known.
#[derive(Debug)]
pub(super) struct Trouble {
    /// Address in memory of the first byte of what is wrong; the text's own address makes it an offset.
    pub address: usize,
    /// The members around it, innermost first.
    pub path: Vec<String>,
    pub found: String,
    pub allowed: Cow<'static, str>,
}

impl Trouble {
    /// The same, seen from the member around it.
    pub fn under(mut self, step: impl Into<String>) -> Self {
        self.path.push(step.into());
        self
    }

    /// `hillwire.builds[0].id`
    pub fn property(&self) -> Option<String> {
        let joined = self.path.iter().rev().fold(String::new(), |mut path, step| {
            if !path.is_empty() && !step.starts_with('[') {
                path.push('.');
            }
            path.push_str(step);
            path
        });
        (!joined.is_empty()).then_some(joined)
    }
}
