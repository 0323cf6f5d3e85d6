//! The speeds that the road allows, backwards: from where a car is on the line to what settles it
//! there, the next corner that it brakes for.

use super::law::{Gradient, deceleration, plateau};
use super::step::seconds_back;
use crate::lap::{Cells, Limits, Machine};

/// How far past the plateau a braking step reaches, as a share of the way to it.
const PAST: f64 = 1.25;

/// What the time gains per unit of the speed squared that each cell allows by itself.
pub(super) struct Lines<'a> {
    machine: &'a Machine,
    cells: &'a Cells,
    limits: &'a Limits,
    plateaus: Vec<f64>,
}

impl<'a> Lines<'a> {
    pub(super) fn new(machine: &'a Machine, cells: &'a Cells, limits: &'a Limits) -> Self {
        Self {
            machine,
            cells,
            limits,
            plateaus: vec![0.0; cells.len()],
        }
    }

    /// At the speed that a cell allows by itself.
    pub(super) fn hold(&mut self, cell: usize, bar: f64) {
        self.plateaus[cell] += bar;
    }

    /// Down the last `rest` m of a cell: from the derivatives by z where that begins and by the
    /// seconds it takes to the one by z at the cell's end.
    pub(super) fn brake(
        &mut self,
        cell: usize,
        rest: f64,
        (start, time): (f64, f64),
        gradient: &mut Gradient,
    ) -> f64 {
        let line = &self.limits.lines[cell];
        let half = 0.5 * rest;
        let at = |rest: f64| line.z_end + rest * (line.slope + line.bend * rest);
        let by = seconds_back(rest, [at(rest), at(half), line.z_end], time);
        let points = [(rest, start + by[0]), (half, by[1])];
        self.part(cell, &points, gradient) + by[2]
    }

    /// z at a cell's end is that of the next braking's end, or of the cell itself.
    pub(super) fn settle(&mut self, mut cell: usize, mut bar: f64, gradient: &mut Gradient) {
        for _ in 0..2 * self.cells.len() {
            let line = &self.limits.lines[cell];
            if line.z_end >= line.plateau {
                self.plateaus[cell] += bar;
                return;
            }
            cell += 1;
            if cell == self.cells.len() {
                if !self.cells.closed {
                    return;
                }
                cell = 0;
            }
            let length = self.cells.cells[cell].length;
            let line = &self.limits.lines[cell];
            if length > line.braking || line.at(length) >= line.plateau {
                self.plateaus[cell] += bar;
                return;
            }
            bar = self.part(cell, &[(length, bar)], gradient);
        }
    }

    /// From derivatives by z at points of a cell's braking, given by the metres left, to the one by z
    /// at its end.
    fn part(&mut self, cell: usize, points: &[(f64, f64)], gradient: &mut Gradient) -> f64 {
        let line = &self.limits.lines[cell];
        let (mut end, mut slope, mut bend) = (0.0, 0.0, 0.0);
        for &(rest, bar) in points {
            end += bar;
            slope += bar * rest;
            bend += bar * rest * rest;
        }
        end + if line.slope < 0.0 {
            self.pushed(cell, slope, gradient)
        } else {
            self.parabola(cell, slope, bend, gradient)
        }
    }

    /// Slope and bend of the braking part come from a step backwards of the fourth order.
    fn parabola(&mut self, cell: usize, slope: f64, bend: f64, gradient: &mut Gradient) -> f64 {
        let (line, length) = (&self.limits.lines[cell], self.cells.cells[cell].length);
        let first = self.twice(cell, line.z_end);
        let step = if first > 0.0 {
            length.min(PAST * (line.plateau - line.z_end) / first)
        } else {
            length
        };
        if step <= 0.0 {
            return self.stage(cell, line.z_end, slope, gradient);
        }
        let half = 0.5 * step;
        let z2 = line.z_end + half * first;
        let second = self.twice(cell, z2);
        let z3 = line.z_end + half * second;
        let third = self.twice(cell, z3);
        let z4 = line.z_end + step * third;
        let sixth = bend / (6.0 * step);
        let at4 = self.stage(cell, z4, sixth, gradient);
        let at3 = self.stage(cell, z3, 2.0 * sixth + step * at4, gradient);
        let at2 = self.stage(cell, z2, 2.0 * sixth + half * at3, gradient);
        let bar1 = slope - 5.0 * sixth + half * at2;
        let at1 = self.stage(cell, line.z_end, bar1, gradient);
        at1 + at2 + at3 + at4
    }

    /// Where a slope pushes faster than the brakes hold, the line is straight: by the slope half way.
    fn pushed(&mut self, cell: usize, slope: f64, gradient: &mut Gradient) -> f64 {
        let (line, length) = (&self.limits.lines[cell], self.cells.cells[cell].length);
        let first = self.twice(cell, line.z_end);
        let half = line.z_end + 0.5 * length * first;
        if half <= 0.0 || self.twice(cell, half) != line.slope {
            // Down to where the brakes hold again, the start no longer depends on the end.
            return -slope / length;
        }
        let by_half = self.stage(cell, half, slope, gradient);
        let by_first = self.stage(cell, line.z_end, 0.5 * length * by_half, gradient);
        by_half + by_first
    }

    /// Twice the deceleration as the line is fitted with it.
    fn twice(&self, cell: usize, z: f64) -> f64 {
        let most = self.limits.lines[cell].plateau;
        2.0 * self
            .machine
            .decelerate(&self.cells.cells[cell], z.max(0.0).min(most))
    }

    fn stage(&mut self, cell: usize, z: f64, bar: f64, gradient: &mut Gradient) -> f64 {
        let most = self.limits.lines[cell].plateau;
        let inside = z.max(0.0).min(most);
        let road = &self.cells.cells[cell];
        let by_z = deceleration(self.machine, road, inside, 2.0 * bar, gradient);
        if z > most {
            self.plateaus[cell] += by_z;
        }
        if inside == z { by_z } else { 0.0 }
    }

    /// Hands what each cell's own limit is worth on to what makes it.
    pub(super) fn finish(self, gradient: &mut Gradient) {
        for (cell, bar) in self.cells.cells.iter().zip(&self.plateaus) {
            if *bar != 0.0 {
                plateau(self.machine, cell, &self.cells.nominal, *bar, gradient);
            }
        }
    }
}
