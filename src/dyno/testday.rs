//! A day on a dyno as plain numbers: specs, their fittings, their pulls.

use std::collections::BTreeMap;

use super::condition::Handling;
use super::correction::Standard;
use super::engine::Engine;
use super::repeatability::Repeatability;
use crate::air::Air;

/// Where the torque was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeasuredAt {
    /// At the flywheel, on an engine dyno.
    Flywheel,
    /// At the rolls, with the flywheel figure estimated by the dyno's own software.
    FlywheelEstimated,
    /// At the hubs: driveline losses are inside.
    Hubs,
    /// At the wheels: driveline and tyre losses are inside.
    Wheels,
}

/// How the engine was taken through its range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Accelerating through the range.
    Sweep,
    /// Held at one speed after another.
    Steps,
}

/// The dynamometer and how it was used.
#[derive(Debug, Clone, PartialEq)]
pub struct Dyno {
    /// Where torque was measured.
    pub measured_at: MeasuredAt,
    /// How the engine was taken through its range.
    pub method: Method,
    /// How fast a sweep rises, rpm/s, where pulls carry no time of their own.
    pub sweep_rate: Option<f64>,
    /// Inertia of engine and all that is spun up with it, kg·m², to be made good in the torque; `None`
    /// where the dyno has done so, or nothing is spun up.
    pub engine_inertia: Option<f64>,
}

/// One full-throttle run.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// Name for people: file name, or "typed in".
    pub name: String,
    /// Engine speed, rpm, rising.
    pub rpm: Vec<f64>,
    /// Torque as it stands in the file, N·m, above zero.
    pub torque: Vec<f64>,
    /// How fast the engine gained speed at each point, rpm/s; empty where the file has no time.
    pub acceleration: Vec<f64>,
    /// How fast it was swept, rpm/s, where that is said of this pull and not of the day.
    pub sweep_rate: Option<f64>,
    /// The air it breathed, if known.
    pub air: Option<Air>,
    /// What the file's figures are already corrected to.
    pub corrected: Standard,
    /// Time of day, seconds after midnight, if known.
    pub clock: Option<f64>,
    /// Why the operator set it aside; such a pull is listed and counts for nothing.
    pub set_aside: Option<String>,
    /// What was done to the rows of its file.
    pub handling: Handling,
    /// Means over the pull of what else was logged, by the name people use.
    pub channels: BTreeMap<String, f64>,
}

impl Pull {
    /// Whether it counts: nobody set it aside.
    pub fn counts(&self) -> bool {
        self.set_aside.is_none()
    }
}

/// One occasion on which a spec was put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitting {
    /// The day it was pulled on, by any name; all that say none are of one.
    pub day: Option<String>,
    /// Its pulls in order.
    pub pulls: Vec<Pull>,
}

/// A named state of the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Spec {
    /// Name, unique in the test day.
    pub name: String,
    /// Which parts are fitted: kind of part to name of part.
    pub parts: BTreeMap<String, String>,
    /// Whether ignition and mixture were set anew for it; `None` where nobody says.
    pub retuned: Option<bool>,
    /// What it costs, in the test day's currency.
    pub price: Option<f64>,
    /// Mass of the parts that differ, kg.
    pub mass: Option<f64>,
    /// Seconds of work to change to it; `None` where nobody says.
    pub swap_time: Option<f64>,
    /// The classes that it is said to be allowed in.
    pub allowed_in: Vec<String>,
    /// Occasions on which it was fitted, in order.
    pub fittings: Vec<Fitting>,
}

/// One day on one dyno.
#[derive(Debug, Clone, PartialEq)]
pub struct TestDay {
    /// The dyno.
    pub dyno: Dyno,
    /// The engine as far as correction asks.
    pub engine: Engine,
    /// The standard that pulls are brought to.
    pub correct_to: Standard,
    /// Currency of the prices.
    pub currency: Option<String>,
    /// Specs in the order of the file.
    pub specs: Vec<Spec>,
    /// The fittings in the order of the day, each as (spec, fitting of that spec).
    pub order: Vec<(usize, usize)>,
    /// What is taken for the scatter of pulls and fittings.
    pub repeatability: Repeatability,
    /// What belongs to the car rather than the spec and changes power, as it was on the dyno:
    /// silencer, filter, fuel.
    pub as_tested: BTreeMap<String, String>,
    /// The same as the car will be at the event.
    pub as_raced: BTreeMap<String, String>,
}

