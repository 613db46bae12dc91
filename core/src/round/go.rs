//! The order of a round: what is ridden, where the vehicle is left, what is walked from there.

use super::fence::{Goes, Piece};
use super::postman::{Done, Errand, Tour, tour};
use super::tracks::{Driven, LOOKING_KM_PER_H, length_m, riding_s};
use super::walks::{Sorted, Walk};
use super::ways::{Course, Places, Shortest, Way, Ways};
use super::{By, NoRound};
use crate::land::MapPoint;
use crate::site::{Afoot, WALK};

/// The ends of pieces nearer to each other than this are one place: lines that join within a hand's breadth.
const SAME_PLACE_M: f64 = 0.35;
/// Up to so many places each is linked to each over open ground.
const LINKED_ALL: usize = 700;
/// So long a walk over open ground from one place of the round to another is looked at, seconds.
const LONGEST_LINK_S: f64 = 600.0;
/// To leave the vehicle, fetch it again and pack and unpack, seconds.
///
/// # Source
/// Key `common-practice`.
pub(super) const LEAVING_S: f64 = 60.0;
/// The ends of a piece may lie so much farther from the track than its middles, metres.
const BESIDE_AT_ENDS_M: f64 = 3.0;
/// A track that is so many times as long as what is seen from it, and more, does not lead along it.
const FARTHER_ROUND: f64 = 1.5;

/// Somebody goes along this.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Move {
    /// A way of the vehicle, backwards or not.
    Ridden(Way, bool),
    /// A way on foot.
    Walked(Way, bool),
    /// Along a piece of fence from the seat, backwards or not.
    LookedAtFromSeat(usize, bool),
    /// Along a piece of fence on foot.
    LookedAtOnFoot(usize, bool),
}

/// Everything that a round is made from.
pub(super) struct Map {
    /// The pieces of fence.
    pub pieces: Vec<Piece>,
    /// Tracks from the yard; `None` on foot, or where none is.
    pub driven: Option<Driven>,
    /// Open ground.
    pub afoot: Afoot,
    /// Places.
    pub places: Places,
    /// By piece: the places at its ends.
    pub(super) ends: Vec<(usize, usize)>,
    /// By piece: the places on the track beside its ends, where it is ridden.
    pub(super) seats: Vec<Option<(usize, usize)>>,
    riding: Ways,
    walking: Ways,
    /// By piece: how long it is ridden along, seconds; infinite where it is not.
    pub(super) ridden_s: Vec<f64>,
    pub(super) shortest_ride: Shortest,
    pub(super) shortest_walk: Shortest,
    /// Places where the vehicle can be left.
    pub(super) parkings: Vec<usize>,
    pub(super) yard: usize,
}

impl Map {
    /// Of the pieces, from the yard.
    ///
    /// # Errors
    /// [`NoRound::TooManyMeets`].
    pub fn of(goes: &Goes, pieces: Vec<Piece>, yard: MapPoint, by: By) -> Result<Self, NoRound> {
        let mut places = Places::default();
        let home = places.number(yard, 0.0);
        let driven = Driven::from(goes.outcome.reach.tracks.runs(), yard, goes.ground, goes.state)?;
        let mut all = Self {
            ends: Vec::new(),
            seats: vec![None; pieces.len()],
            riding: Ways::default(),
            walking: Ways::default(),
            ridden_s: vec![f64::INFINITY; pieces.len()],
            shortest_ride: Ways::default().shortest(&[]),
            shortest_walk: Ways::default().shortest(&[]),
            parkings: vec![home],
            yard: home,
            afoot: Afoot::of(
                goes.plan,
                goes.outcome.frame.unwrap_or_else(|| crate::outcome::frame(goes.plan, goes.ground)),
                None,
                &[],
            ),
            pieces,
            driven,
            places,
        };
        all.lay_tracks(goes, by);
        all.lay_fences();
        all.lay_open_ground(goes);
        all.shortest_ride = all.riding.shortest(&all.asked());
        all.ride_along(goes);
        Ok(all)
    }

