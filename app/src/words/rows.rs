//! Rows of the catalogue as people read them: what each is called, its numbers with their unit, and where they come from.

use super::{angle, count, force, gap, mass, set_length, share};
use hillwire_core::catalogue::SIEMENS_PER_M_IN_US_PER_KM;
use hillwire_core::catalogue::{
    AnimalRow, BarrierRow, Catalogue, Conductor, EnergizerRow, FaultRow, GroundState, Guidance, InsulatorRole, InsulatorRow,
    LeakageRow, PostRow, Purpose, RowSource, SoilRow, WireRow,
};
use hillwire_core::plan::UnitSystem;
use hillwire_core::source::{Seen, SourceKey};
use hillwire_core::stock::shoulder_of;
use hillwire_core::units::{FOOT_M, Length};

/// One row.
pub struct CatalogueRow<'a> {
    /// The kind of thing it is.
    pub heading: &'static str,
    /// What people call it.
    pub label: String,
    /// Its id in plans; empty where plans do not name it.
    pub id: &'a str,
    /// Its numbers: what, how much, and the key of their source where it is not the row's.
    pub facts: Vec<(&'static str, String, Option<&'a SourceKey>)>,
    /// Source of every number that has none of its own.
    pub source: &'a SourceKey,
}

impl<'a> CatalogueRow<'a> {
    fn new(heading: &'static str, label: &str, id: &'a str, sources: &'a RowSource) -> Self {
        Self { heading, label: label.to_owned(), id, facts: Vec::new(), source: &sources.source }
    }
    fn fact(mut self, sources: &'a RowSource, key: &str, what: &'static str, how_much: String) -> Self {
        self.facts.push((what, how_much, sources.source_of.get(key)));
        self
    }
    fn fact_if(self, sources: &'a RowSource, key: &str, what: &'static str, how_much: Option<String>) -> Self {
        match how_much {
            Some(how_much) => self.fact(sources, key, what, how_much),
            None => self,
        }
    }
    /// The sources of the row, each once, the row's own first.
    pub fn sources(&self) -> Vec<&'a SourceKey> {
        let mut keys = vec![self.source];
        for key in self.facts.iter().filter_map(|(.., key)| *key) {
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        keys
    }
}

/// Every row of the catalogue, by kind.
pub fn catalogue_rows(all: &Catalogue, units: UnitSystem) -> Vec<CatalogueRow<'_>> {
    let mut rows: Vec<CatalogueRow<'_>> = all.wires.iter().map(|row| wire(row, units)).collect();
    rows.extend(all.posts.iter().map(|row| post(row, units)));
    rows.extend(all.insulators.iter().map(|row| insulator(row, units)));
    rows.extend(all.gates.iter().map(|row| {
        CatalogueRow::new("Gates", &row.label, &row.id, &row.sources)
            .fact(&row.sources, "widest_m", "widest", set_length(row.widest, units))
            .fact(&row.sources, "live", "carries the pulse", yes_or_no(row.live))
    }));
    rows.extend(all.fittings.iter().map(|row| {
        CatalogueRow::new("Small parts", &row.label, &row.id, &row.sources).fact(
            &row.sources,
            "pack",
            "pack of",
            row.pack.to_string(),
        )
    }));
    rows.extend(all.nets.iter().map(|row| {
        let from = &row.sources;
        CatalogueRow::new("Netting", &row.label, &row.id, from)
            .fact(from, "height_m", "height", gap(row.height, units))
            .fact(from, "mesh_m", "mesh at the foot", format!("{} × {}", gap(row.mesh.0, units), gap(row.mesh.1, units)))
            .fact(from, "stakes_m", "stakes every", set_length(row.stakes, units))
            .fact(from, "roll_m", "roll of", set_length(row.roll, units))
            .fact(from, "weight_kg", "a roll weighs", mass(row.weight_kg, units))
            .fact(from, "joins", "joined by", row.joins.clone())
    }));
    rows.extend(all.energizers.iter().map(energizer));
    rows.extend(all.leakages.iter().map(|row| leakage(row, units)));
    rows.extend(all.soils.iter().map(|row| soil(row, units)));
    rows.extend(all.animals.iter().map(|row| animal(row, all, units)));
    rows.extend(stocking(all, units));
    rows.extend(all.faults.iter().map(fault));
    rows
}

