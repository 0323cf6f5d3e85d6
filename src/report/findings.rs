//! Findings as text for standard error.

use std::collections::HashMap;
use std::fmt::Write;

use super::paint::Paint;
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::units::counted;

/// Findings of one severity shown before the rest is only counted.
const SHOWN: usize = 40;

/// Warnings and errors as text, errors last so that they stay in view. Assumptions belong to the
/// answer, which ranks them.
pub fn text(list: &Findings, paint: Paint) -> String {
    let mut out = String::new();
    for severity in [Severity::Warning, Severity::Error] {
        let told = by_files(list.of(severity));
        for (finding, more) in told.iter().take(SHOWN) {
            let _ = writeln!(out, "{}", one(finding, paint));
            match &more[..] {
                [] => {}
                [one] => {
                    let _ = writeln!(out, "  and so in {}", quoted(one));
                }
                _ => {
                    let _ = writeln!(out, "  and so in {} more", counted(more.len(), "file"));
                }
            }
        }
        let rest = told.len().saturating_sub(SHOWN);
        if rest > 0 {
            let _ = writeln!(out, "… and {rest} more of severity {}", severity.word());
        }
    }
    out
}

/// How many warnings [`text`] tells.
pub fn warnings(list: &Findings) -> usize {
    by_files(list.of(Severity::Warning)).len()
}

/// How many of those ask what decides the answer.
pub fn deciding(list: &Findings) -> usize {
    let asked = list.of(Severity::Warning).filter(|finding| finding.decides);
    by_files(asked).len()
}

/// Findings each with the files beside its own that have the same; errors only where it is the same place too.
fn by_files<'a>(list: impl Iterator<Item = &'a Finding>) -> Vec<(&'a Finding, Vec<String>)> {
    let mut told: Vec<(&Finding, Vec<String>)> = Vec::new();
    let mut first = HashMap::new();
    for finding in list {
        let Some(place) = &finding.position else {
            told.push((finding, Vec::new()));
            continue;
        };
        let error = finding.severity == Severity::Error;
        let excerpt = finding.excerpt.as_ref().map(|excerpt| &excerpt.line);
        let at = error.then_some((place.line, place.column, excerpt));
        let same = *first
            .entry((&finding.text, &finding.remedy, at))
            .or_insert(told.len());
        let elsewhere = |(first, _): &&mut (&Finding, Vec<String>)| {
            first.position.as_ref().map(|p| &p.path) != Some(&place.path)
        };
        match told.get_mut(same).filter(elsewhere) {
            Some((_, more)) => {
                let file = place.path.display().to_string();
                if more.last() != Some(&file) {
                    more.push(file);
                }
            }
            None => told.push((finding, Vec::new())),
        }
    }
    told
}

/// Errors, then warnings, each in the order of the files: the order in which to mend them.
pub fn in_order_to_mend(list: &Findings, paint: Paint) -> String {
    let mut out = String::new();
    for severity in [Severity::Error, Severity::Warning] {
        for finding in list.of(severity) {
            let _ = writeln!(out, "{}", one(finding, paint));
        }
    }
    out
}

fn one(finding: &Finding, paint: Paint) -> String {
    let word = finding.severity.word();
    let painted = match finding.severity {
        Severity::Error => paint.bad(word),
        Severity::Warning => paint.warn(word),
        Severity::Assumed => paint.faint(word),
    };
    finding
        .to_string()
        .replacen(&format!("{word}: "), &format!("{painted}: "), 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_come_last_and_assumptions_not_at_all() {
        let mut list = Findings::new();
        list.push(Finding::error("no mass"));
        list.push(Finding::assumed("track", "track 1.40 m"));
        list.push(Finding::warning("a heavy flywheel").remedy("say standard"));
        assert_eq!(
            text(&list, Paint::plain()),
            "warning: a heavy flywheel\n  say standard\nerror: no mass\n"
        );
    }

    #[test]
    fn a_flood_is_counted() {
        let mut list = Findings::new();
        for i in 0..100 {
            list.push(Finding::error(format!("fault {i}")));
        }
        let text = text(&list, Paint::plain());
        assert_eq!(text.lines().count(), SHOWN + 1);
        assert!(text.ends_with("… and 60 more of severity error\n"));
    }

    #[test]
    fn only_the_word_is_painted() {
        let mut list = Findings::new();
        list.push(Finding::error("an error: twice"));
        let text = text(&list, Paint::new(true));
        assert_eq!(text, "\u{1b}[1;31merror\u{1b}[0m: an error: twice\n");
    }
}
