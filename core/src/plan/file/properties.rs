//! The properties of each kind as they stand in the file: one list per kind, for reading and for writing.

use super::super::kinds::{
    CornerChoice, Energizer, EntryLine, Fault, Fence, Gate, Jumper, Kind, LeadOut, Paddock, Photo, Reading, Track, Zone,
};
use super::form::{Day, FieldNames, FieldReader, FieldWriter, Fields, Flag, Form, Heights, ListOf, Metres};
use super::form::{Millimetres, Name, Range, Text, Whole, Word, quoted};
use super::node::Node;
use super::trouble::Trouble;
use crate::bounds::{CONDUCTORS, LISTED_POSTS, RODS, SHORTEST_BAY_M, STRANDS};
use crate::catalogue::{Purpose, Vegetation};
use crate::units::Elevation;
use serde_json::Value;
use std::collections::BTreeMap;

/// Properties of plan-file.md that no formula asks for yet, by kind: kept as they came, without a note.
const KEPT_UNREAD: [(&str, &[&str]); 2] = [("building", &["earthing"]), ("mark", &["text"])];

/// The kind that a word names, without any property.
pub(super) fn bare_kind(word: &str) -> Kind {
    match word {
        "fence" => Kind::Fence(Fence::default()),
        "lead_out" => Kind::LeadOut(LeadOut::default()),
        "gate" => Kind::Gate(Gate::default()),
        "energizer" => Kind::Energizer(Energizer::default()),
        "earth" => Kind::Earth { rods: None, rod_length: None, rod_diameter: None, spacing: None },
        "cutout" => Kind::Cutout { open: false },
        "jumper" => Kind::Jumper(Jumper::default()),
        "track" => Kind::Track(Track::default()),
        "public_way" => Kind::PublicWay { use_by: None },
        "overhead_line" => Kind::OverheadLine { kv: None, wire_height: None },
        "stream" => Kind::Stream { width: None, seasonal: false, culvert: false },
        "boundary" => Kind::Boundary { neighbour: None },
        "building" => Kind::Building { mains: false },
        "zone" => Kind::Zone(Zone::default()),
        "paddock" => Kind::Paddock(Paddock::default()),
        "spot_height" => Kind::SpotHeight { height: Elevation::metres(0.0) },
        "water" => Kind::Water,
        "shelter" => Kind::Shelter,
        "feed" => Kind::Feed,
        "reading" => Kind::Reading(Reading::default()),
        "fault" => Kind::Fault(Fault::default()),
        "photo" => Kind::Photo(Photo::default()),
        "tree" => Kind::Tree { diameter: None },
        "mark" => Kind::Mark,
        unknown => Kind::Other(Some(unknown.to_owned())),
    }
}

/// The geometries that a kind may have, as GeoJSON names them; `None` for any.
pub(super) fn allowed_geometries(kind: &Kind) -> Option<&'static [&'static str]> {
    Some(match kind {
        Kind::Other(_) => return None,
        Kind::Fence(_) | Kind::LeadOut(_) | Kind::Track(_) | Kind::PublicWay { .. } => &["LineString"],
        Kind::OverheadLine { .. } | Kind::Stream { .. } => &["LineString"],
        Kind::Boundary { .. } => &["LineString", "Polygon"],
        Kind::Building { .. } => &["Point", "Polygon"],
        Kind::Zone(_) => &["Polygon"],
        Kind::Jumper(_) => &["LineString", "Point"],
        Kind::Mark => &["Point", "LineString"],
        _ => &["Point"],
    })
}

/// Whether plan-file.md lists the property for the kind.
pub(super) fn is_listed(kind: &str, property: &str) -> bool {
    KEPT_UNREAD.iter().any(|(word, properties)| *word == kind && properties.contains(&property))
}

