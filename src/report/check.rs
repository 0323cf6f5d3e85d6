//! What is wrong with files, in the order to mend it.

use std::fmt::Write;

use serde::Serialize;

use super::findings;
use super::format::wrap;
use super::json;
use super::paint::Paint;
use crate::files::finding::shell::shell_path;
use crate::files::finding::{Findings, Severity};

/// A path with what was found there.
#[derive(Debug, Serialize)]
pub struct Checked {
    /// As it was named.
    pub path: String,
    /// What it was taken for; null where nothing tells.
    pub what: Option<&'static str>,
    /// What was found.
    pub findings: Findings,
}

/// The findings of each path, faults before warnings, then what would come next.
pub fn text(checked: &[Checked], paint: Paint) -> String {
    let mut out = String::new();
    for one in checked {
        let _ = writeln!(out, "{}", paint.strong(&headline(one)));
        out.push_str(&findings::in_order_to_mend(&one.findings, paint));
        if !one.findings.has_errors() {
            out.push_str(&assumed(&one.findings));
        }
    }
    out.push_str(&next(checked));
    out
}

fn headline(one: &Checked) -> String {
    let count = |severity| one.findings.of(severity).count();
    let counts = [
        counted(count(Severity::Error), "fault", "to mend first"),
        counted(count(Severity::Warning), "warning", "to look at"),
    ];
    let mut said: Vec<String> = counts.into_iter().flatten().collect();
    if said.is_empty() {
        said.push("no fault found".to_owned());
    }
    said.splice(0..0, one.what.map(str::to_owned));
    format!("{}: {}", one.path, said.join(", "))
}

fn counted(count: usize, word: &str, what_for: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {word} {what_for}")),
        _ => Some(format!("{count} {word}s {what_for}")),
    }
}

/// What was filled in, each once, in the order of the files.
fn assumed(findings: &Findings) -> String {
    let mut texts: Vec<&str> = Vec::new();
    for finding in findings.of(Severity::Assumed) {
        if !texts.contains(&finding.text.as_str()) {
            texts.push(&finding.text);
        }
    }
    match texts.is_empty() {
        true => String::new(),
        false => wrap(&format!("Assumed: {}.", texts.join("; ")), "  "),
    }
}

fn next(checked: &[Checked]) -> String {
    let faulty = checked.iter().any(|one| one.findings.has_errors());
    // A study goes before the files it is made of.
    let study = checked.iter().find(|one| one.what == Some("study"));
    let step = match study.or(checked.first()) {
        _ if faulty => "mend from the top, for what stands lower may follow from it".to_owned(),
        Some(one) => {
            let path = shell_path(&one.path);
            match one.what {
                Some("study") => format!("pullrank rank {path} ranks its specs"),
                Some("car") => format!("pullrank car {path} shows whether it is your car"),
                Some("test day") => format!("pullrank pulls {path} compares its specs"),
                Some("track") => format!("pullrank venue {path} shows what it is like"),
                _ => "name it in a test day or in a track".to_owned(),
            }
        }
        None => return String::new(),
    };
    wrap(&format!("Next: {step}."), "  ")
}

/// The same as JSON.
pub fn json(checked: &[Checked]) -> String {
    #[derive(Serialize)]
    struct Body<'a> {
        sound: bool,
        checked: &'a [Checked],
    }
    let sound = !checked.iter().any(|one| one.findings.has_errors());
    json::document("check", &Body { sound, checked })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::finding::Finding;

    fn of(findings: Findings) -> String {
        let one = Checked {
            path: "car.yaml".to_owned(),
            what: Some("car"),
            findings,
        };
        text(&[one], Paint::plain())
    }

    #[test]
    fn faults_stand_before_warnings_and_count() {
        let mut found = Findings::new();
        found.push(Finding::warning("a heavy flywheel"));
        found.push(Finding::error("no mass"));
        found.push(Finding::assumed("track", "track width 1.40 m"));
        let said = of(found);
        assert!(said.starts_with("car.yaml: car, 1 fault to mend first, 1 warning to look at\nerror: no mass\nwarning: a heavy"), "{said}");
        assert!(!said.contains("Assumed"), "{said}");
        assert!(said.contains("Next: mend"), "{said}");
    }

    #[test]
    fn a_sound_file_says_what_comes_next() {
        assert_eq!(
            of(Findings::new()),
            "car.yaml: car, no fault found\nNext: pullrank car car.yaml shows whether it is your car.\n"
        );
    }
}
