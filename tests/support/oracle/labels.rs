//! Labels along the road.

use super::forces::{Forces, Pull, Spot};
use super::fronts::prune;
use super::road::{Road, Step, rk4};

/// A state of the car and how it came there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label {
    pub(super) t: f64,
    pub(super) z: f64,
    pub(super) gear: usize,
    /// The gear left in the change under way.
    pub(super) from: usize,
    /// Seconds left of it, and the metre where it began.
    pub(super) left: f64,
    pub(super) begun: f64,
    pub(super) launching: bool,
    pub(super) braking: bool,
    /// Shift time up to the gear engaged, and what braking has hidden, s.
    pub(super) hidden: f64,
    last: usize,
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Optimum {
    pub time: f64,
    /// Metre, gear from there on, speed, m/s, and seconds of every change.
    pub changes: Vec<(f64, usize, f64, f64)>,
    /// Most labels at one place.
    pub labels: usize,
}

struct Sweep<'a> {
    forces: &'a Forces<'a>,
    road: &'a Road,
    /// Squares of the speeds on the limiter.
    z_limit: Vec<f64>,
    /// Shift time from first gear up to each.
    climb: Vec<f64>,
    book: Vec<(usize, f64, usize, f64, f64)>,
    most: usize,
}

/// The shortest time over all plans.
pub fn optimum(forces: &Forces, road: &Road) -> Option<Optimum> {
    let mut climb = vec![0.0];
    for k in 1..forces.gears() {
        climb.push(climb[k - 1] + forces.shift_time(k - 1));
    }
    let mut sweep = Sweep {
        forces,
        road,
        z_limit: (0..forces.gears()).map(|k| forces.z_limit(k)).collect(),
        climb,
        book: vec![(0, 0.0, 0, 0.0, 0.0)],
        most: 0,
    };
    let best = if road.closed {
        sweep.closed()
    } else {
        let start = Label {
            launching: true,
            ..Label::at(0.0, 0)
        };
        sweep
            .run(start)
            .into_iter()
            .min_by(|a, b| a.t.total_cmp(&b.t))
    }?;
    Some(Optimum {
        time: best.t,
        changes: sweep.trace(best.last),
        labels: sweep.most,
    })
}

impl Label {
    fn at(z: f64, gear: usize) -> Self {
        Self {
            t: 0.0,
            z,
            gear,
            from: gear,
            left: 0.0,
            begun: 0.0,
            launching: false,
            braking: false,
            hidden: 0.0,
            last: 0,
        }
    }
}

