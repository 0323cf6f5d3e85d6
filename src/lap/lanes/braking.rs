//! What the road allows many cars on roads of as many cells: braking backwards, lane by lane a car.

use multiversion::multiversion;

use super::WIDTH;
use super::chunk::Of;
use crate::car::axle::AxleLimits;
use crate::lap::LapError;
use crate::lap::cells::{Cell, Cells, UNLIMITED};
use crate::lap::limits::{Limits, Line, Round, no_brakes};
use crate::lap::machine::{Ground, Machine, Resisting, lesser};

/// One car.
#[derive(Debug)]
pub struct Braker<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// Its road.
    pub cells: &'a Cells,
    /// What the road allows it, to be computed.
    pub limits: &'a mut Limits,
}

/// Computes the limits of every car, the same to the bit as [`Limits::compute`] one by one. All roads
/// have as many cells.
///
/// # Errors
/// For each as there.
pub fn limits_of(cars: &mut [Braker]) -> Vec<Result<(), LapError>> {
    let mut results: Vec<Result<(), LapError>> = cars.iter().map(|_| Ok(())).collect();
    // Specs of one draw differ in their engines alone.
    let first: Vec<usize> = (0..cars.len()).map(|i| first_alike(cars, i)).collect();
    let mut due = Vec::new();
    for (i, car) in cars.iter_mut().enumerate().filter(|&(i, _)| first[i] == i) {
        due.push((i, car.limits.prepare(car.machine, car.cells)));
    }
    while !due.is_empty() {
        let swept: Vec<Result<f64, LapError>> = (due.chunks(WIDTH))
            .flat_map(|group| sweep(cars, group))
            .collect();
        let mut again = Vec::new();
        for (&(i, round), z_start) in due.iter().zip(swept) {
            let car = &mut cars[i];
            let next = z_start.and_then(|z_start| {
                car.limits.z_start = z_start;
                car.limits.next(car.cells, round)
            });
            match next {
                Ok(Some(round)) => again.push((i, round)),
                Ok(None) => car.limits.settle(car.cells),
                Err(error) => results[i] = Err(error),
            }
        }
        due = again;
    }
    for (i, first) in first
        .into_iter()
        .enumerate()
        .filter(|&(i, first)| first < i)
    {
        let (done, rest) = cars.split_at_mut(i);
        rest[0].limits.take(done[first].limits);
        results[i] = results[first].clone();
    }
    results
}

/// The first of the cars that the road allows the same as one.
fn first_alike(cars: &[Braker], i: usize) -> usize {
    let car = &cars[i];
    let alike = |other: &Braker| {
        std::ptr::eq(other.cells, car.cells) && other.machine.is_allowed_as(car.machine)
    };
    cars[..i].iter().position(alike).unwrap_or(i)
}

/// The cars of a sweep, side by side.
struct Brakes {
    /// z at the end of the cell; after a step at its start.
    z: Of<f64>,
    f1: Of<f64>,
    f2: Of<f64>,
    drag: Of<f64>,
    downforce: Of<f64>,
    share: Of<f64>,
    mu: Of<f64>,
    f0: Of<f64>,
    lift: Of<f64>,
    length: Of<f64>,
    curvature: Of<f64>,
    g_cos: Of<f64>,
    g_sin: Of<f64>,
    plateau: Of<f64>,
    z_end: Of<f64>,
    slope: Of<f64>,
    bend: Of<f64>,
    braking: Of<f64>,
    /// 1 where the slope pushes faster than the brakes hold.
    pushed: Of<u64>,
}

impl Brakes {
    const EMPTY: Self = {
        let (zero, one) = ([0.0; WIDTH], [1.0; WIDTH]);
        Self {
            z: one,
            f1: zero,
            f2: zero,
            drag: zero,
            downforce: zero,
            share: one,
            mu: one,
            f0: zero,
            lift: one,
            length: one,
            curvature: zero,
            g_cos: one,
            g_sin: zero,
            plateau: one,
            z_end: one,
            slope: zero,
            bend: zero,
            braking: zero,
            pushed: [0; WIDTH],
        }
    };

    fn put_car(&mut self, l: usize, machine: &Machine, z: f64) {
        self.z[l] = z;
        self.f1[l] = machine.f1;
        self.f2[l] = machine.f2;
        self.drag[l] = machine.drag;
        self.downforce[l] = machine.downforce;
        self.share[l] = machine.brake_share;
    }

    fn put_ground(&mut self, l: usize, ground: &Ground) {
        self.mu[l] = ground.mu;
        self.f0[l] = ground.f0;
        self.lift[l] = ground.axle.brake_lift;
    }

    #[inline(always)]
    fn put_cell(&mut self, l: usize, cell: &Cell, line: &Line) {
        self.length[l] = cell.length;
        self.curvature[l] = cell.curvature;
        self.g_cos[l] = cell.g_cos;
        self.g_sin[l] = cell.g_sin;
        self.plateau[l] = line.plateau;
    }
}

