//! Texts as they go out: names come from files that anybody may have written, and whoever reads a file of ours reads nothing in it that no eye sees.

use serde_json::Value;

/// A text without what steers a machine or cheats an eye: control signs but tabs and line ends, signs that turn the direction of writing, signs
/// without width, and what is no letter at all. Any line end is `\n`. Joiners stay, for some writing is not right without them.
///
/// # Source
/// Key `unicode-bidi`, section 2: the explicit directional formatting characters and the implicit marks.
pub(super) fn cleaned(text: &str) -> String {
    let unix = text.replace("\r\n", "\n").replace(['\r', '\u{85}', '\u{2028}', '\u{2029}'], "\n");
    unix.chars().filter(|sign| is_seen(*sign)).collect()
}

fn is_seen(sign: char) -> bool {
    match sign {
        '\t' | '\n' => true,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{206f}' => false,
        '\u{ad}' | '\u{180e}' | '\u{200b}' | '\u{2060}'..='\u{2064}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' => false,
        // Tags: letters that nobody sees.
        '\u{e0000}'..='\u{e007f}' => false,
        '\u{fdd0}'..='\u{fdef}' => false,
        sign => !sign.is_control() && u32::from(sign) & 0xfffe != 0xfffe,
    }
}

/// A JSON value with all its texts cleaned.
pub(super) fn cleaned_value(value: Value) -> Value {
    match value {
        Value::String(text) => Value::String(cleaned(&text)),
        Value::Array(list) => Value::Array(list.into_iter().map(cleaned_value).collect()),
        Value::Object(members) => Value::Object(members.into_iter().map(|(key, value)| (key, cleaned_value(value))).collect()),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_eye_sees_goes_out_to_nobody() {
        for (text, seen) in [
            ("North line", "North line"),
            ("a\u{202e}b\u{2066}c\u{2069}d\u{200f}e\u{61c}f", "abcdef"),
            ("a\u{0}b\u{1b}[31mc\u{7f}d\u{80}e\u{9b}f\u{9f}g", "ab[31mcdefg"),
            ("a\u{200b}b\u{feff}c\u{2060}d\u{fffe}e\u{e0041}f", "abcdef"),
            ("one\r\ntwo\rthree\nfour\tfive\u{85}six\u{2028}seven", "one\ntwo\nthree\nfour\tfive\nsix\nseven"),
            ("Bärenkopf 北 نهر می\u{200c}روم", "Bärenkopf 北 نهر می\u{200c}روم"),
        ] {
            assert_eq!(cleaned(text), seen, "{text:?}");
            assert_eq!(cleaned_value(serde_json::json!({"a": [text]})), serde_json::json!({"a": [seen]}));
        }
    }
}