fn fault(row: &FaultRow) -> CatalogueRow<'_> {
    let from = &row.sources;
    let each = super::log::per(row.per);
    let season = row.in_season_share.map(|share_of_year| {
        let months: Vec<&str> = row
            .months
            .iter()
            .filter_map(|month| super::log::MONTHS_SHORT.get(usize::try_from(month - 1).ok()?).copied())
            .collect();
        format!("{} in {}", share(share_of_year), months.join(" "))
    });
    CatalogueRow::new("What fails", &row.label, &row.id, from)
        .fact(from, "sign", "shows as", row.sign.clone())
        .fact(from, "per_year", "a year", format!("{} for each {each}", count(row.per_year)))
        .fact_if(from, "months", "season, north", season)
        .fact(from, "minutes", "mending", format!("{} to {} min", count(row.minutes.0), count(row.minutes.1)))
}

fn wire(row: &WireRow, units: UnitSystem) -> CatalogueRow<'_> {
    let from = &row.sources;
    CatalogueRow::new("Wire", &row.label, &row.id, from)
        .fact(from, "gauge", "thickness", thin(row.diameter, units))
        .fact(from, "mass_kg_per_m", "weighs", weight_of_length(row.mass_kg_per_m, units))
        .fact(from, "resistance_ohm_per_m", "resistance", format!("{}\u{a0}Ω/km", count(row.resistance_ohm_per_m * 1000.0)))
        .fact_if(from, "mu_r", "relative permeability", permeability(row))
        .fact_if(from, "zinc_m", "zinc", zinc(row))
        .fact(from, "strength_pa", "breaks at", force(row.breaking, units))
        .fact(from, "joint_share", "a knot leaves", share(row.joint_share))
        .fact(from, "stiffness_n", "stretches 0.1 % at", force(row.stiffness * 0.001, units))
        .fact(from, "tension_n", "usually set to", force(row.tension, units))
        .fact_if(from, "longest_bay_m", "longest bay", row.longest_bay.map(|bay| set_length(bay, units)))
        .fact(from, "roll_m", "roll of", set_length(row.roll, units))
}

fn permeability(row: &WireRow) -> Option<String> {
    match row.electrical {
        Conductor::Round { mu_r, .. } => Some(count(mu_r)),
        _ => None,
    }
}

fn zinc(row: &WireRow) -> Option<String> {
    match row.electrical {
        Conductor::Round { zinc_m, .. } if zinc_m > 0.0 => Some(format!("{}\u{a0}µm", count(zinc_m * 1e6))),
        _ => None,
    }
}

fn energizer(row: &EnergizerRow) -> CatalogueRow<'_> {
    let (from, figures) = (&row.sources, row.figures);
    CatalogueRow::new("Energizers", &row.label, &row.id, from)
        .fact(from, "stored_j", "stores", joules(figures.stored_j))
        .fact_if(from, "output_j", "gives into 500 Ω", figures.output_j.map(joules))
        .fact(from, "open_kv", "open", volts(figures.open_kv * 1000.0))
        .fact(from, "at_500_ohm_kv", "at 500 Ω", volts(figures.at_500_ohm_kv * 1000.0))
}

fn leakage(row: &LeakageRow, units: UnitSystem) -> CatalogueRow<'_> {
    let from = &row.sources;
    let leaks = |state: GroundState| format!("{}\u{a0}µS/km", count(row.siemens_per_m(state) / SIEMENS_PER_M_IN_US_PER_KM));
    let steps = row.at_heights.iter().map(|step| format!("{} from {}", share(step.share), gap(step.from, units)));
    CatalogueRow::new("What grows along a line", &row.label, "", from)
        .fact(from, "dry_us_per_km", "a low strand leaks, dry", leaks(GroundState::Dry))
        .fact(from, "damp_us_per_km", "damp", leaks(GroundState::Damp))
        .fact(from, "wet_us_per_km", "wet", leaks(GroundState::Wet))
        .fact(from, "frozen_us_per_km", "frozen", leaks(GroundState::Frozen))
        .fact(from, "at_heights", "of that by height", steps.collect::<Vec<_>>().join(", "))
}

