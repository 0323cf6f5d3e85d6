//! One step of all lanes: the scalar step's arithmetic, lane by lane, without a branch.

use multiversion::multiversion;

use super::{Fixed, Grounds, Lines, States, Told64};
use crate::car::axle::AxleLimits;
use crate::lap::advance::SLOWEST;
use crate::lap::arc::{Arc, seconds};
use crate::lap::cells::{Cell, UNLIMITED};
use crate::lap::limits::Line;
use crate::lap::machine::{Ground, Mode, Resisting, TABLE_INTERVALS, between_knots};
use crate::lap::motion::OVERSHOOT;

/// Rounding by which a step may be taken for too long to be whole: it is driven again, no more.
const CLOSE: f64 = 1.0 + 1e-9;

/// Steps every lane through a cell; what may have met an event stays where it was.
#[multiversion(targets("x86_64+avx512f+avx512dq+avx512vl", "x86_64+avx2", "x86_64+avx"))]
pub(super) fn step<const L: usize>(
    fixed: &Fixed<L>,
    grounds: &Grounds<L>,
    cell: &Cell,
    lines: &Lines<L>,
    states: &mut States<L>,
    told: &mut Told64<L>,
) {
    if cell.curvature == 0.0 {
        // A number known here spares the roots of the ellipse.
        let straight = Cell {
            curvature: 0.0,
            ..*cell
        };
        steps(fixed, grounds, &straight, lines, states, told);
    } else {
        steps(fixed, grounds, cell, lines, states, told);
    }
}

#[inline(always)]
fn steps<const L: usize>(
    fixed: &Fixed<L>,
    grounds: &Grounds<L>,
    cell: &Cell,
    lines: &Lines<L>,
    states: &mut States<L>,
    told: &mut Told64<L>,
) {
    for l in 0..L {
        let car = Car {
            resisting: Resisting {
                f0: grounds.f0[l],
                f1: fixed.f1[l],
                f2: fixed.f2[l],
                drag: fixed.drag[l],
            },
            ground: Ground {
                mu: grounds.mu[l],
                f0: grounds.f0[l],
                axle: AxleLimits {
                    drive: grounds.drive[l],
                    drive_lift: grounds.drive_lift[l],
                    inside: grounds.inside[l],
                    half_share: grounds.half_share[l],
                    lateral: grounds.lateral[l],
                    brake_lift: 0.0,
                },
                slip: 0.0,
            },
            downforce: fixed.downforce[l],
            mode: Mode {
                c0: states.c0[l],
                c1: states.c1[l],
                c2: states.c2[l],
                inv_gamma: states.inv_gamma[l],
            },
            table: &fixed.tables[l],
            per_rpm: fixed.per_rpm[l],
        };
        let line = Line {
            plateau: lines.plateau[l],
            z_end: lines.z_end[l],
            slope: lines.slope[l],
            bend: lines.bend[l],
            braking: lines.braking[l],
            z_hold: lines.z_hold[l],
        };
        let (z, v, shift_left) = (states.z[l], states.v[l], states.shift_left[l]);
        let shifting = shift_left > 0.0;
        let length = cell.length;
        let reached = line.reached(z, length, length);
        let must_brake = reached & line.brakes(length, length);
        let (by_engine, by_tyres) = car.laws(cell, z, v);
        let a = by_engine.min(by_tyres);
        let tyres = by_tyres < by_engine;
        let holds = reached & !must_brake & (a >= 0.0);

        // Down the line.
        let v_end = line.z_end.sqrt();
        let braked = seconds(length, v, line.at(0.5 * length).sqrt(), v_end);
        // On the plateau.
        let held = 2.0 * length / (v + v);
        // Free.
        let (above, below) = (states.above[l], states.below[l]);
        let slope = 2.0 * a;
        let bounded = line.z_hold < UNLIMITED;
        let slower = z < line.z_hold;
        let least = if bounded & !slower { line.z_hold } else { 0.0 };
        let most = if bounded & slower {
            line.z_hold
        } else {
            f64::INFINITY
        };
        let law = |z: f64| {
            let z = z.max(least).min(most);
            let (by_engine, by_tyres) = car.laws(cell, z, z.sqrt());
            2.0 * if tyres { by_tyres } else { by_engine }
        };
        let arc = Arc::new(z, v, length, slope, law);
        let z1 = arc.at(1.0);
        let v1 = z1.max(0.0).sqrt();
        let free = arc.time(1.0, v1);
        let (engine_after, tyres_after) = car.laws(cell, z1.max(0.0), v1);
        let room = if z < line.plateau {
            above.min(line.plateau) - z
        } else {
            above - z
        };
        let short = (OVERSHOOT * room < length * slope * CLOSE)
            | (0.5 * z < length * -slope * CLOSE)
            | (z1 < 0.25 * z);
        let other_law = !shifting & ((tyres_after < engine_after) != tyres);
        let turned = ((z1 - z) * a < 0.0) | ((z1 > line.z_hold) != (z > line.z_hold));
        let event = (z1 >= above) | (z1 <= below) | (shifting & (free >= shift_left));
        let free_again = short | other_law | turned | event | (z1 > line.at(0.0));

        let asked = (z >= above) | (z <= below) | ((z < states.down[l]) & (a < 0.0) & !tyres);
        let hold_again = shifting | (line.braking > 0.0);
        let again = if must_brake {
            shifting
        } else {
            asked | (z < SLOWEST) | if holds { hold_again } else { free_again }
        };
        let stays = u64::from(again) | states.apart[l];

        let (z1, v1, seconds) = if must_brake {
            (line.z_end, v_end, braked)
        } else if holds {
            (z, v, held)
        } else {
            (z1, v1, free)
        };
        let hidden = if states.braking[l] > 0.0 {
            states.hidden[l]
        } else {
            0.0
        };
        let braking = if must_brake { 1.0 } else { 0.0 };
        let stay = stays != 0;
        states.z[l] = if stay { z } else { z1 };
        states.v[l] = if stay { v } else { v1 };
        states.time[l] = if stay {
            states.time[l]
        } else {
            states.time[l] + seconds
        };
        states.hidden[l] = if stay {
            states.hidden[l]
        } else {
            hidden + seconds
        };
        states.braking[l] = if stay { states.braking[l] } else { braking };
        states.shift_left[l] = if stay | !shifting {
            shift_left
        } else {
            shift_left - seconds
        };
        told.again[l] = stays;
        told.braked[l] = u64::from(must_brake) & !lines.goes_on[l];
    }
    told.any = 0;
    for l in 0..L {
        told.any |= (told.again[l] | told.braked[l]) & states.heard[l];
    }
}

/// One lane's forces.
struct Car<'a> {
    resisting: Resisting,
    ground: Ground,
    downforce: f64,
    mode: Mode,
    table: &'a [f64; TABLE_INTERVALS + 1],
    per_rpm: f64,
}

impl Car<'_> {
    /// Acceleration by the engine and by the tyres alone, m/s².
    #[inline(always)]
    fn laws(&self, cell: &Cell, z: f64, v: f64) -> (f64, f64) {
        let resistance = self.resisting.at(cell, z, v);
        let mode = &self.mode;
        let torque = between_knots(self.table, self.per_rpm, mode.c1 * v);
        let engine = mode.c0 + mode.c2 * torque;
        let by_engine = (engine - resistance) * mode.inv_gamma;
        (
            by_engine,
            self.ground.traction(self.downforce, cell, z) - resistance,
        )
    }
}
