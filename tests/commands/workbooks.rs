//! Workbooks of spreadsheets, mailed as they are: each sheet is a table.

use super::drawn::{log_csv, road};
use super::pullrank;
use super::roads::{shown, venue};
use super::testdays::{Bench, LONG, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;
use crate::support::books::{rows, workbook};

/// The rows of a table of text.
fn of_csv(csv: &str) -> String {
    let lines: Vec<Vec<&str>> = csv.lines().map(|line| line.split(',').collect()).collect();
    let lines: Vec<&[&str]> = lines.iter().map(Vec::as_slice).collect();
    rows(&lines)
}

const NOTES: &[&[&str]] = &[&["Cold day"], &["new plugs"]];

/// The pulls of a spec, a sheet each, with notes where there are any.
fn book(torque: &[f64], notes: bool) -> Vec<u8> {
    let of = |times| of_csv(&sheet("rpm,torque (Nm)", torque, times));
    let (one, two, notes_in) = (of(0.998), of(1.002), rows(NOTES));
    let mut sheets = vec![("1", "", one.as_str()), ("2", "", two.as_str())];
    if notes {
        sheets.push(("Notes", "", &notes_in));
        sheets.push(("Old", "state=\"hidden\"", &one));
        sheets.push(("Empty", "", ""));
    }
    workbook(&sheets, &[])
}

/// A bench whose specs are a workbook each.
fn books(notes: bool) -> Bench {
    let bench = Bench::new();
    for (spec, torque) in [("long", &LONG[..]), ("short", &SHORT[..])] {
        for k in [1, 2] {
            std::fs::remove_file(bench.0.join(format!("{spec}/{spec}-{k}.csv"))).unwrap();
        }
        bench.file(&format!("{spec}/{spec}.xlsx"), book(torque, notes));
    }
    bench
}

fn day() -> String {
    format!("{STEPS}{WEATHER}{TWO}")
}

#[test]
fn sheets_are_pulls_as_tables_of_text_are() {
    let (plain, _) = Bench::new().shows(&day());
    let (out, said) = books(false).shows(&day());
    assert_eq!(said, "");
    // The head names the folder, whose name may be long.
    let below = |out: &str| {
        out.lines()
            .skip_while(|line| !line.is_empty())
            .map(str::to_owned)
            .collect::<Vec<String>>()
    };
    assert_eq!(below(&out), below(&plain));
    let (again, said) = books(true).shows(&day());
    assert_eq!(below(&again), below(&plain));
    assert!(
        said.contains(
            "left out of `long`: `long.xlsx, sheet Notes` (no table is in it), `long.xlsx, sheet Old` (a hidden sheet)"
        ),
        "{said}"
    );
}

#[test]
fn a_sheet_is_picked_by_its_name_and_its_faults_name_it() {
    let bench = books(false);
    let alone = "specs:\n  - name: long\n    pulls:\n      - {file: long/long.xlsx, sheet: SHEET}\n      - long\n  - \
                 {name: short, pulls: short}\n";
    let with = |sheet: &str| format!("{STEPS}{WEATHER}{}", alone.replace("SHEET", sheet));
    let (out, said) = bench.shows(&with("2, set_aside: plugs fouled"));
    assert!(out.contains("plugs fouled"), "{out}{said}");
    let said = bench.fault(&with("Run 9"));
    assert!(
        said.contains("there is no sheet `Run 9` in this workbook"),
        "{said}"
    );
    let table = of_csv(&sheet("rpm,torque (Nm)", &LONG, 1.0));
    let broken = table.replacen("<c r=\"B4\">", "<c r=\"B4\" t=\"e\">", 1);
    let broken = broken.replacen("166.00", "#DIV/0!", 1);
    bench.file("long/long.xlsx", workbook(&[("Run 3", "", &broken)], &[]));
    let said = bench.fault(&day());
    assert!(
        said.contains("long/long.xlsx, sheet Run 3, row 4: error: `torque` in row 3: `#DIV/0!` is not a number"),
        "{said}"
    );
    bench.file(
        "long/long.xlsx",
        &workbook(&[("Run 3", "", &table)], &[])[..900],
    );
    let said = bench.fault(&day());
    assert!(
        said.contains("long/long.xlsx: error: this workbook cannot be read"),
        "{said}"
    );
}

#[test]
fn logs_of_a_workbook_are_roads() {
    let log = log_csv(&road());
    let plain = shown(&venue("log: run.csv").write("run.csv", &log));
    let table = of_csv(&log);
    let two = workbook(&[("Day 1", "", &table), ("Day 2", "", &table)], &[]);
    let picked = venue("log: {file: run.xlsx, sheet: Day 2}").write("run.xlsx", &two);
    assert_eq!(shown(&picked)["length_m"], plain["length_m"]);
    let said = venue("log: run.xlsx").write("run.xlsx", &two).faults();
    assert!(
        said.contains("several sheets of this workbook hold tables: `Day 1`, `Day 2`"),
        "{said}"
    );
    let notes = rows(NOTES);
    let one = workbook(&[("Notes", "", &notes), ("Day 1", "", &table)], &[]);
    let found = venue("log: run.xlsx").write("run.xlsx", one);
    assert_eq!(shown(&found)["length_m"], plain["length_m"]);
}

#[test]
fn check_and_new_take_workbooks() {
    let world = World::empty()
        .write("long.xlsx", book(&LONG, true))
        .write("short.xlsx", book(&SHORT, true));
    let run = |arguments: &[&str]| {
        let mut command = pullrank();
        command.current_dir(&world);
        let output = command.args(arguments).output().unwrap();
        let said = format!(
            "{}{}",
            world.said(&output.stdout),
            world.said(&output.stderr)
        );
        assert!(output.status.success(), "{arguments:?}: {said}");
        said
    };
    run(&["new", "season", "--pulls", "long.xlsx", "short.xlsx"]);
    let copied = world.path("season/car/pulls/long/long.xlsx");
    assert_eq!(std::fs::read(copied).unwrap(), book(&LONG, true));
    run(&["pulls", "season/car"]);
    let said = run(&["check", "long.xlsx"]);
    assert!(said.contains("workbook"), "{said}");
}
