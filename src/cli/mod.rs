//! Commands: arguments and progress, no computing. One file a command.
//!
//! Exit codes: 0 done, 1 an input was at fault, 2 the command line was. A reader that closes the
//! pipe early is no error.

mod car;
mod check;
mod completions;
mod console;
mod draws;
mod failure;
mod gearing;
mod inputs;
mod known;
mod man;
mod new;
mod progress;
mod pulls;
mod rank;
mod ready;
mod report;
mod results;
mod roads;
mod schema;
mod season;
mod sheet;
mod venue;
mod worked;

pub use console::Console;
pub use draws::DrawArguments;
pub use failure::Failure;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// Which engine spec, at which venue, by how much, and why.
#[derive(Debug, Parser)]
#[command(
    name = "pullrank",
    version,
    max_term_width = 100,
    disable_help_subcommand = true,
    after_help = "pullrank COMMAND --help tells more of each.\n\
                  Example: pullrank new my-study, then pullrank rank my-study"
)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    New(new::Arguments),
    Rank(rank::Arguments),
    Gearing(gearing::Arguments),
    Season(season::Arguments),
    Spend(season::SpendArguments),
    Roads(roads::Arguments),
    Results(results::Arguments),
    Pulls(pulls::Arguments),
    Car(car::Arguments),
    Venue(venue::Arguments),
    Check(check::Arguments),
    Report(report::Arguments),
    Sheet(sheet::Arguments),
    Schema(schema::Arguments),
    Completions(completions::Arguments),
    Man(man::Arguments),
}

/// How a command writes its answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Text for people.
    Text,
    /// JSON with a schema version.
    Json,
    /// Delimited tables.
    Csv,
}

/// The options that choose a [`Format`]; shared by the commands that give data.
#[derive(Debug, clap::Args)]
pub struct FormatArguments {
    /// Write JSON to standard output
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Write comma-separated values to standard output
    #[arg(long)]
    csv: bool,
}

impl FormatArguments {
    /// The format asked for.
    pub fn format(&self) -> Format {
        match (self.json, self.csv) {
            (true, _) => Format::Json,
            (_, true) => Format::Csv,
            _ => Format::Text,
        }
    }
}

/// Runs the command line `arguments`, the program's own name first.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let line = match CommandLine::try_parse_from(arguments) {
        Ok(line) => line,
        Err(error) => {
            // Nothing is left to tell a reader who has gone.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let console = Console::new();
    let done = match line.command {
        Command::New(arguments) => new::run(&arguments, &console),
        Command::Rank(arguments) => rank::run(&arguments, &console),
        Command::Gearing(arguments) => gearing::run(&arguments, &console),
        Command::Season(arguments) => season::run(&arguments, &console),
        Command::Spend(arguments) => season::run_spend(&arguments, &console),
        Command::Roads(arguments) => roads::run(&arguments, &console),
        Command::Results(arguments) => results::run(&arguments, &console),
        Command::Pulls(arguments) => pulls::run(&arguments, &console),
        Command::Car(arguments) => car::run(&arguments, &console),
        Command::Venue(arguments) => venue::run(&arguments, &console),
        Command::Check(arguments) => check::run(&arguments, &console),
        Command::Report(arguments) => report::run(&arguments, &console),
        Command::Sheet(arguments) => sheet::run(&arguments, &console),
        Command::Schema(arguments) => schema::run(&arguments, &console),
        Command::Completions(arguments) => completions::run(&arguments, &console),
        Command::Man(arguments) => man::run(&arguments, &console),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => console.report(&failure),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_consistent() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn the_help_of_each_command_fits_one_screen_and_shows_an_example() {
        let mut program = CommandLine::command();
        program.build();
        let commands = program.get_subcommands().cloned().collect::<Vec<_>>();
        // The page of the program itself has a line for each command.
        let most = commands.len() + 12;
        let pages = commands.into_iter().map(|page| (page, 24));
        for (page, most) in pages.chain([(program, most)]) {
            let name = page.get_name().to_owned();
            // The smallest screen there is.
            let text = page.term_width(80).render_help().to_string();
            assert!(text.contains("Example"), "{name}: {text}");
            assert!(text.lines().count() <= most, "{name}: {text}");
            let widest = text.lines().map(|line| line.chars().count()).max();
            assert!(widest <= Some(80), "{name}: {text}");
        }
    }
}
