//! Cutting a path: one lap out of a recording, a loop's ends joined, start and finish.

use super::clean::PathError;
use super::note::Note;
use super::road::{Road, Step};
use super::{Fix, Place, Point};
use super::{geodesy, laps, line};

/// Half the width of the gate that laps are counted at, m: a wide road and a poor receiver.
pub(super) const GATE: f64 = 20.0;
/// Places along the path where laps are counted.
const GATES: usize = 24;
/// Shortest lap, m.
pub(super) const SHORTEST_LAP: f64 = 150.0;
/// A loop may be open by this much and is closed with a straight, m…
const OPEN: f64 = 60.0;
/// …or by this share of its length, or by this many times its usual step.
const OPEN_SHARE: f64 = 0.01;
const OPEN_STEPS: f64 = 2.0;
/// A receiver that is slower than its logger holds a position for at most this time, s.
const HELD: f64 = 1.05;
/// A place named by its position lies on the path, or no farther off than this, m.
const NEAR: f64 = 100.0;
/// Passes of a place lie no farther off than the nearest by so many metres, or shares of the way between points.
const PASSES: (f64, f64) = (20.0, 0.6);

/// A place along a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Where {
    /// Distance along the path, m.
    Distance(f64),
    /// The point of the path nearest to a position.
    Near(Place),
}

/// Which lap of several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lap {
    /// The fastest, or the first where there are no times.
    #[default]
    Fastest,
    /// By its number, from 1.
    Number(usize),
}

/// A place where a path is crossed: the point after the crossing, and the crossing itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    pub next: usize,
    pub point: Point,
}

/// One lap out of a recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// Its points; the end is the start.
    pub points: Vec<Point>,
    /// From line to line, s, where the points have times and the line is crossed.
    pub time: Option<f64>,
}

/// One lap of points that go round one or more times, its ends on one line across the road. With
/// less than two passes of any place it is the whole, as one lap.
///
/// # Errors
/// A lap that is not there; a single round whose ends lie apart.
pub fn lap(
    points: &[Point],
    gate: Option<usize>,
    which: Lap,
    notes: &mut Vec<Note>,
) -> Result<Round, PathError> {
    let (crossings, flying) = match gate {
        Some(at) => (crossings(points, at), true),
        None => {
            let best = best_gate(points);
            let driven = line::crossed(points).filter(|driven| driven.0.len() > best.len());
            driven.unwrap_or((best, true))
        }
    };
    let seen = laps::seen(points, &crossings);
    let laps = seen.len();
    if laps == 0 {
        if let Lap::Number(asked @ 2..) = which {
            return Err(PathError::NoLap { asked, laps: 1 });
        }
        return whole(points, notes);
    }
    let index = match which {
        Lap::Number(asked) if asked == 0 || asked > laps => {
            return Err(PathError::NoLap { asked, laps });
        }
        Lap::Number(asked) => asked - 1,
        Lap::Fastest => laps::fastest(&seen, flying),
    };
    let (from, to) = (&crossings[index], &crossings[index + 1]);
    let asked = which != Lap::Fastest;
    if laps > 1 && !asked || gate.is_none() {
        notes.push(Note::Laps {
            laps: seen,
            taken: index + 1,
            asked,
            line: if gate.is_some() {
                0.0
            } else {
                reach(points, &crossings[0])
            },
        });
    }
    let mut lap = vec![from.point];
    lap.extend_from_slice(&points[from.next..to.next]);
    let end = to.point;
    lap.push(end);
    spread(&mut lap);
    // The end is the start.
    lap.pop();
    let time = from.point.t.zip(to.point.t).map(|(a, b)| b - a);
    Ok(Round { points: lap, time })
}

/// From the first point to a crossing along the path, m.
fn reach(points: &[Point], crossing: &Crossing) -> f64 {
    let before = &points[..crossing.next];
    let whole: f64 = before.windows(2).map(|pair| pair[0].to(&pair[1])).sum();
    whole + before.last().map_or(0.0, |last| last.to(&crossing.point))
}

