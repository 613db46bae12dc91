//! Other programs that read what we write. Where one is not installed, the test says so; `.ci/run` installs them.

use std::path::Path;
use std::process::Command;

/// The standard output of another program; `None`, and a word about it, where it is not installed.
pub fn output_of(program: &str, arguments: &[&str]) -> Option<String> {
    match Command::new(program).args(arguments).output() {
        Ok(output) => {
            let says = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
            assert!(output.status.success(), "{program} {arguments:?}: {}{}", says(&output.stderr), says(&output.stdout));
            Some(says(&output.stdout))
        }
        Err(_) => {
            skipped(program);
            None
        }
    }
}

/// Runs a few lines of Python that need this module; `None` where Python or the module is not installed.
pub fn python(module: &str, lines: &str, arguments: &[&str]) -> Option<String> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/check/bin/python3");
    let python = if own.exists() { own } else { "python3".into() };
    let has_it =
        Command::new(&python).args(["-c", &format!("import {module}")]).output().is_ok_and(|output| output.status.success());
    if !has_it {
        skipped(&format!("Python's {module}"));
        return None;
    }
    let arguments: Vec<&str> = ["-c", lines].into_iter().chain(arguments.iter().copied()).collect();
    output_of(&python.display().to_string(), &arguments)
}

fn skipped(what: &str) {
    tests_published::left_out(&format!("{what} is not installed"));
}
