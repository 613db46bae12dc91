//! From what is taken to what is bought: waste, spares, rolls, packs, what is in the shed, prices.

use super::rolls::{JOINT_M, cut_rolls, rolls_of};
use super::take_off::{CRIMPS_PER_JOINT, TakeOff, TakenAt, TakenOff, WirePiece};
use super::{CountRule, CountedIn, Item, ItemGroup, Share};
use crate::catalogue::{Catalogue, Metal};
use crate::plan::Plan;
use crate::units::Length;
use std::collections::BTreeMap;

/// Cutting waste of metal wire, share (`common-practice`).
const WIRE_WASTE: f64 = 0.04;
/// Cutting waste of polywire, tape and rope, share (`common-practice`).
const TAPE_WASTE: f64 = 0.08;
/// Spare insulators, share (`common-practice`).
const INSULATOR_SPARES: f64 = 0.05;
/// Spare crimps and staples, share (`common-practice`).
const SMALL_PART_SPARES: f64 = 0.10;
/// Spare posts for each full hundred (`common-practice`).
const POST_SPARES_PER_HUNDRED: f64 = 2.0;

impl TakeOff {
    /// Items, held against the shed and the price list.
    pub fn items(mut self, plan: &Plan, catalogue: &Catalogue) -> Vec<Item> {
        let wires = std::mem::take(&mut self.wires);
        let mut items = Vec::new();
        for (id, pieces) in &wires {
            items.extend(self.wire_item(id, pieces, plan, catalogue));
        }
        let others = std::mem::take(&mut self.others);
        items.extend(others.into_iter().map(|((group, id), taken)| other_item(group, &id, taken, (plan, catalogue))));
        items
    }

    /// Wire is bought in whole rolls, joints and waste counted; the joints' crimps go with the fittings.
    fn wire_item(&mut self, id: &str, pieces: &[WirePiece], plan: &Plan, catalogue: &Catalogue) -> Option<Item> {
        let row = catalogue.wire(id)?;
        let is_composite = row.metal == Metal::Composite;
        let waste = if is_composite { TAPE_WASTE } else { WIRE_WASTE };
        let gross: Vec<f64> = pieces.iter().map(|piece| piece.length_m() * (1.0 + waste)).collect();
        let roll_m = row.roll.as_metres();
        let cut = cut_rolls(&gross, &rolls_of(in_shed(plan, id), roll_m), roll_m);
        let (small_part, parts) = match () {
            () if row.is_tape() => ("tape-buckle", 1.0),
            () if is_composite => ("joint", 1.0),
            () => ("crimp", CRIMPS_PER_JOINT),
        };
        let mut why: BTreeMap<CountRule, Vec<TakenAt>> = BTreeMap::new();
        for piece in pieces {
            let wound = TakenAt { amount: piece.wound_m, ..piece.taken.clone() };
            why.entry(piece.rule).or_default().push(piece.taken.clone());
            if piece.wound_m > 0.0 {
                why.entry(CountRule::Terminations).or_default().push(wound);
            }
        }
        for joint in &cut.joints {
            let piece = &pieces[joint.piece];
            let at = |amount: f64| joined_at(piece, joint.at_m / (1.0 + waste), amount);
            why.entry(CountRule::Joints).or_default().push(at(JOINT_M));
            self.add(ItemGroup::Fittings, small_part, CountRule::Joints, at(parts));
        }
        let net: f64 = why.values().flatten().map(|taken| taken.amount).sum();
        let amounts = Amounts { net, need: net * (1.0 + waste), buy: f64::from(cut.rolls) * roll_m };
        let mut shares = shares(why);
        shares.push(Share { rule: CountRule::Waste, amount: net * waste, places: Vec::new() });
        let item = item(plan, id, ItemGroup::Wire, CountedIn::Metre, &amounts, shares);
        Some(Item { rolls: Some(cut.rolls), roll: Some(row.roll), left_over: cut.left_m.iter().sum(), ..item })
    }
}

