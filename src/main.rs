//! The command line program.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(kitwright::cli::run(std::env::args_os()))
}
