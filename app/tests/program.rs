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
    let gilts = "\"weight_kg\":70,\"as_of\":\"2026-04-01\"";
    assert!(text.contains(gilts), "stock that grows");
    let today = format!("\"weight_kg\":35,\"as_of\":\"{}\"", &jiff::Timestamp::now().to_string()[..10]);
    let plan = folder.path().join("today.plan.geojson");
    fs::write(&plan, text.replace(gilts, &today).replace("\"height_m\":0.5,\"wire\"", "\"height_m\":0.38,\"wire\""))
        .expect("written");
    let said = |zone: &str| {
        let ended = hillwire().args(["check", "--json"]).arg(&plan).env("TZ", zone).output().expect("starts");
        let text = String::from_utf8_lossy(&ended.stdout).into_owned();
        text.lines().find(|line| line.contains("from now")).map(str::to_owned).unwrap_or_else(|| panic!("{text}"))
    };
    // 26 hours apart: never the same day.
    let (west, east) = (said("<-12>12"), said("<+14>-14"));
    assert_ne!(west, east);
    assert_eq!(said("UTC0"), said("UTC0"));
}

#[test]
fn no_library_says_anything_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    fs::write(at("far.asc"), "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 5 6\n7 8 9\n").expect("written");
    fs::write(at("far.prj"), "EPSG:60000").expect("written");
    // One list of one tag: a text of 300 MB.
    let tag: [&[u8]; 8] = [b"II*\0\x08\0\0\0", &[1, 0], &[14, 1], &[2, 0], &[0, 0, 0, 18], &[0; 4], &[0; 4], &[0; 64]];
    fs::write(at("text.tif"), tag.concat()).expect("written");
    for (name, part) in [("far.asc", "EPSG:60000"), ("text.tif", "tag 270")] {
        let found = hillwire().arg("survey").arg(at(name)).output().expect("starts");
        let says = String::from_utf8(found.stderr).expect("UTF-8");
        assert_eq!(found.status.code(), Some(2), "{says}");
        assert_eq!(says.lines().count(), 1, "{says}");
        assert!(says.starts_with("hillwire: ") && says.contains(part) && !says.contains(".rs"), "{says}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_display_that_does_not_answer_is_told_without_paths_of_the_program() {
    let found = hillwire().arg(sample("brackenhope.plan.geojson")).env("DISPLAY", ":987").env_remove("WAYLAND_DISPLAY").output();
    let found = found.expect("starts");
    let says = String::from_utf8(found.stderr).expect("UTF-8");
    assert_eq!((found.status.code(), says.lines().count()), (Some(2), 1), "{says}");
    assert!(!says.contains(".rs") && !says.contains("winit") && says.contains(":987"), "{says}");
}

#[cfg(unix)]
mod streams {
    use super::*;
    use std::os::unix::fs::FileTypeExt;
    use std::thread;
    use std::time::{Duration, Instant};

    fn made_pipe(at: &Path) {
        assert!(Command::new("mkfifo").arg(at).status().expect("every Unix has it").success());
    }

    #[test]
    fn an_output_goes_into_a_device_or_a_pipe_and_these_stay_what_they_are() {
        let folder = tempfile::tempdir().expect("a folder");
        let pipe = folder.path().join("pipe");
        made_pipe(&pipe);
        let order = |to: &Path| {
            let mut order = hillwire();
            order.arg("order").arg(sample("brackenhope.plan.geojson")).arg("--csv").arg(to).stdout(Stdio::piped());
            order
        };
        assert!(order(Path::new("/dev/null")).status().expect("starts").success());
        assert!(fs::metadata("/dev/null").expect("there").file_type().is_char_device());
        let printed = order(Path::new("/dev/stdout")).output().expect("starts");
        assert!(String::from_utf8_lossy(&printed.stdout).starts_with("id,item,quantity"), "{printed:?}");
        let reading = thread::spawn({
            let pipe = pipe.clone();
            move || fs::read_to_string(pipe).expect("text")
        });
        assert!(order(&pipe).status().expect("starts").success());
        assert!(reading.join().expect("read").starts_with("id,item,quantity"));
        assert!(fs::metadata(&pipe).expect("there").file_type().is_fifo());
        // Redirected into a file, standard output gets both, one after the other.
        let both = folder.path().join("both.txt");
        let mut to_file = order(Path::new("/dev/stdout"));
        assert!(to_file.stdout(fs::File::create(&both).expect("made")).status().expect("starts").success());
        let text = fs::read_to_string(&both).expect("text");
        assert!(text.starts_with("id,item,quantity") && text.contains("  Sawn stake"), "{text}");
    }

    #[test]
    fn a_pipe_nobody_writes_into_is_no_input() {
        let folder = tempfile::tempdir().expect("a folder");
        let pipe = folder.path().join("pipe.tif");
        made_pipe(&pipe);
        let plan = sample("brackenhope.plan.geojson");
        let (plan, pipe) = (plan.as_os_str(), pipe.as_os_str());
        let all: [&[&std::ffi::OsStr]; 5] = [
            &["survey".as_ref(), pipe],
            &["measure".as_ref(), pipe],
            &["order".as_ref(), plan, "--prices".as_ref(), pipe],
            &["locate".as_ref(), plan, "--readings".as_ref(), pipe],
            &["compare".as_ref(), plan, pipe],
        ];
        for words in all {
            let mut child = hillwire().args(words).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("starts");
            let began = Instant::now();
            while child.try_wait().expect("known").is_none() && began.elapsed() < Duration::from_secs(60) {
                thread::sleep(Duration::from_millis(20));
            }
            // It has ended by now, or waits for ever.
            let _ = child.kill();
            let found = child.wait_with_output().expect("ended");
            let says = String::from_utf8_lossy(&found.stderr);
            assert_eq!(found.status.code(), Some(2), "{words:?}: {says}");
            assert!(says.contains("this is a pipe or a device; an ordinary file is needed"), "{words:?}: {says}");
        }
    }

    #[test]
    fn a_pipe_that_a_shell_makes_is_read() {
        let plan = fs::read(sample("brackenhope.plan.geojson")).expect("part of the repository");
        let plain = String::from_utf8(plan).expect("UTF-8").replace("\"elevation\":[{\"file\":\"brackenhope.tif\"}],", "");
        let mut child = hillwire()
            .args(["measure", "/dev/stdin"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("starts");
        let mut pipe = child.stdin.take().expect("piped");
        std::io::Write::write_all(&mut pipe, plain.as_bytes()).expect("read");
        drop(pipe);
        let found = child.wait_with_output().expect("ended");
        assert!(found.status.success() && String::from_utf8_lossy(&found.stdout).contains("West paddock"), "{found:?}");
    }

    #[test]
    fn whatever_signal_ends_a_command_nothing_is_left_and_its_number_is_told() {
        // Under `nohup` a hang-up is ignored, by us and by what we start.
        let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
        let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
        let ignores_hang_up = ignored.is_some_and(|mask| u64::from_str_radix(mask.trim(), 16).is_ok_and(|mask| mask & 1 == 1));
        let signals = [("INT", 130), ("TERM", 143), ("HUP", 129)];
        for (signal, status) in signals.into_iter().take(if ignores_hang_up { 2 } else { 3 }) {
            let folder = tempfile::tempdir().expect("a folder");
            // It makes a file beside its place at once, and works on for seconds.
            let mut child = hillwire()
                .arg("survey")
                .arg(sample("larkfold.tif"))
                .arg("--slope")
                .arg(folder.path().join("slope.tif"))
                .arg("--drainage")
                .arg(folder.path().join("drainage.tif"))
                .arg("--contours")
                .arg(folder.path().join("lines.geojson"))
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .expect("starts");
            let has_begun = || fs::read_dir(folder.path()).expect("listed").next().is_some();
            let began = Instant::now();
            while !has_begun() && began.elapsed() < Duration::from_secs(60) {
                thread::sleep(Duration::from_millis(1));
            }
            let number = child.id().to_string();
            assert!(Command::new("kill").args(["-s", signal, &number]).status().expect("every Unix has it").success());
            let mut says = String::new();
            child.stderr.take().expect("piped").read_to_string(&mut says).expect("UTF-8");
            assert_eq!(child.wait().expect("ended").code(), Some(status), "{signal}: {says}");
            assert_eq!(says, "hillwire: stopped before it was done\n", "{signal}");
            let left = fs::read_dir(folder.path()).expect("listed").map(|entry| entry.expect("listed").file_name());
            let left: Vec<String> = left.map(|name| name.to_string_lossy().into_owned()).collect();
            assert!(!left.iter().any(|name| name.starts_with(".hillwire-")), "{signal}: {left:?}");
        }
    }
}
