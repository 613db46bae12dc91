//! A pig fence of 500 m over two pieces of real ground that are not part of the project: what must hold there, whatever the numbers.
//! They are read where the environment variable HILLWIRE_GROUND names their folder;
//! what is left out without it is said.
//!
//! Sources: the band and the longest bay are the build's own; the share of tension that friction may leave is `common-practice`; that cells of
//! 10 m cannot tell dips under bays of 8 m is `grid-trial`.

#![expect(clippy::print_stderr, reason = "how long a line takes on real ground is told, not asserted")]

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Reason, Rule};
use hillwire_core::hold::strain::LEAST_SHARE;
use hillwire_core::hold::{Bay, FootingMap, LineHold, Post, PostWhy, Section, Terrain, line_hold, section};
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, MapPoint, read_grid};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Build, Feature, FeatureId, Fence, Geometry, Head, Kind, Plan, Strand, Zone};
use hillwire_core::units::{Force, Length};
use std::sync::Arc;
use std::time::Instant;
use tests_published::further_ground;

/// Strands are judged to the nearest centimetre: nobody sets a wire closer.
const HAND_M: f64 = 0.005;

struct OnGround {
    plan: Plan,
    ground: Ground,
    outcome: Outcome,
}

/// Three strands of thin wire on steel posts.
fn pig_build() -> Build {
    Build {
        id: "pig-3".to_owned(),
        strands: [0.15, 0.35, 0.60].map(|height_m| Strand::live(Length::metres(height_m), "ht-14ga")).to_vec(),
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(8.0),
        tension: Force::newtons(450.0),
        ..Build::default()
    }
}

/// A pig fence along these cells (column, row) of a grid; `None` where the ground is not laid out.
fn pig_fence(name: &str, cells: &[(f64, f64)]) -> Option<OnGround> {
    let bytes = std::fs::read(further_ground(name)?).unwrap_or_else(|error| panic!("{name}: {error}"));
    let grid =
        read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).unwrap_or_else(|error| panic!("{name}: {error}"));
    let grid = Arc::new(grid);
    let frame = Ground::frame_of(&grid).expect("in a known system");
    let ground = Ground::new(grid, frame).expect("in a known system");
    let corners = cells.iter().map(|(column, row)| frame.to_position(ground.to_map(*column, *row))).collect();
    let fence = Kind::Fence(Fence { build: "pig-3".to_owned(), ..Fence::default() });
    let line = Feature::new(FeatureId::new("line"), fence, Geometry::Line(corners));
    let plan = Plan::new(Head { builds: vec![pig_build()], ..Head::default() }, vec![line]);
    tell_times(name, &plan, &ground);
    Some(OnGround::of(plan, ground))
}

/// How long the steps take, for whoever reads the test's output: nothing is asserted about it.
fn tell_times(name: &str, plan: &Plan, ground: &Ground) {
    let (line, all) = (&plan.features[0], Catalogue::built_in());
    let corners: Vec<_> = line.line().expect("a line").iter().map(|at| ground.frame().to_map(*at).expect("near")).collect();
    let start = Instant::now();
    let section = section(&line.id, &corners, Some(ground), &[]);
    let sampled = start.elapsed();
    let footings = FootingMap::of(plan, ground.frame(), all).expect("a listed soil");
    let terrain = Terrain { footings: &footings, ground: Some(ground), clearance: None, placed: None };
    let hold = line_hold(plan, line, &section, &[], terrain, all).expect("a whole build");
    let held = start.elapsed() - sampled;
    outcome(plan, 1, Some(ground), all, &mut Kept::new());
    let whole = start.elapsed() - held - sampled;
    eprintln!("{name}: {} posts; section {sampled:?}, posts {held:?}, all with the checks {whole:?}", hold.posts.len());
}