/// The names of the kind's own properties.
pub(in crate::plan) fn own_names(kind: &Kind) -> Vec<&'static str> {
    let mut names = FieldNames::default();
    fields(&mut kind.clone(), &mut names);
    names.0
}

/// Walks the kind's own properties in the order in which they are written.
pub(super) fn fields(kind: &mut Kind, to: &mut impl Fields) {
    match kind {
        Kind::Fence(fence) => fence_fields(fence, to),
        Kind::LeadOut(lead_out) => lead_out_fields(lead_out, to),
        Kind::Gate(gate) => gate_fields(gate, to),
        Kind::Energizer(energizer) => energizer_fields(energizer, to),
        Kind::Earth { rods, rod_length, rod_diameter, spacing } => {
            to.optional("rods", rods, &Whole(0, RODS));
            to.optional("rod_length_m", rod_length, &Metres(0.0, 100.0));
            to.optional("rod_diameter_mm", rod_diameter, &Millimetres(0.0, 1000.0));
            to.optional("spacing_m", spacing, &Metres(0.0, 1000.0));
        }
        Kind::Cutout { open } => to.always("open", open, &Flag),
        Kind::Track(track) => track_fields(track, to),
        Kind::PublicWay { use_by } => to.optional("use", use_by, &Word(&["foot", "horse", "road"])),
        Kind::OverheadLine { kv, wire_height } => {
            to.optional("kv", kv, &Range(0.0, 2000.0));
            to.optional("wire_height_m", wire_height, &Metres(0.0, 500.0));
        }
        Kind::Stream { width, seasonal, culvert } => {
            to.optional("width_m", width, &Metres(0.0, 10_000.0));
            to.always("seasonal", seasonal, &Flag);
            to.usual("culvert", culvert, &false, &Flag);
        }
        Kind::Boundary { neighbour } => to.optional("neighbour", neighbour, &Text),
        Kind::Building { mains } => to.always("mains", mains, &Flag),
        Kind::Zone(zone) => {
            to.required("of", &mut zone.of, &Word(&["soil", "rock", "wet", "wood", "crop", "keep_out"]));
            to.optional("value", &mut zone.value, &ZoneValue(zone.of.clone()));
        }
        Kind::Paddock(paddock) => {
            to.optional("stock", &mut paddock.stock, &Text);
            to.optional("from", &mut paddock.from, &Day);
            to.optional("until", &mut paddock.until, &Day);
            to.optional("purpose", &mut paddock.purpose, &PurposeWord);
        }
        Kind::SpotHeight { height } => to.required("height_m", height, &Heights(-500.0, 9000.0)),
        Kind::Tree { diameter } => to.optional("diameter_m", diameter, &Metres(0.0, 10.0)),
        Kind::Reading(reading) => reading_fields(reading, to),
        Kind::Fault(fault) => fault_fields(fault, to),
        Kind::Photo(photo) => photo_fields(photo, to),
        Kind::Jumper(jumper) => {
            to.usual("strands", &mut jumper.strands, &Vec::new(), &ListOf(Whole(1, STRANDS as u32), STRANDS));
            to.usual("lines", &mut jumper.lines, &Vec::new(), &ListOf(Name, LISTED_POSTS));
        }
        Kind::Water | Kind::Shelter | Kind::Feed | Kind::Mark | Kind::Other(_) => {}
    }
}

fn fence_fields(fence: &mut Fence, to: &mut impl Fields) {
    to.required("build", &mut fence.build, &Name);
    to.usual("corners", &mut fence.corners, &BTreeMap::new(), &CornerChoices);
    to.usual("posts", &mut fence.posts, &Vec::new(), &ListOf(Metres(0.0, 1e6), LISTED_POSTS));
    to.usual("no_posts", &mut fence.no_posts, &Vec::new(), &ListOf(Metres(0.0, 1e6), LISTED_POSTS));
    to.usual("hold_downs", &mut fence.hold_downs, &Vec::new(), &ListOf(Metres(0.0, 1e6), LISTED_POSTS));
    to.usual("braces", &mut fence.braces, &Vec::new(), &ListOf(Metres(0.0, 1e6), LISTED_POSTS));
    to.usual("springs", &mut fence.springs, &Vec::new(), &ListOf(Metres(0.0, 1e6), LISTED_POSTS));
    to.optional("vegetation", &mut fence.vegetation, &Word(&Vegetation::WORDS));
    to.optional("purpose", &mut fence.purpose, &PurposeWord);
}

