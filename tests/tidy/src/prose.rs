//! What must not stand in any text, and how tests are named.

use crate::rust_text::{code_only, test_lines};
use crate::tree::File;
use crate::trouble::Trouble;

/// Half-finished work and one machine's folders.
const FORBIDDEN: [(&str, &str); 5] = [
    ("TODO", "finish it, or say in DEVELOPERS.md what is not there"),
    ("FIXME", "mend it, or say in DEVELOPERS.md what is not there"),
    ("/work/", "a folder of one machine: nobody else has it"),
    ("/root/", "a folder of one machine: nobody else has it"),
    ("/home/", "a folder of one machine: nobody else has it"),
];

/// Forbidden words in one text.
pub fn words(file: &File) -> Vec<Trouble> {
    let mut troubles = Vec::new();
    for (index, line) in file.text.lines().enumerate() {
        for (_, why) in FORBIDDEN.iter().filter(|(word, _)| line.contains(word)) {
            troubles.push(Trouble::new(&file.path, index + 1, *why));
        }
    }
    troubles
}

/// Pages that a text names and that are not in the repository: a reader could not follow.
pub fn pages(file: &File, all_paths: &[String]) -> Vec<Trouble> {
    let mut troubles = Vec::new();
    for (index, line) in file.text.lines().enumerate() {
        for (at, _) in line.match_indices(".md").filter(|(at, _)| !line[at + 3..].starts_with(|c: char| c.is_alphanumeric())) {
            let stem = line[..at].rsplit(|c: char| !(c.is_alphanumeric() || matches!(c, '-' | '_'))).next().unwrap_or_default();
            let name = format!("{stem}.md");
            if !stem.is_empty() && !all_paths.iter().any(|path| path.rsplit('/').next() == Some(name.as_str())) {
                troubles.push(Trouble::new(
                    &file.path,
                    index + 1,
                    format!("`{name}` is not in the repository: name what a reader can open"),
                ));
            }
        }
    }
    troubles
}

/// `unwrap()` outside tests: say what is expected, or return the error.
pub fn unwraps(path: &str, text: &str) -> Vec<Trouble> {
    let is_test = test_lines(path, text);
    let code = code_only(text);
    let lines = code.lines().enumerate().filter(|(index, line)| !is_test[*index] && line.contains(".unwrap()"));
    let says = "no unwrap outside tests: `expect` why it cannot fail, or return the error";
    lines.map(|(index, _)| Trouble::new(path, index + 1, says)).collect()
}

/// Tests that are switched off, and tests whose name is not a sentence.
pub fn tests(path: &str, text: &str) -> Vec<Trouble> {
    let code = code_only(text);
    let lines: Vec<&str> = code.lines().map(str::trim).collect();
    let mut troubles = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        if line.starts_with("#[ignore") {
            troubles.push(Trouble::new(path, index + 1, "no test is switched off: mend it or take it out"));
        }
        if *line != "#[test]" {
            continue;
        }
        let head = lines[index + 1..].iter().find(|line| line.starts_with("fn "));
        let name = head.and_then(|head| head[3..].split(['(', '<']).next()).unwrap_or_default();
        if name.split('_').filter(|word| !word.is_empty()).count() < 3 {
            troubles.push(Trouble::new(path, index + 1, format!("`{name}`: a test's name is a sentence that says what holds")));
        }
    }
    troubles
}

#[test]
fn half_finished_work_and_dead_links_are_refused() {
    let file = |text: &str| File { path: "core/src/a.rs".to_owned(), text: text.to_owned() };
    let to_do = format!("// {}{}: later\n", "TO", "DO");
    assert_eq!(words(&file(&to_do)).len(), 1);
    assert_eq!(words(&file("// done\n")), []);
    let paths = ["README.md".to_owned(), "assets/README.md".to_owned()];
    assert_eq!(pages(&file("See README.md and assets/README.md.\n"), &paths), []);
    let elsewhere = format!("See {}{} 2.4.\n", "elsewhere", ".md");
    assert_eq!(pages(&file(&elsewhere), &paths).len(), 1);
}

#[test]
fn unwraps_and_nameless_or_switched_off_tests_are_refused() {
    assert_eq!(unwraps("app/src/a.rs", "let x = y.unwrap();\n#[cfg(test)]\nmod tests {\n    y.unwrap();\n}\n").len(), 1);
    let text = "#[test]\nfn works() {}\n#[test]\n#[ignore = \"slow\"]\nfn a_line_has_two_ends() {}\n";
    assert_eq!(tests("core/src/a.rs", text).len(), 2);
}
