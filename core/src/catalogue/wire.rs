//! Wires. What follows from gauge, metal and grade is computed here, not typed into the catalogue.

use super::RowSource;
use super::conductor::{self, Conductor, ConductorText, Usual};
use crate::units::{Force, Length};
use serde::Deserialize;
use std::f64::consts::PI;

/// What a wire is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Metal {
    /// Galvanised steel.
    Steel,
    /// Aluminium.
    Aluminium,
    /// Plastic that carries metal strands, or a metal core in plastic: the row gives what cannot be computed.
    Composite,
}

/// Density of steel, kg/m3 (source: from memory, any table).
pub const STEEL_DENSITY_KG_PER_M3: f64 = 7850.0;
/// Young's modulus of galvanised fence wire, Pa. Assumed: tests show too much scatter to judge a wire by it.
pub const STEEL_YOUNG_PA: f64 = 200e9;
/// Thermal expansion of steel, 1/K (source: from memory, any table).
pub const STEEL_EXPANSION_PER_K: f64 = 11.7e-6;

struct MetalValues {
    density_kg_per_m3: f64,
    young_pa: f64,
    expansion_per_k: f64,
}

const STEEL: MetalValues =
    MetalValues { density_kg_per_m3: STEEL_DENSITY_KG_PER_M3, young_pa: STEEL_YOUNG_PA, expansion_per_k: STEEL_EXPANSION_PER_K };
const ALUMINIUM: MetalValues = MetalValues { density_kg_per_m3: 2700.0, young_pa: 69e9, expansion_per_k: 23.1e-6 };
/// Least tensile strength of wire that is called high tensile, Pa (`common-practice`).
const HIGH_TENSILE_PA: f64 = 9e8;

/// US Steel Wire Gauge: gauge and diameter in inches (source key `us-steel-wire-gauge`).
pub const GAUGE_INCHES: [(&str, f64); 10] = [
    ("9", 0.1483),
    ("11", 0.1205),
    ("12", 0.1055),
    ("12.5", 0.0990),
    ("13", 0.0915),
    ("14", 0.0800),
    ("15.5", 0.0670),
    ("16", 0.0625),
    ("17", 0.0540),
    ("20", 0.0348),
];

/// Diameter of a US steel wire gauge.
///
/// # Units
/// Metres.
/// # Valid for
/// The gauges of [`GAUGE_INCHES`]; `None` for others.
/// # Source
/// `us-steel-wire-gauge`.
pub fn gauge_diameter_m(gauge: &str) -> Option<f64> {
    GAUGE_INCHES.iter().find(|(name, _)| *name == gauge).map(|(_, inches)| inches * 0.0254)
}

/// Cross-section of a round wire: `A = pi d^2 / 4`.
///
/// # Units
/// `diameter_m` in metres; the result in square metres.
/// # Source
/// Geometry of a circle: `statics`.
pub fn area_m2(diameter_m: f64) -> f64 {
    PI * diameter_m * diameter_m / 4.0
}

/// Breaking load of a round wire: `Tb = Rm A`.
///
/// # Units
/// `strength_pa` (Rm) in pascals, `diameter_m` in metres; the result in newtons.
/// # Source
/// Definition of tensile strength; grades in `astm-a854`.
pub fn breaking_n(diameter_m: f64, strength_pa: f64) -> f64 {
    strength_pa * area_m2(diameter_m)
}

/// One wire of the catalogue.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(try_from = "WireText")]
pub struct WireRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// What it is made of.
    pub metal: Metal,
    /// Diameter, or width of a tape.
    pub diameter: Length,
    /// Mass of a metre.
    pub mass_kg_per_m: f64,
    /// Resistance of a metre to a steady current.
    pub resistance_ohm_per_m: f64,
    /// What a pulse meets.
    pub electrical: Conductor,
    /// Young's modulus times area; for plastics the secant value, for sag only.
    pub stiffness: Force,
    /// Least breaking load of the plain wire.
    pub breaking: Force,
    /// Share of the breaking load that a usual knot or splice leaves, 0 to 1.
    pub joint_share: f64,
    /// Thermal expansion of a plain metal wire; `None` for plastics, which creep more than they swell.
    pub expansion_per_k: Option<f64>,
    /// What it is usually set to.
    pub tension: Force,
    /// How much a roll holds.
    pub roll: Length,
    /// Longest bay it is used with.
    pub longest_bay: Option<Length>,
    /// Whether it has barbs: it must never be live.
    pub is_barbed: bool,
    /// Where the values come from.
    pub sources: RowSource,
}

impl WireRow {
    /// Weight of a metre, N/m.
    pub fn weight_n_per_m(&self) -> f64 {
        self.mass_kg_per_m * crate::units::GRAVITY_M_PER_S2
    }
    /// Whether it is a woven tape: a plastic a centimetre wide or more.
    pub fn is_tape(&self) -> bool {
        self.metal == Metal::Composite && self.diameter >= Length::metres(0.01)
    }
    /// Whether it is hard drawn: it stretches little and holds its tension (at least 900 MPa over its section).
    pub fn is_high_tensile(&self) -> bool {
        self.metal == Metal::Steel && self.breaking.as_newtons() >= HIGH_TENSILE_PA * area_m2(self.diameter.as_metres())
    }
}

