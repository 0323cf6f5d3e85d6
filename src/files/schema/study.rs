//! The keys of a study.

use std::collections::BTreeMap;

use schemars::JsonSchema;

use super::track::{Conditions, Grades};
use super::{OneOrMore, PlainOr, Scalar, yes_no};

/// Which engine spec, at which venue, by how much?
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Study {
    /// What answers are headed with.
    pub name: Option<Scalar>,
    /// The car's file, from this one.
    pub car: String,
    /// The test day's file, from this one.
    pub testday: String,
    /// Specs to compare; without it all of the test day.
    pub specs: Option<OneOrMore<Scalar>>,
    /// The driver's habits.
    pub driver: Option<Driver>,
    /// Events in the order of the season: track files, or more said of each.
    pub venues: Option<OneOrMore<PlainOr<Venue>>>,
    /// The spec that is in the car now.
    pub fitted: Option<Scalar>,
    /// Currency of every price, in all files alike.
    pub currency: Option<String>,
    /// Only specs and parts tagged for this class are compared.
    pub allowed_in: Option<Scalar>,
    /// Least mass of the class, as in `940 kg`.
    pub minimum_mass: Option<Scalar>,
    /// Times done, to set beside what was predicted.
    pub results: Option<OneOrMore<EventResult>>,
}

/// The driver's habits: one value for all, or one for each kind of event.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Driver {
    /// Engine speed of changes up, as in `7100 rpm`; without it wherever the car gains.
    pub shift_light: Option<PlainOr<ByKind>>,
    /// Engine speed below which the clutch is slipped, or `none`.
    pub lowest_rpm: Option<PlainOr<ByKind>>,
    /// Share of the limit speed that corners are taken at, as in `90 %`.
    pub corner_share: Option<PlainOr<ByKind>>,
    /// Share of the tyres' braking, as in `85 %`.
    pub brake_share: Option<PlainOr<ByKind>>,
    /// The driver's own scale of grades.
    pub grades: Option<Grades>,
    /// One standard deviation of each habit.
    pub uncertain: Option<Uncertain>,
}

/// A value for each kind of event.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct ByKind {
    /// On stages.
    pub stage: Option<Scalar>,
    /// On circuits.
    pub circuit: Option<Scalar>,
    /// On hillclimbs.
    pub hillclimb: Option<Scalar>,
    /// In sprints.
    pub sprint: Option<Scalar>,
}

/// How surely the habits are known: one standard deviation each.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Uncertain {
    /// Of the corner share, as in `2 %`.
    pub corner_share: Option<Scalar>,
    /// Of the lowest engine speed, as in `300 rpm`.
    pub lowest_rpm: Option<Scalar>,
    /// Of the engine speed of changes, as in `100 rpm`.
    pub shift_rpm: Option<Scalar>,
    /// Of the speed of a single corner, as in `5 %`.
    pub corner_speed: Option<Scalar>,
}

/// An event at a venue.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Venue {
    /// What it is called here, where the track's own name does not tell it from another.
    pub name: Option<Scalar>,
    /// The track's file, from this one.
    pub track: String,
    /// The trim that the car goes in.
    pub trim: Option<Scalar>,
    /// Runs over the road that count.
    pub passes: Option<u32>,
    /// Laps of a race.
    pub laps: Option<u32>,
    /// Runs of which the best counts.
    pub best_of: Option<u32>,
    /// Chances of dry, damp and wet, in place of the track's own.
    pub conditions: Option<Conditions>,
    /// What a second counts here beside other events.
    pub weight: Option<f64>,
    /// Nothing is changed since the event before, as in a closed park.
    #[serde(default)]
    #[schemars(schema_with = "yes_no")]
    pub sealed: Option<Scalar>,
}

/// A time done.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct EventResult {
    /// Name of the venue, as the track or as the study has it.
    pub venue: Scalar,
    /// The spec that was fitted.
    pub spec: Option<Scalar>,
    /// The time, in quotes where it has minutes, as in `"4:41.0"`.
    pub time: Scalar,
    /// Which of the venue's conditions it was.
    pub conditions: Option<Scalar>,
    /// Why it does not count, as in `notional time`; it is listed and left out.
    pub set_aside: Option<Scalar>,
}

/// Keys of the user's own with a text each.
pub type Texts = BTreeMap<String, Scalar>;
