//! Awkward files of newcomers: a right answer or a clear word, never a wrong answer in silence.

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use crate::support::units::{FOOT, POUND_FORCE};

/// A pound-foot in N·m, a metric horsepower (75 kgf·m/s) in kW.
const LB_FT: f64 = FOOT * POUND_FORCE;
const PS: f64 = 75.0 * 9.806_65 / 1000.0;

pub fn day() -> String {
    format!("{STEPS}{WEATHER}{TWO}")
}

fn power(torque: &[f64; 11]) -> Vec<f64> {
    let rows = RPM.iter().zip(torque);
    rows.map(|(rpm, torque)| rpm * torque / 9549.3).collect()
}

/// A spec of two sheets, written anew with one heading.
fn rewrite(bench: &Bench, spec: &str, heading: &str, figures: &[f64], times: f64) {
    for (k, scatter) in [(1, 0.998), (2, 1.002)] {
        let text = sheet(heading, figures, times * scatter);
        bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
    }
}

/// A pound-foot is 1.3558 N·m and a metric horsepower 0.7355 kW (NIST SP 811, appendix B).
#[test]
fn a_spec_in_another_unit_than_its_heading_says_is_asked_about() {
    let torque = "rpm,torque (Nm)";
    for (spec, figures, heading, times, wanted) in [
        ("short", &SHORT[..], torque, 1.0 / LB_FT, "short has 0.7"),
        ("long", &LONG[..], torque, 1.0 / LB_FT, "long has 0.7"),
    ] {
        let bench = Bench::new();
        rewrite(&bench, spec, heading, figures, times);
        let (_, said) = bench.shows(&day());
        assert_eq!(said.matches("warning: ").count(), 1, "{said}");
        let place = format!("{spec}/{spec}-1.csv:1:5: warning: {wanted}");
        assert!(said.starts_with(&place), "{said}");
        assert!(
            said.contains("are its figures in lb-ft, not N·m?"),
            "{said}"
        );
    }
    // A restrictor chokes at the top and leaves the bottom alone: no slip of unit.
    let bench = Bench::new();
    let choked =
        |i: usize| LONG[i] * [1.0, 1.0, 0.95, 0.9, 0.8, 0.72, 0.66, 0.6, 0.55, 0.5, 0.45][i];
    let choked: Vec<f64> = (0..LONG.len()).map(choked).collect();
    rewrite(&bench, "short", torque, &choked, 1.0);
    let (_, said) = bench.shows(&day());
    assert!(said.contains("another engine?"), "{said}");
    assert!(!said.contains("lb-ft"), "{said}");
    let bench = Bench::new();
    rewrite(&bench, "long", "rpm,torque (lb-ft)", &LONG, 1.0);
    // Beside one other either could be meant.
    bench.file("third/1.csv", sheet("rpm,torque (Nm)", &SHORT, 1.01));
    let three = format!("{}  - {{name: third, pulls: third}}\n", day());
    let (_, said) = bench.shows(&three);
    assert!(
        said.starts_with("long/long-1.csv:1:5: warning: long has 1.3"),
        "{said}"
    );
    assert!(
        said.contains("are its figures in N·m, not lb-ft?"),
        "{said}"
    );
    for (heading, times, wanted) in [
        ("rpm,power (kW)", 1.0 / PS, "in bhp or PS, not kW?"),
        ("rpm,power (bhp)", 1.0, "in kW, not bhp?"),
    ] {
        let bench = Bench::new();
        rewrite(&bench, "short", heading, &power(&SHORT), times);
        let (_, said) = bench.shows(&day());
        assert_eq!(said.matches("warning: ").count(), 1, "{said}");
        assert!(
            said.contains("short-1.csv") && said.contains(wanted),
            "{said}"
        );
    }
}

