//! Tracks from a page of notes.

use super::pieces::lay_out;
use super::scale::{Scale, assume_usual};
use super::{misread, surface_index};
use crate::files::finding::{Finding, Severity};
use crate::files::yaml::Item;
use crate::units::{KILOMETRE_PER_HOUR, SPEED};
use crate::venue::notes::NoteError;
use crate::venue::notes::trip::{self, Unit};
use crate::venue::pieces::{Form, Layout, Piece};
use crate::venue::{Surface, notes, plan};

/// More faults of one kind are told as one.
const ALIKE: usize = 3;
/// Units of a trip meter.
const UNITS: &[(&str, Unit)] = &[
    ("km", Unit::Kilometre),
    ("m", Unit::Metre),
    ("mi", Unit::Mile),
];
/// Words of surfaces that notes change to; mud, snow and ice are called as dangers (common practice, no source).
const IN_NOTES: &[&str] = &["tarmac", "asphalt", "concrete", "gravel"];
/// No road is shorter or longer, m.
const SHORTEST: f64 = 50.0;
const LONGEST: f64 = 200_000.0;

/// Lays out notes: `"100 HpL 60 3R"`, or `{text: …, crest: 90 km/h, slope: 2 %}`.
pub(super) fn from_notes(
    item: &Item,
    scale: &Scale,
    surfaces: &mut Vec<Surface>,
) -> Option<Layout> {
    let (text, trip, crest, slope) = if item.is_mapping() {
        let map = item.mapping(&["text", "trip", "crest", "slope"])?;
        let text = map
            .require("text", "\"100 HpL 60 3R\"")
            .and_then(|item| long_text(&item))?;
        let crest = match map.take("crest") {
            Some(item) => Some(item.quantity(&SPEED, 0.1..=500.0 * KILOMETRE_PER_HOUR)?),
            None => None,
        };
        let slope = match map.take("slope") {
            Some(item) => Some(item.slope(-0.5..=0.5)?),
            None => None,
        };
        let unit = match map.take("trip") {
            Some(item) => Some((item, item.one_of(UNITS)?)),
            None => None,
        };
        (text, unit, crest, slope)
    } else {
        (long_text(item)?, None, None, None)
    };
    let page = Page {
        item: item_of_text(item),
        text: &text,
        scale,
        crest,
        lateral: plan::nominal_lateral(&surfaces[0]),
        surfaces: named(&text, surfaces),
    };
    let mut pieces = match trip {
        Some((item, unit)) => page.by_trip(&item, unit)?,
        None => page.by_distances()?,
    };
    scale.turned(item, |grade| pieces.iter().any(|piece| piece.is_of(grade)))?;
    match slope {
        Some(slope) => pieces.iter_mut().for_each(|piece| piece.slope += slope),
        None if pieces.iter().all(|piece| piece.slope == 0.0) => {
            item.assumed("slope", "a level road")
        }
        None => {}
    }
    if pieces.iter().any(|piece| piece.surface > 0) {
        let text = "a grade's corner is as tight on every surface: its speed goes with the root of the grip";
        item.assumed("surface", text);
    }
    assume_usual(item, &scale.grades, &surfaces[0]);
    lay_out(item, &pieces)
}

/// The surfaces that notes name, by the words for them: defined ones, and usual ones.
fn named(text: &str, surfaces: &mut Vec<Surface>) -> Vec<(String, usize)> {
    let mut found: Vec<(String, usize)> = Vec::new();
    for word in notes::words(text) {
        let known = |surface: &Surface| surface.name.eq_ignore_ascii_case(word);
        let index = surfaces.iter().position(known).or_else(|| {
            let lower = word.to_lowercase();
            IN_NOTES
                .contains(&lower.as_str())
                .then(|| surface_index(&lower, surfaces))
        });
        found.extend(index.map(|index| (word.to_owned(), index)));
    }
    found
}

