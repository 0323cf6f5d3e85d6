//! Roads whose times are known for any torque curve: every draw of the shared inputs driven once with
//! a mean curve and once with each of its bumps.

use std::path::Path;

use pullrank::car::{Car, Habits};
use pullrank::dyno::{
    Curve, Dyno, Engine, Fitting, Handling, MeasuredAt, Method, Pull, Repeatability, Spec,
    Standard, TestDay, Worth,
};
use pullrank::files::finding::Findings;
use pullrank::lap::LapError;
use pullrank::study::draws::{Habitual, PullScatter};
use pullrank::study::season::Rules;
use pullrank::study::{Engines, Entry, Plan, Study, VenueTimes, run, times, useful};
use pullrank::venue::{Bend, Course, EventKind, Extent, Section, Surface};

use super::coverage::{LONG, SHORT, curve};

/// Rev limit, rpm.
pub const LIMIT: f64 = 7200.0;
/// Engine speeds at which a curve is bumped, rpm: every 250 from 2,500.
pub const NODES: usize = 20;
const NODE_RPM: f64 = 250.0;
/// Size of a bump, N·m.
const BUMP: f64 = 1.0;

/// Engine speed of a node, rpm.
pub fn node(k: usize) -> f64 {
    2500.0 + NODE_RPM * k as f64
}

/// One road, and how its time answers to torque in every draw of the shared inputs.
pub struct Road {
    /// Name.
    pub name: &'static str,
    study: Study,
    mean: Curve,
    /// For judging: a draw each.
    bank: Vec<Slopes>,
    /// For the truth: other draws.
    truths: Vec<Slopes>,
    pub useful: f64,
}

/// A time with the mean curve, s, and its change per N·m at each node.
struct Slopes {
    time: f64,
    slope: Vec<f64>,
}

impl Slopes {
    fn time(&self, mean: &Curve, curve: &Curve) -> f64 {
        let change = self.slope.iter().enumerate().map(|(k, slope)| {
            let n = node(k);
            slope * (curve.torque(n) - mean.torque(n))
        });
        self.time + change.sum::<f64>()
    }
}

/// Two specs, the second so far from the first: the demo's difference times a factor, and a level.
pub fn pair(factor: f64, level: f64) -> [Curve; 2] {
    let second: Vec<f64> = LONG
        .iter()
        .zip(&SHORT)
        .map(|(l, s)| (l + factor * (s - l)) * (1.0 + level))
        .collect();
    [curve(&LONG), curve(&second)]
}

fn demo_car() -> Car {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("cars/rowan-coupe/car.yaml");
    let mut findings = Findings::new();
    pullrank::files::car::read(&path, &mut findings).expect("the demo car")
}

fn entry(name: &str, surface: &str, trim: usize, pieces: &[(f64, f64)]) -> Entry {
    let sections = pieces.iter().flat_map(|&(straight, radius)| {
        let corner = Section {
            extent: Extent::Length(1.4 * radius),
            bend: Bend::Radius {
                curvature: 1.0 / radius,
            },
            ..Section::default()
        };
        let straight = Section {
            extent: Extent::Length(straight),
            ..Section::default()
        };
        [straight, corner]
    });
    Entry {
        name: name.to_owned(),
        called: name.to_owned(),
        course: Course {
            sections: sections.collect(),
            surfaces: vec![Surface::plain(surface)],
            ..Course::new(name, EventKind::Stage)
        },
        trim,
        habits: Habits {
            corner_share: 0.92,
            brake_share: 0.85,
            lowest_rpm: 3000.0,
            shift_light_rpm: Some(7100.0),
        },
        passes: 1,
        laps: None,
        best_of: 1,
        weight: 1.0,
        sealed: false,
    }
}

