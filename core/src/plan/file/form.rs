//! How single values stand in the file: one form per sort of value, used both for reading and for writing.

use super::node::{Members, Node};
use super::number::{decimal, decimal_thousandfold};
use super::trouble::Trouble;
use crate::bounds::{NAME_LETTERS, TEXT_LETTERS};
use crate::units::{Elevation, Force, Length};
use jiff::civil::Date;
use serde_json::{Map, Value};

/// How a value of type `T` stands in the file.
pub(super) trait Form<T> {
    fn read(&self, node: Node<'_>) -> Result<T, Trouble>;
    fn write(&self, value: &T) -> String;
    /// What may stand there, for a message about a value that is missing.
    fn allowed(&self) -> String;
}

/// Any text of a bounded length.
pub(super) struct Text;
/// A name or an id.
pub(super) struct Name;
/// One of these words.
pub(super) struct Word(pub &'static [&'static str]);
/// A number from .. to.
pub(super) struct Range(pub f64, pub f64);
/// Metres, from .. to.
pub(super) struct Metres(pub f64, pub f64);
/// Metres inside, millimetres in the file, from .. to millimetres.
pub(super) struct Millimetres(pub f64, pub f64);
/// A height of the ground in metres, from .. to.
pub(super) struct Heights(pub f64, pub f64);
/// Newtons, from .. to.
pub(super) struct Newtons(pub f64, pub f64);
/// A whole number from .. to.
pub(super) struct Whole(pub u32, pub u32);
/// true or false.
pub(super) struct Flag;
/// A day, as ISO 8601 writes it.
pub(super) struct Day;
/// An object, its members as they came.
pub(super) struct Object;
/// A list of values of one form, so many at most.
pub(super) struct ListOf<F>(pub F, pub usize);

/// Text as JSON.
pub(super) fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

impl Form<String> for Text {
    fn read(&self, node: Node<'_>) -> Result<String, Trouble> {
        text_within(node, TEXT_LETTERS)
    }
    fn write(&self, value: &String) -> String {
        quoted(value)
    }
    fn allowed(&self) -> String {
        "text in quotes".to_owned()
    }
}

impl Form<String> for Name {
    fn read(&self, node: Node<'_>) -> Result<String, Trouble> {
        text_within(node, NAME_LETTERS)
    }
    fn write(&self, value: &String) -> String {
        quoted(value)
    }
    fn allowed(&self) -> String {
        "text in quotes".to_owned()
    }
}

/// A text of so many letters at most.
pub(super) fn text_within(node: Node<'_>, most: usize) -> Result<String, Trouble> {
    let text = node.text()?;
    // A letter has a byte or more: only a long text has to be counted.
    if text.len() > most && text.chars().count() > most {
        return Err(node.trouble_found(format!("a text of {} letters", text.chars().count()), format!("{most} letters at most")));
    }
    Ok(text)
}

