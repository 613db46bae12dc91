//! The one place where commands print: what no eye sees, and what would drive a terminal, is shown as an escape.

use std::io::{self, Write};

/// Writes a text, each line as it can be seen.
///
/// # Errors
/// What the system says.
pub fn print(to: &mut dyn Write, text: &str) -> io::Result<()> {
    to.write_all(seen(text).as_bytes())
}

/// The text with control signs, and those that turn the direction of writing, as JSON escapes them: inside the strings of a JSON document they
/// mean the same.
fn seen(text: &str) -> String {
    if !text.contains(is_unseen) {
        return text.to_owned();
    }
    let mut seen = String::with_capacity(text.len());
    for sign in text.chars() {
        if is_unseen(sign) {
            sign.encode_utf16(&mut [0; 2]).iter().for_each(|unit| seen.push_str(&format!("\\u{unit:04x}")));
        } else {
            seen.push(sign);
        }
    }
    seen
}

/// Control signs but the end of a line, marks and overrides of direction, other ends of lines, tags, and what marks the order of bytes.
fn is_unseen(sign: char) -> bool {
    (sign.is_control() && sign != '\n')
        || matches!(sign, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
        || matches!(sign, '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_reaches_a_terminal_that_would_drive_it() {
        for (text, shown) in [
            ("West paddock, 5 °\n", "West paddock, 5 °\n"),
            ("\u{1b}[31mred\u{1b}]0;pwned\u{7}", "\\u001b[31mred\\u001b]0;pwned\\u0007"),
            ("a\rb\tc\u{7f}", "a\\u000db\\u0009c\\u007f"),
            ("\u{9b}2J", "\\u009b2J"),
            ("\u{202e}gpj.\u{2066}", "\\u202egpj.\\u2066"),
            ("\u{e0041}", "\\udb40\\udc41"),
        ] {
            assert_eq!(seen(text), shown);
        }
    }

    #[test]
    fn a_json_document_means_the_same() {
        let value = serde_json::json!({ "name": "a\u{1b}\u{9b}\u{202e}\u{e0041}b\n" });
        let mut printed = Vec::new();
        print(&mut printed, &format!("{value:#}\n")).expect("into memory");
        assert_eq!(serde_json::from_slice::<serde_json::Value>(&printed).expect("JSON"), value);
        assert!(printed.iter().all(|byte| *byte >= 32 || *byte == b'\n'));
    }
}
