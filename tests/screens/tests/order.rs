//! The stage Order: items open to their places, what is in the shed and what one costs are typed over.

use egui_kittest::kittest::Queryable;
use hillwire::order_view::ListedBy;
use hillwire::session::Stage;
use tests_screens::{Screen, click_on, fill, press_with_command, sample_screen, undone_next, window};

fn order_screen() -> Screen {
    let mut screen = sample_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1400.0));
    screen.run_steps(3);
    window(&mut screen).session.stage = Stage::Order;
    screen.run_steps(3);
    screen
}

#[test]
fn an_item_opens_to_the_places_that_make_its_count_and_shows_them() {
    let mut screen = order_screen();
    click_on(&mut screen, "Corner insulator");
    let session = &window(&mut screen).session;
    let item = session.opened_item().expect("it is open");
    let places: Vec<_> = item.why.iter().flat_map(|share| share.places.clone()).collect();
    assert!(!places.is_empty());
    let says = hillwire::words::taken_at(&places[0], session.plan(), session.units());
    let amount = hillwire::words::item_amount(places[0].amount, item, session.units());
    let wanted = session.outcome.map_point_of(session.plan(), &places[0]).expect("it lies on a line");
    click_on(&mut screen, &format!("{amount} · {says}"));
    let session = &window(&mut screen).session;
    assert!(session.view.centre.distance_m(wanted) < 0.01, "the place has come to the middle of the map");
    assert_eq!(session.selection.only(), Some(&places[0].feature));
    assert_eq!(session.stage, Stage::Order);
}

#[test]
fn a_price_and_what_is_in_the_shed_are_one_step_each() {
    let mut screen = order_screen();
    click_on(&mut screen, "Corner insulator");
    fill(&mut screen, "price of one", "1.25");
    assert_eq!(window(&mut screen).session.plan().head.prices.items.get("donut"), Some(&1.25));
    assert_eq!(undone_next(&mut screen), "the price of donut");
    fill(&mut screen, "in the shed", "2");
    assert_eq!(window(&mut screen).session.plan().head.on_hand.get("donut"), Some(&vec![2.0]));
    assert_eq!(undone_next(&mut screen), "what is in the shed of donut");
    let item = window(&mut screen).session.opened_item().expect("still open").clone();
    assert!((item.on_hand - 2.0).abs() < 1e-9 && item.price.is_some());
}

#[test]
fn items_are_listed_by_use_by_name_or_by_price() {
    let mut screen = order_screen();
    for (name, by) in [("Name", ListedBy::Name), ("Price", ListedBy::Price), ("Use", ListedBy::Use)] {
        click_on(&mut screen, name);
        assert_eq!(window(&mut screen).session.order_view.by, by);
    }
    assert!(screen.query_by_label("Total").is_some());
}

#[test]
fn prices_that_come_back_are_shown_first_and_taken_in_one_step() {
    let mut screen = order_screen();
    let folder = tempfile::tempdir().expect("a folder for the test");
    let path = folder.path().join("filled-in.csv");
    let sheet = "id,item,quantity,comes in,price of one,price,currency\ndonut,,1,pack of 10,12.50,,GBP\nghost,,1,piece,3,,GBP\n";
    std::fs::write(&path, sheet).expect("the folder is ours");
    let before = window(&mut screen).session.plan().head.clone();
    window(&mut screen).session.read_prices(&path);
    screen.run_steps(4);
    assert_eq!(window(&mut screen).session.plan().head, before, "nothing is taken yet");
    assert!(screen.query_by_label_contains("there is nothing called “ghost” here").is_some());
    click_on(&mut screen, "Take these prices");
    let session = &window(&mut screen).session;
    assert_eq!(session.plan().head.prices.items.get("donut"), Some(&1.25));
    assert!(session.plan().head.prices.dates.contains_key("donut"));
    assert_eq!(undone_next(&mut screen), "taking in 1 prices");
    press_with_command(&mut screen, egui::Key::Z);
    assert_eq!(window(&mut screen).session.plan().head, before);
}

#[test]
fn one_paddock_can_be_bought_first_and_the_rest_can_wait() {
    let mut screen = order_screen();
    let session = &mut window(&mut screen).session;
    let paddock = session.outcome.paddocks.iter().find(|paddock| !paddock.lines.is_empty()).expect("one is fenced").id.clone();
    session.perform_order(hillwire::order_view::OrderAsk::First(Some(paddock)));
    screen.run_steps(4);
    let session = &window(&mut screen).session;
    assert!(session.shown_order().total < session.outcome.order.total);
    assert!(session.shown_order().labour.hours < session.outcome.order.labour.hours);
    assert!(screen.query_by_label_contains("The rest can wait").is_some());
    assert!(screen.query_all_by_label_contains("one more strand at").next().is_some(), "what else would cost is listed");
}