fn post(row: &PostRow, units: UnitSystem) -> CatalogueRow<'_> {
    let from = &row.sources;
    CatalogueRow::new("Posts", &row.label, &row.id, from)
        .fact(from, "width_m", "thickness", thin(row.width, units))
        .fact(from, "length_m", "length", gap(row.length, units))
        .fact(from, "depth_m", "set deep", gap(row.depth, units))
        .fact(from, "mass_kg", "weighs", mass(row.mass_kg, units))
        .fact_if(from, "moment_nm", "breaks at", row.moment.map(|moment| super::moment(moment, units)))
}

fn insulator(row: &InsulatorRow, units: UnitSystem) -> CatalogueRow<'_> {
    let from = &row.sources;
    let role = match row.role {
        InsulatorRole::Line => "holds a strand up",
        InsulatorRole::Offset => "holds a strand away from its post",
        InsulatorRole::End => "a strand ends in it",
        InsulatorRole::Corner => "a strand turns in it",
        InsulatorRole::Sleeve => "slipped over a strand",
    };
    CatalogueRow::new("Insulators", &row.label, &row.id, from)
        .fact(from, "role", "use", role.to_owned())
        .fact_if(from, "pull_n", "pulls off at", row.pull.map(|pull| force(pull, units)))
        .fact_if(from, "friction", "friction", row.friction.map(|friction| format!("{friction:.2}")))
        .fact(from, "flash_v", "flashes over at", volts(row.flash_v))
        .fact(from, "pack", "pack of", row.pack.to_string())
}

fn soil(row: &SoilRow, units: UnitSystem) -> CatalogueRow<'_> {
    let from = &row.sources;
    let strength = |pascals: f64| format!("{}\u{a0}kPa", count(pascals / 1000.0));
    CatalogueRow::new("Soils", &row.label, &row.id, from)
        .fact_if(from, "undrained_pa", "undrained strength", row.undrained_pa.map(strength))
        .fact_if(from, "friction_angle_deg", "friction angle", row.friction_angle_deg.map(angle))
        .fact(from, "unit_weight_n_per_m3", "weighs", weight_of_soil(row.unit_weight_n_per_m3, units))
        .fact_if(
            from,
            "lateral_bearing_pa_per_m",
            "building codes allow sideways",
            row.lateral_bearing_pa_per_m.map(|pascals| format!("{} per metre of depth", strength(pascals))),
        )
        .fact(from, "shaft_friction_pa", "grips a post pulled up with", strength(row.shaft_friction_pa))
        .fact(from, "wet_factor", "wet ground leaves", share(row.wet_factor))
        .fact(from, "resistivity_ohm_m", "resistivity when damp", format!("{}\u{a0}Ω·m", count(row.resistivity_ohm_m)))
        .fact(from, "driving", "posts go in by", row.driving.clone())
}

fn animal<'a>(row: &'a AnimalRow, all: &'a Catalogue, units: UnitSystem) -> CatalogueRow<'a> {
    let from = &row.sources;
    let shoulder = shoulder_of(row, all.body(&row.species), row.mass_kg).map(|shoulder| gap(shoulder.height, units));
    let found = CatalogueRow::new("Animals", &row.label, &row.id, from)
        .fact_if(from, "shoulder_m", "shoulder", shoulder)
        .fact(from, "mass_kg", "weighs", mass(row.mass_kg, units))
        .fact(from, "push_n", "leans with", force(row.push, units))
        .fact(from, "asked_v", "asks for at the far end", volts(row.asked_v))
        .fact(from, "floor_v", "is not held below", volts(row.floor_v))
        .fact_if(from, "thick_coat_v", "in a thick coat asks for", row.thick_coat_v.map(volts))
        .fact(from, "body_ohm", "its body has", format!("{}\u{a0}Ω", count(row.body_ohm)))
        .fact_if(from, "train_days", "learns in", row.train_days.map(|days| format!("{days} days")));
    row.barriers.iter().fold(found, |found, barrier| barrier_facts(found, barrier, units))
}

