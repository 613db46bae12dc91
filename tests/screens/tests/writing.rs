//! What the window writes takes the place of no file unasked.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use std::fs;
use std::path::Path;
use tests_screens::{Screen, click_on, samples, screen_with, window};

fn share(screen: &mut Screen, path: &Path) {
    let ctx = screen.ctx.clone();
    window(screen).perform(vec![Command::SharePath(path.to_owned())], &ctx);
    screen.run_steps(4);
}

#[test]
fn a_file_for_others_is_written_over_another_one_only_after_asking_and_over_the_plans_own_never() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    for name in ["brackenhope.plan.geojson", "brackenhope.tif"] {
        fs::copy(samples().join(name), at(name)).expect("copied");
    }
    let (plan, grid) = (at("brackenhope.plan.geojson"), at("brackenhope.tif"));
    let before = [&plan, &grid].map(|path| fs::read(path).expect("there"));
    let mut screen = screen_with(&plan);
    for (path, says) in [(&plan, "this is the open plan itself"), (&grid, "the open plan needs this file")] {
        share(&mut screen, path);
        let notices = &window(&mut screen).session.notices;
        assert!(notices.last().is_some_and(|notice| notice.contains(says)), "{notices:?}");
    }
    assert_eq!([&plan, &grid].map(|path| fs::read(path).expect("there")), before);

    let map = at("map.svg");
    fs::write(&map, "of somebody else").expect("written");
    for (answer, is_written) in [("Leave it as it is", false), ("Write over it", true)] {
        share(&mut screen, &map);
        assert!(screen.query_by_label("There is such a file already").is_some());
        assert!(screen.query_by_label("map.svg").is_some() && screen.query_by_label_contains("last changed").is_some());
        let named = format!("in {}", folder.path().display());
        assert!(screen.query_by_label(&named).is_some(), "{named}");
        assert_eq!(fs::read(&map).expect("there"), b"of somebody else", "not before it is answered");
        click_on(&mut screen, answer);
        screen.run_steps(4);
        assert!(screen.query_by_label("There is such a file already").is_none());
        assert_eq!(fs::read(&map).expect("there") != b"of somebody else", is_written, "{answer}");
    }
    let new = at("new.svg");
    share(&mut screen, &new);
    assert!(new.exists() && screen.query_by_label("There is such a file already").is_none());
}
