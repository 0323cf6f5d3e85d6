//! Whether a loop that a log without positions shows is one lap.

use std::f64::consts::TAU;

use crate::files::finding::{Finding, Severity};
use crate::files::log::Log;
use crate::files::source::Mark;
use crate::files::table::Column;
use crate::units::{SPEED, Unit};
use crate::venue::log::Rounds;

/// By how much the turned angles of a lap may miss a full turn, rad (60°): an accelerometer that leans by
/// 0.02 g adds half of that in a minute at 20 m/s.
const OFF: f64 = TAU / 6.0;
/// How near to a full turn another unit of speed brings a lap that is one, relative.
const TURNED: f64 = 0.06;
/// A speed that repeats itself so often is no lap of two halves that are alike.
const ROUNDS: f64 = 1.9;
const ONE_ALONE: &str = "cut the file to one lap, or add a column `lap` that counts them";
const FROM_LINE: &str = "a loop turns 360° in all: is it one lap from line to line, and has `lateral` its sign and \
                         unit?";

/// Asks about a loop that is said to be one lap and is several, or a part of one.
pub(super) fn tell(log: &Log, rounds: &Rounds) -> Option<Finding> {
    let turns = rounds.turned.map_or(0.0, |turned| turned.abs() / TAU);
    // Where the logger counted laps, a speed that repeats itself is that of two halves that are alike.
    let period = rounds.period.filter(|_| !log.counted);
    let laps = period.map(|period| rounds.length / period);
    let off = |whole: f64| (turns - whole).abs() * TAU > OFF;
    let bends = rounds.bends.unwrap_or(TAU);
    let sign = || {
        "acceleration across the road is never of the other sign in this log, and a lap that turns by more than \
         360° has corners of both: log it with its sign, left or right positive throughout"
            .to_owned()
    };
    // Hardly any logger writes knots, and many write sizes alone.
    // A yaw rate is the rate of turning at any speed.
    let unit = match other_speed(log, turns).filter(|_| !log.yaw) {
        None if turns > 1.0 && one_sided(log) => Some(sign()),
        Some(unit) if turns > 1.0 && one_sided(log) && unit.contains("(kn)") => Some(sign()),
        unit => unit,
    };
    let several = "of several laps cut the file to one, or add a column `lap` that counts them; where the halves of \
                   one lap are alike nothing needs doing";
    let (text, remedy) = match (turns.round(), laps) {
        // A closed line bends by a full turn at least, left and right together.
        (0.0, _) if !off(0.0) && bends < TAU - OFF => (
            format!(
                "the corners of this lap bend by {:.0}° in all, left and right together",
                bends.to_degrees().abs()
            ),
            "a loop bends by 360° and more: is `lateral` the acceleration across the road, in its unit, and is \
             the whole of a lap logged?",
        ),
        // A crossing loop turns by nothing in all, and a log without lateral acceleration tells no angle.
        (0.0, Some(laps)) if laps > ROUNDS => (repeats(rounds, laps), several),
        (2.0.., Some(laps)) => (
            format!("{}, {}", turns_in_all(turns), repeats(rounds, laps)),
            ONE_ALONE,
        ),
        (1.0.., _) if off(1.0) => match held(log, rounds) {
            Some(laps) => (format!("{}, as {laps:.0} laps do", turns_in_all(turns)), ONE_ALONE),
            None => (turns_in_all(turns), unit.as_deref().unwrap_or(FROM_LINE)),
        },
        (0.0, _) if off(0.0) => (
            turns_in_all(turns),
            unit.as_deref().unwrap_or(
                "a loop turns 360° in all (0° where it crosses over itself): log the whole of a lap",
            ),
        ),
        _ => return None,
    };
    let finding = log.source.finding(Severity::Warning, Mark::default(), text);
    Some(finding.remedy(remedy))
}

/// How many laps a log seems to hold that is taken for one; `None` where it may be one.
pub(super) fn held(log: &Log, rounds: &Rounds) -> Option<f64> {
    if log.counted {
        return None;
    }
    let turns = rounds.turned.map_or(0.0, |turned| turned.abs() / TAU);
    let near = (turns - turns.round()).abs() * TAU <= OFF;
    match (turns.round(), rounds.period.map(|p| rounds.length / p)) {
        // Two laps together may be the likest to two others.
        (whole @ 2.0.., Some(laps)) => Some(if near { whole } else { laps.round() }),
        (0.0, Some(laps)) if laps > ROUNDS => Some(laps.round()),
        // Another unit or a sign that is missing makes a lap turn too far as well, and rarely by whole turns.
        (whole @ 2.0.., None) => {
            let sound = log.yaw || other_speed(log, turns).is_none();
            (sound && near && !one_sided(log)).then_some(whole)
        }
        _ => None,
    }
}

/// What to write where speeds in another unit would make a lap turn by a full turn: acceleration over speed is
/// the rate of turning.
fn other_speed(log: &Log, turns: f64) -> Option<String> {
    let Column { name, unit, .. } = &log.speeds;
    let own = SPEED.unit(unit.as_deref()?)?.factor;
    let off = |unit: &Unit| (turns * own / unit.factor - 1.0).abs();
    let best = SPEED
        .units
        .iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(best) < TURNED).then(|| {
        let unit = best.name();
        format!(
            "a loop turns 360° in all, and this one would with speeds in {unit}: write `{name} ({unit})` if \
             they are; otherwise, is it one lap from line to line, and has `lateral` its sign and unit?"
        )
    })
}

/// Whether acceleration across the road never changes sides, not even by its noise.
fn one_sided(log: &Log) -> bool {
    let lateral = log.run.lateral.as_deref().unwrap_or_default();
    lateral.iter().all(|a| *a >= 0.0) || lateral.iter().all(|a| *a <= 0.0)
}

fn turns_in_all(turns: f64) -> String {
    format!("the corners of this lap turn {:.0}° in all", turns * 360.0)
}

fn repeats(rounds: &Rounds, laps: f64) -> String {
    format!(
        "the speed seems to repeat itself every {:.2} km, {laps:.1} times in {:.2} km",
        rounds.period.unwrap_or_default() / 1000.0,
        rounds.length / 1000.0
    )
}