impl Sweep<'_> {
    /// A lap begins in a gear and with a rest of a shift that its own end can leave.
    fn closed(&mut self) -> Option<Label> {
        let z = self.road.steps[0]
            .enter
            .min(self.road.steps[self.road.steps.len() - 1].leave);
        let mut best: Option<Label> = None;
        for gear in self.exits(z) {
            let mut left = 0.0;
            for _ in 0..4 {
                let start = self.leave(&Label::at(z, gear), z, gear, left);
                let rest = |l: &Label, climb: &[f64]| (climb[gear] - l.hidden).max(0.0);
                let ends = self.run(start);
                let climb = &self.climb;
                let Some(end) = ends
                    .into_iter()
                    .filter(|l| l.braking)
                    .min_by(|a, b| (a.t + rest(a, climb)).total_cmp(&(b.t + rest(b, climb))))
                else {
                    break;
                };
                let again = rest(&end, climb);
                if (again - left).abs() < 1e-9 {
                    if best.is_none_or(|b| end.t < b.t) {
                        best = Some(end);
                    }
                    break;
                }
                left = again;
            }
        }
        best
    }

    fn exits(&self, z: f64) -> Vec<usize> {
        let top = self.forces.gears() - 1;
        let able: Vec<usize> = (self.forces.lowest..=top)
            .filter(|&k| z < self.z_limit[k])
            .collect();
        if able.is_empty() { vec![top] } else { able }
    }

    fn leave(&self, end: &Label, z: f64, gear: usize, left: f64) -> Label {
        Label {
            from: if left > 0.0 { gear - 1 } else { gear },
            left,
            t: end.t,
            last: end.last,
            ..Label::at(z, gear)
        }
    }

    fn run(&mut self, start: Label) -> Vec<Label> {
        let mut now = vec![start];
        let (mut next, mut stack) = (Vec::new(), Vec::new());
        let road = self.road;
        for (i, step) in road.steps.iter().enumerate() {
            for label in now.drain(..) {
                stack.push((label, step.length));
                while let Some((label, rest)) = stack.pop() {
                    self.through(label, rest, step, &mut stack, &mut next);
                }
            }
            if let Some(after) = road.steps.get(i + 1) {
                self.leave_braking(after, &mut next, &mut now);
            } else {
                now.append(&mut next);
            }
            prune(&mut now);
            self.most = self.most.max(now.len());
        }
        now
    }

    /// Splits the labels whose braking is over into the gears to leave in.
    fn leave_braking(&mut self, after: &Step, from: &mut Vec<Label>, to: &mut Vec<Label>) {
        for end in from.drain(..) {
            let goes_on = after.braking && end.z >= after.enter * (1.0 - 1e-9);
            if !end.braking || goes_on {
                to.push(end);
                continue;
            }
            for gear in self.exits(end.z) {
                let left = (self.climb[gear] - end.hidden).max(0.0);
                let mut label = self.leave(&end, end.z, gear, left);
                label.begun = after.from;
                label.last = self.note(&label, after.from);
                to.push(label);
            }
        }
    }

    fn note(&mut self, label: &Label, at: f64) -> usize {
        self.book
            .push((label.last, at, label.gear, label.z.sqrt(), label.t));
        self.book.len() - 1
    }

    fn trace(&self, mut last: usize) -> Vec<(f64, usize, f64, f64)> {
        let mut out = Vec::new();
        while last > 0 {
            let (before, at, gear, v, t) = self.book[last];
            out.push((at, gear, v, t));
            last = before;
        }
        out.reverse();
        out
    }

    fn pull(&self, label: &Label) -> Pull {
        let forces = self.forces;
        let lowest_rpm = forces.variant.habits.lowest_rpm;
        if label.left > 0.0 {
            Pull::Nothing
        } else if label.launching {
            Pull::Slip(0, forces.launch_rpm)
        } else if label.gear == forces.lowest && label.z < forces.z_at(label.gear, lowest_rpm) {
            Pull::Slip(label.gear, lowest_rpm)
        } else {
            Pull::Gear(label.gear)
        }
    }

    /// Changes that the driver could make here, each on the stack as a label.
    fn decide(&mut self, label: &Label, rest: f64, step: &Step, stack: &mut Vec<(Label, f64)>) {
        if label.left > 0.0 || label.launching {
            return;
        }
        let (k, z, at) = (label.gear, label.z, &step.at);
        let forces = self.forces;
        if k + 1 < forces.gears() {
            let (next, tyres) = forces.accelerate(Pull::Gear(k + 1), at, z);
            if next > 0.0 || tyres {
                stack.push((self.change(label, k + 1, rest, step), rest));
            }
        }
        if k > forces.lowest && z < self.z_limit[k - 1] {
            let (now, tyres) = forces.accelerate(Pull::Gear(k), at, z);
            let lower = Label {
                gear: k - 1,
                ..*label
            };
            if now < 0.0 && !tyres && forces.accelerate(self.pull(&lower), at, z).0 > now {
                stack.push((self.change(label, k - 1, rest, step), rest));
            }
        }
    }

    fn change(&mut self, label: &Label, gear: usize, rest: f64, step: &Step) -> Label {
        let mut other = Label { gear, ..*label };
        other.left = self.forces.shift_time(gear.min(label.gear));
        if other.left <= 0.0 {
            other.from = gear;
        }
        other.begun = step.from + step.length - rest;
        other.last = self.note(&other, other.begun);
        other
    }

    /// Drives a label through what is left of a step.
    fn through(
        &mut self,
        mut label: Label,
        mut rest: f64,
        step: &Step,
        stack: &mut Vec<(Label, f64)>,
        out: &mut Vec<Label>,
    ) {
        if rest == step.length {
            let on_brakes = step.braking && on_line(label.z, step.enter);
            if !on_brakes {
                self.decide(&label, rest, step, stack);
            }
        }
        while rest > 0.0 {
            let line = line(step, rest);
            if step.braking && on_line(label.z, line) {
                self.brake(&mut label, rest, step);
                out.push(label);
                return;
            }
            label.braking = false;
            match self.free(&mut label, rest, step) {
                Some((length, at_limit)) => {
                    rest -= length;
                    if at_limit && rest > 0.0 {
                        self.decide(&label, rest, step, stack);
                    }
                }
                None => return,
            }
        }
        out.push(label);
    }

    fn brake(&self, label: &mut Label, rest: f64, step: &Step) {
        if !label.braking {
            let begun = if label.left > 0.0 && label.gear > label.from {
                self.forces.shift_time(label.from) - label.left
            } else {
                0.0
            };
            label.hidden = self.climb[label.from] + begun;
            label.braking = true;
        }
        let time = 2.0 * rest / (label.z.sqrt() + step.leave.sqrt());
        label.t += time;
        label.hidden += time;
        label.z = step.leave;
        label.launching = false;
    }

    /// Off the brakes to the end of the step or to the next event: the metres done and whether
    /// a limit was reached at which the driver may change gear; none where the car comes to rest.
    fn free(&self, label: &mut Label, rest: f64, step: &Step) -> Option<(f64, bool)> {
        let (forces, at, z) = (self.forces, &step.at, label.z);
        let lock = forces.z_at(0, forces.launch_rpm);
        label.launching &= z < lock;
        let pull = self.pull(label);
        let accelerate = |z: f64| forces.accelerate(pull, at, z).0;
        let in_gear = matches!(pull, Pull::Gear(_));
        let ceiling = self.ceiling(label, pull, step);
        let holds = accelerate(z) >= 0.0;
        let pinned = (!step.braking && on_line(z, step.at.allowed))
            || (in_gear && on_line(z, self.z_limit[label.gear]))
            || ((z / step.balance - 1.0).abs() < 1e-12);
        if holds && pinned {
            let (length, time) = self.cruise(label, rest, step);
            label.t += time;
            if label.left > 0.0 {
                label.left -= time;
                if label.left <= 0.0 {
                    (label.left, label.from) = (0.0, label.gear);
                }
            }
            return Some((length, false));
        }
        let mut z1 = rk4(z, rest, |z| 2.0 * accelerate(z));
        if z1 <= 0.0 {
            return None;
        }
        let balanced = (z1 > step.balance) != (z > step.balance) && z != step.balance;
        if balanced && engine_holds(forces, pull, at, step.balance) {
            z1 = step.balance;
        }
        let (mut share, mut to) = (1.0, z1);
        if z < ceiling && z1 >= ceiling {
            share = (ceiling - z) / (z1 - z);
            to = ceiling;
        }
        let floor = self.floor(pull);
        if z > floor && z1 < floor {
            share = (z - floor) / (z - z1);
            to = floor;
        }
        if step.braking {
            let (here, there) = (line(step, rest), line(step, rest * (1.0 - share)));
            if to > there {
                share *= (here - z) / (here - z + to - there);
                to = line(step, rest * (1.0 - share));
            }
        }
        let mut time = 2.0 * share * rest / (z.sqrt() + to.sqrt());
        if label.left > 0.0 && time >= label.left {
            let a = (to - z) / (2.0 * share * rest);
            let length = label.left * (z.sqrt() + 0.5 * a * label.left);
            share = (length / rest).min(1.0);
            (to, time) = (z + 2.0 * a * length, label.left);
            (label.left, label.from) = (0.0, label.gear);
        } else if label.left > 0.0 {
            label.left -= time;
        }
        label.t += time;
        label.z = to;
        let at_limit = in_gear && (to == self.z_limit[label.gear] || to == floor);
        let length = if share >= 1.0 { rest } else { share * rest };
        Some((length, at_limit))
    }

    /// A hair below the limit of the gear below, from where on the driver may change down.
    fn floor(&self, pull: Pull) -> f64 {
        match pull {
            Pull::Gear(k) if k > self.forces.lowest => self.z_limit[k - 1] * (1.0 - 1e-12),
            _ => 0.0,
        }
    }

    /// The next speed squared above at which something changes.
    fn ceiling(&self, label: &Label, pull: Pull, step: &Step) -> f64 {
        let event = match pull {
            Pull::Gear(k) => self.z_limit[k],
            Pull::Slip(k, rpm) => self.forces.z_at(k, rpm),
            Pull::Nothing => f64::INFINITY,
        };
        let allowed = if step.braking {
            f64::INFINITY
        } else {
            step.at.allowed
        };
        if event > label.z {
            event.min(allowed)
        } else {
            allowed
        }
    }

    /// At constant speed, to the end of the step or to the braking.
    fn cruise(&self, label: &Label, rest: f64, step: &Step) -> (f64, f64) {
        let mut length = rest;
        if step.braking && label.z > step.leave {
            let slope = (step.enter - step.leave) / step.length;
            let to_line = rest - (label.z - step.leave) / slope;
            length = to_line.clamp(1e-12 * step.length, rest);
        }
        (length, length / label.z.sqrt())
    }
}

fn on_line(z: f64, line: f64) -> bool {
    z >= line * (1.0 - 1e-12)
}

/// Speed squared allowed with `rest` m of a step to go.
fn line(step: &Step, rest: f64) -> f64 {
    step.leave + (step.enter - step.leave) * rest / step.length
}

fn engine_holds(forces: &Forces, pull: Pull, at: &Spot, balance: f64) -> bool {
    // The tyres hold it by definition, to rounding.
    forces.accelerate(pull, at, balance * (1.0 - 1e-9)).0 >= 0.0
}
