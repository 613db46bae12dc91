//! Where the cells of a raster lie on the map: a polynomial fitted through PROJ leads from map metres to cells, a second one with Newton's steps back.

use super::fit::{DEGREES, Domain, Fit};
use super::{CrsKind, Frame, Georeference, MapPoint, MapRect, Position};
use crate::bounds::beginning;
use crate::units::Length;
use proj::{Area, Proj};

/// A fit this good ends the search for a better one, in metres and in cells.
const AIM_M: f64 = 1e-3;
const AIM_CELLS: f64 = 1e-3;
/// A fit worse than this is refused, in metres and in cells.
const LIMIT_M: f64 = 0.05;
const LIMIT_CELLS: f64 = 0.02;
/// Beyond this the working frame itself is no longer a map of true metres.
const REACH_M: f64 = 400_000.0;

/// Cells without their values: how many, and where they lie.
#[derive(Clone, Copy, Debug)]
pub struct Raster<'a> {
    /// Columns of cells.
    pub columns: usize,
    /// Rows of cells, the northern one first.
    pub rows: usize,
    /// Where they lie in their own coordinate system.
    pub georeference: &'a Georeference,
}

/// Where the cells of a raster lie on the map of a frame.
#[derive(Clone, Debug)]
pub struct Placement {
    columns: usize,
    rows: usize,
    cells: Fit,
    map: Fit,
    extent: MapRect,
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
    #[error("the coordinate system {} is not known: {}", beginning(definition), beginning(reason))]
    UnknownCrs {
        /// As it stood in the grid.
        definition: String,
        /// What PROJ said.
        reason: String,
    },
    /// A place of the grid is outside what its coordinate system can express.
    #[error("the place ({x}, {y}) is outside what {} allows: {}", beginning(definition), beginning(reason))]
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
    #[error(
        "the grid lies around longitude {:.5}, latitude {:.5} and the plan around longitude {:.5}, latitude {:.5}: it reaches {:.0} km from the \
         middle of the plan; allowed are {:.0} km. Is it the grid of another place?",
        grid.lon_deg(), grid.lat_deg(), plan.lon_deg(), plan.lat_deg(), reach_m / 1000.0, allowed_m / 1000.0
    )]
    TooFar {
        /// The middle of the grid.
        grid: Position,
        /// The middle of the plan.
        plan: Position,
        /// The farthest edge of the grid.
        reach_m: f64,
        /// The farthest allowed.
        allowed_m: f64,
    },
    /// The grid alone reaches farther than the map stays true: its middle, and how far.
    #[error(
        "the grid reaches {:.0} km from its middle at longitude {:.5}, latitude {:.5}; allowed are {:.0} km: cut out the part around the holding",
        .1 / 1000.0, .0.lon_deg(), .0.lat_deg(), REACH_M / 1000.0
    )]
    TooWide(Position, f64),
    /// No polynomial follows the grid's projection closely enough.
    #[error("the grid can be placed only to {found_m:.3} m or {found_cells:.3} cells; allowed are 0.05 m and 0.02 cells")]
    NotSmooth {
        /// Largest miss in metres.
        found_m: f64,
        /// Largest miss in cells.
        found_cells: f64,
    },
}

fn near_enough(grid: Position, plan: Position, reach_m: f64) -> Result<(), GroundError> {
    match reach_m > REACH_M {
        // Without a plan the map is the grid's own.
        true if grid == plan => Err(GroundError::TooWide(grid, reach_m)),
        true => Err(GroundError::TooFar { grid, plan, reach_m, allowed_m: REACH_M }),
        false => Ok(()),
    }
}

