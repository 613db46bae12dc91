//! Words about what a fence is worth for the animals behind it.

use serde::{Deserialize, Serialize};

/// What a fence parts its stock from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Paddocks on both sides.
    Interior,
    /// Nothing of the keeper's beyond.
    Boundary,
    /// A boundary near a road, a railway or a public path.
    Roadside,
}

impl Purpose {
    /// All of them, the mildest first.
    pub const ALL: [Self; 3] = [Self::Interior, Self::Boundary, Self::Roadside];
    /// Their words in the plan file, in the same order.
    pub const WORDS: [&'static str; 3] = ["interior", "boundary", "roadside"];

    /// Its word in the plan file.
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize]
    }
    /// The purpose with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|purpose| purpose.word() == word)
    }
}

/// What a purpose rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PurposeBasis {
    /// The keeper says so of the line.
    OfLine,
    /// The keeper says so of the paddock.
    OfPaddock,
    /// Paddocks lie on both sides all along.
    PaddocksBeyond,
    /// A public way is near.
    NearWay,
    /// The end of the holding is near.
    NearBoundary,
    /// The end of the holding is drawn, and it is not near.
    OwnLandBeyond,
    /// Nothing is drawn that would tell: taken for inside, and looked at where it would not do for a boundary.
    NothingDrawn,
}

impl PurposeBasis {
    /// Whether nobody has said it.
    pub fn is_guessed(self) -> bool {
        !matches!(self, Self::OfLine | Self::OfPaddock)
    }
}

/// What a fence is worth. Ordered: the best first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Published practice would call it sound.
    #[default]
    Holds,
    /// It holds, and there is something to know.
    Note,
    /// It may fail; somebody has to go and see.
    LookAt,
    /// It does not hold.
    MustFix,
}

impl Grade {
    /// The weight of a finding that says so; `None` where there is nothing to say.
    pub fn weight(self) -> Option<super::Weight> {
        Some(match self {
            Self::Holds => return None,
            Self::Note => super::Weight::Note,
            Self::LookAt => super::Weight::LookAt,
            Self::MustFix => super::Weight::MustFix,
        })
    }
}

/// How stock gets out, or what else is wrong with a fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WayOut {
    /// Under the lowest strand, or the foot of the net.
    Under,
    /// Between two strands.
    Between,
    /// Over the top.
    Over,
    /// Too few strands, whatever their heights.
    Number,
    /// The kind of fence is worth no more for these animals at this purpose.
    Kind,
}
