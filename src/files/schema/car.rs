//! The keys of a car.

use std::collections::BTreeMap;

use schemars::JsonSchema;

use super::{OneOrMore, OneOrNamed, PlainOr, Scalar, words};

words! {
    drives: "front", "rear", "all";
    first_gears: "start only", "any time";
    bodies: "hatch", "coupe", "saloon", "open";
    flywheels: "light", "standard";
    tyre_kinds: "road", "treaded competition", "slick", "gravel", "studded", "mud";
}

/// A speed held at an engine speed in a gear.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct MeasuredSpeed {
    /// Counted from 1.
    pub gear: Scalar,
    /// Engine speed, as in `3500 rpm`.
    pub rpm: Scalar,
    /// Over the ground, as in `114 km/h`.
    pub speed: Scalar,
}

/// The car: what the engine has to push, through which gears.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Car {
    /// Name for people.
    pub name: Option<Scalar>,
    /// The driven wheels.
    #[schemars(schema_with = "drives")]
    pub drive: Scalar,
    /// The gear set; in place of `ratios`.
    pub gearbox: Option<GearSet>,
    /// Ratios from first to top.
    pub ratios: Option<OneOrMore<Scalar>>,
    /// Road speed at 1,000 rpm in each gear, as in `8.1 km/h`, from first to top; in place of `ratios`.
    pub speed_per_1000_rpm: Option<OneOrMore<Scalar>>,
    /// Time without drive of a change up, as in `0.35 s`: one, a list, or by change.
    pub shift_time: Option<ShiftTime>,
    /// Whether first gear is used once the car rolls.
    #[serde(default)]
    #[schemars(schema_with = "first_gears")]
    pub first_gear: Option<Scalar>,
    /// Share of the torque that reaches the wheels: one, or one for each gear.
    pub efficiency: Option<OneOrMore<Scalar>>,
    /// Teeth of pinion and crownwheel as in `9/38`, or the ratio.
    pub final_drive: Option<PlainOr<FinalDrive>>,
    /// Speeds measured in a gear, which the file is held against, or is told its final drive by.
    pub measured_speed: Option<OneOrMore<MeasuredSpeed>>,
    /// Upper limit of the engine, as in `7200 rpm`.
    pub rev_limit: Option<Scalar>,
    /// Size of the engine.
    pub engine: Option<EngineSize>,
    /// The car as it goes to kinds of event.
    pub trims: Option<BTreeMap<String, Trim>>,
    /// Mass with crew and fuel, as in `960 kg`.
    pub mass: Option<Scalar>,
    /// Size of the driven tyres, or what is known of them.
    pub tyre: Option<PlainOr<Tyre>>,
    /// Grip: one number for tarmac, or one for each surface.
    pub grip: Option<OneOrNamed<Scalar>>,
    /// Rolling radius of the driven wheels, as in `268 mm`.
    pub rolling_radius: Option<Scalar>,
    /// Share of the weight on the front axle, as in `53 %`.
    pub weight_front: Option<Scalar>,
    /// Distance of the axles, as in `2.41 m`.
    pub wheelbase: Option<Scalar>,
    /// Distance of the wheels of an axle, as in `1.36 m`.
    pub track: Option<Scalar>,
    /// Height of the centre of mass, as in `0.48 m`.
    pub cg_height: Option<Scalar>,
    /// Kind of body; gives a usual drag area.
    #[serde(default)]
    #[schemars(schema_with = "bodies")]
    pub body: Option<Scalar>,
    /// Drag coefficient times frontal area, as in `0.66 m2`.
    pub drag_area: Option<Scalar>,
    /// The same for downforce, pressing down positive.
    pub lift_area: Option<Scalar>,
    /// Rolling resistance over weight, or `[f0, f1, f2]` with speed in m/s.
    pub rolling: Option<OneOrMore<Scalar>>,
    /// `open`, `plate`, `torque biasing`, `spool`, or a torque bias.
    pub differential: Option<PlainOr<Bias>>,
    /// Share of the roll stiffness on the driven axle, as in `50 %`.
    pub roll_share: Option<Scalar>,
    /// Kind of flywheel; gives a usual inertia.
    #[serde(default)]
    #[schemars(schema_with = "flywheels")]
    pub flywheel: Option<Scalar>,
    /// What spins up with the car, or `none`.
    pub inertia: Option<PlainOr<Inertia>>,
    /// Engine speed at the start: one, or one for each surface.
    pub launch: Option<OneOrNamed<Scalar>>,
    /// What could be fitted.
    pub options: Option<Options>,
    /// Currency of the prices.
    pub currency: Option<String>,
    /// How surely the inputs are known.
    pub uncertain: Option<Uncertain>,
}

