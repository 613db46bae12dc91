//! What an order says: why something is bought, where it goes, in what it comes.

use super::{count, length, set_length};
use hillwire_core::order::{CountRule, CountedIn, Item, TakenAt};
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::units::Length;

/// Why a part of an item is needed.
pub fn count_rule(rule: CountRule) -> &'static str {
    match rule {
        CountRule::Strands => "strands, post to post on the slope",
        CountRule::Terminations => "ends of strands",
        CountRule::Joints => "joints, where one roll ends and the next begins",
        CountRule::LinePosts => "line posts",
        CountRule::StrainPosts => "corner, end and gate posts",
        CountRule::StrandsAtPosts => "strands at posts",
        CountRule::StrandsAtCorners => "strands round sharp corners",
        CountRule::StrandsAtEnds => "strands at both ends of each strain",
        CountRule::StrandsInStrains => "strands of each strain, where it is pulled tight",
        CountRule::HoldDowns => "posts that are held down",
        CountRule::Braces => "braces",
        CountRule::Cribs => "cribs",
        CountRule::InRock => "posts in rock",
        CountRule::GatePosts => "gate posts",
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
