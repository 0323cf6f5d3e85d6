//! A venue as a person writes it, piece by piece, laid out as sections.
//!
//! A straight has a length. A corner has a radius and a turned angle, or the speed measured at its
//! apex with a length or a turned angle. A crest is a speed the driver will not pass over the
//! 10 m at the middle of its piece (common practice, no source). A corner may open: its last third,
//! by length, then has a larger radius, the whole still turning by the angle written.

use super::names::Namer;
use super::together::together;
use super::{Bend, Extent, Place, Scales, Section, Sector, plan};

/// Length over which a crest holds the driver back, m.
pub const CREST_LENGTH: f64 = 10.0;

/// How many pieces a venue may have once its repeats are written out.
pub const MOST_PIECES: usize = 100_000;

/// Which way a corner goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// To the left, positive curvature.
    Left,
    /// To the right, negative curvature.
    Right,
}

impl Side {
    /// +1 to the left, −1 to the right.
    pub fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// The other one.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// What a corner is known by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Known {
    /// Radius, m, and turned angle, rad.
    Radius {
        /// Radius, m.
        radius: f64,
        /// Turned angle, rad, positive.
        turn: f64,
    },
    /// The speed at its apex.
    Apex {
        /// Speed, m/s.
        speed: f64,
        /// Length, or the angle that gives it.
        extent: Extent,
        /// What the speed scales with.
        scales: Scales,
    },
}

/// What a piece is.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// A straight.
    Straight {
        /// Length, m.
        length: f64,
    },
    /// A corner.
    Corner {
        /// What it is known by.
        known: Known,
        /// Which way it goes, where that is known.
        side: Option<Side>,
        /// Radius of its last third over the radius before it; 1 does not open, below 1 tightens.
        opens: f64,
        /// The grade it was noted with, such as `square` or `3`.
        grade: Option<String>,
    },
}

/// One stretch of a venue as a person writes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What it is.
    pub form: Form,
    /// Name, where it has one.
    pub name: Option<String>,
    /// Slope as the tangent of the angle, rising positive.
    pub slope: f64,
    /// Index of its surface.
    pub surface: usize,
    /// The surface that its speed is that of, where that may be another ([`Section::graded_on`]).
    pub graded_on: Option<usize>,
    /// A speed the driver will not pass anywhere on it, m/s.
    pub cap: Option<f64>,
    /// A speed the driver will not pass over the crest at its middle, m/s.
    pub crest: Option<f64>,
    /// The name of the sector that begins with it.
    pub sector: Option<String>,
}

impl Piece {
    /// A level piece on the first surface.
    pub fn new(form: Form) -> Self {
        Self {
            form,
            name: None,
            slope: 0.0,
            surface: 0,
            graded_on: None,
            cap: None,
            crest: None,
            sector: None,
        }
    }

    /// A straight, m.
    pub fn straight(length: f64) -> Self {
        Self::new(Form::Straight { length })
    }

    /// A corner of one radius, m, turning by an angle, rad.
    pub fn corner(radius: f64, turn: f64, side: Side) -> Self {
        Self::new(Form::Corner {
            known: Known::Radius { radius, turn },
            side: Some(side),
            opens: 1.0,
            grade: None,
        })
    }
}

/// A piece, or a run of pieces that comes several times.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// One piece.
    Piece(Piece),
    /// Pieces that come `times` times over.
    Repeat {
        /// How often.
        times: u32,
        /// What comes.
        items: Vec<Item>,
    },
}

/// Why pieces cannot be laid out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PieceError {
    /// There are none.
    #[error("no pieces")]
    Empty,
    /// More than [`MOST_PIECES`].
    #[error("more than {MOST_PIECES} pieces")]
    TooMany,
    /// A number that must be positive and finite is not.
    #[error("piece {piece}: {what} is {value}, and must be above zero")]
    NotPositive {
        /// Which piece, counted from 1 with repeats written out.
        piece: usize,
        /// Which of its numbers.
        what: &'static str,
        /// The number.
        value: f64,
    },
    /// The slope is no number.
    #[error("piece {piece}: the slope is not a finite number")]
    Slope {
        /// Which piece, counted from 1 with repeats written out.
        piece: usize,
    },
    /// A crest in the middle of a corner whose length only the car will tell.
    #[error("piece {piece}: a crest in a graded corner needs the corner's length")]
    CrestWithoutLength {
        /// Which piece, counted from 1 with repeats written out.
        piece: usize,
    },
}

