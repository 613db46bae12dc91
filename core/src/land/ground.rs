//! The ground on the map: an elevation grid in its own coordinates, seen from the metres of the working frame.

use super::fit::{DEGREES, Domain, Fit};
use super::{CrsKind, Frame, Georeference, Grid, MapPoint, MapRect, Position};
use crate::units::{Elevation, Length};
use proj::{Area, Proj};
use std::sync::Arc;

/// A fit this good ends the search for a better one, in metres and in cells.
const AIM_M: f64 = 1e-3;
const AIM_CELLS: f64 = 1e-3;
/// A fit worse than this is refused, in metres and in cells.
const LIMIT_M: f64 = 0.05;
const LIMIT_CELLS: f64 = 0.02;
/// Beyond this the working frame itself is no longer a map of true metres.
const REACH_M: f64 = 400_000.0;

/// An elevation grid on the map. The grid keeps its own cells (nothing is resampled); a polynomial fitted through PROJ
/// leads from map metres to cells, and a second one with Newton's steps back. Where it has no height, the grid beneath it counts, if there
/// is one ([`Ground::layered`]). Immutable: share it in an `Arc`.
#[derive(Clone, Debug)]
pub struct Ground {
    grid: Arc<Grid>,
    frame: Frame,
    cells: Fit,
    map: Fit,
    extent: MapRect,
    beneath: Option<Arc<Ground>>,
}

/// ((column per x, column per y), (row per x, row per y)) in cells per metre.
pub(super) type CellsPerMetre = ((f64, f64), (f64, f64));

/// A grid that cannot be placed on the map.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GroundError {
    /// Fewer than two rows or columns.
    #[error("{columns} columns and {rows} rows of cells; at least 2 of each are needed")]
    TooFewCells {
        /// Columns found.
        columns: usize,
        /// Rows found.
        rows: usize,
    },
    /// The affine map of the grid has no inverse.
    #[error("the cells of the grid have no size or lie on one line")]
    CellsWithoutSize,
    /// PROJ does not know the coordinate system.
    #[error("the coordinate system {definition} is not known: {reason}")]
    UnknownCrs {
        /// As it stood in the grid.
        definition: String,
        /// What PROJ said.
        reason: String,
    },
    /// A place of the grid is outside what its coordinate system can express.
    #[error("the place ({x}, {y}) is outside what {definition} allows: {reason}")]
    OutsideCrs {
        /// First coordinate, in the grid's system.
        x: f64,
        /// Second coordinate.
        y: f64,
        /// The coordinate system.
        definition: String,
        /// What PROJ said.
        reason: String,
    },
    /// The grid reaches farther from the middle of the plan than the map stays true.
    #[error("the grid reaches {reach_m:.0} m from the middle of the plan; allowed are {allowed_m:.0} m")]
    TooFar {
        /// The farthest edge of the grid.
        reach_m: f64,
        /// The farthest allowed.
        allowed_m: f64,
    },
    /// No polynomial follows the grid's projection closely enough.
    #[error("the grid can be placed only to {found_m:.3} m or {found_cells:.3} cells; allowed are 0.05 m and 0.02 cells")]
    NotSmooth {
        /// Largest miss in metres.
        found_m: f64,
        /// Largest miss in cells.
        found_cells: f64,
    },
}

