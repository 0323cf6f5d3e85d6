//! Where an open path goes over its own road again, the same way, as a recording of several runs does.

use std::collections::HashMap;

use super::Point;
use super::holes::{APART, BESIDE, even};
use super::note::Note;

/// Fewer metres of road that are driven again may belong to it, and less than this share of the path.
const LEAST: f64 = 500.0;
const SHARE: f64 = 0.25;
/// What lies nearer along the path is the same bend, places.
const SOON: usize = 20;
/// So many places on from one that is near enough lies the nearest.
const NEXT: usize = 4;
/// Directions of one way have a cosine of more than this.
const ONE_WAY: f64 = 0.7;
/// So many places that a receiver puts beside the road do not end a pass.
const LOST: usize = 6;
/// Most places of one cell that are looked at: who goes round in one place for long is found all the same.
const MOST: usize = 64;

/// A pass over road that was passed before: first and last place of it, and of the road.
struct Pass {
    own: (usize, usize),
    road: (usize, usize),
}

/// The longest pass over road that the path was on before.
pub(super) fn again(points: &[Point]) -> Option<Note> {
    let places = even(points);
    let mut passes: Vec<Pass> = Vec::new();
    for (at, was) in passed_before(&places) {
        match passes.last_mut() {
            Some(pass) if at <= pass.own.1 + LOST => {
                pass.own.1 = at;
                pass.road = (pass.road.0.min(was), pass.road.1.max(was));
            }
            _ => passes.push(Pass {
                own: (at, at),
                road: (was, was),
            }),
        }
    }
    let length = |(from, to): (usize, usize)| APART * (to - from) as f64;
    let pass = passes
        .into_iter()
        .max_by_key(|pass| pass.own.1 - pass.own.0)?;
    let least = LEAST.max(SHARE * APART * places.len() as f64);
    let metres = |place: usize| APART * place as f64;
    (length(pass.own) > least && length(pass.road) > LEAST).then(|| Note::Again {
        from: metres(pass.own.0),
        to: metres(pass.own.1),
        first: (metres(pass.road.0), metres(pass.road.1.min(pass.own.0))),
    })
}

/// Places where the path had been before, going the same way, each with the first such place.
fn passed_before(places: &[(f64, f64)]) -> Vec<(usize, usize)> {
    let towards = |i: usize| {
        let (a, b) = (places[i], places[i + 1]);
        let length = (b.0 - a.0).hypot(b.1 - a.1).max(f64::MIN_POSITIVE);
        ((b.0 - a.0) / length, (b.1 - a.1) / length)
    };
    let cell = |(x, y): (f64, f64)| ((x / BESIDE).floor() as i64, (y / BESIDE).floor() as i64);
    let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    let mut found = Vec::new();
    for at in SOON..places.len().saturating_sub(1) {
        let inside = cells.entry(cell(places[at - SOON])).or_default();
        if inside.len() < MOST {
            inside.push(at - SOON);
        }
        let (here, way) = (places[at], towards(at));
        let same = |was: &usize| {
            let (there, other) = (places[*was], towards(*was));
            (there.0 - here.0).hypot(there.1 - here.1) < BESIDE
                && way.0 * other.0 + way.1 * other.1 > ONE_WAY
        };
        let (x, y) = cell(here);
        let about = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let near = about.filter_map(|cell| cells.get(&cell)).flatten().copied();
        // The first place that is near enough lies before the nearest.
        let apart = |was: usize| (places[was].0 - here.0).hypot(places[was].1 - here.1);
        let first = near.filter(same).min();
        let nearest = first
            .and_then(|first| (first..first + NEXT).min_by(|a, b| apart(*a).total_cmp(&apart(*b))));
        found.extend(nearest.map(|was| (at, was)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn recorded(places: impl Iterator<Item = (f64, f64)>) -> Vec<Point> {
        let point = |(fix, (x, y)): (usize, (f64, f64))| Point {
            x,
            y,
            z: None,
            t: Some(fix as f64),
            fix,
        };
        places.enumerate().map(point).collect()
    }

    /// Along a bending road of 1.5 km, by another road back to its start, and along it again.
    #[test]
    fn a_road_driven_again_is_told_with_both_passes() {
        let road = |i: i32| (15.0 * f64::from(i), 60.0 * (f64::from(i) / 12.0).sin());
        let back = |i: i32| (1500.0 - 15.0 * f64::from(i), 300.0);
        let pass = || (0..=100).map(road);
        let both = pass().chain((0..=100).map(back)).chain(pass());
        let whole = recorded(both);
        let length: f64 = whole.windows(2).map(|pair| pair[0].to(&pair[1])).sum();
        let once: f64 = whole[..101].windows(2).map(|p| p[0].to(&p[1])).sum();
        let Some(Note::Again { from, to, first }) = again(&whole) else {
            panic!("nothing found")
        };
        assert!((from - (length - once)).abs() < 40.0, "{from}");
        assert!((to - length).abs() < 40.0, "{to}");
        assert!(first.0 < 40.0 && (first.1 - once).abs() < 40.0, "{first:?}");
        // The other way, and once.
        let there_and_back = pass().chain((0..=100).rev().map(road));
        assert_eq!(again(&recorded(there_and_back)), None);
        assert_eq!(again(&recorded(pass())), None);
    }

    /// Twice round a ring of 800 m, less the last step, and round a marker of 12 m many times.
    #[test]
    fn rounds_are_told_by_the_first_and_circles_round_a_marker_are_not() {
        let ring = |radius: f64, length: f64| {
            let place = move |i: i32| {
                let angle = 10.0 * f64::from(i) / radius;
                (radius * angle.cos(), radius * angle.sin())
            };
            recorded((0..(length / 10.0) as i32).map(place))
        };
        let Some(Note::Again { from, first, .. }) = again(&ring(127.3, 1600.0)) else {
            panic!("nothing found")
        };
        assert!(
            (from - 800.0).abs() < 30.0 && first.0 < 30.0,
            "{from} {first:?}"
        );
        assert!((first.1 - 790.0).abs() < 30.0, "{first:?}");
        assert_eq!(again(&ring(12.0, 1600.0)), None);
    }
}
