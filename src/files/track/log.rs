//! A track from a logged run.

use std::path::PathBuf;

use super::moments::Moments;
use super::path::{self, Surveyed};
use super::{counted, goes_on, rounds, sampled, stretch, told};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::log::{self, Log};
use crate::files::source::Mark;
use crate::files::yaml::Item;
use crate::units::{KILOMETRE_PER_HOUR, LENGTH};
use crate::venue::log::{FlatOut, LogError, Logged, Request, dropouts, gears, read};
use crate::venue::path::clean::PathError;
use crate::venue::path::note::Note;
use crate::venue::path::stands::Stood;
use crate::venue::{LogFacts, Start};

const KEYS: &[&str] = &["file", "sheet", "lap", "from", "to", "smoothing", "lateral"];

/// To which side lateral acceleration is positive; whether that is the right.
const SIGNS: &[(&str, bool)] = &[
    ("left positive", false),
    ("right positive", true),
    ("left", false),
    ("right", true),
];

/// What the track says of its log.
struct Wanted {
    file: PathBuf,
    request: Request,
    moments: Moments,
    /// Which of several runs over an open road.
    pass: Option<usize>,
    /// Lateral acceleration is positive to the right in this log.
    right: Option<bool>,
}

/// Reads the log of a track: the road, what it shows, and how the run began. A time known for the road, s, tells
/// whether the log goes on behind it.
pub(super) fn logged(
    item: &Item,
    closed: bool,
    known: Option<f64>,
) -> Option<(Surveyed, LogFacts, Option<Start>)> {
    let wanted = wanted(item, closed)?;
    let mut found = Findings::new();
    let done = log_file(item, &wanted, known, &mut found);
    item.opened_for(&found);
    for finding in found {
        item.push(path::at_name(item, &wanted.file, finding));
    }
    done
}

fn wanted(item: &Item, closed: bool) -> Option<Wanted> {
    let mut request = Request {
        closed,
        ..Request::default()
    };
    if !item.is_mapping() {
        return Some(Wanted {
            file: item.beside(&item.text()?),
            request,
            moments: Moments::default(),
            pass: None,
            right: None,
        });
    }
    let map = item.mapping(KEYS)?;
    let file = map
        .require("file", "run-2.csv")
        .and_then(|file| file.text());
    let sheet = match map.take("sheet") {
        Some(sheet) => Some(sheet.text()?),
        None => None,
    };
    let mut pass = None;
    if let Some(item) = map.take("lap") {
        match closed {
            true => request.lap = path::lap(&item, closed)?,
            false => pass = Some(item.integer(1..=10_000)? as usize),
        }
    }
    let moments = path::ends(&map, &mut request.from, &mut request.to)?;
    if let Some(item) = map.take("smoothing") {
        request.width = Some(item.quantity_or_bare(&LENGTH, "m", 1.0..=500.0)?);
    }
    let right = match map.take("lateral") {
        Some(item) => Some(item.one_of(SIGNS)?),
        None => None,
    };
    Some(Wanted {
        file: match sheet {
            Some(sheet) => item.beside(&file?).join(sheet),
            None => item.beside(&file?),
        },
        request,
        moments,
        pass,
        right,
    })
}

fn log_file(
    item: &Item,
    wanted: &Wanted,
    known: Option<f64>,
    findings: &mut Findings,
) -> Option<(Surveyed, LogFacts, Option<Start>)> {
    let part = |times: &[Option<f64>]| wanted.moments.rows(item, times);
    let mut log = log::read_part(&wanted.file, &part, findings)?;
    if wanted.right == Some(true) {
        log.run
            .lateral
            .iter_mut()
            .flatten()
            .for_each(|lateral| *lateral = -*lateral);
    }
    counted::choose_pass(item, &mut log, wanted.request.closed, wanted.pass)?;
    let laps = log.counts();
    let request = counted::choose_lap(item, &mut log, wanted.request)?;
    let request = stretch::cut(item, &mut log, request)?;
    tell_gaps(&log, laps, findings);
    let cut = request.from.is_some() || request.to.is_some();
    if log.run.fixes.is_none() || !request.closed && !cut {
        tell_halts(&log, findings)?;
    }
    let logged = match read(&log.run, &request) {
        Ok(logged) => logged,
        Err(error) => {
            let elsewhere = |error: &PathError| {
                path::asked(item, error, &(&request).into())
                    .finding(Severity::Error, error.to_string())
            };
            findings.push(refusal(&log, &error, &elsewhere));
            return None;
        }
    };
    if log.run.fixes.is_some() && !request.closed && cut && logged.stood > 0.0 {
        tell_halts(&log, findings)?;
    }
    refuse_several(item, &log, &logged)?;
    tell(item, &log, &logged);
    if log.run.fixes.is_none() && log.run.lateral.is_some() && wanted.right.is_none() {
        let what = match log.yaw {
            true => "the yaw rate is positive to the left",
            false => "acceleration across the road is positive to the left",
        };
        item.assumed("lateral", what);
    }
    let ends = wanted.request.to.is_some() || wanted.moments.end();
    if let Some(known) = known.filter(|_| !wanted.request.closed && !ends) {
        goes_on::ask(item, &log, known);
    }
    let seen = log
        .run
        .rpm
        .as_ref()
        .map(|rpm| gears::seen(rpm, &log.run.speed));
    let facts = LogFacts {
        time: logged.time,
        within: within(&log, &logged),
        apexes: logged.apexes.len(),
        shown: logged.shown,
        gears: seen.unwrap_or_default(),
        turned: logged.turned.clone(),
    };
    let start = logged
        .standing
        .then_some(Start::Standing)
        .or_else(|| (!wanted.request.closed).then_some(Start::Rolling(logged.entry)));
    let heights = log.run.fixes.iter().flatten().filter_map(|fix| fix.height);
    let (sum, count) = heights.fold((0.0, 0), |(sum, count), h| (sum + h, count + 1));
    let surveyed = Surveyed {
        height: (count > 0)
            .then(|| sum / f64::from(count))
            .or(logged.climb.as_ref().map(|climb| climb.height)),
        slopes: logged.climb.map_or_else(Vec::new, |climb| climb.stretches),
        bearing: logged
            .road
            .as_ref()
            .filter(|_| log.run.fixes.is_some())
            .map(path::bearing),
        closed: wanted.request.closed && logged.road.as_ref().is_none_or(|road| road.closed),
        layout: logged.layout,
    };
    Some((surveyed, facts, start))
}

