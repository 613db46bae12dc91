//! What a new plan starts with: builds for the usual stock, to be changed by whoever knows better.

use hillwire_core::catalogue::{AnimalRow, Catalogue, Purpose};
use hillwire_core::plan::{Build, FileLink, Head, Net, Plan, Strand};
use hillwire_core::units::{Force, Length};
use std::path::Path;

/// The wire that new strands are of, until somebody chooses another.
pub const USUAL_WIRE: &str = "ht-12.5ga";

/// A new plan on an elevation grid. The grid's path stays absolute until the plan is saved.
pub fn plan_on(grid: &Path) -> Plan {
    let stem = grid.file_stem().map(|stem| stem.to_string_lossy().replace(['_', '-'], " ")).unwrap_or_default();
    let mut letters = stem.chars();
    let name = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str());
    let absolute = std::path::absolute(grid).unwrap_or_else(|_| grid.to_owned());
    let elevation = vec![FileLink::from(absolute.to_string_lossy().as_ref())];
    Plan::new(Head { name, elevation, builds: builds(), ..Head::default() }, Vec::new())
}

/// A build for each of the usual animals.
fn builds() -> Vec<Build> {
    let rows = [("pig", "finisher"), ("pig", "grower"), ("sheep", "ewe"), ("cattle", "cow")];
    let animals = rows.into_iter().filter_map(|(species, class)| Catalogue::built_in().animal(species, Some(class)));
    animals.map(|animal| build_for(animal, Purpose::Interior, Catalogue::built_in())).collect()
}

/// A build for an animal, with the strands or the netting that the catalogue gives it for this purpose. Post, wire, bay and tension are common
/// practice, no source: they are where a keeper begins, not what he ends with.
pub fn build_for(animal: &AnimalRow, purpose: Purpose, catalogue: &Catalogue) -> Build {
    let (max_bay_m, tension_n) = match animal.species.as_str() {
        "cattle" | "horse" => (15.0, 667.0),
        "sheep" | "goat" | "deer" => (10.0, 600.0),
        _ => (8.0, 450.0),
    };
    let row = animal.barrier(purpose);
    let strand = |(height, live): (Length, bool)| Strand { live, ..Strand::live(height, USUAL_WIRE) };
    let strands: Vec<Strand> = row.into_iter().flat_map(|row| row.proposed()).map(strand).collect();
    let net = row.and_then(|row| row.net).filter(|_| strands.is_empty()).and_then(|net| {
        let enough = catalogue.nets.iter().filter(|row| row.height >= net.usual);
        let lowest = enough.min_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()))?;
        Some((Net { row: lowest.id.clone(), height: lowest.height, ..Net::default() }, lowest.stakes))
    });
    let id = match (&net, purpose) {
        (Some(_), _) => format!("{}-net", animal.id),
        (None, Purpose::Interior) => format!("{}-{}", animal.id, strands.len()),
        _ => format!("{}-{}-boundary", animal.id, strands.len()),
    };
    Build {
        id,
        strands,
        max_bay: net.as_ref().map_or(Length::metres(max_bay_m), |(_, stakes)| *stakes),
        net: net.map(|(net, _)| net),
        class: (!animal.is_kept_in()).then(|| animal.class.clone()),
        line_post: "wood-75".to_owned(),
        corner_post: "wood-150".to_owned(),
        tension: Force::newtons(tension_n),
        ..Build::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_plan_has_a_build_for_every_usual_animal_with_rows_of_the_catalogue() {
        let plan = plan_on(Path::new("hill-farm.tif"));
        assert_eq!(plan.head.name, "Hill farm");
        let catalogue = Catalogue::built_in();
        let ids: Vec<&str> = plan.head.builds.iter().map(|build| build.id.as_str()).collect();
        assert_eq!(ids.len(), 4, "{ids:?}");
        for build in &plan.head.builds {
            assert!(
                !build.strands.is_empty() && build.strands.iter().all(|strand| catalogue.wire(&strand.wire).is_some()),
                "{}",
                build.id
            );
            assert!(catalogue.post(&build.line_post).is_some() && catalogue.post(&build.corner_post).is_some(), "{}", build.id);
        }
    }
}
