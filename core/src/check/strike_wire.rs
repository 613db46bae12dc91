//! What an animal that comes down a steep slope does to the strands at its foot.
//!
//! How fast animals come down is known to a factor of two, and how much of their energy the strands get to a factor of five: the rule
//! compares wires, strains and springs with each other, it does not foretell damage.

use super::descent::Stretch;
use super::strikes::stretches;
use super::{Checked, CheckedLine};
use crate::catalogue::WireRow;
use crate::finding::{Finding, NewSprings, Reason, Remedy, Rule, StrikeOutcome, Unit, Weight};
use crate::hold::impact::{Springs, TautWire};
use crate::hold::{Bay, HungStrand, LineHold, Specification, Strain, StrikeVerdict, StruckStrand};
use crate::source::SourceKey;
use crate::units::{Force, Length};

/// Mass of the animal that is reckoned with, kg: a deer (`common-practice`).
pub const DEER_KG: f64 = 60.0;
/// Its likely speed down a steep wooded slope, m/s (`common-practice`: 4 to 8).
pub const LIKELY_M_PER_S: f64 = 6.0;
/// Its speed in flight, m/s (`common-practice`: 10 to 13).
pub const FLIGHT_M_PER_S: f64 = 10.0;
/// How far a usual spring gives beyond the set tension, m (`common-practice`: 0.15 to 0.25).
pub const SPRING_TRAVEL_M: f64 = 0.2;
/// Rate of a usual spring, N/m (`common-practice`: 2500 to 5000).
pub const SPRING_N_PER_M: f64 = 5000.0;
/// A remedy that raises the speed by less than this share is none.
const WORTH_SHARE: f64 = 1.05;
/// Bays that differ by less than this stand for each other, metres: the speed at which a strand breaks changes by one per cent or two, and how fast
/// animals come is known to a factor of two.
const ALIKE_M: f64 = 0.25;
/// A cure ends it where strands then break from so many times the speed on at which they broke (`common-practice`).
const CLEAR_SHARE: f64 = 1.05;

/// One finding for each stretch at the foot of a slope whose strands break, or come off, at a speed that is to be reckoned with.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(specification) = line.specification else { return Vec::new() };
    stretches(checked, line).iter().filter_map(|stretch| judge(checked, line, specification, stretch)).collect()
}

/// Whether a strand of a stretch breaks at a speed.
pub(super) fn breaks_at(speed_m_per_s: f64, line: &CheckedLine, stretch: &Stretch) -> bool {
    let Some(specification) = line.specification else { return false };
    let from = hits(line, specification, stretch).into_iter().filter_map(|hit| hit.breaks_from().flatten());
    from.reduce(f64::min).is_some_and(|from| from <= speed_m_per_s)
}

/// The speed from which on the weakest strand of a line breaks in its weakest bay, m/s: infinite where none breaks at any speed that is reckoned
/// with; `None` where that is not known of any strand.
pub fn weakest_breaks_from(specification: &Specification, hold: &LineHold) -> Option<f64> {
    let hits = hits_of(hold, specification, |_| true);
    hits.iter().filter_map(|hit| Some(hit.breaks_from()?.unwrap_or(f64::INFINITY))).reduce(f64::min)
}

/// A strand in one bay, with what it hangs on.
#[derive(Clone, Copy)]
struct Hit<'a> {
    wire: &'a WireRow,
    strain_length: Length,
    struck: StruckStrand,
}

impl Hit<'_> {
    fn verdict(&self, speed_m_per_s: f64) -> Option<StrikeVerdict> {
        self.struck.verdict(DEER_KG, speed_m_per_s).ok()
    }
    fn breaks_from(&self) -> Option<Option<f64>> {
        self.struck.breaks_from(DEER_KG).ok()
    }
    fn is_like(&self, other: &Self) -> bool {
        let is_near = (self.struck.bay_m - other.struck.bay_m).abs() < ALIKE_M;
        let in_its_bay = StruckStrand { bay_m: other.struck.bay_m, ..self.struck };
        std::ptr::eq(self.wire, other.wire) && self.strain_length == other.strain_length && is_near && in_its_bay == other.struck
    }
    /// The same place with another wire, and with springs.
    fn with(&self, wire: Option<&WireRow>, new: Option<NewSprings>) -> Self {
        let mut struck = self.struck;
        if let Some(wire) = wire {
            struck.strain.stiffness_n = wire.stiffness.as_newtons();
            (struck.breaking_n, struck.joint_share) = (wire.breaking.as_newtons(), wire.joint_share);
        }
        if let Some(NewSprings { rate_n_per_m, at_both_ends }) = new {
            struck.strain = struck.strain.with_springs(springs(rate_n_per_m, if at_both_ends { 2 } else { 1 }));
        }
        Self { struck, ..*self }
    }
}

