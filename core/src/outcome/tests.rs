//! What is kept between calls changes the time, never the result.

use super::{Kept, Outcome, outcome};
use crate::catalogue::Catalogue;
use crate::land::fixture::grid;
use crate::land::{Ground, Position};
use crate::plan::{Build, Feature, FeatureId, Fence, Gate, Geometry, Head, Kind, LeadOut, Paddock, Plan, Strand, Track, Zone};
use crate::units::{Force, Length};
use serde_json::json;
use std::sync::{Arc, OnceLock};

const CELLS: usize = 240;

/// Rolling ground, 240 x 240 cells of 1 m.
fn ground() -> &'static Ground {
    static GROUND: OnceLock<Ground> = OnceLock::new();
    GROUND.get_or_init(|| {
        let height = |k: usize| {
            let (x, y) = ((k % CELLS) as f64, (k / CELLS) as f64);
            (300.0 + 0.3 * y + 6.0 * (x / 23.0).sin() * (y / 31.0).cos() + 0.15 * (x / 2.3).sin()) as f32
        };
        let grid = grid(CELLS, CELLS, 1.0, (0..CELLS * CELLS).map(height).collect());
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    })
}

fn at(east_m: f64, south_m: f64) -> Position {
    ground().frame().to_position(ground().to_map(east_m, south_m))
}

fn line(places: &[(f64, f64)]) -> Geometry {
    Geometry::Line(places.iter().map(|(x, y)| at(*x, *y)).collect())
}

fn fence() -> Kind {
    Kind::Fence(Fence { build: "two".to_owned(), ..Fence::default() })
}

fn head(max_bay_m: f64) -> Head {
    let strand = |height_m: f64| Strand::live(Length::metres(height_m), "ht-14ga");
    let build = Build {
        id: "two".to_owned(),
        strands: vec![strand(0.2), strand(0.45)],
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(max_bay_m),
        tension: Force::newtons(450.0),
        ..Build::default()
    };
    Head { builds: vec![build], ..Head::default() }
}

fn plan() -> Plan {
    let zone = Zone { of: "rock".to_owned(), value: Some(json!(0.3)) };
    let ring: Vec<Position> =
        [(120.0, 120.0), (120.0, 160.0), (160.0, 160.0), (160.0, 120.0), (120.0, 120.0)].map(|(x, y)| at(x, y)).to_vec();
    let features = [
        ("west", fence(), line(&[(40.0, 40.0), (40.0, 140.0), (140.0, 140.0), (140.0, 40.0), (40.0, 40.0)])),
        ("east", fence(), line(&[(140.0, 40.0), (200.0, 40.0), (200.0, 140.0), (140.0, 140.0)])),
        ("lead", Kind::LeadOut(LeadOut::default()), line(&[(10.0, 200.0), (40.0, 140.0)])),
        ("gate", Kind::Gate(Gate::default()), Geometry::Point(at(40.0, 90.0))),
        ("track", Kind::Track(Track::default()), line(&[(10.0, 210.0), (100.0, 190.0), (220.0, 180.0)])),
        ("rock", Kind::Zone(zone), Geometry::Area(vec![ring])),
        (
            "beck",
            Kind::Stream { width: None, seasonal: false, culvert: false },
            line(&[(100.0, 10.0), (90.0, 120.0), (100.0, 230.0)]),
        ),
        ("path", Kind::PublicWay { use_by: None }, line(&[(20.0, 20.0), (230.0, 60.0)])),
        ("march", Kind::Boundary { neighbour: None }, line(&[(20.0, 90.0), (230.0, 95.0)])),
        ("paddock-west", Kind::Paddock(Paddock::default()), Geometry::Point(at(90.0, 90.0))),
        ("paddock-east", Kind::Paddock(Paddock::default()), Geometry::Point(at(170.0, 90.0))),
    ];
    Plan::new(head(8.0), features.map(|(id, kind, geometry)| Feature::new(FeatureId::new(id), kind, geometry)).to_vec())
}

fn afresh(plan: &Plan, ground: Option<&Ground>) -> Outcome {
    outcome(plan, 7, ground, Catalogue::built_in(), &mut Kept::new())
}

/// A number that looks random and is the same every time.
fn draw(state: &mut u64, below: usize) -> usize {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 33) as usize % below
}

