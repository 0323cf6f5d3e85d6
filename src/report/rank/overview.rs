//! The answer on one screen: the summary first, a line a venue with its reason, assumptions, the
//! next step.

use std::fmt::Write;

use super::over_season::over_the_season;
use super::why::why;
use super::words::{counts, gearing, list, seconds, what_it_moves};
use super::{Answer, Lead, Venue, sure};
use crate::dyno::Step;
use crate::files::finding::Severity;
use crate::files::finding::shell::{shell_path, shell_word};
use crate::report::assumed;
use crate::report::format::{
    HELD, clock, decimal, decimals, kind_word, of_draws, percent, rpm, signed, told_of, wrap,
    wrap_after,
};
use crate::report::paint::Paint;
use crate::report::season::unmeasured;
use crate::report::states;
use crate::report::table::{Grid, Side};
use crate::study::assumed::Moved;
use crate::study::{SpecRun, Verdict, Word};
use crate::units::counted;
use crate::venue::EventKind;

/// Longest part of a spec's name on one line of a column's title.
const TITLE: usize = 12;

/// The whole study on one screen.
pub fn overview(answer: &Answer, paint: Paint) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", paint.strong(&title(answer)));
    for line in summary(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push('\n');
    venues(answer, paint, &mut out);
    if let Some(shown) = states::shown(&answer.study.entries) {
        out.push_str(&wrap(&shown, "  "));
    }
    out.push_str(&assumptions(answer));
    for venue in answer.venues() {
        let Some(mut line) = sure::known(&venue) else {
            continue;
        };
        let key = format!("known.{}", venue.entry.course.name);
        let mut assumed = answer.findings.of(Severity::Assumed);
        if let Some(with) = assumed.find(|finding| finding.key.as_deref() == Some(&key)) {
            let _ = write!(line, " Taken: {}.", with.text);
        }
        line.push_str(&others_of_its_kind(answer, &venue));
        out.push_str(&wrap(&line, "  "));
    }
    out.push_str(&wrap(&format!("Next: {}", next(answer)), "  "));
    out
}

fn title(answer: &Answer) -> String {
    let specs = &answer.engines.list;
    let names = match &specs[..] {
        [only] => only.name.clone(),
        [first, second] => format!("{} against {}", first.name, second.name),
        many => format!("{} specs", many.len()),
    };
    let cross = match (
        &specs[..],
        &answer.engines.crossings(0, specs.len() - 1)[..],
    ) {
        ([_, _], [one]) => format!(", torque crosses at {}", rpm(one.rpm)),
        _ => String::new(),
    };
    format!(
        "{}: {}, {names}{cross}",
        answer.study.name, answer.study.car.name
    )
}

/// Two sentences: as geared, and each at its best gearing.
pub fn summary(answer: &Answer) -> Vec<String> {
    if answer.engines.list.len() < 2 {
        return vec!["One spec: times only, nothing to rank.".to_owned()];
    }
    let fitted = gearing(answer, crate::study::Setup::FITTED);
    let mut lines = Vec::new();
    lines.extend(in_question(answer));
    if answer.venues().any(|venue| venue.entry.course.stands_in) {
        lines.push("Not your event: usual kinds of road stand in for a venue.".to_owned());
    }
    lines.push(format!("As geared ({fitted}): {}.", verdicts(answer)));
    if answer.outcome.offered.len() > 1 && answer.venues().any(|venue| measured(&venue)) {
        lines.push(format!(
            "Each at best gearing, s ahead: {}.",
            winners(answer, SpecRun::best_time)
        ));
        lines.extend(to_fit(answer));
    }
    if let Some(season) = answer.season.filter(|_| answer.study.entries.len() > 1) {
        let mut line = over_the_season(answer, &season.verdict);
        if let Some(guessed) = unmeasured(answer.study, season) {
            line.push(' ');
            line.push_str(&guessed);
        }
        lines.push(line);
    }
    lines
}

