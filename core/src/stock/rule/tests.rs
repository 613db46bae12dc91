use super::*;
use crate::catalogue::{Catalogue, Grade, Purpose};
use crate::finding::WayOut;
use proptest::prelude::*;

fn limits(species: &str, class: &str, purpose: Purpose, kg: f64) -> Limits<'static> {
    let all = Catalogue::built_in();
    Limits::of(all.animal(species, Some(class)).expect("listed"), purpose, kg, all).expect("known")
}

fn level(heights: &[f64]) -> Vec<Hung> {
    heights.iter().map(|height| Hung::level(*height, Carries::Pulse)).collect()
}

#[test]
fn limits_of_pigs_follow_their_shoulder() {
    // By hand from 0.15 w^0.33: fine, crept under, gap above a strand at 0.15 m, top.
    let rows = [
        ("piglet", 9.0, 0.133, 0.155, 0.178, 0.310),
        ("piglet", 15.0, 0.150, 0.183, 0.211, 0.367),
        ("grower", 25.0, 0.187, 0.217, 0.250, 0.400),
        ("grower", 45.0, 0.227, 0.264, 0.300, 0.400),
        ("finisher", 80.0, 0.274, 0.319, 0.300, 0.425),
        ("finisher", 110.0, 0.300, 0.354, 0.300, 0.450),
    ];
    for (class, kg, fine_m, worst_m, gap_m, top_m) in rows {
        let found = limits("pig", class, Purpose::Interior, kg);
        let all = [(found.fine_m, fine_m), (found.worst_m, worst_m), (found.gap_m(0.15), gap_m), (found.top_m, top_m)];
        for (found, by_hand) in all {
            assert!((found - by_hand).abs() < 6e-4, "{class} {kg}: {found} {by_hand}");
        }
    }
}

#[test]
fn a_lowest_strand_may_stand_five_centimetres_higher_over_uneven_ground_and_no_farther_than_is_crept_under() {
    let ceiling = |class, kg, hung_m: f64| limits("pig", class, Purpose::Interior, kg).ceiling_m(hung_m);
    assert!((ceiling("piglet", 15.0, 0.10) - 0.15).abs() < 1e-9);
    assert!((ceiling("piglet", 15.0, 0.14) - 0.183).abs() < 6e-4, "not beyond what is crept under");
    assert!((ceiling("litter", 220.0, 0.15) - 0.20).abs() < 1e-9);
    assert!((ceiling("grower", 45.0, 0.40) - 0.227).abs() < 6e-4, "one that hangs too high has no more");
}

#[test]
fn strands_that_return_to_earth_count_only_where_animals_meet_a_live_one_with_them() {
    use Carries::{Pulse, Return};
    let judge = |strands: &[(f64, Carries)], purpose| {
        let hung: Vec<Hung> = strands.iter().map(|(height, carries)| Hung::level(*height, *carries)).collect();
        judge(Barrier::Strands(&hung), &limits("sheep", "ewe", purpose, 70.0), 0.0)
    };
    let three_dead = [(0.15, Return), (0.30, Return), (0.50, Return), (0.85, Pulse)];
    let found = judge(&three_dead, Purpose::Interior);
    assert!(found.grade == Grade::MustFix && !found.returns && (found.number.value - 1.0).abs() < 1e-9, "{found:?}");
    let dead_top = [(0.15, Pulse), (0.30, Pulse), (0.50, Pulse), (0.75, Return)];
    let found = judge(&dead_top, Purpose::Interior);
    assert_eq!((found.grade, found.way), (Grade::MustFix, Some(WayOut::Over)));
    let returning = [(0.15, Return), (0.30, Pulse), (0.50, Return), (0.70, Pulse), (0.90, Pulse)];
    assert!(judge(&returning, Purpose::Boundary).returns);
    assert_eq!(judge(&[(0.3, Return)], Purpose::Interior).grade, Grade::MustFix);
    assert_eq!(judge(&[], Purpose::Interior).grade, Grade::MustFix);
}

