//! What to buy: wire, posts, insulators, strainers, gates; rolls; prices.

mod advised;
mod count;
mod drawn;
mod items;
mod labour;
mod part;
pub mod quote;
mod rolls;
mod signs;
mod take_off;
mod variants;

pub use count::{
    BraceCount, BuiltLine, BuriedCount, CribCount, FenceCount, GateCount, PostCount, StrainCount, StrandCount, WalkCount,
};
pub use labour::{Labour, Task, Terrain, Work};
pub use part::{Part, part_of};
pub use rolls::{Cut, Joint, cut_rolls, rolls_of};
pub use take_off::{CRIMPS_PER_JOINT, TakeOff, TakenAt, TakenOff, WirePiece};
pub use variants::{Variant, WhatIf, variants};

use crate::catalogue::Catalogue;
use crate::hold::FootingMap;
use crate::land::Frame;
use crate::plan::Plan;
use crate::units::Length;
use jiff::civil::Date;

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
    /// Tonnes.
    Tonne,
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
    /// Work that is hired, by the piece.
    Work,
}

/// The counting rule behind a part of what an item takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CountRule {
    /// Netting along lines, by the roll.
    Netting,
    /// The strands' own length on the slope, post to post.
    Strands,
    /// What is wound back where a strand ends.
    Terminations,
    /// What overlaps, or joins, where one roll ends and the next begins.
    Joints,
    /// Line posts, also those in dips and on rises.
    LinePosts,
    /// Pegs between posts, in hollows and on humps.
    Pegs,
    /// Pegs for small hollows and humps that the elevation grid does not show: found on the first walk with the string.
    PegsOnWalk,
    /// Posts that take the strain: corners, ends, gates.
    StrainPosts,
    /// Every strand at every post it only hangs on.
    StrandsAtPosts,
    /// Every strand at every sharp corner it runs through.
    StrandsAtCorners,
    /// Every strand at both ends of every strain.
    StrandsAtEnds,
    /// Every strand of every strain.
    StrandsInStrains,
    /// Posts that are held down.
    HoldDowns,
    /// Braces of corners, ends and gate posts.
    Braces,
    /// Cribs in place of posts.
    Cribs,
    /// Posts that are set in holes drilled into rock.
    InRock,
    /// Jumpers from strand to strand at both ends of every strain.
    JoinedStrands,
    /// Gates.
    Gates,
    /// Crossings under or over a gate.
    Crossings,
    /// Lead-outs.
    LeadOuts,
    /// Drawn in the plan.
    Drawn,
    /// From the energizer to its earth rods and from rod to rod.
    EarthLeads,
    /// Not drawn, and advised: a switch at gates, behind the lead-out, and so often along a fence.
    CutOutsAdvised,
    /// Not drawn, and needed: the earth of an energizer, by what it stores.
    EarthAdvised,
    /// What keeps lightning away from an energizer.
    Lightning,
    /// Along the lines, because a public way is near.
    PublicWay,
    /// Cutting waste.
    Waste,
    /// Spares for the shed.
    Spares,
}

/// A part of what an item takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// Why.
    pub rule: CountRule,
    /// How much, in the item's unit.
    pub amount: f64,
    /// Where; nowhere for waste and spares.
    pub places: Vec<TakenAt>,
}

/// One line of the bill of materials.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Catalogue id (`ht-14ga`, `t-post`, `screw-ring` ...).
    pub id: String,
    /// The heading it stands under.
    pub group: ItemGroup,
    /// What the plan takes, waste and spares included, in `counted_in`.
    pub need: f64,
    /// What the plan takes before waste and spares.
    pub net: f64,
    /// What is in the shed.
    pub on_hand: f64,
    /// What is to be bought, rounded up to whole pieces, packs or rolls.
    pub buy: f64,
    /// In what it is counted.
    pub counted_in: CountedIn,
    /// Length of a roll, when it comes in rolls.
    pub roll: Option<Length>,
    /// Whole rolls to be bought, when it comes in rolls.
    pub rolls: Option<u32>,
    /// How many come in a pack; 1 where they come one by one.
    pub pack: u32,
    /// What is left over in the end, in `counted_in`.
    pub left_over: f64,
    /// What `need` is made of, in the order of the rules.
    pub why: Vec<Share>,
    /// Price of one, when the plan has it.
    pub unit_price: Option<f64>,
    /// The day that price was given.
    pub priced_on: Option<Date>,
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
    /// How many hours it takes.
    pub labour: Labour,
}

/// Where it is built.
#[derive(Clone, Copy)]
pub struct Site<'a> {
    /// The frame of map points.
    pub frame: Frame,
    /// What posts stand in; `None` where that cannot be known.
    pub footings: Option<&'a FootingMap<'a>>,
}

/// The bill of materials of a plan. A line whose build or wire is not in the plan or the catalogue takes its posts only.
///
/// A fence between two paddocks is one line and is bought once.
///
/// # Source
/// `common-practice`: each rule is a [`CountRule`].
pub fn order(plan: &Plan, lines: &[BuiltLine], site: &Site, catalogue: &Catalogue) -> Order {
    let mut taken = TakeOff::default();
    for line in lines {
        if let Some(count) = FenceCount::of(plan, line) {
            taken.line(&count, catalogue);
        }
    }
    taken.drawn(plan, catalogue);
    taken.signs_beside_ways(plan, lines, site.frame);
    taken.advised(plan, lines, site.frame, catalogue);
    let mut order = Order { currency: plan.head.prices.currency.clone(), ..Order::default() };
    for item in taken.items(plan, catalogue) {
        order.total += item.price.unwrap_or(0.0);
        order.unpriced += usize::from(item.buy > 0.0 && item.unit_price.is_none());
        order.items.push(item);
    }
    order.labour = labour::labour(plan, lines, site, catalogue);
    order
}

#[cfg(test)]
#[path = "order_tests.rs"]
mod tests;
