//! Pace notes by trip meter: each reading says where the corner after it begins, measured along the road.
//!
//! From a reading to the next lie the corner and the straight behind it, so a corner's own length is no road
//! more. It is that of the grade's angle at a nominal grip, and no longer than to the next reading.

use super::unknown::{END_WORDS, flying_finish, unknown};
use super::{Grades, NoteError, corner, modify, passed, percentage, surface_of, words};
use crate::units::MILE;
use crate::venue::Extent;
use crate::venue::pieces::{Form, Known, Piece};

/// Fewer numbers may rise by chance, in one of 720 pages of distances.
const RISING: usize = 6;

/// What a trip meter counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Kilometres.
    Kilometre,
    /// Metres.
    Metre,
    /// Miles.
    Mile,
}

impl Unit {
    /// One of it, m.
    pub fn metres(self) -> f64 {
        match self {
            Self::Kilometre => 1000.0,
            Self::Metre => 1.0,
            Self::Mile => MILE,
        }
    }

    /// Its sign.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Kilometre => "km",
            Self::Metre => "m",
            Self::Mile => "mi",
        }
    }
}

/// Readings that rise through all of some notes, as a trip meter's do and distances do not.
#[derive(Debug, Clone, PartialEq)]
pub struct Rising {
    /// The first, as written.
    pub first: String,
    /// The last, as written.
    pub last: String,
    /// What they seem to be in.
    pub unit: Unit,
    /// Whether they could be distances too: whole metres.
    pub whole: bool,
}

/// A reading: a number, with its unit where one is written.
fn reading(word: &str) -> Option<(f64, Option<Unit>)> {
    let word = word.trim_end_matches(':');
    let written = [Unit::Kilometre, Unit::Mile, Unit::Metre].into_iter();
    let mut written =
        written.filter_map(|unit| Some((word.strip_suffix(unit.sign())?, Some(unit))));
    let (digits, unit) = written.next().unwrap_or((word, None));
    let plain = digits.starts_with(|c: char| c.is_ascii_digit())
        && (digits.bytes()).all(|b| b.is_ascii_digit() || b".,".contains(&b));
    let number = digits.replace(',', ".").parse().ok();
    let number = number.filter(|number: &f64| plain && number.is_finite());
    number.map(|number| (number, unit))
}

/// Whether a word is a number and no grade: `3` before `left` is none.
fn is_reading(word: &str, next: Option<&str>, grades: &Grades) -> Option<(f64, Option<Unit>)> {
    match corner(word, next, grades) {
        Some(_) => None,
        None => reading(word),
    }
}

/// The readings of notes that are no distances from corner to corner; `None` where they may be those.
pub fn rising(notes: &str, grades: &Grades) -> Option<Rising> {
    let words: Vec<&str> = words(notes).collect();
    let mut found: Vec<(&str, f64)> = Vec::new();
    let mut i = 0;
    while i < words.len() {
        let next = words.get(i + 1).copied();
        if let Some((_, used)) = corner(words[i], next, grades) {
            i += used;
            continue;
        }
        found.extend(reading(words[i]).map(|(number, _)| (words[i], number)));
        i += 1;
    }
    let rises = found.len() >= RISING && found.windows(2).all(|pair| pair[1].1 > pair[0].1);
    let (first, last) = (found.first()?, found.last()?);
    let whole = found
        .iter()
        .all(|(word, _)| super::distance(word).is_some());
    // Stages are 1 to 100 of one or 1,000 and more of the other.
    let unit = match last.1 < 200.0 {
        true => Unit::Kilometre,
        false => Unit::Metre,
    };
    rises.then(|| Rising {
        first: first.0.to_owned(),
        last: last.0.to_owned(),
        unit,
        whole,
    })
}

/// What was noted at a reading.
struct Part {
    /// The reading, m.
    at: f64,
    noted: Vec<Piece>,
    /// Slope and surface of the road behind it.
    slope: f64,
    surface: usize,
}

