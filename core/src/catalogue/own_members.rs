//! What the rows of each section of the catalogue are made of: names of members, their form, and between which numbers they are used.

use super::Vegetation;
use super::own_form::Form;
use crate::bounds::STRANDS;

/// One member of a row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Member {
    pub name: &'static str,
    pub form: Form,
    pub needed: bool,
}

const fn must(name: &'static str, form: Form) -> Member {
    Member { name, form, needed: true }
}

const fn may(name: &'static str, form: Form) -> Member {
    Member { name, form, needed: false }
}

/// Members that every row may have.
pub(super) const OF_EVERY_ROW: [Member; 2] = [may("source", Form::Text), may("source_of", Form::Sources)];

use Form::{Count, Feed, Fences, Gauge, Number, Numbers, Object, Pair, Rising, RisingOrNone, Shares, Sources, Text, Word, YesNo};

const SHARE: Form = Number(0.0, 5.0);
const NEWTONS: Form = Number(1.0, 50e3);
const JOULES: Form = Number(0.001, 1000.0);
const KILOVOLTS: Form = Number(0.01, 100.0);
const US_PER_KM: Form = Number(0.0, 1e6);
const HEIGHT_M: Form = Number(0.01, 5.0);
/// How many come in one pack.
const PACK: Form = Count(100_000);
const FENCE_STRANDS: Form = Count(STRANDS as u32);

