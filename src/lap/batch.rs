//! Many variants of one venue by the plain rule, in lanes that are stepped together; a lane that meets
//! an event in a cell is driven through it by the scalar function.

use super::Driver;
use super::LapError;
use super::advance::State;
use super::cells::Cells;
use super::drive::{
    Arrival, Clock, Lap, MAX_ROUNDS, PlainRule, Ride, lap, slowest_end_of_braking, through_cell,
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
    /// Nothing more to drive.
    over: bool,
    /// Seconds, or why not; nothing where the lap must be driven alone.
    result: Option<Result<f64, LapError>>,
    ended_braking: bool,
    /// What the lanes know of the state.
    mark: u64,
}

fn drive(members: &mut [Member], lanes: &mut Lanes) {
    for (car, member) in members.iter().enumerate() {
        lanes.load(car, member.ride.machine);
    }
    let flying = members[0].ride.cells.start == Start::Flying;
    let rounds = if flying { MAX_ROUNDS } else { 1 };
    for _ in 0..rounds {
        for member in members.iter_mut() {
            (member.begun, member.time) = (member.state, 0.0);
            member.clock = Clock::default();
        }
        round(members, lanes);
        for member in members.iter_mut().filter(|m| !m.over) {
            member.ends_round(flying);
        }
        if members.iter().all(|m| m.over) {
            return;
        }
    }
}

fn round(members: &mut [Member], lanes: &mut Lanes) {
    for done in 0..members[0].ride.cells.len() {
        let mut lane = 0;
        for (car, member) in members.iter_mut().enumerate().filter(|(_, m)| !m.over) {
            member.enter(lanes, lane, car, done);
            lane += 1;
        }
        lanes.step(lane);
        for (lane, member) in members.iter_mut().filter(|m| !m.over).enumerate() {
            member.cell(done, lanes.told(lane));
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
            over: start.is_none(),
            result: None,
            ended_braking: false,
            mark: 0,
        }
    }

    /// Takes a lane at the start of a cell.
    fn enter(&mut self, lanes: &mut Lanes, lane: usize, car: usize, done: usize) {
        let (ride, i) = (&self.ride, self.ride.cell(done));
        let entrant = InLane {
            car,
            machine: ride.machine,
            cell: &ride.cells.cells[i],
            line: &ride.limits.lines[i],
            state: &self.state,
            stop: PlainRule.stop(ride.machine, &self.state),
        };
        lanes.put(lane, &entrant, &mut self.mark);
    }

    /// Takes over what the lanes have done in a cell, or drives it.
    fn cell(&mut self, done: usize, told: Told) {
        match told {
            Told::Stepped {
                z,
                v,
                seconds,
                braking,
                held,
            } => {
                let machine = self.ride.machine;
                if held > 0.0 {
                    self.clock.step(&self.state, machine, held, false);
                }
                self.clock.step(&self.state, machine, seconds, braking);
                self.state.stepped(z, v, seconds, braking);
            }
            Told::Again => {
                self.mark = 0;
                let driven = through_cell(
                    &self.ride,
                    done,
                    &mut self.state,
                    &mut PlainRule,
                    &mut NoTape,
                    &mut self.clock,
                );
                if let Err(error) = driven {
                    (self.over, self.result) = (true, Some(Err(error)));
                    return;
                }
            }
        }
        if let Some((gear, credit)) = self.clock.braking
            && self.ride.braking_ends(done, self.state.z)
        {
            let arrival = Arrival {
                cells_done: done + 1,
                time: self.clock.time,
                gear,
                credit,
                state: self.state,
                braked: true,
            };
            self.time += arrival.time;
            self.clock = Clock::default();
            self.ended_braking = done + 1 == self.ride.cells.len();
            let machine = self.ride.machine;
            self.state = arrival.leave(machine, PlainRule.exit(machine, &arrival));
            self.mark = 0;
        }
    }

    fn ends_round(&mut self, flying: bool) {
        if !self.ended_braking {
            self.time += self.clock.time;
        }
        if !flying {
            (self.over, self.result) = (true, Some(Ok(self.time)));
            return;
        }
        let (state, begun) = (&self.state, &self.begun);
        let same = begun.repeats(state);
        if same {
            self.over = true;
            // From another start than where braking ends a lap is for the scalar function.
            self.result = self.ended_braking.then_some(Ok(self.time));
        }
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
