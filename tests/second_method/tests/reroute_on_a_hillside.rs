//! The hillside on which the search for other courses was tried with an independent prototype (`reroute-trial`).

use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, read_grid};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Feature, FeatureId, Fence, Geometry, Head, Kind, Plan};
use hillwire_core::reroute::{Amounts, Asked, Setting, Weights};
use std::sync::Arc;
use tests_published::further_ground;

struct Hillside {
    ground: Ground,
    plan: Plan,
    outcome: Outcome,
    line: FeatureId,
}

fn hillside() -> Option<Hillside> {
    let path = further_ground("cascades10m_wa.tif")?;
    let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let grid = read_grid(&GridFile { name: "cascades10m_wa.tif", bytes: &bytes, prj: None }, &Job::new()).expect("readable");
    let frame = Ground::frame_of(&grid).expect("placed");
    let ground = Ground::new(Arc::new(grid), frame).expect("placed");
    let corner = |column: f64, row: f64| frame.to_position(ground.to_map(column, row));
    let line = FeatureId::new("line");
    let fence =
        Feature::new(line.clone(), Kind::Fence(Fence::default()), Geometry::Line(vec![corner(4.0, 100.0), corner(66.0, 66.0)]));
    let plan = Plan::new(Head::default(), vec![fence]);
    let outcome = outcome(&plan, 0, Some(&ground), Catalogue::built_in(), &mut Kept::new());
    Some(Hillside { ground, plan, outcome, line })
}

#[test]
fn what_is_paid_for_on_the_trial_hillside_is_what_the_course_avoids() {
    let Some(hillside) = hillside() else { return };
    let asked = Asked {
        plan: &hillside.plan,
        ground: Some(&hillside.ground),
        outcome: &hillside.outcome,
        catalogue: Catalogue::built_in(),
        line: &hillside.line,
    };
    let setting = Setting::of(asked).expect("may move");
    // Map and ground metres, water gaps and strikes of the prototype. It searched the cells of the file; ours are squares of the map that lie
    // across them, so lengths agree to 1 % and what single cells decide to 6 %. The prototype counted every cell that half a hectare drains
    // through, 7 of them: of those only such count here in which the water gathers.
    let straight = setting.amounts(&setting.drawn());
    assert!((straight.map_m - 707.1).abs() < 0.5 && (straight.ground_m / 765.0 - 1.0).abs() < 0.01, "{straight:?}");
    assert!((2.0..=7.0).contains(&straight.gaps) && (straight.strikes() / 4.019 - 1.0).abs() < 0.06, "{straight:?}");
    let usual = Weights::USUAL;
    let paid = [
        usual,
        Weights { strike: 5.0 * usual.strike, nudge: 5.0 * usual.nudge, ..usual },
        Weights { strike: 0.0, nudge: 0.0, ..usual },
        Weights { corner: 5.0 * usual.corner, ..usual },
    ];
    let found: Vec<Amounts> =
        paid.iter().map(|weights| setting.amounts(&setting.cheapest(*weights, &Job::new()).expect("not cancelled"))).collect();
    // Each is the cheapest of all of them by its own prices, the straight one included; corners are moved after the search, hence 3 %.
    for (own, weights) in found.iter().zip(&paid) {
        for other in found.iter().chain([&straight]) {
            assert!(own.cost(weights) <= other.cost(weights) * 1.03, "{own:?} costs more than {other:?}");
        }
    }
    let [cheapest, few, careless, dear] = &found[..] else { panic!("four") };
    // No track is known of here: the prototype's row without access is 759 m, 820 m, 4 gaps, 2.735 strikes. It goes round more gaps than count here.
    assert!((cheapest.map_m / 759.0 - 1.0).abs() < 0.04 && (cheapest.ground_m / 820.0 - 1.0).abs() < 0.04, "{cheapest:?}");
    assert!((cheapest.strikes() / 2.735 - 1.0).abs() < 0.2 && cheapest.gaps < straight.gaps, "{cheapest:?}");
    // Who pays more for strikes gets fewer and goes farther; who pays nothing for them gets more and goes straighter.
    assert!(few.strikes() < cheapest.strikes() && cheapest.strikes() < careless.strikes(), "{few:?} {careless:?}");
    assert!(few.map_m > cheapest.map_m && cheapest.map_m > careless.map_m, "{few:?} {careless:?}");
    assert!(dear.corners <= cheapest.corners && dear.map_m < cheapest.map_m, "{dear:?}");
}
