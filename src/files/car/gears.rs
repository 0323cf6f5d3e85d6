//! Gear sets and final drives.

use super::elsewhere;
use super::ratios::{by_speed, ratios};
use crate::car::offer::Terms;
use crate::car::{Drive, FinalDrive, FirstGear, Gearbox};
use crate::files::finding::quoted;
use crate::files::terms;
use crate::files::yaml::{Item, Map};
use crate::units::{self, TIME};

/// The keys of a gear set.
const KEYS: &[&str] = &[
    "name",
    "ratios",
    PER_1000_RPM,
    "shift_time",
    "first_gear",
    "efficiency",
    "price",
    "mass",
    "swap_time",
    "allowed_in",
];
/// Those that may stand in the car file itself where `gearbox` is not written.
const SHORT: [&str; 5] = [
    "ratios",
    PER_1000_RPM,
    "shift_time",
    "first_gear",
    "efficiency",
];
/// Road speed in each gear, in place of ratios.
pub const PER_1000_RPM: &str = "speed_per_1000_rpm";

/// Final drives that are read at all.
const FINAL_DRIVES: std::ops::RangeInclusive<f64> = 0.1..=20.0;
/// Final drives of cars with a crownwheel (common practice, no source).
const USUAL_FINAL_DRIVE: std::ops::RangeInclusive<f64> = 2.4..=8.0;
/// Halves of usual ones, as they are counted with one wheel turned and the other held: from 2.8, the least
/// that is common, to where usual ones begin.
const HALVED: std::ops::Range<f64> = 1.4..2.4;
/// Share of the torque that reaches the wheels of any driveline with gears (common practice, no source).
const LEAST_USUAL_EFFICIENCY: f64 = 0.6;
/// Seconds of a change of gear beyond which the figure is asked about (common practice, no source).
const LONGEST_USUAL_SHIFT: f64 = 3.0;
/// Time without drive of a change, s: the middle of 0.35 to 0.45, synchromesh (common practice).
const USUAL_SHIFT_TIME: f64 = 0.40;

/// What an optional gear set is read with.
pub struct Fitted<'a> {
    /// The gears in the car: what an option leaves out is as they are.
    pub gears: Option<&'a Gearbox>,
    /// The driven axle.
    pub drive: Drive,
    /// Currency of the prices.
    pub currency: Option<&'a str>,
    /// Final drive and rolling radius, m, of the car, where they are known.
    pub beyond: Option<(f64, f64)>,
}

/// The fitted gear set.
pub fn fitted(
    map: &Map,
    drive: Drive,
    currency: Option<&str>,
    beyond: Option<(f64, f64)>,
) -> Option<Gearbox> {
    let fitted = Fitted {
        gears: None,
        drive,
        currency,
        beyond,
    };
    let Some(item) = map.take("gearbox") else {
        return gear_set(map, false, &fitted);
    };
    for key in SHORT {
        if let Some(item) = map.take(key) {
            let text = format!("`{key}` stands beside `gearbox`");
            item.error_at_key(text, "write it inside `gearbox`");
        }
    }
    gear_set(&item.mapping_where(KEYS, elsewhere::TOLD)?, true, &fitted)
}

/// A gear set that could be fitted in place of the car's.
pub fn option(item: &Item, fitted: &Fitted) -> Option<Gearbox> {
    gear_set(&item.mapping_where(KEYS, elsewhere::TOLD)?, true, fitted)
}

/// The gear set of a mapping; `own` where name and terms in it are the gear set's.
fn gear_set(map: &Map, own: bool, context: &Fitted) -> Option<Gearbox> {
    let fitted = context.gears;
    let name = if own { map.take("name") } else { None };
    let name = name.and_then(|item| item.title());
    let terms = if own {
        terms::terms(map, context.currency)
    } else {
        Terms::default()
    };
    let ratios = match map.take(PER_1000_RPM) {
        Some(item) => told_by_chart(map, &item, context),
        None => map
            .require("ratios", "[2.94, 1.94, 1.36, 1.00]")
            .and_then(|item| ratios(&item)),
    };
    let first_gear = first_gear(map, fitted);
    let ratios = ratios?;
    Some(Gearbox {
        shift_times: shift_times(map, ratios.len() - 1, fitted)?,
        efficiency: efficiency(map, &ratios, fitted, context.drive)?,
        name,
        ratios,
        first_gear,
        terms,
    })
}

