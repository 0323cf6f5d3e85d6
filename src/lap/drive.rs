//! From one end of braking to the next, and the whole lap.

use super::LapError;
use super::advance::{State, advance, lower_gear_pulls_more, must_brake, next_gear_pulls};
use super::cells::{Cell, Cells};
use super::limits::Limits;
use super::machine::Machine;
use super::tape::Sink;
use crate::venue::Start;

/// Rounds a flying lap is given to repeat itself.
pub(super) const MAX_ROUNDS: usize = 400;
/// Rounds after which a lap may be the same again without being the same each time: a weak car may
/// change gear otherwise every other lap.
const CYCLE: usize = 8;

/// Who decides on gears. Motion is the car's, changing gear the driver's.
pub trait Driver {
    /// Gear to leave an end of braking in.
    fn exit(&mut self, machine: &Machine, arrival: &Arrival) -> usize;
    /// z at which the driver wants to be asked again in the present gear, m²/s²; infinite for never.
    fn stop(&self, machine: &Machine, state: &State) -> f64;
    /// A gear to change to now, asked before every sub-step in gear off the brakes;
    /// `cells_done` counts from the lap's first cell.
    fn change(
        &mut self,
        machine: &Machine,
        cell: &Cell,
        cells_done: usize,
        state: &State,
    ) -> Option<usize>;
}

/// The rule of thumb: leave in the lowest gear whose upshift lies above, shift at the driver's
/// light, or where the next gear accelerates more; change down where speed falls and the lower
/// gear pulls more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlainRule;

impl Driver for PlainRule {
    fn exit(&mut self, machine: &Machine, arrival: &Arrival) -> usize {
        machine.lowest_gear_below_upshift(arrival.state.z)
    }

    fn stop(&self, machine: &Machine, state: &State) -> f64 {
        machine.gears[state.gear].z_light
    }

    fn change(&mut self, machine: &Machine, cell: &Cell, _: usize, state: &State) -> Option<usize> {
        let up =
            state.gear + 1 < machine.gears.len() && state.z >= machine.gears[state.gear].z_light;
        if up && next_gear_pulls(machine, cell, state) {
            return Some(state.gear + 1);
        }
        let down = state.gear > 0
            && state.z < machine.gears[state.gear - 1].z_light
            && lower_gear_pulls_more(machine, cell, state);
        down.then(|| state.gear - 1)
    }
}

/// The end of a stretch: an end of braking, or the finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival {
    /// Cells driven since the start of the lap.
    pub cells_done: usize,
    /// Seconds since the start of the stretch.
    pub time: f64,
    /// Gear last engaged before the braking.
    pub gear: usize,
    /// Seconds in which an upshift could go on at no cost: braking, and a shift begun before it.
    pub credit: f64,
    /// The state at the end.
    pub state: State,
    /// The stretch ends braking (always, except at some finishes).
    pub braked: bool,
}

impl Arrival {
    /// Seconds of coasting left when leaving in a gear: upshifts cost what braking did not hide.
    pub fn shift_left(&self, machine: &Machine, exit: usize) -> f64 {
        let needed: f64 = (self.gear..exit).map(|k| machine.gears[k].shift_time).sum();
        (needed - self.credit).max(0.0)
    }

    /// The state in which a plan leaves an end of braking.
    pub fn leave(&self, machine: &Machine, exit: usize) -> State {
        let mut state = State::in_gear(self.state.z, exit);
        state.shift_left = self.shift_left(machine, exit);
        if state.shift_left > 0.0 {
            state.from = exit - 1;
        }
        state
    }
}

/// A lap driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lap {
    /// Seconds.
    pub time: f64,
    /// Cell in which the timed lap starts: 0, except on a flying lap, which is timed from the
    /// slowest end of braking.
    pub first_cell: usize,
    /// Speed squared at the start, m²/s².
    pub z_start: f64,
    /// A flying lap that starts where braking ends.
    pub from_braking: bool,
    /// Rounds a flying lap took to repeat itself.
    pub rounds: usize,
}

/// One machine on one course, timed from a cell.
#[derive(Debug, Clone, Copy)]
pub struct Ride<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The course.
    pub cells: &'a Cells,
    /// What the road allows the machine.
    pub limits: &'a Limits,
    /// Cell in which the lap starts; 0 unless it is closed.
    pub first_cell: usize,
}

