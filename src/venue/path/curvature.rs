//! Heading and curvature of a road from the points of a path.
//!
//! How the width is chosen: the ratio of road to noise that makes the chords most likely (marginal
//! likelihood of the linear model in [`super::smoother`]) gives one width w in metres,
//! w⁴ = s²/(ℓ·q): s² the variance of a chord's lateral error, ℓ its length, q the variance of the
//! change of curvature per metre. Roads do not bend like that everywhere: they are straights and
//! corners with short transitions. So each place then gets its own q (expectation–maximisation of
//! a Student distribution of the changes), which smooths far on straights and within corners and
//! little where they meet.

use super::smoother::{self, Chord, Smoothed};

/// Longest step of the road model, m.
const STEP: f64 = 2.5;
/// Chords are at least this long: shorter ones are joined, m.
const SHORTEST_CHORD: f64 = 2.0;
/// Least lateral error of a chord, m: below it nothing is gained.
const LEAST_NOISE: f64 = 0.01;
/// Longest stretch, in chords, that the width is chosen from.
const LIKELIHOOD_CHORDS: usize = 4000;

/// Tuning of the fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tuning {
    pub rounds: usize,
    pub freedom: f64,
    pub scale: f64,
    pub chord: f64,
    pub outer: usize,
}

impl Default for Tuning {
    fn default() -> Self {
        Self { rounds: 8, freedom: 1.0, scale: 0.05, chord: SHORTEST_CHORD, outer: 3 }
    }
}

/// A point of a path in its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// East, m.
    pub x: f64,
    /// North, m.
    pub y: f64,
    /// Height, m.
    pub z: Option<f64>,
    /// Time, s.
    pub t: Option<f64>,
}

/// The fitted road.
#[derive(Debug, Clone, Default)]
pub struct Road {
    /// Length of each step, m on the map.
    pub lengths: Vec<f64>,
    /// Curvature on each step, 1/m, left positive.
    pub curvature: Vec<f64>,
    /// Heading at the start of each step, rad.
    pub heading: Vec<f64>,
    /// Index of the point that each chord begins at, and of the step it begins with.
    pub marks: Vec<(usize, usize)>,
    /// Width of the smoothing, m.
    pub width: f64,
    /// Lateral error of a chord, m.
    pub noise: f64,
}

pub fn fit(points: &[Point], closed: bool, width: Option<f64>, tuning: Tuning) -> Road {
    let kept = thin(points, tuning.chord, closed);
    let raw = Raw::new(points, &kept, closed);
    let mut chords = raw.chords();
    let mut changes = Vec::new();
    let mut noise = 0.0;
    let mut found_width = 0.0;
    let mut road = Smoothed::default();
    for outer in 0..tuning.outer {
        let (q, s2) = match width {
            Some(width) => by_width(&chords, width),
            None => most_likely(&chords),
        };
        noise = s2;
        let mean = chords.iter().map(|c| c.length).sum::<f64>() / chords.len() as f64;
        found_width = (s2 / (mean * q)).powf(0.25);
        if changes.is_empty() || outer == 1 {
            changes = base(&chords, q);
        }
        for _ in 0..tuning.rounds {
            road = smoother::smooth(&chords, &changes, noise);
            sharpen(&chords, &mut changes, &road, q, tuning);
        }
        road = smoother::smooth(&chords, &changes, noise);
        raw.follow(&mut chords, &road);
    }
    raw.road(&chords, road, found_width, noise.sqrt())
}

fn base(chords: &[Chord], q: f64) -> Vec<f64> {
    let mut changes = Vec::new();
    for chord in chords {
        let h = chord.length / chord.steps as f64;
        changes.extend(std::iter::repeat_n(q * h, chord.steps));
    }
    changes
}

fn sharpen(chords: &[Chord], changes: &mut [f64], road: &Smoothed, q: f64, t: Tuning) {
    let mut i = 0;
    for chord in chords {
        let h = chord.length / chord.steps as f64;
        for _ in 0..chord.steps {
            let (score, information) = road.score[i];
            let old = changes[i];
            let mean = old * score;
            let second = mean * mean + old - old * old * information;
            changes[i] = (t.freedom * t.scale * q * h + second) / (t.freedom + 1.0);
            i += 1;
        }
    }
}

fn by_width(chords: &[Chord], width: f64) -> (f64, f64) {
    let mean = chords.iter().map(|c| c.length).sum::<f64>() / chords.len() as f64;
    let ratio = 1.0 / (mean * width.powi(4));
    let (_, s2) = smoother::likelihood(chords, &base(chords, ratio));
    let s2 = s2.max(LEAST_NOISE * LEAST_NOISE);
    (ratio * s2, s2)
}

