//! Stretches of a line for rules about the lay of the land.

use super::{Checked, CheckedLine};
use crate::finding::Place;
use crate::hold::along::{Piece, pieces, runs};
use crate::plan::Kind;
use crate::site::LARGEST_CELL;
use crate::units::Length;

/// Pieces of a line that are judged by what is drawn, metres.
const DRAWN_PIECE_M: f64 = 2.0;
/// Pieces that are judged by the ground: a working cell.
const PIECE_M: f64 = 10.0;

/// Pieces next to each other of which the same is to be said.
pub(super) struct Told<T> {
    pieces: Vec<(Piece, T)>,
}

/// Stretches of a fence whose pieces `say` something by what is drawn.
pub(super) fn stretches<T>(line: &CheckedLine, say: impl Fn(&Piece) -> Option<T>) -> Vec<Told<T>> {
    in_pieces(line, DRAWN_PIECE_M, say)
}

fn in_pieces<T>(line: &CheckedLine, piece_m: f64, say: impl Fn(&Piece) -> Option<T>) -> Vec<Told<T>> {
    if !matches!(line.feature.kind, Kind::Fence(_)) {
        return Vec::new();
    }
    let said = pieces(line.section, piece_m).into_iter().filter_map(|piece| Some((piece, say(&piece)?))).collect();
    let beside = |one: &(Piece, T), next: &(Piece, T)| next.0.from.plan_m - one.0.to.plan_m < 0.01;
    runs(said, beside).into_iter().map(|pieces| Told { pieces }).collect()
}

/// Stretches of a fence whose pieces `say` something by the ground, where the grid tells something about its lay.
pub(super) fn stretches_told<T>(checked: &Checked, line: &CheckedLine, say: impl Fn(&Piece) -> Option<T>) -> Vec<Told<T>> {
    let tells = |piece: &Piece| checked.cell_at(piece.middle()).is_some_and(|cell| cell <= LARGEST_CELL);
    in_pieces(line, PIECE_M, |piece| if tells(piece) { say(piece) } else { None })
}

impl<T> Told<T> {
    /// How long it is on the ground.
    pub fn over(&self) -> Length {
        Length::metres(self.ends_m() - self.starts_m())
    }

    fn starts_m(&self) -> f64 {
        self.pieces[0].0.from.station_m
    }

    fn ends_m(&self) -> f64 {
        self.pieces[self.pieces.len() - 1].0.to.station_m
    }

    /// The piece of which `value` is least, and what was said of it.
    pub fn least(&self, value: impl Fn(&T) -> f64) -> &(Piece, T) {
        let least = self.pieces.iter().min_by(|one, other| value(&one.1).total_cmp(&value(&other.1)));
        least.expect("a stretch has a piece")
    }

    /// The stretch as the place of a finding, to be looked at in the middle of a piece.
    pub fn place(&self, checked: &Checked, line: &CheckedLine, at: &Piece) -> Place {
        checked.stretch(line, self.starts_m(), self.ends_m(), at.middle())
    }
}
