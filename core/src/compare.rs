//! Two layouts side by side: each figure on its own, no score.

use crate::catalogue::GroundState;
use crate::finding::{Rule, Weight};
use crate::hold::{Post, PostRole};
use crate::outcome::Outcome;
use crate::plan::{Kind, Plan};
use crate::site::{LineReach, ReachClass, Season};

/// A figure by which layouts differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Length of the fences on the ground, metres.
    Fence,
    /// Posts of the fences.
    Posts,
    /// Corner, end and gate posts among them.
    Corners,
    /// What the order costs, in its currency; unknown while a part of it has no price.
    Cost,
    /// Hours of work to build it.
    Build,
    /// Strikes of running animals in a year.
    Strikes,
    /// Least peak over 500 ohm in wet ground, volts.
    FarEnd,
    /// Places where water takes the fence out.
    WaterGaps,
    /// Fence that is a long walk from every track, metres.
    LongWalk,
    /// Enclosed ground on the map, square metres.
    Area,
    /// Findings that must be fixed.
    MustFix,
    /// Findings to be looked at.
    LookAt,
    /// Minutes of a round of all lines; known only where somebody worked the round out.
    Round,
}

impl Figure {
    /// All figures that follow from the plan and its outcome alone, in the order in which they are shown.
    pub const ALL: [Self; 12] = [
        Self::Fence,
        Self::Posts,
        Self::Corners,
        Self::Cost,
        Self::Build,
        Self::Strikes,
        Self::FarEnd,
        Self::WaterGaps,
        Self::LongWalk,
        Self::Area,
        Self::MustFix,
        Self::LookAt,
    ];

    /// Whether more of it is better; for all others less is.
    fn more_is_better(self) -> bool {
        matches!(self, Self::FarEnd | Self::Area)
    }
}

/// One figure of two layouts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// Which.
    pub figure: Figure,
    /// Of the first layout; `None` where it is not known.
    pub a: Option<f64>,
    /// Of the second.
    pub b: Option<f64>,
}

/// Which of two layouts is no better in any figure and worse in one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dominated {
    /// The first.
    A,
    /// The second.
    B,
}

/// Figures of a plan.
pub fn figure(figure: Figure, plan: &Plan, outcome: &Outcome) -> Option<f64> {
    let is_fence = |id| plan.feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
    let fences = || outcome.lines.iter().filter(|line| is_fence(&line.id));
    let weigh = |weight| outcome.findings.iter().filter(|finding| finding.weight == weight).count() as f64;
    match figure {
        Figure::Fence => Some(fences().map(|line| line.measure.ground_length.as_metres()).sum()),
        Figure::Posts => Some(fences().map(|line| line.standing_posts().count()).sum::<usize>() as f64),
        Figure::Corners => {
            let takes_strain = |post: &&Post| matches!(post.role, PostRole::Corner | PostRole::End | PostRole::Gate);
            Some(fences().map(|line| line.standing_posts().filter(takes_strain).count()).sum::<usize>() as f64)
        }
        Figure::Cost => (outcome.order.unpriced == 0).then_some(outcome.order.total),
        Figure::Build => Some(outcome.order.labour.hours),
        Figure::Strikes => fences().map(|line| outcome.strikes_per_year(line)).sum(),
        Figure::FarEnd => outcome.power.far_end(GroundState::Wet).map(|far| far.arrived.loaded_v),
        Figure::WaterGaps => Some(outcome.findings.iter().filter(|finding| finding.rule == Rule::WaterGap).count() as f64),
        Figure::LongWalk => {
            let far = |line: &LineReach| line.length_of(ReachClass::Far, Season::Summer).as_metres();
            fences().map(|line| line.reach.as_deref().map(far)).sum()
        }
        Figure::Area => Some(outcome.paddocks.iter().map(|paddock| paddock.area.as_square_metres()).sum()),
        Figure::MustFix => Some(weigh(Weight::MustFix)),
        Figure::LookAt => Some(weigh(Weight::LookAt)),
        Figure::Round => None,
    }
}

