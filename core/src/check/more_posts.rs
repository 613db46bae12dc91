//! The posts that would keep a stretch of line in its band, nearer to each other than anybody plans unasked.

use super::{Checked, CheckedLine};
use crate::finding::Remedy;
use crate::hold::spacing::{NO_DRILLING, Question, place_posts};
use crate::hold::{BARE_ROCK_M, Post, SAME_POST_M, Sample, clearance_error_m};
use crate::units::Length;

/// Posts nearer to each other than this are no fence any more, metres (`common-practice`).
const NEAREST_M: f64 = 0.4;

/// Posts at these stations keep the stretch between two posts in its band; `None` where not even that does, and where all of them stand already.
pub(super) fn more_posts(checked: &Checked, line: &CheckedLine, from: Length, until: Length) -> Option<Remedy> {
    let (specification, footings) = (line.specification?, checked.footings?);
    let within = |sample: &&Sample| (from.as_metres() - 1e-6..=until.as_metres() + 1e-6).contains(&sample.station_m);
    let ends = [line.section.sample_at_station(from.as_metres())?, line.section.sample_at_station(until.as_metres())?];
    let between = line.section.samples.iter().filter(within).copied();
    let mut samples: Vec<Sample> = std::iter::once(ends[0]).chain(between).chain([ends[1]]).collect();
    samples.dedup_by(|later, before| later.plan_m - before.plan_m < 1e-3);
    let plan_m: Vec<f64> = samples.iter().map(|sample| sample.plan_m).collect();
    let ground_m: Vec<Option<f64>> = samples.iter().map(|sample| sample.ground_m).collect();
    let costs: Vec<u32> = samples.iter().map(|sample| if footings.at(sample.at).keep_out { u32::MAX } else { 1000 }).collect();
    let unsure_m: Vec<f64> = samples.iter().map(|sample| clearance_error_m(sample.error_m)).collect();
    let placement = place_posts(&Question {
        plan_m: &plan_m,
        ground_m: &ground_m,
        forced: &[],
        openings: &[],
        cost: Some(&costs),
        offsets_m: NO_DRILLING,
        longest_bay_m: specification.longest_bay.as_metres(),
        shortest_bay_m: NEAREST_M,
        hanging: &specification.hanging,
        unsure_m: Some(&unsure_m),
        pegs: None,
    });
    let stands = |place: &usize| {
        let off = |post: &Post| (post.station.as_metres() - samples[*place].station_m).abs();
        line.hold.posts.iter().any(|post| off(post) < SAME_POST_M)
    };
    if !placement.out_of_band.is_empty() || inner(&placement.posts).iter().all(stands) {
        return None;
    }
    let is_rock =
        |place: &usize| footings.at(samples[*place].at).rock_depth.is_some_and(|depth| depth < Length::metres(BARE_ROCK_M));
    Some(Remedy::AddPosts {
        stations: placement.posts.iter().map(|place| Length::metres(samples[*place].station_m)).collect(),
        in_rock: placement.posts.iter().filter(|place| is_rock(place)).count(),
    })
}

/// What lies between the first and the last: these stand, or the stretch would not be one.
fn inner(places: &[usize]) -> &[usize] {
    places.get(1..places.len().saturating_sub(1)).unwrap_or_default()
}
