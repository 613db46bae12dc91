//! Soils and the state of the ground.

use super::RowSource;
use serde::Deserialize;

/// How wet the ground is: sets soil strength, leakage and resistivity together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GroundState {
    /// Dry.
    Dry,
    /// Damp: what a plan is made for unless it says otherwise.
    #[default]
    Damp,
    /// Wet.
    Wet,
    /// Frozen.
    Frozen,
}

impl GroundState {
    /// The words of plans.
    pub const WORDS: [&str; 4] = ["dry", "damp", "wet", "frozen"];

    /// How many times the resistivity of damp ground this state has (`common-practice`, within `soil-resistivity`: sandy loam of 10 % water has three
    /// to four times the resistivity that it has at 20 %; frozen topsoil four to twenty times that of the thawed).
    pub fn resistivity_factor(self) -> f64 {
        match self {
            Self::Dry => 3.0,
            Self::Damp => 1.0,
            Self::Wet => 0.5,
            Self::Frozen => 5.0,
        }
    }

    /// Its word in plans.
    pub fn word(self) -> &'static str {
        match self {
            Self::Dry => "dry",
            Self::Damp => "damp",
            Self::Wet => "wet",
            Self::Frozen => "frozen",
        }
    }

    /// From its word in a plan; `None` for any other word.
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "dry" => Self::Dry,
            "damp" => Self::Damp,
            "wet" => Self::Wet,
            "frozen" => Self::Frozen,
            _ => return None,
        })
    }
}

/// One soil of the catalogue.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SoilRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Undrained strength, Pa; `None` where it is no clay.
    pub undrained_pa: Option<f64>,
    /// Friction angle, degrees; `None` where it is no sand.
    pub friction_angle_deg: Option<f64>,
    /// Unit weight, N/m3.
    pub unit_weight_n_per_m3: f64,
    /// Lateral bearing that a building code allows, Pa per metre of depth; `None` where it allows none.
    pub lateral_bearing_pa_per_m: Option<f64>,
    /// Friction along a post that is pulled up, Pa.
    pub shaft_friction_pa: f64,
    /// What wet ground leaves of its capacity, 0 to 1.
    pub wet_factor: f64,
    /// Resistivity when damp, ohm metres; an own row that says nothing has that of loam.
    #[serde(default = "resistivity_of_loam")]
    pub resistivity_ohm_m: f64,
    /// How a post gets in.
    pub driving: String,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

fn resistivity_of_loam() -> f64 {
    100.0
}

impl SoilRow {
    /// Resistivity in this state of the ground, ohm metres.
    pub fn resistivity(&self, state: GroundState) -> f64 {
        self.resistivity_ohm_m * state.resistivity_factor()
    }
    /// What this state of the ground leaves of the soil's strength, 0 to 1.
    pub fn state_factor(&self, state: GroundState) -> f64 {
        if state == GroundState::Wet { self.wet_factor } else { 1.0 }
    }
    /// Whether it is rock: a post has no soil to press against.
    pub fn is_rock(&self) -> bool {
        self.undrained_pa.is_none() && self.friction_angle_deg.is_none()
    }
}
