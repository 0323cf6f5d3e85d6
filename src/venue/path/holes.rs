//! Where a recording lacks a piece of its road, and where its road comes back over itself.

use super::Point;
use super::note::Note;

/// A hole takes so many times as long as the usual step, and leads so many times as far…
const TIMES: f64 = 4.0;
/// …and at least this far, m: a recorder that spares points leaves them out on straights.
const FAR: f64 = 60.0;
/// Distance between the places where a path is compared with itself, m.
pub(super) const APART: f64 = 10.0;
/// The way back lies no farther from the way out than this, m: a road and a receiver's error.
pub(super) const BESIDE: f64 = 15.0;
/// Within that way it leads away by this at least, m.
const AWAY: f64 = 60.0;
/// Ways back that are as long but for so many such distances are one.
const CLOSE: usize = 6;
/// A way back shorter than this may be a hairpin, m.
const BACK: f64 = 200.0;

/// The longest hole of a recording, and how many there are.
pub(super) fn holes(points: &[Point]) -> Option<Note> {
    let median = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied()
    };
    let steps: Option<Vec<(f64, f64)>> = points
        .windows(2)
        .map(|pair| Some((pair[1].t? - pair[0].t?, pair[0].to(&pair[1]))))
        .collect();
    let steps = steps?;
    let second = median(steps.iter().map(|step| step.0).collect())?;
    let metre = median(steps.iter().map(|step| step.1).collect())?;
    let (mut at, mut found, mut count) = (0.0, None, 0);
    for (pair, (seconds, metres)) in points.windows(2).zip(steps) {
        if seconds > TIMES * second && metres > FAR.max(TIMES * metre) {
            count += 1;
            if found.is_none_or(|(_, _, longest, _)| metres > longest) {
                found = Some((pair[0].fix, at, metres, seconds));
            }
        }
        at += metres;
    }
    found.map(|(fix, at, metres, seconds)| Note::Holes {
        fix,
        at,
        metres,
        seconds,
        count,
    })
}

/// Where a path turns about and comes back over itself for some way, in driving order.
pub(super) fn retrace(points: &[Point]) -> Option<Note> {
    let even = even(points);
    let aside = |i: usize, j: usize| (even[j].0 - even[i].0).hypot(even[j].1 - even[i].1);
    let fewest = (BACK / APART) as usize;
    let back = |turn: usize| {
        // The two ways are not of one length to the metre.
        let slack = |steps: usize| 2 + steps / 20;
        (1..even.len() - turn)
            .take_while(|&steps| {
                let low = turn.saturating_sub(steps + slack(steps));
                let high = (turn + slack(steps)).saturating_sub(steps).min(turn);
                low < high && (low..=high).any(|i| aside(i, turn + steps) < BESIDE)
            })
            .count()
    };
    // What goes round in one place would be compared with all of itself.
    let away = |turn: &usize| (1..=fewest).any(|steps| aside(*turn, turn + steps) > AWAY);
    // No way back is longer than the way out and its slack, or than what is left.
    let bound = |turn: usize| (even.len() - 1 - turn).min((turn + 2) * 20 / 19 + 1);
    let mut turns: Vec<usize> = (1..even.len().saturating_sub(fewest))
        .filter(away)
        .collect();
    turns.sort_by_key(|turn| std::cmp::Reverse(bound(*turn)));
    let (mut most, mut found) = (fewest, Vec::new());
    for turn in turns {
        if bound(turn) + CLOSE <= most {
            break;
        }
        let steps = back(turn);
        if steps >= fewest {
            most = most.max(steps);
            found.push((turn, steps));
        }
    }
    found.sort_unstable();
    // What slack lets pass lies to both sides of the turn.
    let near: Vec<(usize, usize)> = found.into_iter().filter(|f| f.1 + CLOSE > most).collect();
    let &(turn, steps) = near.get(near.len() / 2)?;
    Some(Note::Retraces {
        at: APART * turn as f64,
        metres: APART * steps as f64,
    })
}

/// Places along a path, [`APART`] from each other.
pub(super) fn even(points: &[Point]) -> Vec<(f64, f64)> {
    let mut out = Vec::new();
    let mut ahead = 0.0;
    for pair in points.windows(2) {
        let length = pair[0].to(&pair[1]);
        while ahead < length {
            let share = ahead / length;
            let mix = |a: f64, b: f64| a + share * (b - a);
            out.push((mix(pair[0].x, pair[1].x), mix(pair[0].y, pair[1].y)));
            ahead += APART;
        }
        ahead -= length;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One point a second at 15 m/s along places.
    fn recorded(places: impl Iterator<Item = (f64, f64)>) -> Vec<Point> {
        let point = |(fix, (x, y))| Point {
            x,
            y,
            z: None,
            t: Some(fix as f64),
            fix,
        };
        places.enumerate().map(point).collect()
    }

    #[test]
    fn a_hole_is_found_with_its_place() {
        let mut points = recorded((0..100).map(|i| (15.0 * f64::from(i), 0.0)));
        assert_eq!(holes(&points), None);
        points.drain(41..60);
        let Some(Note::Holes {
            fix,
            at,
            metres,
            seconds,
            count,
        }) = holes(&points)
        else {
            panic!("no hole");
        };
        assert_eq!(
            (fix, at, metres, seconds, count),
            (40, 600.0, 300.0, 20.0, 1)
        );
    }

    #[test]
    fn a_way_back_is_found_and_a_hairpin_is_none() {
        let out = |i: i32| (15.0 * f64::from(i), 40.0 * (f64::from(i) / 9.0).sin());
        let both = (0..60).map(out).chain((0..60).rev().map(out));
        let both = both.map(|(x, y)| (x, y + 1.0));
        let Some(Note::Retraces { at, metres }) = retrace(&recorded(both)) else {
            panic!("no way back");
        };
        let length: f64 = recorded((0..60).map(out))
            .windows(2)
            .map(|pair| pair[0].to(&pair[1]))
            .sum();
        assert!(
            (at - length).abs() < 25.0 && metres > length - 60.0,
            "{at} {metres}"
        );
        let hairpin = (0..60).map(|i| (15.0 * f64::from(i), 0.0)).chain(
            (0..60)
                .rev()
                .map(|i| (15.0 * f64::from(i), 20.0 + f64::from(60 - i))),
        );
        assert_eq!(retrace(&recorded(hairpin)), None);
        assert_eq!(retrace(&recorded((0..60).map(out))), None);
    }
}
