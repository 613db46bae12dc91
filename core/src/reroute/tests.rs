use super::*;
use crate::catalogue::Catalogue;
use crate::job::Job;
use crate::land::fixture::{grid, hills};
use crate::land::{Ground, MapPoint, MapRect};
use crate::outcome::{Kept, Outcome, outcome};
use crate::plan::{CornerChoice, Feature, FeatureId, Fence, Gate, Geometry, Head, Kind, Plan, Track, Zone};
use crate::units::Length;
use proptest::prelude::*;
use std::sync::Arc;

/// A plan on its ground, with the fence `line`.
struct Scene {
    ground: Ground,
    features: Vec<Feature>,
}

impl Scene {
    fn on(cells: crate::land::Grid) -> Self {
        let frame = Ground::frame_of(&cells).expect("in UTM");
        Self { ground: Ground::new(Arc::new(cells), frame).expect("in UTM"), features: Vec::new() }
    }

    /// A place so far east and north of the middle.
    fn place(&self, (east_m, north_m): (f64, f64)) -> MapPoint {
        self.ground.extent().centre() + MapPoint::new(east_m, north_m)
    }

    fn with(mut self, id: &str, kind: Kind, places: &[(f64, f64)]) -> Self {
        let at = |place: &(f64, f64)| self.ground.frame().to_position(self.place(*place));
        let geometry = match (&kind, places) {
            (Kind::Gate(_), [one]) => Geometry::Point(at(one)),
            (Kind::Zone(_) | Kind::Building { .. }, _) => Geometry::Area(vec![places.iter().map(at).collect()]),
            _ => Geometry::Line(places.iter().map(at).collect()),
        };
        self.features.push(Feature::new(FeatureId::new(id), kind, geometry));
        self
    }

    fn fence(self, places: &[(f64, f64)]) -> Self {
        self.with("line", Kind::Fence(Fence::default()), places)
    }

    fn worked_out(self) -> Worked {
        let plan = Plan::new(Head::default(), self.features);
        let outcome = outcome(&plan, 7, Some(&self.ground), Catalogue::built_in(), &mut Kept::new());
        Worked { line: FeatureId::new("line"), ground: self.ground, plan, outcome }
    }
}

struct Worked {
    ground: Ground,
    plan: Plan,
    outcome: Outcome,
    line: FeatureId,
}

impl Worked {
    fn asked(&self) -> Asked<'_> {
        Asked {
            plan: &self.plan,
            ground: Some(&self.ground),
            outcome: &self.outcome,
            catalogue: Catalogue::built_in(),
            line: &self.line,
        }
    }

    fn courses(&self) -> Courses {
        courses(self.asked(), Weights::USUAL, None, &Job::new()).expect("may move")
    }

    fn corners(&self, plan: &Plan) -> Vec<MapPoint> {
        let corners = plan.feature(&self.line).and_then(|line| line.line()).expect("a line");
        corners.iter().map(|at| self.ground.frame().to_map(*at).expect("on the map")).collect()
    }
}

fn keep_out() -> Kind {
    Kind::Zone(Zone { of: "keep_out".to_owned(), ..Zone::default() })
}

fn flat() -> crate::land::Grid {
    grid(80, 80, 10.0, vec![300.0; 6400])
}

fn square(middle: (f64, f64), half_m: f64) -> Vec<(f64, f64)> {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
        .map(|(east, north)| (middle.0 + half_m * east, middle.1 + half_m * north))
        .to_vec()
}

#[test]
fn on_flat_ground_with_nothing_in_the_way_the_straight_line_stands() {
    let worked = Scene::on(flat()).fence(&[(-200.0, -31.0), (187.0, 44.0)]).worked_out();
    let courses = worked.courses();
    assert_eq!(courses.found.len(), 0, "{:?}", courses.found);
    assert_eq!(courses.stands, [Aim::Cheapest, Aim::FewestStrikes]);
    let detour = Scene::on(flat()).fence(&[(-200.0, -31.0), (0.0, 150.0), (187.0, 44.0)]).worked_out();
    let courses = detour.courses();
    assert_eq!(courses.found.len(), 1, "one straight course for all aims");
    assert_eq!(courses.found[0].points.len(), 2, "{:?}", courses.found[0].points);
    assert_eq!(detour.corners(&courses.found[0].plan).len(), 2);
}

