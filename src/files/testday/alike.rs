//! Whether the pulls of a day are in one unit, and corrected as the day says.
//!
//! Nothing here is corrected: each warning is a question, once a spec.

use super::fittings::{FoundPull, FoundSpec, TYPED_IN};
use super::gear::NEAREST_GEARS;
use crate::dyno::{Curve, Standard};
use crate::files::finding::{Finding, quoted};
use crate::files::pulls::lift;
use crate::files::yaml::Map;
use crate::units::{self, HORSEPOWER, POUND_FOOT, Unit};

/// Ratio of torque of two specs of a day from which it is asked about: a blown engine beside an
/// aspirated one may have more.
pub const SPECS_APART: f64 = 1.2;
/// The same of two pulls of one spec, which repeat within a few per cent.
const PULLS_APART: f64 = 1.1;
/// How far a ratio may lie from that of two units and count as theirs, beside what the engines
/// differ by.
const NEAR_A_UNIT: f64 = 1.1;
/// The same of two pulls of one spec, which are one engine's.
const NEAR_A_UNIT_ALONE: f64 = 1.03;
/// How far a ratio may move over the engine speeds shared and still be a slip of unit, which is the same at
/// all of them, beside what the engines differ by.
const EVEN: f64 = 1.25;

/// Asks about pulls that lie apart from the others of their spec, and specs from the others of the
/// day, of those pulls that were `open`, but for specs that have been `told` of something else.
pub fn check(specs: &[FoundSpec], open: impl Fn(&FoundPull) -> bool, told: &[String]) {
    let levelled: Vec<(&str, Vec<Levelled>)> = specs
        .iter()
        .filter(|spec| !told.contains(&spec.name))
        .map(|spec| (spec.name.as_str(), levelled(spec, &open)))
        .collect();
    let sound = levelled.iter().filter(|(_, pulls)| !one_is_odd(pulls));
    let middles: Vec<(&str, &Levelled)> = sound
        .filter_map(|(name, pulls)| Some((*name, middle(pulls)?)))
        .collect();
    beside(&middles);
}

/// A pull with its torque over that of another.
struct Levelled<'p, 'a> {
    found: &'p FoundPull<'a>,
    curve: Curve,
    level: f64,
}

/// The pulls of a spec that count and were `open`, levelled by the first.
fn levelled<'p, 'a>(
    spec: &'p FoundSpec<'a>,
    open: impl Fn(&FoundPull) -> bool,
) -> Vec<Levelled<'p, 'a>> {
    // One whose torque falls away on its way has been asked about.
    let falls = |found: &FoundPull| {
        let pull = &found.pull;
        lift(&pull.rpm, &pull.torque, pull.handling.smoothed).is_some()
    };
    let counts = |found: &&FoundPull| open(found) && !falls(found);
    let counting = || spec.counting().filter(counts);
    // Figures corrected to another air than others differ by that.
    let corrected = counting().next().map(|found| found.pull.corrected);
    let counting = counting().filter(|found| Some(found.pull.corrected) == corrected);
    let mut pulls: Vec<Levelled> = Vec::new();
    for found in counting {
        let pull = &found.pull;
        let Ok(curve) = Curve::new(pull.rpm.clone(), pull.torque.clone()) else {
            continue;
        };
        let level = match pulls.first() {
            Some(first) => ratio(&curve, &first.curve),
            None => Some(1.0),
        };
        pulls.extend(level.map(|level| Levelled {
            found,
            curve,
            level,
        }));
    }
    pulls
}

/// Asks about the first pull that lies apart from the others of its spec; whether there is one.
fn one_is_odd(pulls: &[Levelled]) -> bool {
    let Some(middle) = middle(pulls) else {
        return false;
    };
    let off = |pull: &&Levelled| apart(pull.level / middle.level) > PULLS_APART;
    let Some(odd) = pulls.iter().find(off) else {
        return false;
    };
    // Of two either may be the odd one: the one whose unit would explain it.
    let ratio = odd.level / middle.level;
    let other_way = pulls.len() == 2
        && meant(odd.found, ratio, NEAR_A_UNIT_ALONE).is_none()
        && meant(middle.found, 1.0 / ratio, NEAR_A_UNIT_ALONE).is_some();
    let (odd, beside, ratio) = match other_way {
        true => (middle, odd, 1.0 / ratio),
        false => (odd, middle, ratio),
    };
    let even = is_even(&odd.curve, &beside.curve);
    let gear = may_be_geared(odd, beside);
    let beside = format!("{}, of the same spec", beside.found.pull.name);
    let unit = meant(odd.found, ratio, NEAR_A_UNIT_ALONE).filter(|_| even);
    let otherwise = "if something went wrong with that pull, set it aside: `set_aside: why`";
    ask(
        (&odd.found.pull.name, odd.found),
        ratio,
        &beside,
        (unit, gear),
        otherwise,
    );
    true
}

