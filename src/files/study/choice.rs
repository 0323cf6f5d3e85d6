//! Which specs are compared, which trim the car goes in at a venue, and whether that trim knows the
//! venue's surfaces.

use std::path::Path;

use super::plan::{Place, Plan, Wanted};
use crate::car::{Car, Trim};
use crate::dyno::TestDay;
use crate::files::car::{USUAL_SURFACES, grip_in_words, usual_grip};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::nearest::meant_by;
use crate::files::track::{self, KINDS};
use crate::study::usual;
use crate::venue::{Course, Surface};

/// Indices of the specs to compare, in the order the study names them; all where it names none.
/// `None` after a fault.
pub fn specs(plan: &Plan, test_day: &TestDay, findings: &mut Findings) -> Option<Vec<usize>> {
    let all = || 0..test_day.specs.len();
    let Some(named) = &plan.specs else {
        return Some(all().collect());
    };
    let mut chosen: Vec<usize> = Vec::new();
    let before = findings.errors();
    for (name, place) in named {
        match test_day.spec(name) {
            Some(index) if chosen.contains(&index) => {
                let text = format!("specs: {} is named twice", quoted(name));
                findings.push(place.error(text, "name each spec once"));
            }
            Some(index) => chosen.push(index),
            None => {
                let names = || test_day.specs.iter().map(|spec| spec.name.as_str());
                let parts: Vec<&str> = name.split(',').map(str::trim).collect();
                let several =
                    parts.len() > 1 && parts.iter().all(|part| names().any(|n| n == *part));
                let listed = || format!("its specs: {}", names().collect::<Vec<_>>().join(", "));
                let remedy = match several {
                    true => format!("several specs are a list: write `[{}]`", parts.join(", ")),
                    false => meant_by(name, names()).unwrap_or_else(listed),
                };
                let text = format!("the test day has no spec {}", quoted(name));
                findings.push(place.error(text, remedy));
            }
        }
    }
    if chosen.is_empty() && findings.errors() == before {
        chosen.extend(all());
    }
    (findings.errors() == before).then_some(chosen)
}

/// Index of the trim: the one that is named, otherwise the one that would be taken, listed as assumed.
pub fn trim(wanted: &Wanted, course: &Course, car: &Car, findings: &mut Findings) -> Option<usize> {
    let Some((name, place)) = &wanted.trim else {
        let kind = KINDS.iter().find(|(_, kind)| *kind == course.kind);
        let fits = usual::trim(car, course, kind.map_or("", |(word, _)| word));
        if car.trims.len() > 1 {
            let text = format!("{}: in the trim {}", course.name, car.trims[fits].name);
            findings.push(wanted.track.place.assumed("trim", text));
        }
        return Some(fits);
    };
    let found = car.trims.iter().position(|trim| trim.name == *name);
    if found.is_none() {
        let names = || car.trims.iter().map(|trim| trim.name.as_str());
        let remedy = meant_by(name, names())
            .unwrap_or_else(|| format!("its trims: {}", names().collect::<Vec<_>>().join(", ")));
        let text = format!("{} has no trim {}", car.name, quoted(name));
        findings.push(place.error(text, remedy));
    }
    found
}

/// Makes sure that a trim has grip on every surface the course uses: usual grip is added and listed
/// as assumed where there is such a thing; `false` after a fault.
pub fn grip(
    wanted: &Wanted,
    course: &Course,
    car: &mut Car,
    trim: usize,
    findings: &mut Findings,
) -> bool {
    let mut sound = true;
    for surface in used(course) {
        let text = format!(
            "driven tyres at their limit slip by {:.0} % on {} roads",
            100.0 * usual::slip(surface),
            if usual::is_loose(&surface.like) {
                "loose"
            } else {
                "paved"
            }
        );
        if !findings.of(Severity::Assumed).any(|f| f.text == text) {
            findings.push(wanted.track.place.assumed("slip", text));
        }
    }
    let trim = &mut car.trims[trim];
    for surface in used(course) {
        if trim.grip.contains_key(&surface.name) || trim.grip.contains_key(&surface.like) {
            continue;
        }
        if let Some(grip) = usual_grip(&surface.like) {
            let text = format!("{}: {}", trim.name, grip_in_words(&surface.like, grip));
            findings.push(
                wanted
                    .track
                    .place
                    .assumed(&format!("grip.{}", surface.like), text),
            );
            trim.grip.insert(surface.like.clone(), grip);
            continue;
        }
        findings.push(no_grip(&wanted.track.path, surface, trim, &course.name));
        sound = false;
    }
    sound
}

/// The fault of a surface that a track names, for which a trim has no grip and nothing is usual.
pub fn no_grip(track: &Path, surface: &Surface, trim: &Trim, venue: &str) -> Finding {
    let like = &surface.like;
    let named = track::surface(track, like);
    let place = named.map_or_else(|| Place::whole(track), Place::from);
    let own = trim.grip.keys().map(String::as_str);
    let usual = USUAL_SURFACES
        .into_iter()
        .filter(|usual| !trim.grip.contains_key(*usual));
    let remedy = meant_surface(surface, usual.chain(own)).unwrap_or_else(|| {
        format!(
            "if it is meant, add it to the tyre in the car file, as in `grip: {{{}: 0.60}}`",
            as_key(like)
        )
    });
    let text = format!(
        "{venue}: {} is no usual surface, and the trim {} has no grip for it",
        quoted(like),
        quoted(&trim.name)
    );
    place.error(text, remedy)
}

/// A warning of a surface that is none of the usual ones, where no car is at hand that may know it.
pub fn unusual_surface(track: &Path, surface: &Surface) -> Finding {
    let named = track::surface(track, &surface.like);
    let place = named.map_or_else(|| Place::whole(track), Place::from);
    let text = format!(
        "{} is no usual surface: only a car with grip for it drives here",
        quoted(&surface.like)
    );
    let remedy = meant_surface(surface, USUAL_SURFACES.into_iter())
        .unwrap_or_else(|| format!("usual ones: {}", USUAL_SURFACES.join(", ")));
    Finding {
        severity: Severity::Warning,
        ..place.error(text, remedy)
    }
}

/// The question whether another surface is meant, in the state that is written before it.
fn meant_surface<'a>(surface: &Surface, known: impl Iterator<Item = &'a str>) -> Option<String> {
    let state = surface.name.strip_suffix(surface.like.as_str());
    let state = state.unwrap_or_default().to_lowercase();
    let known: Vec<String> = known.map(|known| format!("{state}{known}")).collect();
    let written = format!("{state}{}", surface.like);
    meant_by(&written, known.iter().map(String::as_str))
}

/// A name as a key in braces: in quotes where a mark in it would be YAML's own.
fn as_key(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
    if name.chars().all(plain) && name.starts_with(char::is_alphanumeric) {
        name.to_owned()
    } else {
        format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
    }
}

/// The surfaces that sections of the course lie on.
fn used(course: &Course) -> impl Iterator<Item = &Surface> {
    let uses = |index: usize| {
        course
            .sections
            .iter()
            .any(|section| section.surface == index)
    };
    course
        .surfaces
        .iter()
        .enumerate()
        .filter(move |(i, _)| uses(*i))
        .map(|(_, s)| s)
}
