//! The shortest round that goes along everything that has to be gone along (the rural postman's way).

use super::matching::pairs;
use std::collections::HashMap;

/// What has to be gone along, between two places; the same place twice where something is done at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errand {
    /// From here.
    pub from: usize,
    /// To there.
    pub to: usize,
    /// How long it takes, seconds.
    pub there_s: f64,
    /// The other way.
    pub back_s: f64,
}

/// An errand in a round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Done {
    /// Which.
    pub errand: usize,
    /// Whether it is gone along backwards.
    pub turned: bool,
}

/// A round from home through all errands and home again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tour {
    /// Errands in order.
    pub order: Vec<Done>,
    /// How long it takes with the ways between them, seconds; infinite where something is out of reach.
    pub seconds: f64,
}

/// Stretches are exchanged so often; less with many errands, so that the work stays bounded.
const EXCHANGES: usize = 40;
const EXCHANGES_BY_ERRANDS: usize = 1500;
/// Beyond so many errands only pairs within this many of each other in the order are changed over.
const LOOK_AHEAD: usize = 250;
/// Beyond so many errands moving goes on from where it gained, instead of beginning anew: from the beginning every gain takes as long as the
/// square of their number.
const ANEW_UP_TO: usize = 40;

/// A short round through all errands: errands that hang together are joined by the shortest ways (a least spanning tree), places where an
/// odd number of ways meet are paired by the shortest ways, the whole is gone along as Euler and Hierholzer do, ways that only lead from
/// one errand to the next are taken straight, and errands are turned and moved as long as that gains.
///
/// `way_s(a, b)` is the shortest way from a to b; uphill it may be longer than down.
///
/// # Units
/// Seconds.
/// # Valid for
/// Any number of places; pairs are exact up to sixteen odd places. Never more than half as long again as the shortest where ways are
/// the same both ways.
/// # Source
/// `frederickson-1979`, `hierholzer-1873`, `croes-1958`, `martin-otto-felten-1991`.
pub fn tour(errands: &[Errand], home: usize, way_s: impl Fn(usize, usize) -> f64) -> Tour {
    let near = Near::of(errands, home, way_s);
    let found = near.first_tour();
    near.search().exchanged(found)
}

/// The same without exchanges: a few per cent longer at most, and much sooner found.
pub(super) fn first_tour(errands: &[Errand], home: usize, way_s: impl Fn(usize, usize) -> f64) -> Tour {
    Near::of(errands, home, way_s).first_tour()
}

/// Errands with the ways between their places in one table: each is asked for thousands of times.
struct Near {
    /// Their places are numbered anew, in the same order.
    errands: Vec<Errand>,
    home: usize,
    places: usize,
    /// From row to column.
    seconds: Vec<f64>,
}

impl Near {
    fn of(errands: &[Errand], home: usize, way_s: impl Fn(usize, usize) -> f64) -> Self {
        let mut used: Vec<usize> = errands.iter().flat_map(|errand| [errand.from, errand.to]).chain([home]).collect();
        used.sort_unstable();
        used.dedup();
        let anew: HashMap<usize, usize> = used.iter().enumerate().map(|(index, place)| (*place, index)).collect();
        let errand = |errand: &Errand| Errand { from: anew[&errand.from], to: anew[&errand.to], ..*errand };
        let row = |from: &usize| used.iter().map(|to| if from == to { 0.0 } else { way_s(*from, *to) }).collect::<Vec<_>>();
        Self {
            errands: errands.iter().map(errand).collect(),
            home: anew[&home],
            places: used.len(),
            seconds: used.iter().flat_map(row).collect(),
        }
    }

    fn way_s(&self, from: usize, to: usize) -> f64 {
        self.seconds[from * self.places + to]
    }

    fn search(&self) -> Search<'_> {
        Search { near: self }
    }

    fn first_tour(&self) -> Tour {
        if self.errands.is_empty() {
            return Tour::default();
        }
        let between = |one: usize, other: usize| (self.way_s(one, other) + self.way_s(other, one)) / 2.0;
        let mut edges: Vec<(usize, usize)> = self.errands.iter().map(|errand| (errand.from, errand.to)).collect();
        edges.extend(joining(self.places, &self.errands, between));
        let odd = odd_places(self.places, &edges);
        edges.extend(pairs(odd.len(), |one, other| between(odd[one], odd[other])).iter().map(|(a, b)| (odd[*a], odd[*b])));
        let order = along(self.places, &edges, &self.errands, self.home);
        let turned = order.iter().rev().map(|done| Done { turned: !done.turned, ..*done }).collect();
        let [one, other] = [order, turned].map(|order| self.search().improved(order));
        if one.seconds <= other.seconds { one } else { other }
    }
}

