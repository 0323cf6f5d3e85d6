//! Where a recorder stood: its wandering there is no road.
//!
//! A receiver that stands errs by metres, so its fixes make a cloud of hairpins. With times a stay in
//! one place tells it; without them a crowd of points that lead nowhere. Each becomes one point.

use super::note::Note;
use super::{Point, beyond};

/// A recorder that moves less than [`STILL`] m in this time stands, s.
const STILL_TIME: f64 = 5.0;
/// See [`STILL_TIME`].
const STILL: f64 = 3.0;
/// A car on an event's road leaves a circle of this radius in less than [`STAY`], m: three standard
/// deviations of a poor receiver (common practice, no source).
const CIRCLE: f64 = 15.0;
/// See [`CIRCLE`], s.
pub(super) const STAY: f64 = 15.0;
/// Without times: so many points at least within a circle…
const CROWD: usize = 12;
/// …and so many times as many as steps longer than four of five would put on the road through it.
const CROWDED: f64 = 6.0;
const DRIVEN: f64 = 0.8;
/// Steps that go on as they went have cosines of their turns near 1, those of a receiver at rest
/// about 0 or below.
const AIMLESS: f64 = 0.3;
/// What creeps slower than this is a receiver at rest, however smooth its way, m/s.
const CREEP: f64 = 1.0;
/// The cloud of a recorder at rest reaches so many times as far as its usual fix lies from the middle.
const CLOUD: f64 = 3.0;

/// A receiver at rest drifts where its steps are shorter than this share of its usual way from the middle; errors
/// that are new at each fix make them half as long again as that.
const DRIFT: f64 = 0.5;
/// So many fixes then stand for the stay.
const LAST: usize = 3;

/// Where on a path a recorder stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stood {
    /// Before it set off.
    Start,
    /// On its way.
    Way,
    /// After it had come in.
    End,
}

/// Makes one point of each stay; of `ends` (start and end) what lies briefly beyond a long one is cut off.
pub(super) fn without_stands(
    mut points: Vec<Point>,
    ends: [bool; 2],
    notes: &mut Vec<Note>,
) -> Vec<Point> {
    let mut stays = joined(&points, stays(&points));
    if stays.is_empty() {
        return points;
    }
    let beyond = beyond::cut_off(&mut points, &mut stays, ends);
    tell(&points, &stays, notes);
    notes.extend(beyond);
    let mut kept = Vec::with_capacity(points.len());
    let mut next = 0;
    for stay in stays {
        kept.extend_from_slice(&points[next..stay.start]);
        let Point { fix, t, .. } = middle(&points, &stay);
        let place = middle(&points, &nearest(&points, &stay));
        kept.push(Point { fix, t, ..place });
        next = stay.end;
    }
    kept.extend_from_slice(&points[next..]);
    kept
}

/// The typical distance between neighbours, m.
pub(super) fn usual_step(points: &[Point]) -> f64 {
    median(points.windows(2).map(|pair| pair[0].to(&pair[1])))
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    quantile(values, 0.5)
}

fn quantile(values: impl Iterator<Item = f64>, share: f64) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let index = (share * sorted.len() as f64) as usize;
    sorted.get(index).copied().unwrap_or(0.0)
}

pub(super) type Range = std::ops::Range<usize>;

/// Every stay, in order.
fn stays(points: &[Point]) -> Vec<Range> {
    // Of a path that stands for most of its time the usual step is none of the road's.
    let driven = quantile(steps(points), DRIVEN);
    // The first points that come so much later; they only move on.
    let (mut soon, mut late) = (0, 0);
    let mut found = Vec::new();
    let mut from = 0;
    while from < points.len() {
        let (stay, looked_at) = match points[from].t {
            Some(begun) => {
                let late = later(points, from, begun + STAY, &mut late);
                let all = late.and_then(|late| within(points, from, late));
                let stay = all.clone().and_then(|all| wandering(points, all));
                let still = later(points, from, begun + STILL_TIME, &mut soon);
                let still = || still.and_then(|soon| still_until(points, from, soon));
                (stay.or_else(still), all)
            }
            None => {
                let all = within(points, from, from + crowded(driven) - 1);
                (all.clone().and_then(|all| crowd(points, all)), all)
            }
        };
        // In a circle that is driven again and again not every point is tried.
        let passed = looked_at.map_or(1, |all| (all.len() / 16).max(1));
        from = stay.as_ref().map_or(from + passed, |stay| stay.end);
        found.extend(stay);
    }
    found
}

