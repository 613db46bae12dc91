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
        assert_eq!(strands.len(), 5, "the goats' build has five strands");
    }
    for role in posts.iter().map(|post| post["role"].as_str().expect("a word")) {
        assert!(["line", "corner", "end", "gate", "dip", "rise", "peg"].contains(&role), "{role}");
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
    assert!(ended.err.contains("\"nowhere\"") && ended.err.contains("west, east, between, south, lead-out"), "{}", ended.err);
    assert!(!desk.names().contains(&"s.csv".to_owned()));
}

#[test]
fn section_says_on_which_cells_of_several_grids_a_line_lies() {
    use hillwire::files::{open_grid, place_grid};
    use hillwire_core::job::Job;
    use hillwire_core::land::{Grid, write_geotiff};
    use hillwire_core::units::Length;
    use std::sync::Arc;

    let desk = Desk::new();
    let grid = open_grid(&desk.path("brackenhope.tif"), &Job::new()).expect("the sample");
    let write = |name: &str, grid: &Grid| {
        let file = std::fs::File::create(desk.path(name)).expect("the folder is ours");
        let rows = |first: usize, band: &mut [f32]| band.copy_from_slice(&grid.heights_m[first * grid.columns..][..band.len()]);
        write_geotiff(file, grid, rows).expect("written");
    };
    // The southern three fifths of the ground on their own cells, all of it on coarse ones.
    let ground = place_grid(&desk.path("brackenhope.tif"), Arc::new(grid.clone()), None).expect("placed");
    write("coarse.tif", ground.smoothed(Length::metres(10.0)).expect("large enough").grid());
    let north = grid.rows * 2 / 5;
    let mut half = grid.clone();
    half.heights_m = grid.heights_m[north * grid.columns..].to_vec();
    half.rows = grid.rows - north;
    half.georeference.origin.0 += half.georeference.per_row.0 * north as f64;
    half.georeference.origin.1 += half.georeference.per_row.1 * north as f64;
    write("half.tif", &half);
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let both = plan.replace("{\"file\":\"brackenhope.tif\"}", "{\"file\":\"coarse.tif\"},{\"file\":\"half.tif\"}");
    assert_ne!(plan, both);
    desk.write("both.plan.geojson", both);

    let section = desk.run("section both.plan.geojson --line west --json").json();
    let grids = filled(&section, "grids");
    let metres = |value: &serde_json::Value| value.as_f64().expect("a number");
    let cells: Vec<f64> = grids.iter().map(|grid| metres(&grid["cell_m"]).round()).collect();
    assert_eq!(cells.len(), 2, "{cells:?}");
    assert!(cells[0] < 3.0 && cells[1] > 9.0, "{cells:?}");
    let stations = filled(&section, "stations");
    let whole_m = metres(&stations[stations.len() - 1]["station_m"]);
    let over_m: f64 = grids.iter().map(|grid| metres(&grid["over_m"])).sum();
    assert!((whole_m - over_m).abs() < 1.0, "{whole_m} {over_m}");
    let text = desk.run("section both.plan.geojson --line west").out;
    assert!(text.matches("Over ").count() >= 2, "{text}");

    let check = desk.run("check both.plan.geojson --json").json();
    let findings = filled(&check, "findings");
    let of = |rule: &str| {
        findings.iter().filter(|finding| finding["rule"] == rule && finding["line"] == "west").cloned().collect::<Vec<_>>()
    };
    let coarse = of("grid_coarse");
    assert_eq!(coarse.len(), 1, "{coarse:?}");
    assert!(metres(&coarse[0]["until_m"]) - metres(&coarse[0]["station_m"]) < whole_m - 20.0);
    for gap in of("dip").iter().chain(&of("rise")) {
        assert!(metres(&gap["cell_m"]) < 3.0, "{gap}");
    }
}