    fn lay_tracks(&mut self, goes: &Goes, by: By) {
        let Some(driven) = &self.driven else { return };
        let yard = driven.nearest(self.places.at[self.yard]);
        let seats: Vec<Option<[(usize, f64); 2]>> = self
            .pieces
            .iter()
            .map(|piece| {
                (piece.is_seen_from_seat && by == By::Vehicle).then_some(())?;
                let seat = |at: Option<&MapPoint>| {
                    let at = *at?;
                    driven.nearest(at).filter(|place| driven.at(*place).distance_m(at) <= WALK.as_metres() + BESIDE_AT_ENDS_M)
                };
                Some([seat(piece.points.first())?, seat(piece.points.last())?])
            })
            .collect();
        let ends =
            self.pieces.iter().filter(|piece| piece.is_wanted).flat_map(|piece| [piece.points.first(), piece.points.last()]);
        let beside: Vec<(usize, f64)> = ends.flatten().filter_map(|at| driven.nearest(*at)).collect();
        let further: Vec<(usize, f64)> =
            beside.iter().copied().chain(seats.iter().flatten().flatten().copied()).chain(yard).collect();
        let (ridden, walked) = driven.ways(&further, &mut self.places, goes.ground, goes.state);
        self.walking.ways.extend(walked);
        if by == By::OnFoot {
            return;
        }
        self.riding.ways.extend(ridden);
        let place = |places: &mut Places, at| places.number(driven.at(at), 1.0);
        if let Some(yard) = yard {
            let to = place(&mut self.places, yard);
            let seconds = self.places.at[self.yard].distance_m(self.places.at[to]) * 3.6 / LOOKING_KM_PER_H;
            if to != self.yard {
                self.riding.ways.push(Way { from: self.yard, to, there_s: seconds, back_s: seconds, course: Course::Straight });
            }
        }
        for (index, seat) in seats.iter().enumerate() {
            self.seats[index] = seat.map(|[from, to]| (place(&mut self.places, from), place(&mut self.places, to)));
        }
        self.parkings = beside.iter().map(|at| place(&mut self.places, *at)).chain([self.yard]).collect();
        self.parkings.sort_unstable();
        self.parkings.dedup();
    }

    fn lay_fences(&mut self) {
        for (index, piece) in self.pieces.iter().enumerate() {
            let (Some(first), Some(last)) = (piece.points.first(), piece.points.last()) else { continue };
            let (from, to) = (self.places.number(*first, SAME_PLACE_M), self.places.number(*last, SAME_PLACE_M));
            self.ends.push((from, to));
            let way = Way { from, to, there_s: piece.there_s, back_s: piece.back_s, course: Course::Fence(index) };
            self.walking.ways.push(way);
        }
    }