/// Shortest ways that join errands which do not hang together, and home.
fn joining(places: usize, errands: &[Errand], between: impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let mut part: Vec<usize> = (0..places).collect();
    fn root(part: &[usize], mut place: usize) -> usize {
        while part[place] != place {
            place = part[place];
        }
        place
    }
    for errand in errands {
        let (one, other) = (root(&part, errand.from), root(&part, errand.to));
        part[one.max(other)] = one.min(other);
    }
    let roots: Vec<usize> = (0..places).map(|place| root(&part, place)).collect();
    let mut ways: Vec<(f64, usize, usize)> = Vec::new();
    for one in 0..places {
        for other in one + 1..places {
            if roots[one] != roots[other] {
                ways.push((between(one, other), one, other));
            }
        }
    }
    ways.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut joined = Vec::new();
    for (_, one, other) in ways {
        let (a, b) = (root(&part, one), root(&part, other));
        if a != b {
            part[a.max(b)] = a.min(b);
            joined.push((one, other));
        }
    }
    joined
}

fn odd_places(places: usize, edges: &[(usize, usize)]) -> Vec<usize> {
    let mut meet = vec![0_usize; places];
    for (one, other) in edges {
        meet[*one] += 1;
        meet[*other] += 1;
    }
    (0..places).filter(|place| meet[*place] % 2 == 1).collect()
}

/// Hierholzer's way along every edge once; of it only the errands, in order.
fn along(places: usize, edges: &[(usize, usize)], errands: &[Errand], home: usize) -> Vec<Done> {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); places];
    for (index, (one, other)) in edges.iter().enumerate() {
        at[*one].push(index);
        at[*other].push(index);
    }
    let mut is_used = vec![false; edges.len()];
    let mut stack: Vec<(usize, Option<(usize, bool)>)> = vec![(home, None)];
    let mut way = Vec::with_capacity(edges.len());
    while let Some((place, came)) = stack.last().copied() {
        while at[place].last().is_some_and(|edge| is_used[*edge]) {
            at[place].pop();
        }
        match at[place].pop() {
            Some(edge) => {
                is_used[edge] = true;
                let (one, other) = edges[edge];
                let turned = one != place;
                stack.push((if turned { one } else { other }, Some((edge, turned))));
            }
            None => {
                way.extend(came);
                stack.pop();
            }
        }
    }
    // Backwards is a way as well.
    let is_errand = |(edge, _): &(usize, bool)| *edge < errands.len();
    let mut order: Vec<Done> = way.into_iter().rev().filter(is_errand).map(|(errand, turned)| Done { errand, turned }).collect();
    // What hangs on nothing that can be reached is done last, wherever it is.
    let mut is_done = vec![false; errands.len()];
    order.iter().for_each(|done| is_done[done.errand] = true);
    order.extend((0..errands.len()).filter(|errand| !is_done[*errand]).map(|errand| Done { errand, turned: false }));
    order
}

#[derive(Clone, Copy)]
struct Search<'a> {
    near: &'a Near,
}