impl Ride<'_> {
    /// Index of the cell that is driven after `cells_done` others.
    pub fn cell(&self, cells_done: usize) -> usize {
        let i = self.first_cell + cells_done;
        if i >= self.cells.len() {
            i - self.cells.len()
        } else {
            i
        }
    }

    /// Whether braking that has reached the end of the cell driven after `cells_done` others ends
    /// there.
    pub fn braking_ends(&self, cells_done: usize) -> bool {
        let last = cells_done + 1 == self.cells.len();
        if last && !self.cells.closed {
            return true;
        }
        self.limits.braked[self.cell(cells_done + 1)] == 0.0
    }

    /// What is taken to have come before a flying lap: braking down to its first cell, with any
    /// upshift hidden.
    pub(super) fn before_flying(&self) -> Arrival {
        let (machine, lines) = (self.machine, &self.limits.lines);
        let count = self.cells.len();
        let before = &lines[(self.first_cell + count - 1) % count];
        let z = before
            .z_end
            .min(lines[self.first_cell].plateau)
            .min(machine.gears[machine.gears.len() - 1].z_limit);
        Arrival {
            cells_done: 0,
            time: 0.0,
            gear: machine.gears.len() - 1,
            credit: 0.0,
            state: State::in_gear(z, machine.lowest_gear_below_upshift(z)),
            braked: true,
        }
    }

    /// The error of a car that has come to rest.
    pub fn stalled(&self, cell: usize, state: &State) -> LapError {
        LapError::Stalled {
            distance: self.cells.stations[cell] + state.done,
            place: self.cells.place(cell).to_string(),
        }
    }
}

/// Drives from a state at the start of a cell, `cells_done` cells after the lap's first, to the next
/// end of braking or the end of the lap.
///
/// # Errors
/// [`LapError::Stalled`] where the car comes to rest.
pub fn stretch<S: Sink>(
    ride: &Ride,
    cells_done: usize,
    mut state: State,
    driver: &mut impl Driver,
    sink: &mut S,
) -> Result<Arrival, LapError> {
    let count = ride.cells.len();
    let mut clock = Clock::default();
    for done in cells_done..count {
        through_cell(ride, done, &mut state, driver, sink, &mut clock)?;
        if let Some((gear, credit)) = clock.braking
            && ride.braking_ends(done)
        {
            return Ok(Arrival {
                cells_done: done + 1,
                time: clock.time,
                gear,
                credit,
                state,
                braked: true,
            });
        }
    }
    Ok(clock.at_finish(count, state, ride.machine))
}

/// Seconds of a stretch, and what braking under way has hidden.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Clock {
    /// Seconds since the stretch began.
    pub(super) time: f64,
    /// Gear engaged before the braking under way, and its seconds.
    pub(super) braking: Option<(usize, f64)>,
}

impl Clock {
    /// Counts a step that began in a state.
    #[inline(always)]
    pub(super) fn step(&mut self, before: &State, machine: &Machine, seconds: f64, braking: bool) {
        self.time += seconds;
        self.braking = braking.then(|| {
            let begun = || (before.from, before.begun(machine));
            let (gear, credit) = self.braking.unwrap_or_else(begun);
            (gear, credit + seconds)
        });
    }

    /// A stretch that ends at the finish without an end of braking.
    pub(super) fn at_finish(&self, count: usize, state: State, machine: &Machine) -> Arrival {
        Arrival {
            cells_done: count,
            time: self.time,
            gear: state.from,
            credit: state.begun(machine),
            state,
            braked: false,
        }
    }
}

/// Drives through one cell.
///
/// # Errors
/// [`LapError::Stalled`] where the car comes to rest.
#[inline(always)]
fn through_cell<S: Sink>(
    ride: &Ride,
    done: usize,
    state: &mut State,
    driver: &mut impl Driver,
    sink: &mut S,
    clock: &mut Clock,
) -> Result<(), LapError> {
    let machine = ride.machine;
    let i = ride.cell(done);
    let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
    state.done = 0.0;
    while state.done < cell.length {
        if !must_brake(cell, line, state) {
            change_gear(machine, cell, done, driver, state);
        }
        let before = *state;
        let stop = driver.stop(machine, state);
        let record =
            advance(machine, cell, line, stop, i, state).map_err(|_| ride.stalled(i, &before))?;
        clock.step(&before, machine, record.time, record.braking);
        sink.record(record);
    }
    Ok(())
}

/// Lets the driver change gear, again at once where changes take no time.
pub(super) fn change_gear(
    machine: &Machine,
    cell: &Cell,
    cells_done: usize,
    driver: &mut impl Driver,
    state: &mut State,
) {
    while state.shift_left <= 0.0 && !state.launching {
        match driver.change(machine, cell, cells_done, state) {
            Some(gear) => state.begin_shift(machine, gear),
            None => break,
        }
    }
}