    /// The places that ways are asked from and to: the yard, the ends of pieces, the seats beside them, and where the vehicle is left.
    fn asked(&self) -> Vec<usize> {
        let both = |(one, other): (usize, usize)| [one, other];
        let ends = self.ends.iter().copied().flat_map(both);
        let seats = self.seats.iter().flatten().copied().flat_map(both);
        let mut all: Vec<usize> = ends.chain(seats).chain(self.parkings.iter().copied()).chain([self.yard]).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    fn lay_open_ground(&mut self, goes: &Goes) {
        (self.walking.places, self.riding.places) = (self.places.at.len(), self.places.at.len());
        let asked = self.asked();
        // Where tracks meet at very many places, somebody on foot leaves them only beside what the round goes to.
        let linked = if self.places.at.len() > LINKED_ALL { asked.clone() } else { (0..self.places.at.len()).collect() };
        let at: Vec<MapPoint> = linked.iter().map(|place| self.places.at[*place]).collect();
        if let Some(frame) = goes.outcome.frame {
            self.afoot = Afoot::of(goes.plan, frame, goes.ground, &self.places.at);
        }
        let laid = self.walking.ways.len();
        for most_s in [LONGEST_LINK_S, f64::INFINITY] {
            self.walking.ways.truncate(laid);
            let times = self.afoot.times(&at, most_s);
            for (from, row) in times.iter().enumerate() {
                for (to, column) in times.iter().enumerate().skip(from + 1) {
                    let (there_s, back_s) = (row[to], column[from]);
                    if there_s.is_finite() && back_s.is_finite() {
                        let (from, to) = (linked[from], linked[to]);
                        self.walking.ways.push(Way { from, to, there_s, back_s, course: Course::Open });
                    }
                }
            }
            self.shortest_walk = self.walking.shortest(&asked);
            if linked.iter().all(|place| self.shortest_walk.seconds(self.yard, *place).is_finite()) {
                break;
            }
        }
    }

    /// How long the track beside each piece takes while one looks; a track that goes far round is none beside it.
    fn ride_along(&mut self, goes: &Goes) {
        for piece in 0..self.pieces.len() {
            let points = self.beside(piece);
            let (track_m, line_m) = (length_m(&points), length_m(&self.pieces[piece].points));
            if points.is_empty() || track_m > FARTHER_ROUND * line_m + 2.0 * WALK.as_metres() {
                self.seats[piece] = None;
            } else {
                self.ridden_s[piece] = riding_s(&points, goes.ground, goes.state, LOOKING_KM_PER_H);
            }
        }
    }

    /// The track beside a piece that is looked at from the seat.
    fn beside(&self, piece: usize) -> Vec<MapPoint> {
        let Some((from, to)) = self.seats[piece] else { return Vec::new() };
        let ways = self.shortest_ride.way(&self.riding.ways, from, to);
        let mut points = Vec::new();
        for (index, turned) in ways {
            points.extend(self.points(Move::Ridden(self.riding.ways[index], turned)));
        }
        if points.is_empty() { vec![self.places.at[from], self.places.at[to]] } else { points }
    }

    /// A round on foot, and how long it takes without stops, seconds.
    pub fn on_foot(&self) -> Option<Vec<Move>> {
        let walking = &self.shortest_walk;
        let pieces: Vec<usize> = (0..self.pieces.len()).filter(|piece| self.pieces[*piece].is_wanted).collect();
        let found = self.walk(walking, self.yard, &pieces);
        found.seconds.is_finite().then(|| self.walked(walking, self.yard, &pieces, &found))
    }

    /// A round with the vehicle.
    pub fn by_vehicle(&self) -> Option<Vec<Move>> {
        let (walking, riding) = (&self.shortest_walk, &self.shortest_ride);
        let is_wanted = |piece: &usize| self.pieces[*piece].is_wanted;
        let (ridden, on_foot): (Vec<usize>, Vec<usize>) =
            (0..self.pieces.len()).filter(is_wanted).partition(|piece| self.seats[*piece].is_some());
        let mut errand = Sorted::new(self, &ridden);
        let walks = errand.sorted(&on_foot);
        let (found, errands) = errand.vehicle(&walks);
        found.seconds.is_finite().then(|| self.driven_round(walking, riding, &ridden, &walks, &found, &errands))
    }

    /// The errands of a walk along these pieces.
    pub(super) fn errands(&self, pieces: &[usize]) -> Vec<Errand> {
        let errand = |piece: &usize| {
            let (from, to) = self.ends[*piece];
            Errand { from, to, there_s: self.pieces[*piece].there_s, back_s: self.pieces[*piece].back_s }
        };
        pieces.iter().map(errand).collect()
    }

    fn walk(&self, walking: &Shortest, home: usize, pieces: &[usize]) -> Tour {
        tour(&self.errands(pieces), home, |from, to| walking.seconds(from, to))
    }

    fn walked(&self, walking: &Shortest, home: usize, pieces: &[usize], found: &Tour) -> Vec<Move> {
        let mut moves = Vec::new();
        let mut here = home;
        let go = |moves: &mut Vec<Move>, from: usize, to: usize| {
            let way = walking.way(&self.walking.ways, from, to);
            moves.extend(way.into_iter().map(|(index, turned)| Move::Walked(self.walking.ways[index], turned)));
        };
        for Done { errand, turned } in &found.order {
            let piece = pieces[*errand];
            let (from, to) = if *turned { (self.ends[piece].1, self.ends[piece].0) } else { self.ends[piece] };
            go(&mut moves, here, from);
            moves.push(Move::LookedAtOnFoot(piece, *turned));
            here = to;
        }
        go(&mut moves, here, home);
        moves
    }

    fn driven_round(
        &self,
        walking: &Shortest,
        riding: &Shortest,
        ridden: &[usize],
        walks: &[Walk],
        found: &Tour,
        errands: &[Errand],
    ) -> Vec<Move> {
        let mut moves = Vec::new();
        let mut here = self.yard;
        let go = |moves: &mut Vec<Move>, from: usize, to: usize| {
            let way = riding.way(&self.riding.ways, from, to);
            moves.extend(way.into_iter().map(|(index, turned)| Move::Ridden(self.riding.ways[index], turned)));
        };
        for Done { errand, turned } in &found.order {
            let (from, to) = (errands[*errand].from, errands[*errand].to);
            let (from, to) = if *turned { (to, from) } else { (from, to) };
            go(&mut moves, here, from);
            match errand.checked_sub(ridden.len()) {
                None => moves.push(Move::LookedAtFromSeat(ridden[*errand], *turned)),
                Some(walk) => {
                    let walk = &walks[walk];
                    let found = self.walk(walking, walk.parking, &walk.pieces);
                    moves.extend(self.walked(walking, walk.parking, &walk.pieces, &found));
                }
            }
            here = to;
        }
        go(&mut moves, here, self.yard);
        moves
    }
}

impl Map {
    /// How long a move takes, seconds.
    pub fn seconds(&self, one: Move) -> f64 {
        match one {
            Move::Ridden(way, turned) | Move::Walked(way, turned) => {
                if turned {
                    way.back_s
                } else {
                    way.there_s
                }
            }
            Move::LookedAtFromSeat(piece, _) => self.ridden_s[piece],
            Move::LookedAtOnFoot(piece, turned) => {
                if turned {
                    self.pieces[piece].back_s
                } else {
                    self.pieces[piece].there_s
                }
            }
        }
    }

