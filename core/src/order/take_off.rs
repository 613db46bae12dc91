//! From counts to what they take: the counting rules, one function each.

use super::count::{CRIB, FenceCount, GateCount, StrandCount};
use super::{CountRule, ItemGroup};
use crate::catalogue::{Catalogue, Conductor, Metal, PostRow, WireRow};
use crate::hold::{BRACE_M, FULL_CRIB_KG};
use crate::plan::FeatureId;
use crate::units::Length;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Wire wound back where a strand ends, metres (`common-practice`).
const TERMINATION_M: f64 = 0.60;
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

/// Width of a way under which a cable lies in conduit, metres (`common-practice`).
const WAY_M: f64 = 3.6;

/// What ties a brace or a crib where the fence has no hard wire.
const BRACE_WIRE: &str = "soft-9ga";
/// Pins that hold the rail of a brace (`common-practice`).
const PINS_PER_BRACE: f64 = 2.0;
/// Wire of a brace: twice round from the foot of one post to the top of the other, a metre to twist each time, metres (`common-practice`).
const BRACE_WIRE_M: f64 = 2.0 * (2.0 * BRACE_M + 1.0);
/// Insulating tube where live strands cross the wire of a brace, metres (`common-practice`).
const TUBE_PER_BRACE_M: f64 = 0.3;
/// Rails of a crib (`common-practice`).
const RAILS_PER_CRIB: f64 = 12.0;
/// Wire that ties the rails of a crib, metres (`common-practice`).
const CRIB_WIRE_M: f64 = 20.0;

/// A hole for concrete is so many times as wide as its post (`common-practice`).
const HOLE_WIDTHS: f64 = 2.0;
/// What a bag of 20 kg fills, cubic metres (`common-practice`).
const BAG_M3: f64 = 0.009;

/// A place that takes a part of an item.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenAt {
    /// The line, or the thing drawn by itself.
    pub feature: FeatureId,
    /// Station on the line; `None` where it is the feature as a whole.
    pub from: Option<Length>,
    /// The station that a stretch ends at.
    pub until: Option<Length>,
    /// How much, in the item's unit.
    pub amount: f64,
}

impl TakenAt {
    /// The feature as a whole.
    pub fn whole(feature: &FeatureId, amount: f64) -> Self {
        Self { feature: feature.clone(), from: None, until: None, amount }
    }
    /// At a station of a line.
    pub fn at(line: &FeatureId, station: Length, amount: f64) -> Self {
        Self { from: Some(station), ..Self::whole(line, amount) }
    }
    /// Along a stretch of a line.
    pub fn along(line: &FeatureId, from: Length, until: Length, amount: f64) -> Self {
        Self { until: Some(until), ..Self::at(line, from, amount) }
    }
}

/// What leads a pulse under or over something.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cable<'a> {
    /// Catalogue id.
    pub id: &'a str,
    /// How many side by side.
    pub conductors: u32,
    /// Why.
    pub rule: CountRule,
    /// Of which feature.
    pub feature: &'a FeatureId,
    /// Where on it.
    pub station: Option<Length>,
}

impl Cable<'_> {
    fn takes(&self, amount: f64) -> TakenAt {
        TakenAt { from: self.station, ..TakenAt::whole(self.feature, amount) }
    }
}

/// Whether it is a core in a sheath.
fn is_cable(id: &str, catalogue: &Catalogue) -> bool {
    catalogue.wire(id).is_some_and(|wire| matches!(wire.electrical, Conductor::Cable { .. }))
}

/// A piece of wire that is wanted whole.
#[derive(Clone, Debug, PartialEq)]
pub struct WirePiece {
    /// What it is there for.
    pub rule: CountRule,
    /// Where it is, with its own length in metres.
    pub taken: TakenAt,
    /// What is wound back at its ends, metres.
    pub wound_m: f64,
}

impl WirePiece {
    /// Its whole length, metres.
    pub fn length_m(&self) -> f64 {
        self.taken.amount + self.wound_m
    }
}

/// One item while it is being counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TakenOff {
    /// Amounts by rule, net.
    pub by_rule: BTreeMap<CountRule, Vec<TakenAt>>,
}

impl TakenOff {
    /// Net amount.
    pub fn net(&self) -> f64 {
        self.by_rule.values().flatten().map(|taken| taken.amount).sum()
    }
}

/// What lines take, before it is held against the shed and the price list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TakeOff {
    /// Wires by catalogue id.
    pub wires: BTreeMap<String, Vec<WirePiece>>,
    /// Everything else by heading and catalogue id.
    pub others: BTreeMap<(ItemGroup, String), TakenOff>,
}

