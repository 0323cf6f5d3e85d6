//! Whether road speed on the dyno goes with a gear of the car, and with the one that was pulled in.

use std::path::Path;

use super::plan::Place;
use crate::car::Car;
use crate::car::driveline::rpm_per_speed;
use crate::dyno::{Spec, TestDay};
use crate::files::finding::Findings;
use crate::files::testday::SPEEDS;
use crate::files::yaml;
use crate::units::{KILOMETRE_PER_HOUR, SPEED, plain};

const KEY: &str = "speed_per_1000_rpm";
/// How far the speed per 1,000 rpm may lie from that of the nearest gear: tyres on rollers roll some per
/// cent differently (common practice, no source).
const NEAR: f64 = 0.04;
/// Shares of the rev limit at which pulls are likely to end (common practice, no source): above the last
/// engine speed is made of the speed of another gear.
const ENDS: std::ops::RangeInclusive<f64> = 0.9..=1.08;
/// Engine speeds at which most engines of road cars end, rpm, and one that few reach (common practice, no
/// source): what there is to go by where no rev limit is written.
const USUAL_ENDS: std::ops::RangeInclusive<f64> = 5_000.0..=8_500.0;
const FEW_REACH: f64 = 9_000.0;

/// A speed that a test day, a spec or a fitting of it says 1,000 rpm are, beside the gears of a car.
pub struct Rollers {
    /// As written, and m/s.
    shown: String,
    written: f64,
    place: Place,
    /// What 1,000 rpm are in each gear of the car's first trim, m/s.
    gears: Vec<f64>,
}

impl Rollers {
    /// What the test day says, and then its specs and fittings, each figure once; none where the car has no trim.
    pub fn of(path: &Path, car: &Car) -> Vec<Self> {
        let mut found: Vec<(String, f64, Place)> = Vec::new();
        let mut say = |item: Option<yaml::Item>| {
            let said = item.and_then(|item| {
                let shown = item.word().unwrap_or_default().to_owned();
                Some((shown, item.quantity(&SPEED, SPEEDS)?, Place::of(&item)))
            });
            found.extend(said);
        };
        // The file was read without a fault a moment ago.
        yaml::read(path, &mut Findings::new(), |root| {
            say(under(&root, "dyno").and_then(|dyno| under(&dyno, KEY)));
            for spec in under(&root, "specs")?.list()? {
                say(under(&spec, KEY));
                let fittings = under(&spec, "fittings").map(|item| item.one_or_more());
                for fitting in fittings.unwrap_or_default() {
                    say(under(&fitting, KEY));
                }
            }
            Some(())
        });
        let Some(trim) = car.trims.first() else {
            return Vec::new();
        };
        let mut all: Vec<Self> = Vec::new();
        for (shown, written, place) in found {
            if all.iter().all(|one| one.written != written) {
                all.push(Self {
                    shown,
                    written,
                    place,
                    gears: gears(car, trim.rolling_radius).collect(),
                });
            }
        }
        all
    }

    /// The highest engine speed of a spec's pulls, rpm, that was made of road speed in this gear.
    pub fn reach(&self, spec: &Spec) -> Option<f64> {
        let own = spec
            .counted()
            .filter(|(_, pull)| pull.handling.road_speed == Some(self.written));
        let ends = own.filter_map(|(_, pull)| pull.rpm.last().copied());
        ends.max_by(f64::total_cmp)
    }

    /// Warns where the speed is that of no gear of the car, in any trim.
    pub fn check(&self, car: &Car, findings: &mut Findings) {
        let radii = car.trims.iter().map(|trim| trim.rolling_radius);
        let mut all = radii.flat_map(|radius| gears(car, radius));
        if all.any(|gear| self.is_near(gear)) {
            return;
        }
        let own: Vec<String> = self.gears.iter().map(|&gear| kmh(gear)).collect();
        let text = format!(
            "speed_per_1000_rpm: {} is no gear of {}: its gears make {} km/h",
            self.shown,
            car.name,
            own.join(", ")
        );
        let remedy = "write the figure of the gear that was pulled in; right where the car file is not filled in yet, or the \
                      dyno day had another final drive or other tyres";
        findings.push(self.place.warning(text, remedy));
    }

