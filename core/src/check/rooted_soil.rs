//! Soil that pigs root up, leaves and snow against the lowest strands: they leak, and what leaks does not bite.

use super::bays::no_worse_for;
use super::behind::line_animals;
use super::grid_coarse::tells_gaps;
use super::{Checked, CheckedLine, hung_anew};
use crate::finding::{Cover, Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::Bay;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::stock::{Limits, lowest_for};
use crate::units::Length;

/// How high pigs root soil and leaves up along a fence in two or three weeks.
///
/// # Source
/// Key `common-practice`: nobody seems to have measured it.
pub const ROOTED: Length = Length::metres(0.05);
/// Air that must stay between the ground and a live strand.
///
/// # Source
/// Key `common-practice`.
pub const AIR: Length = Length::metres(0.03);

/// What lies against a line, said once for each: soil and leaves where they come too near, snow where it reaches a strand.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    soil(checked, line).into_iter().chain(snow(checked, line)).collect()
}

fn soil(checked: &Checked, line: &CheckedLine) -> Option<Finding> {
    let build = line.build?;
    let lowest = build.strands.first().filter(|strand| strand.live)?;
    let has_pigs = line_animals(checked, line.feature).any(|animal| animal.species == "pig");
    let cover = checked.plan.head.season.build_up.or(has_pigs.then_some(ROOTED))?;
    // Where the grid tells nothing between posts, the height at the posts is all there is.
    let gap = |bay: &Bay| {
        bay.strands.first().filter(|_| tells_gaps(checked, line.section, build, bay)).map_or(lowest.height, |gap| gap.lowest_gap)
    };
    let near: Vec<&Bay> = line.hold.bays.iter().filter(|bay| bay.gate.is_none() && gap(bay) < cover + AIR).collect();
    let worst = near.iter().min_by(|one, other| gap(one).as_metres().total_cmp(&gap(other).as_metres()))?;
    let over: Length = near.iter().map(|bay| bay.to - bay.from).sum();
    let needed = lowest.height + (cover + AIR - gap(worst));
    Some(Finding {
        rule: Rule::RootedSoil,
        weight: if gap(worst) < cover { Weight::LookAt } else { Weight::Note },
        place: stretch(checked, line, worst),
        value: gap(worst).as_metres(),
        limit: Some((cover + AIR).as_metres()),
        unit: Unit::Metre,
        reason: Reason::Buried { by: Cover::Soil, cover, over, strands: 1 },
        remedies: [Remedy::Rake].into_iter().chain(raised(checked, line, build, up_to_a_centimetre(needed))).collect(),
        source: SourceKey::new("common-practice"),
    })
}

/// The lowest strand hung higher, no higher than is fine for everybody behind the line: what another rule would want lower again is no mend.
fn raised(checked: &Checked, line: &CheckedLine, build: &Build, to: Length) -> Option<Remedy> {
    let limits: Vec<Limits> = line.behind.iter().filter_map(|behind| behind.limits(checked.catalogue)).collect();
    let is_fine = limits.is_empty() || lowest_for(&limits).is_some_and(|most_m| to.as_metres() <= most_m + 1e-9);
    let remedy = Remedy::RaiseLowest { to };
    let mut changed = build.clone();
    hung_anew(&mut changed, &remedy)?;
    let holds = line.behind.iter().all(|behind| no_worse_for(checked, behind, build, &changed));
    (is_fine && holds).then_some(remedy)
}

fn up_to_a_centimetre(length: Length) -> Length {
    Length::metres((length.as_metres() * 100.0 - 1e-6).ceil() / 100.0)
}

fn snow(checked: &Checked, line: &CheckedLine) -> Option<Finding> {
    let (build, snow) = (line.build?, checked.plan.head.season.snow);
    let strands = build.strands.iter().filter(|strand| strand.live && strand.height < snow + AIR).count();
    let (first, last) = (line.section.samples.first()?, line.section.samples.last()?);
    (snow > Length::ZERO && strands > 0).then(|| Finding {
        rule: Rule::RootedSoil,
        weight: Weight::Note,
        place: checked.whole(line),
        value: snow.as_metres(),
        limit: build.strands.first().map(|strand| (strand.height - AIR).as_metres()),
        unit: Unit::Metre,
        reason: Reason::Buried { by: Cover::Snow, cover: snow, over: Length::metres(last.station_m - first.station_m), strands },
        remedies: vec![Remedy::SwitchOff { strands }],
        source: SourceKey::new("nrcs-maine-fence-2014"),
    })
}

fn stretch(checked: &Checked, line: &CheckedLine, bay: &Bay) -> Place {
    let middle = (bay.from + bay.to) * 0.5;
    checked.stretch(line, bay.from.as_metres(), bay.to.as_metres(), super::dip::spot_at_station(line.section, middle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::Season;

    #[test]
    fn soil_and_snow_are_said_where_they_reach_the_strands() {
        let said = |season: Season, lowest: (f64, f64)| -> Vec<(Cover, Weight)> {
            let scene = Scene::on(flat()).fence(&[(0.0, 0.0), (16.0, 0.0)]).through(season);
            let found = scene.bay(0.0, 8.0, [lowest, (0.40, 0.50)]).say(Rule::RootedSoil);
            let one = |finding: &Finding| {
                let Reason::Buried { by, .. } = finding.reason else { panic!("{finding:?}") };
                (by, finding.weight)
            };
            found.iter().map(one).collect()
        };
        let (fine, low) = ((0.18, 0.22), (0.06, 0.22));
        let soil = |metres: f64| Season { build_up: Some(Length::metres(metres)), ..Season::default() };
        let snow = |metres: f64| Season { snow: Length::metres(metres), ..Season::default() };
        assert_eq!(said(Season::default(), low), [], "nothing builds up where no pig roots");
        assert_eq!(said(soil(0.05), fine), []);
        assert_eq!(said(soil(0.05), low), [(Cover::Soil, Weight::Note)]);
        assert_eq!(said(soil(0.10), low), [(Cover::Soil, Weight::LookAt)]);
        assert_eq!(said(snow(0.10), fine), []);
        assert_eq!(said(snow(0.30), fine), [(Cover::Snow, Weight::Note)]);
    }
}
