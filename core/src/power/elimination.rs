//! In which order the nodes of a network are eliminated, and where the numbers go: the same for every frequency.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// An order of elimination with few new couplings: always the node with the fewest neighbours left. Trees of lines cause none at
/// all, loops a few.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Elimination {
    /// One step a node, in the order in which they go.
    pub(super) steps: Vec<Step>,
    /// Nodes that are coupled with a node when it goes and go later themselves, step after step.
    pub(super) upper: Vec<usize>,
    /// For every step and every two of its couplings i < j, by i then j: where the coupling of those two stands in [`Self::upper`].
    pub(super) pairs: Vec<usize>,
    /// Where couplings stand, by the two nodes, the one that goes first in front.
    places: BTreeMap<(usize, usize), usize>,
    /// By node: its place in the order.
    rank: Vec<usize>,
}

/// The elimination of one node.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Step {
    /// The node.
    pub(super) node: usize,
    /// Its couplings in [`Elimination::upper`].
    pub(super) upper: Range<usize>,
    /// Their pairs in [`Elimination::pairs`].
    pub(super) pairs: Range<usize>,
}

impl Elimination {
    /// For nodes `0..count` coupled by the given pairs.
    pub(super) fn new(count: usize, couplings: impl Iterator<Item = (usize, usize)>) -> Self {
        let mut beside = vec![BTreeSet::new(); count];
        for (one, other) in couplings.filter(|(one, other)| one != other) {
            beside[one].insert(other);
            beside[other].insert(one);
        }
        let mut waiting: BTreeSet<(usize, usize)> = (0..count).map(|node| (beside[node].len(), node)).collect();
        let mut gone = Vec::with_capacity(count);
        while let Some((_, node)) = waiting.pop_first() {
            let upper: Vec<usize> = std::mem::take(&mut beside[node]).into_iter().collect();
            for one in &upper {
                waiting.remove(&(beside[*one].len(), *one));
                beside[*one].remove(&node);
                beside[*one].extend(upper.iter().filter(|other| *other != one));
            }
            waiting.extend(upper.iter().map(|one| (beside[*one].len(), *one)));
            gone.push((node, upper));
        }
        Self::placed(gone)
    }

    fn placed(mut gone: Vec<(usize, Vec<usize>)>) -> Self {
        let mut made = Self { rank: vec![0; gone.len()], ..Self::default() };
        for (place, (node, _)) in gone.iter().enumerate() {
            made.rank[*node] = place;
        }
        for (node, upper) in &mut gone {
            upper.sort_by_key(|one| made.rank[*one]);
            let start = made.upper.len();
            for one in upper.iter() {
                made.places.insert((*node, *one), made.upper.len());
                made.upper.push(*one);
            }
            made.steps.push(Step { node: *node, upper: start..made.upper.len(), pairs: 0..0 });
        }
        for (step, (_, upper)) in gone.iter().enumerate() {
            let start = made.pairs.len();
            for (i, one) in upper.iter().enumerate() {
                made.pairs.extend(upper[i + 1..].iter().map(|other| made.places[&(*one, *other)]));
            }
            made.steps[step].pairs = start..made.pairs.len();
        }
        made
    }

    /// Where the coupling of two nodes stands, if they are coupled at some step.
    pub(super) fn place(&self, one: usize, other: usize) -> Option<usize> {
        let pair = if self.rank[one] < self.rank[other] { (one, other) } else { (other, one) };
        self.places.get(&pair).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tree_causes_no_new_couplings_and_a_ring_few() {
        let tree = [(0, 1), (1, 2), (1, 3), (3, 4), (3, 5)];
        assert_eq!(Elimination::new(6, tree.into_iter()).upper.len(), tree.len());
        let ring = (0..100).map(|n| (n, (n + 1) % 100));
        assert!(Elimination::new(100, ring).upper.len() < 200);
    }
}
