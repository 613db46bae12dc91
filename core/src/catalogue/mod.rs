//! Wires, posts, insulators, gates, energizers, animals, soils, what leaks, what fails, and small parts: rows parsed from `assets/catalogue/`, each with its source.

mod animal;
mod barrier;
mod code;
mod conductor;
mod energizer;
mod fault;
mod fitting;
mod in_use;
mod insulator;
mod leakage;
mod net;
mod own;
mod own_form;
mod own_members;
mod post;
mod soil;
mod stocking;
pub mod wire;

pub use animal::{AnimalRow, BodyRow};
pub use barrier::{BarrierRow, Grade, HeavyRow, NetLimits, Purpose};
pub use code::{Code, CodeLength, OverheadRow};
pub use conductor::Conductor;
pub use energizer::{EnergizerRow, Figures};
pub use fault::{FaultPer, FaultRow, Hemisphere, KitKind, KitRow, MendingPart, YEAR_DAYS};
pub use fitting::{FittingRow, GateRow};
pub use in_use::InUse;
pub use insulator::{InsulatorRole, InsulatorRow};
pub use leakage::{LeakageRow, SIEMENS_PER_M_IN_US_PER_KM, ShareAtHeight, Vegetation};
pub use net::NetRow;
pub use own::{BEFORE as SECTION_OF_BEFORE, KEEPERS_OWN, OwnPlace, OwnRowError};
pub use post::{PostMaterial, PostRow, round_post_moment_nm};
pub use soil::{GroundState, SoilRow};
pub use stocking::{FeedPoint, GrowingRow, Guidance, HeadRow, NeedRow, TurningRow};
pub use wire::{Metal, WireRow};

use crate::source::SourceKey;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Where a row and its single values come from.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct RowSource {
    /// Source of every value that has none of its own.
    pub source: SourceKey,
    /// Sources of single values, by key in the file.
    #[serde(default)]
    pub source_of: BTreeMap<String, SourceKey>,
}

impl RowSource {
    /// The source of the value under this key.
    pub fn of(&self, key: &str) -> &SourceKey {
        self.source_of.get(key).unwrap_or(&self.source)
    }
}

/// All rows. Ids are unique within a kind; ids that an order can name are unique among all kinds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catalogue {
    /// Wires.
    pub wires: Vec<WireRow>,
    /// Posts.
    pub posts: Vec<PostRow>,
    /// Insulators.
    pub insulators: Vec<InsulatorRow>,
    /// Ways to open a fence.
    pub gates: Vec<GateRow>,
    /// Energizers by class.
    pub energizers: Vec<EnergizerRow>,
    /// What strands leak, by what grows along them.
    pub leakages: Vec<LeakageRow>,
    /// Soils.
    pub soils: Vec<SoilRow>,
    /// Animals by species and class.
    pub animals: Vec<AnimalRow>,
    /// Netting.
    pub nets: Vec<NetRow>,
    /// Small parts.
    pub fittings: Vec<FittingRow>,
    /// How tall animals of a species stand.
    pub bodies: Vec<BodyRow>,
    /// How many head go on a hectare.
    pub heads: Vec<HeadRow>,
    /// How fast a species turns the ground, and how long it rests.
    pub turnings: Vec<TurningRow>,
    /// Feed and water of growing animals.
    pub growings: Vec<GrowingRow>,
    /// Feed and water of grown animals.
    pub needs: Vec<NeedRow>,
    /// What goes wrong.
    pub faults: Vec<FaultRow>,
    /// What is carried on a round.
    pub kits: Vec<KitRow>,
}

#[derive(Deserialize)]
struct Rows {
    #[serde(default)]
    wire: Vec<WireRow>,
    #[serde(default)]
    post: Vec<PostRow>,
    #[serde(default)]
    insulator: Vec<InsulatorRow>,
    #[serde(default)]
    gate: Vec<GateRow>,
    #[serde(default)]
    energizer: Vec<EnergizerRow>,
    #[serde(default)]
    leakage: Vec<LeakageRow>,
    #[serde(default)]
    soil: Vec<SoilRow>,
    #[serde(default)]
    animal: Vec<AnimalRow>,
    #[serde(default)]
    net: Vec<NetRow>,
    #[serde(default)]
    fitting: Vec<FittingRow>,
    #[serde(default)]
    body: Vec<BodyRow>,
    #[serde(default)]
    head: Vec<HeadRow>,
    #[serde(default)]
    turning: Vec<TurningRow>,
    #[serde(default)]
    growing: Vec<GrowingRow>,
    #[serde(default)]
    need: Vec<NeedRow>,
    #[serde(default)]
    fault: Vec<FaultRow>,
    #[serde(default)]
    kit: Vec<KitRow>,
}

