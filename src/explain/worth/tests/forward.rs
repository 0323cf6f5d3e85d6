//! The lap forwards in dual numbers along a trace: how its time moves with one input.

use super::dual::{Dual, still};
use super::moving::{Line, Moving, lines};
use crate::explain::worth::law::Clutch;
use crate::explain::worth::trace::{Before, Trace};
use crate::lap::cells::UNLIMITED;
use crate::lap::{Cells, Limits, Phase, Record, State};

/// How the state moves, and the time so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Motion {
    z: f64,
    shift: f64,
    time: f64,
}

struct Forward<'a> {
    moving: &'a Moving<'a>,
    cells: &'a Cells,
    limits: &'a Limits,
    trace: &'a Trace,
    lines: Vec<Line>,
    /// Largest difference between a step run again and its record, m²/s².
    apart: f64,
}

/// How a lap's time moves, and how far any step that no event cut short lies from its record.
pub fn forward(moving: &Moving, cells: &Cells, limits: &Limits, trace: &Trace) -> (f64, f64) {
    let mut forward = Forward {
        moving,
        cells,
        limits,
        trace,
        lines: lines(moving, cells, limits),
        apart: 0.0,
    };
    let mut start = Motion::default();
    if trace.closes && trace.lap.from_braking {
        let last = trace.records[trace.records.len() - 1].cell;
        start.z = forward.lines[last as usize].z_end.du;
    }
    for _ in 0..400 {
        let end = forward.run(start);
        let next = match (trace.closes, trace.lap.from_braking) {
            (false, _) => start,
            (true, true) => Motion {
                shift: end.shift,
                ..start
            },
            (true, false) => Motion { time: 0.0, ..end },
        };
        let settled = (next.z - start.z).abs() <= 1e-14 * next.z.abs()
            && (next.shift - start.shift).abs() <= 1e-14;
        if settled {
            return (end.time, forward.apart);
        }
        start = next;
    }
    panic!("the lap does not settle");
}

