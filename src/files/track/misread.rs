//! Notes that were read from a photograph: a corner to the left, `4l`, becomes the number 41.

use crate::files::finding::{Severity, quoted};
use crate::files::yaml::Item;
use crate::units::counted;
use crate::venue::grades::Grades;
use crate::venue::notes;

/// Crews call distances in steps of so many metres, nearly all of them (common practice, no source).
const STEP: f64 = 5.0;
const ROUND: f64 = 0.8;

/// Asks about distances beside others that are a grade with a 1 behind it, where the others are round.
pub(super) fn ask(item: &Item, text: &str, grades: &Grades) {
    let words: Vec<&str> = notes::words(text).collect();
    let distances: Vec<Option<f64>> = words.iter().map(|word| notes::distance(word)).collect();
    let beside = |i: usize| {
        let before = i.checked_sub(1).and_then(|before| distances[before]);
        before.or(*distances.get(i + 1).unwrap_or(&None)).is_some()
    };
    let corner = |i: &usize| {
        let grade = words[*i].strip_suffix('1');
        distances[*i].is_some()
            && beside(*i)
            && grade.is_some_and(|name| grades.get(name).is_some())
    };
    let seeming: Vec<usize> = (0..words.len()).filter(corner).collect();
    let others = (0..words.len()).filter(|i| !seeming.contains(i));
    let others: Vec<f64> = others.filter_map(|i| distances[i]).collect();
    let round = others.iter().filter(|metres| *metres % STEP == 0.0).count();
    let Some(&first) = seeming.first() else {
        return;
    };
    if others.is_empty() || (round as f64) < ROUND * others.len() as f64 {
        return;
    }
    let Some(place) = item.places_of(&words).get(first).copied() else {
        return;
    };
    let grade = words[first].strip_suffix('1').unwrap_or(words[first]);
    let more = match seeming.len() {
        1 => String::new(),
        several => format!(" ({} like it)", counted(several, "number")),
    };
    let text = format!(
        "{} stands beside another distance{more}: is it a corner, `{grade}L`, whose letter was read as a 1?",
        quoted(words[first])
    );
    let finding = item.finding_at(Severity::Warning, place, text);
    item.push(finding.remedy(format!(
        "if so write `{grade}L`; two distances that belong together may be written as their sum"
    )));
}
