//! Sheets that were sorted, pulls that count in part, prints with empty cells, logs in which nothing measures torque.

use super::inbox::{SWEEP, day, plain};
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::{json, pullrank};

/// A sheet with power, in the order of that.
fn by_power(of: &[f64; 11], times: f64) -> String {
    let mut rows: Vec<(f64, String)> = plain(of, times, 0.0)
        .lines()
        .skip(1)
        .map(|line| {
            let (rpm, torque) = line.split_once(',').unwrap();
            let power = rpm.parse::<f64>().unwrap() * torque.parse::<f64>().unwrap() / 9549.3;
            (power, format!("{line},{power:.3}\n"))
        })
        .collect();
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    let rows: String = rows.into_iter().map(|(_, row)| row).collect();
    format!("rpm,torque (Nm),power (kW)\n{rows}")
}

#[test]
fn sheets_sorted_by_power_answer_as_those_in_order() {
    let bench = Bench::new();
    for sorted in [false, true] {
        for (spec, of) in [("long", LONG), ("short", SHORT)] {
            for (k, off) in [(1, 0.999), (2, 1.001)] {
                let text = match sorted {
                    true => by_power(&of, off),
                    false => plain(&of, off, 0.0),
                };
                bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
            }
        }
        let (out, said) = bench.shows(&day(SWEEP, TWO));
        assert_eq!(said, "");
        assert!(out.starts_with("long makes more below 4,9"), "{out}");
        let note = "rows stand in order of `power`: put in order of engine speed";
        assert_eq!(out.replace("\n  ", " ").contains(note), sorted, "{out}");
    }
}

/// The second sheet of short was lifted at 5,600 rpm.
fn lifted() -> Bench {
    let bench = Bench::new();
    for (spec, of) in [("long", LONG), ("short", SHORT)] {
        bench.file(&format!("{spec}/{spec}-1.csv"), plain(&of, 1.0, 0.0));
        std::fs::remove_file(bench.0.join(format!("{spec}/{spec}-2.csv"))).unwrap();
    }
    let rows = plain(&SHORT, 1.0, 0.0);
    let mut text = "Remarks: lifted at 5600\nrpm,torque (Nm)\n".to_owned();
    for line in rows.lines().skip(1) {
        let (rpm, torque) = line.split_once(',').unwrap();
        let (rpm, torque): (f64, f64) = (rpm.parse().unwrap(), torque.parse().unwrap());
        let open = 1.0 - 0.6 * ((rpm - 5600.0) / 500.0).clamp(0.0, 1.0);
        text += &format!("{rpm},{:.2}\n", torque * open);
    }
    bench.file("short/short-1.csv", text);
    bench
}

#[test]
fn a_pull_that_was_lifted_counts_up_to_there() {
    let bench = lifted();
    let (out, said) = bench.shows(&day(SWEEP, TWO));
    assert!(out.starts_with("In question"), "{out}");
    for wanted in [
        "was the throttle lifted, or did the engine misfire? (the file: `Remarks: lifted at 5600`)",
        "as in `{file: short-1.csv, up_to: 5",
    ] {
        assert!(said.contains(wanted), "{said}");
    }
    assert!(!said.contains("another unit"), "{said}");
    // What valves do tells nothing of the throttle.
    let valves = lifted();
    let text = std::fs::read_to_string(valves.0.join("short/short-1.csv")).unwrap();
    valves.file(
        "short/short-1.csv",
        text.replace("lifted at 5600", "cam with high lift 11.2 mm"),
    );
    let (_, told) = valves.shows(&day(SWEEP, TWO));
    assert!(
        told.contains("was the throttle lifted") && !told.contains("high lift"),
        "{told}"
    );
    let part = "specs:\n  - {name: long, pulls: long}\n  - name: short\n    pulls: {file: short/short-1.csv, up_to: 5600 rpm}\n";
    let (out, said) = bench.shows(&day(SWEEP, part));
    assert_eq!(said, "");
    let out = out.replace("\n  ", " ");
    for wanted in [
        "Counts in part: short-1 up to 5,600 rpm.",
        "Next: pull short through to 7,500 rpm, as above 5,600 rpm it is not measured.",
        "Then: short less long stands at",
    ] {
        assert!(out.contains(wanted), "{wanted}: {out}");
    }
    let of = json(pullrank().args(["pulls", "--json"]).arg(&bench.0));
    assert_eq!(of["pulls"][1]["counts_up_to_rpm"], 5600.0);
    assert_eq!(
        of["pulls"][1]["rpm"].as_array().unwrap().last().unwrap(),
        5600.0
    );
    assert_eq!(of["unmeasured"][0]["spec"], "short");
    assert_eq!(of["comparisons"][0]["to_rpm"], 5600.0);
    // Set aside it raises no question either.
    bench.file("short/short-2.csv", plain(&SHORT, 1.001, 0.0));
    let aside = "specs:\n  - {name: long, pulls: long}\n  - name: short\n    pulls: [{file: short/short-1.csv, set_aside: lifted}, short/short-2.csv]\n";
    assert_eq!(bench.shows(&day(SWEEP, aside)).1, "");
}

