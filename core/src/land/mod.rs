//! The ground: positions, the working frame, elevation grids, and what is derived from them.

mod air;
mod area;
mod coarse;
mod contour;
mod contour_count;
mod contour_join;
mod cubic;
mod drain;
mod fit;
mod frame;
mod globe;
mod grid;
mod ground;
mod layers;
mod noise;
mod placement;
mod position;
mod profile;
mod quadratic;
mod reached;
mod read;
mod runners;
mod sample;
mod scatter;
mod shade;
mod shade_colours;
mod sight;
mod slope;
mod smooth;
mod survey;
mod tile;
mod walk;
mod working;
mod write;

#[cfg(test)]
pub(crate) mod fixture;

pub use air::{AirPhoto, Picture, Reducing};
pub use contour::{Contour, ContourError, LEAST_INTERVAL_M, contours, contours_in};
pub use contour_count::contour_points;
pub use cubic::contours_to_draw;
pub use drain::{
    D8, DInfinity, Drainage, DrainageError, FALL_PER_CELL_M, FLATTEST, Filled, Freeman, Link, Links, Receivers, drainage_ha,
    gathered, source_shares, wetness,
};
pub use frame::{Frame, FrameError};
pub use globe::{middle, midst};
pub use grid::{Crs, CrsKind, Georeference, Grid, GridNote};
pub use ground::Ground;
pub use placement::{GroundError, Placement, Raster};
pub use position::{MapPoint, MapRect, Position};
pub use profile::ProfilePoint;
pub use quadratic::Quadratic;
pub(crate) use reached::Reached;
pub use read::{
    Beside, GridBytes, GridError, GridFile, MOST_CELLS, ReadSeek, is_picture, picture_place, read_grid, read_grid_with_first_look,
};
pub use runners::{Crossing, Habits, Hillside, RunnerSteps, Runners, chance_of_striking, stopping_m};
pub use scatter::{BestKnown, FINE_M, KnownHeight, Scatter};
pub use shade::{
    Paper, SLOPE_CLASSES_PCT, ShadeStyle, SlopeClass, Tint, level_of_one_tile, shade_tile, shade_tiles, slope_classes,
};
pub use sight::{Cover, INTO_WOOD, IntoWood, RayEnd, Seen, SightGround};

pub use slope::Gradient;
pub use survey::{Sun, Survey, hillshade, shade_grid, slope_grid_pct, slope_rows_pct, survey};
pub use tile::{CellRect, ShadeTile, TILE_SIDE};
pub use walk::{MOVES, Pace, STEEPEST_WALK, WalkGround, Way, naismith_langmuir_s, tobler_km_per_h};
pub use working::{WORKING_SPACING, WorkingGrid};
pub use write::{GridWriteError, write_geotiff};