/// The elements of a list of so many at most.
pub(super) fn elements_within(node: Node<'_>, most: usize) -> Result<Vec<Node<'_>>, Trouble> {
    let elements = node.elements()?;
    if elements.len() > most {
        return Err(node.trouble_found(format!("a list of {}", elements.len()), format!("{most} at most")));
    }
    Ok(elements)
}

impl Form<String> for Word {
    fn read(&self, node: Node<'_>) -> Result<String, Trouble> {
        let word = node.text().map_err(|_| node.trouble(self.allowed()))?;
        if self.0.contains(&word.as_str()) { Ok(word) } else { Err(node.trouble(self.allowed())) }
    }
    fn write(&self, value: &String) -> String {
        quoted(value)
    }
    fn allowed(&self) -> String {
        format!("one of {}", self.0.join(", "))
    }
}

impl Form<f64> for Range {
    fn read(&self, node: Node<'_>) -> Result<f64, Trouble> {
        let allowed = || <Self as Form<f64>>::allowed(self);
        let number = node.number().map_err(|_| node.trouble(allowed()))?;
        if (self.0..=self.1).contains(&number) { Ok(number) } else { Err(node.trouble(allowed())) }
    }
    fn write(&self, value: &f64) -> String {
        decimal(*value)
    }
    fn allowed(&self) -> String {
        format!("a number from {} to {}", self.0, self.1)
    }
}

impl Form<Length> for Metres {
    fn read(&self, node: Node<'_>) -> Result<Length, Trouble> {
        Range(self.0, self.1).read(node).map(Length::metres)
    }
    fn write(&self, value: &Length) -> String {
        decimal(value.as_metres())
    }
    fn allowed(&self) -> String {
        Range(self.0, self.1).allowed()
    }
}

impl Form<Length> for Millimetres {
    fn read(&self, node: Node<'_>) -> Result<Length, Trouble> {
        Range(self.0, self.1).read(node)?;
        let number = node.exact_number()?;
        let metres = thousandth(&number.to_string()).ok_or_else(|| node.trouble(Form::allowed(self)))?;
        Ok(Length::metres(metres))
    }
    fn write(&self, value: &Length) -> String {
        decimal_thousandfold(value.as_metres())
    }
    fn allowed(&self) -> String {
        Range(self.0, self.1).allowed()
    }
}

/// A thousandth of a printed number, without the rounding of a division: `14.2` is exactly what `0.0142` reads as.
fn thousandth(printed: &str) -> Option<f64> {
    let (digits, exponent) = printed.split_once(['e', 'E']).unwrap_or((printed, "0"));
    let exponent: i64 = exponent.parse().ok()?;
    format!("{digits}e{}", exponent.checked_sub(3)?).parse().ok()
}

impl Form<Elevation> for Heights {
    fn read(&self, node: Node<'_>) -> Result<Elevation, Trouble> {
        Range(self.0, self.1).read(node).map(Elevation::metres)
    }
    fn write(&self, value: &Elevation) -> String {
        decimal(value.as_metres())
    }
    fn allowed(&self) -> String {
        Range(self.0, self.1).allowed()
    }
}

impl Form<Date> for Day {
    fn read(&self, node: Node<'_>) -> Result<Date, Trouble> {
        let word = node.text().map_err(|_| node.trouble(self.allowed()))?;
        let day = word.parse::<Date>().ok().filter(|day| day.to_string() == word);
        day.ok_or_else(|| node.trouble(self.allowed()))
    }
    fn write(&self, value: &Date) -> String {
        quoted(&value.to_string())
    }
    fn allowed(&self) -> String {
        "a day like \"2026-04-01\"".to_owned()
    }
}

impl Form<Map<String, Value>> for Object {
    fn read(&self, node: Node<'_>) -> Result<Map<String, Value>, Trouble> {
        node.members()?.rest()
    }
    fn write(&self, value: &Map<String, Value>) -> String {
        Value::Object(value.clone()).to_string()
    }
    fn allowed(&self) -> String {
        "an object".to_owned()
    }
}

impl Form<Force> for Newtons {
    fn read(&self, node: Node<'_>) -> Result<Force, Trouble> {
        Range(self.0, self.1).read(node).map(Force::newtons)
    }
    fn write(&self, value: &Force) -> String {
        decimal(value.as_newtons())
    }
    fn allowed(&self) -> String {
        Range(self.0, self.1).allowed()
    }
}

impl Form<u32> for Whole {
    fn read(&self, node: Node<'_>) -> Result<u32, Trouble> {
        let number = serde_json::from_str(node.as_text()).ok().filter(|number| (self.0..=self.1).contains(number));
        number.ok_or_else(|| node.trouble(self.allowed()))
    }
    fn write(&self, value: &u32) -> String {
        value.to_string()
    }
    fn allowed(&self) -> String {
        format!("a whole number from {} to {}", self.0, self.1)
    }
}

impl Form<bool> for Flag {
    fn read(&self, node: Node<'_>) -> Result<bool, Trouble> {
        node.flag()
    }
    fn write(&self, value: &bool) -> String {
        value.to_string()
    }
    fn allowed(&self) -> String {
        "true or false".to_owned()
    }
}

impl<T, F: Form<T>> Form<Vec<T>> for ListOf<F> {
    fn read(&self, node: Node<'_>) -> Result<Vec<T>, Trouble> {
        let elements = elements_within(node, self.1)?.into_iter().enumerate();
        elements.map(|(index, element)| self.0.read(element).map_err(|trouble| trouble.under(format!("[{index}]")))).collect()
    }
    fn write(&self, value: &Vec<T>) -> String {
        format!("[{}]", value.iter().map(|element| self.0.write(element)).collect::<Vec<_>>().join(","))
    }
    fn allowed(&self) -> String {
        "a list [...]".to_owned()
    }
}

/// The one list of an object's fields, walked both by reading and by writing.
pub(super) trait Fields {
    /// A field that may be absent.
    fn optional<T>(&mut self, key: &'static str, value: &mut Option<T>, form: &impl Form<T>);
    /// A field that must be there.
    fn required<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>);
    /// A field that is always written, and keeps what it is before reading when it is absent.
    fn always<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>);
    /// A field that is left out when it equals what the value already is before reading.
    fn usual<T: PartialEq>(&mut self, key: &'static str, value: &mut T, usual: &T, form: &impl Form<T>);
}

/// Fills fields from an object.
pub(super) struct FieldReader<'a> {
    members: Members<'a>,
    trouble: Option<Trouble>,
}

