//! What is worth trying on a course: the decisions of the best plans of a few laps. Other laps on the
//! same course, with slightly other inputs, choose among these alone; at a place that none of the
//! laps knew, everything is tried.

use super::labels::{Book, Label};
use super::plan::ChangeKind;
use crate::lap::Cells;
use crate::lap::drive::Ride;

/// Seconds behind the best plan, at an end of braking or where the better one takes its place, at which
/// a plan is still worth trying.
const MARGIN: f64 = 0.030;
/// Seconds over which a plan that is slower where another takes its place is taken to stay so.
const LASTS: f64 = 5.0;
/// Metres by which another lap's end of braking may lie away from those known.
const NEAR: f64 = 25.0;

/// Metres before a change up, or a little more, at which one is no surprise.
const BEFORE: f64 = 30.0;

/// What to do at the light. Leaving a change out is never the only choice: where the braking for
/// which it paid does not come, the engine would stay on its limiter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Offer {
    /// Nothing is known: both.
    Unknown,
    /// Change up, and stay.
    Both,
    /// Change up only.
    Up,
}

/// Gears and shifts worth trying, cell by cell of a course; gears are bits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Menu {
    /// Gears to leave an end of braking in that lies at a cell's start; none where none was known.
    exits: Vec<u16>,
    /// Gears in which a change up at the light is worth trying.
    up: Vec<u16>,
    /// Gears in which leaving it out is.
    stay: Vec<u16>,
    /// Gears in which a closed lap may start, with its time, of the lap under way.
    starts: Vec<(usize, usize, f64)>,
}

impl Menu {
    /// An empty one, to be filled lap by lap.
    pub(super) fn new(cells: &Cells) -> Self {
        let none = vec![0; cells.len()];
        Self {
            exits: none.clone(),
            up: none.clone(),
            stay: none,
            starts: Vec::new(),
        }
    }

    /// Gears worth leaving in at the start of a cell.
    pub(super) fn exits(&self, cell: usize) -> u16 {
        self.exits[cell]
    }

    /// What is worth trying at the light in a cell and gear.
    pub(super) fn offer(&self, cell: usize, gear: usize) -> Offer {
        let known = |bits: &[u16]| bits[cell] >> gear & 1 == 1;
        match (known(&self.up), known(&self.stay)) {
            (true, false) => Offer::Up,
            (_, true) => Offer::Both,
            (false, false) => Offer::Unknown,
        }
    }

    /// Takes in the plans of a stretch that ends after `done` cells.
    pub(super) fn stretch(&mut self, ride: &Ride, book: &Book, ends: &[Label], done: usize) {
        let earliest = ends.iter().map(|l| l.time).fold(f64::INFINITY, f64::min);
        for end in ends.iter().filter(|l| l.time <= earliest + MARGIN) {
            self.plan(ride, book, end, done);
        }
    }

    /// Takes in a plan that another makes needless after `done` cells, if it is hardly behind: of two
    /// that come together again, most do so long before braking ends, and only one goes on.
    pub(super) fn nearly(
        &mut self,
        ride: &Ride,
        book: &Book,
        label: &Label,
        better: &Label,
        done: usize,
    ) {
        let slower = (better.state.z - label.state.z).max(0.0) / (2.0 * better.state.z);
        if label.time - better.time + LASTS * slower <= MARGIN {
            self.plan(ride, book, label, done);
        }
    }

    /// Takes in a plan from the last end of braking to `done` cells.
    fn plan(&mut self, ride: &Ride, book: &Book, label: &Label, done: usize) {
        let exit = book
            .since_exit(label.last)
            .find(|c| c.kind == ChangeKind::Exit);
        let begun = exit.map_or(0, |change| change.cells_done as usize);
        if let Some(change) = exit {
            self.exits[ride.cell(begun)] |= 1 << change.gear;
        }
        for change in book.since_exit(label.last) {
            if let ChangeKind::Up(_) = change.kind {
                self.marks_up(ride, begun, change.cells_done as usize, change.gear);
            }
        }
        if label.stayed != 0 {
            for done in begun..done {
                self.stay[ride.cell(done)] |= label.stayed;
            }
        }
    }

    /// Marks a change up where it was made and a little before: later it may be too late, much earlier
    /// it is another matter.
    fn marks_up(&mut self, ride: &Ride, begun: usize, at: usize, to: u8) {
        let mut before = 0.0;
        for cell in (begun..=at).rev().map(|done| ride.cell(done)) {
            self.up[cell] |= 1 << (to - 1);
            before += ride.cells.cells[cell].length;
            if before > BEFORE {
                break;
            }
        }
    }

    /// Takes in a closed lap that starts at a cell in a gear.
    pub(super) fn start(&mut self, cell: usize, gear: usize, time: f64) {
        self.starts.push((cell, gear, time));
    }

    /// Ends a lap.
    pub(super) fn lap_ends(&mut self) {
        let times = self.starts.iter().map(|s| s.2);
        let earliest = times.fold(f64::INFINITY, f64::min);
        for (cell, gear, time) in self.starts.drain(..) {
            if time <= earliest + MARGIN {
                self.exits[cell] |= 1 << gear;
            }
        }
    }

    /// Takes in what another of the same course knows.
    pub(super) fn add(&mut self, other: &Self) {
        let all = [
            (&mut self.exits, &other.exits),
            (&mut self.up, &other.up),
            (&mut self.stay, &other.stay),
        ];
        for (own, more) in all {
            own.iter_mut().zip(more).for_each(|(a, b)| *a |= b);
        }
    }

    /// Spreads what is known of ends of braking to the stations near them.
    pub(super) fn spread(&mut self, cells: &Cells) {
        let count = cells.len();
        let known = self.exits.clone();
        for (at, &bits) in known.iter().enumerate().filter(|(_, bits)| **bits != 0) {
            for step in [1, count - 1] {
                let (mut cell, mut away) = (at, 0.0);
                loop {
                    let passed = if step == 1 {
                        cell
                    } else {
                        (cell + step) % count
                    };
                    away += cells.cells[passed].length;
                    cell = (cell + step) % count;
                    if away > NEAR || cell == at || (!cells.closed && cell == 0) {
                        break;
                    }
                    self.exits[cell] |= bits;
                }
            }
        }
    }
}
