//! Whether the pulls of a day were measured at one place, and where the day says.
//!
//! Nothing here is corrected: each warning is a question.

use super::alike::{SPECS_APART, heading, ratios};
use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::{Curve, Dyno, MeasuredAt};
use crate::files::finding::{Severity, quoted};
use crate::files::pulls::hubs_or_wheels;

/// Words in a heading that say where torque is measured.
const AT_WHEELS: [&str; 4] = ["wheel", "whp", "wtq", "hub"];
const AT_FLYWHEEL: [&str; 3] = ["flywheel", "crank", "engine"];
/// Share of an engine's torque that a driveline leaves of it, and how evenly over engine speed: most over least (common
/// practice, no source). Specs further apart are asked about elsewhere.
const LEFT: std::ops::RangeInclusive<f64> = 1.0 / SPECS_APART..=0.90;
const EVEN: f64 = 1.06;

/// Asks about a heading that says another place than that of another spec, or than the day does.
pub fn check(dyno: &Dyno, specs: &[FoundSpec]) {
    let at_flywheel = matches!(
        dyno.measured_at,
        MeasuredAt::Flywheel | MeasuredAt::FlywheelEstimated
    );
    if !apart(at_flywheel, specs) && !unlike_day(at_flywheel, specs) {
        driveline(specs);
    }
}

/// Whether words say the flywheel, or else the wheels; `None` where they say neither, or both.
fn place_in(text: &str) -> Option<bool> {
    // `Nm (wheels, per engine rev)` is of the wheels.
    let text = text.to_lowercase().replace("engine rev", "");
    let wheels = text.replace("flywheel", "");
    let at_wheels = AT_WHEELS.iter().any(|word| wheels.contains(word));
    let at_flywheel = AT_FLYWHEEL.iter().any(|word| text.contains(word));
    (at_wheels != at_flywheel).then_some(at_flywheel)
}

/// The place that the heading of what is read says.
fn own_place(found: &FoundPull) -> Option<bool> {
    let measured = &found.measured;
    place_in(&format!("{} {}", measured.name, measured.unit))
}

/// The place that a file says, and the heading that says so: that of what is read, else that of power or torque beside it.
fn place(found: &FoundPull) -> Option<(bool, String)> {
    let own = own_place(found).map(|place| (place, heading(found)));
    own.or_else(|| {
        let beside = found.measured.beside.as_ref()?;
        Some((place_in(beside)?, quoted(beside)))
    })
}

/// Asks about two files that say different places; whether there are such.
fn apart(at_flywheel: bool, specs: &[FoundSpec]) -> bool {
    let first = |wanted: bool| {
        let pulls = specs
            .iter()
            .flat_map(|spec| spec.pulls().map(move |found| (spec, found)));
        pulls
            .filter_map(|(spec, found)| Some((spec, found, place(found)?)))
            .find(|(_, _, (place, _))| *place == wanted)
    };
    let (Some((spec, found, (_, shown))), Some((other_spec, other, (_, other_shown)))) =
        (first(!at_flywheel), first(at_flywheel))
    else {
        return false;
    };
    let text = format!(
        "{shown} in {} of {}, and {other_shown} in {} of {}: measured at different places, which do not compare",
        found.file(),
        spec.name,
        other.file(),
        other_spec.name
    );
    let remedy =
        "give all pulls from one place; at the wheels the driveline's losses are taken off already";
    found.ask(text, remedy);
    true
}

/// Asks about the first heading that says another place than the day does; whether there is one.
fn unlike_day(at_flywheel: bool, specs: &[FoundSpec]) -> bool {
    let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
    let Some(found) = pulls.find(|found| own_place(found) == Some(!at_flywheel)) else {
        return false;
    };
    let day = if at_flywheel { "flywheel" } else { "wheels" };
    let shown = heading(found);
    let text = format!("{shown}, and the day takes it for measured at the {day}");
    let place = hubs_or_wheels(&shown);
    let remedy = match at_flywheel {
        true => format!(
            "say where it was measured, as in `dyno: {{measures: {place}}}`: at the {place} the driveline's \
             losses are taken off already"
        ),
        false => "say where it was measured, as in `dyno: {measures: flywheel}`, or `flywheel estimated` where \
                  the dyno added the losses"
            .to_owned(),
    };
    found.tell(Severity::Warning, text, remedy);
    true
}

/// Asks about a spec that says no place and lies off one that does by what a driveline takes.
fn driveline(specs: &[FoundSpec]) {
    let firsts = specs.iter().filter_map(|spec| {
        let found = spec.counting().next()?;
        let curve = Curve::new(found.pull.rpm.clone(), found.pull.torque.clone()).ok()?;
        Some((spec, found, curve))
    });
    let firsts: Vec<(&FoundSpec, &FoundPull, Curve)> = firsts.collect();
    let says = |spec: &FoundSpec| spec.pulls().find_map(place);
    for (said, at, known) in &firsts {
        let Some((at_flywheel, shown)) = says(said) else {
            continue;
        };
        let off = firsts.iter().find_map(|(other, found, curve)| {
            let alike = found.pull.corrected == at.pull.corrected;
            if says(other).is_some() || !alike {
                return None;
            }
            let (behind, before) = if at_flywheel {
                (curve, known)
            } else {
                (known, curve)
            };
            let (least, most) = ratios(behind, before);
            let left = LEFT.contains(&least) && LEFT.contains(&most) && most < EVEN * least;
            left.then_some((*other, *found, least, most))
        });
        let Some((other, found, least, most)) = off else {
            continue;
        };
        let (place, elsewhere) = match at_flywheel {
            true => ("flywheel", "wheels"),
            false => (hubs_or_wheels(&shown), "flywheel"),
        };
        let (less, more) = if at_flywheel {
            (other, *said)
        } else {
            (*said, other)
        };
        let text = format!(
            "{shown} of {} is measured at the {place}, {} of {} says no place, and {} has {least:.2} to {most:.2} times the \
             torque of {}, as a driveline leaves: was {} measured at the {elsewhere}?",
            said.name,
            heading(found),
            other.name,
            less.name,
            more.name,
            other.name
        );
        let remedy =
            "if so give all pulls from one place; if both are from one, nothing is to be done";
        return found.ask(text, remedy);
    }
}
