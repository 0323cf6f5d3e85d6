//! Standard output and standard error as the commands use them.

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use super::Failure;
use super::progress::Progress;
use crate::files::finding::Findings;
use crate::report::findings;
use crate::report::paint::Paint;

/// Results go to standard output, everything else to standard error; colour only on a terminal.
#[derive(Debug)]
pub struct Console {
    /// How results are painted.
    pub out: Paint,
    /// How findings are painted.
    pub err: Paint,
}

impl Console {
    /// The console of this process.
    #[allow(clippy::new_without_default)]
    pub fn new() -> Self {
        Self {
            out: paint_for(io::stdout().is_terminal()),
            err: paint_for(io::stderr().is_terminal()),
        }
    }

    /// Writes a result to standard output.
    ///
    /// # Errors
    /// Standard output is closed or full.
    pub fn print(&self, text: &str) -> Result<(), Failure> {
        let mut out = io::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()?;
        Ok(())
    }

    /// Shows how far work of so many steps has come.
    pub fn progress(&self, steps: u64) -> Progress {
        Progress::new(steps, io::stderr().is_terminal())
    }

    /// Writes findings to standard error.
    pub fn findings(&self, list: &Findings) {
        self.note(&findings::text(list, self.err));
    }

    /// Says why a command failed and gives the exit code for it.
    pub fn report(&self, failure: &Failure) -> ExitCode {
        match failure {
            Failure::Input(list) => {
                self.findings(list);
                ExitCode::from(1)
            }
            Failure::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => {
                ExitCode::SUCCESS
            }
            Failure::Output(error) => {
                self.error(&format!("cannot write to standard output: {error}"));
                ExitCode::from(1)
            }
            Failure::CommandLine(text) => {
                self.error(text);
                ExitCode::from(2)
            }
        }
    }

    fn error(&self, text: &str) {
        self.note(&format!("{}: {text}\n", self.err.bad("error")));
    }

    /// Standard error may be closed too, and then there is nobody to tell.
    fn note(&self, text: &str) {
        let _ = io::stderr().lock().write_all(text.as_bytes());
    }
}

fn paint_for(terminal: bool) -> Paint {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    Paint::new(terminal && !unwanted && !dumb)
}
