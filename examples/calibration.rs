//! Whether verdicts are right as often as they say: `cargo run --release --example calibration`.
//!
//! Simulated test days of two specs (see `coverage`) are judged at three short roads for a car whose
//! true mass, grip, drag, shift time, tyre, air and driver were drawn from what is taken for usual, so
//! the true gap is known. Each true gap is a multiple of σ, the standard deviation of the error of the
//! estimated gap; its sign alternates.
//!
//! Laps of that many days and draws cannot all be driven. Each draw of the shared inputs is driven
//! once with the mean of the two curves and once with each of 20 small bumps on it; times with any
//! other curve follow from these slopes. That is exact as far as gear changes stay where they are.
//! `check` drives some of the days in full and compares: what it found is in `DEVELOPERS.md`.

use pullrank::dyno::Curve;
use pullrank::study::{Engines, VenueTimes, Verdict, Word};
use rayon::prelude::*;

#[path = "coverage.rs"]
#[allow(dead_code, reason = "its main is not called here")]
pub mod coverage;
#[path = "support/slopes.rs"]
mod slopes;

use coverage::{Dice, World, day, taken};
pub use slopes::roads;
use slopes::{LIMIT, Road, pair};

/// Drift of days that always drift the same way, an hour.
const DRIFT: f64 = -0.003;
/// True gaps, σ.
const LEVELS: [f64; 5] = [0.0, 0.5, 1.0, 2.0, 3.0];
/// Draws of a verdict.
const DRAWS: u64 = 200;
/// Days of one road, layout and true gap.
const DAYS: usize = 400;

/// What was said over many days.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said {
    /// Days.
    pub days: usize,
    /// Clear: said, and right.
    pub clear: (usize, usize),
    /// Likely: said, and right.
    pub likely: (usize, usize),
    /// Nothing in it: said, and right.
    pub nothing: (usize, usize),
    /// Intervals that hold the true gap.
    pub held: usize,
    /// Medians above the true gap.
    pub above: usize,
    /// Sum of squares of the median's error, s².
    pub squares: f64,
}

impl Said {
    fn add(&mut self, verdict: &Verdict, truth: f64, useful: f64) {
        self.days += 1;
        let right = (truth > 0.0) == (verdict.leader == 0) && truth != 0.0;
        let count = |place: &mut (usize, usize), right: bool| {
            place.0 += 1;
            place.1 += usize::from(right);
        };
        match verdict.word {
            Word::Clear => count(&mut self.clear, right),
            Word::Likely => count(&mut self.likely, right),
            Word::NothingInIt => count(&mut self.nothing, truth.abs() < useful),
            _ => {}
        }
        // By how much the second is slower.
        let sign = if verdict.leader == 0 { 1.0 } else { -1.0 };
        let ends = [sign * verdict.gap.low, sign * verdict.gap.high];
        self.held += usize::from(ends[0].min(ends[1]) <= truth && truth <= ends[0].max(ends[1]));
        let error = sign * verdict.gap.median - truth;
        self.above += usize::from(error > 0.0);
        self.squares += error * error;
    }
}

/// Judges so many days of one layout at one road with a true difference: as if any difference could be
/// used, and with what anyone can use there. Days drift either way, by what is taken for usual, or
/// `always` down.
pub fn judge(
    road: &Road,
    world: &World,
    pairs: &[[Curve; 2]],
    (days, always): (usize, bool),
    seed: u64,
) -> [Said; 2] {
    let mut dice = Dice::new(seed);
    let mut said = [Said::default(); 2];
    for number in 0..days {
        let pair = &pairs[number % pairs.len()];
        let usual = taken(false);
        let either = usual.drift * dice.normal();
        let world = World {
            drift: if always { DRIFT } else { either },
            ..*world
        };
        let day = day(pair, &world, &mut dice, usual);
        let Ok(engines) = Engines::of(&day, &[0, 1], LIMIT) else {
            continue;
        };
        let truth = road.truth(pair, (dice.even() * road.truths() as f64) as usize);
        let times = road.times(&engines, 1);
        for (said, useful) in said.iter_mut().zip([0.0, road.useful]) {
            if let Some(verdict) = Verdict::of(&times, useful, |_, _| false) {
                said.add(&verdict, truth, useful);
            }
        }
    }
    said
}

/// The layouts: pulled once each, the first refitted (A-B-A is not in turns: two fittings of both
/// stand for it), and refitted with few pulls.
pub const WORLDS: [World; 3] = [
    World {
        pulls: 3,
        fittings: 1,
        fitting_sd: 0.005,
        drift: 0.0,
    },
    World {
        pulls: 3,
        fittings: 2,
        fitting_sd: 0.005,
        drift: 0.0,
    },
    World {
        pulls: 2,
        fittings: 3,
        fitting_sd: 0.005,
        drift: 0.0,
    },
];