/// Reads notes by trip meter. `crest` is the speed over crests, m/s, `lateral` the acceleration that corners are
/// taken at, m/s²; `surfaces` as in [`super::pieces`].
///
/// # Errors
/// Every note that cannot be read, at least one; see [`NoteError`].
pub fn pieces(
    notes: &str,
    unit: Unit,
    grades: &Grades,
    crest: Option<f64>,
    lateral: f64,
    surfaces: &[(String, usize)],
) -> Result<Vec<Piece>, Vec<NoteError>> {
    let words: Vec<&str> = words(notes).collect();
    let mut parts: Vec<Part> = Vec::new();
    let mut errors = Vec::new();
    let (mut slope, mut surface, mut before) = (0.0, 0, "");
    // Slope and surface of the road before the first reading.
    let mut begun = (0.0, 0);
    let mut i = 0;
    while i < words.len() {
        let (number, word, next) = (i + 1, words[i], words.get(i + 1).copied());
        if let Some(percent) = percentage(word) {
            slope = 0.01 * percent;
            if let Some(part) = parts.last_mut() {
                part.slope = slope;
            }
        } else if let Some(onto) = surface_of(word, surfaces) {
            surface = onto;
            if let Some(part) = parts.last_mut() {
                part.surface = surface;
            }
        } else if let Some((at, written)) = is_reading(word, next, grades) {
            let at = at * written.unwrap_or(unit).metres();
            match parts.last() {
                Some(last) if at <= last.at => errors.push(NoteError::Falls {
                    number,
                    word: word.to_owned(),
                    before: before.to_owned(),
                }),
                _ => {
                    before = word;
                    if parts.is_empty() {
                        begun = (slope, surface);
                    }
                    parts.push(Part {
                        at,
                        noted: Vec::new(),
                        slope,
                        surface,
                    });
                }
            }
            i += usize::from(next == Some(unit.sign()));
        } else if let Some((piece, used)) = corner(word, next, grades) {
            match parts.last_mut() {
                Some(part) => part.noted.push(Piece {
                    slope,
                    surface,
                    ..piece
                }),
                None => errors.push(NoteError::Nowhere {
                    number,
                    word: word.to_owned(),
                }),
            }
            i += used - 1;
        } else if let Some(part) = parts.last_mut().filter(|_| !is_end(word, next)) {
            let noted = &mut part.noted;
            // A crest of its own is road that is straight.
            if noted.is_empty() && word.eq_ignore_ascii_case("crest") {
                noted.push(Piece {
                    slope,
                    surface,
                    ..Piece::straight(super::CREST_LENGTH)
                });
            }
            match modify(word, number, noted, crest) {
                Ok(true) => {}
                Ok(false) if passed(word) => {}
                Ok(false) => errors.push(unknown(word, number, (&words[..i], next), grades)),
                Err(error) => errors.push(error),
            }
        } else if !is_end(word, next) && !passed(word) {
            errors.push(unknown(word, number, (&words[..i], next), grades));
        }
        i += 1;
    }
    if parts.iter().all(|part| part.noted.is_empty()) && errors.is_empty() {
        errors.push(NoteError::Empty);
    }
    match errors.is_empty() {
        true => Ok(laid(parts, begun, lateral)),
        false => Err(errors),
    }
}

/// Start and finish have their readings here.
fn is_end(word: &str, next: Option<&str>) -> bool {
    END_WORDS.contains(&word.to_lowercase().as_str()) || flying_finish(word, next)
}

/// The road of readings: it begins at the first where nothing was noted there, else where the trip was set to
/// nought, with what slope and surface were said to have `begun`; it ends with the last.
fn laid(parts: Vec<Part>, begun: (f64, usize), lateral: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let ends: Vec<f64> = parts.iter().skip(1).map(|part| part.at).collect();
    if let Some(first) = parts.first()
        && !first.noted.is_empty()
        && first.at > 0.0
    {
        pieces.push(Piece {
            slope: begun.0,
            surface: begun.1,
            ..Piece::straight(first.at)
        });
    }
    for (index, part) in parts.into_iter().enumerate() {
        let Part {
            at,
            noted,
            slope,
            surface,
        } = part;
        let room = ends.get(index).map_or(f64::INFINITY, |end| end - at);
        let share = room
            / noted
                .iter()
                .map(|piece| piece.length_at(lateral))
                .sum::<f64>();
        let mut left = room;
        for piece in noted {
            let long = piece.length_at(lateral) * share.min(1.0);
            left -= long;
            pieces.push(of_length(piece, long));
        }
        // What rounding leaves is no road.
        if left.is_finite() && left > 0.01 {
            pieces.push(Piece {
                slope,
                surface,
                ..Piece::straight(left)
            });
        }
    }
    pieces
}

fn of_length(mut piece: Piece, long: f64) -> Piece {
    match &mut piece.form {
        Form::Straight { length } => *length = long,
        Form::Corner {
            known: Known::Apex { extent, .. },
            ..
        } => *extent = Extent::Length(long),
        Form::Corner { .. } => {}
    }
    piece
}
