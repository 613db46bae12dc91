//! The stage Round: what an inspection goes along.

use egui_kittest::kittest::Queryable;
use hillwire::session::Stage;
use tests_screens::{sample_screen, screen, window};

#[test]
fn without_a_fence_the_round_says_what_is_wanted() {
    let mut screen = screen();
    window(&mut screen).session.stage = Stage::Round;
    screen.run_steps(3);
    assert!(screen.query_by_label_contains("Nothing to go round yet").is_some());
}

#[test]
fn the_round_says_how_much_fence_there_is_and_what_to_mind() {
    let mut screen = sample_screen();
    window(&mut screen).session.stage = Stage::Round;
    screen.run_steps(3);
    assert!(screen.query_by_label("fence to look along").is_some());
    assert!(screen.query_by_label_contains("Tell somebody where you go").is_some());
}