#[test]
fn a_range_that_leaves_nothing_is_refused() {
    let bench = Bench::new();
    let part = |range: &str| {
        let specs = format!(
            "specs:\n  - {{name: long, pulls: long}}\n  - name: short\n    pulls: {{file: short/short-1.csv, {range}}}\n"
        );
        day(STEPS, &specs)
    };
    let said = bench.fault(&part("from: 5000 rpm, up_to: 4000 rpm"));
    assert!(
        said.contains("would count from 5000 up to 4000 rpm"),
        "{said}"
    );
    let said = bench.fault(&part("from: 6500"));
    assert!(
        said.contains("3 of 11 in this pull lie within the engine speeds that count"),
        "{said}"
    );
    let (out, _) = bench.shows(&part("from: 4000 rpm"));
    assert!(out.contains("short-1 from 4,000 rpm"), "{out}");
}

/// Differences at chosen engine speeds are those of the curves there, with the interval of one speed.
#[test]
fn specs_are_set_beside_each_other_at_chosen_speeds() {
    let bench = Bench::new();
    bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    let at = |speeds: &str, more: &[&str]| {
        let mut command = pullrank();
        command
            .args(["pulls", "--at", speeds])
            .args(more)
            .arg(&bench.0);
        command
    };
    let out = at("4500, 3000 rpm, 7400", &[]).output().unwrap();
    let out = String::from_utf8(out.stdout).unwrap();
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    assert!(
        out.contains("At these engine speeds, ± 95 % of one speed alone"),
        "{out}"
    );
    assert!(!out.contains("Means over"), "{out}");
    let row = out
        .lines()
        .find(|line| line.starts_with("3,000") || line.contains(" 3,000"));
    assert!(row.is_some_and(|row| row.contains("long")), "{out}");
    let of = json(&mut at("3000,7400", &["--json"]));
    let rows = of["at"].as_array().unwrap();
    assert_eq!(rows.len(), 4);
    let number = |row: usize, key: &str| rows[row][key]["value"].as_f64().unwrap();
    let gain = number(1, "gain_nm");
    assert!((gain - (number(1, "torque_nm") - number(0, "torque_nm"))).abs() < 1e-9);
    // The sheets at 3,000 rpm, and their share that correction adds.
    assert!(
        (gain / number(0, "torque_nm") + 8.0 / 153.0).abs() < 1e-3,
        "{gain}"
    );
    let csv = at("3000", &["--csv"]).output().unwrap();
    assert_eq!(String::from_utf8(csv.stdout).unwrap().lines().count(), 3);
    for (speeds, wanted) in [
        (
            "9000",
            "--at 9000 lies beyond what was pulled (2500 to 7500 rpm with any spec)",
        ),
        ("3,000", "3000 and not 3,000"),
        ("some", "write engine speeds, as in"),
    ] {
        let output = at(speeds, &[]).output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains(wanted), "{said}");
    }
}

