//! How often the intervals of a test day hold the truth: `cargo run --release --example coverage`.
//!
//! Simulates test days of two specs whose curves cross, pulled in turns (A B, A B A B, …), with the
//! scatter of an ordinary dyno day: pulls 0.3 %, wave 0.2 % of 700 rpm, fittings 0.5 %, first pull
//! after a change −0.8 %, drift −0.3 % an hour; and the same with fittings that scatter half or
//! twice as much as is taken for usual. Each day goes through the ordinary reduction.
//!
//! A day counts as covered where the true crossover lies in an unresolved stretch, and for each band
//! of 500 rpm where the interval of the gain holds the true gain. Width is beside that of an oracle
//! that knows every variance. The table is in `tests/reference/dyno/coverage.csv`. A first number is that
//! of days, a second one of 0 to 4 asks for one of the five worlds alone.

use std::collections::BTreeMap;

use pullrank::dyno::{
    Curve, Dyno, Engine, Fitting, Handling, MeasuredAt, Method, Pull, Repeatability, Spec,
    Standard, Stretch, TestDay, Worth, crossovers,
};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;

/// The demo's long manifold.
pub const LONG: [f64; 11] = [
    139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
];
/// The demo's short manifold.
pub const SHORT: [f64; 11] = [
    132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
];
const STEP: f64 = 100.0;
const POINTS: usize = 51;

/// What a simulated day is like.
#[derive(Debug, Clone, Copy)]
pub struct World {
    /// Pulls on each fitting.
    pub pulls: usize,
    /// Fittings of each spec.
    pub fittings: usize,
    /// Sd of fittings.
    pub fitting_sd: f64,
    /// Drift per hour.
    pub drift: f64,
}

/// What came of many days.
#[derive(Debug, Clone, Copy, Default)]
pub struct Outcome {
    /// Days.
    pub days: usize,
    /// Days whose unresolved stretches hold the true crossover.
    pub crossover: usize,
    /// Days whose interval of the crossover holds it, and days with one.
    pub attached: (usize, usize),
    /// Days whose crossover is resolved on both sides.
    pub resolved: usize,
    /// Bands whose interval holds the true gain, and bands.
    pub bands: (usize, usize),
    /// Sums of half widths of the difference: as given, and an oracle's.
    pub width: (f64, f64),
}

/// A curve of torques at 2,500 rpm and every 500 rpm above.
pub fn curve(torque: &[f64]) -> Curve {
    let rpm = (0..torque.len())
        .map(|i| 2500.0 + 500.0 * i as f64)
        .collect();
    Curve::new(rpm, torque.to_vec()).expect("the curves above are sound")
}

/// Random numbers of a day.
pub struct Dice {
    stream: ChaCha8Rng,
    spare: Option<f64>,
    /// Lower Cholesky factor of the wave's correlation over the points.
    lower: Vec<Vec<f64>>,
}

impl Dice {
    /// Dice that belong to a seed.
    pub fn new(seed: u64) -> Self {
        let correlation = |i: usize, j: usize| {
            let d = (i as f64 - j as f64) * STEP / 700.0;
            (-0.5 * d * d).exp() + if i == j { 1e-9 } else { 0.0 }
        };
        let mut lower = vec![vec![0.0; POINTS]; POINTS];
        for i in 0..POINTS {
            for j in 0..=i {
                let inner: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
                let left: f64 = correlation(i, j) - inner;
                lower[i][j] = if i == j {
                    left.sqrt()
                } else {
                    left / lower[j][j]
                };
            }
        }
        Self {
            stream: ChaCha8Rng::seed_from_u64(seed),
            spare: None,
            lower,
        }
    }