/// The crossings of a gate on the straightest road, where joining costs least, among places that
/// nearly all laps pass.
fn best_gate(points: &[Point]) -> Vec<Crossing> {
    let places = (0..GATES).map(|k| k * (points.len() - 1) / GATES);
    let all: Vec<(usize, Vec<Crossing>)> = places.map(|at| (at, crossings(points, at))).collect();
    let most = all.iter().map(|(_, found)| found.len()).max().unwrap_or(0);
    // The way out and the way in make one crossing more at some places than at others.
    let enough = most.saturating_sub(1).max(2).min(most);
    all.into_iter()
        .filter(|(_, found)| found.len() >= enough)
        .min_by(|a, b| bend_at(points, a.0).total_cmp(&bend_at(points, b.0)))
        .map_or_else(Vec::new, |(_, found)| found)
}

/// How far the path turns over some 100 m about a point, rad.
fn bend_at(points: &[Point], at: usize) -> f64 {
    let far = |p: &&Point| p.to(&points[at]) > 50.0;
    let before = points[..at].iter().rev().find(far);
    let after = points[at..].iter().find(far);
    let (Some(a), Some(b)) = (before, after) else {
        return f64::INFINITY;
    };
    let here = points[at];
    let turn = (b.y - here.y).atan2(b.x - here.x) - (here.y - a.y).atan2(here.x - a.x);
    let turn = turn.sin().atan2(turn.cos());
    turn.abs()
}

/// Where the path crosses, forwards, the line across the road at a point of it.
pub(super) fn crossings(points: &[Point], at: usize) -> Vec<Crossing> {
    let Some((ux, uy)) = direction(points, at) else {
        return Vec::new();
    };
    let gate = points[at];
    let along = |p: &Point| (p.x - gate.x) * ux + (p.y - gate.y) * uy;
    let aside = |p: &Point| (p.x - gate.x) * -uy + (p.y - gate.y) * ux;
    let mut found: Vec<Crossing> = Vec::new();
    let mut travelled = SHORTEST_LAP;
    for (i, pair) in points.windows(2).enumerate() {
        let (a, b) = (along(&pair[0]), along(&pair[1]));
        travelled += pair[0].to(&pair[1]);
        // The gate's own point begins a crossing, so that a path may start on it.
        if !(a <= 0.0 && b > 0.0) || travelled < SHORTEST_LAP {
            continue;
        }
        let share = -a / (b - a);
        let before = Point {
            t: since(points, i),
            ..pair[0]
        };
        let point = between(&before, &pair[1], share);
        if aside(&point).abs() <= GATE {
            found.push(Crossing { next: i + 1, point });
            travelled = 0.0;
        }
    }
    found
}

/// When a point was where it is, of several rows that hold its position.
fn since(points: &[Point], at: usize) -> Option<f64> {
    let now = &points[at];
    let held = |point: &&Point| {
        let late = now.t.zip(point.t).is_some_and(|(now, t)| now - t < HELD);
        late && (point.x, point.y) == (now.x, now.y)
    };
    points[..=at].iter().rev().take_while(held).last()?.t
}

fn between(a: &Point, b: &Point, share: f64) -> Point {
    let mix = |a: f64, b: f64| a + share * (b - a);
    let both = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| mix(a, b));
    Point {
        x: mix(a.x, b.x),
        y: mix(a.y, b.y),
        z: both(a.z, b.z),
        t: both(a.t, b.t),
        fix: a.fix,
    }
}

/// Direction of the path over some 15 m on both sides of a point.
pub(super) fn direction(points: &[Point], at: usize) -> Option<(f64, f64)> {
    let far = |p: &&Point| p.to(&points[at]) > 15.0;
    let before = points[..at].iter().rev().find(far).or(points.first())?;
    let after = points[at..].iter().find(far).or(points.last())?;
    let length = before.to(after);
    (length > 1.0).then(|| ((after.x - before.x) / length, (after.y - before.y) / length))
}

