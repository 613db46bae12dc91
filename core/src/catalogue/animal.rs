//! Animals by species and class.

use super::RowSource;
use crate::units::{Force, Length};
use serde::Deserialize;

/// One class of a species.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct AnimalRow {
    /// Id in the catalogue.
    pub id: String,
    /// Species, as in plans.
    pub species: String,
    /// Class within the species.
    pub class: String,
    /// What people call it.
    pub label: String,
    /// Height of the shoulder.
    #[serde(rename = "shoulder_m")]
    pub shoulder: Length,
    /// Mass of one.
    pub mass_kg: f64,
    /// Mass from which an animal of unknown class is taken for this one; `None` for what is only ever chosen.
    pub from_kg: Option<f64>,
    /// How far it reaches through with its snout.
    #[serde(rename = "reach_m")]
    pub reach: Option<Length>,
    /// Usual heights of the strands, the lowest first.
    #[serde(rename = "strands_m")]
    pub strands: Vec<Length>,
    /// Lowest and highest clearance of the lowest strand.
    #[serde(rename = "band_m")]
    pub band: Option<(Length, Length)>,
    /// Peak voltage wanted at the far end in the wettest state.
    pub least_v: f64,
    /// Days to learn the fence; `None` for what is to be kept out.
    pub train_days: Option<u32>,
    /// Highest gap that it will not creep under.
    #[serde(rename = "creep_m")]
    pub creep: Length,
    /// Lowest fence that it will not jump.
    #[serde(rename = "jump_m")]
    pub jump: Option<Length>,
    /// How hard it leans on a strand.
    #[serde(rename = "push_n")]
    pub push: Force,
    /// Resistance of its body from where it touches to its feet, ohm; an own row that says nothing has 400, as assumed for most.
    #[serde(default = "assumed_body_ohm")]
    pub body_ohm: f64,
    /// Resistance where it touches the strand, ohm: 0 for a bare nose.
    #[serde(default)]
    pub contact_ohm: f64,
    /// Radius of the disc that a foot is on the ground.
    #[serde(rename = "hoof_radius_m", default = "assumed_hoof_radius")]
    pub hoof_radius: Length,
    /// How many feet stand on the ground.
    #[serde(default = "four")]
    pub feet: u32,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

fn assumed_body_ohm() -> f64 {
    400.0
}
fn assumed_hoof_radius() -> Length {
    Length::metres(0.02)
}
fn four() -> u32 {
    4
}

impl AnimalRow {
    /// Resistance from a strand through the animal into the ground: `Ra = R_body + R_contact + rho / (4 b n)`, each foot a disc on the ground.
    ///
    /// # Units
    /// `soil_ohm_m` (rho) in ohm metres; the result in ohm.
    /// # Valid for
    /// Feet that stand apart by much more than their size, on ground that is even to some depth.
    /// # Source
    /// `ieee-80`: a foot as a disc.
    pub fn through_ohm(&self, soil_ohm_m: f64) -> f64 {
        let feet_ohm = soil_ohm_m / (4.0 * self.hoof_radius.as_metres() * f64::from(self.feet.max(1)));
        self.body_ohm + self.contact_ohm + feet_ohm
    }
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;

    #[test]
    fn an_animal_passes_less_current_on_poorer_ground() {
        // Species, soil in ohm metres, ohm: by hand from body, radius and number of feet.
        let rows = [
            ("pig", "grower", 50.0, 456.25),
            ("pig", "sow", 200.0, 925.0),
            ("pig", "boar", 2000.0, 6550.0),
            ("cattle", "cow", 100.0, 538.9),
            ("sheep", "ewe", 200.0, 1233.3),
            ("horse", "horse", 100.0, 504.2),
            ("poultry", "hen", 200.0, 3583.3),
        ];
        for (species, class, soil_ohm_m, ohm) in rows {
            let animal = Catalogue::built_in().animal(species, Some(class)).expect(class);
            let found = animal.through_ohm(soil_ohm_m);
            assert!((found - ohm).abs() < 0.1, "{class}: {found}");
        }
    }
}
