//! What a running animal or a falling limb does to a strand: closed form, by energy.
//!
//! The strand slides through its insulators, so all of the wire between two strainers, and the springs in it, stretch together. How
//! long the bays are does not matter to the tension; only to how far the strand gives way.
//!
//! What is not known outweighs the formulas: an animal rides over or under the strand and leaves it 0.2 to 1 of its energy, its
//! speed is known to a factor of 2 (its energy to 4), an unknown grade of wire is a factor of 2, a knot leaves 0.44 to 1.

use super::range::{OutOfRange, within};
use super::tension::TENSION_N;
use crate::catalogue::{Metal, WireRow};
use crate::units::GRAVITY_M_PER_S2;
use std::ops::RangeInclusive;

/// Lengths between strainers that the formulas are used for, metres. Waves run along steel at 5000 m/s and have to cross it
/// several times while the animal stops, which takes 0.2 to 0.5 s.
pub const STRAIN_M: RangeInclusive<f64> = 1.0..=500.0;
/// Stiffnesses (E A) of wires that the formulas are used for, newtons.
pub const STIFFNESS_N: RangeInclusive<f64> = 1e4..=5e6;
/// Rates of one spring that the formulas are used for, N/m.
pub const SPRING_N_PER_M: RangeInclusive<f64> = 100.0..=1e6;
/// Energies that the formulas are used for, joules: up to a heavy bull in flight or a large limb from the crown.
pub const ENERGY_J: RangeInclusive<f64> = 0.0..=200e3;
/// Masses of animals and limbs that the formulas are used for, kilograms.
pub const MASS_KG: RangeInclusive<f64> = 0.1..=2000.0;
/// Speeds that the formulas are used for, m/s; nothing that meets a fence runs faster (`common-practice`).
pub const SPEED_M_PER_S: RangeInclusive<f64> = 0.0..=20.0;

/// What the moving wire adds to the tension that follows from energy alone: waves run to and fro between animal and strainers.
///
/// # Valid for
/// Steel strands of 50 to 200 m between strainers without springs. A lumped wire followed in time steps goes 3 to 7 % above the
/// closed form there; an earlier calculation of the same kind, of which only the results are left, went 8 to 16 % above it.
/// # Source
/// `strike-dynamics-trial`.
pub const DYNAMIC_FACTOR: f64 = 1.15;

/// Springs in one strand between two strainers, one behind the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Springs {
    /// How many (n).
    pub count: u32,
    /// Rate of one (ks), N/m.
    pub rate_n_per_m: f64,
    /// How much farther each gives from the set tension on before it is solid, metres; `None` when that is not known: then it is
    /// taken to give without end, which flatters short strains.
    pub travel_m: Option<f64>,
}

/// One strand between two strainers, as the energy formulas see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TautWire {
    /// Young's modulus times area (E A), N.
    pub stiffness_n: f64,
    /// Length between the strainers (Lt), m.
    pub length_m: f64,
    /// Tension as set (T0), N.
    pub set_n: f64,
    /// Its springs; `None` where it has none.
    pub springs: Option<Springs>,
}

/// How the tension of a strain grows with its stretch: at one rate until the springs are solid, at another beyond.
#[derive(Clone, Copy, Debug)]
pub(super) struct Elastic {
    set_n: f64,
    rate_n_per_m: f64,
    /// Tension at which the springs are solid; infinite without an end.
    solid_n: f64,
    solid_rate_n_per_m: f64,
}

impl TautWire {
    /// Of a wire from the catalogue; `None` for plastics, whose stiffness is good for sag only: they creep and stretch too much.
    pub fn of(wire: &WireRow, length_m: f64, set_n: f64) -> Option<Self> {
        let is_metal = wire.metal != Metal::Composite;
        is_metal.then(|| Self { stiffness_n: wire.stiffness.as_newtons(), length_m, set_n, springs: None })
    }

    /// The same strain with springs.
    #[must_use]
    pub fn with_springs(self, springs: Springs) -> Self {
        Self { springs: Some(springs), ..self }
    }

