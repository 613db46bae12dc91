//! `hillwire recover`.

use crate::desk::{Desk, assert_fits, assert_keys, filled};
use hillwire_core::plan::{Head, Opened, Plan, Stamp, journal_line, read_plan};
use serde_json::Value;

/// A desk with a journal beside the sample, as a window leaves it that was killed.
fn with_a_journal() -> Desk {
    let desk = Desk::new();
    let Ok(Opened::Plan(plan, _)) = read_plan("the sample", &desk.read("brackenhope.plan.geojson")) else { panic!("a plan") };
    let head = Head { name: "Renamed and never saved".to_owned(), ..Head::clone(&plan.head) };
    let changed = Plan::new(head, plan.features.iter().map(|feature| feature.as_ref().clone()).collect());
    let at_ms = 1_764_510_000_000;
    let stamp = Stamp { number: 1, changes: 3, since_ms: at_ms, at_ms, ..Stamp::default() };
    desk.write("brackenhope.plan.geojson.journal", journal_line(None, &changed, stamp));
    desk
}

/// The number of the desk's own journal: whoever runs this may have some that wait.
fn number(desk: &Desk) -> Option<usize> {
    let ended = desk.run("recover brackenhope.plan.geojson --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let all = ended.json()["journals"].as_array().expect("a list").clone();
    let own = desk.path("brackenhope.plan.geojson.journal").canonicalize();
    let is_own = |one: &Value| {
        one["journal"].as_str().map(std::path::PathBuf::from).and_then(|at| at.canonicalize().ok()) == own.as_ref().ok().cloned()
    };
    all.iter().position(|one| own.is_ok() && is_own(one)).map(|index| index + 1)
}

#[test]
fn recover_lists_what_was_never_saved_and_writes_the_plan_with_it_elsewhere() {
    let desk = with_a_journal();
    let number = number(&desk).expect("it waits");
    let all = desk.run("recover brackenhope.plan.geojson --json").json();
    filled(&all, "journals").iter().for_each(|one| assert!(one["changes"].as_u64() > Some(0), "{one}"));
    assert_keys(&all["journals"][number - 1], "journal plan name changes since until");
    let told = desk.run("recover brackenhope.plan.geojson");
    assert!(told.out.contains("Renamed and never saved: 3 changes made"), "{}", told.out);
    assert_fits(&told.out);
    let ended = desk.run(&format!("recover brackenhope.plan.geojson --take {number} --out had-back.plan.geojson"));
    assert_eq!(ended.status, 0, "{ended:?}");
    let back = String::from_utf8(desk.read("had-back.plan.geojson")).expect("UTF-8");
    assert!(back.contains("Renamed and never saved") && back.contains("\"west\""));
    assert!(desk.names().contains(&"brackenhope.plan.geojson.journal".to_owned()), "the journal stays");
    assert_eq!(desk.run("check had-back.plan.geojson").status, desk.run("check brackenhope.plan.geojson").status);
}

#[test]
fn recover_refuses_numbers_that_nothing_has_and_never_writes_over_the_plan_or_the_journal() {
    let desk = with_a_journal();
    let number = number(&desk).expect("it waits");
    let before = desk.read("brackenhope.plan.geojson");
    let rows = [
        ("--take 0 --out had-back.plan.geojson".to_owned(), "--take: found 0"),
        ("--take 9999 --out had-back.plan.geojson".to_owned(), "--take: found 9999"),
        (format!("--take {number} --out brackenhope.plan.geojson --replace"), "this is the input itself"),
        (format!("--take {number} --out had-back.csv"), "found the ending .csv"),
    ];
    for (options, says) in rows {
        let ended = desk.run(&format!("recover brackenhope.plan.geojson {options}"));
        assert_eq!((ended.status, ended.err.contains(says)), (2, true), "{options}: {ended:?}");
    }
    assert_eq!(desk.read("brackenhope.plan.geojson"), before);
    assert!(!desk.names().iter().any(|name| name.starts_with("had-back")));
}

#[test]
fn a_journal_that_the_plan_file_holds_already_is_not_listed() {
    let desk = with_a_journal();
    let number_of = number(&desk).expect("it waits");
    let ended = desk.run(&format!("recover brackenhope.plan.geojson --take {number_of} --out had-back.plan.geojson"));
    assert_eq!(ended.status, 0, "{ended:?}");
    desk.write("brackenhope.plan.geojson", desk.read("had-back.plan.geojson"));
    assert_eq!(number(&desk), None);
}
