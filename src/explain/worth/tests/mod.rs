//! The sweep backwards against dual numbers forwards, and what must hold of any worth.

mod dual;
mod forward;
mod moving;

#[path = "../../../../tests/support/cars.rs"]
#[expect(dead_code, reason = "the tests of the whole use the rest")]
mod cars;
#[path = "../../../../tests/support/sample.rs"]
mod sample;

use approx::assert_relative_eq;

use self::forward::forward;
use self::moving::{Input, Moving};
use super::trace::Trace;
use super::*;
use crate::schedule::{Choice, search};
use sample::{Case, case};

/// Seeds of the sample that the tests drive.
const SEEDS: std::ops::Range<u64> = 0..60;

struct Driven<'a> {
    variant: Variant<'a>,
    machine: Machine,
    cells: Cells,
    limits: Limits,
    trace: Trace,
    worth: Worth,
}

/// Drives a case of the sample; nothing where it cannot be.
fn drive(case: &Case, choice: Choice) -> Option<Driven<'_>> {
    let variant = case.variant();
    let machine = variant.compile(&case.course).ok()?;
    let cells = Cells::new(&case.course, variant.nominal(&case.course).ok()?, 5.0).ok()?;
    let limits = Limits::new(&machine, &cells).ok()?;
    let found = search(&machine, &cells, &limits, choice).ok()?;
    let place = (&machine, &cells, &limits);
    let worth = Worth::of(&variant, place, &found.schedule).ok()?;
    let trace = Trace::of(&machine, &cells, &limits, &found.schedule).ok()?;
    Some(Driven {
        variant,
        machine,
        cells,
        limits,
        trace,
        worth,
    })
}

/// Every input with what the sweep says of it.
fn inputs(worth: &Worth) -> Vec<(Input, f64)> {
    let d = &worth.derivatives;
    let mut all = vec![
        (Input::Torque, d.torque),
        (Input::Mass, d.mass),
        (Input::Grip, d.grip),
        (Input::DragArea, d.drag_area),
        (Input::LiftArea, d.lift_area),
        (Input::Rolling, d.rolling),
        (Input::Efficiency, d.efficiency),
        (Input::FinalDrive, d.final_drive),
        (Input::Radius, d.rolling_radius),
        (Input::ShiftTime, d.shift_time),
        (Input::Density, d.air_density),
        (Input::CornerShare, d.corner_share),
        (Input::Inertia, d.inertia),
    ];
    let ratios = d.ratios.iter().enumerate();
    all.extend(ratios.map(|(k, by)| (Input::Ratio(k), *by)));
    let bands = worth.bands(1000.0);
    let band = |b: &BandWorth| (Input::Band(b.low_rpm, b.high_rpm), b.per_nm);
    all.extend(bands.iter().map(band));
    all
}

/// The transpose of one linear map is exact: what dual numbers carry forwards through the same steps
/// is what the sweep carries backwards.
#[test]
fn backwards_is_forwards() {
    let (mut laps, mut compared, mut worst, mut coarse) = (0, 0, 0.0_f64, 0);
    for seed in SEEDS {
        for choice in [Choice::AsDriven, Choice::AtBest] {
            let case = case(seed);
            let Some(lap) = drive(&case, choice) else {
                continue;
            };
            laps += 1;
            for (input, back) in inputs(&lap.worth) {
                let moving = Moving::new(&lap.variant, &lap.machine, input);
                let (ahead, _) = forward(&moving, &lap.cells, &lap.limits, &lap.trace);
                let error = (back - ahead).abs() / ahead.abs().max(1e-3);
                worst = worst.max(error);
                compared += 1;
                coarse += usize::from(error > 1e-10);
                assert!(
                    error < 1e-9,
                    "{seed} {choice:?} {input:?}: {back} {ahead} ({})",
                    case.about
                );
            }
        }
    }
    println!("{laps} laps, {compared} derivatives, {coarse} above 1e-10, largest {worst:e}");
    assert!(laps > 90, "{laps}");
    // Where a corner is driven at the very edge of the ellipse, digits are lost in what is left.
    assert!(coarse * 500 < compared, "{coarse} of {compared}");
}

#[test]
fn bands_sum_to_the_uniform_change() {
    for seed in SEEDS {
        let case = case(seed);
        let Some(lap) = drive(&case, Choice::AsDriven) else {
            continue;
        };
        let uniform = lap.worth.of_change(|_| 1.0);
        for width in [100.0, 500.0, 1000.0, 30_000.0] {
            let sum: f64 = lap.worth.bands(width).iter().map(|b| b.per_nm).sum();
            assert_relative_eq!(sum, uniform, max_relative = 1e-11);
        }
        // 1 % of torque everywhere is 1 % of the curve.
        let whole = lap
            .worth
            .of_change(|rpm| lap.variant.curve.torque(rpm).max(0.0));
        assert_relative_eq!(whole, lap.worth.derivatives.torque, max_relative = 1e-9);
    }
}
