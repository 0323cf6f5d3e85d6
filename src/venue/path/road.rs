//! Heading, curvature and slope of the road that points lie along.

use std::f64::consts::TAU;

use super::Point;
use super::drawn;
use super::fit::{self, Errors};
use super::heights::Heights;
use super::scatter;
use super::smoother::{Changes, Chord, Smoothed};

/// Longest step of the road, m.
const STEP: f64 = 2.5;
/// Points nearer than this to the one before say nothing about heading, m.
const NEAREST: f64 = 2.0;
/// Neighbouring points are averaged while their error is more than this share of their distance.
const WORST_HEADING: f64 = 0.2;
/// Averaging ends where the points of a chord are this far apart, m: a hairpin is hardly longer.
const LONGEST_AVERAGE: f64 = 8.0;
/// A loop is wrapped around by this much at each end before it is smoothed, m.
const WRAP: f64 = 500.0;
/// Errors of a chord across the road, m: half a centimetre is as good as none, and nothing that errs
/// by more than this from fix to fix is a recording of a road.
const LATERAL: Errors = Errors {
    least: 0.005,
    most: 1.5,
};
/// A line that somebody drew errs by this, m: nobody clicks closer. One that is truer was computed; then by so
/// many times what its own points scatter.
const CLICKED: (f64, f64) = (0.2, 5.0);
/// Errors of the height from one fix to the next, m.
const HEIGHT: Errors = Errors {
    least: 0.02,
    most: 10.0,
};
/// The road over a chord is at least this share of it.
const SHORTEST: f64 = 0.2;
/// And at most this many times as long: an arc through 290°, more than any two points show.
const LONGEST_ARC: f64 = 4.0;
/// No road is steeper, tangent.
const STEEPEST: f64 = 0.5;

/// One step of the road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Distance of its start from the start of the road, on the map, m.
    pub start: f64,
    /// Length on the map, m.
    pub length: f64,
    /// Heading at its start, rad from east, counter-clockwise, unwrapped.
    pub heading: f64,
    /// Curvature on the map, 1/m, left positive.
    pub curvature: f64,
    /// Slope as the tangent of the angle, rising positive.
    pub slope: f64,
}

/// A smoothed road.
#[derive(Debug, Clone, PartialEq)]
pub struct Road {
    /// Steps in driving order.
    pub steps: Vec<Step>,
    /// Fixes that chords begin at, with their distance on the map, m.
    pub marks: Vec<(usize, f64)>,
    /// Whether its end is its start.
    pub closed: bool,
    /// Width of the smoothing, m.
    pub width: f64,
    /// Standard deviation of the error from one fix to the next across the road, m.
    pub noise: f64,
    /// Standard deviation of errors that are new at each point and make the path zigzag, m; 0 where it
    /// does not.
    pub scatter: f64,
    /// Heights were there, at least in part.
    pub heights: bool,
    /// Metres on the map without heights, taken as level.
    pub level: f64,
    /// Standard deviation of the points' heights about the road's, m; 0 where some have none.
    pub height_scatter: f64,
}

impl Road {
    /// Length on the map, m.
    pub fn length(&self) -> f64 {
        self.steps
            .last()
            .map_or(0.0, |step| step.start + step.length)
    }

    /// How fast the car went over a stretch, m/s, by the times of the fixes about it.
    pub(super) fn pace(
        &self,
        (from, to): (f64, f64),
        time: impl Fn(usize) -> Option<f64>,
    ) -> Option<f64> {
        let before = self.marks.partition_point(|(_, at)| *at <= from);
        let after = self.marks.partition_point(|(_, at)| *at < to);
        let (first, start) = *self.marks.get(before.saturating_sub(1))?;
        let (last, end) = *self.marks.get(after).or(self.marks.last())?;
        let taken = (time(last)? - time(first)?).abs();
        (taken > 0.0).then(|| (end - start) / taken)
    }
}

