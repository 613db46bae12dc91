//! The keeper's own rows: they stand in the plan with the members that the catalogue's files have, and go before the built-in ones.

use super::own_members::{Member, SECTIONS, Section};
use super::{AnimalRow, Catalogue, PostRow};
use crate::bounds::shown;
use crate::source::SourceKey;
use crate::units::Length;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use std::collections::HashSet;
use std::fmt;

/// Where the values of a row come from that names no source.
pub const KEEPERS_OWN: SourceKey = SourceKey::new("keepers-own");

/// A section that the catalogue had before animals had a row for each fence: such rows are kept in the plan and used no more.
pub const BEFORE: &str = "holding";

/// A row of the keeper's own that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("hillwire.catalogue{at}: found {found}; allowed is {allowed}")]
pub struct OwnRowError {
    /// Where.
    pub at: Box<OwnPlace>,
    /// What stands there.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
}

/// A place in the keeper's own rows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnPlace {
    /// The section: wire, post, ...
    pub section: String,
    /// Which row, 0 the first; `None` for the whole section.
    pub row: Option<usize>,
    /// What the row is called: its id where its section has ids.
    pub called: Option<String>,
    /// Which member of it; `None` for the whole row.
    pub member: Option<String>,
}

impl fmt::Display for OwnPlace {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, ".{}", self.section)?;
        self.row.map_or(Ok(()), |row| write!(to, "[{row}]"))?;
        self.called.as_ref().map_or(Ok(()), |called| write!(to, " ({called})"))?;
        self.member.as_ref().map_or(Ok(()), |member| write!(to, ", {member}"))
    }
}

/// One row on its way in.
struct Row<'a> {
    section: Section,
    number: usize,
    members: &'a Map<String, Value>,
}

impl Row<'_> {
    /// What tells it from the other rows of its section.
    fn called(&self) -> Option<String> {
        let words: Vec<&str> = self.section.named_by.iter().filter_map(|name| self.members.get(*name)?.as_str()).collect();
        (!words.is_empty()).then(|| words.join(", "))
    }

    fn trouble(&self, member: Option<&str>, found: impl Into<String>, allowed: impl Into<String>) -> OwnRowError {
        let at = OwnPlace {
            section: self.section.name.to_owned(),
            row: Some(self.number),
            called: self.called().map(|called| shown(&called)),
            member: member.map(str::to_owned),
        };
        OwnRowError { at: Box::new(at), found: found.into(), allowed: allowed.into() }
    }

    /// Every member is known and of its form, and none that is needed lacks.
    fn check(&self) -> Result<(), OwnRowError> {
        for (name, value) in self.members {
            let Some(member) = self.section.members().find(|member| member.name == name) else {
                let names: Vec<&str> = self.section.members().map(|member| member.name).collect();
                return Err(self.trouble(Some(&shown(name)), "this member", format!("one of {}", names.join(", "))));
            };
            if let Some(wrong) = member.form.wrong(value) {
                return Err(self.trouble(Some(&format!("{name}{}", wrong.within)), wrong.found, wrong.allowed));
            }
        }
        let lacks = |member: &&Member| member.needed && !self.members.contains_key(member.name);
        match self.section.members().find(lacks) {
            Some(member) => Err(self.trouble(Some(member.name), "nothing", member.form.allowed())),
            None => self.check_together(),
        }
    }

    /// What members ask of each other.
    fn check_together(&self) -> Result<(), OwnRowError> {
        let has = |name: &str| self.members.contains_key(name);
        let number = |name: &str| self.members.get(name).and_then(Value::as_f64).unwrap_or(0.0);
        let lacks = |name: &str, why: &str| Err(self.trouble(Some(name), "nothing", why));
        let is_plastic = self.members.get("metal").is_some_and(|metal| metal == "composite");
        match self.section.name {
            "wire" if !has("gauge") && !has("diameter_m") => lacks("diameter_m", "a number, or a gauge"),
            "wire" if !has("strength_pa") && !has("breaking_n") => lacks("breaking_n", "a number, or strength_pa"),
            "wire" if is_plastic => ["mass_kg_per_m", "resistance_ohm_per_m", "stiffness_n"]
                .into_iter()
                .find(|name| !has(name))
                .map_or(Ok(()), |name| lacks(name, "a number: it does not follow from the metal of a composite")),
            "wire" if has("sheath_diameter_m") && !has("resistance_ohm_per_m") => {
                lacks("resistance_ohm_per_m", "a number: that of the core inside the sheath")
            }
            "wire" if has("sheath_diameter_m") && has("diameter_m") && number("sheath_diameter_m") <= number("diameter_m") => {
                let core = number("diameter_m");
                Err(self.trouble(
                    Some("sheath_diameter_m"),
                    number("sheath_diameter_m").to_string(),
                    format!("more than diameter_m, {core}"),
                ))
            }
            "energizer" if number("at_500_ohm_kv") >= number("open_kv") => Err(self.trouble(
                Some("at_500_ohm_kv"),
                number("at_500_ohm_kv").to_string(),
                format!("less than open_kv, {}", number("open_kv")),
            )),
            "energizer" if number("output_j") >= number("stored_j") => Err(self.trouble(
                Some("output_j"),
                number("output_j").to_string(),
                format!("less than stored_j, {}", number("stored_j")),
            )),
            "post" if number("depth_m") > number("length_m") => Err(self.trouble(
                Some("depth_m"),
                number("depth_m").to_string(),
                format!("at most length_m, {}", number("length_m")),
            )),
            _ => Ok(()),
        }
    }

    /// The row as the program knows rows.
    fn read<T: DeserializeOwned>(&self) -> Result<T, OwnRowError> {
        let mut members = self.members.clone();
        members.entry("source").or_insert_with(|| Value::from(KEEPERS_OWN.as_str()));
        // Members have been looked at one by one: what is left is said by the row itself.
        serde_json::from_value(Value::Object(members))
            .map_err(|error| self.trouble(None, error.to_string(), "a row as in the files"))
    }
}

