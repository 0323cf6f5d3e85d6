//! What files log beside torque and goes against the day, or differs between its pulls.
//!
//! Nothing here is corrected: each warning is a question.

use super::fittings::FoundPull;
use crate::dyno::{Breathing, Engine, Ignition, Standard};
use crate::files::finding::{Finding, quoted};
use crate::files::pulls::Boost;
use crate::units::KILOMETRE_PER_HOUR;

/// How far a pressure in a file may lie from the weather's, Pa: 5 hPa are 0.5 % of torque.
const OTHER_PRESSURE: f64 = 500.0;
/// Share of the widest throttle of the day below which a pull is asked about, and below which it is in another
/// unit.
const LESS_OPEN: f64 = 0.95;
const OTHER_UNIT: f64 = 0.3;
/// How far the speed at 1,000 rpm may differ between pulls: tyres creep on rollers by some per cent (common practice,
/// no source).
const OTHER_GEAR: f64 = 0.05;

/// Warns of what is logged beside the pulls that count.
pub fn check(engine: &Engine, pulls: &[&FoundPull]) {
    if engine.breathing == Breathing::Natural {
        boost(pulls);
    }
    if engine.ignition == Ignition::Spark {
        lean(pulls);
    }
    pressure(pulls);
    knock(pulls);
    smoothing(pulls);
    throttle(pulls);
    gear(pulls);
    slip(pulls);
}

/// The first pull for which there is something to say, that, and how many more there are in words.
fn first<'p, 'a, T>(
    pulls: &[&'p FoundPull<'a>],
    of: impl Fn(&FoundPull) -> Option<T>,
) -> Option<(&'p FoundPull<'a>, T, String)> {
    let mut found = pulls.iter().filter_map(|pull| Some((*pull, of(pull)?)));
    let (pull, said) = found.next()?;
    let others = match found.count() {
        0 => String::new(),
        n => format!(" (and {n} more)"),
    };
    Some((pull, said, others))
}

/// Pressure in the manifold that no engine has that breathes freely.
fn boost(pulls: &[&FoundPull]) {
    let boosted = |found: &FoundPull| {
        let boost = found.measured.boost.clone();
        boost.filter(Boost::is_boosted)
    };
    let Some((pull, boost, others)) = first(pulls, boosted) else {
        return;
    };
    let text = format!(
        "{}{others}: {} reaches {:.2} bar{}, and the engine is taken to breathe freely",
        pull.pull.name,
        quoted(&boost.heading),
        boost.most / 1e5,
        if boost.gauge { " above the air" } else { "" }
    );
    let remedy = "boosted? say `engine: {breathing: turbocharged}`, or `supercharged`, in the test day: standards \
                  correct such engines otherwise, or not at all";
    pull.item.push(Finding { text, ..boost.at }.remedy(remedy));
}

/// Mixture that is no full load's over a tenth of a pull: the engine makes less than it would, and runs hot.
fn lean(pulls: &[&FoundPull]) {
    /// Lambda above which an engine with spark ignition is not run at full load (common practice, no source).
    const LEAN: f64 = 0.98;
    let of = |found: &FoundPull| found.pull.channels.get("leanest lambda").copied();
    let Some((pull, most, others)) = first(pulls, |found| of(found).filter(|own| *own > LEAN))
    else {
        return;
    };
    let sound = pulls
        .iter()
        .filter_map(|found| of(found))
        .filter(|own| *own <= LEAN);
    let beside = sound.max_by(f64::total_cmp);
    let beside = beside.map_or(String::new(), |own| format!(", {own:.2} at most in others"));
    let text = format!(
        "{}{others}: lambda up to {most:.2} at full load{beside}: was the mixture set for it?",
        pull.pull.name
    );
    let remedy = "so lean an engine makes less than it would and burns pistons: no more full load before it is set, then \
                  pull again; if the probe reads so for another reason, nothing is to be done";
    pull.item.ask(text, remedy);
}

/// Ignition that was pulled back: the engine knocks, and makes less than it would.
fn knock(pulls: &[&FoundPull]) {
    /// What strategies take off on the way to the limit anyway, degrees (common practice, no source).
    const KNOCKS: f64 = 2.0;
    let back = |found: &FoundPull| {
        let most = *found.pull.channels.get("knock retard")?;
        (most > KNOCKS).then_some(most)
    };
    let Some((pull, most, others)) = first(pulls, back) else {
        return;
    };
    let text = format!(
        "{}{others}: ignition is pulled back by up to {most:.0}° against knock",
        pull.pull.name
    );
    let remedy = "knock breaks engines: no more full load before fuel, mixture and advance are seen to; such a pull shows \
                  less than the engine makes, `set_aside: knock`";
    pull.item.ask(text, remedy);
}