/// The pull of middle level; of two the first.
fn middle<'l, 'p, 'a>(pulls: &'l [Levelled<'p, 'a>]) -> Option<&'l Levelled<'p, 'a>> {
    let mut sorted: Vec<&Levelled> = pulls.iter().collect();
    if sorted.len() > 2 {
        sorted.sort_by(|a, b| a.level.total_cmp(&b.level));
    }
    sorted.get(sorted.len().saturating_sub(1) / 2).copied()
}

/// Asks about specs that lie apart from most of the day.
fn beside(specs: &[(&str, &Levelled)]) {
    let Some((_, first)) = specs.first() else {
        return;
    };
    let corrected = first.found.pull.corrected;
    let level = |pull: &Levelled| {
        let alike = pull.found.pull.corrected == corrected;
        ratio(&pull.curve, &first.curve).filter(|_| alike)
    };
    let mut levels: Vec<(usize, f64)> = specs
        .iter()
        .enumerate()
        .filter_map(|(spec, (_, pull))| Some((spec, level(pull)?)))
        .collect();
    levels.sort_by(|a, b| a.1.total_cmp(&b.1));
    let groups: Vec<&[(usize, f64)]> = levels
        .chunk_by(|low, high| high.1 / low.1 <= SPECS_APART)
        .collect();
    // Of two as large it is the one whose unit would explain the other, else the later.
    let explained = |group: &[(usize, f64)]| {
        let others = levels.iter().filter(|one| !group.contains(one));
        let all = || others.clone().map(|other| other.1);
        let typical = all().sum::<f64>() / all().count().max(1) as f64;
        group.iter().any(|&(spec, level)| {
            meant(specs[spec].1.found, level / typical, NEAR_A_UNIT).is_some()
        })
    };
    let has_first = |group: &[(usize, f64)]| group.iter().any(|one| one.0 == 0);
    let most = groups
        .iter()
        .max_by_key(|group| (group.len(), !explained(group), has_first(group)));
    let Some(most) = most else { return };
    let Some(&(reference, reference_level)) = most.iter().min_by_key(|one| one.0) else {
        return;
    };
    for &(spec, level) in levels.iter().filter(|one| !most.contains(one)) {
        let (name, pull) = specs[spec];
        let (other, beside) = specs[reference];
        let even = is_even(&pull.curve, &beside.curve);
        let ratio = level / reference_level;
        let unit = meant(pull.found, ratio, NEAR_A_UNIT).filter(|_| even);
        let otherwise = format!("if {name} really makes so much, nothing is to be done");
        let gear = may_be_geared(pull, beside);
        ask((name, pull.found), ratio, other, (unit, gear), &otherwise);
    }
}

/// Whether another gear may be why two pulls lie apart: engine speed is made of road speed and ends elsewhere.
fn may_be_geared(one: &Levelled, other: &Levelled) -> bool {
    let rolled = one.found.pull.handling.road_speed.is_some();
    rolled && apart(one.curve.last_rpm() / other.curve.last_rpm()) > NEAREST_GEARS
}

/// Torque of one curve over that of another, in the mean over the engine speeds they share; `None`
/// where they share none.
fn ratio(of: &Curve, over: &Curve) -> Option<f64> {
    const STEPS: usize = 50;
    let from = of.first_rpm().max(over.first_rpm());
    let to = of.last_rpm().min(over.last_rpm());
    let sum = |curve: &Curve| -> f64 {
        let at = |i: usize| from + (to - from) * i as f64 / STEPS as f64;
        (0..=STEPS).map(|i| curve.torque(at(i))).sum()
    };
    (from < to).then(|| sum(of) / sum(over))
}

/// Whether one curve is about as many times another at all engine speeds they share.
fn is_even(of: &Curve, over: &Curve) -> bool {
    let (least, most) = ratios(of, over);
    most < EVEN * least
}

/// The least and the most that torque of one curve is over that of another at engine speeds they share.
pub fn ratios(of: &Curve, over: &Curve) -> (f64, f64) {
    const STEPS: usize = 20;
    let from = of.first_rpm().max(over.first_rpm());
    let to = of.last_rpm().min(over.last_rpm());
    let ratios = (0..=STEPS).map(|i| {
        let rpm = from + (to - from) * i as f64 / STEPS as f64;
        of.torque(rpm) / over.torque(rpm)
    });
    ratios.fold((f64::INFINITY, 0.0), |(least, most), ratio| {
        (ratio.min(least), ratio.max(most))
    })
}

fn apart(ratio: f64) -> f64 {
    ratio.max(1.0 / ratio)
}

/// The unit that a pull's figures may be in where they are so many times others, or as `near` to that, and
/// the one they are read in.
fn meant(found: &FoundPull, ratio: f64, near: f64) -> Option<OtherUnit> {
    let of = |times: f64| apart(ratio / times) < near;
    let written = &found.measured.unit;
    let (unit, dimension) = match written.is_empty() {
        true => units::unit("Nm")?,
        false => units::unit(written)?,
    };
    let other = match unit.name() {
        "N·m" if of(1.0 / POUND_FOOT) => "lb-ft",
        "lb-ft" if of(POUND_FOOT) => "N·m",
        "kW" if of(1e3 / HORSEPOWER) => "bhp or PS",
        "bhp" | "PS" if of(HORSEPOWER / 1e3) => "kW",
        _ => return None,
    };
    let read = dimension.unit(unit.name())?;
    Some((other, read))
}

