//! The ground: positions, the working frame, elevation grids, and what is derived from them.

mod area;
mod fit;
mod frame;
mod grid;
mod ground;
mod position;
mod profile;
mod sample;
mod slope;

#[cfg(test)]
mod fixture;

pub use frame::{Frame, FrameError};
pub use grid::{Crs, CrsKind, Georeference, Grid, GridNote};
pub use ground::{Ground, GroundError};
pub use position::{MapPoint, MapRect, Position};
pub use profile::ProfilePoint;
pub use slope::Gradient;
