//! Pace notes as pieces: distances and the driver's own grades, read from left to right.
//!
//! A number of metres is a straight. A grade with a side is a corner, in the forms `3L`, `L3`,
//! `HpR`, `SqL`, `hairpin left`; `+` and `-` shade it towards the next faster or slower grade.
//! After a corner come `long`, `short`, `opens` and `tightens`; `crest` belongs to the corner before it, or to
//! the end of the straight before it, where crews call what comes next (common practice, no source), and needs
//! the driver's speed over crests. A percentage is the slope from there
//! on. Words that change no speed (`into`,
//! `and`, `care`, `cut`) are passed over.

use super::grades::{Grades, LONG, OPENS, SHORT};
use super::pieces::{CREST_LENGTH, Form, Known, Piece, Side};
use super::{Extent, Scales};
use unknown::{flying_finish, kilometres, unknown};

/// Shortest and longest plain number that is a distance, m. A lone 3 is a grade whose side is
/// missing.
const DISTANCE: (f64, f64) = (10.0, 10_000.0);

/// A note of a longer straight is asked about, m: crews call the next corner within a kilometre or
/// two (common practice, no source).
pub const FAR: f64 = 3000.0;

/// Words that change nothing here.
const PASSED: &[&str] = &[
    "into", "and", "then", "care", "caution", "cut", "dont", "don't", "dc", "keep", "in", "out",
    "over", "at", "to", "on", "onto", "->", "-", "→", "!", "!!", "&",
];

/// Why notes cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoteError {
    /// A word that is no note.
    #[error("note {number}, `{word}`, is not known")]
    Unknown {
        /// Which word, from 1.
        number: usize,
        /// The word.
        word: String,
        /// What would be right.
        remedy: String,
    },
    /// A word that belongs to a corner without one before it.
    #[error("note {number}, `{word}`, belongs to a corner, and none comes before it")]
    NoCorner {
        /// Which word, from 1.
        number: usize,
        /// The word.
        word: String,
    },
    /// A crest without a speed.
    #[error("note {number} is a crest, and how fast it is taken is not known")]
    NoCrestSpeed {
        /// Which word, from 1.
        number: usize,
    },
    /// A reading of the trip meter that is no larger than the one before it.
    #[error("note {number}, `{word}`, does not lie beyond `{before}`, the reading before it")]
    Falls {
        /// Which word, from 1.
        number: usize,
        /// The word.
        word: String,
        /// The reading before it.
        before: String,
    },
    /// A corner without a reading of the trip meter.
    #[error("note {number}, `{word}`, has no reading of the trip meter before it")]
    Nowhere {
        /// Which word, from 1.
        number: usize,
        /// The word.
        word: String,
    },
    /// Nothing at all.
    #[error("there are no notes")]
    Empty,
}

/// The words of a page of notes. Commas part them but for one that is a decimal point, as in `0,40`.
pub fn words(notes: &str) -> impl Iterator<Item = &str> {
    let tokens = notes.split(|c: char| c.is_whitespace() || ";/|".contains(c));
    let words = tokens.flat_map(|token| {
        let parts = if is_decimal(token) { 1 } else { usize::MAX };
        token.splitn(parts, ',')
    });
    words.filter(|word| !word.is_empty())
}

/// Whether a text is one number with a decimal comma, with a unit or a colon behind it; `100,60` are two distances.
fn is_decimal(token: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let number = token.trim_end_matches(|c: char| c == ':' || c.is_ascii_alphabetic());
    let parts = number.split_once(',');
    parts.is_some_and(|(whole, rest)| whole.len() <= 2 && digits(whole) && digits(rest))
}