/// Another unit by its name, and the one that is read.
type OtherUnit = (&'static str, &'static Unit);

fn ask(
    (who, found): (&str, &FoundPull),
    ratio: f64,
    other: &str,
    (unit, gear): (Option<OtherUnit>, bool),
    otherwise: &str,
) {
    let measured = &found.measured;
    let (may_be, remedy) = match unit {
        // The ratio of two gears may be that of two units.
        _ if gear => (
            "another gear?".to_owned(),
            format!(
                "engine speed is made of road speed: look first at `speed_per_1000_rpm`, which a spec and a fitting may \
                 have of their own, then at the unit of {}; {otherwise}",
                quoted(&measured.name)
            ),
        ),
        Some((unit, read)) => (
            format!("are its figures in {unit}, not {}?", read.name()),
            format!("if so, write that unit; {otherwise}"),
        ),
        None => (
            "another unit, another place, or another engine?".to_owned(),
            format!(
                "look at the unit of {}, and whether it is at the wheels; {otherwise}",
                quoted(&measured.name)
            ),
        ),
    };
    let text = format!("{who} has {ratio:.2} times the torque of {other}: {may_be}");
    found.ask(text, remedy);
}

/// Asks about the first file that says of itself that it is corrected, where the day takes its figures as
/// read, as corrected to something else, or does not say to what.
pub fn corrections(specs: &[FoundSpec]) {
    let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
    let asked = pulls.find_map(|found| {
        let (claim, written, at) = found.measured.corrected.as_ref()?;
        let to = found.pull.corrected;
        let takes = match to {
            Standard::Uncorrected => "and the day takes it as read".to_owned(),
            Standard::Unknown => "and the day does not say to what it is corrected".to_owned(),
            _ if claim.to.is_empty() || claim.to.contains(&to) => return None,
            _ => format!("and the day takes it as corrected to {}", to.name()),
        };
        let text = format!("{}, {takes}", quoted(written));
        Some((found, at.clone(), text, claim.example()))
    });
    let Some((found, at, text, example)) = asked else {
        return;
    };
    let remedy = format!(
        "say to what the dyno corrected it, as in `corrected: {example}`: else it is corrected twice, or \
         to the wrong air"
    );
    found.item.push(Finding { text, ..at }.remedy(remedy));
}

/// The first file with a column of correction factors beside figures that count as `corrected` and of which
/// it says nothing itself.
pub fn with_factor<'s, 'a>(
    specs: &'s [FoundSpec<'a>],
    corrected: Standard,
) -> Option<(&'s FoundPull<'a>, &'s (String, f64, Finding))> {
    let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
    pulls.find_map(|found| {
        let silent = found.pull.corrected == corrected && found.measured.corrected.is_none();
        let factor = found.measured.factor.as_ref().filter(|_| silent)?;
        Some((found, factor))
    })
}

/// Asks about the first file with a column of correction factors beside figures that the day takes as read.
pub fn factors(specs: &[FoundSpec]) {
    let asked = with_factor(specs, Standard::Uncorrected);
    let Some((found, (name, factor, at))) = asked else {
        return;
    };
    let text = format!(
        "{} is {factor:.3}, and the day takes {} as read: has it been multiplied in?",
        quoted(name),
        heading(found)
    );
    let remedy = "if so say to what the dyno corrected, as in `corrected: SAE J1349`: else it is corrected twice; if \
                  not, take the column out";
    found
        .item
        .push(Finding { text, ..at.clone() }.remedy(remedy));
}

/// Says which column was read of the first file with several.
pub fn choices(map: &Map, specs: &[FoundSpec]) {
    let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
    if let Some(found) = pulls.find(|found| !found.measured.among.is_empty()) {
        let among: Vec<String> = found.measured.among.iter().map(|n| quoted(n)).collect();
        let text = format!(
            "{}: {} is read, of {}",
            found.pull.name,
            heading(found),
            among.join(", ")
        );
        map.assumed("corrected", text);
    }
}

/// Says in which unit torque is taken that was typed into the day without one.
pub fn typed_units(map: &Map, specs: &[FoundSpec]) {
    let bare = |found: &FoundPull| {
        found.pull.name == TYPED_IN
            && found.measured.name == "torque"
            && found.measured.unit.is_empty()
    };
    let of = specs.iter().filter(|spec| spec.pulls().any(bare));
    let names: Vec<&str> = of.map(|spec| spec.name.as_str()).collect();
    if !names.is_empty() {
        let text = format!(
            "torque of {} typed in N·m (no unit is written)",
            names.join(", ")
        );
        map.assumed("unit", text);
    }
}

/// The heading of what was measured, as a person writes it.
pub fn heading(found: &FoundPull) -> String {
    let measured = &found.measured;
    match measured.unit.is_empty() || measured.unit == measured.name {
        true => quoted(&measured.name),
        false => quoted(&format!("{} ({})", measured.name, measured.unit)),
    }
}
