//! The ground that a course is judged on, in square cells, with what is known of the soil of each.

use crate::catalogue::GroundState;
use crate::check::SHALLOW;
use crate::hold::FootingMap;
use crate::land::{Gradient, Ground, MapPoint, MapRect, WorkingGrid};
use crate::units::Length;
use rayon::prelude::*;

/// Cells no wider than this show hollows that an animal gets through.
pub const FINE: Length = Length::metres(2.0);
/// Half a bay: hollows are looked for over twice this way.
const HALF_BAY_M: f64 = 4.0;
/// A corner stands in a dip where the ground curves up around it by more than this on average, 1/m (16 cm over 8 m).
const DIP_PER_M: f64 = 0.02;

/// What is drawn on a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Soil {
    pub is_thin: bool,
    pub is_wet: bool,
}

/// Heights, slopes and soils of a part of the ground.
#[derive(Clone, Debug)]
pub(super) struct Relief {
    grid: WorkingGrid,
    gradients: Vec<Option<Gradient>>,
    /// Of every cell; none where no zone is drawn.
    soils: Vec<Soil>,
}

impl Relief {
    /// The ground in cells of a side; `None` where nothing of it is known.
    pub fn of(ground: &Ground, spacing: Length, within: MapRect, footings: Option<&FootingMap>) -> Option<Self> {
        let grid = WorkingGrid::spaced(ground, spacing, within)?;
        let cells = 0..grid.columns() * grid.rows();
        let gradients = cells.clone().into_par_iter().map(|cell| grid.gradient_of(cell)).collect();
        let soil = |footings: &FootingMap, cell: usize| {
            let (here, usual) = (footings.at(grid.centre_of(cell)), footings.everywhere());
            let is_thin = here.rock_depth != usual.rock_depth && here.rock_depth.is_some_and(|depth| depth < SHALLOW);
            Soil { is_thin, is_wet: here.state != usual.state && here.state == GroundState::Wet }
        };
        let soils = footings.filter(|footings| footings.has_zones());
        let soils = soils.map(|footings| cells.into_par_iter().map(|cell| soil(footings, cell)).collect());
        Some(Self { gradients, soils: soils.unwrap_or_default(), grid })
    }

    pub fn grid(&self) -> &WorkingGrid {
        &self.grid
    }

    /// Whether hollows show.
    pub fn is_fine(&self) -> bool {
        self.grid.spacing() <= FINE
    }

    pub fn soil(&self, at: MapPoint) -> Soil {
        self.grid.cell_of(at).and_then(|cell| self.soils.get(cell)).copied().unwrap_or_default()
    }

    /// The gradient at a point: those of the cells around it, weighted bilinearly; `None` where one of them is not known.
    pub fn gradient(&self, at: MapPoint) -> Option<Gradient> {
        let (column, row) = self.grid.to_cells(at);
        let (c, r) = (column.floor(), row.floor());
        let is_inside = c >= 0.0 && r >= 0.0 && c + 1.0 < self.grid.columns() as f64 && r + 1.0 < self.grid.rows() as f64;
        if !is_inside {
            return self.gradients[self.grid.cell_of(at)?];
        }
        let (u, v, cell) = (column - c, row - r, self.grid.index(c as usize, r as usize));
        let below = cell + self.grid.columns();
        let corners = [(cell, (1.0 - u) * (1.0 - v)), (cell + 1, u * (1.0 - v)), (below, (1.0 - u) * v), (below + 1, u * v)];
        corners.into_iter().try_fold(Gradient::default(), |sum, (cell, weight)| {
            let one = self.gradients[cell]?;
            Some(Gradient { east: sum.east + weight * one.east, north: sum.north + weight * one.north })
        })
    }

    /// How much the ground curves up along a way of length 1, 1/m: above zero in a hollow. 0 where it is not known.
    pub fn curvature(&self, at: MapPoint, way: MapPoint) -> f64 {
        let by = |metres: f64| self.grid.elevation_m(at + way * metres);
        let heights = by(-HALF_BAY_M).zip(by(0.0)).zip(by(HALF_BAY_M));
        heights.map_or(0.0, |((before, here), after)| (before + after - 2.0 * here) / (HALF_BAY_M * HALF_BAY_M))
    }

    /// Whether a post here stands in a dip, as far as cells are fine enough to tell.
    pub fn is_dip(&self, at: MapPoint) -> bool {
        let around = || [(1.0, 0.0), (0.0, 1.0), (0.8, 0.6), (0.6, -0.8)].map(|(east, north)| MapPoint::new(east, north));
        self.is_fine() && around().into_iter().map(|way| self.curvature(at, way)).sum::<f64>() / 4.0 > DIP_PER_M
    }
}
