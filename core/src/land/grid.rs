//! An elevation grid as it came, north row first: cells with heights in metres, and where the cells lie.

use super::Raster;

/// A coordinate reference system, as something PROJ understands.
#[derive(Clone, Debug, PartialEq)]
pub struct Crs {
    /// `EPSG:3794`, or WKT, or a PROJ string, or PROJJSON.
    pub definition: String,
    /// Whether its coordinates are lengths or angles.
    pub kind: CrsKind,
}

/// Whether coordinates are lengths or angles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CrsKind {
    /// Lengths in a map projection.
    Projected {
        /// Metres in one coordinate unit (1, 0.3048, 1200/3937).
        metres_per_unit: f64,
    },
    /// Longitude and latitude in degrees.
    Geographic,
}

/// Where the cells of a grid lie: an affine map from (column, row) of a cell CENTRE to coordinates of `crs`.
/// x = origin.0 + per_column.0 column + per_row.0 row; y likewise. Row 0 is the northern one.
#[derive(Clone, Debug, PartialEq)]
pub struct Georeference {
    /// Coordinates of the centre of cell (0, 0).
    pub origin: (f64, f64),
    /// Step from one column to the next.
    pub per_column: (f64, f64),
    /// Step from one row to the next (southwards).
    pub per_row: (f64, f64),
    /// What the coordinates mean.
    pub crs: Crs,
}

/// Something a reader noticed that the keeper should know.
#[derive(Clone, Debug, PartialEq)]
pub enum GridNote {
    /// Heights were in feet and have been turned into metres.
    HeightsInFeet,
    /// The file does not say the unit of the heights; its map unit is the foot, so they were taken as feet too.
    HeightsTakenAsFeet,
    /// The unit of the heights is unknown and the slopes look like feet.
    MaybeFeet,
    /// Many cells share one extreme value that is not declared as void; they were kept.
    MaybeUndeclaredVoid {
        /// The value.
        value: f64,
        /// Share of cells that have it, 0 to 1.
        share: f64,
    },
    /// Some cells held heights that no land has (a void value that the file does not declare); they were made void.
    ImpossibleMadeVoid {
        /// One such value, in the file's own unit.
        value: f64,
        /// Share of cells, 0 to 1.
        share: f64,
    },
    /// It may be a picture instead of heights: one byte per cell, or neighbours that differ by more than a cell's width.
    MaybePicture {
        /// Only whole numbers from 0 to 255.
        eight_bit: bool,
        /// Share of neighbouring cells whose heights differ by more than a cell's width, 0 to 1.
        share_of_jumps: f64,
    },
    /// The cells are too wide to show dips and rises between posts.
    Coarse {
        /// Width of a cell.
        spacing_m: f64,
    },
    /// Heights come in whole steps of this many metres.
    Steps {
        /// The step.
        step_m: f64,
    },
    /// The sign for "no height" is no number and is not used.
    VoidNoNumber {
        /// What stands there.
        found: String,
    },
    /// The rows ran from south to north and were turned round.
    RowsTurned,
    /// The grid stands at an angle to its coordinate system.
    Rotated {
        /// Degrees.
        angle_deg: f64,
    },
    /// The file has further pictures or bands; only the first full-size one was read.
    OnlyFirstBand,
}

/// An elevation grid in memory. Heights are 32-bit floats (worst rounding 0.25 mm below 4096 m); void cells are NaN
/// inside and `None` outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
    /// Where the cells lie.
    pub georeference: Georeference,
    /// Heights in metres, row by row from the north, `columns * rows` of them; NaN where there is none.
    pub heights_m: Vec<f32>,
    /// What the reader noticed.
    pub notes: Vec<GridNote>,
}

impl Grid {
    /// Its cells without their heights.
    pub fn raster(&self) -> Raster<'_> {
        Raster { columns: self.columns, rows: self.rows, georeference: &self.georeference }
    }
    /// The height of a cell in metres; `None` outside the grid or where it is void.
    pub fn height_m(&self, column: usize, row: usize) -> Option<f64> {
        if column >= self.columns || row >= self.rows {
            return None;
        }
        let height = self.heights_m[row * self.columns + column];
        height.is_finite().then_some(f64::from(height))
    }
}
