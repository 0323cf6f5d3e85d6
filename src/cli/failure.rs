//! Why a command could not do what was asked.

use std::io;

use crate::files::finding::{Finding, Findings};
use crate::files::write::WriteError;

/// Why a command stopped.
#[derive(Debug)]
pub enum Failure {
    /// Inputs are at fault, or a file cannot be written: everything found, errors and the rest.
    Input(Findings),
    /// Standard output could not be written.
    Output(io::Error),
    /// The command line asked for something that the inputs do not have.
    CommandLine(String),
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Failure::Output(error)
    }
}

impl From<Finding> for Failure {
    fn from(finding: Finding) -> Self {
        let mut list = Findings::new();
        list.push(finding);
        Failure::Input(list)
    }
}

impl From<WriteError> for Failure {
    fn from(error: WriteError) -> Self {
        error.finding().into()
    }
}