    /// Warns of pulls that end far above the rev limit; `None` for a limit that nobody wrote.
    pub fn check_ends(
        &self,
        day: &TestDay,
        compared: &[usize],
        limit: Option<f64>,
        findings: &mut Findings,
    ) {
        let specs = compared.iter().filter_map(|&spec| day.specs.get(spec));
        let reach = specs
            .filter_map(|spec| self.reach(spec))
            .fold(0.0, f64::max);
        let (most, beside) = match limit {
            Some(limit) => (
                ENDS.end() * limit,
                format!("the rev limit is {limit:.0} rpm"),
            ),
            None => (FEW_REACH, "no `rev_limit` is written".to_owned()),
        };
        if reach <= most {
            return;
        }
        let text = format!(
            "speed_per_1000_rpm: at {} km/h the pulls end at {reach:.0} rpm, and {beside}",
            kmh(self.written)
        );
        let meant = match limit {
            Some(limit) => self.other_gear(reach, limit),
            None => self.usual_gear(reach),
        };
        let remedy = match (meant, limit) {
            (Some(meant), Some(_)) => format!("{meant}? write the figure of the gear that was pulled in"),
            (Some(meant), None) => format!(
                "{meant}? write the figure of the gear that was pulled in; else `rev_limit` in the car file"
            ),
            (None, _) => "write the figure of the gear that was pulled in, or the engine's `rev_limit` in the car file"
                .to_owned(),
        };
        findings.push(self.place.warning(text, remedy));
    }

    /// The question for the gear in which pulls that end at `reach` rpm would end near the limit.
    pub fn other_gear(&self, reach: f64, limit: f64) -> Option<String> {
        let off = |gear: &(usize, f64)| (gear.1 / limit).ln().abs();
        let fitting = self
            .ends(reach)
            .filter(|(_, end)| ENDS.contains(&(end / limit)));
        let (gear, end) = fitting.min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(self.asked(gear, end))
    }

    /// The same for the lowest gear in which they would end where most engines do.
    fn usual_gear(&self, reach: f64) -> Option<String> {
        let (gear, end) = self.ends(reach).find(|(_, end)| USUAL_ENDS.contains(end))?;
        Some(self.asked(gear, end))
    }

    fn asked(&self, gear: usize, end: f64) -> String {
        format!(
            "was it pulled in gear {}, at {} km/h, where they would end at {end:.0} rpm",
            gear + 1,
            kmh(self.gears[gear])
        )
    }

    /// The gears that are not the one written, each with where pulls that end at `reach` rpm would end.
    fn ends(&self, reach: f64) -> impl Iterator<Item = (usize, f64)> {
        let others = self.gears.iter().copied().enumerate();
        let others = others.filter(|(_, gear)| !self.is_near(*gear));
        others.map(move |(index, gear)| (index, reach * self.written / gear))
    }

    fn is_near(&self, gear: f64) -> bool {
        (self.written / gear - 1.0).abs() < NEAR
    }
}

/// Whether engine speed of a spec was made of road speed.
pub fn has_rolled(spec: &Spec) -> bool {
    let mut counted = spec.counted();
    counted.any(|(_, pull)| pull.handling.road_speed.is_some())
}

/// What 1,000 rpm are in each gear, m/s.
fn gears(car: &Car, radius: f64) -> impl Iterator<Item = f64> {
    let ratios = car.gearbox.ratios.iter();
    let speed = move |ratio: f64| 1000.0 / rpm_per_speed(ratio * car.final_drive.ratio, radius);
    ratios.map(move |ratio| speed(*ratio))
}

fn kmh(speed: f64) -> String {
    plain((speed / KILOMETRE_PER_HOUR * 10.0).round() / 10.0)
}

fn under<'a>(item: &yaml::Item<'a>, key: &str) -> Option<yaml::Item<'a>> {
    let mut entries = item.entries()?.into_iter();
    entries.find(|entry| entry.name() == key)
}
