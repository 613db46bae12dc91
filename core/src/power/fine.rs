//! The network cut finely, so that a fault may be tried everywhere.

use super::circuit::Node;
use super::locate::{Place, Read};
use super::wiring::{WiredSpan, Wiring};
use crate::plan::FeatureId;
use crate::units::Length;

/// Distance of the places that are tried, metres.
const STEP_M: f64 = 10.0;
/// Places nearer to a node than this are that node, metres.
const SAME_M: f64 = 0.05;
/// Resistance between the two sides of a place where nothing is wrong, ohm.
pub(super) const JOINED_OHM: f64 = 1e-3;

/// The two sides of a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FinePlace {
    pub before: Node,
    pub after: Node,
}

/// Where a meter is.
#[derive(Clone, Copy)]
pub(super) struct Meter {
    pub node: Node,
    /// The run whose current it reads; `None` where nobody asks, or two rails share it.
    pub through: Option<Through>,
}

/// A current through a run, seen from one of its ends.
#[derive(Clone, Copy)]
pub(super) struct Through {
    /// The run, by its number in the wiring.
    pub span: usize,
    /// Its other end.
    pub other: Node,
    /// 1 where the run leads towards the end of the line, else -1.
    pub sign: f64,
}

/// The wires cut finely.
pub(super) struct Fine {
    pub wiring: Wiring,
    pub places: Vec<Place>,
    /// By meter; `None` where no wire runs.
    pub meters: Vec<Option<Meter>>,
}

impl Fine {
    pub fn of(wiring: &Wiring, reads: &[Read]) -> Self {
        let mut fine = Self { wiring: wiring.clone(), places: Vec::new(), meters: Vec::new() };
        for read in reads {
            fine.wiring.cut(&read.line, read.station);
        }
        for line in lines_of(wiring) {
            fine.place_along(&line);
        }
        fine.meters = reads.iter().map(|read| fine.meter(read)).collect();
        fine
    }

    /// A place in the middle of every stretch of at most [`STEP_M`].
    fn place_along(&mut self, line: &FeatureId) {
        let ends: Vec<(f64, f64)> = self.wiring.spans_of(line);
        for (from_m, to_m) in ends {
            let pieces = ((to_m - from_m) / STEP_M).ceil().max(1.0);
            let piece_m = (to_m - from_m) / pieces;
            for piece in 0..pieces as usize {
                let station = Length::metres(from_m + (piece as f64 + 0.5) * piece_m);
                let Some(nodes) = self.wiring.part(line, station) else { continue };
                self.places.push(Place { line: line.clone(), station, nodes, stands_for_m: piece_m });
            }
        }
    }

    fn meter(&self, read: &Read) -> Option<Meter> {
        let (index, span, at_start) = self.wiring.span_at(&read.line, read.station)?;
        let (node, other, sign) = if at_start { (span.from[0], span.to[0], 1.0) } else { (span.to[0], span.from[0], -1.0) };
        Some(Meter {
            node,
            through: (span.from.len() == 1 && read.wants_current()).then_some(Through { span: index, other, sign }),
        })
    }
}

/// Lines that have stations, each once.
fn lines_of(wiring: &Wiring) -> Vec<FeatureId> {
    let mut lines: Vec<FeatureId> = Vec::new();
    for station in &wiring.stations {
        if lines.last() != Some(&station.line) {
            lines.push(station.line.clone());
        }
    }
    lines
}

impl Wiring {
    /// Where a run begins, on the ground along its line, metres.
    fn starts_at_m(&self, span: &WiredSpan) -> f64 {
        self.stations[span.station].station.as_metres() + span.offset_m
    }

    /// Where runs of a line begin and end, in order.
    fn spans_of(&self, line: &FeatureId) -> Vec<(f64, f64)> {
        let of_line = self.spans.iter().filter(|span| self.stations[span.station].line == *line);
        let mut all: Vec<(f64, f64)> =
            of_line.map(|span| (self.starts_at_m(span), self.starts_at_m(span) + span.along_m)).collect();
        all.sort_by(|one, other| one.0.total_cmp(&other.0));
        all.dedup();
        all
    }

    /// The run at a station, its number, and whether the station is at its start rather than at its end.
    fn span_at(&self, line: &FeatureId, station: Length) -> Option<(usize, &WiredSpan, bool)> {
        let at_m = station.as_metres();
        let of_line = self.spans.iter().enumerate().filter(|(_, span)| self.stations[span.station].line == *line);
        let near = of_line.map(|(index, span)| {
            let (start_m, end_m) = (self.starts_at_m(span), self.starts_at_m(span) + span.along_m);
            let (to_start_m, to_end_m) = ((at_m - start_m).abs(), (at_m - end_m).abs());
            (to_start_m.min(to_end_m), index, span, to_start_m <= to_end_m)
        });
        // At a cut two runs meet: the one that begins there goes first.
        let nearest = near.min_by(|one, other| {
            (one.0 - SAME_M * f64::from(u8::from(one.3))).total_cmp(&(other.0 - SAME_M * f64::from(u8::from(other.3))))
        })?;
        (nearest.0 <= 2.0 * SAME_M).then_some((nearest.1, nearest.2, nearest.3))
    }

    /// Cuts the run at a station in two, unless a node is there; gives the node of the live strands.
    pub(super) fn cut(&mut self, line: &FeatureId, station: Length) -> Option<Node> {
        let at_m = station.as_metres();
        let holds = |span: &WiredSpan| {
            let start_m = self.starts_at_m(span);
            self.stations[span.station].line == *line && (start_m - SAME_M..=start_m + span.along_m + SAME_M).contains(&at_m)
        };
        let index = (0..self.spans.len()).find(|index| holds(&self.spans[*index]))?;
        let before_m = at_m - self.starts_at_m(&self.spans[index]);
        let span = &mut self.spans[index];
        if before_m <= SAME_M {
            return span.from.first().copied();
        }
        if before_m >= span.along_m - SAME_M {
            return span.to.first().copied();
        }
        let share = before_m / span.along_m;
        let middle: Vec<Node> = (0..span.from.len()).map(|rail| self.nodes + rail).collect();
        self.nodes += middle.len();
        let after = WiredSpan {
            from: middle.clone(),
            length_m: span.length_m * (1.0 - share),
            along_m: span.along_m - before_m,
            offset_m: span.offset_m + before_m,
            ..span.clone()
        };
        span.to.clone_from(&middle);
        (span.length_m, span.along_m) = (span.length_m * share, before_m);
        self.spans.push(after);
        middle.first().copied()
    }

    /// Cuts the run at a station into two that hang together by a joint.
    fn part(&mut self, line: &FeatureId, station: Length) -> Option<FinePlace> {
        let before = self.cut(line, station)?;
        let next = self.spans.iter().position(|span| {
            self.stations[span.station].line == *line
                && span.from[0] == before
                && (self.starts_at_m(span) - station.as_metres()).abs() <= SAME_M
        })?;
        let after = self.nodes;
        self.nodes += 1;
        self.spans[next].from[0] = after;
        self.links.push((before, after, JOINED_OHM));
        Some(FinePlace { before, after })
    }
}
