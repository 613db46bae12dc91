//! Why an elevation grid cannot be used: what was found, what is allowed, where.

use crate::job::Cancelled;
use std::fmt;

/// A file that gives no usable elevation grid. Each sentence is complete without the file's name, which the caller puts
/// before it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GridError {
    /// Nobody wants the grid any more.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
    /// The bytes could not be fetched.
    #[error("the file cannot be read: {reason}")]
    Unreadable {
        /// What the system said.
        reason: String,
    },
    /// No byte in it.
    #[error("the file is empty; an elevation grid (GeoTIFF, or text grid .asc) is needed")]
    Empty,
    /// Something else, told by its first bytes.
    #[error("this is {found}, not an elevation grid; allowed are GeoTIFF and text grids (.asc)")]
    NotAGrid {
        /// What it is.
        found: &'static str,
    },
    /// The file ends too early.
    #[error("the file is cut short: it has {length} bytes, but its cells reach to byte {needed}; copy or download it again")]
    Truncated {
        /// Bytes there are.
        length: u64,
        /// Bytes needed.
        needed: u64,
    },
    /// Bytes that make no sense.
    #[error("the file is damaged: {part}; copy or download it again")]
    Damaged {
        /// Where and how.
        part: String,
    },
    /// A form of TIFF that we do not read.
    #[error(
        "it is a form of TIFF that is not read here: {found}. Convert it first: gdal_translate -co COMPRESS=DEFLATE old.tif new.tif"
    )]
    Unsupported {
        /// What is not read.
        found: String,
    },
    /// Too few cells for a slope.
    #[error("the grid has {columns} columns and {rows} rows; at least 2 of each are needed")]
    TooSmall {
        /// Columns found.
        columns: u64,
        /// Rows found.
        rows: u64,
    },
    /// More cells than we take into memory.
    #[error(
        "the grid has {columns} columns and {rows} rows; at most {most_cells} cells are allowed: cut out the part around the holding"
    )]
    TooLarge {
        /// Columns found.
        columns: u64,
        /// Rows found.
        rows: u64,
        /// Cells allowed.
        most_cells: u64,
    },
    /// A compression that we do not decode.
    #[error(
        "its cells are compressed with {found}; allowed are none, LZW, DEFLATE, PackBits and ZSTD. \
         Convert it first: gdal_translate -co COMPRESS=DEFLATE old.tif new.tif"
    )]
    Compression {
        /// Its name, or number.
        found: String,
    },
    /// A predictor that does not exist or does not fit the numbers.
    #[error("its cells are stored with predictor {found}; allowed are 1, 2, and 3 for floating-point numbers")]
    Predictor {
        /// Its number.
        found: u16,
    },
    /// Numbers of a kind that we do not read.
    #[error(
        "its cells are {bits}-bit {kind} numbers; allowed are 8, 16 or 32-bit whole numbers and 32 or 64-bit floating-point numbers"
    )]
    SampleType {
        /// Bits of one number.
        bits: u16,
        /// Whole, floating-point, complex, unknown.
        kind: &'static str,
    },
    /// Colours.
    #[error("this is {found}, not an elevation grid: its cells hold colours, heights are needed")]
    Picture {
        /// What kind of picture.
        found: String,
    },
    /// Numbers that cannot be heights.
    #[error(
        "its numbers look like a shaded picture, not heights: whole numbers from 0 to 255, and {share_percent:.0} % of neighbouring \
         cells differ by more than a cell's width (allowed: 5 %)"
    )]
    ShadedPicture {
        /// Share of neighbours that differ by more than the cell's width, percent.
        share_percent: f64,
    },
    /// Slopes that no ground has.
    #[error(
        "half of it is steeper than {median_percent:.0} % (allowed: {allowed_percent:.0} %) with cells of {spacing_m:.6} m: \
         the cell size is wrong (degrees taken for metres?) or these are not heights"
    )]
    TooSteep {
        /// Median slope.
        median_percent: f64,
        /// The most that is believed.
        allowed_percent: f64,
        /// Width of a cell as stated.
        spacing_m: f64,
    },
    /// Heights that no land has.
    #[error(
        "{share_percent:.0} % of its cells hold heights that no land has, such as {}; allowed are {lowest} to {highest} m",
        Short(*example)
    )]
    ImpossibleHeights {
        /// One of them, in metres as read.
        example: f64,
        /// Share of the cells, percent.
        share_percent: f64,
        /// Lowest height allowed.
        lowest: f64,
        /// Highest height allowed.
        highest: f64,
    },
    /// Nothing but void.
    #[error("every one of its {cells} cells is void: it holds no height")]
    AllVoid {
        /// Number of cells.
        cells: u64,
    },
    /// The file does not say where it lies.
    #[error("it does not say where it lies: {missing}")]
    NoPlace {
        /// What is missing.
        missing: &'static str,
    },
    /// Columns and rows that do not stand at a right angle.
    #[error(
        "its columns and rows meet at {angle_deg:.3} degrees; allowed is 90: warp it to an upright grid first (gdalwarp old.tif new.tif)"
    )]
    Sheared {
        /// The angle between them.
        angle_deg: f64,
    },
    /// A cell without a width.
    #[error("its cells are {} by {}; both must be numbers above 0, and at most 10000000", Short(*width), Short(*height))]
    CellSize {
        /// Width found.
        width: f64,
        /// Height found.
        height: f64,
    },
    /// A place that is none.
    #[error("its corner lies at {}, {}; both must be numbers of a map: its tie points, or what lies beside it, tell no place", Short(*x), Short(*y))]
    Corner {
        /// Across.
        x: f64,
        /// Up.
        y: f64,
    },
    /// No coordinate system.
    #[error(
        "it does not name its coordinate system; put a file {projection_file} beside it that holds the system's text (WKT) or its code, \
         such as EPSG:25832"
    )]
    NoCrs {
        /// Name of the file that would tell.
        projection_file: String,
    },
    /// A picture whose place nothing tells.
    #[error("nothing tells where this picture lies; lay a world file {world_file} beside it, with six numbers")]
    NoWorldFile {
        /// Name of the file that would tell.
        world_file: String,
    },
    /// A world file that is none.
    #[error(
        "number {line} of the world file is {found}; allowed are six numbers: x and y per column, x and y per row, x and y of the upper left centre"
    )]
    BadWorldFile {
        /// Which number.
        line: usize,
        /// What stands there.
        found: String,
    },
    /// A coordinate system that PROJ does not know.
    #[error("its coordinate system \"{found}\" is not known; allowed are EPSG codes, WKT and PROJ text")]
    UnknownCrs {
        /// What the file says.
        found: String,
    },
    /// Not a system for maps.
    #[error("its coordinate system \"{found}\" is {kind}; allowed are map projections and longitude/latitude")]
    CrsKind {
        /// What the file says.
        found: String,
        /// Geocentric, vertical, ...
        kind: &'static str,
    },
    /// A projection of the file's own, of a method that we do not put together.
    #[error(
        "it describes a coordinate system of its own with {found}; allowed are transverse Mercator, Lambert conformal conic and Albers, \
         or a code: convert it first (gdalwarp -t_srs EPSG:CODE old.tif new.tif)"
    )]
    OwnProjection {
        /// The method or the value that is missing.
        found: String,
    },
    /// A unit of length that we do not know.
    #[error("its {of} are in unit {found}; allowed are metre (9001), foot (9002) and US survey foot (9003)")]
    Unit {
        /// Heights or coordinates.
        of: &'static str,
        /// Code of the unit.
        found: u32,
    },
    /// A text grid's heading with a word that does not belong there.
    #[error(
        "line {line}: \"{found}\" is not part of a text grid's heading; allowed are ncols, nrows, xllcorner or xllcenter, yllcorner or yllcenter, cellsize (or dx and dy), NODATA_value"
    )]
    HeadingWord {
        /// Line, from 1.
        line: u64,
        /// The word.
        found: String,
    },
    /// A heading value that is no number or out of range.
    #[error("line {line}: {key} is \"{found}\"; allowed is {allowed}")]
    HeadingValue {
        /// Line, from 1.
        line: u64,
        /// Which value.
        key: &'static str,
        /// What stands there.
        found: String,
        /// What may stand there.
        allowed: &'static str,
    },
    /// A heading that says a thing twice.
    #[error("line {line}: {key} stands in the heading twice; allowed is once")]
    HeadingTwice {
        /// Line, from 1.
        line: u64,
        /// Which value.
        key: &'static str,
    },
    /// A heading that lacks a value.
    #[error("the heading of the text grid has no {key}")]
    HeadingMissing {
        /// Which value.
        key: &'static str,
    },
    /// A height that is no number.
    #[error("line {line}, column {column}: \"{found}\" is not a number; allowed are numbers such as 123.4, with a point{hint}")]
    NotANumber {
        /// Line, from 1.
        line: u64,
        /// Column, from 1.
        column: u64,
        /// What stands there.
        found: String,
        /// More, if we can guess.
        hint: &'static str,
    },
    /// Not the number of heights that the heading says.
    #[error("it holds {found} heights, but its heading says {columns} columns times {rows} rows = {allowed}")]
    HeightCount {
        /// Heights found (at least, if there are too many).
        found: u64,
        /// Heights announced.
        allowed: u64,
        /// Columns announced.
        columns: u64,
        /// Rows announced.
        rows: u64,
    },
}

/// A number as short as it reads: the absurd ones have hundreds of digits.
struct Short(f64);

impl fmt::Display for Short {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self(number) = self;
        if *number == 0.0 || !number.is_finite() || (1e-9..1e15).contains(&number.abs()) {
            write!(to, "{number}")
        } else {
            write!(to, "{number:e}")
        }
    }
}

impl From<std::io::Error> for GridError {
    fn from(error: std::io::Error) -> Self {
        let reason = match error.kind() {
            std::io::ErrorKind::StorageFull => "the disk is full".to_owned(),
            std::io::ErrorKind::InvalidInput => "the system cannot read it at that place".to_owned(),
            _ => error.to_string(),
        };
        let reason = reason.split(" (os error").next().unwrap_or_default().to_owned();
        Self::Unreadable { reason }
    }
}
