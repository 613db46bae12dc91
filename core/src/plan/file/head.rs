//! The head of the plan as it stands in the file.

use super::super::head::{
    Build, FileLink, GroundChoice, Head, Net, PICTURE_STRENGTH, PictureLink, Prices, Season, StockGroup, Strand, UnitSystem,
};
use super::amounts::{Amounts, Dates, Shed};
use super::form::{Day, FieldReader, FieldWriter, Fields, Flag, Form, ListOf, Metres, Newtons, Object, Range};
use super::form::{Name, Text, Whole, Word, elements_within, quoted};
use super::layouts::Layouts;
use super::node::Node;
use super::trouble::Trouble;
use crate::bounds;
use crate::catalogue::{Code, GroundState, Vegetation};
use crate::plan::head::{COLDEST_TEMPERATURE_C, HOTTEST_TEMPERATURE_C, SET_TEMPERATURE_C};
use crate::units::Length;
use serde_json::{Map, Value};

const VERSION_ALLOWED: &str = "a whole number from 1 to 4294967295";

/// The `version` member alone: it decides how the rest is read.
pub(super) fn read_version(node: Node<'_>) -> Result<u32, Trouble> {
    let mut members = node.members()?;
    let Some(version) = members.take("version") else {
        return Err(members.missing("version", VERSION_ALLOWED));
    };
    // Version 1 is the first one. The next version upgrades older heads and features here, before they are read.
    let found: u32 = Whole(0, u32::MAX).read(version).map_err(|_| version.trouble(VERSION_ALLOWED).under("version"))?;
    if found == 0 { Err(version.trouble(VERSION_ALLOWED).under("version")) } else { Ok(found) }
}

/// The whole `hillwire` member.
pub(super) fn read_head(node: Node<'_>) -> Result<Head, Trouble> {
    let mut head = Head::default();
    let mut reader = FieldReader::new(node.members()?);
    head_fields(&mut head, &mut reader);
    head.foreign = reader.finish()?.rest()?;
    for build in &mut head.builds {
        build.strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
    }
    Ok(head)
}

/// The `hillwire` member, one line per member, per build, per strand and per stock group.
pub(super) fn write_head(head: &Head) -> String {
    let mut writer = FieldWriter::default();
    head_fields(&mut head.clone(), &mut writer);
    writer.members(&head.foreign);
    format!("{{\n  {}}}", writer.into_members().join(",\n  "))
}

fn head_fields(head: &mut Head, to: &mut impl Fields) {
    to.required("version", &mut head.version, &Whole(0, u32::MAX));
    to.always("name", &mut head.name, &Name);
    to.always("units", &mut head.units, &Units);
    to.optional("code", &mut head.code, &Word(&Code::WORDS));
    to.always("ground", &mut head.ground, &Ground);
    to.usual("elevation", &mut head.elevation, &Vec::new(), &ListOf(Link, bounds::GRIDS));
    to.usual("pictures", &mut head.pictures, &Vec::new(), &ListOf(PictureForm, bounds::PICTURES));
    to.usual("season", &mut head.season, &Season::default(), &SeasonForm);
    to.usual("builds", &mut head.builds, &Vec::new(), &Rows(BuildForm, ["", "\n   "], bounds::BUILDS));
    to.usual("stock", &mut head.stock, &Vec::new(), &Rows(Stock, ["", "\n   "], bounds::STOCK_GROUPS));
    to.usual("prices", &mut head.prices, &Prices::default(), &PriceList);
    to.usual("on_hand", &mut head.on_hand, &Default::default(), &Shed);
    to.usual("layouts", &mut head.layouts, &Vec::new(), &Layouts);
    to.usual("catalogue", &mut head.catalogue, &Map::new(), &Object);
}

/// A value that is an object: its fields, and the members that no field takes.
trait Record: Default + Clone {
    fn fields(&mut self, to: &mut impl Fields);
    fn foreign(&mut self) -> &mut Map<String, Value>;
    /// What must differ from record to record of a list.
    fn id(&self) -> Option<&str> {
        None
    }
}

fn read_record<T: Record>(node: Node<'_>) -> Result<T, Trouble> {
    let mut record = T::default();
    let mut reader = FieldReader::new(node.members()?);
    record.fields(&mut reader);
    *record.foreign() = reader.finish()?.rest()?;
    Ok(record)
}

fn write_record<T: Record>(record: &T) -> String {
    let mut record = record.clone();
    let mut writer = FieldWriter::default();
    record.fields(&mut writer);
    writer.members(record.foreign());
    writer.into_object()
}

/// A form that is nothing but its record.
macro_rules! record_form {
    ($form:ident, $record:ty, $allowed:literal) => {
        struct $form;
        impl Form<$record> for $form {
            fn read(&self, node: Node<'_>) -> Result<$record, Trouble> {
                read_record(node)
            }
            fn write(&self, value: &$record) -> String {
                write_record(value)
            }
            fn allowed(&self) -> String {
                $allowed.to_owned()
            }
        }
    };
}

