//! What stands in the files that a workshop is sent: columns of several places, torn and spoilt files, folders of a part
//! fitted again, days that drift.

use std::fmt::Write;

use super::inbox::{SWEEP, day, log, logged, plain};
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
    // A third time, and the second once more, are of the first as well.
    let more = Bench::new();
    for name in ["long iii", "long 2", "long 2 refit"] {
        more.file(
            &format!("{name}/a.csv"),
            sheet("rpm,torque (Nm)", &LONG, 1.0),
        );
    }
    let output = pullrank().arg("pulls").arg(&more.0).output().unwrap();
    let of_one = "{name: long, fittings: [{pulls: long}, {pulls: long 2}, {pulls: long 2 refit}, {pulls: long iii}]}";
    assert!(
        more.said(&output).contains(of_one),
        "{}",
        more.said(&output)
    );
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
    let told = bench.json(&day(SWEEP, TWO));
    let [only] = &told["thin_tops"].as_array().unwrap()[..] else {
        panic!("{}", told["thin_tops"]);
    };
    assert_eq!(only["spec"], "long");
    assert_eq!(
        (&only["pulls_that_reach"], &only["pulls"]),
        (&1.into(), &2.into())
    );
    assert!(!logged().shows(&day(SWEEP, TWO)).0.contains("reach:"));
}

/// A column in ms is no clock, and pressures of two named days may be of two kinds of weather.
#[test]
fn what_stands_beside_sound_pulls_is_left_alone() {
    let bench = Bench::new();
    for (spec, of) in [("long", LONG), ("short", SHORT)] {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            let row =
                |i: usize, n: f64, t: f64| format!("{n:.0},{t:.2},{:.1}", 8.0 + (i % 7) as f64);
            let text = log(&of, off, 0.0, "rpm,torque (Nm),injection (ms)", row);
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    assert_eq!(bench.shows(&day(SWEEP, TWO)).1, "");
    let bench = Bench::new();
    let days = |second: &str| {
        let air = |pressure: u32| {
            format!("weather: {{pressure: {pressure} hPa, temperature: 18 C, humidity: 50 %}}")
        };
        format!(
            "{STEPS}correct_to: DIN 70020\nspecs:\n  - {{name: long, pulls: long, day: March, {}}}\n  - {{name: short, pulls: \
             short, day: {second}, {}}}\n",
            air(995),
            air(1025)
        )
    };
    assert_eq!(bench.shows(&days("May")).1, "");
    assert!(bench.shows(&days("March")).1.contains("between them"));
}

/// Pulls that lose as much from one to the next on both specs: the change between them is in question until one
/// comes back.
#[test]
fn a_drift_that_nothing_tells_from_the_change_is_in_question() {
    let bench = Bench::new();
    let fall = |spec: &str, of: &[f64; 11], first: i32| {
        for k in 0..4 {
            let wave = [0.0, 4e-4, -4e-4, 1e-4][k as usize];
            let times = 1.0 - 0.0045 * f64::from(first + k) + wave;
            bench.file(
                &format!("{spec}/{spec}-{}.csv", k + 1),
                plain(of, times, 0.0),
            );
        }
    };
    fall("long", &LONG, 0);
    fall("short", &SHORT, 4);
    let (out, _) = bench.shows(&day(SWEEP, TWO));
    let said = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(
        said.starts_with(
            "In question, as torque falls from pull to pull and no spec came back after another: "
        ),
        "{said}"
    );
    assert!(
        said.contains("an hour (usual: 0.3 %): does heat soak in"),
        "{said}"
    );
    assert!(
        said.contains("in brackets: in question.") && said.contains("Next: short less long"),
        "{said}"
    );
    fall("again", &LONG, 8);
    let back = "specs:\n  - {name: long, fittings: [{pulls: long}, {pulls: again}]}\n  - {name: short, pulls: short}\n";
    let (out, _) = bench.shows(&day(SWEEP, &format!("{back}order: [long, short, long]\n")));
    let said = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(!said.contains("In question"), "{said}");
    assert!(
        said.contains("A spec that came back tells it from the change."),
        "{said}"
    );
}
