//! How much the chords of a path rise, from heights that jump from point to point or are none.

use super::Point;
use super::clean::FEWEST;
use super::note::Note;
use super::smoother::Chord;
use super::spline;

/// A gap without heights longer than this is level road, not a straight slope, m.
pub(super) const LONGEST_GAP: f64 = 300.0;
/// Heights below the lowest road on land mean that there was none, m.
const LOWEST: f64 = -500.0;
/// Nor does a road step up to sea level or down to it by more than this and a slope of 1 in 2, m.
const STEP: (f64, f64) = (10.0, 0.5);

/// So few points leave the road by more than this, m, and a slope of 1 in 2, and come back to it.
const SPIKE: (usize, f64) = (3, 30.0);

/// Whether the road would step by more than so many metres and a slope of 1 in 2.
fn steps(a: &Point, b: &Point, metres: f64) -> bool {
    let rise = b.z.zip(a.z).map_or(0.0, |(b, a)| b - a);
    rise.abs() > metres + STEP.1 * a.to(b)
}

/// The one height of all points of a recording that have one, and 0 of those on a map: receivers scatter.
fn flat(points: &[Point]) -> Option<f64> {
    let mut known = points.iter().filter_map(|point| point.z);
    let first = known.next()?;
    let timed = points.iter().all(|point| point.t.is_some());
    let alike = known.clone().count() + 1 >= FEWEST && known.all(|z| z == first);
    (alike && (timed || first == 0.0)).then_some(first)
}

/// Takes out heights that are none: all alike, far below any road, 0 m amid others, as recorders write where
/// they know none, or a step away from the road and back.
pub(super) fn leave_out(points: &mut [Point]) -> Option<Note> {
    if let Some(metres) = flat(points) {
        points.iter_mut().for_each(|point| point.z = None);
        return Some(Note::Flat { metres });
    }
    let (low, known): (Vec<usize>, Vec<usize>) = (0..points.len())
        .filter(|&i| points[i].z.is_some())
        .partition(|&i| points[i].z.is_some_and(|z| z <= LOWEST));
    let mut lost = low;
    let naughts = naughts(points, &known);
    let mut found = naughts.iter().peekable();
    let sound: Vec<usize> = known
        .into_iter()
        .filter(|i| found.next_if(|naught| *naught == i).is_none())
        .collect();
    lost.extend(spikes(points, &sound));
    lost.extend(naughts);
    let first = lost.iter().copied().min()?;
    let note = Note::Heights {
        fix: points[first].fix,
        metres: points[first].z.unwrap_or(0.0),
        count: lost.len(),
    };
    lost.into_iter().for_each(|i| points[i].z = None);
    Some(note)
}

/// Runs of 0 m that the road steps down to and up from.
fn naughts(points: &[Point], known: &[usize]) -> Vec<usize> {
    let steps = |a: usize, b: usize| steps(&points[a], &points[b], STEP.0);
    let mut lost = Vec::new();
    let mut from = 0;
    while from < known.len() {
        let run = known[from..]
            .iter()
            .take_while(|i| points[**i].z == Some(0.0));
        let to = from + run.count();
        if to > from && to - from < known.len() {
            let down = from == 0 || steps(known[from - 1], known[from]);
            let up = to == known.len() || steps(known[to - 1], known[to]);
            if down && up {
                lost.extend(&known[from..to]);
            }
        }
        from = to + 1;
    }
    lost
}

/// Few points together that step away from the road and back to it.
fn spikes(points: &[Point], known: &[usize]) -> Vec<usize> {
    let steps = |a: usize, b: usize| steps(&points[known[a]], &points[known[b]], SPIKE.1);
    let mut lost = Vec::new();
    let mut at = 1;
    while at < known.len() {
        let away = |count: &usize| {
            let back = at + count;
            back < known.len() && steps(back - 1, back) && !steps(at - 1, back)
        };
        let spike = (1..=SPIKE.0).find(away).filter(|_| steps(at - 1, at));
        let count = spike.unwrap_or(0);
        lost.extend(&known[at..at + count]);
        at += count + 1;
    }
    lost
}

/// How much each chord rises.
pub(super) struct Heights {
    /// Per chord, m.
    pub rise: Vec<f64>,
    /// No heights here: taken as level.
    pub level: Vec<bool>,
}

impl Heights {
    /// Of chords between points; `None` where hardly any has a height.
    pub fn new(points: &[Point], ends: &[(usize, usize)], chords: &[Chord]) -> Option<Self> {
        if ends.iter().filter(|&&(a, _)| points[a].z.is_some()).count() < 2 {
            return None;
        }
        let heights = quiet(points);
        let count = ends.len();
        let (mut rise, mut level) = (vec![0.0; count], vec![false; count]);
        let mut k = 0;
        while k < count {
            // Up to the next chord that ends at a known height.
            let from = heights[ends[k].0];
            let (mut last, mut reach) = (k, chords[k].length);
            while heights[ends[last].1].is_none() && last + 1 < count {
                last += 1;
                reach += chords[last].length;
            }
            let known = from.zip(heights[ends[last].1]);
            match known {
                Some((a, b)) if last == k || reach <= LONGEST_GAP => {
                    for i in k..=last {
                        rise[i] = (b - a) * chords[i].length / reach;
                    }
                }
                _ => level[k..=last].iter_mut().for_each(|level| *level = true),
            }
            k = last + 1;
        }
        Some(Self { rise, level })
    }

