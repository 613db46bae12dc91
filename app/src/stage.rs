//! The stages of the job, in its order.

/// The stages of the job, in its order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// What is the ground?
    Land,
    /// Where does it run?
    Line,
    /// Will it hold?
    Hold,
    /// Will it bite?
    Power,
    /// What do I buy?
    Order,
    /// Is it still right?
    Round,
    /// Who else must know?
    Share,
}

impl Stage {
    /// All of them, in order.
    pub const ALL: [Self; 7] = [Self::Land, Self::Line, Self::Hold, Self::Power, Self::Order, Self::Round, Self::Share];

    /// Its name.
    pub fn text(self) -> &'static str {
        match self {
            Self::Land => "Land",
            Self::Line => "Line",
            Self::Hold => "Hold",
            Self::Power => "Power",
            Self::Order => "Order",
            Self::Round => "Round",
            Self::Share => "Share",
        }
    }

    /// The question it answers.
    pub fn question(self) -> &'static str {
        match self {
            Self::Land => "What is the ground?",
            Self::Line => "Where does it run?",
            Self::Hold => "Will it hold?",
            Self::Power => "Will it bite?",
            Self::Order => "What do I buy?",
            Self::Round => "Is it still right?",
            Self::Share => "Who else must know?",
        }
    }
}
