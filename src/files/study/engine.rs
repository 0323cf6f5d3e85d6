//! Whether the pulls of the test day begin and end where the car revs.

use std::path::Path;

use super::plan::Place;
use super::rollers::{Rollers, has_rolled};
use crate::car::Car;
use crate::dyno::{EXTENSION_RPM, Spec, TestDay};
use crate::files::finding::Findings;
use crate::files::yaml;

/// Share of the rev limit below which the pulls of every spec must begin, and beyond which they must
/// end: the rest of the range would be guessed or left out.
const WITHIN: f64 = 0.8;
/// Share of the rev limit above which pulls that begin later than others leave much out, and times the
/// engine speed at which those begin.
const LATE: (f64, f64) = (0.5, 1.25);
/// Times the engine speed at which the pulls of one spec end that those of another may go on unasked.
const FURTHER: f64 = 1.04;

/// Times the rev limit beyond which no pull goes that was stopped at it, and those that pulls reach where engine speed
/// is counted twice.
const BEYOND: f64 = 1.3;
const TWICE: std::ops::RangeInclusive<f64> = 1.7..=2.3;

/// Where pulls begin or where they end.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    Begin,
    Reach,
}

impl End {
    /// The engine speed, rpm, at which the pulls of a spec that count begin or end.
    fn of(self, spec: &Spec) -> Option<f64> {
        let counting = spec.counted().map(|(_, pull)| pull);
        let speeds = counting.flat_map(|pull| pull.rpm.iter().copied());
        speeds.max_by(|a, b| self.outward(*a).total_cmp(&self.outward(*b)))
    }

    /// How far out an engine speed lies to this side.
    fn outward(self, rpm: f64) -> f64 {
        match self {
            Self::Begin => -rpm,
            Self::Reach => rpm,
        }
    }

    /// Of some specs the one that leaves most out at this side, with where it begins or ends.
    fn shortest(
        self,
        test_day: &TestDay,
        specs: impl Iterator<Item = usize>,
    ) -> Option<(usize, f64)> {
        self.each(test_day, specs)
            .min_by(|a, b| self.outward(a.1).total_cmp(&self.outward(b.1)))
    }

    /// Where each of some specs begins or ends; those without pulls are left out.
    fn each(
        self,
        test_day: &TestDay,
        specs: impl Iterator<Item = usize>,
    ) -> impl Iterator<Item = (usize, f64)> {
        specs.filter_map(move |index| Some((index, self.of(test_day.specs.get(index)?)?)))
    }
}

/// The engine speed, rpm, at which the longest pulls end, of the specs compared or else of all: so far
/// the car revs, whichever spec was pulled short of it.
pub fn pulls_end(test_day: &TestDay, compared: Option<&[usize]>) -> Option<f64> {
    let all: Vec<usize> = (0..test_day.specs.len()).collect();
    let specs = compared.unwrap_or(&all).iter().copied();
    let ends = End::Reach.each(test_day, specs).map(|(_, rpm)| rpm);
    ends.max_by(f64::total_cmp)
}

/// Finds the spec, of those compared, whose pulls begin last where that leaves next to nothing below
/// the rev limit, and the one whose pulls end first where that is short of it: all specs are driven
/// no further than it was measured.
pub fn check_range(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    rollers: &[Rollers],
    findings: &mut Findings,
) {
    let limit = car.rev_limit_rpm;
    let ends: &[End] = match findings.assumes("rev_limit") {
        true => &[End::Begin],
        false => &[End::Begin, End::Reach],
    };
    for &end in ends {
        let Some((index, rpm)) = end.shortest(test_day, compared.iter().copied()) else {
            continue;
        };
        let refused = end.outward(rpm) < end.outward(WITHIN * limit);
        let told = end == End::Reach && rpm + EXTENSION_RPM < limit;
        if !(refused || told) {
            continue;
        }
        let (ends, remedy) = match end {
            End::Begin => (
                "begin",
                "pull from lower down, or mend `rev_limit` in the car file",
            ),
            End::Reach => (
                "end",
                "pull to the limit the builder allows, or lower `rev_limit` in the car file",
            ),
        };
        let spec = &test_day.specs[index];
        let mut gears = rollers.iter().filter(|_| end == End::Reach);
        let gear = gears.find_map(|gear| gear.other_gear(gear.reach(spec)?, limit));
        let alike = compared.iter().filter(|&&other| {
            let spec = test_day.specs.get(other);
            spec.and_then(|spec| end.of(spec)) == Some(rpm)
        });
        let names: Vec<&str> = alike.map(|&i| test_day.specs[i].name.as_str()).collect();
        let text = format!(
            "the pulls of {} {ends} at {rpm:.0} rpm, and the rev limit is {limit:.0}",
            names.join(" and ")
        );
        let place = place_of_spec(path, index);
        let remedy = match (refused, gear) {
            (_, Some(gear)) => {
                format!("{gear}? then write that as `speed_per_1000_rpm`; else {remedy}")
            }
            (true, None) => remedy.to_owned(),
            (false, None) => {
                let reach = rpm + EXTENSION_RPM;
                format!(
                    "all specs are compared up to {reach:.0} rpm; pull further where its builder lets it turn so far, else write the \
                     `rev_limit` that he gives"
                )
            }
        };
        findings.push(match refused {
            true => place.error(text, remedy),
            false => place.warning(text, remedy),
        });
    }
}

