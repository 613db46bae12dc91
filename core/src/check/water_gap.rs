//! Water across a line: in a storm it takes out a fence that is not made for it, and a gap that hangs in the water drains the whole fence.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Lay, LayRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{Spot, pieces, runs, spot_at};
use crate::hold::{Sample, Section};
use crate::plan::{Kind, STORM_MM_PER_H};
use crate::site::{
    Crossed, CrossedStream, Culvert, GAP_FROM, LARGEST_CELL, RUN_OFF, SPATE_DEPTH, WATER_M_PER_S, peak_flow_m3_per_s,
};
use crate::source::SourceKey;
use crate::units::{Area, Length};

/// From this much ground on, or where a stream is drawn, a fence that is not made for the water will not stay.
///
/// # Source
/// Key `common-practice`: some 120 l/s in a hard storm.
pub const MEND_FROM: Area = Area::hectares(2.0);

/// What drifts on the water reaches a strand that hangs so much higher than the water stands.
///
/// # Source
/// Key `common-practice`, chosen here.
const DRIFT: Length = Length::metres(0.1);

/// Where more may come from beyond the known ground, so many times the known flow has to pass under the lowest strand.
///
/// # Source
/// Key `common-practice`, chosen here.
const BEYOND_TIMES: f64 = 2.0;

/// How far to each side of a crossing the ground is looked at, and where its lowest place is sought.
const AROUND: Length = Length::metres(15.0);
const BED: Length = Length::metres(4.0);

/// Deeper than this no strand is out of its reach.
const DEEPEST: Length = Length::metres(1.5);

/// Pieces in which the line is held against the water, metres.
const PIECE_M: f64 = 20.0;
/// Crossings within this many working cells of each other are one: the grid knows a channel no better.
const TOGETHER_CELLS: f64 = 2.0;

/// Every place where water crosses the fence.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let is_fence = matches!(line.feature.kind, Kind::Fence(_));
    let Some(water) = checked.water.filter(|_| is_fence) else { return Vec::new() };
    let mut crossed: Vec<(Spot, Crossed)> = Vec::new();
    for piece in pieces(line.section, PIECE_M) {
        for one in water.across(piece.from.at, piece.to.at) {
            let plan_m = piece.from.plan_m + one.along * (piece.to.plan_m - piece.from.plan_m);
            crossed.push((spot_at(line.section, plan_m), one));
        }
    }
    let tells =
        |(spot, one): &(Spot, Crossed)| one.stream.is_some() || checked.cell_at(spot.at).is_some_and(|cell| cell <= LARGEST_CELL);
    crossed.retain(tells);
    let together_m = TOGETHER_CELLS * water.grid().spacing().as_metres();
    let crossings = runs(crossed, |one: &(Spot, Crossed), next| next.0.plan_m - one.0.plan_m < together_m);
    crossings.iter().filter_map(|crossing| finding(checked, line, crossing)).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, crossing: &[(Spot, Crossed)]) -> Option<Finding> {
    let streams = || crossing.iter().filter_map(|(spot, one)| Some((spot, one.stream.as_ref()?)));
    if streams().any(|(_, stream)| stream.culvert == Culvert::Piped) {
        return None;
    }
    let areas = crossing.iter().filter_map(|(spot, one)| Some((spot, one.upslope?)));
    let most = areas.max_by(|one, other| one.1.as_square_metres().total_cmp(&other.1.as_square_metres()));
    let stream = streams().next();
    // Where a stream is drawn somebody has been there: its place counts before the grid's.
    let spot = stream.map(|(spot, _)| spot).or(most.map(|(spot, _)| spot))?;
    let upslope = most.map(|(_, area)| area);
    let storm_mm_per_h = checked.plan.head.season.storm_mm_per_h.unwrap_or(STORM_MM_PER_H);
    let from_beyond = crossing.iter().any(|(_, one)| one.from_beyond);
    let by_ground = upslope.map(|area| peak_flow_m3_per_s(RUN_OFF, storm_mm_per_h, area));
    let by_width = stream.and_then(|(_, stream)| spate(stream));
    let is_by_width = by_width.is_some_and(|(_, spate)| by_ground.is_none_or(|by_ground| by_ground < spate));
    let peak_m3_per_s = if is_by_width { by_width.map(|(_, spate)| spate) } else { by_ground };
    let opening = peak_m3_per_s.map(|peak| Area::square_metres(peak / WATER_M_PER_S));
    let lowest = line.specification.and_then(|specification| specification.strands.first()).map(|strand| strand.height);
    let passes_under = opening.zip(lowest).is_some_and(|(opening, lowest)| {
        let opening = opening * if from_beyond { BEYOND_TIMES } else { 1.0 };
        depth(line.section, spot.plan_m, opening).is_some_and(|depth| depth + DRIFT < lowest)
    });
    if stream.is_none() && passes_under {
        return None;
    }
    let must_mend = stream.is_some() || upslope.is_some_and(|area| area >= MEND_FROM);
    let remedies = [LayRemedy::Curtain { opening }, LayRemedy::BreakAway, LayRemedy::CrossElsewhere];
    Some(Finding {
        rule: Rule::WaterGap,
        weight: if must_mend { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, spot.station_m, spot.at),
        value: upslope.map_or(1.0, Area::as_hectares),
        limit: upslope.map(|_| GAP_FROM.as_hectares()),
        unit: if upslope.is_some() { Unit::Hectare } else { Unit::One },
        reason: Reason::Lay(Lay::WaterCrosses {
            upslope,
            stream: stream.map(|(_, stream)| stream.name.clone()),
            peak_l_per_s: peak_m3_per_s.map(|peak| 1000.0 * peak),
            storm_mm_per_h,
            by_width: by_width.filter(|_| is_by_width).map(|(width, _)| width),
            from_beyond,
        }),
        remedies: remedies.map(Remedy::Lay).to_vec(),
        source: SourceKey::new("rational-method"),
    })
}