#[test]
fn ground_that_is_kept_out_of_buildings_the_boundary_and_other_fences_are_gone_round() {
    let fence = || Scene::on(flat()).fence(&[(-200.0, 0.0), (200.0, 0.0)]);
    let wall = [(0.0, -300.0), (0.0, 60.0)];
    let scenes = [
        ("ground that is kept out of", fence().with("zone", keep_out(), &square((0.0, 10.0), 50.0))),
        ("a building", fence().with("barn", Kind::Building { mains: false }, &square((0.0, 10.0), 50.0))),
        ("the boundary", fence().with("edge", Kind::Boundary { neighbour: None }, &wall)),
        ("another fence", fence().with("other", Kind::Fence(Fence::default()), &wall)),
    ];
    for (name, scene) in scenes {
        let worked = scene.worked_out();
        let courses = worked.courses();
        assert!(courses.drawn.barred > 0, "{name}: the drawn one runs through it");
        let found = courses.of(Aim::Cheapest).unwrap_or_else(|| panic!("{name}: nothing found"));
        assert_eq!(found.amounts.barred, 0, "{name}");
        assert!(found.amounts.map_m < 440.0, "{name}: round the near side, {} m", found.amounts.map_m);
    }
}

#[test]
fn a_fence_keeps_room_to_work_beside_another_one() {
    let other = Kind::Fence(Fence::default());
    let worked =
        Scene::on(flat()).fence(&[(-200.0, 0.8), (200.0, 0.8)]).with("other", other, &[(-150.0, 0.0), (150.0, 0.0)]).worked_out();
    let courses = worked.courses();
    assert!(courses.drawn.beside_m > 290.0, "{:?}", courses.drawn);
    let found = courses.of(Aim::Cheapest).expect("somewhere else");
    assert!(found.amounts.beside_m < 30.0 && found.amounts.map_m < 405.0, "{:?}", found.amounts);
}

#[test]
fn a_shut_in_end_leaves_the_drawn_course() {
    let worked =
        Scene::on(flat()).fence(&[(-200.0, 0.0), (0.0, 0.0)]).with("zone", keep_out(), &square((0.0, 0.0), 50.0)).worked_out();
    let courses = worked.courses();
    assert!(courses.found.is_empty() && courses.stands.contains(&Aim::Cheapest));
}

#[test]
fn gates_joints_and_corners_of_which_something_is_said_stay() {
    let said = Fence { corners: [(2, CornerChoice { brace: Some(true), ..CornerChoice::default() })].into(), ..Fence::default() };
    let worked = Scene::on(hills(90, 90, 10.0))
        .with("line", Kind::Fence(said), &[(-300.0, -150.0), (-180.0, 60.0), (-60.0, -20.0), (60.0, 140.0), (320.0, 40.0)])
        .with("gate", Kind::Gate(Gate { width: Some(Length::metres(4.0)), ..Gate::default() }), &[(190.0, 90.0)])
        .with("other", Kind::Fence(Fence::default()), &[(120.0, 300.0), (125.0, 115.0)])
        .worked_out();
    let courses = worked.courses();
    assert!(!courses.found.is_empty(), "{courses:?}");
    let before = worked.outcome.lines.iter().find(|line| line.id == worked.line).expect("worked out");
    let gate_bays = before.hold.bays.iter().filter(|bay| bay.gate.is_some()).count();
    for found in &courses.found {
        let corners = worked.corners(&found.plan);
        let nearest_m = |at: MapPoint| {
            corners.windows(2).map(|leg| crate::hold::along::distance_m(at, leg[0], leg[1])).fold(f64::INFINITY, f64::min)
        };
        for place in [(-300.0, -150.0), (-60.0, -20.0), (320.0, 40.0)] {
            let at = worked.ground.extent().centre() + MapPoint::new(place.0, place.1);
            assert!(corners.iter().any(|corner| corner.distance_m(at) < 0.01), "{place:?} of {corners:?}");
        }
        for place in [(190.0, 90.0), (125.0, 115.0)] {
            assert!(nearest_m(worked.ground.extent().centre() + MapPoint::new(place.0, place.1)) < 0.05, "{place:?}");
        }
        let Some(Kind::Fence(fence)) = found.plan.feature(&worked.line).map(|line| &line.kind) else { panic!("a fence") };
        let kept: Vec<usize> = fence.corners.keys().copied().collect();
        let at = worked.ground.extent().centre() + MapPoint::new(-60.0, -20.0);
        assert!(kept.len() == 1 && corners[kept[0]].distance_m(at) < 0.01, "the choice went with its corner: {kept:?}");
        for id in ["gate", "other"].map(FeatureId::new) {
            let places = |plan: &Plan| plan.feature(&id).map(|feature| feature.places()).unwrap_or_default();
            let moved = places(&found.plan).into_iter().zip(places(&worked.plan));
            let far_e9 = moved.map(|(one, other)| (one.lon_e9 - other.lon_e9).abs().max((one.lat_e9 - other.lat_e9).abs())).max();
            assert!(far_e9.is_some_and(|far| far <= 10), "{id} stays to a millimetre: {far_e9:?}");
        }
        let after = outcome(&found.plan, 0, Some(&worked.ground), Catalogue::built_in(), &mut Kept::new());
        let after = after.lines.iter().find(|line| line.id == worked.line).expect("worked out");
        assert_eq!(after.hold.bays.iter().filter(|bay| bay.gate.is_some()).count(), gate_bays);
    }
}

