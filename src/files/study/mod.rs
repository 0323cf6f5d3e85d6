//! A study file, or a folder that is one, to a [`Study`]: everything it names is read too, and the
//! faults of all files are found in one go.

mod choice;
mod driver;
mod engine;
mod folder;
mod names;
mod place;
mod plan;
mod pressure;
mod results;
mod revs;
mod rollers;
mod season;
mod twice;

#[cfg(test)]
mod tests;

use std::collections::HashMap;
use std::path::{Path, PathBuf};

pub use choice::{no_grip, unusual_surface};
pub use engine::pulls_end;
pub use place::{known, piece};
pub use revs::counted_twice;

use self::plan::{Named, Place, Plan, Wanted};
use self::rollers::Rollers;
use super::finding::Findings;
use super::folder::files_in;
use super::source::Source;
use super::{car, testday, track};
use crate::car::Habits;
use crate::study::{Entry, Study, roads};
use crate::venue::{Course, builtin};

/// Reads a study from its file, or from a folder that holds one car, one test day and tracks.
/// `None` where any of the files has a fault: then at least one error was added.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Study> {
    let mut found = Findings::new();
    let plan = if path.is_dir() {
        folder::plan(path, &mut found)
    } else {
        plan::read(path, &mut found)
    };
    whole(plan, found, findings)
}

/// As [`read`], of a study file already in memory; the files it names are looked for beside its
/// path.
pub fn decode(source: Source, findings: &mut Findings) -> Option<Study> {
    let mut found = Findings::new();
    let plan = plan::decode(source, &mut found);
    whole(plan, found, findings)
}

/// The study of a plan and what was found with it.
fn whole(plan: Option<Plan>, mut found: Findings, findings: &mut Findings) -> Option<Study> {
    let study = plan.and_then(|plan| gather(&plan, &mut found));
    let sound = !found.has_errors();
    found.sort();
    findings.append(found);
    study.filter(|_| sound)
}

/// Reads what a plan names and fits it together.
fn gather(plan: &Plan, findings: &mut Findings) -> Option<Study> {
    let test_day = plan
        .test_day
        .as_ref()
        .and_then(|named| read_named(named, findings, testday::read));
    let compared = test_day
        .as_ref()
        .and_then(|test_day| choice::specs(plan, test_day, findings));
    let pulls_end = test_day
        .as_ref()
        .and_then(|test_day| engine::pulls_end(test_day, compared.as_deref()));
    let car = plan.car.as_ref().and_then(|named| {
        read_named(named, findings, |path, findings| {
            car::read_beside(path, pulls_end, findings)
        })
    });
    let stand_ins = stand_ins(plan, findings);
    let courses = courses(plan, findings);
    let mut car = car?;
    let compared = match (compared, &test_day) {
        (Some(compared), Some(day)) => season::tagged(plan, compared, day, &mut car, findings),
        _ => None,
    };
    if let Some(test_day) = &test_day {
        season::check_currency(plan, test_day, &car, findings);
    }
    if let (Some(test_day), Some(compared), Some(named)) = (&test_day, &compared, &plan.test_day) {
        let day = (test_day, compared.as_slice());
        let rollers = Rollers::of(&named.path, &car);
        engine::check_range(day.0, day.1, &named.path, &car, &rollers, findings);
        engine::check_scale(day.0, day.1, &named.path, &car, findings);
        engine::check_starts(day.0, day.1, &named.path, &car, findings);
        engine::check_ends(day.0, day.1, &named.path, findings);
        pressure::check(day.0, day.1, &named.path, &car, findings);
        for rollers in rollers {
            let limit = (!findings.assumes("rev_limit")).then_some(car.rev_limit_rpm);
            rollers.check(&car, findings);
            rollers.check_ends(day.0, day.1, limit, findings);
        }
    }
    let mut habits = plan.driver.habits(&plan.path, car.rev_limit_rpm, findings);
    let mut entries = Vec::with_capacity(plan.wanted.len());
    for wanted in &plan.wanted {
        let Some(Some(course)) = courses.get(&wanted.track.path) else {
            continue;
        };
        check_laps(wanted, course, findings);
        check_states(wanted, course, findings);
        if let Some(trim) = choice::trim(wanted, course, &car, findings)
            && choice::grip(wanted, course, &mut car, trim, findings)
        {
            let habits = habits.at(course.kind, findings);
            let asked = revs::counted_twice(&wanted.track.path, course, &car, &car.trims[trim]);
            let other = revs::other_gears(&wanted.track.path, course, &car, &car.trims[trim]);
            asked
                .into_iter()
                .chain(other)
                .for_each(|asked| findings.push(asked));
            entries.push(entry(wanted, course, trim, habits));
        }
    }
    twice::check(plan, &entries, findings);
    names::tell_apart(&plan.wanted, &mut entries, &car, findings);
    for course in &stand_ins {
        let wanted = Wanted::plain(Named::found(plan.path.clone()));
        let trim = choice::trim(&wanted, course, &car, findings)?;
        if choice::grip(&wanted, course, &mut car, trim, findings) {
            let habits = habits.at(course.kind, findings);
            entries.push(entry(&wanted, course, trim, habits));
        }
    }
    for entry in &mut entries {
        entry.course = roads::for_car(&entry.course, &car.trims[entry.trim]);
    }
    let (test_day, compared) = (test_day?, compared?);
    plan.season.assume_fitted(&plan.path, &test_day, findings);
    let rules = plan.season.rules(
        &test_day,
        &compared,
        (&entries, plan.wanted.len()),
        findings,
    )?;
    season::assume_spec(
        plan,
        &entries,
        &test_day,
        (&compared, rules.fitted),
        findings,
    );
    let habitual = plan.driver.habitual(&plan.path, findings);
    Some(Study {
        name: plan.name.clone(),
        car,
        test_day,
        compared,
        entries,
        habitual,
        rules,
    })
}