/// How wide a drawn stream is, and what it carries in spate, m3/s.
fn spate(stream: &CrossedStream) -> Option<(Length, f64)> {
    let width = stream.width.filter(|width| *width > Length::ZERO)?;
    Some((width, width.as_metres() * SPATE_DEPTH.as_metres() * WATER_M_PER_S))
}

/// How deep water stands over the lowest place of a crossing when it fills so much room below a level line; `None` where the ground is not
/// known, or the room is not there within [`AROUND`].
fn depth(section: &Section, plan_m: f64, opening: Area) -> Option<Length> {
    let near = |most: Length| move |sample: &&Sample| (sample.plan_m - plan_m).abs() <= most.as_metres();
    let known = |sample: &Sample| Some((sample.plan_m, sample.ground_m?));
    let profile: Vec<(f64, f64)> = section.samples.iter().filter(near(AROUND)).map(known).collect::<Option<_>>()?;
    let bed = profile.iter().filter(|(at_m, _)| (at_m - plan_m).abs() <= BED.as_metres());
    let (bed_at_m, bed_m) = *bed.min_by(|one, other| one.1.total_cmp(&other.1))?;
    // Water stands from the bed as far as the ground stays below it.
    let room_m2 = |level_m: f64| -> f64 {
        let wet = |side: &mut dyn Iterator<Item = &(f64, f64)>| -> f64 {
            let below: Vec<_> = side.take_while(|(_, ground_m)| *ground_m < level_m).collect();
            below.windows(2).map(|two| (two[1].0 - two[0].0).abs() * (level_m - (two[0].1 + two[1].1) / 2.0)).sum()
        };
        let bed = profile.partition_point(|(at_m, _)| *at_m < bed_at_m);
        wet(&mut profile[bed..].iter()) + wet(&mut profile[..=bed].iter().rev())
    };
    let (mut low_m, mut high_m) = (0.0, DEEPEST.as_metres());
    if room_m2(bed_m + high_m) < opening.as_square_metres() {
        return None;
    }
    while high_m - low_m > 0.005 {
        let middle_m = (low_m + high_m) / 2.0;
        if room_m2(bed_m + middle_m) < opening.as_square_metres() { low_m = middle_m } else { high_m = middle_m }
    }
    Some(Length::metres(high_m))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::land::Ground;
    use crate::plan::Season;

    /// A valley that falls to the south with its bed along `east` = 3.
    fn valley() -> Ground {
        ground(400, 1.0, |east, north| 300.0 + 0.1 * north + 0.2 * (east - 3.0).abs())
    }

    fn stream(culvert: bool) -> Kind {
        Kind::Stream { width: None, seasonal: false, culvert }
    }

    #[test]
    fn a_fence_across_a_valley_is_told_once_with_its_ground_and_its_flow() {
        let found = Scene::on(valley()).fence(&[(-80.0, -100.0), (80.0, -100.0)]).say(Rule::WaterGap);
        assert_eq!(found.len(), 1, "{found:?}");
        // The valley is 400 m wide and reaches 300 m up from the fence; it falls to the bed at a slant, so some of its ground is below.
        assert!((8.0..12.1).contains(&found[0].value), "{}", found[0].value);
        assert_eq!(found[0].weight, Weight::MustFix);
        let station_m = found[0].place.station.expect("a place").as_metres();
        assert!((station_m - 83.0).abs() < 11.0, "{station_m}");
        let Reason::Lay(Lay::WaterCrosses { peak_l_per_s, .. }) = found[0].reason else { panic!("{found:?}") };
        // Q = 0.35 x 60 x A / 360 m3/s.
        assert!((peak_l_per_s.expect("known") - 1000.0 * 0.35 * 60.0 * found[0].value / 360.0).abs() < 1e-9);
    }

    #[test]
    fn the_flow_of_the_rational_method_is_that_of_its_worked_example() {
        assert!((peak_flow_m3_per_s(0.35, 60.0, Area::hectares(2.0)) - 0.1167).abs() < 0.5e-4);
        let twice = Season { storm_mm_per_h: Some(120.0), ..Season::default() };
        let peak = |scene: Scene| match scene.fence(&[(-80.0, -100.0), (80.0, -100.0)]).say(Rule::WaterGap)[0].reason {
            Reason::Lay(Lay::WaterCrosses { peak_l_per_s, .. }) => peak_l_per_s.expect("known"),
            _ => 0.0,
        };
        assert!((peak(Scene::on(valley()).through(twice)) / peak(Scene::on(valley())) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn streams_count_where_the_grid_shows_none_and_a_culvert_closes_the_gap() {
        let even = || ground(400, 1.0, |_, north| 300.0 + 0.2 * north);
        let fence = [(-80.0, -100.0), (80.0, -100.0)];
        let drawn = [(30.0, 50.0), (30.0, -150.0)];
        let said = |scene: Scene| -> Vec<(Weight, Option<String>)> {
            let found = scene.fence(&fence).say(Rule::WaterGap);
            found
                .into_iter()
                .map(|finding| match finding.reason {
                    Reason::Lay(Lay::WaterCrosses { stream, .. }) => (finding.weight, stream),
                    _ => (finding.weight, None),
                })
                .collect()
        };
        assert_eq!(said(Scene::on(even()).line(stream(false), &drawn)), [(Weight::MustFix, Some("f0".to_owned()))]);
        assert_eq!(said(Scene::on(even()).line(stream(true), &drawn)), []);
        assert_eq!(said(Scene::on(valley()).line(stream(true), &[(3.0, -90.0), (3.0, -110.0)])), []);
    }

    #[test]
    fn a_stream_that_is_drawn_wide_brings_what_its_width_says_where_the_grid_ends_above_it() {
        let fence = [(-80.0, -100.0), (80.0, -100.0)];
        let drawn = |width: Option<f64>| {
            let stream = Kind::Stream { width: width.map(Length::metres), seasonal: false, culvert: false };
            let found = Scene::on(valley()).line(stream, &[(3.0, 50.0), (3.0, -150.0)]).fence(&fence).say(Rule::WaterGap);
            assert_eq!((found.len(), found[0].weight), (1, Weight::MustFix));
            let Reason::Lay(Lay::WaterCrosses { peak_l_per_s, by_width, from_beyond, .. }) = found[0].reason else {
                panic!("{found:?}")
            };
            assert!(from_beyond, "the head of the valley is not on the grid");
            (peak_l_per_s.expect("known"), by_width.map(Length::as_metres))
        };
        // 4 m x 0.4 m at 1.5 m/s; half a metre brings less than the hectares above.
        let (peak_l_per_s, by_width) = drawn(Some(4.0));
        assert!((peak_l_per_s - 2400.0).abs() < 1e-6 && by_width == Some(4.0), "{peak_l_per_s} {by_width:?}");
        let by_ground = drawn(None);
        assert_eq!((drawn(Some(0.5)), by_ground.1), (by_ground, None));
        // A hollow whose head lies on the grid brings all that there is.
        let closed = |east: f64, north: f64| {
            300.0 + (0.1 * north + 0.2 * (east - 3.0).abs()).min(100.0 - 0.5 * north).min(95.0 - 0.5 * east.abs())
        };
        let closed = ground(400, 1.0, closed);
        let found = Scene::on(closed).fence(&fence).say(Rule::WaterGap);
        assert!(matches!(found[0].reason, Reason::Lay(Lay::WaterCrosses { from_beyond: false, .. })), "{found:?}");
    }

    #[test]
    fn nothing_gathers_on_a_plane_and_water_that_passes_under_the_lowest_strand_is_left_alone() {
        let fence = [(-80.0, -100.0), (80.0, -100.0)];
        for fall in [0.01, 0.02, 0.03, 0.05, 0.1] {
            let plane = ground(400, 1.0, |east, north| 300.0 + fall * north + 0.37 * fall * east);
            assert_eq!(Scene::on(plane).fence(&fence).say(Rule::WaterGap), [], "{fall}");
        }
        // Eight hectares bring 0.47 m3/s, 0.31 m2, and twice that passes, for the head of the valley is not on the grid: in a bed of 1 m with
        // sides of one in five 0.62 m2 stand 0.27 m deep.
        let at = |height_m: f64| Scene::on(valley()).fence(&fence).with_strands(&[height_m, 1.1]).say(Rule::WaterGap).len();
        assert_eq!([at(0.3), at(0.36), at(0.4), at(0.6)], [1, 1, 0, 0]);
    }

    #[test]
    fn water_is_not_told_from_cells_of_thirty_metres() {
        let coarse = ground(40, 30.0, |east, north| 300.0 + 0.1 * north + 0.2 * (east - 3.0).abs());
        assert_eq!(Scene::on(coarse).fence(&[(-80.0, -100.0), (80.0, -100.0)]).say(Rule::WaterGap), []);
    }
}
