//! The network as electricity sees it: nodes, spans of line between them, links, ways to earth, energizers.

use super::energizer::Energizer;
use super::strands::PerMetre;
use std::sync::Arc;

/// A place in the network, or a rail of it.
pub type Node = usize;

/// A network of lines. Every node is measured against far ground. Energizers pulse together; on separate networks that changes nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circuit {
    nodes: usize,
    pub(super) kinds: Vec<Arc<PerMetre>>,
    pub(super) spans: Vec<Span>,
    pub(super) links: Vec<Link>,
    pub(super) shunts: Vec<Shunt>,
    pub(super) sources: Vec<Source>,
}

/// A run of one kind of line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Span {
    pub(super) kind: usize,
    /// One node a rail.
    pub(super) from: Vec<Node>,
    pub(super) to: Vec<Node>,
    pub(super) length_m: f64,
}

/// A resistance between two nodes: a joint, a switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Link {
    pub(super) from: Node,
    pub(super) to: Node,
    pub(super) ohm: f64,
}

/// A resistance to far ground: a fault, a rod on an earth wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shunt {
    pub(super) at: Node,
    pub(super) ohm: f64,
}

/// The energizer between the fence and its earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Source {
    pub(super) energizer: Energizer,
    /// Where the fence is connected.
    pub(super) hot: Node,
    /// Where the earth is connected.
    pub(super) earth: Node,
    /// Resistance of the earth rods.
    pub(super) earth_ohm: f64,
}

impl Circuit {
    /// Adds a node.
    pub fn node(&mut self) -> Node {
        self.nodes += 1;
        self.nodes - 1
    }

    /// How many nodes.
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// Adds a kind of line; its constants must stand at the frequencies at which the network is solved.
    pub fn kind(&mut self, per_metre: impl Into<Arc<PerMetre>>) -> usize {
        self.kinds.push(per_metre.into());
        self.kinds.len() - 1
    }

    /// Lays a run of a kind with one rail.
    pub fn span(&mut self, kind: usize, from: Node, to: Node, length_m: f64) {
        self.rails(kind, &[from], &[to], length_m);
    }

    /// Lays a run of a kind, one node a rail at each end. Nothing shorter than a millimetre is laid: its ends are linked.
    pub fn rails(&mut self, kind: usize, from: &[Node], to: &[Node], length_m: f64) {
        debug_assert!(self.kinds[kind].rails() == from.len() && from.len() == to.len());
        if length_m < 1e-3 {
            for (one, other) in from.iter().zip(to) {
                self.link(*one, *other, LEAST_OHM);
            }
            return;
        }
        self.spans.push(Span { kind, from: from.to_vec(), to: to.to_vec(), length_m });
    }

    /// Joins two nodes by a resistance.
    pub fn link(&mut self, from: Node, to: Node, ohm: f64) {
        self.links.push(Link { from, to, ohm: ohm.max(LEAST_OHM) });
    }

    /// Leads a node to far ground through a resistance.
    pub fn shunt(&mut self, at: Node, ohm: f64) {
        self.shunts.push(Shunt { at, ohm: ohm.max(LEAST_OHM) });
    }

    /// Connects the energizer; gives the node of its earth.
    pub fn connect(&mut self, energizer: Energizer, hot: Node, earth_ohm: f64) -> Node {
        let earth = self.node();
        self.sources.push(Source { energizer, hot, earth, earth_ohm: earth_ohm.max(LEAST_OHM) });
        earth
    }

    /// For every node the number of the energizer, in the order of connecting, whose pulse gets there.
    pub fn fed(&self) -> Vec<Option<usize>> {
        let mut beside = vec![Vec::new(); self.nodes];
        for (one, other) in self.couplings() {
            beside[one].push(other);
            beside[other].push(one);
        }
        let mut fed = vec![None; self.nodes];
        for (number, source) in self.sources.iter().enumerate() {
            let mut waiting = vec![source.hot];
            while let Some(node) = waiting.pop() {
                if fed[node].is_none() {
                    fed[node] = Some(number);
                    waiting.extend(&beside[node]);
                }
            }
        }
        fed
    }

    /// Pairs of nodes with something between them; the energizer itself is left out, for nothing is fed through it backwards.
    fn couplings(&self) -> impl Iterator<Item = (Node, Node)> {
        let along = self.spans.iter().flat_map(|span| span.from.iter().zip(&span.to).map(|(one, other)| (*one, *other)));
        along.chain(self.links.iter().map(|link| (link.from, link.to)))
    }
}

/// Least resistance of a link, ohm: a good joint.
pub(super) const LEAST_OHM: f64 = 1e-3;
