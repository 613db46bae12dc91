//! What can be done to JSON that is still JSON: other types, numbers, words, members lost, doubled, exchanged or renamed, deep nesting.

use crate::bytes;
use crate::chance::Chance;
use crate::words::{NUMBERS, odd_word};
use serde_json::{Number, Value, json};

/// How rough it gets.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Roughness {
    /// Numbers are moved, words exchanged for others of the same text: most of it is still a plan.
    Gentle,
    /// Anything.
    Rough,
}

/// Spoils JSON in one to three places; `words` lends words that mean something to the reader.
pub fn spoil(text: &str, words: &[&str], roughness: Roughness, chance: &mut Chance) -> Vec<u8> {
    let Ok(mut root) = serde_json::from_str::<Value>(text) else { return text.as_bytes().to_vec() };
    for _ in 0..=chance.below(3) {
        match roughness {
            Roughness::Gentle => gently(&mut root, words, chance),
            Roughness::Rough => roughly(&mut root, words, chance),
        }
    }
    let mut text = root.to_string();
    if roughness == Roughness::Rough && chance.one_in(4) {
        text = as_text(&text, chance);
    }
    let mut spoiled = text.into_bytes();
    if roughness == Roughness::Rough && chance.one_in(12) {
        bytes::spoil(&mut spoiled, b"{\"a\":[1,{}],\"b\":\"\\ud800\"}", chance);
    }
    spoiled.truncate(2 * bytes::LONGEST);
    spoiled
}

fn gently(root: &mut Value, words: &[&str], chance: &mut Chance) {
    match chance.below(8) {
        0..=3 => any_of(root, Value::is_number, chance, moved),
        4 | 5 => {
            let word = if chance.one_in(2) { chance.pick(words).to_owned() } else { some_word(root, chance) };
            any_of(root, Value::is_string, chance, |value, _| *value = Value::String(word));
        }
        6 => any_of(root, Value::is_array, chance, |value, chance| in_list(value, chance, |list, from, to| list.swap(from, to))),
        _ => any_of(root, Value::is_boolean, chance, |value, _| *value = Value::Bool(*value == Value::Bool(false))),
    }
}

fn roughly(root: &mut Value, words: &[&str], chance: &mut Chance) {
    let any = |_: &Value| true;
    match chance.below(14) {
        0 | 1 => any_of(root, any, chance, |value, chance| *value = of_another_type(chance)),
        2 | 3 => any_of(root, Value::is_number, chance, |value, chance| *value = nasty(chance)),
        4 => any_of(root, |value| value.is_array() || value.is_object(), chance, without_one),
        5 => any_of(root, Value::is_array, chance, |value, chance| {
            in_list(value, chance, |list, from, to| list.insert(to, list[from].clone()));
        }),
        6 => any_of(root, Value::is_array, chance, |value, chance| in_list(value, chance, |list, from, to| list.swap(from, to))),
        7 | 8 => any_of(root, Value::is_string, chance, |value, chance| *value = Value::String(odd_word(chance))),
        9 => {
            let taken = nth(root, chance.below(count(root))).clone();
            any_of(root, any, chance, |value, _| *value = taken);
        }
        10 => any_of(root, Value::is_object, chance, renamed),
        11 => any_of(root, any, chance, |value, chance| {
            for _ in 0..chance.pick(&[1, 2, 60, 99, 101, 120]) {
                *value = if chance.one_in(2) { json!([value.take()]) } else { json!({ "in": value.take() }) };
            }
        }),
        12 => any_of(root, Value::is_array, chance, |value, chance| {
            if let Some(list) = value.as_array_mut().filter(|list| !list.is_empty() && list.len() < 200) {
                *list = vec![list.clone(); 2 + chance.below(20)].concat();
            }
        }),
        _ => gently(root, words, chance),
    }
}

/// Changes one value, any of those that fit; none where none is met in a few tries.
fn any_of(root: &mut Value, fits: impl Fn(&Value) -> bool, chance: &mut Chance, change: impl FnOnce(&mut Value, &mut Chance)) {
    let all = count(root);
    for _ in 0..40 {
        let index = chance.below(all);
        if fits(nth(root, index)) {
            change(nth_mut(root, &mut { index }).expect("it was counted"), chance);
            return;
        }
    }
}

/// How many values stand in it, itself among them.
fn count(value: &Value) -> usize {
    1 + children(value).map(count).sum::<usize>()
}

fn children(value: &Value) -> Box<dyn Iterator<Item = &Value> + '_> {
    match value {
        Value::Array(list) => Box::new(list.iter()),
        Value::Object(map) => Box::new(map.values()),
        _ => Box::new(std::iter::empty()),
    }
}