impl OnGround {
    fn of(plan: Plan, ground: Ground) -> Self {
        let outcome = outcome(&plan, 1, Some(&ground), Catalogue::built_in(), &mut Kept::new());
        assert_eq!(outcome.lines.len(), 1);
        Self { plan, ground, outcome }
    }
    /// The same where no post may stand within three metres of a station.
    fn without_posts_at(self, station: Length) -> Self {
        let Self { plan, ground, outcome } = self;
        let at = outcome.lines[0].section.sample_at_station(station.as_metres()).expect("on the line").at;
        let around = [(-3.0, -3.0), (3.0, -3.0), (3.0, 3.0), (-3.0, 3.0), (-3.0, -3.0)];
        let ring = around.map(|(east, north)| ground.frame().to_position(at + MapPoint::new(east, north)));
        let zone = Kind::Zone(Zone { of: "keep_out".to_owned(), ..Zone::default() });
        let zone = Feature::new(FeatureId::new("pond"), zone, Geometry::Area(vec![ring.to_vec()]));
        let line = plan.features[0].as_ref().clone();
        Self::of(Plan::new((*plan.head).clone(), vec![line, zone]), ground)
    }
    fn hold(&self) -> &LineHold {
        &self.outcome.lines[0].hold
    }
    fn section(&self) -> &Section {
        &self.outcome.lines[0].section
    }
    fn build(&self) -> &Build {
        self.plan.build("pig-3").expect("the head's")
    }
    fn findings(&self, rule: Rule) -> Vec<&Finding> {
        self.outcome.findings.iter().filter(|finding| finding.rule == rule).collect()
    }
    /// Bays in which a strand is too high, and those in which one is too low, by more than the scatter of the grid may feign.
    fn out_of_band(&self) -> [Vec<&Bay>; 2] {
        let bands: Vec<(Length, Length)> = self.build().strands.iter().map(|strand| strand.clearance_band()).collect();
        let over = |bay: &Bay| {
            bay.strands.iter().zip(&bands).any(|(gap, band)| (gap.highest_gap - band.1 - bay.error).as_metres() > HAND_M)
        };
        let under = |bay: &Bay| {
            bay.strands.iter().zip(&bands).any(|(gap, band)| (band.0 - gap.lowest_gap - bay.error).as_metres() > HAND_M)
        };
        let bays = &self.hold().bays;
        [bays.iter().filter(|bay| over(bay)).collect(), bays.iter().filter(|bay| under(bay)).collect()]
    }
}

fn within(bay: &Bay, finding: &Finding) -> bool {
    let (from, until) = (finding.place.station.expect("a stretch"), finding.place.until.expect("a stretch"));
    from.as_metres() <= bay.from.as_metres() + 0.01 && bay.to.as_metres() <= until.as_metres() + 0.01
}

/// What holds on any ground.
fn stands(line: &OnGround) {
    let (hold, build) = (line.hold(), line.build());
    assert!((line.section().samples.last().expect("sampled").plan_m - 500.0).abs() < 0.5);
    assert!(line.section().samples.iter().all(|sample| sample.ground_m.is_some()));
    for pair in hold.posts.windows(2) {
        let bay_m = pair[1].plan_m - pair[0].plan_m;
        assert!(bay_m > 0.0 && bay_m <= build.max_bay.as_metres() + 1e-6, "{bay_m} m after {:?}", pair[0].station);
    }
    let last = hold.posts.len() - 1;
    for (index, post) in hold.posts.iter().enumerate() {
        explained(post, index == 0 || index == last);
    }
    even_bays_are_no_better(hold);
    friction_leaves_enough(hold);
}

fn explained(post: &Post, is_end: bool) {
    match post.why {
        PostWhy::End => assert!(is_end, "{post:?}"),
        PostWhy::Band { off, at, .. } => {
            // Half a centimetre of sag may be what tips the balance over a rise.
            assert!(off.as_metres() > 0.10 - 1e-9 || off.as_metres() < -0.06, "{post:?}");
            assert!((at - post.station).as_metres().abs() < 20.0, "{post:?}");
        }
        PostWhy::LongestBay | PostWhy::Spacing => {}
        PostWhy::Turn | PostWhy::Gate | PostWhy::Pinned | PostWhy::Tree | PostWhy::UnknownGround => {
            panic!("nothing of that is here: {post:?}")
        }
    }
}