/// One round whose ends may miss each other.
fn whole(points: &[Point], notes: &mut Vec<Note>) -> Result<Round, PathError> {
    let length: f64 = points.windows(2).map(|w| w[0].to(&w[1])).sum();
    let gap = points[points.len() - 1].to(&points[0]);
    let usual = length / (points.len() - 1) as f64;
    if gap > OPEN.max(OPEN_SHARE * length).max(OPEN_STEPS * usual) {
        return Err(PathError::Open { gap });
    }
    let mut lap = points.to_vec();
    let towards = |lap: &[Point]| {
        let (a, b) = (direction(lap, 0)?, direction(lap, lap.len() - 1)?);
        let (x, y) = (a.0 + b.0, a.1 + b.1);
        let norm = x.hypot(y);
        (norm > 0.1).then(|| (x / norm, y / norm))
    };
    let Some((ux, uy)) = towards(&lap) else {
        return Ok(Round {
            points: lap,
            time: None,
        });
    };
    // What lies between the ends along the road is road; an overlap is cut off.
    let ahead = |p: &Point| (points[0].x - p.x) * ux + (points[0].y - p.y) * uy;
    while lap.len() > 4
        && ahead(&lap[lap.len() - 1]) < 1.0
        && lap[lap.len() - 1].to(&points[0]) < OPEN
    {
        lap.pop();
    }
    let last = lap[lap.len() - 1];
    let open = ahead(&last);
    // A drawn loop means its last chord as it means the others; a recorder has drifted.
    let recorded = points[0].t.is_some();
    let side = (points[0].y - last.y) * ux - (points[0].x - last.x) * uy;
    if recorded {
        let rise = points[0].z.zip(last.z).filter(|_| open < 5.0);
        shift(
            &mut lap,
            (-uy * side, ux * side),
            rise.map_or(0.0, |(a, b)| a - b),
        );
    }
    let far = open > (1.5 * usual).max(5.0);
    if far {
        notes.push(Note::Open { gap: open });
    }
    let time = time_round(points, lap.len(), open).filter(|_| !far);
    Ok(Round { points: lap, time })
}

/// From the first point to the first again, where so much is left to it after so many points, s.
fn time_round(points: &[Point], count: usize, open: f64) -> Option<f64> {
    let last = &points[count - 1];
    let before = points[..count]
        .iter()
        .rev()
        .find(|point| point.to(last) > 1.0)?;
    let pace = (last.t? - before.t?) / before.to(last);
    Some(last.t? - points[0].t? + open * pace)
}

/// Brings the last point onto the first, spreading what they miss each other by over the whole.
fn spread(lap: &mut [Point]) {
    let (first, last) = (lap[0], lap[lap.len() - 1]);
    let rise = first.z.zip(last.z).map_or(0.0, |(a, b)| a - b);
    shift(lap, (first.x - last.x, first.y - last.y), rise);
}

fn shift(lap: &mut [Point], (dx, dy): (f64, f64), dz: f64) {
    let mut reach = vec![0.0; lap.len()];
    for i in 1..lap.len() {
        reach[i] = reach[i - 1] + lap[i - 1].to(&lap[i]);
    }
    let total = reach[lap.len() - 1].max(f64::MIN_POSITIVE);
    for (point, reach) in lap.iter_mut().zip(reach) {
        let share = reach / total;
        point.x += share * dx;
        point.y += share * dy;
        point.z = point.z.map(|z| z + share * dz);
    }
}