/// The first point at a moment or after it, sought from where the last one was.
fn later(points: &[Point], from: usize, moment: f64, last: &mut usize) -> Option<usize> {
    *last = from.max(*last);
    while points.get(*last)?.t.is_none_or(|t| t < moment) {
        *last += 1;
    }
    Some(*last)
}

/// Points that hardly move for a while.
fn still_until(points: &[Point], from: usize, soon: usize) -> Option<Range> {
    (points[from].to(&points[soon]) < STILL).then_some(from..soon + 1)
}

/// The points that stay in one circle from one on, where another is among them.
fn within(points: &[Point], from: usize, other: usize) -> Option<Range> {
    if points[from].to(points.get(other)?) > 2.0 * CIRCLE {
        return None;
    }
    let all = circle(points, from);
    (all.end > other).then_some(all)
}

/// Of points that stay in one circle for longer than any car does those that go nowhere.
fn wandering(points: &[Point], all: Range) -> Option<Range> {
    let stay = cloud(points, all)?;
    let (first, last) = (&points[stay.start], &points[stay.end - 1]);
    let taken = first.t.zip(last.t).map(|(a, b)| b - a)?;
    let path: f64 = steps(&points[stay.clone()]).sum();
    let rests = path < CREEP * taken || aimless(&points[stay.clone()]);
    (taken >= STILL_TIME && rests).then_some(stay)
}

/// How many points without times in one circle are a crowd, by the steps of the road.
fn crowded(driven: f64) -> usize {
    let road = std::f64::consts::PI * CIRCLE / driven.max(0.1);
    (CROWDED * road).max(CROWD as f64) as usize
}

/// Of many more points in one circle than the road through it would have those that go nowhere.
fn crowd(points: &[Point], all: Range) -> Option<Range> {
    let stay = cloud(points, all)?;
    let crowded = stay.len() >= CROWD && aimless(&points[stay.clone()]);
    crowded.then_some(stay)
}

/// The longest run from a point that stays within a circle about its own mean.
fn circle(points: &[Point], from: usize) -> Range {
    let (mut x, mut y, mut count) = (0.0, 0.0, 0.0);
    let mut end = from;
    while end < points.len() {
        let p = &points[end];
        let (mx, my) = ((x + p.x) / (count + 1.0), (y + p.y) / (count + 1.0));
        // The first leaves the circle first where a car drives through it.
        let out = |p: &Point| (p.x - mx).hypot(p.y - my) > CIRCLE;
        if out(p) || out(&points[from]) {
            break;
        }
        (x, y, count) = (x + p.x, y + p.y, count + 1.0);
        end += 1;
    }
    from..end.max(from + 1)
}

/// Of points in a circle those of the cloud: what was driven to it and from it is road.
fn cloud(points: &[Point], all: Range) -> Option<Range> {
    let inside = &points[all.clone()];
    let (x, y) = (
        median(inside.iter().map(|p| p.x)),
        median(inside.iter().map(|p| p.y)),
    );
    let off = |p: &Point| (p.x - x).hypot(p.y - y);
    let reach = (CLOUD * median(inside.iter().map(off))).clamp(STILL, CIRCLE);
    let near = |p: &Point| off(p) <= reach;
    let first = inside.iter().position(near)?;
    let last = inside.iter().rposition(near)?;
    (last > first).then_some(all.start + first..all.start + last + 1)
}

pub(super) fn steps(points: &[Point]) -> impl Iterator<Item = f64> + '_ {
    points.windows(2).map(|pair| pair[0].to(&pair[1]))
}

/// Whether steps turn about as a receiver's at rest do.
fn aimless(points: &[Point]) -> bool {
    let (mut along, mut all) = (0.0, 0.0);
    for three in points.windows(3) {
        let (ax, ay) = (three[1].x - three[0].x, three[1].y - three[0].y);
        let (bx, by) = (three[2].x - three[1].x, three[2].y - three[1].y);
        along += ax * bx + ay * by;
        all += ax.hypot(ay) * bx.hypot(by);
    }
    along < AIMLESS * all
}

/// Stays that follow each other in one place are one.
fn joined(points: &[Point], stays: Vec<Range>) -> Vec<Range> {
    let mut out: Vec<Range> = Vec::new();
    for stay in stays {
        match out.last_mut() {
            Some(last)
                if stay.start < last.end + CROWD
                    && middle(points, last).to(&middle(points, &stay)) < CIRCLE =>
            {
                last.end = stay.end;
            }
            _ => out.push(stay),
        }
    }
    out
}