const WIRE: [Member; 21] = [
    must("id", Text),
    must("label", Text),
    must("metal", Word(&["steel", "aluminium", "composite"])),
    may("gauge", Gauge),
    may("diameter_m", Number(1e-4, 0.1)),
    may("strength_pa", Number(1e6, 5e9)),
    may("mass_kg_per_m", Number(1e-4, 10.0)),
    may("resistance_ohm_per_m", Number(1e-5, 1e3)),
    may("resistivity_ohm_m", Number(1e-8, 1e-4)),
    may("mu_r", Number(1.0, 1e4)),
    may("zinc_m", Number(0.0, 1e-3)),
    may("barbed", YesNo),
    may("electric_radius_m", Number(1e-5, 0.1)),
    may("sheath_diameter_m", Number(1e-4, 0.2)),
    may("permittivity", Number(1.0, 20.0)),
    may("breaking_n", NEWTONS),
    may("stiffness_n", Number(100.0, 5e6)),
    must("joint_share", Number(0.1, 1.0)),
    must("tension_n", NEWTONS),
    must("roll_m", Number(50.0, 1e4)),
    may("longest_bay_m", Number(0.5, 100.0)),
];
const POST: [Member; 12] = [
    must("id", Text),
    must("label", Text),
    must("material", Word(&["wood", "steel", "fibreglass", "plastic", "hardwood", "crib", "tree"])),
    must("width_m", Number(0.005, 3.0)),
    must("length_m", Number(0.1, 10.0)),
    must("depth_m", Number(0.0, 3.6)),
    must("mass_kg", Number(0.0, 5000.0)),
    may("moment_nm", Number(1.0, 1e6)),
    may("insulator", Text),
    must("place_cost", Number(0.0, 1000.0)),
    may("peg_cost", Number(0.0, 1000.0)),
    may("in_rock", YesNo),
];
const INSULATOR: [Member; 8] = [
    must("id", Text),
    must("label", Text),
    must("fits", Word(&["wood", "t-post", "rod", "any"])),
    must("role", Word(&["line", "offset", "end", "corner", "sleeve"])),
    may("pull_n", NEWTONS),
    may("friction", Number(0.0, 1.0)),
    must("flash_v", Number(1.0, 1e6)),
    must("pack", PACK),
];
const GATE: [Member; 4] = [must("id", Text), must("label", Text), must("widest_m", Number(0.1, 50.0)), must("live", YesNo)];
const FITTING: [Member; 5] = [
    must("id", Text),
    must("label", Text),
    must("group", Word(&["fittings", "gates", "power", "work"])),
    must("counted_in", Word(&["piece", "metre", "tonne"])),
    must("pack", PACK),
];
const ENERGIZER: [Member; 6] = [
    must("id", Text),
    must("label", Text),
    must("stored_j", JOULES),
    may("output_j", JOULES),
    must("open_kv", KILOVOLTS),
    must("at_500_ohm_kv", KILOVOLTS),
];
const LEAKAGE: [Member; 7] = [
    must("vegetation", Word(&Vegetation::WORDS)),
    must("label", Text),
    must("dry_us_per_km", US_PER_KM),
    must("damp_us_per_km", US_PER_KM),
    must("wet_us_per_km", US_PER_KM),
    must("frozen_us_per_km", US_PER_KM),
    must("at_heights", Shares),
];
const SOIL: [Member; 10] = [
    must("id", Text),
    must("label", Text),
    may("undrained_pa", Number(1e3, 400e3)),
    may("friction_angle_deg", Number(20.0, 45.0)),
    must("unit_weight_n_per_m3", Number(5e3, 30e3)),
    may("lateral_bearing_pa_per_m", Number(1e3, 1e6)),
    must("shaft_friction_pa", Number(0.0, 1e6)),
    must("wet_factor", Number(0.0, 1.0)),
    may("resistivity_ohm_m", Number(0.1, 1e6)),
    must("driving", Text),
];
const ANIMAL: [Member; 23] = [
    must("id", Text),
    must("species", Text),
    must("class", Text),
    must("label", Text),
    may("shoulder_m", HEIGHT_M),
    must("mass_kg", Number(0.1, 2000.0)),
    may("from_kg", Number(0.0, 2000.0)),
    may("reach_m", Number(0.0, 2.0)),
    may("floor_v", Number(0.0, 2e4)),
    may("asked_v", Number(0.0, 2e4)),
    may("thick_coat_v", Number(0.0, 2e4)),
    may("train_days", Count(1000)),
    may("body_ohm", Number(10.0, 1e6)),
    may("contact_ohm", Number(0.0, 1e6)),
    may("hoof_radius_m", Number(1e-3, 0.5)),
    may("feet", Count(100)),
    must("push_n", NEWTONS),
    may("fence", Fences),
    // Of rows written before fences had a row for each purpose: `strands_m` are taken for those inside, `least_v` for `asked_v`.
    may("strands_m", Rising(0.01, 5.0)),
    may("least_v", Number(0.0, 2e4)),
    may("band_m", Pair(0.0, 5.0)),
    may("creep_m", HEIGHT_M),
    may("jump_m", HEIGHT_M),
];
/// Members of one of an animal's fences.
pub(super) const BARRIER: [Member; 28] = [
    must("purpose", Word(&["interior", "boundary"])),
    must("strands_m", RisingOrNone(0.01, 5.0)),
    may("earthed", Numbers(1.0, 30.0)),
    must("strands_least", FENCE_STRANDS),
    must("strands_usual", FENCE_STRANDS),
    must("under_m", HEIGHT_M),
    must("under_note_m", HEIGHT_M),
    may("creep_share", SHARE),
    may("creep_m", HEIGHT_M),
    must("gap_low_m", HEIGHT_M),
    may("gap_high_m", HEIGHT_M),
    may("gap_split_m", HEIGHT_M),
    may("gap_share", SHARE),
    must("top_m", HEIGHT_M),
    must("usual_top_m", HEIGHT_M),
    may("top_share", SHARE),
    may("usual_top_share", SHARE),
    may("top_is_shoulder", YesNo),
    may("heavy", Object(&[("from_kg", 0.0, 2000.0), ("top_m", 0.01, 5.0), ("usual_top_m", 0.01, 5.0)])),
    may("below_usual", Word(&["note", "look_at", "must_fix"])),
    may("single_m", Pair(0.0, 5.0)),
    may("single_from_kg", Number(0.0, 2000.0)),
    may("single_near_m", Number(0.0, 1.0)),
    may("near_ground", YesNo),
    may("at_best", Word(&["note", "look_at", "must_fix"])),
    may("net", Object(&[("least_m", 0.01, 5.0), ("usual_m", 0.01, 5.0), ("foot_m", 0.0, 5.0)])),
    may("source", Text),
    may("source_of", Sources),
];
const BODY: [Member; 4] = [
    must("species", Text),
    must("coefficient_m", Number(1e-3, 2.0)),
    must("exponent", Number(0.0, 1.0)),
    must("to_kg", Number(0.1, 5000.0)),
];
const NET: [Member; 10] = [
    must("id", Text),
    must("label", Text),
    must("height_m", HEIGHT_M),
    must("mesh_m", Numbers(0.001, 2.0)),
    must("wire", Text),
    must("live_m", RisingOrNone(0.01, 5.0)),
    must("stakes_m", Number(0.1, 50.0)),
    must("roll_m", Number(0.1, 1e4)),
    must("weight_kg", Number(0.0, 1e3)),
    must("joins", Text),
];
const HEAD: [Member; 6] = [
    must("species", Text),
    must("class", Text),
    must("label", Text),
    must("guidance", Word(&["guideline", "trial", "ceiling"])),
    may("least_per_ha", Number(0.0, 1e5)),
    must("most_per_ha", Number(0.0, 1e5)),
];
const TURNING: [Member; 8] = [
    must("species", Text),
    must("turned_m2_per_day", Number(0.01, 1e3)),
    must("turned_least_m2_per_day", Number(0.01, 1e3)),
    must("turned_most_m2_per_day", Number(0.01, 1e3)),
    may("turned_at_kg", Number(0.1, 2000.0)),
    must("move_at_share", Number(0.01, 1.0)),
    must("woodland_days", Pair(0.0, 1e3)),
    must("rest_days", Pair(0.0, 1e3)),
];
const GROWING: [Member; 4] = [
    must("species", Text),
    must("feed", Feed),
    must("water_l_per_feed_kg", Pair(0.0, 100.0)),
    must("water_l_per_kg", Number(0.0, 10.0)),
];
const NEED: [Member; 5] = [
    must("species", Text),
    must("class", Text),
    must("label", Text),
    may("feed_kg", Pair(0.0, 100.0)),
    must("water_l", Pair(0.0, 1e3)),
];