/// In the place of the row that it replaces, else at the end.
fn put<T>(rows: &mut Vec<T>, row: T, is_same: impl Fn(&T, &T) -> bool) {
    match rows.iter().position(|other| is_same(other, &row)) {
        Some(place) => rows[place] = row,
        None => rows.push(row),
    }
}

impl Catalogue {
    /// These rows, with the keeper's own among them: an own row with the name of one here replaces it.
    ///
    /// `rows` has a list by section (`wire`, `post`, ...), its rows with the members of `assets/catalogue/*.toml`; a `source` may be left
    /// out or be any text.
    ///
    /// # Errors
    /// [`OwnRowError`] for the first row that cannot be used.
    pub fn with_own(&self, rows: &Map<String, Value>) -> Result<Self, OwnRowError> {
        let mut all = self.clone();
        for (name, value) in rows {
            let section_trouble = |found: String, allowed: String| {
                let at = OwnPlace { section: shown(name), ..OwnPlace::default() };
                Err(OwnRowError { at: Box::new(at), found, allowed })
            };
            if name == BEFORE {
                continue;
            }
            let Some(section) = SECTIONS.iter().find(|section| section.name == name) else {
                let names: Vec<&str> = SECTIONS.iter().map(|section| section.name).collect();
                return section_trouble("this section".to_owned(), format!("one of {}", names.join(", ")));
            };
            let Some(list) = value.as_array() else {
                return section_trouble(kind_of(value).to_owned(), "a list of rows".to_owned());
            };
            let mut seen = HashSet::new();
            for (number, value) in list.iter().enumerate() {
                let no_members = Map::new();
                let members = value.as_object().unwrap_or(&no_members);
                let row = Row { section: *section, number, members };
                if !value.is_object() {
                    return Err(row.trouble(None, kind_of(value), "an object"));
                }
                row.check()?;
                if !seen.insert(row.called()) {
                    return Err(row.trouble(Some(section.named_by[0]), "the name of a row before it", "a name of its own"));
                }
                all.take_in(&row)?;
            }
        }
        all.own_rows_agree(rows).map(|()| all)
    }

    fn take_in(&mut self, row: &Row<'_>) -> Result<(), OwnRowError> {
        match row.section.name {
            "wire" => put(&mut self.wires, row.read()?, |a, b| a.id == b.id),
            "post" => put(&mut self.posts, row.read()?, |a, b| a.id == b.id),
            "insulator" => put(&mut self.insulators, row.read()?, |a, b| a.id == b.id),
            "gate" => put(&mut self.gates, row.read()?, |a, b| a.id == b.id),
            "energizer" => put(&mut self.energizers, row.read()?, |a, b| a.id == b.id),
            "leakage" => put(&mut self.leakages, row.read()?, |a, b| a.vegetation == b.vegetation),
            "soil" => put(&mut self.soils, row.read()?, |a, b| a.id == b.id),
            "animal" => {
                let animal = self.animal_row(row)?;
                put(&mut self.animals, animal, |a, b| a.id == b.id);
            }
            "net" => put(&mut self.nets, row.read()?, |a, b| a.id == b.id),
            "fitting" => put(&mut self.fittings, row.read()?, |a, b| a.id == b.id),
            "body" => put(&mut self.bodies, row.read()?, |a, b| a.species == b.species),
            "turning" => put(&mut self.turnings, row.read()?, |a, b| a.species == b.species),
            "growing" => put(&mut self.growings, row.read()?, |a, b| a.species == b.species),
            "head" => {
                put(&mut self.heads, row.read()?, |a, b| (&a.species, &a.class, &a.label) == (&b.species, &b.class, &b.label))
            }
            _ => put(&mut self.needs, row.read()?, |a, b| (&a.species, &a.class, &a.label) == (&b.species, &b.class, &b.label)),
        }
        Ok(())
    }

