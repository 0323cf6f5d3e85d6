//! A track from a logged run.

use std::path::PathBuf;

use super::path::{self, Surveyed};
use super::told;
use crate::files::finding::{Findings, Severity};
use crate::files::log::{self, Log};
use crate::files::source::Mark;
use crate::files::yaml::Item;
use crate::units::LENGTH;
use crate::venue::log::{LogError, Logged, Request, dropouts, gears, read};
use crate::venue::path::clean::Note;
use crate::venue::path::cut::Lap;
use crate::venue::{LogFacts, Start};

const KEYS: &[&str] = &["file", "lap", "from", "to", "smoothing", "lateral"];

/// What the track says of its log.
struct Wanted {
    file: PathBuf,
    request: Request,
    /// Lateral acceleration is positive to the right in this log.
    right: bool,
}

/// Reads the log of a track: the road, what it shows, and how the run began.
pub(super) fn logged(item: &Item, closed: bool) -> Option<(Surveyed, LogFacts, Option<Start>)> {
    let wanted = wanted(item, closed)?;
    let mut found = Findings::new();
    let done = log_file(item, &wanted, &mut found);
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
            right: false,
        });
    }
    let map = item.mapping(KEYS)?;
    let file = map
        .require("file", "run-2.csv")
        .and_then(|file| file.text());
    if let Some(item) = map.take("lap") {
        request.lap = path::lap(&item, closed)?;
    }
    for (key, place) in [("from", &mut request.from), ("to", &mut request.to)] {
        if let Some(item) = map.take(key) {
            *place = Some(path::place_of(&item)?);
        }
    }
    if let Some(item) = map.take("smoothing") {
        request.width = Some(item.quantity_or_bare(&LENGTH, "m", 1.0..=500.0)?);
    }
    let right = match map.take("lateral") {
        Some(item) => item.one_of(&[("left positive", false), ("right positive", true)])?,
        None => false,
    };
    Some(Wanted {
        file: item.beside(&file?),
        request,
        right,
    })
}

fn log_file(
    item: &Item,
    wanted: &Wanted,
    findings: &mut Findings,
) -> Option<(Surveyed, LogFacts, Option<Start>)> {
    let mut log = log::read(&wanted.file, findings)?;
    if wanted.right {
        log.run
            .lateral
            .iter_mut()
            .flatten()
            .for_each(|lateral| *lateral = -*lateral);
    }
    if wanted.request.closed && log.run.fixes.is_none() {
        let asked = match wanted.request.lap {
            Lap::Number(number) => Some(number),
            Lap::Fastest => None,
        };
        log.only_lap(asked, findings)?;
    }
    if !(wanted.request.closed && log.run.fixes.is_some()) {
        tell_halts(&log, findings)?;
    }
    let logged = match read(&log.run, &wanted.request) {
        Ok(logged) => logged,
        Err(error) => {
            refuse(item, &log, &error, findings);
            return None;
        }
    };
    tell(item, &log, &logged);
    let seen = log
        .run
        .rpm
        .as_ref()
        .map(|rpm| gears::seen(rpm, &log.run.speed));
    let facts = LogFacts {
        time: logged.time,
        apexes: logged.apexes.len(),
        shown: logged.shown,
        gears: seen.unwrap_or_default(),
    };
    let start = logged.standing.then_some(Start::Standing).or_else(|| {
        let first = log.run.speed.first().copied()?;
        (!wanted.request.closed).then_some(Start::Rolling(first))
    });
    let heights = log.run.fixes.iter().flatten().filter_map(|fix| fix.height);
    let (sum, count) = heights.fold((0.0, 0), |(sum, count), h| (sum + h, count + 1));
    let surveyed = Surveyed {
        height: (count > 0).then(|| sum / f64::from(count)),
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

/// Tells of halts amid a run; refused where the road is known by its speed alone, in which a halt is
/// a corner taken at no speed.
fn tell_halts(log: &Log, findings: &mut Findings) -> Option<()> {
    let halts = dropouts::halts(&log.run.time, &log.run.speed);
    let Some(first) = halts.first() else {
        return Some(());
    };
    let blind = log.run.fixes.is_none() && log.run.lateral.is_none();
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

fn refuse(item: &Item, log: &Log, error: &LogError, findings: &mut Findings) {
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
            None => item.finding(Severity::Error, error.to_string()),
        },
        _ => log
            .source
            .finding(Severity::Error, Mark::default(), error.to_string()),
    };
    let remedy = match error {
        LogError::Short(_) | LogError::Empty => "log the whole of a run, ten rows a second or more",
        LogError::Backwards { .. } => "one run to a file, its rows in order",
        LogError::NotFinite { .. } => "take the row out",
        LogError::TooFast { .. } => "check the unit of the speeds, or take the row out",
        LogError::Long(_) => "one run, lap or stage to a file",
        LogError::Path(error) => path::remedy(error),
    };
    findings.push(finding.remedy(remedy));
}

fn tell(item: &Item, log: &Log, logged: &Logged) {
    // Pauses of a log are told by its times.
    let road = |note: &&Note| !matches!(note, Note::Holes { .. });
    for note in logged.notes.iter().filter(road) {
        told::tell_note(item, note, &|fix| (log.source.clone(), log.mark(fix)));
    }
    match (&logged.road, &log.run.fixes) {
        (None, _) => item.assumed(
            "slope",
            "a level road, straight between its apexes: the log has neither positions nor lateral \
             acceleration",
        ),
        (Some(road), _) if !road.heights => {
            item.assumed("slope", "a level road: the log has no heights");
        }
        _ => {}
    }
    if logged.apexes.is_empty() {
        item.warning(
            "the speed dips for no corner of this log",
            "a venue needs a run driven at speed",
        );
    }
    item.assumed(
        "corner speeds",
        "corners are taken as fast as the log shows, with its car and grip",
    );
}
