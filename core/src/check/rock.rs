//! Lines over rock with little soil on it: holes are drilled, posts are pins or cribs. What the keeper has probed and drawn counts; elsewhere the
//! lay of the land makes a guess.

use super::lay::{stretches, stretches_told};
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Lay, LayRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::source::SourceKey;
use crate::units::Length;

/// Soil less deep than this holds no driven post.
///
/// # Source
/// Key `common-practice`.
pub const SHALLOW: Length = Length::metres(0.3);

/// Ground steeper than this, and rounded as below, hardly keeps its soil, per cent.
///
/// # Source
/// Key `common-practice`: where to probe first, never what is there.
pub const STEEP_PCT: f64 = 60.0;

/// How fast the slope must grow downhill, per metre.
///
/// # Source
/// Key `common-practice`.
pub const ROUNDED_PER_M: f64 = 0.02;

/// Stretches with rock close under the ground, and where it probably is.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let depth_at = |at| checked.footings.and_then(|footings| footings.at(at).rock_depth);
    let drawn = stretches(line, |piece| depth_at(piece.middle()).filter(|depth| *depth < SHALLOW));
    let drawn = drawn.iter().map(|told| {
        let (piece, depth) = told.least(|depth| depth.as_metres());
        let reason = Lay::ThinSoil { depth: *depth, over: told.over() };
        finding(told.place(checked, line, piece), Weight::LookAt, (told.over().as_metres(), None, Unit::Metre), reason)
    });
    let probably = stretches_told(checked, line, |piece| {
        let water = checked.water?;
        let cell = water.grid().cell_of(piece.middle())?;
        let slope_pct = water.grid().gradient_of(cell)?.slope_pct();
        let is_rounded = water.grid().quadratic_of(cell)?.profile_per_m()? < -ROUNDED_PER_M;
        (slope_pct > STEEP_PCT && is_rounded && depth_at(piece.middle()).is_none()).then_some(-slope_pct)
    });
    let probably = probably.iter().map(|told| {
        let (piece, slope) = told.least(|slope| *slope);
        let reason = Lay::ProbablyThinSoil { slope_pct: -slope, over: told.over() };
        finding(told.place(checked, line, piece), Weight::Note, (-slope, Some(STEEP_PCT), Unit::Percent), reason)
    });
    drawn.chain(probably).collect()
}

fn finding(place: crate::finding::Place, weight: Weight, (value, limit, unit): (f64, Option<f64>, Unit), reason: Lay) -> Finding {
    let remedy = if weight == Weight::Note { LayRemedy::ProbeRock } else { LayRemedy::PostsForRock };
    Finding {
        rule: Rule::Rock,
        weight,
        place,
        value,
        limit,
        unit,
        reason: Reason::Lay(reason),
        remedies: vec![Remedy::Lay(remedy)],
        source: SourceKey::new("common-practice"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::{Kind, Zone};

    #[test]
    fn a_zone_of_shallow_rock_counts_its_metres_and_a_rounded_steep_brow_is_to_be_probed() {
        let zone = |depth: f64| Kind::Zone(Zone { of: "rock".to_owned(), value: Some(serde_json::json!(depth)) });
        let ring = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0), (-20.0, -20.0)];
        let fence = [(-80.0, 0.0), (80.0, 0.0)];
        let said = |scene: Scene| scene.fence(&fence).say(Rule::Rock);
        let shallow = said(Scene::on(flat()).area(zone(0.2), &ring));
        assert!((shallow[0].value - 40.0).abs() < 2.1 && shallow[0].weight == Weight::LookAt, "{shallow:?}");
        assert_eq!(said(Scene::on(flat()).area(zone(0.5), &ring)), []);
        // A brow: level in the north, ever steeper towards the south.
        let brow = ground(300, 1.0, |_, north| 300.0 - 0.03 * (40.0 - north).clamp(0.0, 80.0).powi(2) / 2.0);
        let probable = said(Scene::on(brow));
        assert_eq!(probable.len(), 1, "{probable:?}");
        assert!(probable[0].weight == Weight::Note && probable[0].value > 60.0);
    }
}