/// The three roads: tight lanes, an open road, fast gravel.
pub fn roads(draws: u64, truths: u64) -> Vec<Road> {
    let car = demo_car();
    let trim = |name: &str| car.trims.iter().position(|t| t.name == name).unwrap_or(0);
    let tight: &[(f64, f64)] = &[(90.0, 14.0), (150.0, 25.0), (60.0, 12.0), (110.0, 40.0)];
    let open: &[(f64, f64)] = &[(200.0, 60.0), (420.0, 110.0), (260.0, 35.0)];
    let loose: &[(f64, f64)] = &[(500.0, 60.0), (350.0, 90.0), (420.0, 120.0)];
    let list = [
        ("tight lanes", "tarmac", trim("tarmac"), tight),
        ("open road", "tarmac", trim("tarmac"), open),
        ("fast gravel", "gravel", trim("gravel"), loose),
    ];
    list.into_iter()
        .map(|(name, surface, trim, pieces)| {
            Road::new(
                name,
                &car,
                entry(name, surface, trim, pieces),
                draws,
                truths,
            )
        })
        .collect()
}

impl Road {
    fn new(name: &'static str, car: &Car, entry: Entry, draws: u64, truths: u64) -> Self {
        let both = pair(1.0, 0.0);
        let rpm: Vec<f64> = (0..=100).map(|i| 2500.0 + 50.0 * f64::from(i)).collect();
        let middle = |n: &f64| 0.5 * (both[0].torque(*n) + both[1].torque(*n));
        let torque: Vec<f64> = rpm.iter().map(middle).collect();
        let mean = Curve::new(rpm.clone(), torque.clone()).expect("the mean of two curves");
        let length: f64 = entry.course.known_length();
        let study = Study {
            name: name.to_owned(),
            car: car.clone(),
            test_day: exact_day(&rpm, &torque),
            compared: (0..=NODES).collect(),
            entries: vec![entry],
            habitual: Habitual::USUAL,
            rules: Rules::default(),
        };
        let slopes = |seed: u64, draws: u64| {
            slopes(
                &study,
                &Plan {
                    seed,
                    draws,
                    ..Plan::default()
                },
            )
        };
        Self {
            name,
            bank: slopes(1, draws),
            truths: slopes(77, truths),
            useful: useful(EventKind::Stage, length),
            mean,
            study,
        }
    }

    /// The times of all draws for a day, by the slopes.
    pub fn times(&self, engines: &Engines, seed: u64) -> VenueTimes {
        let drawn = drawn(engines, seed, self.bank.len() as u64);
        let draws = self.bank.iter().zip(drawn);
        let draws = draws.map(|(slopes, pair)| {
            let time = |curve: &Curve| Ok(slopes.time(&self.mean, curve));
            pair.iter().map(time).collect()
        });
        VenueTimes {
            draws: draws.collect(),
        }
    }

    /// The times of all draws for two true curves, where each draw lies off them by factors.
    pub fn times_off(&self, truth: &[Curve; 2], off: &[[[f32; NODES]; 2]]) -> VenueTimes {
        let at = |curve: &Curve| -> [f64; NODES] { std::array::from_fn(|k| curve.torque(node(k))) };
        let (mean, truth) = (at(&self.mean), [at(&truth[0]), at(&truth[1])]);
        let time = |slopes: &Slopes, truth: &[f64; NODES], off: &[f32; NODES]| {
            let change =
                (0..NODES).map(|k| slopes.slope[k] * (truth[k] * f64::from(off[k]) - mean[k]));
            Ok(slopes.time + change.sum::<f64>())
        };
        let draws = self.bank.iter().zip(off);
        let draws =
            draws.map(|(slopes, off)| (0..2).map(|s| time(slopes, &truth[s], &off[s])).collect());
        VenueTimes {
            draws: draws.collect(),
        }
    }

    /// The same, every lap driven.
    pub fn driven(&self, day: TestDay, seed: u64) -> VenueTimes {
        let study = Study {
            test_day: day,
            compared: vec![0, 1],
            ..self.study.clone()
        };
        let engines = Engines::of(&study.test_day, &study.compared, LIMIT).expect("a sound day");
        let outcome = run(&study, &engines);
        let plan = Plan {
            seed,
            draws: self.bank.len() as u64,
            ..Plan::default()
        };
        let mut times = times::drive(&study, &engines, &outcome, &plan, || ());
        times.venues.remove(0)
    }

    /// How many truths there are.
    pub fn truths(&self) -> usize {
        self.truths.len()
    }

