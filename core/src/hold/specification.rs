//! A build looked up in the catalogue: what its strands weigh and pull, on which posts they hang.

use super::HoldError;
use super::range::within;
use super::spacing::{Hanging, kappa_per_m};
use super::tension::{HungWire, TENSION_N, tension_after_n, tightening_n, tightening_with_spring_n};
use super::verdict::{SAFETY_FACTOR, SAFETY_FACTOR_PERMANENT};
use crate::catalogue::{Catalogue, Metal, PostRow, WireRow};
use crate::plan::{Build, LeadOut, Season, Strand};
use crate::units::{Force, Length};

/// Height of a lead-out that does not say: over a person's head and out of reach of stock (`common-practice`).
pub const LEAD_OUT_HEIGHT_M: f64 = 2.4;
/// Distance between a lead-out's posts when it does not say (`common-practice`).
pub const LEAD_OUT_SPACING_M: f64 = 10.0;
/// Wire of a lead-out that does not say.
pub const LEAD_OUT_WIRE: &str = "ht-12.5ga";
/// Line posts of a lead-out.
pub const LEAD_OUT_POST: &str = "wood-100";
/// Corner and end posts of a lead-out.
pub const LEAD_OUT_CORNER_POST: &str = "wood-150";

/// One strand, with its tensions through the year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HungStrand<'a> {
    /// Its wire.
    pub wire: &'a WireRow,
    /// Height at the posts.
    pub height: Length,
    /// Tension as set.
    pub set: Force,
    /// Tension on the coldest day.
    pub cold: Force,
    /// Tension on the hottest day.
    pub hot: Force,
    /// `w / (2 H)` on the hottest day, 1/m.
    pub slackest_kappa_per_m: f64,
}

/// What a line is built of, looked up.
#[derive(Clone, Debug)]
pub struct Specification<'a> {
    /// Strands, the lowest first.
    pub strands: Vec<HungStrand<'a>>,
    /// Line posts.
    pub line_post: &'a PostRow,
    /// Corner, end and gate posts.
    pub corner_post: &'a PostRow,
    /// Longest bay on the map.
    pub longest_bay: Length,
    /// How far strands may leave the ground.
    pub hanging: Hanging,
    /// Rate of the spring in each strand, N/m; `None` without springs.
    pub spring_n_per_m: Option<f64>,
    /// How many such springs are in each strand of a strain, one behind the other.
    pub springs: u32,
    /// Friction of a strand at a line post, a pure number.
    pub friction: f64,
    /// What pulls a strand off a line post; `None` where it runs through the post itself.
    pub pull_off: Option<Force>,
    /// Whether it is netting, which stands on stakes of its own.
    pub own_stakes: bool,
    /// How far strands may be fixed off their height at a post.
    pub drill: Length,
    /// What the ground must hold, in times the pull.
    pub safety_factor: f64,
    /// What holding down a lifted post costs, in posts.
    pub hold_down_cost: Option<f64>,
}

/// As tight as a hand pulls a strand of wire; nobody sets one slacker by a gauge (`common-practice`).
pub const HAND_TIGHT: Force = Force::newtons(200.0);
/// Wire that is set to less than this share of what is usual for it hangs slack (`common-practice`).
pub const SLACK_SHARE: f64 = 0.5;

/// What a stake of netting is like.
const NET_STAKE: &str = "step-in";

/// Friction of a strand that runs through a post without an insulator (`common-practice`).
const BARE_FRICTION: f64 = 0.2;

impl<'a> Specification<'a> {
    /// Of a fence's build, through the season, in strains no longer than this. (A spring takes up more, the longer the strain.)
    ///
    /// # Errors
    /// [`HoldError`] for an unknown wire or post, a band that excludes its own strand, a tension or a bay without size.
    pub fn of(build: &Build, season: &Season, longest_strain: Length, catalogue: &'a Catalogue) -> Result<Self, HoldError> {
        let in_build = |range| HoldError::Range { build: build.id.clone(), range };
        within("longest bay in m", build.max_bay.as_metres(), &(0.5..=100.0)).map_err(in_build)?;
        let strung = Strung { build, season, longest_strain };
        let hung = |strand: &Strand| hang(strand, &strung, catalogue);
        let strands = build.strands.iter().map(hung).collect::<Result<Vec<_>, _>>()?;
        let kappas: Vec<f64> = strands.iter().map(|strand| strand.slackest_kappa_per_m).collect();
        let hanging = Hanging::of(&build.strands, &kappas).map_err(|band| HoldError::Band { build: build.id.clone(), band })?;
        // Netting stands on stakes of its own.
        let of_net = build.net.as_ref().map(|_| NET_STAKE);
        let line_post = post(of_net.unwrap_or(&build.line_post), catalogue)?;
        let insulator = line_post.insulator.as_deref().and_then(|id| catalogue.insulator(id));
        Ok(Self {
            strands,
            line_post,
            corner_post: post(of_net.unwrap_or(&build.corner_post), catalogue)?,
            longest_bay: build.max_bay,
            hanging,
            spring_n_per_m: build.spring_n_per_m,
            springs: build.springs(),
            friction: insulator.and_then(|row| row.friction).unwrap_or(BARE_FRICTION),
            pull_off: insulator.and_then(|row| row.pull),
            own_stakes: build.net.is_some(),
            drill: build.drill,
            hold_down_cost: build.hold_down_cost,
            safety_factor: if build.permanent { SAFETY_FACTOR_PERMANENT } else { SAFETY_FACTOR },
        })
    }