/// Every figure of two layouts.
pub fn compare(a: (&Plan, &Outcome), b: (&Plan, &Outcome)) -> Vec<Compared> {
    let row = |of| Compared { figure: of, a: figure(of, a.0, a.1), b: figure(of, b.0, b.1) };
    Figure::ALL.map(row).to_vec()
}

/// The layout that no known figure speaks for, while one speaks against it; `None` where each has something for it, and where they are alike.
pub fn dominated(rows: &[Compared]) -> Option<Dominated> {
    let better = |row: &Compared| {
        let by = row.b? - row.a?;
        let by = if row.figure.more_is_better() { by } else { -by };
        (by.abs() > 1e-9).then_some(by > 0.0)
    };
    let said: Vec<bool> = rows.iter().filter_map(better).collect();
    match (said.iter().any(|for_b| *for_b), said.iter().any(|for_b| !for_b)) {
        (true, false) => Some(Dominated::A),
        (false, true) => Some(Dominated::B),
        _ => None,
    }
}

/// What the keeper reckons with when layouts are set against each other in money.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reckoning {
    /// Over so many years.
    pub years: f64,
    /// What an hour of work is worth.
    pub wage_per_h: f64,
    /// What one strike costs in mending.
    pub per_strike: f64,
    /// What mending one water gap costs in a year.
    pub per_gap_year: f64,
}

impl Default for Reckoning {
    /// Ten years; no price is taken for granted.
    fn default() -> Self {
        Self { years: 10.0, wage_per_h: 0.0, per_strike: 0.0, per_gap_year: 0.0 }
    }
}

/// A part of what a layout costs to own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Term {
    /// Materials.
    Materials,
    /// Hours to build it, at the wage.
    Building,
    /// Strikes over the years.
    Strikes,
    /// Water gaps over the years.
    WaterGaps,
}

impl Term {
    /// All parts, in the order in which they are shown.
    pub const ALL: [Self; 4] = [Self::Materials, Self::Building, Self::Strikes, Self::WaterGaps];

    fn figure(self) -> Figure {
        match self {
            Self::Materials => Figure::Cost,
            Self::Building => Figure::Build,
            Self::Strikes => Figure::Strikes,
            Self::WaterGaps => Figure::WaterGaps,
        }
    }
}

/// What one unit of a part's figure costs over the years.
fn price(term: Term, by: &Reckoning) -> f64 {
    match term {
        Term::Materials => 1.0,
        Term::Building => by.wage_per_h,
        Term::Strikes => by.years * by.per_strike,
        Term::WaterGaps => by.years * by.per_gap_year,
    }
}

fn row_of(rows: &[Compared], figure: Figure) -> Option<&Compared> {
    rows.iter().find(|row| row.figure == figure)
}

/// What each layout costs to own, part by part; not discounted. A part with a price of nothing costs nothing, whatever is known of it.
///
/// # Units
/// Money.
/// # Source
/// Arithmetic: `common-practice`.
pub fn owning(rows: &[Compared], by: &Reckoning) -> Vec<(Term, [Option<f64>; 2])> {
    let of = |term: Term| {
        let (row, price) = (row_of(rows, term.figure()), price(term, by));
        let side =
            |value: fn(&Compared) -> Option<f64>| if price == 0.0 { Some(0.0) } else { Some(row.and_then(value)? * price) };
        (term, [side(|row| row.a), side(|row| row.b)])
    };
    Term::ALL.map(of).to_vec()
}

