//! What a pulse meets in a wire: the members of a wire's row that only electricity asks for.

use super::wire::area_m2;
use std::f64::consts::PI;

/// A wire as a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conductor {
    /// Round metal: its impedance grows with frequency (skin effect).
    Round {
        /// Outer radius, over the zinc.
        radius_m: f64,
        /// Resistivity of the metal.
        resistivity_ohm_m: f64,
        /// Relative permeability.
        mu_r: f64,
        /// Thickness of the zinc, included in the radius; 0 for bare wire.
        zinc_m: f64,
    },
    /// Thin strands in plastic: the same resistance at every frequency that a pulse has.
    Constant {
        /// Resistance of a metre.
        ohm_per_m: f64,
        /// Radius of the round wire that has the same field around it.
        radius_m: f64,
    },
    /// A core in an insulating sheath, made to lie in the ground.
    Cable {
        /// Resistance of a metre.
        ohm_per_m: f64,
        /// Radius of the core.
        core_radius_m: f64,
        /// Radius over the sheath.
        outer_radius_m: f64,
        /// Relative permittivity of the sheath.
        permittivity: f64,
    },
}

impl Conductor {
    /// Resistance of a metre to a steady current; of round wire that of its metal over the whole section: `R = rho / A`.
    ///
    /// # Units
    /// Ohm per metre.
    /// # Source
    /// Definition of resistivity: `metal-resistivities`.
    pub fn steady_ohm_per_m(&self) -> f64 {
        match *self {
            Self::Round { radius_m, resistivity_ohm_m, .. } => resistivity_ohm_m / (PI * radius_m * radius_m),
            Self::Constant { ohm_per_m, .. } | Self::Cable { ohm_per_m, .. } => ohm_per_m,
        }
    }
    /// Outer radius of the metal.
    pub fn radius_m(&self) -> f64 {
        match *self {
            Self::Round { radius_m, .. } | Self::Constant { radius_m, .. } => radius_m,
            Self::Cable { core_radius_m, .. } => core_radius_m,
        }
    }
}

/// What a row says about its wire as a conductor.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct ConductorText {
    pub resistance_ohm_per_m: Option<f64>,
    pub resistivity_ohm_m: Option<f64>,
    pub mu_r: Option<f64>,
    pub zinc_m: Option<f64>,
    pub electric_radius_m: Option<f64>,
    pub sheath_diameter_m: Option<f64>,
    pub permittivity: Option<f64>,
}

/// What is usual for a metal and its grade.
#[derive(Clone, Copy, Debug)]
pub(super) struct Usual {
    pub resistivity_ohm_m: f64,
    pub mu_r: f64,
}

/// Hard-drawn steel (`fence-wire-resistance`, `iron-wire-magnetism`).
pub(super) const HARD_STEEL: Usual = Usual { resistivity_ohm_m: 1.75e-7, mu_r: 80.0 };
/// Mild steel (`metal-resistivities`, `iron-wire-magnetism`).
pub(super) const SOFT_STEEL: Usual = Usual { resistivity_ohm_m: 1.3e-7, mu_r: 150.0 };
/// Aluminium (`metal-resistivities`).
pub(super) const ALUMINIUM: Usual = Usual { resistivity_ohm_m: 2.82e-8, mu_r: 1.0 };
/// Relative permittivity of a sheath that says nothing else (`polyethylene-permittivity`).
const SHEATH_PERMITTIVITY: f64 = 2.3;

impl ConductorText {
    /// The conductor; `None` where a resistance is needed and lacks. `usual`: for plain metal.
    pub(super) fn conductor(self, diameter_m: f64, usual: Option<Usual>) -> Option<Conductor> {
        let radius_m = diameter_m / 2.0;
        let from_resistance = self.resistance_ohm_per_m.map(|ohm_per_m| ohm_per_m * area_m2(diameter_m));
        if let (Some(sheath_diameter_m), Some(ohm_per_m)) = (self.sheath_diameter_m, self.resistance_ohm_per_m) {
            return Some(Conductor::Cable {
                ohm_per_m,
                core_radius_m: radius_m,
                outer_radius_m: sheath_diameter_m / 2.0,
                permittivity: self.permittivity.unwrap_or(SHEATH_PERMITTIVITY),
            });
        }
        match usual {
            Some(usual) => Some(Conductor::Round {
                radius_m,
                resistivity_ohm_m: self.resistivity_ohm_m.or(from_resistance).unwrap_or(usual.resistivity_ohm_m),
                mu_r: self.mu_r.unwrap_or(usual.mu_r),
                zinc_m: self.zinc_m.unwrap_or(0.0),
            }),
            None => self
                .resistance_ohm_per_m
                .map(|ohm_per_m| Conductor::Constant { ohm_per_m, radius_m: self.electric_radius_m.unwrap_or(radius_m) }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn every_wire_is_a_conductor_of_its_sort() {
        let all = Catalogue::built_in();
        for wire in &all.wires {
            let sort = match wire.electrical {
                Conductor::Round { .. } => "round",
                Conductor::Constant { .. } => "constant",
                Conductor::Cable { .. } => "cable",
            };
            let expected = match wire.id.as_str() {
                "polywire" | "polywire-mixed" | "tape-20" | "rope-6" => "constant",
                "hv-cable" => "cable",
                _ => "round",
            };
            assert_eq!(sort, expected, "{}", wire.id);
            let steady = wire.electrical.steady_ohm_per_m();
            assert!((steady / wire.resistance_ohm_per_m - 1.0).abs() < 1e-12, "{}: one resistance", wire.id);
        }
    }

    #[test]
    fn a_cable_in_the_ground_has_the_capacitance_of_its_sheath() {
        // 2 pi eps0 eps_r / ln(b / a): polyethylene of 2.3 between 2.5 and 6 mm by hand, 146.2 pF for a metre.
        let wire = Catalogue::built_in().wire("hv-cable").expect("listed");
        let Conductor::Cable { core_radius_m, outer_radius_m, permittivity, .. } = wire.electrical else { panic!("a cable") };
        let picofarad = 2.0 * PI * 8.8542 * permittivity / (outer_radius_m / core_radius_m).ln();
        assert!((picofarad - 146.2).abs() < 0.1, "{picofarad}");
    }
}
