//! The order in which the fittings of a day came: as written, by their clocks, or as assumed.

use super::fittings::FoundSpec;
use crate::files::yaml::{Item, Map};
use crate::units::counted;

/// What to do where no order is given.
const GIVE: &str = "give the order of the day, as in `order: [long, short, long]`";

/// The fittings in the order of the day, each as (spec, fitting of that spec).
pub fn of_the_day(map: &Map, specs: &[FoundSpec]) -> Option<Vec<(usize, usize)>> {
    if let Some(item) = map.take("order") {
        return written(&item, specs);
    }
    let all = rounds(specs);
    let clock = |&(spec, fitting): &(usize, usize)| {
        let pulls: &Vec<_> = &specs[spec].fittings[fitting].pulls;
        pulls.iter().find_map(|found| found.pull.clock)
    };
    if all.iter().all(|place| clock(place).is_some()) {
        let day = |&(spec, fitting): &(usize, usize)| &specs[spec].fittings[fitting].day;
        // Days as they come in the file.
        let place = |one: &(usize, usize)| all.iter().position(|other| day(other) == day(one));
        let mut timed = all.clone();
        timed.sort_by(|a, b| {
            let by_clock = clock(a).unwrap_or(0.0).total_cmp(&clock(b).unwrap_or(0.0));
            place(a).cmp(&place(b)).then(by_clock)
        });
        check_clocks(specs, &timed, GIVE);
        return Some(timed);
    }
    if all.len() > 1 {
        let names: Vec<&str> = all.iter().map(|p| specs[p.0].name.as_str()).collect();
        map.assumed("order", format!("pulled in the order {}", names.join(", ")));
    }
    check_clocks(specs, &all, GIVE);
    Some(all)
}

/// First fittings in the order of the file, then second ones, and so on.
fn rounds(specs: &[FoundSpec]) -> Vec<(usize, usize)> {
    let most = specs.iter().map(|s| s.fittings.len()).max().unwrap_or(0);
    (0..most)
        .flat_map(|round| (0..specs.len()).map(move |spec| (spec, round)))
        .filter(|&(spec, round)| round < specs[spec].fittings.len())
        .collect()
}

/// A list of spec names, each as often as the spec was fitted.
fn written(item: &Item, specs: &[FoundSpec]) -> Option<Vec<(usize, usize)>> {
    let mut next = vec![0; specs.len()];
    let mut order = Vec::new();
    let mut sound = true;
    for name in item.list()? {
        let Some(text) = name.text() else {
            sound = false;
            continue;
        };
        let Some(spec) = specs.iter().position(|spec| spec.name == text) else {
            let known: Vec<&str> = specs.iter().map(|s| s.name.as_str()).collect();
            let remedy = format!("specs of this day: {}", known.join(", "));
            name.error(format!("order: no spec is called `{text}`"), remedy);
            sound = false;
            continue;
        };
        order.push((spec, next[spec]));
        next[spec] += 1;
    }
    for (spec, &times) in specs.iter().zip(&next) {
        let fitted = spec.fittings.len();
        if sound && times != fitted {
            let text = format!(
                "order: `{}` stands {}, and it has {}",
                spec.name,
                counted(times, "time"),
                counted(fitted, "fitting")
            );
            item.error(text, "name each spec once for each of its fittings");
            sound = false;
        }
    }
    if sound {
        check_clocks(specs, &order, "mend `order`, or the times `at`");
    }
    sound.then_some(order)
}

/// Warns of the first clock that runs backwards, with what to do.
fn check_clocks(specs: &[FoundSpec], order: &[(usize, usize)], remedy: &str) {
    let fittings = order
        .iter()
        .map(|&(spec, fitting)| &specs[spec].fittings[fitting]);
    let pulls =
        fittings.flat_map(|fitting| fitting.pulls.iter().map(move |found| (&fitting.day, found)));
    let mut last = f64::NEG_INFINITY;
    let mut today = None;
    for (day, found) in pulls {
        if today.replace(day) != Some(day) {
            last = f64::NEG_INFINITY;
        }
        let Some(clock) = found.pull.clock else {
            continue;
        };
        if clock < last {
            let text = format!(
                "{}: its clock lies before that of the pull before",
                found.pull.name
            );
            found.item.warning(text, remedy);
            return;
        }
        last = clock;
    }
}
