//! What is said about strands that do not hold the stock behind them.

use super::findings::ordinal_strand;
use super::{day, days, gap, mass};
use hillwire_core::finding::{Reason, Remedy, WayOut};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::Length;

/// Which stock gets out, when and how; empty for any other reason.
pub(super) fn does_not_hold(reason: &Reason, value_m: f64, limit_m: Option<f64>, units: UnitSystem) -> String {
    let Reason::DoesNotHold { group, way, strand, from, days_left, weight_kg, shoulder } = reason else { return String::new() };
    let (found, limit) = (Length::metres(value_m), Length::metres(limit_m.unwrap_or(value_m)));
    let animal = format!("at {} and {} at the shoulder", mass(*weight_kg, units), gap(*shoulder, units));
    let stock = format!("stock \u{201c}{group}\u{201d} is not held: {animal}");
    let begins = match from {
        None => format!("The {stock} "),
        Some(from) => format!("From {} on, {} from now, the {stock} ", day(*from), days(f64::from(*days_left))),
    };
    let gets_out = match (way, strand) {
        (_, None) => "there is no strand in its way.".to_owned(),
        (WayOut::Under, Some(_)) => {
            format!(
                "it goes under the lowest strand, which hangs at {} and may hang at {} at most.",
                gap(found, units),
                gap(limit, units)
            )
        }
        (WayOut::Between, Some(upper)) => format!(
            "it slips through below {}, where the gap is {} and may be {} at most.",
            ordinal_strand(*upper),
            gap(found, units),
            gap(limit, units)
        ),
        (WayOut::Over, Some(_)) => {
            format!(
                "it steps over the top strand, which hangs at {} and has to hang at {} at least.",
                gap(found, units),
                gap(limit, units)
            )
        }
    };
    begins + &gets_out
}

/// What to do about it; `None` for any other remedy.
pub(super) fn remedy(remedy: &Remedy, units: UnitSystem) -> Option<String> {
    Some(match remedy {
        Remedy::MoveStrand { strand, to, from } => {
            format!(
                "Hang {} at {}, not before {}: smaller stock would get out.",
                ordinal_strand(*strand),
                gap(*to, units),
                day(*from)
            )
        }
        Remedy::AddStrand { at, from } => format!("Add a strand at {}, not before {}.", gap(*at, units), day(*from)),
        Remedy::HangStrands { heights, from } => {
            let heights: Vec<String> = heights.iter().map(|height| gap(*height, units)).collect();
            format!("Hang the strands at {}, as is usual for such stock, not before {}.", heights.join(", "), day(*from))
        }
        Remedy::MoveStock { before: Some(before) } => format!("Move the stock before {}.", day(*before)),
        Remedy::MoveStock { before: None } => "Move the stock now.".to_owned(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_sentence_says_who_gets_out_when_how_and_by_which_numbers() {
        let reason = |way, from, days_left| Reason::DoesNotHold {
            group: "growers".to_owned(),
            way,
            strand: Some(1),
            from,
            days_left,
            weight_kg: 38.4,
            shoulder: Length::metres(0.42),
        };
        let rows = [
            (
                reason(WayOut::Over, Some(date(2030, 5, 18)), 47),
                "From 18 May 2030 on, 47 days from now, the stock \u{201c}growers\u{201d} is not held: at 38 kg and 0.42 m at the shoulder it \
                 steps over the top strand, which hangs at 0.25 m and has to hang at 0.26 m at least.",
            ),
            (
                reason(WayOut::Between, None, 0),
                "The stock \u{201c}growers\u{201d} is not held: at 38 kg and 0.42 m at the shoulder it slips through below the second strand from \
                 below, where the gap is 0.25 m and may be 0.26 m at most.",
            ),
        ];
        for (reason, expected) in rows {
            let says = does_not_hold(&reason, 0.25, Some(0.26), UnitSystem::Metric).replace(['\u{202f}', '\u{a0}'], " ");
            assert_eq!(says, expected);
        }
    }
}
