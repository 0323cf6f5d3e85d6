//! The `pullrank` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    pullrank::cli::run(std::env::args_os())
}
