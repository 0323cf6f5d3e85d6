//! The same lap as others would drive it: a plain loop in metre steps that asks the curve itself, and
//! a general-purpose integrator (the crate differential-equations). Both take a car without shift
//! times through the lowest gear whose upshift lies above.

use differential_equations::prelude::*;
use pullrank::dyno::Curve;
use pullrank::lap::machine::Mode;
use pullrank::lap::{Cell, Cells, Limits, Machine};

/// Acceleration at full throttle with the torque of the curve, m/s².
fn accelerate(machine: &Machine, curve: &Curve, cell: &Cell, z: f64) -> f64 {
    let v = z.max(0.0).sqrt();
    let mode: &Mode = &machine.gears[machine.lowest_gear_below_upshift(z)].mode;
    let resistance = machine.resistance(cell, z, v);
    let engine = mode.c2 * curve.torque(mode.c1 * v);
    ((engine - resistance) * mode.inv_gamma).min(machine.traction(cell, z) - resistance)
}

/// Seconds of a lap by explicit steps from station to station: braking backwards, driving forwards.
pub fn plain_loop(machine: &Machine, curve: &Curve, cells: &Cells) -> f64 {
    let count = cells.len();
    let mut allowed = vec![0.0; count + 1];
    allowed[count] = machine.plateau(&cells.cells[count - 1], &cells.nominal);
    for (i, cell) in cells.cells.iter().enumerate().rev() {
        let z = allowed[i + 1] + 2.0 * cell.length * machine.decelerate(cell, allowed[i + 1]);
        allowed[i] = z.min(machine.plateau(cell, &cells.nominal));
    }
    let (mut z, mut time) = (1.0_f64, 0.0);
    for (i, cell) in cells.cells.iter().enumerate() {
        let a = accelerate(machine, curve, cell, z);
        let next = (z + 2.0 * cell.length * a).max(0.1).min(allowed[i + 1]);
        time += 2.0 * cell.length / (z.sqrt() + next.sqrt());
        z = next;
    }
    time
}

/// Distance as the independent variable; time and z = v² as the state.
struct Road<'a> {
    machine: &'a Machine,
    curve: &'a Curve,
    cells: &'a Cells,
    limits: &'a Limits,
}

impl ODE<f64, [f64; 2]> for Road<'_> {
    fn diff(&self, s: f64, y: &[f64; 2], dyds: &mut [f64; 2]) {
        let after = self.cells.stations.partition_point(|&station| station <= s);
        let i = after.clamp(1, self.cells.len()) - 1;
        let (cell, line) = (&self.cells.cells[i], &self.limits.lines[i]);
        let z = y[1].max(0.1);
        let rest = self.cells.stations[i + 1] - s;
        let slope = if z < line.at(rest) {
            2.0 * accelerate(self.machine, self.curve, cell, z)
        } else if rest <= line.braking {
            -line.slope - 2.0 * line.bend * rest
        } else {
            0.0
        };
        *dyds = [1.0 / z.sqrt(), slope];
    }
}

/// Seconds of a lap by Dormand & Prince's method of order 5(4) to a relative tolerance of 10⁻⁶.
pub fn integrator(machine: &Machine, curve: &Curve, cells: &Cells, limits: &Limits) -> f64 {
    let road = Road {
        machine,
        curve,
        cells,
        limits,
    };
    let method = ExplicitRungeKutta::dopri5()
        .rtol(1e-6)
        .atol(1e-6)
        .h_max(10.0)
        .max_steps(1_000_000);
    let solution = IVP::ode(&road, 0.0, cells.length(), [0.0, 1.0])
        .method(method)
        .solve()
        .expect("the integrator gets there");
    solution.y[solution.y.len() - 1][0]
}
