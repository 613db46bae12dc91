//! JSON whose every value knows where it stands in the text, so that errors can name the line.

use super::trouble::{Trouble, not_json};
use crate::bounds::shown;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use serde_json::{Map, Number, Value};
use std::borrow::Cow;
use std::collections::HashSet;
use std::fmt;

/// How deep lists and objects may stand in each other.
pub(super) const DEEPEST: usize = 100;

/// One JSON value, as text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node<'a>(&'a str);

/// An object's members in file order, each at most once.
#[derive(Debug)]
pub(super) struct Members<'a> {
    pub object: Node<'a>,
    pub list: Vec<(String, Node<'a>)>,
}

/// Members as they stand, without a look into their values.
struct RawMembers<'a>(Vec<(String, &'a RawValue)>);

impl<'de> Deserialize<'de> for RawMembers<'de> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Collect;
        impl<'de> Visitor<'de> for Collect {
            type Value = RawMembers<'de>;
            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut list = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    list.push(entry);
                }
                Ok(RawMembers(list))
            }
        }
        from.deserialize_map(Collect)
    }
}

impl<'a> Node<'a> {
    /// The value that a whole text consists of.
    ///
    /// # Errors
    /// What the text breaks off with, by line and column.
    pub fn of_text(text: &'a str) -> Result<Self, serde_json::Error> {
        serde_json::from_str::<&RawValue>(text).map(|raw| Self(raw.get()))
    }

    /// Trouble here.
    pub fn trouble(self, allowed: impl Into<Cow<'static, str>>) -> Trouble {
        Trouble { address: self.address(), path: Vec::new(), found: self.shown(), allowed: allowed.into() }
    }

    /// Trouble here, with something else to say about what was found.
    pub fn trouble_found(self, found: impl Into<String>, allowed: impl Into<Cow<'static, str>>) -> Trouble {
        Trouble { address: self.address(), path: Vec::new(), found: found.into(), allowed: allowed.into() }
    }

    pub fn address(self) -> usize {
        self.0.as_ptr() as usize
    }

    pub fn as_text(self) -> &'a str {
        self.0
    }

    pub fn is_null(self) -> bool {
        self.0 == "null"
    }

    pub fn is_object(self) -> bool {
        self.0.starts_with('{')
    }

    /// The text itself, shortened for a message.
    fn shown(self) -> String {
        shown(self.0)
    }

    pub fn members(self) -> Result<Members<'a>, Trouble> {
        if !self.is_object() {
            return Err(self.trouble("an object {...}"));
        }
        let RawMembers(raw) = serde_json::from_str(self.0).map_err(|error| self.broken(&error))?;
        let list: Vec<_> = raw.into_iter().map(|(key, value)| (key, Node(value.get()))).collect();
        let mut seen = HashSet::new();
        if let Some((key, value)) = list.iter().find(|(key, _)| !seen.insert(key.as_str())) {
            return Err(value.trouble_found(format!("a second {key:?}"), "each name once in an object").under(key));
        }
        Ok(Members { object: self, list })
    }

    pub fn elements(self) -> Result<Vec<Node<'a>>, Trouble> {
        if !self.0.starts_with('[') {
            return Err(self.trouble("a list [...]"));
        }
        let raw: Vec<&RawValue> = serde_json::from_str(self.0).map_err(|error| self.broken(&error))?;
        Ok(raw.into_iter().map(|value| Node(value.get())).collect())
    }

    pub fn text(self) -> Result<String, Trouble> {
        if !self.0.starts_with('"') {
            return Err(self.trouble("text in quotes"));
        }
        serde_json::from_str(self.0).map_err(|error| self.broken(&error))
    }

    pub fn number(self) -> Result<f64, Trouble> {
        serde_json::from_str(self.0).map_err(|_| self.trouble("a number"))
    }

    /// A number with all its digits.
    pub fn exact_number(self) -> Result<Number, Trouble> {
        self.number()?;
        serde_json::from_str(self.0).map_err(|_| self.trouble("a number"))
    }

    pub fn flag(self) -> Result<bool, Trouble> {
        serde_json::from_str(self.0).map_err(|_| self.trouble("true or false"))
    }

    /// The value as it is, numbers with all their digits.
    pub fn value(self) -> Result<Value, Trouble> {
        self.value_within(DEEPEST)
    }

    fn value_within(self, depth: usize) -> Result<Value, Trouble> {
        let deeper = || {
            depth
                .checked_sub(1)
                .ok_or_else(|| self.trouble_found("lists or objects deeper in each other", format!("{DEEPEST} at most")))
        };
        match self.0.as_bytes().first() {
            Some(b'{') => {
                let depth = deeper()?;
                let members = self.members()?.list.into_iter();
                let values = members.map(|(key, node)| match node.value_within(depth) {
                    Ok(value) => Ok((key, value)),
                    Err(trouble) => Err(trouble.under(key)),
                });
                Ok(Value::Object(values.collect::<Result<_, _>>()?))
            }
            Some(b'[') => {
                let depth = deeper()?;
                let elements = self.elements()?.into_iter().enumerate();
                let values =
                    elements.map(|(index, node)| node.value_within(depth).map_err(|trouble| trouble.under(format!("[{index}]"))));
                Ok(Value::Array(values.collect::<Result<_, _>>()?))
            }
            _ => serde_json::from_str(self.0).map_err(|error| self.broken(&error)),
        }
    }

    /// What the first look let pass: a broken escape in a text, a number beyond all numbers.
    fn broken(self, error: &serde_json::Error) -> Trouble {
        self.trouble_found(format!("{} ({})", self.shown(), not_json(error, self.0)), "JSON as of RFC 8259")
    }
}

impl<'a> Members<'a> {
    /// Takes a member out; a `null` counts as absent.
    pub fn take(&mut self, key: &str) -> Option<Node<'a>> {
        self.take_even_null(key).filter(|node| !node.is_null())
    }

    /// Takes a member out.
    pub fn take_even_null(&mut self, key: &str) -> Option<Node<'a>> {
        let index = self.list.iter().position(|(name, _)| name == key)?;
        Some(self.list.remove(index).1)
    }

    pub fn has(&self, key: &str) -> bool {
        self.list.iter().any(|(name, _)| name == key)
    }

    /// What is missing when `key` is not there.
    pub fn missing(&self, key: &str, allowed: impl Into<Cow<'static, str>>) -> Trouble {
        self.object.trouble_found("nothing", allowed).under(key)
    }

    /// All that was not taken, as it came.
    pub fn rest(self) -> Result<Map<String, Value>, Trouble> {
        self.list
            .into_iter()
            .map(|(key, node)| match node.value() {
                Ok(value) => Ok((key, value)),
                Err(trouble) => Err(trouble.under(key)),
            })
            .collect()
    }
}