    /// How long they take one after another, leaving the vehicle and fetching it included, seconds.
    pub fn all_seconds(&self, moves: &[Move]) -> f64 {
        let is_ridden = |one: Move| matches!(one, Move::Ridden(..) | Move::LookedAtFromSeat(..));
        let left = moves.windows(2).filter(|pair| is_ridden(pair[0]) && !is_ridden(pair[1])).count();
        moves.iter().map(|one| self.seconds(*one)).sum::<f64>() + LEAVING_S * left as f64
    }

    /// The points that a move leads over.
    pub fn points(&self, one: Move) -> Vec<MapPoint> {
        let (mut points, turned) = match one {
            Move::Ridden(way, turned) | Move::Walked(way, turned) => {
                let ends = || vec![self.places.at[way.from], self.places.at[way.to]];
                let points = match (way.course, &self.driven) {
                    (Course::Track { run, from_m, to_m }, Some(driven)) => driven.between(run, from_m, to_m),
                    (Course::Fence(piece), _) => self.pieces[piece].points.clone(),
                    // Uphill and downhill the quickest way may differ.
                    (Course::Open, _) if turned => return self.afoot.way(self.places.at[way.to], self.places.at[way.from]),
                    (Course::Open, _) => self.afoot.way(self.places.at[way.from], self.places.at[way.to]),
                    _ => ends(),
                };
                (points, turned)
            }
            Move::LookedAtFromSeat(piece, turned) => (self.beside(piece), turned),
            Move::LookedAtOnFoot(piece, turned) => (self.pieces[piece].points.clone(), turned),
        };
        if turned {
            points.reverse();
        }
        points
    }
}
