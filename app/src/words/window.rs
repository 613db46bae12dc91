//! Words that only the window needs: gestures, places, counts, trust.

use super::names::label;
use super::{gap, length};
use hillwire_core::finding::Finding;
use hillwire_core::hold::{Post, PostRole, PostWhy};
use hillwire_core::land::Position;
use hillwire_core::order::{CountedIn, Item};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Geometry, Gesture, Plan, UnitSystem};
use hillwire_core::units::Length;

/// What was done, as the end of "Undo: …".
pub fn gesture(gesture: &Gesture) -> String {
    let plain = |word: &str| word.replace('_', "-");
    match gesture {
        Gesture::Drew { kind } => format!("drawing the {}", plain(kind)),
        Gesture::Imported { count } => format!("taking in {count} features"),
        Gesture::Removed { label } => format!("removing {label}"),
        Gesture::RemovedSeveral { count } => format!("removing {count} features"),
        Gesture::MovedCorner { label } => format!("moving a corner of {label}"),
        Gesture::InsertedCorner { label } => format!("a new corner in {label}"),
        Gesture::RemovedCorner { label } => format!("removing a corner of {label}"),
        Gesture::Moved { count } => format!("moving {count} features"),
        Gesture::MovedOne { label } => format!("moving {label}"),
        Gesture::Split { label } => format!("cutting {label} in two"),
        Gesture::Joined { label } => format!("joining {label}"),
        Gesture::Renamed { from, to } => format!("renaming {from} to {to}"),
        Gesture::Noted { label } => format!("the note on {label}"),
        Gesture::ChangedKind { label, .. } => format!("changing {label}"),
        Gesture::ChangedBuild { build } => format!("changing the build {build}"),
        Gesture::AddedBuild { build } => format!("adding the build {build}"),
        Gesture::RemovedBuild { build } => format!("removing the build {build}"),
        Gesture::ChangedGround => "changing the ground".to_owned(),
        Gesture::ChangedCode => "changing whose law holds".to_owned(),
        Gesture::ChangedGrids => "changing the elevation grids".to_owned(),
        Gesture::ChangedSeason => "changing the season".to_owned(),
        Gesture::ChangedStock { group } => format!("changing the group {group}"),
        Gesture::AddedStock { group } => format!("adding the group {group}"),
        Gesture::RemovedStock { group } => format!("removing the group {group}"),
        Gesture::ChangedPrice { item } => format!("the price of {item}"),
        Gesture::ChangedShed { item } => format!("what is in the shed of {item}"),
        Gesture::TookPrices { count } => format!("taking in {count} prices"),
        Gesture::ChangedUnits => "changing the units".to_owned(),
        Gesture::ChangedPlan => "changing the plan".to_owned(),
        Gesture::MovedPost { label } => format!("moving a post of {label}"),
        Gesture::AddedPost { label } => format!("a new post in {label}"),
        Gesture::RemovedPost { label } => format!("taking a post out of {label}"),
        Gesture::PinnedPost { label } => format!("pinning a post of {label}"),
        Gesture::UnpinnedPost { label } => format!("unpinning a post of {label}"),
        Gesture::AllowedPost { label } => format!("allowing posts in {label} again"),
        Gesture::HeldPost { label } => format!("holding down a post of {label}"),
        Gesture::Helped { what } => format!("the change “{what}”"),
        Gesture::ChangedPictures => "changing the air photos".to_owned(),
        Gesture::SetLayoutAside { name } => format!("setting the layout “{name}” aside"),
        Gesture::TookLayout { name } => format!("taking the layout “{name}”"),
        Gesture::ForgotLayout { name } => format!("forgetting the layout “{name}”"),
        Gesture::Rerouted { label } => format!("the other course of {label}"),
        Gesture::BroughtBack => "bringing back what was not saved".to_owned(),
        Gesture::TookFromFile => "taking the plan from its file".to_owned(),
        Gesture::Mended { label } => format!("mending {label}"),
    }
}

/// The name of what stands at a place as a point.
pub fn standing_at(place: Position, plan: &Plan) -> Option<String> {
    let mut here = plan.features.iter().filter(|feature| matches!(feature.geometry, Geometry::Point(at) if at == place));
    here.next().map(|feature| feature.label().to_owned())
}

