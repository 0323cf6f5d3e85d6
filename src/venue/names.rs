//! Names for the places of a venue that a person did not name.

use std::collections::BTreeMap;

use super::Place;
use super::pieces::{Form, Known, Piece, Side};

/// From how many radians a corner without a grade is called a hairpin (135°, common practice).
const HAIRPIN_TURN: f64 = 0.75 * std::f64::consts::PI;

/// Whether a corner of this radius, m, and turned angle, rad, is called a square one (common practice, no source).
pub(super) fn is_square(radius: f64, turn: f64) -> bool {
    radius <= 20.0 && (75f64..110.0).contains(&turn.to_degrees())
}

/// Names the pieces of one venue.
pub(super) struct Namer<'a> {
    pieces: &'a [Piece],
    /// How often each label comes in all.
    total: BTreeMap<String, usize>,
    /// How often each label has come so far.
    seen: BTreeMap<String, usize>,
}

impl<'a> Namer<'a> {
    pub(super) fn new(pieces: &'a [Piece]) -> Self {
        let mut total = BTreeMap::new();
        for label in pieces.iter().filter_map(label) {
            *total.entry(label).or_insert(0) += 1;
        }
        Self {
            pieces,
            total,
            seen: BTreeMap::new(),
        }
    }

    /// One place a piece: the written name, else what the piece is, with a number where there are
    /// several such; a nameless straight is named after the corner it leads to.
    pub(super) fn places(mut self) -> Vec<Place> {
        let names: Vec<Option<String>> = self
            .pieces
            .iter()
            .map(|piece| label(piece).map(|label| self.number(label)))
            .collect();
        let mut next: Option<&str> = None;
        let mut places: Vec<Place> = Vec::with_capacity(names.len());
        for (piece, name) in self.pieces.iter().zip(&names).rev() {
            let corner = matches!(piece.form, Form::Corner { .. });
            let given = match (name, next) {
                (Some(name), _) => name.clone(),
                (None, Some(next)) => format!("straight to {next}"),
                (None, None) => "run to the finish".to_owned(),
            };
            if let (true, Some(name)) = (corner, name) {
                next = Some(name);
            }
            places.push(Place {
                name: given,
                corner,
                named: piece.name.is_some(),
            });
        }
        places.reverse();
        places
    }

    fn number(&mut self, label: String) -> String {
        if self.total.get(&label).is_none_or(|&total| total < 2) {
            return label;
        }
        let seen = self.seen.entry(label.clone()).or_insert(0);
        *seen += 1;
        format!("{label} {seen}")
    }
}

/// What a piece is called before it is numbered; `None` for a nameless straight.
fn label(piece: &Piece) -> Option<String> {
    if let Some(name) = &piece.name {
        return Some(name.clone());
    }
    let Form::Corner {
        known, side, grade, ..
    } = &piece.form
    else {
        return None;
    };
    let what = match (grade, *known) {
        (Some(grade), _) if grade.chars().all(|c| c.is_ascii_digit()) => format!("grade {grade}"),
        (Some(grade), _) => grade.clone(),
        (None, Known::Radius { turn, .. }) if turn >= HAIRPIN_TURN => "hairpin".to_owned(),
        (None, Known::Radius { radius, .. }) => format!("R{radius:.0}"),
        (None, Known::Apex { speed, .. }) => format!("{:.0} km/h", speed * 3.6),
    };
    Some(match side {
        Some(Side::Left) => format!("{what} left"),
        Some(Side::Right) => format!("{what} right"),
        None => what,
    })
}
