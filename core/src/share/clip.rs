//! What of a line or an area lies within a rectangle of paper.

use super::drawing::Place;

/// A rectangle of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Frame {
    pub fn width(self) -> f64 {
        self.right - self.left
    }
    pub fn height(self) -> f64 {
        self.bottom - self.top
    }
    pub fn middle(self) -> Place {
        ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }
    pub fn holds(self, (x, y): Place) -> bool {
        (self.left..=self.right).contains(&x) && (self.top..=self.bottom).contains(&y)
    }
    pub fn outline(self) -> [Place; 5] {
        let Self { left, top, right, bottom } = self;
        [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
    }

    /// The parts of a line within the rectangle (Liang and Barsky's way, leg by leg).
    pub fn parts_of(self, line: &[Place]) -> Vec<Vec<Place>> {
        let mut parts: Vec<Vec<Place>> = Vec::new();
        for leg in line.windows(2) {
            let Some((from, to)) = self.leg(leg[0], leg[1]) else { continue };
            match parts.last_mut().filter(|part| part.last() == Some(&from)) {
                Some(part) => part.push(to),
                None => parts.push(vec![from, to]),
            }
        }
        parts
    }

    fn leg(self, from: Place, to: Place) -> Option<(Place, Place)> {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (mut begin, mut end) = (0.0_f64, 1.0_f64);
        let sides = [(-dx, from.0 - self.left), (dx, self.right - from.0), (-dy, from.1 - self.top), (dy, self.bottom - from.1)];
        for (towards, room) in sides {
            if towards.abs() < 1e-12 {
                if room < 0.0 {
                    return None;
                }
            } else if towards < 0.0 {
                begin = begin.max(room / towards);
            } else {
                end = end.min(room / towards);
            }
        }
        let at = |share: f64| match share {
            share if share <= 0.0 => from,
            share if share >= 1.0 => to,
            share => (from.0 + share * dx, from.1 + share * dy),
        };
        (begin < end).then(|| (at(begin), at(end)))
    }

    /// The part of an area within the rectangle (Sutherland and Hodgman's way, side by side).
    pub fn area_of(self, corners: &[Place]) -> Vec<Place> {
        type Side = (fn(Frame, Place) -> f64, f64);
        let sides: [Side; 4] = [
            (|frame, at| at.0 - frame.left, 0.0),
            (|frame, at| frame.right - at.0, 0.0),
            (|frame, at| at.1 - frame.top, 0.0),
            (|frame, at| frame.bottom - at.1, 0.0),
        ];
        let mut kept = corners.to_vec();
        for (inside, edge) in sides {
            let given = std::mem::take(&mut kept);
            for (index, to) in given.iter().enumerate() {
                let from = given[(index + given.len() - 1) % given.len()];
                let (was, is) = (inside(self, from), inside(self, *to));
                if (was >= edge) != (is >= edge) {
                    let share = was / (was - is);
                    kept.push((from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1)));
                }
                if is >= edge {
                    kept.push(*to);
                }
            }
        }
        kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAPER: Frame = Frame { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };

    #[test]
    fn lines_end_at_the_edge_of_the_paper() {
        let line = [(-5.0, 5.0), (5.0, 5.0), (5.0, 15.0), (20.0, 15.0)];
        assert_eq!(PAPER.parts_of(&line), [vec![(0.0, 5.0), (5.0, 5.0), (5.0, 10.0)]]);
        assert!(PAPER.parts_of(&[(-1.0, -1.0), (-1.0, 20.0)]).is_empty());
        assert_eq!(PAPER.parts_of(&[(5.0, 5.0), (15.0, 5.0), (15.0, 8.0), (5.0, 8.0)]).len(), 2);
    }

    #[test]
    fn areas_are_cut_at_the_edge_of_the_paper() {
        let all = PAPER.area_of(&[(-5.0, -5.0), (15.0, -5.0), (15.0, 15.0), (-5.0, 15.0)]);
        let area: f64 = all.iter().zip(all.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0;
        assert!((area.abs() - 100.0).abs() < 1e-9, "{all:?}");
        assert!(PAPER.area_of(&[(20.0, 20.0), (30.0, 20.0), (30.0, 30.0)]).is_empty());
    }
}
