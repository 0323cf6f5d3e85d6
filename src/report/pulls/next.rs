//! What to pull next, in words, and which pulls count in part.

use super::NEAR_RPM;
use super::Sheet;
use crate::dyno::{Layout, Pull, Step, Stretch};
use crate::report::format::{decimal, rpm};

/// The engine speeds that a spec was not measured at and is wanted at, above or below: those of the band that was asked
/// for, and those of the other specs where its own pulls count in part.
pub fn unmeasured(sheet: &Sheet) -> Vec<(usize, Stretch)> {
    let specs = &sheet.reduced.specs;
    let of = |spec: usize| {
        let others = || (0..specs.len()).filter(move |&other| other != spec);
        let cut = sheet.day.specs[spec].counted();
        let cut = cut
            .filter_map(|(_, pull)| pull.handling.counts)
            .next()
            .is_some();
        let lowest = others().map(|other| specs[other].curve.first_rpm());
        let highest = others().map(|other| specs[other].curve.last_rpm());
        let (from, to) = match cut {
            true => (
                lowest.fold(sheet.band.from_rpm, f64::min),
                highest.fold(sheet.band.to_rpm, f64::max),
            ),
            false => (sheet.band.from_rpm, sheet.band.to_rpm),
        };
        let curve = &specs[spec].curve;
        let stretch = |from_rpm: f64, to_rpm: f64| {
            let wide = to_rpm - from_rpm > NEAR_RPM;
            wide.then_some((spec, Stretch { from_rpm, to_rpm }))
        };
        [
            stretch(from, curve.first_rpm()),
            stretch(curve.last_rpm(), to),
        ]
    };
    (0..specs.len()).flat_map(of).flatten().collect()
}

/// Which pulls count in part.
pub fn in_part(sheet: &Sheet) -> Option<String> {
    let range = |(from, to): (f64, f64)| match (from > 0.0, to < 25_000.0) {
        (true, true) => format!("from {} to {}", rpm(from), rpm(to)),
        (true, false) => format!("from {}", rpm(from)),
        _ => format!("up to {}", rpm(to)),
    };
    let of = |pull: &Pull| Some(format!("{} {}", pull.name, range(pull.handling.counts?)));
    let counted = sheet.day.specs.iter().flat_map(|spec| spec.counted());
    let all: Vec<String> = counted.filter_map(|(_, pull)| of(pull)).collect();
    (!all.is_empty()).then(|| format!("Counts in part: {}.", all.join(", ")))
}

/// Pulls that are wanted where a spec was not measured.
fn missing(sheet: &Sheet) -> Option<String> {
    let of = |(spec, stretch): &(usize, Stretch)| {
        let Stretch { from_rpm, to_rpm } = *stretch;
        let name = sheet.name_of(*spec);
        let above = to_rpm > sheet.reduced.specs[*spec].curve.last_rpm();
        match above {
            true => format!(
                "{name} through to {}, as above {} it is not measured",
                rpm(to_rpm),
                rpm(from_rpm)
            ),
            false => format!(
                "{name} from {} up, as below {} it is not measured",
                rpm(from_rpm),
                rpm(to_rpm)
            ),
        }
    };
    let all: Vec<String> = unmeasured(sheet).iter().map(of).collect();
    (!all.is_empty()).then(|| format!("Next: pull {}.", all.join("; ")))
}

/// What to pull next.
pub fn next(sheet: &Sheet) -> Vec<String> {
    let mut lines = match sheet.is_asked() {
        true => vec![
            "Next: what is asked on standard error; more pulls settle nothing before.".to_owned(),
        ],
        false => {
            let missing = missing(sheet);
            let begin = if missing.is_some() { "Then" } else { "Next" };
            missing.into_iter().chain(steps(sheet, begin)).collect()
        }
    };
    if let Some((difference, layout)) = &sheet.layout {
        lines.push(new_day(*difference, layout));
    }
    lines
}

/// What would narrow the first comparison.
fn steps(sheet: &Sheet, begin: &str) -> Option<String> {
    let first = sheet
        .comparisons
        .first()
        .filter(|_| !sheet.steps.is_empty())?;
    let steps: Vec<String> = sheet
        .steps
        .iter()
        .map(|step| step_words(sheet, step))
        .collect();
    Some(format!(
        "{begin}: {} less {} stands at ± {} %; {}.",
        sheet.name_of(first.first),
        sheet.name_of(first.second),
        decimal(100.0 * first.half_width, 1),
        steps.join("; or ")
    ))
}

/// A new day that shows a difference, or the longest one with what it shows.
fn new_day(difference: f64, layout: &Layout) -> String {
    let tenths = 1e3 * difference;
    let is_tenths = (tenths - tenths.round()).abs() < 1e-6;
    let wanted = decimal(100.0 * difference, if is_tenths { 1 } else { 2 });
    let day = format!(
        "{} fittings of two specs, {}, {} pulls on each, about {} hours",
        layout.order.len(),
        letters(&layout.order).join(" "),
        layout.pulls,
        decimal(layout.hours, 1)
    );
    if layout.shows <= difference {
        return format!("To show {wanted} % in four days of five: {day}.");
    }
    let shown = decimal(100.0 * layout.shows, 2);
    format!("No day of ten fittings shows {wanted} % in four days of five; {day}, show {shown} %.")
}

/// Two specs in order, A and B.
pub fn letters(order: &[usize]) -> Vec<&'static str> {
    order.iter().map(|spec| ["A", "B"][spec % 2]).collect()
}

fn step_words(sheet: &Sheet, step: &Step) -> String {
    let what = match step.refit.as_slice() {
        [] => format!("{} more pulls on what is fitted", step.pulls),
        [one] => format!("fit {} again, {} pulls", sheet.name_of(*one), step.pulls),
        several => {
            let names: Vec<&str> = several.iter().map(|s| sheet.name_of(*s)).collect();
            format!(
                "fit {} again, {} pulls each",
                names.join(", then "),
                step.pulls
            )
        }
    };
    format!(
        "{} ({} h): ± {} %",
        what,
        decimal(step.hours, 1),
        decimal(100.0 * step.half_width, 1)
    )
}