record_form!(Ground, GroundChoice, "an object with state, soil and vegetation");
record_form!(Link, FileLink, "an object with file");
record_form!(PictureForm, PictureLink, "an object with file");
record_form!(SeasonForm, Season, "an object with set_c, coldest_c, hottest_c");
record_form!(NetForm, Net, "an object with id and height_m");
record_form!(StrandForm, Strand, "an object with height_m, wire and live");
record_form!(Stock, StockGroup, "an object with id, species and head");
record_form!(PriceList, Prices, "an object with currency and items");

impl Record for GroundChoice {
    fn fields(&mut self, to: &mut impl Fields) {
        to.always("state", &mut self.state, &Word(&GroundState::WORDS));
        to.always("soil", &mut self.soil, &Text);
        to.always("vegetation", &mut self.vegetation, &Word(&Vegetation::WORDS));
        to.always("rock_depth_m", &mut self.rock_depth, &OrNull(Metres(0.0, 1000.0)));
        to.optional("resistivity_ohm_m", &mut self.resistivity_ohm_m, &Range(0.1, 1e6));
        to.optional("leakage_us_per_km", &mut self.leakage_us_per_km, &Range(0.0, 1e6));
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for FileLink {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("file", &mut self.file, &Text);
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for PictureLink {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("file", &mut self.file, &Text);
        to.usual("strength", &mut self.strength, &PICTURE_STRENGTH, &Range(0.0, 1.0));
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for Season {
    fn fields(&mut self, to: &mut impl Fields) {
        to.usual("set_c", &mut self.set_c, &SET_TEMPERATURE_C, &Range(-40.0, 60.0));
        to.usual("coldest_c", &mut self.coldest_c, &COLDEST_TEMPERATURE_C, &Range(-70.0, 60.0));
        to.usual("hottest_c", &mut self.hottest_c, &HOTTEST_TEMPERATURE_C, &Range(-40.0, 90.0));
        to.optional("build_up_m", &mut self.build_up, &Metres(0.0, 2.0));
        to.usual("snow_m", &mut self.snow, &Length::ZERO, &Metres(0.0, 10.0));
        to.optional("storm_mm_per_h", &mut self.storm_mm_per_h, &Range(1.0, 1000.0));
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for StockGroup {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("id", &mut self.id, &Name);
        to.required("species", &mut self.species, &Text);
        to.optional("class", &mut self.class, &Text);
        to.required("head", &mut self.head, &Whole(0, bounds::HEAD));
        to.optional("weight_kg", &mut self.weight_kg, &Range(0.0, 2000.0));
        to.optional("as_of", &mut self.as_of, &Day);
        to.optional("gain_kg_per_day", &mut self.gain_kg_per_day, &Range(-5.0, 5.0));
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
    fn id(&self) -> Option<&str> {
        Some(&self.id)
    }
}

impl Record for Prices {
    fn fields(&mut self, to: &mut impl Fields) {
        to.always("currency", &mut self.currency, &Text);
        to.always("items", &mut self.items, &Amounts);
        to.usual("dates", &mut self.dates, &Default::default(), &Dates);
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for Build {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("id", &mut self.id, &Name);
        to.optional("net", &mut self.net, &NetForm);
        let strands = Rows(StrandForm, ["\n      "; 2], bounds::STRANDS);
        match self.net {
            Some(_) => to.usual("strands", &mut self.strands, &Vec::new(), &strands),
            None => to.required("strands", &mut self.strands, &strands),
        }
        to.optional("class", &mut self.class, &Name);
        to.required("line_post", &mut self.line_post, &Text);
        to.required("corner_post", &mut self.corner_post, &Text);
        to.required("max_bay_m", &mut self.max_bay, &Metres(bounds::SHORTEST_BAY_M, 1000.0));
        to.required("tension_n", &mut self.tension, &Newtons(0.0, 1e5));
        to.optional("spring_n_per_m", &mut self.spring_n_per_m, &Range(1.0, 1e6));
        to.usual("springs_at_both_ends", &mut self.springs_at_both_ends, &false, &Flag);
        to.usual("drill_m", &mut self.drill, &Length::ZERO, &Metres(0.0, 0.5));
        to.optional("hold_down_cost", &mut self.hold_down_cost, &Range(0.0, 1000.0));
        to.usual("permanent", &mut self.permanent, &false, &Flag);
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
    fn id(&self) -> Option<&str> {
        Some(&self.id)
    }
}

impl Record for Net {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("id", &mut self.row, &Text);
        to.required("height_m", &mut self.height, &Metres(0.1, 3.0));
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

impl Record for Strand {
    fn fields(&mut self, to: &mut impl Fields) {
        to.required("height_m", &mut self.height, &Metres(0.0, 10.0));
        to.required("wire", &mut self.wire, &Text);
        to.required("live", &mut self.live, &Flag);
        to.optional("band_m", &mut self.band, &Band);
    }
    fn foreign(&mut self) -> &mut Map<String, Value> {
        &mut self.foreign
    }
}

/// A build: strands on lines of their own, the rest on one.
struct BuildForm;

impl Form<Build> for BuildForm {
    fn read(&self, node: Node<'_>) -> Result<Build, Trouble> {
        let build: Build = read_record(node)?;
        let has_both = build.net.is_some() && !build.strands.is_empty();
        if has_both { Err(node.trouble_found("strands and a net", "either of them").under("net")) } else { Ok(build) }
    }
    fn write(&self, value: &Build) -> String {
        let after_strands = "],\"line_post\"";
        write_record(value).replacen(after_strands, "],\n     \"line_post\"", 1)
    }
    fn allowed(&self) -> String {
        "an object with id, strands or net, line_post, corner_post, max_bay_m and tension_n".to_owned()
    }
}

/// Records of a list: what stands before the first one, and before each of the others, and how many there may be.
struct Rows<F>(F, [&'static str; 2], usize);

impl<T: Record, F: Form<T>> Form<Vec<T>> for Rows<F> {
    fn read(&self, node: Node<'_>) -> Result<Vec<T>, Trouble> {
        let mut rows: Vec<T> = Vec::new();
        for (index, element) in elements_within(node, self.2)?.into_iter().enumerate() {
            let at = |trouble: Trouble| trouble.under(format!("[{index}]"));
            let row = self.0.read(element).map_err(at)?;
            if let Some(id) = row.id().filter(|id| rows.iter().any(|row| row.id() == Some(id))) {
                let twice = element.trouble_found(format!("a second {}", quoted(id)), "an id of its own").under("id");
                return Err(at(twice));
            }
            rows.push(row);
        }
        Ok(rows)
    }
    fn write(&self, value: &Vec<T>) -> String {
        let [first, others] = self.1;
        let row = |(index, row)| format!("{}{}", if index == 0 { first } else { others }, self.0.write(row));
        format!("[{}]", value.iter().enumerate().map(row).collect::<Vec<_>>().join(","))
    }
    fn allowed(&self) -> String {
        "a list [...]".to_owned()
    }
}

/// `metric` or `us`.
struct Units;

impl Form<UnitSystem> for Units {
    fn read(&self, node: Node<'_>) -> Result<UnitSystem, Trouble> {
        let word: String = Word(&["metric", "us"]).read(node)?;
        Ok(if word == "us" { UnitSystem::Us } else { UnitSystem::Metric })
    }
    fn write(&self, value: &UnitSystem) -> String {
        quoted(match value {
            UnitSystem::Metric => "metric",
            UnitSystem::Us => "us",
        })
    }
    fn allowed(&self) -> String {
        "metric or us".to_owned()
    }
}

/// A value that is written as `null` when there is none.
struct OrNull<F>(F);

impl<T, F: Form<T>> Form<Option<T>> for OrNull<F> {
    fn read(&self, node: Node<'_>) -> Result<Option<T>, Trouble> {
        if node.is_null() { Ok(None) } else { self.0.read(node).map(Some) }
    }
    fn write(&self, value: &Option<T>) -> String {
        value.as_ref().map_or_else(|| "null".to_owned(), |value| self.0.write(value))
    }
    fn allowed(&self) -> String {
        format!("null or {}", self.0.allowed())
    }
}

/// `[lowest, highest]` clearance, metres.
struct Band;

impl Form<(Length, Length)> for Band {
    fn read(&self, node: Node<'_>) -> Result<(Length, Length), Trouble> {
        let ends = ListOf(Metres(0.0, 10.0), 2).read(node)?;
        match ends.as_slice() {
            [lowest, highest] if lowest <= highest => Ok((*lowest, *highest)),
            _ => Err(node.trouble(self.allowed())),
        }
    }
    fn write(&self, (lowest, highest): &(Length, Length)) -> String {
        ListOf(Metres(0.0, 10.0), 2).write(&vec![*lowest, *highest])
    }
    fn allowed(&self) -> String {
        "two heights in metres, the lowest first".to_owned()
    }
}

/// The members that this program does not know, with those around them.
pub(super) fn unknown_members(head: &Head) -> Vec<String> {
    let mut unknown = Vec::new();
    let mut list = |path: &str, map: &Map<String, Value>| unknown.extend(map.keys().map(|key| format!("hillwire.{path}{key}")));
    list("", &head.foreign);
    list("ground.", &head.ground.foreign);
    let grids = head.elevation.iter().map(|link| ("elevation", &link.foreign)).enumerate();
    let pictures = head.pictures.iter().map(|link| ("pictures", &link.foreign)).enumerate();
    for (index, (name, foreign)) in grids.chain(pictures) {
        list(&format!("{name}[{index}]."), foreign);
    }
    for (index, build) in head.builds.iter().enumerate() {
        list(&format!("builds[{index}]."), &build.foreign);
        for (strand, foreign) in build.strands.iter().map(|strand| &strand.foreign).enumerate() {
            list(&format!("builds[{index}].strands[{strand}]."), foreign);
        }
    }
    for (index, group) in head.stock.iter().enumerate() {
        list(&format!("stock[{index}]."), &group.foreign);
    }
    for (index, layout) in head.layouts.iter().enumerate() {
        list(&format!("layouts[{index}]."), &layout.foreign);
    }
    list("season.", &head.season.foreign);
    list("prices.", &head.prices.foreign);
    unknown
}
