//! Rounds against closed forms (grids of streets, `frederickson-1979` names the problem), against every order that there is, and pairs
//! against `networkx`.
//!
//! By: closed form.

use hillwire_core::round::{Errand, pairs, tour};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// All shortest ways between places (Floyd and Warshall), from ways of one edge each way.
fn shortest(places: usize, edges: &[Errand]) -> Vec<Vec<f64>> {
    let mut ways = vec![vec![f64::INFINITY; places]; places];
    (0..places).for_each(|place| ways[place][place] = 0.0);
    for edge in edges {
        ways[edge.from][edge.to] = ways[edge.from][edge.to].min(edge.there_s);
        ways[edge.to][edge.from] = ways[edge.to][edge.from].min(edge.back_s);
    }
    for over in 0..places {
        for from in 0..places {
            for to in 0..places {
                ways[from][to] = ways[from][to].min(ways[from][over] + ways[over][to]);
            }
        }
    }
    ways
}

/// The shortest round by a table over all sets of errands, each with the errand and the way it was done last.
fn by_every_order(errands: &[Errand], home: usize, ways: &[Vec<f64>]) -> f64 {
    let count = errands.len();
    let begin = |errand: usize, turned: usize| if turned == 1 { errands[errand].to } else { errands[errand].from };
    let end = |errand: usize, turned: usize| begin(errand, 1 - turned);
    let takes = |errand: usize, turned: usize| if turned == 1 { errands[errand].back_s } else { errands[errand].there_s };
    let mut least = vec![vec![f64::INFINITY; 2 * count]; 1 << count];
    for last in 0..2 * count {
        least[1 << (last / 2)][last] = ways[home][begin(last / 2, last % 2)] + takes(last / 2, last % 2);
    }
    for set in 1..1_usize << count {
        for last in 0..2 * count {
            let spent = least[set][last];
            for next in (0..2 * count).filter(|next| spent.is_finite() && set & (1 << (next / 2)) == 0) {
                let way = ways[end(last / 2, last % 2)][begin(next / 2, next % 2)];
                let there = &mut least[set | 1 << (next / 2)][next];
                *there = there.min(spent + way + takes(next / 2, next % 2));
            }
        }
    }
    (0..2 * count).map(|last| least[(1 << count) - 1][last] + ways[end(last / 2, last % 2)][home]).fold(f64::INFINITY, f64::min)
}

/// Every street of a grid of crossings, a unit long each.
fn streets(columns: usize, rows: usize) -> Vec<Errand> {
    let edge = |from, to| Errand { from, to, there_s: 1.0, back_s: 1.0 };
    let along = (0..rows).flat_map(|row| (1..columns).map(move |column| (row * columns + column - 1, row * columns + column)));
    let across = (1..rows).flat_map(|row| (0..columns).map(move |column| ((row - 1) * columns + column, row * columns + column)));
    along.chain(across).map(|(from, to)| edge(from, to)).collect()
}

/// By: closed form, frederickson-1979.
#[test]
fn streets_of_a_grid_are_gone_along_in_the_known_least_length() {
    // Streets, and between the crossings where three meet the shortest ways, paired: 4; 7 + 1; 12 + 4; 24 + 4.
    for (columns, rows, expected) in [(2, 2, 4.0), (3, 2, 8.0), (3, 3, 16.0), (4, 4, 28.0)] {
        let edges = streets(columns, rows);
        let ways = shortest(columns * rows, &edges);
        for home in 0..columns * rows {
            let found = tour(&edges, home, |one, other| ways[one][other]);
            assert!((found.seconds - expected).abs() < 1e-9, "{columns} x {rows} from {home}: {}", found.seconds);
            assert_eq!(found.order.len(), edges.len());
        }
    }
}

/// A connected graph: a tree, and some more edges; half of the edges are errands. Uphill is slower than down.
fn small() -> impl Strategy<Value = (Vec<Errand>, Vec<bool>)> {
    let edge = || (0..60_u32, 0..60_u32, 10..200_u32, 0..60_u32, any::<bool>());
    prop::collection::vec(edge(), 9).prop_map(|drawn| {
        let edge = |(index, (a, b, length, climb, is_errand)): (usize, &(u32, u32, u32, u32, bool))| {
            // The first five edges make a tree of six places.
            let (from, to) = if index < 5 { (a % (index as u32 + 1), index as u32 + 1) } else { (a % 6, b % 6) };
            let (there_s, back_s) = (f64::from(*length + *climb), f64::from(*length));
            (Errand { from: from as usize, to: to as usize, there_s, back_s }, *is_errand)
        };
        drawn.iter().enumerate().map(edge).unzip()
    })
}

/// By: every way tried.
#[test]
fn rounds_of_small_graphs_are_near_to_the_best_of_every_order() {
    let mut runner = TestRunner::new_with_rng(
        Config::default(),
        TestRng::from_seed(RngAlgorithm::ChaCha, b"the rounds of small graphs......"),
    );
    let (mut sum, mut worst, mut count) = (0.0, 1.0_f64, 0);
    while count < 300 {
        let (edges, is_errand) = small().new_tree(&mut runner).expect("it can be drawn").current();
        let errands: Vec<Errand> = edges.iter().zip(&is_errand).filter(|(_, is)| **is).map(|(edge, _)| *edge).collect();
        if errands.is_empty() {
            continue;
        }
        let ways = shortest(6, &edges);
        let found = tour(&errands, 0, |one, other| ways[one][other]).seconds;
        let best = by_every_order(&errands, 0, &ways);
        assert!(found >= best - 1e-6, "shorter than the shortest: {found} {best}");
        (sum, worst, count) = (sum + found / best, worst.max(found / best), count + 1);
    }
    let mean = sum / f64::from(count);
    println!("mean {mean:.5}, worst {worst:.5} of {count}");
    assert!(mean <= 1.01 && worst <= 1.05, "mean {mean}, worst {worst}");
}

/// By: program NetworkX.
#[test]
fn pairs_weigh_what_networkx_says() {
    let text = include_str!("../fixtures/round/matchings.json");
    let all: serde_json::Value = serde_json::from_str(text).expect("the fixture");
    for row in all["rows"].as_array().expect("rows") {
        let number = |value: &serde_json::Value| value.as_f64().expect("a number");
        let at: Vec<(f64, f64)> =
            row["at"].as_array().expect("places").iter().map(|at| (number(&at[0]), number(&at[1]))).collect();
        let cost = |one: usize, other: usize| (at[one].0 - at[other].0).abs() + (at[one].1 - at[other].1).abs();
        let found: f64 = pairs(at.len(), cost).iter().map(|(one, other)| cost(*one, *other)).sum();
        let expected = number(&row["weight"]);
        // Beyond sixteen places the pairs are not exact.
        let most = if at.len() <= 16 { expected } else { 1.12 * expected };
        assert!((expected..=most).contains(&found), "{} places: {found}, {expected}", at.len());
    }
}