/// The ratios that the speeds of a gear chart tell.
fn told_by_chart(map: &Map, item: &Item, context: &Fitted) -> Option<Vec<f64>> {
    if map.has("ratios") {
        item.error_at_key(
            format!("`{PER_1000_RPM}` stands beside `ratios`"),
            "each tells the gears: keep one of them",
        );
        return None;
    }
    // What is missing of tyre and final drive is told where they stand.
    let ratios = by_speed(item, context.beyond?)?;
    let told: Vec<String> = ratios.iter().map(|ratio| format!("{ratio:.3}")).collect();
    map.assumed(
        "ratios",
        format!(
            "{}ratios {}, by `{PER_1000_RPM}`, tyre and final drive",
            of(map, context.gears),
            told.join(", ")
        ),
    );
    Some(ratios)
}

fn first_gear(map: &Map, fitted: Option<&Gearbox>) -> FirstGear {
    let words = [
        ("start only", FirstGear::StartOnly),
        ("any time", FirstGear::AnyTime),
    ];
    if let Some(item) = map.take("first_gear") {
        return item.one_of(&words).unwrap_or(FirstGear::StartOnly);
    }
    let first = fitted.map_or(FirstGear::StartOnly, |f| f.first_gear);
    let word = words
        .iter()
        .find(|(_, f)| *f == first)
        .map_or("", |(w, _)| w);
    map.assumed(
        "first_gear",
        format!("{}first gear: {word}", of(map, fitted)),
    );
    first
}

/// The name of an option in front of what is assumed for it.
fn of(map: &Map, fitted: Option<&Gearbox>) -> String {
    let name = fitted
        .and_then(|_| map.take("name"))
        .and_then(|item| item.word());
    name.map(|name| format!("{name}: ")).unwrap_or_default()
}

fn shift_times(map: &Map, changes: usize, fitted: Option<&Gearbox>) -> Option<Vec<f64>> {
    let Some(item) = map.take("shift_time") else {
        let known = fitted.map(|f| &f.shift_times).filter(|t| !t.is_empty());
        let times = match known {
            Some(times) if times.len() == changes => times.clone(),
            Some(times) => vec![times[0]; changes],
            None => vec![USUAL_SHIFT_TIME; changes],
        };
        if let Some(time) = times.first() {
            let text = format!("{}shift time {} s", of(map, fitted), units::plain(*time));
            map.assumed("shift_time", text);
        }
        return Some(times);
    };
    if item.is_mapping() {
        return times_by_change(&item, changes);
    }
    let items = item.one_or_more();
    let times: Vec<f64> = items.iter().map(shift_time).collect::<Option<_>>()?;
    match times.as_slice() {
        [time] => Some(vec![*time; changes]),
        _ if times.len() == changes => Some(times),
        _ => {
            let text = format!(
                "shift_time: {} times for {changes} changes of gear",
                times.len()
            );
            item.error(text, "write one time for all, or one for each change");
            None
        }
    }
}

fn shift_time(item: &Item) -> Option<f64> {
    let time = item.quantity_or_bare(&TIME, "s", 0.0..=5.0)?;
    if time > LONGEST_USUAL_SHIFT {
        let text = format!("{}: {time} s without drive at each change", item.name());
        item.warning(text, "most drivers take 0.2 to 0.6 s; check the figure");
    }
    Some(time)
}

/// `{1-2: 0.4 s, 2-3: 0.3 s}`.
fn times_by_change(item: &Item, changes: usize) -> Option<Vec<f64>> {
    let names: Vec<String> = (1..=changes).map(|k| format!("{k}-{}", k + 1)).collect();
    let mut times = vec![None; changes];
    let mut sound = true;
    for entry in item.entries()? {
        match names.iter().position(|name| name == entry.name()) {
            Some(k) => {
                times[k] = shift_time(&entry);
                sound &= times[k].is_some();
            }
            None => {
                let text = format!("{} is no change of these gears", quoted(entry.name()));
                entry.error_at_key(text, format!("write {}", names.join(", ")));
                sound = false;
            }
        }
    }
    let missing: Vec<&str> = (0..changes)
        .filter(|&k| times[k].is_none())
        .map(|k| names[k].as_str())
        .collect();
    if sound && !missing.is_empty() {
        let text = format!("shift_time: the time of {} is missing", missing.join(", "));
        item.error_at_key(text, format!("add `{}: 0.35 s`", missing[0]));
        sound = false;
    }
    sound.then(|| times.into_iter().flatten().collect())
}