fn most_likely(chords: &[Chord]) -> (f64, f64) {
    let from = chords.len().saturating_sub(LIKELIHOOD_CHORDS) / 2;
    let some = &chords[from..(from + LIKELIHOOD_CHORDS).min(chords.len())];
    let cost = |log: f64| smoother::likelihood(some, &base(some, log.exp()));
    let mut best = (f64::INFINITY, 0.0);
    let (mut low, mut high) = (-25.0f64, 10.0f64);
    for _ in 0..3 {
        let step = (high - low) / 14.0;
        for i in 0..=14 {
            let log = low + step * i as f64;
            let (value, _) = cost(log);
            if value < best.0 {
                best = (value, log);
            }
        }
        (low, high) = (best.1 - step, best.1 + step);
    }
    let ratio = best.1.exp();
    let (_, s2) = cost(best.1);
    let floor = LEAST_NOISE * LEAST_NOISE;
    if s2 < floor { (ratio * s2, floor) } else { (ratio * s2, s2) }
}

/// Indices of the points to keep: neighbours at least `shortest` apart.
fn thin(points: &[Point], shortest: f64, _closed: bool) -> Vec<usize> {
    let mut kept = vec![0];
    let mut last = points[0];
    for (i, p) in points.iter().enumerate().skip(1) {
        if (p.x - last.x).hypot(p.y - last.y) >= shortest {
            kept.push(i);
            last = *p;
        }
    }
    kept
}

struct Raw {
    /// Point that each chord begins at.
    from: Vec<usize>,
    length: Vec<f64>,
    heading: Vec<f64>,
    weight: Vec<f64>,
    /// Chords of the loop before and after the path itself.
    wrap: usize,
}

impl Raw {
    fn new(points: &[Point], kept: &[usize], closed: bool) -> Self {
        let mut raw = Raw { from: vec![], length: vec![], heading: vec![], weight: vec![], wrap: 0 };
        let mut pairs: Vec<(usize, usize)> = kept.windows(2).map(|w| (w[0], w[1])).collect();
        if closed {
            pairs.push((kept[kept.len() - 1], kept[0]));
            let wrap = pairs.len().min(400).min(pairs.len());
            let tail = pairs[pairs.len() - wrap..].to_vec();
            let head = pairs[..wrap].to_vec();
            pairs = tail.into_iter().chain(pairs).chain(head).collect();
            raw.wrap = wrap;
        }
        let dts: Vec<f64> = pairs
            .iter()
            .map(|&(a, b)| match (points[a].t, points[b].t) {
                (Some(a), Some(b)) if b > a => b - a,
                _ => f64::NAN,
            })
            .collect();
        let timed = dts.iter().all(|d| d.is_finite());
        let mut sorted = dts.clone();
        sorted.sort_by(f64::total_cmp);
        let median = sorted[sorted.len() / 2];
        let mut last = f64::NAN;
        for (&(a, b), dt) in pairs.iter().zip(dts) {
            let (dx, dy) = (points[b].x - points[a].x, points[b].y - points[a].y);
            let mut heading = dy.atan2(dx);
            if last.is_finite() {
                let turn = 2.0 * std::f64::consts::PI;
                heading += turn * ((last - heading) / turn).round();
            }
            last = heading;
            raw.from.push(a);
            raw.length.push(dx.hypot(dy));
            raw.heading.push(heading);
            raw.weight.push(if timed { dt / median } else { 1.0 });
        }
        raw
    }

    fn chords(&self) -> Vec<Chord> {
        (0..self.length.len())
            .map(|i| Chord {
                length: self.length[i],
                heading: self.heading[i],
                weight: self.weight[i],
                steps: (self.length[i] / STEP).ceil().max(1.0) as usize,
            })
            .collect()
    }

    /// Lengths and mean headings of the chords from the fitted road: a chord is shorter than the arc
    /// over it, and its heading is not quite the mean of the road's.
    fn follow(&self, chords: &mut [Chord], road: &Smoothed) {
        let mut i = 0;
        for (k, chord) in chords.iter_mut().enumerate() {
            let h = chord.length / chord.steps as f64;
            let (mut x, mut y, mut mean) = (0.0, 0.0, 0.0);
            for _ in 0..chord.steps {
                let half = 0.5 * road.curvature[i] * h;
                let middle = road.heading[i] + half;
                let part = if half.abs() < 1e-6 { h } else { h * half.sin() / half };
                x += part * middle.cos();
                y += part * middle.sin();
                mean += h * middle;
                i += 1;
            }
            mean /= chord.length;
            let along = {
                let a = y.atan2(x);
                let turn = 2.0 * std::f64::consts::PI;
                a + turn * ((mean - a) / turn).round()
            };
            let ratio = x.hypot(y) / chord.length;
            let project = self.length[k] * (self.heading[k] - along).cos();
            chord.length = (project / ratio).max(0.2 * self.length[k]);
            chord.heading = self.heading[k] + mean - along;
        }
    }

    fn road(&self, chords: &[Chord], road: Smoothed, width: f64, noise: f64) -> Road {
        let mut out = Road { width, noise, ..Road::default() };
        let mut i = 0;
        let last = chords.len() - self.wrap;
        for (k, chord) in chords.iter().enumerate() {
            if k >= self.wrap && k < last {
                out.marks.push((self.from[k], out.lengths.len()));
            }
            for _ in 0..chord.steps {
                if k >= self.wrap && k < last {
                    out.lengths.push(chord.length / chord.steps as f64);
                    out.curvature.push(road.curvature[i]);
                    out.heading.push(road.heading[i]);
                }
                i += 1;
            }
        }
        out
    }
}
