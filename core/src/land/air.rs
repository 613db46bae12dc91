//! Air photos: pictures that lie on the map, and their tiles for drawing.

use super::tile::TilePart;
use super::{Frame, Georeference, GroundError, MapRect, Placement, Raster, ShadeTile};
use std::sync::Arc;

/// The points of a picture, and where they lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Points along a row.
    pub columns: usize,
    /// Rows, the upper one first.
    pub rows: usize,
    /// Red, green, blue, opacity, row by row.
    pub rgba: Vec<u8>,
    /// Where they lie.
    pub georeference: Georeference,
}

impl Picture {
    /// The picture at 1 / `step` of its fineness, each point the mean of a block; the last blocks may be smaller.
    pub fn reduced(&self, step: usize) -> Self {
        let mut reducing = Reducing::new(self.columns, step);
        self.rgba.chunks(4 * self.columns).for_each(|row| reducing.take(row));
        reducing.finish(self.georeference.clone())
    }

    /// The mean colour of a block of `side` x `side` points, weighted by their opacity.
    fn mean_of_block(&self, column: usize, row: usize, side: usize) -> [u8; 4] {
        let until = |first: usize, all: usize| (first * side + side).min(all);
        let mut sums = [0_u64; 5];
        for y in row * side..until(row, self.rows) {
            let line = &self.rgba[4 * (y * self.columns + column * side)..4 * (y * self.columns + until(column, self.columns))];
            for point in line.chunks_exact(4) {
                let opacity = u64::from(point[3]);
                (0..3).for_each(|k| sums[k] += u64::from(point[k]) * opacity);
                sums[3] += opacity;
                sums[4] += 1;
            }
        }
        mean_of(sums)
    }
}

/// A picture that is made smaller while its rows come in, so that it is never held whole.
#[derive(Clone, Debug)]
pub struct Reducing {
    columns: usize,
    step: usize,
    /// Of each block of the row of blocks that is open: red, green and blue by opacity, opacity, points.
    sums: Vec<[u64; 5]>,
    /// Rows taken into it.
    taken: usize,
    rgba: Vec<u8>,
}

impl Reducing {
    /// For rows of so many points; each block of `step` x `step` becomes one.
    pub fn new(columns: usize, step: usize) -> Self {
        Self { columns, step, sums: vec![[0; 5]; columns.div_ceil(step)], taken: 0, rgba: Vec::new() }
    }

    /// Takes the next row: red, green, blue, opacity of each point.
    pub fn take(&mut self, row: &[u8]) {
        for (points, sums) in row.chunks(4 * self.step).zip(&mut self.sums) {
            for point in points.chunks_exact(4) {
                let opacity = u64::from(point[3]);
                (0..3).for_each(|k| sums[k] += u64::from(point[k]) * opacity);
                sums[3] += opacity;
                sums[4] += 1;
            }
        }
        self.taken += 1;
        if self.taken == self.step {
            self.close_row();
        }
    }

    fn close_row(&mut self) {
        self.rgba.extend(self.sums.iter().flat_map(|sums| mean_of(*sums)));
        self.sums.fill([0; 5]);
        self.taken = 0;
    }

    /// What became of it; `georeference` is that of the whole picture.
    pub fn finish(mut self, georeference: Georeference) -> Picture {
        if self.taken > 0 {
            self.close_row();
        }
        let columns = self.columns.div_ceil(self.step);
        let Georeference { origin, per_column, per_row, crs } = georeference;
        let (side, middle) = (self.step as f64, 0.5 * (self.step as f64 - 1.0));
        let origin = (origin.0 + middle * (per_column.0 + per_row.0), origin.1 + middle * (per_column.1 + per_row.1));
        let times = |(x, y): (f64, f64)| (x * side, y * side);
        Picture {
            columns,
            rows: self.rgba.len() / (4 * columns.max(1)),
            rgba: self.rgba,
            georeference: Georeference { origin, per_column: times(per_column), per_row: times(per_row), crs },
        }
    }
}

/// The mean colour of points, weighted by their opacity.
fn mean_of([red, green, blue, opacity, count]: [u64; 5]) -> [u8; 4] {
    if opacity == 0 {
        return [0; 4];
    }
    let rounded = |sum: u64, by: u64| ((sum + by / 2) / by) as u8;
    [rounded(red, opacity), rounded(green, opacity), rounded(blue, opacity), rounded(opacity, count)]
}

/// An air photo on the map of a frame. Immutable: share it in an `Arc`.
#[derive(Clone, Debug)]
pub struct AirPhoto {
    picture: Arc<Picture>,
    frame: Frame,
    placement: Placement,
}

/// The coarsest level of tiles: a texel of 2^15 points a side.
const COARSEST: u8 = 15;

