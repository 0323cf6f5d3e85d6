//! How much the chords are smoothed, chosen from the chords themselves.
//!
//! One width first: the ratio of road to noise that makes the chords most likely (marginal
//! likelihood of the linear model in [`super::smoother`]) is a width w in metres,
//! w⁴ = s²/(ℓ·q): s² the variance of a chord's lateral error, ℓ its length, q the variance of the
//! change of curvature per metre. But roads are straights and corners with short transitions: most
//! of a road bends as it did a metre ago, and here and there it changes at once. So the changes get
//! a Student distribution of few degrees of freedom, and expectation–maximisation gives each place
//! a q of its own and the noise anew. It smooths far along straights and within corners and little
//! where they meet, and finds the same corner from points 1 m and 15 m apart. Where changes follow
//! each other like stairs, the road is a transition or no arc at all, and is smoothed as a ramp.
//!
//! The numbers below were settled once, on invented roads driven by simulated cars and recorded
//! with errors of 1.5 m that drift over 10 s; `tests/properties/recordings.rs` holds what came out.

use super::search;
use super::smoother::{self, Changes, Chord, Smoothed};

/// Degrees of freedom of the changes of curvature.
const FREEDOM: f64 = 0.25;
/// Variance of an ordinary change over the one that the single width takes for all, of curvature
/// and of slope: slopes are drowned deeper in the errors of heights.
const ORDINARY: (f64, f64) = (0.003, 1.0);
/// The noise begins at this share of the variance that one width for all leaves over, which takes
/// tight corners for noise.
const CALM: f64 = 0.1;
/// Rounds of expectation and maximisation between two looks at the chords.
const ROUNDS: usize = 20;
/// Looks at the chords: their lengths and headings depend a little on the road over them.
const LOOKS: usize = 3;
/// A change is one where its variance is this many times that of the usual place.
const CLEAR: f64 = 5.0;
/// So many changes one way…
const STAIRS: usize = 3;
/// …no farther apart than this make a ramp, m.
const RAMP: f64 = 35.0;
/// Between a ramp up and a ramp down no farther apart than this lies a top, m.
const TOP: f64 = 70.0;
/// Longest run of chords that the one width is chosen from.
const LIKELIHOOD_CHORDS: usize = 4000;

/// How large the errors of the chords may be, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Errors {
    /// At least: below it nothing is gained.
    pub least: f64,
    /// At most.
    pub most: f64,
}

impl Errors {
    /// With chords known to err by so much, m.
    pub fn with_least(self, least: f64) -> Self {
        Self {
            least: self.least.max(least),
            ..self
        }
    }

    /// With room for the errors of points that scatter, m. Chords between such points err by more, but
    /// to and fro; on the roads that the numbers above were settled on this much gave the times best.
    pub fn with_scatter(self, scatter: f64) -> Self {
        Self {
            most: self.most.max(scatter),
            ..self
        }
    }
}

/// What was chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chosen {
    /// Width of the smoothing, m.
    pub width: f64,
    /// Standard deviation of a chord's lateral error, m.
    pub noise: f64,
}

/// Smooths chords; `follow` is shown the road after each look and may mend the chords.
pub(super) fn fit(
    chords: &mut [Chord],
    what: Changes,
    width: Option<f64>,
    errors: Errors,
    mut follow: impl FnMut(&mut [Chord], &Smoothed),
) -> (Smoothed, Chosen) {
    let mean = chords.iter().map(|c| c.length).sum::<f64>() / chords.len() as f64;
    let (q, variance) = match width {
        Some(width) => by_width(chords, what, mean, width),
        None => most_likely(chords, what),
    };
    let chosen_width = (variance / (mean * q)).powf(0.25);
    // Fixes err by a fraction of a metre from one to the next, or by a fraction of what lies
    // between them.
    let usual = (0.02 * mean).max(0.25);
    let mut noise = (variance * CALM)
        .min(usual * usual)
        .max(errors.least * errors.least);
    let mut changes = base(chords, q);
    let ordinary = q * if what == Changes::Curvature {
        ORDINARY.0
    } else {
        ORDINARY.1
    };
    let mut road = Smoothed::default();
    for _ in 0..LOOKS {
        for _ in 0..ROUNDS {
            road = smoother::smooth(chords, what, &changes, noise);
            sharpen(chords, &mut changes, &road, ordinary);
            noise = noise_left(chords, &road, noise, errors);
        }
        road = smoother::smooth(chords, what, &changes, noise);
        follow(chords, &road);
    }
    if what == Changes::Curvature {
        ramps(chords, &mut changes, &road);
        road = smoother::smooth(chords, what, &changes, noise);
        follow(chords, &road);
    }
    (
        road,
        Chosen {
            width: width.unwrap_or(chosen_width),
            noise: noise.sqrt(),
        },
    )
}

