//! The checker: one file per rule, and the list of rules.

mod access;
mod area_per_head;
mod barbed;
mod bays;
mod behind;
mod beside;
mod boundary;
mod cold_wire;
mod corner_load;
mod crooked;
mod cross_slope;
mod descent;
mod dip;
mod earth;
mod earth_distance;
mod enclosed;
mod energizer_limit;
mod energizer_size;
mod erosion;
mod far_end;
mod flood;
mod gate;
mod grid_coarse;
mod grid_edge;
mod grid_unknown;
mod holds;
mod lay;
mod lead_out;
mod loose;
mod more_posts;
mod netting;
mod outgrown;
mod over_way;
mod overhead_line;
mod post_bending;
mod post_short;
mod public_way;
mod rise;
mod rock;
mod rooted_soil;
mod shade;
mod sight;
mod slope;
mod stream_buffer;
mod strike_wire;
mod strikes;
mod surroundings;
mod tension;
mod track_grade;
mod two_energizers;
mod unbraced;
mod unfed;
mod uplift;
mod water;
mod water_gap;
mod wet;

#[cfg(test)]
mod fixture;

pub use bays::hung_anew;
pub use behind::{BOUNDARY_WITHIN, Behind, ROADSIDE_WITHIN, line_animals};
pub use beside::animal_in;
pub use far_end::AT_EASE;
pub use holds::{HeldRow, held_rows};
pub use outgrown::{LOOK_AHEAD_DAYS, SOON_DAYS};
pub use rock::SHALLOW;
pub use strike_wire::weakest_breaks_from;
pub use surroundings::Surroundings;
pub use wet::PROBABLY_FROM;

use crate::catalogue::{Catalogue, Code};
use crate::finding::{Finding, KeepingRemedy, Place, Remedy, Rule};
use crate::hold::{Clearance, FootingMap, LineHold, Section, Specification};
use crate::land::{Frame, Ground, MapPoint};
use crate::plan::{Build, Feature, Kind, PaddockFace, Plan};
use crate::power::Power;
use crate::site::{HillRunners, LineReach, LineRuns, Reach, Water};
use crate::units::Length;
use jiff::civil::Date;

/// What the rules look at beside the line itself.
#[derive(Clone, Copy)]
pub struct Checked<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The catalogue.
    pub catalogue: &'a Catalogue,
    /// The working frame.
    pub frame: Frame,
    /// The ground as finely as it is known.
    pub ground: Option<&'a Ground>,
    /// The same ground on cells of about [`WORKING_CELL`].
    pub smooth_ground: Option<&'a Ground>,
    /// What posts stand in; `None` where the plan's soils cannot be looked up.
    pub footings: Option<&'a FootingMap<'a>>,
    /// Ways, overhead lines, gates and boundaries on the map.
    pub surroundings: &'a Surroundings,
    /// Tracks, walking times and the outlook from the tracks.
    pub reach: &'a Reach,
    /// What water does on the ground; `None` where that is not known.
    pub water: Option<&'a Water>,
    /// Animals that run down the hills; `None` where that is not known.
    pub runners: Option<&'a HillRunners>,
    /// The ground of every paddock, with the fences around it.
    pub paddocks: &'a [PaddockFace],
    /// What arrives of the pulse; `None` while lines are judged one by one.
    pub power: Option<&'a Power>,
    /// What every line is worth for the stock behind it; none while lines are judged one by one.
    pub held: &'a [HeldRow],
    /// The day for which growing stock is judged; without one nothing is said about it.
    pub on: Option<Date>,
}

/// One fence or lead-out, with what is known of it.
pub struct CheckedLine<'a> {
    /// The line.
    pub feature: &'a Feature,
    /// Its build, when it is a fence whose build exists.
    pub build: Option<&'a Build>,
    /// The same, looked up in the catalogue; also of a lead-out.
    pub specification: Option<&'a Specification<'a>>,
    /// The stock behind it.
    pub behind: &'a [Behind],
    /// The ground under it.
    pub section: &'a Section,
    /// Its posts, bays and strains.
    pub hold: &'a LineHold,
    /// How it is reached and seen; `None` without a track in the plan.
    pub reach: Option<&'a LineReach>,
    /// What runs down to it.
    pub runs: Option<&'a LineRuns>,
}

/// Cells on which running animals and slopes above a fence are judged: on finer ones roots and hollows would decide.
///
/// # Source
/// Key `descent-hypothesis`: on 2 m cells a fence seems to get half the strikes it gets on 10 m cells.
pub const WORKING_CELL: Length = Length::metres(10.0);