impl Placement {
    /// Places a raster on the map of a frame.
    ///
    /// The map from metres to cells is a bivariate polynomial of degree 3 to 5, fitted by least squares to points
    /// carried through PROJ (map, WGS 84, the raster's coordinate system, cell), then checked on a denser lattice of other
    /// points: 0.001 cell and 1 mm are aimed at, 0.02 cell and 0.05 m are the limits.
    ///
    /// # Errors
    /// [`GroundError`].
    pub fn new(raster: Raster<'_>, frame: Frame) -> Result<Self, GroundError> {
        let path = Path::new(raster, frame)?;
        let Raster { columns, rows, .. } = raster;
        let (lon_deg, lat_deg) = path.globe.middle_deg;
        let grid = Position::from_degrees(lon_deg, lat_deg);
        near_enough(grid, frame.origin(), grid.arc_m(frame.origin()))?;
        let cell_domain = Domain { min: (-0.5, -0.5), max: (columns as f64 - 0.5, rows as f64 - 0.5) };
        let mut rim = vec![];
        for (column, row) in edge_of(columns, rows, 8) {
            let point = path.to_map(column, row)?;
            rim.push((point.x_m, point.y_m));
        }
        let domain = Domain::around(&rim);
        let reach_m = rim.iter().fold(0.0, |reach: f64, point| reach.max(point.0.hypot(point.1)));
        near_enough(grid, frame.origin(), reach_m)?;
        let (short_m, long_m) = path.cell_sides_m(middle_of(columns, rows))?;
        let cells = best_fit(&domain, |x, y| path.to_cells(MapPoint::new(x, y)), |miss| (miss, miss * long_m))?;
        let map = best_fit(
            &cell_domain,
            |column, row| path.to_map(column, row).map(|point| (point.x_m, point.y_m)),
            |miss| (miss / short_m, miss),
        )?;
        let extent = MapRect { min: MapPoint::new(domain.min.0, domain.min.1), max: MapPoint::new(domain.max.0, domain.max.1) };
        Ok(Self { columns, rows, cells, map, extent })
    }

    /// The frame for a plan on this raster: its origin is the middle of the raster rounded to 0.01 degree.
    ///
    /// # Errors
    /// [`GroundError`] when its coordinate system cannot say where that is.
    pub fn frame_of(raster: Raster<'_>) -> Result<Frame, GroundError> {
        let globe = Globe::new(raster)?;
        let (lon_deg, lat_deg) = globe.middle_deg;
        Ok(Frame::near(Position::from_degrees(lon_deg, lat_deg)))
    }

    /// Refuses a plan that lies elsewhere than the raster's map, whose frame was made for the raster alone.
    ///
    /// # Errors
    /// [`GroundError::TooFar`].
    pub fn refuse_plan_elsewhere(frame: Frame, plan: Position) -> Result<(), GroundError> {
        near_enough(frame.origin(), plan, plan.arc_m(frame.origin()))
    }

    /// Columns and rows of cells.
    pub fn size(&self) -> (usize, usize) {
        (self.columns, self.rows)
    }

    /// The larger of the two sizes of a cell in the middle.
    pub fn cell(&self) -> Length {
        let (column, row) = middle_of(self.columns, self.rows);
        let ((x_per_column, x_per_row), (y_per_column, y_per_row)) = self.map.slopes(column, row);
        Length::metres(x_per_column.hypot(y_per_column).max(x_per_row.hypot(y_per_row)))
    }

    /// The outer edge of the cells on the map, once round, eight points to a side.
    pub fn outline(&self) -> Vec<MapPoint> {
        edge_of(self.columns, self.rows, 8).into_iter().map(|(column, row)| self.to_map(column, row)).collect()
    }

    /// The upright rectangle around the cells on the map.
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
fn middle_of(columns: usize, rows: usize) -> (f64, f64) {
    (0.5 * (columns as f64 - 1.0), 0.5 * (rows as f64 - 1.0))
}

/// Points round the outer edge of the cells, `per_side` to a side, beginning at the outer corner of cell (0, 0).
fn edge_of(columns: usize, rows: usize, per_side: usize) -> Vec<(f64, f64)> {
    let (right, bottom) = (columns as f64 - 0.5, rows as f64 - 0.5);
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
    fn new(raster: Raster<'a>) -> Result<Self, GroundError> {
        let georeference = raster.georeference;
        let (column, row) = middle_of(raster.columns, raster.rows);
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
pub(super) struct Path<'a> {
    globe: Globe<'a>,
    frame: Proj,
    inverse: [[f64; 2]; 2],
}

impl<'a> Path<'a> {
    pub(super) fn new(raster: Raster<'a>, frame: Frame) -> Result<Self, GroundError> {
        let (columns, rows) = (raster.columns, raster.rows);
        if columns < 2 || rows < 2 {
            return Err(GroundError::TooFewCells { columns, rows });
        }
        let georeference = raster.georeference;
        let ((a, c), (b, d)) = (georeference.per_column, georeference.per_row);
        let determinant = a * d - b * c;
        if !determinant.is_normal() {
            return Err(GroundError::CellsWithoutSize);
        }
        let globe = Globe::new(raster)?;
        let frame = Proj::new(&frame.definition()).expect("the definition is our own");
        let inverse = [[d / determinant, -b / determinant], [-c / determinant, a / determinant]];
        Ok(Self { globe, frame, inverse })
    }

    pub(super) fn to_map(&self, column: f64, row: f64) -> Result<MapPoint, GroundError> {
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