/// Sweeps the roads of at most [`WIDTH`] cars; gives z at their starts.
fn sweep(cars: &mut [Braker], group: &[(usize, Round)]) -> Vec<Result<f64, LapError>> {
    let mut brakes = Brakes::EMPTY;
    let mut stuck: Of<Option<usize>> = [None; WIDTH];
    for (l, &(car, round)) in group.iter().enumerate() {
        brakes.put_car(l, cars[car].machine, round.z_finish);
    }
    let mut surfaces: Of<Option<u16>> = [None; WIDTH];
    for i in (0..cars[group[0].0].cells.len()).rev() {
        let mut members = group.iter().zip(&brakes.z);
        if members.all(|(&(car, round), z)| round.repeats(&cars[car].limits.lines[i], *z)) {
            for (z, &(car, _)) in brakes.z.iter_mut().zip(group) {
                *z = cars[car].limits.z_start;
            }
            break;
        }
        let mut bent = false;
        for (l, &(car, _)) in group.iter().enumerate() {
            let car = &cars[car];
            let cell = &car.cells.cells[i];
            if surfaces[l] != Some(cell.surface) {
                surfaces[l] = Some(cell.surface);
                brakes.put_ground(l, &car.machine.ground[cell.surface as usize]);
            }
            brakes.put_cell(l, cell, &car.limits.lines[i]);
            bent |= cell.curvature != 0.0;
        }
        brake(&mut brakes, bent);
        for (l, &(car, _)) in group.iter().enumerate() {
            let car = &mut cars[car];
            let line = &mut car.limits.lines[i];
            if brakes.pushed[l] == 1 {
                // Rare, and another law.
                brakes.z[l] = line.fitted(car.machine, &car.cells.cells[i], brakes.z[l]);
            } else {
                line.z_end = brakes.z_end[l];
                (line.slope, line.bend) = (brakes.slope[l], brakes.bend[l]);
                line.braking = brakes.braking[l];
                brakes.z[l] = line.at(brakes.length[l]);
            }
            if brakes.z[l] <= 0.0 && stuck[l].is_none() {
                stuck[l] = Some(i);
            }
        }
    }
    let found = group.iter().zip(brakes.z.iter().zip(&stuck));
    found
        .map(|(&(car, _), (&z, stuck))| match stuck {
            Some(i) => Err(no_brakes(cars[car].cells, *i)),
            None => Ok(z),
        })
        .collect()
}

/// The braking step of every lane through its cell; `bent` if any is in a bend.
#[multiversion(targets("x86_64+avx512f+avx512dq+avx512vl", "x86_64+avx2", "x86_64+avx"))]
fn brake(brakes: &mut Brakes, bent: bool) {
    if bent {
        steps::<true>(brakes);
    } else {
        steps::<false>(brakes);
    }
}

#[inline(always)]
fn steps<const BENT: bool>(brakes: &mut Brakes) {
    for l in 0..WIDTH {
        let mut line = Line {
            plateau: brakes.plateau[l],
            z_end: lesser(brakes.z[l], brakes.plateau[l]),
            slope: 0.0,
            bend: 0.0,
            braking: 0.0,
            z_hold: UNLIMITED,
        };
        let z = line.z_end;
        let slope = dec::<BENT>(brakes, l, z);
        let reach = line.reach(slope, brakes.length[l]);
        let half = 0.5 * reach;
        let second = dec::<BENT>(brakes, l, z + half * slope);
        let third = dec::<BENT>(brakes, l, z + half * second);
        let fourth = dec::<BENT>(brakes, l, z + reach * third);
        line.brake_along([slope, second, third, fourth], reach, brakes.length[l]);
        brakes.pushed[l] = u64::from(slope < 0.0);
        brakes.z_end[l] = line.z_end;
        brakes.slope[l] = line.slope;
        brakes.bend[l] = line.bend;
        brakes.braking[l] = line.braking;
    }
}

/// z lost per metre with the brakes at the driver's limit, m/s².
#[inline(always)]
fn dec<const BENT: bool>(brakes: &Brakes, l: usize, z: f64) -> f64 {
    let z = lesser(z.max(0.0), brakes.plateau[l]);
    let cell = Cell {
        length: brakes.length[l],
        curvature: brakes.curvature[l],
        g_cos: brakes.g_cos[l],
        g_sin: brakes.g_sin[l],
        measured: UNLIMITED,
        cap: UNLIMITED,
        surface: 0,
        by_radius: false,
        section: 0,
    };
    let ground = Ground {
        mu: brakes.mu[l],
        f0: brakes.f0[l],
        axle: AxleLimits {
            drive: 0.0,
            drive_lift: 0.0,
            inside: 0.0,
            half_share: 0.0,
            lateral: 0.0,
            brake_lift: brakes.lift[l],
        },
        slip: 0.0,
    };
    let resisting = Resisting {
        f0: brakes.f0[l],
        f1: brakes.f1[l],
        f2: brakes.f2[l],
        drag: brakes.drag[l],
    };
    let (share, downforce) = (brakes.share[l], brakes.downforce[l]);
    let held = if BENT {
        ground.brakes_in_bend(share, downforce, &cell, z)
    } else {
        ground.brakes_ahead(share, downforce, &cell, z)
    };
    2.0 * (held + resisting.at(&cell, z, z.sqrt()))
}