/// Moves, deletes, copies, pinned posts and changes of the head, at random.
fn change(plan: &mut Plan, state: &mut u64) {
    let index = draw(state, plan.features.len());
    match draw(state, 12) {
        0 => plan.head = Arc::new(head([6.0, 8.0, 10.0][draw(state, 3)])),
        1 if plan.features.len() > 3 => drop(plan.features.remove(index)),
        2 => {
            let mut copy = plan.features[index].as_ref().clone();
            copy.id = FeatureId::new(&format!("copy-{}", draw(state, 1_000_000)));
            plan.features.push(Arc::new(copy));
        }
        3 | 4 => {
            if let Kind::Fence(fence) = &mut Arc::make_mut(&mut plan.features[index]).kind {
                fence.posts = vec![Length::metres(10.0 + draw(state, 80) as f64)];
            }
        }
        _ => {
            let (east_m, south_m) = (draw(state, 600) as f64 / 100.0 - 3.0, draw(state, 600) as f64 / 100.0 - 3.0);
            let origin = at(100.0, 100.0);
            let to = at(100.0 + east_m, 100.0 + south_m);
            let shift = |place: &mut Position| {
                place.lon_e9 += to.lon_e9 - origin.lon_e9;
                place.lat_e9 += to.lat_e9 - origin.lat_e9;
            };
            match &mut Arc::make_mut(&mut plan.features[index]).geometry {
                Geometry::Point(place) => shift(place),
                Geometry::Line(corners) => {
                    let corner = draw(state, corners.len());
                    shift(&mut corners[corner]);
                }
                Geometry::Area(rings) => rings.iter_mut().flatten().for_each(shift),
                Geometry::Other(_) => {}
            }
        }
    }
}

#[test]
fn what_is_kept_gives_the_same_outcome_as_working_afresh() {
    for seed in 1..=6 {
        let (mut plan, mut kept, mut state) = (plan(), Kept::new(), seed);
        let mut before: Vec<Plan> = Vec::new();
        for step in 0..25 {
            let ground = (draw(&mut state, 8) > 0).then(ground);
            let found = outcome(&plan, 7, ground, Catalogue::built_in(), &mut kept);
            assert_eq!(found, afresh(&plan, ground), "seed {seed}, step {step}");
            before.push(plan.clone());
            if draw(&mut state, 5) == 0 {
                // Undo brings earlier allocations back.
                plan = before[draw(&mut state, before.len())].clone();
            } else {
                change(&mut plan, &mut state);
            }
        }
    }
}

#[test]
fn lines_that_nothing_touched_are_not_worked_out_again() {
    let (mut plan, mut kept) = (plan(), Kept::new());
    let first = outcome(&plan, 1, Some(ground()), Catalogue::built_in(), &mut kept);
    if let Geometry::Line(corners) = &mut Arc::make_mut(&mut plan.features[1]).geometry {
        corners[1] = at(203.0, 42.0);
    }
    let second = outcome(&plan, 2, Some(ground()), Catalogue::built_in(), &mut kept);
    let is_same = |index: usize| Arc::ptr_eq(&first.lines[index], &second.lines[index]);
    assert_eq!([is_same(0), is_same(1), is_same(2)], [true, false, true]);
}

#[test]
fn the_pulse_is_not_worked_out_again_where_only_a_post_or_a_track_has_moved() {
    let (mut plan, mut kept) = (plan(), Kept::new());
    let mut worked_out = |plan: &Plan| outcome(plan, 1, Some(ground()), Catalogue::built_in(), &mut kept).power;
    let first = worked_out(&plan);
    let mut changed = |index: usize, change: &dyn Fn(&mut Feature)| {
        change(Arc::make_mut(&mut plan.features[index]));
        worked_out(&plan)
    };
    let post = changed(0, &|feature| {
        if let Kind::Fence(fence) = &mut feature.kind {
            fence.posts = vec![Length::metres(12.0)];
        }
    });
    assert!(Arc::ptr_eq(&first, &post));
    let track = changed(4, &|feature| {
        if let Geometry::Line(corners) = &mut feature.geometry {
            corners[0] = at(12.0, 212.0);
        }
    });
    assert!(Arc::ptr_eq(&first, &track));
    let growth = changed(0, &|feature| {
        if let Kind::Fence(fence) = &mut feature.kind {
            fence.vegetation = Some("overgrown".to_owned());
        }
    });
    assert!(!Arc::ptr_eq(&first, &growth) && *first != *growth);
}

#[test]
fn an_unknown_build_leaves_the_line_without_posts_and_says_why() {
    let mut plan = plan();
    plan.head = Arc::new(Head { builds: Vec::new(), ..head(8.0) });
    let found = afresh(&plan, Some(ground()));
    assert!(found.lines[0].hold.posts.is_empty() && found.lines[0].trouble.is_some());
    assert!(found.lines[0].measure.plan_length > Length::metres(399.0), "its lengths are known all the same");
    assert!(!found.lines[2].hold.posts.is_empty() && found.lines[2].trouble.is_none(), "the lead-out has no build to miss");
}

#[test]
fn a_plan_without_ground_has_lengths_and_paddocks_on_the_map() {
    let found = afresh(&plan(), None);
    let metres = found.lines[0].measure.plan_length.as_metres();
    // UTM shrinks the ground by 1 in 2500.
    assert!((metres - 400.16).abs() < 0.02, "{metres}");
    let areas: Vec<f64> = found.paddocks.iter().map(|paddock| paddock.area.as_square_metres()).collect();
    assert!((areas[0] - 10_008.0).abs() < 1.0 && (areas[1] - 6_004.8).abs() < 1.0, "{areas:?}");
}

#[test]
fn an_empty_plan_has_an_empty_outcome() {
    let found = afresh(&Plan::new(Head::default(), Vec::new()), None);
    assert_eq!(found, Outcome { revision: 7, frame: found.frame, ..Outcome::default() });
}
