//! Keys and dashes that stand in another column than those they belong to.

use super::colons::{Slip, bare, written_above};
use crate::files::finding::quoted;
use crate::files::source::{Mark, Source};

/// Columns by which a dash may stand beside those of its list.
const BESIDE: u32 = 2;

/// The slip that a syntax error on a line comes from where that line is indented otherwise than its neighbours.
pub fn slip(source: &Source, line: u32) -> Option<Slip> {
    let own = source.line(line);
    match dash(own) {
        Some(column) => of_dash(source, line, column),
        None => of_key(source, line),
    }
}

fn of_dash(source: &Source, line: u32, column: u32) -> Option<Slip> {
    let mut above = written_above(source, line).filter_map(|number| dash(source.line(number)));
    let other = above.find(|other| other.abs_diff(column) <= BESIDE)?;
    (other != column).then(|| Slip {
        mark: mark(line, column, 1),
        text: format!("this dash stands in column {column}, and the one above in column {other}"),
        remedy: "all dashes of a list stand in one column".to_owned(),
    })
}

fn of_key(source: &Source, line: u32) -> Option<Slip> {
    let (name, _, column) = key(source.line(line))?;
    let above = written_above(source, line).next()?;
    let (other, value, at) = key(source.line(above))?;
    let holds = value.is_empty() && at < column;
    (at != column && !holds).then(|| Slip {
        mark: mark(line, column, name.chars().count() as u32),
        text: format!(
            "{} stands in column {column}, and {} above it in column {at}",
            quoted(name),
            quoted(other)
        ),
        remedy: "all keys of a mapping begin in one column".to_owned(),
    })
}

fn mark(line: u32, column: u32, width: u32) -> Mark {
    Mark {
        line,
        column,
        width,
    }
}

/// The column of the dash that a line begins with.
fn dash(line: &str) -> Option<u32> {
    let text = line.trim_start();
    let entry = text == "-" || text.starts_with("- ");
    entry.then(|| (line.len() - text.len()) as u32 + 1)
}

/// The key of a line, its value without a comment, and the column where it begins.
fn key(line: &str) -> Option<(&str, &str, u32)> {
    let (text, column) = bare(line);
    let (name, value) = text.split_once(':')?;
    let value = value.strip_prefix(' ').or(value.is_empty().then_some(""))?;
    let value = value.split('#').next().unwrap_or_default().trim();
    Some((name.trim_end(), value, column))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is said of the last line.
    fn said(text: &str) -> Option<String> {
        let source = Source::new("car.yaml", text);
        let slip = slip(&source, text.lines().count() as u32)?;
        Some(format!("{}: {}", slip.mark.column, slip.text))
    }

    #[test]
    fn keys_and_dashes_of_another_column_are_told() {
        let told = |text: &str| said(text).unwrap();
        assert_eq!(
            told("name: x\n # by hand\n mass: 950 kg\n"),
            "2: `mass` stands in column 2, and `name` above it in column 1"
        );
        assert_eq!(
            told("- name: x\n   price: 3\n"),
            "4: `price` stands in column 4, and `name` above it in column 3"
        );
        assert_eq!(
            told("engine:\n    bore: 86 mm\n  stroke: 86 mm\n"),
            "3: `stroke` stands in column 3, and `bore` above it in column 5"
        );
        let dash = "2: this dash stands in column 2, and the one above in column 3";
        assert_eq!(
            told("pieces:\n  - straight: 100 m\n - corner: 90 deg\n"),
            dash
        );
        // Over what belongs to the entry before it.
        assert_eq!(
            told("pieces:\n  - corner: 90 deg\n    opens: yes\n - straight: 9 m\n"),
            dash
        );
    }

    #[test]
    fn lines_that_stand_where_they_may_are_no_slip() {
        for text in [
            "engine:\n  bore: 86 mm\n",
            "engine:  # by the book\n  bore: 86 mm\n",
            "name: x\nmass: 950 kg\n",
            "pieces:\n  - straight: 100 m\n  - corner: 90 deg\n",
            "a text\n  that goes on\n",
        ] {
            assert_eq!(said(text), None, "{text}");
        }
    }
}