/// The same variance of change per metre everywhere.
fn base(chords: &[Chord], q: f64) -> Vec<f64> {
    let of = |chord: &Chord| std::iter::repeat_n(q * chord.step(), chord.steps);
    chords.iter().flat_map(of).collect()
}

/// Expected variances of the changes, given their posterior moments and a Student prior.
fn sharpen(chords: &[Chord], changes: &mut [f64], road: &Smoothed, ordinary: f64) {
    let mut index = 0;
    for chord in chords {
        let h = chord.step();
        for _ in 0..chord.steps {
            let (score, information) = road.score[index];
            let old = changes[index];
            let mean = old * score;
            let square = mean * mean + old - old * old * information;
            changes[index] = (FREEDOM * ordinary * h + square) / (FREEDOM + 1.0);
            index += 1;
        }
    }
}

/// Changes one way, again and again, are no stairs but a ramp: a transition, or a curve that is no
/// arc. The variance that they got is spread evenly over the road that they take, and over the top
/// between a rise and a fall.
fn ramps(chords: &[Chord], changes: &mut [f64], road: &Smoothed) {
    let lengths: Vec<f64> = chords
        .iter()
        .flat_map(|c| std::iter::repeat_n(c.step(), c.steps))
        .collect();
    let reach = |span: std::ops::Range<usize>| lengths[span].iter().sum::<f64>();
    let ramps: Vec<(std::ops::Range<usize>, f64)> = stairs(&lengths, changes, road)
        .into_iter()
        .map(|(first, last, count)| {
            // The ramp begins and ends half a stair beyond its outer jumps.
            let half = (last - first) / (2 * (count - 1));
            let span = first.saturating_sub(half)..(last + half + 1).min(changes.len());
            let sum: f64 = changes[first..=last].iter().sum();
            (span.clone(), sum / reach(span))
        })
        .collect();
    for (span, rate) in &ramps {
        span.clone().for_each(|i| changes[i] = rate * lengths[i]);
    }
    for pair in ramps.windows(2) {
        let gap = pair[0].0.end..pair[1].0.start.max(pair[0].0.end);
        if reach(gap.clone()) <= TOP {
            let rate = pair[0].1.min(pair[1].1);
            gap.for_each(|i| changes[i] = changes[i].max(rate * lengths[i]));
        }
    }
}

/// Runs of clear changes one way: the first, the last and how many.
fn stairs(lengths: &[f64], changes: &[f64], road: &Smoothed) -> Vec<(usize, usize, usize)> {
    let mut rates: Vec<f64> = changes.iter().zip(lengths).map(|(q, h)| q / h).collect();
    rates.sort_by(f64::total_cmp);
    let usual = rates[rates.len() / 2];
    let clear = |i: &usize| changes[*i] > CLEAR * usual * lengths[*i];
    let rises = |i: usize| road.score[i].0 < 0.0;
    let jumps: Vec<usize> = (0..changes.len()).filter(clear).collect();
    let mut found = Vec::new();
    let mut first = 0;
    while first < jumps.len() {
        let mut last = first;
        while last + 1 < jumps.len()
            && rises(jumps[last + 1]) == rises(jumps[first])
            && lengths[jumps[last]..jumps[last + 1]].iter().sum::<f64>() <= RAMP
        {
            last += 1;
        }
        if last - first + 1 >= STAIRS {
            found.push((jumps[first], jumps[last], last - first + 1));
        }
        first = last + 1;
    }
    found
}

/// The variance of the chords' errors, given their posterior moments.
fn noise_left(chords: &[Chord], road: &Smoothed, noise: f64, errors: Errors) -> f64 {
    let square = |(chord, &(u, d)): (&Chord, &(f64, f64))| {
        let r = noise * chord.weight;
        ((r * u).powi(2) + r - r * r * d) / chord.weight
    };
    let sum: f64 = chords.iter().zip(&road.miss).map(square).sum();
    (sum / chords.len() as f64).clamp(errors.least * errors.least, errors.most * errors.most)
}

/// Variance of change per metre and of noise for a given width.
fn by_width(chords: &[Chord], what: Changes, mean: f64, width: f64) -> (f64, f64) {
    let ratio = 1.0 / (mean * width.powi(4));
    let (_, variance) = smoother::likelihood(chords, what, &base(chords, ratio));
    (ratio * variance, variance)
}

/// Variance of change per metre and of noise that make the chords most likely.
fn most_likely(chords: &[Chord], what: Changes) -> (f64, f64) {
    let from = chords.len().saturating_sub(LIKELIHOOD_CHORDS) / 2;
    let some = &chords[from..(from + LIKELIHOOD_CHORDS).min(chords.len())];
    let cost = |log: f64| smoother::likelihood(some, what, &base(some, log.exp()));
    let (_, log) = search::least(-25.0, 10.0, |log| cost(log).0);
    let (_, variance) = cost(log);
    let variance = variance.max(1e-12);
    (log.exp() * variance, variance)
}