/// How strands of a stretch do at a likely speed and in flight.
struct Judged {
    likely: StrikeVerdict,
    flight: StrikeVerdict,
    weight: Option<Weight>,
}

/// The strand that breaks at the lowest speed decides; `None` without one that can be judged.
fn judged<'a, 'b>(hits: impl Iterator<Item = &'b Hit<'a>>) -> Option<(&'b Hit<'a>, Judged)>
where
    'a: 'b,
{
    let speeds = hits.map(|hit| (hit, hit.breaks_from().flatten().unwrap_or(f64::INFINITY)));
    let (weakest, _) = speeds.min_by(|one, other| one.1.total_cmp(&other.1))?;
    let (likely, flight) = (weakest.verdict(LIKELY_M_PER_S)?, weakest.verdict(FLIGHT_M_PER_S)?);
    let weight = match (likely.outcome, flight.outcome) {
        (StrikeOutcome::Breaks, _) => Some(Weight::LookAt),
        (StrikeOutcome::InsulatorsRelease, _) | (_, StrikeOutcome::Breaks) => Some(Weight::Note),
        _ => None,
    };
    Some((weakest, Judged { likely, flight, weight }))
}

fn judge(checked: &Checked, line: &CheckedLine, specification: &Specification, stretch: &Stretch) -> Option<Finding> {
    let hits = hits(line, specification, stretch);
    let (weakest, Judged { likely, flight, weight }) = judged(hits.iter())?;
    let weight = weight?;
    let against = if likely.outcome == StrikeOutcome::Holds { FLIGHT_M_PER_S } else { LIKELY_M_PER_S };
    // Where it does not break, what matters is from when on it comes off.
    let begins = if flight.outcome == StrikeOutcome::Breaks { likely.breaks_from_m_per_s } else { likely.releases_from_m_per_s };
    Some(Finding {
        rule: Rule::StrikeWire,
        weight,
        place: checked.stretch(line, stretch.from_m, stretch.until_m, stretch.at),
        value: begins?,
        limit: Some(against),
        unit: Unit::MetrePerSecond,
        reason: Reason::Struck {
            mass_kg: DEER_KG,
            likely: (LIKELY_M_PER_S, likely.outcome),
            flight: (FLIGHT_M_PER_S, flight.outcome),
            releases_from_m_per_s: likely.releases_from_m_per_s,
            breaks_from_m_per_s: likely.breaks_from_m_per_s,
            wire: weakest.wire.id.clone(),
            strain: weakest.strain_length,
        },
        remedies: remedies(checked, (line, stretch), &hits, &likely, weight),
        source: SourceKey::new("strike-dynamics-trial"),
    })
}

/// The strands of a stretch bay by bay; those alike stand for each other.
fn hits<'a>(line: &CheckedLine, specification: &'a Specification, stretch: &Stretch) -> Vec<Hit<'a>> {
    hits_of(line.hold, specification, |bay| is_within(bay, stretch))
}

fn hits_of<'a>(hold: &LineHold, specification: &'a Specification, is_meant: impl Fn(&Bay) -> bool) -> Vec<Hit<'a>> {
    let mut hits: Vec<Hit> = Vec::new();
    for bay in hold.bays.iter().filter(|bay| bay.gate.is_none() && is_meant(bay)) {
        let Some(strain) = strain_of(&hold.strains, bay) else { continue };
        for hit in specification.strands.iter().filter_map(|strand| hit(specification, strand, strain, bay)) {
            if !hits.iter().any(|known| known.is_like(&hit)) {
                hits.push(hit);
            }
        }
    }
    hits
}

fn is_within(bay: &Bay, stretch: &Stretch) -> bool {
    bay.from.as_metres() < stretch.until_m && bay.to.as_metres() > stretch.from_m
}

/// The strain that a bay is part of; one strain of a closed line may pass its start.
fn strain_of<'a>(strains: &'a [Strain], bay: &Bay) -> Option<&'a Strain> {
    let middle = (bay.from + bay.to) / 2.0;
    strains.iter().find(|strain| strain.contains(middle))
}