    /// By how much the second spec is slower in truth.
    pub fn truth(&self, pair: &[Curve; 2], number: usize) -> f64 {
        let slopes = &self.truths[number % self.truths.len()];
        slopes.time(&self.mean, &pair[1]) - slopes.time(&self.mean, &pair[0])
    }

    /// The same with nothing unsure: the mean over the draws.
    pub fn usual_gap(&self, pair: &[Curve; 2]) -> f64 {
        let gaps = (0..self.truths.len()).map(|i| self.truth(pair, i));
        gaps.sum::<f64>() / self.truths.len() as f64
    }
}

/// The mean curve and its bumps as specs of a day that scatters by nothing.
fn exact_day(rpm: &[f64], torque: &[f64]) -> TestDay {
    let bumped = |k: usize| -> Vec<f64> {
        let hat = |n: f64| (1.0 - (n - node(k)).abs() / NODE_RPM).max(0.0);
        rpm.iter()
            .zip(torque)
            .map(|(n, t)| t + BUMP * hat(*n))
            .collect()
    };
    let mut curves = vec![torque.to_vec()];
    curves.extend((0..NODES).map(bumped));
    let specs: Vec<Spec> = curves
        .into_iter()
        .enumerate()
        .map(|(i, torque)| exact_spec(&format!("{i:02}"), rpm, torque))
        .collect();
    let sure = 1e-9;
    TestDay {
        dyno: Dyno {
            measured_at: MeasuredAt::Flywheel,
            method: Method::Steps,
            sweep_rate: None,
            engine_inertia: None,
        },
        engine: Engine::default(),
        correct_to: Standard::Din70020,
        currency: None,
        order: (0..specs.len()).map(|s| (s, 0)).collect(),
        specs,
        repeatability: Repeatability {
            pull: sure,
            fitting: sure,
            drift: sure,
            day: 0.01,
            wave: sure,
            first_pull: sure,
            worth: Worth {
                pull: 1e15,
                fitting: 1e15,
                wave: 1e15,
            },
        },
        as_tested: Default::default(),
        as_raced: Default::default(),
    }
}

/// So many draws of the curves of both specs of a day.
pub fn drawn(engines: &Engines, seed: u64, draws: u64) -> impl Iterator<Item = [Curve; 2]> {
    let drawer = engines.day.drawer();
    let names: Vec<&str> = engines.day.specs.iter().map(|s| s.name.as_str()).collect();
    (0..draws).map(move |index| {
        let mut scatter = PullScatter::new(seed, index, names.iter().copied());
        let drawn = drawer.draw(&mut scatter);
        [0, 1].map(|spec| drawn[engines.rows[spec]].clone())
    })
}

fn exact_spec(name: &str, rpm: &[f64], torque: Vec<f64>) -> Spec {
    Spec {
        name: name.to_owned(),
        parts: Default::default(),
        retuned: Some(true),
        price: None,
        mass: None,
        swap_time: None,
        allowed_in: Vec::new(),
        fittings: vec![Fitting {
            day: None,
            pulls: vec![Pull {
                name: "exact".to_owned(),
                rpm: rpm.to_vec(),
                torque,
                acceleration: Vec::new(),
                sweep_rate: None,
                air: None,
                corrected: Standard::Din70020,
                clock: None,
                set_aside: None,
                handling: Handling::default(),
                channels: Default::default(),
            }],
        }],
    }
}

/// Drives every draw of the shared inputs with the mean curve and with each bump.
fn slopes(study: &Study, plan: &Plan) -> Vec<Slopes> {
    let engines = Engines::of(&study.test_day, &study.compared, LIMIT).expect("exact curves");
    let outcome = run(study, &engines);
    let driven = times::drive(study, &engines, &outcome, plan, || ());
    let whole = |draw: &Vec<Result<f64, LapError>>| -> Option<Vec<f64>> {
        draw.iter().map(|t| t.as_ref().ok().copied()).collect()
    };
    let draws = driven.venues[0].draws.iter().filter_map(whole);
    draws
        .map(|times| Slopes {
            time: times[0],
            slope: times[1..].iter().map(|t| (t - times[0]) / BUMP).collect(),
        })
        .collect()
}
