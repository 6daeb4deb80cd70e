//! The `wattberth` binary: parses nothing itself, decides nothing itself.

use std::process::ExitCode;

fn main() -> ExitCode {
    wattberth::cli::run()
}
