//! `hillwire section`: the long section of one line.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::outputs::{CSV, Outputs, PNG, SVG, Writing};
use super::section_track;
use super::table::{Side, cautions, paragraph, table};
use crate::files::{Waiting, png_of};
use crate::words::{self, cautions::Place};
use clap::Args;
use hillwire_core::hold::{Bay, Post, Sample, Strain, StrandGap};
use hillwire_core::job::Job;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::UnitSystem;
use hillwire_core::share::{CsvTable, section_svg};
use hillwire_core::site::JudgedTrack;
use hillwire_core::units::{Force, Length};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;

/// Ground, posts, and the gap under every strand, along one line; along a track the ground, its grade and how it leans across.
#[derive(Args)]
#[command(
    after_help = "Example:\n  hillwire section my-farm.plan.geojson --line north --csv north.csv --svg north.svg --png north.png"
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Id of the line or of the track
    #[arg(long, value_name = "ID")]
    line: String,
    /// Write ground and posts as a table for spreadsheets
    #[arg(long, value_name = "F.csv")]
    csv: Option<PathBuf>,
    /// Write the long section as a drawing
    #[arg(long, value_name = "F.svg")]
    svg: Option<PathBuf>,
    /// Write the long section as a picture
    #[arg(long, value_name = "F.png")]
    png: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

/// Prints the long section of a line.
///
/// # Errors
/// When a file cannot be used, or the plan has no such line.
pub fn section(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.csv.as_ref(), CSV).file(options.svg.as_ref(), SVG);
    let opened = options.plan.open_to_write(&outputs.file(options.png.as_ref(), PNG), None, job)?;
    if let Some(track) = section_track::found(&opened, &options.line).cloned() {
        return of_track(options, opened, &track);
    }
    let line = opened
        .outcome
        .lines
        .iter()
        .find(|line| line.id.as_str() == options.line)
        .ok_or_else(|| no_such_line(options, &opened))?;
    let mut answer =
        if options.plan.json { Answer::json(&as_json(&opened, line)) } else { Answer::text(as_table(&opened, line)) };
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &as_csv(&opened, line))?);
    }
    answer.outputs.extend(pictures(options, &opened, line)?);
    answer.notes = opened.notes;
    Ok(answer)
}

/// The long section of a track: no strands hang along it, so it is not drawn as a picture.
fn of_track(options: &Options, opened: Opened, track: &JudgedTrack) -> Result<Answer, Stop> {
    if options.svg.is_some() || options.png.is_some() {
        let plan = options.plan.plan.display();
        let says =
            format!("{plan}: {:?} is a track; it is printed and written with --csv, drawings are made of lines", options.line);
        return Err(Stop::unusable(says));
    }
    let mut answer = if options.plan.json {
        Answer::json(&section_track::as_json(&opened, track))
    } else {
        section_track::answer(&opened, track)
    };
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &section_track::as_csv(&opened, track))?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

/// The drawings that are asked for.
fn pictures(options: &Options, opened: &Opened, line: &LineOutcome) -> Result<Vec<Waiting>, Stop> {
    if options.svg.is_none() && options.png.is_none() {
        return Ok(Vec::new());
    }
    let drawing = drawing(opened, line).ok_or_else(|| {
        let plan = options.plan.plan.display();
        Stop::unusable(format!(
            "{plan}: nothing is known of the ground under {:?}; a drawing needs an elevation grid",
            options.line
        ))
    })?;
    let mut outputs = Vec::new();
    if let Some(path) = &options.svg {
        outputs.push(Waiting::of_bytes(path, &drawing)?);
    }
    if let Some(path) = &options.png {
        let picture = png_of(&drawing).map_err(|trouble| Stop::unusable(format!("{}: {trouble}", path.display())))?;
        outputs.push(Waiting::of_bytes(path, &picture)?);
    }
    Ok(outputs)
}

fn drawing(opened: &Opened, line: &LineOutcome) -> Option<Vec<u8>> {
    let mut plan = opened.file.plan.clone();
    if plan.head.units != opened.units {
        Arc::make_mut(&mut plan.head).units = opened.units;
    }
    let cells = cells_under(opened, line);
    section_svg(&words::section_picture(&plan, line, &opened.outcome.findings, &cells, opened.catalogue()))
}

fn no_such_line(options: &Options, opened: &Opened) -> Stop {
    let ids: Vec<&str> = opened.outcome.lines.iter().map(|line| line.id.as_str()).collect();
    let plan = options.plan.plan.display();
    let lines = if ids.is_empty() { "it has no lines".to_owned() } else { format!("its lines are {}", ids.join(", ")) };
    Stop::unusable(format!("{plan}: it has no line {:?}; {lines}", options.line))
}

