//! Stations that a fence keeps for its posts, through changes of its corners: by leg and share of the leg.

use super::change;
use super::follow::Piece;
use crate::land::Position;
use crate::plan::{Feature, Fence, Kind, Plan};
use crate::units::Length;

/// How long the straight way between two places is along the ground, metres. Stations are lengths on the ground, and a plan
/// does not know the ground: whoever applies an edit does.
pub type LegLength<'a> = &'a dyn Fn([Position; 2]) -> f64;

/// The lists of stations that a fence keeps.
pub(super) fn lists(fence: &mut Fence) -> [&mut Vec<Length>; 5] {
    [&mut fence.posts, &mut fence.no_posts, &mut fence.hold_downs, &mut fence.braces, &mut fence.springs]
}

/// Length of a way on the ground, metres.
pub(super) fn way_m(way: &[Position], leg_m: LegLength) -> f64 {
    way.windows(2).map(|leg| leg_m([leg[0], leg[1]])).sum()
}

/// Gives every station of a fence another one; one that becomes `None` goes.
pub(super) fn restation(feature: &mut Feature, station: impl Fn(Length) -> Option<Length>) {
    if let Kind::Fence(fence) = &mut feature.kind {
        for list in lists(fence) {
            *list = list.iter().filter_map(|at| station(*at)).collect();
        }
    }
}

/// A piece of a line in stations, before and after.
struct Stretch {
    old_from_m: f64,
    old_m: f64,
    new_from_m: f64,
    new_m: f64,
    is_left: bool,
}

/// How the stations of one line change.
struct Shift {
    stretches: Vec<Stretch>,
    /// Where the new line begins on the old one, which is closed when this is not zero.
    lead_m: f64,
}

impl Shift {
    /// Pieces in the order of the new line: one without an old way is new, one without a new way is lost.
    fn of(pieces: &[Piece], lead_m: f64, leg_m: LegLength) -> Self {
        let (mut old_from_m, mut new_from_m) = (0.0, 0.0);
        let stretch = |piece: &Piece| {
            let old_m = way_m(&piece.old, leg_m);
            let new_m = if piece.old == piece.new { old_m } else { way_m(&piece.new, leg_m) };
            let stretch = Stretch { old_from_m, old_m, new_from_m, new_m, is_left: !piece.new.is_empty() };
            (old_from_m, new_from_m) = (old_from_m + old_m, new_from_m + new_m);
            (!piece.old.is_empty()).then_some(stretch)
        };
        let stretches = pieces.iter().filter_map(stretch).collect();
        Self { stretches, lead_m }
    }

    fn station(&self, at: Length) -> Option<Length> {
        let last = self.stretches.last()?;
        let around_m = last.old_from_m + last.old_m;
        let is_led = self.lead_m > 0.0 && around_m > 0.0;
        let at_m = if is_led { (at.as_metres() - self.lead_m).rem_euclid(around_m) } else { at.as_metres() };
        let on = self.stretches.iter().find(|stretch| at_m <= stretch.old_from_m + stretch.old_m).unwrap_or(last);
        let ratio = if on.old_m > 0.0 { on.new_m / on.old_m } else { 0.0 };
        let stays = ratio.total_cmp(&1.0).is_eq() && on.old_from_m.total_cmp(&on.new_from_m).is_eq();
        let new_m = if stays { at_m } else { on.new_from_m + (at_m - on.old_from_m) * ratio };
        on.is_left.then(|| Length::metres(new_m.max(0.0)))
    }
}

/// Whether a feature keeps any stations.
fn keeps_stations(feature: &Feature) -> bool {
    let Kind::Fence(fence) = &feature.kind else { return false };
    [&fence.posts, &fence.no_posts, &fence.hold_downs, &fence.braces, &fence.springs].iter().any(|list| !list.is_empty())
}

/// The stations of a line whose way has changed so, from what they were `before`. `lead_m`: where the new line begins on the old
/// one, which is closed when this is not zero.
pub(super) fn carry_stations(plan: &mut Plan, index: usize, before: &Feature, pieces: &[Piece], lead_m: f64, leg_m: LegLength) {
    if !keeps_stations(before) || pieces.iter().all(|piece| piece.old == piece.new) {
        return;
    }
    let shift = Shift::of(pieces, lead_m, leg_m);
    let Kind::Fence(mut fence) = before.kind.clone() else { return };
    change(plan, index, |feature| {
        if let Kind::Fence(now) = &mut feature.kind {
            for (now, was) in lists(now).into_iter().zip(lists(&mut fence)) {
                *now = was.iter().filter_map(|at| shift.station(*at)).collect();
            }
        }
    });
}
