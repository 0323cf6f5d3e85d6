//! A schedule: what was decided, in order, so that it can be driven again.

use crate::lap::{Arrival, Cell, Driver, Lap, Machine, PlainRule, State};

/// Share of a speed squared by which a lap driven again may differ: its steps end at fewer events.
const SAME: f64 = 1e-6;

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The lap under the schedule, driven again.
    pub lap: Lap,
    /// The schedule.
    pub schedule: Schedule,
    /// Labels advanced through a cell, the work done.
    pub work: usize,
}

/// A decision of the driver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Cells driven since the lap's first when it was made.
    pub cells_done: u32,
    /// Gear from then on, counted from 0.
    pub gear: u8,
    /// What it was.
    pub kind: ChangeKind,
}

/// Kinds of decision.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ChangeKind {
    /// The gear to leave an end of braking in.
    Exit,
    /// Up, on reaching a speed squared, m²/s².
    Up(f64),
    /// Up at the start of a cell, whatever the speed.
    UpHere,
    /// Down under power, on falling to a speed squared, m²/s².
    Down(f64),
}

/// A lap's decisions in driving order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Schedule {
    /// Cell in which the lap starts.
    pub first_cell: usize,
    /// Gear in which a flying lap starts.
    pub start_gear: usize,
    /// What was decided.
    pub changes: Vec<Change>,
    /// Nothing was: the rule of thumb drives.
    pub by_rule: bool,
}

/// Drives as a schedule says.
#[derive(Debug, Clone)]
pub struct FollowSchedule<'a> {
    schedule: &'a Schedule,
    cells: usize,
    next: usize,
}

impl<'a> FollowSchedule<'a> {
    /// From the first decision, on a course of so many cells.
    pub fn new(schedule: &'a Schedule, cells: usize) -> Self {
        Self {
            schedule,
            cells,
            next: 0,
        }
    }

    fn due(&self) -> Option<&Change> {
        self.schedule.changes.get(self.next)
    }
}

impl Driver for FollowSchedule<'_> {
    fn exit(&mut self, machine: &Machine, arrival: &Arrival) -> usize {
        if self.schedule.by_rule {
            return PlainRule.exit(machine, arrival);
        }
        if arrival.cells_done == 0 || arrival.cells_done == self.cells {
            self.next = 0;
            return self.schedule.start_gear;
        }
        // A stretch may end before a planned change was due: those are dropped.
        while let Some(change) = self.due() {
            if change.kind == ChangeKind::Exit && change.cells_done as usize >= arrival.cells_done {
                break;
            }
            self.next += 1;
        }
        match self.due() {
            Some(change) if change.cells_done as usize == arrival.cells_done => {
                let gear = change.gear as usize;
                self.next += 1;
                gear
            }
            _ => machine.lowest_gear_below_upshift(arrival.state.z),
        }
    }

    fn stop(&self, machine: &Machine, state: &State) -> f64 {
        if self.schedule.by_rule {
            return PlainRule.stop(machine, state);
        }
        match self.due().map(|c| c.kind) {
            Some(ChangeKind::Up(z)) => z,
            _ => f64::INFINITY,
        }
    }

    fn change(
        &mut self,
        machine: &Machine,
        cell: &Cell,
        cells_done: usize,
        state: &State,
    ) -> Option<usize> {
        if self.schedule.by_rule {
            return PlainRule.change(machine, cell, cells_done, state);
        }
        let change = *self.due()?;
        let here = change.cells_done as usize;
        let due = match change.kind {
            ChangeKind::Exit => false,
            ChangeKind::Up(z) => cells_done > here || (cells_done == here && state.z >= z),
            ChangeKind::Down(z) => {
                cells_done > here || (cells_done == here && state.z <= z * (1.0 + SAME))
            }
            ChangeKind::UpHere => cells_done >= here,
        };
        due.then(|| {
            self.next += 1;
            change.gear as usize
        })
    }
}
