//! The driver's habits by kind of event, with what is assumed where they are not written.

use std::path::{Path, PathBuf};

use super::plan::Place;
use crate::car::Habits;
use crate::files::finding::{Finding, Findings};
use crate::files::track::{self, KINDS};
use crate::files::yaml::Item;
use crate::study::draws::Habitual;
use crate::study::usual;
use crate::venue::EventKind;

/// Share of the rev limit below which a shift light is more likely a slip of the pen.
const EARLY_LIGHT: f64 = 0.6;

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
    pub grades: Option<track::Scale>,
    uncertain: Unsure,
}

/// One standard deviation of each habit, where it is written.
#[derive(Debug, Default)]
struct Unsure {
    corner_share: Option<f64>,
    lowest_rpm: Option<f64>,
    shift_rpm: Option<f64>,
    corner_speed: Option<f64>,
}

impl Unsure {
    fn read(item: &Item) -> Self {
        let known = &["corner_share", "lowest_rpm", "shift_rpm", "corner_speed"];
        let Some(map) = item.mapping(known) else {
            return Self::default();
        };
        let share = |key: &str| map.take(key).and_then(|item| item.share(0.0..=0.5));
        let rpm = |key: &str| map.take(key).and_then(|item| item.rpm(0.0..=5000.0));
        Self {
            corner_share: share("corner_share"),
            lowest_rpm: rpm("lowest_rpm"),
            shift_rpm: rpm("shift_rpm"),
            corner_speed: share("corner_speed"),
        }
    }
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
            "uncertain",
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
            uncertain: map
                .take("uncertain")
                .map(|item| Unsure::read(&item))
                .unwrap_or_default(),
        }
    }

    /// How unsure the habits are; what is not written is listed as assumed.
    pub fn habitual(&self, path: &Path, findings: &mut Findings) -> Habitual {
        let (usual, unsure) = (Habitual::USUAL, &self.uncertain);
        let percent = |share: f64| format!("{} %", crate::units::plain(share * 100.0));
        let rpm = |rpm: f64| format!("{rpm:.0} rpm");
        let left_out = [
            (
                unsure.corner_share,
                "corner share",
                percent(usual.corner_share),
            ),
            (unsure.lowest_rpm, "lowest rpm", rpm(usual.lowest_rpm)),
            (unsure.shift_rpm, "shift rpm", rpm(usual.shift_rpm)),
            (
                unsure.corner_speed,
                "speeds of single corners",
                percent(usual.corner_speed),
            ),
        ];
        let assumed: Vec<String> = left_out
            .iter()
            .filter(|(written, ..)| written.is_none())
            .map(|(_, name, sd)| format!("{name} {sd}"))
            .collect();
        if !assumed.is_empty() {
            let text = format!("driver uncertain (one sd): {}", assumed.join(", "));
            findings.push(Place::whole(path).assumed("uncertain", text));
        }
        Habitual {
            corner_share: unsure.corner_share.unwrap_or(usual.corner_share),
            lowest_rpm: unsure.lowest_rpm.unwrap_or(usual.lowest_rpm),
            shift_rpm: unsure.shift_rpm.unwrap_or(usual.shift_rpm),
            corner_speed: unsure.corner_speed.unwrap_or(usual.corner_speed),
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
            } else if *light < EARLY_LIGHT * limit {
                let text =
                    format!("shift_light: {light:.0} rpm is far below the rev limit of {limit:.0}");
                say(place.warning(text, "every change comes that early; check the figure"));
            }
        }
        for (lowest, place) in self.lowest_rpm.iter().flatten() {
            if *lowest >= limit {
                let text =
                    format!("lowest_rpm: {lowest:.0} rpm is not below the rev limit of {limit:.0}");
                say(place.error(text, "write the revs below which the clutch is slipped"));
            }
        }
        for (light, lowest) in self.shift_light.iter().zip(&self.lowest_rpm) {
            if let (Some((light, place)), Some((lowest, _))) = (light, lowest)
                && lowest >= light
                && *lowest < limit
            {
                let text =
                    format!("shift_light: {light:.0} rpm is not above lowest_rpm, {lowest:.0}");
                say(place.error(
                    text,
                    "the light tells when to change up, lowest_rpm when to slip",
                ));
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
        let driver = self.driver;
        let written = |habit: &ByKind| habit[index].as_ref().map(|(value, _)| *value);
        let usual = usual::habits(kind, self.limit);
        let habits = Habits {
            corner_share: written(&driver.corner_share).unwrap_or(usual.corner_share),
            brake_share: written(&driver.brake_share).unwrap_or(usual.brake_share),
            lowest_rpm: written(&driver.lowest_rpm).unwrap_or(usual.lowest_rpm),
            shift_light_rpm: written(&driver.shift_light),
        };
        if !self.said.contains(&kind) {
            self.said.push(kind);
            self.list_assumed(index, &usual, findings);
        }
        habits
    }

    /// Lists what is not written for the kind of event with this index in [`KINDS`].
    fn list_assumed(&self, index: usize, usual: &Habits, findings: &mut Findings) {
        let place = Place::whole(&self.path);
        let mut list = |habit: &ByKind, key: &str, text: String| {
            if habit[index].is_none() {
                let kind = KINDS[index].0;
                findings.push(place.assumed(&format!("{key}.{kind}"), format!("{kind}: {text}")));
            }
        };
        let percent = |share: f64| crate::units::plain(share * 100.0);
        let driver = self.driver;
        let corner = format!(
            "corners at {} % of the limit speed",
            percent(usual.corner_share)
        );
        list(&driver.corner_share, "corner_share", corner);
        let brake = format!("{} % of the tyres' braking", percent(usual.brake_share));
        list(&driver.brake_share, "brake_share", brake);
        let lowest = format!("revs kept above {:.0} rpm", usual.lowest_rpm);
        list(&driver.lowest_rpm, "lowest_rpm", lowest);
        let light = "changes up where the car gains by it".to_owned();
        list(&driver.shift_light, "shift_light", light);
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
