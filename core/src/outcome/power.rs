//! The pulse of the whole plan, from last time where no wire has changed.

use super::keep::{Given, GroundKey, Kept, KeptLine};
use crate::catalogue::AnimalRow;
use crate::check::{AT_EASE, Checked, line_animals};
use crate::hold::Section;
use crate::plan::{Feature, FeatureId, Fence, Head, Kind, Network};
use crate::power::{Laid, Power, WiredFrom, helps, least_times, own_state, smaller, wire_up};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// What arrives at every place of the plan's lines; nothing where the soils of the plan are not known.
pub(super) fn power(checked: &Checked, lines: &[Arc<KeptLine>], given: &Given, kept: &mut Kept) -> Arc<Power> {
    let Some(footings) = checked.footings.filter(|_| !lines.is_empty()) else { return Arc::default() };
    let key = PowerKey::of(checked, lines, given);
    if let Some((_, before)) = kept.power.as_ref().filter(|(of, _)| of.is_like(&key)) {
        return Arc::clone(before);
    }
    let sections: HashMap<&FeatureId, &Section> = lines.iter().map(|line| (&line.feature.id, line.section.as_ref())).collect();
    let network = Network::of(checked.plan, checked.frame);
    let from = WiredFrom {
        plan: checked.plan,
        frame: checked.frame,
        network: &network,
        sections: &sections,
        footings,
        catalogue: checked.catalogue,
        animals: &animals(checked),
    };
    let wiring = wire_up(&from);
    let power = match kept.power.take().filter(|(_, before)| *before.wiring == wiring) {
        Some((_, before)) => before,
        None => Arc::new(with_helps(&from, Power::of(Arc::new(wiring), &kept.laid), &kept.laid)),
    };
    kept.power = Some((key, Arc::clone(&power)));
    power
}

/// What the pulse rests on; posts are not part of it.
#[derive(Clone)]
pub(super) struct PowerKey {
    ground: GroundKey,
    head: Arc<Head>,
    catalogue: usize,
    features: Vec<Arc<Feature>>,
    sections: Vec<Arc<Section>>,
}

impl PowerKey {
    fn of(checked: &Checked, lines: &[Arc<KeptLine>], given: &Given) -> Self {
        Self {
            ground: given.ground.clone(),
            head: Arc::clone(&given.head),
            catalogue: given.catalogue,
            features: checked.plan.features.iter().filter(|feature| may_matter(feature)).cloned().collect(),
            sections: lines.iter().map(|line| Arc::clone(&line.section)).collect(),
        }
    }

    fn is_like(&self, other: &Self) -> bool {
        let alike = |(one, other): (&Arc<Feature>, &Arc<Feature>)| Arc::ptr_eq(one, other) || are_wired_alike(one, other);
        self.ground == other.ground
            && Arc::ptr_eq(&self.head, &other.head)
            && self.catalogue == other.catalogue
            && self.sections.iter().map(Arc::as_ptr).eq(other.sections.iter().map(Arc::as_ptr))
            && self.features.len() == other.features.len()
            && self.features.iter().zip(&other.features).all(alike)
    }
}

/// Everything but what no pulse ever meets.
fn may_matter(feature: &Feature) -> bool {
    let never = matches!(
        feature.kind,
        Kind::Track(_)
            | Kind::PublicWay { .. }
            | Kind::Stream { .. }
            | Kind::Boundary { .. }
            | Kind::Water
            | Kind::Shelter
            | Kind::Feed
            | Kind::Tree { .. }
            | Kind::Mark
    );
    !never
}

/// Two fences that differ in their posts only.
fn are_wired_alike(one: &Feature, other: &Feature) -> bool {
    let without_posts = |fence: &Fence| Fence {
        corners: BTreeMap::new(),
        posts: Vec::new(),
        no_posts: Vec::new(),
        hold_downs: Vec::new(),
        ..fence.clone()
    };
    match (&one.kind, &other.kind) {
        (Kind::Fence(of_one), Kind::Fence(of_other)) => {
            one.id == other.id && one.geometry == other.geometry && without_posts(of_one) == without_posts(of_other)
        }
        _ => false,
    }
}

/// A smaller energizer still has to give every animal this many times what is asked for it (`common-practice`).
const SMALLER_LEAVES: f64 = 1.5;

/// What would help is looked for where animals get too little, a smaller energizer where they get plenty.
fn with_helps(from: &WiredFrom, power: Power, laid: &Laid) -> Power {
    let times = least_times(&power.wiring, &power.states, own_state(from.plan));
    let is_short = times.is_some_and(|times| times < AT_EASE);
    let helps = if is_short { helps(from, &power, laid) } else { Vec::new() };
    let smaller = smaller(from, &power, SMALLER_LEAVES, laid);
    Power { helps, smaller, ..power }
}

/// For every fence the animal behind it that minds the pulse least.
fn animals<'a>(checked: &Checked<'a>) -> HashMap<FeatureId, &'a AnimalRow> {
    let fences = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Fence(_)));
    let most = |feature: &Arc<Feature>| {
        line_animals(checked, feature)
            .max_by(|one, other| one.asked_v.total_cmp(&other.asked_v))
            .map(|row| (feature.id.clone(), row))
    };
    fences.filter_map(most).collect()
}