/// What a fence has to be, inside or at a boundary.
fn barrier_facts<'a>(found: CatalogueRow<'a>, row: &'a BarrierRow, units: UnitSystem) -> CatalogueRow<'a> {
    let inside = row.purpose == Purpose::Interior;
    let pick = |one: &'static str, other: &'static str| if inside { one } else { other };
    let strand = |(height, live): (Length, bool)| {
        let text = gap(height, units);
        if live { text } else { format!("({text})") }
    };
    let strands: Vec<String> = row.proposed().map(strand).collect();
    let mut found = found;
    let mut add = |what: &'static str, key: &str, how_much: String| found.facts.push((what, how_much, Some(row.sources.of(key))));
    if !strands.is_empty() {
        add(pick("strands inside", "strands at a boundary"), "strands_m", strands.join(", "));
        let number = format!("{} to {}", row.strands_least, row.strands_usual);
        add(pick("how many inside", "how many at a boundary"), "strands_least", number);
        add(pick("lowest at most inside", "lowest at most at a boundary"), "under_m", gap(row.under, units));
        let top = format!("{}, better {}", gap(row.top, units), gap(row.usual_top, units));
        add(pick("top at least inside", "top at least at a boundary"), "top_m", top);
    }
    if let Some((low, high)) = row.single {
        add("one strand, learnt", "single_m", format!("{} to {}", gap(low, units), gap(high, units)));
    }
    if let Some(net) = row.net {
        add(pick("netting inside", "netting at a boundary"), "net", gap(net.usual, units));
    }
    found
}

fn stocking(all: &Catalogue, units: UnitSystem) -> Vec<CatalogueRow<'_>> {
    let heading = "Keeping stock";
    let of = |what: &str, species: &str| format!("{what}: {species}");
    let range = |(low, high): (f64, f64)| format!("{} to {}", count(low), count(high));
    let mut rows: Vec<CatalogueRow<'_>> = Vec::new();
    rows.extend(all.bodies.iter().map(|row| {
        let from = &row.sources;
        let formula = format!("{} m × kg^{}", row.coefficient_m, (row.exponent * 1000.0).round() / 1000.0);
        CatalogueRow::new(heading, &of("Height of the shoulder", &row.species), "", from)
            .fact(from, "coefficient_m", "shoulder", formula)
            .fact(from, "to_kg", "as tall as at", mass(row.to_kg, units))
    }));
    rows.extend(all.heads.iter().map(|row| {
        let worth = match row.guidance {
            Guidance::Guideline => "recommended per hectare",
            Guidance::Trial => "tried per hectare",
            Guidance::Ceiling => "never more per hectare than",
        };
        let head = row.least_per_ha.map_or_else(|| count(row.most_per_ha), |least| range((least, row.most_per_ha)));
        CatalogueRow::new(heading, &row.label, "", &row.sources).fact(&row.sources, "most_per_ha", worth, head)
    }));
    rows.extend(all.turnings.iter().map(|row| {
        let from = &row.sources;
        let turned =
            format!("{} m² ({})", count(row.turned_m2_per_day), range((row.turned_least_m2_per_day, row.turned_most_m2_per_day)));
        CatalogueRow::new(heading, &of("Turning the ground", &row.species), "", from)
            .fact(from, "turned_m2_per_day", "one turns in a day", turned)
            .fact(from, "move_at_share", "move when turned", share(row.move_at_share))
            .fact(from, "woodland_days", "days on woodland", range(row.woodland_days))
            .fact(from, "rest_days", "days of rest", range(row.rest_days))
    }));
    rows.extend(all.growings.iter().map(|row| {
        let from = &row.sources;
        let feed: Vec<String> = row
            .feed
            .iter()
            .map(|point| format!("{} at {}", small_mass(point.feed_kg, units), mass(point.mass_kg, units)))
            .collect();
        CatalogueRow::new(heading, &of("Feed and water while growing", &row.species), "", from)
            .fact(from, "feed", "feed in a day", feed.join(", "))
            .fact(from, "water_l_per_feed_kg", "litres of water per kilogram of feed", range(row.water_l_per_feed_kg))
    }));
    rows.extend(all.needs.iter().map(|row| {
        let from = &row.sources;
        let feed = row.feed_kg.map(|(low, high)| format!("{} to {}", small_mass(low, units), small_mass(high, units)));
        CatalogueRow::new(heading, &row.label, "", from).fact_if(from, "feed_kg", "feed in a day", feed).fact(
            from,
            "water_l",
            "litres of water in a day",
            range(row.water_l),
        )
    }));
    rows
}

