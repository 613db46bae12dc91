//! Animals by species and class.

use super::{BarrierRow, Purpose, RowSource};
use crate::units::{Force, Length};
use serde::Deserialize;

/// How tall animals of a species stand, by their mass.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct BodyRow {
    /// Species, as in plans.
    pub species: String,
    /// Height of the shoulder of one kilogram, metres.
    pub coefficient_m: f64,
    /// Exponent of the mass.
    pub exponent: f64,
    /// Mass above which it only gets fatter, kg.
    pub to_kg: f64,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

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
    /// Height of the shoulder at `mass_kg`, where the species' formula does not tell it.
    #[serde(rename = "shoulder_m")]
    pub shoulder: Option<Length>,
    /// Mass of one.
    pub mass_kg: f64,
    /// Mass from which an animal of unknown class is taken for this one; `None` for what is only ever chosen.
    pub from_kg: Option<f64>,
    /// How far it reaches through with its snout.
    #[serde(rename = "reach_m")]
    pub reach: Option<Length>,
    /// Least peak voltage at the far end in the wettest state: below it nothing holds.
    pub floor_v: f64,
    /// Peak voltage asked for there.
    pub asked_v: f64,
    /// What a full fleece or a winter coat asks for.
    pub thick_coat_v: Option<f64>,
    /// Days to learn the fence; `None` for what is to be kept out, and for netting.
    pub train_days: Option<u32>,
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
    /// What a fence has to be to hold it, by purpose.
    #[serde(rename = "fence", default)]
    pub barriers: Vec<BarrierRow>,
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
    /// What a fence has to be for this purpose: of what is only ever kept out, a boundary.
    pub fn barrier(&self, purpose: Purpose) -> Option<&BarrierRow> {
        let inside = purpose == Purpose::Interior;
        let is_meant = |row: &&BarrierRow| (row.purpose == Purpose::Interior) == inside;
        self.barriers
            .iter()
            .find(is_meant)
            .or_else(|| self.barriers.iter().rfind(|row| row.purpose != Purpose::Interior || !inside))
    }
    /// Whether it is kept in, not out.
    pub fn is_kept_in(&self) -> bool {
        self.barriers.iter().any(|row| row.purpose == Purpose::Interior)
    }

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
