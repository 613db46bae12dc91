//! What an order says: why something is bought, where it goes, in what it comes.

use super::{count, gap, length, money, set_length, wire_in_short};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::order::quote::Mismatch;
use hillwire_core::order::{CountRule, CountedIn, Item, ItemGroup, Order, TakenAt, Task, Terrain, Variant, WhatIf, Work};
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::units::Length;

/// Why a part of an item is needed.
pub fn count_rule(rule: CountRule) -> &'static str {
    match rule {
        CountRule::Netting => "netting along lines, by the roll",
        CountRule::Strands => "strands, post to post on the slope",
        CountRule::Terminations => "ends of strands",
        CountRule::Joints => "joints, where one roll ends and the next begins",
        CountRule::LinePosts => "line posts",
        CountRule::Pegs => "pegs in hollows and on humps",
        CountRule::PegsOnWalk => "pegs for small hollows, found on the walk",
        CountRule::StrainPosts => "corner, end and gate posts",
        CountRule::StrandsAtPosts => "strands at posts",
        CountRule::StrandsAtCorners => "strands round sharp corners",
        CountRule::StrandsAtEnds => "strands at both ends of each strain",
        CountRule::StrandsInStrains => "strands of each strain, where it is pulled tight",
        CountRule::HoldDowns => "posts that are held down",
        CountRule::Braces => "braces",
        CountRule::Cribs => "cribs",
        CountRule::InRock => "posts in rock",
        CountRule::JoinedStrands => "strands joined at both ends of each strain",
        CountRule::Gates => "gates",
        CountRule::Crossings => "crossings at gates",
        CountRule::LeadOuts => "lead-outs",
        CountRule::Drawn => "drawn in the plan",
        CountRule::EarthLeads => "from the energizer to its earth rods",
        CountRule::CutOutsAdvised => "not drawn, and advised: at gates, behind lead-outs, every 400 m",
        CountRule::EarthAdvised => "not drawn, and needed: the energizer's earth",
        CountRule::Lightning => "against lightning, at the energizer",
        CountRule::PublicWay => "along public ways",
        CountRule::Waste => "cutting waste",
        CountRule::Spares => "spares",
    }
}

/// How many of the posts that an order lists go in for one of these rules.
fn posts_for(order: &Order, rules: &[CountRule]) -> f64 {
    let posts = order.items.iter().filter(|item| item.group == ItemGroup::Posts);
    posts.flat_map(|item| &item.why).filter(|share| rules.contains(&share.rule)).map(|share| share.amount).sum()
}

/// How many pegs an order lists, those too that are found on the walk.
pub fn pegs_in(order: &Order) -> f64 {
    posts_for(order, &[CountRule::Pegs, CountRule::PegsOnWalk])
}

/// What of the order is for hollows that only a walk shows: `Pegs for small hollows: 12, found on the walk`.
pub fn pegs_for_walk(order: &Order) -> Option<String> {
    let pegs = posts_for(order, &[CountRule::PegsOnWalk]);
    (pegs > 0.0).then(|| format!("Pegs for small hollows: {}, found on the walk", count(pegs)))
}

/// Where a part of an item goes: the line's name and its station.
pub fn taken_at(taken: &TakenAt, plan: &Plan, units: UnitSystem) -> String {
    let name = plan.feature(&taken.feature).map_or_else(|| taken.feature.to_string(), |feature| feature.label().to_owned());
    match (taken.from, taken.until) {
        (Some(from), Some(until)) => format!("{name}, {} to {}", length(from, units), length(until, units)),
        (Some(at), None) => format!("{name}, at {}", length(at, units)),
        _ => name,
    }
}

/// In what an item comes: `roll of 805 m`, `pack of 25`, `piece`, `metre`.
pub fn comes_in(item: &Item, units: UnitSystem) -> String {
    match (item.roll, item.counted_in, item.pack) {
        (Some(roll), ..) => format!("roll of {}", set_length(roll, units)),
        (None, _, pack) if pack > 1 => format!("pack of {pack}"),
        (None, CountedIn::Metre, _) => "metre".to_owned(),
        (None, CountedIn::Tonne, _) => "tonne".to_owned(),
        _ => "piece".to_owned(),
    }
}

/// An amount of an item that is no purchase: `3`, `12.4 m`, `0.9 t`.
pub fn item_amount(amount: f64, item: &Item, units: UnitSystem) -> String {
    match item.counted_in {
        CountedIn::Metre => length(Length::metres(amount), units),
        CountedIn::Tonne => format!("{amount:.1} t"),
        _ if (amount - amount.round()).abs() > 0.004 => format!("{amount:.1}"),
        _ => count(amount),
    }
}

/// What is done.
pub fn task(task: Task) -> &'static str {
    match task {
        Task::Clearing => "clearing a way of two metres",
        Task::Carrying => "carrying posts from the track",
        Task::LinePosts => "setting line posts",
        Task::Pegs => "setting pegs",
        Task::StrainPosts => "setting corner, end and gate posts",
        Task::Braces => "building braces and stays",
        Task::Cribs => "building cribs",
        Task::HoldDowns => "holding posts down",
        Task::Strands => "hanging and pulling strands",
        Task::Gates => "hanging gates",
        Task::Digging => "digging cables in",
    }
}

