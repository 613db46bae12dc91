//! What is walked, sorted into walks from where the vehicle is left.

use super::go::{LEAVING_S, Map};
use super::postman::{Errand, Tour, first_tour};
use super::ways::Shortest;
use std::collections::HashMap;

/// Of the places to leave the vehicle at for a walk, so many of the nearest are tried.
const PARKINGS_TRIED: usize = 6;

/// Of the walks that one could become one with, so many of the nearest are tried.
const NEIGHBOURS_TRIED: usize = 12;

/// So much is tried, in squares of the pieces of each walk: with very many pieces what was found by then is taken.
const MOST_TRIED: usize = 2_000_000;

/// Pieces that are walked from one place.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Walk {
    /// Where the vehicle is left.
    pub parking: usize,
    /// The pieces.
    pub pieces: Vec<usize>,
}

/// Pieces sorted into walks, each from one place where the vehicle is left.
pub(super) struct Sorted<'a> {
    map: &'a Map,
    walking: &'a Shortest,
    riding: &'a Shortest,
    ridden: &'a [usize],
    known: HashMap<Walk, f64>,
    /// How much was tried so far, as [`MOST_TRIED`] counts.
    tried: usize,
}

impl<'a> Sorted<'a> {
    /// Of a map, with the pieces that are looked at from the seat.
    pub fn new(map: &'a Map, ridden: &'a [usize]) -> Self {
        Self { map, walking: &map.shortest_walk, riding: &map.shortest_ride, ridden, known: HashMap::new(), tried: 0 }
    }

    /// Walks by the place from which each piece is nearest; then two become one, and the vehicle is left elsewhere, as long as that gains.
    pub fn sorted(&mut self, pieces: &[usize]) -> Vec<Walk> {
        let mut walks: Vec<Walk> = Vec::new();
        for piece in pieces {
            let Some(parking) = self.nearest(&[*piece]).first().copied() else { continue };
            match walks.iter_mut().find(|walk| walk.parking == parking) {
                Some(walk) => walk.pieces.push(*piece),
                None => walks.push(Walk { parking, pieces: vec![*piece] }),
            }
        }
        let mut best_s = self.seconds(&walks);
        while let Some((better, seconds)) = self.better(&walks, best_s) {
            (walks, best_s) = (better, seconds);
        }
        walks
    }

    /// Places where the vehicle can be left, the nearest to these pieces first.
    fn nearest(&self, pieces: &[usize]) -> Vec<usize> {
        let reached = |place: &usize| self.riding.seconds(self.map.yard, *place).is_finite();
        let away_s = |parking: usize| {
            let of = |piece: &usize| {
                let (from, to) = self.map.ends[*piece];
                let of_piece = &self.map.pieces[*piece];
                let there_s = self.walking.seconds(parking, from) + of_piece.there_s + self.walking.seconds(to, parking);
                let back_s = self.walking.seconds(parking, to) + of_piece.back_s + self.walking.seconds(from, parking);
                there_s.min(back_s)
            };
            pieces.iter().map(of).fold(f64::INFINITY, f64::min)
        };
        let mut all: Vec<(f64, usize)> =
            self.map.parkings.iter().copied().filter(reached).map(|parking| (away_s(parking), parking)).collect();
        all.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
        all.into_iter().map(|(_, parking)| parking).take(PARKINGS_TRIED).collect()
    }

    fn better(&mut self, walks: &[Walk], best_s: f64) -> Option<(Vec<Walk>, f64)> {
        for one in 0..walks.len() {
            for other in self.neighbours(walks, one) {
                let pieces = [walks[one].pieces.clone(), walks[other].pieces.clone()].concat();
                let without = |index: &usize| *index != one && *index != other;
                let found = self.with_parking(walks, without, pieces, &[walks[one].parking, walks[other].parking], best_s);
                if found.is_some() {
                    return found;
                }
            }
        }
        for one in 0..walks.len() {
            let parkings = self.nearest(&walks[one].pieces);
            let found = self.with_parking(walks, |index| *index != one, walks[one].pieces.clone(), &parkings, best_s);
            if found.is_some() {
                return found;
            }
        }
        self.with_one_line_apart(walks, best_s)
    }

