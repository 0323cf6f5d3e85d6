//! One cell of a sweep: labels take the steps of their lanes, or are driven and split at every change
//! of gear that could be made.

use super::labels::Label;
use super::menu::Offer;
use super::plan::ChangeKind;
use super::search::Sweep;
use crate::lap::advance::{advance, lower_gear_pulls_more, must_brake, next_gear_pulls};
use crate::lap::lanes::{Entrant, Lanes, Told};

impl Sweep<'_> {
    /// Lets a label take the step of its lane, if that is whole.
    pub(super) fn takes(&self, label: &mut Label, told: Told) -> bool {
        let Told::Stepped {
            z,
            v,
            seconds,
            braking,
            held,
        } = told
        else {
            return false;
        };
        let (before, machine) = (label.state, self.ride.machine);
        if held > 0.0 {
            label.step(&before, held, false, &self.level, machine);
        }
        label.step(&before, seconds, braking, &self.level, machine);
        label.state.stepped(z, v, seconds, braking);
        true
    }

    /// The labels of a cell from the first on that does not just stay: it has taken its step and is at an
    /// end of braking, or has not.
    pub(super) fn rest(
        &mut self,
        now: &mut Vec<Label>,
        whole: usize,
        done: usize,
        told: impl Fn(usize) -> Told,
    ) {
        self.memory.next.extend_from_slice(&now[..whole]);
        for (number, mut label) in now.drain(..).enumerate().skip(whole) {
            let told = told(number);
            if number == whole && told != Told::Again || self.takes(&mut label, told) {
                self.arrives(label, done);
                continue;
            }
            label.mark = 0;
            self.through_cell(label, done);
            while let Some(label) = self.memory.stack.pop() {
                self.through_cell(label, done);
            }
        }
    }

    /// Puts the labels that are about to be driven through a cell into lanes, from one on; gives the
    /// lane after the last.
    pub(super) fn enter(
        &mut self,
        done: usize,
        car: usize,
        lanes: &mut Lanes,
        first: usize,
    ) -> usize {
        let i = self.ride.cell(done);
        let ride = &self.ride;
        let labels = &mut self.memory.now;
        for (number, label) in labels.iter_mut().enumerate() {
            let entrant = Entrant {
                car,
                machine: ride.machine,
                cell: &ride.cells.cells[i],
                line: &ride.limits.lines[i],
                state: &label.state,
                stop: self.candidates.at(label.state.gear, label.next as usize),
            };
            lanes.put(first + number, &entrant, &mut label.mark);
        }
        first + labels.len()
    }

    /// Drives one label through a cell, splitting it at every change that could be made.
    fn through_cell(&mut self, mut label: Label, done: usize) {
        let ride = self.ride;
        let machine = ride.machine;
        let i = ride.cell(done);
        let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
        if label.state.done >= cell.length {
            label.state.done = 0.0;
        }
        while label.state.done < cell.length {
            if !must_brake(cell, line, &label.state) {
                self.offer(&mut label, done, i);
            }
            let before = label.state;
            let stop = self.candidates.at(before.gear, label.next as usize);
            let Ok(record) = advance(machine, cell, line, stop, i, &mut label.state) else {
                self.rest = Some(ride.stalled(i, &before));
                return;
            };
            label.step(&before, record.time, record.braking, &self.level, machine);
            if label.state.gear != before.gear || label.state.from != before.from {
                // Downhill a change can coast past the next gear's candidates.
                label.next = self.candidates.due_at(label.state.gear, label.state.z) as u8;
            }
        }
        self.arrives(label, done);
    }

    /// Whether changes up are tried at the start of a cell whatever the speed.
    pub(super) fn tries_at(&self, done: usize) -> bool {
        let i = self.ride.cell(done);
        self.places.as_ref().is_some_and(|p| p.tries_at(i))
    }

    /// Whether a label at a cell's end is at an end of braking.
    pub(super) fn ends(&self, label: &Label, done: usize) -> bool {
        label.braking && self.ride.braking_ends(done, label.state.z)
    }

    /// A label at a cell's end.
    fn arrives(&mut self, mut label: Label, done: usize) {
        if self.ends(&label, done) {
            self.memory.ends.push(label);
        } else {
            label.state.done = 0.0;
            self.memory.next.push(label);
        }
    }

    /// Offers the changes of gear that could be made here; each goes on the stack as a label.
    fn offer(&mut self, label: &mut Label, done: usize, i: usize) {
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
                    *label = self.memory.stack.pop().expect("the label just split off");
                } else {
                    label.stayed |= 1 << gear;
                }
            }
        } else if at_start
            && done > 0
            && self.tries_at(done)
            && next_gear_pulls(machine, cell, &state)
        {
            self.split(label, done, gear + 1, ChangeKind::UpHere);
        }
    }

    fn split(&mut self, label: &Label, done: usize, to: usize, kind: ChangeKind) {
        let mut other = *label;
        other.mark = 0;
        other.state.begin_shift(self.ride.machine, to);
        other.next = self.candidates.first_from(to, other.state.z) as u8;
        other.last = self.memory.book.note(label.last, done, to, kind);
        self.memory.stack.push(other);
    }
}