impl TakeOff {
    pub(super) fn add(&mut self, group: ItemGroup, id: &str, rule: CountRule, taken: TakenAt) {
        if taken.amount > 0.0 {
            self.others.entry((group, id.to_owned())).or_default().by_rule.entry(rule).or_default().push(taken);
        }
    }

    fn add_all(&mut self, group: ItemGroup, id: &str, rule: CountRule, taken: impl Iterator<Item = TakenAt>) {
        taken.for_each(|taken| self.add(group, id, rule, taken));
    }

    /// Takes off one line.
    pub fn line(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        if let Some(buried) = &count.buried {
            let cable = Cable {
                id: &buried.cable,
                conductors: buried.conductors,
                rule: CountRule::LeadOuts,
                feature: &count.line,
                station: None,
            };
            self.buried(&cable, buried.length_m, catalogue);
            let under_m = f64::from(buried.under_ways) * (WAY_M + CONDUIT_OVERLAP_M);
            self.add(ItemGroup::Gates, "conduit", CountRule::LeadOuts, TakenAt::whole(&count.line, under_m));
        }
        if let Some((net, length_m)) = &count.net {
            let roll_m = catalogue.net(net).map_or(f64::INFINITY, |row| row.roll.as_metres());
            self.add(ItemGroup::Fittings, net, CountRule::Netting, TakenAt::whole(&count.line, length_m / roll_m));
        }
        self.strands(count, catalogue);
        self.posts(count, catalogue);
        self.braces(count, catalogue);
        self.insulators(count, catalogue);
        self.strains(count, catalogue);
        count.gates.iter().for_each(|gate| self.gate(gate, count, catalogue));
    }

    /// Wire: strands on the slope, and what is wound back at both ends of every strain. Joints come with the rolls.
    fn strands(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        for strand in &count.strands {
            if is_cable(&strand.wire, catalogue) {
                let taken = TakenAt::whole(&count.line, count.strand_length().as_metres());
                self.add(ItemGroup::Gates, &strand.wire, CountRule::LeadOuts, taken);
                continue;
            }
            let pieces = count.strains.iter().map(|strain| WirePiece {
                rule: CountRule::Strands,
                taken: TakenAt::along(&count.line, strain.from, strain.to, strain.strand.as_metres()),
                wound_m: 2.0 * TERMINATION_M,
            });
            self.wires.entry(strand.wire.clone()).or_default().extend(pieces);
        }
    }

    /// Posts by row, holes and concrete for those that stand in rock; a living tree is not bought, and a crib is built of its parts. A gate of strands with
    /// handles hangs on nothing: its posts are rammed as others are.
    fn posts(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let at = |station: &Length| TakenAt::at(&count.line, *station, 1.0);
        for row in count.posts.iter().filter(|row| row.post != "tree" && row.post != CRIB) {
            let rule = match () {
                () if row.are_pegs => CountRule::Pegs,
                () if row.hung_on => CountRule::LinePosts,
                () => CountRule::StrainPosts,
            };
            self.add_all(ItemGroup::Posts, &row.post, rule, row.stations.iter().map(at));
            if let Some(post) = catalogue.post(&row.post).filter(|post| post.in_rock) {
                self.add_all(ItemGroup::Work, "rock-hole", CountRule::InRock, row.stations.iter().map(at));
                self.concrete(count, &row.stations, CountRule::InRock, post);
            }
        }
        if let Some(walk) = &count.on_walk {
            self.add(ItemGroup::Posts, &walk.post, CountRule::PegsOnWalk, TakenAt::whole(&count.line, walk.pegs));
        }
    }

    /// Concrete round a post in its hole.
    fn concrete(&mut self, count: &FenceCount, stations: &[Length], rule: CountRule, post: &PostRow) {
        let width_m = post.width.as_metres();
        let around_m2 = PI / 4.0 * width_m.powi(2) * (HOLE_WIDTHS.powi(2) - 1.0);
        let bags = around_m2 * post.depth.as_metres() / BAG_M3;
        let taken = stations.iter().map(|station| TakenAt::at(&count.line, *station, bags));
        self.add_all(ItemGroup::Fittings, "concrete-bag", rule, taken);
    }

