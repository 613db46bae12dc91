//! The stage Share: who gets a file, and a look at its sheets before it is saved.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::session::Stage;
use hillwire_core::share::{Part, Recipient};
use std::fs;
use tests_screens::{Screen, click_on, fill, sample_screen, window};

fn share_screen() -> Screen {
    let mut screen = sample_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1000.0));
    window(&mut screen).session.stage = Stage::Share;
    screen.run_steps(4);
    screen
}

#[test]
fn each_recipient_is_offered_only_what_they_may_see() {
    let mut screen = share_screen();
    for (who, recipient, offered, hidden) in [
        ("the neighbour", Recipient::Neighbour, "Web page (HTML)…", "Spreadsheet of the order (XLSX)…"),
        ("the supplier", Recipient::Supplier, "Spreadsheet of the order (XLSX)…", "Map file (GeoJSON)…"),
        ("whoever builds it", Recipient::Contractor, "Picture of the long section (PNG)…", "no such button"),
    ] {
        click_on(&mut screen, who);
        assert_eq!(window(&mut screen).session.share_view.to.audience.recipient, recipient);
        assert!(screen.query_by_label(offered).is_some(), "{who}: {offered}");
        assert!(screen.query_by_label(hidden).is_none(), "{who}: {hidden}");
    }
}

#[test]
fn what_one_recipient_is_shown_on_top_is_not_shown_to_the_next() {
    let mut screen = share_screen();
    let sees = |screen: &mut Screen| window(screen).session.share_view.to.audience.sees(Part::Findings);
    click_on(&mut screen, "the neighbour");
    assert!(!sees(&mut screen));
    click_on(&mut screen, "findings");
    assert!(sees(&mut screen) && screen.query_by_label("prices").is_none());
    click_on(&mut screen, "the supplier");
    assert!(screen.query_by_label("prices").is_some() && screen.query_by_label("findings").is_none());
    click_on(&mut screen, "the neighbour");
    assert!(!sees(&mut screen));
}

#[test]
fn the_sheets_are_seen_before_they_are_saved() {
    let mut screen = share_screen();
    click_on(&mut screen, "whoever builds it");
    fill(&mut screen, "whom to ask", "Ring the bell");
    assert_eq!(window(&mut screen).session.share_view.to.contact.as_deref(), Some("Ring the bell"));
    click_on(&mut screen, "Look at the sheets…");
    screen.run_steps(3);
    assert!(screen.query_by_label("Printed sheet").is_some());
    let all = window(&mut screen).session.share_view.looks.len();
    assert!(all >= 4, "{all}: map, long sections, order");
    click_on(&mut screen, "Next sheet");
    assert!(screen.query_by_label(&format!("sheet 2 of {all}")).is_some());
    click_on(&mut screen, "Close");
    let (ctx, folder) = (screen.ctx.clone(), tempfile::tempdir().expect("a folder"));
    let page = folder.path().join("page.html");
    window(&mut screen).perform(vec![Command::SharePath(page.clone())], &ctx);
    screen.run_steps(3);
    let page = fs::read_to_string(page).expect("written");
    assert!(page.contains("Ring the bell") && page.contains("What was found"));
}
