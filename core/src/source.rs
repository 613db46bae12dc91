//! Where a number comes from. Every limit, catalogue row and formula names a key of `assets/sources.toml`.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::OnceLock;

/// The key of one entry of `assets/sources.toml`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SourceKey(Cow<'static, str>);

impl SourceKey {
    /// A key written in the program.
    pub const fn new(key: &'static str) -> Self {
        Self(Cow::Borrowed(key))
    }
    /// The key as written.
    pub fn as_str(&self) -> &str {
        &self.0
    }
    /// The entry itself, if the key is listed.
    pub fn entry(&self) -> Option<&'static Source> {
        sources().iter().find(|source| source.key == self.0)
    }
}

/// How a source was consulted: what a reader may believe about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Seen {
    /// The text itself was read.
    #[serde(rename = "read")]
    Read,
    /// An excerpt, an abstract, a reprint or a quotation of it was read, not the thing itself.
    #[serde(rename = "second hand")]
    SecondHand,
    /// A named publication, recalled and not re-read.
    #[serde(rename = "from memory")]
    FromMemory,
    /// What the trade does; nobody in particular says so.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// Set by this project: nobody else answers for it.
    #[serde(rename = "chosen here")]
    ChosenHere,
}

/// One entry of `assets/sources.toml`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The key that rows and formulas name.
    pub key: String,
    /// What it is called.
    pub title: String,
    /// Who wrote or issued it: a person or a body; empty for common practice.
    #[serde(default)]
    pub author: String,
    /// When it came out.
    pub year: Option<u16>,
    /// When a page that bears no date was looked at.
    pub looked_at: Option<u16>,
    /// Where in the world it is found: journal, report number, page.
    #[serde(default, rename = "where")]
    pub place: String,
    /// How it was consulted.
    pub seen: Seen,
}

#[derive(Deserialize)]
struct SourceFile {
    source: Vec<Source>,
}

/// All entries of `assets/sources.toml`, in file order.
pub fn sources() -> &'static [Source] {
    static SOURCES: OnceLock<Vec<Source>> = OnceLock::new();
    SOURCES.get_or_init(|| {
        let file: SourceFile =
            toml::from_str(include_str!("../../assets/sources.toml")).expect("assets/sources.toml is part of the program");
        file.source
    })
}
