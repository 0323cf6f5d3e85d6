//! What was mended in a path, and what its user should know.

use super::{lap_times, scattered};
use crate::files::finding::Severity;
use crate::files::path::{Line, Lines, Order};
use crate::files::source::{Mark, Source};
use crate::files::yaml::Item;
use crate::units::STANDARD_GRAVITY;
use crate::venue::path::coarse::Coarse;
use crate::venue::path::laps::Seen;
use crate::venue::path::note::Note;
use crate::venue::path::road::{Road, Step};
use crate::venue::path::stands::Stood;
use crate::venue::path::survey::Survey;

/// Coarse corners that are listed one by one.
const LISTED: usize = 5;
/// Heights that scatter by less hide no hill that moves a time, m.
const ROUGH: f64 = 0.7;
/// Hills lower than so many times the scatter of heights are taken for errors.
const LOST: f64 = 3.0;
/// A road that begins no farther from the first point begins there, km.
const AT_START: f64 = 0.1;
/// A line for laps no farther from the first point is there, m.
const LINE_MOVED: f64 = 30.0;

/// What was mended and where the path says too little.
pub(super) fn tell(item: &Item, lines: &Lines, line: &Line, survey: &Survey) {
    let warn = |text: String, remedy: &str| item.warning(text, remedy);
    for note in &survey.notes {
        tell_note(item, note, &|fix| {
            (lines.source.clone(), lines.mark(line, fix))
        });
    }
    let (level, length) = (survey.road.level, survey.road.length());
    let flat = survey
        .notes
        .iter()
        .any(|note| matches!(note, Note::Flat { .. }));
    if flat && !survey.road.closed {
        warn(
            level_road(&survey.notes, "path"),
            "write the climb along it, as in `along: [{from: 0 m, to: 2.3 km, slope: 8 %}]`: heights of finish less start, \
             over the length; nothing needs doing where it is level",
        );
    } else if !survey.road.heights {
        item.assumed("slope", level_road(&survey.notes, "path"));
    } else if level > 1.0 {
        warn(
            format!("no heights over {level:.0} m of {length:.0} m: taken as level there"),
            "add heights, or slopes with `along`",
        );
    } else if let Some(text) = rough_heights(&survey.road) {
        item.assumed("slope", text);
    }
    tell_steep(item, survey);
    // Where points scatter, corners between too few of them are made of errors.
    if !scattered::tell(item, survey) {
        let recorded = line.fixes.iter().any(|fix| fix.time.is_some());
        tell_coarse(item, &survey.coarse, recorded);
    }
}

/// What heights that scatter about a road leave of its hills.
pub(super) fn rough_heights(road: &Road) -> Option<String> {
    let scatter = road.height_scatter;
    (scatter > ROUGH).then(|| {
        format!(
            "the slopes of heights that scatter by {scatter:.1} m about the road: hills of less than {:.0} m may be lost",
            LOST * scatter
        )
    })
}

/// Why a road is level.
pub(super) fn level_road(notes: &[Note], what: &str) -> String {
    let flat = notes.iter().find_map(|note| match note {
        Note::Flat { metres } => Some(metres),
        _ => None,
    });
    match flat {
        Some(metres) => {
            format!("a level road: the heights are all {metres:.0} m, as where nobody knows them")
        }
        None => format!("a level road: the {what} has no heights"),
    }
}

fn tell_coarse(item: &Item, coarse: &[Coarse], recorded: bool) {
    let (what, remedy) = match recorded {
        true => (
            "recording",
            "record more points a second, or put points along the road there by hand",
        ),
        false => ("map", "put points closer together there"),
    };
    for place in coarse.iter().take(LISTED) {
        item.warning(
            format!(
                "the {what} is too coarse {:.2} km from the start: a corner of {:.0}° lies between points \
                 {:.0} m apart",
                place.at / 1000.0,
                place.turn.to_degrees(),
                place.chord
            ),
            format!("{remedy}: at least three in each corner, or write `pieces` with its radius"),
        );
    }
    if coarse.len() > LISTED {
        let more = coarse.len() - LISTED;
        item.warning(
            format!("the {what} is too coarse in {more} more corners"),
            remedy,
        );
    }
}