/// Asks about what is not known of the rows that are left; of several laps another may be whole.
fn tell_gaps(log: &Log, laps: usize, findings: &mut Findings) {
    let lines = log.rows.first().zip(log.rows.last());
    let left = |finding: &&Finding| {
        let line = finding
            .position
            .as_ref()
            .map_or(0, |position| position.line);
        // A pause before the first row is no part of it.
        lines.is_none_or(|(first, last)| (*first + 1..=*last).contains(&line))
    };
    for finding in log.gaps.iter().filter(left) {
        findings.push(match laps > 2 {
            true => finding.clone().remedy("where another lap is whole take that, as in `{file: …, lap: 3}`; or log the run again"),
            false => finding.clone(),
        });
    }
}

/// Refuses to choose a lap where nothing tells the laps of a log apart.
fn refuse_several(item: &Item, log: &Log, logged: &Logged) -> Option<()> {
    let chosen = logged.rounds.as_ref().filter(|_| told::says_lap(item));
    let Some(laps) = chosen.and_then(|rounds| rounds::held(log, rounds)) else {
        return Some(());
    };
    path::said(item, "lap").error(
        format!(
            "no lap of this log can be told: it seems to hold {laps:.0}, and without positions and without a column \
             `lap` it is one lap"
        ),
        "cut the file to the lap that is meant, or add a column `lap` that counts them; of one lap leave `lap` out",
    );
    None
}

/// How well the time of a log is known, s: positions tell where between two rows the line was crossed.
fn within(log: &Log, logged: &Logged) -> f64 {
    let usual = log.usual_step();
    let crossed = logged.road.as_ref().is_some_and(|road| road.closed) && log.run.fixes.is_some();
    if crossed { 0.1 * usual } else { usual }
}

/// Tells of halts amid a run; refused where the road is known by its speed, in which a halt is a corner taken
/// at no speed.
fn tell_halts(log: &Log, findings: &mut Findings) -> Option<()> {
    let halts = dropouts::halts(&log.run.time, &log.run.speed);
    let Some(first) = halts.first() else {
        return Some(());
    };
    let blind = log.run.fixes.is_none();
    let severity = if blind {
        Severity::Error
    } else {
        Severity::Warning
    };
    let seconds = log.run.time[first.end] - log.run.time[first.start];
    let more = match halts.len() {
        1 => String::new(),
        count => format!(" ({count} times in this log)"),
    };
    let text = format!("the car stands for {seconds:.0} s from this row, amid the run{more}");
    let finding = log.source.finding(severity, log.mark(first.start), text);
    findings.push(finding.remedy("cut the file to a run without a halt, or log the run again"));
    (!blind).then_some(())
}

/// What any track would refuse in a log that none names yet.
pub(in crate::files) fn unnamed(mut log: Log, findings: &mut Findings) {
    tell_gaps(&log, log.counts(), findings);
    if log.run.fixes.is_none() {
        let cut = log.only_lap(None);
        if cut.is_err() || tell_halts(&log, findings).is_none() {
            return;
        }
    }
    let tried = |closed| {
        let request = Request {
            closed,
            ..Request::default()
        };
        read(&log.run, &request)
    };
    if let (Err(error), Err(_)) = (tried(false), tried(true)) {
        let whole = |error: &PathError| {
            log.source
                .finding(Severity::Error, Mark::default(), error.to_string())
        };
        findings.push(refusal(&log, &error, &whole));
    }
}

