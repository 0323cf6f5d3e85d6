//! Many variants of one venue in lanes: every lane takes a cell's whole step at once, and a lane that
//! meets an event there is driven through the cell again by the scalar function.
//!
//! The lanes' step is the scalar step's own arithmetic on the same numbers in the same order, kept
//! only where no event, no change of law and no line can cut it. So the times are the same to the bit
//! for any number of lanes, any batch order and any instruction set.

mod lanes;

use super::Driver;
use super::LapError;
use super::advance::State;
use super::cells::Cells;
use super::drive::{
    Arrival, Clock, Lap, MAX_ROUNDS, PlainRule, Ride, lap, slowest_end_of_braking, through_cell,
};
use super::limits::Limits;
use super::machine::Machine;
use super::tape::NoTape;
use crate::venue::Start;
use lanes::{Lanes, Told};

/// Lanes that suit most processors: two vectors of the widest, or four.
pub const USUAL_LANES: usize = 8;

/// Most lines, one a cell and lane, that a batch keeps: 56 MB.
const MOST_LINES: usize = 1_000_000;

/// One variant of a batch.
#[derive(Debug, Clone, Copy)]
pub struct Entrant<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// What the road allows it.
    pub limits: &'a Limits,
}

/// Drives every entrant by the plain rule, `L` at a time, in the order given: the same to the bit as
/// [`lap`] one by one.
///
/// # Errors
/// For each entrant as [`lap`].
pub fn plain<const L: usize>(cells: &Cells, entrants: &[Entrant]) -> Vec<Result<f64, LapError>> {
    let mut times: Vec<Option<Result<f64, LapError>>> = vec![None; entrants.len()];
    let mut order: Vec<(usize, usize)> = entrants
        .iter()
        .enumerate()
        .map(|(i, e)| (first_cell(cells, e.limits), i))
        .collect();
    // Lanes in step must start a lap together.
    order.sort_unstable();
    let mut lanes = Lanes::<L>::new();
    // One lap alone, or so many cells that the lines of all lanes would not fit: nothing is gained.
    let worth = |group: &&[(usize, usize)]| group.len() > 1 && L * cells.len() <= MOST_LINES;
    let groups = order.chunk_by(|a, b| a.0 == b.0).flat_map(|g| g.chunks(L));
    for group in groups.filter(worth) {
        let mut batch = Batch::new(cells, entrants, group);
        batch.drive(&mut lanes);
        for (member, &(_, i)) in batch.members.iter_mut().zip(group) {
            times[i] = member.result.take();
        }
    }
    let alone = |e: &Entrant| {
        lap(e.machine, cells, e.limits, &mut PlainRule, &mut NoTape).map(|lap: Lap| lap.time)
    };
    times
        .into_iter()
        .zip(entrants)
        .map(|(time, entrant)| time.unwrap_or_else(|| alone(entrant)))
        .collect()
}

fn first_cell(cells: &Cells, limits: &Limits) -> usize {
    if cells.start == Start::Flying {
        slowest_end_of_braking(cells, limits)
    } else {
        0
    }
}

/// One lane's lap.
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
}

struct Batch<'a> {
    cells: &'a Cells,
    members: Vec<Member<'a>>,
    first_cell: usize,
}

impl<'a> Batch<'a> {
    fn new(cells: &'a Cells, entrants: &[Entrant<'a>], group: &[(usize, usize)]) -> Self {
        let first_cell = group[0].0;
        let members = group.iter().map(|&(_, i)| {
            let ride = Ride {
                machine: entrants[i].machine,
                cells,
                limits: entrants[i].limits,
                first_cell,
            };
            let state = start(&ride);
            Member {
                ride,
                state: state.unwrap_or(State::in_gear(0.0, 0)),
                begun: state.unwrap_or(State::in_gear(0.0, 0)),
                clock: Clock::default(),
                time: 0.0,
                over: state.is_none(),
                result: None,
                ended_braking: false,
            }
        });
        Self {
            cells,
            members: members.collect(),
            first_cell,
        }
    }

    fn drive<const L: usize>(&mut self, lanes: &mut Lanes<L>) {
        lanes.load(
            self.cells,
            self.members.iter().map(|m| (m.ride.machine, m.ride.limits)),
        );
        let flying = self.cells.start == Start::Flying;
        let rounds = if flying { MAX_ROUNDS } else { 1 };
        for _ in 0..rounds {
            for member in &mut self.members {
                (member.begun, member.time) = (member.state, 0.0);
                member.clock = Clock::default();
            }
            self.round(lanes);
            for member in self.members.iter_mut().filter(|m| !m.over) {
                member.ends_round(flying);
            }
            if self.members.iter().all(|m| m.over) {
                return;
            }
        }
    }

    fn round<const L: usize>(&mut self, lanes: &mut Lanes<L>) {
        let count = self.cells.len();
        for (lane, member) in self.members.iter().enumerate() {
            lanes.put(lane, member.ride.machine, &member.state, member.over);
            lanes.set_seconds(lane, member.clock);
        }
        for done in 0..count {
            let i = if self.first_cell + done >= count {
                self.first_cell + done - count
            } else {
                self.first_cell + done
            };
            lanes.step(&self.cells.cells[i], i);
            if !lanes.any_told() {
                continue;
            }
            for (lane, member) in self.members.iter_mut().enumerate() {
                let told = lanes.told(lane);
                if member.over || told == Told::Stepped {
                    continue;
                }
                member.take(&lanes.taken(lane), lanes.seconds(lane));
                member.cell(done, told);
                lanes.put(lane, member.ride.machine, &member.state, member.over);
                lanes.set_seconds(lane, member.clock);
            }
        }
        for (lane, member) in self.members.iter_mut().enumerate() {
            if !member.over {
                member.take(&lanes.taken(lane), lanes.seconds(lane));
            }
        }
    }
}

impl Member<'_> {
    /// Takes over where the lanes have brought it.
    fn take(&mut self, taken: &lanes::Taken, clock: Clock) {
        self.state.z = taken.z;
        self.state.v = taken.v;
        if self.state.shift_left > 0.0 {
            self.state.shift_left = taken.shift_left;
        }
        self.clock = clock;
    }

    /// What the lanes left to be done in a cell.
    fn cell(&mut self, done: usize, told: Told) {
        if told == Told::Again {
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