/// Slope of the ground after each sample, per cent; the last one has that of the piece before it.
fn slopes_pct(samples: &[Sample]) -> Vec<Option<f64>> {
    let piece = |from: &Sample, to: &Sample| {
        let run_m = to.plan_m - from.plan_m;
        Some((to.ground_m? - from.ground_m?) / run_m * 100.0).filter(|_| run_m > 0.0)
    };
    let mut slopes: Vec<Option<f64>> = samples.windows(2).map(|pair| piece(&pair[0], &pair[1])).collect();
    slopes.push(slopes.last().copied().flatten());
    slopes
}

fn as_json(opened: &Opened, line: &LineOutcome) -> Value {
    let slopes = slopes_pct(&line.section.samples);
    let stations: Vec<Value> = line
        .section
        .samples
        .iter()
        .zip(slopes)
        .map(|(sample, slope_pct)| {
            json!({
                "station_m": number(sample.station_m),
                "at": opened.place(sample.at),
                "ground_m": maybe(sample.ground_m),
                "slope_pct": maybe(slope_pct),
                "cell_m": maybe(opened.ground.as_ref().and_then(|ground| ground.cell_at(sample.at)).map(Length::as_metres)),
            })
        })
        .collect();
    let posts: Vec<Value> = line.hold.posts.iter().map(|post| post_json(opened, post)).collect();
    let bays: Vec<Value> = line.hold.bays.iter().map(bay_json).collect();
    let strains: Vec<Value> = line.hold.strains.iter().map(strain_json).collect();
    let grids = grids_json(opened, line);
    json!({
        "line": line.id.as_str(),
        "stations": stations,
        "posts": posts,
        "bays": bays,
        "strains": strains,
        "tightest": line.hold.tightest.map(|(dips, rises)| json!({ "over_dips": dips, "over_rises": rises })),
        "pegs_on_walk": maybe(line.hold.on_walk.as_ref().map(|walk| walk.pegs.round())),
        "even_bays": even_json(line),
        "grid": grids.first().cloned(),
        "grids": grids,
    })
}

/// The grids under a line, the finest first, with the length that lies on each.
fn cells_under(opened: &Opened, line: &LineOutcome) -> Vec<(words::Cells, Length)> {
    let ground = opened.ground.as_deref();
    words::cells_under(&line.section, ground, &ground.map(words::Cells::of).unwrap_or_default())
}

fn grids_json(opened: &Opened, line: &LineOutcome) -> Vec<Value> {
    let grid = |(cells, over): (words::Cells, Length)| {
        json!({
            "cell_m": number(cells.cell.as_metres()),
            "scatter_m": maybe(cells.scatter.map(Length::as_metres)),
            "scatter_left_m": number(cells.left.as_metres()),
            "smoothed_over_m": maybe(cells.smoothed_over.map(Length::as_metres)),
            "over_m": number(over.as_metres()),
        })
    };
    cells_under(opened, line).into_iter().map(grid).collect()
}

fn post_json(opened: &Opened, post: &Post) -> Value {
    json!({
        "station_m": number(post.station.as_metres()),
        "at": opened.place(post.at),
        "post": post.post,
        "role": post.role,
        "why": words::why(post, UnitSystem::Metric),
        "pinned": post.pinned,
        "held_down": post.held_down,
        "depth_m": number(post.depth.as_metres()),
        "off_m": number(post.off.as_metres()),
        "uplift_n": number(post.uplift.as_newtons()),
        "sideways_n": number(post.sideways.as_newtons()),
        "capacity_n": maybe(post.capacity.map(Force::as_newtons)),
        "uplift_capacity_n": maybe(post.uplift_capacity.map(Force::as_newtons)),
    })
}

fn bay_json(bay: &Bay) -> Value {
    let strand = |strand: &StrandGap| {
        json!({
            "height_m": number(strand.height.as_metres()),
            "lowest_gap_m": number(strand.lowest_gap.as_metres()),
            "lowest_gap_at_m": number(strand.lowest_gap_at.as_metres()),
            "highest_gap_m": number(strand.highest_gap.as_metres()),
            "highest_gap_at_m": number(strand.highest_gap_at.as_metres()),
        })
    };
    let strands: Vec<Value> = bay.strands.iter().map(strand).collect();
    json!({
        "from_m": number(bay.from.as_metres()),
        "to_m": number(bay.to.as_metres()),
        "strands": strands,
        "gap_error_m": number(bay.error.as_metres()),
        "tension_share": number(bay.tension_share),
        "cross_slope_pct": maybe(bay.cross_slope.map(|slope| 100.0 * slope)),
    })
}

fn strain_json(strain: &Strain) -> Value {
    json!({
        "from_m": number(strain.from.as_metres()),
        "to_m": number(strain.to.as_metres()),
        "strand_m": number(strain.strand.as_metres()),
        "turned_deg": number(strain.turned_rad.to_degrees()),
        "strainer_m": number(strain.strainer.as_metres()),
        "springs": strain.springs,
        "slackest_share": number(strain.slackest_share),
        "slackest_at_m": number(strain.slackest_at.as_metres()),
        "share_from_middle": number(strain.share_from_middle),
    })
}

