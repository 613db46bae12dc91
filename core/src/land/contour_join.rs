//! Joining the pieces of contour lines across the bands they were traced in.

use super::Contour;

/// Where a piece of a line ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum End {
    /// At the rim of the ground.
    Free,
    /// On this crossing of the band's first row of centres.
    Top(u32),
    /// On this crossing of the band's last row of centres.
    Bottom(u32),
}

/// A piece of a line inside one band.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Number of the level.
    pub level: i32,
    /// Where it begins and ends; `None` for a loop.
    pub ends: Option<[End; 2]>,
    /// Its points.
    pub points: Vec<(f64, f64)>,
}

/// No piece.
const NONE: u32 = u32::MAX;

/// Which piece has which of its ends on each crossing of one row of centres between two bands.
struct Seam {
    above: Vec<(u32, u8)>,
    below: Vec<(u32, u8)>,
}

fn put(side: &mut Vec<(u32, u8)>, number: u32, owner: (u32, u8)) {
    let number = number as usize;
    if side.len() <= number {
        side.resize(number + 1, (NONE, 0));
    }
    side[number] = owner;
}

fn at(side: &[(u32, u8)], number: u32) -> Option<(usize, usize)> {
    let (piece, end) = *side.get(number as usize)?;
    (piece != NONE).then_some((piece as usize, usize::from(end)))
}

struct Joiner {
    /// Pieces of all bands with the number of their band; the points are taken out when they are used.
    pieces: Vec<(usize, Piece)>,
    /// The seam above each band, and one more below the last.
    seams: Vec<Seam>,
    used: Vec<bool>,
}

impl Joiner {
    /// The piece that goes on where this one ends, and which of its ends is met.
    fn partner(&self, piece: usize, end: usize) -> Option<(usize, usize)> {
        let (band, piece) = &self.pieces[piece];
        match piece.ends?[end] {
            End::Free => None,
            End::Top(number) => at(&self.seams[*band].above, number),
            End::Bottom(number) => at(&self.seams[band + 1].below, number),
        }
    }

    /// The line that begins at this end of this piece.
    fn line(&mut self, first: usize, first_end: usize, every_m: f64) -> Contour {
        let level_m = f64::from(self.pieces[first].1.level) * every_m;
        let (mut piece, mut entered) = (first, first_end);
        let mut points: Vec<(f64, f64)> = vec![];
        let closed = loop {
            self.used[piece] = true;
            let mut next = std::mem::take(&mut self.pieces[piece].1.points);
            if entered == 1 {
                next.reverse();
            }
            if points.is_empty() {
                points = next;
            } else {
                // The crossing on the seam is in both pieces.
                points.extend_from_slice(&next[1..]);
            }
            match self.partner(piece, 1 - entered) {
                None => break false,
                Some((partner, _)) if partner == first => {
                    points.pop();
                    break true;
                }
                Some(partner) => (piece, entered) = partner,
            }
        };
        Contour { level_m, closed, points }
    }
}

/// Whole lines from the pieces of the bands, north to south, lowest first.
pub(super) fn joined(bands: Vec<Vec<Piece>>, every_m: f64) -> Vec<Contour> {
    let mut seams: Vec<Seam> = (0..=bands.len()).map(|_| Seam { above: vec![], below: vec![] }).collect();
    let pieces: Vec<(usize, Piece)> =
        bands.into_iter().enumerate().flat_map(|(band, pieces)| pieces.into_iter().map(move |piece| (band, piece))).collect();
    for (index, (band, piece)) in (0_u32..).zip(&pieces) {
        for (end, place) in (0_u8..).zip(piece.ends.iter().flatten()) {
            match place {
                End::Free => {}
                End::Top(number) => put(&mut seams[*band].below, *number, (index, end)),
                End::Bottom(number) => put(&mut seams[band + 1].above, *number, (index, end)),
            }
        }
    }
    let used = vec![false; pieces.len()];
    let mut joiner = Joiner { pieces, seams, used };
    let mut lines = vec![];
    for piece in 0..joiner.pieces.len() {
        match joiner.pieces[piece].1.ends {
            None => {
                joiner.used[piece] = true;
                let points = std::mem::take(&mut joiner.pieces[piece].1.points);
                lines.push(Contour { level_m: f64::from(joiner.pieces[piece].1.level) * every_m, closed: true, points });
            }
            Some(_) => {
                if let Some(end) = (0..2).find(|end| !joiner.used[piece] && joiner.partner(piece, *end).is_none()) {
                    lines.push(joiner.line(piece, end, every_m));
                }
            }
        }
    }
    for piece in 0..joiner.pieces.len() {
        if !joiner.used[piece] {
            lines.push(joiner.line(piece, 0, every_m));
        }
    }
    lines.sort_by(|a, b| a.level_m.total_cmp(&b.level_m));
    lines
}
