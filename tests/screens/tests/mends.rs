//! Mending what the checker found, from the card.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::map::used::DrawnBy;
use hillwire::session::{Selection, Stage};
use hillwire_core::finding::Rule;
use tests_screens::{Screen, press_with_command, sample_screen, window};

fn lifted(screen: &mut Screen) -> Vec<usize> {
    let outcome = window(screen).session.outcome.clone();
    let all = outcome.findings.iter().enumerate();
    all.filter(|(_, finding)| finding.rule == Rule::Uplift).map(|(index, _)| index).collect()
}

#[test]
fn a_mend_shows_what_it_takes_before_it_changes_anything_and_is_one_step_back() {
    let mut screen = sample_screen();
    let before = lifted(&mut screen);
    let line = window(&mut screen).session.outcome.findings[before[0]].place.line.clone().expect("on a line");
    let plan = window(&mut screen).session.plan().clone();
    window(&mut screen).session.stage = Stage::Hold;
    window(&mut screen).session.selection = Selection { finding: Some(before[0]), ..Selection::of(line) };
    screen.run_steps(3);
    let name = screen.query_all_by_label_contains("Mend…: Hold all 8 down").next().expect("the lifted posts can be held down");
    name.click_accesskit();
    screen.run_steps(4);
    let trial = window(&mut screen).session.trial.clone();
    assert!(trial.is_some(), "it was tried");
    let shown = screen.query_all_by_label_contains("8 more hold-down").count();
    assert_eq!(shown, 1, "the parts are shown first");
    assert_eq!(window(&mut screen).session.plan(), &plan, "nothing is changed yet");
    let name = screen.query_all_by_label_contains("Mend: Hold all 8 down").next().expect("it can be done now");
    name.click_accesskit();
    screen.run_steps(4);
    assert_eq!(lifted(&mut screen).len(), before.len() - 1);
    press_with_command(&mut screen, Key::Z);
    assert_eq!(window(&mut screen).session.plan(), &plan);
}

#[test]
fn the_map_shows_heights_loads_and_tension_of_the_lines_when_it_is_asked_to() {
    let mut screen = sample_screen();
    window(&mut screen).session.stage = Stage::Hold;
    screen.run_steps(2);
    for (name, drawn_by) in [("heights", DrawnBy::Heights), ("loads", DrawnBy::Loads), ("tension", DrawnBy::Tension)] {
        screen.get_by_label(name).click();
        screen.run_steps(3);
        assert_eq!(window(&mut screen).session.drawn_by, drawn_by);
        assert!(screen.query_by_label_contains("beyond what is allowed").is_some(), "the strokes are explained");
    }
}
