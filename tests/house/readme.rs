//! What the README shows is what the program prints. To put the outputs in again:
//! `UPDATE_README=1 cargo test --test main readme`.

use std::fs;
use std::path::Path;

use super::{read, root};
use crate::commands::pullrank;

/// What a command prints in a folder.
fn run(command: &str, folder: &Path) -> String {
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
    let output = pullrank()
        .current_dir(folder)
        .args(&words)
        .output()
        .unwrap();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command}: {error}");
    String::from_utf8(output.stdout).unwrap()
}

/// A text whose commands were run in a folder, one after the other, with what they print; and how
/// many there were. Before the next command a block of YAML whose first line is a file's name in a
/// comment is written to that file.
pub(super) fn renewed(text: &str, folder: &Path) -> (String, usize) {
    let mut renewed = String::new();
    let mut shown = 0;
    for (i, part) in text.split("```\n").enumerate() {
        if i > 0 {
            renewed.push_str("```\n");
        }
        if let Some(rest) = part.strip_prefix("$ pullrank ") {
            let (command, _) = rest.split_once('\n').unwrap();
            renewed.push_str(&format!("$ pullrank {command}\n{}", run(command, folder)));
            shown += 1;
            continue;
        }
        if let Some((_, yaml)) = part.rsplit_once("```yaml\n# ")
            && let Some((name, _)) = yaml.split_once(".yaml\n")
            && folder != root()
        {
            fs::write(folder.join(format!("{name}.yaml")), format!("# {yaml}")).unwrap();
        }
        renewed.push_str(part);
    }
    (renewed, shown)
}

/// Holds the outputs of a page in step, or puts them in again.
pub(super) fn hold(page: &str, renewed: &str) {
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(root().join(page), renewed).unwrap();
    } else {
        assert_eq!(
            read(page),
            renewed,
            "UPDATE_README=1 cargo test --test main house"
        );
    }
}

#[test]
fn the_readme_shows_what_is_printed() {
    let (renewed, shown) = renewed(&read("README.md"), root());
    assert!(shown > 0, "the README shows an output");
    hold("README.md", &renewed);
}