/// The price of one unit of a part at which both layouts cost the same to own, all other prices as they are: of one strike, of one water gap's year, of
/// an hour. `None` where the figures are alike, not known, or no price above nothing makes them equal.
///
/// # Units
/// Money for a strike, a water gap and year, an hour.
/// # Source
/// Arithmetic: `common-practice`.
pub fn break_even(rows: &[Compared], by: &Reckoning, term: Term) -> Option<f64> {
    let times = match term {
        Term::Materials => return None,
        Term::Building => 1.0,
        Term::Strikes | Term::WaterGaps => by.years,
    };
    let differs = |term: Term| row_of(rows, term.figure()).and_then(|row| Some(row.b? - row.a?));
    let others = owning(rows, by).into_iter().filter(|(other, _)| *other != term);
    let extra = others.map(|(_, [a, b])| Some(b? - a?)).sum::<Option<f64>>()?;
    let at = -extra / (differs(term)? * times);
    (at.is_finite() && at > 0.0).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(figure: Figure, a: f64, b: f64) -> Compared {
        Compared { figure, a: Some(a), b: Some(b) }
    }

    #[test]
    fn a_layout_is_dominated_when_nothing_speaks_for_it() {
        let rows = [
            (vec![row(Figure::Fence, 700.0, 650.0), row(Figure::FarEnd, 5e3, 5e3)], Some(Dominated::A)),
            (vec![row(Figure::Fence, 700.0, 650.0), row(Figure::FarEnd, 5e3, 4e3)], None),
            (vec![row(Figure::FarEnd, 5e3, 4e3)], Some(Dominated::B)),
            (vec![row(Figure::Fence, 700.0, 700.0)], None),
            (vec![Compared { figure: Figure::Cost, a: None, b: Some(1.0) }], None),
        ];
        rows.into_iter().for_each(|(rows, expected)| assert_eq!(dominated(&rows), expected, "{rows:?}"));
    }

    /// A straight line against one around the hill; money for a metre stands for materials, a corner adds 60 (design of the project, worked by hand).
    fn worked() -> [Compared; 3] {
        [
            row(Figure::Cost, 765.0 * 6.0, 889.0 * 6.0 + 9.0 * 60.0),
            row(Figure::WaterGaps, 7.0, 4.0),
            row(Figure::Strikes, 4.02, 2.67),
        ]
    }

    #[test]
    fn each_layout_costs_what_its_parts_cost_together() {
        let by = Reckoning { per_strike: 30.0, per_gap_year: 15.0, ..Reckoning::default() };
        let totals = [0, 1].map(|side| owning(&worked(), &by).iter().map(|(_, sides)| sides[side]).sum::<Option<f64>>());
        assert!((totals[0].expect("known") - 6846.0).abs() < 0.5, "{totals:?}");
        assert!((totals[1].expect("known") - 7275.0).abs() < 0.5, "{totals:?}");
    }

    #[test]
    fn what_is_not_known_makes_the_total_unknown_unless_it_costs_nothing() {
        let rows = [row(Figure::Cost, 1.0, 2.0), Compared { figure: Figure::Strikes, a: None, b: Some(1.0) }];
        let total = |by: &Reckoning| owning(&rows, by).iter().map(|(_, sides)| sides[0]).sum::<Option<f64>>();
        assert_eq!(total(&Reckoning { per_strike: 1.0, ..Reckoning::default() }), None);
    }

    #[test]
    fn at_the_break_even_price_both_cost_the_same() {
        let by = Reckoning { per_strike: 30.0, per_gap_year: 15.0, ..Reckoning::default() };
        let strike = break_even(&worked(), &by, Term::Strikes).expect("saves strikes");
        // 744 - 450 + 540 = 834 over 13.5 strikes.
        assert!((strike - 61.8).abs() < 0.05, "{strike}");
        let gap = break_even(&worked(), &by, Term::WaterGaps).expect("saves gaps");
        for by in [Reckoning { per_strike: strike, ..by }, Reckoning { per_gap_year: gap, ..by }] {
            let totals = [0, 1].map(|side| owning(&worked(), &by).iter().filter_map(|(_, sides)| sides[side]).sum::<f64>());
            assert!((totals[0] - totals[1]).abs() < 1e-6, "{totals:?}");
        }
        let dearer_and_worse = [row(Figure::Cost, 1000.0, 1834.0), row(Figure::Strikes, 2.0, 2.67)];
        assert_eq!(break_even(&dearer_and_worse, &by, Term::Strikes), None);
    }
}
