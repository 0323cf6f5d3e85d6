//! Figures of a car file that are something else: a coefficient, a share, a date, teeth.

use super::with;

#[test]
fn grip_is_a_coefficient() {
    let share = with("grip: +5 %");
    assert!(
        share.contains("grip: `+5 %` is a share, and grip a coefficient"),
        "{share}"
    );
    assert!(
        share.contains("5 % more than the 0.975 that is usual there is `1.024`"),
        "{share}"
    );
    let unknown = with("grip: {tarmac: 0.9, moss: 5 %}");
    assert!(
        unknown.contains("what the tyre has on that surface, as in `1.05`"),
        "{unknown}"
    );
    assert!(
        with("grip: {tarmac: 0.05}").contains("warning: tarmac: 0.05 is less grip than ice has")
    );
    assert_eq!(with("grip: {ice: 0.1, tarmac: 0.9}"), "");
}

/// What is offered is a share of what is on: the usual grip where nothing is written, else what is.
#[test]
fn a_share_of_grip_is_told_in_figures_of_the_car() {
    let offered = |own: &str, grip: &str| {
        let tyre = format!("{own}options: {{tyre: {{size: 185/60R13, grip: {{tarmac: {grip}}}}}}}");
        with(&tyre)
    };
    for (own, grip, told) in [
        (
            "",
            "5 %",
            "5 % more than the 0.975 of the tyres that are on is `1.024`",
        ),
        (
            "grip: 1.08\n",
            "+5 %",
            "5 % more than the 1.08 of the tyres that are on is `1.134`",
        ),
        (
            "grip: 1.08\n",
            "-5 %",
            "5 % less than the 1.08 of the tyres that are on is `1.026`",
        ),
        (
            "grip: 1.08\n",
            "105 %",
            "105 % of the 1.08 of the tyres that are on is `1.134`",
        ),
    ] {
        let said = offered(own, grip);
        assert!(said.contains(told), "{said}");
    }
}

#[test]
fn a_date_that_was_teeth_is_told() {
    let said = with("final_drive: Sep 38");
    assert!(said.contains("`Sep 38` is a date"), "{said}");
    assert!(
        said.contains("did a spreadsheet make it of `9/38`? write the teeth"),
        "{said}"
    );
}

#[test]
fn a_drag_coefficient_is_no_area() {
    let bare = with("drag_area: 0.34");
    assert!(
        bare.contains("error: drag_area: 0.34 looks like the drag coefficient"),
        "{bare}"
    );
    assert!(bare.contains("with 1.9 m2 write `0.65 m2`"), "{bare}");
    let little = with("drag_area: 0.34 m2");
    assert!(
        little.contains("warning: drag_area: 0.34 m2 is little for a car of 960 kg"),
        "{little}"
    );
    assert_eq!(with("drag_area: 0.34 m2\nmass: 520 kg"), "");
    assert_eq!(with("drag_area: 0.55 m2"), "");
}

#[test]
fn ratios_are_no_teeth() {
    let said = with("ratios: [12/34, 16/28, 20/25]");
    assert!(said.contains("ratios are numbers, not teeth"), "{said}");
    assert!(said.contains("2.833 where 12 drive 34"), "{said}");
}

#[test]
fn a_higher_limit_that_is_offered_is_higher() {
    let said = |limit: &str| {
        with(&format!(
            "rev_limit: 7200\noptions: {{rev_limit: {{rpm: {limit}}}}}"
        ))
    };
    let fitted = said("7200");
    assert!(
        fitted.contains("rev_limit: 7200 rpm is not above the fitted 7200"),
        "{fitted}"
    );
    assert!(
        fitted.contains("where the rebuild is done take this line out"),
        "{fitted}"
    );
    let below = said("7000");
    assert!(!below.contains("take this line out"), "{below}");
    assert!(
        below.contains("write the limit after the rebuild"),
        "{below}"
    );
}
