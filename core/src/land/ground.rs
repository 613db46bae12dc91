//! The ground on the map: an elevation grid in its own coordinates, seen from the metres of the working frame.

use super::placement::{CellsPerMetre, GroundError, Placement};
use super::{Frame, Grid, MapPoint, MapRect, Scatter};
use crate::units::{Elevation, Length};
use std::sync::{Arc, OnceLock};

/// An elevation grid on the map. The grid keeps its own cells (nothing is resampled). Where it has no height, the grid beneath it counts, if there
/// is one ([`Ground::layered`]). Immutable: share it in an `Arc`.
#[derive(Clone, Debug)]
pub struct Ground {
    grid: Arc<Grid>,
    frame: Frame,
    placement: Placement,
    /// Worked out when it is first asked for, once for all copies.
    scatter: Arc<OnceLock<Scatter>>,
    beneath: Option<Arc<Ground>>,
}

impl Ground {
    /// Places a grid on the map of a frame ([`Placement::new`]).
    ///
    /// # Errors
    /// [`GroundError`].
    pub fn new(grid: Arc<Grid>, frame: Frame) -> Result<Self, GroundError> {
        let placement = Placement::new(grid.raster(), frame)?;
        Ok(Self { grid, frame, placement, scatter: Arc::default(), beneath: None })
    }

    /// This ground where it has a height, and the other one elsewhere.
    pub(super) fn over(self, beneath: Option<Self>) -> Self {
        Self { beneath: beneath.map(Arc::new), ..self }
    }

    /// The grids beneath this one.
    #[inline]
    pub(super) fn beneath(&self) -> Option<&Self> {
        self.beneath.as_deref()
    }

    /// The frame for a plan on this grid: its origin is the middle of the grid rounded to 0.01 degree.
    ///
    /// # Errors
    /// [`GroundError`] when the grid's coordinate system cannot say where that is.
    pub fn frame_of(grid: &Grid) -> Result<Frame, GroundError> {
        Placement::frame_of(grid.raster())
    }

    /// The grid.
    pub fn grid(&self) -> &Arc<Grid> {
        &self.grid
    }

    /// The working frame.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// How far the heights of this grid scatter, whatever lies beneath it.
    pub fn scatter(&self) -> &Scatter {
        self.scatter.get_or_init(|| Scatter::of(&self.grid, self.cell()))
    }

    /// Where its cells lie on the map.
    pub fn placement(&self) -> &Placement {
        &self.placement
    }

    /// The larger of the two sizes of a cell in the middle of the grid.
    pub fn cell(&self) -> Length {
        self.placement.cell()
    }

    /// The outer edge of the grid's cells on the map, once round, eight points to a side.
    pub fn outline(&self) -> Vec<MapPoint> {
        self.placement.outline()
    }

    /// The upright rectangle around the grid on the map.
    pub fn extent(&self) -> MapRect {
        self.placement.extent()
    }

    /// Fractional (column, row) of cell centres at a point of the map; only meaningful in and near [`Self::extent`].
    #[inline]
    pub fn to_cells(&self, at: MapPoint) -> (f64, f64) {
        self.placement.to_cells(at)
    }

    /// The point of the map at a fractional (column, row) of cell centres: the exact inverse of [`Self::to_cells`].
    pub fn to_map(&self, column: f64, row: f64) -> MapPoint {
        self.placement.to_map(column, row)
    }

    /// How (column, row) change per metre at a point.
    pub(super) fn cells_per_metre(&self, at: MapPoint) -> CellsPerMetre {
        self.placement.cells_per_metre(at)
    }

    /// The height of the ground, bilinear between the four cell centres around the point; `None` outside the outermost
    /// centres and where a void cell has any weight.
    #[inline]
    pub fn elevation(&self, at: MapPoint) -> Option<Elevation> {
        self.elevation_m(at).map(Elevation::metres)
    }

    /// [`Self::elevation`] as a plain number.
    #[inline]
    pub(super) fn elevation_m(&self, at: MapPoint) -> Option<f64> {
        self.own_elevation_m(at).or_else(|| self.beneath.as_deref()?.elevation_m(at))
    }