#[test]
fn a_closed_line_keeps_its_corners() {
    let ring = [(-150.0, -150.0), (150.0, -150.0), (150.0, 150.0), (-150.0, 150.0), (-150.0, -150.0)];
    let worked = Scene::on(hills(90, 90, 10.0)).fence(&ring).worked_out();
    for found in worked.courses().found {
        let corners = worked.corners(&found.plan);
        for place in ring {
            let at = worked.ground.extent().centre() + MapPoint::new(place.0, place.1);
            assert!(corners.iter().any(|corner| corner.distance_m(at) < 0.01), "{place:?}");
        }
        assert!(found.amounts.cost(&Weights::USUAL).is_finite());
    }
}

#[test]
fn a_line_that_goes_round_ground_with_others_keeps_its_corners_and_a_spur_does_not() {
    let bent = [(-150.0, -150.0), (-150.0, 150.0), (150.0, 150.0), (150.0, -150.0)];
    let other = Kind::Fence(Fence::default());
    for (name, closing, kept) in [
        ("closed by another", vec![(-150.0, -150.0), (150.0, -150.0)], true),
        ("joined at one end", vec![(-150.0, -150.0), (-250.0, -350.0)], false),
    ] {
        let worked = Scene::on(flat()).fence(&bent).with("other", other.clone(), &closing).worked_out();
        let courses = worked.courses();
        assert_eq!(courses.found.is_empty(), kept, "{name}: {:?}", courses.found);
        assert!(courses.found.iter().all(|found| found.points.len() == 2), "{name}");
    }
}

#[test]
fn the_course_nearest_to_a_track_runs_beside_it_and_does_not_cross_it() {
    let track = [(-390.0, -100.0), (-150.0, -70.0), (150.0, -70.0), (390.0, -100.0)];
    let worked =
        Scene::on(flat()).fence(&[(-250.0, 0.0), (250.0, 0.0)]).with("track", Kind::Track(Track::default()), &track).worked_out();
    let courses = worked.courses();
    let found = courses.of(Aim::ClosestToTrack).expect("something nearer than 70 m");
    assert!(found.amounts.ways < 0.5 && found.amounts.walks < 0.5 * courses.drawn.walks, "{:?}", found.amounts);
    let beside = worked.ground.extent().centre() + MapPoint::new(0.0, -70.0);
    let legs = found.points.windows(2);
    let nearest_m = legs.map(|leg| crate::hold::along::distance_m(beside, leg[0], leg[1])).fold(f64::INFINITY, f64::min);
    assert!((2.5..20.0).contains(&nearest_m), "{nearest_m}");
}