impl Ground {
    /// Places a grid on the map of a frame.
    ///
    /// The map from metres to cells is a bivariate polynomial of degree 3 to 5, fitted by least squares to points
    /// carried through PROJ (map, WGS 84, the grid's coordinate system, cell), then checked on a denser lattice of other
    /// points: 0.001 cell and 1 mm are aimed at, 0.02 cell and 0.05 m are the limits.
    ///
    /// # Errors
    /// [`GroundError`].
    pub fn new(grid: Arc<Grid>, frame: Frame) -> Result<Self, GroundError> {
        let path = Path::new(&grid, frame)?;
        let cell_domain = Domain { min: (-0.5, -0.5), max: (grid.columns as f64 - 0.5, grid.rows as f64 - 0.5) };
        let mut rim = vec![];
        for (column, row) in edge_of(&grid, 8) {
            let point = path.to_map(column, row)?;
            rim.push((point.x_m, point.y_m));
        }
        let domain = Domain::around(&rim);
        let reach_m = rim.iter().fold(0.0, |reach: f64, point| reach.max(point.0.hypot(point.1)));
        if reach_m > REACH_M {
            return Err(GroundError::TooFar { reach_m, allowed_m: REACH_M });
        }
        let (short_m, long_m) = path.cell_sides_m(middle_of(&grid))?;
        let cells = best_fit(&domain, |x, y| path.to_cells(MapPoint::new(x, y)), |miss| (miss, miss * long_m))?;
        let map = best_fit(
            &cell_domain,
            |column, row| path.to_map(column, row).map(|point| (point.x_m, point.y_m)),
            |miss| (miss / short_m, miss),
        )?;
        let extent = MapRect { min: MapPoint::new(domain.min.0, domain.min.1), max: MapPoint::new(domain.max.0, domain.max.1) };
        Ok(Self { grid, frame, cells, map, extent, beneath: None })
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
        let globe = Globe::new(grid)?;
        let (lon_deg, lat_deg) = globe.middle_deg;
        Ok(Frame::near(Position::from_degrees(lon_deg, lat_deg)))
    }

    /// The grid.
    pub fn grid(&self) -> &Arc<Grid> {
        &self.grid
    }

    /// The working frame.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// The larger of the two sizes of a cell in the middle of the grid.
    pub fn cell(&self) -> Length {
        let (column, row) = middle_of(&self.grid);
        let ((x_per_column, x_per_row), (y_per_column, y_per_row)) = self.map.slopes(column, row);
        Length::metres(x_per_column.hypot(y_per_column).max(x_per_row.hypot(y_per_row)))
    }

    /// The outer edge of the grid's cells on the map, once round, eight points to a side.
    pub fn outline(&self) -> Vec<MapPoint> {
        edge_of(&self.grid, 8).into_iter().map(|(column, row)| self.to_map(column, row)).collect()
    }

    /// The upright rectangle around the grid on the map.
    pub fn extent(&self) -> MapRect {
        self.extent
    }

    /// Fractional (column, row) of cell centres at a point of the map; only meaningful in and near [`Self::extent`].
    #[inline]
    pub fn to_cells(&self, at: MapPoint) -> (f64, f64) {
        self.cells.at(at.x_m, at.y_m)
    }

    /// The point of the map at a fractional (column, row) of cell centres: the exact inverse of [`Self::to_cells`].
    pub fn to_map(&self, column: f64, row: f64) -> MapPoint {
        let (mut x, mut y) = self.map.at(column, row);
        // The fitted inverse is within millimetres; two steps of Newton's method make it agree to rounding.
        for _ in 0..2 {
            let (found_column, found_row) = self.cells.at(x, y);
            let ((cx, cy), (rx, ry)) = self.cells.slopes(x, y);
            let determinant = cx * ry - cy * rx;
            let (miss_column, miss_row) = (column - found_column, row - found_row);
            x += (ry * miss_column - cy * miss_row) / determinant;
            y += (cx * miss_row - rx * miss_column) / determinant;
        }
        MapPoint::new(x, y)
    }

    /// How (column, row) change per metre at a point.
    pub(super) fn cells_per_metre(&self, at: MapPoint) -> CellsPerMetre {
        self.cells.slopes(at.x_m, at.y_m)
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
        if !self.extent.contains(at) {
            return None;
        }
        let (column, row) = self.to_cells(at);
        self.grid.bilinear_m(column, row)
    }
}

/// The first degree that meets the aim, else the best within the limits. `sizes` turns a miss of the fit into (cells, m).
fn best_fit(
    domain: &Domain,
    image: impl Fn(f64, f64) -> Result<(f64, f64), GroundError>,
    sizes: impl Fn(f64) -> (f64, f64),
) -> Result<Fit, GroundError> {
    let images = |points: &[(f64, f64)]| points.iter().map(|(x, y)| image(*x, *y)).collect::<Result<Vec<_>, _>>();
    let on_nodes = images(&domain.nodes())?;
    let lattice = domain.lattice();
    let on_lattice = images(&lattice)?;
    let mut best: Option<(f64, Fit)> = None;
    for degree in DEGREES {
        let fit = Fit::through(domain, &on_nodes, degree);
        let miss = lattice.iter().zip(&on_lattice).fold(0.0, |worst: f64, (point, expected)| {
            let found = fit.at(point.0, point.1);
            worst.max((found.0 - expected.0).hypot(found.1 - expected.1))
        });
        let (cells, metres) = sizes(miss);
        if cells < AIM_CELLS && metres < AIM_M {
            return Ok(fit);
        }
        if best.as_ref().is_none_or(|(least, _)| miss < *least) {
            best = Some((miss, fit));
        }
    }
    let (miss, fit) = best.expect("at least one degree is tried");
    let (found_cells, found_m) = sizes(miss);
    if found_cells < LIMIT_CELLS && found_m < LIMIT_M { Ok(fit) } else { Err(GroundError::NotSmooth { found_m, found_cells }) }
}

