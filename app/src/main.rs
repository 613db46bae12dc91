//! The program: its commands, and its window.

use std::process::ExitCode;

fn main() -> ExitCode {
    // What PROJ does not know we say ourselves; it would say it a second time. Whoever sets this switch is heard.
    let _ = dotenvy::from_read(&b"PROJ_DEBUG=0\n"[..]);
    hillwire::cli::main()
}
