//! Ground under a line that stays wet: posts lean, vehicles bog, strands leak. What the keeper has drawn counts; elsewhere the lay of the land
//! makes a guess that somebody has to go and see.

use super::lay::{Told, stretches, stretches_told};
use super::{Checked, CheckedLine};
use crate::catalogue::GroundState;
use crate::finding::{Finding, Lay, LayRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::source::SourceKey;
use crate::units::Length;

/// Wetter than this by its place on the hill, ground is probably soft for much of the year.
///
/// # Source
/// Key `beven-kirkby-1979` for the index; the bound is `common-practice` on cells of 10 m.
pub const PROBABLY_FROM: f64 = 9.0;

/// Steeper ground sheds its water, whatever comes from above, as a share.
///
/// # Source
/// Key `common-practice`, chosen here.
pub const GENTLE: f64 = 0.05;

/// Shorter stretches are stepped over.
///
/// # Source
/// Key `common-practice`.
pub const SHORTEST: Length = Length::metres(20.0);

/// Wet zones that the line runs through, and where it is probably wet.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let is_drawn = |at| {
        let footings = checked.footings?;
        let is_wet = footings.at(at).state == GroundState::Wet && footings.everywhere().state != GroundState::Wet;
        is_wet.then_some(())
    };
    let drawn = stretches(line, |piece| is_drawn(piece.middle()));
    let drawn = drawn.iter().map(|told| finding(checked, line, told, |()| 0.0, (Weight::LookAt, told.over().as_metres())));
    let probably = stretches_told(checked, line, |piece| {
        let (water, at) = (checked.water?, piece.middle());
        let index = water.wetness(at).filter(|index| *index > PROBABLY_FROM)?;
        let is_gentle = || {
            water.grid().cell_of(at).and_then(|cell| water.grid().gradient_of(cell)).is_some_and(|here| here.slope() <= GENTLE)
        };
        (is_drawn(at).is_none() && is_gentle() && (water.gathers(at) || water.is_at_foot(at))).then_some(-index)
    });
    let probably = probably.iter().filter(|told| told.over() >= SHORTEST);
    let probably = probably.map(|told| {
        let wettest = -told.least(|index| *index).1;
        finding(checked, line, told, |index| *index, (Weight::Note, wettest))
    });
    drawn.chain(probably).collect()
}

fn finding<T>(
    checked: &Checked,
    line: &CheckedLine,
    told: &Told<T>,
    worst: impl Fn(&T) -> f64,
    (weight, value): (Weight, f64),
) -> Finding {
    let (piece, _) = told.least(worst);
    let over = told.over();
    let is_drawn = weight == Weight::LookAt;
    Finding {
        rule: Rule::Wet,
        weight,
        place: told.place(checked, line, piece),
        value,
        limit: (!is_drawn).then_some(PROBABLY_FROM),
        unit: if is_drawn { Unit::Metre } else { Unit::One },
        reason: Reason::Lay(if is_drawn { Lay::Wet { over } } else { Lay::ProbablyWet { over } }),
        remedies: if is_drawn { Vec::new() } else { vec![Remedy::Lay(LayRemedy::DrawWet)] },
        source: SourceKey::new("beven-kirkby-1979"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::plan::{Kind, Zone};

    #[test]
    fn a_flat_valley_floor_is_probably_wet_until_somebody_draws_what_is() {
        // Steep sides to the west and the east, a floor of 40 m that hardly falls.
        let valley = || ground(400, 1.0, |east, north| 300.0 + 0.004 * north + 0.3 * (east.abs() - 20.0).max(0.0));
        let fence = [(-90.0, -150.0), (90.0, -150.0)];
        let said = |scene: Scene| -> Vec<(Weight, Unit)> {
            scene.fence(&fence).say(Rule::Wet).into_iter().map(|finding| (finding.weight, finding.unit)).collect()
        };
        assert_eq!(said(Scene::on(valley())), [(Weight::Note, Unit::One)]);
        let zone = Kind::Zone(Zone { of: "wet".to_owned(), value: None });
        let ring = [(-30.0, -170.0), (30.0, -170.0), (30.0, -130.0), (-30.0, -130.0), (-30.0, -170.0)];
        assert_eq!(said(Scene::on(valley()).area(zone, &ring)), [(Weight::LookAt, Unit::Metre)]);
        // A plane, gentle or steep, sheds what falls on it.
        for fall in [0.002, 0.01, 0.03, 0.1, 0.2] {
            let plane = ground(400, 1.0, |east, north| 300.0 + fall * north + 0.3 * fall * east);
            assert_eq!(said(Scene::on(plane)), [], "{fall}");
        }
        // At the foot of a slope, where it turns gentle, it comes out again.
        let long = ground(1500, 1.0, |_, north| 300.0 + 0.01 * north);
        let across = [(-90.0, -700.0), (90.0, -700.0)];
        assert_eq!(Scene::on(long).fence(&across).say(Rule::Wet), [], "1400 m of one in a hundred");
        let foot = ground(400, 1.0, |_, north| 300.0 + 0.003 * north + 0.2 * (north + 140.0).max(0.0));
        assert_eq!(said(Scene::on(foot)), [(Weight::Note, Unit::One)]);
    }
}