/// Whether a gear drives straight through, without a pair of gears in mesh.
fn is_direct(ratio: f64) -> bool {
    (ratio - 1.0).abs() < 0.005
}

fn efficiency(
    map: &Map,
    ratios: &[f64],
    fitted: Option<&Gearbox>,
    drive: Drive,
) -> Option<Vec<f64>> {
    let Some(item) = map.take("efficiency") else {
        let (indirect, direct) = usual_efficiency(fitted, drive);
        let text = if indirect == direct {
            format!("efficiency {} %", units::plain(direct * 100.0))
        } else {
            let [indirect, direct] = [indirect, direct].map(|e| units::plain(e * 100.0));
            format!("efficiency {indirect} %, direct gear {direct} %")
        };
        map.assumed("efficiency", format!("{}{text}", of(map, fitted)));
        let of_gear = |r: &f64| if is_direct(*r) { direct } else { indirect };
        return Some(ratios.iter().map(of_gear).collect());
    };
    let items = item.one_or_more();
    let read: Vec<f64> = items
        .iter()
        .map(|i| i.share(0.05..=1.0))
        .collect::<Option<_>>()?;
    let least = read.iter().copied().fold(1.0, f64::min);
    if least < LEAST_USUAL_EFFICIENCY {
        let text = format!(
            "efficiency: {} % reaches the wheels",
            units::plain(least * 100.0)
        );
        item.warning(
            text,
            "what is lost is the rest to 100 %: 15 % lost is `85 %`",
        );
    }
    match read.as_slice() {
        [one] => Some(vec![*one; ratios.len()]),
        _ if read.len() == ratios.len() => Some(read),
        _ => {
            let text = format!(
                "efficiency: {} values for {} gears",
                read.len(),
                ratios.len()
            );
            item.error(text, "write one value for all, or one for each gear");
            None
        }
    }
}

/// Efficiency of an indirect and of a direct gear: as the fitted set has them, or by layout
/// (common practice): a live axle 0.90 and 0.92, a transverse engine 0.93, four driven wheels 0.88.
fn usual_efficiency(fitted: Option<&Gearbox>, drive: Drive) -> (f64, f64) {
    if let Some(fitted) = fitted {
        let gears = || fitted.ratios.iter().zip(&fitted.efficiency);
        let indirect = gears().find(|(r, _)| !is_direct(**r)).map(|(_, e)| *e);
        let direct = gears().find(|(r, _)| is_direct(**r)).map(|(_, e)| *e);
        if let Some(one) = indirect.or(direct) {
            return (indirect.unwrap_or(one), direct.unwrap_or(one));
        }
    }
    match drive {
        Drive::Rear => (0.90, 0.92),
        Drive::Front => (0.93, 0.93),
        Drive::All => (0.88, 0.88),
    }
}

/// The final drive that a measured speed tells where none is written.
pub fn told_by_speed(map: &Map, ratio: f64) -> Option<FinalDrive> {
    let item = map.take("measured_speed")?;
    if !FINAL_DRIVES.contains(&ratio) {
        let text = format!("measured_speed: with these gears it tells a final drive of {ratio:.3}");
        item.error(
            text,
            "check its gear, rpm and speed, and `ratios`; or write `final_drive`",
        );
        return None;
    }
    let text = format!("final drive {ratio:.2}, by `measured_speed`");
    map.assumed("final_drive", text);
    ask_usual(&item, ratio);
    Some(FinalDrive {
        ratio,
        teeth: None,
        drop_gear: None,
        terms: Terms::default(),
    })
}

/// Teeth and a ratio beside them agree within this share, and within the last figure that is written: one tooth
/// more or less of a crownwheel changes its ratio by 2 % and more.
const SAME_RATIO: f64 = 0.015;

/// A final drive: a number, teeth in either order, or a mapping with these and terms.
pub fn final_drive(item: &Item, currency: Option<&str>) -> Option<FinalDrive> {
    if !item.is_mapping() {
        return ratio_or_teeth(item);
    }
    let map = item.mapping(&["teeth", "ratio", "price", "mass", "swap_time", "allowed_in"])?;
    let terms = terms::terms(&map, currency);
    let found = match (map.take("teeth"), map.take("ratio")) {
        (Some(teeth), Some(ratio)) => both(&teeth, &ratio)?,
        _ => ratio_or_teeth(&map.either(&["teeth", "ratio"], Some("teeth: 9/38"))?)?,
    };
    Some(FinalDrive { terms, ..found })
}

