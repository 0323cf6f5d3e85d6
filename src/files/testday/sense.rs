//! Figures that an engine hardly has, and pulls that hardly belong together.

use super::alike;
use super::ends;
use super::fittings::{FoundPull, FoundSpec};
use super::gear;
use super::logged;
use super::places;
use super::revs;
use crate::dyno::{Dyno, Engine, MeasuredAt};
use crate::files::finding::Severity;
use crate::units::{HORSEPOWER, RPM_PER_RAD_PER_S};

/// Torque over that of another pull of the day from which they cannot be the same engine's.
const TOO_FAR_APART: f64 = 1.8;
/// Times the torque that no part makes of an engine: such a day is no comparison.
const IMPOSSIBLE: f64 = 3.0;
/// Points from which two pulls that agree to the last digit are one: sheets of a few rounded figures may well
/// agree.
const TELLING: usize = 20;
/// Power at wheels or hubs, and at the flywheel, from which torque is asked about, W.
const MUCH: f64 = 450e3;
const MUCH_AT_FLYWHEEL: f64 = 600e3;
/// What is asked of such power.
pub const THROUGH_THE_GEARS: &str = "is this torque at the wheels, through the gears?";

/// Warns of pulls that make no sense beside the others, or with what is said of the day.
pub fn check(dyno: &Dyno, engine: &Engine, specs: &[FoundSpec]) {
    let named: Vec<(&FoundSpec, &FoundPull)> = specs
        .iter()
        .flat_map(|spec| spec.counting().map(move |found| (spec, found)))
        .collect();
    let pulls: Vec<&FoundPull> = named.iter().map(|(_, found)| *found).collect();
    let widest = logged::widest(&pulls).map(|(_, most)| most);
    let open = |found: &FoundPull| !widest.is_some_and(|most| logged::is_less_open(found, most));
    let full: Vec<(&FoundSpec, &FoundPull)> = named
        .iter()
        .copied()
        .filter(|(_, found)| open(found))
        .collect();
    let mut told = revs::check(specs, open);
    told.extend(gear::check(specs, open, &told));
    if !told.is_empty() || !levels(&full) {
        alike::check(specs, open, &told);
        power(&named, dyno.measured_at);
    }
    places::check(dyno, specs);
    alike::corrections(specs);
    alike::factors(specs);
    ends::check(specs, &told);
    twice(specs);
    refitted(specs);
    weights(specs);
    logged::check(engine, &pulls);
}

/// Sets long pulls aside that are copies of another of their fitting, and asks about short ones: pulls
/// that agree to the last digit would make all look surer than they are.
pub fn set_copies_aside(specs: &mut [FoundSpec]) {
    for fitting in specs.iter_mut().flat_map(|spec| &mut spec.fittings) {
        for later in 1..fitting.pulls.len() {
            let pulls = &fitting.pulls;
            let counts = |at: &usize| pulls[*at].pull.counts();
            let alike = |at: &usize| counts(at) && same(&pulls[*at], &pulls[later]);
            let Some(earlier) = (0..later).find(|at| counts(&later) && alike(at)) else {
                continue;
            };
            // A system that copies a file puts its mark behind the name.
            let name = |at: usize| pulls[at].pull.name.as_str();
            let marked = name(earlier) != name(later) && name(earlier).starts_with(name(later));
            let (original, copy) = match marked {
                true => (name(later).to_owned(), earlier),
                false => (name(earlier).to_owned(), later),
            };
            set_copy_aside(&mut fitting.pulls[copy], &original);
        }
    }
}

fn set_copy_aside(copy: &mut FoundPull, original: &str) {
    let telling = copy.pull.rpm.len() >= TELLING;
    let so = match telling {
        true => ", so it is counted once",
        false => ": a copy?",
    };
    let text = format!("{}: the same figures as {original}{so}", copy.pull.name);
    let remedy = "two pulls hardly ever agree to the last digit: name the file of the other one, or \
                  take the copy out";
    copy.item.warning(text, remedy);
    if telling {
        copy.pull.set_aside = Some(format!("a copy of {original}"));
    }
}

/// Whether two pulls have the same figures, corrected to the same.
fn same(one: &FoundPull, other: &FoundPull) -> bool {
    let (one, other) = (&one.pull, &other.pull);
    one.rpm == other.rpm && one.torque == other.torque && one.corrected == other.corrected
}

/// The same figures in two fittings of a spec are one file named twice; the first such is told.
fn refitted(specs: &[FoundSpec]) {
    for spec in specs {
        for (index, fitting) in spec.fittings.iter().enumerate() {
            let earlier = || spec.fittings[..index].iter().flat_map(|f| &f.pulls);
            let copied = |found: &&FoundPull| earlier().any(|other| same(other, found));
            let Some(found) = fitting.pulls.iter().find(copied) else {
                continue;
            };
            let text = format!(
                "{}: the same figures stand in another fitting of {} already",
                found.pull.name, spec.name
            );
            let remedy =
                "name the pulls of this fitting: a copy tells nothing of how far refits scatter";
            return found.item.warning(text, remedy);
        }
    }
}

