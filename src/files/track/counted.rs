//! Laps, or runs over an open road, that a column of a log counts.

use super::{lap_times, path, told};
use crate::files::finding::Severity;
use crate::files::log::{Log, Taken};
use crate::files::source::Mark;
use crate::files::yaml::Item;
use crate::venue::log::Request;
use crate::venue::path::cut::Lap;
use crate::venue::path::laps::Seen;

/// Leaves one of several runs over an open road that a column counts.
pub(super) fn choose_pass(
    item: &Item,
    log: &mut Log,
    closed: bool,
    asked: Option<usize>,
) -> Option<()> {
    // Rows that are of no run have none, or nought.
    let several = |passes: &&Vec<i64>| {
        let mut counted = passes.iter().filter(|number| **number > 0);
        let first = counted.next();
        counted.any(|number| Some(number) != first)
    };
    let counted = log
        .passes
        .as_ref()
        .filter(|passes| !closed && several(passes));
    let Some(passes) = counted.cloned() else {
        return match asked {
            Some(_) => path::lap(&path::said(item, "lap"), closed).map(|_| ()),
            None => Some(()),
        };
    };
    log.laps = Some(passes);
    let mut parts = log.parts();
    parts.retain(|(number, _)| *number > 0);
    let seen = log.seen(&parts);
    let times = lap_times::listed(&seen, |part| parts[part].0);
    let held = format!("the log holds {} runs over the road{times}", parts.len());
    let Some(number) = asked else {
        path::said(item, "file").error(
            format!("{held}: which of them is the road?"),
            "say it by its number, as in `log: {file: …, lap: 2}`",
        );
        return None;
    };
    if log.only_lap(Some(number)).is_err() {
        path::said(item, "lap").error(
            format!("{held}, and none is number {number}"),
            "take one that is there",
        );
        return None;
    }
    Some(())
}

/// Leaves the lap that is wanted of one that the logger counted, and says what is then left to look for. Positions
/// tell laps of their own where nobody counted or where `from` says where the line is.
pub(super) fn choose_lap(item: &Item, log: &mut Log, mut request: Request) -> Option<Request> {
    let asked = match request.lap {
        Lap::Number(number) => Some(number),
        Lap::Fastest => None,
    };
    let (placed, counts) = (log.run.fixes.is_some(), log.counts());
    let counted = request.from.is_none() && (counts > 2 || counts > 1 && asked.is_some());
    if !request.closed || placed && !counted {
        return Some(request);
    }
    match log.only_lap(asked) {
        Ok(taken) => taken
            .filter(|_| asked.is_none())
            .into_iter()
            .for_each(|taken| tell_taken(item, log, &taken)),
        Err((text, remedy)) => {
            path::said(item, "lap").error(text, remedy);
            return None;
        }
    }
    if placed {
        request.lap = Lap::Fastest;
    }
    Some(request)
}

/// Which of several laps was taken that nobody named by its number.
fn tell_taken(item: &Item, log: &Log, taken: &Taken) {
    let Taken { index, laps, .. } = taken;
    let (lap, held) = (laps[*index].0, laps.len());
    let seen: Vec<Seen> = laps.iter().map(|(_, seen)| *seen).collect();
    let times = lap_times::listed(&seen, |lap| laps[lap].0);
    let why = lap_times::why(&seen, *index);
    if taken.fastest && told::says_lap(item) {
        item.assumed("lap", format!("lap {lap}, {why}, of {held}{times}"));
        return;
    }
    let why = match taken.fastest {
        true => format!(", {why},"),
        false => String::new(),
    };
    let text = format!("the log holds {held} laps{times}; lap {lap}{why} is taken");
    let finding = log.source.finding(Severity::Warning, Mark::default(), text);
    item.push(finding.remedy("choose another as in `{file: …, lap: 2}`"));
}