/// Reads notes. `crest` is the speed over crests, m/s, where the driver says it; `surfaces` are words for those of
/// the road, with their numbers: the road is of that one from the word on.
///
/// # Errors
/// Every note that cannot be read, at least one; see [`NoteError`].
pub fn pieces(
    notes: &str,
    grades: &Grades,
    crest: Option<f64>,
    surfaces: &[(String, usize)],
) -> Result<Vec<Piece>, Vec<NoteError>> {
    let words: Vec<&str> = words(notes).collect();
    let mut pieces: Vec<Piece> = Vec::new();
    let mut errors = Vec::new();
    let (mut slope, mut surface) = (0.0, 0);
    let mut i = 0;
    while i < words.len() {
        let number = i + 1;
        let word = words[i];
        let next = words.get(i + 1).copied();
        if let Some(percent) = percentage(word) {
            slope = 0.01 * percent;
        } else if let Some(metres) = distance(word) {
            straight(&mut pieces, metres, (slope, surface));
        } else if let Some(onto) = surface_of(word, surfaces) {
            surface = onto;
        } else if let Some((piece, used)) = corner(word, next, grades) {
            pieces.push(Piece {
                slope,
                surface,
                ..piece
            });
            i += used - 1;
        } else {
            match modify(word, number, &mut pieces, crest) {
                Ok(true) => {}
                Ok(false) if passed(word) => {}
                Ok(false) => {
                    let place = (&words[..i], next);
                    errors.push(unknown(word, number, place, grades));
                    // The second word of what is told already: the unit of a number, `flying finish`.
                    let unit = kilometres(word, next).is_some() && next == Some("km");
                    i += usize::from(unit || flying_finish(word, next));
                }
                Err(error) => errors.push(error),
            }
        }
        i += 1;
    }
    if pieces.is_empty() && errors.is_empty() {
        errors.push(NoteError::Empty);
    }
    match errors.is_empty() {
        true => Ok(pieces),
        false => Err(errors),
    }
}

/// A plain number of metres, with or without its unit.
pub fn distance(word: &str) -> Option<f64> {
    let digits = word.strip_suffix('m').unwrap_or(word);
    let plain = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    let metres: f64 = if plain {
        digits.parse().ok()?
    } else {
        return None;
    };
    (DISTANCE.0..=DISTANCE.1)
        .contains(&metres)
        .then_some(metres)
}

/// A slope in percent, up to that of the steepest roads.
fn percentage(word: &str) -> Option<f64> {
    let number: f64 = typed(word).strip_suffix('%')?.parse().ok()?;
    (-50.0..=50.0).contains(&number).then_some(number)
}

/// Distances one after another are one straight, as long as nothing is said between them.
fn straight(pieces: &mut Vec<Piece>, metres: f64, now: (f64, usize)) {
    match pieces.last_mut() {
        Some(Piece {
            form: Form::Straight { length },
            crest: None,
            slope,
            surface,
            ..
        }) if (*slope, *surface) == now => {
            *length += metres;
        }
        _ => pieces.push(Piece {
            slope: now.0,
            surface: now.1,
            ..Piece::straight(metres)
        }),
    }
}

/// The surface that a word names.
fn surface_of(word: &str, surfaces: &[(String, usize)]) -> Option<usize> {
    let named = surfaces
        .iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(word));
    named.map(|(_, index)| *index)
}

fn side(text: &str) -> Option<Side> {
    match text {
        "l" | "left" => Some(Side::Left),
        "r" | "right" => Some(Side::Right),
        _ => None,
    }
}

/// The grade that a word without its side names.
fn grade_name<'a>(word: &str, grades: &'a Grades) -> Option<&'a str> {
    let s = |name: &str| name.to_lowercase().starts_with('s');
    let mut names = grades.grades.iter().map(|grade| grade.name.as_str());
    if let Some(name) = names.find(|name| name.eq_ignore_ascii_case(word)) {
        return Some(name);
    }
    let word = match word {
        "hp" | "h" | "hpin" | "hair" => "hairpin",
        "sq" | "square" => "square",
        "s" if grades.grades.iter().filter(|grade| s(&grade.name)).count() == 1 => "square",
        other => other,
    };
    grades
        .grades
        .iter()
        .map(|g| g.name.as_str())
        .find(|name| name.eq_ignore_ascii_case(word))
}

/// A word without what word processors make of it: dashes and apostrophes of print.
fn typed(word: &str) -> String {
    let plain = |c: char| match c {
        '–' | '—' | '−' | '‐' | '‑' => '-',
        '’' => '\'',
        other => other,
    };
    word.to_lowercase().chars().map(plain).collect()
}

/// A corner, and how many words it took.
fn corner(word: &str, next: Option<&str>, grades: &Grades) -> Option<(Piece, usize)> {
    let (word, next) = (typed(word), next.map(typed));
    let (body, shade) = match word.as_bytes().last()? {
        b'+' => (&word[..word.len() - 1], 1),
        b'-' => (&word[..word.len() - 1], -1),
        _ => (word.as_str(), 0),
    };
    let (name, side, used, shade) = split(body, next.as_deref(), shade, grades)?;
    let grade = grades.get(name)?;
    let grade = if shade == 0 {
        grade.clone()
    } else {
        grades.shaded(grade, shade)
    };
    Some((grades.piece(&grade, Some(side)), used))
}

