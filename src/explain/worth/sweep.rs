//! The lap backwards: from the finish to the start, what the time gains per unit of the speed and of
//! the shift under way, and what that makes of every coefficient on the way.
//!
//! Lengths of sub-steps are held. Where one law of motion gives way to another at a speed (upshift,
//! limiter, clutch) or at a moment (end of a shift), the place moves by dx and the speed squared
//! behind it by (slope before − slope after)·dx. Where the car meets the line its history ends.

use super::law::{Clutch, Gradient, Law};
use super::line::Lines;
use super::step::{After, Step, seconds_back};
use super::trace::{Before, Trace};
use crate::lap::cells::UNLIMITED;
use crate::lap::{Cells, Limits, Machine, Phase, Record};

/// Rounds in which a lap that closes without braking must settle, and how well.
const ROUNDS: usize = 400;
const SETTLED: f64 = 1e-13;
/// Slope, m/s², below which a speed is never reached but by chance.
const STANDS: f64 = 1e-9;
/// What puts a speed squared just below an event.
const BELOW: f64 = 1.0 - 1e-12;
/// Two reckonings of what is left of a shift are the same, s.
const SAME: f64 = 1e-9;

/// What the time to the finish gains per unit of the state.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Bar {
    /// Of z = v².
    z: f64,
    /// Of the seconds of shift left.
    shift: f64,
}

/// What a record is to the sweep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Free,
    Pinned,
    Hold,
    Brake,
}

fn kind(record: &Record) -> Kind {
    match record.phase {
        Phase::Line if record.braking => Kind::Brake,
        Phase::Line => Kind::Hold,
        Phase::Limiter => Kind::Pinned,
        Phase::Held if record.z0 == record.z1 => Kind::Pinned,
        _ => Kind::Free,
    }
}

struct Sweep<'a> {
    machine: &'a Machine,
    cells: &'a Cells,
    limits: &'a Limits,
    trace: &'a Trace,
    lines: Lines<'a>,
    gradient: Gradient,
}

/// The derivatives of a lap's time by the coefficients of its machine.
pub(super) fn gradient(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    trace: &Trace,
) -> Gradient {
    let mut end = Bar::default();
    let mut rounds = 0;
    loop {
        let mut sweep = Sweep {
            machine,
            cells,
            limits,
            trace,
            lines: Lines::new(machine, cells, limits),
            gradient: Gradient::new(machine),
        };
        let start = sweep.run(end);
        rounds += 1;
        let next = match (trace.closes, trace.lap.from_braking) {
            (false, _) => end,
            // The speed at the line is the road's.
            (true, true) => Bar { z: 0.0, ..start },
            (true, false) => start,
        };
        let moved = (next.z - end.z).abs() <= SETTLED * next.z.abs().max(SETTLED)
            && (next.shift - end.shift).abs() <= SETTLED;
        if moved || rounds == ROUNDS {
            if trace.closes && trace.lap.from_braking {
                sweep.settle_start(start.z);
            }
            sweep.lines.finish(&mut sweep.gradient);
            return sweep.gradient;
        }
        end = next;
    }
}

impl<'a> Sweep<'a> {
    /// All records backwards; the derivatives by the state at the start.
    fn run(&mut self, end: Bar) -> Bar {
        let records = &self.trace.records;
        let mut bar = end;
        let mut i = records.len();
        while i > 0 {
            i -= 1;
            let next = match (i + 1 < records.len(), self.trace.closes) {
                (true, _) => Some(i + 1),
                (false, true) => Some(0),
                (false, false) => None,
            };
            if kind(&records[i]) == Kind::Brake {
                let brakes = |r: &&Record| kind(r) == Kind::Brake;
                let first = i + 1 - records[..=i].iter().rev().take_while(brakes).count();
                bar = self.braking(first..i + 1, next, bar);
                i = first;
                continue;
            }
            if let Some(next) = next {
                bar = self.between(i, next, bar);
            }
            bar = self.through(i, bar);
        }
        bar
    }

    /// The speed at the line of a lap that closes is that of the braking before it.
    fn settle_start(&mut self, bar: f64) {
        if let Some(last) = self.trace.records.last() {
            self.lines
                .settle(last.cell as usize, bar, &mut self.gradient);
        }
    }

