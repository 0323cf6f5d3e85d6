//! `pullrank completions SHELL`.

use clap::CommandFactory;
use clap_complete::Shell;

use super::{CommandLine, Console, Failure};

/// Write completions for a shell to standard output
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: pullrank completions bash > ~/.local/share/bash-completion/completions/pullrank"
)]
pub struct Arguments {
    /// The shell
    shell: Shell,
}

/// Writes the completions.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut CommandLine::command(),
        "pullrank",
        &mut script,
    );
    console.print(&String::from_utf8_lossy(&script))
}