/// One section of the catalogue.
#[derive(Clone, Copy)]
pub(super) struct Section {
    pub name: &'static str,
    /// Members that tell one row from the others.
    pub named_by: &'static [&'static str],
    members: &'static [Member],
}

impl Section {
    /// What its rows are made of.
    pub(super) fn members(&self) -> impl Iterator<Item = &'static Member> {
        self.members.iter().chain(&OF_EVERY_ROW)
    }
}

const fn section(name: &'static str, named_by: &'static [&'static str], members: &'static [Member]) -> Section {
    Section { name, named_by, members }
}

const BY_ID: &[&str] = &["id"];
const BY_VEGETATION: &[&str] = &["vegetation"];
const BY_SPECIES: &[&str] = &["species"];
const BY_LABEL: &[&str] = &["species", "class", "label"];

/// Every section.
pub(super) const SECTIONS: [Section; 15] = [
    section("wire", BY_ID, &WIRE),
    section("post", BY_ID, &POST),
    section("insulator", BY_ID, &INSULATOR),
    section("gate", BY_ID, &GATE),
    section("energizer", BY_ID, &ENERGIZER),
    section("leakage", BY_VEGETATION, &LEAKAGE),
    section("soil", BY_ID, &SOIL),
    section("animal", BY_ID, &ANIMAL),
    section("fitting", BY_ID, &FITTING),
    section("body", BY_SPECIES, &BODY),
    section("net", BY_ID, &NET),
    section("head", BY_LABEL, &HEAD),
    section("turning", BY_SPECIES, &TURNING),
    section("growing", BY_SPECIES, &GROWING),
    section("need", BY_LABEL, &NEED),
];