/// What a zone of this sort says of itself, as it came.
struct ZoneValue(String);

/// The depth of rock and the height of a crop, metres: as the rock under a corner.
const ZONE_METRES: Range = Range(0.0, 1000.0);

impl Form<Value> for ZoneValue {
    fn read(&self, node: Node<'_>) -> Result<Value, Trouble> {
        match self.0.as_str() {
            "rock" | "crop" => drop(ZONE_METRES.read(node)?),
            "soil" => drop(Text.read(node)?),
            _ => {}
        }
        node.value()
    }
    fn write(&self, value: &Value) -> String {
        value.to_string()
    }
    fn allowed(&self) -> String {
        match self.0.as_str() {
            "rock" | "crop" => Form::<f64>::allowed(&ZONE_METRES),
            "soil" => Form::<String>::allowed(&Text),
            _ => "anything".to_owned(),
        }
    }
}

/// interior, boundary or roadside.
struct PurposeWord;

impl Form<Purpose> for PurposeWord {
    fn read(&self, node: Node<'_>) -> Result<Purpose, Trouble> {
        let word: String = Word(&Purpose::WORDS).read(node)?;
        Purpose::from_word(&word).ok_or_else(|| node.trouble(self.allowed()))
    }
    fn write(&self, value: &Purpose) -> String {
        quoted(value.word())
    }
    fn allowed(&self) -> String {
        Form::<String>::allowed(&Word(&Purpose::WORDS))
    }
}

fn lead_out_fields(lead_out: &mut LeadOut, to: &mut impl Fields) {
    to.optional("wire", &mut lead_out.wire, &Text);
    to.optional("conductors", &mut lead_out.conductors, &Whole(0, CONDUCTORS));
    to.optional("height_m", &mut lead_out.height, &Metres(0.0, 100.0));
    to.optional("spacing_m", &mut lead_out.spacing, &Metres(SHORTEST_BAY_M, 1000.0));
    to.usual("underground", &mut lead_out.underground, &false, &Flag);
    to.usual("earth_return", &mut lead_out.earth_return, &false, &Flag);
    to.optional("vegetation", &mut lead_out.vegetation, &Word(&Vegetation::WORDS));
}

fn energizer_fields(energizer: &mut Energizer, to: &mut impl Fields) {
    to.optional("model", &mut energizer.model, &Text);
    to.optional("stored_j", &mut energizer.stored_j, &Range(0.001, 1000.0));
    to.optional("output_j", &mut energizer.output_j, &Range(0.001, 1000.0));
    to.optional("open_kv", &mut energizer.open_kv, &Range(0.01, 100.0));
    to.optional("at_500_ohm_kv", &mut energizer.at_500_ohm_kv, &Range(0.01, 100.0));
}

fn gate_fields(gate: &mut Gate, to: &mut impl Fields) {
    to.optional("width_m", &mut gate.width, &Metres(0.0, 100.0));
    to.optional("live", &mut gate.live, &Flag);
    to.optional("crossing", &mut gate.crossing, &Word(&["underground", "overhead", "none"]));
    to.optional("cable", &mut gate.cable, &Text);
}

fn track_fields(track: &mut Track, to: &mut impl Fields) {
    to.optional("surface", &mut track.surface, &Text);
    to.optional("width_m", &mut track.width, &Metres(0.0, 1000.0));
    to.optional("vehicle", &mut track.vehicle, &Word(&["none", "foot", "utility", "tractor"]));
}