    /// An animal's row. What it leaves out of its fences and voltages are those of the class that it replaces, else of its species; one that was
    /// written before fences had a row for each purpose says which strands it has inside.
    fn animal_row(&self, row: &Row<'_>) -> Result<AnimalRow, OwnRowError> {
        let word = |name: &str| row.members.get(name).and_then(Value::as_str).unwrap_or_default();
        let like = self.animal(word("species"), Some(word("class"))).or_else(|| self.animal(word("species"), None));
        let mut members = row.members.clone();
        let number = |name: &str| row.members.get(name).and_then(Value::as_f64);
        let asked_v = number("asked_v").or(number("least_v")).or(like.map(|like| like.asked_v));
        let floor_v = number("floor_v").or(like.map(|like| like.floor_v)).or(asked_v);
        let (Some(asked_v), Some(floor_v)) = (asked_v, floor_v) else {
            return Err(row.trouble(Some("asked_v"), "nothing", "a number: the catalogue has no animal of this species"));
        };
        members.insert("asked_v".to_owned(), Value::from(asked_v));
        members.insert("floor_v".to_owned(), Value::from(floor_v.min(asked_v)));
        for of_before in ["strands_m", "least_v", "band_m", "creep_m", "jump_m"] {
            members.shift_remove(of_before);
        }
        let own = |fence: &mut Value| {
            let source = || Value::from(KEEPERS_OWN.as_str());
            fence.as_object_mut().map(|fence| fence.entry("source").or_insert_with(source));
        };
        members.get_mut("fence").and_then(Value::as_array_mut).into_iter().flatten().for_each(own);
        let has_fences = members.contains_key("fence");
        let mut found: AnimalRow = Row { members: &members, ..*row }.read()?;
        if !has_fences {
            let Some(like) = like else {
                return Err(row.trouble(
                    Some("fence"),
                    "nothing",
                    "a list of fences: the catalogue has no animal of this species",
                ));
            };
            found.barriers.clone_from(&like.barriers);
            let strands = row.members.get("strands_m").and_then(Value::as_array);
            let heights = strands.map(|list| list.iter().filter_map(Value::as_f64).map(Length::metres).collect::<Vec<_>>());
            if let Some((inside, heights)) = found.barriers.first_mut().zip(heights) {
                (inside.strands, inside.earthed) = (heights, Vec::new());
            }
        }
        Ok(found)
    }

    /// What rows ask of each other: a post's insulator is there, and what an order can name has one id among all kinds.
    fn own_rows_agree(&self, rows: &Map<String, Value>) -> Result<(), OwnRowError> {
        for section in SECTIONS.iter().filter(|section| section.named_by == ["id"]) {
            let list = rows.get(section.name).and_then(Value::as_array).into_iter().flatten();
            for (number, members) in list.enumerate().filter_map(|(number, value)| Some((number, value.as_object()?))) {
                let row = Row { section: *section, number, members };
                let id = members.get("id").and_then(Value::as_str).unwrap_or_default();
                if let Some(other) = self.kinds_of(id).into_iter().find(|kind| *kind != section.name)
                    && !matches!(section.name, "soil" | "animal")
                {
                    let found = format!("the id of a row of {other}");
                    return Err(row.trouble(Some("id"), found, "an id that nothing else that can be bought has"));
                }
                let hung_on = self.post(id).filter(|_| section.name == "post").and_then(|post: &PostRow| post.insulator.as_ref());
                if let Some(insulator) = hung_on.filter(|insulator| self.insulator(insulator).is_none()) {
                    return Err(row.trouble(
                        Some("insulator"),
                        shown(&format!("{insulator:?}")),
                        "the id of an insulator of the catalogue",
                    ));
                }
            }
        }
        Ok(())
    }

    /// Sections of what can be bought that have a row with this id.
    fn kinds_of(&self, id: &str) -> Vec<&'static str> {
        let kinds = [
            ("wire", self.wire(id).is_some()),
            ("post", self.post(id).is_some()),
            ("insulator", self.insulator(id).is_some()),
            ("gate", self.gate(id).is_some()),
            ("energizer", self.energizer(id).is_some()),
            ("fitting", self.fitting(id).is_some()),
            ("net", self.net(id).is_some()),
        ];
        kinds.into_iter().filter(|(_, has)| *has).map(|(kind, _)| kind).collect()
    }
}

fn kind_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a text",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}

#[cfg(test)]
#[path = "own_tests.rs"]
mod tests;
