//! The program as its own process: what only shows there.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-maps").join(name)
}

fn hillwire() -> Command {
    Command::new(env!("CARGO_BIN_EXE_hillwire"))
}

#[test]
fn a_foreign_proj_database_does_not_disturb() {
    let expected = hillwire().arg("survey").arg(sample("larkfold.tif")).arg("--json").output().expect("starts");
    assert!(expected.status.success(), "{}", String::from_utf8_lossy(&expected.stderr));
    let home = tempfile::tempdir().expect("a folder");
    let of_user = home.path().join(".local/share/proj");
    let of_other = home.path().join("other");
    for folder in [&of_user, &of_other] {
        fs::create_dir_all(folder).expect("a folder");
        fs::write(folder.join("proj.db"), b"SQLite format 3\0 but of another age").expect("a file");
    }
    let found = hillwire()
        .arg("survey")
        .arg(sample("larkfold.tif"))
        .arg("--json")
        .env("HOME", home.path())
        .env("XDG_DATA_HOME", home.path().join(".local/share"))
        .env("PROJ_DATA", &of_other)
        .env("PROJ_LIB", &of_other)
        .output()
        .expect("starts");
    assert!(found.status.success(), "{}", String::from_utf8_lossy(&found.stderr));
    assert_eq!(found.stdout, expected.stdout);
    assert_eq!(String::from_utf8_lossy(&found.stderr), String::from_utf8_lossy(&expected.stderr));
}

#[test]
fn a_reader_that_goes_away_is_no_trouble() {
    let mut child = hillwire()
        .args(["section", "--line", "west", "--json"])
        .arg(sample("brackenhope.plan.geojson"))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    drop(child.stdout.take());
    let mut err = String::new();
    child.stderr.take().expect("piped").read_to_string(&mut err).expect("UTF-8");
    assert!(child.wait().expect("ends").success(), "{err}");
    assert_eq!(err, "");
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_display_one_line_names_the_commands_that_work() {
    let found = hillwire()
        .arg(sample("brackenhope.plan.geojson"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .output()
        .expect("starts");
    let says = String::from_utf8(found.stderr).expect("UTF-8");
    assert_eq!(found.status.code(), Some(2));
    assert_eq!(says.lines().count(), 1, "{says}");
    for command in ["survey", "measure", "section", "check", "order", "share"] {
        assert!(says.contains(command), "{says}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_cannot_be_printed_have_their_own_status() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("every Linux has it");
    let status =
        hillwire().arg("survey").arg(sample("larkfold.tif")).stdout(full).stderr(Stdio::null()).status().expect("starts");
    assert_eq!(status.code(), Some(3));
}

#[test]
fn today_is_the_day_where_the_computer_stands() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::copy(sample("brackenhope.tif"), folder.path().join("brackenhope.tif")).expect("copied");
    let text = fs::read_to_string(sample("brackenhope.plan.geojson")).expect("part of the repository");
    // Animals that were weighed today, wherever that is: the strands hung low hold them for some weeks.
    let (before, rest) = text.split_once("\"as_of\":\"").expect("stock that grows");
    let today = jiff::Timestamp::now().to_string();
    let plan = folder.path().join("today.plan.geojson");
    let low = format!("{before}\"as_of\":\"{}{}", &today[..10], &rest[10..]).replace("\"height_m\":0.6,", "\"height_m\":0.38,");
    fs::write(&plan, low).expect("written");
    let said = |zone: &str| {
        let ended = hillwire().args(["check", "--json"]).arg(&plan).env("TZ", zone).output().expect("starts");
        let text = String::from_utf8_lossy(&ended.stdout).into_owned();
        text.lines().find(|line| line.contains("from now,")).map(str::to_owned).unwrap_or_else(|| panic!("{text}"))
    };
    // 26 hours apart: never the same day.
    let (west, east) = (said("<-12>12"), said("<+14>-14"));
    assert_ne!(west, east);
    assert_eq!(said("UTC0"), said("UTC0"));
}
