//! Where things live: the top level, and how every package is declared.

use crate::trouble::Trouble;

/// What may stand at the top besides dot files. `target` is built, not kept.
const AT_TOP: [&str; 11] = [
    "Cargo.lock",
    "Cargo.toml",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "app",
    "assets",
    "core",
    "sample-maps",
    "tests",
];

/// A package that is built by hand with flags of its own, and so is a workspace of its own.
pub const OWN_WORKSPACE: &str = "tests/hostile/fuzz";

/// Names at the top that do not belong there, and those that are missing.
pub fn top_level(names: &[String]) -> Vec<Trouble> {
    let strange = names.iter().filter(|name| !name.starts_with('.') && *name != "target" && !AT_TOP.contains(&name.as_str()));
    let missing = AT_TOP.iter().filter(|wanted| !names.iter().any(|name| name == *wanted));
    let strange =
        strange.map(|name| Trouble::new(name, 0, "the top level is fixed (DEVELOPERS.md, layout): move it into a folder"));
    strange.chain(missing.map(|name| Trouble::new(name, 0, "is missing at the top level"))).collect()
}

/// A package's Cargo.toml takes versions and lints from the workspace.
pub fn package(path: &str, text: &str) -> Vec<Trouble> {
    let mut troubles = Vec::new();
    if !text.contains("[lints]\nworkspace = true") {
        troubles.push(Trouble::new(path, 0, "add `[lints]` with `workspace = true`: lints are set once, in the top Cargo.toml"));
    }
    let mut in_dependencies = false;
    for (index, line) in text.lines().enumerate() {
        if line.starts_with('[') {
            in_dependencies = line.contains("dependencies");
        } else if in_dependencies && line.contains('=') && !line.contains("workspace = true") {
            troubles.push(Trouble::new(path, index + 1, "versions stand in the top Cargo.toml: write `name.workspace = true`"));
        }
    }
    troubles
}

#[test]
fn a_strange_or_missing_name_at_the_top_is_refused() {
    let mut names: Vec<String> = AT_TOP.iter().map(ToString::to_string).collect();
    names.push(".ci".to_owned());
    assert_eq!(top_level(&names), []);
    names.push("scripts".to_owned());
    names.retain(|name| name != "LICENSE");
    let files: Vec<String> = top_level(&names).into_iter().map(|trouble| trouble.file).collect();
    assert_eq!(files, ["scripts", "LICENSE"]);
}

#[test]
fn a_package_with_its_own_versions_or_lints_is_refused() {
    let good = "[dependencies]\ngeo.workspace = true\n[lints]\nworkspace = true\n";
    assert_eq!(package("x/Cargo.toml", good), []);
    let bad = "[dependencies]\ngeo = \"0.33\"\n";
    assert_eq!(package("x/Cargo.toml", bad).len(), 2);
}
