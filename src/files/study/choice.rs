//! Which trim the car goes in at a venue, and whether that trim knows the venue's surfaces.

use super::plan::Wanted;
use crate::car::Car;
use crate::files::car::usual_grip;
use crate::files::finding::{Findings, quoted};
use crate::files::nearest::meant_by;
use crate::files::track::KINDS;
use crate::units;
use crate::venue::{Course, Surface};

/// Index of the trim: the one that is named; else the only one, the one called as the kind of event
/// or as the first surface, or the first, listed as assumed.
pub fn trim(wanted: &Wanted, course: &Course, car: &Car, findings: &mut Findings) -> Option<usize> {
    let index = |name: &str| car.trims.iter().position(|trim| trim.name == name);
    let Some((name, place)) = &wanted.trim else {
        let kind = KINDS
            .iter()
            .find(|(_, kind)| *kind == course.kind)
            .map(|(word, _)| *word);
        let ground = course.surfaces.first();
        let names = [
            ground.map(|s| s.name.as_str()),
            kind,
            ground.map(|s| s.like.as_str()),
        ];
        let fits = names.into_iter().flatten().find_map(index).unwrap_or(0);
        if car.trims.len() > 1 {
            let text = format!("{}: in the trim {}", course.name, car.trims[fits].name);
            findings.push(wanted.track.place.assumed("trim", text));
        }
        return Some(fits);
    };
    let found = index(name);
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
    let trim = &mut car.trims[trim];
    for surface in used(course) {
        if trim.grip.contains_key(&surface.name) || trim.grip.contains_key(&surface.like) {
            continue;
        }
        if let Some(grip) = usual_grip(&surface.like) {
            let text = format!(
                "{}: grip {} on {}",
                trim.name,
                units::plain(grip),
                surface.like
            );
            findings.push(wanted.track.place.assumed("grip", text));
            trim.grip.insert(surface.like.clone(), grip);
            continue;
        }
        let text = format!(
            "the trim {} says no grip for {}, a surface of {}",
            quoted(&trim.name),
            quoted(&surface.like),
            course.name
        );
        let remedy = format!(
            "add it to the tyre, as in `grip: {{{}: 0.60}}`",
            surface.like
        );
        findings.push(wanted.track.place.error(text, remedy));
        sound = false;
    }
    sound
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
