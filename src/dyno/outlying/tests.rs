use crate::dyno::sample;
use approx::assert_relative_eq;

#[test]
fn an_ordinary_day_has_none() {
    let reduced = sample::plain(&[(0, 3), (1, 3), (0, 2)]).reduce().unwrap();
    assert_eq!(reduced.outlying(), []);
}

#[test]
fn a_leak_at_the_top_is_found_with_its_stretch() {
    let mut day = sample::plain(&[(0, 3), (1, 3), (0, 2)]);
    let bad = &mut day.specs[1].fittings[0].pulls[1];
    for (rpm, torque) in bad.rpm.iter().zip(&mut bad.torque) {
        if *rpm > 6000.0 {
            *torque *= 0.975;
        }
    }
    let found = day.reduce().unwrap().outlying();
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pull, found[0].beside), (4, 2));
    let (from, to) = found[0].stretch.unwrap();
    assert!(
        (5500.0..=6500.0).contains(&from) && to >= 7400.0,
        "{from} {to}"
    );
    assert_relative_eq!(found[0].off, -0.025, max_relative = 0.25);
    assert!(found[0].usual < 0.005);
}

#[test]
fn a_pull_that_is_down_all_over_is_found_by_its_level() {
    let mut day = sample::plain(&[(0, 5), (1, 5)]);
    let bad = &mut day.specs[0].fittings[0].pulls[3];
    bad.torque.iter_mut().for_each(|torque| *torque *= 0.96);
    let found = day.reduce().unwrap().outlying();
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].pull, found[0].stretch), (3, None));
    assert_relative_eq!(found[0].off, -0.041, max_relative = 0.15);
}

/// Whichever it is of the day, the first and the last too.
#[test]
fn any_pull_may_be_the_one_that_is_down() {
    for bad in 0..10 {
        let mut day = sample::plain(&[(0, 5), (1, 5)]);
        let own = &mut day.specs[bad / 5].fittings[0].pulls[bad % 5];
        own.torque.iter_mut().for_each(|torque| *torque *= 0.95);
        let found = day.reduce().unwrap().outlying();
        assert!(found.iter().any(|one| one.pull == bad), "{bad} {found:?}");
    }
}

/// A cold first pull is no bad pull.
#[test]
fn first_pulls_that_are_all_down_are_not_outlying() {
    let mut day = sample::plain(&[(0, 3), (1, 3), (0, 3), (1, 3)]);
    for fitting in day.specs.iter_mut().flat_map(|spec| &mut spec.fittings) {
        let first = &mut fitting.pulls[0];
        first.torque.iter_mut().for_each(|torque| *torque *= 0.992);
    }
    assert_eq!(day.reduce().unwrap().outlying(), []);
}

/// Where the scatter is known the limit is the normal's, 1 % shared by ten pulls two ways; where ten
/// pulls are all that tells it, Student's, further out.
#[test]
fn analytic_a_level_must_stand_out_further_where_scatter_is_less_well_known() {
    let least = |worth: f64| {
        (1..=80).find_map(|k| {
            let mut day = sample::plain(&[(0, 5), (1, 5)]);
            day.repeatability.worth.pull = worth;
            let bad = &mut day.specs[0].fittings[0].pulls[3];
            let factor = 1.0 - 5e-4 * f64::from(k);
            bad.torque.iter_mut().for_each(|torque| *torque *= factor);
            let found = day.reduce().unwrap().outlying();
            let level = found
                .into_iter()
                .find(|one| one.stretch.is_none() && one.pull == 3)?;
            Some(level.off.abs() / level.usual)
        })
    };
    // 3.29, the normal's 99.95 %: from the tables.
    let known = least(1e9).unwrap();
    assert!((3.29..3.65).contains(&known), "{known}");
    let told = least(0.0).unwrap();
    // 6.87 at five degrees of freedom, from the tables: the nine others less two means, drift and first
    // pulls.
    assert!((6.87..8.5).contains(&told), "{told}");
}