/// Time of a change: one for all, a list, or by change as in `{1-2: 0.4 s}`.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum ShiftTime {
    /// One for all.
    One(Scalar),
    /// One for each change.
    Each(Vec<Scalar>),
    /// By change.
    Named(BTreeMap<String, Scalar>),
}

/// A set of gears.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct GearSet {
    /// Name for people; an option must have one.
    pub name: Option<Scalar>,
    /// Ratios from first to top.
    pub ratios: Option<OneOrMore<Scalar>>,
    /// Road speed at 1,000 rpm in each gear with the car's final drive and tyre; in place of `ratios`.
    pub speed_per_1000_rpm: Option<OneOrMore<Scalar>>,
    /// Time without drive of a change up, as in `0.35 s`.
    pub shift_time: Option<ShiftTime>,
    /// Whether first gear is used once the car rolls.
    #[serde(default)]
    #[schemars(schema_with = "first_gears")]
    pub first_gear: Option<Scalar>,
    /// Share of the torque that reaches the wheels.
    pub efficiency: Option<OneOrMore<Scalar>>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `4 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap it, as in `2.5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// A final drive, by its teeth or its ratio.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct FinalDrive {
    /// Teeth of pinion and crownwheel, as in `9/38`.
    pub teeth: Option<Scalar>,
    /// The ratio.
    pub ratio: Option<Scalar>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `1 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap it, as in `2.5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// Final drives from a ratio to another.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct RatioRange {
    /// The lowest ratio.
    pub from: Scalar,
    /// The highest ratio.
    pub to: Scalar,
    /// From one to the next.
    pub step: Scalar,
    /// What each costs.
    pub price: Option<Scalar>,
    /// What each adds to the car, as in `1 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap one, as in `2.5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes they are for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// Final drives of every pinion with every crownwheel.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct TeethRange {
    /// Teeth of the pinions: one, a list, or `8 to 10`.
    pub pinion: OneOrMore<Scalar>,
    /// Teeth of the crownwheels: one, a list, or `35 to 43`.
    pub crownwheel: OneOrMore<Scalar>,
    /// What each costs.
    pub price: Option<Scalar>,
    /// What each adds to the car, as in `1 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap one, as in `2.5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes they are for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// Final drives that could be fitted.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum FinalDrives {
    /// Teeth or ratio.
    Plain(Scalar),
    /// One with its terms.
    One(FinalDrive),
    /// A range of ratios.
    Ratios(RatioRange),
    /// A range of teeth.
    Teeth(TeethRange),
}

/// A pair of drop gears.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct DropGear {
    /// Driving and driven teeth, as in `24/25`.
    pub teeth: Scalar,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `1 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap it, as in `1 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// Size of the engine.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct EngineSize {
    /// Bore, as in `86 mm`.
    pub bore: Scalar,
    /// Stroke, as in `86 mm`.
    pub stroke: Scalar,
    /// Cylinders.
    pub cylinders: u32,
}

/// The car as it goes to a kind of event.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Trim {
    /// Mass with crew and fuel, as in `1080 kg`.
    pub mass: Option<Scalar>,
    /// Size of the driven tyres, or what is known of them.
    pub tyre: Option<PlainOr<Tyre>>,
    /// Grip: one number for tarmac, or one for each surface.
    pub grip: Option<OneOrNamed<Scalar>>,
    /// Rolling radius of the driven wheels, as in `268 mm`.
    pub rolling_radius: Option<Scalar>,
}