/// A rule about one line.
pub type LineRule = fn(&Checked, &CheckedLine) -> Vec<Finding>;

/// A rule about the plan as a whole.
pub type PlanRule = fn(&Checked) -> Vec<Finding>;

/// What a rule about a line looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// The line as it stands on its ground, its build, and what the head of the plan says: nothing else.
    AtTheLine,
    /// The course of the line over its ground, its build, and what lies and is drawn around it: not where its posts stand.
    AtTheCourse,
    /// Also at what is drawn around it, at the stock beside it, or at which other lines there are.
    Around,
}

/// The rules about lines, in the order in which findings of the same weight are listed.
pub const LINE_RULES: &[(Rule, Looks, LineRule)] = &[
    (Rule::PublicWay, Looks::AtTheCourse, public_way::check),
    (Rule::OverheadLine, Looks::AtTheCourse, overhead_line::check),
    (Rule::OverWay, Looks::AtTheCourse, over_way::check),
    (Rule::Boundary, Looks::AtTheCourse, boundary::check),
    (Rule::Barbed, Looks::AtTheCourse, barbed::check),
    (Rule::Gate, Looks::AtTheCourse, gate::check),
    (Rule::PostShort, Looks::Around, post_short::check),
    (Rule::Unbraced, Looks::AtTheLine, unbraced::check),
    (Rule::Crooked, Looks::AtTheLine, crooked::check),
    (Rule::CornerLoad, Looks::AtTheLine, corner_load::check),
    (Rule::PostBending, Looks::AtTheLine, post_bending::check),
    (Rule::Uplift, Looks::AtTheLine, uplift::check),
    (Rule::ColdWire, Looks::Around, cold_wire::check),
    (Rule::Dip, Looks::Around, dip::check),
    (Rule::Rise, Looks::Around, rise::check),
    (Rule::CrossSlope, Looks::Around, cross_slope::check),
    (Rule::RootedSoil, Looks::Around, rooted_soil::check),
    (Rule::Tension, Looks::Around, tension::check),
    (Rule::Strikes, Looks::AtTheLine, strikes::check),
    (Rule::StrikeWire, Looks::AtTheLine, strike_wire::check),
    (Rule::WaterGap, Looks::AtTheCourse, water_gap::check),
    (Rule::Flood, Looks::AtTheCourse, flood::check),
    (Rule::StreamBuffer, Looks::AtTheCourse, stream_buffer::check),
    (Rule::Rock, Looks::AtTheCourse, rock::check),
    (Rule::Wet, Looks::AtTheCourse, wet::check),
    (Rule::Access, Looks::AtTheCourse, access::check),
    (Rule::Sight, Looks::AtTheCourse, sight::check),
    (Rule::GridCoarse, Looks::AtTheLine, grid_coarse::check),
    (Rule::GridEdge, Looks::AtTheLine, grid_edge::check),
];

/// The rules about the plan as a whole.
pub const PLAN_RULES: &[(Rule, PlanRule)] = &[
    (Rule::TwoEnergizers, two_energizers::check),
    (Rule::EnergizerLimit, energizer_limit::check),
    (Rule::EarthDistance, earth_distance::check),
    (Rule::FarEnd, far_end::check),
    (Rule::Unfed, unfed::check),
    (Rule::Earth, earth::check),
    (Rule::LeadOut, lead_out::check),
    (Rule::EnergizerSize, energizer_size::check),
    (Rule::Enclosed, enclosed::check_plan),
    (Rule::Holds, holds::check_plan),
    (Rule::Outgrown, outgrown::check_plan),
    (Rule::Netting, netting::check_plan),
    (Rule::Loose, loose::check_plan),
    (Rule::Erosion, erosion::check_plan),
    (Rule::Slope, slope::check_plan),
    (Rule::Gate, gate::check_plan),
    (Rule::Water, water::check_plan),
    (Rule::AreaPerHead, area_per_head::check_plan),
    (Rule::Shade, shade::check_plan),
    (Rule::TrackGrade, track_grade::check_plan),
    (Rule::Access, access::check_plan),
    (Rule::GridEdge, grid_edge::check_plan),
    (Rule::GridUnknown, grid_unknown::check),
];

/// What the rules said about a line before, and what they looked at that has not changed since.
#[derive(Clone, Copy, Debug)]
pub struct Before<'a> {
    /// What they said.
    pub findings: &'a [Finding],
    /// What has not changed.
    pub still: &'a [Looks],
}