fn hit<'a>(specification: &Specification, strand: &HungStrand<'a>, strain: &Strain, bay: &Bay) -> Option<Hit<'a>> {
    let wire = strand.wire;
    let rate_n_per_m = specification.spring_n_per_m.unwrap_or(SPRING_N_PER_M);
    let taut = TautWire::of(wire, strain.strand.as_metres(), strand.set.as_newtons())?;
    let struck = StruckStrand {
        strain: if strain.springs > 0 { taut.with_springs(springs(rate_n_per_m, strain.springs)) } else { taut },
        bay_m: (bay.to - bay.from).as_metres(),
        pull_n: specification.pull_off.map(Force::as_newtons),
        breaking_n: wire.breaking.as_newtons(),
        joint_share: wire.joint_share,
    };
    Some(Hit { wire, strain_length: strain.strand, struck })
}

fn springs(rate_n_per_m: f64, count: u32) -> Springs {
    Springs { count, rate_n_per_m, travel_m: Some(SPRING_TRAVEL_M) }
}

/// What would help, and whether it ends what was found: the strands no longer break where they did, or nothing is left to say.
struct Helps {
    breaks_from_m_per_s: Option<f64>,
    ends: bool,
}

/// Springs and stronger wires, and both together where neither alone ends it; what ends it comes first. Where nothing does, that is said.
fn remedies(
    checked: &Checked,
    (line, stretch): (&CheckedLine, &Stretch),
    hits: &[Hit],
    likely: &StrikeVerdict,
    weight: Weight,
) -> Vec<Remedy> {
    let now = likely.breaks_from_m_per_s;
    let with = |wire: Option<&WireRow>, new: Option<NewSprings>| -> Option<Helps> {
        let changed: Vec<Hit> = hits.iter().map(|hit| hit.with(wire, new)).collect();
        let (_, then) = judged(changed.iter())?;
        let breaks_from_m_per_s = then.likely.breaks_from_m_per_s;
        let is_worth = now.is_some_and(|now| breaks_from_m_per_s.is_none_or(|then| then > WORTH_SHARE * now));
        // With springs and other wires posts and strains come to stand a little elsewhere: what only just does is not offered as the cure.
        let found_at = if weight == Weight::Note { FLIGHT_M_PER_S } else { LIKELY_M_PER_S };
        let is_clear = breaks_from_m_per_s.is_none_or(|then| then >= found_at * CLEAR_SHARE);
        let ends = is_clear && then.weight.is_none_or(|then| then > weight);
        (is_worth || ends).then_some(Helps { breaks_from_m_per_s, ends })
    };
    let springs = new_springs(line, hits);
    let add = |new: &NewSprings| {
        let Helps { breaks_from_m_per_s, ends } = with(None, Some(*new))?;
        Some(Remedy::AddSprings { springs: *new, at: stations_in(line, stretch, new.at_both_ends), breaks_from_m_per_s, ends })
    };
    let wires = stronger_wires(checked, hits);
    let other = |new: Option<NewSprings>| {
        let tried = || wires.iter().filter_map(|wire| Some((*wire, with(Some(wire), new)?)));
        let (wire, helps) = tried().find(|(_, helps)| helps.ends).or_else(|| tried().next_back())?;
        let breaks_from_m_per_s = helps.breaks_from_m_per_s;
        Some(Remedy::OtherWire { wire: wire.id.clone(), springs: new, breaks_from_m_per_s, ends: helps.ends })
    };
    let mut all: Vec<Remedy> = fewest_that_end(springs.iter().filter_map(add)).into_iter().chain(other(None)).collect();
    if !all.iter().any(ends) {
        all.extend(springs.iter().filter_map(|new| other(Some(*new))).find(ends));
    }
    all.sort_by_key(|remedy| !ends(remedy));
    if !all.iter().any(ends) {
        all.push(Remedy::NoWireEndsIt);
    }
    all.into_iter().chain(likely.releases_from_m_per_s.map(|_| Remedy::SpareInsulators)).collect()
}

/// Springs that a fence without any may get: one in each strand, then one at both ends.
fn new_springs(line: &CheckedLine, hits: &[Hit]) -> Vec<NewSprings> {
    let has_springs = hits.iter().any(|hit| hit.struck.strain.springs.is_some());
    if has_springs || line.build.is_none() {
        return Vec::new();
    }
    [false, true].map(|at_both_ends| NewSprings { rate_n_per_m: SPRING_N_PER_M, at_both_ends }).to_vec()
}