fn yes_or_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

fn joules(joules: f64) -> String {
    format!("{}\u{a0}J", count(joules))
}

fn volts(volts: f64) -> String {
    format!("{}\u{a0}kV", count(volts / 1000.0))
}

/// A thickness: `2.0 mm`; `0.080 in`.
fn thin(thickness: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.1}\u{a0}mm", thickness.as_metres() * 1000.0),
        UnitSystem::Us => format!("{:.3}\u{a0}in", thickness.as_metres() / FOOT_M * 12.0),
    }
}

/// The weight of a length of wire: `25.5 g/m`; `17.1 lb per 1000 ft`.
fn weight_of_length(kg_per_m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.1}\u{a0}g/m", kg_per_m * 1000.0),
        UnitSystem::Us => format!("{:.1}\u{a0}lb per 1000 ft", kg_per_m / super::numbers::POUND_KG * FOOT_M * 1000.0),
    }
}

/// The weight of a volume of soil: `18 kN/m³`; `115 lb/ft³`.
fn weight_of_soil(n_per_m3: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{}\u{a0}kN/m³", count(n_per_m3 / 1000.0)),
        UnitSystem::Us => {
            let pounds = n_per_m3 / hillwire_core::units::POUND_FORCE_N * FOOT_M * FOOT_M * FOOT_M;
            format!("{pounds:.0}\u{a0}lb/ft³")
        }
    }
}

/// A mass of feed: `1.6 kg`; `3.5 lb`.
pub fn small_mass(kilograms: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{kilograms:.1}\u{a0}kg"),
        UnitSystem::Us => format!("{:.1}\u{a0}lb", kilograms / super::numbers::POUND_KG),
    }
}

/// A source spelled out: author, year, title, where it is found, and how it was seen.
pub fn source_in_full(key: &SourceKey) -> String {
    let Some(source) = key.entry() else { return key.as_str().to_owned() };
    let author = if source.author.is_empty() { String::new() } else { format!("{}: ", source.author) };
    let year = if source.author.is_empty() { String::new() } else { format!(", {}", super::findings::dated(source)) };
    let place = if source.place.is_empty() { String::new() } else { format!(". {}", source.place) };
    let seen = match source.seen {
        Seen::Read => " (the text was read)",
        Seen::SecondHand => " (second hand: an excerpt, an abstract or a reprint was read)",
        Seen::FromMemory => " (quoted from memory)",
        Seen::CommonPractice => " (no published source)",
        Seen::ChosenHere => return format!("Chosen by this program, no published source: {}{place}", source.title),
    };
    format!("{author}{}{year}{place}{seen}", source.title)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_a_name_numbers_and_a_source_that_is_spelled_out() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let rows = catalogue_rows(Catalogue::built_in(), units);
            assert!(rows.len() > 60, "{}", rows.len());
            for row in &rows {
                assert!(!row.label.is_empty() && !row.facts.is_empty(), "{} {}", row.heading, row.id);
                for key in row.sources() {
                    assert_ne!(source_in_full(key), key.as_str(), "{}", row.label);
                }
            }
        }
    }

    #[test]
    fn numbers_of_a_row_are_those_of_published_tables() {
        // 14 gauge: 0.0800 in (US steel wire gauge); steel of 7850 kg/m3 then weighs 25.46 g/m, 17.1 lb per 1000 ft.
        let find = |units| {
            let rows = catalogue_rows(Catalogue::built_in(), units);
            let row = rows.into_iter().find(|row| row.id == "ht-14ga").expect("listed");
            row.facts
                .into_iter()
                .map(|(what, how_much, _)| format!("{what} {}", how_much.replace('\u{a0}', " ")))
                .collect::<Vec<_>>()
        };
        assert!(find(UnitSystem::Us).contains(&"thickness 0.080 in".to_owned()), "{:?}", find(UnitSystem::Us));
        assert!(find(UnitSystem::Us).contains(&"weighs 17.1 lb per 1000 ft".to_owned()), "{:?}", find(UnitSystem::Us));
        assert!(find(UnitSystem::Metric).contains(&"weighs 25.5 g/m".to_owned()), "{:?}", find(UnitSystem::Metric));
    }
}