/// Usual kinds of road where no venue is wanted, with a word that they are nobody's event.
fn stand_ins(plan: &Plan, findings: &mut Findings) -> Vec<Course> {
    if !plan.wanted.is_empty() || findings.has_errors() {
        return Vec::new();
    }
    let text = "no venue is named: the answer is for usual kinds of road, not your event";
    let remedy = "add a track, as in `tracks/mill-lane.yaml`; a sketch of counts takes ten lines";
    findings.push(Place::whole(&plan.path).warning(text, remedy));
    builtin::roads()
}

fn entry(wanted: &Wanted, course: &Course, trim: usize, habits: Habits) -> Entry {
    let mut course = course.clone();
    if let Some((conditions, _)) = &wanted.conditions {
        course.conditions = conditions.clone();
    }
    let laps = wanted.laps.as_ref().map(|(laps, _)| *laps);
    let (name, called) = (
        names::of(wanted, &course),
        names::written(wanted, &course).clone(),
    );
    if let Some(state) = course.sure_state().cloned() {
        course = course.under(&state);
    }
    Entry {
        name,
        called,
        course,
        trim,
        habits,
        passes: wanted.passes,
        laps,
        best_of: wanted.best_of,
        weight: wanted.weight,
        sealed: wanted.sealed,
    }
}

fn check_laps(wanted: &Wanted, course: &Course, findings: &mut Findings) {
    if let Some((_, place)) = &wanted.laps
        && !course.is_closed()
    {
        let text = format!("laps: {} is not driven in laps", course.name);
        findings.push(place.error(text, "say `passes` for runs over the same road"));
    }
}

/// Asks about a state that both the study and a surface say.
fn check_states(wanted: &Wanted, course: &Course, findings: &mut Findings) {
    if let Some((conditions, place)) = &wanted.conditions
        && let Some((text, remedy)) = track::twice(course, conditions)
    {
        findings.push(place.warning(text, remedy));
    }
}

/// Every track that is wanted, each read once.
fn courses(plan: &Plan, findings: &mut Findings) -> HashMap<PathBuf, Option<Course>> {
    let grades = plan.driver.grades.as_ref();
    let mut courses = HashMap::new();
    for Wanted { track: named, .. } in &plan.wanted {
        if !courses.contains_key(&named.path) {
            let mut found = Findings::new();
            let course = read_named(named, &mut found, |path, found| {
                track::read_with(path, grades, found)
            });
            let found = match &course {
                Some(course) => of_venue(found, &course.name),
                None => found,
            };
            findings.opened_for(&found);
            for finding in found {
                // A fault of the driver's own scale stands in the study, for every track alike.
                if !findings.iter().any(|known| *known == finding) {
                    findings.push(finding);
                }
            }
            courses.insert(named.path.clone(), course);
        }
    }
    courses
}

/// What a track assumes holds for its venue alone: its keys end in the venue's name.
fn of_venue(found: Findings, venue: &str) -> Findings {
    let mut renamed = Findings::new();
    renamed.opened_for(&found);
    for mut finding in found {
        finding.key = finding.key.map(|key| format!("{key}.{venue}"));
        renamed.push(finding);
    }
    renamed
}

/// Reads a file; one that is not there, or is none, is a fault of the line that names it.
fn read_named<T>(
    named: &Named,
    findings: &mut Findings,
    reader: impl FnOnce(&Path, &mut Findings) -> Option<T>,
) -> Option<T> {
    if named.path.is_file() {
        return reader(&named.path, findings);
    }
    let mut found = Findings::new();
    let value = reader(&named.path, &mut found);
    for finding in found {
        let text = format!("{}: {}", named.path.display(), finding.text);
        let there = || match files_in(&named.path) {
            Some(there) => format!("name a file: it has {there}"),
            None => "name a file".to_owned(),
        };
        let remedy = finding.remedy.unwrap_or_else(there);
        findings.push(named.place.error(text, remedy));
    }
    value
}