#[test]
fn what_only_the_error_of_the_ground_explains_has_to_be_looked_at() {
    let limits = limits("pig", "piglet", Purpose::Interior, 15.0);
    let over = |dip_m, hump_m, error_m| {
        let hung: Vec<Hung> = level(&[0.10, 0.25, 0.40]).into_iter().map(|strand| strand.over(dip_m, hump_m)).collect();
        judge(Barrier::Strands(&hung), &limits, error_m).grade
    };
    assert_eq!([over(0.10, 0.0, 0.0), over(0.10, 0.0, 0.03)], [Grade::MustFix, Grade::LookAt]);
    assert_eq!([over(0.0, 0.10, 0.0), over(0.0, 0.10, 0.05)], [Grade::MustFix, Grade::LookAt]);
    let high = level(&[0.25, 0.40]);
    assert_eq!(judge(Barrier::Strands(&high), &limits, 0.2).grade, Grade::MustFix, "what hangs wrong at the posts is no error");
}

#[test]
fn netting_counts_by_its_height_and_its_foot() {
    let net = |species, class, height_m: f64, foot_m| {
        let limits = limits(species, class, Purpose::Interior, 20.0);
        judge(Barrier::Net { height_m, least_m: height_m, foot_m }, &limits, 0.0).grade
    };
    let rows = [
        ("sheep", "lamb", 0.90, 0.0, Grade::Note),
        ("sheep", "lamb", 0.90, 0.12, Grade::LookAt),
        ("sheep", "lamb", 0.90, 0.16, Grade::MustFix),
        ("sheep", "lamb", 0.80, 0.0, Grade::MustFix),
        ("sheep", "lamb", 0.86, 0.0, Grade::LookAt),
        ("goat", "goat", 1.05, 0.0, Grade::Note),
        ("goat", "goat", 0.90, 0.0, Grade::MustFix),
        ("pig", "grower", 0.90, 0.0, Grade::LookAt),
    ];
    for (species, class, height_m, foot_m, expected) in rows {
        assert_eq!(net(species, class, height_m, foot_m), expected, "{class} {height_m} {foot_m}");
    }
}

#[test]
fn what_the_catalogue_proposes_holds_the_class_that_it_is_proposed_for() {
    // Pigs and horses at a boundary are never more than a note; two strands for horses inside are one fewer than usual.
    let noted = ["piglet", "grower", "finisher", "sow", "litter", "boar", "horse", "pony"];
    let all = Catalogue::built_in();
    let mut checked = 0;
    for animal in &all.animals {
        for row in &animal.barriers {
            let limits = Limits::of(animal, row.purpose, animal.mass_kg, all).expect("known");
            let hung: Vec<Hung> = row
                .proposed()
                .map(|(height, live)| Hung::level(height.as_metres(), if live { Carries::Pulse } else { Carries::Return }))
                .collect();
            let found = match row.net.filter(|_| hung.is_empty()) {
                Some(net) => {
                    let height_m = net.usual.as_metres();
                    judge(Barrier::Net { height_m, least_m: height_m, foot_m: 0.0 }, &limits, 0.0)
                }
                None => judge(Barrier::Strands(&hung), &limits, 0.0),
            };
            let may_be_noted = row.purpose == Purpose::Boundary && noted.contains(&animal.class.as_str())
                || hung.is_empty()
                || (animal.class == "horse" && row.purpose == Purpose::Interior);
            let best = if may_be_noted { Grade::Note } else { Grade::Holds };
            assert_eq!(found.grade, best, "{} {:?}: {found:?}", animal.id, row.purpose);
            checked += 1;
        }
    }
    assert!(checked >= 34, "{checked}");
}

#[test]
fn no_row_of_the_catalogue_contradicts_itself() {
    for animal in &Catalogue::built_in().animals {
        assert!(
            animal.floor_v <= animal.asked_v && animal.thick_coat_v.is_none_or(|coat| coat >= animal.asked_v),
            "{}",
            animal.id
        );
        for row in &animal.barriers {
            let name = format!("{} {:?}", animal.id, row.purpose);
            assert!(row.strands_least <= row.strands_usual && row.under_note <= row.under, "{name}");
            assert!(row.top <= row.usual_top && row.gap_high.is_none_or(|high| high >= row.gap_low), "{name}");
            assert!(
                row.creep_share.is_some() != row.creep.is_some() && row.gap_high.is_some() == row.gap_split.is_some(),
                "{name}"
            );
            assert!(
                row.creep.is_none_or(|creep| creep >= row.under) && row.heavy.is_none_or(|heavy| heavy.top >= row.top),
                "{name}"
            );
            assert!(row.strands.is_empty() || row.strands.len() >= row.strands_least, "{name}");
            assert!(
                row.strands.windows(2).all(|pair| pair[0] < pair[1]) && row.earthed.iter().all(|at| *at <= row.strands.len())
            );
            assert!(row.net.is_none_or(|net| net.least <= net.usual), "{name}");
            assert!(
                row.near_ground || row.strands.first().is_none_or(|lowest| lowest.as_metres() >= LEAST_CLEARANCE_M),
                "{name}"
            );
        }
    }
}