/// Teeth with a ratio beside them: the teeth, where both say the same.
fn both(teeth: &Item, ratio: &Item) -> Option<FinalDrive> {
    let by_teeth = ratio_or_teeth(teeth)?;
    let written = ratio.word().unwrap_or_default();
    let said = as_written(ratio)?.ratio;
    let decimals = written
        .split_once(['.', ','])
        .map_or(0, |(_, after)| after.trim().len());
    let last = 0.1_f64.powi(decimals as i32);
    let off = (by_teeth.ratio - said).abs();
    if off > last || off > SAME_RATIO * said {
        let text = format!(
            "{} is {}, not {written}",
            teeth.word().unwrap_or_default().trim(),
            units::plain((100.0 * by_teeth.ratio).round() / 100.0)
        );
        ratio.error(text, "count the teeth, and keep the right one");
        return None;
    }
    Some(by_teeth)
}

fn ratio_or_teeth(item: &Item) -> Option<FinalDrive> {
    if let Some(teeth) = item.word().and_then(as_date) {
        let text = format!(
            "{}: {} is a date",
            item.name(),
            quoted(item.word().unwrap_or_default())
        );
        item.error(
            text,
            format!("did a spreadsheet make it of `{teeth}`? write the teeth"),
        );
        return None;
    }
    let found = as_written(item)?;
    ask_usual(item, found.ratio);
    Some(found)
}

/// Asks about a final drive that few cars have.
fn ask_usual(item: &Item, ratio: f64) {
    if USUAL_FINAL_DRIVE.contains(&ratio) {
        return;
    }
    let text = format!(
        "{}: {} to 1 is an unusual final drive",
        item.name(),
        units::plain(ratio)
    );
    let remedy = match HALVED.contains(&ratio) {
        true => format!(
            "right for a chain or a drop box; counted with one wheel turned and the other held it shows half, and is \
             {}",
            units::plain(2.0 * ratio)
        ),
        false => "right for a chain or a drop box; otherwise check the figure".to_owned(),
    };
    item.warning(text, remedy);
}

fn as_written(item: &Item) -> Option<FinalDrive> {
    let word = item.scalar("a final drive, as in `4.22` or `9/38`")?;
    let plain = |ratio, teeth| FinalDrive {
        ratio,
        teeth,
        drop_gear: None,
        terms: Terms::default(),
    };
    if !word.contains(['/', ':']) {
        return item.number(FINAL_DRIVES).map(|ratio| plain(ratio, None));
    }
    let (one, other) = teeth(item, "pinion and crownwheel as in `9/38`")?;
    let (pinion, wheel) = (one.min(other), one.max(other));
    Some(plain(
        f64::from(wheel) / f64::from(pinion),
        Some((pinion, wheel)),
    ))
}

/// Teeth of which a spreadsheet made a month and a year, as `Sep 38` of 9/38, or a day and a month, as `28-Sep` of
/// 9/28.
fn as_date(word: &str) -> Option<String> {
    const MONTHS: [&str; 12] = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let word = word.to_lowercase();
    let (one, other) = word.split_once([' ', '-', '.'])?;
    let month = |word: &str| {
        let at = MONTHS.iter().position(|known| word.starts_with(known));
        at.map(|at| at + 1)
    };
    let number = |word: &str| word.trim().parse::<u32>().ok();
    let day = |other: &str| month(other.trim_start_matches([' ', '-', '.'])).zip(number(one));
    match month(one) {
        Some(month) => Some(format!("{month}/{}", number(other)? % 100)),
        None => day(other).map(|(month, day)| format!("{month}/{day}")),
    }
}

/// Numbers of teeth in either order.
pub fn teeth(item: &Item, example: &str) -> Option<(u32, u32)> {
    let word = item.scalar(example)?;
    let one = |text: &str| {
        text.trim()
            .parse::<u32>()
            .ok()
            .filter(|n| (1..=300).contains(n))
    };
    let read = word
        .split_once(['/', ':'])
        .and_then(|(a, b)| one(a).zip(one(b)));
    if read.is_none() {
        let text = format!("{}: {} are no numbers of teeth", item.name(), quoted(word));
        item.error(text, format!("write {example}"));
    }
    read
}
