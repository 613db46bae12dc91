//! From counts to items: the counting rules, one function each.

use super::count::{FenceCount, GateCount};
use super::rolls::{JOINT_M, cut_rolls};
use super::{CountRule, CountedIn, Item, ItemGroup, Share};
use crate::catalogue::{Catalogue, Conductor, Metal};
use crate::hold::BRACE_M;
use crate::plan::Plan;
use crate::units::Length;
use std::collections::BTreeMap;

/// Wire wound back where a strand ends, metres (`common-practice`).
const TERMINATION_M: f64 = 0.60;
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
/// Crimp sleeves of a joint, and of an end (`common-practice`).
pub const CRIMPS_PER_JOINT: f64 = 2.0;
/// Cable that rises at each side of a crossing, metres (`common-practice`).
const RISER_M: f64 = 1.2;
/// Cable that rises at each side of a crossing over the gate, metres (`common-practice`: clear of a vehicle).
const OVERHEAD_RISER_M: f64 = 3.0;
/// Slack of a crossing's cable, metres (`common-practice`).
const CABLE_SLACK_M: f64 = 1.0;
/// Conduit beyond the width of a crossing, metres (`common-practice`).
const CONDUIT_OVERLAP_M: f64 = 1.0;

/// What ties a brace where the fence has no hard wire.
const BRACE_WIRE: &str = "soft-9ga";
/// Pins that hold the rail of a brace (`common-practice`).
const PINS_PER_BRACE: f64 = 2.0;
/// Wire of a brace: twice round from the foot of one post to the top of the other, a metre to twist each time, metres (`common-practice`).
const BRACE_WIRE_M: f64 = 2.0 * (2.0 * BRACE_M + 1.0);

/// What leads a pulse under or over something.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cable<'a> {
    /// Catalogue id.
    pub id: &'a str,
    /// How many side by side.
    pub conductors: u32,
    /// Why.
    pub rule: CountRule,
}

/// Whether it is a core in a sheath.
fn is_cable(id: &str, catalogue: &Catalogue) -> bool {
    catalogue.wire(id).is_some_and(|wire| matches!(wire.electrical, Conductor::Cable { .. }))
}

/// Pieces of one wire, and how much of them is what.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WirePieces {
    /// One piece for each strand of each strain, net, metres.
    pub pieces_m: Vec<f64>,
    /// Of that, the strands' own length, metres.
    pub strands_m: f64,
    /// Of that, what is wound back at ends, metres.
    pub terminations_m: f64,
    /// Of that, what ties braces, metres.
    pub braces_m: f64,
}

/// One item while it is being counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TakenOff {
    /// Amount by rule, net.
    pub by_rule: BTreeMap<CountRule, f64>,
}

impl TakenOff {
    /// Net amount.
    pub fn net(&self) -> f64 {
        self.by_rule.values().sum()
    }
}

/// What lines take, before it is held against the shed and the price list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TakeOff {
    /// Wires by catalogue id.
    pub wires: BTreeMap<String, WirePieces>,
    /// Everything else by heading and catalogue id.
    pub others: BTreeMap<(ItemGroup, String), TakenOff>,
}

impl TakeOff {
    pub(super) fn add(&mut self, group: ItemGroup, id: &str, rule: CountRule, amount: f64) {
        if amount > 0.0 {
            *self.others.entry((group, id.to_owned())).or_default().by_rule.entry(rule).or_default() += amount;
        }
    }

    /// Takes off one line.
    pub fn line(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        if let Some(buried) = &count.buried {
            let cable = Cable { id: &buried.cable, conductors: buried.conductors, rule: CountRule::LeadOuts };
            self.buried(&cable, buried.length_m, catalogue);
        }
        self.strands(count, catalogue);
        self.posts(count);
        self.braces(count, catalogue);
        self.insulators(count, catalogue);
        self.strains(count, catalogue);
        count.gates.iter().for_each(|gate| self.gate(gate, count, catalogue));
    }

    /// Wire: strands on the slope, and what is wound back at both ends of every strain. Joints come with the rolls.
    fn strands(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        for strand in &count.strands {
            if is_cable(&strand.wire, catalogue) {
                self.add(ItemGroup::Gates, &strand.wire, CountRule::LeadOuts, count.strand_length().as_metres());
                continue;
            }
            let wire = self.wires.entry(strand.wire.clone()).or_default();
            for strand in &count.strains {
                wire.pieces_m.push(strand.as_metres() + 2.0 * TERMINATION_M);
                wire.strands_m += strand.as_metres();
                wire.terminations_m += 2.0 * TERMINATION_M;
            }
        }
    }

    /// Posts by row; a living tree is not bought.
    fn posts(&mut self, count: &FenceCount) {
        for row in count.posts.iter().filter(|row| row.post != "tree") {
            let rule = if row.hung_on { CountRule::LinePosts } else { CountRule::StrainPosts };
            self.add(ItemGroup::Posts, &row.post, rule, f64::from(row.count));
        }
    }