impl<'a> FieldReader<'a> {
    pub fn new(members: Members<'a>) -> Self {
        Self { members, trouble: None }
    }

    /// The members that no field took.
    pub fn finish(self) -> Result<Members<'a>, Trouble> {
        match self.trouble {
            Some(trouble) => Err(trouble),
            None => Ok(self.members),
        }
    }

    fn read<T>(&mut self, key: &'static str, form: &impl Form<T>) -> Option<T> {
        let node = self.members.take(key)?;
        match form.read(node) {
            Ok(value) => Some(value),
            Err(trouble) => {
                self.trouble.get_or_insert(trouble.under(key));
                None
            }
        }
    }
}

impl Fields for FieldReader<'_> {
    fn optional<T>(&mut self, key: &'static str, value: &mut Option<T>, form: &impl Form<T>) {
        *value = self.read(key, form);
    }
    fn required<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>) {
        if !self.members.has(key) || self.members.list.iter().any(|(name, node)| name == key && node.is_null()) {
            let missing = self.members.missing(key, form.allowed());
            self.trouble.get_or_insert(missing);
        }
        if let Some(read) = self.read(key, form) {
            *value = read;
        }
    }
    fn always<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>) {
        if let Some(read) = self.read(key, form) {
            *value = read;
        }
    }
    fn usual<T: PartialEq>(&mut self, key: &'static str, value: &mut T, _usual: &T, form: &impl Form<T>) {
        self.always(key, value, form);
    }
}

/// Writes fields as members of an object.
#[derive(Default)]
pub(super) struct FieldWriter {
    members: Vec<(String, String)>,
}

impl FieldWriter {
    pub fn member(&mut self, key: &str, json: String) {
        self.members.push((key.to_owned(), json));
    }

    /// Members as they came; a name that is already written is not written twice.
    pub fn members(&mut self, map: &Map<String, Value>) {
        for (key, value) in map {
            if !self.members.iter().any(|(written, _)| written == key) {
                self.member(key, value.to_string());
            }
        }
    }

    /// `"a":1` ...
    pub fn into_members(self) -> Vec<String> {
        self.members.into_iter().map(|(key, json)| format!("{}:{json}", quoted(&key))).collect()
    }

    pub fn into_object(self) -> String {
        format!("{{{}}}", self.into_members().join(","))
    }
}

impl Fields for FieldWriter {
    fn optional<T>(&mut self, key: &'static str, value: &mut Option<T>, form: &impl Form<T>) {
        if let Some(value) = value {
            self.member(key, form.write(value));
        }
    }
    fn required<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>) {
        self.member(key, form.write(value));
    }
    fn always<T>(&mut self, key: &'static str, value: &mut T, form: &impl Form<T>) {
        self.member(key, form.write(value));
    }
    fn usual<T: PartialEq>(&mut self, key: &'static str, value: &mut T, usual: &T, form: &impl Form<T>) {
        if value != usual {
            self.member(key, form.write(value));
        }
    }
}

/// Only asks for the names.
#[derive(Default)]
pub(super) struct FieldNames(pub Vec<&'static str>);

impl Fields for FieldNames {
    fn optional<T>(&mut self, key: &'static str, _: &mut Option<T>, _: &impl Form<T>) {
        self.0.push(key);
    }
    fn required<T>(&mut self, key: &'static str, _: &mut T, _: &impl Form<T>) {
        self.0.push(key);
    }
    fn always<T>(&mut self, key: &'static str, _: &mut T, _: &impl Form<T>) {
        self.0.push(key);
    }
    fn usual<T: PartialEq>(&mut self, key: &'static str, _: &mut T, _: &T, _: &impl Form<T>) {
        self.0.push(key);
    }
}
