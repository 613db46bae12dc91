//! All checks, on the repository as it stands.

use crate::tree::{File, files, names_at_top, rust_files, text_of, top};
use crate::trouble::{Trouble, assert_none};
use crate::{boundaries, documents, layout, outside, prose, sizes, sources};

fn in_rust(check: fn(&str, &str) -> Vec<Trouble>) -> Vec<Trouble> {
    let files = rust_files();
    assert!(files.len() > 30, "only {} Rust files found: this check is blind", files.len());
    files.iter().flat_map(|file| check(&file.path, &file.text)).collect()
}

fn in_texts(check: impl Fn(&File) -> Vec<Trouble>) -> Vec<Trouble> {
    let is_text = |file: &&File| !file.text.is_empty() && file.path != "Cargo.lock" && file.path != "tests/tidy/src/prose.rs";
    files().iter().filter(is_text).flat_map(check).collect()
}

#[test]
fn the_top_level_is_as_agreed() {
    assert_none(&layout::top_level(&names_at_top()));
}

#[test]
fn packages_take_versions_and_lints_from_the_workspace() {
    let packages = in_texts(|file| match file.path.strip_suffix("/Cargo.toml") {
        Some(folder) if folder != layout::OWN_WORKSPACE => layout::package(&file.path, &file.text),
        _ => Vec::new(),
    });
    assert_none(&packages);
}

#[test]
fn modules_of_the_core_use_only_lower_layers() {
    assert_none(&in_rust(boundaries::core_layers));
}

#[test]
fn the_core_opens_nothing_and_prints_nothing() {
    assert_none(&in_rust(boundaries::core_reaches_nothing));
    assert_none(&boundaries::core_dependencies("core/Cargo.toml", &text_of("core/Cargo.toml")));
    assert_none(&boundaries::core_clippy("core/clippy.toml", &text_of("core/clippy.toml")));
}

#[test]
fn commands_and_window_stand_beside_each_other() {
    assert_none(&in_rust(boundaries::app_layers));
}

#[test]
fn files_and_functions_stay_small() {
    assert_none(&in_rust(sizes::file_size));
    assert_none(&in_rust(sizes::function_size));
}

#[test]
fn no_public_function_takes_a_flag() {
    assert_none(&in_rust(sizes::flag_parameters));
}

#[test]
fn every_source_is_listed_and_used() {
    assert_none(&sources::keys(&files(), &text_of(sources::LIST)));
}

#[test]
fn every_source_section_names_a_listed_source() {
    let list = text_of(sources::LIST);
    assert_none(&in_texts(|file| sources::documented(file, &list)));
}

/// With HILLWIRE_WRITE set the page is written anew.
#[test]
fn the_page_of_outside_values_is_what_the_tests_say() {
    let (page, troubles) = outside::page(&files(), &text_of(sources::LIST));
    assert_none(&troubles);
    if std::env::var_os("HILLWIRE_WRITE").is_some() {
        std::fs::write(top().join(outside::PAGE), &page).expect("the page can be written");
    }
    let is = text_of(outside::PAGE);
    assert!(is == page, "{} has gone stale: HILLWIRE_WRITE=1 cargo test -p tests_tidy writes it anew", outside::PAGE);
}

#[test]
fn no_text_is_half_finished_or_points_at_one_machine() {
    assert_none(&in_texts(prose::words));
}

#[test]
fn every_page_that_is_named_is_here() {
    let paths: Vec<String> = files().into_iter().map(|file| file.path).collect();
    assert_none(&in_texts(|file| prose::pages(file, &paths)));
}

#[test]
fn nothing_is_unwrapped_outside_tests() {
    assert_none(&in_rust(prose::unwraps));
}

#[test]
fn tests_are_sentences_and_none_is_switched_off() {
    assert_none(&in_rust(prose::tests));
}

#[test]
fn every_dependency_has_its_reason() {
    assert_none(&documents::dependencies(&text_of("Cargo.toml"), &text_of("DEVELOPERS.md")));
}

#[test]
fn every_rule_has_its_file() {
    let paths: Vec<String> = files().into_iter().map(|file| file.path).collect();
    assert_none(&documents::rule_files(&text_of("core/src/finding.rs"), &paths));
}

#[test]
fn the_readme_shows_every_command() {
    let readme = text_of("README.md");
    assert_none(&documents::commands(&text_of("app/src/cli/mod.rs"), &readme));
    for command in ["sh app/start", "sh tests/run"] {
        assert!(readme.contains(command), "README.md: name `{command}`");
    }
}