fn nth(value: &Value, mut index: usize) -> &Value {
    if index == 0 {
        return value;
    }
    index -= 1;
    for child in children(value) {
        let inside = count(child);
        if index < inside {
            return nth(child, index);
        }
        index -= inside;
    }
    value
}

fn nth_mut<'v>(value: &'v mut Value, left: &mut usize) -> Option<&'v mut Value> {
    if *left == 0 {
        return Some(value);
    }
    *left -= 1;
    match value {
        Value::Array(list) => list.iter_mut().find_map(|child| nth_mut(child, left)),
        Value::Object(map) => map.values_mut().find_map(|child| nth_mut(child, left)),
        _ => None,
    }
}

/// A number a little or a lot away from where it was.
fn moved(value: &mut Value, chance: &mut Chance) {
    let number = value.as_f64().unwrap_or(0.0);
    let sign = if chance.one_in(2) { -1.0 } else { 1.0 };
    let moved = match chance.below(8) {
        0 => number * 2.0,
        1 => number * 0.5,
        2 => number * 10.0,
        3 => number * 0.1,
        4 => number + sign,
        5 => 0.0,
        _ => number + sign * 10_f64.powi(-(1 + chance.below(6) as i32)) * chance.share(),
    };
    let is_whole = value.is_u64() || value.is_i64();
    *value = if is_whole && moved.abs() < 1e9 { json!(moved as i64) } else { json!(moved) };
}

fn nasty(chance: &mut Chance) -> Value {
    // What JSON cannot write as a number becomes a word.
    let written = chance.pick(&NUMBERS);
    written.parse::<Number>().map_or_else(|_| json!(written), Value::Number)
}

fn of_another_type(chance: &mut Chance) -> Value {
    chance.pick(&[
        json!(null),
        json!(true),
        json!(0),
        json!(-1.5),
        json!(""),
        json!("west"),
        json!([]),
        json!({}),
        json!([[]]),
        json!([1, 2]),
        json!([[1, 2], [3, 4]]),
        json!({"type": "Point", "coordinates": [0, 0]}),
    ])
}

fn some_word(root: &Value, chance: &mut Chance) -> String {
    let all = count(root);
    let words = (0..40).filter_map(|_| nth(root, chance.below(all)).as_str().map(str::to_owned));
    words.into_iter().next().unwrap_or_default()
}

fn without_one(value: &mut Value, chance: &mut Chance) {
    match value {
        Value::Array(list) if !list.is_empty() => drop(list.remove(chance.below(list.len()))),
        Value::Object(map) => {
            let key = map.keys().nth(chance.below(map.len())).cloned();
            key.map(|key| map.shift_remove(&key));
        }
        _ => {}
    }
}

fn in_list(value: &mut Value, chance: &mut Chance, change: impl FnOnce(&mut Vec<Value>, usize, usize)) {
    if let Some(list) = value.as_array_mut().filter(|list| !list.is_empty()) {
        let (one, other) = (chance.below(list.len()), chance.below(list.len()));
        change(list, one, other);
    }
}

fn renamed(value: &mut Value, chance: &mut Chance) {
    let Some(map) = value.as_object_mut() else { return };
    let key = map.keys().nth(chance.below(map.len())).cloned();
    if let Some((key, member)) = key.and_then(|key| map.remove_entry(&key)) {
        let name = if chance.one_in(2) { format!("{key}x") } else { odd_word(chance) };
        map.insert(name, member);
    }
}

/// What JSON in memory cannot hold: names twice, nesting without end, numbers and texts of no form, other line ends.
fn as_text(text: &str, chance: &mut Chance) -> String {
    let places: Vec<usize> = text.match_indices(['{', '[', ':', ',']).map(|(at, _)| at + 1).collect();
    let at = places.get(chance.below(places.len())).copied().unwrap_or(0);
    let (before, after) = text.split_at(at);
    let deep = chance.pick(&[200, 5000, 100_000]);
    match chance.below(8) {
        0 => format!("{before}{}{}0{}{after}", "", "[".repeat(deep), "]".repeat(deep)),
        1 => format!("{before}{}", "{\"in\":".repeat(deep)),
        2 => format!("{before}\"id\":1,\"id\":2,\"type\":\"Feature\",\"type\":\"Feature\",{after}"),
        3 => format!("{before}{},{after}", chance.pick(&["00", "+1", ".5", "0x10", "1e99999", "-", "1e", "--1", "1_000"])),
        4 => format!("{before}\"\\ud800\",{after}"),
        5 => format!("\u{feff}{}", text.replace(',', ",\r\n")),
        6 => format!("{before}/* a remark */{after}"),
        _ => before.to_owned(),
    }
}