/// Why a log was refused, at its place; `elsewhere` where it has none of its own.
fn refusal(log: &Log, error: &LogError, elsewhere: &dyn Fn(&PathError) -> Finding) -> Finding {
    let finding = match error {
        LogError::NotFinite { row }
        | LogError::TooFast { row, .. }
        | LogError::Backwards { row, .. } => {
            log.source
                .finding(Severity::Error, log.mark(row - 1), error.to_string())
        }
        LogError::Path(error) => match error.fix() {
            Some(fix) => log
                .source
                .finding(Severity::Error, log.mark(fix), error.to_string()),
            None => elsewhere(error),
        },
        _ => log
            .source
            .finding(Severity::Error, Mark::default(), error.to_string()),
    };
    let remedy = match error {
        LogError::Short(_) | LogError::Empty => "log the whole of a run, ten rows a second or more",
        LogError::Backwards { .. } => "one run to a file, its rows in order",
        LogError::NotFinite { .. } => "take the row out",
        LogError::Unplaced => "log positions too, or cut its rows",
        LogError::TooFast { .. } => {
            "check the unit of the speeds; were decimals lost in a spreadsheet, 677 for 67.7? else take the row out"
        }
        LogError::Long(_) => "one run, lap or stage to a file",
        LogError::Path(error) => {
            let fixes = log.run.fixes.as_deref().unwrap_or_default();
            return finding.remedy(path::remedy(error, fixes));
        }
    };
    finding.remedy(remedy)
}

fn tell(item: &Item, log: &Log, logged: &Logged) {
    // Pauses of a log are told by its times, and halts by its speed.
    let halts = !dropouts::halts(&log.run.time, &log.run.speed).is_empty();
    let road = |note: &&Note| match note {
        Note::Holes { .. } => false,
        Note::Stands { place, .. } => !(halts && *place == Stood::Way),
        _ => true,
    };
    for note in logged.notes.iter().filter(road) {
        told::tell_note(item, note, &|fix| (log.source.clone(), log.mark(fix)));
    }
    sampled::tell(log, logged)
        .into_iter()
        .for_each(|finding| item.push(finding));
    match (&logged.road, &log.run.fixes) {
        (None, _) => {
            let level = if logged.climb.is_some() {
                "a road"
            } else {
                "a level road,"
            };
            let text = format!(
                "{level} straight between its apexes: the log has neither positions nor lateral acceleration"
            );
            let unread: Vec<String> = log.unread.iter().map(|name| quoted(name)).collect();
            item.assumed(
                "slope",
                match unread.is_empty() {
                    true => text,
                    false => format!("{text}, and {} is not read", unread.join(", ")),
                },
            );
        }
        (Some(road), _) if !road.heights && logged.climb.is_none() => {
            item.assumed("slope", told::level_road(&logged.notes, "log"));
        }
        (Some(road), Some(_)) => {
            let rough = told::rough_heights(road).into_iter();
            rough.for_each(|text| item.assumed("slope", text));
        }
        _ => {}
    }
    if logged.stood > 0.0 && logged.road.as_ref().is_some_and(|road| road.closed) {
        let text = format!("the car stands for {:.0} s in the lap taken", logged.stood);
        let finding = log.source.finding(Severity::Warning, Mark::default(), text);
        item.push(finding.remedy("take a lap without a halt, as in `{file: …, lap: 2}`"));
    }
    if let Some(flat) = &logged.flat_out {
        item.push(tell_flat_out(log, flat));
    }
    if let Some(rounds) = &logged.rounds {
        rounds::tell(log, rounds)
            .into_iter()
            .for_each(|finding| item.push(finding));
    }
    if logged.apexes.is_empty() {
        item.warning(
            "the speed dips for no corner of this log",
            "a venue needs a run driven at speed",
        );
    }
    let speeds = match logged.road {
        Some(_) => {
            "corners driven at the limit are taken as fast as the log shows, with its car and grip, the others by \
             the car's grip"
        }
        None => "corners are taken as fast as the log shows, with its car and grip",
    };
    item.assumed("corner speeds", speeds);
}

/// Says that the highest speed, where it is kept, was taken for a straight.
fn tell_flat_out(log: &Log, flat: &FlatOut) -> Finding {
    let row = log.run.time.partition_point(|t| *t < flat.from);
    let text = format!(
        "the speed stays at its highest, {:.0} km/h, for {:.0} s in all: taken as straight, with an engine at \
         its limit",
        flat.speed / KILOMETRE_PER_HOUR,
        flat.time
    );
    let finding = log.source.finding(Severity::Warning, log.mark(row), text);
    finding
        .remedy("where a corner holds it there, log positions or acceleration across the road too")
}
