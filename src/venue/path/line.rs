//! Laps driven from line to line: a recording that begins and ends at one place, on the move.

use super::Point;
use super::cut::{Crossing, GATE, SHORTEST_LAP, crossings, direction};

/// It may end so far beyond the line, m, or short of it, m and steps.
const BEYOND: f64 = 100.0;
const SHORT: (f64, f64) = (30.0, 1.5);
/// Cars drive over the line at more than this share of their mean speed; out of a box they do not.
const DRIVEN: f64 = 0.4;
/// Where it begins that much faster or slower than it ends, relative, its first lap is no flying one.
const FLYING: f64 = 1.25;
/// The speed at either end is that over so many metres.
const END: f64 = 15.0;
/// Cosine of the angle between the road at both ends, at least.
const SAME_WAY: f64 = 0.7;

/// The crossings of the place where the path begins, the last of them at its end, and whether the first lap
/// begins as fast as the last one ends; `None` where there are fewer than two laps so, or the path does not
/// begin and end there on the move.
pub(super) fn crossed(points: &[Point]) -> Option<(Vec<Crossing>, bool)> {
    let (first, last) = (points.first()?, points.last()?);
    let whole: f64 = points.windows(2).map(|pair| pair[0].to(&pair[1])).sum();
    let mean = whole / (last.t? - first.t?);
    let out = speed(points.iter())?;
    let back = speed(points.iter().rev())?;
    if out.min(back) < DRIVEN * mean {
        return None;
    }
    let mut found = crossings(points, 0);
    let passed = found.last()?.next;
    let since: f64 = points[passed..]
        .windows(2)
        .map(|pair| pair[0].to(&pair[1]))
        .sum();
    if since > BEYOND {
        found.push(ahead(points, back).filter(|_| since >= SHORTEST_LAP)?);
    }
    let flying = (1.0 / FLYING..=FLYING).contains(&(out / back));
    (found.len() > 2).then_some((found, flying))
}

/// The speed from one end to the first point that lies apart from it, m/s.
fn speed<'a>(mut points: impl Iterator<Item = &'a Point>) -> Option<f64> {
    let end = points.next()?;
    let apart = points.find(|point| point.to(end) >= END)?;
    Some(apart.to(end) / (apart.t? - end.t?).abs())
}

/// The crossing that a path stops just short of, at the speed it has there.
fn ahead(points: &[Point], speed: f64) -> Option<Crossing> {
    let (gate, last) = (points[0], points[points.len() - 1]);
    let (ux, uy) = direction(points, 0)?;
    let (vx, vy) = direction(points, points.len() - 1)?;
    let (dx, dy) = (gate.x - last.x, gate.y - last.y);
    let (ahead, aside) = (dx * ux + dy * uy, dy * ux - dx * uy);
    let apart = points
        .iter()
        .rev()
        .map(|point| point.to(&last))
        .find(|step| *step > 0.0)?;
    let near = (0.0..=SHORT.0.max(SHORT.1 * apart)).contains(&ahead) && aside.abs() <= GATE;
    (near && ux * vx + uy * vy > SAME_WAY).then(|| Crossing {
        next: points.len(),
        point: Point {
            x: last.x + ahead * ux,
            y: last.y + ahead * uy,
            t: last.t.map(|t| t + ahead / speed),
            ..last
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A circle of 1,000 m at 20 m/s, ten points a second, from one distance to another.
    fn rounds(from: f64, to: f64) -> Vec<Point> {
        let count = ((to - from) / 2.0) as usize;
        let point = |i: usize| {
            let s = from + 2.0 * i as f64;
            let angle = std::f64::consts::TAU * s / 1000.0;
            let radius = 1000.0 / std::f64::consts::TAU;
            Point {
                x: radius * angle.cos(),
                y: radius * angle.sin(),
                z: None,
                t: Some(0.1 * i as f64),
                fix: i,
            }
        };
        (0..count).map(point).collect()
    }

    #[test]
    fn laps_from_line_to_line_are_whole() {
        for end in [1999.0, 1985.0, 2003.0, 2080.0] {
            let (found, flying) = crossed(&rounds(0.0, end)).unwrap();
            assert_eq!((found.len(), flying), (3, true), "{end}");
            for pair in found.windows(2) {
                let taken = pair[1].point.t.unwrap() - pair[0].point.t.unwrap();
                assert!((taken - 50.0).abs() < 0.03, "{end}: {taken}");
            }
        }
        assert!(crossed(&rounds(0.0, 1900.0)).is_none());
        assert!(crossed(&rounds(0.0, 2300.0)).is_none());
        assert!(crossed(&rounds(0.0, 1000.0)).is_none());
        // Faster over the line at first than later.
        let mut fast = rounds(0.0, 2000.0);
        fast[20..]
            .iter_mut()
            .for_each(|point| point.t = point.t.map(|t| 2.0 * t - 2.0));
        assert!(!crossed(&fast).unwrap().1);
        // Out of a box and back into it.
        let mut slow = rounds(0.0, 2000.0);
        slow[1..]
            .iter_mut()
            .for_each(|point| point.t = point.t.map(|t| t + 20.0));
        assert!(crossed(&slow).is_none());
    }
}