/// Pieces laid out one after another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Sections in driving order.
    pub sections: Vec<Section>,
    /// One place a piece; a corner of several pieces is one.
    pub places: Vec<Place>,
    /// Where sectors begin.
    pub sectors: Vec<Sector>,
}

/// Repeats written out.
///
/// # Errors
/// More than [`MOST_PIECES`].
pub fn write_out(items: &[Item]) -> Result<Vec<Piece>, PieceError> {
    fn push(items: &[Item], out: &mut Vec<Piece>) -> Result<(), PieceError> {
        for item in items {
            match item {
                Item::Piece(piece) if out.len() < MOST_PIECES => out.push(piece.clone()),
                Item::Piece(_) => return Err(PieceError::TooMany),
                Item::Repeat { items, .. } if items.is_empty() => {}
                Item::Repeat { times, items } => {
                    for _ in 0..*times {
                        let before = out.len();
                        push(items, out)?;
                        if out.len() == before {
                            break;
                        }
                    }
                }
            }
        }
        Ok(())
    }
    let mut pieces = Vec::new();
    push(items, &mut pieces)?;
    Ok(pieces)
}

/// Lays pieces out one after another.
///
/// # Errors
/// No pieces at all; a length, radius, angle or speed that is not positive and finite; a crest in a
/// corner without length.
pub fn lay(pieces: &[Piece]) -> Result<Layout, PieceError> {
    if pieces.is_empty() {
        return Err(PieceError::Empty);
    }
    let mut layout = Layout::default();
    for (i, piece) in pieces.iter().enumerate() {
        check(piece, i + 1)?;
    }
    let together = together(pieces);
    for (piece, &place) in pieces.iter().zip(&together.of) {
        if let Some(name) = &piece.sector {
            let first_section = layout.sections.len();
            layout.sectors.push(Sector {
                name: name.clone(),
                first_section,
            });
        }
        lay_piece(piece, place, &mut layout.sections);
    }
    layout.places = Namer::new(&together.pieces).places();
    Ok(layout)
}

fn check(piece: &Piece, number: usize) -> Result<(), PieceError> {
    let positive = |what, value: f64| {
        if value.is_finite() && value > 0.0 {
            Ok(())
        } else {
            Err(PieceError::NotPositive {
                piece: number,
                what,
                value,
            })
        }
    };
    match &piece.form {
        Form::Straight { length } => positive("the length", *length)?,
        Form::Corner { known, opens, .. } => {
            match *known {
                Known::Radius { radius, turn } => {
                    positive("the radius", radius)?;
                    positive("the turned angle", turn)?;
                }
                Known::Apex { speed, extent, .. } => {
                    positive("the apex speed", speed)?;
                    match extent {
                        Extent::Length(length) => positive("the length", length)?,
                        Extent::Turn(turn) => positive("the turned angle", turn)?,
                    }
                }
            }
            positive("how far it opens", *opens)?;
        }
    }
    for (what, value) in [("the cap", piece.cap), ("the crest's speed", piece.crest)] {
        value.map_or(Ok(()), |value| positive(what, value))?;
    }
    if !piece.slope.is_finite() {
        return Err(PieceError::Slope { piece: number });
    }
    if piece.crest.is_some() && piece.length().is_none() {
        return Err(PieceError::CrestWithoutLength { piece: number });
    }
    Ok(())
}

/// Share of a corner's curvature-times-length that its first two thirds hold when it opens.
fn first_part(opens: f64) -> f64 {
    2.0 / (2.0 + 1.0 / opens)
}