/// What a known time says of other venues of its kind that are driven at another share; empty where none is.
fn others_of_its_kind(answer: &Answer, venue: &Venue) -> String {
    let kind = venue.entry.course.kind;
    let known = venue.entry.course.known.as_ref();
    let Some(share) = known.and_then(|known| known.corner_share) else {
        return String::new();
    };
    let taken = answer.study.entries.iter().find_map(|other| {
        let course = &other.course;
        let by_share = course.kind == kind && course.known.is_none() && !course.has_speeds();
        by_share.then_some(other.habits.corner_share)
    });
    let other = taken.filter(|taken| percent(*taken) != percent(share));
    other.map_or(String::new(), |taken| {
        format!(
            " Others of its kind are driven at {}: `corner_share: {{{}: {}}}` under `driver` takes this for them too.",
            percent(taken),
            kind_word(kind),
            percent(share)
        )
    })
}

/// The first question of the files that decides what the verdicts are worth.
fn in_question(answer: &Answer) -> Option<String> {
    let asked = answer.findings.of(Severity::Warning);
    let mut asked = asked.filter(|finding| finding.decides);
    let first = asked.next()?;
    let more = match asked.filter(|other| other.text != first.text).count() {
        0 => String::new(),
        more => format!(" (and {} more)", counted(more, "question")),
    };
    Some(format!("In question{more}: {}", first.text))
}

/// Whether who is ahead at a venue was measured: nothing is said of other gearings where it was not.
fn measured(venue: &Venue) -> bool {
    venue
        .verdict()
        .is_none_or(|verdict| verdict.word != Word::NotMeasured)
}

/// The gearing of the quickest at its best gearing, venue by venue; nothing where it is fitted.
fn to_fit(answer: &Answer) -> Option<String> {
    let mut groups: Vec<(usize, Vec<String>)> = Vec::new();
    for venue in answer.venues().filter(measured) {
        let order = venue.run.order(SpecRun::best_time);
        let first = order.first().map(|&(spec, _)| &venue.run.specs[spec]);
        let Some(best) = first.and_then(|run| run.best) else {
            continue;
        };
        let name = venue.name().to_owned();
        match groups.iter_mut().find(|(known, _)| *known == best) {
            Some((_, venues)) => venues.push(name),
            None => groups.push((best, vec![name])),
        }
    }
    let told = groups.iter().map(|&(best, ref venues)| {
        let what = gearing(answer, answer.outcome.offered[best]);
        format!("{what} at {}", list(venues))
    });
    let told: Vec<String> = told.collect();
    groups
        .iter()
        .any(|(best, _)| *best != 0)
        .then(|| format!("That gearing: {}.", told.join("; ")))
}

/// Who wins where as geared and how surely, spec by spec in the order of the study.
fn verdicts(answer: &Answer) -> String {
    let said: Vec<(String, &Verdict)> = answer
        .venues()
        .filter_map(|v| v.verdict().map(|verdict| (v.name().to_owned(), verdict)))
        .collect();
    let mut parts = Vec::new();
    let at = |word: Word, spec: Option<usize>| -> Vec<String> {
        let fits = |v: &Verdict| v.word == word && spec.is_none_or(|spec| v.leader == spec);
        let found = said.iter().filter(|(_, verdict)| fits(verdict));
        found.map(|(name, _)| name.clone()).collect()
    };
    for spec in 0..answer.engines.list.len() {
        for word in [Word::Clear, Word::Likely] {
            let won = at(word, Some(spec));
            if !won.is_empty() {
                let (name, word) = (answer.name(spec), word.text());
                parts.push(format!("{name} {word} at {}", list(&won)));
            }
        }
    }
    for word in [Word::TooClose, Word::NothingInIt, Word::NotMeasured] {
        let open = at(word, None);
        if !open.is_empty() {
            parts.push(format!("{} at {}", word.text(), list(&open)));
        }
    }
    if parts.is_empty() {
        return "no venue can be driven".to_owned();
    }
    parts.join("; ")
}