    /// Of a lead-out above ground: its conductors side by side, free to hang as they like.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn of_lead_out(
        lead_out: &LeadOut,
        season: &Season,
        longest_strain: Length,
        catalogue: &'a Catalogue,
    ) -> Result<Self, HoldError> {
        let wire_id = lead_out.wire.as_deref().unwrap_or(LEAD_OUT_WIRE);
        let height = lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M));
        let strand = Strand::live(height, wire_id);
        let build = Build {
            id: "lead_out".to_owned(),
            strands: vec![strand; lead_out.wires() as usize],
            line_post: LEAD_OUT_POST.to_owned(),
            corner_post: LEAD_OUT_CORNER_POST.to_owned(),
            max_bay: lead_out.spacing.unwrap_or(Length::metres(LEAD_OUT_SPACING_M)),
            tension: wire(wire_id, catalogue)?.tension,
            ..Build::default()
        };
        Ok(Self { hanging: Hanging::free(), ..Self::of(&build, season, longest_strain, catalogue)? })
    }

    /// The same with its strands in the bands that the stock behind the line asks for.
    ///
    /// # Errors
    /// [`HoldError`] for a band that excludes its own strand.
    pub fn hung_within(self, build: &Build, bands: &[(Length, Length)]) -> Result<Self, HoldError> {
        let kappas: Vec<f64> = self.strands.iter().map(|strand| strand.slackest_kappa_per_m).collect();
        let hanging = Hanging::within(&build.strands, bands, &kappas);
        Ok(Self { hanging: hanging.map_err(|band| HoldError::Band { build: build.id.clone(), band })?, ..self })
    }

    /// Whether every strand of metal can be set so slack: it is told from hand tight, and not far below what is usual for its wire.
    pub fn may_be_set_to(&self, tension: Force) -> bool {
        let metal = self.strands.iter().filter(|strand| strand.wire.metal != Metal::Composite);
        tension >= HAND_TIGHT && metal.map(|strand| strand.wire.tension * SLACK_SHARE).all(|least| tension >= least)
    }

    /// Sum of the strands' tension as set.
    pub fn set(&self) -> Force {
        self.strands.iter().map(|strand| strand.set).sum()
    }

    /// Sum of the strands' tension on the coldest day.
    pub fn cold(&self) -> Force {
        self.strands.iter().map(|strand| strand.cold).sum()
    }

    /// Height at which the strands together pull on the coldest day: `h = sum(T h) / sum(T)`; zero without strands.
    pub fn pull_height(&self) -> Length {
        let cold_n = self.cold().as_newtons();
        if cold_n <= 0.0 {
            return Length::ZERO;
        }
        let moment: f64 = self.strands.iter().map(|strand| strand.cold.as_newtons() * strand.height.as_metres()).sum();
        Length::metres(moment / cold_n)
    }
}

/// How a strand is strung.
struct Strung<'b> {
    build: &'b Build,
    season: &'b Season,
    longest_strain: Length,
}

impl Strung<'_> {
    /// What a change of temperature does to a strand, tightening for cooling, in newtons, a spring taking its part.
    fn tightening_n(&self, wire: &WireRow, cooling_k: f64) -> f64 {
        let Some(expansion) = wire.expansion_per_k else { return 0.0 };
        let (stiffness_n, strain_m) = (wire.stiffness.as_newtons(), self.longest_strain.as_metres());
        let with_spring = self.build.spring_n_per_m.filter(|_| strain_m > 0.0).and_then(|spring_n_per_m| {
            // Springs one behind the other give as one that is so much softer.
            let together_n_per_m = spring_n_per_m / f64::from(self.build.springs().max(1));
            tightening_with_spring_n(stiffness_n, expansion, cooling_k, strain_m, together_n_per_m).ok()
        });
        with_spring.unwrap_or_else(|| tightening_n(stiffness_n, expansion, cooling_k))
    }
}

fn hang<'a>(strand: &Strand, strung: &Strung, catalogue: &'a Catalogue) -> Result<HungStrand<'a>, HoldError> {
    let Strung { build, season, .. } = strung;
    let in_build = |range| HoldError::Range { build: build.id.clone(), range };
    let wire = wire(&strand.wire, catalogue)?;
    within("height of a strand in m", strand.height.as_metres(), &(0.0..=8.0)).map_err(in_build)?;
    let set_n = within("tension in N", build.tension.as_newtons(), &TENSION_N).map_err(in_build)?;
    let hung = HungWire {
        weight_n_per_m: wire.weight_n_per_m(),
        stiffness_n: wire.stiffness.as_newtons(),
        expansion_per_k: wire.expansion_per_k,
    };
    let warming_k = (season.hottest_c - season.set_c).max(0.0);
    let rigid_hot_n = tension_after_n(&hung, set_n, build.max_bay.as_metres(), warming_k).map_err(in_build)?;
    let hot_n = rigid_hot_n.max(set_n - strung.tightening_n(wire, warming_k));
    let cooling_k = (season.set_c - season.coldest_c).max(0.0);
    Ok(HungStrand {
        wire,
        height: strand.height,
        set: build.tension,
        cold: Force::newtons(set_n + strung.tightening_n(wire, cooling_k)),
        hot: Force::newtons(hot_n),
        slackest_kappa_per_m: kappa_per_m(hung.weight_n_per_m, Force::newtons(hot_n)),
    })
}

fn wire<'a>(id: &str, catalogue: &'a Catalogue) -> Result<&'a WireRow, HoldError> {
    catalogue.wire(id).ok_or_else(|| HoldError::NoSuchRow { what: "wire", id: id.to_owned() })
}

pub(super) fn post<'a>(id: &str, catalogue: &'a Catalogue) -> Result<&'a PostRow, HoldError> {
    catalogue.post(id).ok_or_else(|| HoldError::NoSuchRow { what: "post", id: id.to_owned() })
}
