//! Nothing of the program asks another place: by what it is built from, by its own text, and by the system's own record of what the commands do.

mod driven;

use driven::process;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Packages that open connections to other machines, or are made to.
const TO_OTHER_MACHINES: [&str; 24] = [
    "attohttpc",
    "curl",
    "curl-sys",
    "hickory-resolver",
    "hyper",
    "isahc",
    "lettre",
    "mdns",
    "mio",
    "minreq",
    "native-tls",
    "openssl",
    "openssl-sys",
    "quinn",
    "reqwest",
    "rustls",
    "s2n-tls",
    "socket2",
    "surf",
    "tokio",
    "trust-dns-resolver",
    "tungstenite",
    "ureq",
    "webbrowser",
];

/// The standard library's own way out.
const IN_TEXT: [&str; 5] = ["std::net", "TcpStream", "UdpSocket", "TcpListener", "ToSocketAddrs"];

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Names of the packages that a package is built from.
fn built_from(package: &str) -> Vec<String> {
    let tree = ["tree", "--locked", "--offline", "-p", package, "-e", "normal,build", "--prefix", "none", "--format", "{p}"];
    let said = Command::new(env!("CARGO")).args(tree).current_dir(top()).output().expect("cargo is here");
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
    let text = String::from_utf8(said.stdout).expect("names");
    text.lines().filter_map(|line| line.split(' ').next()).map(str::to_owned).collect()
}

#[test]
fn core_and_program_are_built_from_nothing_that_speaks_to_other_machines() {
    for package in ["hillwire_core", "hillwire"] {
        let names = built_from(package);
        assert!(names.iter().any(|name| name == "proj-sys"), "the check is blind: it does not even find PROJ in {package}");
        let found: Vec<&String> = names.iter().filter(|name| TO_OTHER_MACHINES.contains(&name.as_str())).collect();
        assert!(found.is_empty(), "{package} is built from {found:?}");
    }
}

#[test]
fn no_file_of_ours_opens_a_connection() {
    let mut folders = vec![top().join("core/src"), top().join("app/src")];
    let mut seen = 0;
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(&folder).expect("our own folder").map(|entry| entry.expect("listed").path()) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).expect("our own text");
                let found = IN_TEXT.iter().find(|word| text.contains(**word));
                assert!(found.is_none(), "{}: {found:?}", path.display());
                seen += 1;
            }
        }
    }
    assert!(seen > 200, "the check is blind: {seen} files");
}

/// As the system records it, where `strace` is installed: reading, working out, sharing and every command make no socket.
#[test]
fn commands_make_no_socket_whatever_they_read() {
    let strace = |program: &str, words: &[&str], folder: &Path| {
        let traced = Command::new("strace")
            .args([
                "-f",
                "-qq",
                "-e",
                "trace=execve,socket,socketpair,connect,bind,sendto",
                "-e",
                "signal=none",
                "-o",
                "calls.txt",
                program,
            ])
            .args(words)
            .current_dir(folder)
            .env("RAYON_NUM_THREADS", "1")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        traced
            .ok()
            .filter(std::process::ExitStatus::success)
            .map(|_| fs::read_to_string(folder.join("calls.txt")).expect("strace wrote it"))
    };
    let folder = tempfile::tempdir().expect("a folder for the test");
    let program = process(&[], folder.path());
    let program = program.get_args().last().unwrap_or(program.get_program()).to_string_lossy().into_owned();
    for reader in ["plan", "gpx", "geotiff", "text-grid", "round-xlsx", "png"] {
        let Some(calls) = strace(&program, &["work", reader, "1", "0", "25"], folder.path()) else {
            let _ = std::io::Write::write_all(
                &mut std::io::stderr(),
                b"strace cannot run here: sockets were looked for by name only\n",
            );
            return;
        };
        assert!(calls.contains("execve("), "the check is blind: strace does not even see the start of {reader}");
        let sockets: Vec<&str> = calls.lines().filter(|line| !line.contains("execve(")).collect();
        assert!(sockets.is_empty(), "{reader}: {sockets:?}");
    }
}