fn even_bays_are_no_better(hold: &LineHold) {
    let even = hold.even.expect("there are bands to keep");
    assert!(even.posts <= hold.posts.len(), "as few as the longest bay allows: {even:?}");
    // On wide cells nothing is sure enough to be out of band.
    let is_sure = hold.bays.iter().all(|bay| bay.error < Length::metres(0.2));
    assert!(!is_sure || even.out_of_band > Length::ZERO, "real ground is not even: {even:?}");
}

/// At the slackest bay at least the planned share, less the angle of the one post at which a strain cannot be cut in two.
fn friction_leaves_enough(hold: &LineHold) {
    let all = Catalogue::built_in();
    let insulator = all.post("t-post").and_then(|post| all.insulator(post.insulator.as_ref()?)).expect("listed");
    let friction = insulator.friction.expect("strands slide in it");
    let grade = |pair: &[Post]| {
        let rise_m = pair[1].ground.expect("known").as_metres() - pair[0].ground.expect("known").as_metres();
        (rise_m / (pair[1].plan_m - pair[0].plan_m)).atan()
    };
    let grades: Vec<f64> = hold.posts.windows(2).map(grade).collect();
    let sharpest = grades.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
    assert!(!hold.strains.is_empty());
    for strain in &hold.strains {
        let least = LEAST_SHARE * (-friction * sharpest).exp();
        assert!(strain.slackest_share >= least - 1e-9, "{strain:?}, {least}");
        assert!(strain.slackest_share >= strain.share_from_middle - 1e-9, "{strain:?}");
    }
}

/// Bays with a strand out of its band and findings of dips and rises are the same places.
fn reported(line: &OnGround) {
    for (bays, rule) in line.out_of_band().into_iter().zip([Rule::Dip, Rule::Rise]) {
        let findings = line.findings(rule);
        for bay in &bays {
            assert!(findings.iter().any(|finding| within(bay, finding)), "{rule:?} not reported: {bay:?}");
        }
        for finding in findings {
            assert!(bays.iter().any(|bay| within(bay, finding)), "{rule:?} of nothing: {finding:?}");
        }
    }
}

#[test]
fn on_fine_lidar_every_strand_out_of_its_band_is_reported_and_nothing_else_is() {
    // Steep banks and a valley floor, 500 m askew to the grid.
    let Some(line) = pig_fence("lidar1m_si.tif", &[(560.0, 60.0), (960.0, 360.0)]) else { return };
    stands(&line);
    reported(&line);
    assert!(line.findings(Rule::GridCoarse).is_empty());
    let even = line.hold().even.expect("judged");
    let out_m = |line: &OnGround| line.out_of_band().iter().flatten().map(|bay| (bay.to - bay.from).as_metres()).sum::<f64>();
    assert!(out_m(&line) < even.out_of_band.as_metres(), "{} m of bays against {even:?}", out_m(&line));
    // Where even bays were worst the ground takes no post: a strand leaves its band there, and that is said.
    let line = line.without_posts_at(even.worst_at);
    stands(&line);
    reported(&line);
    assert!(out_m(&line) > 0.0, "{:?}", even.worst_at);
}

#[test]
fn on_cells_of_ten_metres_the_gullies_cannot_be_told_and_that_is_said() {
    // Along the slope, over a ridge and two gullies.
    let Some(line) = pig_fence("cascades10m_wa.tif", &[(2.0, 62.0), (52.0, 62.0)]) else { return };
    stands(&line);
    let coarse = line.findings(Rule::GridCoarse);
    let [finding] = coarse[..] else { panic!("once for the line: {coarse:?}") };
    let Reason::CoarseGrid { cell, needed } = finding.reason else { panic!("{finding:?}") };
    assert!((cell.as_metres() - 10.0).abs() < 0.01 && (needed.as_metres() - 2.0).abs() < 1e-9, "{finding:?}");
    let length = line.outcome.lines[0].measure.ground_length;
    let (from, until) = (finding.place.station.expect("a stretch"), finding.place.until.expect("a stretch"));
    assert!(from.as_metres().abs() < 1e-6 && (until - length).as_metres().abs() < 0.01, "from end to end");
    // What these cells cannot tell is not told either way.
    assert!(line.findings(Rule::Dip).is_empty() && line.findings(Rule::Rise).is_empty());
}