/// No road is steeper than this for long, tangent, as in sketches; where it is for so far, m, its heights
/// are asked about.
const STEEP: (f64, f64) = (0.3, 30.0);

/// Asks about slopes that hardly any road has.
fn tell_steep(item: &Item, survey: &Survey) {
    let steep = |step: &&Step| step.slope.abs() > STEEP.0;
    let steps = || survey.road.steps.iter().filter(steep);
    let length: f64 = steps().map(|step| step.length).sum();
    if length < STEEP.1 {
        return;
    }
    let steepest = steps().map(|step| step.slope.abs()).fold(0.0, f64::max);
    item.warning(
        format!(
            "the heights make slopes of up to {:.0} %, and more than 30 % over {length:.0} m: hardly any \
             road is so steep",
            100.0 * steepest
        ),
        "check the heights and their unit: those in feet are 3.28 times as high; in a table write \
         `height (ft)`",
    );
}

/// Asks whether a line that ends where it begins is a loop.
pub(super) fn ends_where_it_begins(item: &Item, line: &Line) {
    let [first, .., last] = line.fixes.as_slice() else {
        return;
    };
    if first.place == last.place && first.time.is_none() {
        item.warning(
            "the line ends at the very point where it begins, and a road of this kind does not",
            "write `kind: circuit`, or take out the last point, or cut with `to`",
        );
    }
}

/// Tells of parts that are not in driving order.
pub(super) fn tell_order(item: &Item, line: &Line, reverse: bool) {
    match line.order {
        Some(Order::Backwards) if !reverse => item.warning(
            "the parts of this line go on from each other only backwards: the first is driven from its end, and \
             the others too",
            "write `reverse: true` where the parts were drawn as they are driven",
        ),
        Some(Order::Apart(gap)) => item.warning(
            format!(
                "the parts of this line do not meet in the order given, by {gap:.0} m, and would in \
                 another"
            ),
            "put the parts into driving order, or write them as one line",
        ),
        _ => {}
    }
}

/// Pieces of the road that a recording lacks.
fn tell_holes(item: &Item, note: &Note, place: &dyn Fn(usize) -> (Source, Mark)) {
    let Note::Holes {
        fix,
        at,
        metres,
        seconds,
        count,
    } = *note
    else {
        return;
    };
    let (source, mark) = place(fix);
    let more = match count {
        1 => String::new(),
        2 => ", and another".to_owned(),
        _ => format!(", and {} more", count - 1),
    };
    let text = format!(
        "after this point, {:.2} km from its start, the recording lacks {seconds:.0} s and {metres:.0} m of \
         road{more}: what lies there is guessed from the points about it",
        at / 1000.0
    );
    let finding = source.finding(Severity::Warning, mark, text);
    item.push(finding.remedy("record it again, or put points along the road there by hand"));
}

