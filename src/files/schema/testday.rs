//! The keys of a test day.

use schemars::JsonSchema;

use super::study::Texts;
use super::{OneOrMore, PlainOr, Scalar, standards, words, yes_no};

words! {
    places: "flywheel", "flywheel estimated", "hubs", "wheels";
    methods: "sweep", "steps";
    breathings: "natural", "supercharged", "turbocharged";
    ignitions: "spark", "compression";
}

/// One day on one dyno: weather, specs, fittings, pulls.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct TestDay {
    /// The specs that were pulled.
    pub specs: Vec<Spec>,
    /// Name for people.
    pub name: Option<Scalar>,
    /// The dyno.
    pub dyno: Option<Dyno>,
    /// What the engine is, where it is not a free-breathing one with spark ignition.
    pub engine: Option<Engine>,
    /// The standard that figures are brought to.
    #[serde(default)]
    #[schemars(schema_with = "standards")]
    pub correct_to: Option<Scalar>,
    /// What the files are corrected to already.
    #[serde(default)]
    #[schemars(schema_with = "standards")]
    pub corrected: Option<Scalar>,
    /// The weather on the dyno: keys, or words such as `hot, damp`.
    pub weather: Option<PlainOr<Weather>>,
    /// Over how many rpm noisy pulls are smoothed, or `none`.
    pub smoothing: Option<Scalar>,
    /// How pulls and fittings scatter: keys, or `within 2 bhp over 3`.
    pub repeatability: Option<PlainOr<Repeatability>>,
    /// Currency of the prices.
    pub currency: Option<String>,
    /// What changes power and is the car's, on the dyno.
    pub as_tested: Option<Texts>,
    /// The same at the event.
    pub as_raced: Option<Texts>,
    /// Names of the specs in the order their fittings were pulled.
    pub order: Option<Vec<Scalar>>,
}

/// The dyno.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Dyno {
    /// Name for people.
    pub name: Option<Scalar>,
    /// Where it measures torque.
    #[serde(default)]
    #[schemars(schema_with = "places")]
    pub measures: Option<Scalar>,
    /// Through the range in one go, or held at each speed.
    #[serde(default)]
    #[schemars(schema_with = "methods")]
    pub method: Option<Scalar>,
    /// How fast a sweep gains speed, as in `300 rpm/s`.
    pub rate: Option<Scalar>,
    /// Whether the dyno adds what the engine's own inertia took.
    #[serde(default)]
    #[schemars(schema_with = "yes_no")]
    pub inertia_compensated: Option<Scalar>,
    /// Inertia to add for, as in `0.12 kg m2`, where the dyno does not.
    pub engine_inertia: Option<Scalar>,
    /// For files with brake readings.
    pub brake: Option<Brake>,
    /// Road speed at 1,000 rpm, as in `24 km/h`, for files with road speed.
    pub speed_per_1000_rpm: Option<Scalar>,
    /// Whether the car was strapped down anew for each fitting.
    #[serde(default)]
    #[schemars(schema_with = "yes_no")]
    pub restrapped: Option<Scalar>,
}

/// Power is reading times rpm over the constant.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Brake {
    /// The constant.
    pub constant: f64,
    /// The unit that it gives: `bhp`, `PS` or `kW`.
    pub power: String,
}

/// What correction asks of the engine.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Engine {
    /// How it breathes.
    #[serde(default)]
    #[schemars(schema_with = "breathings")]
    pub breathing: Option<Scalar>,
    /// How it is lit.
    #[serde(default)]
    #[schemars(schema_with = "ignitions")]
    pub ignition: Option<Scalar>,
    /// Fuel of a litre of displacement in a cycle, mg.
    pub fuel_per_cycle: Option<f64>,
    /// Pressure after the compressor over that before it.
    pub boost_ratio: Option<f64>,
}

/// The weather on the dyno.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// As a barometer shows it there, as in `1009 hPa`.
    pub pressure: Option<Scalar>,
    /// As forecasts give it; needs the elevation.
    pub sea_level_pressure: Option<Scalar>,
    /// Of the dyno, as in `120 m`.
    pub elevation: Option<Scalar>,
    /// At the intake, as in `18 C`.
    pub temperature: Option<Scalar>,
    /// Relative, as in `55 %`.
    pub humidity: Option<Scalar>,
    /// In place of humidity, as in `9 C`.
    pub dew_point: Option<Scalar>,
    /// In place of humidity, as in `13 C`.
    pub wet_bulb: Option<Scalar>,
}

/// How pulls scatter: one standard deviation each.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Repeatability {
    /// From pull to pull, as in `0.3 %`.
    pub pull: Option<Scalar>,
    /// From fitting to fitting, as in `0.5 %`.
    pub fitting: Option<Scalar>,
    /// Over an hour, as in `0.2 %`.
    pub drift: Option<Scalar>,
    /// From day to day, as in `1 %`.
    pub day: Option<Scalar>,
    /// Of the first pull after a change, as in `0.8 %`.
    pub first_pull: Option<Scalar>,
    /// Range of some pulls, as in `2 bhp` or `1 %`; with `over`.
    pub within: Option<Scalar>,
    /// How many pulls the range is of.
    pub over: Option<u32>,
}

