//! Pulls of a spec, or a whole spec, that were made in another gear than the day says.
//!
//! Engine speed that is made of road speed is then off by the ratio of the two gears, and torque, made of power,
//! by its inverse; torque read at the wheels is off the same way or the other.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::Curve;
use crate::files::yaml::Map;
use crate::units::{self, KILOMETRE_PER_HOUR};

/// Ratio of two gears at least: nearer ones stand in no gearbox (common practice, no source).
pub const NEAREST_GEARS: f64 = 1.08;
/// How far the ratios at both ends of a pull may differ: it begins and ends by a person's foot.
const ENDS: f64 = 0.06;
/// How far torque may lie off the ratio, ln τ, and how evenly it must, sd.
const NEAR: f64 = 0.04;
const EVEN: f64 = 0.025;
/// The same between specs, which differ by some per cent of their own.
const NEAREST_OF_SPECS: f64 = 1.15;
const NEAR_OF_SPECS: f64 = 0.08;
const EVEN_OF_SPECS: f64 = 0.04;
/// Times as unevenly as at one road speed that specs must lie apart at one engine speed where torque does not show the
/// gear, and by how much it may lie off, ln τ: a slip of unit may hide it.
const CLEARER: f64 = 2.0;
const OTHERWISE: f64 = 0.5;

/// Asks about pulls in another gear, of one spec or of a whole one; the names of the specs that have such. Those
/// that have been `told` of something else are left out.
pub fn check(
    specs: &[FoundSpec],
    open: impl Fn(&FoundPull) -> bool,
    told: &[String],
) -> Vec<String> {
    let pulls: Vec<(&FoundSpec, Vec<(&FoundPull, Curve)>)> = specs
        .iter()
        .filter(|spec| !told.contains(&spec.name))
        .map(|spec| (spec, curves(spec, &open)))
        .collect();
    let all = pulls.iter().flat_map(|(_, own)| own);
    let mut ends: Vec<f64> = all.map(|(_, curve)| curve.last_rpm()).collect();
    ends.sort_by(f64::total_cmp);
    let Some(&usual) = ends.get(ends.len().saturating_sub(1) / 2) else {
        return Vec::new();
    };
    let (odd, sound): (Vec<_>, Vec<_>) = pulls.iter().partition(|(_, own)| ask(own, usual));
    let mut asked: Vec<String> = odd.iter().map(|(spec, _)| spec.name.clone()).collect();
    asked.extend(beside(&sound));
    asked
}

/// Lists what is taken of a driveline where pulls are known to be of several gears.
pub fn several(map: &Map, specs: &[FoundSpec]) {
    let counting = specs.iter().flat_map(FoundSpec::counting);
    let mut speeds: Vec<f64> = counting
        .filter_map(|found| found.pull.handling.road_speed)
        .collect();
    speeds.sort_by(f64::total_cmp);
    speeds.dedup();
    if speeds.len() < 2 {
        return;
    }
    let shown = speeds.iter().map(|speed| {
        let kmh = (speed / KILOMETRE_PER_HOUR * 10.0).round() / 10.0;
        units::plain(kmh)
    });
    let shown: Vec<String> = shown.collect();
    let text = format!(
        "the driveline takes as much of torque in each gear that was pulled in (1,000 rpm are {} km/h)",
        shown.join(" and ")
    );
    map.assumed("speed_per_1000_rpm", text);
}

