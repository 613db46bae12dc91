//! `hillwire section`.

use crate::desk::{Desk, assert_fits, assert_keys, filled};

#[test]
fn section_gives_ground_posts_and_bays() {
    let desk = Desk::new();
    let ended = desk.run("section brackenhope.plan.geojson --line west --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let section = ended.json();
    assert_eq!(section["line"], "west");
    filled(&section, "stations").iter().for_each(|station| assert_keys(station, "station_m at ground_m slope_pct"));
    let posts = filled(&section, "posts");
    posts.iter().for_each(|post| assert_keys(post, "station_m at post role uplift_n sideways_n capacity_n"));
    let bays = filled(&section, "bays");
    assert_eq!(bays.len(), posts.len() - 1, "a bay lies between two posts");
    for (bay, ends) in bays.iter().zip(posts.windows(2)) {
        assert_keys(bay, "from_m to_m strands");
        if ends.iter().all(|post| post["role"] == "gate") {
            assert_eq!(bay["strands"], serde_json::json!([]), "a gate carries its own strands");
            continue;
        }
        let strands = filled(bay, "strands");
        strands
            .iter()
            .for_each(|strand| assert_keys(strand, "height_m lowest_gap_m lowest_gap_at_m highest_gap_m highest_gap_at_m"));
        assert_eq!(strands.len(), 3, "the sample's build has three strands");
    }
    for role in posts.iter().map(|post| post["role"].as_str().expect("a word")) {
        assert!(["line", "corner", "end", "gate", "dip", "rise"].contains(&role), "{role}");
    }
}

#[test]
fn section_writes_a_table_in_order_of_stations() {
    let desk = Desk::new();
    let ended = desk.run("section brackenhope.plan.geojson --line lead-out --csv s.csv");
    assert_eq!(ended.status, 0, "{ended:?}");
    assert_fits(&ended.out);
    let csv = String::from_utf8(desk.read("s.csv")).expect("UTF-8");
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("station_m,lon,lat,ground_m,slope_pct,post,role"));
    let stations: Vec<f64> =
        lines.map(|line| line.split(',').next().and_then(|cell| cell.parse().ok()).expect("a station")).collect();
    assert!(stations.len() > 100 && stations.is_sorted(), "{stations:?}");
}

#[test]
fn section_of_a_line_that_is_not_there_names_those_that_are() {
    let desk = Desk::new();
    let ended = desk.run("section brackenhope.plan.geojson --line nowhere --csv s.csv");
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains("\"nowhere\"") && ended.err.contains("west, east, between, lead-out"), "{}", ended.err);
    assert!(!desk.names().contains(&"s.csv".to_owned()));
}
