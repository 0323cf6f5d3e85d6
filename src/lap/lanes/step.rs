//! One step of all lanes: the scalar step's arithmetic, lane by lane, without a branch.
//!
//! Each part is a loop over the lanes of its own, so that the compiler turns it into vectors; only
//! the look-up of the tables goes lane by lane.

use multiversion::multiversion;

use super::WIDTH;
use super::chunk::{Arcs, Chunk, Done, Of, told};
use crate::car::axle::AxleLimits;
use crate::lap::advance::SLOWEST;
use crate::lap::arc::Arc;
use crate::lap::cells::{Cell, UNLIMITED};
use crate::lap::machine::{Ground, Resisting, between, greater, interval, lesser};
use crate::lap::motion::{reach, this_side};

/// Room for the tables of all cars, a power of two.
pub(super) const TABLE_ROOM: usize = 16_384;
/// From one table to the next: not a multiple of a page, whose same knots would crowd one set of the
/// processor's cache.
pub(super) const TABLE_STRIDE: usize = 521;

/// Steps every lane in use through what is left of its cell.
#[multiversion(targets("x86_64+avx512f+avx512dq+avx512vl", "x86_64+avx2", "x86_64+avx"))]
pub(super) fn step(tables: &[f64; TABLE_ROOM], chunks: &mut [Chunk]) {
    for chunk in chunks.iter_mut().filter(|chunk| chunk.live) {
        if chunk.bent {
            chunk.done = whole::<true>(tables, chunk);
        } else {
            chunk.done = whole::<false>(tables, chunk);
        }
        (chunk.live, chunk.bent) = (false, false);
    }
}

/// What holds over a step.
struct Law {
    /// 1 where it is the tyres', as wide as the numbers it chooses between.
    tyres: Of<u64>,
    /// dz/ds at its start.
    slope: Of<f64>,
    /// Its length, m.
    length: Of<f64>,
    /// z between which stages stay.
    least: Of<f64>,
    most: Of<f64>,
}

#[inline(always)]
fn whole<const BENT: bool>(tables: &[f64; TABLE_ROOM], lanes: &Chunk) -> Done {
    let (engine, tyres) = laws::<BENT>(tables, lanes, &lanes.z, &lanes.v);
    let mut law = Law {
        tyres: [0; WIDTH],
        slope: [0.0; WIDTH],
        length: [0.0; WIDTH],
        least: [0.0; WIDTH],
        most: [0.0; WIDTH],
    };
    let mut before = [0.0; WIDTH];
    for l in 0..WIDTH {
        law.tyres[l] = u64::from(tyres[l] < engine[l]);
        before[l] = engine[l] - tyres[l];
        law.slope[l] = 2.0 * lesser(engine[l], tyres[l]);
        [law.least[l], law.most[l]] = this_side(lanes.z[l], lanes.line.z_hold[l]);
    }
    for l in 0..WIDTH {
        let rest = lanes.cell.length[l] - lanes.from[l];
        let (above, plateau) = (lanes.drive.above[l], lanes.line.plateau[l]);
        law.length[l] = reach(above, plateau, lanes.z[l], law.slope[l], rest);
    }
    let second = stage::<BENT>(tables, lanes, &law, 0.5, &law.slope);
    let third = stage::<BENT>(tables, lanes, &law, 0.5, &second);
    let last = stage::<BENT>(tables, lanes, &law, 1.0, &third);
    let (mut z1, mut v1, mut seconds) = ([0.0; WIDTH], [0.0; WIDTH], [0.0; WIDTH]);
    for l in 0..WIDTH {
        let slopes = [law.slope[l], second[l], third[l], last[l]];
        let arc = Arc::of(lanes.z[l], lanes.v[l], law.length[l], slopes);
        z1[l] = arc.at(1.0);
        v1[l] = z1[l].max(0.0).sqrt();
        seconds[l] = arc.time(1.0, v1[l]);
    }
    let mut end = [0.0; WIDTH];
    for l in 0..WIDTH {
        end[l] = z1[l].max(0.0);
    }
    let (engine_after, tyres_after) = laws::<BENT>(tables, lanes, &end, &v1);
    let mut done = Done {
        z: [0.0; WIDTH],
        v: [0.0; WIDTH],
        seconds: [0.0; WIDTH],
        brakes_for: [0.0; WIDTH],
        told: [0; WIDTH],
        arc: Arcs {
            length: law.length,
            first: law.slope,
            second,
            third,
            last,
            before,
            after: [0.0; WIDTH],
        },
    };
    for l in 0..WIDTH {
        let after = engine_after[l] - tyres_after[l];
        let free = Free {
            z: z1[l],
            v: v1[l],
            seconds: seconds[l],
            slope: law.slope[l],
            length: law.length[l],
            tyres: law.tyres[l] == 1,
            tyres_after: after > 0.0,
        };
        let judged = judge(lanes, l, &free);
        (done.z[l], done.v[l]) = (judged.z, judged.v);
        (done.seconds[l], done.brakes_for[l]) = (judged.seconds, judged.brakes_for);
        done.told[l] = judged.told;
        done.arc.after[l] = after;
    }
    done
}

