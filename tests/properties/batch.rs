//! Laps in lanes are the scalar laps, to the bit, whatever the lanes, their number and their order;
//! and so is the tape of a lap played again.

use proptest::collection::vec;
use proptest::prelude::*;
use pullrank::lap::batch::{Entrant, plain};
use pullrank::lap::lanes::{Braker, limits_of};
use pullrank::lap::{Cells, LapError, Limits, Machine, NoTape, PlainRule, Tape, Variant, lap};
use pullrank::schedule::{self, Pack, Workspace, quickest, quickest_of};
use pullrank::venue::Course;

use crate::support::cars::{WHOLE, constant_torque, point_mass};
use crate::support::random::{self, Entry, course, entry, settled};
use crate::support::roads::drag_strip;
use crate::support::runs::DENSITY;

/// The machines of some entries on a course whose cells the first of them fixes; those that it does
/// not suit are left out.
fn ready(entries: &[Entry], course: &Course, spacing: f64) -> Option<(Cells, Vec<Machine>)> {
    let variant = |e: &'_ Entry| -> Result<Machine, LapError> {
        Variant::fitted(&e.car, &e.car.trims[0], e.habits, &e.curve, DENSITY).compile(course)
    };
    let e = &entries[0];
    let first = Variant::fitted(&e.car, &e.car.trims[0], e.habits, &e.curve, DENSITY);
    let cells = Cells::new(course, first.nominal(course).ok()?, spacing).ok()?;
    let machines = entries.iter().filter_map(|e| variant(e).ok()).collect();
    Some((cells, machines))
}

fn bits(time: &Result<f64, LapError>) -> Result<u64, LapError> {
    time.clone().map(f64::to_bits)
}

/// The same laps in lanes, forwards and backwards; gives how many.
fn same(step: usize, cells: &Cells, entrants: &[Entrant], alone: &[Result<f64, LapError>]) {
    let together = plain(cells, entrants, step);
    let backwards: Vec<Entrant> = entrants.iter().rev().copied().collect();
    let mut shuffled = plain(cells, &backwards, step);
    shuffled.reverse();
    for ((a, b), c) in alone.iter().zip(&together).zip(&shuffled) {
        assert_eq!((bits(a), bits(a)), (bits(b), bits(c)), "{step} in step");
    }
}

/// The fastest schedules of laps that share lanes, and what the road allows them, against one by one.
fn together(cells: &Cells, machines: &[Machine]) {
    let mut workspace = Workspace::default();
    let alone: Vec<_> = machines
        .iter()
        .map(|machine| quickest(machine, cells, None, &mut workspace).map(|q| q.time.to_bits()))
        .collect();
    let limits_by_one: Vec<_> = machines.iter().map(|m| Limits::new(m, cells)).collect();
    let mut pack = Pack::default();
    let order: Vec<usize> = (0..machines.len())
        .chain((0..machines.len()).rev())
        .collect();
    for some in [&order[..1], &order[..machines.len()], &order[..]] {
        let entrants: Vec<schedule::Entrant> = some
            .iter()
            .map(|&i| schedule::Entrant {
                machine: &machines[i],
                cells,
                menu: None,
            })
            .collect();
        let found = quickest_of(&entrants, &mut pack);
        let mut own = vec![Limits::default(); some.len()];
        let mut brakers: Vec<Braker> = (some.iter().zip(&mut own))
            .map(|(&i, limits)| Braker {
                machine: &machines[i],
                cells,
                limits,
            })
            .collect();
        let braked = limits_of(&mut brakers);
        for (place, &i) in some.iter().enumerate() {
            assert_eq!(found[place].clone().map(|q| q.time.to_bits()), alone[i]);
            let limits = braked[place].clone().map(|()| own[place].clone());
            assert_eq!(limits, limits_by_one[i]);
        }
    }
}

