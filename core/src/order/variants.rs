//! What a change of a build would cost: one more strand, a heavier wire. Posts stay where they stand.

use super::{BuiltLine, Order, Site, order};
use crate::catalogue::{Catalogue, WireRow};
use crate::plan::{Build, Kind, Plan, Strand};
use crate::units::Length;
use std::sync::Arc;

/// What is changed.
#[derive(Clone, Debug, PartialEq)]
pub enum WhatIf {
    /// One more live strand above the others.
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

/// Distance of a further strand from the highest one where the build has but one (`common-practice`).
const FURTHER_STRAND: Length = Length::metres(0.2);

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
        let below = build.strands.len().checked_sub(2).map(|index| highest.height - build.strands[index].height);
        let height = highest.height + below.unwrap_or(FURTHER_STRAND);
        found.push(WhatIf::OneMoreStrand { height, wire: highest.wire.clone() });
        if let Some(heavier) = catalogue.wire(&highest.wire).and_then(|row| heavier(row, catalogue)) {
            found.push(WhatIf::HeavierWire { from: highest.wire.clone(), to: heavier.id.clone() });
        }
    }
    found
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
            WhatIf::OneMoreStrand { height, wire } => build.strands.push(Strand::live(*height, wire)),
            WhatIf::HeavierWire { from, to } => {
                build.strands.iter_mut().filter(|strand| strand.wire == *from).for_each(|strand| strand.wire.clone_from(to));
            }
        }
    }
    changed
}
