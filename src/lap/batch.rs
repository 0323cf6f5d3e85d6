//! Many variants of one venue by the plain rule, in lanes that are stepped together, each at a place of
//! its own; where something cuts a step the scalar function sees to it.

use super::Driver;
use super::LapError;
use super::advance::{State, advance, along, must_brake};
use super::cells::Cells;
use super::drive::{
    Arrival, Clock, Lap, MAX_ROUNDS, PlainRule, Ride, change_gear, lap, slowest_end_of_braking,
};
use super::lanes::{Entrant as InLane, Lanes, MOST_CARS, Told};
use super::limits::Limits;
use super::machine::Machine;
use super::tape::NoTape;
use crate::venue::Start;

/// Laps in step that suit most processors.
pub const USUAL: usize = MOST_CARS;

/// One variant of a batch.
#[derive(Debug, Clone, Copy)]
pub struct Entrant<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// What the road allows it.
    pub limits: &'a Limits,
}

/// Drives every entrant by the plain rule, at most `step` of them (and no more than [`MOST_CARS`]) in
/// step: the same to the bit as [`lap`] one by one.
///
/// # Errors
/// For each entrant as [`lap`].
pub fn plain(cells: &Cells, entrants: &[Entrant], step: usize) -> Vec<Result<f64, LapError>> {
    let mut lanes = Lanes::default();
    let mut times = Vec::with_capacity(entrants.len());
    for group in entrants.chunks(step.clamp(1, MOST_CARS)) {
        let mut members: Vec<Member> = group.iter().map(|e| Member::new(cells, e)).collect();
        drive(&mut members, &mut lanes);
        let alone = |e: &Entrant| {
            lap(e.machine, cells, e.limits, &mut PlainRule, &mut NoTape).map(|lap: Lap| lap.time)
        };
        times.extend(
            (members.into_iter().zip(group))
                .map(|(member, entrant)| member.result.unwrap_or_else(|| alone(entrant))),
        );
    }
    times
}

fn first_cell(cells: &Cells, limits: &Limits) -> usize {
    if cells.start == Start::Flying {
        slowest_end_of_braking(cells, limits)
    } else {
        0
    }
}

/// One lap of a group.
struct Member<'a> {
    ride: Ride<'a>,
    state: State,
    begun: State,
    clock: Clock,
    /// Seconds of the stretches that are done.
    time: f64,
    /// Cells done, and rounds begun.
    done: usize,
    rounds: usize,
    /// Nothing more to drive.
    over: bool,
    /// Seconds, or why not; nothing where the lap must be driven alone.
    result: Option<Result<f64, LapError>>,
    ended_braking: bool,
    /// The driver has been asked for another gear here.
    asked: bool,
    /// What the lanes know of the state.
    mark: u64,
}

fn drive(members: &mut [Member], lanes: &mut Lanes) {
    for (car, member) in members.iter().enumerate() {
        lanes.load(car, member.ride.machine);
    }
    while members.iter().any(|m| !m.over) {
        for (car, member) in members.iter_mut().enumerate().filter(|(_, m)| !m.over) {
            member.enter(lanes, car);
        }
        lanes.step();
        for (car, member) in members.iter_mut().enumerate().filter(|(_, m)| !m.over) {
            member.steps(lanes, car);
        }
    }
}

impl<'a> Member<'a> {
    fn new(cells: &'a Cells, entrant: &Entrant<'a>) -> Self {
        let ride = Ride {
            machine: entrant.machine,
            cells,
            limits: entrant.limits,
            first_cell: first_cell(cells, entrant.limits),
        };
        let start = start(&ride);
        let state = start.unwrap_or(State::in_gear(0.0, 0));
        Self {
            ride,
            state,
            begun: state,
            clock: Clock::default(),
            time: 0.0,
            done: 0,
            rounds: 1,
            over: start.is_none(),
            result: None,
            ended_braking: false,
            asked: false,
            mark: 0,
        }
    }

    /// Takes a lane.
    fn enter(&mut self, lanes: &mut Lanes, car: usize) {
        let machine = self.ride.machine;
        let i = self.ride.cell(self.done);
        let state = &mut self.state;
        state.launching &= state.z < machine.launch.z_lock;
        let stop = PlainRule.stop(machine, state);
        let top = state.gear + 1 == machine.gears.len();
        let entrant = InLane {
            car,
            machine,
            cell: &self.ride.cells.cells[i],
            line: &self.ride.limits.lines[i],
            state,
            stop,
            asks: if top { f64::INFINITY } else { stop },
            asked: self.asked,
        };
        lanes.put(car, &entrant, &mut self.mark);
    }

