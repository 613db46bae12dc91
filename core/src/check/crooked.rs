//! Lines that turn sharply again and again: every such corner is a strainer post with a brace, and a day's work.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Rule, Unit, Weight};
use crate::hold::{PostRole, SHARP_TURN_DEG};
use crate::source::SourceKey;
use crate::units::Length;

/// Fewer sharp corners than these are the shape of the ground that is fenced (`common-practice`, chosen here).
const CORNERS: usize = 8;
/// Where they stand farther apart on average, each of them closes a side worth its corner, metres (`common-practice`, chosen here).
const APART_M: f64 = 40.0;

/// Said once for a line of hard wire, at the first of its corners.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let is_sharp = |turn: f64| turn >= SHARP_TURN_DEG;
    let corners =
        line.hold.posts.iter().filter(|post| post.role == PostRole::Corner && post.deflection_deg.is_some_and(is_sharp));
    let (first, times) = (corners.clone().next(), corners.count());
    let is_hard = line.specification.is_some_and(|found| found.strands.iter().any(|strand| strand.wire.is_high_tensile()));
    let over_m = line.section.samples.last().map_or(0.0, |last| last.station_m);
    let is_crooked = is_hard && times >= CORNERS && over_m <= APART_M * times as f64;
    let Some(first) = first.filter(|_| is_crooked) else { return Vec::new() };
    vec![Finding {
        rule: Rule::Crooked,
        weight: Weight::Note,
        place: checked.spot(line, first.station.as_metres(), first.at),
        value: times as f64,
        limit: Some(CORNERS as f64),
        unit: Unit::One,
        reason: Reason::TurnsOften { times, over: Length::metres(over_m) },
        remedies: Vec::new(),
        source: SourceKey::new("common-practice"),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    /// A line east with so many turns of 56 degrees, a leg of this length between them.
    fn zigzag(turns: usize, leg_m: f64) -> Vec<(f64, f64)> {
        let (east_m, north_m) = (leg_m * 0.883, leg_m * 0.469);
        (0..turns + 2).map(|k| (k as f64 * east_m - 150.0, if k % 2 == 0 { 0.0 } else { north_m })).collect()
    }

    #[test]
    fn many_sharp_corners_close_together_are_remarked_once_and_a_few_or_wide_ones_are_not() {
        let said = |turns: usize, leg_m: f64| {
            let found = Scene::on(flat()).fence(&zigzag(turns, leg_m)).say(Rule::Crooked);
            found.iter().map(|finding| (finding.weight, finding.value)).collect::<Vec<_>>()
        };
        assert_eq!(said(19, 17.0), [(Weight::Note, 19.0)]);
        assert_eq!(said(8, 30.0), [(Weight::Note, 8.0)]);
        assert_eq!(said(7, 17.0), []);
        assert_eq!(said(8, 38.0), [], "42.75 m of line to each corner");
    }
}
