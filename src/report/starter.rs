//! What was put into a new folder, what is still to fill in, and what comes next.

use std::fmt::Write;

use super::format::{wrap, wrap_after};
use super::paint::Paint;
use crate::files::finding::Position;
use crate::files::finding::shell::shell_path;

/// A new folder.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// The folder.
    pub folder: String,
    /// Names of its specs.
    pub specs: &'a [String],
    /// Tables of pulls that were copied; 0 where the pulls are invented.
    pub copied: usize,
    /// The lines to fill in, with what.
    pub blanks: Vec<(Position, String)>,
}

/// The sheet for people.
pub fn text(sheet: &Sheet, paint: Paint) -> String {
    let mut out = String::new();
    let specs = sheet.specs.join(", ");
    let head = match sheet.copied {
        0 => format!(
            "{}: a study that runs, all of it invented ({specs})",
            sheet.folder
        ),
        1 => format!(
            "{}: a study that runs, with a copy of 1 pull file ({specs})",
            sheet.folder
        ),
        n => format!(
            "{}: a study that runs, with copies of {n} pull files ({specs})",
            sheet.folder
        ),
    };
    let _ = writeln!(out, "{}", paint.strong(&head));
    let lines = match sheet.copied {
        0 => "Yours to fill in, until then invented:",
        _ => "Yours to fill in; until then the car and the roads are invented:",
    };
    let _ = writeln!(out, "{lines}");
    let places = sheet.blanks.iter().map(|(place, _)| place.to_string());
    let places: Vec<String> = places.collect();
    let widest = places.iter().map(|place| place.chars().count()).max();
    for (place, (_, with)) in places.iter().zip(&sheet.blanks) {
        let first = format!("  {place:<0$}  ", widest.unwrap_or(0));
        out.push_str(&wrap_after(&first, with, "    "));
    }
    let folder = shell_path(&sheet.folder);
    out.push_str(&wrap(
        &format!("Next: pullrank rank {folder} answers already; pullrank check {folder} as you fill it in."),
        "  ",
    ));
    out
}
