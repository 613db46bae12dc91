//! What the members of the keeper's own rows may be, and what is wrong with one that is something else.

use super::own_members::BARRIER;
use super::wire::GAUGE_INCHES;
use crate::bounds::shown;
use serde_json::Value;

/// What a member of a row may be.
#[derive(Clone, Copy, Debug)]
pub(super) enum Form {
    /// Any text that is not empty.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A gauge of the list.
    Gauge,
    /// A number between these two.
    Number(f64, f64),
    /// How many: a whole number from one to this.
    Count(u32),
    /// true or false.
    YesNo,
    /// Two numbers between these, the smaller one first.
    Pair(f64, f64),
    /// Rising numbers between these, one at least.
    Rising(f64, f64),
    /// Feed by mass, rising.
    Feed,
    /// Shares by height, rising.
    Shares,
    /// Rising numbers between these, or none at all.
    RisingOrNone(f64, f64),
    /// Numbers between these.
    Numbers(f64, f64),
    /// An object of these numbers, each between its two.
    Object(&'static [(&'static str, f64, f64)]),
    /// What a fence has to be, by purpose.
    Fences,
    /// Members of the row with the source of each.
    Sources,
}

impl Form {
    /// Whether this is such a value.
    pub(super) fn takes(self, value: &Value) -> bool {
        let within = |value: &Value, low: f64, high: f64| value.as_f64().is_some_and(|number| (low..=high).contains(&number));
        let rising = |numbers: Vec<Option<f64>>| numbers.windows(2).all(|pair| pair[0] < pair[1]);
        match self {
            Self::Text => value.as_str().is_some_and(|text| !text.trim().is_empty()),
            Self::Word(words) => value.as_str().is_some_and(|text| words.contains(&text)),
            Self::Gauge => value.as_str().is_some_and(|text| GAUGE_INCHES.iter().any(|(gauge, _)| *gauge == text)),
            Self::Number(low, high) => within(value, low, high),
            Self::Count(most) => value.as_u64().is_some_and(|count| (1..=u64::from(most)).contains(&count)),
            Self::YesNo => value.is_boolean(),
            Self::Pair(low, high) => value.as_array().is_some_and(|pair| {
                pair.len() == 2 && pair.iter().all(|number| within(number, low, high)) && pair[0].as_f64() <= pair[1].as_f64()
            }),
            Self::Rising(low, high) => value.as_array().is_some_and(|list| {
                let numbers = list.iter().map(Value::as_f64).collect();
                !list.is_empty() && list.iter().all(|number| within(number, low, high)) && rising(numbers)
            }),
            Self::Feed => takes_points(value, ("mass_kg", 2000.0), ("feed_kg", 2000.0)),
            Self::Shares => takes_points(value, ("from_m", 10.0), ("share", 1.0)),
            Self::RisingOrNone(low, high) => value.as_array().is_some_and(Vec::is_empty) || Self::Rising(low, high).takes(value),
            Self::Numbers(low, high) => value.as_array().is_some_and(|list| list.iter().all(|number| within(number, low, high))),
            Self::Object(numbers) => value.as_object().is_some_and(|members| {
                let has =
                    |(name, low, high): &(&str, f64, f64)| members.get(*name).is_some_and(|number| within(number, *low, *high));
                members.len() == numbers.len() && numbers.iter().all(has)
            }),
            Self::Fences => {
                value.as_array().is_some_and(|list| !list.is_empty() && list.iter().all(|fence| in_fence(fence).is_none()))
            }
            Self::Sources => value.as_object().is_some_and(|sources| sources.values().all(Value::is_string)),
        }
    }

    /// What it may be, for an error.
    pub(super) fn allowed(self) -> String {
        match self {
            Self::Text => "a text".to_owned(),
            Self::Word(words) => format!("one of {}", words.join(", ")),
            Self::Gauge => {
                let gauges: Vec<&str> = GAUGE_INCHES.iter().map(|(gauge, _)| *gauge).collect();
                format!("one of \"{}\"", gauges.join("\", \""))
            }
            Self::Number(low, high) => format!("a number from {low} to {high}"),
            Self::Count(most) => format!("a whole number from 1 to {most}"),
            Self::YesNo => "true or false".to_owned(),
            Self::Pair(low, high) => format!("two numbers from {low} to {high}, the smaller first"),
            Self::Rising(low, high) => format!("a list of rising numbers from {low} to {high}"),
            Self::Feed => "a list of objects with mass_kg and feed_kg, mass_kg rising".to_owned(),
            Self::Shares => "a list of objects with from_m and share, from_m rising".to_owned(),
            Self::RisingOrNone(low, high) => format!("a list of rising numbers from {low} to {high}, which may be empty"),
            Self::Numbers(low, high) => format!("a list of numbers from {low} to {high}"),
            Self::Object(numbers) => {
                let numbers: Vec<String> =
                    numbers.iter().map(|(name, low, high)| format!("{name} from {low} to {high}")).collect();
                format!("an object of numbers: {}", numbers.join(", "))
            }
            Self::Fences => {
                let names: Vec<&str> = BARRIER.iter().filter(|member| member.needed).map(|member| member.name).collect();
                format!("a list of objects with {} and what catalogue/animal.toml says more", names.join(", "))
            }
            Self::Sources => "an object of texts by member".to_owned(),
        }
    }