/// Who wins where, spec by spec in the order of the study.
fn winners(answer: &Answer, time: impl Fn(&SpecRun) -> Option<f64> + Copy) -> String {
    let leads: Vec<(Venue, Lead)> = answer
        .venues()
        .filter(measured)
        .filter_map(|v| v.lead(time).map(|lead| (v, lead)))
        .collect();
    let mut parts = Vec::new();
    for spec in 0..answer.engines.list.len() {
        let won: Vec<String> = leads
            .iter()
            .filter(|(venue, lead)| lead.quicker == spec && counts(lead, venue))
            .map(led)
            .collect();
        if !won.is_empty() {
            parts.push(format!("{} at {}", answer.name(spec), list(&won)));
        }
    }
    let even: Vec<String> = leads
        .iter()
        .filter(|(venue, lead)| !counts(lead, venue))
        .map(|(venue, _)| venue.name().to_owned())
        .collect();
    let all = answer.venues().all(|venue| measured(&venue));
    match (even.is_empty(), parts.is_empty() || !all) {
        (true, _) => {}
        (false, true) => parts.push(format!("level at {}", list(&even))),
        (false, false) => parts.push("level elsewhere".to_owned()),
    }
    if parts.is_empty() {
        return "no venue can be driven".to_owned();
    }
    parts.join("; ")
}

/// A venue with the seconds of its lead, where they show.
fn led((venue, lead): &(Venue, Lead)) -> String {
    let text = seconds(lead.gap, venue.entry.course.kind);
    match text.chars().any(|c| ('1'..='9').contains(&c)) {
        true => format!("{} {text}", venue.name()),
        false => venue.name().to_owned(),
    }
}

/// A line a venue, each followed by its reason.
fn venues(answer: &Answer, paint: Paint, out: &mut String) {
    let titles: Vec<String> = answer
        .engines
        .list
        .iter()
        .map(|spec| column_title(&spec.name))
        .collect();
    let wins = format!("wins of\n{}", told_of(answer.plan.draws));
    let within = format!("{}\nlie within", of_draws(HELD, answer.plan.draws));
    let mut columns = vec![("", Side::Left)];
    columns.extend(titles.iter().map(|title| (title.as_str(), Side::Right)));
    let stages = answer.engines.list.len() > 1
        && answer
            .venues()
            .any(|venue| venue.entry.course.kind == EventKind::Stage);
    if stages {
        columns.push(("s/km", Side::Right));
    }
    let sure = answer.venues().any(|venue| venue.verdict().is_some());
    if sure {
        columns.push(("verdict", Side::Left));
        columns.push((&wins, Side::Right));
        columns.push((&within, Side::Left));
    }
    let mut grid = Grid::new(&columns);
    let mut reasons = Vec::new();
    for venue in answer.venues() {
        let mut cells = vec![venue.name().to_owned()];
        let lead = venue.lead(SpecRun::time);
        for (spec, run) in venue.run.specs.iter().enumerate() {
            cells.push(cell(&venue, spec, run, lead.as_ref()));
        }
        if stages {
            cells.push(per_km(&venue, lead.as_ref()));
        }
        if sure {
            cells.extend(surely(&venue, answer.plan.draws));
        }
        grid.row(&cells);
        reasons.push(reason(answer, &venue));
    }
    let text = grid.text(0);
    let heads = text.lines().count() - reasons.len();
    for (i, line) in text.lines().enumerate() {
        let _ = writeln!(out, "{line}");
        if let Some(reason) = i.checked_sub(heads).and_then(|i| reasons[i].as_ref()) {
            for line in reason.lines() {
                for part in wrap_after("  ", line, "    ").lines() {
                    let _ = writeln!(out, "{}", paint.faint(part));
                }
            }
        }
    }
}

/// The quickest spec shows its time, the others how far they are behind.
fn cell(venue: &Venue, spec: usize, run: &SpecRun, lead: Option<&Lead>) -> String {
    let kind = venue.entry.course.kind;
    match (&run.as_geared, lead) {
        (Ok(reading), Some(lead)) if lead.quicker != spec => {
            signed_or_even(reading.time - lead.time, kind)
        }
        (Ok(reading), _) => clock(reading.time, kind),
        (Err(_), _) => "no lap".to_owned(),
    }
}

