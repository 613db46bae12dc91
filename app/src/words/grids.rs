//! What is said about elevation grids: too coarse, elsewhere, with holes, in doubtful units.

use super::{gap, length, set_length, share};
use hillwire_core::finding::{Finding, Reason};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::Length;

/// What was found about the grid; `None` for another reason.
pub(super) fn says(finding: &Finding, units: UnitSystem) -> Option<String> {
    Some(match &finding.reason {
        Reason::CoarseGrid { cell, needed } => format!(
            "The cells of the elevation grid are {} wide. That is too wide to show hollows and humps between posts: posts and gaps here are not \
             judged, and how many pegs it takes only a walk tells. Cells of {} or less would show them.",
            set_length(*cell, units),
            set_length(*needed, units)
        ),
        Reason::OutOfReach { middle, at } => format!(
            "Nothing is worked out for it: its place at longitude {:.5}, latitude {:.5} lies {:.0} km from the middle of the map at longitude {:.5}, \
             latitude {:.5}. Either the elevation grid is that of another place, or this place is wrong.",
            at.lon_deg(),
            at.lat_deg(),
            finding.value / 1000.0,
            middle.lon_deg(),
            middle.lat_deg()
        ),
        Reason::NoGround => format!(
            "{} of this line has no height in the elevation grid, so nothing is known about it.",
            length(Length::metres(finding.value), units)
        ),
        Reason::NearGridEdge { cells } => format!(
            "The line runs within {cells:.0} cells of the edge of the elevation grid, or of a hole in it: the ground beside it is not known."
        ),
        Reason::MaybeFeet => {
            "The elevation grid does not say in what unit its heights are, and its slopes look like feet: every slope and length may be wrong."
                .to_owned()
        }
        Reason::MaybeUndeclaredVoid { height, share: part } => format!(
            "{} of the elevation grid is exactly {} high: perhaps its sign for \"no height\", which it does not declare.",
            share(*part),
            length(Length::metres(*height), units)
        ),
        Reason::HeightSteps { step } => {
            format!("The heights of the elevation grid come in steps of {}: gentle slopes look like stairs.", gap(*step, units))
        }
        Reason::GridsApart { by } => format!(
            "One elevation grid lies {} {} those beneath it all over: their heights may count from different zeros, or one shows treetops. A line \
             has a step where it crosses from one to the other.",
            length(by.abs(), units),
            if *by > Length::ZERO { "above" } else { "below" }
        ),
        Reason::NoGrid => "No elevation grid is loaded: lengths are those on the map, and slopes, dips and rises are unknown.".to_owned(),
        _ => return None,
    })
}