/// The item that holds the notes themselves.
fn item_of_text<'a>(item: &Item<'a>) -> Item<'a> {
    let inner = item.is_mapping().then(|| item.entries()).flatten();
    let text = inner.and_then(|entries| entries.into_iter().find(|entry| entry.name() == "text"));
    text.unwrap_or(*item)
}

/// A page of notes, and what it is read with.
struct Page<'a> {
    item: Item<'a>,
    text: &'a str,
    scale: &'a Scale,
    /// Speed over crests, m/s.
    crest: Option<f64>,
    /// Lateral acceleration that corners are taken at, m/s².
    lateral: f64,
    /// Words for surfaces, and which they are.
    surfaces: Vec<(String, usize)>,
}

impl Page<'_> {
    /// Distances from corner to corner.
    fn by_distances(&self) -> Option<Vec<Piece>> {
        let grades = &self.scale.grades;
        let rising = trip::rising(self.text, grades);
        match (
            notes::pieces(self.text, grades, self.crest, &self.surfaces),
            rising,
        ) {
            (Ok(pieces), rising) => {
                match rising {
                    Some(rising) => self.item.push(self.ask_trip(&rising, Severity::Warning)),
                    None => {
                        ask_far(&self.item, self.text);
                        misread::ask(&self.item, self.text, grades);
                    }
                }
                Some(pieces)
            }
            (Err(_), Some(rising)) if !rising.whole => {
                self.item.push(self.ask_trip(&rising, Severity::Error));
                // What else is wrong with them as readings.
                if let Err(errors) = self.read_trip(rising.unit) {
                    tell(&self.item, self.text, &errors);
                }
                None
            }
            (Err(errors), _) => {
                tell(&self.item, self.text, &errors);
                None
            }
        }
    }

    fn read_trip(&self, unit: Unit) -> Result<Vec<Piece>, Vec<NoteError>> {
        trip::pieces(
            self.text,
            unit,
            &self.scale.grades,
            self.crest,
            self.lateral,
            &self.surfaces,
        )
    }

    /// Asks whether numbers that rise throughout are those of a trip meter.
    fn ask_trip(&self, rising: &trip::Rising, severity: Severity) -> Finding {
        let text = format!(
            "the numbers rise through all of the notes, from {} to {}: are they readings of the trip meter?",
            rising.first, rising.last
        );
        let remedy = format!(
            "if so, write `notes: {{trip: {}, text: …}}`: each is then where the corner after it begins; if not, \
             write the metres from the end of one corner to the next",
            rising.unit.sign()
        );
        self.item.finding(severity, text).remedy(remedy)
    }

    /// Readings of the trip meter.
    fn by_trip(&self, item: &Item, unit: Unit) -> Option<Vec<Piece>> {
        let pieces = match self.read_trip(unit) {
            Ok(pieces) => pieces,
            Err(errors) => {
                tell(&self.item, self.text, &errors);
                return None;
            }
        };
        let length: f64 = pieces.iter().filter_map(Piece::length).sum();
        let other = match unit {
            Unit::Metre => Unit::Kilometre,
            Unit::Kilometre | Unit::Mile => Unit::Metre,
        };
        if !(SHORTEST..=LONGEST).contains(&length) {
            item.error(
                format!(
                    "in {} these notes are {:.3} km long",
                    unit.sign(),
                    length / 1000.0
                ),
                format!(
                    "are the readings in {}? write `trip: {}`",
                    other.sign(),
                    other.sign()
                ),
            );
            return None;
        }
        let straights = pieces
            .iter()
            .filter(|piece| matches!(piece.form, Form::Straight { .. }));
        let longest = straights.filter_map(Piece::length).fold(0.0, f64::max);
        if longest > notes::FAR {
            item.warning(
                format!(
                    "the trip meter has {:.1} km between two notes",
                    longest / 1000.0
                ),
                "check the readings and their unit",
            );
        }
        item.assumed(
            "trip",
            "each corner begins at its reading and is as long as its grade's angle makes it, at most to the next",
        );
        Some(pieces)
    }
}