/// Which of several laps was taken, and where the line is.
fn tell_laps(item: &Item, laps: &[Seen], taken: usize, asked: bool, line: f64) {
    let (says, found) = (says_lap(item), laps.len());
    let timed = laps[taken - 1].seconds.is_some();
    lap_times::ask_whole(item, laps, taken);
    if (says && timed || asked || found == 1) && line > LINE_MOVED {
        let text = format!(
            "the lap begins at a line across the straightest road, {:.2} km after the first point: \
             `from: {{lat: …, lon: …}}` names another",
            line / 1000.0
        );
        item.assumed("lap", text);
    }
    if asked || found == 1 {
        return;
    }
    let moved = match line > LINE_MOVED {
        true => format!(
            " between passes of a line across the straightest road, {:.2} km after its first point",
            line / 1000.0
        ),
        false => String::new(),
    };
    let whole = if moved.is_empty() { "" } else { " whole" };
    let times = lap_times::listed(laps, |lap| lap as i64 + 1);
    if says && timed {
        let why = lap_times::why(laps, taken - 1);
        let text = format!("lap {taken}, {why}, of {found}{times}");
        item.assumed("lap", text);
        return;
    }
    let (untimed, remedy) = if says {
        (
            ", and no times tell the fastest",
            "choose one as in `{file: …, lap: 2}`",
        )
    } else if moved.is_empty() {
        ("", "choose another as in `{file: …, lap: 2}`")
    } else {
        (
            "",
            "choose another as in `{file: …, lap: 2}`, and the line with `from: {lat: …, lon: …}`",
        )
    };
    let why = match timed {
        true => format!(", {},", lap_times::why(laps, taken - 1)),
        false => String::new(),
    };
    item.warning(
        format!(
            "the path holds {found}{whole} laps{moved}{times}{untimed}; lap {taken}{why} is taken"
        ),
        remedy,
    );
}

/// Whether the file chooses a lap itself.
pub(super) fn says_lap(item: &Item) -> bool {
    let names_it = |entries: Vec<Item>| entries.iter().any(|entry| entry.name() == "lap");
    item.is_mapping() && item.entries().is_some_and(names_it)
}

/// What was mended; `place` gives the file and the place of a fix.
pub(super) fn tell_note(item: &Item, note: &Note, place: &dyn Fn(usize) -> (Source, Mark)) {
    let warn = |text: String, remedy: &str| item.warning(text, remedy);
    match *note {
        Note::Repeats(count) => warn(
            format!("{count} points of the path repeat the one before and were left out"),
            "nothing needs doing",
        ),
        Note::Stands {
            place,
            count,
            fixes,
            seconds,
        } => tell_stands(item, place, count, fixes, seconds),
        Note::Spike { fix, metres } => {
            let (source, mark) = place(fix);
            let text =
                format!("this point lies {metres:.0} m aside of its neighbours and was left out");
            item.push(source.finding(Severity::Warning, mark, text));
        }
        Note::Thrown { fix, metres, count } => {
            let (source, mark) = place(fix);
            let these = match count {
                1 => format!("this point lies {metres:.0} m off the line of its neighbours"),
                _ => format!(
                    "this point and {} more lie up to {metres:.0} m off the line of their neighbours",
                    count - 1
                ),
            };
            let text = format!("{these}, out and back as no car goes: left out");
            let finding = source.finding(Severity::Warning, mark, text);
            item.push(finding.remedy("nothing needs doing"));
        }
        Note::Beyond {
            place,
            fixes,
            metres,
            seconds,
        } => tell_beyond(item, place, fixes, metres, seconds),
        // Told with the slope.
        Note::Flat { .. } => {}
        Note::Again { from, to, first } => tell_again(item, from, to, first),
        Note::Backwards { fix } => {
            let (source, mark) = place(fix);
            let text = "time goes backwards here: the times of this path are not used";
            item.push(source.finding(Severity::Warning, mark, text));
        }
        Note::Disordered { fix } => {
            let (source, mark) = place(fix);
            let text = "from here points are not in the order of their times, and were put in it";
            let finding = source.finding(Severity::Warning, mark, text);
            item.push(finding.remedy("nothing needs doing where the length is right"));
        }
        Note::Open { gap } => warn(
            format!("the loop is open by {gap:.0} m and was closed with a straight"),
            "record or draw the whole of a lap",
        ),
        Note::Laps {
            ref laps,
            taken,
            asked,
            line,
        } => tell_laps(item, laps, taken, asked, line),
        Note::Heights { fix, metres, count } => {
            let (source, mark) = place(fix);
            let text = format!(
                "heights such as {metres:.0} m here do not belong to this road and are left out: {count} in all"
            );
            let finding = source.finding(Severity::Warning, mark, text);
            item.push(
                finding.remedy("nothing needs doing where the slopes about it are the road's"),
            );
        }
        Note::Leaps { fix, metres, count } => {
            let (source, mark) = place(fix);
            let more = match count {
                1 => String::new(),
                count => format!(", the first of {count} times"),
            };
            let text = format!(
                "the positions leap {metres:.1} m within one row here{more}, as no car does: spread over the road \
                 about it"
            );
            let finding = source.finding(Severity::Warning, mark, text);
            item.push(finding.remedy("nothing needs doing where the corners there are the road's"));
        }
        Note::Passes { what, count } => {
            let text = format!("the path passes `{what}` {count} times: the first is taken");
            item.assumed(what, text);
        }
        Note::Hard { fix, at, across } => {
            let (source, mark) = place(fix);
            let text = format!(
                "the recording goes round a corner here, {:.2} km from the start, at {:.1} g, as no car does: \
                 points about it may be off the road",
                at / 1000.0,
                across / STANDARD_GRAVITY
            );
            let finding = source.finding(Severity::Warning, mark, text);
            item.push(finding.remedy("look at them on a map, and take out those that are"));
        }
        Note::Holes { .. } => tell_holes(item, note, place),
        Note::Retraces { at, metres } => warn(
            format!(
                "{:.2} km from its start the path turns about and comes back over itself for {:.2} km",
                at / 1000.0,
                metres / 1000.0
            ),
            &format!(
                "where only the way out is driven, write `{}: {{file: …, to: {:.2} km}}`",
                item.name(),
                at / 1000.0
            ),
        ),
    }
}