/// Smooths the road that points lie along; `width` sets the width of the smoothing, m, which is
/// otherwise chosen from the points. `known` is how far the points of the whole recording scatter, m: one lap
/// of it may be too short to tell. `None` where fewer than three points lie apart.
pub fn smooth(points: &[Point], closed: bool, width: Option<f64>, known: f64) -> Option<Road> {
    let mut averaged;
    let (mut points, mut known) = (points, known);
    loop {
        let kept = kept(points, closed);
        if kept.len() < 3 {
            return None;
        }
        let scatter = scatter::scatter(&kept);
        // A line that somebody drew is no worse for points that miss its middle.
        let scattered = match kept.iter().all(|point| point.t.is_some()) {
            true => scatter.max(known).max(scatter::on_straights(&kept)),
            false => scatter,
        };
        let drawn = scatter == 0.0 && kept.iter().all(|point| point.t.is_none());
        let clicks = scatter::of_clicks(&kept);
        let kept = match drawn {
            true => drawn::refined(&kept, closed),
            false => kept,
        };
        let raw = Raw::new(&kept, closed, drawn && !closed);
        let mut chords = raw.chords();
        let errors = LATERAL.with_scatter(scatter);
        let errors = match drawn {
            true => errors.with_least(CLICKED.0.min(CLICKED.1 * clicks)),
            false => errors,
        };
        let follow = |chords: &mut [Chord], road: &Smoothed| raw.follow(chords, road);
        let (smoothed, chosen) = fit::fit(&mut chords, Changes::Curvature, width, errors, follow);
        let typical = median(raw.length.iter().copied());
        let blunt = chosen.noise > WORST_HEADING * typical && typical < LONGEST_AVERAGE;
        if blunt && points.len() > 20 {
            averaged = average_pairs(points);
            points = &averaged;
            known /= 2_f64.sqrt();
            continue;
        }
        let mut road = raw.road(&chords, &smoothed);
        road.width = chosen.width;
        road.noise = chosen.noise;
        road.scatter = scattered;
        raw.add_slope(&kept, &chords, &mut road);
        return Some(road);
    }
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

/// Means of neighbours two by two: half as many points, errors nearly halved where they are
/// independent.
fn average_pairs(points: &[Point]) -> Vec<Point> {
    let both = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| 0.5 * (a + b)).or(a).or(b);
    points
        .chunks(2)
        .map(|pair| {
            let (a, b) = (pair[0], pair[pair.len() - 1]);
            Point {
                x: 0.5 * (a.x + b.x),
                y: 0.5 * (a.y + b.y),
                z: both(a.z, b.z),
                t: both(a.t, b.t),
                fix: a.fix,
            }
        })
        .collect()
}

/// Chords between points as they lie.
struct Raw {
    /// Point that each chord begins and ends at.
    ends: Vec<(usize, usize)>,
    length: Vec<f64>,
    /// Direction of each chord, rad, unwrapped.
    heading: Vec<f64>,
    weight: Vec<f64>,
    /// Chords before and after its own: of the loop again, or straight on.
    wrap: usize,
    closed: bool,
    fixes: Vec<usize>,
}

impl Raw {
    /// `beyond`: the first and the last point lie beyond the road.
    fn new(points: &[Point], closed: bool, beyond: bool) -> Self {
        let mut ends: Vec<(usize, usize)> = (1..points.len()).map(|i| (i - 1, i)).collect();
        let mut wrap = usize::from(beyond);
        if closed {
            ends.push((points.len() - 1, 0));
            let mut reach = 0.0;
            while wrap < ends.len() && reach < WRAP {
                let (a, b) = ends[wrap];
                reach += points[a].to(&points[b]);
                wrap += 1;
            }
            let before = ends[ends.len() - wrap..].to_vec();
            let after = ends[..wrap].to_vec();
            ends = [before, ends, after].concat();
        }
        let fixes = ends.iter().map(|&(a, _)| points[a].fix).collect();
        let weight = weights(points, &ends);
        let (mut length, mut heading) = (Vec::new(), Vec::new());
        for &(a, b) in &ends {
            let (dx, dy) = (points[b].x - points[a].x, points[b].y - points[a].y);
            let last = heading.last().copied().unwrap_or(0.0);
            heading.push(near(dy.atan2(dx), last));
            length.push(dx.hypot(dy));
        }
        Self {
            ends,
            length,
            heading,
            weight,
            wrap,
            closed,
            fixes,
        }
    }

    fn chords(&self) -> Vec<Chord> {
        (0..self.ends.len())
            .map(|i| Chord {
                length: self.length[i],
                heading: self.heading[i],
                weight: self.weight[i],
                steps: (self.length[i] / STEP).ceil().max(1.0) as usize,
            })
            .collect()
    }

    /// Lengths and mean headings of the chords from the road over them: an arc is longer than its
    /// chord, a noisy chord longer than its road, and the direction of a chord is not quite the mean
    /// of the headings along it.
    fn follow(&self, chords: &mut [Chord], road: &Smoothed) {
        let mut index = 0;
        for (k, chord) in chords.iter_mut().enumerate() {
            let h = chord.step();
            let (mut x, mut y, mut mean) = (0.0, 0.0, 0.0);
            for _ in 0..chord.steps {
                let half = 0.5 * road.curvature[index] * h;
                let middle = road.heading[index] + half;
                let part = if half.abs() < 1e-6 {
                    h
                } else {
                    h * half.sin() / half
                };
                x += part * middle.cos();
                y += part * middle.sin();
                mean += h * middle;
                index += 1;
            }
            mean /= chord.length;
            let along = near(y.atan2(x), mean);
            let ratio = x.hypot(y) / chord.length;
            let forward = self.length[k] * (self.heading[k] - along).cos();
            // Where a road curls within a chord the ratio may come to nothing.
            let length = if ratio > 0.0 { forward / ratio } else { 0.0 };
            chord.length = length.clamp(SHORTEST * self.length[k], LONGEST_ARC * self.length[k]);
            chord.heading = self.heading[k] + mean - along;
        }
    }

