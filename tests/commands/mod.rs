//! The binary as a user runs it.

mod frame;

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