fn any_class() -> impl Strategy<Value = (&'static str, &'static str, f64)> {
    let classes = [
        ("pig", "piglet", 5.0, 25.0),
        ("pig", "grower", 25.0, 60.0),
        ("pig", "finisher", 60.0, 200.0),
        ("pig", "litter", 150.0, 280.0),
        ("pig", "boar", 100.0, 280.0),
        ("sheep", "ewe", 40.0, 110.0),
        ("sheep", "lamb", 5.0, 40.0),
        ("goat", "goat", 10.0, 100.0),
        ("cattle", "cow", 250.0, 800.0),
        ("cattle", "suckler", 400.0, 800.0),
        ("cattle", "calf", 60.0, 250.0),
        ("cattle", "bull", 400.0, 1200.0),
        ("horse", "horse", 300.0, 800.0),
        ("horse", "pony", 80.0, 300.0),
        ("poultry", "hen", 1.0, 4.0),
        ("fox", "fox", 4.0, 9.0),
        ("dog", "dog", 20.0, 50.0),
        ("wild_boar", "wild_boar", 20.0, 150.0),
        ("deer", "deer", 20.0, 150.0),
    ];
    (0..classes.len(), 0.0..1.0f64).prop_map(move |(index, share)| {
        let (species, class, from_kg, to_kg) = classes[index];
        (species, class, from_kg + share * (to_kg - from_kg))
    })
}

fn any_strands() -> impl Strategy<Value = Vec<Hung>> {
    let strand = (0.03..1.6f64, 0..4u8);
    prop::collection::vec(strand, 0..9).prop_map(|mut strands| {
        strands.sort_by(|one, other| one.0.total_cmp(&other.0));
        let hung = |(height_m, dice): (f64, u8)| {
            Hung::level((height_m * 100.0).round() / 100.0, if dice == 0 { Carries::Return } else { Carries::Pulse })
        };
        strands.into_iter().map(hung).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]
    #[test]
    fn more_dip_more_hump_and_a_stricter_purpose_never_make_a_verdict_milder(
        (species, class, kg) in any_class(), strands in any_strands(), dip_m in 0.0..0.5f64, hump_m in 0.0..0.5f64,
        more_m in 0.0..0.3f64, error_m in 0.0..0.2f64,
    ) {
        let grade = |purpose, dip_m: f64, hump_m: f64, error_m| {
            let hung: Vec<Hung> = strands.iter().map(|strand| strand.over(dip_m, hump_m)).collect();
            judge(Barrier::Strands(&hung), &limits(species, class, purpose, kg), error_m).grade
        };
        for purpose in Purpose::ALL {
            let here = grade(purpose, dip_m, hump_m, error_m);
            prop_assert!(grade(purpose, dip_m + more_m, hump_m, error_m) >= here, "dip");
            prop_assert!(grade(purpose, dip_m, hump_m + more_m, error_m) >= here, "hump");
            prop_assert!(grade(purpose, dip_m, hump_m, error_m + more_m) <= here, "error");
        }
        let by_purpose = Purpose::ALL.map(|purpose| grade(purpose, dip_m, hump_m, error_m));
        prop_assert!(by_purpose[0] <= by_purpose[1] && by_purpose[1] <= by_purpose[2], "{:?}", by_purpose);
    }

    #[test]
    fn limits_of_growing_pigs_never_jump_down(kg in 4.0..280.0f64, more in 0.0..40.0f64) {
        let all = Catalogue::built_in();
        let of = |kg: f64, purpose| {
            let row = crate::stock::fitting_row(&all.animals, "pig", kg).expect("listed");
            let limits = Limits::of(row, purpose, kg, all).expect("known");
            [limits.fine_m, limits.worst_m, limits.note_m(), limits.gap_m(0.15), limits.top_m, limits.usual_top_m, limits.shoulder_m]
        };
        for purpose in [Purpose::Interior, Purpose::Boundary] {
            let (light, heavy) = (of(kg, purpose), of(kg + more, purpose));
            prop_assert!(light.iter().zip(&heavy).all(|(light, heavy)| *heavy >= light - 1e-9), "{:?} {:?}", light, heavy);
        }
    }
}
