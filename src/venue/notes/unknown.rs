//! What is said of words that are no notes.

use super::super::grades::Grades;
use super::super::pieces::{Form, Side};
use super::{DISTANCE, NoteError, PASSED, corner, grade_name};

/// Words for the ends of the road, which its notes say without them.
pub(super) const END_WORDS: &[&str] = &[
    "start", "finish", "end", "ff", "ziel", "ende", "départ", "depart", "arrivée", "arrivee",
    "partenza", "arrivo", "salida", "meta",
];

pub(super) fn flying_finish(word: &str, next: Option<&str>) -> bool {
    let end = |word: &str| END_WORDS.contains(&word.to_lowercase().as_str());
    word.eq_ignore_ascii_case("flying") && next.is_some_and(end)
}

/// What to write for a distance in kilometres, `1.2 km` or `1.2km`.
pub(super) fn kilometres(word: &str, next: Option<&str>) -> Option<String> {
    let (number, unit) = match word.strip_suffix("km") {
        Some(number) => (number, true),
        None => (word, next == Some("km")),
    };
    let metres = 1000.0 * number.parse::<f64>().ok()?;
    (unit && (DISTANCE.0..=DISTANCE.1).contains(&metres)).then(|| format!("{metres:.0}"))
}

/// The corner that the words end in, and the one of grade `word` that it becomes, both as they are written.
fn becomes(words: &[&str], word: &str, grades: &Grades) -> Option<(String, String)> {
    let (last, earlier) = words.split_last()?;
    let alone = corner(last, None, grades).map(|(piece, _)| (piece, (*last).to_owned()));
    let (piece, written) = alone.or_else(|| {
        let first = earlier.last()?;
        let (piece, used) = corner(first, Some(*last), grades)?;
        (used == 2).then(|| (piece, format!("{first} {last}")))
    })?;
    let Form::Corner { side, .. } = piece.form else {
        return None;
    };
    let letter = match side? {
        Side::Left => 'L',
        Side::Right => 'R',
    };
    let first = written.starts_with(|c: char| c.eq_ignore_ascii_case(&letter));
    let other = match first {
        true => format!("{letter}{word}"),
        false => format!("{word}{letter}"),
    };
    Some((written, other))
}

pub(super) fn unknown(
    word: &str,
    number: usize,
    (before, next): (&[&str], Option<&str>),
    grades: &Grades,
) -> NoteError {
    let lower = word.to_lowercase();
    let lone = grade_name(&lower, grades).is_some();
    let changes = |word: &str| {
        matches!(
            word.to_lowercase().as_str(),
            "opens" | "open" | "tightens" | "tight" | "tt"
        )
    };
    let remedy = if let Some(metres) = kilometres(word, next) {
        format!("distances are in whole metres: write `{metres}`")
    } else if word.contains(['>', '<']) {
        // Crews write it for a corner that tightens, and for one that leads into another.
        "write in words what it means: `tightens`, `opens` or `into`".to_owned()
    } else if let [corners @ .., changed] = before
        && lone
        && changes(changed)
    {
        let (first, second) =
            becomes(corners, word, grades).unwrap_or_else(|| ("3L".to_owned(), format!("{word}L")));
        format!(
            "a corner that becomes another grade is two: write `{first} into {second}`, with its own grade and side"
        )
    } else if lone {
        format!("say which way it goes, as in `{word}L`")
    } else if word.parse::<f64>().is_ok() {
        format!(
            "distances are whole metres from {:.0} to {:.0}; a corner is a grade with its side, as in `3L`",
            DISTANCE.0, DISTANCE.1
        )
    } else if END_WORDS.contains(&lower.as_str()) || flying_finish(word, next) {
        "leave it out: the road goes from the first note to the last, and distances to the line are in m".to_owned()
    } else {
        vocabulary(grades)
    };
    NoteError::Unknown {
        number,
        word: word.to_owned(),
        remedy,
    }
}

/// The words that are known.
fn vocabulary(grades: &Grades) -> String {
    let known: Vec<&str> = grades.grades.iter().map(|g| g.name.as_str()).collect();
    let whose = match grades.assumed {
        true => "the usual grades, as no `grades` are written",
        false => "this driver's grades",
    };
    let passed: Vec<&str> = (PASSED.iter().copied())
        .filter(|word| word.starts_with(char::is_alphabetic))
        .collect();
    format!(
        "known are distances in m, as in `100`; grades with a side, as in `3L`, `R4`, `hairpin left` ({whose}: {}); \
         after a corner `long`, `short`, `opens`, `tightens`; `crest`; slopes, as in `-2%`; `gravel` or `tarmac` for the road from there on; passed over {}. \
         What other words mean only their writer knows: put these in their place",
        known.join(", "),
        passed.join(", ")
    )
}
