//! `pullrank schema KIND`.

use clap::ValueEnum;

use super::{Console, Failure};
use crate::files::kind::FileKind;
use crate::files::schema;

/// The JSON Schema of a kind of file, for editors that complete it
#[derive(Debug, clap::Args)]
#[command(after_help = "Editors find it by a line on top of a file:\n  \
                  # yaml-language-server: $schema=car.json\n\n\
                  Example: pullrank schema car > car.json")]
pub struct Arguments {
    /// The kind of file
    #[arg(value_enum)]
    kind: Kind,
}

/// Kinds of file on the command line.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Kind {
    Study,
    Car,
    Testday,
    Track,
}

/// Prints a schema.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    console.print(&schema::text(match arguments.kind {
        Kind::Study => FileKind::Study,
        Kind::Car => FileKind::Car,
        Kind::Testday => FileKind::TestDay,
        Kind::Track => FileKind::Track,
    }))
}