    /// A number even in (0, 1).
    pub fn even(&mut self) -> f64 {
        ((self.stream.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// A standard normal number.
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = (-2.0 * self.even().ln()).sqrt();
        let angle = 2.0 * std::f64::consts::PI * self.even();
        self.spare = Some(radius * angle.sin());
        radius * angle.cos()
    }

    fn wave(&mut self) -> Vec<f64> {
        let noise: Vec<f64> = (0..POINTS).map(|_| self.normal()).collect();
        let dot = |row: &Vec<f64>| row.iter().zip(&noise).map(|(l, n)| l * n).sum();
        self.lower.iter().map(dot).collect()
    }
}

/// One simulated day of two specs whose true curves are given, pulled in turns.
pub fn day(truth: &[Curve; 2], world: &World, dice: &mut Dice, taken: Repeatability) -> TestDay {
    let mut specs: Vec<Spec> = ["long", "short"].map(spec).into();
    let mut order = Vec::new();
    let mut hours = 0.0;
    for turn in 0..world.fittings {
        for (s, spec) in specs.iter_mut().enumerate() {
            let fitted = world.fitting_sd * dice.normal();
            let pulls = (0..world.pulls).map(|i| {
                let cold = if i == 0 { -0.008 } else { 0.0 };
                let level = fitted + cold + world.drift * hours + 0.003 * dice.normal();
                let wave = dice.wave();
                let made = pull(&truth[s], level, &wave, hours);
                hours += if i + 1 < world.pulls { 0.1 } else { 0.75 };
                made
            });
            let pulls = pulls.collect();
            spec.fittings.push(Fitting { day: None, pulls });
            order.push((s, turn));
        }
    }
    TestDay {
        dyno: Dyno {
            measured_at: MeasuredAt::Flywheel,
            method: Method::Sweep,
            sweep_rate: None,
            engine_inertia: None,
        },
        engine: Engine::default(),
        correct_to: Standard::Din70020,
        currency: None,
        specs,
        order,
        repeatability: taken,
        as_tested: BTreeMap::new(),
        as_raced: BTreeMap::new(),
    }
}

fn spec(name: &str) -> Spec {
    Spec {
        name: name.to_owned(),
        parts: BTreeMap::new(),
        retuned: Some(true),
        price: None,
        mass: None,
        swap_time: None,
        allowed_in: Vec::new(),
        fittings: Vec::new(),
    }
}

fn pull(truth: &Curve, level: f64, wave: &[f64], hours: f64) -> Pull {
    let rpm: Vec<f64> = (0..POINTS).map(|i| 2500.0 + STEP * i as f64).collect();
    let torque = rpm
        .iter()
        .zip(wave)
        .map(|(n, w)| truth.torque(*n) * (level + 0.002 * w).exp())
        .collect();
    Pull {
        name: "simulated".to_owned(),
        rpm,
        torque,
        acceleration: Vec::new(),
        sweep_rate: None,
        air: None,
        corrected: Standard::Din70020,
        clock: Some(9.0 * 3600.0 + hours * 3600.0),
        set_aside: None,
        handling: Handling::default(),
        channels: BTreeMap::new(),
    }
}

/// What is taken beside the pulls: the usual, or nothing of drift and first pulls, which makes them
/// plain fixed effects.
pub fn taken(fixed: bool) -> Repeatability {
    let usual = Repeatability::common(MeasuredAt::Flywheel, false);
    match fixed {
        false => usual,
        true => Repeatability {
            drift: 1.0,
            first_pull: 1.0,
            ..usual
        },
    }
}

/// Simulates days of one world.
pub fn simulate(world: &World, usual: Repeatability, days: usize, seed: u64) -> Outcome {
    let knows = Repeatability {
        fitting: world.fitting_sd,
        // The level of a pull holds the mean of its wave as well.
        pull: (0.003f64.powi(2) + 0.002f64.powi(2) * 0.3244).sqrt(),
        worth: Worth {
            pull: 1e9,
            fitting: 1e9,
            wave: 1e9,
        },
        ..usual
    };
    let truth = [curve(&LONG), curve(&SHORT)];
    let crossing = crossovers(&truth[0], &truth[1])[0].rpm;
    let mean = |s: usize, b: Stretch| truth[s].mean_torque(b.from_rpm, b.to_rpm).unwrap_or(0.0);
    let mut dice = Dice::new(seed);
    let mut outcome = Outcome::default();
    for _ in 0..days {
        let mut day = day(&truth, world, &mut dice, usual);
        let found = day.reduce().ok().and_then(|reduced| reduced.compare(0, 1));
        day.repeatability = knows;
        let oracle = day.reduce().ok().and_then(|reduced| reduced.compare(0, 1));
        let (Some(found), Some(oracle)) = (found, oracle) else {
            continue;
        };
        outcome.days += 1;
        let holds = |s: &Stretch| s.from_rpm <= crossing && crossing <= s.to_rpm;
        outcome.crossover += usize::from(found.unresolved.iter().any(holds));
        if let Some(one) = found.crossovers.first() {
            let held =
                one.low.is_none_or(|l| l <= crossing) && one.high.is_none_or(|h| crossing <= h);
            outcome.attached.0 += usize::from(held);
            outcome.attached.1 += 1;
            outcome.resolved += usize::from(one.is_resolved());
        }
        for gain in &found.gains {
            let true_gain = mean(0, gain.band) - mean(1, gain.band);
            let held = gain.torque.low <= true_gain && true_gain <= gain.torque.high;
            outcome.bands.0 += usize::from(held);
            outcome.bands.1 += 1;
        }
        outcome.width.0 += found.half_width;
        outcome.width.1 += oracle.half_width;
    }
    outcome
}

fn main() {
    let number = |at: usize| std::env::args().nth(at).and_then(|n| n.parse().ok());
    let days = number(1).unwrap_or(2000);
    let only: Option<usize> = number(2);
    println!(
        "effects,fitting_sd_percent,drift_percent_per_h,fittings,pulls,days,crossover_percent,\
         crossover_interval_percent,resolved_percent,bands_percent,half_width_percent,\
         width_over_oracle"
    );
    let worlds = [
        (false, 0.005, -0.003),
        (true, 0.005, -0.003),
        (false, 0.0025, -0.003),
        (false, 0.01, -0.003),
        (false, 0.005, -0.006),
    ];
    let wanted = |world: &usize| only.is_none_or(|only| only == *world);
    for world in (0..worlds.len()).filter(wanted) {
        let (fixed, fitting_sd, drift) = worlds[world];
        let layouts: Vec<(usize, usize)> = (1..=3)
            .flat_map(|fittings| (2..=6).map(move |pulls| (fittings, pulls)))
            .collect();
        let rows: Vec<String> = layouts
            .into_par_iter()
            .map(|(fittings, pulls)| {
                let world = World {
                    pulls,
                    fittings,
                    fitting_sd,
                    drift,
                };
                row(&world, fixed, days)
            })
            .collect();
        println!("{}", rows.join("\n"));
    }
}

fn row(world: &World, fixed: bool, days: usize) -> String {
    let seed = (world.fittings * 10 + world.pulls) as u64;
    let o = simulate(world, taken(fixed), days, seed);
    let share = |a: usize, b: usize| 100.0 * a as f64 / b.max(1) as f64;
    format!(
        "{},{},{},{},{},{},{:.1},{:.1},{:.1},{:.1},{:.2},{:.3}",
        if fixed { "fixed" } else { "usual" },
        100.0 * world.fitting_sd,
        100.0 * world.drift,
        world.fittings,
        world.pulls,
        o.days,
        share(o.crossover, o.days),
        share(o.attached.0, o.attached.1),
        share(o.resolved, o.days),
        share(o.bands.0, o.bands.1),
        100.0 * o.width.0 / o.days.max(1) as f64,
        o.width.0 / o.width.1
    )
}
