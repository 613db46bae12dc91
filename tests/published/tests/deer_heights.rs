//! How high a fence turns deer.
//!
//! Source: K. C. VerCauteren et al. 2010, J. Wildl. Manage. 74:1378, abstract (key `vercauteren-2010`): share of deer that a fence of a height
//! kept out.

use hillwire_core::catalogue::{Catalogue, Purpose};

#[test]
fn the_catalogue_asks_for_the_lowest_fence_that_turned_every_deer() {
    // Height m, per cent turned.
    let rows = [(1.5, 0.0), (1.8, 14.0), (2.1, 85.0), (2.4, 100.0)];
    let deer = Catalogue::built_in().animal("deer", None).and_then(|row| row.barrier(Purpose::Boundary)).expect("listed");
    // The strands that are proposed reach what the row asks.
    let top_m = deer.strands.last().expect("strands").as_metres();
    let asked_m = deer.usual_top.as_metres();
    assert!(top_m >= asked_m, "strands end at {top_m} m, {asked_m} m are asked");
    for (height_m, turned_pct) in rows {
        assert_eq!(
            asked_m <= height_m,
            turned_pct >= 100.0,
            "{height_m} m turned {turned_pct} %; the catalogue asks for {asked_m} m"
        );
    }
}
