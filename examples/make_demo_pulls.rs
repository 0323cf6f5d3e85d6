//! Writes the pulls of the demo test days: `cargo run --example make_demo_pulls`.
//!
//! The engines, their curves and every figure are invented. What a pull shows is the spec's curve
//! with the scatter of an ordinary dyno day on top, in the air of the hour, not corrected:
//!
//! | scatter | size |
//! |---|---|
//! | level of a pull | sd 0.30 % |
//! | smooth residual within a pull, about 700 rpm long | sd 0.20 % |
//! | level of a fitting | sd 0.50 % |
//! | first pull after a change (cold oil) | −0.8 % |
//! | drift over the day | −0.3 % an hour |
//! | ends of the sweep | ± 60 rpm |
//!
//! One pull of the stepped manifold has a leaking plug lead: −2.5 % above 6,000 rpm.
//!
//! The numbers come from a seeded ChaCha stream; only + − × ÷ √ are used, so that every machine
//! writes the same bytes. The seeds are 1 and 2 because those come first.

use std::fmt::Write;
use std::path::Path;

use pullrank::air::Air;
use pullrank::dyno::{Curve, Standard};
use pullrank::units::ZERO_CELSIUS;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// One fitting of the day.
struct Fitting {
    spec: &'static str,
    /// Stem of its files and number of its first.
    stem: &'static str,
    first: usize,
    pulls: usize,
    /// Hours since the first pull of the day.
    hours: f64,
    /// Index of the weather.
    weather: usize,
    /// The pull with a leaking plug lead, from 0.
    leaking: Option<usize>,
}

/// A demo test day.
struct Day {
    folder: &'static str,
    seed: u64,
    /// Names of the specs and their corrected torque, N·m, at 2,500 rpm and every 500 on.
    specs: Vec<(&'static str, Vec<f64>)>,
    fittings: Vec<Fitting>,
}

/// hPa, °C: morning and afternoon. Humidity does not enter DIN 70020.
const WEATHER: [(f64, f64); 2] = [(1009.0, 18.0), (1004.0, 26.0)];

const fn fitting(
    spec: &'static str,
    stem: &'static str,
    first: usize,
    pulls: usize,
    hours: f64,
    weather: usize,
) -> Fitting {
    Fitting {
        spec,
        stem,
        first,
        pulls,
        hours,
        weather,
        leaking: None,
    }
}

fn rowan() -> Day {
    let long = vec![
        139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
    ];
    let short = vec![
        132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
    ];
    let times = |curve: &[f64], by: [f64; 11]| curve.iter().zip(by).map(|(t, k)| t * k).collect();
    let stepped = times(
        &short,
        [
            0.99, 0.985, 0.98, 0.98, 0.985, 0.995, 1.005, 1.015, 1.025, 1.035, 1.04,
        ],
    );
    let open = times(&long, [1.006; 11]);
    Day {
        folder: "cars/rowan-coupe/pulls",
        seed: 1,
        specs: vec![
            ("long", long),
            ("short", short),
            ("stepped", stepped),
            ("open", open),
        ],
        fittings: vec![
            fitting("long", "long", 1, 3, 0.0, 0),
            fitting("short", "short", 1, 3, 1.1, 0),
            fitting("long", "long", 4, 2, 2.2, 1),
            Fitting {
                leaking: Some(1),
                ..fitting("stepped", "stepped", 1, 3, 3.4, 1)
            },
            fitting("open", "open", 1, 1, 4.4, 1),
        ],
    }
}

fn plum() -> Day {
    let long = vec![
        112.0, 121.0, 130.0, 138.5, 146.0, 153.0, 157.5, 158.5, 156.0, 150.5, 142.0, 130.0,
    ];
    let short = vec![
        107.0, 115.0, 124.0, 132.5, 141.5, 150.5, 157.5, 160.5, 159.0, 153.5, 145.0, 133.0,
    ];
    Day {
        folder: "cars/plum-hatch/pulls",
        seed: 2,
        specs: vec![("long", long), ("short", short)],
        fittings: vec![
            fitting("long", "long", 1, 3, 0.0, 0),
            fitting("short", "short", 1, 3, 1.1, 0),
            fitting("long", "long", 4, 2, 2.2, 1),
        ],
    }
}

/// The random numbers of a day.
struct Dice(ChaCha8Rng);

impl Dice {
    /// Uniform from −1 to 1.
    fn even(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// Near enough normal with sd 1: twelve uniform numbers of variance 1/3 make 4, halved.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() / 2.0
    }