/// The fixes of a stay that stand for it: all where they scatter, and where they drift those next to the road,
/// which begins or ends where they had drifted to.
fn nearest(points: &[Point], stay: &Range) -> Range {
    let (starts, ends) = (stay.start == 0, stay.end == points.len());
    let here = middle(points, stay);
    let apart = median(points[stay.clone()].iter().map(|point| point.to(&here)));
    let drifts = median(steps(&points[stay.clone()])) < DRIFT * apart;
    match (starts, ends) {
        (true, false) if drifts => stay.end.saturating_sub(LAST).max(stay.start)..stay.end,
        (false, true) if drifts => stay.start..(stay.start + LAST).min(stay.end),
        _ => stay.clone(),
    }
}

/// The one point of a stay: the mean of its fixes, at the moment it was left or, at the end of the
/// path, reached.
fn middle(points: &[Point], stay: &Range) -> Point {
    let all = &points[stay.clone()];
    let mean = |value: fn(&Point) -> f64| all.iter().map(value).sum::<f64>() / all.len() as f64;
    let (sum, count) = all
        .iter()
        .filter_map(|p| p.z)
        .fold((0.0, 0), |(sum, count), z| (sum + z, count + 1));
    let moment = if stay.start == 0 {
        all[all.len() - 1]
    } else {
        all[0]
    };
    Point {
        x: mean(|p| p.x),
        y: mean(|p| p.y),
        z: (count > 0).then(|| sum / f64::from(count)),
        ..moment
    }
}

