//! What a live strand leaks to the ground along its way.

use super::{GroundState, RowSource};
use crate::units::Length;
use serde::Deserialize;

/// What grows along a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Vegetation {
    /// Nothing touches the strands.
    Clear,
    /// Grass touches here and there: what a plan is made for unless it says otherwise.
    #[default]
    Light,
    /// Growth or fallen leaves along the low strands.
    Heavy,
    /// Green growth through the fence.
    Overgrown,
}

impl Vegetation {
    /// The words of plans, from the least growth to the most.
    pub const WORDS: [&str; 4] = ["clear", "light", "heavy", "overgrown"];

    /// From its word in a plan; `None` for any other word.
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "clear" => Self::Clear,
            "light" => Self::Light,
            "heavy" => Self::Heavy,
            "overgrown" => Self::Overgrown,
            _ => return None,
        })
    }
}

/// From a height on, the share of the leakage that a strand has.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct ShareAtHeight {
    /// Height above the ground.
    #[serde(rename = "from_m")]
    pub from: Length,
    /// Share, 0 to 1.
    pub share: f64,
}

/// Leakage of a live strand where this grows.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct LeakageRow {
    /// What grows.
    pub vegetation: Vegetation,
    /// What people call it.
    pub label: String,
    /// Of a low strand in dry ground, microsiemens for a kilometre.
    pub dry_us_per_km: f64,
    /// Damp.
    pub damp_us_per_km: f64,
    /// Wet.
    pub wet_us_per_km: f64,
    /// Frozen.
    pub frozen_us_per_km: f64,
    /// How much of it strands have by their height, the lowest first.
    pub at_heights: Vec<ShareAtHeight>,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

/// Siemens for a metre in a microsiemens for a kilometre.
pub const SIEMENS_PER_M_IN_US_PER_KM: f64 = 1e-9;

impl LeakageRow {
    /// Of a strand near the ground in this state, S/m.
    pub fn siemens_per_m(&self, state: GroundState) -> f64 {
        let us_per_km = match state {
            GroundState::Dry => self.dry_us_per_km,
            GroundState::Damp => self.damp_us_per_km,
            GroundState::Wet => self.wet_us_per_km,
            GroundState::Frozen => self.frozen_us_per_km,
        };
        us_per_km * SIEMENS_PER_M_IN_US_PER_KM
    }

    /// The share of it that a strand at this height has, 0 to 1.
    pub fn share_at(&self, height: Length) -> f64 {
        self.at_heights.iter().rev().find(|step| step.from <= height).or(self.at_heights.first()).map_or(1.0, |step| step.share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn more_growth_and_wetter_ground_leak_more_and_higher_strands_less() {
        let all = Catalogue::built_in();
        let of = |word: &str, state: GroundState| {
            let vegetation = Vegetation::from_word(word).expect(word);
            all.leakage(vegetation).expect(word).siemens_per_m(state)
        };
        for pair in Vegetation::WORDS.windows(2) {
            for state in [GroundState::Dry, GroundState::Damp, GroundState::Wet, GroundState::Frozen] {
                assert!(of(pair[0], state) < of(pair[1], state), "{pair:?} {state:?}");
            }
        }
        for word in Vegetation::WORDS {
            assert!(
                of(word, GroundState::Dry) < of(word, GroundState::Damp)
                    && of(word, GroundState::Damp) < of(word, GroundState::Wet)
            );
        }
        let light = all.leakage(Vegetation::Light).expect("listed");
        let shares = [(0.0, 1.0), (0.29, 1.0), (0.3, 0.5), (0.59, 0.5), (0.6, 0.2), (2.0, 0.2)];
        for (height_m, share) in shares {
            assert!((light.share_at(Length::metres(height_m)) - share).abs() < 1e-12, "{height_m} m");
        }
    }
}