#[test]
fn a_spec_that_is_only_stronger_is_left_alone_or_asked_about_once() {
    let bench = Bench::new();
    rewrite(&bench, "short", "rpm,torque (Nm)", &SHORT, 1.15);
    assert_eq!(bench.shows(&day()).1, "");
    // A blown engine beside an aspirated one.
    rewrite(&bench, "short", "rpm,torque (Nm)", &SHORT, 1.6);
    let (_, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(said.contains("short has 1.58"), "{said}");
    assert!(
        said.contains("another unit, another place, or another engine?"),
        "{said}"
    );
    // Of three specs the one that stands apart is named.
    let three = format!("{}  - {{name: third, pulls: third}}\n", day());
    let bench = Bench::new();
    rewrite(&bench, "long", "rpm,torque (Nm)", &LONG, 1.3);
    bench.file("third/1.csv", sheet("rpm,torque (Nm)", &SHORT, 1.01));
    let (_, said) = bench.shows(&three);
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(said.contains("long has 1.3"), "{said}");
}

#[test]
fn one_pull_in_another_unit_is_asked_about() {
    let bench = Bench::new();
    bench.file(
        "long/long-3.csv",
        sheet("rpm,torque (Nm)", &LONG, 1.0 / LB_FT),
    );
    let (_, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.starts_with("long/long-3.csv:1:5: warning: long-3 has 0.74 times the torque of long-"),
        "{said}"
    );
    assert!(
        said.contains("of the same spec: are its figures in lb-ft, not N·m?"),
        "{said}"
    );
    // Of two pulls it is the one whose unit explains it.
    let bench = Bench::new();
    bench.file(
        "long/long-1.csv",
        sheet("rpm,torque (Nm)", &LONG, 1.0 / LB_FT),
    );
    let (_, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.contains("warning: long-1 has 0.74 times the torque of long-2"),
        "{said}"
    );
}

#[test]
fn a_heading_that_names_another_place_than_the_day_is_asked_about() {
    let bench = Bench::new();
    rewrite(&bench, "long", "rpm,WHP", &power(&LONG), 1.0 / 0.7457);
    let (_, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.contains(
            "long-1.csv:1:5: warning: `WHP`, and the day takes it for measured at the flywheel"
        ),
        "{said}"
    );
    assert!(said.contains("as in `dyno: {measures: wheels}`"), "{said}");
    let wheels = day().replace("flywheel", "wheels");
    assert_eq!(bench.shows(&wheels).1, "");
    let bench = Bench::new();
    rewrite(&bench, "long", "rpm,hub torque (Nm)", &LONG, 1.0);
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("as in `dyno: {measures: hubs}`: at the hubs the"),
        "{said}"
    );
    let bench = Bench::new();
    rewrite(&bench, "long", "rpm,WHP", &power(&LONG), 1.0 / 0.7457);
    rewrite(
        &bench,
        "short",
        "rpm,flywheel power (kW)",
        &power(&SHORT),
        1.0,
    );
    let (_, said) = bench.shows(&wheels);
    assert!(
        said.contains(
            "`flywheel power (kW)` in short/short-1.csv of short, and `WHP` in long/long-1.csv of long: measured at different places"
        ),
        "{said}"
    );
}