impl TestDay {
    /// The days that its fittings were pulled on, as they come in its order.
    pub fn days(&self) -> Vec<&Option<String>> {
        let mut days = Vec::new();
        for &(spec, fitting) in &self.order {
            let day = &self.specs[spec].fittings[fitting].day;
            if !days.contains(&day) {
                days.push(day);
            }
        }
        days
    }

    /// What multiplies a spec's torque to give the engine's torque in another air.
    pub fn in_air(&self, air: &Air) -> f64 {
        self.engine.in_air(self.correct_to, air)
    }

    /// Index of a spec by name.
    pub fn spec(&self, name: &str) -> Option<usize> {
        self.specs.iter().position(|spec| spec.name == name)
    }

    /// The lightest of the specs whose mass is known, the first of equals.
    pub fn lightest(&self) -> Option<&Spec> {
        let weighed = self
            .specs
            .iter()
            .filter_map(|spec| Some((spec, spec.mass?)));
        weighed
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(spec, _)| spec)
    }
}

impl TestDay {
    /// The same day with the first pull of every fitting set aside, where the fitting has others.
    #[must_use]
    pub fn without_first_pulls(&self) -> Self {
        let mut day = self.clone();
        for fitting in day.specs.iter_mut().flat_map(|spec| &mut spec.fittings) {
            let counted = fitting.pulls.iter().filter(|p| p.counts());
            if counted.count() < 2 {
                continue;
            }
            if let Some(first) = fitting.pulls.first_mut() {
                first
                    .set_aside
                    .get_or_insert_with(|| "first pull after a change".to_owned());
            }
        }
        day
    }

    /// Specs that were fitted again after others: (spec, those between), in the order of the day.
    /// Such a return (A-B-A, A-B-B-A) tells drift from the change and shows how far a refit scatters.
    pub fn returns(&self) -> Vec<(usize, Vec<usize>)> {
        let fitted: Vec<usize> = self.order.iter().map(|place| place.0).collect();
        let back_to = |at: usize| {
            let before = fitted[..at].iter().rposition(|&spec| spec == fitted[at])?;
            let mut between = fitted[before + 1..at].to_vec();
            between.dedup();
            (!between.is_empty()).then_some((fitted[at], between))
        };
        (0..fitted.len()).filter_map(back_to).collect()
    }

    /// Channels in which two specs differ by more than their curves may stand side by side with:
    /// 0.02 lambda, 10 K of oil (common practice, no source). Specs, name of the channel, means.
    pub fn unlike(&self) -> Vec<Unlike> {
        const LIMITS: [(&str, f64); 2] = [("lambda", 0.02), ("oil temperature", 10.0)];
        let mut found = Vec::new();
        for (channel, limit) in LIMITS {
            let means: Vec<Option<f64>> = self.specs.iter().map(|s| s.channel(channel)).collect();
            for b in 0..means.len() {
                for a in 0..b {
                    if let (Some(first), Some(second)) = (means[a], means[b])
                        && (first - second).abs() > limit
                    {
                        found.push(Unlike {
                            channel: channel.to_owned(),
                            specs: (a, b),
                            means: (first, second),
                        });
                    }
                }
            }
        }
        found
    }
}

/// Two specs whose pulls were not made alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Unlike {
    /// The channel.
    pub channel: String,
    /// The two specs.
    pub specs: (usize, usize),
    /// Their means: lambda, or K.
    pub means: (f64, f64),
}

impl Spec {
    /// Mean of a channel over the pulls that logged it and are no first pull, which is cold; over
    /// all of them where there is no other.
    pub fn channel(&self, name: &str) -> Option<f64> {
        let mean = |first_too: bool| {
            let logged = self.fittings.iter().flat_map(|fitting| {
                let from = usize::from(!first_too);
                fitting.pulls.iter().skip(from)
            });
            let values: Vec<f64> = logged
                .filter(|pull| pull.counts())
                .filter_map(|pull| pull.channels.get(name).copied())
                .collect();
            (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
        };
        mean(false).or_else(|| mean(true))
    }

    /// All pulls that count, with the index of their fitting.
    pub fn counted(&self) -> impl Iterator<Item = (usize, &Pull)> {
        self.fittings
            .iter()
            .enumerate()
            .flat_map(|(i, fitting)| fitting.pulls.iter().map(move |pull| (i, pull)))
            .filter(|(_, pull)| pull.counts())
    }
}
