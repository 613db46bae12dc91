//! What a course is judged by: amounts along it, and the money that each of them is worth.

use std::ops::{Add, AddAssign};

/// The worth of each thing in the plan's money. Placeholders of ours that say how things weigh against each other, not what a contractor asks:
/// whoever knows better puts in better ones.
///
/// # Source
/// Key `common-practice`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// A metre of fence on the ground.
    pub metre: f64,
    /// More for a metre on the map, times the square of the slope along it; half of it times the square of the slope across it.
    pub slope: f64,
    /// Water across the fence, times ten times the root of its hectares.
    pub gap: f64,
    /// A strike that breaks a strand.
    pub strike: f64,
    /// A strike that the strands hold: somebody goes and looks.
    pub nudge: f64,
    /// Over so many years strikes are set against building.
    pub years: f64,
    /// Walking a hundred level metres to a metre of fence once.
    pub walk: f64,
    /// How often somebody walks to every metre in all.
    pub visits: f64,
    /// A corner post; less for a slight turn.
    pub corner: f64,
    /// More for a corner in a dip or on wet or thin soil.
    pub poor_corner: f64,
    /// More for a metre on thin soil over rock.
    pub rock: f64,
    /// More for a metre on wet soil.
    pub soft: f64,
    /// A gate where a track or a public way is crossed.
    pub way: f64,
    /// More for a metre without room to work beside another fence or a building.
    pub beside: f64,
    /// More for a metre over a hollow, times its curvature along the fence, 1/m. Only cells of two metres tell.
    pub dip: f64,
}

impl Weights {
    /// What is taken for usual.
    pub const USUAL: Self = Self {
        metre: 6.0,
        slope: 8.0,
        gap: 4.0,
        strike: 30.0,
        nudge: 10.0,
        years: 10.0,
        walk: 0.08,
        visits: 26.0,
        corner: 60.0,
        poor_corner: 40.0,
        rock: 12.0,
        soft: 3.0,
        way: 120.0,
        beside: 6.0,
        dip: 130.0,
    };

    /// Their names.
    pub const NAMES: [&str; 15] = [
        "metre",
        "slope",
        "gap",
        "strike",
        "nudge",
        "years",
        "walk",
        "visits",
        "corner",
        "poor_corner",
        "rock",
        "soft",
        "way",
        "beside",
        "dip",
    ];

    /// One of them by its name; `None` for a name that is not among [`Self::NAMES`].
    pub fn named(&mut self, name: &str) -> Option<&mut f64> {
        let all = [
            &mut self.metre,
            &mut self.slope,
            &mut self.gap,
            &mut self.strike,
            &mut self.nudge,
            &mut self.years,
            &mut self.walk,
            &mut self.visits,
            &mut self.corner,
            &mut self.poor_corner,
            &mut self.rock,
            &mut self.soft,
            &mut self.way,
            &mut self.beside,
            &mut self.dip,
        ];
        Self::NAMES.into_iter().zip(all).find(|(known, _)| *known == name).map(|(_, value)| value)
    }
}

/// What money goes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Term {
    /// Building on even and sloping ground, with or without room to work.
    Build,
    /// Thin and wet soil, hollows.
    Soil,
    /// Corner posts.
    Corners,
    /// Water gaps.
    Water,
    /// Gates in tracks and public ways.
    Ways,
    /// Strikes.
    Strikes,
    /// Walking to it.
    Walking,
}

impl Term {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 7] = [Self::Build, Self::Soil, Self::Corners, Self::Water, Self::Ways, Self::Strikes, Self::Walking];
}

/// What there is along a course, whatever it is worth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amounts {
    /// Length on the map, metres.
    pub map_m: f64,
    /// Length on the ground, metres.
    pub ground_m: f64,
    /// Metres times the square of the slope along, and half the square of the slope across.
    pub slope_m: f64,
    /// Places where water crosses.
    pub gaps: f64,
    /// Sum of ten times the root of the hectares above them.
    pub gap_sizes: f64,
    /// Strikes in a year that break a strand.
    pub breaking: f64,
    /// Strikes in a year that the strands hold.
    pub holding: f64,
    /// Metres of fence times hundreds of level metres that somebody would walk in the same time.
    pub walks: f64,
    /// Corners, slight turns counted less.
    pub corners: f64,
    /// Corners in dips and on wet or thin soil.
    pub poor_corners: f64,
    /// Metres on thin soil over rock.
    pub rock_m: f64,
    /// Metres on wet soil.
    pub soft_m: f64,
    /// Tracks and public ways crossed.
    pub ways: f64,
    /// Metres without room to work beside another fence or a building.
    pub beside_m: f64,
    /// Hollows: metres times curvature along the fence.
    pub hollows: f64,
    /// Places where it goes where no fence may go: over the boundary, into ground that is kept out of, through a building or another fence.
    pub barred: u32,
}

impl Amounts {
    /// Strikes in a year.
    pub fn strikes(&self) -> f64 {
        self.breaking + self.holding
    }

    /// The money that goes to one thing.
    pub fn worth(&self, term: Term, weights: &Weights) -> f64 {
        match term {
            Term::Build => weights.metre * self.ground_m + weights.slope * self.slope_m + weights.beside * self.beside_m,
            Term::Soil => weights.rock * self.rock_m + weights.soft * self.soft_m + weights.dip * self.hollows,
            Term::Corners => weights.corner * self.corners + weights.poor_corner * self.poor_corners,
            Term::Water => weights.gap * self.gap_sizes,
            Term::Ways => weights.way * self.ways,
            Term::Strikes => weights.years * (weights.strike * self.breaking + weights.nudge * self.holding),
            Term::Walking => weights.walk * weights.visits * self.walks,
        }
    }

    /// All the money; infinite where no fence may go.
    pub fn cost(&self, weights: &Weights) -> f64 {
        let sum: f64 = Term::ALL.iter().map(|term| self.worth(*term, weights)).sum();
        if self.barred > 0 { f64::INFINITY } else { sum }
    }
}

impl Add for Amounts {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            map_m: self.map_m + other.map_m,
            ground_m: self.ground_m + other.ground_m,
            slope_m: self.slope_m + other.slope_m,
            gaps: self.gaps + other.gaps,
            gap_sizes: self.gap_sizes + other.gap_sizes,
            breaking: self.breaking + other.breaking,
            holding: self.holding + other.holding,
            walks: self.walks + other.walks,
            corners: self.corners + other.corners,
            poor_corners: self.poor_corners + other.poor_corners,
            rock_m: self.rock_m + other.rock_m,
            soft_m: self.soft_m + other.soft_m,
            ways: self.ways + other.ways,
            beside_m: self.beside_m + other.beside_m,
            hollows: self.hollows + other.hollows,
            barred: self.barred + other.barred,
        }
    }
}

impl AddAssign for Amounts {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
