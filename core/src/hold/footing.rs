//! What a post stands in: the soil, how wet it is, how deep the rock lies.

use super::HoldError;
use crate::catalogue::{Catalogue, GroundState, SoilRow};
use crate::land::{Frame, MapPoint};
use crate::plan::{Feature, Geometry, GroundChoice, Kind, Plan, Zone};
use crate::units::Length;
use std::sync::Arc;

/// The catalogue's row of a living tree in place of a post.
pub const TREE_POST: &str = "tree";

/// What a post stands in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footing<'a> {
    /// The soil.
    pub soil: &'a SoilRow,
    /// How wet it is.
    pub state: GroundState,
    /// How deep the rock lies; `None` out of reach.
    pub rock_depth: Option<Length>,
    /// Whether no post may stand here.
    pub keep_out: bool,
}

impl<'a> Footing<'a> {
    /// What the plan says of its ground as a whole.
    ///
    /// # Errors
    /// [`HoldError::NoSuchRow`] for a soil that the catalogue lacks, [`HoldError::NoSuchState`] for an unknown state of the ground.
    pub fn of(choice: &GroundChoice, catalogue: &'a Catalogue) -> Result<Self, HoldError> {
        let state =
            GroundState::from_word(&choice.state).ok_or_else(|| HoldError::NoSuchState { state: choice.state.clone() })?;
        Ok(Self { soil: soil(&choice.soil, catalogue)?, state, rock_depth: choice.rock_depth, keep_out: false })
    }
}

fn soil<'a>(id: &str, catalogue: &'a Catalogue) -> Result<&'a SoilRow, HoldError> {
    catalogue.soil(id).ok_or_else(|| HoldError::NoSuchRow { what: "soil", id: id.to_owned() })
}

enum Change<'a> {
    Soil(&'a SoilRow),
    Rock(Length),
    Wet,
    KeepOut,
}

/// What posts stand in all over the plan: the plan's own ground, changed by the zones drawn on it, the last drawn on top.
pub struct FootingMap<'a> {
    everywhere: Footing<'a>,
    zones: Vec<(Vec<Vec<MapPoint>>, Change<'a>)>,
    trees: Vec<MapPoint>,
}

impl<'a> FootingMap<'a> {
    /// From the plan's ground and its soil, rock and wet zones.
    ///
    /// # Errors
    /// As [`Footing::of`], also for the soil of a zone.
    pub fn of(plan: &Plan, frame: Frame, catalogue: &'a Catalogue) -> Result<Self, HoldError> {
        let everywhere = Footing::of(&plan.head.ground, catalogue)?;
        let mut zones = Vec::new();
        for feature in &plan.features {
            if let (Kind::Zone(zone), Geometry::Area(rings)) = (&feature.kind, &feature.geometry)
                && let Some(change) = change(zone, catalogue)?
            {
                // A ring that leaves the working frame is nowhere near a line.
                let on_map = |ring: &Vec<_>| ring.iter().map(|at| frame.to_map(*at)).collect::<Result<Vec<_>, _>>();
                if let Ok(rings) = rings.iter().map(on_map).collect() {
                    zones.push((rings, change));
                }
            }
        }
        Ok(Self { everywhere, zones, trees: trees(plan, frame, catalogue) })
    }

    /// The same ground everywhere.
    pub fn even(footing: Footing<'a>) -> Self {
        Self { everywhere: footing, zones: vec![], trees: vec![] }
    }