/// Pairs whose usual gap at a road is ± so many σ: the demo's difference, shifted in level.
pub fn pairs_at(road: &Road, gap: f64) -> Vec<[Curve; 2]> {
    let find = |wanted: f64| {
        let (mut low, mut high) = (-0.15, 0.15);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            // More torque makes the second quicker.
            if road.usual_gap(&pair(0.3, middle)) > wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        pair(0.3, 0.5 * (low + high))
    };
    vec![find(gap), find(-gap)]
}

/// A row of the table: what was said with a true gap of so many σ.
fn row(road: &Road, world: &World, level: f64, sigma: f64, drifts: (usize, bool)) -> String {
    let pairs = match level {
        0.0 => vec![pair(0.0, 0.0)],
        _ => pairs_at(road, level * sigma),
    };
    let seed = 100 + (10.0 * level) as u64;
    let [said, plain] = judge(road, world, &pairs, drifts, seed);
    let share = |(said, right): (usize, usize)| match said {
        0 => String::new(),
        _ => format!("{:.1}", 100.0 * right as f64 / said as f64),
    };
    let of_days = |n: usize| 100.0 * n as f64 / said.days as f64;
    format!(
        "{},{},{},{},{level},{},{sigma:.4},{:.1},{},{:.1},{},{:.1},{},{:.1},{:.1}",
        road.name,
        if drifts.1 {
            "always down"
        } else {
            "either way"
        },
        world.fittings,
        world.pulls,
        said.days,
        of_days(said.clear.0),
        share(said.clear),
        of_days(said.likely.0),
        share(said.likely),
        of_days(plain.nothing.0),
        share(plain.nothing),
        of_days(said.held),
        of_days(said.above),
    )
}

fn main() {
    let argument = std::env::args().nth(1).and_then(|n| n.parse().ok());
    let days = argument.unwrap_or(DAYS);
    let roads = roads(DRAWS, 400);
    println!(
        "road,drift,fittings,pulls,gap_sigma,days,sigma_s,clear_said_percent,clear_right_percent,\
         likely_said_percent,likely_right_percent,nothing_said_percent,nothing_right_percent,\
         interval_percent,above_percent"
    );
    let layouts: Vec<(&Road, &World)> = roads
        .iter()
        .flat_map(|road| WORLDS.iter().map(move |world| (road, world)))
        .collect();
    let rows: Vec<Vec<String>> = layouts
        .par_iter()
        .map(|(road, world)| {
            let [first, _] = judge(road, world, &[pair(0.0, 0.0)], (days, false), 11);
            let sigma = (first.squares / first.days as f64).sqrt();
            let mut rows = LEVELS
                .map(|level| row(road, world, level, sigma, (days, false)))
                .to_vec();
            rows.push(row(road, world, 0.0, sigma, (days, true)));
            rows
        })
        .collect();
    for row in rows.iter().flatten() {
        println!("{row}");
    }
    let (error, same, number) = check(&roads, 20);
    eprintln!(
        "in full: medians of the gap {error:.4} s apart (root mean square), the same word on {same} of \
         {number} days"
    );
}

/// Judges some days by laps driven in full as well: how far the medians of the gap lie apart, s root
/// mean square, and on how many days of all the word is the same.
pub fn check(roads: &[Road], days: usize) -> (f64, usize, usize) {
    let (mut squares, mut same, mut number) = (0.0, 0, 0);
    for road in roads {
        let mut dice = Dice::new(5);
        for i in 0..days {
            let truth = pair(0.5, 0.004 * (i % 5) as f64 - 0.004);
            let day = day(&truth, &WORLDS[i % WORLDS.len()], &mut dice, taken(false));
            let Ok(engines) = Engines::of(&day, &[0, 1], LIMIT) else {
                continue;
            };
            let read = |times: &VenueTimes| Verdict::of(times, 0.0, |_, _| false);
            let by_slopes = read(&road.times(&engines, 1));
            let (Some(a), Some(b)) = (by_slopes, read(&road.driven(day, 1))) else {
                continue;
            };
            let gap = |v: &Verdict| v.behind[1].median - v.behind[0].median;
            squares += (gap(&a) - gap(&b)).powi(2);
            same += usize::from(a.word == b.word && a.leader == b.leader);
            number += 1;
        }
    }
    ((squares / number.max(1) as f64).sqrt(), same, number)
}
