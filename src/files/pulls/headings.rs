//! What headings that cannot be read as they stand most likely mean.

use crate::files::finding::quoted;
use crate::files::table::Table;

/// Remedy for columns of which one alone is read: of several runs side by side none need be lost.
pub fn one_of(table: &Table, columns: &[usize], name: &str) -> String {
    let unnumbered = |column: &usize| {
        let heading = table.columns[*column].name.to_lowercase();
        heading.replace(|c: char| c.is_ascii_digit(), "")
    };
    let rest = unnumbered(&columns[0]);
    let alike = columns.iter().all(|column| unnumbered(column) == rest);
    match alike {
        true => format!(
            "several runs side by side? give each a file of its own, or put them one under another with a column \
             `pull` that numbers them; if one alone counts, name it `{name}`"
        ),
        false => format!("name the one that counts `{name}`"),
    }
}

/// Remedy for a heading that names engine speed in hundreds or thousands; `None` where none does.
pub fn scaled(table: &Table) -> Option<String> {
    let heading = |column: usize| table.heading(column);
    let times = |text: &str| {
        let text = text.to_lowercase().replace([' ', ',', '.'], "");
        let of_speed = (text.contains("rpm") || text.contains("rev")) && !text.contains("per");
        let of = |marks: &[&str]| marks.iter().any(|mark| text.contains(mark));
        match of_speed {
            true if of(&["1000", "thousand", "krpm"]) => Some(("thousands", "2.5")),
            true if of(&["100", "hundred"]) => Some(("hundreds", "25")),
            _ => None,
        }
    };
    let mut columns = 0..table.columns.len();
    columns.find_map(|column| {
        let text = heading(column);
        let (of, example) = times(&text)?;
        Some(format!(
            "{} is engine speed in {of}? write it in full, 2500 for {example}, under the heading `rpm`",
            quoted(&text)
        ))
    })
}
