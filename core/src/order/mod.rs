//! What to buy: wire, posts, insulators, strainers, gates; rolls; prices.

/// In what an item is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CountedIn {
    /// Metres.
    Metre,
    /// Pieces.
    Piece,
    /// Rolls.
    Roll,
}

/// What an item is for: the heading it stands under.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ItemGroup {
    /// Wire, by kind and gauge.
    Wire,
    /// Posts.
    Posts,
    /// Insulators.
    Insulators,
    /// Strainers, springs, joints, brace parts.
    Fittings,
    /// Gates and their crossings.
    Gates,
    /// Warning signs, earth, leads.
    Power,
}

/// One line of the bill of materials.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Catalogue id (`ht-14ga`, `t-post`, `line-insulator` ...).
    pub id: String,
    /// The heading it stands under.
    pub group: ItemGroup,
    /// What the plan takes, waste and spares included, in `counted_in`.
    pub need: f64,
    /// What the plan takes before waste and spares.
    pub net: f64,
    /// What is in the shed.
    pub on_hand: f64,
    /// What is to be bought, rounded up to whole pieces or rolls.
    pub buy: f64,
    /// In what it is counted.
    pub counted_in: CountedIn,
    /// Price of one, when the plan has it.
    pub unit_price: Option<f64>,
    /// Price of what is to be bought.
    pub price: Option<f64>,
}

/// The bill of materials.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Order {
    /// Items by group.
    pub items: Vec<Item>,
    /// ISO 4217 code.
    pub currency: String,
    /// Sum of the known prices.
    pub total: f64,
    /// How many items to be bought have no price.
    pub unpriced: usize,
}