    /// What in the value is wrong, as near as can be said; `None` where it is such a value.
    pub(super) fn wrong(self, value: &Value) -> Option<Wrong> {
        let here = || Wrong { within: String::new(), found: found(value), allowed: self.allowed() };
        let under = |step: &str, inner: Wrong| Wrong { within: format!("{step}{}", inner.within), ..inner };
        match (self, value) {
            _ if self.takes(value) => None,
            (Self::Fences, Value::Array(list)) => {
                let inner = list.iter().enumerate().find_map(|(at, fence)| Some(under(&format!("[{at}]"), in_fence(fence)?)));
                inner.or_else(|| Some(here()))
            }
            (Self::Object(numbers), Value::Object(members)) => {
                let inner = numbers.iter().find_map(|(name, low, high)| {
                    let form = Self::Number(*low, *high);
                    let inner = members.get(*name).map_or_else(|| Some(nothing(form)), |number| form.wrong(number))?;
                    Some(under(&format!(".{name}"), inner))
                });
                inner.or_else(|| Some(here()))
            }
            _ => Some(here()),
        }
    }
}

/// What is wrong within a value.
#[derive(Debug)]
pub(super) struct Wrong {
    /// Where: `[0].net.foot_m`; empty for the value itself.
    pub within: String,
    pub found: String,
    pub allowed: String,
}

/// As much of a value as a message can show.
fn found(value: &Value) -> String {
    shown(&value.to_string())
}

fn nothing(form: Form) -> Wrong {
    Wrong { within: String::new(), found: "nothing".to_owned(), allowed: form.allowed() }
}

/// What is wrong with an object of what a fence has to be: every member known and of its form, with one of the two ways to say what is crept
/// under.
fn in_fence(value: &Value) -> Option<Wrong> {
    let whole = |allowed: &str| Wrong { within: String::new(), found: found(value), allowed: allowed.to_owned() };
    let Some(members) = value.as_object() else { return Some(whole("an object")) };
    let at = |name: &str, wrong: Wrong| Wrong { within: format!(".{name}{}", wrong.within), ..wrong };
    for (name, value) in members {
        let Some(member) = BARRIER.iter().find(|member| member.name == name) else {
            let names: Vec<&str> = BARRIER.iter().map(|member| member.name).collect();
            let (found, allowed) = ("this member".to_owned(), format!("one of {}", names.join(", ")));
            return Some(Wrong { within: format!(".{}", shown(name)), found, allowed });
        };
        if let Some(wrong) = member.form.wrong(value) {
            return Some(at(name, wrong));
        }
    }
    if let Some(member) = BARRIER.iter().find(|member| member.needed && !members.contains_key(member.name)) {
        return Some(at(member.name, nothing(member.form)));
    }
    match (members.contains_key("creep_share"), members.contains_key("creep_m")) {
        (false, false) => {
            Some(at("creep_m", Wrong { allowed: "a number, or creep_share".to_owned(), ..nothing(Form::Number(0.0, 5.0)) }))
        }
        (true, true) => Some(at("creep_m", Wrong { found: "creep_share too".to_owned(), ..whole("one of the two") })),
        _ => None,
    }
}

/// A list of objects of two numbers from 0 to their greatest, the first of them rising.
fn takes_points(value: &Value, (along, most_along): (&str, f64), (what, most): (&str, f64)) -> bool {
    let Some(list) = value.as_array() else { return false };
    let member = |point: &Value, name: &str| point.get(name).and_then(Value::as_f64);
    let within = |number: Option<f64>, most: f64| number.is_some_and(|number| (0.0..=most).contains(&number));
    let whole = |point: &Value| within(member(point, along), most_along) && within(member(point, what), most);
    let rising = list.windows(2).all(|pair| member(&pair[0], along) < member(&pair[1], along));
    !list.is_empty() && list.iter().all(whole) && rising
}