    fn road(&self, chords: &[Chord], smoothed: &Smoothed) -> Road {
        let mut road = Road {
            steps: Vec::new(),
            marks: Vec::new(),
            closed: self.closed,
            width: 0.0,
            noise: 0.0,
            scatter: 0.0,
            heights: false,
            level: 0.0,
            height_scatter: 0.0,
        };
        let own = self.wrap..chords.len() - self.wrap;
        let (mut index, mut start) = (0, 0.0);
        for (k, chord) in chords.iter().enumerate() {
            if own.contains(&k) {
                if road
                    .marks
                    .last()
                    .is_none_or(|(fix, _)| *fix != self.fixes[k])
                {
                    road.marks.push((self.fixes[k], start));
                }
                for i in index..index + chord.steps {
                    road.steps.push(Step {
                        start,
                        length: chord.step(),
                        heading: smoothed.heading[i],
                        curvature: smoothed.curvature[i],
                        slope: 0.0,
                    });
                    start += chord.step();
                }
            }
            index += chord.steps;
        }
        road
    }

    /// The slope from heights, smoothed as headings are: a slope is a heading in the vertical plane.
    fn add_slope(&self, points: &[Point], chords: &[Chord], road: &mut Road) {
        let Some(heights) = Heights::new(points, &self.ends, chords) else {
            road.level = road.length();
            return;
        };
        road.heights = true;
        road.level = heights.level_length(self.wrap, chords);
        let mut along: Vec<Chord> = chords
            .iter()
            .zip(&heights.rise)
            .map(|(chord, rise)| Chord {
                heading: rise / chord.length,
                ..*chord
            })
            .collect();
        let (smoothed, _) = fit::fit(&mut along, Changes::Heading, None, HEIGHT, |_, _| {});
        let mut index = 0;
        let mut out = road.steps.iter_mut();
        for (k, chord) in chords.iter().enumerate() {
            let own = k >= self.wrap && k < chords.len() - self.wrap;
            for i in index..index + chord.steps {
                if !own {
                    continue;
                }
                if let Some(step) = out.next() {
                    let slope = if heights.level[k] {
                        0.0
                    } else {
                        smoothed.heading[i]
                    };
                    step.slope = slope.clamp(-STEEPEST, STEEPEST);
                }
            }
            index += chord.steps;
        }
        if road.level == 0.0 {
            road.height_scatter = self.heights_apart(points, chords, &road.steps);
        }
    }

    /// Standard deviation of the points' heights about those that the slopes add up to, m.
    fn heights_apart(&self, points: &[Point], chords: &[Chord], steps: &[Step]) -> f64 {
        let (mut height, mut apart) = (0.0, Vec::new());
        let mut steps = steps.iter();
        for k in self.wrap..chords.len() - self.wrap {
            apart.extend(points[self.ends[k].0].z.map(|z| z - height));
            for step in steps.by_ref().take(chords[k].steps) {
                height += step.slope * step.length;
            }
        }
        let count = apart.len().max(1) as f64;
        let mean = apart.iter().sum::<f64>() / count;
        (apart.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / count).sqrt()
    }
}

/// An angle by whole turns nearest to another.
fn near(angle: f64, to: f64) -> f64 {
    angle + TAU * ((to - angle) / TAU).round()
}

/// Points that lie apart from the one before.
fn kept(points: &[Point], closed: bool) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for point in points {
        if kept.last().is_none_or(|last| last.to(point) >= NEAREST) {
            kept.push(*point);
        }
    }
    // The last chord of a loop leads back to its first point.
    while closed && kept.len() > 1 && kept[kept.len() - 1].to(&kept[0]) < NEAREST {
        kept.pop();
    }
    kept
}

/// Variances of the chords' errors relative to each other: a recorder drifts in time, so that what
/// takes twice as long errs twice as much; a line on a map errs alike at each vertex.
fn weights(points: &[Point], ends: &[(usize, usize)]) -> Vec<f64> {
    let taken: Vec<Option<f64>> = ends
        .iter()
        .map(|&(a, b)| {
            points[a]
                .t
                .zip(points[b].t)
                .map(|(a, b)| b - a)
                .filter(|dt| *dt > 0.0)
        })
        .collect();
    let known = || taken.iter().flatten().copied();
    if known().count() * 10 < ends.len() * 9 {
        return vec![1.0; ends.len()];
    }
    let typical = median(known());
    // A long wait is no long drift: receivers settle while standing.
    taken
        .iter()
        .map(|dt| dt.map_or(1.0, |dt| (dt / typical).clamp(0.1, 10.0)))
        .collect()
}

#[cfg(test)]
mod tests;