/// dz/ds of the law, a share of the step ahead along a slope.
#[inline(always)]
fn stage<const BENT: bool>(
    tables: &[f64; TABLE_ROOM],
    lanes: &Chunk,
    law: &Law,
    share: f64,
    slope: &Of<f64>,
) -> Of<f64> {
    let (mut z, mut v) = ([0.0; WIDTH], [0.0; WIDTH]);
    for l in 0..WIDTH {
        let ahead = lanes.z[l] + share * law.length[l] * slope[l];
        z[l] = lesser(greater(ahead, law.least[l]), law.most[l]);
        v[l] = z[l].sqrt();
    }
    let (engine, tyres) = laws::<BENT>(tables, lanes, &z, &v);
    let mut found = [0.0; WIDTH];
    for l in 0..WIDTH {
        found[l] = 2.0
            * if law.tyres[l] == 1 {
                tyres[l]
            } else {
                engine[l]
            };
    }
    found
}

/// Acceleration by the engine and by the tyres alone, m/s².
#[inline(always)]
fn laws<const BENT: bool>(
    tables: &[f64; TABLE_ROOM],
    lanes: &Chunk,
    z: &Of<f64>,
    v: &Of<f64>,
) -> (Of<f64>, Of<f64>) {
    let torque = torque(tables, lanes, v);
    let (mut by_engine, mut by_tyres) = ([0.0; WIDTH], [0.0; WIDTH]);
    let (car, drive) = (&lanes.car, &lanes.drive);
    for l in 0..WIDTH {
        let cell = cell(lanes, l);
        let resisting = Resisting {
            f0: lanes.ground.f0[l],
            f1: car.f1[l],
            f2: car.f2[l],
            drag: car.drag[l],
        };
        let resistance = resisting.at(&cell, z[l], v[l]);
        let engine = drive.c0[l] + drive.c2[l] * torque[l];
        by_engine[l] = (engine - resistance) * drive.inv_gamma[l];
        let ground = ground(lanes, l);
        let traction = if BENT {
            ground.traction_in_bend(car.downforce[l], &cell, z[l])
        } else {
            ground.traction_ahead(car.downforce[l], &cell, z[l])
        };
        by_tyres[l] = traction - resistance;
    }
    (by_engine, by_tyres)
}

/// Torque at road speeds, N·m.
#[inline(always)]
fn torque(tables: &[f64; TABLE_ROOM], lanes: &Chunk, v: &Of<f64>) -> Of<f64> {
    let (mut at, mut share) = ([0; WIDTH], [0.0; WIDTH]);
    for l in 0..WIDTH {
        let (i, part) = interval(lanes.drive.c1[l] * v[l] * lanes.car.per_rpm[l]);
        (at[l], share[l]) = (lanes.car.table[l] + i, part);
    }
    let (mut from, mut to) = ([0.0; WIDTH], [0.0; WIDTH]);
    for l in 0..WIDTH {
        // The mask shows the compiler that no bound is passed.
        from[l] = tables[at[l] & (TABLE_ROOM - 1)];
        to[l] = tables[(at[l] + 1) & (TABLE_ROOM - 1)];
    }
    let mut torque = [0.0; WIDTH];
    for l in 0..WIDTH {
        torque[l] = between(from[l], to[l], share[l]);
    }
    torque
}

