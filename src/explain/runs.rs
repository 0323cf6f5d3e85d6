//! Where one spec gains on another: run by run, from corner to corner.
//!
//! Two laps over the same cells are cut where both end a braking: there both have the speed that the
//! road allows, so the difference in time between two such places was made between them. The
//! differences of all runs add up to the gap.

use super::advice::{Clock, Done, Driven};
use crate::lap::{Cells, Machine};
use crate::schedule::{ChangeKind, Schedule};

/// A run from the end of one braking to the end of the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Cell with which it begins.
    pub cell: usize,
    /// Where it begins, m along the road.
    pub from: f64,
    /// Length along the road, m.
    pub length: f64,
    /// The corner that is left; the place of the start for the first run of a lap from rest.
    pub place: String,
    /// It begins at the start of an open course.
    pub start: bool,
    /// Seconds of the first lap and of the second.
    pub times: [f64; 2],
    /// Gear at its start and upshifts of the first lap and of the second.
    pub done: [Done; 2],
}

impl Run {
    /// Seconds by which the first lap is the quicker one here.
    pub fn gain(&self) -> f64 {
        self.times[1] - self.times[0]
    }
}

/// A lap with the machine that drove it.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The lap.
    pub driven: Driven<'a>,
}

/// The runs of two laps in the order of the road; `corner` tells the cells that belong to corners.
pub fn runs(cells: &Cells, corner: impl Fn(usize) -> bool, first: Side, second: Side) -> Vec<Run> {
    let count = cells.len();
    let clocks = [first, second].map(|side| Clock::new(cells, side.driven));
    let starts = [first, second].map(|side| side.driven.schedule.first_cell);
    // A flying lap may begin elsewhere with another engine; places are counted from the first's start.
    let shift = (starts[0] + count - starts[1]) % count;
    let second_time = |done: usize| {
        let at = done + shift;
        let times = &clocks[1].time;
        match at > count {
            true => times[count] + times[at - count],
            false => times[at],
        }
    };
    let mut ends = common_ends(count, first.driven.schedule, second.driven.schedule, shift);
    once_a_corner(cells, &corner, starts[0], &mut ends);
    let mut runs: Vec<Run> = ends
        .windows(2)
        .map(|pair| {
            let (from, to) = (pair[0], pair[1]);
            let cell = (starts[0] + from) % count;
            let start = from == 0 && !cells.closed;
            let other = (from + shift) % count;
            Run {
                cell,
                from: cells.stations[cell],
                length: length(cells, cell, to - from),
                place: match start {
                    true => cells.place(cell).to_owned(),
                    false => corner_from(cells, &corner, cell, to - from),
                },
                start,
                times: [
                    clocks[0].time[to] - clocks[0].time[from],
                    second_time(to) - second_time(from),
                ],
                done: [
                    clocks[0].done(first.machine, from, to),
                    clocks[1].done(second.machine, other, other + to - from),
                ],
            }
        })
        .collect();
    runs.sort_by_key(|run| run.cell);
    runs
}

/// Keeps of several ends of braking in one corner the last: a corner that is made of many sections may have one
/// at each.
fn once_a_corner(
    cells: &Cells,
    corner: &impl Fn(usize) -> bool,
    start: usize,
    ends: &mut Vec<usize>,
) {
    let count = cells.len();
    let place = |done: usize| {
        let at = slower(cells, (start + done) % count);
        (done > 0 && done < count && corner(at)).then(|| cells.place(at))
    };
    let all = std::mem::take(ends);
    let goes_on = |at: usize| {
        let next = all.get(at + 1).and_then(|end| place(*end));
        next.is_some() && next == place(all[at])
    };
    ends.extend((0..all.len()).filter(|at| !goes_on(*at)).map(|at| all[at]));
}

/// Of the two cells at the station where one begins, the one that holds the speed down.
pub fn slower(cells: &Cells, cell: usize) -> usize {
    /// Lateral acceleration, m/s², at which caps and radii are set against each other.
    const LATERAL: f64 = 8.0;
    let tightness = |at: usize| {
        let one = &cells.cells[at];
        one.curvature.max(LATERAL / one.cap)
    };
    let before = match cell {
        0 if cells.closed => cells.len() - 1,
        _ => cell.saturating_sub(1),
    };
    match tightness(before) > tightness(cell) {
        true => before,
        false => cell,
    }
}

/// Name of the corner where braking ends, at the beginning of a cell or before it; else of the first among so
/// many cells from there on, round the end of a lap. Without one, the place of the first cell.
fn corner_from(
    cells: &Cells,
    corner: &impl Fn(usize) -> bool,
    cell: usize,
    count: usize,
) -> String {
    let own = std::iter::once(slower(cells, cell));
    let mut ahead = own.chain((cell..cell + count).map(|i| i % cells.len()));
    let found = ahead.find(|&i| corner(i));
    cells.place(found.unwrap_or(cell)).to_owned()
}

/// Name of the last corner up to a cell of an open course or, round the line, of a lap; where there
/// is none, of the cell's own place.
pub fn corner_before(cells: &Cells, corner: impl Fn(usize) -> bool, cell: usize) -> String {
    let round = if cells.closed { cells.len() } else { cell + 1 };
    let mut back = (0..=cell).rev().chain((cell + 1..round).rev());
    let found = back.find(|&i| corner(i));
    cells.place(found.unwrap_or(cell)).to_owned()
}

/// Length of so many cells from one on, round the end of a lap, m.
fn length(cells: &Cells, cell: usize, count: usize) -> f64 {
    let end = cell + count;
    match end > cells.len() {
        true => cells.length() - cells.stations[cell] + cells.stations[end - cells.len()],
        false => cells.stations[end] - cells.stations[cell],
    }
}

/// Cells driven by the first lap at which both end a braking, with its start and its end.
fn common_ends(count: usize, first: &Schedule, second: &Schedule, shift: usize) -> Vec<usize> {
    let exits = |schedule: &Schedule, back: usize| -> Vec<usize> {
        let ends = schedule.changes.iter();
        let ends = ends.filter(|c| c.kind == ChangeKind::Exit);
        ends.map(|c| (c.cells_done as usize + count - back) % count)
            .collect()
    };
    let others = exits(second, shift);
    let mut ends: Vec<usize> = exits(first, 0)
        .into_iter()
        .filter(|end| others.contains(end))
        .collect();
    ends.extend([0, count]);
    ends.sort_unstable();
    ends.dedup();
    ends
}
