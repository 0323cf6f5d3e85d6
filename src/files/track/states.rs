//! Surfaces whose name says a state, such as `wet tarmac`, beside conditions that say one too.

use super::ground::{factor_of, usual_state};
use super::path::said;
use crate::files::finding::quoted;
use crate::files::yaml::Map;
use crate::venue::{Condition, Course, Surface, plan};

/// Share of the length from which on a surface is that of the venue, and no wet patch of it.
const MOST: f64 = 0.5;

/// Asks about a track that says its state twice.
pub(super) fn ask(map: &Map, course: &Course) {
    if let Some(item) = map.take("conditions")
        && let Some((text, remedy)) = twice(course, &course.conditions)
    {
        item.warning(text, remedy);
    }
    let Some((item, known)) = map.take("known").zip(course.known.as_ref()) else {
        return;
    };
    let name = known.condition.as_ref();
    let own = |name: &&String| course.conditions.iter().all(|c| c.name != **name);
    if let Some(name) = name.filter(own)
        && let Some((text, _)) = twice(course, &[sure(name, known.grip)])
    {
        let remedy =
            "leave `conditions` out where the time was done on the surface as it is written";
        said(&item, "conditions").warning(text, remedy);
    }
}

fn sure(name: &str, factor: f64) -> Condition {
    Condition {
        name: name.to_owned(),
        factor,
        chance: 1.0,
        assumed: false,
    }
}

/// What is said of conditions that count a state which the surface of most of the venue says already, and what
/// would be right.
pub fn twice(course: &Course, conditions: &[Condition]) -> Option<(String, String)> {
    let surface = stated(course)?;
    let mut likely = conditions.iter().filter(|state| state.chance > 0.0);
    let state = likely.find(|state| counts_again(surface, state))?;
    let (word, _) = usual_state(&surface.name)?;
    let again = match state.factor == 1.0 {
        true => "leaves it so".to_owned(),
        false => format!("takes {} of that once more", state.factor),
    };
    let text = format!(
        "{}: the surface {} is {word} already, with {} of the grip of {}, and the condition {} {again}",
        course.name,
        quoted(&surface.name),
        surface.factor,
        surface.like,
        quoted(&state.name)
    );
    let remedy = format!(
        "write `surface: {}` in its track file and leave its state to `conditions`, or leave `conditions` out; a grip \
         over that of {} is written as in `{}: {{chance: {:.0} %, factor: {}}}`",
        surface.like,
        surface.name,
        state.name,
        100.0 * state.chance,
        (100.0 * over(surface, state)).round() / 100.0
    );
    Some((text, remedy))
}

/// Whether the surface of most of a venue says this state itself.
pub fn said_by_surface(course: &Course, state: &str) -> bool {
    let word = stated(course).and_then(|surface| usual_state(&surface.name));
    word.is_some_and(|(word, _)| word == state.to_lowercase())
}

/// The surface that most of the venue lies on, where its name says a state with less grip than the dry.
fn stated(course: &Course) -> Option<&Surface> {
    let mut lengths = vec![0.0; course.surfaces.len()];
    for section in &course.sections {
        if let Some(length) = lengths.get_mut(section.surface) {
            *length += plan::length(section, plan::lateral(course, section));
        }
    }
    let whole: f64 = lengths.iter().sum();
    let says = |surface: &Surface| surface.factor < 1.0 && usual_state(&surface.name).is_some();
    let mut longest = course.surfaces.iter().zip(lengths);
    let found = longest.find(|(surface, length)| says(surface) && *length > MOST * whole);
    found.map(|(surface, _)| surface)
}

/// Grip in a state over grip on a surface that says its own: 1 for the same state. 0 where the state is not known.
fn over(surface: &Surface, state: &Condition) -> f64 {
    factor_of(&state.name).map_or(0.0, |usual| usual / surface.factor)
}

/// Whether a state is counted over the dry, and not over the surface as it is written.
fn counts_again(surface: &Surface, state: &Condition) -> bool {
    let Some(usual) = factor_of(&state.name) else {
        return false;
    };
    let off = |right: f64| (state.factor / right).ln().abs();
    off(usual) < off(over(surface, state))
}