    /// Braces: a second post, a rail, two pins, a stick to twist the wire with, and a wire wound round twice from foot to top, where live
    /// strands pass in a tube. Cribs: rails, rock, and what ties them. Hard fence wire ties them itself.
    fn braces(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let is_hard = |id: &&str| catalogue.wire(id).is_some_and(WireRow::is_high_tensile);
        let own = count.strands.iter().map(|strand| strand.wire.as_str()).find(is_hard).unwrap_or(BRACE_WIRE).to_owned();
        let live = count.strands.iter().filter(|strand| strand.live).count() as f64;
        for row in &count.braces {
            for station in &row.stations {
                let at = |amount: f64| TakenAt::at(&count.line, *station, amount);
                self.add(ItemGroup::Posts, &row.post, CountRule::Braces, at(1.0));
                self.add(ItemGroup::Fittings, "brace-rail", CountRule::Braces, at(1.0));
                self.add(ItemGroup::Fittings, "brace-pin", CountRule::Braces, at(PINS_PER_BRACE));
                self.add(ItemGroup::Fittings, "twitch-stick", CountRule::Braces, at(1.0));
                self.add(ItemGroup::Insulators, "tube-5mm", CountRule::Braces, at(TUBE_PER_BRACE_M * live.min(1.0)));
                let wire = WirePiece { rule: CountRule::Braces, taken: at(BRACE_WIRE_M), wound_m: 0.0 };
                self.wires.entry(own.clone()).or_default().push(wire);
            }
            for station in &row.crossed {
                let at = |amount: f64| TakenAt::at(&count.line, *station, amount);
                self.add(ItemGroup::Fittings, "twitch-stick", CountRule::Braces, at(1.0));
                let wire = WirePiece { rule: CountRule::Braces, taken: at(BRACE_WIRE_M), wound_m: 0.0 };
                self.wires.entry(own.clone()).or_default().push(wire);
            }
        }
        for crib in &count.cribs {
            let at = |amount: f64| TakenAt::at(&count.line, crib.station, amount);
            let usual_kg = catalogue.post(CRIB).map_or(0.0, |row| row.mass_kg);
            // Where none holds the one that was chosen is filled all the same; the finding says that it will not do.
            self.add(ItemGroup::Fittings, "crib-rail", CountRule::Cribs, at(RAILS_PER_CRIB));
            self.add(
                ItemGroup::Fittings,
                "crib-rock",
                CountRule::Cribs,
                at(crib.rock_kg.map_or(FULL_CRIB_KG, |kg| kg.max(usual_kg)) / 1000.0),
            );
            let wire = WirePiece { rule: CountRule::Cribs, taken: at(CRIB_WIRE_M), wound_m: 0.0 };
            self.wires.entry(own.clone()).or_default().push(wire);
        }
    }

    /// Insulators: live strands at every post they hang on, at sharp corners, at both ends of every strain. An earth-return strand is
    /// stapled to wood.
    fn insulators(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let is_tape = |strand: &&StrandCount| catalogue.wire(&strand.wire).is_some_and(WireRow::is_tape);
        let live = count.strands.iter().filter(|strand| strand.live).count() as f64;
        let tape = count.strands.iter().filter(|strand| strand.live).filter(is_tape).count() as f64;
        let earthed = count.strands.len() as f64 - live;
        for row in count.posts.iter().filter(|row| row.hung_on) {
            let Some(id) = catalogue.post(&row.post).and_then(|post| post.insulator.as_deref()) else { continue };
            let hung = |amount: f64| row.stations.iter().map(move |station| TakenAt::at(&count.line, *station, amount));
            self.add_all(ItemGroup::Insulators, id, CountRule::StrandsAtPosts, hung(live - tape));
            self.add_all(ItemGroup::Insulators, for_tape(id, catalogue), CountRule::StrandsAtPosts, hung(tape));
            if catalogue.insulator(id).is_some_and(|insulator| insulator.fits == "wood") {
                self.add_all(ItemGroup::Fittings, "staple", CountRule::StrandsAtPosts, hung(earthed));
            }
        }
        if let Some(walk) = &count.on_walk
            && let Some(id) = catalogue.post(&walk.post).and_then(|post| post.insulator.as_deref())
        {
            let taken = TakenAt::whole(&count.line, live * walk.pegs);
            self.add(ItemGroup::Insulators, id, CountRule::PegsOnWalk, taken);
        }
        let corners = |amount: f64| count.sharp_corners.iter().map(move |station| TakenAt::at(&count.line, *station, amount));
        self.add_all(ItemGroup::Insulators, "donut", CountRule::StrandsAtCorners, corners(live - tape));
        self.add_all(ItemGroup::Insulators, "tape-end", CountRule::StrandsAtCorners, corners(tape));
        self.add_all(ItemGroup::Insulators, "bull-nose", CountRule::StrandsAtEnds, at_both_ends(count, live - tape));
        self.add_all(ItemGroup::Insulators, "tape-end", CountRule::StrandsAtEnds, at_both_ends(count, tape));
        self.add_all(ItemGroup::Fittings, "tape-buckle", CountRule::Terminations, at_both_ends(count, tape));
    }

