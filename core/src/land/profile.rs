//! A line over the ground: where it meets the grid's cells, and how high the ground is there.

use super::{Ground, MapPoint};

/// One point of a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfilePoint {
    /// Where it is.
    pub at: MapPoint,
    /// Distance from the start of the line on the map, metres.
    pub plan_m: f64,
    /// Height of the ground, metres; `None` off the grid or where it is void.
    pub ground_m: Option<f64>,
    /// Which corner of the line it is, if it is one.
    pub corner: Option<usize>,
}

/// Crossings nearer to each other or to a corner than this share of a leg are one point.
const SAME_SHARE: f64 = 1e-9;

impl Ground {
    /// The ground under a line: a point at every corner and at every crossing with the lines through the cell centres,
    /// rows and columns, in order; of each grid where it is the finest with a height. Between two of them the bilinear ground has no kink, so nothing finer is in the grid.
    ///
    /// A leg is straight on the map; in cells it is very slightly curved, so each crossing is found by Newton's method
    /// on the map from metres to cells. A leg that would cross one line twice within its own curvature is taken to
    /// cross it as often as its ends say.
    pub fn profile(&self, corners: &[MapPoint]) -> Vec<ProfilePoint> {
        let mut points = Vec::new();
        let Some(first) = corners.first() else { return points };
        points.push(self.profile_point(*first, 0.0, Some(0)));
        let mut plan_m = 0.0;
        for (index, leg) in corners.windows(2).enumerate() {
            let length_m = leg[0].distance_m(leg[1]);
            for share in self.crossings(leg[0], leg[1]) {
                points.push(self.profile_point(leg[0].towards(leg[1], share), plan_m + share * length_m, None));
            }
            plan_m += length_m;
            points.push(self.profile_point(leg[1], plan_m, Some(index + 1)));
        }
        points
    }

    fn profile_point(&self, at: MapPoint, plan_m: f64, corner: Option<usize>) -> ProfilePoint {
        ProfilePoint { at, plan_m, ground_m: self.elevation_m(at), corner }
    }

    /// Shares of the leg, strictly between 0 and 1 and rising, at which it crosses a row or a column of centres.
    fn crossings(&self, from: MapPoint, to: MapPoint) -> Vec<f64> {
        let mut shares = self.own_crossings(from, to);
        if let Some(beneath) = self.beneath() {
            let is_covered = |share: &f64| self.own_elevation_m(from.towards(to, *share)).is_some();
            shares.extend(beneath.crossings(from, to).into_iter().filter(|share| !is_covered(share)));
            shares.sort_by(f64::total_cmp);
            shares.dedup_by(|later, before| *later - *before < SAME_SHARE);
        }
        shares
    }

    fn own_crossings(&self, from: MapPoint, to: MapPoint) -> Vec<f64> {
        let (columns, rows) = (self.grid().columns, self.grid().rows);
        let across = self.crossings_of(from, to, columns, |(column, _)| column);
        let down = self.crossings_of(from, to, rows, |(_, row)| row);
        let mut shares = Vec::with_capacity(across.len() + down.len());
        let (mut across, mut down) = (across.into_iter().peekable(), down.into_iter().peekable());
        loop {
            let next = match (across.peek(), down.peek()) {
                (Some(a), Some(d)) if a <= d => across.next(),
                (_, Some(_)) => down.next(),
                (_, None) => across.next(),
            };
            let Some(share) = next else { return shares };
            let last = shares.last().copied().unwrap_or(0.0);
            if share > last + SAME_SHARE && share < 1.0 - SAME_SHARE {
                shares.push(share);
            }
        }
    }

    /// Shares of the leg at which one cell coordinate is whole, within the grid only.
    fn crossings_of(&self, from: MapPoint, to: MapPoint, count: usize, coordinate: impl Fn((f64, f64)) -> f64) -> Vec<f64> {
        let at = |share: f64| coordinate(self.to_cells(from.towards(to, share)));
        let (start, end) = (at(0.0), at(1.0));
        let (low, high) = (start.min(end).max(0.0).ceil(), start.max(end).min(count as f64 - 1.0).floor());
        if low > high || start.total_cmp(&end).is_eq() {
            return vec![];
        }
        let wholes = (0..=(high - low) as usize).map(|k| if start < end { low + k as f64 } else { high - k as f64 });
        let per_share = end - start;
        let mut shares = Vec::with_capacity((high - low) as usize + 1);
        let mut miss_before = 0.0;
        for whole in wholes {
            // The last crossing's curvature is a good guess of this one's.
            let mut share = (whole - start) / per_share + miss_before;
            for _ in 0..4 {
                let step = (whole - at(share)) / per_share;
                share += step;
                if step.abs() < 1e-11 {
                    break;
                }
            }
            miss_before = share - (whole - start) / per_share;
            if share > 0.0 && share < 1.0 {
                shares.push(share);
            }
        }
        shares
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};
    use std::sync::Arc;

