//! Whether an engine of its size makes the torque that the pulls show.

use std::path::Path;

use super::engine::place_of_spec;
use crate::car::Car;
use crate::dyno::{Breathing, Spec, TestDay};
use crate::files::finding::{Finding, Findings};
use crate::files::testday::THROUGH_THE_GEARS;
use crate::units::{POUND_FOOT, RPM_PER_RAD_PER_S, plain};

/// Brake mean effective pressure above which a four-stroke without boost is asked about, with boost, and
/// below which any is, bar (common practice, no source): they reach some 14, 30 and hardly less than 5.
const MOST_NATURAL: f64 = 16.0;
const MOST_BOOSTED: f64 = 45.0;
const LEAST: f64 = 3.0;
/// What is usual of engines without boost and with it, bar (common practice, no source).
const USUAL_NATURAL: (f64, f64) = (7.0, 14.0);
const USUAL_BOOSTED: (f64, f64) = (7.0, 30.0);
/// Power over the mass of the car that is asked about where the engine's size is not known, W/kg (common
/// practice, no source): cars of hill climbs stay below.
const MOST_SPECIFIC: f64 = 350.0;
/// Pascals of a bar.
const BAR: f64 = 1e5;

/// The highest torque of a spec.
struct Peak {
    spec: usize,
    torque: f64,
}

/// Asks about the spec, of those compared, whose torque is furthest from what an engine of its size makes;
/// where the size is not known, about power that no such car has.
pub fn check(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let Some(size) = car.engine else {
        return specific(test_day, compared, path, car, findings);
    };
    let natural = test_day.engine.breathing == Breathing::Natural;
    let most = if natural { MOST_NATURAL } else { MOST_BOOSTED };
    let peaks: Vec<Peak> = compared
        .iter()
        .filter_map(|&spec| peak(test_day.specs.get(spec)?, spec))
        .collect();
    let pressure = |peak: &Peak| size.mean_effective_pressure(peak.torque) / BAR;
    let odd = |peak: &&Peak| !(LEAST..=most).contains(&pressure(peak));
    let Some(first) = peaks.iter().find(odd) else {
        return;
    };
    let others = match peaks.iter().filter(odd).count() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    let bar = pressure(first);
    let known = match (bar < LEAST, natural) {
        (true, _) => "hardly an engine makes less than 5",
        (false, true) => "engines without boost reach some 14",
        (false, false) => "engines with boost reach some 30",
    };
    let text = format!(
        "{}{others}: {:.0} N·m of {:.0} cm³ are a mean effective pressure of {} bar, and {known}",
        test_day.specs[first.spec].name,
        first.torque,
        1e6 * size.displacement(),
        plain(bar)
    );
    let mut may_be = explanations(bar, natural, car);
    may_be.push("mend `engine` in the car file; right as it is for a two-stroke".to_owned());
    findings.push(place_of_spec(path, first.spec).warning(text, may_be.join("; or ")));
}

/// What would bring a pressure in bar to what is usual.
fn explanations(bar: f64, natural: bool, car: &Car) -> Vec<String> {
    let (low, high) = if natural {
        USUAL_NATURAL
    } else {
        USUAL_BOOSTED
    };
    let fits = |factor: f64| (low..=high).contains(&(bar * factor));
    let mut may_be = Vec::new();
    if bar < LEAST {
        if fits(10.0) {
            let text = "ten times too low, or in kgf·m? write 200 for 20, or the unit";
            may_be.push(text.to_owned());
        }
        return may_be;
    }
    if fits(0.1) {
        may_be.push("ten times too high? write 200 for 2000".to_owned());
    }
    let totals = car.gearbox.ratios.iter().enumerate();
    let through = totals
        .map(|(gear, ratio)| (gear + 1, ratio * car.final_drive.ratio))
        .filter(|(_, total)| fits(1.0 / total))
        .map(|(gear, total)| format!("{} in gear {gear}", plain(total)));
    let through: Vec<String> = through.collect();
    if !through.is_empty() {
        may_be.push(format!(
            "at the wheels, through the gears? give power in place of torque, or divide by gear times final \
             drive: {}",
            through.join(", ")
        ));
    }
    if natural && bar <= MOST_BOOSTED {
        let text = "boosted? say `engine: {breathing: turbocharged}` in the test day";
        may_be.push(text.to_owned());
    }
    if fits(1.0 / POUND_FOOT) {
        may_be.push("N·m under the heading lb-ft? write the unit".to_owned());
    }
    may_be
}

/// Asks about power that is much for the mass of the car in its first trim.
fn specific(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let Some(trim) = car.trims.first() else {
        return;
    };
    let power = |&spec: &usize| {
        let powers = points(test_day.specs.get(spec)?).map(|(n, t)| n * t / RPM_PER_RAD_PER_S);
        Some((spec, powers.fold(0.0, f64::max)))
    };
    let most = compared.iter().filter_map(power);
    let Some((spec, power)) = most.max_by(|a, b| a.1.total_cmp(&b.1)) else {
        return;
    };
    let is_asked = |f: &Finding| f.text.ends_with(THROUGH_THE_GEARS);
    if power <= MOST_SPECIFIC * trim.mass || findings.iter().any(is_asked) {
        return;
    }
    let text = format!(
        "{}: {:.0} kW in {:.0} kg: is this torque at the wheels, through the gears, or in another unit?",
        test_day.specs[spec].name,
        power / 1e3,
        trim.mass
    );
    let remedy = "if so give power in place of torque, or divide by gear times final drive; with `engine: {bore: \
                  86 mm, stroke: 86 mm, cylinders: 4}` in the car file torque is held against the engine's size";
    findings.push(place_of_spec(path, spec).warning(text, remedy));
}

/// The points of the pulls of a spec that count: rpm and N·m.
fn points(spec: &Spec) -> impl Iterator<Item = (f64, f64)> {
    let counting = spec.counted().map(|(_, pull)| pull);
    counting.flat_map(|pull| pull.rpm.iter().copied().zip(pull.torque.iter().copied()))
}

fn peak(spec: &Spec, index: usize) -> Option<Peak> {
    let torques = points(spec).map(|(_, torque)| torque);
    torques.max_by(f64::total_cmp).map(|torque| Peak {
        spec: index,
        torque,
    })
}
