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
}

impl Figure {
    /// All figures, in the order in which they are shown.
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
        Figure::Posts => Some(fences().map(|line| line.hold.posts.len()).sum::<usize>() as f64),
        Figure::Corners => {
            let takes_strain = |post: &&Post| matches!(post.role, PostRole::Corner | PostRole::End | PostRole::Gate);
            Some(fences().map(|line| line.hold.posts.iter().filter(takes_strain).count()).sum::<usize>() as f64)
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

/// What one strike must cost for the dearer layout to pay for itself through strikes that it saves: extra cost over `years` times the strikes saved in
/// one. `None` where the dearer one saves none, or a price is not known.
///
/// # Units
/// Money for a strike.
/// # Source
/// Arithmetic: `common-practice`.
pub fn break_even_per_strike(rows: &[Compared], years: f64) -> Option<f64> {
    let of = |figure| rows.iter().find(|row| row.figure == figure).and_then(|row| Some(row.b? - row.a?));
    let (extra, saved) = (of(Figure::Cost)?, -of(Figure::Strikes)?);
    (years > 0.0 && extra * saved > 0.0).then(|| extra / (saved * years))
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

    #[test]
    fn the_dearer_layout_pays_from_some_price_of_a_strike_on() {
        // 834 more over ten years that see 1.35 strikes less each: 62 a strike.
        let rows = [row(Figure::Cost, 1000.0, 1834.0), row(Figure::Strikes, 4.02, 2.67)];
        let found = break_even_per_strike(&rows, 10.0).expect("saves strikes");
        assert!((found - 61.8).abs() < 0.05, "{found}");
        let dearer_and_worse = [row(Figure::Cost, 1000.0, 1834.0), row(Figure::Strikes, 2.0, 2.67)];
        assert_eq!(break_even_per_strike(&dearer_and_worse, 10.0), None);
    }
}
