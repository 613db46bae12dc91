//! `hillwire section` of a track: how the ground lies along it, and where it is too steep.

use super::answer::Answer;
use super::json::{maybe, number};
use super::opened::Opened;
use super::table::{Side, cautions, paragraph, table};
use crate::words::{self, cautions::Place};
use hillwire_core::share::CsvTable;
use hillwire_core::site::{JudgedTrack, TrackPiece, TrackPoint};
use hillwire_core::units::Length;
use serde_json::{Value, json};

/// The track with this id that a vehicle shall use.
pub fn found<'a>(opened: &'a Opened, id: &str) -> Option<&'a JudgedTrack> {
    opened.outcome.reach.tracks.judged.iter().find(|track| track.id.as_str() == id)
}

/// What is printed.
pub fn answer(opened: &Opened, track: &JudgedTrack) -> Answer {
    Answer::text(as_text(opened, track))
}

/// The same for other programs.
pub fn as_json(opened: &Opened, track: &JudgedTrack) -> Value {
    let (climb, descent) = track.climb_and_descent();
    let stretches = track.stretches.iter().map(|stretch| {
        json!({
            "hindrance": words::hindrance(stretch.hindrance).replace(' ', "_"),
            "from_m": number(stretch.from.as_metres()),
            "to_m": number(stretch.to.as_metres()),
            "worst_pct": number(stretch.worst_pct),
            "limit_pct": number(stretch.limit_pct),
            "out_of_use": stretch.is_out_of_use,
            "wet": stretch.is_wet,
        })
    });
    let stations = stations(track).map(|(point, piece)| {
        json!({
            "station_m": number(point.station_m),
            "at": opened.place(point.at),
            "ground_m": maybe(point.ground_m),
            "grade_pct": maybe(piece.map(|piece| piece.grade_pct)),
            "leans_pct": maybe(piece.map(|piece| piece.leans_pct)),
        })
    });
    json!({
        "track": track.id.as_str(),
        "ground_length_m": number(track.length().as_metres()),
        "climb_m": number(climb.as_metres()),
        "descent_m": number(descent.as_metres()),
        "steepest_pct": maybe(track.steepest_pct),
        "leans_pct": maybe(track.leans_pct),
        "out_of_use_m": number(track.out_of_use().as_metres()),
        "stretches": stretches.collect::<Vec<_>>(),
        "stations": stations.collect::<Vec<_>>(),
    })
}

/// Its points, each with the piece that follows it.
fn stations(track: &JudgedTrack) -> impl Iterator<Item = (&TrackPoint, Option<&TrackPiece>)> {
    track.points.iter().enumerate().map(|(index, point)| (point, track.pieces.get(index)))
}

fn as_text(opened: &Opened, track: &JudgedTrack) -> String {
    let units = opened.units;
    let mut text = paragraph("", &words::track_in_short(track, units), 0);
    if track.stretches.is_empty() {
        text += "No stretch of it is too steep for its vehicle, or nearly so.\n";
    } else {
        let columns = [
            ("Too steep, or nearly so", Side::Left),
            ("From", Side::Right),
            ("To", Side::Right),
            ("Worst", Side::Right),
            ("Held against", Side::Right),
            ("In use", Side::Left),
        ];
        let rows = track.stretches.iter().map(|stretch| {
            vec![
                words::hindrance(stretch.hindrance).to_owned(),
                words::length(stretch.from, units),
                words::length(stretch.to, units),
                words::percent(stretch.worst_pct),
                words::percent(stretch.limit_pct),
                if stretch.is_out_of_use { "no" } else { "yes" }.to_owned(),
            ]
        });
        text += &table(&columns, &rows.collect::<Vec<_>>());
    }
    text + "\n" + &stations_table(opened, track) + &cautions(Place::TrackSection)
}

fn stations_table(opened: &Opened, track: &JudgedTrack) -> String {
    let units = opened.units;
    let columns = [("Station", Side::Right), ("Ground", Side::Right), ("Grade", Side::Right), ("Leans across", Side::Right)];
    let percent = |pct: Option<f64>| pct.map(words::percent).unwrap_or_default();
    let rows = stations(track).map(|(point, piece)| {
        let ground = point.ground_m.map(|ground| words::length(Length::metres(ground), units));
        vec![
            words::length(Length::metres(point.station_m), units),
            ground.unwrap_or_else(|| "unknown".to_owned()),
            percent(piece.map(|piece| piece.grade_pct)),
            percent(piece.map(|piece| piece.leans_pct)),
        ]
    });
    table(&columns, &rows.collect::<Vec<_>>())
}

/// Its stations as a table for spreadsheets.
pub fn as_csv(opened: &Opened, track: &JudgedTrack) -> Vec<u8> {
    let text = |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.3}"));
    let mut table = CsvTable::new(["station_m", "lon", "lat", "ground_m", "grade_pct", "leans_pct"]);
    for (point, piece) in stations(track) {
        let position = opened.frame.to_position(point.at);
        table.row([
            format!("{:.3}", point.station_m),
            format!("{:.9}", position.lon_deg()),
            format!("{:.9}", position.lat_deg()),
            text(point.ground_m),
            text(piece.map(|piece| piece.grade_pct)),
            text(piece.map(|piece| piece.leans_pct)),
        ]);
    }
    table.into_bytes()
}
