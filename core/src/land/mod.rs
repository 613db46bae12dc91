//! The ground: positions, the working frame, elevation grids, and what is derived from them.

mod frame;
mod grid;
mod position;

pub use frame::{Frame, FrameError};
pub use grid::{Crs, CrsKind, Georeference, Grid, GridNote};
pub use position::{MapPoint, MapRect, Position};
