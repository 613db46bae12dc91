//! Files and functions stay small enough to read.

use crate::rust_text::{functions, is_a_test_file, test_lines};
use crate::trouble::Trouble;

const FILE_LINES: usize = 400;
const FILE_LINES_WITH_TESTS: usize = 600;
const FUNCTION_LINES: usize = 69;

/// A file that is too long: more than 400 lines outside tests, or 600 with them.
pub fn file_size(path: &str, text: &str) -> Vec<Trouble> {
    let is_test = test_lines(path, text);
    let own = is_test.iter().filter(|is_test| !**is_test).count();
    if own > FILE_LINES || is_test.len() > FILE_LINES_WITH_TESTS {
        let says = format!(
            "{own} lines, {} with tests: at most {FILE_LINES}, {FILE_LINES_WITH_TESTS} with tests; give the part with its own reason to change its own file",
            is_test.len()
        );
        return vec![Trouble::new(path, 0, says)];
    }
    Vec::new()
}

/// Functions that are too long.
pub fn function_size(path: &str, text: &str) -> Vec<Trouble> {
    let long = functions(text).into_iter().filter(|function| function.last_line + 1 - function.first_line > FUNCTION_LINES);
    long.map(|function| {
        let lines = function.last_line + 1 - function.first_line;
        Trouble::new(
            path,
            function.first_line,
            format!("`{}` has {lines} lines: fewer than 70, most fewer than 25", function.name),
        )
    })
    .collect()
}

/// Functions for others that take a flag. A flag at the call says nothing: two functions or an enum do.
pub fn flag_parameters(path: &str, text: &str) -> Vec<Trouble> {
    if is_a_test_file(path) {
        return Vec::new();
    }
    let takes_flag = |signature: &str| {
        let parameters = signature.split("->").next().unwrap_or_default();
        signature.trim_start().starts_with("pub") && parameters.contains(": bool")
    };
    let found = functions(text).into_iter().filter(|function| takes_flag(&function.signature));
    let says = "a boolean parameter tells the reader of the call nothing: make it two functions or an enum";
    found.map(|function| Trouble::new(path, function.first_line, says)).collect()
}

#[test]
fn what_is_too_long_is_refused() {
    assert_eq!(file_size("core/src/x.rs", &"x;\n".repeat(400)).len(), 0);
    assert_eq!(file_size("core/src/x.rs", &"x;\n".repeat(401)).len(), 1);
    let with_tests = |lines: usize| format!("{}#[cfg(test)]\nmod tests {{\n{}}}\n", "x;\n".repeat(300), "y;\n".repeat(lines));
    assert_eq!(file_size("core/src/x.rs", &with_tests(250)).len(), 0);
    assert_eq!(file_size("core/src/x.rs", &with_tests(300)).len(), 1);
    let function = |lines: usize| format!("fn f() {{\n{}}}\n", "x;\n".repeat(lines));
    assert_eq!(function_size("core/src/x.rs", &function(67)).len(), 0);
    assert_eq!(function_size("core/src/x.rs", &function(68)).len(), 1);
}

#[test]
fn a_flag_in_a_public_function_is_refused() {
    assert_eq!(flag_parameters("core/src/x.rs", "pub fn draw(with_posts: bool) {\n}\n").len(), 1);
    assert_eq!(flag_parameters("core/src/x.rs", "pub fn is_open(at: u8) -> bool {\n}\nfn own(x: bool) {\n}\n").len(), 0);
}