/// Where a finding is: the line's name and the station, or the name of what stands there.
pub fn place(finding: &Finding, plan: &Plan, units: UnitSystem) -> String {
    let place = &finding.place;
    let line = place.line.as_ref().map(|id| label(id, plan)).or_else(|| standing_at(place.at, plan));
    let stations = match (place.station, place.until) {
        (Some(from), Some(until)) => Some(format!("{} to {}", length(from, units), length(until, units))),
        (Some(at), None) => Some(format!("at {}", length(at, units))),
        _ => None,
    };
    let parts: Vec<String> = line.into_iter().chain(stations).collect();
    if parts.is_empty() { "the whole plan".to_owned() } else { parts.join(", ") }
}

/// Why a post stands where it stands, in a sentence.
pub fn why(post: &Post, units: UnitSystem) -> String {
    match post.why {
        PostWhy::End => "The line ends here, and the post takes the strain.".to_owned(),
        PostWhy::Turn => "The line turns here.".to_owned(),
        PostWhy::Gate => "A gate hangs or closes here.".to_owned(),
        PostWhy::Pinned => "You put it here.".to_owned(),
        PostWhy::LongestBay => "Without it the bay would be longer than the build allows.".to_owned(),
        PostWhy::Band { strand, off, at } => {
            let way = if off > Length::ZERO { "too high over a dip" } else { "too low over a rise" };
            format!("Without it strand {} would hang {} {way} at {}.", strand + 1, gap(off.abs(), units), length(at, units))
        }
        PostWhy::Tree => "A living tree stands here and carries the strands: no post is needed.".to_owned(),
        PostWhy::UnknownGround => "Nobody knows the ground here, so posts stand close.".to_owned(),
        PostWhy::Spacing => "It evens the bays, or keeps clear of where no post may stand.".to_owned(),
    }
}

/// Stands for figures that are not there yet.
pub const WORKING_OUT: &str = "Working it out…";

/// Posts to be driven for a line.
pub fn post_count(line: &LineOutcome) -> usize {
    line.standing_posts().count()
}

/// `52 posts`, `52 posts and 4 pegs`.
pub fn posts_and_pegs(line: &LineOutcome) -> String {
    let posts = post_count(line);
    match line.standing_pegs().count() {
        0 => format!("{posts} posts"),
        1 => format!("{posts} posts and 1 peg"),
        pegs => format!("{posts} posts and {pegs} pegs"),
    }
}

/// How many posts of a line have this role.
pub fn posts_with_role(line: &LineOutcome, role: PostRole) -> usize {
    line.standing_posts().chain(line.standing_pegs()).filter(|post| post.role == role).count()
}

/// What a grid of this cell size can be trusted for: dips deeper than 15 cm that a coarser copy of real 1 m lidar still showed under
/// 8 m spans were 61 % at 2 m, 27 % at 5 m, 12 % at 10 m and 3 % at 30 m.
pub fn grid_trust(cell_m: f64) -> &'static str {
    if cell_m <= 1.5 {
        "Cells this small show dips, rises and strand heights. Roots and rooted soil they do not show: walk the line."
    } else if cell_m <= 2.5 {
        "Large dips and rises show, small ones do not: walk the line with a string before you trust a gap."
    } else if cell_m <= 6.0 {
        "Good for lengths, slopes and roughly for post counts. It cannot tell dips: walk the line."
    } else if cell_m <= 15.0 {
        "Good for lengths, slopes and access. It cannot tell dips or strand heights."
    } else {
        "Rough lengths only. It cannot tell dips, strand heights or where steep ground begins."
    }
}

/// What is to be bought of an item: wire by the roll where it comes in rolls.
pub fn to_buy(item: &Item, units: UnitSystem) -> String {
    match item.rolls {
        Some(rolls) if rolls > 0 => amount(f64::from(rolls), CountedIn::Roll, units),
        _ => amount(item.buy, item.counted_in, units),
    }
}

/// An amount with what it is counted in.
pub fn amount(amount: f64, counted_in: CountedIn, units: UnitSystem) -> String {
    match counted_in {
        CountedIn::Metre => length(Length::metres(amount), units),
        CountedIn::Piece => super::count(amount),
        CountedIn::Roll if (amount - 1.0).abs() < 1e-9 => "1 roll".to_owned(),
        CountedIn::Roll => format!("{} rolls", super::count(amount)),
        CountedIn::Tonne => format!("{amount:.1} t"),
    }
}