/// A station in each strain that is hit for each of its new springs: a quarter of the way along it, and three quarters, so that it stays in that strain
/// when posts move.
fn stations_in(line: &CheckedLine, stretch: &Stretch, at_both_ends: bool) -> Vec<Length> {
    let bays = || line.hold.bays.iter().filter(|bay| bay.gate.is_none() && is_within(bay, stretch));
    let is_struck = |strain: &&Strain| bays().any(|bay| strain.contains((bay.from + bay.to) / 2.0));
    let around_m = line.section.samples.last().map_or(0.0, |sample| sample.station_m);
    let of = |strain: &Strain| {
        let (from_m, to_m) = (strain.from.as_metres(), strain.to.as_metres());
        let long_m = if to_m > from_m { to_m - from_m } else { to_m + around_m - from_m };
        let shares: &[f64] = if at_both_ends { &[0.25, 0.75] } else { &[0.25] };
        let station_m = |share: &f64| (from_m + share * long_m).rem_euclid(around_m.max(from_m + 1.0));
        shares.iter().map(|share| Length::metres(station_m(share).round())).collect::<Vec<_>>()
    };
    line.hold.strains.iter().filter(is_struck).flat_map(of).collect()
}

/// The first that ends it, else the last.
fn fewest_that_end(remedies: impl Iterator<Item = Remedy>) -> Option<Remedy> {
    let all: Vec<Remedy> = remedies.collect();
    all.iter().find(|remedy| ends(remedy)).or(all.last()).cloned()
}

fn ends(remedy: &Remedy) -> bool {
    matches!(remedy, Remedy::AddSprings { ends: true, .. } | Remedy::OtherWire { ends: true, .. })
}

