//! What a mend takes and what it leaves.

use super::{count, item, length, money};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::Finding;
use hillwire_core::mend::Trial;
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::units::Length;

/// `Takes 2 more T-post; 1 less wood post. £8.40 more. Must fix: 2 before, 1 after. Look at: 17 before, 16 after.`
pub fn trial(trial: &Trial, plan: &Plan, units: UnitSystem, catalogue: &Catalogue) -> String {
    let parts: Vec<String> = trial.parts.iter().map(|(id, more)| part(id, *more, units, catalogue)).collect();
    let parts = if parts.is_empty() { "Takes no other parts.".to_owned() } else { format!("Takes {}.", parts.join("; ")) };
    let currency = &plan.head.prices.currency;
    let price = match trial.price {
        price if price.abs() < 0.005 => String::new(),
        price if price > 0.0 => format!(" {} more.", money(price, currency)),
        price => format!(" {} less.", money(-price, currency)),
    };
    let has_price = |id: &String| plan.head.prices.items.contains_key(id);
    let unpriced = trial.parts.iter().filter(|(id, more)| *more > 0.0 && !has_price(id)).count();
    let unpriced = match unpriced {
        0 => String::new(),
        1 => " One of the parts has no price in the plan and is left out of that.".to_owned(),
        more => format!(" {more} of the parts have no price in the plan and are left out of that."),
    };
    let counts = |what: &str, (before, after): (usize, usize)| format!(" {what}: {before} before, {after} after.");
    format!("{parts}{price}{unpriced}{}{}", counts("Must fix", trial.must_fix), counts("Look at", trial.look_at))
}

/// What a mend ends and what it brings, as a short list, the worst first: `Ends: Gap over a dip (must fix), North line.`
pub fn ends_and_brings(trial: &Trial, plan: &Plan, units: UnitSystem) -> Vec<String> {
    const LISTED: usize = 4;
    let listed = |what: &str, findings: &[Finding]| -> Vec<String> {
        let one = |finding: &Finding| {
            let place = super::place(finding, plan, units);
            format!("{what}: {} ({}), {place}.", super::rule(finding.rule), super::weight(finding.weight))
        };
        let more = findings.len().saturating_sub(LISTED);
        let rest = (more > 0).then(|| format!("{what} {more} more."));
        findings.iter().take(LISTED).map(one).chain(rest).collect()
    };
    let all = [listed("Ends", &trial.ends), listed("Brings", &trial.brings)].concat();
    if all.is_empty() { vec!["Ends nothing and brings nothing.".to_owned()] } else { all }
}

/// Which other lines a mend changes because they have the same build; `None` where it changes none.
pub fn shared(trial: &Trial, plan: &Plan) -> Option<String> {
    const NAMED: usize = 4;
    let labels: Vec<&str> = trial.shared.iter().filter_map(|id| plan.feature(id)).map(|feature| feature.label()).collect();
    let named = labels.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    let more = labels.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    (!labels.is_empty()).then(|| format!("Changes these lines too, which have the same build: {named}{more}."))
}

fn part(id: &str, more: f64, units: UnitSystem, catalogue: &Catalogue) -> String {
    let how = if more > 0.0 { "more" } else { "less" };
    let is_wire = catalogue.wire(id).is_some();
    let much = if is_wire { length(Length::metres(more.abs()), units) } else { count(more.abs()) };
    format!("{much} {how} {}", item(id, catalogue).to_lowercase().replace("t-post", "T-post"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::mend::{MendChoice, MendReach};
    use hillwire_core::plan::{Head, Prices};

    #[test]
    fn a_trial_says_parts_money_and_what_is_left() {
        let tried = Trial {
            choice: MendChoice { finding: 0, remedy: 0, reach: MendReach::AllOfBuild },
            revision: 1,
            edits: vec![],
            mended: Plan::new(Head::default(), vec![]),
            parts: vec![("t-post".to_owned(), 2.0), ("ht-14ga".to_owned(), -3.2)],
            price: 8.4,
            ends: vec![],
            brings: vec![],
            shared: vec![],
            must_fix: (2, 1),
            look_at: (17, 17),
        };
        let prices = Prices { currency: "GBP".to_owned(), ..Prices::default() };
        let plan = Plan::new(Head { prices, ..Head::default() }, vec![]);
        let told = trial(&tried, &plan, UnitSystem::Metric, Catalogue::built_in()).replace(['\u{202f}', '\u{a0}'], " ");
        assert!(told.starts_with("Takes 2 more ") && told.contains("3.2 m less ") && told.contains("8.40 more."), "{told}");
        assert!(told.ends_with("Must fix: 2 before, 1 after. Look at: 17 before, 17 after."), "{told}");
    }
}
