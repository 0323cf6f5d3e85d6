//! What spinning an engine up takes off the torque that a sweep shows.

use super::dyno::Bench;
use super::fittings::FoundSpec;
use crate::dyno::{Dyno, Method};
use crate::files::yaml::Map;
use crate::units::RPM_PER_RAD_PER_S;

/// An inertia as engines have it, kg m2, for what it would make.
const EXAMPLE: f64 = 0.12;
/// Times as fast that one spec is swept as another from which that is named.
const APART: f64 = 1.3;
/// Times as fast as the day says from which a file tells otherwise.
const OTHERWISE: f64 = 1.2;

/// A sweep whose inertia is to be made good needs a rate or a time in every file; one whose inertia is not, reads
/// low.
pub fn check(day: &Map, bench: &Bench, specs: &[FoundSpec]) {
    let Dyno {
        method,
        sweep_rate,
        engine_inertia,
        ..
    } = bench.dyno;
    if method != Method::Sweep {
        return;
    }
    if engine_inertia.is_none() {
        return reads_low(day, bench, specs);
    }
    overruled(day, sweep_rate, specs);
    let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
    let without = |found: &&_| rate_of(found, sweep_rate).is_none();
    if let Some(found) = pulls.find(without) {
        let text = format!(
            "engine_inertia needs to know how fast the engine gained speed in {}",
            found.pull.name
        );
        let item = day.take("dyno").unwrap_or(day.item());
        item.error(
            text,
            "add `rate: 300 rpm/s` beside it, or to each spec its own, or a column `time` in the files",
        );
    }
}

/// Says where the time in a file tells another rate than the day does: that of the file is reckoned with.
fn overruled(day: &Map, of_day: Option<f64>, specs: &[FoundSpec]) {
    let pulls = || specs.iter().flat_map(FoundSpec::pulls);
    let other = |of_day: f64| {
        pulls().find_map(|found| {
            let rate = logged_rate(found).filter(|rate| *rate > 0.0)?;
            let apart = rate.max(of_day) > OTHERWISE * rate.min(of_day);
            apart.then_some((of_day, found, rate))
        })
    };
    let Some((of_day, found, rate)) = of_day.and_then(other) else {
        return;
    };
    let all_have = pulls().all(|found| logged_rate(found).is_some());
    let item = day.take("dyno").unwrap_or(day.item());
    let text = format!(
        "rate: {of_day:.0} rpm/s, and the time in {} says {rate:.0} rpm/s, which is reckoned with",
        found.file()
    );
    let remedy = match all_have {
        true => "take the rate out, or the column of time where that is wrong",
        false => "it counts for files without time alone; take the column out where that is wrong",
    };
    item.warning(text, remedy);
}

/// How fast a pull gained speed by the time in its file, rpm/s.
fn logged_rate(found: &super::fittings::FoundPull) -> Option<f64> {
    let gains = &found.pull.acceleration;
    let mean = gains.iter().sum::<f64>() / gains.len() as f64;
    (!gains.is_empty()).then_some(mean)
}

/// The same, else as it is said of the pull or of the day.
fn rate_of(found: &super::fittings::FoundPull, of_day: Option<f64>) -> Option<f64> {
    logged_rate(found).or(found.pull.sweep_rate).or(of_day)
}

/// Says by how much sweeps read low: that of each spec, as far as its files or the day say how fast it was swept.
fn reads_low(day: &Map, bench: &Bench, specs: &[FoundSpec]) {
    let rates: Vec<(&str, f64)> = specs
        .iter()
        .filter_map(|spec| {
            let rates: Option<Vec<f64>> = spec
                .counting()
                .map(|found| rate_of(found, bench.dyno.sweep_rate).filter(|rate| *rate > 0.0))
                .collect();
            let rates = rates.filter(|rates| !rates.is_empty())?;
            let mean = rates.iter().sum::<f64>() / rates.len() as f64;
            Some((spec.name.as_str(), mean))
        })
        .collect();
    let slow = rates.iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let fast = rates.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let ends = slow.zip(fast);
    let apart = ends.filter(|(slow, fast)| fast.1 > APART * slow.1);
    let known = rates.len() == specs.len();
    let (item, unsaid) = match &bench.compensated {
        Some((true, _)) => return,
        Some((false, item)) => (*item, false),
        None if apart.is_some() => (day.take("dyno").unwrap_or(day.item()), true),
        None => return,
    };
    let newton_metres = |rate: f64| EXAMPLE * rate / RPM_PER_RAD_PER_S;
    let by = match (apart, ends) {
        (Some((slow, fast)), _) => format!(
            "for {EXAMPLE} kg m2 {:.0} N·m in {} ({:.0} rpm/s) and {:.0} N·m in {} ({:.0} rpm/s), {:.0} N·m between \
             them",
            newton_metres(slow.1),
            slow.0,
            slow.1,
            newton_metres(fast.1),
            fast.0,
            fast.1,
            newton_metres(fast.1 - slow.1)
        ),
        (None, Some((_, fast))) => format!(
            "{:.0} N·m for {EXAMPLE} kg m2 at {:.0} rpm/s",
            newton_metres(fast.1),
            fast.1
        ),
        (None, None) => format!(
            "{:.0} N·m for {EXAMPLE} kg m2 at 300 rpm/s",
            newton_metres(300.0)
        ),
    };
    let made_good = if unsaid {
        " unless the dyno makes it good"
    } else {
        ""
    };
    let text = format!(
        "a sweep reads low by the engine's inertia times its gain in speed{made_good}: {by}"
    );
    let remedy = match (unsaid, known) {
        (true, _) => {
            "say `inertia_compensated: yes` where it does, else add `engine_inertia: 0.12 kg m2`"
        }
        (false, true) => "add `engine_inertia: 0.12 kg m2`",
        (false, false) => "add `engine_inertia: 0.12 kg m2` and `rate: 300 rpm/s`",
    };
    match apart {
        Some(_) => item.ask(text, remedy),
        None => item.warning(text, remedy),
    }
}
