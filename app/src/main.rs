//! The program: its commands, and its window.

use std::process::ExitCode;

fn main() -> ExitCode {
    hillwire::cli::main()
}