#[inline(always)]
fn cell(lanes: &Chunk, l: usize) -> Cell {
    Cell {
        length: lanes.cell.length[l],
        curvature: lanes.cell.curvature[l],
        g_cos: lanes.cell.g_cos[l],
        g_sin: lanes.cell.g_sin[l],
        measured: UNLIMITED,
        cap: UNLIMITED,
        surface: 0,
        by_radius: false,
        section: 0,
    }
}

#[inline(always)]
fn ground(lanes: &Chunk, l: usize) -> Ground {
    let ground = &lanes.ground;
    Ground {
        mu: ground.mu[l],
        f0: ground.f0[l],
        axle: AxleLimits {
            drive: ground.drive[l],
            drive_lift: ground.drive_lift[l],
            inside: ground.inside[l],
            half_share: ground.half_share[l],
            lateral: ground.lateral[l],
            brake_lift: 0.0,
        },
        slip: 0.0,
    }
}

/// Where a step at full throttle would lead.
struct Free {
    z: f64,
    v: f64,
    seconds: f64,
    slope: f64,
    length: f64,
    tyres: bool,
    tyres_after: bool,
}

/// What the step to the cell's end, or to where the brakes are taken, is, and what became of it.
struct Judged {
    z: f64,
    v: f64,
    seconds: f64,
    brakes_for: f64,
    told: u64,
}

