//! Pulls of a spec that were made in another gear than the day says.
//!
//! Engine speed that is made of road speed is then off by the ratio of the two gears, and torque, made of power,
//! by its inverse; torque read at the wheels is off the same way or the other.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::Curve;
use crate::files::finding::Severity;

/// Ratio of two gears at least: nearer ones stand in no gearbox (common practice, no source).
const NEAREST_GEARS: f64 = 1.08;
/// How far the ratios at both ends of a pull may differ: it begins and ends by a person's foot.
const ENDS: f64 = 0.06;
/// How far torque may lie off the ratio, ln τ, and how evenly it must, sd.
const NEAR: f64 = 0.04;
const EVEN: f64 = 0.025;

/// Asks about pulls in another gear; the names of the specs that have such.
pub fn check(specs: &[FoundSpec], open: impl Fn(&FoundPull) -> bool) -> Vec<String> {
    let pulls: Vec<(&FoundSpec, Vec<(&FoundPull, Curve)>)> = specs
        .iter()
        .map(|spec| (spec, curves(spec, &open)))
        .collect();
    let all = pulls.iter().flat_map(|(_, own)| own);
    let mut ends: Vec<f64> = all.map(|(_, curve)| curve.last_rpm()).collect();
    ends.sort_by(f64::total_cmp);
    let Some(&usual) = ends.get(ends.len().saturating_sub(1) / 2) else {
        return Vec::new();
    };
    let asked = pulls.iter().filter(|(_, own)| ask(own, usual));
    asked.map(|(spec, _)| spec.name.clone()).collect()
}

/// The pulls of a spec that count.
fn curves<'s, 'a>(
    spec: &'s FoundSpec<'a>,
    open: &impl Fn(&FoundPull) -> bool,
) -> Vec<(&'s FoundPull<'a>, Curve)> {
    let counting = spec
        .pulls()
        .filter(|found| found.pull.set_aside.is_none() && open(found));
    counting
        .filter_map(|found| {
            let pull = &found.pull;
            Some((
                found,
                Curve::new(pull.rpm.clone(), pull.torque.clone()).ok()?,
            ))
        })
        .collect()
}

/// Asks about those unlike the one that ends nearest to where pulls of the day do; whether there are any.
fn ask(own: &[(&FoundPull, Curve)], usual: f64) -> bool {
    let off = |curve: &Curve| (curve.last_rpm() / usual).ln().abs();
    let Some((base, reference)) = own.iter().min_by(|a, b| off(&a.1).total_cmp(&off(&b.1))) else {
        return false;
    };
    let others = own.iter();
    let odd: Vec<(&FoundPull, (f64, f64))> = others
        .filter_map(|(found, curve)| Some((*found, times(curve, reference)?)))
        .collect();
    let Some((first, (speed, torque))) = odd.first() else {
        return false;
    };
    let more = match odd.len() - 1 {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let text = format!(
        "{}{more}: {speed:.2} times the engine speed of {} and {torque:.2} times its torque: another gear?",
        first.pull.name, base.pull.name
    );
    let remedy = "if so pull in one gear, or set these aside, as in `{file: long-2.csv, set_aside: another gear}`: \
                  `speed_per_1000_rpm` holds for one gear alone";
    first.tell(Severity::Warning, text, remedy);
    true
}

/// Engine speed and torque of one pull over those of another, where both are off by the ratio of two gears.
fn times(of: &Curve, over: &Curve) -> Option<(f64, f64)> {
    const STEPS: usize = 40;
    let speed = of.last_rpm() / over.last_rpm();
    let ends = of.first_rpm() / over.first_rpm() / speed;
    if speed.ln().abs() < NEAREST_GEARS.ln() || ends.ln().abs() > ENDS {
        return None;
    }
    let from = over.first_rpm().max(of.first_rpm() / speed);
    let span = over.last_rpm() - from;
    let at = (0..=STEPS).map(|i| from + span * i as f64 / STEPS as f64);
    let logs: Vec<f64> = at
        .map(|rpm| (of.torque(speed * rpm) / over.torque(rpm)).ln())
        .collect();
    let count = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let variance = logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / count;
    let near = (mean.abs() - speed.ln().abs()).abs() < NEAR;
    (near && variance.sqrt() < EVEN).then(|| (speed, mean.exp()))
}