/// High-tensile wires of the catalogue that are stronger at their joints than what hangs there, the weakest first.
fn stronger_wires<'a>(checked: &Checked<'a>, hits: &[Hit]) -> Vec<&'a WireRow> {
    let strength_n = |wire: &WireRow| wire.breaking.as_newtons() * wire.joint_share;
    let now_n = hits.iter().map(|hit| strength_n(hit.wire)).fold(0.0, f64::max);
    let mut wires: Vec<&WireRow> = checked
        .catalogue
        .wires
        .iter()
        .filter(|wire| !wire.is_barbed && wire.is_high_tensile() && strength_n(wire) > now_n)
        .collect();
    wires.sort_by(|one, other| strength_n(one).total_cmp(&strength_n(other)));
    wires
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::land::Ground;

    /// Flat in the south, rising towards the north.
    fn foot_of(slope: f64) -> Ground {
        ground(400, 1.0, move |_, north| 100.0 + (slope * (north - 5.0)).clamp(0.0, 40.0))
    }

    /// What is said of a fence of this length at the foot of a slope, with bays of 8 m in its middle.
    fn said(slope: f64, length_m: f64) -> Vec<Finding> {
        let middle_m = length_m / 2.0;
        let gaps = [(0.2, 0.2), (0.45, 0.45)];
        Scene::on(foot_of(slope))
            .fence(&[(-middle_m, 0.0), (middle_m, 0.0)])
            .bay(middle_m - 8.0, middle_m, gaps)
            .bay(middle_m, middle_m + 8.0, gaps)
            .say(Rule::StrikeWire)
    }

    fn breaks_from(finding: &Finding) -> f64 {
        let Reason::Struck { breaks_from_m_per_s, .. } = finding.reason else { panic!("{finding:?}") };
        breaks_from_m_per_s.expect("a deer breaks any wire below 20 m/s")
    }

    #[test]
    fn strands_at_the_foot_of_a_slope_are_judged_and_others_are_not() {
        for (slope, length_m, expected) in [(0.6, 200.0, 1), (0.0, 200.0, 0), (0.3, 200.0, 0)] {
            assert_eq!(said(slope, length_m).len(), expected, "{slope} {length_m}");
        }
    }

    #[test]
    fn the_finding_carries_what_the_formulas_say_of_its_bay() {
        let found = &said(0.6, 200.0)[0];
        let wire = crate::catalogue::Catalogue::built_in().wire("ht-14ga").expect("listed");
        let clip = crate::catalogue::Catalogue::built_in().insulator("t-post-clip").expect("listed");
        let struck = StruckStrand::of(wire, clip, 200.0, 450.0, 8.0).expect("a metal wire");
        let (likely, flight) = (struck.verdict(60.0, 6.0).expect("in range"), struck.verdict(60.0, 10.0).expect("in range"));
        let Reason::Struck { likely: says_likely, flight: says_flight, releases_from_m_per_s, strain, .. } = &found.reason else {
            panic!("{found:?}")
        };
        assert_eq!((says_likely.1, says_flight.1), (likely.outcome, flight.outcome));
        let off = |found: Option<f64>, by_hand: Option<f64>| (found.expect("some") - by_hand.expect("some")).abs();
        assert!(off(*releases_from_m_per_s, likely.releases_from_m_per_s) < 0.01);
        assert!(
            (strain.as_metres() - 200.0).abs() < 0.1 && (found.place.until.expect("a stretch").as_metres() - 200.0).abs() < 1.0
        );
        assert!((breaks_from(found) - likely.breaks_from_m_per_s.expect("breaks")).abs() < 0.01);
    }

    #[test]
    fn a_short_strain_breaks_at_a_lower_speed_and_springs_help_it_most() {
        let [short, long] = [60.0, 300.0].map(|length_m| said(0.6, length_m).remove(0));
        assert!(breaks_from(&short) < breaks_from(&long));
        let gain = |finding: &Finding| {
            let sprung = finding.remedies.iter().find_map(|remedy| match remedy {
                Remedy::AddSprings { breaks_from_m_per_s, .. } => Some(breaks_from_m_per_s.expect("below 20 m/s")),
                _ => None,
            });
            sprung.map_or(1.0, |sprung| sprung / breaks_from(finding))
        };
        assert!(gain(&short) > gain(&long) && gain(&short) > 1.05, "{} {}", gain(&short), gain(&long));
    }

    #[test]
    fn a_wire_that_stops_the_deer_is_offered_as_a_mend_and_where_none_does_that_is_said() {
        let gaps = [(0.2, 0.2), (0.45, 0.45)];
        let on = |wire: &'static str| {
            let scene = Scene::on(foot_of(0.6)).with_wire(wire).fence(&[(-100.0, 0.0), (100.0, 0.0)]);
            scene.bay(92.0, 100.0, gaps).bay(100.0, 108.0, gaps).say(Rule::StrikeWire).remove(0)
        };
        // Soft wire breaks at a likely speed already; high-tensile wire does not.
        let soft = on("soft-17ga");
        assert_eq!(soft.weight, Weight::LookAt, "{soft:?}");
        let Some(Remedy::OtherWire { wire, breaks_from_m_per_s, ends: true, .. }) = soft.remedies.first() else {
            panic!("{:?}", soft.remedies)
        };
        assert!(breaks_from_m_per_s.is_none_or(|from| from > LIKELY_M_PER_S));
        assert!(crate::catalogue::Catalogue::built_in().wire(wire).expect("listed").is_high_tensile());
        assert!(!soft.remedies.contains(&Remedy::NoWireEndsIt));
        // The strongest wire still comes off its insulators: nothing to hang ends that.
        let hard = on("ht-12.5ga");
        assert_eq!(hard.weight, Weight::Note, "{hard:?}");
        assert!(hard.remedies.contains(&Remedy::NoWireEndsIt) && !hard.remedies.iter().any(ends), "{:?}", hard.remedies);
    }

    #[test]
    fn a_strain_that_passes_the_start_of_a_closed_line_is_found_on_both_sides() {
        let strain = |from_m: f64, to_m: f64| Strain {
            from: Length::metres(from_m),
            to: Length::metres(to_m),
            turned_rad: 0.0,
            strand: Length::metres(100.0),
            strainer: Length::ZERO,
            springs: 0,
            slackest_share: 1.0,
            slackest_at: Length::ZERO,
            share_from_middle: 1.0,
        };
        let strains = [strain(50.0, 250.0), strain(250.0, 50.0)];
        let bay = |from_m: f64| Bay {
            from: Length::metres(from_m),
            to: Length::metres(from_m + 8.0),
            strands: Vec::new(),
            gate: None,
            tension_share: 1.0,
            error: Length::ZERO,
            cross_slope: None,
        };
        for (from_m, index) in [(100.0, 0), (10.0, 1), (280.0, 1)] {
            assert!(std::ptr::eq(strain_of(&strains, &bay(from_m)).expect("found"), &strains[index]), "{from_m}");
        }
    }
}