/// Notes that cannot be read, each at its own place on the page; where many are of one kind, once for all.
fn tell(item: &Item, text: &str, errors: &[NoteError]) {
    let words: Vec<&str> = notes::words(text).collect();
    let places = item.places_of(&words);
    let mut kinds: Vec<(String, Vec<&NoteError>)> = Vec::new();
    for error in errors {
        let remedy = remedy(error);
        match kinds.iter_mut().find(|(known, _)| *known == remedy) {
            Some((_, alike)) => alike.push(error),
            None => kinds.push((remedy, vec![error])),
        }
    }
    let tell = |error: &NoteError, text: String, remedy: &str| {
        let place = number(error).and_then(|number| places.get(number.checked_sub(1)?));
        let finding = match place {
            Some(mark) => item.finding_at(Severity::Error, *mark, text),
            None => item.finding(Severity::Error, text),
        };
        item.push(finding.remedy(remedy));
    };
    for (remedy, alike) in &kinds {
        if alike.len() <= ALIKE {
            let each = alike.iter();
            each.for_each(|error| tell(error, error.to_string(), remedy));
            continue;
        }
        let written =
            |error: &&NoteError| Some(words.get(number(error)?.checked_sub(1)?)?.to_string());
        let mut kinds: Vec<String> = alike.iter().filter_map(written).collect();
        let mut seen = std::collections::BTreeSet::new();
        kinds.retain(|word| seen.insert(word.clone()));
        let listed: Vec<String> = kinds
            .iter()
            .take(ALIKE)
            .map(|word| format!("`{word}`"))
            .collect();
        let more = if kinds.len() > ALIKE {
            " and others"
        } else {
            ""
        };
        let text = match alike[0] {
            NoteError::Unknown { .. } => {
                format!(
                    "{} notes are not known: {}{more}",
                    alike.len(),
                    listed.join(", ")
                )
            }
            first => format!("{first}; the like in {} more", alike.len() - 1),
        };
        tell(alike[0], text, remedy);
    }
}

/// Which word of the page an error is about, from 1.
fn number(error: &NoteError) -> Option<usize> {
    match error {
        NoteError::Unknown { number, .. }
        | NoteError::NoCorner { number, .. }
        | NoteError::NoCrestSpeed { number }
        | NoteError::Falls { number, .. }
        | NoteError::Nowhere { number, .. } => Some(*number),
        NoteError::Empty => None,
    }
}

fn remedy(error: &NoteError) -> String {
    let remedy = match error {
        NoteError::Unknown { remedy, .. } => remedy,
        NoteError::NoCrestSpeed { .. } => {
            "say how fast crests are taken: `notes: {text: …, crest: 90 km/h}`"
        }
        NoteError::NoCorner { .. } => "write it after a corner",
        NoteError::Falls { .. } => {
            "correct the reading; where the numbers are distances from corner to corner, leave `trip` out"
        }
        NoteError::Nowhere { .. } => "write the reading first, as in `0.40 3R`",
        NoteError::Empty => "write notes, as in `100 HpL 60 3R`",
    };
    remedy.to_owned()
}

/// Asks about distances to the next corner that no crew calls.
fn ask_far(item: &Item, text: &str) {
    let words: Vec<&str> = notes::words(text).collect();
    let far = |word: &str| notes::distance(word).filter(|metres| *metres > notes::FAR);
    if !words.iter().any(|word| far(word).is_some()) {
        return;
    }
    for (word, place) in words.iter().zip(item.places_of(&words)) {
        let Some(metres) = far(word) else { continue };
        let text = format!(
            "`{word}` is {:.1} km of straight to the next note",
            metres / 1000.0
        );
        let remedy = "check it: distances are in metres, from the end of one corner to the next";
        item.push(
            item.finding_at(Severity::Warning, place, text)
                .remedy(remedy),
        );
    }
}

/// A page of notes may be longer than a name.
fn long_text(item: &Item) -> Option<String> {
    let text = item.scalar("notes, as in `100 HpL 60 3R`")?;
    Some(text.to_owned())
}
