//! Rust source as far as the checks need it: code without comments and literals, test parts, functions with their length.

/// One function and where its body starts and ends (lines from 1).
#[derive(Debug, PartialEq)]
pub struct Function {
    pub name: String,
    pub first_line: usize,
    pub last_line: usize,
    /// The text between its name and its body.
    pub signature: String,
}

/// The same text with comments, strings and character literals blanked, so that braces and words count. Line ends stay.
pub fn code_only(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut code = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let end = skip_from(&chars, at);
        if end == at {
            code.push(chars[at]);
            at += 1;
        } else {
            code.extend(chars[at..end].iter().map(|&c| if c == '\n' { '\n' } else { ' ' }));
            at = end;
        }
    }
    code
}

/// Where the comment or literal that starts at `at` ends; `at` itself when none starts there.
fn skip_from(chars: &[char], at: usize) -> usize {
    let next = chars.get(at + 1).copied();
    match chars[at] {
        '/' if next == Some('/') => find(chars, at, |c| c == '\n'),
        '/' if next == Some('*') => {
            let closed = (at + 2..chars.len()).find(|&i| chars[i] == '/' && chars[i - 1] == '*' && i > at + 2);
            closed.map_or(chars.len(), |i| i + 1)
        }
        'r' if !follows_a_name(chars, at) => raw_string_end(chars, at),
        '"' => string_end(chars, at + 1),
        '\'' => char_end(chars, at),
        _ => at,
    }
}

fn follows_a_name(chars: &[char], at: usize) -> bool {
    at > 0 && (chars[at - 1].is_alphanumeric() || chars[at - 1] == '_') && chars[at - 1] != 'b'
}

fn find(chars: &[char], from: usize, is_end: impl Fn(char) -> bool) -> usize {
    (from..chars.len()).find(|&i| is_end(chars[i])).unwrap_or(chars.len())
}

fn raw_string_end(chars: &[char], at: usize) -> usize {
    let hashes = chars[at + 1..].iter().take_while(|&&c| c == '#').count();
    if chars.get(at + 1 + hashes) != Some(&'"') {
        return at;
    }
    let body = at + 2 + hashes;
    let closes = |i: usize| chars[i] == '"' && (1..=hashes).all(|k| chars.get(i + k) == Some(&'#'));
    (body..chars.len()).find(|&i| closes(i)).map_or(chars.len(), |i| i + 1 + hashes)
}

fn string_end(chars: &[char], mut at: usize) -> usize {
    while at < chars.len() && chars[at] != '"' {
        at += if chars[at] == '\\' { 2 } else { 1 };
    }
    (at + 1).min(chars.len())
}

/// A character literal, or a lifetime (which is code).
fn char_end(chars: &[char], at: usize) -> usize {
    match (chars.get(at + 1), chars.get(at + 2)) {
        (Some('\\'), _) => find(chars, at + 3, |c| c == '\'') + 1,
        (Some(_), Some('\'')) => at + 3,
        _ => at,
    }
}

/// For every line of `code`, whether it belongs to tests: the item after `#[cfg(test)]`, or the whole file after `#![cfg(test)]`.
pub fn test_lines(path: &str, text: &str) -> Vec<bool> {
    let code = code_only(text);
    let lines: Vec<&str> = code.lines().collect();
    let whole = is_a_test_file(path) || lines.iter().any(|line| line.trim() == "#![cfg(test)]");
    let mut is_test = vec![whole; lines.len()];
    let mut at = 0;
    while at < lines.len() {
        if lines[at].trim() == "#[cfg(test)]" {
            let end = item_end(&lines, at + 1);
            is_test[at..=end].fill(true);
            at = end;
        }
        at += 1;
    }
    is_test
}

/// Whether all of a file is tests: the packages under `tests/`, integration tests and benches.
pub fn is_a_test_file(path: &str) -> bool {
    path.starts_with("tests/") || path.contains("/tests/") || path.contains("/benches/") || path.ends_with("/tests.rs")
}

/// The last line (index) of the item that starts at line `from`.
fn item_end(lines: &[&str], from: usize) -> usize {
    let mut depth = 0_i32;
    for (offset, line) in lines[from..].iter().enumerate() {
        for c in line.chars() {
            match c {
                '{' => depth += 1,
                '}' => {
                    depth -= 1;
                    if depth == 0 {
                        return from + offset;
                    }
                }
                ';' if depth == 0 => return from + offset,
                _ => {}
            }
        }
    }
    lines.len() - 1
}

/// Every function with a body.
pub fn functions(text: &str) -> Vec<Function> {
    let code = code_only(text);
    let lines: Vec<&str> = code.lines().collect();
    let mut found = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let Some(name) = function_name(line) else { continue };
        let last = item_end(&lines, index);
        let whole = lines[index..=last].join("\n");
        // A declaration in a trait ends in a semicolon before any brace.
        let Some(brace) = whole.find('{') else { continue };
        found.push(Function {
            name: name.to_owned(),
            first_line: index + 1,
            last_line: last + 1,
            signature: whole[..brace].to_owned(),
        });
    }
    found
}

fn function_name(line: &str) -> Option<&str> {
    let before = line.split("fn ").next()?;
    let rest = line.get(before.len() + 3..)?;
    let is_head = before.split_whitespace().all(|word| {
        word == "const"
            || word == "async"
            || word == "unsafe"
            || word == "extern"
            || word.starts_with("pub")
            || word.ends_with(')')
    });
    let name = rest.split(|c: char| !c.is_alphanumeric() && c != '_').next()?;
    (is_head && !name.is_empty()).then_some(name)
}

#[test]
fn comments_and_literals_are_no_code() {
    let cases = [
        ("a // { b\nc", "a       \nc"),
        ("let s = \"{\\\"\"; d", "let s =      ; d"),
        ("let r = r#\"{\"#; d", "let r =       ; d"),
        ("let c = '{'; fn f<'a>()", "let c =    ; fn f<'a>()"),
        ("x /* { */ y", "x         y"),
    ];
    for (text, code) in cases {
        assert_eq!(code_only(text), code, "{text}");
    }
}

#[test]
fn functions_are_found_with_their_lines() {
    let text = "pub(crate) fn one() {\n    two();\n}\ntrait T {\n    fn three();\n    fn four() { }\n}\n// fn five() {}\n";
    let found: Vec<_> = functions(text).into_iter().map(|f| (f.name, f.first_line, f.last_line)).collect();
    assert_eq!(found, [("one".to_owned(), 1, 3), ("four".to_owned(), 6, 6)]);
}

#[test]
fn test_parts_are_told_from_the_rest() {
    let text = "fn a() {}\n#[cfg(test)]\nmod tests {\n    fn b() {}\n}\nfn c() {}\n";
    assert_eq!(test_lines("core/src/x.rs", text), [false, true, true, true, true, false]);
    assert_eq!(test_lines("core/src/x.rs", "#[cfg(test)]\nmod tests;\nfn c() {}\n"), [true, true, false]);
    assert_eq!(test_lines("tests/plans/src/x.rs", "fn a() {}\n"), [true]);
}
