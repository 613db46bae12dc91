//! Several elevation grids over each other.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::files::{open_grid, place_grid};
use hillwire::stage::Stage;
use hillwire_core::job::Job;
use hillwire_core::land::write_geotiff;
use hillwire_core::units::Length;
use std::fs::File;
use std::path::Path;
use std::sync::Arc;
use tests_screens::{Screen, click_on, press_with_command, sample_screen, samples, undone_next, window};

/// The sample's ground once more on cells of some 10 m.
fn write_coarse(path: &Path) {
    let fine = samples().join("brackenhope.tif");
    let grid = Arc::new(open_grid(&fine, &Job::new()).expect("the sample"));
    let ground = place_grid(&fine, grid, None).expect("placed");
    let coarse = ground.smoothed(Length::metres(10.0)).expect("large enough");
    let cells = Arc::clone(coarse.grid());
    let file = File::create(path).expect("the folder is ours");
    let rows = |first: usize, band: &mut [f32]| {
        let from = first * cells.columns;
        band.copy_from_slice(&cells.heights_m[from..from + band.len()]);
    };
    write_geotiff(file, &cells, rows).expect("written");
}

fn cells_m(screen: &mut Screen) -> Vec<f64> {
    let ground = window(screen).session.land.ground.clone().expect("ground");
    ground.layers().map(|layer| layer.cell().as_metres().round()).collect()
}

#[test]
fn a_further_grid_lies_under_the_finer_one_until_it_is_taken_out_or_undone() {
    let folder = tempfile::tempdir().expect("a folder");
    let coarse = folder.path().join("whole-hill.tif");
    write_coarse(&coarse);
    let mut screen = sample_screen();
    let alone = cells_m(&mut screen);
    let (ctx, findings) = (screen.ctx.clone(), window(&mut screen).session.outcome.findings.len());
    window(&mut screen).perform(vec![Command::AddGrid(coarse.clone()), Command::Stage(Stage::Land)], &ctx);
    screen.run_steps(6);
    assert_eq!(undone_next(&mut screen), "changing the elevation grids");
    assert_eq!(cells_m(&mut screen), [alone.clone(), vec![10.0]].concat());
    assert_eq!(window(&mut screen).session.outcome.findings.len(), findings, "the fine grid covers everything drawn");
    assert_eq!(window(&mut screen).session.land.surveys.len(), 2);
    assert!(screen.query_by_label("At each place the finest grid that has a height there counts.").is_some());

    window(&mut screen).perform(vec![Command::AddGrid(coarse.clone())], &ctx);
    screen.run_steps(3);
    assert!(window(&mut screen).session.notices.iter().any(|notice| notice.contains("one of the grids already")));

    screen.get_by_label("Take out whole-hill.tif").scroll_to_me();
    screen.run_steps(4);
    click_on(&mut screen, "Take out whole-hill.tif");
    screen.run_steps(4);
    assert_eq!(cells_m(&mut screen), alone);
    press_with_command(&mut screen, egui::Key::Z);
    screen.run_steps(4);
    assert_eq!(cells_m(&mut screen).len(), 2);

    // The other way round: what only the coarse grid knows is said to be coarse.
    screen.get_by_label("Take out brackenhope.tif").scroll_to_me();
    screen.run_steps(4);
    click_on(&mut screen, "Take out brackenhope.tif");
    screen.run_steps(4);
    assert_eq!(cells_m(&mut screen), [10.0]);
    let coarse = window(&mut screen)
        .session
        .outcome
        .findings
        .iter()
        .any(|finding| finding.rule == hillwire_core::finding::Rule::GridCoarse);
    assert!(coarse);
}