#[inline(always)]
fn judge(lanes: &Chunk, l: usize, free: &Free) -> Judged {
    let line = lanes.line.of(l);
    let (z, v, shift_left) = (lanes.z[l], lanes.v[l], lanes.shift_left[l]);
    let (length, from) = (lanes.cell.length[l], lanes.from[l]);
    let rest = length - from;
    let shifting = shift_left > 0.0;
    let slows = free.slope < 0.0;
    let reached = line.reached(z, rest, length);
    let at_once = reached & line.brakes(rest, length);
    // On the plateau, down to where braking begins; or on the limiter.
    let pinned = lanes.drive.pinned[l];
    let on_limiter = (pinned == 1) & !reached & !slows & (z <= line.at(0.0));
    let on_plateau = reached & !at_once & !slows;
    let holds = on_plateau | on_limiter;
    let to_brakes = if on_limiter {
        rest
    } else {
        rest - line.braking
    };
    let held = 2.0 * to_brakes / (v + v);
    // Down the line.
    let left = if at_once {
        rest
    } else {
        length - (from + to_brakes)
    };
    let brakes_after = line.reached(z, left, length) & line.brakes(left, length);
    // Where braking begins within rounding of the end there is none.
    let braking = at_once | (on_plateau & (to_brakes < rest) & (left > 0.0));
    // Free.
    let odd = (pinned != 0)
        | (free.z < 0.25 * z)
        | ((free.z - z) * free.slope < 0.0)
        | ((free.z > line.z_hold) != (z > line.z_hold));
    let cut = (free.z <= lanes.drive.low[l])
        | (free.z >= lanes.drive.high[l])
        | (free.length < rest)
        | (!shifting & (free.tyres_after != free.tyres))
        | (shifting & (free.seconds >= shift_left))
        | (free.z > line.at(0.0));

    let asks = (z >= lanes.asks[l]) | ((z < lanes.asks_below[l]) & slows & !free.tyres);
    let hold_again = shifting | (braking & !brakes_after);
    let again = (z < SLOWEST) | if holds { hold_again } else { odd };
    let pick = |held: f64, free: f64| if holds { held } else { free };
    let stepped = if braking { told::BRAKED } else { told::STEPPED };
    let off_the_brakes = if !holds & cut { told::CUT } else { stepped };
    let off_the_brakes = if again { told::AGAIN } else { off_the_brakes };
    let off_the_brakes = if asks { told::ASKS } else { off_the_brakes };
    Judged {
        z: pick(z, free.z),
        v: pick(v, free.v),
        seconds: if at_once {
            0.0
        } else {
            pick(held, free.seconds)
        },
        brakes_for: left,
        told: if at_once {
            told::BRAKED
        } else {
            off_the_brakes
        },
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::chunk::CellsOf;
    use super::*;

    /// The step as compiled for every processor of its kind, and for each set of wider instructions.
    macro_rules! compiled_for {
        ($name:ident, $target:literal) => {
            #[multiversion(targets($target))]
            fn $name(tables: &[f64; TABLE_ROOM], lanes: &Chunk, bent: bool) -> Done {
                if bent {
                    whole::<true>(tables, lanes)
                } else {
                    whole::<false>(tables, lanes)
                }
            }
        };
    }
    compiled_for!(by_eight, "x86_64+avx512f+avx512dq+avx512vl");
    compiled_for!(by_four, "x86_64+avx2");
    compiled_for!(by_four_without_gathering, "x86_64+avx");

    fn plain(tables: &[f64; TABLE_ROOM], lanes: &Chunk, bent: bool) -> Done {
        if bent {
            whole::<true>(tables, lanes)
        } else {
            whole::<false>(tables, lanes)
        }
    }

    fn bits(done: &Done) -> Vec<u64> {
        let arc = &done.arc;
        let arc = [
            arc.length, arc.first, arc.second, arc.third, arc.last, arc.before, arc.after,
        ];
        let numbers = [done.z, done.v, done.seconds, done.brakes_for];
        let numbers = numbers.iter().chain(&arc).flatten().map(|x| x.to_bits());
        numbers.chain(done.told).collect()
    }

    fn of(range: std::ops::Range<f64>) -> impl Strategy<Value = Of<f64>> {
        proptest::array::uniform16(range)
    }

    /// Lanes at ordinary speeds, some braking, some on the plateau, some in the middle of a shift.
    fn lanes() -> impl Strategy<Value = Chunk> {
        let state = (
            of(0.5..3000.0),
            of(-0.4..0.4),
            of(100.0..400.0),
            of(0.01..0.05),
        );
        let road = (of(0.3..40.0), of(0.0..0.05), of(-1.0..1.0), of(0.2..1.3));
        let line = (of(0.2..1.5), of(0.0..1.0), of(0.0..1.0), of(0.5..1.5));
        (state, road, line).prop_map(|(state, road, line)| {
            let mut chunk = Chunk::EMPTY;
            chunk.z = state.0;
            chunk.v = state.0.map(f64::sqrt);
            chunk.shift_left = state.1.map(|s| s.max(0.0));
            (chunk.drive.c1, chunk.drive.c2) = (state.2, state.3);
            chunk.drive.inv_gamma = [0.9; WIDTH];
            chunk.drive.above = state.0.map(|z| 1.5 * z);
            chunk.drive.high = chunk.drive.above;
            chunk.asks = chunk.drive.above;
            chunk.car.per_rpm = [0.06; WIDTH];
            chunk.car.drag = [4e-4; WIDTH];
            chunk.car.downforce = [1e-4; WIDTH];
            chunk.cell = CellsOf {
                length: road.0,
                curvature: road.1,
                g_cos: [9.8; WIDTH],
                g_sin: road.2,
            };
            chunk.ground.mu = road.3;
            chunk.ground.lateral = [0.03; WIDTH];
            for l in 0..WIDTH {
                let plateau = state.0[l] * line.0[l].max(1.0);
                chunk.line.plateau[l] = plateau;
                chunk.line.z_end[l] = plateau * line.0[l].min(1.0);
                chunk.line.slope[l] = 20.0 * line.1[l];
                chunk.line.braking[l] = road.0[l] * line.2[l];
                chunk.line.z_hold[l] = if line.3[l] > 1.0 {
                    UNLIMITED
                } else {
                    plateau * line.3[l]
                };
            }
            chunk
        })
    }

    proptest! {
        /// Wherever the processor has no such instructions, the plain ones are compared with themselves.
        #[test]
        fn property_no_set_of_instructions_changes_a_bit(lanes in lanes(), bent: bool) {
            let mut tables = Box::new([0.0; TABLE_ROOM]);
            for (i, torque) in tables.iter_mut().enumerate() {
                *torque = 150.0 + 40.0 * ((i % TABLE_STRIDE) as f64 / 90.0).sin();
            }
            let expected = bits(&plain(&tables, &lanes, bent));
            prop_assert_eq!(&bits(&by_eight(&tables, &lanes, bent)), &expected);
            prop_assert_eq!(&bits(&by_four(&tables, &lanes, bent)), &expected);
            prop_assert_eq!(&bits(&by_four_without_gathering(&tables, &lanes, bent)), &expected);
            let mut stepped = [Chunk { live: true, bent, ..lanes }];
            step(&tables, &mut stepped);
            prop_assert_eq!(&bits(&stepped[0].done), &expected);
        }
    }
}