/// The same figures for two specs are one file named twice.
fn twice(specs: &[FoundSpec]) {
    for (index, spec) in specs.iter().enumerate() {
        for found in spec.pulls() {
            let mut earlier = specs[..index].iter();
            let is_same = |pull: &FoundPull| same(pull, found);
            let Some(other) = earlier.find(|other| other.pulls().any(is_same)) else {
                continue;
            };
            let text = format!(
                "{}: the same figures stand for {} already",
                spec.call(found),
                other.name
            );
            let remedy = format!(
                "name the pulls of {}, or take one of the two out",
                spec.name
            );
            found.item.ask(text, remedy);
            return;
        }
    }
}

/// Two pulls of one engine whose torque is far apart are not measured at the same place. Whether
/// there are such.
fn levels(pulls: &[(&FoundSpec, &FoundPull)]) -> bool {
    // Of the middle, which one wrong figure does not move.
    let level = |(_, found): &&(&FoundSpec, &FoundPull)| {
        let mut torque = found.pull.torque.clone();
        torque.sort_by(f64::total_cmp);
        torque[torque.len() / 2]
    };
    let highest = pulls.iter().max_by(|a, b| level(a).total_cmp(&level(b)));
    let lowest = pulls.iter().min_by(|a, b| level(a).total_cmp(&level(b)));
    let (Some(highest), Some(lowest)) = (highest, lowest) else {
        return false;
    };
    let ratio = level(&highest) / level(&lowest);
    let (high, low) = (highest.0.call(highest.1), lowest.0.call(lowest.1));
    let apart = ratio > TOO_FAR_APART;
    if apart {
        let rolled = [highest, lowest].map(|one| one.1.pull.handling.road_speed.is_some());
        let (gear, first) = match rolled.contains(&true) {
            true => (
                "in another gear, ",
                "write in each spec what 1,000 rpm are in its gear, `speed_per_1000_rpm`; else ",
            ),
            false => ("", ""),
        };
        let text = format!(
            "{high} has {ratio:.1} times the torque of {low}: one is {gear}at the wheels, through the gears, or \
             in another unit",
        );
        let (severity, rest) = match ratio > IMPOSSIBLE {
            true => (Severity::Error, ""),
            false => (
                Severity::Warning,
                "; if the engine really makes so much, nothing is to be done",
            ),
        };
        let remedy = format!(
            "{first}give power in place of torque, or divide by gear times final drive{rest}"
        );
        match severity {
            Severity::Warning => highest.1.ask(text, remedy),
            _ => highest.1.tell(severity, text, remedy),
        }
    }
    apart
}

/// Masses of specs are told apart from the lightest: of one alone nothing follows.
fn weights(specs: &[FoundSpec]) {
    let weighed = specs
        .iter()
        .filter_map(|spec| Some((spec, spec.mass.as_ref()?)));
    let lightest = weighed.min_by(|a, b| a.1.0.total_cmp(&b.1.0));
    let without: Vec<&str> = specs
        .iter()
        .filter(|spec| !spec.is_weighed)
        .map(|spec| spec.name.as_str())
        .collect();
    let (Some((lightest, (_, at))), [_, ..]) = (lightest, &without[..]) else {
        return;
    };
    let without = without.join(", ");
    let text = format!(
        "no mass of {without}: taken to weigh as much as {}",
        lightest.name
    );
    at.warning(
        text,
        "write the mass of each spec, 0 kg for one that adds nothing",
    );
}

/// Torque at the wheels that no gears were taken out of, where there is no power to tell, or figures ten
/// times too high.
fn power(pulls: &[(&FoundSpec, &FoundPull)], at: MeasuredAt) {
    let (much, question, remedy) = match at {
        MeasuredAt::Flywheel => (
            MUCH_AT_FLYWHEEL,
            "is the unit right, the decimal point, the constant of the brake?",
            "correct it; if the engine really makes so much, nothing is to be done",
        ),
        _ => (
            MUCH,
            THROUGH_THE_GEARS,
            "if so give power in place of torque, or divide by gear times final drive",
        ),
    };
    let peak = |(_, found): &&(&FoundSpec, &FoundPull)| {
        let points = found.pull.rpm.iter().zip(&found.pull.torque);
        points.fold(0.0, |most, (n, t)| {
            f64::max(most, n * t / RPM_PER_RAD_PER_S)
        })
    };
    let most = pulls.iter().max_by(|a, b| peak(a).total_cmp(&peak(b)));
    if let Some(most) = most.filter(|found| peak(found) > much) {
        let mut others: Vec<&str> = pulls
            .iter()
            .filter(|one| one.0.name != most.0.name && peak(one) > much)
            .map(|one| one.0.name.as_str())
            .collect();
        others.dedup();
        let others = match others.is_empty() {
            true => String::new(),
            false => format!(", {} more than {:.0} kW too", others.join(", "), much / 1e3),
        };
        let text = format!(
            "{} makes {:.0} kW ({:.0} bhp){others}: {question}",
            most.0.call(most.1),
            peak(&most) / 1e3,
            peak(&most) / HORSEPOWER
        );
        most.1.item.warning(text, remedy);
    }
}
