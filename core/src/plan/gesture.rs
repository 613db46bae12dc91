//! What somebody did in one step of undo.

/// What somebody did, with the values that a sentence about it needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Gesture {
    /// Drew something of this kind (the word in the plan file).
    Drew {
        /// The kind's word.
        kind: String,
    },
    /// Took features in from another file.
    Imported {
        /// How many.
        count: usize,
    },
    /// Took a feature away.
    Removed {
        /// Its name or id.
        label: String,
    },
    /// Took several features away.
    RemovedSeveral {
        /// How many.
        count: usize,
    },
    /// Moved one corner.
    MovedCorner {
        /// The line's name or id.
        label: String,
    },
    /// Put a corner in.
    InsertedCorner {
        /// The line's name or id.
        label: String,
    },
    /// Took a corner out.
    RemovedCorner {
        /// The line's name or id.
        label: String,
    },
    /// Moved whole features.
    Moved {
        /// How many.
        count: usize,
    },
    /// Moved one whole feature.
    MovedOne {
        /// Its name or id.
        label: String,
    },
    /// Cut a line in two.
    Split {
        /// The line's name or id.
        label: String,
    },
    /// Made one line of two.
    Joined {
        /// The line's name or id.
        label: String,
    },
    /// Gave a feature a name, another one, or none.
    Renamed {
        /// The name or id before.
        from: String,
        /// The name or id after.
        to: String,
    },
    /// Changed a feature's note.
    Noted {
        /// Its name or id.
        label: String,
    },
    /// Said what a feature is, or changed the properties of its kind.
    ChangedKind {
        /// Its name or id.
        label: String,
        /// The kind's word.
        kind: String,
    },
    /// Changed a build of the plan.
    ChangedBuild {
        /// The build's id.
        build: String,
    },
    /// Added a build to the plan.
    AddedBuild {
        /// The build's id.
        build: String,
    },
    /// Took a build out of the plan.
    RemovedBuild {
        /// The build's id.
        build: String,
    },
    /// Changed ground state, soil or vegetation.
    ChangedGround,
    /// Another code holds.
    ChangedCode,
    /// Added an elevation grid to the plan, or took one out.
    ChangedGrids,
    /// Changed temperatures, snow or build-up.
    ChangedSeason,
    /// Changed a group of animals.
    ChangedStock {
        /// The group's id.
        group: String,
    },
    /// Added a group of animals.
    AddedStock {
        /// The group's id.
        group: String,
    },
    /// Took a group of animals out of the plan.
    RemovedStock {
        /// The group's id.
        group: String,
    },
    /// Typed the price of an item.
    ChangedPrice {
        /// Its id.
        item: String,
    },
    /// Typed what is in the shed of an item.
    ChangedShed {
        /// Its id.
        item: String,
    },
    /// Took prices in that somebody had filled in.
    TookPrices {
        /// How many.
        count: usize,
    },
    /// Changed the units.
    ChangedUnits,
    /// Changed stock, prices, what is on hand, or other choices for the whole plan.
    ChangedPlan,
    /// Moved a post along its line.
    MovedPost {
        /// The line's name or id.
        label: String,
    },
    /// Wanted one more post.
    AddedPost {
        /// The line's name or id.
        label: String,
    },
    /// Took a post out.
    RemovedPost {
        /// The line's name or id.
        label: String,
    },
    /// Wanted a planned post to stay where it is.
    PinnedPost {
        /// The line's name or id.
        label: String,
    },
    /// Left the place of a post to planning again.
    UnpinnedPost {
        /// The line's name or id.
        label: String,
    },
    /// Allowed posts again where none was wanted.
    AllowedPost {
        /// The line's name or id.
        label: String,
    },
    /// Held a post down, or let it go.
    HeldPost {
        /// The line's name or id.
        label: String,
    },
    /// A change that brings more of the pulse to the far end.
    Helped {
        /// Which, in words.
        what: String,
    },
    /// Changed the air photos under the plan.
    ChangedPictures,
    /// Set the layout aside under a name.
    SetLayoutAside {
        /// The name.
        name: String,
    },
    /// Put another layout in the place of the one that was drawn.
    TookLayout {
        /// Its name.
        name: String,
    },
    /// Forgot a layout that was set aside.
    ForgotLayout {
        /// Its name.
        name: String,
    },
    /// Took another course for a line.
    Rerouted {
        /// The line's name or id.
        label: String,
    },
    /// Brought back what a journal held.
    BroughtBack,
    /// Took the plan as another program left its file.
    TookFromFile,
    /// Did what a finding offered.
    Mended {
        /// The line's name or id.
        label: String,
    },
}