    /// Braces: a second post, a rail, two pins, and a wire wound round twice from foot to top. Hard fence wire ties them itself.
    fn braces(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let is_hard = |id: &&str| catalogue.wire(id).is_some_and(crate::catalogue::WireRow::is_high_tensile);
        let own = count.strands.iter().map(|strand| strand.wire.as_str()).find(is_hard);
        for row in &count.braces {
            let braces = f64::from(row.count);
            self.add(ItemGroup::Posts, &row.post, CountRule::Braces, braces);
            self.add(ItemGroup::Fittings, "brace-rail", CountRule::Braces, braces);
            self.add(ItemGroup::Fittings, "brace-pin", CountRule::Braces, PINS_PER_BRACE * braces);
            let wire = self.wires.entry(own.unwrap_or(BRACE_WIRE).to_owned()).or_default();
            wire.pieces_m.extend((0..row.count).map(|_| BRACE_WIRE_M));
            wire.braces_m += BRACE_WIRE_M * braces;
        }
    }

    /// Insulators: live strands at every post they hang on, at sharp corners, at both ends of every strain. An earth-return strand is
    /// stapled to wood.
    fn insulators(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let live = count.strands.iter().filter(|strand| strand.live).count() as f64;
        let earthed = count.strands.len() as f64 - live;
        for row in count.posts.iter().filter(|row| row.hung_on) {
            let Some(id) = catalogue.post(&row.post).and_then(|post| post.insulator.as_deref()) else { continue };
            self.add(ItemGroup::Insulators, id, CountRule::StrandsAtPosts, live * f64::from(row.count));
            if catalogue.insulator(id).is_some_and(|insulator| insulator.fits == "wood") {
                self.add(ItemGroup::Fittings, "staple", CountRule::StrandsAtPosts, earthed * f64::from(row.count));
            }
        }
        let strains = count.strains.len() as f64;
        self.add(ItemGroup::Insulators, "donut", CountRule::StrandsAtCorners, live * f64::from(count.sharp_corners));
        self.add(ItemGroup::Insulators, "bull-nose", CountRule::StrandsAtEnds, 2.0 * live * strains);
    }

    /// Strainers and springs for metal strands, crimps at their ends, jumpers between live strands.
    fn strains(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let strains = count.strains.len() as f64;
        let is_metal = |id: &str| catalogue.wire(id).is_some_and(|wire| wire.metal != Metal::Composite);
        let metal = count.strands.iter().filter(|strand| is_metal(&strand.wire)).count() as f64;
        self.add(ItemGroup::Fittings, "strainer", CountRule::StrandsInStrains, metal * strains);
        self.add(ItemGroup::Fittings, "spring", CountRule::StrandsInStrains, f64::from(count.springs) * metal * strains);
        self.add(ItemGroup::Fittings, "hold-down", CountRule::HoldDowns, f64::from(count.hold_downs));
        self.add(ItemGroup::Fittings, "crimp", CountRule::Terminations, 2.0 * CRIMPS_PER_JOINT * metal * strains);
        let live = count.strands.iter().filter(|strand| strand.live).count() as f64;
        self.add(ItemGroup::Fittings, "jumper", CountRule::JoinedStrands, (live - 1.0).max(0.0) * 2.0 * strains);
    }

    /// A gate: a handle with its anchor for each live strand, and the crossing.
    fn gate(&mut self, gate: &GateCount, count: &FenceCount, catalogue: &Catalogue) {
        let cable = Cable { id: &gate.cable, conductors: 1, rule: CountRule::Crossings };
        let live = count.strands.iter().filter(|strand| strand.live && gate.live).count() as f64;
        self.add(ItemGroup::Gates, "gate-handle", CountRule::Gates, live);
        self.add(ItemGroup::Gates, "gate-anchor", CountRule::Gates, live);
        self.add(ItemGroup::Power, "warning-sign", CountRule::Gates, 2.0);
        match gate.crossing.as_str() {
            "underground" => self.buried(&cable, gate.width_m, catalogue),
            "overhead" => {
                let cable_m = gate.width_m + 2.0 * OVERHEAD_RISER_M + CABLE_SLACK_M;
                self.cable(&cable, cable_m, catalogue);
                self.add(ItemGroup::Gates, "clamp", CountRule::Crossings, 2.0);
            }
            _ => {}
        }
    }

    /// A cable in the ground: its risers and slack, conduit, two clamps.
    fn buried(&mut self, cable: &Cable<'_>, length_m: f64, catalogue: &Catalogue) {
        self.cable(cable, length_m + 2.0 * RISER_M + CABLE_SLACK_M, catalogue);
        self.add(ItemGroup::Gates, "conduit", cable.rule, length_m + CONDUIT_OVERLAP_M);
        self.add(ItemGroup::Gates, "clamp", cable.rule, 2.0 * f64::from(cable.conductors));
    }

