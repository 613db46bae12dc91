//! The way round on a printed map: legs with the way they go, and numbered stops.

use super::drawing::{Anchor, Pen, Place, Type};
use super::map_sheet::Sheet;
use super::sheet_paper::INK;
use crate::round::{How, Leg, Round};

/// The way is drawn so far to its right, points: there and back stand apart, and the fence is seen beside it.
const BESIDE: f64 = 3.2;
/// A mark of the way it goes every so many points.
const MARK_EVERY: f64 = 70.0;
/// Nearer stops than this are drawn without their numbers, points.
const APART: f64 = 10.0;

/// What a leg is drawn with: ridden unbroken, walked in dashes.
pub(super) fn pen(how: How) -> Pen {
    if how.is_ridden() { Pen::of(INK, 1.3) } else { Pen::dashed(INK, 1.0) }
}

impl Sheet<'_> {
    /// The way and its stops.
    pub(super) fn round(&mut self, round: &Round) {
        round.legs.iter().for_each(|leg| self.leg(leg));
        let yard = self.at(round.yard.at);
        if self.map.holds(yard) {
            self.drawing.disc(yard, 4.0, "#ffffff");
            self.drawing.ring(yard, 4.0, Pen::of(INK, 1.4));
        }
        let mut numbered: Vec<Place> = Vec::new();
        for (index, stop) in round.stops.iter().enumerate() {
            let at = self.at(stop.at);
            if !self.map.holds(at) {
                continue;
            }
            if numbered.iter().any(|other| away(*other, at) < APART) {
                self.drawing.disc(at, 1.8, INK);
                continue;
            }
            numbered.push(at);
            self.keep_clear(at, 6.0);
            self.drawing.disc(at, 5.6, "#ffffff");
            self.drawing.ring(at, 5.6, Pen::of(INK, 0.8));
            let how = Type { size: 6.5, ink: INK, anchor: Anchor::Middle, bold: true };
            self.drawing.words((at.0, at.1 + 2.3), &(index + 1).to_string(), how);
        }
    }

    fn leg(&mut self, leg: &Leg) {
        let way = beside(&leg.path.iter().map(|at| self.at(*at)).collect::<Vec<_>>());
        self.clipped(&way, Pen::of("#ffffff", 2.8));
        self.clipped(&way, pen(leg.how));
        for (at, towards) in marks(&way) {
            let side = (-towards.1, towards.0);
            let corner = |on: f64, out: f64| (at.0 + towards.0 * on + side.0 * out, at.1 + towards.1 * on + side.1 * out);
            if self.map.holds(at) {
                self.drawing.area(&[corner(4.0, 0.0), corner(-2.6, 3.0), corner(-2.6, -3.0)], INK, 1.0);
            }
        }
    }
}

fn away(one: Place, other: Place) -> f64 {
    (one.0 - other.0).hypot(one.1 - other.1)
}

/// Of length 1, from one place to another.
fn towards(from: Place, to: Place) -> Place {
    let length = away(from, to).max(1e-9);
    ((to.0 - from.0) / length, (to.1 - from.1) / length)
}

/// The same way a little to its right; places closer than the pen is wide are left out.
fn beside(way: &[Place]) -> Vec<Place> {
    let mut thinned: Vec<Place> = Vec::with_capacity(way.len());
    for at in way {
        if thinned.last().is_none_or(|last| away(*last, *at) > 1.0) {
            thinned.push(*at);
        }
    }
    let last = thinned.len().saturating_sub(1);
    let to_right = |index: usize| {
        let before = towards(thinned[index.saturating_sub(1)], thinned[index]);
        let after = towards(thinned[index], thinned[(index + 1).min(last)]);
        let mean = towards((0.0, 0.0), (before.0 + after.0, before.1 + after.1));
        // Down the sheet is y: right of the way.
        (thinned[index].0 - mean.1 * BESIDE, thinned[index].1 + mean.0 * BESIDE)
    };
    if last == 0 { Vec::new() } else { (0..=last).map(to_right).collect() }
}

/// Places along the way, and which way it goes there.
fn marks(way: &[Place]) -> Vec<(Place, Place)> {
    let mut all = Vec::new();
    let mut left = MARK_EVERY / 2.0;
    for pair in way.windows(2) {
        let (length, on) = (away(pair[0], pair[1]), towards(pair[0], pair[1]));
        while left < length {
            all.push(((pair[0].0 + on.0 * left, pair[0].1 + on.1 * left), on));
            left += MARK_EVERY;
        }
        left -= length;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_way_lies_to_its_own_right_there_and_back() {
        // On a sheet y goes down: right of a way to the right is below it.
        let there = beside(&[(0.0, 0.0), (100.0, 0.0)]);
        let back = beside(&[(100.0, 0.0), (0.0, 0.0)]);
        assert!(there.iter().all(|at| (at.1 - BESIDE).abs() < 1e-9) && back.iter().all(|at| (at.1 + BESIDE).abs() < 1e-9));
        let marks = marks(&there);
        assert_eq!(marks.len(), 1);
        assert!((marks[0].0.0 - 35.0).abs() < 1e-9 && marks[0].1.0 > 0.99);
        assert!(beside(&[(1.0, 1.0)]).is_empty());
    }
}