/// What posts at even bays would leave; counting the fewest that pass takes a moment, so only this command does it.
fn even_json(line: &LineOutcome) -> Option<Value> {
    let even = line.hold.even?;
    Some(json!({
        "posts": even.posts,
        "out_of_band_m": number(even.out_of_band.as_metres()),
        "worst_off_m": number(even.worst_off.as_metres()),
        "worst_at_m": number(even.worst_at.as_metres()),
    }))
}

/// One row for each post, with the bay that follows it.
fn as_table(opened: &Opened, line: &LineOutcome) -> String {
    let units = opened.units;
    let columns = [
        ("Post at", Side::Right),
        ("Ground", Side::Right),
        ("Post", Side::Left),
        ("Role", Side::Left),
        ("Pulled up", Side::Right),
        ("Sideways", Side::Right),
        ("Holds", Side::Right),
        ("Lowest gap", Side::Right),
        ("Highest gap", Side::Right),
    ];
    let rows: Vec<Vec<String>> = line
        .hold
        .posts
        .iter()
        .enumerate()
        .map(|(index, post)| {
            let bay = line.hold.bays.get(index);
            vec![
                words::length(post.station, units),
                post.ground.map_or("unknown".to_owned(), |ground| words::length(Length::metres(ground.as_metres()), units)),
                post.post.clone(),
                words::role(post.role).to_owned(),
                words::force(post.uplift, units),
                words::force(post.sideways, units),
                post.capacity.map(|capacity| words::force(capacity, units)).unwrap_or_default(),
                bay_gap(bay, |strands| strands.first().map(|strand| strand.lowest_gap))
                    .map_or(String::new(), |gap| words::gap(gap, units)),
                bay_gap(bay, |strands| strands.first().map(|strand| strand.highest_gap))
                    .map_or(String::new(), |gap| words::gap(gap, units)),
            ]
        })
        .collect();
    let mut text = format!("{}Gaps are those of the lowest strand in the bay after the post.\n", table(&columns, &rows));
    for sentence in words::section_notes(line, &cells_under(opened, line), units) {
        text += &paragraph("", &sentence, 0);
    }
    text + &cautions(Place::SectionCommand)
}

fn bay_gap(bay: Option<&Bay>, of: impl Fn(&[StrandGap]) -> Option<Length>) -> Option<Length> {
    of(&bay?.strands)
}

/// A row for each station of the ground and each post, in order; a post at a station shares its row.
fn as_csv(opened: &Opened, line: &LineOutcome) -> Vec<u8> {
    let samples = &line.section.samples;
    let mut rows: Vec<(f64, Vec<String>)> = Vec::new();
    let place = |at| {
        let position = opened.frame.to_position(at);
        [format!("{:.9}", position.lon_deg()), format!("{:.9}", position.lat_deg())]
    };
    let text = |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.3}"));
    let standing = |station_m: f64| line.hold.posts.iter().find(|post| (post.station.as_metres() - station_m).abs() < 0.001);
    for (sample, slope_pct) in samples.iter().zip(slopes_pct(samples)) {
        let [lon, lat] = place(sample.at);
        let post = standing(sample.station_m);
        let role = post.map(|post| words::role(post.role).to_owned()).unwrap_or_default();
        let post = post.map(|post| post.post.clone()).unwrap_or_default();
        rows.push((
            sample.station_m,
            vec![format!("{:.3}", sample.station_m), lon, lat, text(sample.ground_m), text(slope_pct), post, role],
        ));
    }
    let is_new = |post: &&Post| !samples.iter().any(|sample| (post.station.as_metres() - sample.station_m).abs() < 0.001);
    for post in line.hold.posts.iter().filter(is_new) {
        let [lon, lat] = place(post.at);
        let ground = text(post.ground.map(|ground| ground.as_metres()));
        let station_m = post.station.as_metres();
        let role = words::role(post.role).to_owned();
        rows.push((station_m, vec![format!("{station_m:.3}"), lon, lat, ground, String::new(), post.post.clone(), role]));
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut table = CsvTable::new(["station_m", "lon", "lat", "ground_m", "slope_pct", "post", "role"]);
    rows.iter().for_each(|(_, row)| table.row(row));
    table.into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::land::MapPoint;

    #[test]
    fn slopes_follow_the_ground_and_stop_where_it_is_unknown() {
        let sample =
            |plan_m: f64, ground_m| Sample { at: MapPoint::default(), plan_m, station_m: plan_m, ground_m, error_m: 0.0 };
        let samples = [sample(0.0, Some(10.0)), sample(10.0, Some(12.0)), sample(20.0, None), sample(30.0, Some(5.0))];
        assert_eq!(slopes_pct(&samples), [Some(20.0), None, None, None]);
        assert_eq!(slopes_pct(&samples[..2]), [Some(20.0), Some(20.0)]);
    }
}
