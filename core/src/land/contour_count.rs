//! How many points contour lines will have, counted before any is made.

use super::Grid;
use super::contour::Field;
use crate::bounds::CONTOUR_POINTS;
use rayon::prelude::*;

/// The coarsest interval that is looked at, metres: no ground has such relief.
const COARSEST_M: f64 = 100_000.0;

/// Points of the contour lines of a grid at every multiple of `every_m`: one for each level that an edge between two centres crosses.
pub fn contour_points(grid: &Grid, every_m: f64) -> u64 {
    Field::whole(grid, every_m).points()
}

impl Field<'_> {
    /// Points of all its lines.
    pub(super) fn points(&self) -> u64 {
        (0..self.rows).into_par_iter().map_init(|| (Vec::new(), Vec::new()), |rows, row| self.points_of_row(row, rows)).sum()
    }

    /// Those on the edges along a row of centres, and from it to the next.
    fn points_of_row(&self, row: usize, (here, below): &mut (Vec<i32>, Vec<i32>)) -> u64 {
        self.steps(row, here);
        let along: u64 = here.windows(2).map(|pair| crossed(pair[0], pair[1])).sum();
        if row + 1 == self.rows {
            return along;
        }
        self.steps(row + 1, below);
        along + here.iter().zip(&*below).map(|(one, other)| crossed(*one, *other)).sum::<u64>()
    }

    /// The finest interval of a plain number of metres (1, 2 or 5 with noughts) at which there are few enough; `None` where none is.
    pub(super) fn finest_m(&self, points: u64) -> Option<f64> {
        // Points grow fewer about as the interval grows: what is far from enough is not counted.
        let from_m = 0.4 * self.every_m * points as f64 / CONTOUR_POINTS as f64;
        let plain = (-2..).flat_map(|noughts| [1.0, 2.0, 5.0].map(|digit| plain_number(digit, noughts)));
        let mut tried = plain.take_while(|every_m| *every_m <= COARSEST_M);
        tried.find(|every_m| {
            *every_m > self.every_m && *every_m >= from_m && Field { every_m: *every_m, ..*self }.points() <= CONTOUR_POINTS
        })
    }
}

/// A digit with so many noughts, or so many places behind the point.
fn plain_number(digit: f64, noughts: i32) -> f64 {
    let by = 10_f64.powi(noughts.abs());
    if noughts < 0 { digit / by } else { digit * by }
}

/// Levels between two steps; none beside a void.
fn crossed(one: i32, other: i32) -> u64 {
    if one == Field::VOID || other == Field::VOID { 0 } else { u64::from(one.abs_diff(other)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use crate::land::fixture::{grid, hills};
    use crate::land::{ContourError, contours, contours_to_draw};

    /// Cells that stand so high and so low by turns: nothing has more contours.
    fn teeth(side: usize, height_m: f32) -> Grid {
        grid(side, side, 30.0, (0..side * side).map(|k| height_m * ((k % side + k / side) % 2) as f32).collect())
    }

    #[test]
    fn as_many_points_are_counted_as_the_lines_then_have() {
        for (what, ground, every_m) in [
            ("hills", hills(70, 300, 1.0), 0.7),
            ("teeth", teeth(9, 12.5), 1.0),
            ("with voids", grid(3, 3, 1.0, vec![0.0, 3.0, 9.0, f32::NAN, 4.0, 2.0, 1.0, 7.0, 5.0]), 1.0),
        ] {
            let made: usize = contours(&ground, every_m, &Job::new()).expect(what).iter().map(|line| line.points.len()).sum();
            let counted = contour_points(&ground, every_m);
            // Beside a void edges are counted that no whole square has; rows between two bands have their points once.
            assert!(made as u64 <= counted && counted <= made as u64 + 16, "{what}: {made} {counted}");
        }
    }

    #[test]
    fn too_many_are_refused_before_they_are_made_and_the_finest_interval_that_fits_is_named() {
        // Edges, relief, and the least plain number of metres at which the levels on all edges are few enough.
        for (side, height_m, every_m, finest) in
            [(20, 25_000.0, 0.01, 5.0), (150, 1000.0, 0.01, 20.0), (150, 1000.0, 5.0, 20.0), (20, 25_000.0, 4.0, 5.0)]
        {
            let ground = teeth(side, height_m);
            let found = contours(&ground, every_m, &Job::new());
            let Err(ContourError::TooMany { points, finest_m, .. }) = found else {
                panic!("{side}: {:?}", found.map(|l| l.len()))
            };
            assert!(points > CONTOUR_POINTS && finest_m == Some(finest), "{side} {every_m}: {finest_m:?}");
            assert!(contour_points(&ground, finest) <= CONTOUR_POINTS);
            assert!(contours_to_draw(&ground, every_m, &Job::new()).is_err());
        }
    }

    #[test]
    fn where_every_edge_crosses_the_level_of_the_sea_no_interval_fits() {
        let ground =
            grid(2000, 2000, 1.0, (0..4_000_000).map(|k| if (k % 2000 + k / 2000) % 2 == 0 { -1.0 } else { 1.0 }).collect());
        let found = contours(&ground, 5.0, &Job::new()).map(|lines| lines.len());
        assert!(matches!(found, Err(ContourError::TooMany { finest_m: None, .. })), "{found:?}");
        assert!(found.expect_err("too many").to_string().contains("no interval"));
    }
}
