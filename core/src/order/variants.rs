//! What a change of a build would cost: one more strand, a heavier wire. Posts stay where they stand.

use super::{BuiltLine, Order, Site, order};
use crate::catalogue::{Catalogue, WireRow};
use crate::plan::{Build, Kind, Plan, Strand};
use crate::units::Length;
use std::sync::Arc;

/// What is changed.
#[derive(Clone, Debug, PartialEq)]
pub enum WhatIf {
    /// One more live strand where the gap is widest.
    OneMoreStrand {
        /// Its height.
        height: Length,
        /// Its wire.
        wire: String,
    },
    /// The next heavier wire of the same kind for all strands of one wire.
    HeavierWire {
        /// The wire now.
        from: String,
        /// The heavier one.
        to: String,
    },
}

/// What a change of one build costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// The build.
    pub build: String,
    /// What is changed.
    pub what: WhatIf,
    /// What that adds to the total; of what has a price.
    pub adds: f64,
    /// What that adds to the hours of work.
    pub adds_h: f64,
    /// How many items more (or fewer) have no price then.
    pub unpriced: i64,
}

/// What is worth asking of every build that a fence is built to.
pub fn variants(plan: &Plan, lines: &[BuiltLine], site: &Site, catalogue: &Catalogue, now: &Order) -> Vec<Variant> {
    let is_used = |build: &&Build| {
        plan.features.iter().any(|feature| matches!(&feature.kind, Kind::Fence(fence) if fence.build == build.id))
    };
    let mut found = Vec::new();
    for build in plan.head.builds.iter().filter(is_used) {
        for what in changes(build, catalogue) {
            let changed = with(plan, &build.id, &what);
            let then = order(&changed, lines, site, catalogue);
            found.push(Variant {
                build: build.id.clone(),
                adds: then.total - now.total,
                adds_h: then.labour.hours - now.labour.hours,
                unpriced: then.unpriced as i64 - now.unpriced as i64,
                what,
            });
        }
    }
    found
}

fn changes(build: &Build, catalogue: &Catalogue) -> Vec<WhatIf> {
    let mut found = Vec::new();
    if let Some(highest) = build.strands.last() {
        found.push(WhatIf::OneMoreStrand { height: in_widest_gap(build), wire: highest.wire.clone() });
        if let Some(heavier) = catalogue.wire(&highest.wire).and_then(|row| heavier(row, catalogue)) {
            found.push(WhatIf::HeavierWire { from: highest.wire.clone(), to: heavier.id.clone() });
        }
    }
    found
}

/// The middle of the widest gap between two strands, to the centimetre; of a single strand, half its height. Never above the others: there a
/// post would end.
fn in_widest_gap(build: &Build) -> Length {
    let heights_m: Vec<f64> = build.strands.iter().map(|strand| strand.height.as_metres()).collect();
    let gaps = heights_m.windows(2).map(|gap| (gap[0], gap[1]));
    let widest = gaps.max_by(|one, other| (one.1 - one.0).total_cmp(&(other.1 - other.0)));
    let (low_m, high_m) = widest.unwrap_or((0.0, heights_m[0]));
    Length::metres((f64::midpoint(low_m, high_m) * 100.0).round() / 100.0)
}

/// The next heavier wire of the same metal and temper.
fn heavier<'a>(row: &WireRow, catalogue: &'a Catalogue) -> Option<&'a WireRow> {
    let is_alike = |other: &&WireRow| {
        other.metal == row.metal && other.is_high_tensile() == row.is_high_tensile() && other.longest_bay.is_some()
    };
    let heavier = catalogue
        .wires
        .iter()
        .filter(|other| !other.is_barbed)
        .filter(is_alike)
        .filter(|other| other.mass_kg_per_m > row.mass_kg_per_m * 1.01);
    heavier.min_by(|a, b| a.mass_kg_per_m.total_cmp(&b.mass_kg_per_m))
}

fn with(plan: &Plan, build: &str, what: &WhatIf) -> Plan {
    let mut changed = plan.clone();
    let head = Arc::make_mut(&mut changed.head);
    for build in head.builds.iter_mut().filter(|row| row.id == build) {
        match what {
            WhatIf::OneMoreStrand { height, wire } => {
                build.strands.push(Strand::live(*height, wire));
                build.strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
            }
            WhatIf::HeavierWire { from, to } => {
                build.strands.iter_mut().filter(|strand| strand.wire == *from).for_each(|strand| strand.wire.clone_from(to));
            }
        }
    }
    changed
}
