//! Figures of a car file that are something else: a coefficient, a share, a date, teeth.

use super::*;

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
    // Teeth that could be a day of that month.
    for date in ["28-Sep", "28. Sep", "28-Sept", "Sep-28"] {
        let said = with(&format!("final_drive: {date}"));
        assert!(said.contains("make it of `9/28`?"), "{said}");
    }
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
fn ratios_may_be_teeth_in_the_order_that_first_gear_tells() {
    let ratios = |text: &str| {
        good(&FIVE_LINES.replace("[2.94, 1.94, 1.36, 1.00]", text))
            .gearbox
            .ratios
    };
    let wanted = [34.0 / 12.0, 28.0 / 16.0, 25.0 / 20.0, 1.0];
    assert_eq!(ratios("[34/12, 28/16, 25/20, 1.00]"), wanted);
    assert_eq!(ratios("[12/34, 16/28, 20/25, 1.00]"), wanted);
    assert_eq!(ratios("[12:34, 16:28, 20:25, 1]"), wanted);
    // An overdrive is the other way round by itself.
    assert_eq!(ratios("[12/34, 16/28, 30/27]")[2], 0.9);
    let (_, findings) = read_text(&FIVE_LINES.replace("2.94, 1.94", "12/34, 16/28"));
    let listed = findings
        .of(Severity::Assumed)
        .any(|f| f.text == "teeth driving before driven: ratios 2.833, 1.750, 1.360, 1.000");
    assert!(listed, "{findings:?}");
    // Where first gear is a number the one that falls is meant, where only one does.
    assert_eq!(ratios("[2.94, 1.94, 1.00, 20/25]")[3], 0.8);
    assert_eq!(ratios("[2.94, 1.94, 1.00, 25/20]")[3], 0.8);
    let open = with("ratios: [2.94, 1.94, 1.36, 20/25]");
    assert!(
        open.contains("write it as a number, 0.800 or 1.250"),
        "{open}"
    );
    let far = with("ratios: [1/60000, 2/3]");
    assert!(far.contains("is no ratio of a gear"), "{far}");
    let turned = with("ratios: [15/34, 20/35, 28/20, 26/28]");
    assert!(
        turned.contains("are the teeth of this one the other way round?"),
        "{turned}"
    );
}

/// A tyre may have both; 1.716 m measured of one that rolls 1.755 by its size is within what tyres do.
#[test]
fn a_tyre_that_was_measured_is_held_against_its_size() {
    let both = |rolled: &str| format!("tyre: {{size: 185/60R13, rolled_out: {rolled}}}");
    assert_eq!(with(&both("1.700 m")), "");
    let car = good(&FIVE_LINES.replace("185/60R13", "{size: 185/60R13, rolled_out: 1.700 m}"));
    assert!((car.trims[0].rolling_radius - 1.7 / std::f64::consts::TAU).abs() < 1e-9);
    let off = with(&both("1.900 m"));
    assert!(
        off.contains("warning: rolled out 1.900 m, and 185/60R13 rolls about 1.6"),
        "{off}"
    );
    assert!(with("tyre: {size: 185/60R13, rolled_out: 1.7 m, radius: 0.27 m}").contains("error"));
}

/// 1,000 rpm in a gear of 1.00 with 9/38 on wheels that roll 1.675 m are 23.8 km/h.
#[test]
fn a_measured_speed_is_held_against_the_file_and_may_tell_the_final_drive() {
    let per_1000 = |car: &Car| {
        let total = car.gearbox.ratios[3] * car.final_drive.ratio;
        1000.0 / crate::car::driveline::rpm_per_speed(total, car.trims[0].rolling_radius) * 3.6
    };
    let car = good(FIVE_LINES);
    let top = per_1000(&car);
    let measured = |gear: usize, times: f64| {
        let speed = 3.0 * top * times * car.gearbox.ratios[3] / car.gearbox.ratios[gear - 1];
        format!("{{gear: {gear}, rpm: 3000, speed: {speed:.2} km/h}}")
    };
    assert_eq!(with(&format!("measured_speed: {}", measured(4, 1.02))), "");
    let said = with(&format!("measured_speed: {}", measured(4, 1.10)));
    assert!(said.contains("+10.0 %"), "{said}");
    for wanted in [
        "a final drive of 3.84, gear 4 of 0.91 or a rolling radius of 29",
        "measure another gear too",
    ] {
        assert!(said.contains(wanted), "no {wanted}: {said}");
    }
    let two = |third: f64| {
        with(&format!(
            "measured_speed: [{}, {}]",
            measured(4, 1.10),
            measured(3, third)
        ))
    };
    assert!(
        two(1.10).contains("other gears are off alike: a final drive of 3.84"),
        "{}",
        two(1.10)
    );
    assert!(
        two(1.0).contains("not off alike: gear 4 of 0.91"),
        "{}",
        two(1.0)
    );
    let offered = with(&format!(
        "measured_speed: {}\noptions: {{final_drive: [10/38]}}",
        measured(4, 38.0 / 9.0 / 3.8)
    ));
    assert!(
        offered.contains("a final drive of 3.80 (10/38), gear 4 of"),
        "{offered}"
    );
    assert!(
        with("measured_speed: {gear: 6, rpm: 3000, speed: 90 km/h}")
            .contains("the set has 4 gears")
    );
    // Without a final drive it tells it.
    let five = FIVE_LINES.replace(
        "final_drive: 9/38",
        &format!("measured_speed: {}", measured(3, 1.0)),
    );
    let told = good(&five);
    assert!(
        (told.final_drive.ratio - 38.0 / 9.0).abs() < 2e-3,
        "{}",
        told.final_drive.ratio
    );
    let by = |times: f64| {
        let measured = format!("measured_speed: {}", measured(3, times));
        super::said(&FIVE_LINES.replace("final_drive: 9/38", &measured))
    };
    let halved = by(2.0);
    assert!(
        halved.contains("2.11 to 1 is an unusual final drive"),
        "{halved}"
    );
    let none = by(0.1);
    assert!(
        none.contains("with these gears it tells a final drive of 42.2"),
        "{none}"
    );
}

#[test]
fn a_final_drive_counted_with_one_wheel_held_is_asked_about() {
    let said = with("final_drive: 2.05");
    assert!(
        said.contains("counted with one wheel turned and the other held it shows half, and is 4.1"),
        "{said}"
    );
    assert_eq!(with("final_drive: 2.73"), "");
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

/// What people write of a driveline under keys of their own is told where it belongs.
#[test]
fn an_overdrive_a_primary_drive_and_sprockets_are_told_where_they_belong() {
    for (line, wanted) in [
        (
            "overdrive: 0.79",
            "multiply it into the gears that it works on",
        ),
        ("Primary drive: 76/48", "multiply it into `final_drive`"),
        (
            "rear_sprocket: 46",
            "sprockets are the final drive, `final_drive: 16/46`",
        ),
        ("chain: 16/46", "sprockets are the final drive"),
        ("axle: 10/41", "write it as `final_drive: 10/41`"),
        ("overdriv: 0.79", "known here"),
    ] {
        let said = with(line);
        assert!(said.contains(wanted), "{line}: {said}");
    }
    let said = with("gearbox: {ratios: [2.94, 1.94, 1.36, 1.00], overdrive: 0.79}");
    assert!(said.contains("multiply it into the gears"), "{said}");
}