    /// What posts stand in where no zone says otherwise.
    pub fn everywhere(&self) -> Footing<'a> {
        self.everywhere
    }

    /// Whether any zone says otherwise.
    pub fn has_zones(&self) -> bool {
        !self.zones.is_empty()
    }

    /// Living trees that are thick enough to carry strands.
    pub(super) fn trees(&self) -> &[MapPoint] {
        &self.trees
    }

    /// What a post stands in here.
    pub fn at(&self, place: MapPoint) -> Footing<'a> {
        let mut footing = self.everywhere;
        for (rings, change) in &self.zones {
            // Even-odd over all rings: a hole takes its ground out again.
            if rings.iter().filter(|ring| inside(ring, place)).count() % 2 == 1 {
                match change {
                    Change::Soil(soil) => footing.soil = soil,
                    Change::Rock(depth) => footing.rock_depth = Some(*depth),
                    Change::Wet => footing.state = GroundState::Wet,
                    Change::KeepOut => footing.keep_out = true,
                }
            }
        }
        footing
    }
}

/// The trees of the plan that are as thick as the catalogue's row asks.
fn trees(plan: &Plan, frame: Frame, catalogue: &Catalogue) -> Vec<MapPoint> {
    let Some(row) = catalogue.post(TREE_POST) else { return Vec::new() };
    let tree = |feature: &Arc<Feature>| match feature.kind {
        Kind::Tree { diameter } if diameter.is_none_or(|diameter| diameter >= row.width) => frame.to_map(feature.point()?).ok(),
        _ => None,
    };
    plan.features.iter().filter_map(tree).collect()
}

fn change<'a>(zone: &Zone, catalogue: &'a Catalogue) -> Result<Option<Change<'a>>, HoldError> {
    let value = zone.value.as_ref();
    Ok(match zone.of.as_str() {
        "soil" => value.and_then(|value| value.as_str()).map(|id| soil(id, catalogue)).transpose()?.map(Change::Soil),
        // A rock zone without a depth is bare rock.
        "rock" => Some(Change::Rock(Length::metres(value.and_then(serde_json::Value::as_f64).unwrap_or(0.0).max(0.0)))),
        "wet" => Some(Change::Wet),
        "keep_out" => Some(Change::KeepOut),
        _ => None,
    })
}

/// Whether the ring goes round the place (even-odd rule; a place on the ring may count either way).
pub(crate) fn inside(ring: &[MapPoint], place: MapPoint) -> bool {
    let Some(last) = ring.last() else { return false };
    let mut before = last;
    let mut inside = false;
    for corner in ring {
        if (corner.y_m > place.y_m) != (before.y_m > place.y_m) {
            let share = (place.y_m - corner.y_m) / (before.y_m - corner.y_m);
            if place.x_m < corner.x_m + share * (before.x_m - corner.x_m) {
                inside = !inside;
            }
        }
        before = corner;
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zone_changes_the_ground_inside_it_only() {
        let all = Catalogue::built_in();
        let square = |low: f64, high: f64| {
            vec![vec![MapPoint::new(low, low), MapPoint::new(high, low), MapPoint::new(high, high), MapPoint::new(low, high)]]
        };
        let mut map = FootingMap::even(Footing::of(&GroundChoice::default(), all).expect("loam"));
        map.zones.push((square(0.0, 10.0), Change::Soil(all.soil("humus").expect("listed"))));
        map.zones.push((square(5.0, 15.0), Change::Rock(Length::metres(0.3))));
        let soil = |x: f64| map.at(MapPoint::new(x, x)).soil.id.as_str();
        assert_eq!([soil(-1.0), soil(1.0), soil(7.0), soil(12.0)], ["loam", "humus", "humus", "loam"]);
        assert_eq!(map.at(MapPoint::new(7.0, 7.0)).rock_depth, Some(Length::metres(0.3)));
        assert_eq!(map.at(MapPoint::new(1.0, 1.0)).rock_depth, None);
    }

    #[test]
    fn an_unknown_soil_or_state_is_named() {
        let all = Catalogue::built_in();
        let choice = GroundChoice { soil: "custard".to_owned(), ..GroundChoice::default() };
        assert!(Footing::of(&choice, all).expect_err("no such soil").to_string().contains("custard"));
        let choice = GroundChoice { state: "soggy".to_owned(), ..GroundChoice::default() };
        assert!(Footing::of(&choice, all).expect_err("no such state").to_string().contains("soggy"));
    }
}
