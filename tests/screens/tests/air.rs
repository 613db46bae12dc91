//! Air photos under the plan.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::stage::Stage;
use hillwire_core::land::MapPoint;
use std::path::{Path, PathBuf};
use tests_screens::{Screen, click_on, samples, screen_with, undone_next, window};

/// A copy of a sample plan with a picture of 40 x 30 points beside it, 10 m each, that lies where the sample's ground is.
fn desk(folder: &Path) -> (PathBuf, PathBuf) {
    for name in ["brackenhope.plan.geojson", "brackenhope.tif"] {
        std::fs::copy(samples().join(name), folder.join(name)).expect("the samples are in the repository");
    }
    let grid = hillwire::files::open_grid(&folder.join("brackenhope.tif"), &hillwire_core::job::Job::new()).expect("the sample");
    let (x, y) = grid.georeference.origin;
    let picture = folder.join("air.png");
    image::RgbImage::from_fn(40, 30, |x, _| image::Rgb([6 * x as u8, 90, 40])).save(&picture).expect("written");
    let world = format!("10\n0\n0\n-10\n{}\n{}\n", x + 5.0, y - 5.0);
    std::fs::write(folder.join("air.pgw"), world).expect("written");
    (folder.join("brackenhope.plan.geojson"), picture)
}

fn corners(screen: &mut Screen) -> Vec<[MapPoint; 2]> {
    let session = &window(screen).session;
    let layers = session.air.shown(session.plan());
    layers.iter().map(|layer| [layer.placement.extent().min, layer.placement.extent().max]).collect()
}

#[test]
fn an_air_photo_lies_under_the_plan_where_its_world_file_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let (plan, picture) = desk(folder.path());
    let mut screen = screen_with(&plan);
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::OpenPath(picture.clone()), Command::Stage(Stage::Land)], &ctx);
    screen.run_steps(6);
    assert_eq!(undone_next(&mut screen), "changing the air photos");
    let placed = corners(&mut screen);
    let [[min, max]] = placed.as_slice() else { panic!("{placed:?}") };
    let session = &window(&mut screen).session;
    let ground = session.land.ground.as_ref().expect("ground").extent();
    // 400 m by 300 m from the north-western corner of the ground; the map's metres differ from the grid's by less than one in a thousand.
    assert!((max.x_m - min.x_m - 400.0).abs() < 8.0 && (max.y_m - min.y_m - 300.0).abs() < 8.0, "{min:?} {max:?}");
    assert!((min.x_m - ground.min.x_m).abs() < 8.0 && (max.y_m - ground.max.y_m).abs() < 8.0, "{ground:?} {min:?} {max:?}");
    assert_eq!(session.plan().head.pictures[0].file, "air.png");
    assert!(session.notices.iter().any(|notice| notice.contains("nothing names its coordinate system")), "{:?}", session.notices);
    window(&mut screen).perform(vec![Command::AddPhoto(picture)], &ctx);
    assert!(window(&mut screen).session.notices.iter().any(|notice| notice.contains("under the plan already")));
    screen.get_by_label("Take out air.png").scroll_to_me();
    screen.run_steps(4);
    click_on(&mut screen, "Take out air.png");
    screen.run_steps(3);
    assert!(corners(&mut screen).is_empty());
}

#[test]
fn a_picture_without_a_place_is_refused_with_what_would_tell_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let (plan, picture) = desk(folder.path());
    std::fs::remove_file(folder.path().join("air.pgw")).expect("there");
    let mut screen = screen_with(&plan);
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::OpenPath(picture)], &ctx);
    screen.run_steps(4);
    let notices = &window(&mut screen).session.notices;
    assert!(
        notices.iter().any(|notice| notice.contains("air.png") && notice.contains("lay a world file air.wld")),
        "{notices:?}"
    );
}
