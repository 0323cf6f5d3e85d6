//! Findings as text: file, line, column, the line itself with a mark under the place, the remedy.

use std::fmt::Write;

use super::paint::Paint;
use crate::files::finding::{Finding, Position, Severity};

/// Longest piece of a line that is shown.
const EXCERPT: usize = 100;
/// Findings shown before the rest is only counted.
const SHOWN: usize = 40;

/// Errors and warnings as text, errors last so that they stay in view; assumptions belong to the
/// reports. `source_line` gives the line a position points at.
pub fn text(
    list: &[Finding],
    source_line: impl Fn(&Position) -> Option<String>,
    paint: Paint,
) -> String {
    let mut out = String::new();
    for severity in [Severity::Warning, Severity::Error] {
        let chosen: Vec<&Finding> = list.iter().filter(|f| f.severity == severity).collect();
        for finding in chosen.iter().take(SHOWN) {
            one(&mut out, finding, &source_line, paint);
        }
        if chosen.len() > SHOWN {
            let rest = chosen.len() - SHOWN;
            let _ = writeln!(out, "… and {rest} more {}s", word(severity));
        }
    }
    out
}

fn one(
    out: &mut String,
    finding: &Finding,
    source_line: &impl Fn(&Position) -> Option<String>,
    paint: Paint,
) {
    let label = match finding.severity {
        Severity::Error => paint.bad(word(finding.severity)),
        Severity::Warning => paint.warn(word(finding.severity)),
        Severity::Assumed => paint.faint(word(finding.severity)),
    };
    let place = finding.position.as_ref().map(place).unwrap_or_default();
    let _ = writeln!(out, "{place}{label}: {}", printable(&finding.text));
    if let Some(position) = &finding.position
        && position.line > 0
        && let Some(line) = source_line(position)
    {
        excerpt(out, position, &line, paint);
    }
    if let Some(remedy) = &finding.remedy {
        let _ = writeln!(out, "      {}", printable(remedy));
    }
}

/// The word for a severity.
pub fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Assumed => "assumed",
    }
}

fn place(position: &Position) -> String {
    let path = position.path.display().to_string();
    let path = printable(&path);
    match (position.line, position.column) {
        (0, _) => format!("{path}: "),
        (line, 0) => format!("{path}:{line}: "),
        (line, column) => format!("{path}:{line}:{column}: "),
    }
}

/// The line and a mark under the column; of a long line the part around the column.
fn excerpt(out: &mut String, position: &Position, line: &str, paint: Paint) {
    let chars: Vec<char> = printable(line.trim_end_matches('\r')).chars().collect();
    let column = (position.column as usize).saturating_sub(1);
    let from = if column > EXCERPT - 20 {
        column - 40
    } else {
        0
    };
    let to = chars.len().min(from + EXCERPT);
    let shown: String = chars.get(from..to).unwrap_or_default().iter().collect();
    let number = position.line.to_string();
    let margin = " ".repeat(number.len());
    let _ = writeln!(out, "  {} {shown}", paint.faint(&format!("{number} |")));
    if position.column > 0 {
        let gap = " ".repeat(column - from);
        let _ = writeln!(
            out,
            "  {} {gap}{}",
            paint.faint(&format!("{margin} |")),
            paint.bad("^")
        );
    }
}

/// Control characters of a broken or hostile file must not reach a terminal.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' => ' ',
            c if c.is_control() => '\u{fffd}',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding(severity: Severity, line: u32, column: u32) -> Finding {
        Finding {
            severity,
            position: Some(Position {
                path: "car.yaml".into(),
                line,
                column,
            }),
            text: "unknown key `tire`".into(),
            remedy: Some("did you mean `tyre`?".into()),
            key: None,
            excerpt: None,
        }
    }

    #[test]
    fn the_mark_stands_under_the_column() {
        let text = text(
            &[finding(Severity::Error, 12, 3)],
            |_| Some("  tire: 185/60R13\r".into()),
            Paint::plain(),
        );
        assert_eq!(
            text,
            "car.yaml:12:3: error: unknown key `tire`\n  12 |   tire: 185/60R13\n     |   ^\n      \
             did you mean `tyre`?\n"
        );
    }

    #[test]
    fn errors_come_last_and_assumptions_not_at_all() {
        let list = [
            finding(Severity::Error, 1, 0),
            finding(Severity::Assumed, 2, 0),
            finding(Severity::Warning, 3, 0),
        ];
        let text = text(&list, |_| None, Paint::plain());
        let places: Vec<&str> = text.lines().filter(|l| l.starts_with("car")).collect();
        assert_eq!(places.len(), 2);
        assert!(places[0].starts_with("car.yaml:3: warning"), "{text}");
        assert!(places[1].starts_with("car.yaml:1: error"), "{text}");
    }

    #[test]
    fn a_long_line_is_shown_around_the_column() {
        let line = format!("{}X{}", "a".repeat(500), "b".repeat(500));
        let text = text(
            &[finding(Severity::Error, 1, 501)],
            |_| Some(line.clone()),
            Paint::plain(),
        );
        let rows: Vec<&str> = text.lines().collect();
        assert_eq!(rows[1].find('X'), rows[2].find('^'));
        assert!(rows[1].len() <= EXCERPT + 10);
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        let text = text(
            &[finding(Severity::Error, 1, 1)],
            |_| Some("mass: \u{1b}[2J9".into()),
            Paint::plain(),
        );
        assert!(!text.contains('\u{1b}'));
    }
}