impl Search<'_> {
    fn ends(&self, done: Done) -> (usize, usize) {
        let errand = self.near.errands[done.errand];
        if done.turned { (errand.to, errand.from) } else { (errand.from, errand.to) }
    }

    fn takes_s(&self, done: Done) -> f64 {
        let errand = self.near.errands[done.errand];
        if done.turned { errand.back_s } else { errand.there_s }
    }

    /// From where errand `index` ends to where the next begins; home before the first and after the last.
    fn link_s(&self, from: Option<Done>, to: Option<Done>) -> f64 {
        let from = from.map_or(self.near.home, |done| self.ends(done).1);
        let to = to.map_or(self.near.home, |done| self.ends(done).0);
        self.near.way_s(from, to)
    }

    fn seconds(&self, order: &[Done]) -> f64 {
        let inner: f64 = order.windows(2).map(|pair| self.link_s(Some(pair[0]), Some(pair[1]))).sum();
        let done: f64 = order.iter().map(|done| self.takes_s(*done)).sum();
        inner + done + self.link_s(None, order.first().copied()) + self.link_s(order.last().copied(), None)
    }

    fn improved(&self, mut order: Vec<Done>) -> Tour {
        while self.turn_over(&mut order) || self.move_elsewhere(&mut order) {}
        Tour { seconds: self.seconds(&order), order }
    }

    /// Exchanges two neighbouring stretches of the order, betters what follows, and keeps it where that is shorter. Which stretches follows from
    /// a fixed row of numbers, so that rounds are the same on every machine.
    fn exchanged(&self, mut best: Tour) -> Tour {
        let count = best.order.len();
        if count < 3 {
            return best;
        }
        let mut seed = 88_172_645_463_325_252_u64;
        let mut below = |most: usize| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            (seed % most as u64) as usize
        };
        for _ in 0..EXCHANGES.min(EXCHANGES_BY_ERRANDS / count) {
            let mut cuts = [below(count + 1), below(count + 1), below(count + 1)];
            cuts.sort_unstable();
            let [from, middle, until] = cuts;
            let mut order = best.order.clone();
            order[from..until].rotate_left(middle - from);
            let tried = self.improved(order);
            if tried.seconds < best.seconds - 1e-6 {
                best = tried;
            }
        }
        best
    }

    /// Turns a stretch of the order round where that gains; whether one did.
    fn turn_over(&self, order: &mut [Done]) -> bool {
        let mut gained = false;
        for first in 0..order.len() {
            let before = first.checked_sub(1).map(|index| order[index]);
            // How long the stretch takes as it is, and turned round.
            let (mut as_is_s, mut turned_s) = (0.0, 0.0);
            for last in first..order.len().min(first + LOOK_AHEAD) {
                let (now, flipped) = (order[last], Done { turned: !order[last].turned, ..order[last] });
                as_is_s += self.takes_s(now);
                turned_s += self.takes_s(flipped);
                if last > first {
                    let previous = order[last - 1];
                    as_is_s += self.link_s(Some(previous), Some(now));
                    turned_s += self.link_s(Some(flipped), Some(Done { turned: !previous.turned, ..previous }));
                }
                let after = order.get(last + 1).copied();
                let begin = Done { turned: !order[first].turned, ..order[first] };
                let is_s = self.link_s(before, Some(order[first])) + as_is_s + self.link_s(Some(now), after);
                let would_s = self.link_s(before, Some(flipped)) + turned_s + self.link_s(Some(begin), after);
                if would_s < is_s - 1e-6 {
                    order[first..=last].reverse();
                    order[first..=last].iter_mut().for_each(|done| done.turned = !done.turned);
                    gained = true;
                    break;
                }
            }
        }
        gained
    }

    /// Moves up to three errands elsewhere in the order where that gains; whether some did.
    fn move_elsewhere(&self, order: &mut Vec<Done>) -> bool {
        let mut gained = false;
        for count in 1..=3.min(order.len().saturating_sub(1)) {
            for first in 0..=order.len() - count {
                let taken: Vec<Done> = order[first..first + count].to_vec();
                let turned: Vec<Done> = taken.iter().rev().map(|done| Done { turned: !done.turned, ..*done }).collect();
                // What is left when they are taken out.
                let rest = order.len() - count;
                let at = |index: usize| order.get(if index < first { index } else { index + count }).copied();
                let before = |index: usize| index.checked_sub(1).and_then(at);
                let [taken_s, turned_s] = [&taken, &turned].map(|put| self.within_s(put));
                let put_s = |index: usize, put: &[Done], within_s: f64| {
                    let into = self.link_s(before(index), put.first().copied()) + self.link_s(put.last().copied(), at(index));
                    within_s + into - self.link_s(before(index), at(index))
                };
                let now_s = put_s(first, &taken, taken_s);
                let low = first.saturating_sub(LOOK_AHEAD);
                let better = (low..=rest.min(first + LOOK_AHEAD))
                    .flat_map(|index| [(index, &taken, taken_s), (index, &turned, turned_s)])
                    .find(|(index, put, within_s)| put_s(*index, put, *within_s) < now_s - 1e-6);
                if let Some((index, put, _)) = better {
                    order.drain(first..first + count);
                    order.splice(index..index, put.iter().copied());
                    if order.len() <= ANEW_UP_TO {
                        return true;
                    }
                    gained = true;
                }
            }
        }
        gained
    }

    /// How long errands take one after another, without the ways there and on.
    fn within_s(&self, put: &[Done]) -> f64 {
        let inner: f64 = put.windows(2).map(|pair| self.link_s(Some(pair[0]), Some(pair[1]))).sum();
        inner + put.iter().map(|done| self.takes_s(*done)).sum::<f64>()
    }
}