/// Compares every way of driving some machines over some cells; gives how many laps have a time.
fn compare(cells: &Cells, machines: &[Machine]) -> usize {
    let limits: Vec<_> = machines.iter().map(|m| Limits::new(m, cells)).collect();
    let pairs = machines.iter().zip(&limits);
    let entrants: Vec<Entrant> = pairs
        .filter_map(|(machine, limits)| {
            let limits = limits.as_ref().ok()?;
            Some(Entrant { machine, limits })
        })
        .collect();
    let alone: Vec<Result<f64, LapError>> = entrants
        .iter()
        .map(|e| {
            let mut tape = Tape::default();
            let recorded = lap(e.machine, cells, e.limits, &mut PlainRule, &mut tape);
            let timed = lap(e.machine, cells, e.limits, &mut PlainRule, &mut NoTape);
            assert_eq!(recorded, timed);
            if let Ok(lap) = &recorded {
                assert!((lap.time - tape.time()).abs() <= 1e-9 * lap.time);
            }
            timed.map(|lap| lap.time)
        })
        .collect();
    together(cells, machines);
    same(2, cells, &entrants, &alone);
    same(3, cells, &entrants, &alone);
    same(16, cells, &entrants, &alone);
    alone.iter().filter(|t| t.is_ok()).count()
}

/// Ten kilometres in centimetres, a batch of one.
#[test]
fn a_million_cells() {
    let car = point_mass(1000.0, 1.0);
    let curve = constant_torque(300.0);
    let course = drag_strip(10_000.0);
    let variant = Variant::fitted(&car, &car.trims[0], WHOLE, &curve, DENSITY);
    let machine = variant.compile(&course).expect("a machine");
    let nominal = variant.nominal(&course).expect("grip");
    let cells = Cells::new(&course, nominal, 0.01).expect("cells");
    assert_eq!(cells.len(), 1_000_000);
    let limits = Limits::new(&machine, &cells).expect("limits");
    let alone = lap(&machine, &cells, &limits, &mut PlainRule, &mut NoTape).expect("a lap");
    let entrant = Entrant {
        machine: &machine,
        limits: &limits,
    };
    assert_eq!(plain(&cells, &[entrant], 8), [Ok(alone.time)]);
}

proptest! {
    #![proptest_config(settled(500))]

    #[test]
    fn property_lanes_change_no_bit(
        entries in vec(entry(), 1..12),
        course in course(0.1, 0.5),
        spacing in 1.0..20.0,
    ) {
        if let Some((cells, machines)) = ready(&entries, &course, spacing) {
            compare(&cells, &machines);
        }
    }

    /// One car with a little more or less of everything, as draws have it.
    #[test]
    fn property_lanes_of_one_car_change_no_bit(
        entry in entry(),
        more in vec(0.9..1.1, 1..16),
        course in course(0.1, 0.8),
        spacing in 1.0..20.0,
    ) {
        let entries: Vec<Entry> = more
            .iter()
            .map(|more| {
                let mut entry = entry.clone();
                entry.car.trims[0].mass *= more;
                entry.car.trims[0].grip.values_mut().for_each(|g| *g *= 2.0 - more);
                entry.car.drag_area *= more * more;
                entry.car.gearbox.shift_times.iter_mut().for_each(|t| *t *= more);
                entry
            })
            .collect();
        if let Some((cells, machines)) = ready(&entries, &course, spacing) {
            compare(&cells, &machines);
        }
    }

    /// One car with other engines: what the road allows is worked out once for those whose limits
    /// are alike.
    #[test]
    fn property_engines_in_one_car_change_no_bit(
        entry in entry(),
        engines in vec((random::entry(), any::<bool>()), 1..8),
        course in course(0.1, 0.8),
        spacing in 1.0..20.0,
    ) {
        let fitted = engines.into_iter().map(|(engine, own_limit)| {
            let mut fitted = Entry { curve: engine.curve, ..entry.clone() };
            if own_limit {
                fitted.car.rev_limit_rpm = engine.car.rev_limit_rpm;
            }
            fitted
        });
        let entries: Vec<Entry> = [entry.clone()].into_iter().chain(fitted).collect();
        if let Some((cells, machines)) = ready(&entries, &course, spacing) {
            compare(&cells, &machines);
        }
    }
}