    fn ground(grid: crate::land::Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    fn ground_length_m(points: &[ProfilePoint]) -> f64 {
        let rise = |pair: &[ProfilePoint]| pair[1].ground_m.expect("on the grid") - pair[0].ground_m.expect("on the grid");
        points.windows(2).map(|pair| (pair[1].plan_m - pair[0].plan_m).hypot(rise(pair))).sum()
    }

    #[test]
    fn a_line_is_split_at_every_row_and_column_of_centres_and_at_its_corners() {
        let ground = ground(plane(20, 20, 10.0, 0.1, 0.0));
        let rows: [(&[(f64, f64)], usize); 7] = [
            (&[(2.5, 3.5), (6.5, 3.5)], 2 + 4),
            (&[(2.5, 3.5), (6.5, 5.5)], 2 + 4 + 2 - 2),
            (&[(2.5, 3.6), (6.5, 5.5)], 2 + 4 + 2),
            (&[(6.5, 5.5), (2.5, 3.6)], 2 + 4 + 2),
            (&[(2.0, 2.0), (5.0, 5.0)], 2 + 2),
            (&[(2.5, 3.5), (4.5, 3.5), (4.5, 7.25)], 3 + 2 + 4),
            (&[(-3.0, 3.5), (2.5, 3.5)], 2 + 3),
        ];
        for (cells, expected) in rows {
            let corners: Vec<_> = cells.iter().map(|(column, row)| ground.to_map(*column, *row)).collect();
            let points = ground.profile(&corners);
            // A crossing of a row and a column at once is one point.
            let crossed_both = if cells == [(2.5, 3.5), (6.5, 5.5)] { 2 } else { 0 };
            assert_eq!(points.len(), expected + crossed_both, "{cells:?}: {points:?}");
            assert!(points.windows(2).all(|pair| pair[1].plan_m > pair[0].plan_m));
            let marked: Vec<_> = points.iter().filter_map(|point| point.corner).collect();
            assert_eq!(marked, (0..cells.len()).collect::<Vec<_>>());
            for point in points.iter().filter(|point| point.corner.is_none()) {
                let (column, row) = ground.to_cells(point.at);
                let off = (column - column.round()).abs().min((row - row.round()).abs());
                assert!(off < 1e-9, "{column} {row}");
            }
        }
    }

    #[test]
    fn the_ground_length_of_a_line_on_a_plane_is_exact() {
        let ground = ground(plane(40, 40, 5.0, 0.3, -0.4));
        for cells in [[(1.0, 2.0), (37.3, 29.9)], [(5.0, 5.0), (5.0, 30.0)], [(30.2, 7.7), (2.1, 8.8)]] {
            let corners = cells.map(|(column, row)| ground.to_map(column, row));
            let along = ground.gradient(corners[0]).expect("on the grid").along(corners[1] - corners[0]);
            let expected = corners[0].distance_m(corners[1]) * 1.0_f64.hypot(along);
            let found = ground_length_m(&ground.profile(&corners));
            assert!((found / expected - 1.0).abs() < 1e-6, "{found} {expected}");
        }
    }

    #[test]
    fn a_line_over_a_void_keeps_its_length_on_the_map_and_says_where_it_knows_nothing() {
        let mut holed = grid(10, 10, 10.0, vec![50.0; 100]);
        holed.heights_m[45] = f32::NAN;
        let ground = ground(holed);
        let corners = [ground.to_map(2.0, 4.0), ground.to_map(11.0, 4.0)];
        let points = ground.profile(&corners);
        assert!((points.last().expect("two corners").plan_m - corners[0].distance_m(corners[1])).abs() < 1e-9);
        let known: Vec<_> = points.iter().map(|point| point.ground_m.is_some()).collect();
        assert_eq!(known, [true, true, true, false, true, true, true, true, false]);
    }

    #[test]
    fn lines_of_no_or_one_corner_and_legs_of_no_length_are_harmless() {
        let ground = ground(plane(5, 5, 1.0, 0.0, 0.0));
        let here = ground.to_map(2.0, 2.0);
        assert!(ground.profile(&[]).is_empty());
        assert_eq!(ground.profile(&[here]).len(), 1);
        let twice = ground.profile(&[here, here]);
        assert_eq!(twice.iter().map(|point| point.corner).collect::<Vec<_>>(), [Some(0), Some(1)]);
    }
}