/// Drives a lap; the driver decides on gears. `limits` are those of this machine on these cells, as many
/// lines as cells; the sink is given every sub-step in driving order, of a flying lap the last round.
///
/// # Errors
/// A car that comes to rest, an entry too fast to slow down from.
pub fn lap<S: Sink>(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    driver: &mut impl Driver,
    sink: &mut S,
) -> Result<Lap, LapError> {
    let start = match cells.start {
        Start::Standing => {
            let mut state = State::in_gear(0.0, 0);
            state.launching = true;
            state
        }
        Start::Rolling(v) => {
            if v * v > limits.z_start * (1.0 + 1e-12) {
                return Err(LapError::EntryTooFast {
                    entry: v,
                    allowed: limits.z_start.sqrt(),
                });
            }
            State::in_gear(v * v, machine.lowest_gear_below_upshift(v * v))
        }
        Start::Flying => return flying(machine, cells, limits, driver, sink),
    };
    let mut state = start;
    let ride = Ride {
        machine,
        cells,
        limits,
        first_cell: 0,
    };
    let (mut time, mut done) = (0.0, 0);
    loop {
        let arrival = stretch(&ride, done, state, driver, sink)?;
        time += arrival.time;
        done = arrival.cells_done;
        if done == cells.len() {
            return Ok(Lap {
                time,
                first_cell: 0,
                z_start: start.z,
                from_braking: false,
                rounds: 1,
            });
        }
        state = arrival.leave(machine, driver.exit(machine, &arrival));
    }
}

/// A lap that repeats itself, from the slowest end of braking that the car reaches; where laps come
/// round only every few times, the quickest of them.
fn flying<S: Sink>(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    driver: &mut impl Driver,
    sink: &mut S,
) -> Result<Lap, LapError> {
    let first_cell = slowest_end_of_braking(cells, limits);
    let mut ride = Ride {
        machine,
        cells,
        limits,
        first_cell,
    };
    let (lap, reached) = flying_from(&ride, driver, sink)?;
    match reached {
        // The car never gets up to the slowest braking: time it from one that it does reach.
        Some(cell) if !lap.from_braking => {
            ride.first_cell = cell;
            Ok(flying_from(&ride, driver, sink)?.0)
        }
        _ => Ok(lap),
    }
}

/// Laps from a given cell until they repeat; with the cell after the slowest end of braking reached.
fn flying_from<S: Sink>(
    ride: &Ride,
    driver: &mut impl Driver,
    sink: &mut S,
) -> Result<(Lap, Option<usize>), LapError> {
    let Ride {
        machine,
        cells,
        first_cell,
        ..
    } = *ride;
    let count = cells.len();
    let mut arrival = ride.before_flying();
    let mut state = arrival.leave(machine, driver.exit(machine, &arrival));
    let mut before: Vec<(State, f64)> = Vec::new();
    let mut again = None;
    loop {
        sink.restart();
        let begun = state;
        let (mut time, mut done) = (0.0, 0);
        let mut slowest: Option<(usize, f64)> = None;
        while done < count {
            arrival = stretch(ride, done, state, driver, sink)?;
            time += arrival.time;
            done = arrival.cells_done;
            state = arrival.state;
            if arrival.braked {
                if slowest.is_none_or(|(_, z)| state.z < z) {
                    slowest = Some((ride.cell(done % count), state.z));
                }
                state = arrival.leave(machine, driver.exit(machine, &arrival));
            }
        }
        before.push((begun, time));
        let rounds = before.len();
        if again.is_some() || begun.repeats(&state) || rounds == MAX_ROUNDS {
            let lap = Lap {
                time,
                first_cell,
                z_start: begun.z,
                from_braking: arrival.braked,
                rounds,
            };
            return Ok((lap, slowest.map(|(cell, _)| cell)));
        }
        let last = &before[before.len().saturating_sub(CYCLE)..];
        let cycle = last.iter().rposition(|(begun, _)| begun.repeats(&state));
        // The quickest of the cycle is driven once more, as the lap that is told.
        if let Some(first) = cycle {
            let quickest = last[first..].iter().min_by(|a, b| a.1.total_cmp(&b.1));
            again = quickest.map(|(begun, _)| *begun);
        }
        if let Some(begun) = again {
            state = begun;
        }
    }
}

/// The cell after the slowest place where the line stops braking; the first cell if it never does.
pub fn slowest_end_of_braking(cells: &Cells, limits: &Limits) -> usize {
    let count = cells.len();
    let mut best = (0, f64::INFINITY);
    for i in 0..count {
        let next = (i + 1) % count;
        let line = &limits.lines[i];
        if line.braking > 0.0 && limits.braked[next] == 0.0 && line.z_end < best.1 {
            best = (next, line.z_end);
        }
    }
    best.0
}