#[derive(Deserialize)]
struct WireText {
    id: String,
    label: String,
    metal: Metal,
    gauge: Option<String>,
    diameter_m: Option<f64>,
    strength_pa: Option<f64>,
    mass_kg_per_m: Option<f64>,
    resistance_ohm_per_m: Option<f64>,
    resistivity_ohm_m: Option<f64>,
    mu_r: Option<f64>,
    zinc_m: Option<f64>,
    electric_radius_m: Option<f64>,
    sheath_diameter_m: Option<f64>,
    permittivity: Option<f64>,
    breaking_n: Option<f64>,
    stiffness_n: Option<f64>,
    joint_share: f64,
    tension_n: f64,
    roll_m: f64,
    longest_bay_m: Option<f64>,
    #[serde(default)]
    barbed: bool,
    #[serde(flatten)]
    sources: RowSource,
}

impl WireText {
    fn conductor(&self, diameter_m: f64, breaking_n: f64) -> Option<Conductor> {
        let usual: Option<Usual> = match self.metal {
            Metal::Steel if breaking_n >= HIGH_TENSILE_PA * area_m2(diameter_m) => Some(conductor::HARD_STEEL),
            Metal::Steel => Some(conductor::SOFT_STEEL),
            Metal::Aluminium => Some(conductor::ALUMINIUM),
            Metal::Composite => None,
        };
        let text = ConductorText {
            resistance_ohm_per_m: self.resistance_ohm_per_m,
            resistivity_ohm_m: self.resistivity_ohm_m,
            mu_r: self.mu_r,
            zinc_m: self.zinc_m,
            electric_radius_m: self.electric_radius_m,
            sheath_diameter_m: self.sheath_diameter_m,
            permittivity: self.permittivity,
        };
        text.conductor(diameter_m, usual)
    }
}

impl TryFrom<WireText> for WireRow {
    type Error = String;

    fn try_from(text: WireText) -> Result<Self, String> {
        let lacks = |key: &str| format!("wire {}: lacks {key}", text.id);
        let by_gauge = text.gauge.as_deref().and_then(gauge_diameter_m);
        let diameter_m = by_gauge.or(text.diameter_m).ok_or_else(|| lacks("a known gauge or diameter_m"))?;
        let area_m2 = area_m2(diameter_m);
        let values = match text.metal {
            Metal::Steel => Some(STEEL),
            Metal::Aluminium => Some(ALUMINIUM),
            Metal::Composite => None,
        };
        let computed = |typed: Option<f64>, from_metal: fn(&MetalValues) -> f64, key: &str| {
            typed.or_else(|| values.as_ref().map(from_metal).map(|value| value * area_m2)).ok_or_else(|| lacks(key))
        };
        let breaking = text
            .breaking_n
            .or_else(|| text.strength_pa.map(|strength_pa| breaking_n(diameter_m, strength_pa)))
            .ok_or_else(|| lacks("strength_pa or breaking_n"))?;
        let electrical = text.conductor(diameter_m, breaking).ok_or_else(|| lacks("resistance_ohm_per_m"))?;
        Ok(Self {
            mass_kg_per_m: computed(text.mass_kg_per_m, |metal| metal.density_kg_per_m3, "mass_kg_per_m")?,
            stiffness: Force::newtons(computed(text.stiffness_n, |metal| metal.young_pa, "stiffness_n")?),
            resistance_ohm_per_m: electrical.steady_ohm_per_m(),
            electrical,
            breaking: Force::newtons(breaking),
            expansion_per_k: values.as_ref().map(|metal| metal.expansion_per_k),
            diameter: Length::metres(diameter_m),
            metal: text.metal,
            joint_share: text.joint_share,
            tension: Force::newtons(text.tension_n),
            roll: Length::metres(text.roll_m),
            longest_bay: text.longest_bay_m.map(Length::metres),
            is_barbed: text.barbed,
            sources: text.sources,
            label: text.label,
            id: text.id,
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;

    #[test]
    fn hard_and_soft_wire_are_told_apart() {
        let all = Catalogue::built_in();
        for (id, hard) in
            [("ht-17ga", true), ("ht-12.5ga", true), ("soft-12.5ga", false), ("polywire", false), ("alu-12.5ga", false)]
        {
            assert_eq!(all.wire(id).expect(id).is_high_tensile(), hard, "{id}");
        }
    }

    #[test]
    fn no_wire_is_usually_set_beyond_half_of_what_its_knot_holds() {
        for wire in &Catalogue::built_in().wires {
            assert!(wire.tension.as_newtons() <= 0.5 * wire.joint_share * wire.breaking.as_newtons() * 1.1, "{}", wire.id);
        }
    }
}