    /// Cable in a sheath is bought by the metre wherever it lies, any other wire from its rolls.
    pub(super) fn cable(&mut self, cable: &Cable<'_>, length_m: f64, catalogue: &Catalogue) {
        if is_cable(cable.id, catalogue) {
            self.add(ItemGroup::Gates, cable.id, cable.rule, length_m * f64::from(cable.conductors));
            return;
        }
        let wire = self.wires.entry(cable.id.to_owned()).or_default();
        for _ in 0..cable.conductors {
            wire.pieces_m.push(length_m);
            wire.strands_m += length_m;
        }
    }

    /// Items, held against the shed and the price list.
    pub fn items(mut self, plan: &Plan, catalogue: &Catalogue) -> Vec<Item> {
        let wires = std::mem::take(&mut self.wires);
        let mut items = Vec::new();
        for (id, wire) in &wires {
            items.extend(self.wire_item(id, wire, plan, catalogue));
        }
        items.extend(self.others.iter().map(|((group, id), taken)| other_item(*group, id, taken, (plan, catalogue))));
        items
    }

    /// Wire is bought in whole rolls, joints and waste counted; the joints' crimps go with the fittings.
    fn wire_item(&mut self, id: &str, wire: &WirePieces, plan: &Plan, catalogue: &Catalogue) -> Option<Item> {
        let row = catalogue.wire(id)?;
        let waste = if row.metal == Metal::Composite { TAPE_WASTE } else { WIRE_WASTE };
        let on_hand = on_hand(plan, id);
        let gross: Vec<f64> = wire.pieces_m.iter().map(|piece_m| piece_m * (1.0 + waste)).collect();
        let cut = cut_rolls(&gross, on_hand, row.roll.as_metres());
        let joints = f64::from(cut.joints);
        let small_part = if row.metal == Metal::Composite { ("joint", 1.0) } else { ("crimp", CRIMPS_PER_JOINT) };
        self.add(ItemGroup::Fittings, small_part.0, CountRule::Joints, joints * small_part.1);
        let net = wire.strands_m + wire.terminations_m + wire.braces_m + joints * JOINT_M;
        let why = [
            (CountRule::Strands, wire.strands_m),
            (CountRule::Braces, wire.braces_m),
            (CountRule::Terminations, wire.terminations_m),
            (CountRule::Joints, joints * JOINT_M),
            (CountRule::Waste, net * waste),
        ];
        let buy = f64::from(cut.rolls) * row.roll.as_metres();
        Some(Item {
            rolls: Some(cut.rolls),
            roll: Some(row.roll),
            ..item(plan, id, ItemGroup::Wire, CountedIn::Metre, Amounts { net, need: net * (1.0 + waste), buy }, shares(&why))
        })
    }
}

struct Amounts {
    net: f64,
    need: f64,
    buy: f64,
}

fn on_hand(plan: &Plan, id: &str) -> f64 {
    plan.head.on_hand.get(id).copied().unwrap_or(0.0).max(0.0)
}

fn shares(why: &[(CountRule, f64)]) -> Vec<Share> {
    why.iter().filter(|(_, amount)| *amount > 0.0).map(|(rule, amount)| Share { rule: *rule, amount: *amount }).collect()
}

fn other_item(group: ItemGroup, id: &str, taken: &TakenOff, (plan, catalogue): (&Plan, &Catalogue)) -> Item {
    let net = taken.net();
    let in_metres = catalogue.wire(id).is_some() || catalogue.fitting(id).is_some_and(|row| row.counted_in == "metre");
    let (extra, rule) = match group {
        ItemGroup::Insulators => ((net * INSULATOR_SPARES).ceil(), CountRule::Spares),
        ItemGroup::Posts => ((net / 100.0).floor() * POST_SPARES_PER_HUNDRED, CountRule::Spares),
        ItemGroup::Fittings if matches!(id, "crimp" | "staple") => ((net * SMALL_PART_SPARES).ceil(), CountRule::Spares),
        _ => (0.0, CountRule::Spares),
    };
    let mut why: Vec<(CountRule, f64)> = taken.by_rule.iter().map(|(rule, amount)| (*rule, *amount)).collect();
    why.push((rule, extra));
    let need = net + extra;
    let buy = (need - on_hand(plan, id) - 1e-9).max(0.0).ceil();
    let counted_in = if in_metres { CountedIn::Metre } else { CountedIn::Piece };
    item(plan, id, group, counted_in, Amounts { net, need, buy }, shares(&why))
}

fn item(plan: &Plan, id: &str, group: ItemGroup, counted_in: CountedIn, amounts: Amounts, why: Vec<Share>) -> Item {
    let unit_price = plan.head.prices.items.get(id).copied();
    Item {
        id: id.to_owned(),
        group,
        need: amounts.need,
        net: amounts.net,
        on_hand: on_hand(plan, id),
        buy: amounts.buy,
        counted_in,
        roll: None,
        rolls: None,
        why,
        unit_price,
        price: unit_price.map(|price| price * amounts.buy),
    }
}

impl FenceCount {
    /// Length of one strand over all strains.
    pub fn strand_length(&self) -> Length {
        self.strains.iter().copied().sum()
    }
}
