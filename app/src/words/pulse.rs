//! Words about what drives the fence, leads the pulse on, and weakens it.

use super::{count, number_with};
use hillwire_core::catalogue::{Catalogue, Figures};
use hillwire_core::plan::{EARTH_RODS, Kind};

/// How the pulse gets across a gate, by the word in the plan.
pub const CROSSINGS: [(&str, &str); 3] =
    [("underground", "under the ground"), ("overhead", "overhead"), ("none", "not at all: it stops here")];

/// A cut-out switch, by whether it is open.
pub const SWITCH: [(&str, &str); 2] = [("closed", "on: the pulse passes"), ("open", "off: nothing passes")];

/// Where the current of a reading flows to, by the word in the plan.
pub const DIRECTIONS: [(&str, &str); 3] =
    [("", "not known"), ("end", "towards the end of the line"), ("start", "towards its start")];

/// What can be wrong, by the word in the plan.
pub const FAULTS: [(&str, &str); 17] = [
    ("contact", "something touches a strand"),
    ("wire down", "a strand lies on the ground"),
    ("break", "a strand is broken"),
    ("joint", "a bad joint"),
    ("insulator", "a failed insulator"),
    ("cable", "a failed cable"),
    ("water gap", "a flooded water gap"),
    ("earth", "a weak earth"),
    ("slack", "a slack strand"),
    ("sunk", "a sunk post"),
    ("post", "a broken post"),
    ("branch", "a branch on a strand"),
    ("rooted", "rooted soil or leaves on the lowest strand"),
    ("gate", "a gate's handle or cable"),
    ("energizer", "the energizer or its supply"),
    ("lightning", "lightning"),
    ("strike", "an animal ran into it"),
];

/// Ways to measure a voltage, in the order in which they are offered: what each is called, and what that means.
pub const MEASURED: [(&str, &str); 3] = [
    ("what a meter reads", "The peak with nothing else connected, as a voltmeter shows it"),
    ("over 500 Ω", "The peak over 500 ohm, about what a wet nose is: a bad joint shows here long before a meter shows it"),
    ("what the animal gets", "The peak over the animal behind the line, with its feet on this ground"),
];

/// A sentence of its own from a part of one: a capital, and a full stop.
pub fn sentence(part: &str) -> String {
    let mut letters = part.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}

/// What a break is taken for.
pub const BREAK_OF_ONE: &str = "Where other strands are live they carry the pulse on, and hardly a volt is missing. If an end lies on the ground, \
    place a strand on the ground too.";

/// What an energizer is worked out with: `6 J stored, 4.3 J into 500 Ω, 8.8 kV open, 6 kV at 500 Ω`.
pub fn figures(figures: &Figures) -> String {
    let output = figures.output_j.map_or_else(String::new, |output_j| format!(", {}\u{a0}J into 500\u{a0}Ω", count(output_j)));
    format!(
        "{}\u{a0}J stored{output}, {}\u{a0}kV open, {}\u{a0}kV at 500\u{a0}Ω",
        count(figures.stored_j),
        count(figures.open_kv),
        count(figures.at_500_ohm_kv)
    )
}

/// The one fact of a feature that belongs to the pulse, for a list.
pub fn pulse_fact(kind: &Kind, catalogue: &Catalogue) -> String {
    let of = |list: &[(&'static str, &'static str)], word: &str| {
        list.iter().find(|(known, _)| *known == word).map_or_else(|| word.to_owned(), |(_, text)| (*text).to_owned())
    };
    match kind {
        Kind::Energizer(unit) => match unit.figures(catalogue) {
            Some(figures) => format!("{}\u{a0}J stored", count(figures.stored_j)),
            None => "not known yet".to_owned(),
        },
        Kind::Earth { rods, .. } => format!("{} rods", rods.unwrap_or(EARTH_RODS)),
        Kind::Cutout { open } => if *open { "off" } else { "on" }.to_owned(),
        Kind::Reading(reading) => {
            reading.kv.map_or_else(|| "no value yet".to_owned(), |kv| format!("{}\u{a0}kV", number_with(kv, 1)))
        }
        Kind::Fault(fault) if !fault.is_active() => "mended".to_owned(),
        Kind::Fault(fault) => fault.what.as_deref().map_or_else(String::new, |word| of(&FAULTS, word)),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_energizer_is_told_by_its_figures_and_leaves_out_what_is_not_printed() {
        let printed = Figures { stored_j: 6.0, output_j: Some(4.3), open_kv: 8.8, at_500_ohm_kv: 6.0 };
        let says = |of: &Figures| figures(of).replace('\u{a0}', " ");
        assert_eq!(says(&printed), "6 J stored, 4.3 J into 500 Ω, 8.8 kV open, 6 kV at 500 Ω");
        assert_eq!(says(&Figures { output_j: None, ..printed }), "6 J stored, 8.8 kV open, 6 kV at 500 Ω");
    }
}
