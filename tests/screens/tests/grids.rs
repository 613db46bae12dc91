//! Several elevation grids over each other.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::files::{open_grid, place_grid};
use hillwire::session::Selection;
use hillwire::stage::Stage;
use hillwire::words;
use hillwire_core::job::Job;
use hillwire_core::land::{Grid, write_geotiff};
use hillwire_core::plan::FeatureId;
use hillwire_core::units::Length;
use std::fs::File;
use std::path::Path;
use std::sync::Arc;
use tests_screens::{Screen, click_on, press_with_command, sample_screen, samples, undone_next, window};

/// The sample's ground.
fn sample_grid() -> Arc<Grid> {
    Arc::new(open_grid(&samples().join("brackenhope.tif"), &Job::new()).expect("the sample"))
}

fn write(path: &Path, cells: &Grid) {
    let file = File::create(path).expect("the folder is ours");
    let rows = |first: usize, band: &mut [f32]| {
        let from = first * cells.columns;
        band.copy_from_slice(&cells.heights_m[from..from + band.len()]);
    };
    write_geotiff(file, cells, rows).expect("written");
}

/// The sample's ground once more on cells of some 10 m.
fn write_coarse(path: &Path) {
    let ground = place_grid(&samples().join("brackenhope.tif"), sample_grid(), None).expect("placed");
    let coarse = ground.smoothed(Length::metres(10.0)).expect("large enough");
    write(path, coarse.grid());
}

/// The sample's ground once more, each cell off by chance: a deviation of 8 cm.
fn write_noisy(path: &Path) {
    let mut cells = Grid::clone(&sample_grid());
    let mut state = 88_172_645_463_325_252_u64;
    for height in &mut cells.heights_m {
        let even = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 40) as f32 / (1_u32 << 24) as f32
        };
        *height += 0.08 * (std::iter::repeat_with(even).take(12).sum::<f32>() - 6.0);
    }
    write(path, &cells);
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

#[test]
fn heights_that_scatter_are_smoothed_for_posts_and_the_card_says_so_with_the_pegs_that_the_walk_will_ask_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let noisy = folder.path().join("noisy-hill.tif");
    write_noisy(&noisy);
    let mut screen = sample_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1100.0));
    let standing =
        |screen: &mut Screen| -> usize { window(screen).session.outcome.lines.iter().map(|line| line.hold.posts.len()).sum() };
    let before = standing(&mut screen);
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::AddGrid(noisy.clone()), Command::Stage(Stage::Land)], &ctx);
    screen.run_steps(6);
    screen.get_by_label("Take out brackenhope.tif").scroll_to_me();
    screen.run_steps(4);
    click_on(&mut screen, "Take out brackenhope.tif");
    screen.run_steps(6);
    let after = standing(&mut screen);
    assert!(after * 10 <= before * 12, "{before} posts and pegs, with scatter {after}");

    window(&mut screen).perform(vec![Command::Stage(Stage::Hold)], &ctx);
    screen.run_steps(4);
    assert!(screen.query_by_label("pegs found on the walk").is_some());
    let fence = FeatureId::new("west");
    window(&mut screen).session.selection = Selection::of(fence.clone());
    screen.run_steps(4);
    assert!(screen.query_by_label("Why these posts").is_some());
    let session = &window(&mut screen).session;
    let line = session.line_outcome(&fence).expect("a fence of the sample");
    let notes = words::section_notes(line, &session.cells_under(&line.section), session.units()).join(" ");
    assert!(notes.contains("whose heights scatter by 0.09") && notes.contains("smoothed over"), "{notes}");
    assert!(notes.contains("found on the first walk with the string"), "{notes}");
}