/// The gap to the next spec per kilometre, where the trade counts so.
fn per_km(venue: &Venue, lead: Option<&Lead>) -> String {
    match lead {
        Some(lead) if venue.entry.course.kind == EventKind::Stage => {
            decimal(lead.gap / (venue.run.length / 1000.0), 2)
        }
        _ => String::new(),
    }
}

fn signed_or_even(behind: f64, kind: EventKind) -> String {
    let text = signed(behind, decimals(kind));
    if text.starts_with('+') {
        text
    } else {
        format!("+{text}")
    }
}

/// The word, the wins and the interval.
fn surely(venue: &Venue, draws: u64) -> [String; 3] {
    match venue.verdict() {
        Some(verdict) => [
            verdict.word.text().to_owned(),
            sure::wins(verdict, told_of(draws)),
            sure::interval(verdict, venue.entry.course.kind),
        ],
        None => Default::default(),
    }
}

/// Why, or why not.
fn reason(answer: &Answer, venue: &Venue) -> Option<String> {
    let failed = venue
        .run
        .specs
        .iter()
        .find_map(|run| run.as_geared.as_ref().err());
    match failed {
        Some(error) => Some(format!("Cannot be driven: {error}.")),
        None => {
            let roads = sure::roads(answer, venue);
            let parts: Vec<String> = roads.into_iter().chain(why(answer, venue)).collect();
            (!parts.is_empty()).then(|| parts.join("\n"))
        }
    }
}

/// A spec's name over at most two lines.
fn column_title(name: &str) -> String {
    let mut lines = vec![String::new()];
    for word in name.split_whitespace() {
        let last = lines.len() - 1;
        if lines[last].is_empty() {
            lines[last].push_str(word);
        } else if lines[last].chars().count() + 1 + word.chars().count() <= TITLE {
            lines[last].push(' ');
            lines[last].push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    if lines.len() > 2 {
        lines.truncate(2);
        lines[1].push('…');
    }
    let cut = |line: String| match line.char_indices().nth(TITLE) {
        Some((end, _)) => format!("{}…", &line[..end]),
        None => line,
    };
    lines
        .into_iter()
        .map(cut)
        .collect::<Vec<String>>()
        .join("\n")
}

fn assumptions(answer: &Answer) -> String {
    let told = answer.moves.iter();
    let told = told.filter_map(|moved| assumption(answer, moved));
    assumed::most_of_all(answer.findings, told)
}

/// The key of an assumption and what it could move; nothing where that rounds to nothing.
fn assumption(answer: &Answer, moved: &Moved) -> Option<String> {
    let by = what_it_moves(answer, moved)?;
    let turns = moved
        .turns
        .first()
        .map(|&entry| format!(", turns {} round", answer.study.entries[entry].name));
    Some(format!(
        "{} ({by}{})",
        assumed::input(&moved.key),
        turns.unwrap_or_default()
    ))
}

/// The least work that would settle an open verdict.
fn settling<'a>(answer: &Answer<'a>) -> Option<(Venue<'a>, &'a Step)> {
    answer
        .venues()
        .filter_map(|v| Some((v, v.certainty?.settle.as_ref()?.step.as_ref()?)))
        .min_by(|a, b| a.1.hours.total_cmp(&b.1.hours))
}

/// What to do next, the most pressing first.
pub fn next(answer: &Answer) -> String {
    if let Some(moved) = answer.moves.iter().find(|m| !m.turns.is_empty()) {
        let venue = &answer.study.entries[moved.turns[0]].name;
        return assumed::to_write(&moved.key, venue);
    }
    if let Some((venue, step)) = settling(answer) {
        let done = sure::done(answer, step);
        return format!("{done}; that would settle {}.", venue.name());
    }
    let closest = answer
        .venues()
        .filter_map(|v| v.lead(SpecRun::time).map(|lead| (v, lead)))
        .max_by(|a, b| (a.1.gap / a.0.useful()).total_cmp(&(b.1.gap / b.0.useful())));
    match closest {
        Some((venue, _)) => format!(
            "pullrank rank {} --venue {} shows where the seconds go.",
            shell_path(answer.path),
            shell_word(venue.name())
        ),
        None => "name a second spec in the study; with one there is nothing to rank.".to_owned(),
    }
}