/// Figures that the dyno smoothed unlike.
fn smoothing(pulls: &[&FoundPull]) {
    let of = |found: &FoundPull| found.pull.channels.get("smoothing").copied();
    let Some((pull, own)) = pulls.iter().find_map(|pull| Some((pull, of(pull)?))) else {
        return;
    };
    let unlike = |found: &FoundPull| of(found).filter(|other| *other != own);
    if let Some((other, value, others)) = first(pulls, unlike) {
        let text = format!(
            "{}{others}: smoothing {value}, and {own} in {}: peaks of what is smoothed less are higher by its noise",
            other.pull.name, pull.pull.name
        );
        let remedy =
            "export all of them with one smoothing, best with none; compare means, not peaks";
        other.item.warning(text, remedy);
    }
}

/// The pressure of the file against the weather's, where that corrects the figures.
fn pressure(pulls: &[&FoundPull]) {
    let other = |found: &FoundPull| {
        let logged = *found.pull.channels.get("ambient pressure")?;
        let weather = found.pull.air?.pressure;
        let counts = found.pull.corrected == Standard::Uncorrected;
        (counts && (logged - weather).abs() > OTHER_PRESSURE).then_some((logged, weather))
    };
    let Some((pull, (logged, weather), others)) = first(pulls, other) else {
        return;
    };
    let text = format!(
        "{}{others}: {:.0} hPa in the file, {:.0} hPa in the weather: {:+.1} % of torque",
        pull.pull.name,
        logged / 100.0,
        weather / 100.0,
        100.0 * (weather / logged - 1.0)
    );
    let remedy = format!(
        "give each pull the pressure it was pulled in, as in `{{file: {}, pressure: {:.0} hPa}}`",
        pull.file(),
        logged / 100.0
    );
    pull.item.warning(text, remedy);
}

fn opening(found: &FoundPull) -> Option<f64> {
    found.pull.channels.get("throttle").copied()
}

/// The pull with the throttle furthest open, and how far that is.
pub fn widest<'p, 'a>(pulls: &[&'p FoundPull<'a>]) -> Option<(&'p FoundPull<'a>, f64)> {
    let open = pulls
        .iter()
        .filter_map(|pull| Some((*pull, opening(pull)?)));
    open.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Whether a pull had its throttle less open than the widest: its torque tells nothing of units.
pub fn is_less_open(found: &FoundPull, widest: f64) -> bool {
    let less = OTHER_UNIT * widest..LESS_OPEN * widest;
    opening(found).is_some_and(|open| less.contains(&open))
}

/// Pulls with the throttle less open than in others of the day.
fn throttle(pulls: &[&FoundPull]) {
    let Some((other, most)) = widest(pulls) else {
        return;
    };
    let less = |found: &FoundPull| opening(found).filter(|_| is_less_open(found, most));
    let Some((pull, open, others)) = first(pulls, less) else {
        return;
    };
    let text = format!(
        "{}{others}: throttle {open:.0}, and {most:.0} in {}: not full throttle?",
        pull.pull.name, other.pull.name
    );
    let remedy = "pull again with the throttle wide open; if the sensor reads so at full throttle, nothing is to be \
                  done";
    pull.item.ask(text, remedy);
}

/// Pulls in another gear than the first with road speed.
fn gear(pulls: &[&FoundPull]) {
    let speed = |found: &FoundPull| found.rolled.map(|rolled| rolled.per_1000_rpm);
    let Some((reference, usual, _)) = first(pulls, speed) else {
        return;
    };
    let other =
        |found: &FoundPull| speed(found).filter(|speed| (speed / usual - 1.0).abs() > OTHER_GEAR);
    let Some((pull, speed, others)) = first(pulls, other) else {
        return;
    };
    let kmh = |speed: f64| speed / KILOMETRE_PER_HOUR;
    let text = format!(
        "{}{others}: {:.1} km/h at 1,000 rpm, and {:.1} in {}: pulled in another gear, or is engine speed set wrong?",
        pull.pull.name,
        kmh(speed),
        kmh(usual),
        reference.pull.name
    );
    let remedy = "in one gear and on the same tyres engine speed is wrong in one of them, and torque with it: take both \
                  columns out, give power and road speed, and say what 1,000 rpm are, `speed_per_1000_rpm`; else pull \
                  every spec in one gear";
    pull.item.ask(text, remedy);
}

/// Pulls in which road speed does not keep step with engine speed.
fn slip(pulls: &[&FoundPull]) {
    let slips = |found: &FoundPull| {
        let rolled = found.rolled.filter(|rolled| rolled.slips())?;
        Some(rolled.change)
    };
    let Some((pull, change, others)) = first(pulls, slips) else {
        return;
    };
    let text = format!(
        "{}{others}: the speed at 1,000 rpm changes by {:+.0} % through the pull: does the clutch slip, or a tyre?",
        pull.pull.name,
        100.0 * change
    );
    let remedy = "look at clutch, straps and tyre pressure and pull again: what slips is lost at the rollers";
    pull.item.ask(text, remedy);
}
