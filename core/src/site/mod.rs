//! The holding as it lies: the ground with what the plan says stands, grows and runs on it.
//!
//! `land` knows grids alone. Here they meet zones, tracks and streams of the plan: what water does, what runs down, what can be
//! reached and what can be seen. Nothing of it depends on where a fence runs, so it stands while fences are moved.

mod afoot;
mod cells;
mod judged;
mod reach;
mod runners;
mod sight;
mod strike_log;
mod tracks;
mod turning;
mod walking;
mod water;
mod ways_in;

pub use afoot::Afoot;
pub use judged::{HinderedStretch, JudgedTrack, TooNarrow, TrackPiece, TrackPoint};
pub use reach::{BESIDE, LineReach, NEAR_WALK_S, Reach, ReachClass, ReachPiece, SHORT_WALK_S, Season, TrackShares, WALK};
pub(crate) use runners::cells_in;
pub use runners::{Arrival, Cover, HillRunners, HotStretch, LineRuns, OPEN_SHARE, STARTS_PER_HECTARE, WINDOW};
pub use sight::{EYE_HEIGHT, FARTHEST_SEEN, LookOut};
pub use strike_log::{ENOUGH_SEEN, STRIKE, Scale, scale, strike_scale};
pub(crate) use tracks::steepest_grade_pct;
pub use tracks::{GRADE_CAUTION_PCT, GRADE_LIMIT_PCT, LOADED_GRADES_PCT, SIDE_CAUTION_PCT, SIDE_LIMIT_PCT, Tracks};
pub use walking::{Minutes, Walking};
pub use water::{
    CHANNEL_FROM, Crossed, CrossedStream, Culvert, GAP_FROM, NearChannel, RUN_OFF, SPATE_DEPTH, Stream, WATER_M_PER_S, Water,
    peak_flow_m3_per_s,
};

use crate::land::{Frame, Ground, MapPoint, MapRect, Position, WorkingGrid};
use crate::plan::{Geometry, Plan};
use crate::units::Length;

/// Ground whose cells are larger than this tells nothing about water and running animals.
///
/// # Source
/// Key `grid-trial`: 10 m cells show them, 30 m cells show rough lengths only.
pub const LARGEST_CELL: Length = Length::metres(20.0);

/// More working cells than this are not looked at: the ground around what is drawn counts then.
const MOST_CELLS: f64 = 4e6;
/// How far around, metres; and the step in which that rectangle grows, so that it stands while a line is drawn.
const AROUND_M: f64 = 3000.0;
const AROUND_STEP_M: f64 = 1000.0;

/// The part of the ground that is looked at in working cells; `None` where its own cells are too large to tell.
pub fn working_extent(plan: &Plan, frame: Frame, ground: &Ground) -> Option<MapRect> {
    if ground.cell() > LARGEST_CELL {
        return None;
    }
    let (spacing, extent) = (WorkingGrid::usual_spacing(ground), ground.whole_extent());
    let (width_m, height_m) = (extent.max.x_m - extent.min.x_m, extent.max.y_m - extent.min.y_m);
    let is_small = width_m * height_m <= MOST_CELLS * spacing.as_metres().powi(2);
    if is_small { Some(extent) } else { around(plan, frame) }
}

/// The rectangle around everything drawn, with the hills around it.
fn around(plan: &Plan, frame: Frame) -> Option<MapRect> {
    let to_map = |at: &Position| frame.to_map(*at).ok();
    let places = plan.features.iter().flat_map(|feature| match &feature.geometry {
        Geometry::Point(at) => to_map(at).into_iter().collect(),
        Geometry::Line(corners) => corners.iter().filter_map(to_map).collect(),
        Geometry::Area(rings) => rings.iter().flatten().filter_map(to_map).collect(),
        Geometry::Other(_) => Vec::new(),
    });
    let drawn = MapRect::around(places)?;
    let down = |low: f64| ((low - AROUND_M) / AROUND_STEP_M).floor() * AROUND_STEP_M;
    let up = |high: f64| ((high + AROUND_M) / AROUND_STEP_M).ceil() * AROUND_STEP_M;
    let (min, max) = (drawn.min, drawn.max);
    Some(MapRect { min: MapPoint::new(down(min.x_m), down(min.y_m)), max: MapPoint::new(up(max.x_m), up(max.y_m)) })
}
