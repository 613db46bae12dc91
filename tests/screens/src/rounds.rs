//! An invented log on the sample plan: weekly rounds with readings, and what was found on them.

use crate::{Screen, window};
use hillwire_core::plan::{Edit, EntryLine, Fault, Feature, FeatureId, Geometry, Gesture, Kind, Photo, Reading};
use hillwire_core::units::Length;
use jiff::ToSpan;
use jiff::civil::{Date, date};

/// What is found in turn.
const FOUND: [&str; 7] = ["branch", "contact", "insulator", "contact", "slack", "strike", "rooted"];
/// Where readings are taken: line, metres along it.
const PLACES: [(&str, f64); 4] = [("west", 60.0), ("west", 250.0), ("east", 60.0), ("east", 180.0)];

/// Weekly rounds from the first of May 2024 on: four readings each, a fault on every second one, now and then a photo.
pub fn add_rounds(screen: &mut Screen, rounds: u32) {
    let session = &mut window(screen).session;
    let at = |line: &str, station_m: f64| {
        let section = &session.line_outcome(&FeatureId::new(line)).expect("in the sample").section;
        let sample = section.sample_at_station(station_m).expect("on the line");
        Geometry::Point(session.position(sample.at))
    };
    let of = |line: &str| EntryLine { line: Some(line.to_owned()), off: None };
    let mut entries = Vec::new();
    let mut add = |word: &str, kind: Kind, geometry: Geometry| {
        let id = FeatureId::new(&format!("{word}-{}", entries.len() + 1));
        entries.push(Feature::new(id, kind, geometry));
    };
    for round in 0..rounds {
        let day: Date = date(2024, 5, 1).checked_add((7 * i64::from(round)).days()).expect("in reach");
        for (place, (line, station_m)) in PLACES.iter().enumerate() {
            // The second place of the west line reads less from round to round.
            let lost = if place == 1 { 0.01 * f64::from(round) } else { 0.0 };
            let kv = 6.0 - 0.2 * place as f64 - lost - 0.15 * f64::from(round % 3);
            let at_time = Some(format!("{day}T09:{:02}:00Z", 10 * place));
            let reading = Reading { kv: Some(kv), at_time, energizer_on: Some(true), of: of(line), ..Reading::default() };
            add("reading", Kind::Reading(reading), at(line, station_m + f64::from(round % 4)));
        }
        if round % 2 == 1 {
            let what = FOUND[(round / 2) as usize % FOUND.len()];
            let station_m = if what == "contact" { 310.0 } else { f64::from(20 + (37 * round) % 330) };
            let (minutes, parts) = (Some(f64::from(5 + round % 30)), (what == "insulator").then(|| "2 insulators".to_owned()));
            let (seen, mended) = (Some(day.to_string()), Some(day.to_string()));
            let what = Some(what.to_owned());
            let fault = Fault { what, seen, mended, minutes, parts, of: of("west"), ..Fault::default() };
            add("fault", Kind::Fault(fault), at("west", station_m));
        }
        if round % 20 == 5 {
            let photo = Photo { file: Some(format!("round-{round}.jpg")), at_time: Some(day.to_string()), of: of("east") };
            add("photo", Kind::Photo(photo), at("east", 100.0));
        }
    }
    let count = entries.len();
    session.change(Gesture::Imported { count }, &[Edit::AddAll(entries)]);
    screen.run_steps(4);
}

/// The distance of an entry from where a line runs now, metres.
pub fn off_line(screen: &mut Screen, entry: &str) -> Length {
    let session = &window(screen).session;
    let log = session.log_view.log().expect("it was read");
    let entry = log.entries.iter().find(|one| one.id.as_str() == entry).expect("in the log");
    match &entry.stands {
        hillwire_core::log::Stands::On(on) | hillwire_core::log::Stands::Moved { on, .. } => on.off,
        other => panic!("{other:?}"),
    }
}