    /// From the state after what is decided between two records to the one before it.
    fn between(&mut self, i: usize, next: usize, after: Bar) -> Bar {
        let (record, before) = (&self.trace.records[i], &self.trace.before[i]);
        let behind = &self.trace.before[next].state;
        let shifting = before.state.shift_left > 0.0;
        // A step that ends a shift may last to the bit what was left of it.
        let goes_on = behind.shift_left > 0.0;
        if shifting && goes_on && before.state.shift_left - record.time == behind.shift_left {
            return after;
        }
        if behind.shift_left > 0.0 {
            let gear = behind.from.min(behind.gear);
            self.gradient.gears[gear].shift_time += after.shift;
        }
        let mut bar = Bar {
            z: after.z,
            shift: 0.0,
        };
        if kind(record) != Kind::Free {
            return bar;
        }
        // Of the shift that begins here a second is done for each that it begins earlier.
        let begun = if behind.shift_left > 0.0 {
            after.shift
        } else {
            0.0
        };
        let slope = self.law(i).slope(record.z1);
        let onward = self.slope_at_start(next);
        let jump = onward.map_or(0.0, |onward| after.z * (slope - onward));
        let v = record.z1.sqrt();
        if shifting {
            bar.shift = jump * v + begun;
        } else if let Some(gear) = self.reached(record, before)
            && slope.abs() > STANDS
        {
            let by_place = jump + begun / v;
            bar.z -= by_place / slope;
            self.gradient
                .at_rpm(self.machine, gear, record.z1, by_place / slope);
        }
        bar
    }

    /// dz/ds with which a record begins; nothing where the car is on the line.
    fn slope_at_start(&self, i: usize) -> Option<f64> {
        let record = &self.trace.records[i];
        match kind(record) {
            Kind::Free => Some(self.law(i).slope(record.z0)),
            Kind::Pinned => Some(0.0),
            Kind::Hold | Kind::Brake => None,
        }
    }

    /// The gear in whose rpm the speed is given at which a record ends.
    fn reached(&self, record: &Record, before: &Before) -> Option<usize> {
        let (machine, gear) = (self.machine, usize::from(record.gear));
        let below = machine.held.z_lock * BELOW;
        let z = record.z1;
        match record.phase {
            Phase::Launch => (z == machine.launch.z_lock).then_some(0),
            Phase::Held => (z == machine.held.z_lock).then_some(machine.lowest),
            Phase::Drive => {
                let at = z == before.stop || z == machine.gears[gear].z_limit;
                let lower = gear > 0 && z == machine.gears[gear - 1].z_limit * BELOW;
                match at || (gear == machine.lowest && z == below) {
                    true => Some(gear),
                    false => lower.then(|| gear - 1),
                }
            }
            _ => None,
        }
    }

    /// Through one record that does not brake.
    fn through(&mut self, i: usize, after: Bar) -> Bar {
        let record = &self.trace.records[i];
        let shifting = self.trace.before[i].state.shift_left > 0.0;
        let shift = if shifting { after.shift } else { 0.0 };
        let time = 1.0 - shift;
        let even = || {
            let by = seconds_back(record.length, [record.z0; 3], time);
            by.iter().sum::<f64>() + after.z
        };
        let z = match kind(record) {
            Kind::Free => self.step(i, After { z: after.z, time }),
            Kind::Pinned => even(),
            Kind::Hold | Kind::Brake => {
                self.lines.hold(record.cell as usize, even());
                0.0
            }
        };
        Bar { z, shift }
    }

    fn step(&mut self, i: usize, after: After) -> f64 {
        let record = &self.trace.records[i];
        let hold = self.limits.lines[record.cell as usize].z_hold;
        let between = match (hold < UNLIMITED, record.z0 < hold) {
            (false, _) => (0.0, f64::INFINITY),
            (true, true) => (0.0, hold),
            (true, false) => (hold, f64::INFINITY),
        };
        let law = self.law(i);
        let step = Step {
            law,
            z0: record.z0,
            z1: record.z1,
            length: record.length,
            between,
        };
        // On the speed at which the tyres just hold, that speed decides.
        let given = hold < UNLIMITED && record.z1 == hold;
        let (start, end) = step.back(after, given, &mut self.gradient);
        if given {
            let tyres = Law { tyres: true, ..law };
            let by_z = tyres.back(hold, 1.0, &mut Gradient::new(self.machine));
            tyres.back(hold, -end / by_z, &mut self.gradient);
        }
        start
    }