impl Piece {
    /// Whether it is a corner of this grade.
    pub fn is_of(&self, name: &str) -> bool {
        matches!(&self.form, Form::Corner { grade: Some(grade), .. } if grade == name)
    }

    /// Length along the road, m, where it needs no car to know.
    pub fn length(&self) -> Option<f64> {
        match &self.form {
            Form::Straight { length } => Some(*length),
            Form::Corner {
                known: Known::Radius { radius, turn },
                opens,
                ..
            } => {
                // Two thirds of L at R and one third at opens·R turn by L/R·(2 + 1/opens)/3.
                Some(radius * turn * 3.0 / (2.0 + 1.0 / opens))
            }
            Form::Corner {
                known:
                    Known::Apex {
                        extent: Extent::Length(length),
                        ..
                    },
                ..
            } => Some(*length),
            Form::Corner { .. } => None,
        }
    }

    /// Length along the road, m; of a corner that waits for the car, driven at a lateral acceleration, m/s².
    pub fn length_at(&self, lateral: f64) -> f64 {
        match &self.form {
            Form::Corner {
                known:
                    Known::Apex {
                        speed,
                        extent: Extent::Turn(turn),
                        ..
                    },
                ..
            } => plan::turning(*turn, *speed, lateral),
            _ => self.length().unwrap_or_default(),
        }
    }

    /// How it bends in its last third (`late`) or before.
    fn bend(&self, late: bool) -> Bend {
        let Form::Corner {
            known, side, opens, ..
        } = &self.form
        else {
            return Bend::Straight;
        };
        let widening = if late { *opens } else { 1.0 };
        let direction = side.map_or(0.0, Side::sign);
        match *known {
            Known::Radius { radius, .. } => Bend::Radius {
                // A corner without direction still bends: the lap needs only how much.
                curvature: side.map_or(1.0, Side::sign) / (radius * widening),
            },
            // The same grip at `opens` times the radius: the speed grows with the root.
            Known::Apex { speed, scales, .. } => Bend::Measured {
                speed: speed * widening.sqrt(),
                direction,
                scales,
            },
        }
    }
}

fn lay_piece(piece: &Piece, place: usize, sections: &mut Vec<Section>) {
    let opens = match piece.form {
        Form::Corner { opens, .. } => opens,
        Form::Straight { .. } => 1.0,
    };
    let section = |extent, late, cap: Option<f64>| Section {
        extent,
        bend: piece.bend(late),
        slope: piece.slope,
        surface: piece.surface,
        cap: cap.into_iter().chain(piece.cap).min_by(f64::total_cmp),
        place,
        graded_on: piece.graded_on,
        seen_curvature: None,
    };
    let Some(length) = piece.length() else {
        if let Form::Corner {
            known:
                Known::Apex {
                    extent: Extent::Turn(turn),
                    ..
                },
            ..
        } = piece.form
        {
            let first = if opens == 1.0 { 1.0 } else { first_part(opens) };
            sections.push(section(Extent::Turn(turn * first), false, None));
            if first < 1.0 {
                sections.push(section(Extent::Turn(turn * (1.0 - first)), true, None));
            }
        }
        return;
    };
    let opening = if opens == 1.0 {
        length
    } else {
        length * 2.0 / 3.0
    };
    let reach = 0.5 * CREST_LENGTH.min(length);
    let crest = piece
        .crest
        .map(|_| (0.5 * length - reach, 0.5 * length + reach));
    let mut edges = vec![0.0, opening, length];
    edges.extend(crest.into_iter().flat_map(|(from, to)| [from, to]));
    edges.sort_by(f64::total_cmp);
    for edge in edges.windows(2) {
        let (from, to) = (edge[0], edge[1]);
        if to - from > 1e-9 * length {
            let middle = 0.5 * (from + to);
            let on_crest = crest.is_some_and(|(a, b)| a < middle && middle < b);
            let cap = if on_crest { piece.crest } else { None };
            sections.push(section(Extent::Length(to - from), middle > opening, cap));
        }
    }
}
