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

#[test]
fn each_command_helps_on_one_screen_with_an_example() {
    for command in [
        "rank", "gearing", "report", "sheet", "pulls", "car", "venue",
    ] {
        let output = pullrank().args([command, "--help"]).output().unwrap();
        let help = String::from_utf8(output.stdout).unwrap();
        assert!(
            help.contains(&format!("Usage: pullrank {command}")),
            "{help}"
        );
        assert!(help.contains("Example"), "{command} shows no example");
        assert!(help.contains(&format!("\n  pullrank {command} ")) || help.contains(": pullrank "));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said() {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = Process::new(assert_cmd::cargo::cargo_bin!("pullrank"))
        .args(["completions", "bash"])
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(
        error.starts_with("error: cannot write to standard output"),
        "{error}"
    );
}

#[test]
fn colour_is_for_terminals() {
    let output = pullrank()
        .args(["car", "cars/plum-hatch"])
        .output()
        .unwrap();
    assert!(!output.stdout.contains(&0x1b));
    let output = pullrank().args(["car", "nowhere"]).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(!output.stderr.contains(&0x1b));
}