/// What was cut off beyond a stand.
fn tell_beyond(item: &Item, place: Stood, fixes: usize, metres: f64, seconds: f64) {
    let (at, remedy) = match place {
        Stood::End => (
            "behind the stand at its end",
            "where the road goes on there, say where it ends with `to: {lat: …, lon: …}`",
        ),
        _ => (
            "before the stand at its start",
            "where the road begins there, write `from: 0 m`",
        ),
    };
    let text = format!(
        "{at} the recording has {fixes} more points, {metres:.0} m in {seconds:.0} s: cut off"
    );
    item.warning(text, remedy);
}

/// A road that the path goes over twice.
fn tell_again(item: &Item, from: f64, to: f64, first: (f64, f64)) {
    let [from, to, begins, ends] = [from, to, first.0, first.1].map(|metres| metres / 1000.0);
    let start = match begins > AT_START {
        true => format!("from: {begins:.2} km, "),
        false => String::new(),
    };
    item.warning(
        format!(
            "from {from:.2} to {to:.2} km the path goes over its road from {begins:.2} to {ends:.2} km again, \
             the same way"
        ),
        format!(
            "where one run is meant, write `{}: {{file: …, {start}to: {ends:.2} km}}`; where the road is driven over \
             again, nothing needs doing",
            item.name()
        ),
    );
}

/// Where the recorder stood, and what became of it.
fn tell_stands(item: &Item, place: Stood, count: usize, fixes: usize, seconds: Option<f64>) {
    let (at, done) = match place {
        Stood::Start => ("at its start", "cut off"),
        Stood::End => ("at its end", "cut off"),
        Stood::Way if count == 1 => ("on its way", "taken as one point"),
        Stood::Way => ("on its way", "taken as one point each"),
    };
    let times = match count {
        1 => String::new(),
        _ => format!(" {count} times"),
    };
    let sound = match place {
        Stood::End => {
            "nothing needs doing where the road ends there; where the way from a flying finish to the stop was \
             recorded too, cut it off, as in `to: 2.35 km`"
        }
        _ => "nothing needs doing",
    };
    match seconds {
        Some(seconds) => item.warning(
            format!("the recording stands{times} {at}, {seconds:.0} s, {fixes} points: {done}"),
            sound,
        ),
        None => item.warning(
            format!(
                "{fixes} points {at} crowd within a few metres and lead nowhere, as where a recorder \
                 stands{times}: {done}"
            ),
            "look at the plan: if road is lost there, take the points out of the file by hand",
        ),
    }
}
