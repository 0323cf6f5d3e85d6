//! The driver's habits by kind of event, with what is assumed where they are not written.

use std::path::{Path, PathBuf};

use super::plan::Place;
use crate::car::Habits;
use crate::files::finding::{Finding, Findings};
use crate::files::track::{self, KINDS};
use crate::files::yaml::Item;
use crate::venue::EventKind;
use crate::venue::grades::Grades;

/// Lowest rpm a driver lets the engine drop to, and its share of the rev limit: the larger counts
/// (common practice).
const LOWEST: (f64, f64) = (3000.0, 0.40);

/// Share of the corner's limit speed that is driven (common practice; a stage driven on notes).
fn usual_corner_share(kind: EventKind) -> f64 {
    match kind {
        EventKind::Circuit => 0.97,
        EventKind::Hillclimb | EventKind::Sprint => 0.95,
        EventKind::Stage => 0.90,
    }
}

/// Share of the tyres' braking that is used (common practice; on a stage the middle of 0.80 to
/// 0.85).
fn usual_brake_share(kind: EventKind) -> f64 {
    match kind {
        EventKind::Stage => 0.825,
        _ => 0.90,
    }
}

/// One habit, by kind of event in the order of [`KINDS`], each with its place.
type ByKind = [Option<(f64, Place)>; 4];

/// The driver as written.
#[derive(Debug, Default)]
pub struct Driver {
    shift_light: ByKind,
    lowest_rpm: ByKind,
    corner_share: ByKind,
    brake_share: ByKind,
    /// The driver's own scale of grades.
    pub grades: Option<Grades>,
}

impl Driver {
    /// Reads the driver of a study.
    pub fn read(item: &Item) -> Self {
        let known = &[
            "shift_light",
            "lowest_rpm",
            "corner_share",
            "brake_share",
            "grades",
        ];
        let Some(map) = item.mapping(known) else {
            return Self::default();
        };
        let habit = |key: &str, read: fn(&Item) -> Option<f64>| {
            map.take(key)
                .map(|item| by_kind(&item, read))
                .unwrap_or_default()
        };
        Self {
            shift_light: habit("shift_light", |item| item.rpm(500.0..=30_000.0)),
            lowest_rpm: habit("lowest_rpm", lowest),
            corner_share: habit("corner_share", |item| item.share(0.3..=1.0)),
            brake_share: habit("brake_share", |item| item.share(0.1..=1.0)),
            grades: map.take("grades").and_then(|item| track::grades(&item)),
        }
    }

    /// The habits for a car with this rev limit in rpm; what does not fit it is found.
    pub fn habits<'a>(
        &'a self,
        path: &Path,
        limit: f64,
        findings: &mut Findings,
    ) -> HabitsByKind<'a> {
        // Written once for all kinds, a habit stands in all four.
        let mut said: Vec<Finding> = Vec::new();
        let mut say = |finding: Finding| {
            if !said.contains(&finding) {
                said.push(finding);
            }
        };
        for (light, place) in self.shift_light.iter().flatten() {
            if *light > limit {
                let text =
                    format!("shift_light: {light:.0} rpm is above the rev limit of {limit:.0}");
                say(place.warning(text, "the limiter comes first; set the light below it"));
            }
        }
        for (lowest, place) in self.lowest_rpm.iter().flatten() {
            if *lowest >= limit {
                let text =
                    format!("lowest_rpm: {lowest:.0} rpm is not below the rev limit of {limit:.0}");
                say(place.error(text, "write the revs below which the clutch is slipped"));
            }
        }
        said.into_iter().for_each(|finding| findings.push(finding));
        HabitsByKind {
            driver: self,
            path: path.to_owned(),
            limit,
            said: Vec::new(),
        }
    }
}

/// The habits at each kind of event; what is assumed is listed when a kind is first asked for.
pub struct HabitsByKind<'a> {
    driver: &'a Driver,
    path: PathBuf,
    limit: f64,
    said: Vec<EventKind>,
}

impl HabitsByKind<'_> {
    /// The habits at a kind of event.
    pub fn at(&mut self, kind: EventKind, findings: &mut Findings) -> Habits {
        let index = KINDS.iter().position(|(_, k)| *k == kind).unwrap_or(0);
        let word = KINDS[index].0;
        let written = |habit: &ByKind| habit[index].as_ref().map(|(value, _)| *value);
        let mut assumed = Vec::new();
        let mut or_assume = |habit: &ByKind, key: &'static str, usual: f64, text: String| {
            written(habit).unwrap_or_else(|| {
                assumed.push((key, text));
                usual
            })
        };
        let Driver {
            corner_share,
            brake_share,
            lowest_rpm,
            shift_light,
            ..
        } = self.driver;
        let (corner, brake) = (usual_corner_share(kind), usual_brake_share(kind));
        let lowest = LOWEST.0.max(LOWEST.1 * self.limit);
        let percent = |share: f64| crate::units::plain(share * 100.0);
        let habits = Habits {
            corner_share: or_assume(
                corner_share,
                "corner_share",
                corner,
                format!(
                    "{word}: corners at {} % of the limit speed",
                    percent(corner)
                ),
            ),
            brake_share: or_assume(
                brake_share,
                "brake_share",
                brake,
                format!("{word}: {} % of the tyres' braking", percent(brake)),
            ),
            lowest_rpm: or_assume(
                lowest_rpm,
                "lowest_rpm",
                lowest,
                format!("{word}: revs kept above {lowest:.0} rpm"),
            ),
            shift_light_rpm: written(shift_light),
        };
        if habits.shift_light_rpm.is_none() {
            assumed.push((
                "shift_light",
                format!("{word}: changes up where the car gains by it"),
            ));
        }
        if !self.said.contains(&kind) {
            self.said.push(kind);
            let place = Place::whole(&self.path);
            let list = assumed
                .iter()
                .map(|(key, text)| place.assumed(key, text.as_str()));
            list.for_each(|finding| findings.push(finding));
        }
        habits
    }
}

/// Lowest rpm, or `none` where the driver lets the engine drop as it will.
fn lowest(item: &Item) -> Option<f64> {
    if item.word() == Some("none") {
        return Some(0.0);
    }
    item.rpm(0.0..=30_000.0)
}

/// One value for all kinds of event, or a mapping with one for each.
fn by_kind(item: &Item, read: fn(&Item) -> Option<f64>) -> ByKind {
    if !item.is_mapping() {
        let value = read(item).map(|value| (value, Place::of(item)));
        return [value.clone(), value.clone(), value.clone(), value];
    }
    let known = &["stage", "circuit", "hillclimb", "sprint"];
    let Some(map) = item.mapping(known) else {
        return ByKind::default();
    };
    let of = |kind: &str| {
        let item = map.take(kind)?;
        Some((read(&item)?, Place::of(&item)))
    };
    [
        of(KINDS[0].0),
        of(KINDS[1].0),
        of(KINDS[2].0),
        of(KINDS[3].0),
    ]
}