    /// Metres of the chords but for the first and last `wrap` that have no heights.
    pub fn level_length(&self, wrap: usize, chords: &[Chord]) -> f64 {
        let own = wrap..chords.len() - wrap;
        own.filter(|&k| self.level[k])
            .map(|k| chords[k].length)
            .sum()
    }
}

/// The points' heights. Errors that are new at each point go to and fro, and the smoother, which takes
/// those of two chords for independent, would find the steadiest slope likeliest and lose the hills:
/// such heights are first laid on a line as smooth as they are.
fn quiet(points: &[Point]) -> Vec<Option<f64>> {
    let mut at = 0.0;
    let mut known: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for (i, point) in points.iter().enumerate() {
        at += if i > 0 { points[i - 1].to(point) } else { 0.0 };
        known.extend(point.z.map(|z| (at, z)));
    }
    let Some(line) = spline::through(&known) else {
        return points.iter().map(|point| point.z).collect();
    };
    let mut fitted = line.into_iter();
    points
        .iter()
        .map(|point| point.z.and_then(|_| fitted.next()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points 10 m apart over hills of 12 m, with something done to each height.
    fn hills(height: impl Fn(usize, f64) -> f64) -> Vec<Point> {
        let point = |fix: usize| Point {
            x: 10.0 * fix as f64,
            y: 0.0,
            z: Some(height(fix, 200.0 + 12.0 * (fix as f64 / 32.0).sin())),
            t: None,
            fix,
        };
        (0..400).map(point).collect()
    }

    #[test]
    fn heights_that_jump_keep_their_hills() {
        // Numbers even from -1 to 1 (a multiplicative generator modulo 2³¹ − 1).
        let mut state = 7_u64;
        let draws: Vec<f64> = (0..400)
            .map(|_| {
                state = state * 48_271 % 0x7fff_ffff;
                2.0 * state as f64 / f64::from(0x7fff_ffff_u32) - 1.0
            })
            .collect();
        let truth = hills(|_, z| z);
        assert_eq!(quiet(&truth), truth.iter().map(|p| p.z).collect::<Vec<_>>());
        let rough = quiet(&hills(|i, z| z + 5.0 * draws[i]));
        for (point, z) in truth.iter().zip(rough) {
            let off = z.unwrap() - point.z.unwrap();
            assert!(off.abs() < 3.0, "{off} at {}", point.x);
        }
    }

    #[test]
    fn heights_that_leap_away_and_back_are_left_out() {
        let mut spiked = hills(|i, z| match i {
            50 => z + 400.0,
            120 | 121 => z - 60.0,
            _ => z,
        });
        let note = leave_out(&mut spiked).unwrap();
        assert!(
            matches!(
                note,
                Note::Heights {
                    fix: 50,
                    count: 3,
                    ..
                }
            ),
            "{note:?}"
        );
        assert!([50, 120, 121].iter().all(|&i| spiked[i].z.is_none()));
        // A cutting that the heights of a map do not know, 20 m deep, is no spike.
        assert_eq!(
            leave_out(&mut hills(|i, z| if i == 50 { z + 20.0 } else { z })),
            None
        );
        // Nor is a road that goes on above a cliff.
        assert_eq!(
            leave_out(&mut hills(|i, z| if i < 50 { z } else { z + 90.0 })),
            None
        );
    }

    #[test]
    fn heights_that_are_none_are_left_out() {
        let mut sound = hills(|_, z| z);
        assert_eq!(leave_out(&mut sound), None);
        let mut lost = hills(|i, z| match i {
            30..60 => 0.0,
            70 => -9999.0,
            _ => z,
        });
        let note = Note::Heights {
            fix: 30,
            metres: 0.0,
            count: 31,
        };
        assert_eq!(leave_out(&mut lost), Some(note));
        assert!((0..400).all(|i| lost[i].z.is_none() == ((30..60).contains(&i) || i == 70)));
        for (height, timed, left_out) in [
            (0.0, false, true),
            (120.0, true, true),
            (120.0, false, false),
        ] {
            let mut flat = hills(|_, _| height);
            for (row, point) in flat.iter_mut().enumerate() {
                point.t = timed.then_some(row as f64);
            }
            let note = left_out.then_some(Note::Flat { metres: height });
            assert_eq!(leave_out(&mut flat), note);
            assert!(flat.iter().all(|point| point.z.is_none() == left_out));
        }
        // A coast road that comes down to the sea and goes up again.
        let coast = |i: usize, _| (f64::from(i.abs_diff(200) as u32) - 20.0).max(0.0);
        let mut coast = hills(coast);
        assert_eq!(leave_out(&mut coast), None);
    }
}
