//! What may know what: the layers of the core, what the core must not reach, and what stands beside what in the app.

use crate::rust_text::{code_only, test_lines};
use crate::trouble::Trouble;

/// Modules of the core with their layer. A module may use its own and those of lower layers.
const CORE_LAYERS: [(&str, u8); 20] = [
    ("units", 0),
    ("bounds", 0),
    ("source", 0),
    ("job", 0),
    ("finding", 1),
    ("catalogue", 2),
    ("land", 2),
    ("plan", 3),
    ("stock", 4),
    ("hold", 5),
    ("site", 6),
    ("power", 7),
    ("check", 8),
    ("order", 8),
    ("outcome", 9),
    ("mend", 10),
    ("compare", 10),
    ("round", 10),
    ("log", 10),
    ("reroute", 11),
];

/// `share` turns everything into bytes for others: it comes last.
const SHARE_LAYER: u8 = 12;

/// Where a layer is knowingly jumped: a finding has a place.
const CORE_EXCEPTIONS: [(&str, &str); 2] = [("finding", "land::Position"), ("finding", "plan::FeatureId")];

/// What the core never names: windows, files, clocks, the environment, threads, output.
const NOT_IN_CORE: [&str; 13] = [
    "egui",
    "eframe",
    "rfd",
    "winit",
    "std::fs",
    "File::open",
    "std::env",
    "SystemTime::now",
    "Instant::now",
    "thread::spawn",
    "thread::scope",
    "println!",
    "eprintln!",
];

/// Methods that `core/clippy.toml` must refuse, so that an alias or a re-export does not get past this text check.
const REFUSED_BY_CLIPPY: [&str; 9] = [
    "std::fs::read",
    "std::fs::write",
    "std::fs::File::open",
    "std::fs::File::create",
    "std::env::var",
    "std::time::SystemTime::now",
    "std::time::Instant::now",
    "std::thread::spawn",
    "std::fs::read_to_string",
];

fn core_layer(module: &str) -> Option<u8> {
    if module == "share" {
        return Some(SHARE_LAYER);
    }
    CORE_LAYERS.iter().find(|(name, _)| *name == module).map(|(_, layer)| *layer)
}

/// The top module that a file under `<package>/src/` belongs to.
fn module_of<'a>(path: &'a str, folder: &str) -> Option<&'a str> {
    let below = path.strip_prefix(folder)?;
    Some(below.split('/').next()?.trim_end_matches(".rs"))
}

/// Every path that starts with `crate::`, without it, with its line: `use` lines, groups taken apart, and paths in code.
pub fn crate_paths(path: &str, text: &str) -> Vec<(usize, String)> {
    let code = code_only(text);
    let is_test = test_lines(path, text);
    let mut found = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '$') {
            continue;
        }
        let line = code[..at].matches('\n').count();
        if is_test.get(line) == Some(&true) {
            continue;
        }
        let rest = &code[at + "crate::".len()..];
        found.extend(first_paths(rest).into_iter().map(|path| (line + 1, path)));
    }
    found
}

/// The path at the start of `rest`; several when it is a group in braces.
fn first_paths(rest: &str) -> Vec<String> {
    let Some(group) = rest.strip_prefix('{') else {
        return vec![rest.chars().take_while(|c| c.is_alphanumeric() || matches!(c, '_' | ':')).collect()];
    };
    let mut depth = 0;
    let mut paths = vec![String::new()];
    for c in group.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => paths.push(String::new()),
            c if depth == 0 && !c.is_whitespace() => paths.last_mut().expect("one is always there").push(c),
            _ => {}
        }
    }
    paths.retain(|path| !path.is_empty());
    paths
}

/// The core's layers, in one file.
pub fn core_layers(path: &str, text: &str) -> Vec<Trouble> {
    let Some(module) = module_of(path, "core/src/").filter(|module| *module != "lib") else { return Vec::new() };
    let Some(own) = core_layer(module) else {
        return vec![Trouble::new(
            path,
            0,
            format!("`{module}` has no layer: give it one in tests/tidy/src/boundaries.rs and DEVELOPERS.md"),
        )];
    };
    let mut troubles = Vec::new();
    for (line, used) in crate_paths(path, text) {
        let target = used.split("::").next().unwrap_or_default();
        let excepted = CORE_EXCEPTIONS.iter().any(|(from, to)| *from == module && used.starts_with(to));
        if target != module && !excepted && core_layer(target).is_none_or(|layer| layer >= own) {
            let says =
                format!("`{module}` may not use `{target}`: only layers below its own (DEVELOPERS.md, what may know what)");
            troubles.push(Trouble::new(path, line, says));
        }
    }
    troubles
}

