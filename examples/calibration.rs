//! Whether verdicts are right as often as they say: `cargo run --release --example calibration`.
//!
//! Simulated test days of two specs (see `coverage`) are judged at three short roads for a car whose
//! true mass, grip, drag, shift time, tyre, air and driver were drawn from what is taken for usual, so
//! the true gap is known. Each true gap is a multiple of σ, the standard deviation of the error of the
//! estimated gap over such days; its sign alternates. The error between identical specs is the pulls'
//! alone. At a gap it holds more: grip and the like stretch the true gap itself, which the estimate
//! cannot follow. The table has gaps by the first σ and a gap that is three of the second, where there
//! is one: an error that grows with the gap may never be left three times behind.
//!
//! Laps of that many days and draws cannot all be driven. Each draw of the shared inputs is driven
//! once with the mean of the two curves and once with each of 20 small bumps on it; times with any
//! other curve follow from these slopes. That is exact as far as gear changes stay where they are.
//! With `slopes` behind it some of the days are driven in full as well, and the two set side by side: table
//! in `tests/reference/study/slopes.csv`.
//! Scatter is relative to torque, so the days of a layout are measured and drawn once, and serve every
//! true gap and road: rows of one layout are not independent of each other, days are.

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
use slopes::{LIMIT, NODES, Road, drawn, node, pair};

/// Drift of days that always drift the same way, an hour.
const DRIFT: f64 = -0.003;
/// True gaps, σ between identical specs.
const LEVELS: [f64; 5] = [0.0, 0.5, 1.0, 2.0, 3.0];
/// The true gap that power is judged at, σ.
const POWER: f64 = 3.0;
/// What stands in for it where no gap is so many times its own error: σ between identical specs.
const WIDEST: f64 = 10.0;
/// Draws of a verdict. The 2.5 % point of so many lies 1.2 % too far out on average (of 200 2 %).
const DRAWS: u64 = 300;
/// Days of one layout, drifting either way, and as many that always drift down.
const DAYS: usize = 4000;
/// Days of each road that are driven in full.
const IN_FULL: usize = 20;

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
    /// The same were it said where the whole interval is less than anyone can use.
    pub within: (usize, usize),
    /// Intervals that hold the true gap.
    pub held: usize,
    /// Medians above the true gap.
    pub above: usize,
    /// Sum of squares of the median's error, s².
    pub squares: f64,
}

impl Said {
    /// Standard deviation of the median's error, s.
    pub fn sigma(&self) -> f64 {
        (self.squares / self.days as f64).sqrt()
    }