/// The middle of the grid in cells.
fn middle_of(grid: &Grid) -> (f64, f64) {
    (0.5 * (grid.columns as f64 - 1.0), 0.5 * (grid.rows as f64 - 1.0))
}

/// Points round the outer edge of the cells, `per_side` to a side, beginning at the outer corner of cell (0, 0).
fn edge_of(grid: &Grid, per_side: usize) -> Vec<(f64, f64)> {
    let (right, bottom) = (grid.columns as f64 - 0.5, grid.rows as f64 - 0.5);
    let corners = [(-0.5, -0.5), (right, -0.5), (right, bottom), (-0.5, bottom), (-0.5, -0.5)];
    let side = |pair: &[(f64, f64)]| {
        let (a, b) = (pair[0], pair[1]);
        (0..per_side).map(move |k| {
            let share = k as f64 / per_side as f64;
            (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
        })
    };
    corners.windows(2).flat_map(side).collect()
}

/// Coordinates of a fractional cell.
pub(super) fn cell_to_crs(georeference: &Georeference, column: f64, row: f64) -> (f64, f64) {
    let Georeference { origin, per_column, per_row, .. } = georeference;
    (origin.0 + per_column.0 * column + per_row.0 * row, origin.1 + per_column.1 * column + per_row.1 * row)
}

/// The way from the grid's coordinates to WGS 84 and back, through PROJ.
struct Globe<'a> {
    georeference: &'a Georeference,
    to_degrees: Proj,
    from_degrees: Proj,
    /// The middle of the grid in its own coordinates.
    middle: (f64, f64),
    /// The middle of the grid in degrees.
    middle_deg: (f64, f64),
}

/// Longitude and latitude on WGS 84; `new_known_crs` gives them in this order.
const DEGREES_CRS: &str = "EPSG:4326";

impl<'a> Globe<'a> {
    /// Between two datums PROJ knows several ways and by default chooses one for every point; the middle of the grid
    /// is named as the area, so that one way holds for the whole grid and no seam runs through it.
    fn new(grid: &'a Grid) -> Result<Self, GroundError> {
        let georeference = &grid.georeference;
        let (column, row) = middle_of(grid);
        let middle = cell_to_crs(georeference, column, row);
        let (lon_deg, lat_deg) = Self::over(georeference, middle, None)?.to_degrees(middle)?;
        if lon_deg.abs() > 360.0 || lat_deg.abs() > 90.0 {
            let (x, y) = middle;
            let (definition, reason) = (georeference.crs.definition.clone(), "not a place on the globe".to_owned());
            return Err(GroundError::OutsideCrs { x, y, definition, reason });
        }
        let lon_deg = (lon_deg + 180.0).rem_euclid(360.0) - 180.0;
        let area = Area::new(lon_deg - 1e-6, lat_deg - 1e-6, lon_deg + 1e-6, lat_deg + 1e-6);
        Ok(Self { middle_deg: (lon_deg, lat_deg), ..Self::over(georeference, middle, Some(area))? })
    }

    fn over(georeference: &'a Georeference, middle: (f64, f64), area: Option<Area>) -> Result<Self, GroundError> {
        let definition = georeference.crs.definition.as_str();
        let way = |from: &str, to: &str| {
            Proj::new_known_crs(from, to, area)
                .map_err(|error| GroundError::UnknownCrs { definition: definition.to_owned(), reason: error.to_string() })
        };
        let (to_degrees, from_degrees) = (way(definition, DEGREES_CRS)?, way(DEGREES_CRS, definition)?);
        Ok(Self { georeference, to_degrees, from_degrees, middle, middle_deg: (0.0, 0.0) })
    }