    /// Takes over what the lane has done, or does it.
    fn steps(&mut self, lanes: &Lanes, car: usize) {
        let machine = self.ride.machine;
        let told = lanes.told(car);
        if let Told::Stepped {
            z,
            v,
            seconds,
            braking,
            held,
        } = told
        {
            if held > 0.0 {
                self.clock.step(&self.state, machine, held, false);
            }
            self.clock.step(&self.state, machine, seconds, braking);
            self.state.stepped(z, v, seconds, braking);
            self.asked = false;
            return self.ends_cell();
        }
        self.mark = 0;
        let i = self.ride.cell(self.done);
        let (cell, line) = (&self.ride.cells.cells[i], &self.ride.limits.lines[i]);
        let state = &mut self.state;
        if !self.asked && told != Told::Cut && !must_brake(cell, line, state) {
            change_gear(machine, cell, self.done, &mut PlainRule, state);
        }
        self.asked = told == Told::Asks;
        if self.asked {
            return;
        }
        let before = *state;
        let stop = PlainRule.stop(machine, state);
        let moved = match told {
            Told::Cut => along(machine, (cell, line), stop, i, state, &lanes.leg(car)),
            _ => advance(machine, cell, line, stop, i, state),
        };
        match moved {
            Ok(record) => {
                self.clock
                    .step(&before, machine, record.time, record.braking);
                if self.state.done >= cell.length {
                    self.ends_cell();
                } else if !must_brake(cell, line, &self.state) {
                    // Asked here and now, the lane has not to stop for it.
                    change_gear(machine, cell, self.done, &mut PlainRule, &mut self.state);
                    self.asked = true;
                }
            }
            Err(_) => {
                let error = self.ride.stalled(i, &before);
                (self.over, self.result) = (true, Some(Err(error)));
            }
        }
    }

    /// At the end of a cell, and on the brakes to where braking ends.
    fn ends_cell(&mut self) {
        while self.ends_one() {
            let i = self.ride.cell(self.done);
            let (seconds, z) = (self.ride.limits.braked[i], self.ride.limits.lines[i].z_end);
            self.clock
                .step(&self.state, self.ride.machine, seconds, true);
            self.state.stepped(z, z.sqrt(), seconds, true);
        }
    }

    /// At the end of a cell; whether braking goes on from there.
    fn ends_one(&mut self) -> bool {
        self.state.done = 0.0;
        let ends = self.ride.braking_ends(self.done);
        if let Some((gear, credit)) = self.clock.braking.filter(|_| ends) {
            let arrival = Arrival {
                cells_done: self.done + 1,
                time: self.clock.time,
                gear,
                credit,
                state: self.state,
                braked: true,
            };
            self.time += arrival.time;
            self.clock = Clock::default();
            self.ended_braking = self.done + 1 == self.ride.cells.len();
            let machine = self.ride.machine;
            self.state = arrival.leave(machine, PlainRule.exit(machine, &arrival));
            self.mark = 0;
        }
        self.done += 1;
        if self.done == self.ride.cells.len() {
            self.ends_round();
            return false;
        }
        self.clock.braking.is_some()
    }

    fn ends_round(&mut self) {
        if !self.ended_braking {
            self.time += self.clock.time;
        }
        if self.ride.cells.start != Start::Flying {
            (self.over, self.result) = (true, Some(Ok(self.time)));
            return;
        }
        if self.begun.repeats(&self.state) {
            self.over = true;
            // From another start than where braking ends a lap is for the scalar function.
            self.result = self.ended_braking.then_some(Ok(self.time));
        }
        self.over |= self.rounds == MAX_ROUNDS;
        self.rounds += 1;
        (self.begun, self.done, self.time) = (self.state, 0, 0.0);
        self.clock = Clock::default();
        self.ended_braking = false;
    }
}

/// How a lap begins; none where it is for the scalar function.
fn start(ride: &Ride) -> Option<State> {
    let machine = ride.machine;
    match ride.cells.start {
        Start::Standing => Some(State {
            launching: true,
            ..State::in_gear(0.0, 0)
        }),
        Start::Rolling(v) if v * v > ride.limits.z_start * (1.0 + 1e-12) => None,
        Start::Rolling(v) => {
            let z = v * v;
            Some(State::in_gear(z, machine.lowest_gear_below_upshift(z)))
        }
        Start::Flying => {
            let arrival = ride.before_flying();
            Some(arrival.leave(machine, PlainRule.exit(machine, &arrival)))
        }
    }
}
