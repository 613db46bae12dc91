//! The rows of a build's springs.

use crate::fields::{Grip, Unit, number, row, tick};
use egui::Ui;
use hillwire_core::plan::{Build, UnitSystem};

/// Rate of a spring whose maker is not known yet, N/m (common practice, no source).
const USUAL_SPRING_N_PER_M: f64 = 5000.0;

/// Whether strands have springs, where, and how stiff they are.
pub fn rows_of(ui: &mut Ui, grip: &mut Grip, build: &mut Build, units: UnitSystem) {
    let tip = "A spring in each strand of each strain keeps the tension nearer to even when it is hot, cold, or something hits the wire";
    row(ui, "spring", tip, |ui| {
        let mut has = build.spring_n_per_m.is_some();
        if tick(ui, "spring", &mut has, tip) {
            build.spring_n_per_m = has.then_some(USUAL_SPRING_N_PER_M);
        }
        if let Some(rate) = build.spring_n_per_m
            && let Some(rate) = number(ui, grip, "rate of the spring", Unit::spring(units), rate, 100.0..=100_000.0)
        {
            build.spring_n_per_m = Some(rate);
        }
    });
    if build.spring_n_per_m.is_none() {
        return;
    }
    let tip = "One spring at each end of every strand instead of one in all: they give twice as far";
    row(ui, "at both ends", tip, |ui| {
        tick(ui, "springs at both ends", &mut build.springs_at_both_ends, tip);
    });
}