    /// Strainers and springs for metal strands, crimps at their ends, jumpers between live strands.
    fn strains(&mut self, count: &FenceCount, catalogue: &Catalogue) {
        let is_metal = |id: &str| catalogue.wire(id).is_some_and(|wire| wire.metal != Metal::Composite);
        let metal = count.strands.iter().filter(|strand| is_metal(&strand.wire)).count() as f64;
        let live = count.strands.iter().filter(|strand| strand.live).count() as f64;
        let pulled = |amount: f64| count.strains.iter().map(move |strain| TakenAt::at(&count.line, strain.strainer, amount));
        let sprung = count.strains.iter().filter(|strain| strain.springs > 0);
        let springs = sprung.map(|strain| TakenAt::at(&count.line, strain.strainer, f64::from(strain.springs) * metal));
        self.add_all(ItemGroup::Fittings, "strainer", CountRule::StrandsInStrains, pulled(metal));
        self.add_all(ItemGroup::Fittings, "spring", CountRule::StrandsInStrains, springs);
        let held = count.hold_downs.iter().map(|station| TakenAt::at(&count.line, *station, 1.0));
        self.add_all(ItemGroup::Fittings, "hold-down", CountRule::HoldDowns, held);
        self.add_all(ItemGroup::Fittings, "crimp", CountRule::Terminations, at_both_ends(count, CRIMPS_PER_JOINT * metal));
        self.add_all(ItemGroup::Fittings, "jumper", CountRule::JoinedStrands, at_both_ends(count, (live - 1.0).max(0.0)));
    }

    /// A gate: a handle with its anchor for each live strand, and the crossing.
    fn gate(&mut self, gate: &GateCount, count: &FenceCount, catalogue: &Catalogue) {
        let station = Some(gate.station);
        let cable = Cable { id: &gate.cable, conductors: 1, rule: CountRule::Crossings, feature: &count.line, station };
        let at = |amount: f64| TakenAt::at(&count.line, gate.station, amount);
        let live = count.strands.iter().filter(|strand| strand.live && gate.live).count() as f64;
        self.add(ItemGroup::Gates, "gate-handle", CountRule::Gates, at(live));
        self.add(ItemGroup::Gates, "gate-anchor", CountRule::Gates, at(live));
        self.add(ItemGroup::Power, "warning-sign", CountRule::Gates, at(2.0));
        match gate.crossing.as_str() {
            "underground" => self.buried(&cable, gate.width_m, catalogue),
            "overhead" => {
                let cable_m = gate.width_m + 2.0 * OVERHEAD_RISER_M + CABLE_SLACK_M;
                self.cable(&cable, cable_m, catalogue);
                self.add(ItemGroup::Gates, "clamp", CountRule::Crossings, at(2.0));
            }
            _ => {}
        }
    }

    /// A cable in the ground: its risers and slack, conduit under a gate, two clamps.
    fn buried(&mut self, cable: &Cable<'_>, length_m: f64, catalogue: &Catalogue) {
        self.cable(cable, length_m + 2.0 * RISER_M + CABLE_SLACK_M, catalogue);
        // Cable for the ground lies in it bare; conduit keeps it where hooves and wheels press.
        let pressed_m = if cable.rule == CountRule::Crossings { length_m + CONDUIT_OVERLAP_M } else { 0.0 };
        self.add(ItemGroup::Gates, "conduit", cable.rule, cable.takes(pressed_m));
        self.add(ItemGroup::Gates, "clamp", cable.rule, cable.takes(2.0 * f64::from(cable.conductors)));
    }

    /// Cable is cut to length in the shop; a wire that leads the pulse instead of one comes from its roll.
    pub(super) fn cable(&mut self, cable: &Cable<'_>, length_m: f64, catalogue: &Catalogue) {
        if is_cable(cable.id, catalogue) {
            let all_m = f64::from(cable.conductors) * length_m;
            return self.add(ItemGroup::Gates, cable.id, cable.rule, cable.takes(all_m));
        }
        let piece = WirePiece { rule: cable.rule, taken: cable.takes(length_m), wound_m: 0.0 };
        self.wires.entry(cable.id.to_owned()).or_default().extend((0..cable.conductors).map(|_| piece.clone()));
    }
}

/// What tape hangs on where wire would hang on this insulator: a ring frets it.
fn for_tape<'a>(insulator: &'a str, catalogue: &Catalogue) -> &'a str {
    match catalogue.insulator(insulator).map(|row| row.fits.as_str()) {
        Some("wood") => "tape-clamp",
        Some("rod") => "tape-rod-clip",
        Some("t-post") => "tape-t-post-clip",
        _ => insulator,
    }
}

/// An amount at both ends of every strain.
fn at_both_ends(count: &FenceCount, amount: f64) -> impl Iterator<Item = TakenAt> {
    let ends = count.strains.iter().flat_map(|strain| [strain.from, strain.to]);
    ends.map(move |station| TakenAt::at(&count.line, station, amount))
}