    /// The height in this grid, whatever lies beneath it.
    #[inline]
    pub(super) fn own_elevation_m(&self, at: MapPoint) -> Option<f64> {
        // Far outside the polynomial may fold back into the grid, so the rectangle is asked first.
        if !self.extent().contains(at) {
            return None;
        }
        let (column, row) = self.to_cells(at);
        self.grid.bilinear_m(column, row)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, placed};
    use crate::land::placement::Path;
    use crate::land::{Crs, CrsKind};

    fn metric(code: &str) -> Crs {
        Crs { definition: code.to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } }
    }

    fn degrees() -> Crs {
        Crs { definition: "EPSG:4326".to_owned(), kind: CrsKind::Geographic }
    }

    fn feet(code: &str) -> Crs {
        let metres_per_unit = crate::units::US_SURVEY_FOOT_M;
        Crs { definition: code.to_owned(), kind: CrsKind::Projected { metres_per_unit } }
    }

    /// Largest miss of a ground against PROJ over an even lattice of its cells, in cells and in metres, both ways.
    fn worst_miss(ground: &Ground) -> (f64, f64) {
        let path = Path::new(ground.grid.raster(), ground.frame).expect("placed before");
        let (mut cells, mut metres) = (0.0_f64, 0.0_f64);
        for j in 0..=30 {
            for i in 0..=30 {
                let column = f64::from(i) / 30.0 * (ground.grid.columns as f64 - 1.0);
                let row = f64::from(j) / 30.0 * (ground.grid.rows as f64 - 1.0);
                let exact = path.to_map(column, row).expect("in the grid");
                let (found_column, found_row) = ground.to_cells(exact);
                cells = cells.max((found_column - column).hypot(found_row - row));
                metres = metres.max(ground.to_map(column, row).distance_m(exact));
            }
        }
        (cells, metres)
    }

    #[test]
    fn grids_of_every_kind_of_coordinates_are_placed_to_a_millimetre() {
        type Place = (&'static str, Crs, (f64, f64), (f64, f64), usize);
        let rows: [Place; 12] = [
            ("Slovenia", metric("EPSG:3794"), (564_000.0, 147_000.0), (1.0, -1.0), 1000),
            ("UTM 17 north", metric("EPSG:32617"), (420_000.0, 4_100_000.0), (10.0, -10.0), 2000),
            ("Washington South, a cone", metric("EPSG:32149"), (361_020.0, 71_440.0), (10.0, -10.0), 2000),
            ("Great Britain, another datum", metric("EPSG:27700"), (280_000.0, 730_000.0), (5.0, -5.0), 2000),
            ("North Carolina in survey feet", feet("EPSG:2264"), (700_000.0, 700_000.0), (5.0, -5.0), 2000),
            ("degrees at the equator", degrees(), (36.7, 0.02), (1.0 / 3600.0, -1.0 / 3600.0), 1000),
            ("degrees at 46 north", degrees(), (15.8, 46.6), (1.0 / 3600.0, -1.0 / 3600.0), 1000),
            ("degrees at 69 north", degrees(), (19.8, 69.2), (1.0 / 3600.0, -1.0 / 3600.0), 1000),
            ("degrees at 45 south", degrees(), (169.1, -44.9), (1.0 / 3600.0, -1.0 / 3600.0), 1000),
            ("degrees across the date line", degrees(), (179.95, -16.9), (1.0 / 3600.0, -1.0 / 3600.0), 500),
            ("the wrong half of a date-line pair", degrees(), (-180.05, -16.9), (1.0 / 3600.0, -1.0 / 3600.0), 500),
            ("far outside its own zone", metric("EPSG:32632"), (1_024_000.0, 5_160_000.0), (5.0, -5.0), 1000),
        ];
        for (name, crs, origin, cell, side) in rows {
            let grid = placed(side, side, origin, cell, crs, vec![0.0; side * side]);
            let frame = Ground::frame_of(&grid).expect(name);
            let ground = Ground::new(Arc::new(grid), frame).expect(name);
            let (cells, metres) = worst_miss(&ground);
            assert!(cells < 1e-3 && metres < 1e-3, "{name}: {cells} cells, {metres} m");
            let there_and_back = ground.to_cells(ground.to_map(12.25, 7.5));
            assert!(
                (there_and_back.0 - 12.25).abs() < 1e-9 && (there_and_back.1 - 7.5).abs() < 1e-9,
                "{name}: {there_and_back:?}"
            );
        }
    }

    #[test]
    fn a_grid_that_stands_at_an_angle_is_placed_like_any_other() {
        let (sine, cosine) = 0.4_f64.sin_cos();
        let mut turned = grid(200, 150, 2.0, vec![5.0; 30_000]);
        turned.georeference.per_column = (2.0 * cosine, 2.0 * sine);
        turned.georeference.per_row = (2.0 * sine, -2.0 * cosine);
        let frame = Ground::frame_of(&turned).expect("in UTM");
        let ground = Ground::new(Arc::new(turned), frame).expect("in UTM");
        let (cells, metres) = worst_miss(&ground);
        assert!(cells < 1e-6 && metres < 1e-6, "{cells} cells, {metres} m");
        // UTM at its central meridian shows 0.9996 of the true length.
        assert!((ground.cell().as_metres() - 2.0 / 0.9996).abs() < 1e-6, "{:?}", ground.cell());
    }

    #[test]
    fn the_outline_runs_once_round_the_outer_edge_of_the_cells() {
        let ground = grid(100, 50, 1.0, vec![0.0; 5000]);
        let ground = Ground::new(Arc::new(ground.clone()), Ground::frame_of(&ground).expect("in UTM")).expect("in UTM");
        let outline = ground.outline();
        let around = outline.iter().zip(outline.iter().cycle().skip(1)).map(|(a, b)| a.distance_m(*b)).sum::<f64>();
        assert!((around - 300.0 / 0.9996).abs() < 1e-3, "{around}");
        assert!(outline.iter().all(|point| ground.extent().centre().distance_m(*point) > 24.9));
    }

    #[test]
    fn no_height_is_found_outside_the_outermost_centres_however_far_away() {
        let ground = grid(30, 30, 10.0, vec![7.0; 900]);
        let ground = Ground::new(Arc::new(ground.clone()), Ground::frame_of(&ground).expect("in UTM")).expect("in UTM");
        for (column, row, known) in [(0.0, 0.0, true), (29.0, 29.0, true), (-0.25, 3.0, false), (14.0, 29.25, false)] {
            assert_eq!(ground.elevation(ground.to_map(column, row)).is_some(), known, "{column} {row}");
        }
        for k in 0..36 {
            let far = MapPoint::new(1e7, 0.0) * f64::from(k).cos() + MapPoint::new(0.0, 1e7) * f64::from(k).sin();
            assert_eq!(ground.elevation(far), None);
        }
    }

    #[test]
    fn what_cannot_be_placed_says_why() {
        let good = grid(3, 3, 1.0, vec![0.0; 9]);
        let frame = Ground::frame_of(&good).expect("in UTM");
        let place = |change: &dyn Fn(&mut Grid)| {
            let mut changed = good.clone();
            change(&mut changed);
            Ground::new(Arc::new(changed), frame).expect_err("unusable")
        };
        let error = place(&|grid| grid.columns = 1);
        assert!(matches!(error, GroundError::TooFewCells { columns: 1, rows: 3 }), "{error}");
        let error = place(&|grid| grid.georeference.per_row = grid.georeference.per_column);
        assert_eq!(error, GroundError::CellsWithoutSize);
        let error = place(&|grid| grid.georeference.crs.definition = "EPSG:999999".to_owned());
        assert!(error.to_string().contains("EPSG:999999"), "{error}");
        let error = place(&|grid| grid.georeference.origin = (8e6, 5e6));
        assert!(
            matches!(error, GroundError::TooFar { .. } | GroundError::OutsideCrs { .. } | GroundError::NotSmooth { .. }),
            "{error}"
        );
        let error = place(&|grid| grid.georeference.crs = degrees());
        assert!(matches!(error, GroundError::OutsideCrs { .. }), "{error}");
    }
}
