//! Where a round begins and ends.

use crate::land::{Frame, MapPoint};
use crate::plan::{Feature, FeatureId, Geometry, Kind, Plan};

/// What stands where a round begins and ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum YardBy {
    /// The building with mains.
    Building(FeatureId),
    /// The energizer, where no building with mains is drawn.
    Energizer(FeatureId),
    /// The beginning of a track, where neither is drawn.
    Track(FeatureId),
    /// The beginning of a line, where there is no track either.
    Line(FeatureId),
}

/// Where a round begins and ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Yard {
    /// On the map.
    pub at: MapPoint,
    /// What stands there.
    pub by: YardBy,
}

/// The yard of a plan; `None` where nothing is drawn.
pub(super) fn yard(plan: &Plan, frame: Frame) -> Option<Yard> {
    let first = |is_meant: fn(&Kind) -> bool, by: fn(FeatureId) -> YardBy| {
        let mut meant = plan.features.iter().filter(|feature| is_meant(&feature.kind));
        meant.find_map(|feature| Some(Yard { at: place(feature, frame)?, by: by(feature.id.clone()) }))
    };
    first(|kind| matches!(kind, Kind::Building { mains: true }), YardBy::Building)
        .or_else(|| first(|kind| matches!(kind, Kind::Energizer(_)), YardBy::Energizer))
        .or_else(|| first(|kind| matches!(kind, Kind::Track(_)), YardBy::Track))
        .or_else(|| first(|kind| matches!(kind, Kind::Fence(_) | Kind::LeadOut(_)), YardBy::Line))
}

/// A point, the beginning of a line, the middle of an area's outline.
fn place(feature: &Feature, frame: Frame) -> Option<MapPoint> {
    let to_map = |at| frame.to_map(at).ok();
    match &feature.geometry {
        Geometry::Point(at) => to_map(*at),
        Geometry::Line(corners) => to_map(*corners.first()?),
        Geometry::Area(rings) => {
            let ring: Vec<MapPoint> = rings.first()?.iter().skip(1).filter_map(|at| to_map(*at)).collect();
            let sum = ring.iter().fold(MapPoint::default(), |sum, at| sum + *at);
            (!ring.is_empty()).then(|| sum * (1.0 / ring.len() as f64))
        }
        Geometry::Other(_) => None,
    }
}