    fn to_degrees(&self, (x, y): (f64, f64)) -> Result<(f64, f64), GroundError> {
        let checked = |degrees: (f64, f64)| (degrees.0.is_finite() && degrees.1.is_finite()).then_some(degrees);
        match self.to_degrees.convert((x, y)).map(checked) {
            Ok(Some(degrees)) => Ok(degrees),
            Ok(None) => Err(self.outside(x, y, "no longitude and latitude there")),
            Err(error) => Err(self.outside(x, y, &error.to_string())),
        }
    }

    fn to_coordinates(&self, (lon_deg, lat_deg): (f64, f64)) -> Result<(f64, f64), GroundError> {
        let (x, y) =
            self.from_degrees.convert((lon_deg, lat_deg)).map_err(|error| self.outside(lon_deg, lat_deg, &error.to_string()))?;
        if !(x.is_finite() && y.is_finite()) {
            return Err(self.outside(lon_deg, lat_deg, "no coordinates there"));
        }
        // A grid across the date line counts its longitudes through 180.
        let turns = match self.georeference.crs.kind {
            CrsKind::Geographic => ((self.middle.0 - x) / 360.0).round(),
            CrsKind::Projected { .. } => 0.0,
        };
        Ok((x + 360.0 * turns, y))
    }

    fn outside(&self, x: f64, y: f64, reason: &str) -> GroundError {
        GroundError::OutsideCrs { x, y, definition: self.georeference.crs.definition.clone(), reason: reason.to_owned() }
    }
}

/// The whole way from cells to the map and back, exact, point by point.
struct Path<'a> {
    globe: Globe<'a>,
    frame: Proj,
    inverse: [[f64; 2]; 2],
}

impl<'a> Path<'a> {
    fn new(grid: &'a Grid, frame: Frame) -> Result<Self, GroundError> {
        let (columns, rows) = (grid.columns, grid.rows);
        if columns < 2 || rows < 2 {
            return Err(GroundError::TooFewCells { columns, rows });
        }
        let georeference = &grid.georeference;
        let ((a, c), (b, d)) = (georeference.per_column, georeference.per_row);
        let determinant = a * d - b * c;
        if !determinant.is_normal() {
            return Err(GroundError::CellsWithoutSize);
        }
        let globe = Globe::new(grid)?;
        let frame = Proj::new(&frame.definition()).expect("the definition is our own");
        let inverse = [[d / determinant, -b / determinant], [-c / determinant, a / determinant]];
        Ok(Self { globe, frame, inverse })
    }

    fn to_map(&self, column: f64, row: f64) -> Result<MapPoint, GroundError> {
        let (x, y) = cell_to_crs(self.globe.georeference, column, row);
        let (lon_deg, lat_deg) = self.globe.to_degrees((x, y))?;
        let (x_m, y_m) = self
            .frame
            .project((lon_deg.to_radians(), lat_deg.to_radians()), false)
            .map_err(|error| self.globe.outside(x, y, &error.to_string()))?;
        if !(x_m.is_finite() && y_m.is_finite()) {
            return Err(self.globe.outside(x, y, "too far from the middle of the plan"));
        }
        Ok(MapPoint::new(x_m, y_m))
    }

    fn to_cells(&self, at: MapPoint) -> Result<(f64, f64), GroundError> {
        let (lon, lat) =
            self.frame.project((at.x_m, at.y_m), true).map_err(|error| self.globe.outside(at.x_m, at.y_m, &error.to_string()))?;
        let (x, y) = self.globe.to_coordinates((lon.to_degrees(), lat.to_degrees()))?;
        let origin = self.globe.georeference.origin;
        let (east, north) = (x - origin.0, y - origin.1);
        let [[a, b], [c, d]] = self.inverse;
        Ok((a * east + b * north, c * east + d * north))
    }

    /// The shorter and the longer side of the cell at this place.
    fn cell_sides_m(&self, (column, row): (f64, f64)) -> Result<(f64, f64), GroundError> {
        let here = self.to_map(column, row)?;
        let along_m = here.distance_m(self.to_map(column + 1.0, row)?);
        let down_m = here.distance_m(self.to_map(column, row + 1.0)?);
        Ok((along_m.min(down_m), along_m.max(down_m)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, placed};
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
        let path = Path::new(&ground.grid, ground.frame).expect("placed before");
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
