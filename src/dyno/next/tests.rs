use crate::dyno::{Repeatability, Worth, sample};
use approx::assert_relative_eq;

#[test]
fn steps_narrow_the_difference_and_dearer_ones_more() {
    let reduced = sample::plain(&[(0, 3), (1, 3)]).reduce().unwrap();
    let now = reduced.compare(0, 1).unwrap().half_width;
    let steps = reduced.next_steps(0, 1);
    assert!(!steps.is_empty());
    for pair in steps.windows(2) {
        assert!(pair[1].half_width <= pair[0].half_width);
        assert!(pair[1].hours > pair[0].hours);
    }
    assert!(steps.iter().all(|step| step.half_width < 0.95 * now));
    // Going back to the first spec (A-B-A) is among the things to do.
    assert!(steps.iter().any(|step| step.refit.first() == Some(&0)));
}

#[test]
fn what_is_foreseen_for_the_pulls_there_are_is_what_they_gave() {
    let reduced = sample::plain(&[(0, 3), (1, 3), (0, 2)]).reduce().unwrap();
    let now = reduced.compare(0, 1).unwrap().half_width;
    let again = reduced.half_width_with(0, 1, &[], 0);
    assert_relative_eq!(now, again, max_relative = 1e-6);
}

/// Each spec's wave is that of its own range, at the middle of what both reach.
#[test]
fn what_is_foreseen_holds_for_specs_that_end_apart() {
    let mut day = sample::plain(&[(0, 3), (1, 3), (2, 2)]);
    for pull in day.specs[1].fittings.iter_mut().flat_map(|f| &mut f.pulls) {
        pull.rpm.truncate(26);
        pull.torque.truncate(26);
    }
    let reduced = day.reduce().unwrap();
    for (first, second) in [(0, 1), (1, 0), (2, 1), (0, 2)] {
        let now = reduced.compare(first, second).unwrap().half_width;
        let again = reduced.half_width_with(first, second, &[], 0);
        assert_relative_eq!(now, again, max_relative = 1e-6);
    }
}

/// A drift that is anyone's guess is cancelled by the order: four fittings come mirrored.
#[test]
fn a_day_laid_out_cancels_drift() {
    let mut day = sample::plain(&[(0, 2), (1, 2)]);
    day.repeatability.drift = 0.02;
    let reduced = day.reduce().unwrap();
    let four = (1..=60)
        .map(|k| reduced.lay_out(0.001 * f64::from(k)))
        .find(|layout| layout.order.len() == 4);
    assert_eq!(four.unwrap().order, [0, 1, 1, 0]);
}

/// With nothing but fitting scatter, known, f fittings in turns have √(1/fₐ + 1/f_b)·σ.
#[test]
fn analytic_layout_from_the_fitting_scatter_alone() {
    let mut day = sample::plain(&[(0, 2), (1, 2)]);
    let tiny = 1e-7;
    day.repeatability = Repeatability {
        pull: tiny,
        fitting: 0.005,
        wave: tiny,
        drift: tiny,
        day: 0.01,
        first_pull: tiny,
        worth: Worth {
            pull: 1e9,
            fitting: 1e9,
            wave: 1e9,
        },
    };
    let reduced = day.reduce().unwrap();
    // D/σ = (1.959964 + 0.841621)·√(1/fₐ + 1/f_b): 2.80·1.0 for 2 and 2, 2.56 for 3 and 2.
    let layout = reduced.lay_out(2.75 * 0.005);
    assert_eq!((layout.order.len(), layout.pulls), (5, 2));
    // Six gaps of 0.1 h, the one behind the last pull with them; four changes of 0.75 h.
    assert_relative_eq!(layout.hours, 3.6, max_relative = 1e-12);
    let half = 1.959964 * 0.005 * (1.0f64 / 3.0 + 0.5).sqrt();
    assert_relative_eq!(layout.half_width, half, max_relative = 1e-4);
    assert_eq!(reduced.lay_out(2.85 * 0.005).order, [0, 1, 0, 1]);
    // Ten fittings are the end: 2.80·√(2/5).
    let most = reduced.lay_out(1e-3);
    assert_eq!((most.order.len(), most.pulls), (10, 6));
    assert_relative_eq!(
        most.shows,
        2.801585 * 0.4f64.sqrt() * 0.005,
        max_relative = 1e-4
    );
}
