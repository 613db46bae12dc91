//! Places of a round and the ways between them: ridden along tracks, walked along fences, tracks and open ground.

use std::collections::BinaryHeap;

use crate::land::{MapPoint, Reached};

/// What a way runs on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Course {
    /// Straight from place to place.
    Straight,
    /// Over open ground.
    Open,
    /// A track, from here to there along one of its runs, metres.
    Track {
        /// Which run.
        run: usize,
        /// From here.
        from_m: f64,
        /// To there.
        to_m: f64,
    },
    /// A piece of fence.
    Fence(usize),
}

/// A way between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    /// From here.
    pub from: usize,
    /// To there.
    pub to: usize,
    /// How long it takes, seconds.
    pub there_s: f64,
    /// The other way.
    pub back_s: f64,
    /// What it runs on.
    pub course: Course,
}

/// Places and ways of one manner of going.
#[derive(Clone, Debug, Default)]
pub(super) struct Ways {
    /// How many places.
    pub places: usize,
    /// All ways.
    pub ways: Vec<Way>,
}

/// The shortest ways from every place to every other.
#[derive(Clone, Debug)]
pub(super) struct Shortest {
    places: usize,
    seconds: Vec<f64>,
    /// By place from and place to: the last way on the shortest, and whether it is gone backwards.
    last: Vec<Option<(usize, bool)>>,
}

impl Ways {
    /// All shortest ways (Dijkstra from each place, `dijkstra-1959`).
    pub fn shortest(&self) -> Shortest {
        let mut at: Vec<Vec<(usize, bool)>> = vec![Vec::new(); self.places];
        for (index, way) in self.ways.iter().enumerate() {
            at[way.from].push((index, false));
            at[way.to].push((index, true));
        }
        let mut all = Shortest { places: self.places, seconds: Vec::new(), last: Vec::new() };
        for from in 0..self.places {
            let (seconds, last) = self.from(from, &at);
            all.seconds.extend(seconds);
            all.last.extend(last);
        }
        all
    }

    fn from(&self, from: usize, at: &[Vec<(usize, bool)>]) -> (Vec<f64>, Vec<Option<(usize, bool)>>) {
        let mut seconds = vec![f64::INFINITY; self.places];
        let mut last = vec![None; self.places];
        let mut queue = BinaryHeap::from([Reached { cost: 0.0, index: from }]);
        seconds[from] = 0.0;
        while let Some(Reached { cost: spent_s, index: place }) = queue.pop() {
            if spent_s > seconds[place] {
                continue;
            }
            for (index, turned) in &at[place] {
                let way = self.ways[*index];
                let (next, takes_s) = if *turned { (way.from, way.back_s) } else { (way.to, way.there_s) };
                if spent_s + takes_s < seconds[next] {
                    (seconds[next], last[next]) = (spent_s + takes_s, Some((*index, *turned)));
                    queue.push(Reached { cost: seconds[next], index: next });
                }
            }
        }
        (seconds, last)
    }
}

impl Shortest {
    /// How long it takes, seconds; infinite where there is no way.
    pub fn seconds(&self, from: usize, to: usize) -> f64 {
        self.seconds[from * self.places + to]
    }

    /// The ways that lead there, in order, each with whether it is gone backwards.
    pub fn way(&self, ways: &[Way], from: usize, to: usize) -> Vec<(usize, bool)> {
        let mut all = Vec::new();
        let mut place = to;
        while let Some((index, turned)) = self.last[from * self.places + place] {
            all.push((index, turned));
            place = if turned { ways[index].to } else { ways[index].from };
        }
        all.reverse();
        all
    }
}

/// Places on the map, each once.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    /// Where they are.
    pub at: Vec<MapPoint>,
}

impl Places {
    /// The number of the place here: a known one within this distance, else a new one.
    pub fn number(&mut self, at: MapPoint, same_m: f64) -> usize {
        let near = self.at.iter().enumerate().map(|(index, known)| (index, known.distance_m(at)));
        match near.min_by(|one, other| one.1.total_cmp(&other.1)).filter(|(_, off_m)| *off_m <= same_m) {
            Some((index, _)) => index,
            None => {
                self.at.push(at);
                self.at.len() - 1
            }
        }
    }
}
