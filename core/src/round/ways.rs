//! Places of a round and the ways between them: ridden along tracks, walked along fences, tracks and open ground.

use std::collections::{BinaryHeap, HashMap};

use crate::land::{MapPoint, Reached};
use rayon::prelude::*;

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

/// The shortest ways from some places to all others.
#[derive(Clone, Debug)]
pub(super) struct Shortest {
    /// By place: which of the rows is that from it.
    rows: Vec<Option<usize>>,
    from: Vec<Row>,
}

/// The shortest ways from one place.
#[derive(Clone, Debug)]
struct Row {
    seconds: Vec<f64>,
    /// By place to: the last way on the shortest, and whether it is gone backwards.
    last: Vec<Option<(u32, bool)>>,
}

impl Ways {
    /// All shortest ways from these places (Dijkstra from each, `dijkstra-1959`).
    pub fn shortest(&self, from: &[usize]) -> Shortest {
        let mut at: Vec<Vec<(usize, bool)>> = vec![Vec::new(); self.places];
        for (index, way) in self.ways.iter().enumerate() {
            at[way.from].push((index, false));
            at[way.to].push((index, true));
        }
        let mut rows = vec![None; self.places];
        from.iter().enumerate().for_each(|(row, place)| rows[*place] = Some(row));
        Shortest { rows, from: from.par_iter().map(|from| self.from(*from, &at)).collect() }
    }

    fn from(&self, from: usize, at: &[Vec<(usize, bool)>]) -> Row {
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
                    (seconds[next], last[next]) = (spent_s + takes_s, Some((number_of(*index), *turned)));
                    queue.push(Reached { cost: seconds[next], index: next });
                }
            }
        }
        Row { seconds, last }
    }
}

fn number_of(way: usize) -> u32 {
    u32::try_from(way).expect("ways are far fewer than that")
}

impl Shortest {
    fn row(&self, from: usize) -> &Row {
        &self.from[self.rows[from].expect("ways are asked from places that were named for it")]
    }

    /// How long it takes, seconds; infinite where there is no way.
    pub fn seconds(&self, from: usize, to: usize) -> f64 {
        self.row(from).seconds[to]
    }

    /// The ways that lead there, in order, each with whether it is gone backwards.
    pub fn way(&self, ways: &[Way], from: usize, to: usize) -> Vec<(usize, bool)> {
        let mut all = Vec::new();
        let mut place = to;
        let last = &self.row(from).last;
        while let Some((index, turned)) = last[place] {
            let index = index as usize;
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
    /// Their numbers by square of [`SQUARE_M`].
    squares: HashMap<(i64, i64), Vec<usize>>,
}

/// Places that are one lie in the same square or in neighbouring ones.
const SQUARE_M: f64 = 1.0;

impl Places {
    /// The number of the place here: a known one within this distance, [`SQUARE_M`] at most, else a new one.
    pub fn number(&mut self, at: MapPoint, same_m: f64) -> usize {
        let square = |metres: f64| (metres / SQUARE_M).floor() as i64;
        let (column, row) = (square(at.x_m), square(at.y_m));
        let around = (column - 1..=column + 1).flat_map(|column| (row - 1..=row + 1).map(move |row| (column, row)));
        let known = around.filter_map(|square| self.squares.get(&square)).flatten();
        let near = known.map(|index| (*index, self.at[*index].distance_m(at)));
        let nearest = near.min_by(|one, other| one.1.total_cmp(&other.1).then(one.0.cmp(&other.0)));
        match nearest.filter(|(_, off_m)| *off_m <= same_m) {
            Some((index, _)) => index,
            None => {
                self.at.push(at);
                self.squares.entry((column, row)).or_default().push(self.at.len() - 1);
                self.at.len() - 1
            }
        }
    }
}