fn reading_fields(reading: &mut Reading, to: &mut impl Fields) {
    to.optional("kv", &mut reading.kv, &Range(-100.0, 100.0));
    to.optional("amp", &mut reading.amp, &Range(-1e4, 1e4));
    to.optional("direction", &mut reading.direction, &Text);
    to.optional("at_time", &mut reading.at_time, &Text);
    to.optional("meter", &mut reading.meter, &Text);
    to.optional("energizer_on", &mut reading.energizer_on, &Flag);
    to.optional("ground", &mut reading.ground, &Word(&["dry", "damp", "wet", "frozen"]));
    entry_fields(&mut reading.of, to);
}

fn fault_fields(fault: &mut Fault, to: &mut impl Fields) {
    to.optional("what", &mut fault.what, &Text);
    to.optional("seen", &mut fault.seen, &Text);
    to.optional("mended", &mut fault.mended, &Text);
    to.optional("minutes", &mut fault.minutes, &Range(0.0, 1e6));
    to.optional("ohm", &mut fault.ohm, &Range(0.0, 1e12));
    to.optional("parts", &mut fault.parts, &Text);
    to.optional("photo", &mut fault.photo, &Text);
    entry_fields(&mut fault.of, to);
}

fn photo_fields(photo: &mut Photo, to: &mut impl Fields) {
    to.optional("file", &mut photo.file, &Text);
    to.optional("at_time", &mut photo.at_time, &Text);
    entry_fields(&mut photo.of, to);
}

/// What every entry of the log may say of its line.
fn entry_fields(of: &mut EntryLine, to: &mut impl Fields) {
    to.optional("line", &mut of.line, &Text);
    to.optional("off_m", &mut of.off, &Metres(0.0, 1e6));
}

/// `{"3":{"post":"wood-150","brace":true}}`: the keeper's choices by the corner's index in the line.
struct CornerChoices;

fn corner_fields(choice: &mut CornerChoice, to: &mut impl Fields) {
    to.optional("post", &mut choice.post, &Text);
    to.optional("brace", &mut choice.brace, &Flag);
    to.optional("rock_depth_m", &mut choice.rock_depth, &Metres(0.0, 1000.0));
    to.optional("depth_m", &mut choice.depth, &Metres(0.0, 10.0));
}

impl Form<BTreeMap<usize, CornerChoice>> for CornerChoices {
    fn read(&self, node: Node<'_>) -> Result<BTreeMap<usize, CornerChoice>, Trouble> {
        let mut choices = BTreeMap::new();
        for (key, node) in node.members()?.list {
            let index = key.parse::<usize>().ok().filter(|index| index.to_string() == key);
            let Some(index) = index else {
                return Err(node.trouble_found(quoted(&key), "the corner's number in quotes, \"0\" the first").under(key));
            };
            let choice = read_corner(node).map_err(|trouble| trouble.under(key))?;
            choices.insert(index, choice);
        }
        Ok(choices)
    }
    fn write(&self, value: &BTreeMap<usize, CornerChoice>) -> String {
        let member = |(index, choice): (&usize, &CornerChoice)| {
            let mut writer = FieldWriter::default();
            corner_fields(&mut choice.clone(), &mut writer);
            writer.members(&choice.foreign);
            format!("\"{index}\":{}", writer.into_object())
        };
        format!("{{{}}}", value.iter().map(member).collect::<Vec<_>>().join(","))
    }
    fn allowed(&self) -> String {
        "an object of choices by corner number".to_owned()
    }
}

fn read_corner(node: Node<'_>) -> Result<CornerChoice, Trouble> {
    let mut choice = CornerChoice::default();
    let mut reader = FieldReader::new(node.members()?);
    corner_fields(&mut choice, &mut reader);
    choice.foreign = reader.finish()?.rest()?;
    Ok(choice)
}
