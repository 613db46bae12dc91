//! Energizers: by class, or what is printed on a unit.

use super::RowSource;
use serde::Deserialize;

/// What is printed on an energizer.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct Figures {
    /// Energy that it stores for a pulse, J.
    pub stored_j: f64,
    /// Energy into 500 ohm, J; `None` where it is not printed.
    pub output_j: Option<f64>,
    /// Peak with nothing connected, kV.
    pub open_kv: f64,
    /// Peak at 500 ohm, kV.
    pub at_500_ohm_kv: f64,
}

/// One class of energizers, with figures that are usual for it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct EnergizerRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Its figures.
    #[serde(flatten)]
    pub figures: Figures,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;

    #[test]
    fn larger_classes_store_and_give_more_and_give_no_more_than_they_store() {
        let rows = &Catalogue::built_in().energizers;
        let output = |at: usize| rows[at].figures.output_j.expect("every class has it");
        for (at, row) in rows.iter().enumerate() {
            let figures = row.figures;
            assert!(output(at) < figures.stored_j && figures.at_500_ohm_kv < figures.open_kv, "{}", row.id);
            // A capacitor behind a resistor with any front: the share of the energy is at most e/2 times that of the peak.
            let most_j = figures.stored_j * (figures.at_500_ohm_kv / figures.open_kv) * std::f64::consts::E / 2.0;
            assert!(output(at) < most_j, "{}: {} J", row.id, output(at));
            assert!(row.label.contains(&format!("{} J", figures.stored_j)), "{}: its name says what it stores", row.label);
            if at > 0 {
                assert!(figures.stored_j > rows[at - 1].figures.stored_j && output(at) > output(at - 1), "{}", row.id);
                assert!(figures.at_500_ohm_kv > rows[at - 1].figures.at_500_ohm_kv, "{}", row.id);
            }
        }
    }
}
