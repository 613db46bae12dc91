//! What is seen of the holding from the tracks.

use super::cells::{cells_inside, rings_on_map};
use super::tracks::Tracks;
use crate::land::{Cover, Frame, Ground, INTO_WOOD, MapPoint, MapRect, RayEnd, Seen, SightGround, WorkingGrid};
use crate::plan::{Kind, Plan, Zone};
use crate::units::Length;
use rstar::primitives::GeomWithData;
use rstar::{PointDistance, RTree};

/// Height of the eye over the track, on the seat.
///
/// # Source
/// Key `common-practice`.
pub const EYE_HEIGHT: Length = Length::metres(1.6);
/// From farther away nobody makes out whether a strand is down.
///
/// # Source
/// Key `common-practice`.
pub const FARTHEST_SEEN: Length = Length::metres(300.0);
/// Distance between places on the track from which somebody looks.
const LOOKS_EVERY_M: f64 = 25.0;
/// Cells finer than this tell no more of what hides a fence, and cost four times as much for every half.
const FINEST_M: f64 = 2.0;
/// More cells than this are not looked over: they are made wider instead.
const MOST_CELLS: f64 = 6e6;

/// How high a building stands where the plan does not say (`common-practice`).
const BUILDING_M: f64 = 5.0;
/// How high a crop stands where the plan does not say: in summer, and as stubble (`common-practice`).
const CROP_M: (f64, f64) = (1.0, 0.2);

/// The ground with what grows on it, and the places on usable tracks from which somebody looks.
#[derive(Clone, Debug)]
pub struct LookOut {
    ground: SightGround,
    eyes: RTree<GeomWithData<[f64; 2], f64>>,
}

impl LookOut {
    /// Around the usable tracks, as far as one sees; `None` without such a track or without ground there.
    ///
    /// Heights are those of cells of 2 m, or of the ground's own if they are wider: ten thousand rays over a fence of 5 km are cast in a
    /// quarter of the time that cells of 1 m take, and what hides a fence is wider than that.
    pub fn of(plan: &Plan, frame: Frame, ground: &Ground, tracks: &Tracks) -> Option<Self> {
        let around = MapRect::around(tracks.runs().iter().flatten().copied())?;
        let margin = MapPoint::new(FARTHEST_SEEN.as_metres() + 20.0, FARTHEST_SEEN.as_metres() + 20.0);
        let around = MapRect { min: around.min - margin, max: around.max + margin };
        let grid = WorkingGrid::spaced(ground, spacing(ground, around), around)?;
        let mut sight = SightGround::bare(grid);
        for feature in &plan.features {
            let cover = match &feature.kind {
                Kind::Zone(zone) => cover_of(zone),
                Kind::Building { .. } => Some(Cover { summer_m: BUILDING_M, leaf_off_m: BUILDING_M, is_wood: false }),
                _ => None,
            };
            if let Some(cover) = cover {
                let cells = cells_inside(sight.grid(), &rings_on_map(frame, feature));
                sight.cover(cover, cells);
            }
        }
        let eye =
            |at: MapPoint| Some(GeomWithData::new([at.x_m, at.y_m], sight.grid().elevation_m(at)? + EYE_HEIGHT.as_metres()));
        let eyes = tracks.runs().iter().flat_map(|run| places_to_look_from(run)).filter_map(eye).collect();
        Some(Self { eyes: RTree::bulk_load(eyes), ground: sight })
    }

    /// Whether something so far above the ground of a place is seen from the tracks; `None` where the ground there is not known.
    pub fn sees(&self, at: MapPoint, above: Length) -> Option<Seen> {
        let end = |at: MapPoint, height_m: f64| {
            let (column, row) = self.ground.grid().to_cells(at);
            RayEnd { column, row, height_m }
        };
        let target = end(at, self.ground.grid().elevation_m(at)? + above.as_metres());
        let farthest_2 = FARTHEST_SEEN.as_metres().powi(2);
        let point = [at.x_m, at.y_m];
        let mut seen = Seen::default();
        for eye in self.eyes.nearest_neighbor_iter(&point) {
            if eye.distance_2(&point) > farthest_2 || seen == Seen::ALWAYS {
                break;
            }
            let from = end(MapPoint::new(eye.geom()[0], eye.geom()[1]), eye.data);
            seen = seen.or(self.ground.sees(from, target, INTO_WOOD));
        }
        Some(seen)
    }

    /// From where somebody looks, and how high the eye is.
    pub fn eyes(&self) -> Vec<([f64; 2], f64)> {
        self.eyes.iter().map(|eye| (*eye.geom(), eye.data)).collect()
    }

    /// The cells that are looked over.
    pub fn grid(&self) -> &WorkingGrid {
        self.ground.grid()
    }
}

fn spacing(ground: &Ground, around: MapRect) -> Length {
    let extent = ground.whole_extent();
    let side = |low: f64, high: f64, least: f64, most: f64| (high.min(most) - low.max(least)).max(0.0);
    let across = side(around.min.x_m, around.max.x_m, extent.min.x_m, extent.max.x_m);
    let down = side(around.min.y_m, around.max.y_m, extent.min.y_m, extent.max.y_m);
    let fits = (across * down / MOST_CELLS).sqrt();
    Length::metres(FINEST_M.max(ground.cell().as_metres()).max(fits))
}

/// What stands on a zone: woodland, a crop of so many metres; nothing that hides on others.
fn cover_of(zone: &Zone) -> Option<Cover> {
    let height_m = zone.value.as_ref().and_then(serde_json::Value::as_f64);
    match zone.of.as_str() {
        "wood" => Some(Cover { summer_m: 0.0, leaf_off_m: 0.0, is_wood: true }),
        "crop" => {
            let summer_m = height_m.unwrap_or(CROP_M.0).max(0.0);
            Some(Cover { summer_m, leaf_off_m: CROP_M.1.min(summer_m), is_wood: false })
        }
        _ => None,
    }
}

/// Places along a stretch of track, its ends among them.
fn places_to_look_from(run: &[MapPoint]) -> Vec<MapPoint> {
    let mut places: Vec<MapPoint> = run.first().copied().into_iter().collect();
    let mut since_m = 0.0;
    for pair in run.windows(2) {
        since_m += pair[0].distance_m(pair[1]);
        if since_m >= LOOKS_EVERY_M {
            places.push(pair[1]);
            since_m = 0.0;
        }
    }
    places.extend(run.last().filter(|_| since_m > 0.0));
    places
}
