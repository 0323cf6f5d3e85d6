//! The labels of a sweep in one cell: they take the steps of their lanes, are driven where something
//! cuts one, and split at every change of gear that could be made.

use super::labels::Label;
use super::menu::Offer;
use super::plan::ChangeKind;
use super::search::Sweep;
use crate::lap::advance::{advance, along, lower_gear_pulls_more, must_brake, next_gear_pulls};
use crate::lap::lanes::{Entrant, Lanes, NOWHERE, Told};

impl Sweep<'_> {
    /// Begins a cell, and takes the labels on the brakes through it; false where some are still to be
    /// driven. Where changes up are tried whatever the speed, gears are offered at once.
    pub(super) fn begins_cell(&mut self) -> bool {
        let ride = self.ride;
        let i = ride.cell(self.done);
        let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
        self.length = cell.length;
        let (mut arrived, v) = (true, line.z_end.sqrt());
        for label in &mut self.memory.now {
            if label.braking {
                let (before, seconds) = (label.state, ride.limits.braked[i]);
                label.step(&before, seconds, true, &self.level, ride.machine);
                label.state.stepped(line.z_end, v, seconds, true);
                label.state.done = cell.length;
            } else {
                (label.state.done, label.asked) = (0.0, false);
                arrived = false;
            }
        }
        if !arrived && self.tries_at(i) {
            self.offers(i);
        }
        arrived
    }

    /// Offers all labels at the start of a cell gears.
    fn offers(&mut self, i: usize) {
        let (cell, line) = (&self.ride.cells.cells[i], &self.ride.limits.lines[i]);
        let mut now = std::mem::take(&mut self.memory.now);
        let mut n = 0;
        while let Some(label) = now.get_mut(n) {
            if label.state.done == 0.0 && !must_brake(cell, line, &label.state) {
                self.offer(label, i);
            }
            label.asked = true;
            now.append(&mut self.memory.stack);
            n += 1;
        }
        self.memory.now = now;
    }

    /// Keeps the lanes of the labels that are not yet at the cell's end; gives how many these are.
    pub(super) fn keep(&mut self, lanes: &mut Lanes) -> usize {
        let mut wanted = 0;
        for label in &mut self.memory.now {
            if label.state.done < self.length {
                lanes.keep(&mut label.lane);
                wanted += 1;
            }
        }
        wanted
    }

    /// Puts the labels that are not yet at the cell's end into lanes.
    pub(super) fn enter(&mut self, car: usize, lanes: &mut Lanes) {
        let ride = self.ride;
        let i = ride.cell(self.done);
        let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
        for label in &mut self.memory.now {
            let state = &mut label.state;
            if state.done >= cell.length {
                continue;
            }
            label.lane = lanes.take(label.lane);
            state.launching &= state.z < ride.machine.launch.z_lock;
            let stop = self.candidates.at(state.gear, label.next as usize);
            let entrant = Entrant {
                car,
                machine: ride.machine,
                cell,
                line,
                state,
                stop,
                asks: stop,
                asked: label.asked,
            };
            lanes.put(label.lane as usize, &entrant, &mut label.mark);
        }
    }

    /// Takes every label that is not yet at the cell's end a step further, by its lane if it has one.
    /// False where some still are not there.
    pub(super) fn pass(&mut self, lanes: Option<&Lanes>) -> bool {
        let ride = self.ride;
        let i = ride.cell(self.done);
        let length = self.length;
        let mut now = std::mem::take(&mut self.memory.now);
        let (mut arrived, mut gone) = (true, false);
        for label in &mut now {
            if label.state.done >= length {
                continue;
            }
            let told = lanes.map_or(Told::Again, |lanes| lanes.told(label.lane as usize));
            if let Told::Stepped {
                z,
                v,
                seconds,
                braking,
                held,
            } = told
            {
                let before = label.state;
                if held > 0.0 {
                    label.step(&before, held, false, &self.level, ride.machine);
                }
                label.step(&before, seconds, braking, &self.level, ride.machine);
                label.state.stepped(z, v, seconds, braking);
                label.state.done = length;
            } else if self.drives(label, i, told, lanes) {
                arrived &= label.state.done >= length;
            } else {
                label.time = f64::INFINITY;
                gone = true;
            }
        }
        if gone {
            now.retain(|label| label.time < f64::INFINITY);
        }
        arrived &= self.memory.stack.is_empty();
        now.append(&mut self.memory.stack);
        self.memory.now = now;
        arrived
    }

    /// Offers a label the gears it asks for, or drives it by one step; false where it comes to rest.
    fn drives(&mut self, label: &mut Label, i: usize, told: Told, lanes: Option<&Lanes>) -> bool {
        let ride = self.ride;
        let machine = ride.machine;
        let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
        label.mark = 0;
        if !label.asked && told != Told::Cut && !must_brake(cell, line, &label.state) {
            self.offer(label, i);
            label.asked = true;
            // The lane is none of one that has been split off in its place.
            if told == Told::Asks || label.state.shift_left > 0.0 {
                return true;
            }
        }
        label.asked = false;
        let before = label.state;
        let stop = self.candidates.at(before.gear, label.next as usize);
        let moved = match lanes {
            Some(lanes) if told == Told::Cut => {
                let leg = lanes.leg(label.lane as usize);
                along(machine, (cell, line), stop, i, &mut label.state, &leg)
            }
            _ => advance(machine, cell, line, stop, i, &mut label.state),
        };
        let Ok(record) = moved else {
            self.rest = Some(ride.stalled(i, &before));
            return false;
        };
        label.step(&before, record.time, record.braking, &self.level, machine);
        if label.state.gear != before.gear || label.state.from != before.from {
            // Downhill a change can coast past the next gear's candidates.
            label.next = self.candidates.due_at(label.state.gear, label.state.z) as u8;
        }
        // Asked here and now, the lane has not to stop for it.
        if label.state.done < cell.length && !must_brake(cell, line, &label.state) {
            self.offer(label, i);
            label.asked = true;
        }
        true
    }

    /// Whether changes up are tried at the start of a cell whatever the speed.
    fn tries_at(&self, i: usize) -> bool {
        self.places.as_ref().is_some_and(|p| p.tries_at(i))
    }

    /// Offers the changes of gear that could be made here; each goes on the stack as a label.
    fn offer(&mut self, label: &mut Label, i: usize) {
        let done = self.done;
        let machine = self.ride.machine;
        let cell = &self.ride.cells.cells[i];
        let state = label.state;
        if state.shift_left > 0.0 || state.launching {
            return;
        }
        let gear = state.gear;
        let at_start = state.done == 0.0;
        if lower_gear_pulls_more(machine, cell, &state) {
            self.split(label, done, gear - 1, ChangeKind::Down(state.z));
        }
        if gear + 1 >= machine.gears.len() {
            return;
        }
        let candidate = self.candidates.at(gear, label.next as usize);
        if state.z >= candidate {
            // Refused where the next gear does not pull, and offered again where the road lets it.
            if next_gear_pulls(machine, cell, &state) {
                let offer = self.menu.map_or(Offer::Both, |menu| menu.offer(i, gear));
                self.strange += usize::from(offer == Offer::Unknown);
                label.next += 1;
                // At the present z: one refused at the candidate is made wherever it is offered again.
                self.split(label, done, gear + 1, ChangeKind::Up(state.z));
                if offer == Offer::Up {
                    let lane = label.lane;
                    *label = self.memory.stack.pop().expect("the label just split off");
                    label.lane = lane;
                } else {
                    label.stayed |= 1 << gear;
                }
            }
        } else if at_start && done > 0 && self.tries_at(i) && next_gear_pulls(machine, cell, &state)
        {
            self.split(label, done, gear + 1, ChangeKind::UpHere);
        }
    }

    fn split(&mut self, label: &Label, done: usize, to: usize, kind: ChangeKind) {
        let mut other = *label;
        (other.mark, other.lane, other.asked) = (0, NOWHERE, false);
        other.state.begin_shift(self.ride.machine, to);
        other.next = self.candidates.first_from(to, other.state.z) as u8;
        other.last = self.memory.book.note(label.last, done, to, kind);
        self.memory.stack.push(other);
    }
}