    /// A smooth curve of sd 1 over the range, one value every 100 rpm from 2,000 to 8,400: white
    /// noise under a biweight kernel of ± 1,300 rpm, which correlates as a Gaussian of 700 rpm.
    fn smooth(&mut self) -> Vec<f64> {
        const HALF: usize = 13;
        let weight = |k: usize| {
            let u = (k as f64 - HALF as f64) / (HALF as f64 + 0.1);
            (1.0 - u * u) * (1.0 - u * u)
        };
        let size: f64 = (0..=2 * HALF).map(|k| weight(k) * weight(k)).sum();
        let noise: Vec<f64> = (0..65 + 2 * HALF).map(|_| self.normal()).collect();
        let at = |i: usize| -> f64 { (0..=2 * HALF).map(|k| weight(k) * noise[i + k]).sum() };
        (0..65).map(|i| at(i) / size.sqrt()).collect()
    }
}

/// The files of a day: path from the root of the repository, and text.
fn files(day: &Day) -> Vec<(String, String)> {
    let mut dice = Dice(ChaCha8Rng::seed_from_u64(day.seed));
    let mut files = Vec::new();
    for fitting in &day.fittings {
        let fitted = 0.005 * dice.normal();
        for pull in 0..fitting.pulls {
            let hours = fitting.hours + 0.1 * pull as f64;
            let cold = if pull == 0 { -0.008 } else { 0.0 };
            let level = fitted + 0.003 * dice.normal() + cold - 0.003 * hours;
            let text = one_pull(day, fitting, pull, level, &mut dice);
            let number = fitting.first + pull;
            files.push((
                format!("{}/{}-{number}.csv", day.folder, fitting.stem),
                text,
            ));
        }
    }
    files
}

/// The table of one pull whose level lies off by `level`.
fn one_pull(day: &Day, fitting: &Fitting, pull: usize, level: f64, dice: &mut Dice) -> String {
    let (_, torque) = &day.specs[position(day, fitting.spec)];
    let speeds: Vec<f64> = (0..torque.len())
        .map(|i| 2500.0 + 500.0 * i as f64)
        .collect();
    let (first, last) = (speeds[0], speeds[speeds.len() - 1]);
    let curve = Curve::new(speeds, torque.clone()).expect("the curves above are sound");
    let (hectopascal, celsius) = WEATHER[fitting.weather];
    let air = Air {
        pressure: hectopascal * 100.0,
        temperature: celsius + ZERO_CELSIUS,
        humidity: 0.0,
    };
    let factor = Standard::Din70020
        .factor(&air)
        .expect("DIN 70020 has a formula");
    let wave = dice.smooth();
    let from = first + (60.0 * dice.even()).round();
    let to = last + (60.0 * dice.even()).round();
    let inner = (0..100)
        .map(|k| 100.0 * f64::from(k))
        .filter(|n| from + 20.0 < *n && *n < to - 20.0);
    let lambda = 0.872 + 0.003 * dice.normal();
    let oil = if pull == 0 { 78.0 } else { 88.0 } + 1.5 * dice.normal();
    let mut text = String::from(
        "# invented demo data, as read, not corrected\ntime (s),rpm,torque (Nm),lambda,oil temp (C)\n",
    );
    for rpm in std::iter::once(from).chain(inner).chain([to]) {
        let place = (rpm - 2000.0) / 100.0;
        let i = place as usize;
        let residual = wave[i] + (wave[i + 1] - wave[i]) * (place - i as f64);
        let leak = match fitting.leaking {
            Some(leaking) if leaking == pull => -0.025 * ((rpm - 6000.0) / 100.0).clamp(0.0, 1.0),
            _ => 0.0,
        };
        let shown = curve.torque(rpm) * (1.0 + level + 0.002 * residual + leak) / factor;
        let seconds = (rpm - from) / 300.0;
        let warm = oil + 4.0 * (rpm - from) / (to - from);
        let _ = writeln!(
            text,
            "{seconds:.2},{rpm:.0},{shown:.1},{:.3},{warm:.1}",
            lambda + 0.002 * wave[64 - i.min(64)]
        );
    }
    text
}

fn position(day: &Day, spec: &str) -> usize {
    let found = day.specs.iter().position(|(name, _)| *name == spec);
    found.expect("every fitting names a spec")
}

/// All demo pulls: path from the root of the repository, and text.
pub fn demo_pulls() -> Vec<(String, String)> {
    [rowan(), plum()].iter().flat_map(files).collect()
}

/// The curves behind the demo pulls: folder of the pulls, name of the spec, N·m at 2,500 rpm and
/// every 500 on.
pub fn demo_curves() -> Vec<(&'static str, &'static str, Vec<f64>)> {
    let days = [rowan(), plum()];
    days.into_iter()
        .flat_map(|day| {
            let folder = day.folder;
            day.specs
                .into_iter()
                .map(move |(name, torque)| (folder, name, torque))
        })
        .collect()
}

fn main() -> std::io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for (path, text) in demo_pulls() {
        let path = root.join(path);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(path, text)?;
    }
    Ok(())
}
