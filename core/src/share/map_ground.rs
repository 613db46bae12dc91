//! Under a printed map: contour lines, and the grid of longitude and latitude.

use super::drawing::{Pen, Place, Type};
use super::map_sheet::Sheet;
use super::sheet_paper::{RULE, SMALL};
use crate::job::Job;
use crate::land::{MapPoint, Position, contours_to_draw};

/// Contours at most, over the whole relief.
const MOST_CONTOURS: f64 = 45.0;
const INTERVALS_M: [f64; 7] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
/// Grids of more cells have no contours on paper.
const MOST_CELLS: usize = 6_000_000;
const CONTOUR: &str = "#c9b79c";

impl Sheet<'_> {
    pub(super) fn contours(&mut self) {
        let Some(ground) = self.of.ground else { return };
        let grid = ground.grid();
        let heights = grid.heights_m.iter().filter(|height| height.is_finite());
        let (low, high) =
            heights.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), height| (low.min(*height), high.max(*height)));
        let relief = f64::from(high - low);
        if !relief.is_finite() || grid.columns * grid.rows > MOST_CELLS {
            return;
        }
        // The finest that can be told apart and is not too much.
        let every = INTERVALS_M.into_iter().filter(|every| relief / every <= MOST_CONTOURS);
        let mut drawn = every.filter_map(|every_m| Some((every_m, contours_to_draw(grid, every_m, &Job::new()).ok()?)));
        let Some((every_m, lines)) = drawn.next() else { return };
        self.contour_m = Some(every_m);
        for line in lines {
            let mut points: Vec<Place> = Vec::new();
            for (column, row) in line.way() {
                let at = self.at(ground.to_map(column, row));
                // A point of ink is as far as anybody sees.
                if points.last().is_none_or(|last| (last.0 - at.0).hypot(last.1 - at.1) > 1.2) {
                    points.push(at);
                }
            }
            let is_thick = (line.level_m / every_m).round() % 5.0 == 0.0;
            self.clipped(&points, Pen::of(CONTOUR, if is_thick { 0.8 } else { 0.4 }));
        }
    }

    /// Lines of equal longitude and latitude, with their degrees at the edge.
    pub(super) fn graticule(&mut self) {
        let corner = |at: Place| {
            let (x, y) = self.map.middle();
            let point =
                MapPoint::new(self.middle.x_m + (at.0 - x) / self.points_per_m, self.middle.y_m - (at.1 - y) / self.points_per_m);
            self.frame.to_position(point)
        };
        let (low, high) = (corner((self.map.left, self.map.bottom)), corner((self.map.right, self.map.top)));
        let per_s = 30.92 * self.points_per_m;
        let step = |per_s: f64| GRATICULE_S.into_iter().find(|seconds| f64::from(*seconds) / 10.0 * per_s >= 95.0);
        let at = |lon_e9: i64, lat_e9: i64| Position { lon_e9, lat_e9 };
        let tenth_e9 = 1e9 / 36_000.0;
        let ticks = |low: i64, high: i64, step: u32| {
            let step_e9 = f64::from(step) * tenth_e9;
            let first = (low as f64 / step_e9).ceil() as i64;
            let last = (high as f64 / step_e9).floor() as i64;
            (first..=last).map(move |index| ((index as f64 * step_e9).round() as i64, index * i64::from(step)))
        };
        let how = Type { size: 6.5, ..SMALL };
        if let Some(step) = step(per_s * low.lat_deg().to_radians().cos().max(0.05)) {
            for (lon_e9, tenths) in ticks(low.lon_e9, high.lon_e9, step) {
                let line =
                    self.on_paper(&[at(lon_e9, low.lat_e9), at(lon_e9, (low.lat_e9 + high.lat_e9) / 2), at(lon_e9, high.lat_e9)]);
                self.clipped(&line, Pen::of(RULE, 0.35));
                let x = line.first().map_or(0.0, |place| place.0);
                let place = (x + 2.0, self.map.bottom - 3.0);
                if self.map.holds((x + 44.0, place.1)) {
                    self.drawing.words(place, &degrees(tenths, ["E", "W"]), how);
                }
            }
        }
        if let Some(step) = step(per_s) {
            for (lat_e9, tenths) in ticks(low.lat_e9, high.lat_e9, step) {
                let line =
                    self.on_paper(&[at(low.lon_e9, lat_e9), at((low.lon_e9 + high.lon_e9) / 2, lat_e9), at(high.lon_e9, lat_e9)]);
                self.clipped(&line, Pen::of(RULE, 0.35));
                let y = line.first().map_or(0.0, |place| place.1);
                if self.map.holds((self.map.left + 1.0, y - 10.0)) && y < self.map.bottom - 12.0 {
                    self.drawing.words((self.map.left + 3.0, y - 2.0), &degrees(tenths, ["N", "S"]), how);
                }
            }
        }
    }
}

/// Steps of the graticule in tenths of a second.
const GRATICULE_S: [u32; 12] = [5, 10, 20, 50, 100, 150, 300, 600, 1200, 3000, 6000, 18_000];

/// Degrees, minutes and seconds with the side they count to.
fn degrees(tenths: i64, sides: [&str; 2]) -> String {
    let side = if tenths < 0 { sides[1] } else { sides[0] };
    let all = tenths.abs();
    let (degrees, minutes, seconds) = (all / 36_000, all / 600 % 60, all % 600);
    let tenth = if seconds % 10 == 0 { String::new() } else { format!(".{}", seconds % 10) };
    format!("{degrees}°{minutes:02}′{:02}{tenth}″{side}", seconds / 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_are_written_with_minutes_seconds_and_their_side() {
        for (tenths, sides, text) in [
            (36_000 * 56 + 600 * 36 + 50, ["N", "S"], "56°36′05″N"),
            (-(36_000 * 3 + 600 * 48 + 305), ["E", "W"], "3°48′30.5″W"),
            (0, ["E", "W"], "0°00′00″E"),
        ] {
            assert_eq!(degrees(tenths, sides), text);
        }
    }
}