    /// How stiff the strain is while its springs still give: `k = 1 / (Lt / EA + n / ks)`.
    ///
    /// # Units
    /// N/m.
    /// # Valid for
    /// [`STRAIN_M`], [`STIFFNESS_N`], [`SPRING_N_PER_M`]; a strand that slides at all posts between its ends.
    /// # Source
    /// Hooke's law, wire and springs in series: `statics`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn rate_n_per_m(&self) -> Result<f64, OutOfRange> {
        Ok(self.elastic()?.rate_n_per_m)
    }

    /// Highest tension when the strain takes up an energy: `T_peak = sqrt(T0^2 + 2 W k)`, from `W = T0 dl + k dl^2 / 2`.
    ///
    /// Beyond the springs' travel the same with the wire alone, from the tension and the energy reached there.
    ///
    /// # Units
    /// `energy_j` (W) in joules; the result in newtons.
    /// # Valid for
    /// [`ENERGY_J`], [`TENSION_N`] for the set tension; wire that stays elastic. [`DYNAMIC_FACTOR`] is not in it.
    /// # Source
    /// Energy of an elastic body: `statics`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn peak_n(&self, energy_j: f64) -> Result<f64, OutOfRange> {
        within("energy in J", energy_j, &ENERGY_J)?;
        let elastic = self.elastic()?;
        Ok(elastic.tension_after_n(elastic.set_n, energy_j))
    }

    /// Energy that brings the strain to a tension: `W = (T^2 - T0^2) / (2 k)`; to break it, T is what its weakest joint holds.
    ///
    /// # Units
    /// `tension_n` (T) in newtons; the result in joules.
    /// # Valid for
    /// Tensions from the set tension up to the highest of [`TENSION_N`]; else as [`TautWire::peak_n`].
    /// # Source
    /// Energy of an elastic body: `statics`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn energy_to_reach_j(&self, tension_n: f64) -> Result<f64, OutOfRange> {
        let elastic = self.elastic()?;
        within("tension in N", tension_n, &(elastic.set_n..=*TENSION_N.end()))?;
        Ok(elastic.energy_j(tension_n))
    }

    /// How much longer the strain, springs included, is at a tension than as set: `dl = (T - T0) / k`.
    ///
    /// # Units
    /// `tension_n` (T) in newtons; the result in metres.
    /// # Valid for
    /// As [`TautWire::energy_to_reach_j`].
    /// # Source
    /// Hooke's law: `statics`.
    /// # Errors
    /// [`OutOfRange`].
    pub fn stretch_m(&self, tension_n: f64) -> Result<f64, OutOfRange> {
        let elastic = self.elastic()?;
        within("tension in N", tension_n, &(elastic.set_n..=*TENSION_N.end()))?;
        Ok(elastic.stretch_m(tension_n))
    }

    pub(super) fn elastic(&self) -> Result<Elastic, OutOfRange> {
        within("length between strainers in m", self.length_m, &STRAIN_M)?;
        within("stiffness in N", self.stiffness_n, &STIFFNESS_N)?;
        within("tension in N", self.set_n, &TENSION_N)?;
        let solid_rate_n_per_m = self.stiffness_n / self.length_m;
        let without = Elastic { set_n: self.set_n, rate_n_per_m: solid_rate_n_per_m, solid_n: f64::INFINITY, solid_rate_n_per_m };
        let Some(springs) = self.springs.filter(|springs| springs.count > 0) else { return Ok(without) };
        within("spring in N/m", springs.rate_n_per_m, &SPRING_N_PER_M)?;
        let travel_m = springs.travel_m.map(|travel_m| within("travel of a spring in m", travel_m, &(0.0..=5.0))).transpose()?;
        let give_m_per_n = 1.0 / solid_rate_n_per_m + f64::from(springs.count) / springs.rate_n_per_m;
        Ok(Elastic {
            rate_n_per_m: 1.0 / give_m_per_n,
            solid_n: travel_m.map_or(f64::INFINITY, |travel_m| self.set_n + springs.rate_n_per_m * travel_m),
            ..without
        })
    }
}

impl Elastic {
    pub(super) fn energy_j(&self, tension_n: f64) -> f64 {
        let soft_n = tension_n.min(self.solid_n);
        let soft_j = (soft_n * soft_n - self.set_n * self.set_n) / (2.0 * self.rate_n_per_m);
        soft_j + (tension_n * tension_n - soft_n * soft_n) / (2.0 * self.solid_rate_n_per_m)
    }

    /// Tension once the strain, from a tension on, has taken up an energy.
    pub(super) fn tension_after_n(&self, from_n: f64, energy_j: f64) -> f64 {
        let in_it_j = self.energy_j(from_n) + energy_j;
        let soft_n = (self.set_n * self.set_n + 2.0 * in_it_j * self.rate_n_per_m).sqrt();
        if soft_n <= self.solid_n {
            return soft_n;
        }
        let beyond_j = in_it_j - self.energy_j(self.solid_n);
        (self.solid_n * self.solid_n + 2.0 * beyond_j * self.solid_rate_n_per_m).sqrt()
    }