    fn join(&mut self, other: &Self) {
        let both = |a: (usize, usize), b: (usize, usize)| (a.0 + b.0, a.1 + b.1);
        *self = Self {
            days: self.days + other.days,
            clear: both(self.clear, other.clear),
            likely: both(self.likely, other.likely),
            nothing: both(self.nothing, other.nothing),
            within: both(self.within, other.within),
            held: self.held + other.held,
            above: self.above + other.above,
            squares: self.squares + other.squares,
        };
    }

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
        if verdict.gap.low > -useful && verdict.gap.high < useful {
            count(&mut self.within, truth.abs() < useful);
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

/// Which days are judged.
#[derive(Debug, Clone, Copy)]
pub struct Days {
    /// How many.
    pub number: usize,
    /// Whether they always drift down; else either way, by what is taken for usual.
    pub always: bool,
    /// Days of the same seed scatter alike, whatever the truth.
    pub seed: u64,
}

/// A measured day: draw by draw, the factors by which both curves lie off the truth at the nodes.
pub type Measured = Vec<[[f32; NODES]; 2]>;

/// Measures days of one layout, and draws each as often as roads are.
pub fn measure(world: &World, days: Days, draws: u64) -> Vec<Measured> {
    let truth = pair(0.0, 0.0);
    let of = |number: usize| -> Option<Measured> {
        // Numbers of its own for every day: what few draws are off by would not average out.
        let seed = days.seed + 1_000_000 * (1 + number as u64);
        let mut dice = Dice::new(seed);
        let usual = taken(false);
        let either = usual.drift * dice.normal();
        let world = World {
            drift: if days.always { DRIFT } else { either },
            ..*world
        };
        let day = day(&truth, &world, &mut dice, usual);
        let engines = Engines::of(&day, &[0, 1], LIMIT).ok()?;
        let drawn = drawn(&engines, seed, draws);
        let off = |curve: &Curve, s: usize| {
            std::array::from_fn(|k| (curve.torque(node(k)) / truth[s].torque(node(k))) as f32)
        };
        Some(drawn.map(|[a, b]| [off(&a, 0), off(&b, 1)]).collect())
    };
    (0..days.number).into_par_iter().filter_map(of).collect()
}

/// Judges measured days at one road with a true difference: as if any difference could be used, and
/// with what anyone can use there.
pub fn judge(road: &Road, measured: &[Measured], pairs: &[[Curve; 2]], seed: u64) -> [Said; 2] {
    let judged: Vec<[Said; 2]> = measured
        .par_chunks(50)
        .enumerate()
        .map(|(chunk, days)| {
            let mut dice = Dice::new(seed + 7919 * chunk as u64);
            let mut said = [Said::default(); 2];
            for (number, day) in days.iter().enumerate() {
                let pair = &pairs[number % pairs.len()];
                let truth = road.truth(pair, (dice.even() * road.truths() as f64) as usize);
                let times = road.times_off(pair, day);
                for (said, useful) in said.iter_mut().zip([0.0, road.useful]) {
                    if let Some(verdict) = Verdict::of(&times, useful, |_, _| false) {
                        said.add(&verdict, truth, useful);
                    }
                }
            }
            said
        })
        .collect();
    let mut all = [Said::default(); 2];
    for said in judged {
        for (all, said) in all.iter_mut().zip(said) {
            all.join(&said);
        }
    }
    all
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

/// A layout at a road.
struct Court<'a> {
    road: &'a Road,
    world: &'a World,
    /// Days that drift either way.
    days: &'a [Measured],
    /// σ between identical specs, s.
    alike: f64,
}

/// The σ that a gap is counted in.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Of {
    /// Of the error between identical specs.
    Alike,
    /// Of the error at the gap.
    Itself,
}

impl<'a> Court<'a> {
    fn new(road: &'a Road, world: &'a World, days: &'a [Measured]) -> Self {
        let [alone, _] = judge(road, days, &[pair(0.0, 0.0)], 11);
        Self {
            road,
            world,
            days,
            alike: alone.sigma(),
        }
    }

    /// A true gap that is so many standard deviations of its own error, s; [`WIDEST`] times the error
    /// between identical specs where there is none.
    fn gap(&self, times: f64) -> f64 {
        let (alike, widest) = (self.alike, WIDEST * self.alike);
        let mut gap = times * alike;
        for _ in 0..3 {
            let [said, _] = judge(self.road, self.days, &pairs_at(self.road, gap), 11);
            // What all gaps share, and what grows in step with them.
            let grown = (said.sigma().powi(2) - alike * alike).max(0.0) / (gap * gap);
            let left = times.powi(-2) - grown;
            if left <= (alike / widest).powi(2) {
                return widest;
            }
            gap = alike / left.sqrt();
        }
        gap
    }

    /// A row of the table: what was said with a true gap of so many σ.
    fn row(&self, (times, of): (f64, Of), gap: f64) -> String {
        self.row_of(self.days, (times, of), gap, "either way")
    }

