//! Pulls whose engine speed reads twice that of others of the day.
//!
//! A pick-up that counts two sparks a turn, or a number of cylinders or strokes that is set wrong, doubles engine
//! speed. Power is right then, and torque made of it halved; torque that a brake measures stays.

use super::fittings::{FoundPull, FoundSpec};
use super::gear::apart;
use crate::dyno::Curve;

/// Share of the engine speeds of either pull, one of them halved, that both must reach.
const SHARED: f64 = 0.5;
/// How far what is kept may lie apart in the mean, ln, and how evenly it must: specs of one engine differ by some
/// per cent.
const NEAR: f64 = 0.1;
const EVEN: f64 = 0.05;
/// Times the torque of the other at one engine speed from which the two are not alike as they stand.
const UNLIKE: f64 = 1.2;
/// How far both ends may lie off twice those of the other where torque is kept, ln.
const ENDS: f64 = 0.06;

/// What is the same at twice the engine speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kept {
    Power,
    Torque,
}

/// A pull that counts, with its spec.
struct One<'p, 'a> {
    spec: &'p FoundSpec<'a>,
    found: &'p FoundPull<'a>,
    curve: Curve,
}

/// Asks about pulls that read twice as fast as others of the day, or half; the names of the specs that have such.
pub fn check(specs: &[FoundSpec], open: impl Fn(&FoundPull) -> bool) -> Vec<String> {
    let counting = specs
        .iter()
        .flat_map(|spec| spec.counting().map(move |found| (spec, found)));
    // Made of road speed, engine speed is off by a gear.
    let by_itself = |found: &FoundPull| found.pull.handling.road_speed.is_none();
    let curves = counting.filter(|(_, found)| open(found) && by_itself(found));
    let pulls: Vec<One> = curves
        .filter_map(|(spec, found)| {
            let curve = Curve::new(found.pull.rpm.clone(), found.pull.torque.clone()).ok()?;
            Some(One { spec, found, curve })
        })
        .collect();
    let pairs = pulls.iter().flat_map(|fast| {
        let slow = pulls.iter();
        slow.filter_map(move |slow| Some((fast, slow, twice(&fast.curve, &slow.curve)?)))
    });
    let pairs: Vec<_> = pairs.collect();
    let Some(&(fast, slow, (kept, off))) = pairs.first() else {
        return Vec::new();
    };
    let of = |fast: bool| -> Vec<&One> {
        let side = pulls.iter().filter(|one| {
            pairs
                .iter()
                .any(|pair| std::ptr::eq(*one, if fast { pair.0 } else { pair.1 }))
        });
        side.collect()
    };
    // The fewer are the odd ones; of as many, those that read fast.
    let (fasts, slows) = (of(true), of(false));
    let are_fast = names(&fasts).len() < names(&slows).len()
        || names(&fasts).len() == names(&slows).len() && fasts.len() <= slows.len();
    let (odd, one, other) = match are_fast {
        true => (fasts, fast, slow),
        false => (slows, slow, fast),
    };
    ask(&odd, one, other, are_fast, (kept, off));
    names(&odd)
}

/// The specs of some pulls, each once.
fn names(of: &[&One]) -> Vec<String> {
    let mut names: Vec<String> = of.iter().map(|one| one.spec.name.clone()).collect();
    names.dedup();
    names
}

fn ask(odd: &[&One], one: &One, other: &One, are_fast: bool, (kept, off): (Kept, f64)) {
    let more = match odd.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    let (twice, counted, change, torque) = match are_fast {
        true => ("twice", "counted twice", "halve", "double"),
        false => ("half", "counted by half", "double", "halve"),
    };
    let (what, follows) = match kept {
        Kept::Power => ("power", format!("{torque} its torque")),
        Kept::Torque => ("torque", "leave its torque as it is".to_owned()),
    };
    let text = format!(
        "{}{more}: engine speed is {twice} that of {} (up to {:.0} and {:.0} rpm), and {what} is the same within {:.0} % \
         that way: are its revs {counted}?",
        one.spec.call(one.found),
        other.spec.call(other.found),
        one.curve.last_rpm(),
        other.curve.last_rpm(),
        (100.0 * off).ceil()
    );
    let remedy = format!(
        "as by a pick-up on a wasted spark, or cylinders or strokes set wrong on the instrument: if so {change} engine \
         speed in these files and {follows}; if it is {} that is wrong, the other way round there",
        other.spec.call(other.found)
    );
    one.found.ask(text, remedy);
}

/// What is kept where one pull reads twice the engine speed of the other, and how far it lies apart in the mean.
fn twice(fast: &Curve, slow: &Curve) -> Option<(Kept, f64)> {
    let from = slow.first_rpm().max(0.5 * fast.first_rpm());
    let to = slow.last_rpm().min(0.5 * fast.last_rpm());
    let widths = [
        slow.last_rpm() - slow.first_rpm(),
        0.5 * (fast.last_rpm() - fast.first_rpm()),
    ];
    if widths.iter().any(|width| to - from < SHARED * width) {
        return None;
    }
    let (mean, sd) = apart(fast, slow, 2.0);
    let share = slow.first_rpm().max(fast.first_rpm()) < slow.last_rpm().min(fast.last_rpm());
    let as_it_stands = share.then(|| {
        let (mean, sd) = apart(fast, slow, 1.0);
        (mean, mean.hypot(sd))
    });
    let of_power = mean + std::f64::consts::LN_2;
    if of_power.abs() < NEAR
        && sd < EVEN
        && as_it_stands.is_none_or(|(mean, _)| mean.abs() > UNLIKE.ln())
    {
        return Some((Kept::Power, of_power.abs()));
    }
    let ends = [
        fast.first_rpm() / slow.first_rpm(),
        fast.last_rpm() / slow.last_rpm(),
    ];
    let doubled = ends.iter().all(|ratio| (ratio / 2.0).ln().abs() < ENDS);
    let clearer = as_it_stands.is_some_and(|(_, rms)| mean.hypot(sd) < 0.5 * rms);
    (doubled && clearer && mean.abs() < NEAR && sd < EVEN).then_some((Kept::Torque, mean.abs()))
}
