//! The search against every plan there is, on roads with few stations: each gear may be left at any
//! station, on the limiter or not at all, each corner in any gear.

use pullrank::lap::drive::Ride;
use pullrank::lap::{
    Arrival, Cell, Cells, Driver as Gears, Limits, Machine, NoTape, State, stretch,
};
use pullrank::schedule::{Choice, search};
use pullrank::venue::{Course, Finish, Start};

use crate::support::cars::{curve, gearbox, point_mass};
use crate::support::roads::{bend, road, straight};
use crate::support::runs::Driver;

/// Seconds that the search may lose.
const ACCEPTED: f64 = 1e-3;

/// Where a gear is left.
#[derive(Debug, Clone, Copy)]
enum Up {
    Station(usize),
    Limiter,
    Never,
}

/// One stretch: where first and second are left.
struct Plan([Up; 2]);

impl Gears for Plan {
    fn exit(&mut self, _: &Machine, _: &Arrival) -> usize {
        unreachable!("one stretch")
    }

    fn stop(&self, machine: &Machine, state: &State) -> f64 {
        match self.0.get(state.gear) {
            Some(Up::Limiter) => machine.gears[state.gear].z_limit,
            _ => f64::INFINITY,
        }
    }

    fn change(&mut self, machine: &Machine, _: &Cell, done: usize, state: &State) -> Option<usize> {
        let now = match self.0.get(state.gear)? {
            Up::Station(at) => done >= *at,
            Up::Limiter => state.z >= machine.gears[state.gear].z_limit,
            Up::Never => false,
        };
        now.then_some(state.gear + 1)
    }
}

/// The shortest time from a state to the finish, and how many stretches were driven to tell.
fn shortest(ride: &Ride, done: usize, state: State) -> (f64, usize) {
    let (count, machine) = (ride.cells.len(), ride.machine);
    let places: Vec<Up> = (done..count)
        .map(Up::Station)
        .chain([Up::Limiter, Up::Never])
        .collect();
    let own = |gear: usize| {
        if state.gear <= gear {
            &places[..]
        } else {
            &[Up::Never]
        }
    };
    let (mut best, mut driven) = (f64::INFINITY, 0);
    for &first in own(0) {
        for &second in own(1) {
            let mut plan = Plan([first, second]);
            let Ok(arrival) = stretch(ride, done, state, &mut plan, &mut NoTape) else {
                continue;
            };
            driven += 1;
            if arrival.cells_done == count {
                best = best.min(arrival.time);
                continue;
            }
            for exit in 0..machine.gears.len() {
                if arrival.state.z < machine.gears[exit].z_limit {
                    let next = arrival.leave(machine, exit);
                    let (rest, more) = shortest(ride, arrival.cells_done, next);
                    best = best.min(arrival.time + rest);
                    driven += more;
                }
            }
        }
    }
    (best, driven)
}

/// In cells of so many metres.
fn agrees(course: &Course, cell: f64, grip: f64, shift_time: f64) {
    let mut car = point_mass(900.0, grip);
    car.gearbox = gearbox(&[3.0, 1.9, 1.3], shift_time);
    car.final_drive.ratio = 4.1;
    car.rev_limit_rpm = 7000.0;
    car.default_launch_rpm = 4000.0;
    car.drag_area = 0.6;
    car.rolling.f0 = Some(0.015);
    let engine = curve(500.0, |omega| {
        150.0 - 2e-4 * (omega - 450.0) * (omega - 450.0)
    });
    let driver = Driver::of(&car, &engine);
    let variant = driver.variant();
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), cell).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let found = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
    let ride = Ride {
        machine: &machine,
        cells: &cells,
        limits: &limits,
        first_cell: 0,
    };
    let start = State {
        launching: true,
        ..State::in_gear(0.0, 0)
    };
    let (best, driven) = shortest(&ride, 0, start);
    println!(
        "{} cells, {driven} stretches: {best:.5} s, search {:+.3} ms",
        cells.len(),
        1e3 * (found.lap.time - best)
    );
    assert!(driven > 100);
    assert!(
        found.lap.time - best < ACCEPTED,
        "{best} {}",
        found.lap.time
    );
}

fn roads() -> [(Course, f64); 3] {
    let one = vec![straight(270.0)];
    let two = vec![straight(140.0), bend(12.0, 11.0), straight(120.0)];
    let three = vec![
        straight(85.0),
        bend(10.0, 11.0),
        straight(85.0),
        bend(12.0, 15.0),
        straight(70.0),
    ];
    [(one, 18.0), (two, 25.0), (three, 32.0)]
        .map(|(sections, cell)| (road(Start::Standing, Finish::Flying, sections), cell))
}

#[test]
fn property_no_plan_beats_the_search() {
    for (course, cell) in roads() {
        for (grip, shift_time) in [(1.0, 0.3), (0.35, 0.15)] {
            agrees(&course, cell, grip, shift_time);
        }
    }
}
