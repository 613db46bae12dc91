//! Hours of work, and what else would cost.

use super::*;

#[test]
fn work_on_easy_ground_is_what_the_table_says() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[built(&plan, "a", &SQUARE, &[50.0])]);
    let hours = |task: Task| {
        let works: Vec<&Work> = order.labour.works.iter().filter(|work| work.task == task).collect();
        assert!(works.iter().all(|work| work.terrain == crate::order::Terrain::Easy), "{works:?}");
        works.iter().map(|work| work.hours).sum::<f64>()
    };
    // 35 line posts of 3 minutes, 6 others of 45 minutes, 396.4 m of two strands, a trench of 3.6 m; nobody knows from where posts are carried.
    assert!((hours(Task::LinePosts) - 35.0 * 0.05).abs() < 1e-9);
    assert!((hours(Task::StrainPosts) - 6.0 * 0.75).abs() < 1e-9);
    assert!((hours(Task::Strands) - 2.0 * 396.4 * 0.02 / 3.0).abs() < 1e-6);
    assert!((hours(Task::Digging) - 3.6 * 0.3).abs() < 1e-6 && is(hours(Task::Carrying), 0.0));
    let sum: f64 = order.labour.works.iter().map(|work| work.hours).sum();
    assert!((order.labour.hours - sum).abs() < 1e-9);
}

#[test]
fn posts_are_carried_from_the_nearest_track_and_rock_and_woods_slow_the_work_down() {
    let at = |x: f64, y: f64| Frame::near(MIDDLE).to_position(MapPoint::new(x, y));
    let mut plan = plan("ht-14ga");
    let track = Kind::Track(crate::plan::Track::default());
    plan.features.push(Feature::new(FeatureId::new("t"), track, Geometry::Line(vec![at(-10.0, -50.0), at(110.0, -50.0)])).into());
    let ring = vec![at(-5.0, -5.0), at(105.0, -5.0), at(105.0, 5.0), at(-5.0, 5.0), at(-5.0, -5.0)];
    let wood = Kind::Zone(crate::plan::Zone { of: "wood".to_owned(), value: None });
    plan.features.push(Feature::new(FeatureId::new("w"), wood, Geometry::Area(vec![ring])).into());
    let order = order_of(&plan, &[built(&plan, "a", &[(0.0, 0.0), (100.0, 0.0)], &[])]);
    let work = |task: Task| *order.labour.works.iter().find(|work| work.task == task).unwrap_or_else(|| panic!("{task:?}"));
    assert_eq!(work(Task::LinePosts).terrain, crate::order::Terrain::Steep);
    assert!((work(Task::Clearing).hours - 100.0 * 0.07).abs() < 1e-6);
    // 11 posts, 50 m away over level ground off the path: 6 exp(-0.175) x 0.6 km/h, a third slower under the load.
    let km_per_h = 6.0 * (-0.175_f64).exp() * 0.6;
    let each_h = 0.05 / (km_per_h * 0.7) + 0.05 / km_per_h;
    assert!((work(Task::Carrying).hours - 11.0 / 3.0 * each_h).abs() < 1e-6, "{:?}", work(Task::Carrying));
}

#[test]
fn one_more_strand_costs_what_the_order_with_it_costs_more() {
    let mut plan = plan("ht-14ga");
    std::sync::Arc::make_mut(&mut plan.head).builds[0].strands.push(Strand::live(Length::metres(0.7), "ht-14ga"));
    let lines = [built(&plan, "a", &SQUARE, &[50.0])];
    let now = order_of(&plan, &lines);
    let site = Site { frame: Frame::near(MIDDLE), footings: None };
    let line = &lines[0];
    let built_line = BuiltLine {
        id: &line.id,
        measure: &line.measure,
        section: &line.section,
        posts: &line.hold.posts,
        bays: &line.hold.bays,
        strains: &line.hold.strains,
        on_walk: None,
    };
    let found = variants(&plan, &[built_line], &site, Catalogue::built_in(), &now);
    assert_eq!(found.len(), 2, "{found:?}");
    assert_eq!(found[0].what, WhatIf::OneMoreStrand { height: Length::metres(0.33), wire: "ht-14ga".to_owned() });
    // Three strands of 415 m come out of two rolls of 805 m, four do not: one more of 80.5.
    assert!((found[0].adds - 80.5).abs() < 1e-9 && found[0].adds_h > 0.0, "{found:?}");
    assert!(matches!(&found[1].what, WhatIf::HeavierWire { to, .. } if to == "ht-12.5ga"), "{found:?}");
    // The heavier wire has no price in the plan: one item fewer is priced.
    assert!(found[1].adds < 0.0 && found[1].unpriced == 1, "{found:?}");
}