#[test]
fn section_is_drawn_with_its_posts_findings_and_cautions() {
    let desk = Desk::new();
    let ended = desk.run("section brackenhope.plan.geojson --line west --json --svg w.svg --png w.png");
    assert_eq!(ended.status, 0, "{ended:?}");
    let section = ended.json();
    let svg = String::from_utf8(desk.read("w.svg")).expect("UTF-8");
    for words in
        ["West paddock", "long section", "Heights", "stations, m", "Electric fence: it gives a painful shock", "Local codes"]
    {
        assert!(svg.contains(words), "{words}");
    }
    // Posts of a role are drawn thick, and each role that there is once more in the legend; pegs are thin and broken.
    let of_role = |post: &serde_json::Value| post["role"].as_str().map(str::to_owned);
    let with_role: Vec<String> = filled(&section, "posts").iter().filter_map(of_role).filter(|role| role != "line").collect();
    let (pegs, roles): (Vec<&str>, Vec<&str>) = with_role.iter().map(String::as_str).partition(|role| *role == "peg");
    let broken = svg.matches("stroke=\"#22262a\" stroke-width=\"1\" stroke-linejoin=\"round\" stroke-dasharray").count();
    assert_eq!(broken, if pegs.is_empty() { 0 } else { pegs.len() + 1 });
    let mut kinds = roles.clone();
    kinds.sort_unstable();
    kinds.dedup();
    let thick = svg.matches("stroke=\"#22262a\" stroke-width=\"3\"").count();
    assert_eq!(thick, roles.len() + kinds.len(), "{kinds:?}");
    let check = desk.run("check brackenhope.plan.geojson --json").json();
    let placed =
        filled(&check, "findings").iter().filter(|found| found["line"] == "west" && !found["station_m"].is_null()).count();
    // Each has its number under the ground, on every strip that it reaches, and once in the list.
    let numbers = svg.matches("font-size=\"11\"").count();
    assert!(
        placed > 0 && numbers >= 2 * placed && svg.contains(&format!(">{placed}</text>")),
        "{numbers} numbers, {placed} findings"
    );
    let png = desk.read("w.png");
    assert!(png.starts_with(b"\x89PNG\r\n\x1a\n") && png.len() > 50_000, "{}", png.len());
    let feet = desk.run("section brackenhope.plan.geojson --line west --units us --svg f.svg");
    assert_eq!(feet.status, 0, "{feet:?}");
    assert!(String::from_utf8(desk.read("f.svg")).expect("UTF-8").contains("stations, ft"));
}

#[test]
fn section_without_ground_is_not_drawn_and_says_why() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    desk.write("flat.plan.geojson", plan.replace("{\"file\":\"brackenhope.tif\"}", ""));
    let ended = desk.run("section flat.plan.geojson --line west --svg w.svg");
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains("needs an elevation grid"), "{}", ended.err);
    assert!(!desk.names().contains(&"w.svg".to_owned()));
}

#[test]
fn a_track_has_a_long_section_with_the_numbers_that_check_says() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("larkfold.plan.geojson")).expect("UTF-8");
    // Straight up the hill, where nobody cut it.
    let steep = "{\"type\":\"Feature\",\"id\":\"pitch\",\"geometry\":{\"type\":\"LineString\",\"coordinates\":\
                 [[-2.2117,55.2131],[-2.2095,55.2131]]},\"properties\":{\"kind\":\"track\",\"vehicle\":\"utility\"}},\n";
    desk.write("steep.plan.geojson", plan.replacen("\"features\":[\n", &format!("\"features\":[\n{steep}"), 1));
    let ended = desk.run("section steep.plan.geojson --line pitch --csv pitch.csv --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let told = ended.json();
    let of = |name: &str| told[name].as_f64().unwrap_or_else(|| panic!("{name}: {told}"));
    let stations = told["stations"].as_array().expect("stations");
    let last = stations.last().expect("one");
    assert!((last["station_m"].as_f64().expect("a number") - of("ground_length_m")).abs() < 1e-6);
    let most = |name: &str| stations.iter().filter_map(|at| at[name].as_f64()).fold(0.0, f64::max);
    assert!((most("grade_pct") - of("steepest_pct")).abs() < 1e-6 && (most("leans_pct") - of("leans_pct")).abs() < 1e-6);
    let heights: Vec<f64> = stations.iter().filter_map(|at| at["ground_m"].as_f64()).collect();
    assert!((of("climb_m") - of("descent_m") - (heights[heights.len() - 1] - heights[0])).abs() < 1e-6);
    let rows = String::from_utf8(desk.read("pitch.csv")).expect("UTF-8");
    assert!(rows.starts_with("station_m,lon,lat,ground_m,grade_pct,leans_pct\r\n") && rows.lines().count() == stations.len() + 1);
    let checked = desk.run("check steep.plan.geojson --only track_grade --json").json();
    let found =
        checked["findings"].as_array().expect("a list").iter().filter(|one| one["line"] == "pitch" && one["limit"].is_number());
    let mut compared = 0;
    for one in found.filter(|one| one["unit"] == "%" || one["unit"] == "percent") {
        let same = |stretch: &&serde_json::Value| {
            stretch["from_m"] == one["station_m"] && stretch["to_m"] == one["until_m"] && stretch["worst_pct"] == one["value"]
        };
        assert!(told["stretches"].as_array().expect("a list").iter().any(|stretch| same(&stretch)), "{one} in {told}");
        compared += 1;
    }
    assert!(compared > 0, "the pitch is steep: {checked}");
    let text = desk.run("section steep.plan.geojson --line pitch").out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("on the ground") && text.contains("leans across by up to"), "{text}");
    let refused = desk.run("section steep.plan.geojson --line pitch --svg pitch.svg");
    assert!(refused.status == 2 && refused.err.contains("is a track"), "{refused:?}");
    assert!(!desk.names().contains(&"pitch.svg".to_owned()));
}