/// The ground that it is done on.
pub fn terrain(terrain: Terrain) -> &'static str {
    match terrain {
        Terrain::Easy => "easy ground",
        Terrain::Steep => "steep or wooded",
        Terrain::Rocky => "rocky",
    }
}

/// How much of a task: `412 m`, `38`, `12 trips`.
pub fn work_amount(work: &Work, units: UnitSystem) -> String {
    match work.task {
        Task::Clearing | Task::Strands | Task::Digging => length(Length::metres(work.amount), units),
        Task::Carrying if work.amount.ceil() <= 1.0 => "1 trip".to_owned(),
        Task::Carrying => format!("{} trips", count(work.amount.ceil())),
        _ => count(work.amount),
    }
}

/// Hours of work: `46 h`, `3.5 h`.
pub fn hours(hours: f64) -> String {
    if hours < 9.95 { format!("{hours:.1}\u{a0}h") } else { format!("{}\u{a0}h", count(hours)) }
}

/// What a change of a build would cost: `pig-2, one more strand at 0.70 m: £78.00 more, 4.1 h more`.
pub fn what_if(variant: &Variant, currency: &str, catalogue: &Catalogue, units: UnitSystem) -> String {
    let wire = |id: &str| wire_in_short(catalogue.label(id).unwrap_or(id));
    let what = match &variant.what {
        WhatIf::OneMoreStrand { height, .. } => format!("one more strand at {}", gap(*height, units)),
        WhatIf::HeavierWire { from, to } => format!("{} in place of {}", wire(to), wire(from)),
    };
    let way = |amount: f64| if amount < 0.0 { "less" } else { "more" };
    let unpriced = match variant.unpriced {
        0 => String::new(),
        1 => ", and one thing more without a price".to_owned(),
        more if more > 1 => format!(", and {more} things more without a price"),
        fewer => format!(", and {} fewer without a price", -fewer),
    };
    let time = match variant.adds_h {
        none if none.abs() < 0.05 => String::new(),
        other => format!(", {} {}", hours(other.abs()), way(other)),
    };
    let cost = money(variant.adds.abs(), currency);
    format!("{}, {what}: {cost} {}{time}{unpriced}", variant.build, way(variant.adds))
}

/// What does not fit in a sheet of prices that came back.
pub fn mismatch(mismatch: &Mismatch, catalogue: &Catalogue) -> String {
    let name = |id: &str| catalogue.label(id).unwrap_or(id).to_owned();
    match mismatch {
        Mismatch::UnknownItem { row, id } => format!("Row {row}: there is nothing called “{id}” here; it is left out."),
        Mismatch::NotAsked { row, id } => format!("Row {row}: this plan does not buy {}; its price is left out.", name(id)),
        Mismatch::NotAPrice { row, id, found } => {
            format!("Row {row}: found “{found}” for the price of {}; a number is needed. It is left out.", name(id))
        }
        Mismatch::Twice { row, id } => {
            format!("Row {row}: {} stands here a second time with another price; both are left out.", name(id))
        }
        Mismatch::OtherQuantity { row, id, asked, found } => {
            format!("Row {row}: {found} of {} were priced; the plan takes {asked} now. The price is taken.", name(id))
        }
        Mismatch::OtherUnit { row, id, asked, found } => {
            format!("Row {row}: {} is priced by the {found}; it was asked for by the {asked}. It is left out.", name(id))
        }
        Mismatch::OtherCurrency { row, id, asked, found } => {
            format!(
                "Row {row}: {} is priced in {found}; the plan counts in {}. It is left out.",
                name(id),
                currency_or_none(asked)
            )
        }
        Mismatch::NoPrice { id } => format!("{} has no price there.", name(id)),
    }
}

fn currency_or_none(code: &str) -> &str {
    if code.is_empty() { "no currency" } else { code }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::order::ItemGroup;

    fn item(roll_m: Option<f64>, pack: u32, counted_in: CountedIn) -> Item {
        Item {
            id: "x".to_owned(),
            group: ItemGroup::Fittings,
            need: 0.0,
            net: 0.0,
            on_hand: 0.0,
            buy: 0.0,
            counted_in,
            roll: roll_m.map(Length::metres),
            rolls: None,
            pack,
            left_over: 0.0,
            why: vec![],
            unit_price: None,
            priced_on: None,
            price: None,
        }
    }

    #[test]
    fn what_comes_in_rolls_and_packs_is_said_to() {
        for (roll_m, pack, counted_in, says) in [
            (Some(805.0), 1, CountedIn::Metre, "roll of 805\u{a0}m"),
            (None, 25, CountedIn::Piece, "pack of 25"),
            (None, 1, CountedIn::Metre, "metre"),
            (None, 1, CountedIn::Tonne, "tonne"),
            (None, 1, CountedIn::Piece, "piece"),
        ] {
            assert_eq!(comes_in(&item(roll_m, pack, counted_in), UnitSystem::Metric), says);
        }
        assert_eq!(item_amount(4.42, &item(None, 1, CountedIn::Piece), UnitSystem::Metric), "4.4");
    }
}