impl Forward<'_> {
    fn run(&mut self, start: Motion) -> Motion {
        let records = &self.trace.records;
        let mut motion = start;
        // Change of what an exit will find hidden, from the start of its braking.
        let mut credit = 0.0;
        for (i, record) in records.iter().enumerate() {
            let state = &self.trace.before[i].state;
            let line = self.lines[record.cell as usize];
            let before = motion.time;
            match record.phase {
                Phase::Line if record.braking => {
                    if i == 0 || !records[i - 1].braking {
                        credit = self.begun(i, state, &motion);
                    }
                    let [z0, middle, z1] =
                        [record.length, 0.5 * record.length, 0.0].map(|rest| line.brake(rest));
                    motion.time += seconds(record.length, z0, middle, z1).du;
                    motion.z = z1.du;
                    credit += motion.time - before;
                }
                Phase::Line => {
                    let z = Dual {
                        re: record.z0,
                        du: line.plateau.du,
                    };
                    motion.time += seconds(record.length, z, z, z).du;
                    motion.z = z.du;
                }
                _ if pinned(record) => {
                    let z = Dual {
                        re: record.z0,
                        du: motion.z,
                    };
                    motion.time += seconds(record.length, z, z, z).du;
                }
                _ => self.step(record, &mut motion),
            }
            if state.shift_left > 0.0 {
                motion.shift -= motion.time - before;
            }
            let last = i + 1 == records.len();
            if !last || self.trace.closes {
                let next = if last { 0 } else { i + 1 };
                self.decide(i, next, credit, &mut motion);
            }
        }
        motion
    }

    /// How what an upshift has done before braking moves; where there is none, what the braking that
    /// begins later will not hide.
    fn begun(&self, i: usize, state: &State, motion: &Motion) -> f64 {
        if state.shift_left > 0.0 && state.gear > state.from {
            return self.moving.shift_time[state.from].du - motion.shift;
        }
        if i == 0 {
            return 0.0;
        }
        let (before, record) = (&self.trace.records[i - 1], &self.trace.records[i]);
        let slope = match before.phase == Phase::Line || pinned(before) {
            true => 0.0,
            false => self.slope(before, still(before.z1)).re,
        };
        let line = self.lines[record.cell as usize];
        let falls = line.slope.re + 2.0 * line.bend.re * record.length;
        let moved = (line.brake(record.length).du - motion.z) / (slope + falls);
        -moved / record.z0.sqrt()
    }

    fn step(&mut self, record: &Record, motion: &mut Motion) {
        let hold = self.limits.lines[record.cell as usize].z_hold;
        let (least, most) = match (hold < UNLIMITED, record.z0 < hold) {
            (false, _) => (0.0, f64::INFINITY),
            (true, true) => (0.0, hold),
            (true, false) => (hold, f64::INFINITY),
        };
        let slope = |z: Dual| self.slope(record, z.max(still(least)).min(still(most)));
        let z0 = Dual {
            re: record.z0,
            du: motion.z,
        };
        let length = record.length;
        let first = slope(z0);
        let second = slope(z0 + 0.5 * length * first);
        let third = slope(z0 + 0.5 * length * second);
        let fourth = slope(z0 + length * third);
        let mut z1 = z0 + length / 6.0 * (first + 2.0 * (second + third) + fourth);
        let half = 5.0 / 24.0 * first + 1.0 / 6.0 * (second + third) - 1.0 / 24.0 * fourth;
        if hold < UNLIMITED && record.z1 == hold {
            z1.du = self
                .moving
                .hold(&self.cells.cells[record.cell as usize], hold);
        }
        self.apart = self.apart.max((z1.re - record.z1).abs());
        z1.re = record.z1;
        motion.time += seconds(length, z0, z0 + length * half, z1).du;
        motion.z = z1.du;
    }

    /// dz/ds of a record's law.
    fn slope(&self, record: &Record, z: Dual) -> Dual {
        let cell = &self.cells.cells[record.cell as usize];
        let (clutch, tyres) = match record.phase {
            Phase::Shift => {
                let (machine, v) = (self.moving.machine, record.z0.sqrt());
                let coasts = machine.accelerate(&machine.coast, cell, record.z0, v);
                (Clutch::Coast, coasts.traction)
            }
            Phase::Launch => (Clutch::Launch, record.traction),
            Phase::Held => (Clutch::Held, record.traction),
            _ => (Clutch::Gear(usize::from(record.gear)), record.traction),
        };
        let rising = record.z1 > record.z0;
        self.moving.slope(cell, (clutch, tyres, rising), z)
    }

    /// What happens to the motion where one record gives way to the next.
    fn decide(&self, i: usize, next: usize, credit: f64, motion: &mut Motion) {
        let (record, after) = (&self.trace.records[i], &self.trace.records[next]);
        let (here, there) = (&self.trace.before[i], &self.trace.before[next].state);
        let times = &self.moving.shift_time;
        if record.braking && !after.braking {
            let needed: f64 = (self.gear_before(i)..there.gear).map(|k| times[k].du).sum();
            let whole: f64 = (self.gear_before(i)..there.gear).map(|k| times[k].re).sum();
            let left = whole - self.credit(i);
            motion.shift = match (
                there.shift_left > 0.0,
                (left - there.shift_left).abs() < 1e-9,
            ) {
                (true, true) => needed - credit,
                (true, false) => times[there.from.min(there.gear)].du,
                _ => 0.0,
            };
            return;
        }
        let shifting = here.state.shift_left > 0.0;
        let begins = there.shift_left > 0.0;
        if shifting && begins && here.state.shift_left - record.time == there.shift_left {
            return;
        }
        let over = motion.shift;
        motion.shift = match begins {
            true => times[there.from.min(there.gear)].du,
            false => 0.0,
        };
        if record.phase == Phase::Line || pinned(record) {
            return;
        }
        let slope = self.slope(record, still(record.z1)).re;
        let onward = match (after.phase, pinned(after)) {
            (Phase::Line, _) => slope,
            (_, true) => 0.0,
            _ => self.slope(after, still(after.z0)).re,
        };
        let v = record.z1.sqrt();
        let moved = if shifting {
            v * over
        } else {
            self.place(record, here, motion.z, slope)
        };
        motion.z += (slope - onward) * moved;
        if begins {
            motion.shift += moved / v;
        }
    }

    /// How the place moves at which a record reaches the speed that an engine speed gives.
    fn place(&self, record: &Record, here: &Before, z: f64, slope: f64) -> f64 {
        let machine = self.moving.machine;
        let gear = usize::from(record.gear);
        let speeds = [
            (Phase::Launch, machine.launch.z_lock, 0),
            (Phase::Held, machine.held.z_lock, machine.lowest),
            (Phase::Drive, here.stop, gear),
            (Phase::Drive, machine.gears[gear].z_limit, gear),
        ];
        let mut given = speeds
            .iter()
            .filter(|s| s.0 == record.phase && s.1 == record.z1);
        let falls = record.phase == Phase::Drive
            && gear == machine.lowest
            && record.z1 == machine.held.z_lock * (1.0 - 1e-12);
        let lower = record.phase == Phase::Drive
            && gear > 0
            && record.z1 == machine.gears[gear - 1].z_limit * (1.0 - 1e-12);
        let below = falls.then_some(gear).or(lower.then(|| gear - 1));
        let gear = given.next().map(|s| s.2).or(below);
        let Some(gear) = gear.filter(|_| slope.abs() > 1e-9) else {
            return 0.0;
        };
        let c1 = self.moving.c1[gear];
        let moves = -2.0 * record.z1 * c1.du / c1.re;
        (moves - z) / slope
    }

    /// First record of the braking that ends with record i.
    fn first(&self, i: usize) -> usize {
        let records = &self.trace.records[..=i];
        i + 1 - records.iter().rev().take_while(|r| r.braking).count()
    }

    fn gear_before(&self, i: usize) -> usize {
        self.trace.before[self.first(i)].state.from
    }

    fn credit(&self, i: usize) -> f64 {
        let first = self.first(i);
        let braked: f64 = self.trace.records[first..=i].iter().map(|r| r.time).sum();
        self.trace.before[first].state.begun(self.moving.machine) + braked
    }
}

fn pinned(record: &Record) -> bool {
    record.phase == Phase::Limiter || (record.phase == Phase::Held && record.z0 == record.z1)
}

/// Seconds over a length as a lap takes them.
fn seconds(length: f64, z0: Dual, middle: Dual, z1: Dual) -> Dual {
    let [v0, middle, v1] = [z0, middle, z1].map(Dual::sqrt);
    let (least, most) = (v0.min(v1), v0.max(v1));
    let middle = middle.max(least).min(most);
    let once = still(2.0 * length) / (v0 + v1);
    let twice = still(length) / (v0 + middle) + still(length) / (middle + v1);
    twice + 1.0 / 3.0 * (twice - once)
}