    /// Those of the walks after one that begin nearest to where it begins, in order.
    fn neighbours(&self, walks: &[Walk], one: usize) -> Vec<usize> {
        let away_s = |other: usize| self.walking.seconds(walks[one].parking, walks[other].parking);
        let mut all: Vec<(f64, usize)> = (one + 1..walks.len()).map(|other| (away_s(other), other)).collect();
        all.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut nearest: Vec<usize> = all.into_iter().take(NEIGHBOURS_TRIED).map(|(_, other)| other).collect();
        nearest.sort_unstable();
        nearest
    }

    /// What belongs to one line is walked from a place of its own.
    fn with_one_line_apart(&mut self, walks: &[Walk], best_s: f64) -> Option<(Vec<Walk>, f64)> {
        for one in 0..walks.len() {
            let line_of = |piece: &usize| self.map.pieces[*piece].line;
            let mut lines: Vec<usize> = walks[one].pieces.iter().map(line_of).collect();
            lines.sort_unstable();
            lines.dedup();
            for line in lines.iter().filter(|_| lines.len() > 1) {
                let (apart, rest): (Vec<usize>, Vec<usize>) =
                    walks[one].pieces.iter().partition(|piece| self.map.pieces[**piece].line == *line);
                let mut kept = walks.to_vec();
                kept[one].pieces = rest;
                let parkings = self.nearest(&apart);
                let found = self.with_parking(&kept, |_| true, apart, &parkings, best_s);
                if found.is_some() {
                    return found;
                }
            }
        }
        None
    }

    fn with_parking(
        &mut self,
        walks: &[Walk],
        keeps: impl Fn(&usize) -> bool,
        pieces: Vec<usize>,
        parkings: &[usize],
        best_s: f64,
    ) -> Option<(Vec<Walk>, f64)> {
        for parking in parkings {
            if self.tried > MOST_TRIED {
                return None;
            }
            let mut tried: Vec<Walk> = (0..walks.len()).filter(&keeps).map(|index| walks[index].clone()).collect();
            tried.push(Walk { parking: *parking, pieces: pieces.clone() });
            let seconds = self.seconds(&tried);
            if seconds < best_s - 1.0 {
                return Some((tried, seconds));
            }
        }
        None
    }

    fn seconds(&mut self, walks: &[Walk]) -> f64 {
        self.vehicle(walks).0.seconds
    }

    fn takes_s(&mut self, walk: &Walk) -> f64 {
        if let Some(known) = self.known.get(walk) {
            return *known;
        }
        let walking = self.walking;
        self.tried += walk.pieces.len().pow(2);
        let found = first_tour(&self.map.errands(&walk.pieces), walk.parking, |from, to| walking.seconds(from, to));
        self.known.insert(walk.clone(), found.seconds);
        found.seconds
    }

    /// The vehicle's round: what is ridden along, and a visit for every walk.
    pub fn vehicle(&mut self, walks: &[Walk]) -> (Tour, Vec<Errand>) {
        let seat = |piece: &usize| {
            let (from, to) = self.map.seats[*piece]?;
            let seconds = self.map.ridden_s[*piece];
            Some(Errand { from, to, there_s: seconds, back_s: seconds })
        };
        let mut errands: Vec<Errand> = self.ridden.iter().filter_map(seat).collect();
        for walk in walks {
            // At the yard nothing is left: one sets out.
            let leaving_s = if walk.parking == self.map.yard { 0.0 } else { LEAVING_S };
            let seconds = self.takes_s(walk) + leaving_s;
            errands.push(Errand { from: walk.parking, to: walk.parking, there_s: seconds, back_s: seconds });
        }
        let riding = self.riding;
        (first_tour(&errands, self.map.yard, |from, to| riding.seconds(from, to)), errands)
    }
}