/// Finds pulls that go on far beyond the rev limit, at about twice of it with engine speed counted twice.
pub fn check_scale(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let offered = car.purchases.rev_limits.iter().map(|offered| offered.rpm);
    let limit = offered.fold(car.rev_limit_rpm, f64::max);
    let by_itself = |(index, _): &(usize, f64)| !has_rolled(&test_day.specs[*index]);
    let beyond: Vec<(usize, f64)> = End::Reach
        .each(test_day, compared.iter().copied())
        .filter(|(_, rpm)| *rpm > BEYOND * limit)
        .filter(by_itself)
        .collect();
    let furthest = beyond.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((index, rpm)) = furthest else {
        return;
    };
    let names: Vec<&str> = beyond
        .iter()
        .map(|(index, _)| test_day.specs[*index].name.as_str())
        .collect();
    let (question, remedy) = match TWICE.contains(&(rpm / limit)) {
        true => (
            "does engine speed read double?",
            "if so halve it in the files, as a pick-up that counts two sparks a turn doubles it; else mend `rev_limit` in \
             the car file",
        ),
        false => (
            "is engine speed right, and that limit?",
            "mend `rev_limit` in the car file, or engine speed in the files: a pick-up may count sparks that it should \
             not, or cylinders and strokes be set wrong",
        ),
    };
    let text = format!(
        "the pulls of {} reach {rpm:.0} rpm, {:.1} times the rev limit of {limit:.0}: {question}",
        names.join(" and "),
        rpm / limit
    );
    findings.push(place_of_spec(path, index).warning(text, remedy));
}

/// Finds a spec, of those compared, that was pulled from far above where another was: what the two make
/// below is not compared.
pub fn check_starts(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let specs = || compared.iter().copied();
    let first = End::Begin.each(test_day, specs());
    let first = first.min_by(|a, b| a.1.total_cmp(&b.1));
    let last = End::Begin.shortest(test_day, specs());
    let (Some((first, low)), Some((last, from))) = (first, last) else {
        return;
    };
    let limit = car.rev_limit_rpm;
    if !(LATE.0 * limit..=WITHIN * limit).contains(&from) || from < LATE.1 * low {
        return;
    }
    let name = |index: usize| &test_day.specs[index].name;
    let text = format!(
        "the pulls of {} begin at {from:.0} rpm, those of {} at {low:.0}: what it makes below is a guess",
        name(last),
        name(first)
    );
    let remedy = format!(
        "pull {} from as low, or compare venues where the car stays above",
        name(last)
    );
    findings.push(place_of_spec(path, last).warning(text, remedy));
}

/// Finds a spec, of those compared, whose pulls end before those of another where no rev limit is
/// written: what either makes above is in no lap.
pub fn check_ends(test_day: &TestDay, compared: &[usize], path: &Path, findings: &mut Findings) {
    let specs = || compared.iter().copied();
    let longest = End::Reach.each(test_day, specs());
    let longest = longest.max_by(|a, b| a.1.total_cmp(&b.1));
    let shortest = End::Reach.shortest(test_day, specs());
    let (Some((longest, reach)), Some((shortest, end))) = (longest, shortest) else {
        return;
    };
    let held = end + EXTENSION_RPM;
    if !findings.assumes("rev_limit") || reach <= (FURTHER * end).max(held) {
        return;
    }
    let name = |index: usize| &test_day.specs[index].name;
    let text = format!(
        "the pulls of {} end at {end:.0} rpm, those of {} at {reach:.0}: nothing above {held:.0} rpm \
         is compared",
        name(shortest),
        name(longest)
    );
    let ahead = match leads(test_day, [shortest, longest], end) {
        true => shortest,
        false => longest,
    };
    let double = match TWICE.contains(&(reach / end)) && !has_rolled(&test_day.specs[longest]) {
        true => format!("does engine speed of {} read double? else ", name(longest)),
        false => String::new(),
    };
    let remedy = format!(
        "{double}{} is ahead at {end:.0} rpm, and what it would gain above is left out: pull {} as far; or \
         write the engine's `rev_limit` in the car file, where it revs no further",
        name(ahead),
        name(shortest)
    );
    findings.push(place_of_spec(path, shortest).warning(text, remedy));
}

/// Whether the first of two specs makes more torque than the other at an engine speed.
fn leads(test_day: &TestDay, pair: [usize; 2], rpm: f64) -> bool {
    // Pulls that no curve can be made of are a fault of their own.
    let Ok(reduced) = test_day.reduce() else {
        return false;
    };
    let [first, second] = pair.map(|spec| reduced.specs[spec].curve.torque(rpm));
    first > second
}

/// Where a spec stands in its file.
pub(super) fn place_of_spec(path: &Path, index: usize) -> Place {
    let mut place = None;
    // The file was read without a fault a moment ago.
    yaml::read(path, &mut Findings::new(), |root| {
        let specs = root
            .entries()?
            .into_iter()
            .find(|item| item.name() == "specs")?;
        place = specs.list()?.get(index).map(Place::of);
        Some(())
    });
    place.unwrap_or_else(|| Place::whole(path))
}