/// A tyre: its size or radius, its kind or grip.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Tyre {
    /// As printed on it, as in `185/60R13`.
    pub size: Option<Scalar>,
    /// Distance of one turn over the floor, as in `1.757 m`.
    pub rolled_out: Option<Scalar>,
    /// Rolling radius, as in `268 mm`.
    pub radius: Option<Scalar>,
    /// The same.
    pub rolling_radius: Option<Scalar>,
    /// What it is meant for; gives a usual grip.
    #[serde(default)]
    #[schemars(schema_with = "tyre_kinds")]
    pub kind: Option<Scalar>,
    /// Grip: one number for tarmac, or one for each surface.
    pub grip: Option<OneOrNamed<Scalar>>,
}

/// Torque bias of a limited-slip differential.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Bias {
    /// Torque of the slower wheel over that of the faster, 1 to 5.
    pub bias: f64,
}

/// What spins up with the car, kg·m².
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Inertia {
    /// Engine, flywheel and clutch, as in `0.12 kg m2`.
    pub engine: Option<Scalar>,
    /// All wheels with brakes and hubs, as in `3.6 kg m2`.
    pub wheels: Option<Scalar>,
    /// Gearbox at its input, one or for each gear.
    pub gearbox: Option<OneOrMore<Scalar>>,
    /// Propeller shaft and pinion.
    pub shaft: Option<Scalar>,
}

/// What could be fitted.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Options {
    /// Final drives.
    pub final_drive: Option<OneOrMore<FinalDrives>>,
    /// Pairs of gears before the final drive.
    pub drop_gear: Option<OneOrMore<PlainOr<DropGear>>>,
    /// Gear sets.
    pub gearbox: Option<OneOrMore<GearSet>>,
    /// Differentials.
    pub differential: Option<OneOrMore<OfferedDifferential>>,
    /// Tyres.
    pub tyre: Option<OneOrMore<OfferedTyre>>,
    /// What makes the car lighter.
    pub lighter: Option<OneOrMore<Lighter>>,
    /// Higher limits, with the rebuild they ask for.
    pub rev_limit: Option<OneOrMore<OfferedLimit>>,
}

/// A differential: a word, a bias, or more said of it.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum OfferedDifferential {
    /// `open`, `plate`, `torque biasing` or `spool`.
    Plain(Scalar),
    /// Its bias.
    Bias(Bias),
    /// With its terms.
    Keys(DifferentialTerms),
}

/// A differential with its terms.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct DifferentialTerms {
    /// `open`, `plate`, `torque biasing`, `spool`, or a bias.
    pub kind: PlainOr<Bias>,
    /// Name for people.
    pub name: Option<Scalar>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `2 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap it, as in `5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// Tyres that could be fitted.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct OfferedTyre {
    /// Name for people.
    pub name: Option<Scalar>,
    /// As printed on it, as in `185/55R13`.
    pub size: Option<Scalar>,
    /// Grip: one number for tarmac, or one for each surface.
    pub grip: Option<OneOrNamed<Scalar>>,
    /// Trims that it is for.
    pub trims: Option<OneOrMore<Scalar>>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// What it adds to the car, as in `2 kg`.
    pub mass: Option<Scalar>,
    /// Work to swap it, as in `0.5 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// What makes the car lighter.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Lighter {
    /// By how much, as in `20 kg`.
    pub by: Scalar,
    /// Name for people.
    pub name: Option<Scalar>,
    /// What it costs.
    pub price: Option<Scalar>,
    /// Work to fit it, as in `3 h`.
    pub swap_time: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// A higher limit of the engine.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct OfferedLimit {
    /// The limit, as in `7600 rpm`.
    pub rpm: Scalar,
    /// What the rebuild costs.
    pub price: Option<Scalar>,
    /// Classes it is for.
    pub allowed_in: Option<OneOrMore<Scalar>>,
}

/// How surely the inputs are known: one standard deviation each.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Uncertain {
    /// Of the mass, as in `8 kg`.
    pub mass: Option<Scalar>,
    /// Of the drag area, as in `6 %`.
    pub drag_area: Option<Scalar>,
    /// Of the grip, as in `5 %`.
    pub grip: Option<Scalar>,
    /// Of the shift time, as in `0.05 s`.
    pub shift_time: Option<Scalar>,
    /// Of the rolling radius, as in `0.5 %`.
    pub rolling_radius: Option<Scalar>,
    /// Of the air's density, as in `0.5 %`.
    pub air_density: Option<Scalar>,
}
