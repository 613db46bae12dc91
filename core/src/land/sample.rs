//! The height between cell centres.

use super::Grid;

/// A coordinate this near to a whole cell is taken to lie on it: a map point made from a cell comes back to it only
/// within rounding, and rounding must neither drop a grid's last row nor reach for a void neighbour of no weight.
const SNAP_CELLS: f64 = 1e-7;

impl Grid {
    /// The height at a fractional (column, row) of cell centres in metres, bilinear between the four around it:
    /// z = (1-u)(1-v) z00 + u (1-v) z01 + (1-u) v z10 + u v z11.
    ///
    /// `None` outside the outermost centres and where a void cell has any weight: nothing is extrapolated.
    #[inline]
    pub fn bilinear_m(&self, column: f64, row: f64) -> Option<f64> {
        let (c, u, right) = whole_and_share(column, self.columns)?;
        let (r, v, down) = whole_and_share(row, self.rows)?;
        let at = r * self.columns + c;
        let below = at + down * self.columns;
        let (z00, z01) = (f64::from(self.heights_m[at]), f64::from(self.heights_m[at + right]));
        let (z10, z11) = (f64::from(self.heights_m[below]), f64::from(self.heights_m[below + right]));
        let north = z00 + u * (z01 - z00);
        let south = z10 + u * (z11 - z10);
        let height = north + v * (south - north);
        height.is_finite().then_some(height)
    }

    /// The cells around a fractional (column, row) with their weights in [`Self::bilinear_m`]; `None` outside the outermost centres.
    pub(super) fn around(&self, column: f64, row: f64) -> Option<[(usize, usize, f64); 4]> {
        let (c, u, right) = whole_and_share(column, self.columns)?;
        let (r, v, down) = whole_and_share(row, self.rows)?;
        Some([
            (c, r, (1.0 - u) * (1.0 - v)),
            (c + right, r, u * (1.0 - v)),
            (c, r + down, (1.0 - u) * v),
            (c + right, r + down, u * v),
        ])
    }
}

/// The whole cell at or before a coordinate, the share of the way to the next, and the step to that next one (0 when
/// it has no weight, so that a void or missing neighbour is never touched).
#[inline]
fn whole_and_share(coordinate: f64, count: usize) -> Option<(usize, f64, usize)> {
    // Negated so that NaN is outside as well.
    if !(coordinate > -SNAP_CELLS && coordinate < (count as f64 - 1.0) + SNAP_CELLS) {
        return None;
    }
    let whole = coordinate as usize;
    let share = coordinate - whole as f64;
    if share < SNAP_CELLS {
        Some((whole, 0.0, 0))
    } else if share > 1.0 - SNAP_CELLS {
        Some((whole + 1, 0.0, 0))
    } else {
        Some((whole, share, 1))
    }
}

#[cfg(test)]
mod tests {
    use crate::land::fixture::grid;

    #[test]
    fn heights_between_centres_are_bilinear_and_end_where_the_ground_is_not_known() {
        let void = f32::NAN;
        let ground = grid(3, 3, 1.0, vec![1.0, 2.0, 4.0, 3.0, 5.0, void, 7.0, 8.0, 9.0]);
        let rows: [(f64, f64, Option<f64>); 12] = [
            (0.0, 0.0, Some(1.0)),
            (0.5, 0.0, Some(1.5)),
            (0.0, 0.5, Some(2.0)),
            (0.25, 0.5, Some(0.5 * (1.25 + 3.5))),
            (2.0, 0.0, Some(4.0)),
            (2.0, 2.0, Some(9.0)),
            (1.5, 0.0, Some(3.0)),
            (1.0, 1.5, Some(6.5)),
            (1.5, 0.5, None),
            (2.0, 0.5, None),
            (2.0 + 1e-6, 0.0, None),
            (-1e-6, 1.0, None),
        ];
        for (column, row, expected) in rows {
            let found = ground.bilinear_m(column, row);
            assert_eq!(found.is_some(), expected.is_some(), "{column} {row}: {found:?}");
            assert!((found.unwrap_or(0.0) - expected.unwrap_or(0.0)).abs() < 1e-12, "{column} {row}: {found:?}");
        }
        assert_eq!(ground.bilinear_m(f64::NAN, 0.0), None);
        assert_eq!(ground.bilinear_m(f64::INFINITY, 0.0), None);
    }

    #[test]
    fn rounding_at_a_void_neighbour_or_the_last_row_loses_no_ground() {
        let ground = grid(2, 2, 1.0, vec![1.0, f32::NAN, 3.0, 4.0]);
        assert_eq!(ground.bilinear_m(1e-9, 0.5), Some(2.0));
        assert_eq!(ground.bilinear_m(-1e-9, 1.0 + 1e-9), Some(3.0));
        assert_eq!(ground.bilinear_m(0.5, 1.0 - 1e-9), Some(3.5));
    }
}
