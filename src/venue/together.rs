//! Pieces that make one corner: neighbours that bend to one side without a straight between them.

use super::names::is_square;
use super::path::corners::{GENTLEST, LEAST_TURN, SADDLE_LENGTH};
use super::pieces::{Form, Known, Piece, Side};
use super::plan::tightest;

/// Pieces as a person would count them, for their names.
pub(super) struct Together {
    /// One for each place.
    pub pieces: Vec<Piece>,
    /// The place of each piece as written.
    pub of: Vec<usize>,
}

/// Joins neighbours that make one corner. A name or a grade begins a corner of its own; a nameless bend that a
/// surveyed road would not show as a corner is part of a straight.
pub(super) fn together(pieces: &[Piece]) -> Together {
    let mut found = Together {
        pieces: Vec::new(),
        of: Vec::with_capacity(pieces.len()),
    };
    let mut first = 0;
    while first < pieces.len() {
        let side = plain_side(&pieces[first]);
        let goes_on = |piece: &&Piece| {
            side.is_some() && plain_side(piece) == side && piece.name.is_none() && !parts(piece)
        };
        let count = 1 + pieces[first + 1..].iter().take_while(goes_on).count();
        let own = &pieces[first..first + count];
        found.of.extend(own.iter().map(|_| found.pieces.len()));
        found.pieces.push(as_one(own));
        first += count;
    }
    found
}

/// Whether a bend is so gentle and long that it parts two corners of one side, as a straight does.
fn parts(piece: &Piece) -> bool {
    let gentle = bend(std::slice::from_ref(piece)).is_some_and(|(radius, _)| radius > GENTLEST);
    gentle && piece.length().is_some_and(|length| length > SADDLE_LENGTH)
}

/// Which way a corner without a grade goes.
fn plain_side(piece: &Piece) -> Option<Side> {
    match &piece.form {
        Form::Corner {
            side, grade: None, ..
        } if piece.length().is_some() => *side,
        _ => None,
    }
}

/// The piece that stands for neighbours of one side: the slowest that was measured, else their tightest radius
/// and all of their turn.
fn as_one(own: &[Piece]) -> Piece {
    let apex = |piece: &&Piece| match &piece.form {
        Form::Corner {
            known: Known::Apex { speed, .. },
            ..
        } => Some(*speed),
        _ => None,
    };
    let slowest = own
        .iter()
        .filter(|piece| apex(piece).is_some())
        .min_by(|a, b| {
            apex(a)
                .unwrap_or_default()
                .total_cmp(&apex(b).unwrap_or_default())
        });
    let mut one = match (slowest, bend(own)) {
        (Some(slowest), _) => slowest.clone(),
        (None, Some(_)) if own.len() == 1 && own[0].name.is_some() => own[0].clone(),
        (None, Some((radius, turn))) => of_radius(own, radius, turn),
        (None, None) => own[0].clone(),
    };
    one.name.clone_from(&own[0].name);
    one
}

fn of_radius(own: &[Piece], radius: f64, turn: f64) -> Piece {
    let gentle = radius > GENTLEST || turn < LEAST_TURN;
    if gentle && own[0].name.is_none() {
        return Piece::straight(1.0);
    }
    let mut one = own[0].clone();
    if let (
        true,
        Form::Corner {
            known,
            opens,
            grade,
            ..
        },
    ) = (own.len() > 1, &mut one.form)
    {
        *known = Known::Radius { radius, turn };
        *opens = 1.0;
        *grade = is_square(radius, turn).then(|| "square".to_owned());
    }
    one
}

/// Radius of the tightest part, m, and the turned angle, rad, of neighbours without grades.
fn bend(own: &[Piece]) -> Option<(f64, f64)> {
    let radii = own.iter().map(|piece| match &piece.form {
        Form::Corner {
            known: Known::Radius { radius, turn },
            grade: None,
            ..
        } => Some((*radius, *turn)),
        _ => None,
    });
    let radii: Vec<(f64, f64)> = radii.collect::<Option<_>>()?;
    let tight = tightest(
        radii
            .iter()
            .map(|(radius, turn)| (1.0 / radius, radius * turn)),
    )?;
    Some((tight.radius, radii.iter().map(|(_, turn)| turn).sum()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::pieces::lay;

    fn corner(radius: f64, degrees: f64, side: Side) -> Piece {
        Piece::corner(radius, degrees.to_radians(), side)
    }

    /// The names of the corners that pieces make.
    fn corners(pieces: &[Piece]) -> Vec<String> {
        let places = lay(pieces).unwrap().places.into_iter();
        places
            .filter(|place| place.corner)
            .map(|place| place.name)
            .collect()
    }

    #[test]
    fn neighbours_of_one_side_are_one_corner() {
        use Side::{Left, Right};
        let road = [
            Piece::straight(100.0),
            corner(60.0, 20.0, Left),
            corner(30.0, 60.0, Left),
            corner(90.0, 10.0, Left),
            corner(25.0, 40.0, Right),
            Piece::straight(50.0),
            corner(25.0, 40.0, Right),
        ];
        assert_eq!(corners(&road), ["R30 left", "R25 right 1", "R25 right 2"]);
        let hairpin = [corner(14.0, 80.0, Left), corner(11.0, 80.0, Left)];
        assert_eq!(corners(&hairpin), ["hairpin left"]);
        // A bend as gentle as a straight parts them.
        let apart = [
            corner(30.0, 60.0, Left),
            corner(900.0, 12.0, Left),
            corner(30.0, 60.0, Left),
        ];
        assert_eq!(corners(&apart), ["R30 left 1", "R30 left 2"]);
        let layout = lay(&road).unwrap();
        assert_eq!(layout.places.len(), 5);
        let places: Vec<usize> = layout
            .sections
            .iter()
            .map(|section| section.place)
            .collect();
        assert_eq!(places, [0, 1, 1, 1, 2, 3, 4]);
    }

    #[test]
    fn what_is_named_or_graded_stays_apart() {
        use Side::Left;
        let mut named = [corner(30.0, 60.0, Left), corner(40.0, 60.0, Left)];
        named[1].name = Some("church".to_owned());
        assert_eq!(corners(&named), ["R30 left", "church"]);
        named.swap(0, 1);
        assert_eq!(corners(&named), ["church"]);
        let notes = crate::venue::notes::pieces("3L 2L", &Default::default(), None, &[]).unwrap();
        assert_eq!(corners(&notes), ["grade 3 left", "grade 2 left"]);
    }

    #[test]
    fn what_hardly_bends_is_part_of_a_straight() {
        let road = [
            corner(30.0, 60.0, Side::Left),
            corner(900.0, 12.0, Side::Right),
            corner(60.0, 4.0, Side::Left),
            corner(40.0, 30.0, Side::Right),
        ];
        assert_eq!(corners(&road), ["R30 left", "R40 right"]);
    }
}