/// Grade, side, words used and shade of a note whose own shade is taken off.
fn split<'a>(
    body: &str,
    next: Option<&str>,
    shade: i32,
    grades: &'a Grades,
) -> Option<(&'a str, Side, usize, i32)> {
    for length in [1, 4, 5] {
        // `3l`, `hpleft`; `3+l` has its shade inside.
        if body.len() > length && body.is_char_boundary(body.len() - length) {
            let (front, back) = body.split_at(body.len() - length);
            let (front, inner) = match front.strip_suffix('+') {
                Some(front) => (front, 1),
                None => front
                    .strip_suffix('-')
                    .map_or((front, 0), |front| (front, -1)),
            };
            if let (Some(side), Some(name)) = (side(back), grade_name(front, grades)) {
                return Some((name, side, 1, if shade == 0 { inner } else { shade }));
            }
        }
        // `l3`, `left3`
        if body.len() > length && body.is_char_boundary(length) {
            let (front, back) = body.split_at(length);
            if let (Some(side), Some(name)) = (side(front), grade_name(back, grades)) {
                return Some((name, side, 1, shade));
            }
        }
    }
    // `hairpin left`, `left hairpin`, `3 left`
    let next = next?;
    let (next_body, next_shade) = match next.as_bytes().last()? {
        b'+' => (&next[..next.len() - 1], 1),
        b'-' => (&next[..next.len() - 1], -1),
        _ => (next, 0),
    };
    if let (Some(name), Some(side)) = (grade_name(body, grades), side(next)) {
        return Some((name, side, 2, shade));
    }
    let (name, side) = (grade_name(next_body, grades)?, side(body)?);
    Some((name, side, 2, next_shade))
}

/// Whether a word changes the piece before it, which it then does.
fn modify(
    word: &str,
    number: usize,
    pieces: &mut Vec<Piece>,
    speed: Option<f64>,
) -> Result<bool, NoteError> {
    let lower = word.to_lowercase();
    if lower == "crest" {
        let speed = speed.ok_or(NoteError::NoCrestSpeed { number })?;
        let before = pieces.last().cloned();
        if let Some(piece) = pieces.last_mut() {
            match &mut piece.form {
                Form::Straight { length } if *length > CREST_LENGTH && piece.crest.is_none() => {
                    *length -= CREST_LENGTH;
                    pieces.extend(before.map(|whole| Piece {
                        form: Form::Straight {
                            length: CREST_LENGTH,
                        },
                        crest: Some(speed),
                        ..whole
                    }));
                }
                // A crest where the length waits for the car: the driver's speed over all of it.
                Form::Corner {
                    known:
                        Known::Apex {
                            extent: Extent::Turn(_),
                            speed: apex,
                            scales,
                        },
                    ..
                } => {
                    if speed < *apex {
                        (*apex, *scales) = (speed, Scales::Driver);
                    }
                }
                _ => piece.crest = Some(speed),
            }
        }
        return Ok(true);
    }
    let change: fn(&mut f64, &mut f64) = match lower.as_str() {
        "long" | "lg" => |turn, _| *turn *= LONG,
        "short" | "sh" => |turn, _| *turn *= SHORT,
        "opens" | "open" | "op" => |_, opens| *opens = OPENS,
        "tightens" | "tight" | "tt" => |_, opens| *opens = 1.0 / OPENS,
        _ => return Ok(false),
    };
    let flat = matches!(
        pieces.last(),
        Some(Piece {
            form: Form::Straight { .. },
            ..
        })
    );
    let corner = pieces.last_mut().and_then(|piece| match &mut piece.form {
        Form::Corner {
            known:
                Known::Apex {
                    extent: Extent::Turn(turn),
                    ..
                },
            opens,
            ..
        } => Some((turn, opens)),
        _ => None,
    });
    match corner {
        Some((turn, opens)) => change(turn, opens),
        // A flat corner may be long as it likes.
        None if flat => {}
        None => {
            return Err(NoteError::NoCorner {
                number,
                word: word.to_owned(),
            });
        }
    }
    Ok(true)
}

fn passed(word: &str) -> bool {
    let lower = typed(word);
    PASSED.contains(&lower.trim_matches(['(', ')', '.', '"']))
}

pub mod trip;
mod unknown;

#[cfg(test)]
mod tests;
