//! The window onto the map: which point stands in the middle, and how many metres a point of the screen is.

use egui::{Pos2, Rect, Vec2, pos2, vec2};
use hillwire_core::land::{MapPoint, MapRect};

/// Where the map is looked at from. Outside the plan: moving it is not an edit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Map point in the middle of the pane.
    pub centre: MapPoint,
    /// Metres on the map for one point of the screen.
    pub metres_per_point: f64,
}

/// From a hair's breadth to a county.
const CLOSEST: f64 = 0.004;
const FARTHEST: f64 = 400.0;

impl Default for View {
    fn default() -> Self {
        Self { centre: MapPoint::default(), metres_per_point: 1.0 }
    }
}

impl View {
    /// The view that shows all of `rect` in a pane of this size, with a margin.
    pub fn fitting(rect: MapRect, pane: Vec2) -> Self {
        let width = (rect.max.x_m - rect.min.x_m).max(20.0) / f64::from(pane.x.max(50.0));
        let height = (rect.max.y_m - rect.min.y_m).max(20.0) / f64::from(pane.y.max(50.0));
        let metres_per_point = (width.max(height) * 1.08).clamp(CLOSEST, FARTHEST);
        Self { centre: rect.centre(), metres_per_point }
    }

    /// Where a map point stands on the screen.
    pub fn at_screen(&self, pane: Rect, at_map: MapPoint) -> Pos2 {
        let from_centre = at_map - self.centre;
        let x = from_centre.x_m / self.metres_per_point;
        let y = -from_centre.y_m / self.metres_per_point;
        pane.center() + vec2(x as f32, y as f32)
    }

    /// Which map point stands at a place on the screen.
    pub fn at_map(&self, pane: Rect, at_screen: Pos2) -> MapPoint {
        let from_centre = at_screen - pane.center();
        let x_m = f64::from(from_centre.x) * self.metres_per_point;
        let y_m = -f64::from(from_centre.y) * self.metres_per_point;
        self.centre + MapPoint::new(x_m, y_m)
    }

    /// The part of the map that the pane shows.
    pub fn shown(&self, pane: Rect) -> MapRect {
        let (a, b) = (self.at_map(pane, pane.left_bottom()), self.at_map(pane, pane.right_top()));
        MapRect { min: a, max: b }
    }

    /// Moves the map with the pointer.
    pub fn pan(&mut self, by_screen: Vec2) {
        let x_m = f64::from(by_screen.x) * self.metres_per_point;
        let y_m = f64::from(by_screen.y) * self.metres_per_point;
        self.centre = self.centre + MapPoint::new(-x_m, y_m);
    }

    /// Zooms by a factor (> 1: closer), keeping the map point under `at_screen` where it is.
    pub fn zoom(&mut self, pane: Rect, at_screen: Pos2, factor: f64) {
        let kept = self.at_map(pane, at_screen);
        self.metres_per_point = (self.metres_per_point / factor).clamp(CLOSEST, FARTHEST);
        let moved = self.at_map(pane, at_screen);
        self.centre = self.centre + (kept - moved);
    }

    /// Length on the screen of a length on the map.
    pub fn points(&self, metres: f64) -> f32 {
        (metres / self.metres_per_point) as f32
    }
}

/// A rectangle on the screen as used in tests and for the pane before it was drawn once.
pub fn assumed_pane() -> Rect {
    Rect::from_min_max(pos2(0.0, 0.0), pos2(800.0, 500.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zooming_keeps_the_point_under_the_pointer() {
        let pane = assumed_pane();
        let mut view = View { centre: MapPoint::new(120.0, -40.0), metres_per_point: 0.8 };
        let pointer = pos2(613.0, 77.0);
        let before = view.at_map(pane, pointer);
        view.zoom(pane, pointer, 1.7);
        let after = view.at_map(pane, pointer);
        assert!(before.distance_m(after) < 1e-9, "{before:?} {after:?}");
    }

    #[test]
    fn a_fitted_view_shows_the_whole_rectangle() {
        let pane = assumed_pane();
        let rect = MapRect { min: MapPoint::new(-300.0, 10.0), max: MapPoint::new(500.0, 900.0) };
        let view = View::fitting(rect, pane.size());
        let shown = view.shown(pane);
        assert!(shown.contains(rect.min) && shown.contains(rect.max));
    }
}