/// Where a joint comes to lie: so far from the first post as the first length reaches.
fn joined_at(piece: &WirePiece, along_m: f64, amount: f64) -> TakenAt {
    let TakenAt { feature, from, until, .. } = &piece.taken;
    let Some((from, until)) = from.zip(*until) else { return TakenAt { amount, ..piece.taken.clone() } };
    let station = from + Length::metres((along_m - piece.wound_m / 2.0).max(0.0));
    // A strain that passes the start of a closed line ends before it begins: how long the line is, the piece does not know.
    if station <= until || until < from { TakenAt::at(feature, station, amount) } else { TakenAt::at(feature, until, amount) }
}

struct Amounts {
    net: f64,
    need: f64,
    buy: f64,
}

/// The amounts of an item that lie in the shed, each on its own roll or in its own heap.
fn in_shed<'a>(plan: &'a Plan, id: &str) -> &'a [f64] {
    plan.head.on_hand.get(id).map_or(&[], Vec::as_slice)
}

fn on_hand(plan: &Plan, id: &str) -> f64 {
    // The sum of nothing is a negative zero.
    in_shed(plan, id).iter().sum::<f64>() + 0.0
}

fn shares(why: BTreeMap<CountRule, Vec<TakenAt>>) -> Vec<Share> {
    let share = |(rule, places): (CountRule, Vec<TakenAt>)| {
        let amount = places.iter().map(|taken| taken.amount).sum();
        Share { rule, amount, places }
    };
    why.into_iter().map(share).filter(|share| share.amount > 0.0).collect()
}

/// In what everything but strand wire is counted.
fn counted_in(id: &str, catalogue: &Catalogue) -> CountedIn {
    let is_long = |word: &str| word == "metre";
    match catalogue.fitting(id).map(|row| row.counted_in.as_str()) {
        Some("tonne") => CountedIn::Tonne,
        Some(word) if is_long(word) => CountedIn::Metre,
        _ if catalogue.wire(id).is_some() || id == "tube-5mm" => CountedIn::Metre,
        _ => CountedIn::Piece,
    }
}

fn pack(id: &str, catalogue: &Catalogue) -> u32 {
    let insulators = catalogue.insulator(id).map(|row| row.pack);
    insulators.or_else(|| catalogue.fitting(id).map(|row| row.pack)).unwrap_or(1).max(1)
}

fn other_item(group: ItemGroup, id: &str, taken: TakenOff, (plan, catalogue): (&Plan, &Catalogue)) -> Item {
    let net = taken.net();
    let counted_in = counted_in(id, catalogue);
    let spares = match group {
        ItemGroup::Insulators if counted_in == CountedIn::Piece => (net * INSULATOR_SPARES).ceil(),
        ItemGroup::Posts => (net / 100.0).floor() * POST_SPARES_PER_HUNDRED,
        ItemGroup::Fittings if matches!(id, "crimp" | "staple") => (net * SMALL_PART_SPARES).ceil(),
        _ => 0.0,
    };
    let mut shares = shares(taken.by_rule);
    if spares > 0.0 {
        shares.push(Share { rule: CountRule::Spares, amount: spares, places: Vec::new() });
    }
    let need = net + spares;
    let pack = pack(id, catalogue);
    // A tonne is bought by the tenth.
    let step = if counted_in == CountedIn::Tonne { 0.1 } else { f64::from(pack) };
    let buy = ((need - on_hand(plan, id) - 1e-9).max(0.0) / step).ceil() * step;
    Item { pack, ..item(plan, id, group, counted_in, &Amounts { net, need, buy }, shares) }
}

fn item(plan: &Plan, id: &str, group: ItemGroup, counted_in: CountedIn, amounts: &Amounts, why: Vec<Share>) -> Item {
    let unit_price = plan.head.prices.items.get(id).copied();
    let on_hand = on_hand(plan, id);
    Item {
        id: id.to_owned(),
        group,
        need: amounts.need,
        net: amounts.net,
        on_hand,
        buy: amounts.buy,
        counted_in,
        roll: None,
        rolls: None,
        pack: 1,
        left_over: on_hand + amounts.buy - amounts.need,
        why,
        unit_price,
        priced_on: plan.head.prices.dates.get(id).copied(),
        price: unit_price.map(|price| price * amounts.buy),
    }
}