/// A named state of the engine.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Spec {
    /// Its name.
    pub name: Scalar,
    /// What is fitted, by keys of your own.
    pub parts: Option<Texts>,
    /// Whether ignition and mixture were set for it.
    #[serde(default)]
    #[schemars(schema_with = "yes_no")]
    pub retuned: Option<Scalar>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `7.5 kg`.
    pub mass: Option<Scalar>,
    /// Work to put it in, as in `3 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
    /// Each occasion on which it was put together.
    pub fittings: Option<OneOrMore<Fitting>>,
    /// The pulls of its only fitting: a folder, a pattern, or files.
    pub pulls: Option<OneOrMore<PlainOr<Pull>>>,
    /// The points of its only fitting, typed in.
    pub points: Option<OneOrMore<Points>>,
    /// The weather on the dyno.
    pub weather: Option<PlainOr<Weather>>,
    /// What the files are corrected to already.
    #[serde(default)]
    #[schemars(schema_with = "standards")]
    pub corrected: Option<Scalar>,
    /// Road speed at 1,000 rpm in the gear it was pulled in, as in `17.6 km/h`, where that is another than the day's.
    pub speed_per_1000_rpm: Option<Scalar>,
    /// What the dyno reads without load, as in `9.1 Nm`; taken off.
    pub zero: Option<Scalar>,
    /// How fast the engine was swept where files have no time, as in `300 rpm/s`.
    pub rate: Option<Scalar>,
    /// The day it was pulled on, as in `2026-05-09`, where pulls are of several.
    pub day: Option<Scalar>,
}

/// One occasion on which a spec was put together.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Fitting {
    /// Its pulls: a folder, a pattern, or files.
    pub pulls: Option<OneOrMore<PlainOr<Pull>>>,
    /// Its points, typed in.
    pub points: Option<OneOrMore<Points>>,
    /// The weather on the dyno.
    pub weather: Option<PlainOr<Weather>>,
    /// What the files are corrected to already.
    #[serde(default)]
    #[schemars(schema_with = "standards")]
    pub corrected: Option<Scalar>,
    /// Road speed at 1,000 rpm in the gear it was pulled in, as in `17.6 km/h`, where that is another than the day's.
    pub speed_per_1000_rpm: Option<Scalar>,
    /// What the dyno reads without load, as in `9.1 Nm`; taken off.
    pub zero: Option<Scalar>,
    /// How fast the engine was swept where files have no time, as in `300 rpm/s`.
    pub rate: Option<Scalar>,
    /// The day it was pulled on, as in `2026-05-09`, where pulls are of several.
    pub day: Option<Scalar>,
}

/// A file of pulls with what holds for it alone.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Pull {
    /// The file, a folder or a pattern.
    pub file: String,
    /// Which sheet of a workbook; all that hold pulls where none is named.
    pub sheet: Option<String>,
    /// Which pulls of a file with several.
    pub pull: Option<OneOrMore<Scalar>>,
    /// The weather on the dyno.
    pub weather: Option<PlainOr<Weather>>,
    /// As a barometer shows it there, as in `1009 hPa`.
    pub pressure: Option<Scalar>,
    /// As forecasts give it; needs the elevation.
    pub sea_level_pressure: Option<Scalar>,
    /// Of the dyno, as in `120 m`.
    pub elevation: Option<Scalar>,
    /// At the intake, as in `18 C`.
    pub temperature: Option<Scalar>,
    /// Relative, as in `55 %`.
    pub humidity: Option<Scalar>,
    /// In place of humidity, as in `9 C`.
    pub dew_point: Option<Scalar>,
    /// In place of humidity, as in `13 C`.
    pub wet_bulb: Option<Scalar>,
    /// What it is corrected to already.
    #[serde(default)]
    #[schemars(schema_with = "standards")]
    pub corrected: Option<Scalar>,
    /// The factor that the dyno printed.
    pub factor: Option<f64>,
    /// Time of day, in quotes, as in `"10:40"`.
    pub at: Option<Scalar>,
    /// Why it does not count.
    pub set_aside: Option<String>,
    /// Engine speed from which it counts, as in `2600 rpm`; what lies below is left out.
    pub from: Option<Scalar>,
    /// Engine speed up to which it counts, as in `5600 rpm`; what lies above is left out.
    pub up_to: Option<Scalar>,
}

/// A pull typed in.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Points {
    /// Engine speeds.
    pub rpm: Vec<Scalar>,
    /// Torque at each.
    pub torque: Option<Vec<Scalar>>,
    /// Power at each; needs a unit.
    pub power: Option<Vec<Scalar>>,
    /// Unit of torque or power.
    pub unit: Option<String>,
    /// Time of day, in quotes, as in `"10:40"`.
    pub at: Option<Scalar>,
    /// The factor that the dyno printed.
    pub factor: Option<f64>,
}