#[test]
fn one_figure_that_stands_apart_is_named_where_it_stands() {
    let bench = Bench::new();
    let points = |rpm: &str, torque: &str| {
        format!(
            "{STEPS}{WEATHER}specs:\n  - {{name: long, pulls: long}}\n  - name: short\n    points:\n      \
             rpm: [{rpm}]\n      torque: [{torque}]\n"
        )
    };
    let rpm = "2500, 3500, 4500, 5500, 6500, 7500";
    let (_, said) = bench.shows(&points(rpm, "132, 157, 184, 404, 202, 178"));
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.starts_with(
            "testday.yaml:8:31: warning: short: torque: `404` lies 109 % above the line"
        ),
        "{said}"
    );
    assert_eq!(
        bench.shows(&points(rpm, "132, 157, 184, 204, 202, 178")).1,
        ""
    );
    let back = "2500, 3500, 4500, 9500, 6500, 7500";
    let (_, said) = bench.shows(&points(back, "132, 157, 184, 204, 202, 178"));
    assert!(
        said.contains("testday.yaml:7:37: warning: rpm: 6500 does not come after 9500"),
        "{said}"
    );
    let said = bench.fault(&points(
        "25, 35, 45, 55, 65, 75",
        "132, 157, 184, 204, 202, 178",
    ));
    assert!(
        said.contains("rpm in hundreds? write them in full, 7500 for 75"),
        "{said}"
    );
    // The same in a table.
    let mut slip = LONG;
    slip[6] = 304.0;
    bench.file("long/long-2.csv", sheet("rpm,torque (Nm)", &slip, 1.0));
    let (_, said) = bench.shows(&day());
    assert!(
        said.starts_with("long/long-2.csv:8:6: warning: torque: `304.00` lies 51 % above the line"),
        "{said}"
    );
    // And in one typed from the top down.
    let turned = sheet("rpm,torque (Nm)", &slip, 1.0);
    let (heading, rows) = turned.split_once('\n').unwrap();
    let rows: Vec<&str> = rows.lines().rev().collect();
    bench.file(
        "long/long-2.csv",
        format!("{heading}\n{}\n", rows.join("\n")),
    );
    let (_, said) = bench.shows(&day());
    assert!(said.contains("torque: `304.00` lies 51 % above"), "{said}");
}

#[test]
fn a_copy_of_a_pull_is_counted_once() {
    let bench = Bench::new();
    bench.file("long/long-3.csv", sheet("rpm,torque (Nm)", &LONG, 1.002));
    let (out, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.contains("long-3: the same figures as long-2: a copy?"),
        "{said}"
    );
    assert!(out.contains("long      1, 3"), "{out}");
    // Nobody pulls the same 26 figures twice.
    let fine = Bench::new();
    for (k, times) in [(1, 0.998), (2, 1.002), (3, 1.002)] {
        let torque = |rpm: f64| times * (200.0 - ((rpm - 5500.0) / 400.0).powi(2));
        let rows = (0..26).map(|i| 2500.0 + 200.0 * f64::from(i));
        let rows: String = rows
            .map(|rpm| format!("{rpm},{:.1}\n", torque(rpm)))
            .collect();
        fine.file(
            &format!("long/long-{k}.csv"),
            format!("rpm,torque (Nm)\n{rows}"),
        );
    }
    let (out, said) = fine.shows(&day());
    assert!(
        said.contains("long-3: the same figures as long-2, so it is counted once"),
        "{said}"
    );
    assert!(out.contains("long      1, 2"), "{out}");
    let refit = "specs:\n  - {name: long, fittings: [{pulls: long}, {pulls: again}]}\n  - {name: short, pulls: short}\n";
    bench.file("again/1.csv", sheet("rpm,torque (Nm)", &LONG, 1.002));
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{refit}"));
    assert!(
        said.contains("the same figures stand in another fitting of long already"),
        "{said}"
    );
}

#[cfg(unix)]
#[test]
fn figures_headed_corrected_are_not_corrected_twice_in_silence() {
    let bench = Bench::new();
    rewrite(&bench, "short", "rpm,corrected torque (Nm)", &SHORT, 1.0);
    let (_, said) = bench.shows(&day());
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    let wanted = "short-1.csv:1:5: warning: `corrected torque (Nm)`, and the day takes it as read";
    assert!(said.contains(wanted), "{said}");
    rewrite(&bench, "long", "rpm,corrected torque (Nm)", &LONG, 1.0);
    let (_, said) = bench.shows(&format!("{STEPS}corrected: SAE J1349\n{TWO}"));
    assert_eq!(said, "");
    rewrite(&bench, "long", "rpm,torque uncorrected (Nm)", &LONG, 1.0);
    rewrite(&bench, "short", "rpm,torque (Nm)", &SHORT, 1.0);
    assert_eq!(bench.shows(&day()).1, "");
}