/// The fix nearest to a position, and how far off it is, m.
pub fn nearest(fixes: &[Fix], points: &[Point], to: Place) -> Option<(usize, f64)> {
    let distance = |point: &Point| match (fixes[point.fix].place, to) {
        (Place::LatLon(a), Place::LatLon(b)) => {
            let (x, y) = geodesy::step(a, b);
            x.hypot(y)
        }
        (Place::Plane(ax, ay), Place::Plane(bx, by)) => (bx - ax).hypot(by - ay),
        _ => f64::INFINITY,
    };
    let near = points
        .iter()
        .enumerate()
        .map(|(i, point)| (i, distance(point)));
    near.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Where a path first passes a place from one of its points on, and how often it does; a road that is driven up
/// and down passes it again and again.
///
/// # Errors
/// [`PathError::Far`].
pub fn pass(
    fixes: &[Fix],
    points: &[Point],
    to: Place,
    from: usize,
) -> Result<(usize, usize), PathError> {
    let all = on_path(fixes, points, to)?;
    let after = points.get(from..).unwrap_or_default();
    let Some((nearest_after, least)) = nearest(fixes, after, to).filter(|(_, off)| *off <= NEAR)
    else {
        return Ok((all, 1));
    };
    let length: f64 = after.windows(2).map(|pair| pair[0].to(&pair[1])).sum();
    let usual = length / after.len().max(2) as f64;
    let bound = least + PASSES.0.max(PASSES.1 * usual);
    let mut passes: Vec<(usize, f64)> = Vec::new();
    let off = |i: usize| nearest(fixes, &after[i..=i], to).map_or(f64::INFINITY, |(_, off)| off);
    // A run that ends where it began leaves that place first.
    let mut near = from > 0 && off(0) <= bound;
    for i in 0..after.len() {
        let off = off(i);
        match passes.last_mut() {
            Some(best) if near && off <= bound && off < best.1 => *best = (i, off),
            _ if !near && off <= bound => passes.push((i, off)),
            _ => {}
        }
        near = off <= bound || near && off <= bound + PASSES.0;
    }
    let first = from + passes.first().map_or(nearest_after, |(i, _)| *i);
    Ok((first, passes.len().max(1)))
}

/// As [`nearest`], refused where the path does not come near.
///
/// # Errors
/// [`PathError::Far`].
pub fn on_path(fixes: &[Fix], points: &[Point], to: Place) -> Result<usize, PathError> {
    match nearest(fixes, points, to) {
        Some((index, distance)) if distance <= NEAR => Ok(index),
        Some((_, distance)) => Err(PathError::Far { distance }),
        None => Err(PathError::TooFew(0)),
    }
}

impl Road {
    /// The part between two distances on the map, m. A closed road may go over its start; `from`
    /// alone moves its start.
    ///
    /// # Errors
    /// Places beyond the road, a finish before the start.
    pub fn part(&self, from: f64, to: Option<f64>) -> Result<Road, PathError> {
        let length = self.length();
        for at in [Some(from), to].into_iter().flatten() {
            if !(0.0..=length + 1.0).contains(&at) {
                return Err(PathError::Beyond { at, length });
            }
        }
        let round = self.closed && to.is_none_or(|to| to <= from);
        let to = to.unwrap_or(if self.closed { from } else { length });
        let (mut steps, mut marks) = (Vec::new(), Vec::new());
        if round {
            steps.extend(cut_steps(&self.steps, from, length));
            steps.extend(cut_steps(&self.steps, 0.0, to));
            marks.extend(self.cut_marks(from, length, 0.0));
            marks.extend(self.cut_marks(0.0, to, length - from));
        } else if to > from {
            steps.extend(cut_steps(&self.steps, from, to));
            marks.extend(self.cut_marks(from, to, 0.0));
        } else {
            return Err(PathError::Backwards { from, to });
        }
        let mut start = 0.0;
        for step in &mut steps {
            step.start = start;
            start += step.length;
        }
        let closed = self.closed && to == from;
        Ok(Road {
            steps,
            marks,
            closed,
            ..self.clone()
        })
    }

    /// The chords that begin between two distances, counted from the first and so much more.
    fn cut_marks(&self, from: f64, to: f64, more: f64) -> impl Iterator<Item = (usize, f64)> + '_ {
        let inside = self
            .marks
            .iter()
            .filter(move |(_, at)| (from..to).contains(at));
        inside.map(move |(fix, at)| (*fix, at - from + more))
    }
}

fn cut_steps(steps: &[Step], from: f64, to: f64) -> impl Iterator<Item = Step> + '_ {
    steps.iter().filter_map(move |step| {
        let a = step.start.max(from);
        let b = (step.start + step.length).min(to);
        (b - a > 1e-6).then_some(Step {
            start: a,
            length: b - a,
            heading: step.heading + step.curvature * (a - step.start),
            ..*step
        })
    })
}
