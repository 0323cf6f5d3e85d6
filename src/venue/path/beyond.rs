//! What a recording has briefly beyond a long stay at either end: a receiver that finds its place, the way to the
//! line, somebody who drives off.

use super::Point;
use super::note::Note;
use super::stands::{Range, STAY, Stood, steps};

/// A receiver finds its place within this time before a stay at the line, s, and this share of the path; nor does
/// it take longer from a stay behind the finish until somebody switches it off.
const BEYOND: (f64, f64) = (10.0, 0.1);

/// Cuts off what lies before the first stay or behind the last.
pub(super) fn cut_off(points: &mut Vec<Point>, stays: &mut [Range], ends: [bool; 2]) -> Vec<Note> {
    let length: f64 = steps(points).sum();
    let mut notes = Vec::new();
    let beyond = |points: &[Point], stay: &Range, all: Range, place: Stood| {
        let taken = |from: usize, to: usize| points[to].t.zip(points[from].t).map(|(b, a)| b - a);
        let seconds = taken(all.start, all.end)?;
        let metres = steps(&points[all.start..=all.end]).sum();
        let stood = taken(stay.start, stay.end - 1)?;
        let brief = seconds <= BEYOND.0 && metres <= BEYOND.1 * length && stood >= STAY;
        (brief && !all.is_empty()).then_some(Note::Beyond {
            place,
            fixes: all.len(),
            metres,
            seconds,
        })
    };
    if let Some(last) = stays.last().filter(|_| ends[1]) {
        let all = last.end - 1..points.len() - 1;
        let note = beyond(points, last, all, Stood::End);
        points.truncate(note.as_ref().map_or(points.len(), |_| last.end));
        notes.extend(note);
    }
    if let Some(first) = stays.first().filter(|_| ends[0]) {
        let cut = first.start;
        let note = beyond(points, first, 0..cut, Stood::Start);
        if note.is_some() {
            points.drain(..cut);
            stays
                .iter_mut()
                .for_each(|stay| *stay = stay.start - cut..stay.end - cut);
        }
        notes.extend(note);
    }
    notes
}
