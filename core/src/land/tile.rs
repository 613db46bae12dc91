//! Pictures are painted tile by tile: which texels are whose, and where they lie.

/// The longest side of a tile in texels.
pub const TILE_SIDE: usize = 512;

/// A rectangle of cells in fractional (column, row) of cell centres: the outer edge of cell (0, 0) is at -0.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellRect {
    /// Western edge.
    pub left: f64,
    /// Northern edge.
    pub top: f64,
    /// Eastern edge.
    pub right: f64,
    /// Southern edge.
    pub bottom: f64,
}

/// A picture of a part of the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct ShadeTile {
    /// Texels along a row.
    pub columns: usize,
    /// Rows of texels.
    pub rows: usize,
    /// Red, green, blue, opacity (255 or, with all four 0, nothing: void cells), northern row first.
    pub rgba: Vec<u8>,
    /// Where it lies on the grid; at levels above 0 its last texels may hang over the grid's edge.
    pub cells: CellRect,
}

/// The texels of one tile among all of a picture.
#[derive(Clone, Copy, Debug)]
pub(super) struct TilePart {
    /// Column and row of its first texel.
    pub first: (usize, usize),
    /// Columns and rows.
    pub size: (usize, usize),
}

impl TilePart {
    /// The part of a picture of so many texels that a tile (column, row) holds; `None` where there is no such tile.
    pub fn of(all: (usize, usize), tile: (usize, usize)) -> Option<Self> {
        let along = |all: usize, tile: usize| {
            let first = tile.checked_mul(TILE_SIDE).filter(|first| *first < all)?;
            Some((first, TILE_SIDE.min(all - first)))
        };
        let ((left, columns), (top, rows)) = along(all.0, tile.0).zip(along(all.1, tile.1))?;
        Some(Self { first: (left, top), size: (columns, rows) })
    }

    /// The tile, with its texels; each stands for a block of `side` cells a side.
    pub fn painted(self, rgba: Vec<u8>, side: usize) -> ShadeTile {
        let edge = |block: usize| (block * side) as f64 - 0.5;
        let ((left, top), (columns, rows)) = (self.first, self.size);
        let cells = CellRect { left: edge(left), top: edge(top), right: edge(left + columns), bottom: edge(top + rows) };
        ShadeTile { columns, rows, rgba, cells }
    }
}