    fn row_of(&self, days: &[Measured], (times, of): (f64, Of), gap: f64, drift: &str) -> String {
        let pairs = match gap {
            0.0 => vec![pair(0.0, 0.0)],
            _ => pairs_at(self.road, gap),
        };
        let [said, plain] = judge(self.road, days, &pairs, 100 + (10.0 * times) as u64);
        let share = |(said, right): (usize, usize)| match said {
            0 => String::new(),
            _ => format!("{:.1}", 100.0 * right as f64 / said as f64),
        };
        let of_days = |n: usize| 100.0 * n as f64 / said.days as f64;
        let (road, world) = (self.road.name, self.world);
        let of = match of {
            Of::Alike => "identical specs",
            Of::Itself => "the gap itself",
        };
        let (alike, here) = (self.alike, said.sigma());
        format!(
            "{road},{drift},{},{},{times},{of},{},{alike:.4},{here:.4},{:.2},{:.2},{:.1},{},{:.1},{},\
             {:.1},{},{:.1},{},{:.1},{:.1}",
            world.fittings,
            world.pulls,
            said.days,
            gap / alike,
            gap / here,
            of_days(said.clear.0),
            share(said.clear),
            of_days(said.likely.0),
            share(said.likely),
            of_days(plain.nothing.0),
            share(plain.nothing),
            of_days(plain.within.0),
            share(plain.within),
            of_days(said.held),
            of_days(said.above),
        )
    }
}

fn main() {
    let argument = std::env::args().nth(1);
    let roads = roads(DRAWS, 400);
    match argument.as_deref() {
        Some("slopes") => table_in_full(&check(&roads, IN_FULL)),
        number => table(&roads, number.and_then(|n| n.parse().ok()).unwrap_or(DAYS)),
    }
}

fn table(roads: &[Road], number: usize) {
    println!(
        "road,drift,fittings,pulls,gap_sigma,sigma_of,days,sigma_identical_s,sigma_here_s,\
         gap_over_identical,gap_over_here,clear_said_percent,clear_right_percent,likely_said_percent,\
         likely_right_percent,nothing_said_percent,nothing_right_percent,within_said_percent,\
         within_right_percent,interval_percent,above_percent"
    );
    for (layout, world) in (1..).zip(&WORLDS) {
        let days = |always| Days {
            number,
            always,
            seed: 1000 * layout + if always { 500 } else { 0 },
        };
        let either = measure(world, days(false), DRAWS);
        let down = measure(world, days(true), DRAWS);
        for road in roads {
            let court = Court::new(road, world, &either);
            for level in LEVELS {
                println!("{}", court.row((level, Of::Alike), level * court.alike));
            }
            let gap = court.gap(POWER);
            println!("{}", court.row((POWER, Of::Itself), gap));
            let alike = (0.0, Of::Alike);
            println!("{}", court.row_of(&down, alike, 0.0, "always down"));
        }
    }
}

/// A day judged twice: by slopes, and by laps driven in full.
#[derive(Debug, Clone, Copy)]
pub struct Twice {
    /// Which road.
    pub road: &'static str,
    /// Which layout.
    pub world: World,
    /// By how much the second spec is slower in the middle, s.
    pub gap: [f64; 2],
    /// Share of the draws that the first spec wins.
    pub won: [f64; 2],
    /// What is said.
    pub word: [Word; 2],
}

fn table_in_full(days: &[Twice]) {
    println!(
        "road,fittings,pulls,gap_by_slopes_s,gap_in_full_s,won_by_slopes_percent,won_in_full_percent,\
         word_by_slopes,word_in_full"
    );
    for day in days {
        let (
            road,
            World {
                fittings, pulls, ..
            },
        ) = (day.road, day.world);
        let ([gap, in_full], [won, won_in_full]) = (day.gap, day.won.map(|won| 100.0 * won));
        let [word, word_in_full] = day.word.map(Word::text);
        println!(
            "{road},{fittings},{pulls},{gap:.5},{in_full:.5},{won:.2},{won_in_full:.2},{word},\
             {word_in_full}"
        );
    }
}

/// Judges some days of each road by laps driven in full as well.
pub fn check(roads: &[Road], days: usize) -> Vec<Twice> {
    let read = |times: &VenueTimes| Verdict::of(times, 0.0, |_, _| false);
    let gap = |v: &Verdict| v.behind[1].median - v.behind[0].median;
    let mut found = Vec::new();
    for road in roads {
        let mut dice = Dice::new(5);
        for i in 0..days {
            let truth = pair(0.5, 0.004 * (i % 5) as f64 - 0.004);
            let world = WORLDS[i % WORLDS.len()];
            let day = day(&truth, &world, &mut dice, taken(false));
            let Ok(engines) = Engines::of(&day, &[0, 1], LIMIT) else {
                continue;
            };
            let by_slopes = read(&road.times(&engines, 1));
            let (Some(a), Some(b)) = (by_slopes, read(&road.driven(day, 1))) else {
                continue;
            };
            found.push(Twice {
                road: road.name,
                world,
                gap: [gap(&a), gap(&b)],
                won: [a.wins[0], b.wins[0]],
                word: [a.word, b.word],
            });
        }
    }
    found
}