const FILES: [(&str, &str); 12] = [
    ("net.toml", include_str!("../../../assets/catalogue/net.toml")),
    ("wire.toml", include_str!("../../../assets/catalogue/wire.toml")),
    ("post.toml", include_str!("../../../assets/catalogue/post.toml")),
    ("insulator.toml", include_str!("../../../assets/catalogue/insulator.toml")),
    ("gate.toml", include_str!("../../../assets/catalogue/gate.toml")),
    ("energizer.toml", include_str!("../../../assets/catalogue/energizer.toml")),
    ("leakage.toml", include_str!("../../../assets/catalogue/leakage.toml")),
    ("soil.toml", include_str!("../../../assets/catalogue/soil.toml")),
    ("animal.toml", include_str!("../../../assets/catalogue/animal.toml")),
    ("fitting.toml", include_str!("../../../assets/catalogue/fitting.toml")),
    ("faults.toml", include_str!("../../../assets/catalogue/faults.toml")),
    ("stocking.toml", include_str!("../../../assets/catalogue/stocking.toml")),
];

impl Catalogue {
    /// The rows that come with the program.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: OnceLock<Catalogue> = OnceLock::new();
        BUILT_IN.get_or_init(|| {
            let mut all = Self::default();
            for (name, text) in FILES {
                let rows: Rows = toml::from_str(text).unwrap_or_else(|error| panic!("assets/catalogue/{name}: {error}"));
                all.wires.extend(rows.wire);
                all.posts.extend(rows.post);
                all.insulators.extend(rows.insulator);
                all.gates.extend(rows.gate);
                all.energizers.extend(rows.energizer);
                all.leakages.extend(rows.leakage);
                all.soils.extend(rows.soil);
                all.animals.extend(rows.animal);
                all.fittings.extend(rows.fitting);
                all.bodies.extend(rows.body);
                all.nets.extend(rows.net);
                all.heads.extend(rows.head);
                all.turnings.extend(rows.turning);
                all.growings.extend(rows.growing);
                all.needs.extend(rows.need);
                all.faults.extend(rows.fault);
                all.kits.extend(rows.kit);
            }
            all
        })
    }

    /// The wire with this id.
    pub fn wire(&self, id: &str) -> Option<&WireRow> {
        self.wires.iter().find(|row| row.id == id)
    }
    /// The post with this id.
    pub fn post(&self, id: &str) -> Option<&PostRow> {
        self.posts.iter().find(|row| row.id == id)
    }
    /// The insulator with this id.
    pub fn insulator(&self, id: &str) -> Option<&InsulatorRow> {
        self.insulators.iter().find(|row| row.id == id)
    }
    /// The gate with this id.
    pub fn gate(&self, id: &str) -> Option<&GateRow> {
        self.gates.iter().find(|row| row.id == id)
    }
    /// The energizer class with this id.
    pub fn energizer(&self, id: &str) -> Option<&EnergizerRow> {
        self.energizers.iter().find(|row| row.id == id)
    }
    /// What strands leak where this grows.
    pub fn leakage(&self, vegetation: Vegetation) -> Option<&LeakageRow> {
        self.leakages.iter().find(|row| row.vegetation == vegetation)
    }
    /// The soil with this id.
    pub fn soil(&self, id: &str) -> Option<&SoilRow> {
        self.soils.iter().find(|row| row.id == id)
    }
    /// The netting with this id.
    pub fn net(&self, id: &str) -> Option<&NetRow> {
        self.nets.iter().find(|row| row.id == id)
    }
    /// The small part with this id.
    pub fn fitting(&self, id: &str) -> Option<&FittingRow> {
        self.fittings.iter().find(|row| row.id == id)
    }
    /// How tall animals of this species stand.
    pub fn body(&self, species: &str) -> Option<&BodyRow> {
        self.bodies.iter().find(|row| row.species == species)
    }
    /// How this species turns the ground.
    pub fn turning(&self, species: &str) -> Option<&TurningRow> {
        self.turnings.iter().find(|row| row.species == species)
    }
    /// What growing animals of this species eat and drink.
    pub fn growing(&self, species: &str) -> Option<&GrowingRow> {
        self.growings.iter().find(|row| row.species == species)
    }
    /// The kind of fault with this word.
    pub fn fault(&self, id: &str) -> Option<&FaultRow> {
        self.faults.iter().find(|row| row.id == id)
    }
    /// The thing with this id that is carried on a round.
    pub fn kit(&self, id: &str) -> Option<&KitRow> {
        self.kits.iter().find(|row| row.id == id)
    }
    /// The animal of this species and class; without a class the first one of the species.
    pub fn animal(&self, species: &str, class: Option<&str>) -> Option<&AnimalRow> {
        self.animals.iter().find(|row| row.species == species && class.is_none_or(|class| row.class == class))
    }
    /// What people call the thing with this id: any row that can be bought.
    pub fn label(&self, id: &str) -> Option<&str> {
        let labels = [
            self.wire(id).map(|row| row.label.as_str()),
            self.post(id).map(|row| row.label.as_str()),
            self.insulator(id).map(|row| row.label.as_str()),
            self.gate(id).map(|row| row.label.as_str()),
            self.energizer(id).map(|row| row.label.as_str()),
            self.net(id).map(|row| row.label.as_str()),
            self.fitting(id).map(|row| row.label.as_str()),
        ];
        labels.into_iter().flatten().next()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    fn all_sources(all: &Catalogue) -> Vec<(&str, &RowSource)> {
        let mut rows = Vec::new();
        rows.extend(all.wires.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.posts.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.insulators.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.gates.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.energizers.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.soils.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.animals.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.fittings.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.nets.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows
    }

    fn stocking_sources(all: &Catalogue) -> Vec<(&str, &RowSource)> {
        let mut rows = Vec::new();
        rows.extend(all.leakages.iter().map(|row| (row.label.as_str(), &row.sources)));
        rows.extend(all.bodies.iter().map(|row| (row.species.as_str(), &row.sources)));
        rows.extend(all.animals.iter().flat_map(|row| row.barriers.iter().map(|fence| (row.id.as_str(), &fence.sources))));
        rows.extend(all.heads.iter().map(|row| (row.label.as_str(), &row.sources)));
        rows.extend(all.turnings.iter().map(|row| (row.species.as_str(), &row.sources)));
        rows.extend(all.growings.iter().map(|row| (row.species.as_str(), &row.sources)));
        rows.extend(all.needs.iter().map(|row| (row.label.as_str(), &row.sources)));
        rows.extend(all.faults.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows.extend(all.kits.iter().map(|row| (row.id.as_str(), &row.sources)));
        rows
    }

    #[test]
    fn every_row_names_sources_that_are_listed() {
        let all = Catalogue::built_in();
        for (id, sources) in all_sources(all).into_iter().chain(stocking_sources(all)) {
            for key in std::iter::once(&sources.source).chain(sources.source_of.values()) {
                assert!(key.entry().is_some(), "{id}: {key:?} is not in assets/sources.toml");
            }
        }
    }

    #[test]
    fn what_can_be_bought_has_one_id_and_a_label() {
        let all = Catalogue::built_in();
        let mut seen = HashSet::new();
        let ids = all_sources(all).into_iter().map(|(id, _)| id).filter(|id| all.soil(id).is_none());
        for id in ids.filter(|id| !all.animals.iter().any(|row| row.id == *id)) {
            assert!(seen.insert(id), "{id} stands twice");
            assert!(all.label(id).is_some_and(|label| !label.is_empty()), "{id} has no label");
        }
    }

    #[test]
    fn every_id_of_the_plan_file_is_there() {
        let all = Catalogue::built_in();
        let wires = "ht-12.5ga ht-14ga ht-17ga soft-12.5ga soft-14ga soft-16ga soft-17ga soft-9ga alu-12.5ga polywire polywire-mixed \
                     tape-20 rope-6 hv-cable";
        let posts = "wood-75 wood-100 wood-125 wood-150 wood-200 stake-sawn t-post rod-10 tube-25 step-in hardwood rock-pin crib tree stay-strainer";
        let soils = "soft-clay loam stiff-clay loose-sand sand gravel stony humus shale rock";
        wires.split_whitespace().for_each(|id| assert!(all.wire(id).is_some(), "wire {id}"));
        posts.split_whitespace().for_each(|id| assert!(all.post(id).is_some(), "post {id}"));
        let energizers = "portable small medium field large very-large";
        energizers.split_whitespace().for_each(|id| assert!(all.energizer(id).is_some(), "energizer {id}"));
        for word in Vegetation::WORDS {
            assert!(Vegetation::from_word(word).and_then(|vegetation| all.leakage(vegetation)).is_some(), "vegetation {word}");
        }
        soils.split_whitespace().for_each(|id| assert!(all.soil(id).is_some(), "soil {id}"));
        for species in ["pig", "sheep", "goat", "cattle", "horse", "poultry"] {
            assert!(all.animal(species, None).is_some(), "species {species}");
        }
        for class in
            "piglet grower finisher sow litter boar ewe lamb goat cow suckler calf bull horse pony hen fox dog wild_boar deer"
                .split_whitespace()
        {
            assert!(
                all.animals.iter().any(|row| row.class == class && row.barrier(Purpose::Boundary).is_some()),
                "class {class}"
            );
        }
    }

    #[test]
    fn every_post_hangs_its_strands_on_an_insulator_that_exists() {
        let all = Catalogue::built_in();
        for post in &all.posts {
            assert!(post.insulator.as_ref().is_none_or(|id| all.insulator(id).is_some()), "{}: {:?}", post.id, post.insulator);
        }
    }
}
