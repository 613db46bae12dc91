//! `hillwire import`.

use crate::desk::Desk;
use serde_json::Value;

const WALK: &str = "<gpx>\n<wpt lat=\"56.6\" lon=\"-3.8\"><name>Spring</name></wpt>\n<trk><name>Old way</name><trkseg>\
    <trkpt lat=\"56.600\" lon=\"-3.800\"/><trkpt lat=\"56.601\" lon=\"-3.800\"/><trkpt lat=\"56.601\" lon=\"-3.801\"/></trkseg></trk>\n</gpx>";

fn named(desk: &Desk, file: &str, name: &str) -> Value {
    let plan: Value = serde_json::from_slice(&desk.read(file)).expect("JSON");
    let features = plan["features"].as_array().expect("a list").clone();
    features.into_iter().find(|feature| feature["properties"]["name"] == name).unwrap_or_else(|| panic!("no {name}"))
}

#[test]
fn a_walk_becomes_a_track_and_its_waypoints_marks_unless_said_otherwise() {
    let desk = Desk::new();
    desk.write("walk.gpx", WALK);
    let before = desk.read("brackenhope.plan.geojson");
    let ended = desk.run("import brackenhope.plan.geojson walk.gpx --out with.plan.geojson");
    assert_eq!((ended.status, ended.out.as_str()), (0, "1 mark\n1 track\n"), "{ended:?}");
    assert_eq!(named(&desk, "with.plan.geojson", "Old way")["properties"]["kind"], "track");
    assert_eq!(named(&desk, "with.plan.geojson", "Spring")["properties"]["kind"], "mark");
    assert_eq!(desk.read("brackenhope.plan.geojson"), before, "no command changes its input");
    assert_eq!(desk.run("check with.plan.geojson").status, 1);

    let ended = desk.run("import brackenhope.plan.geojson walk.gpx --as stream --points water --out wet.plan.geojson");
    assert_eq!(ended.status, 0, "{ended:?}");
    assert_eq!(named(&desk, "wet.plan.geojson", "Old way")["properties"]["kind"], "stream");
    assert_eq!(named(&desk, "wet.plan.geojson", "Spring")["properties"]["kind"], "water");
}

#[test]
fn import_refuses_what_it_cannot_use_and_writes_nothing() {
    let desk = Desk::new();
    desk.write("walk.gpx", WALK);
    desk.write("half.gpx", &WALK[..150]);
    desk.write("bare.geojson", "{\"type\":\"FeatureCollection\",\"features\":[]}");
    desk.write(
        "none.geojson",
        "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"geometry\":null,\"properties\":{}}]}",
    );
    desk.write("notes.kml", "<kml><Placemark>\n<Point><coordinates>here</coordinates></Point></Placemark></kml>");
    for (words, expected) in [
        ("import brackenhope.plan.geojson half.gpx --out new.geojson", "line 3"),
        ("import brackenhope.plan.geojson notes.kml --out new.geojson", "line 2"),
        (
            "import brackenhope.plan.geojson bare.geojson --out new.geojson",
            "nothing in it could be taken in, and no plan is written",
        ),
        ("import brackenhope.plan.geojson none.geojson --out new.geojson", "no plan is written: #1 has no shape and is left out"),
        ("import brackenhope.plan.geojson walk.gpx --as wood --out new.geojson", "public_way"),
        ("import brackenhope.plan.geojson larkfold.plan.geojson --out new.geojson", "found a plan"),
        ("import brackenhope.plan.geojson walk.gpx --out brackenhope.plan.geojson", "the input itself"),
    ] {
        let before = desk.names();
        let ended = desk.run(words);
        assert_eq!(ended.status, 2, "{words}: {ended:?}");
        assert!(ended.err.contains(expected) && ended.err.lines().count() == 1, "{words}: {}", ended.err);
        assert_eq!(desk.names(), before, "{words}");
    }
}
