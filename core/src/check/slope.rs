//! Paddocks with sows on ground too steep to farrow on.

use super::Checked;
use super::beside::{group_in, paddocks_with_pigs, place_of};
use crate::catalogue::AnimalRow;
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::inside;
use crate::land::{Ground, MapPoint, MapRect};
use crate::plan::PaddockFace;
use crate::source::SourceKey;

/// Ground steeper than this is no place to farrow, per cent.
///
/// # Source
/// Key `common-practice`; that piglets are lost on slopes, rolling down against the sow or out of the ark, in `outdoor-access-page`.
pub const FARROWING_PCT: f64 = 5.0;
/// Places looked at across a paddock, each way.
const PLACES: usize = 12;

/// A note on every such paddock.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    paddocks_with_pigs(checked).filter_map(|(face, animal)| slope(checked, face, animal)).collect()
}

fn slope(checked: &Checked, face: &PaddockFace, animal: &AnimalRow) -> Option<Finding> {
    // What puts on weight day by day is being fattened, however heavy it has become.
    let group = group_in(checked, &face.id)?;
    let is_kept_to_breed = group.class.is_some() || group.gain_kg_per_day.is_none_or(|gain| gain <= 0.0);
    let farrows = is_kept_to_breed && matches!(animal.class.as_str(), "sow" | "litter");
    let mean_pct = mean_slope_pct(checked.ground?, face).filter(|_| farrows)?;
    (mean_pct > FARROWING_PCT).then(|| Finding {
        rule: Rule::Slope,
        weight: Weight::Note,
        place: place_of(checked, face),
        value: mean_pct,
        limit: Some(FARROWING_PCT),
        unit: Unit::Percent,
        reason: Reason::SteepToFarrow,
        remedies: vec![Remedy::LevelArk],
        source: SourceKey::new("outdoor-access-page"),
    })
}

/// Mean slope of places spread over a paddock; `None` where the ground is not known.
fn mean_slope_pct(ground: &Ground, face: &PaddockFace) -> Option<f64> {
    let extent = MapRect::around(face.ring.iter().copied())?;
    let step = |low_m: f64, high_m: f64, index: usize| low_m + (high_m - low_m) * (index as f64 + 0.5) / PLACES as f64;
    let places = (0..PLACES * PLACES).map(|index| {
        let (column, row) = (index % PLACES, index / PLACES);
        MapPoint::new(step(extent.min.x_m, extent.max.x_m, column), step(extent.min.y_m, extent.max.y_m, row))
    });
    let slopes: Vec<f64> =
        places.filter(|at| inside(&face.ring, *at)).filter_map(|at| Some(ground.gradient(at)?.slope())).collect();
    (!slopes.is_empty()).then(|| 100.0 * slopes.iter().sum::<f64>() / slopes.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::plan::{Kind, Paddock, StockGroup};

    #[test]
    fn sows_on_a_slope_and_pigs_without_shade_are_noted() {
        let said = |slope: f64, weight_kg: f64, shelter: bool| -> Vec<Rule> {
            let square = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)];
            let pigs = StockGroup {
                id: "pigs".to_owned(),
                species: "pig".to_owned(),
                head: 3,
                weight_kg: Some(weight_kg),
                ..StockGroup::default()
            };
            let paddock = Kind::Paddock(Paddock { stock: Some("pigs".to_owned()), ..Paddock::default() });
            let scene = Scene::on(ground(120, 1.0, move |x, _| 100.0 + slope * x)).fence(&square).point(paddock, (0.0, 0.0));
            let scene = if shelter { scene.point(Kind::Shelter, (10.0, 10.0)) } else { scene };
            let found = scene.keeping(&[pigs], None).findings();
            found.into_iter().map(|finding| finding.rule).filter(|rule| matches!(rule, Rule::Slope | Rule::Shade)).collect()
        };
        assert_eq!(said(0.02, 200.0, true), []);
        assert_eq!(said(0.12, 200.0, true), [Rule::Slope]);
        assert_eq!(said(0.12, 40.0, true), [], "growers farrow nowhere");
        assert_eq!(said(0.02, 40.0, false), [Rule::Shade]);
    }
}
