//! The binary as a user runs it.

mod afterwards;
mod again;
mod apart;
mod awkward;
mod belong;
mod car;
mod channels;
mod check;
mod coarse;
mod colons;
mod doubts;
mod drawn;
mod ends;
mod exports;
mod faults;
mod formats;
mod frame;
mod gearing;
mod handed;
mod headings;
mod holds;
mod inbox;
mod kml;
mod laps;
mod limits;
mod loggers;
mod lost;
mod machines;
mod maps;
mod messy;
mod mistaken;
mod moments;
mod new;
mod odd;
mod onto;
mod opposed;
mod organiser;
mod partly;
mod pulls;
mod rank;
mod roads;
mod rough;
mod rounds;
mod sampled;
mod season;
mod sessions;
mod sheets;
mod sizes;
mod slips;
mod spoilt;
mod stated;
mod states;
mod stretch;
mod surveys;
mod testdays;
mod thrown;
mod unfit_seasons;
mod unlike;
mod untidy;
mod venue;
mod weights;
mod workbooks;
pub mod world;

use assert_cmd::Command;

/// The binary, run from the repository's root without colour.
pub fn pullrank() -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("pullrank"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE");
    command
}

/// What is printed, its lines joined.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Runs a command that must succeed without a word on standard error, and gives what it printed.
pub fn text(command: &mut Command) -> String {
    let output = command.output().unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{error}");
    assert_eq!(error, "");
    String::from_utf8(output.stdout).unwrap()
}

/// Runs a command that must succeed and prints JSON.
pub fn json(command: &mut Command) -> serde_json::Value {
    serde_json::from_str(&text(command)).unwrap()
}