/// Words that the core must not contain, in one file.
pub fn core_reaches_nothing(path: &str, text: &str) -> Vec<Trouble> {
    if !path.starts_with("core/src/") {
        return Vec::new();
    }
    let is_test = test_lines(path, text);
    let code = code_only(text);
    let mut troubles = Vec::new();
    for (index, line) in code.lines().enumerate().filter(|(index, _)| !is_test[*index]) {
        for word in NOT_IN_CORE.iter().filter(|word| line.contains(**word)) {
            let says = format!("`{word}` in the core: bytes come in, values go out; do this in app/");
            troubles.push(Trouble::new(path, index + 1, says));
        }
    }
    troubles
}

/// The dependencies of the core, from its Cargo.toml.
pub fn core_dependencies(path: &str, text: &str) -> Vec<Trouble> {
    let windows = ["egui", "eframe", "rfd", "winit", "image", "directories", "clap"];
    let named =
        |line: &str| windows.iter().any(|name| line.starts_with(&format!("{name}.")) || line.starts_with(&format!("{name} ")));
    let lines = text.lines().enumerate().filter(|(_, line)| named(line));
    lines
        .map(|(index, _)| Trouble::new(path, index + 1, "the core has no window and opens nothing: this belongs to app/"))
        .collect()
}

/// `core/clippy.toml` refuses what it must.
pub fn core_clippy(path: &str, text: &str) -> Vec<Trouble> {
    let missing = REFUSED_BY_CLIPPY.iter().filter(|method| !text.contains(&format!("path = \"{method}\"")));
    missing.map(|method| Trouble::new(path, 0, format!("add `{method}` to disallowed-methods"))).collect()
}

/// In the app the commands stand beside the window: neither reaches into the other, and the words know neither.
pub fn app_layers(path: &str, text: &str) -> Vec<Trouble> {
    let Some(module) = module_of(path, "app/src/") else { return Vec::new() };
    let allowed: &[&str] = match module {
        "words" | "files" => &["words", "files"],
        "cli" => &["cli", "words", "files", "window", "clock", "journal", "recent"],
        _ => return Vec::new(),
    };
    let mut troubles = Vec::new();
    for (line, used) in crate_paths(path, text) {
        let target = used.split("::").next().unwrap_or_default();
        if !allowed.contains(&target) {
            troubles.push(Trouble::new(path, line, format!("`{module}` may use only {allowed:?} of the app, not `{target}`")));
        }
    }
    troubles
}

#[test]
fn a_layer_that_looks_up_is_refused() {
    let cases = [
        ("core/src/land/x.rs", "use crate::units::Length;\n", 0),
        ("core/src/land/x.rs", "use crate::plan::Plan;\n", 1),
        ("core/src/land/x.rs", "use crate::{units::Length, hold::{Post, Bay}};\n", 1),
        ("core/src/hold/x.rs", "fn f() { crate::check::run(); }\n", 1),
        ("core/src/hold/x.rs", "#[cfg(test)]\nmod tests {\n    use crate::outcome::Outcome;\n}\n", 0),
        ("core/src/finding.rs", "use crate::plan::FeatureId;\nuse crate::plan::Plan;\n", 1),
        ("core/src/nowhere/x.rs", "", 1),
        ("core/src/lib.rs", "pub mod plan;\n", 0),
    ];
    for (path, text, troubles) in cases {
        assert_eq!(core_layers(path, text).len(), troubles, "{path} {text}");
    }
}

#[test]
fn a_core_that_opens_files_or_prints_is_refused() {
    for (text, troubles) in [
        ("let t = std::time::Instant::now();\n", 1),
        ("std::fs::read(p)\n", 1),
        ("// std::fs::read(p)\n", 0),
        ("let s = \"egui\";\n", 0),
        ("println!()\n", 1),
    ] {
        assert_eq!(core_reaches_nothing("core/src/x.rs", text).len(), troubles, "{text}");
    }
    assert_eq!(core_dependencies("core/Cargo.toml", "egui.workspace = true\n").len(), 1);
    assert_eq!(core_clippy("core/clippy.toml", "").len(), REFUSED_BY_CLIPPY.len());
}

#[test]
fn a_command_that_reaches_into_the_window_is_refused() {
    assert_eq!(app_layers("app/src/cli/check.rs", "use crate::words;\nuse crate::map::Map;\n").len(), 1);
    assert_eq!(app_layers("app/src/words.rs", "use crate::window;\n").len(), 1);
    assert_eq!(app_layers("app/src/map/tiles.rs", "use crate::session::Session;\n").len(), 0);
}
