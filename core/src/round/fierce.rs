//! Stock that may attack whoever comes into its paddock, where the round leads through one.

use super::feeding::standing;
use super::fence::Goes;
use super::legs::Leg;
use crate::catalogue::Catalogue;
use crate::hold::inside;
use crate::plan::FeatureId;
use crate::stock::{row_of, weight_at};
use jiff::civil::Date;

/// Classes that attack to defend themselves or their young (`common-practice`).
const CLASSES: [&str; 4] = ["boar", "litter", "bull", "suckler"];

/// A group that may attack, in a paddock that the round leads through.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fierce {
    /// The group.
    pub group: String,
    /// Its row in the catalogue.
    pub animal: String,
    /// The paddock it stands in.
    pub paddock: FeatureId,
}

/// All of them on a day. A way along a paddock's fence may lead on either side of it.
pub(super) fn fierce(legs: &[Leg], goes: &Goes, catalogue: &Catalogue, on: Option<Date>) -> Vec<Fierce> {
    let mut all = Vec::new();
    for (paddock, _, group) in standing(goes, on) {
        let leads = |leg: &Leg| {
            let beside = leg.line.as_ref().is_some_and(|line| paddock.lines.contains(line));
            beside || leg.path.windows(2).any(|step| inside(&paddock.ring, step[0].towards(step[1], 0.5)))
        };
        let kg = weight_at(group, &catalogue.animals, on).map(|weight| weight.kg);
        let row = match kg {
            Some(kg) => row_of(group, kg, catalogue),
            None => catalogue.animal(&group.species, group.class.as_deref()),
        };
        let Some(row) = row.filter(|row| CLASSES.contains(&row.class.as_str())) else { continue };
        if legs.iter().any(leads) {
            all.push(Fierce { group: group.id.clone(), animal: row.id.clone(), paddock: paddock.id.clone() });
        }
    }
    all
}