#[test]
fn coarse_ground_short_lines_and_what_is_no_fence_are_refused() {
    let asked = |worked: &Worked| courses(worked.asked(), Weights::USUAL, None, &Job::new()).map(|_| ()).expect_err("refused");
    let coarse = Scene::on(grid(40, 40, 30.0, vec![300.0; 1600])).fence(&[(-200.0, 0.0), (200.0, 0.0)]).worked_out();
    assert_eq!(asked(&coarse), NoCourse::TooCoarse);
    let short = Scene::on(flat()).fence(&[(-10.0, 0.0), (15.0, 0.0)]).worked_out();
    assert_eq!(asked(&short), NoCourse::NothingMoves);
    let none = Scene::on(flat()).with("line", Kind::Track(Track::default()), &[(-100.0, 0.0), (100.0, 0.0)]).worked_out();
    assert_eq!(asked(&none), NoCourse::NoFence(FeatureId::new("line")));
    let job = Job::new();
    job.cancel();
    let hilly = Scene::on(hills(60, 60, 10.0)).fence(&[(-200.0, 0.0), (200.0, 0.0)]).worked_out();
    let stopped = courses(hilly.asked(), Weights::USUAL, None, &job).map(|_| ());
    assert!(matches!(stopped, Err(NoCourse::Cancelled(_))), "{stopped:?}");
}

#[test]
fn strikes_by_laid_out_steps_are_those_of_the_runners() {
    let worked = Scene::on(hills(60, 60, 10.0)).fence(&[(-210.0, -150.0), (130.0, 33.0), (190.0, -80.0)]).worked_out();
    let runners = worked.outcome.runners.as_deref().expect("known");
    let everywhere = MapRect { min: MapPoint::new(-1e6, -1e6), max: MapPoint::new(1e6, 1e6) };
    let steps = runners.steps(everywhere);
    let mut sum = 0.0;
    worked.corners(&worked.plan).windows(2).for_each(|leg| steps.each_strike(leg[0], leg[1], |strikes, _| sum += strikes));
    let line = worked.outcome.lines[0].runs.as_deref().expect("known").strikes();
    assert!(line > 0.05 && (sum / line - 1.0).abs() < 1e-9, "{sum} and {line}");
    let setting = Setting::of(worked.asked()).expect("may move");
    let along = setting.amounts(&setting.drawn()).strikes();
    assert!((along / line - 1.0).abs() < 1e-9, "{along} and {line}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn a_course_never_costs_more_than_the_drawn_one_under_the_same_weights(
        from in (-380.0..-150.0_f64, -300.0..300.0_f64), over in (-100.0..100.0_f64, -300.0..300.0_f64), to in (150.0..380.0_f64, -300.0..300.0_f64),
        factors in proptest::array::uniform5(0.0..4.0_f64),
    ) {
        let worked = Scene::on(hills(90, 90, 10.0)).fence(&[from, over, to]).worked_out();
        let usual = Weights::USUAL;
        let weights = Weights {
            slope: usual.slope * factors[0],
            gap: usual.gap * factors[1],
            strike: usual.strike * factors[2],
            corner: usual.corner * factors[3],
            metre: usual.metre * (0.2 + factors[4]),
            ..usual
        };
        let setting = Setting::of(worked.asked()).expect("may move");
        let drawn = setting.amounts(&setting.drawn()).cost(&weights);
        let course = setting.cheapest(weights, &Job::new()).expect("not cancelled");
        prop_assert!(setting.amounts(&course).cost(&weights) <= drawn);
        prop_assert_eq!(&course, &setting.cheapest(weights, &Job::new()).expect("not cancelled"), "and is found again");
        let drawn = setting.drawn();
        prop_assert_eq!(course.first(), drawn.first());
        prop_assert_eq!(course.last(), drawn.last());
    }

    #[test]
    fn fine_ground_is_judged_on_fine_cells_and_no_aim_is_worse_than_the_drawn_course(turn in 0.0..3.1_f64) {
        let (sin, cos) = turn.sin_cos();
        let worked = Scene::on(hills(240, 240, 1.5)).fence(&[(-110.0 * cos, -110.0 * sin), (110.0 * cos, 110.0 * sin)]).worked_out();
        let courses = worked.courses();
        for aim in Aim::ALL {
            let weights = aim.weights(Weights::USUAL);
            if let Some(found) = courses.of(aim) {
                prop_assert!(found.amounts.cost(&weights) < courses.drawn.cost(&weights));
            }
        }
        for found in &courses.found {
            let corners = worked.corners(&found.plan);
            prop_assert_eq!(corners.len(), found.points.len());
            prop_assert!(corners.iter().zip(&found.points).all(|(one, other)| one.distance_m(*other) < 0.001));
        }
    }
}
