//! What holds for every command: help, exit codes, pipes.

use std::process::{Command as Process, Stdio};

use super::pullrank;

#[test]
fn help_goes_to_standard_output() {
    let output = pullrank().arg("--help").output().unwrap();
    assert!(output.status.success());
    assert!(output.stderr.is_empty());
    assert!(
        String::from_utf8(output.stdout)
            .unwrap()
            .contains("Usage: pullrank")
    );
}

#[test]
fn a_wrong_command_line_is_exit_code_2() {
    for arguments in [
        &["rnak"][..],
        &["completions"],
        &["completions", "--jsn"],
        &[],
    ] {
        let output = pullrank().args(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_closed_pipe_is_no_error() {
    let mut child = Process::new(assert_cmd::cargo::cargo_bin!("pullrank"))
        .args(["completions", "bash"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

#[test]
fn completions_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let output = pullrank().args(["completions", shell]).output().unwrap();
        assert!(output.status.success());
        assert!(
            String::from_utf8(output.stdout)
                .unwrap()
                .contains("completions")
        );
    }
}
