//! What a search reaches, in the order in which it goes on.

use std::cmp::Ordering;

/// Something that is reached at a cost: from a heap the cheapest comes first, of several the first, so that ways are the same on every machine.
pub(crate) struct Reached<I> {
    /// What it cost: seconds, money.
    pub cost: f64,
    /// Which cell, place or node.
    pub index: I,
}

impl<I: Ord> PartialEq for Reached<I> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<I: Ord> Eq for Reached<I> {}

impl<I: Ord> PartialOrd for Reached<I> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<I: Ord> Ord for Reached<I> {
    fn cmp(&self, other: &Self) -> Ordering {
        other.cost.total_cmp(&self.cost).then(other.index.cmp(&self.index))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BinaryHeap;

    #[test]
    fn the_cheapest_comes_first_and_of_several_the_first() {
        let rows = [(2.0, 0), (1.0, 9), (1.0, 4), (f64::INFINITY, 1)];
        let mut heap: BinaryHeap<Reached<usize>> = rows.into_iter().map(|(cost, index)| Reached { cost, index }).collect();
        let order: Vec<usize> = std::iter::from_fn(|| heap.pop()).map(|reached| reached.index).collect();
        assert_eq!(order, [4, 9, 0, 1]);
    }
}
