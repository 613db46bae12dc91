//! The rules by name: titles for people, words for other programs, and their order in lists.

use hillwire_core::finding::Rule;

/// The title of a rule, short enough for a row.
pub fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Access => "Long walk from a track",
        Rule::Sight => "Out of sight of a track",
        Rule::TrackGrade => "Track hard to drive",
        Rule::Strikes => "Running animals",
        Rule::Boundary => "At the boundary",
        Rule::Barbed => "Barbed wire",
        Rule::OverWay => "Low over a way",
        Rule::Gate => "Gate",
        Rule::Water => "Water",
        Rule::AreaPerHead => "Too many for the ground",
        Rule::CornerLoad => "Corner pulled over",
        Rule::PostBending => "Post breaks",
        Rule::Uplift => "Pulled upwards",
        Rule::ColdWire => "Too tight in the cold",
        Rule::Tension => "Slack strands",
        Rule::RootedSoil => "Soil or snow on the wire",
        Rule::CrossSlope => "High from below",
        Rule::Slope => "Steep to farrow on",
        Rule::Shade => "No shade",
        Rule::Dip => "Gap over a dip",
        Rule::Rise => "Wire low over a rise",
        Rule::GridCoarse => "Elevation grid too coarse",
        Rule::GridEdge => "No ground in the grid",
        Rule::GridUnknown => "Heights are doubtful",
        Rule::PublicWay => "At a public way",
        Rule::OverheadLine => "Near an overhead power line",
        Rule::StrikeWire => "Strands at the foot of a slope",
        Rule::Outgrown => "Does not hold the stock",
        Rule::WaterGap => "Water crosses",
        Rule::Wet => "Wet ground",
        Rule::Flood => "Flooded at times",
        Rule::StreamBuffer => "Pigs near a stream",
        Rule::Erosion => "Soil washes off",
        Rule::Rock => "Thin soil",
        Rule::FarEnd => "Bites too little",
        Rule::Earth => "Weak earth",
        Rule::LeadOut => "Lead-out takes too much",
        Rule::EnergizerLimit => "Energizer beyond the standard",
        Rule::EnergizerSize => "Energizer larger than needed",
        Rule::Unfed => "No pulse",
        Rule::TwoEnergizers => "Two energizers",
        Rule::EarthDistance => "Earth near another earth",
    }
}

/// All rules, in the order in which a keeper would ask.
pub const RULES: [Rule; 42] = [
    Rule::Dip,
    Rule::Rise,
    Rule::Outgrown,
    Rule::CrossSlope,
    Rule::RootedSoil,
    Rule::Slope,
    Rule::Shade,
    Rule::Water,
    Rule::AreaPerHead,
    Rule::Gate,
    Rule::CornerLoad,
    Rule::PostBending,
    Rule::Uplift,
    Rule::ColdWire,
    Rule::Tension,
    Rule::Strikes,
    Rule::StrikeWire,
    Rule::WaterGap,
    Rule::Flood,
    Rule::Wet,
    Rule::Rock,
    Rule::StreamBuffer,
    Rule::Erosion,
    Rule::FarEnd,
    Rule::Unfed,
    Rule::Earth,
    Rule::LeadOut,
    Rule::EnergizerLimit,
    Rule::TwoEnergizers,
    Rule::EarthDistance,
    Rule::EnergizerSize,
    Rule::Access,
    Rule::Sight,
    Rule::TrackGrade,
    Rule::PublicWay,
    Rule::Boundary,
    Rule::Barbed,
    Rule::OverWay,
    Rule::OverheadLine,
    Rule::GridCoarse,
    Rule::GridEdge,
    Rule::GridUnknown,
];

/// The name of a rule for other programs; stable.
pub fn rule_word(rule: Rule) -> &'static str {
    match rule {
        Rule::Access => "access",
        Rule::Sight => "sight",
        Rule::TrackGrade => "track_grade",
        Rule::Boundary => "boundary",
        Rule::Barbed => "barbed",
        Rule::OverWay => "over_way",
        Rule::Gate => "gate",
        Rule::Water => "water",
        Rule::AreaPerHead => "area_per_head",
        Rule::FarEnd => "far_end",
        Rule::Earth => "earth",
        Rule::LeadOut => "lead_out",
        Rule::EnergizerLimit => "energizer_limit",
        Rule::EnergizerSize => "energizer_size",
        Rule::Unfed => "unfed",
        Rule::TwoEnergizers => "two_energizers",
        Rule::EarthDistance => "earth_distance",
        Rule::Strikes => "strikes",
        Rule::CornerLoad => "corner_load",
        Rule::PostBending => "post_bending",
        Rule::Uplift => "uplift",
        Rule::ColdWire => "cold_wire",
        Rule::Tension => "tension",
        Rule::RootedSoil => "rooted_soil",
        Rule::CrossSlope => "cross_slope",
        Rule::Slope => "slope",
        Rule::Shade => "shade",
        Rule::Dip => "dip",
        Rule::Rise => "rise",
        Rule::GridCoarse => "grid_coarse",
        Rule::GridEdge => "grid_edge",
        Rule::GridUnknown => "grid_unknown",
        Rule::PublicWay => "public_way",
        Rule::OverheadLine => "overhead_line",
        Rule::StrikeWire => "strike_wire",
        Rule::Outgrown => "outgrown",
        Rule::WaterGap => "water_gap",
        Rule::Wet => "wet",
        Rule::Flood => "flood",
        Rule::StreamBuffer => "stream_buffer",
        Rule::Erosion => "erosion",
        Rule::Rock => "rock",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_names_of_rules_are_those_in_json() {
        for rule in RULES {
            assert_eq!(serde_json::json!(rule), rule_word(rule));
        }
    }
}