/// A phone in the car: no torque, no power, and a share that is neither.
#[test]
fn a_share_in_per_cent_is_never_called_torque() {
    let bench = Bench::new();
    let log = |heading: &str| {
        let row = |(i, rpm): (usize, &f64)| {
            format!("{},{rpm:.0},{},93,27.9\n", 0.25 * i as f64, 60 + 2 * i)
        };
        let rows: String = RPM.iter().enumerate().map(row).collect();
        format!("{heading}\n{rows}")
    };
    for load in [
        "engine load %",
        "Load [%]",
        "engine torque %",
        "torque (%)",
        "calc load",
    ] {
        let heading = format!("time s,engine rpm,vehicle speed km/h,{load},MAF g/s");
        bench.file("short/short-1.csv", log(&heading));
        let said = bench.fault(&day(STEPS, TWO));
        for wanted in [
            "nothing in this table measures torque or power: `",
            load,
            "is not read as a pull",
        ] {
            assert!(said.contains(wanted), "{load}: {said}");
        }
        assert!(
            !said.contains("meant?") && !said.contains("write `"),
            "{load}: {said}"
        );
    }
    bench.file(
        "short/short-1.csv",
        log("time s,engine rpm,vehicle speed km/h,tourque,MAF g/s"),
    );
    let said = bench.fault(&day(STEPS, TWO));
    assert!(
        said.contains("is `tourque` meant? write `torque`"),
        "{said}"
    );
}

/// Of the engine's own reckoning and what was measured, the second, and which is said.
#[test]
fn which_of_several_columns_of_torque_was_taken_is_said() {
    let bench = Bench::new();
    for (spec, of) in [("long", LONG), ("short", SHORT)] {
        let rows = sheet("", &of, 1.0).trim().replace(',', ",260,");
        let text = format!("rpm,torque request (Nm),torque (Nm)\n{rows}\n");
        bench.file(&format!("{spec}/{spec}-1.csv"), text);
    }
    let (out, _) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    let out = out.replace("\n  ", " ");
    assert!(
        out.contains("`torque (Nm)` is read, of `torque request`, `torque`"),
        "{out}"
    );
    assert!(out.contains("204.") && !out.contains("260.0"), "{out}");
}

/// Pages from an old cell: units under some headings alone, cells empty where a probe read nothing.
#[test]
fn empty_cells_of_a_print_shift_no_column() {
    let bench = Bench::new();
    let page = |of: &[f64; 11], times: f64, gaps: bool| {
        let mut text = "CELL 2   TEST   PAGE 1\r\n\r\n".to_owned();
        text += "   RPM    A/F   TORQUE    POWER    OIL\r\n";
        text += "              lb.ft      bhp      C\r\n";
        text += "------------------------------------------\r\n";
        for (i, (rpm, torque)) in RPM.iter().zip(of).enumerate() {
            let torque = torque * times / 1.355_818;
            let ratio = match gaps && [0, 1, 5].contains(&i) {
                true => String::new(),
                false => format!("{:.1}", 12.5 + 0.1 * (i % 3) as f64),
            };
            text += &format!(
                "{rpm:6.0}{ratio:>7}{torque:9.1}{:9.1}{:7}\r\n",
                torque * rpm / 5252.1,
                88 + i % 4
            );
        }
        text
    };
    let answer = |gaps: bool| {
        for (spec, of) in [("long", LONG), ("short", SHORT)] {
            for (k, times) in [(1, 0.998), (2, 1.002)] {
                bench.file(&format!("{spec}/{spec}-{k}.csv"), page(&of, times, gaps));
            }
        }
        let (out, said) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
        assert_eq!(said, "");
        out
    };
    let (whole, gaps) = (answer(false), answer(true));
    let table = |out: &str| out.split("Which part").next().unwrap().to_owned();
    assert_eq!(table(&whole), table(&gaps));
    let note = "rows with empty cells read by their place across the line";
    assert!(gaps.replace("\n  ", " ").contains(note), "{gaps}");
    assert!(!whole.contains("by their place"), "{whole}");
}
