//! `pullrank man DIR`.

use std::path::PathBuf;

use clap::CommandFactory;
use clap_mangen::Man;

use super::{CommandLine, Console, Failure};
use crate::files::finding::{Finding, Position};
use crate::files::write::{Existing, write};

/// Write a manual page for each command into a folder
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: pullrank man ~/.local/share/man/man1 && man pullrank-rank")]
pub struct Arguments {
    /// The folder, which must be there
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Write over pages that are there
    #[arg(long)]
    force: bool,
}

/// Writes the pages.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let folder = &arguments.folder;
    if !folder.is_dir() {
        let finding = Finding::error("there is no such folder for pages");
        let finding = finding.at(Position::file(folder));
        return Err(finding.remedy("make the folder first").into());
    }
    let existing = match arguments.force {
        true => Existing::Replace,
        false => Existing::Keep,
    };
    let pages = pages()?;
    for (name, page) in &pages {
        write(&folder.join(name), page, existing)?;
    }
    console.print(&format!(
        "{}: {} pages.\nNext: man {}\n",
        folder.display(),
        pages.len(),
        folder.join("pullrank.1").display()
    ))
}

/// The page of the program and of each command, by file name.
fn pages() -> std::io::Result<Vec<(String, Vec<u8>)>> {
    let mut program = CommandLine::command().disable_help_subcommand(true);
    program.build();
    let mut pages = Vec::new();
    let commands: Vec<clap::Command> = program.get_subcommands().cloned().collect();
    for command in std::iter::once(program).chain(commands) {
        let name = command.get_display_name().unwrap_or(command.get_name());
        let name = format!("{name}.1");
        let mut page = Vec::new();
        Man::new(command).render(&mut page)?;
        pages.push((name, page));
    }
    Ok(pages)
}
