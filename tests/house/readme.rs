//! What the README shows is what the program prints. To put the outputs in again:
//! `UPDATE_README=1 cargo test --test main readme`.

use std::fs;

use super::{read, root};
use crate::commands::pullrank;

/// What a command of the README prints.
fn run(command: &str) -> String {
    // Words in quotes stay together.
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in command.chars() {
        match letter {
            '\'' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            letter => words.last_mut().unwrap().push(letter),
        }
    }
    let output = pullrank().args(&words).output().unwrap();
    assert!(output.status.success(), "{command}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_readme_shows_what_is_printed() {
    let text = read("README.md");
    let mut renewed = String::new();
    let mut shown = 0;
    for (i, part) in text.split("```\n").enumerate() {
        if i > 0 {
            renewed.push_str("```\n");
        }
        match part.strip_prefix("$ pullrank ") {
            Some(rest) => {
                let (command, _) = rest.split_once('\n').unwrap();
                renewed.push_str(&format!("$ pullrank {command}\n{}", run(command)));
                shown += 1;
            }
            None => renewed.push_str(part),
        }
    }
    assert!(shown > 0, "the README shows an output");
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(root().join("README.md"), &renewed).unwrap();
    } else {
        assert_eq!(
            text, renewed,
            "UPDATE_README=1 cargo test --test main readme"
        );
    }
}
