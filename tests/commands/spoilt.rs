//! What stands in the files that a workshop is sent: columns of several places, torn and spoilt files, folders of a part
//! fitted again.

use std::fmt::Write;

use super::inbox::{SWEEP, day, logged, plain};
use super::pullrank;
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, sheet};

/// Rollers that write what is at the wheels, the losses and the engine in one row: the day says which is meant, and a
/// foot on the brake in the run down shows in the losses.
#[test]
fn power_at_the_wheels_losses_and_engine_in_one_row_are_told_apart_in_any_tongue() {
    let bench = Bench::new();
    for heading in [
        b"obroty [obr/min];moc na ko\xb3ach [kW];moc strat [kW];moc silnika [kW]".to_vec(),
        "RPM;P-Wheel (kW);P-Drag (kW);P-Eng (kW)".into(),
        "t/min;puissance aux roues (kW);pertes (kW);puissance moteur (kW)".into(),
    ] {
        for (spec, of, lost) in [("long", LONG, 7.0), ("short", SHORT, 5.5)] {
            for (k, off) in [(1, 0.999), (2, 1.001)] {
                let mut rows = heading.clone();
                for (rpm, torque) in RPM.iter().zip(of) {
                    let at_wheels = off * torque * rpm / 9549.3;
                    let row = format!("\n{rpm};{at_wheels:.2};{lost};{:.2}", at_wheels + lost);
                    rows.extend(row.into_bytes());
                }
                bench.file(&format!("{spec}/{spec}-{k}.csv"), rows);
            }
        }
        let of = |place: &str| {
            bench.shows(&day(
                &format!("dyno: {{measures: {place}, method: steps}}\n"),
                TWO,
            ))
        };
        let (out, said) = of("wheels");
        assert_eq!(said, "");
        // Peak power is that of the wheels.
        assert!(out.contains("138."), "{out}");
        let (_, said) = of("flywheel estimated");
        assert!(
            said.contains("losses of 7.0 kW in the mean were added for long, and 5.5 for short"),
            "{said}"
        );
    }
}

#[test]
fn a_folder_of_a_part_fitted_again_is_no_spec_of_its_own() {
    let bench = Bench::new();
    for k in 1..3 {
        let text = sheet("rpm,torque (Nm)", &LONG, 1.0 + 0.001 * f64::from(k));
        bench.file(&format!("long again/again-{k}.csv"), text);
    }
    let output = pullrank().arg("pulls").arg(&bench.0).output().unwrap();
    let said = bench.said(&output);
    let wanted = "specs: [{name: long, fittings: [{pulls: long}, {pulls: long again}]}, {name: short, pulls: short}]";
    assert!(said.contains(wanted), "{said}");
    let (out, _) = bench.shows(wanted);
    assert!(
        out.contains("Long again after short: drift and refit"),
        "{out}"
    );
    let folders = ["long", "long again", "short"].map(|name| bench.0.join(name));
    let output = pullrank()
        .arg("new")
        .arg(bench.0.join("study"))
        .arg("--pulls")
        .args(folders)
        .output()
        .unwrap();
    let said = bench.said(&output);
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("`long again` is a spec of its own here: is it `long` fitted again?"),
        "{said}"
    );
}

/// A title stands over the columns of a place, and the places change places.
#[test]
fn titles_over_several_columns_are_those_of_each() {
    let bench = Bench::new();
    let exported = |spec: &str, of: &[f64; 11], wheels_first: bool| {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            let (one, other) = if wheels_first {
                (0.86, 1.0)
            } else {
                (1.0, 0.86)
            };
            let titles = if wheels_first {
                "Wheels,,Engine,"
            } else {
                "Engine,,Wheels,"
            };
            let mut out = format!("Engine speed,{titles}\nrpm,Nm,kW,Nm,kW\n");
            for (rpm, torque) in RPM.iter().zip(of) {
                let pair = |times: f64| {
                    let torque = off * times * torque;
                    format!("{torque:.1},{:.2}", torque * rpm / 9549.3)
                };
                let _ = writeln!(out, "{rpm},{},{}", pair(one), pair(other));
            }
            bench.file(&format!("{spec}/{spec}-{k}.csv"), out);
        }
    };
    exported("long", &LONG, true);
    exported("short", &SHORT, false);
    let (out, said) = bench.shows(&day(
        "dyno: {measures: flywheel estimated, method: steps}\n",
        TWO,
    ));
    assert_eq!(said, "");
    assert!(out.starts_with("long makes more below"), "{out}");
    assert!(!out.contains("none of the columns of power"), "{out}");
    assert!(
        out.contains("138.") && out.contains("pulls    N·m") && !out.contains("side by side"),
        "{out}"
    );
    let (wheels, said) = bench.shows(&day("dyno: {measures: wheels, method: steps}\n", TWO));
    assert_eq!(said, "");
    assert!(
        wheels.contains("119.") && !wheels.contains("138."),
        "{wheels}"
    );
}

#[test]
fn files_that_a_stick_or_a_spreadsheet_spoilt_say_what_happened() {
    let bench = Bench::new();
    let mut torn = sheet("rpm,torque (Nm)", &LONG, 1.0).into_bytes();
    torn.truncate(60);
    torn.extend([0; 40]);
    bench.file("long/long-3.csv", torn);
    let said = bench.shows(&day(STEPS, TWO)).1;
    assert!(
        said.contains("`long-3.csv` (torn: zero bytes stand where it goes on"),
        "{said}"
    );
    let lost = |bench: &Bench| {
        let rows = RPM
            .iter()
            .zip(LONG)
            .map(|(rpm, t)| format!("{rpm};{:.0}\n", 1000.0 * t));
        bench.file(
            "long/long-2.csv",
            format!("rpm;torque_Nm\n{}", rows.collect::<String>()),
        );
    };
    let bench = Bench::new();
    lost(&bench);
    let said = bench.fault(&day(STEPS, TWO));
    assert!(
        said.contains("were decimals lost, 130359 for 130.359, in a spreadsheet"),
        "{said}"
    );
    // Set aside it stops nothing.
    let aside = "specs:\n  - {name: long, pulls: [long/long-1.csv, {file: long/long-2.csv, set_aside: spoilt}]}\n  - {name: \
                 short, pulls: short}\n";
    let (out, said) = bench.shows(&day(STEPS, aside));
    assert_eq!(said, "");
    assert!(out.contains("long      1, 1"), "{out}");
}

#[test]
fn how_many_pulls_reach_the_top_is_said() {
    let bench = logged();
    let short: String = plain(&LONG, 1.002, 0.0)
        .lines()
        .take(60)
        .map(|line| format!("{line}\n"))
        .collect();
    bench.file("long/long-2.csv", short);
    let (out, _) = bench.shows(&day(SWEEP, TWO));
    let out = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(
        out.contains("Above 5,400 rpm 1 of 2 pulls of long reach: what is said there rests on it."),
        "{out}"
    );
    assert!(!logged().shows(&day(SWEEP, TWO)).0.contains("reach:"));
}