    pub(super) fn stretch_m(&self, tension_n: f64) -> f64 {
        let soft_n = tension_n.min(self.solid_n);
        (soft_n - self.set_n) / self.rate_n_per_m + (tension_n - soft_n) / self.solid_rate_n_per_m
    }

    pub(super) fn tension_n(&self, stretch_m: f64) -> f64 {
        let soft_n = self.set_n + self.rate_n_per_m * stretch_m;
        if soft_n <= self.solid_n {
            return soft_n;
        }
        self.solid_n + (stretch_m - self.stretch_m(self.solid_n)) * self.solid_rate_n_per_m
    }
}

/// Energy of something that runs: `W = m v^2 / 2`.
///
/// # Units
/// `mass_kg` (m) in kilograms, `speed_m_per_s` (v) in m/s; the result in joules. All of it counts: one strand stops the animal alone.
/// # Valid for
/// [`MASS_KG`], [`SPEED_M_PER_S`].
/// # Source
/// Mechanics: `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn running_energy_j(mass_kg: f64, speed_m_per_s: f64) -> Result<f64, OutOfRange> {
    within("mass in kg", mass_kg, &MASS_KG)?;
    within("speed in m/s", speed_m_per_s, &SPEED_M_PER_S)?;
    Ok(mass_kg * speed_m_per_s * speed_m_per_s / 2.0)
}

/// Energy of a limb that falls: `W = m g h`.
///
/// # Units
/// `mass_kg` (m) in kilograms, `height_m` (h) in metres, from where it breaks off down to the lowest point it comes to; the result in
/// joules.
/// # Valid for
/// [`MASS_KG`], heights up to 60 m. A limb that also lands on ground or branches leaves the strand less.
/// # Source
/// Mechanics: `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn falling_energy_j(mass_kg: f64, height_m: f64) -> Result<f64, OutOfRange> {
    within("mass in kg", mass_kg, &MASS_KG)?;
    within("height of the fall in m", height_m, &(0.0..=60.0))?;
    Ok(mass_kg * GRAVITY_M_PER_S2 * height_m)
}

/// Speed at which a mass has an energy: `v = sqrt(2 W / m)`.
///
/// # Units
/// `energy_j` (W) in joules, `mass_kg` (m) in kilograms; the result in m/s.
/// # Valid for
/// [`ENERGY_J`], [`MASS_KG`].
/// # Source
/// Mechanics: `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn speed_m_per_s(energy_j: f64, mass_kg: f64) -> Result<f64, OutOfRange> {
    within("energy in J", energy_j, &ENERGY_J)?;
    within("mass in kg", mass_kg, &MASS_KG)?;
    Ok((2.0 * energy_j / mass_kg).sqrt())
}

/// How far a strand gives way sideways in the middle of a free bay: `y = sqrt(((L + dl) / 2)^2 - (L / 2)^2)`.
///
/// # Units
/// `bay_m` (L) and `stretch_m` (dl) in metres; the result in metres.
/// # Valid for
/// Bays above 0 m; a strand whose stretch all comes into this bay, in two straight halves.
/// # Source
/// Geometry: `statics`.
/// # Errors
/// [`OutOfRange`].
pub fn deflection_m(bay_m: f64, stretch_m: f64) -> Result<f64, OutOfRange> {
    within("bay in m", bay_m, &(f64::MIN_POSITIVE..=*STRAIN_M.end()))?;
    within("stretch in m", stretch_m, &(0.0..=*STRAIN_M.end()))?;
    Ok(aside_m(bay_m, stretch_m))
}

/// The deflection; as a product it keeps its digits where the stretch is small.
pub(super) fn aside_m(bay_m: f64, stretch_m: f64) -> f64 {
    (stretch_m / 2.0 * (bay_m + stretch_m / 2.0)).sqrt()
}

/// What pushes back on the animal: `F = 2 T sin(atan(2 y / L))`.
///
/// # Units
/// `tension_n` (T) in newtons, `bay_m` (L) and `deflection_m` (y) in metres; the result in newtons.
/// # Valid for
/// As [`deflection_m`].
/// # Source
/// Balance of forces at the middle of the bay: `statics`.
pub fn push_n(tension_n: f64, bay_m: f64, deflection_m: f64) -> f64 {
    2.0 * tension_n * deflection_m / (bay_m * bay_m / 4.0 + deflection_m * deflection_m).sqrt()
}
