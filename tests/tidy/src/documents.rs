//! What the documents must say: every dependency with its reason, every rule with its file, every command.

use crate::rust_text::code_only;
use crate::trouble::Trouble;

/// Rules that share the file of another one: (variant, file under `core/src/check/`).
const RULES_TOGETHER: [(&str, &str); 0] = [];

/// Dependencies of the workspace without a row in DEVELOPERS.md that starts with their name in backticks.
pub fn dependencies(cargo: &str, developers: &str) -> Vec<Trouble> {
    let table: toml::Table = cargo.parse().expect("Cargo.toml is TOML");
    let dependencies = table["workspace"]["dependencies"].as_table().expect("a table");
    let from_elsewhere = dependencies.iter().filter(|(_, how)| how.get("path").is_none()).map(|(name, _)| name);
    let has_row = |name: &str| developers.lines().any(|line| line.starts_with('|') && line.contains(&format!("`{name}`")));
    let missing = from_elsewhere.filter(|name| !has_row(name));
    missing
        .map(|name| Trouble::new("DEVELOPERS.md", 0, format!("add a row to the dependencies that says why `{name}`")))
        .collect()
}

/// Variants of `enum Rule`.
pub fn rules(finding: &str) -> Vec<String> {
    let code = code_only(finding);
    let body = code.split("pub enum Rule {").nth(1).and_then(|rest| rest.split('}').next()).unwrap_or_default();
    body.split(',').map(str::trim).filter(|word| !word.is_empty()).map(ToOwned::to_owned).collect()
}

/// Rules without a file of their own.
pub fn rule_files(finding: &str, paths: &[String]) -> Vec<Trouble> {
    let file_of = |rule: &str| {
        let shared = RULES_TOGETHER.iter().find(|(name, _)| *name == rule).map(|(_, file)| (*file).to_owned());
        format!("core/src/check/{}", shared.unwrap_or_else(|| format!("{}.rs", snake_case(rule))))
    };
    let missing = rules(finding).into_iter().filter(|rule| !paths.contains(&file_of(rule)));
    missing.map(|rule| Trouble::new("core/src/finding.rs", 0, format!("Rule::{rule} has no {}", file_of(&rule)))).collect()
}

/// Commands (files under `app/src/cli/` that are named by the list in its `mod.rs`) that the README does not show.
pub fn commands(cli: &str, readme: &str) -> Vec<Trouble> {
    let named = cli.split("pub const WITHOUT_A_WINDOW").nth(1).and_then(|rest| rest.split(';').nth(1)).unwrap_or_default();
    let names: Vec<&str> = named.split('"').skip(1).step_by(2).collect();
    if names.is_empty() {
        return vec![Trouble::new("app/src/cli/mod.rs", 0, "WITHOUT_A_WINDOW lists the commands; this check reads it")];
    }
    let missing = names.into_iter().filter(|name| !readme.contains(&format!("hillwire {name}")));
    missing.map(|name| Trouble::new("README.md", 0, format!("show `hillwire {name}` with an example"))).collect()
}

fn snake_case(name: &str) -> String {
    let mut snake = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !snake.is_empty() {
            snake.push('_');
        }
        snake.extend(c.to_lowercase());
    }
    snake
}

#[test]
fn a_dependency_without_a_reason_is_refused() {
    let cargo = "[workspace.dependencies]\ngeo = \"0.33\"\ncsv = \"1\"\n";
    assert_eq!(dependencies(cargo, "| `geo` | areas |\n").len(), 1);
    assert_eq!(dependencies(cargo, "| `geo`, `csv` | both |\n"), []);
}

#[test]
fn a_rule_without_a_file_is_refused() {
    let finding = "pub enum Rule {\n    /// Reach.\n    Access,\n    /// A corner.\n    CornerLoad,\n}\n";
    assert_eq!(rules(finding), ["Access", "CornerLoad"]);
    assert_eq!(rule_files(finding, &["core/src/check/access.rs".to_owned()]).len(), 1);
}

#[test]
fn a_command_that_the_readme_hides_is_refused() {
    let cli = "pub const WITHOUT_A_WINDOW: [&str; 2] = [\"survey\", \"check\"];\n";
    assert_eq!(commands(cli, "hillwire survey g.tif").len(), 1);
    assert_eq!(commands("", "").len(), 1);
}
