//! Lines so low beside a channel that a flood reaches them: what floats hangs in the strands and pulls the fence down.

use super::lay::stretches_told;
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Lay, LayRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::source::SourceKey;
use crate::units::Length;

/// Ground lower than this above the next channel is flooded now and then.
///
/// # Source
/// Key `common-practice`: a small stream rises by about as much.
pub const RISES: Length = Length::metres(1.0);

/// A line that only crosses is told as a water gap; this much of it must lie low.
///
/// # Source
/// Key `common-practice`.
pub const SHORTEST: Length = Length::metres(50.0);

/// Stretches that a flood reaches.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let low = stretches_told(checked, line, |piece| checked.water?.above_channel(piece.middle()).filter(|above| *above < RISES));
    let long = low.iter().filter(|told| told.over() >= SHORTEST);
    let finding = |told: &super::lay::Told<Length>| {
        let (piece, above) = told.least(|above| above.as_metres());
        Finding {
            rule: Rule::Flood,
            weight: Weight::LookAt,
            place: told.place(checked, line, piece),
            value: above.as_metres().max(0.0),
            limit: Some(RISES.as_metres()),
            unit: Unit::Metre,
            reason: Reason::Lay(Lay::Floods { over: told.over() }),
            remedies: vec![
                Remedy::Lay(LayRemedy::MoveUp { by: RISES - (*above).max(Length::ZERO) }),
                Remedy::Lay(LayRemedy::BreakAway),
            ],
            source: SourceKey::new("common-practice"),
        }
    };
    long.map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};

    #[test]
    fn a_line_along_a_stream_is_flooded_where_it_runs_low() {
        // A valley that falls to the south, its sides rising by 0.1.
        let valley = |_: ()| ground(400, 1.0, |east, north| 300.0 + 0.03 * north + 0.1 * (east - 3.0).abs());
        let said = |east: f64| Scene::on(valley(())).fence(&[(east, -150.0), (east, 0.0)]).say(Rule::Flood);
        let low = said(6.0);
        assert_eq!(low.len(), 1, "{low:?}");
        assert!(low[0].value < 0.6, "{}", low[0].value);
        assert_eq!(said(40.0), [], "3.7 m above the stream");
        let across = Scene::on(valley(())).fence(&[(-80.0, -100.0), (80.0, -100.0)]).say(Rule::Flood);
        assert_eq!(across, [], "it only crosses");
    }
}