fn tell(points: &[Point], stays: &[Range], notes: &mut Vec<Note>) {
    for place in [Stood::Start, Stood::Way, Stood::End] {
        let here = |stay: &&Range| match (stay.start, stay.end) {
            (0, _) => place == Stood::Start,
            (_, end) if end == points.len() => place == Stood::End,
            _ => place == Stood::Way,
        };
        let (mut count, mut fixes, mut seconds) = (0, 0, Some(0.0));
        for stay in stays.iter().filter(here) {
            let (first, last) = (points[stay.start].t, points[stay.end - 1].t);
            let taken = first.zip(last).map(|(a, b)| b - a);
            count += 1;
            fixes += stay.len();
            seconds = seconds.zip(taken).map(|(sum, taken)| sum + taken);
        }
        if count > 0 {
            notes.push(Note::Stands {
                place,
                count,
                fixes,
                seconds,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers even from -1 to 1 (a multiplicative generator modulo 2³¹ − 1).
    fn draws() -> impl FnMut() -> f64 {
        let mut state = 7_u64;
        move || {
            state = state * 48_271 % 0x7fff_ffff;
            2.0 * state as f64 / f64::from(0x7fff_ffff_u32) - 1.0
        }
    }

    /// Points once a second, with their times or without.
    fn points(places: &[(f64, f64)], timed: bool) -> Vec<Point> {
        let point = |(fix, &(x, y)): (usize, &(f64, f64))| Point {
            x,
            y,
            z: None,
            t: timed.then_some(fix as f64),
            fix,
        };
        places.iter().enumerate().map(point).collect()
    }

    /// A road east at 15 m/s with a stay of so many seconds in a scatter at its start, middle and end.
    fn stood(seconds: [usize; 3], scatter: f64) -> Vec<(f64, f64)> {
        let mut draw = draws();
        let mut places = Vec::new();
        for (part, stay) in seconds.into_iter().enumerate() {
            let here = 600.0 * part as f64;
            places.extend((0..stay).map(|_| (here + scatter * draw(), scatter * draw())));
            if part < 2 {
                places.extend((0..=40).map(|i| (here + 15.0 * f64::from(i), 0.0)));
            }
        }
        places
    }

    fn places(points: &[Point]) -> f64 {
        points.windows(2).map(|pair| pair[0].to(&pair[1])).sum()
    }

    #[test]
    fn stays_become_points_wherever_they_are() {
        for timed in [true, false] {
            for scatter in [1.0, 4.0, 7.0] {
                let path = points(&stood([60, 45, 50], scatter), timed);
                assert!(places(&path) > 1250.0);
                let mut notes = Vec::new();
                let kept = without_stands(path, [true; 2], &mut notes);
                let length = places(&kept);
                assert!(
                    (length - 1200.0).abs() < 12.0,
                    "{timed} {scatter}: {length}"
                );
                let told: Vec<(Stood, usize)> = notes
                    .iter()
                    .map(|note| match note {
                        Note::Stands { place, count, .. } => (*place, *count),
                        other => panic!("{other:?}"),
                    })
                    .collect();
                let all = [(Stood::Start, 1), (Stood::Way, 1), (Stood::End, 1)];
                assert_eq!(told, all, "{timed} {scatter}");
            }
        }
    }

    /// A receiver that drifts at rest has drifted somewhere when the car sets off, and the road begins there.
    #[test]
    fn a_road_begins_and_ends_where_the_receiver_had_drifted_to() {
        let drift = |i: f64| 2.0 * (i / 25.0).sin();
        let mut places: Vec<(f64, f64)> = (0..40).map(|i| (0.0, drift(f64::from(i)))).collect();
        let there = drift(39.0);
        places.extend((1..=40).map(|i| (15.0 * f64::from(i), there)));
        places.extend((0..60).map(|i| (600.0, there + drift(f64::from(i)))));
        let kept = without_stands(points(&places, true), [true; 2], &mut Vec::new());
        let (first, last) = (kept[0], kept[kept.len() - 1]);
        assert!((first.y - there).abs() < 0.1, "{first:?} for {there}");
        assert!((last.y - there).abs() < 0.3, "{last:?} for {there}");
        // Thrown about anew at each fix, its middle tells the place best.
        let scattered = points(&stood([60, 0, 0], 4.0), true);
        assert!(
            without_stands(scattered, [true; 2], &mut Vec::new())[0]
                .y
                .abs()
                < 1.0
        );
    }

    /// Four fixes walk in from 140 m off, the car stands, drives, stands and is driven off for three seconds.
    #[test]
    fn what_lies_briefly_beyond_a_stay_is_cut_off() {
        let mut path: Vec<(f64, f64)> =
            (0..4).map(|i| (0.0, 140.0 - 35.0 * f64::from(i))).collect();
        path.extend(stood([30, 0, 30], 1.0));
        path.extend((1..4).map(|i| (1200.0, 20.0 * f64::from(i))));
        let kept = |ends: [bool; 2]| {
            let mut notes = Vec::new();
            let kept = without_stands(points(&path, true), ends, &mut notes);
            let beyond = |note: &&Note| matches!(note, Note::Beyond { .. });
            (places(&kept), notes.iter().filter(beyond).count())
        };
        for (ends, wanted, notes) in [
            ([true; 2], 1200.0, 2),
            ([true, false], 1260.0, 1),
            ([false; 2], 1400.0, 0),
        ] {
            let (length, told) = kept(ends);
            assert!((length - wanted).abs() < 8.0, "{ends:?}: {length}");
            assert_eq!(told, notes, "{ends:?}");
        }
        // So much of a short run is part of it.
        let start = points(&path[..60], true);
        let short = without_stands(start.clone(), [true; 2], &mut Vec::new());
        assert!((short[0].y - 140.0).abs() < 1e-9, "{:?}", short[0]);
    }

    /// A car that drives stays in no place: neither round a hairpin at a walk nor round a marker in
    /// circles, and a line drawn with many points is no crowd.
    #[test]
    fn what_is_driven_is_road() {
        let hairpin = (0..60).map(|i| {
            let s = 3.0 * f64::from(i) - 60.0;
            match s {
                s if s < 0.0 => (s, 0.0),
                s if s < 25.0 => (8.0 * (s / 8.0).sin(), 8.0 - 8.0 * (s / 8.0).cos()),
                s => (25.0 - s, 16.0),
            }
        });
        let circles = (0..60).map(|i| {
            let angle = 4.0 / 6.0 * f64::from(i);
            (6.0 * angle.cos(), 6.0 * angle.sin())
        });
        let drawn = (0..400).map(|i| (0.5 * f64::from(i), 0.0));
        let roads: [Vec<(f64, f64)>; 3] = [hairpin.collect(), circles.collect(), drawn.collect()];
        for (road, timed) in roads.iter().zip([true, true, false]) {
            let path = points(road, timed);
            let mut notes = Vec::new();
            assert_eq!(without_stands(path.clone(), [true; 2], &mut notes), path);
            assert!(notes.is_empty());
        }
    }
}