/// What the rules say about one line, unsorted. A line of less than two corners says nothing. Rules are not asked again where what they look at
/// is as it was `before`.
pub fn check_line(checked: &Checked, line: &CheckedLine, before: Option<Before>) -> Vec<Finding> {
    if line.section.samples.len() < 2 {
        return Vec::new();
    }
    let say = |(rule, looks, check): &(Rule, Looks, LineRule)| match before {
        Some(before) if before.still.contains(looks) => {
            before.findings.iter().filter(|found| found.rule == *rule).cloned().collect()
        }
        _ => check(checked, line),
    };
    LINE_RULES.iter().flat_map(say).collect()
}

/// What the rules say about the plan as a whole, unsorted.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    PLAN_RULES.iter().flat_map(|(_, rule)| rule(checked)).collect()
}

/// Brings findings into their order: the worst weight first, then by rule as listed in [`LINE_RULES`]; findings of one rule
/// stay in the order of the plan's lines and along each line.
pub fn sort(findings: &mut [Finding]) {
    let rank = |rule: Rule| LINE_RULES.iter().position(|(listed, ..)| *listed == rule).unwrap_or(LINE_RULES.len());
    findings.sort_by_key(|finding| (finding.weight, rank(finding.rule)));
}

/// What a line is among the others of its plan, as far as findings about it depend on that.
#[derive(Clone, Debug, PartialEq)]
pub struct LineRole {
    /// Whether it is the first one of its build: what is true of all of them is said there.
    pub speaks_for_build: bool,
    /// The stock behind it.
    behind: Vec<Behind>,
    /// What that asks of the room under its strands, as posts are placed; `None`: as is usual.
    pub clearance: Option<Clearance>,
}

impl LineRole {
    /// Whether a line is the first one of its build.
    fn speaks(checked: &Checked, line: &Feature) -> bool {
        let build = if let Kind::Fence(fence) = &line.kind { Some(&fence.build) } else { None };
        let has_build = |feature: &Feature| matches!(&feature.kind, Kind::Fence(fence) if Some(&fence.build) == build);
        let first = checked.plan.features.iter().find(|feature| has_build(feature));
        first.is_none_or(|first| first.id == line.id)
    }

    /// Of a line of the plan.
    pub fn of(checked: &Checked, line: &Feature) -> Self {
        let behind = behind::behind(checked, line);
        let clearance = behind::clearance(checked, line, &behind);
        Self { speaks_for_build: Self::speaks(checked, line), behind, clearance }
    }
}

fn speaks_for_build(checked: &Checked, line: &CheckedLine) -> bool {
    LineRole::speaks(checked, line.feature)
}

impl Checked<'_> {
    /// What law and standards ask where the plan is.
    fn code(&self) -> &'static Code {
        Code::of(self.plan.head.code.as_deref())
    }

    /// What can be done, and that the code that holds there has to be looked up.
    fn with_code(&self, remedies: Vec<KeepingRemedy>) -> Vec<Remedy> {
        let code = KeepingRemedy::LocalCode(self.code().label.clone());
        remedies.into_iter().chain([code]).map(Remedy::Keeping).collect()
    }

    /// A stretch of a line as the place of a finding, with the point to look at.
    fn stretch(&self, line: &CheckedLine, from_m: f64, until_m: f64, at: MapPoint) -> Place {
        Place {
            line: Some(line.feature.id.clone()),
            station: Some(Length::metres(from_m)),
            until: Some(Length::metres(until_m)),
            at: self.frame.to_position(at),
            cell: self.cell_at(at),
        }
    }

    /// A whole line as the place of a finding.
    fn whole(&self, line: &CheckedLine) -> Place {
        let at = line.section.samples[line.section.samples.len() / 2].at;
        let line = Some(line.feature.id.clone());
        Place { line, station: None, until: None, at: self.frame.to_position(at), cell: self.cell_at(at) }
    }

    /// Size of the cells that know the ground at a place.
    fn cell_at(&self, at: MapPoint) -> Option<Length> {
        self.ground.and_then(|ground| ground.cell_at(at))
    }

    /// A point of a line as the place of a finding.
    fn spot(&self, line: &CheckedLine, station_m: f64, at: MapPoint) -> Place {
        Place {
            line: Some(line.feature.id.clone()),
            station: Some(Length::metres(station_m)),
            until: None,
            at: self.frame.to_position(at),
            cell: self.cell_at(at),
        }
    }
}