impl AirPhoto {
    /// Places a picture on the map of a frame.
    ///
    /// # Errors
    /// [`GroundError`].
    pub fn new(picture: Arc<Picture>, frame: Frame) -> Result<Self, GroundError> {
        let raster = Raster { columns: picture.columns, rows: picture.rows, georeference: &picture.georeference };
        let placement = Placement::new(raster, frame)?;
        Ok(Self { picture, frame, placement })
    }

    /// The picture.
    pub fn picture(&self) -> &Arc<Picture> {
        &self.picture
    }

    /// The frame on whose map it lies.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// Where its points lie on the map.
    pub fn placement(&self) -> &Placement {
        &self.placement
    }

    /// The upright rectangle around it on the map.
    pub fn extent(&self) -> MapRect {
        self.placement.extent()
    }

    /// One tile of at most [`super::TILE_SIDE`] texels a side, each the mean of 2^level x 2^level points; `None` where there is no such tile.
    pub fn tile(&self, level: u8, tile_column: usize, tile_row: usize) -> Option<ShadeTile> {
        let picture = &*self.picture;
        let side = 1_usize << level.min(COARSEST);
        let part = TilePart::of((picture.columns.div_ceil(side), picture.rows.div_ceil(side)), (tile_column, tile_row))?;
        let ((first_column, first_row), (columns, rows)) = (part.first, part.size);
        let mut rgba = Vec::with_capacity(4 * columns * rows);
        for row in first_row..first_row + rows {
            (first_column..first_column + columns).for_each(|column| rgba.extend(picture.mean_of_block(column, row, side)));
        }
        Some(part.painted(rgba, side))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::{Crs, CrsKind, MapPoint, TILE_SIDE};

    fn picture(columns: usize, rows: usize) -> Picture {
        let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        let georeference = Georeference { origin: (500_000.0, 5_000_000.0), per_column: (0.5, 0.0), per_row: (0.0, -0.5), crs };
        let rgba = (0..columns * rows).flat_map(|k| [(k % columns) as u8, (k / columns) as u8, 7, 255]).collect();
        Picture { columns, rows, rgba, georeference }
    }

    fn photo(columns: usize, rows: usize) -> AirPhoto {
        let picture = picture(columns, rows);
        let raster = Raster { columns, rows, georeference: &picture.georeference };
        let frame = Placement::frame_of(raster).expect("on the globe");
        AirPhoto::new(Arc::new(picture), frame).expect("placed")
    }

    #[test]
    fn a_reduced_picture_lies_where_the_whole_one_does() {
        let whole = photo(40, 24);
        let reduced = AirPhoto::new(Arc::new(whole.picture().reduced(4)), whole.frame()).expect("placed");
        for (a, b) in [(whole.extent().min, reduced.extent().min), (whole.extent().max, reduced.extent().max)] {
            assert!(a.distance_m(b) < 1e-3, "{a:?} {b:?}");
        }
        // Columns 0 to 3 have the mean 1.5, rounded up.
        assert_eq!(reduced.picture().rgba[..4], [2, 2, 7, 255]);
    }

    #[test]
    fn tiles_cover_the_picture_once() {
        let photo = photo(TILE_SIDE + 3, 5);
        let fine = [0, 1].map(|column| photo.tile(0, column, 0).expect("there"));
        assert_eq!([fine[0].columns, fine[1].columns, fine[1].rows], [TILE_SIDE, 3, 5]);
        assert_eq!(
            (fine[0].cells.left, fine[1].cells.left, fine[1].cells.right),
            (-0.5, TILE_SIDE as f64 - 0.5, TILE_SIDE as f64 + 2.5)
        );
        assert!(photo.tile(0, 2, 0).is_none() && photo.tile(0, 0, 1).is_none());
        let coarse = photo.tile(1, 0, 0).expect("there");
        assert_eq!((coarse.columns, coarse.rows), ((TILE_SIDE + 3).div_ceil(2), 3));
    }

    #[test]
    fn transparent_points_do_not_darken_their_neighbours() {
        let mut picture = picture(2, 2);
        picture.rgba = vec![200, 100, 50, 255, 0, 0, 0, 0, 0, 0, 0, 0, 200, 100, 50, 255];
        assert_eq!(picture.mean_of_block(0, 0, 2), [200, 100, 50, 128]);
    }

    #[test]
    fn a_point_of_the_picture_lies_on_the_map_where_its_coordinates_say() {
        let photo = photo(100, 80);
        let (a, b) = (photo.placement().to_map(0.0, 0.0), photo.placement().to_map(80.0, 0.0));
        // Grid metres of the zone's middle meridian are 0.9996 of true ones.
        assert!((a.distance_m(b) - 40.0 / 0.9996).abs() < 1e-3);
        let MapPoint { x_m, y_m } = a;
        assert!(x_m.is_finite() && y_m > photo.extent().min.y_m);
    }
}