/// Asks about specs whose engine speed was made of road speed in another gear than most; their names.
fn beside(specs: &[&(&FoundSpec, Vec<(&FoundPull, Curve)>)]) -> Vec<String> {
    let longest = |own: &[(&FoundPull, Curve)]| {
        let made = own.iter().enumerate();
        let made = made.filter(|(_, (found, _))| found.pull.handling.road_speed.is_some());
        let longest = made.max_by(|a, b| a.1.1.last_rpm().total_cmp(&b.1.1.last_rpm()));
        longest.map(|(place, _)| place)
    };
    let rolled = specs.iter().filter_map(|(spec, own)| {
        let (found, curve) = &own[longest(own)?];
        Some((*spec, *found, curve))
    });
    let rolled: Vec<(&FoundSpec, &FoundPull, &Curve)> = rolled.collect();
    let alike = |one: &Curve| {
        let others = rolled.iter();
        let alike = others.filter(|(_, _, other)| times_of_spec(one, other).is_none());
        alike.count()
    };
    // The first of those that most are like.
    let usual = rolled.iter().rev().max_by_key(|(_, _, curve)| alike(curve));
    let Some((usual, _, reference)) = usual else {
        return Vec::new();
    };
    let others = rolled.iter().filter_map(|(spec, found, curve)| {
        let torque = times_of_spec(curve, reference)?;
        let text = format!(
            "{} goes from {:.0} to {:.0} rpm and {} from {:.0} to {:.0}, made of road speed, with {torque:.2} times its \
             torque: another gear?",
            spec.name,
            curve.first_rpm(),
            curve.last_rpm(),
            usual.name,
            reference.first_rpm(),
            reference.last_rpm()
        );
        let remedy = format!(
            "if so write what 1,000 rpm are in the gear of {} beside its pulls, `speed_per_1000_rpm`; look at units \
             only after that: the ratio of two gears may be that of two units",
            spec.name
        );
        found.ask(text, remedy);
        Some(spec.name.clone())
    });
    others.collect()
}

/// The pulls of a spec that count.
fn curves<'s, 'a>(
    spec: &'s FoundSpec<'a>,
    open: &impl Fn(&FoundPull) -> bool,
) -> Vec<(&'s FoundPull<'a>, Curve)> {
    let counting = spec.counting().filter(|found| open(found));
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
    first.ask(text, remedy);
    true
}

/// Engine speed and torque of one pull over those of another, where both are off by the ratio of two gears.
fn times(of: &Curve, over: &Curve) -> Option<(f64, f64)> {
    let speed = scaled(of, over, NEAREST_GEARS)?;
    let (mean, sd) = apart(of, over, speed);
    let near = (mean.abs() - speed.ln().abs()).abs() < NEAR;
    (near && sd < EVEN).then(|| (speed, mean.exp()))
}

/// Torque of a spec over that of another where its engine speeds are off by the ratio of two gears, and torque is so
/// too, or else goes along at one road speed and not at one engine speed.
fn times_of_spec(of: &Curve, over: &Curve) -> Option<f64> {
    let speed = scaled(of, over, NEAREST_OF_SPECS)?;
    let (mean, sd) = apart(of, over, speed);
    let near = (mean.abs() - speed.ln().abs()).abs() < NEAR_OF_SPECS;
    let unshown = || {
        let (_, as_it_stands) = apart(of, over, 1.0);
        mean.abs() < OTHERWISE && CLEARER * sd < as_it_stands
    };
    (sd < EVEN_OF_SPECS && (near || unshown())).then(|| mean.exp())
}

/// Engine speed of one pull over that of another, where both its ends are off by a ratio of gears at least.
fn scaled(of: &Curve, over: &Curve, least: f64) -> Option<f64> {
    let speed = of.last_rpm() / over.last_rpm();
    let ends = of.first_rpm() / over.first_rpm() / speed;
    (speed.ln().abs() >= least.ln() && ends.ln().abs() <= ENDS).then_some(speed)
}

/// How far torque lies off that of another at so many `times` its engine speed, ln τ: mean and sd.
pub fn apart(of: &Curve, over: &Curve, times: f64) -> (f64, f64) {
    const STEPS: usize = 40;
    let from = over.first_rpm().max(of.first_rpm() / times);
    let span = over.last_rpm().min(of.last_rpm() / times) - from;
    let at = (0..=STEPS).map(|i| from + span * i as f64 / STEPS as f64);
    let logs: Vec<f64> = at
        .map(|rpm| (of.torque(times * rpm) / over.torque(rpm)).ln())
        .collect();
    let count = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let variance = logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / count;
    (mean, variance.sqrt())
}