    fn law(&self, i: usize) -> Law<'a> {
        let record = &self.trace.records[i];
        let machine = self.machine;
        let cell = &self.cells.cells[record.cell as usize];
        let (clutch, tyres) = match record.phase {
            Phase::Shift => {
                let v = record.z0.sqrt();
                let coasts = machine.accelerate(&machine.coast, cell, record.z0, v);
                (Clutch::Coast, coasts.traction)
            }
            Phase::Launch => (Clutch::Launch, record.traction),
            Phase::Held => (Clutch::Held, record.traction),
            _ => (Clutch::Gear(usize::from(record.gear)), record.traction),
        };
        Law {
            machine,
            cell,
            clutch,
            tyres,
            rising: record.z1 > record.z0,
        }
    }

    /// A whole braking, and the shift that it hides.
    fn braking(&mut self, run: std::ops::Range<usize>, next: Option<usize>, after: Bar) -> Bar {
        let trace = self.trace;
        let records = &trace.records[run.clone()];
        let hidden = next.and_then(|next| self.hidden(run.clone(), next, after.shift));
        let shift = hidden.unwrap_or(0.0);
        let begun = trace.before[run.start].state;
        let goes_on = begun.shift_left > 0.0 && begun.gear > begun.from;
        let by_place = if goes_on {
            0.0
        } else {
            self.by_begin(run.start, shift)
        };
        let mut z = by_place;
        for record in records {
            let bars = (z, 1.0 - shift);
            let cell = record.cell as usize;
            z = self
                .lines
                .brake(cell, record.length, bars, &mut self.gradient);
        }
        if let Some(last) = records.last() {
            let cell = last.cell as usize;
            self.lines.settle(cell, z + after.z, &mut self.gradient);
        }
        Bar {
            z: -by_place,
            shift: if goes_on { shift } else { 0.0 },
        }
    }

    /// Of an upshift that only braking hides, a braking that begins later hides less: what the worth of
    /// a second makes of the line's z where it begins, and with the other sign of the car's.
    fn by_begin(&self, first: usize, second: f64) -> f64 {
        if first == 0 || second == 0.0 {
            return 0.0;
        }
        let (before, record) = (&self.trace.records[first - 1], &self.trace.records[first]);
        let slope = match kind(before) {
            Kind::Free => self.law(first - 1).slope(before.z1),
            _ => 0.0,
        };
        let line = &self.limits.lines[record.cell as usize];
        let falls = line.slope + 2.0 * line.bend * record.length;
        second / (record.z0.sqrt() * (slope + falls))
    }

    /// What is left of the shifts up to the gear in which a braking is left is what braking did not
    /// hide: hands their worth on to the shift times. The worth of a second of braking comes back;
    /// nothing where the shift after it is another.
    fn hidden(&mut self, run: std::ops::Range<usize>, next: usize, bar: f64) -> Option<f64> {
        let behind = &self.trace.before[next].state;
        if behind.shift_left <= 0.0 {
            return None;
        }
        let first = &self.trace.before[run.start].state;
        let gears = &self.machine.gears;
        let needed: f64 = (first.from..behind.gear).map(|k| gears[k].shift_time).sum();
        let braked: f64 = self.trace.records[run].iter().map(|r| r.time).sum();
        let left = needed - first.begun(self.machine) - braked;
        if (left - behind.shift_left).abs() > SAME {
            let gear = behind.from.min(behind.gear);
            self.gradient.gears[gear].shift_time += bar;
            return None;
        }
        for gear in first.from..behind.gear {
            self.gradient.gears[gear].shift_time += bar;
        }
        if first.shift_left > 0.0 && first.gear > first.from {
            self.gradient.gears[first.from].shift_time -= bar;
        }
        Some(bar)
    }
}
