//! Drawing a line or an area corner by corner, with the mouse or by typed lengths.

use super::Drawn;
use hillwire_core::land::MapPoint;
use hillwire_core::units::Length;

/// A line or an area under the pen.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// What it will be.
    pub drawn: Drawn,
    /// Corners that stand.
    pub corners: Vec<MapPoint>,
    /// Where the pointer is now, snapped: the corner to come.
    pub pointer: Option<MapPoint>,
    /// Digits typed for the next leg.
    pub typed: String,
}

/// What became of the draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    /// It goes on.
    GoesOn,
    /// It is done: keep it.
    Done,
    /// Nothing is left of it: put the pen down.
    Gone,
}

/// A typed leg: how long, and which way if that was typed too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypedLeg {
    /// Length on the ground, in the unit the keeper works in.
    pub length: f64,
    /// Degrees clockwise from north; `None` keeps the pointer's direction.
    pub bearing_deg: Option<f64>,
}

/// Two clicks at one place make one corner.
const SAME_PLACE_M: f64 = 0.05;

impl Draft {
    /// A pen with nothing drawn.
    pub fn new(drawn: Drawn) -> Self {
        Self { drawn, corners: Vec::new(), pointer: None, typed: String::new() }
    }

    /// The pointer moved.
    pub fn moved(&mut self, to: MapPoint) {
        self.pointer = Some(to);
    }

    /// A click set a corner; on the first corner it closes the line.
    pub fn clicked(&mut self, at: MapPoint) -> After {
        self.typed.clear();
        let closes = self.corners.len() >= 3 && self.corners[0].distance_m(at) < SAME_PLACE_M;
        if closes {
            self.corners.push(self.corners[0]);
            return After::Done;
        }
        if self.corners.last().is_none_or(|last| last.distance_m(at) >= SAME_PLACE_M) {
            self.corners.push(at);
        }
        self.pointer = Some(at);
        After::GoesOn
    }

    /// Enter or a double click: the line is done if there is one.
    pub fn ended(&mut self) -> After {
        let enough = if self.drawn.is_area() { 3 } else { 2 };
        if self.corners.len() >= enough { After::Done } else { After::Gone }
    }

    /// Backspace: the typed digit, else the last corner goes away.
    pub fn taken_back(&mut self) -> After {
        if self.typed.pop().is_some() {
            return After::GoesOn;
        }
        self.corners.pop();
        if self.corners.is_empty() { After::Gone } else { After::GoesOn }
    }

    /// A digit, a decimal mark or the space between length and bearing was typed.
    pub fn typed_char(&mut self, typed: char) {
        let allowed = typed.is_ascii_digit() || matches!(typed, '.' | ',') || (typed == ' ' && self.is_length_alone());
        if allowed && !self.corners.is_empty() && self.typed.len() < 12 {
            self.typed.push(if typed == ',' { '.' } else { typed });
        }
    }

    fn is_length_alone(&self) -> bool {
        !self.typed.is_empty() && !self.typed.contains(' ')
    }

    /// What the typed text means, once it means something.
    pub fn typed_leg(&self) -> Option<TypedLeg> {
        let (length, bearing) = match self.typed.trim_end().split_once(' ') {
            Some((length, bearing)) => (length, Some(bearing.parse().ok()?)),
            None => (self.typed.trim_end(), None),
        };
        let length: f64 = length.parse().ok()?;
        (length > 0.0).then_some(TypedLeg { length, bearing_deg: bearing })
    }

    /// The corners with the one to come, closed when it is an area; `None` while there is nothing to see.
    pub fn shape(&self) -> Option<Vec<MapPoint>> {
        let mut corners = self.corners.clone();
        let last = *corners.last()?;
        if let Some(pointer) = self.pointer.filter(|pointer| pointer.distance_m(last) >= SAME_PLACE_M) {
            corners.push(pointer);
        }
        close_when_area(self.drawn, corners)
    }

