//! The limits of one class at one weight and purpose.

use super::{CREEP_ROOM_M, FINE_SHARE, UNEVEN_M, exceeds};
use crate::catalogue::{AnimalRow, BarrierRow, Catalogue, Grade, NetLimits, Purpose};
use crate::stock::growth::shoulder_of;

/// The limits of one class at one weight and purpose, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits<'a> {
    row: &'a BarrierRow,
    /// The purpose.
    pub purpose: Purpose,
    /// Mass of one, kg.
    pub kg: f64,
    /// Height of the shoulder.
    pub shoulder_m: f64,
    /// The lowest strand is fine up to here.
    pub fine_m: f64,
    /// Above this it is crept under.
    pub worst_m: f64,
    /// The top strand is no lower.
    pub top_m: f64,
    /// What is recommended of it.
    pub usual_top_m: f64,
}

impl<'a> Limits<'a> {
    /// Of a class at a weight; `None` for a weight that is none, or a class whose fence nobody knows.
    ///
    /// `U' = min(U, 0.86 C)` where C is a share of the shoulder, else U; `worst = max(C, U' + 0.02)`; the top of the row, rising to that of
    /// the heavy ones, no more than the shoulder of small ones, no less than a share of the shoulder of tall ones.
    ///
    /// # Units
    /// `kg` in kilograms, heights in metres.
    /// # Valid for
    /// Classes of the catalogue.
    /// # Source
    /// Those of the row; the shares by `fibl-pigs-2019` and `honda-2022`.
    pub fn of(animal: &'a AnimalRow, purpose: Purpose, kg: f64, catalogue: &Catalogue) -> Option<Self> {
        let row = animal.barrier(purpose)?;
        let shoulder_m = shoulder_of(animal, catalogue.body(&animal.species), kg)?.height.as_metres();
        Some(Self::of_shoulder(row, purpose, kg, shoulder_m, from_kg(animal)))
    }

    fn of_shoulder(row: &'a BarrierRow, purpose: Purpose, kg: f64, shoulder_m: f64, from_kg: f64) -> Self {
        let by_share = row.creep_share.map(|share| share * shoulder_m);
        let creep_m = by_share.or(row.creep.map(|creep| creep.as_metres())).unwrap_or(row.under.as_metres());
        let under_m = row.under.as_metres();
        let fine_m = by_share.map_or(under_m, |creep_m| under_m.min(FINE_SHARE * creep_m));
        let (top_m, usual_top_m) = tops(row, kg, shoulder_m, from_kg);
        Self { row, purpose, kg, shoulder_m, fine_m, worst_m: creep_m.max(fine_m + CREEP_ROOM_M), top_m, usual_top_m }
    }

    /// The row that they come from.
    pub fn row(&self) -> &'a BarrierRow {
        self.row
    }
    /// How high a lowest strand that hangs at this height may stand over uneven ground.
    pub fn ceiling_m(&self, hung_m: f64) -> f64 {
        if exceeds(hung_m, self.fine_m) { self.fine_m } else { self.fine_m.max(hung_m + UNEVEN_M).min(self.worst_m) }
    }
    /// The height under a strand at which it is crept under, on ground that slopes or dips.
    pub fn creep_m(&self) -> f64 {
        self.worst_m
    }
    /// A lowest strand that hangs higher is worth a note.
    pub fn note_m(&self) -> f64 {
        self.row.under_note.as_metres()
    }
    /// Widest gap above a strand at this height.
    pub fn gap_m(&self, below_m: f64) -> f64 {
        let low = self.row.gap_low;
        let is_high = self.row.gap_split.is_some_and(|split| below_m >= split.as_metres() - 1e-9);
        let gap = if is_high { self.row.gap_high.unwrap_or(low) } else { low };
        self.row.gap_share.map_or(gap.as_metres(), |share| gap.as_metres().min(share * self.shoulder_m))
    }
    /// Whether it steps over a strand at this height, so that the gap above matters.
    pub fn steps_over(&self, height_m: f64) -> bool {
        height_m < self.top_m.min(self.shoulder_m) - 1e-9
    }
    /// Between these heights a single strand holds it; `None` where it never does.
    pub fn single_m(&self) -> Option<(f64, f64)> {
        let heavy_enough = self.row.single_from_kg.is_none_or(|from_kg| self.kg >= from_kg);
        let (low, high) = self.row.single.filter(|_| self.purpose == Purpose::Interior && heavy_enough)?;
        Some((low.as_metres(), high.as_metres()))
    }
    /// What netting has to be.
    pub fn net(&self) -> Option<NetLimits> {
        self.row.net
    }
    /// What such a fence is worth at most.
    pub fn at_best(&self) -> Grade {
        self.lifted(self.row.at_best.unwrap_or(Grade::Holds))
    }
    /// What a top below the recommended one is worth.
    pub fn below_usual(&self) -> Grade {
        self.lifted(self.row.below_usual.unwrap_or(Grade::Note))
    }
    /// Beside a road a note is more than a note.
    pub fn lifted(&self, grade: Grade) -> Grade {
        if self.purpose == Purpose::Roadside && grade == Grade::Note { Grade::LookAt } else { grade }
    }
}

/// The class's own first mass, from which its heavy ones are reckoned.
fn from_kg(animal: &AnimalRow) -> f64 {
    animal.from_kg.unwrap_or(animal.mass_kg)
}

fn tops(row: &BarrierRow, kg: f64, shoulder_m: f64, from_kg: f64) -> (f64, f64) {
    let (mut top_m, mut usual_m) = (row.top.as_metres(), row.usual_top.as_metres());
    if let Some(heavy) = row.heavy {
        // From the mass at which pigs are no longer growers on, whatever class somebody chose.
        let start_kg = from_kg.min(HEAVY_RISES_FROM_KG);
        let share = ((kg - start_kg) / (heavy.from_kg - start_kg)).clamp(0.0, 1.0);
        top_m += share * (heavy.top.as_metres() - top_m);
        if kg >= heavy.from_kg {
            usual_m = usual_m.max(heavy.usual_top.as_metres());
        }
    }
    top_m = row.top_share.map_or(top_m, |share| top_m.max(share * shoulder_m));
    usual_m = row.usual_top_share.map_or(usual_m, |share| usual_m.max(share * shoulder_m));
    if row.top_is_shoulder {
        top_m = top_m.min(shoulder_m);
    }
    (top_m, usual_m.max(top_m))
}

/// The mass from which what pigs ask of the top strand rises, kg.
///
/// # Source
/// Key `fibl-pigs-2019`: 40 cm of growing, 50 cm of heavy ones; the straight line between is this project's.
const HEAVY_RISES_FROM_KG: f64 = 60.0;
