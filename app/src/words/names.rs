//! What things are called.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::PostRole;
use hillwire_core::order::ItemGroup;
use hillwire_core::plan::{FeatureId, Kind, Plan};

/// What the map calls a feature.
pub(super) fn label(id: &FeatureId, plan: &Plan) -> String {
    plan.feature(id).map_or_else(|| id.to_string(), |feature| feature.label().to_owned())
}

/// One drawn thing of this kind, with a capital: `Fence line`.
pub fn kind(kind: &Kind) -> &'static str {
    match kind {
        Kind::Fence(_) => "Fence line",
        Kind::LeadOut(_) => "Lead-out",
        Kind::Gate(_) => "Gate",
        Kind::Energizer { .. } => "Energizer",
        Kind::Earth { .. } => "Earth rods",
        Kind::Cutout { .. } => "Cut-out switch",
        Kind::Track(_) => "Track",
        Kind::PublicWay { .. } => "Public way",
        Kind::OverheadLine { .. } => "Overhead power line",
        Kind::Stream { .. } => "Stream",
        Kind::Boundary { .. } => "Boundary",
        Kind::Building { .. } => "Building",
        Kind::Zone(_) => "Zone",
        Kind::Paddock(_) => "Paddock",
        Kind::Water => "Water",
        Kind::Shelter => "Shelter",
        Kind::Feed => "Feed",
        Kind::Jumper(_) => "Jumper",
        Kind::Reading(_) => "Reading",
        Kind::Fault(_) => "Fault",
        Kind::Photo(_) => "Photo",
        Kind::SpotHeight { .. } => "Measured height",
        Kind::Tree { .. } => "Tree",
        Kind::Mark => "Mark",
        Kind::Other(_) => "Other",
    }
}

/// Ground of one sort, by its word in the plan.
pub fn zone(of: &str) -> &str {
    match of {
        "wood" => "Woodland",
        "wet" => "Wet ground",
        "rock" => "Rock near the surface",
        "crop" => "A crop",
        "soil" => "Another soil",
        "keep_out" => "Ground to keep out of",
        other => other,
    }
}

/// What a zone of this sort changes.
pub fn zone_means(of: &str) -> &'static str {
    match of {
        "wood" => "Leaves and branches come down on strands here, running animals start here, and sight ends among the trunks.",
        "wet" => "Posts hold less, vehicles sink in, strands leak more.",
        "rock" => "Posts go no deeper than the rock; what does not hold is drilled, pinned or cribbed.",
        "crop" => "Noted only: nothing is worked out from it yet.",
        "soil" => "Posts hold as this soil lets them.",
        "keep_out" => "No post is planned here, and other courses lead around it.",
        _ => "Kept as it is; this version does not know the word.",
    }
}

/// Several of them: `3 fence lines`.
pub fn plural_kind(count: usize, of: &Kind) -> String {
    let one = kind(of).to_lowercase();
    let many = match of {
        Kind::Boundary { .. } => "boundaries".to_owned(),
        Kind::Earth { .. } | Kind::Water | Kind::Feed | Kind::Other(_) => one.clone(),
        Kind::Cutout { .. } => "cut-out switches".to_owned(),
        _ => format!("{one}s"),
    };
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// What a post is there for.
pub fn role(role: PostRole) -> &'static str {
    match role {
        PostRole::Line => "line post",
        PostRole::Corner => "corner post",
        PostRole::End => "end post",
        PostRole::Stretch => "post where a strain ends",
        PostRole::Gate => "gate post",
        PostRole::Dip => "post in a dip",
        PostRole::Rise => "post on a rise",
        PostRole::Peg => "peg",
    }
}

/// What a shop would call the thing with this id; the id itself when it is not in the catalogue.
pub fn item<'a>(id: &'a str, catalogue: &'a Catalogue) -> &'a str {
    catalogue.label(id).unwrap_or(id)
}

/// How wet the ground is, by the word in the plan.
pub const GROUND_STATES: [(&str, &str); 4] = [("dry", "dry"), ("damp", "damp"), ("wet", "wet"), ("frozen", "frozen")];

/// What grows into a line, by the word in the plan.
pub const VEGETATION: [(&str, &str); 4] = [
    ("clear", "clear: nothing touches"),
    ("light", "light: blades of grass"),
    ("heavy", "heavy: grass, bramble, fallen leaves"),
    ("overgrown", "overgrown"),
];

/// What grows, by its word in a plan.
pub fn grows(word: &str) -> &str {
    VEGETATION.iter().find(|(known, _)| *known == word).map_or(word, |(_, label)| label)
}

/// A wire where room is short: without its diameter, and gauge as `ga`.
pub fn wire_in_short(label: &str) -> String {
    let without_diameter = label.split(" (").next().unwrap_or(label);
    without_diameter.replace(" wire,", "").replace(" gauge", " ga")
}

/// The heading an item stands under.
pub fn group(group: ItemGroup) -> &'static str {
    match group {
        ItemGroup::Wire => "Wire",
        ItemGroup::Posts => "Posts",
        ItemGroup::Insulators => "Insulators",
        ItemGroup::Fittings => "Fittings",
        ItemGroup::Gates => "Gates",
        ItemGroup::Power => "Power and signs",
        ItemGroup::Work => "Work to hire",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::plan::{Fence, LeadOut};

    #[test]
    fn a_wire_is_told_by_metal_and_gauge_where_room_is_short() {
        for (label, short) in [
            ("High-tensile wire, 14 gauge (2.0 mm)", "High-tensile 14 ga"),
            ("Tape, 20 mm", "Tape, 20 mm"),
            ("Lead-out cable, double insulated (2.5 mm steel core)", "Lead-out cable, double insulated"),
        ] {
            assert_eq!(wire_in_short(label), short);
        }
    }

    #[test]
    fn one_is_not_many_in_a_count_of_kinds() {
        assert_eq!(plural_kind(1, &Kind::Fence(Fence::default())), "1 fence line");
        assert_eq!(plural_kind(3, &Kind::LeadOut(LeadOut::default())), "3 lead-outs");
        assert_eq!(plural_kind(2, &Kind::Boundary { neighbour: None }), "2 boundaries");
    }
}