    /// The corners that stand, closed when it is an area.
    pub fn finished(&self) -> Option<Vec<MapPoint>> {
        close_when_area(self.drawn, self.corners.clone())
    }
}

fn close_when_area(drawn: Drawn, mut corners: Vec<MapPoint>) -> Option<Vec<MapPoint>> {
    if drawn.is_area() {
        if corners.len() < 3 {
            return None;
        }
        if corners.first() != corners.last() {
            corners.push(corners[0]);
        }
        return Some(corners);
    }
    (corners.len() >= 2).then_some(corners)
}

/// The point at which a leg from `from` in direction `bearing_deg` has the length `wanted` on the ground.
///
/// `ground_length` measures a straight leg on the ground; without ground the map's length is taken.
pub fn leg_end(from: MapPoint, bearing_deg: f64, wanted: Length, ground_length: impl Fn(MapPoint) -> Option<Length>) -> MapPoint {
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    let at = |plan_m: f64| from + MapPoint::new(sin * plan_m, cos * plan_m);
    let mut plan_m = wanted.as_metres();
    // The ground's length grows with the map's, nearly in proportion: a few corrections reach a millimetre.
    for _ in 0..30 {
        let Some(on_ground) = ground_length(at(plan_m)) else { break };
        let ratio = wanted / on_ground;
        plan_m *= ratio;
        if (ratio - 1.0).abs() < 1e-6 {
            break;
        }
    }
    at(plan_m)
}

/// Degrees clockwise from north of the way from `from` to `to`.
pub fn bearing_deg(from: MapPoint, to: MapPoint) -> f64 {
    let way = to - from;
    way.x_m.atan2(way.y_m).to_degrees().rem_euclid(360.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> MapPoint {
        MapPoint::new(x, y)
    }

    #[test]
    fn clicking_the_first_corner_again_closes_the_line() {
        let mut draft = Draft::new(Drawn::Fence);
        for point in [at(0.0, 0.0), at(10.0, 0.0), at(10.0, 10.0)] {
            assert_eq!(draft.clicked(point), After::GoesOn);
        }
        assert_eq!(draft.clicked(at(0.0, 0.01)), After::Done);
        assert_eq!(draft.finished().map(|corners| (corners.len(), corners[0] == corners[3])), Some((4, true)));
    }

    #[test]
    fn backspace_takes_the_last_corner_and_at_the_end_the_pen() {
        let mut draft = Draft::new(Drawn::Track);
        draft.clicked(at(0.0, 0.0));
        draft.clicked(at(5.0, 0.0));
        assert_eq!(draft.taken_back(), After::GoesOn);
        assert_eq!(draft.corners.len(), 1);
        assert_eq!(draft.taken_back(), After::Gone);
    }

    #[test]
    fn typed_digits_mean_a_length_and_a_bearing() {
        for (typed, expected) in [
            ("42", Some((42.0, None))),
            ("42 75", Some((42.0, Some(75.0)))),
            ("42 ", Some((42.0, None))),
            (" 42  75 1", Some((42.0, Some(751.0)))),
            ("42@75", Some((4275.0, None))),
            ("3,5", Some((3.5, None))),
            ("", None),
            (" ", None),
            ("0", None),
        ] {
            let mut draft = Draft::new(Drawn::Fence);
            draft.clicked(at(0.0, 0.0));
            typed.chars().for_each(|c| draft.typed_char(c));
            assert_eq!(draft.typed_leg().map(|leg| (leg.length, leg.bearing_deg)), expected, "{typed}");
        }
    }

    #[test]
    fn a_typed_leg_has_its_length_on_the_ground() {
        let slope = 0.4_f64;
        let factor = (1.0 + slope * slope).sqrt();
        let start = at(3.0, 4.0);
        let end = leg_end(start, 90.0, Length::metres(50.0), |to| Some(Length::metres(start.distance_m(to) * factor)));
        assert!((start.distance_m(end) * factor - 50.0).abs() < 1e-4, "{end:?}");
        assert!((bearing_deg(start, end) - 90.0).abs() < 1e-9);
    }
}
