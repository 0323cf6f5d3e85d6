use super::*;
use crate::files::pulls::{FilePull, Settings, parse};
use crate::files::source::Source;

/// A row of a sheet: engine speed, torque and lambda.
type Row = [f64; 3];
/// What a sheet is sorted by.
type By = fn(&Row) -> f64;

/// A pull in steps of so many rpm: torque rises and falls, lambda wanders.
fn sheet(step: f64) -> Vec<Row> {
    let count = (4600.0 / step) as usize;
    let row = |i: usize| {
        let rpm = 2400.0 + step * i as f64;
        let torque = 160.0 - 45.0 * ((rpm - 4600.0) / 2400.0).powi(2);
        let lambda = 0.88 + 0.03 * (rpm / 700.0).sin() + 1e-5 * (i * 7 % 11) as f64;
        [rpm, (torque * 100.0).round() / 100.0, lambda]
    };
    (0..=count).map(row).collect()
}

fn power([rpm, torque, _]: &Row) -> f64 {
    rpm * torque / 9549.3
}

fn read(rows: &[Row]) -> (Vec<FilePull>, String) {
    let of = |row: &Row| format!("{},{},{},{}\n", row[0], row[1], power(row), row[2]);
    let rows: String = rows.iter().map(of).collect();
    let source = Source::new("a.csv", format!("rpm,Nm,kW,lambda\n{rows}"));
    let mut findings = Findings::new();
    let table = Table::parse(source, &mut findings).unwrap();
    let pulls = parse(&table, "a", &Settings::USUAL, &mut findings).unwrap();
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    (pulls, said.join("\n"))
}

/// Sorted by any other column, up or down, or shuffled: the same curve.
#[test]
fn a_sheet_sorted_by_another_column_gives_the_same_curve() {
    for step in [125.0, 50.0, 20.0] {
        let sheet = sheet(step);
        let (whole, said) = read(&sheet);
        assert!(!said.contains("rows stand in"), "{said}");
        let keys: [(&str, By); 4] = [
            ("order of `Nm`", |row| row[1]),
            ("order of `kW`", power),
            ("order of `lambda`", |row| row[2]),
            // Shuffled.
            ("no order", |row| (row[0].sin() * 43_758.545_3).fract()),
        ];
        for (by, key) in keys {
            for down in [false, true] {
                let mut rows = sheet.clone();
                rows.sort_by(|a, b| key(a).total_cmp(&key(b)));
                if down {
                    rows.reverse();
                }
                let (pulls, said) = read(&rows);
                let wanted = format!("rows stand in {by}: put in order of engine speed");
                assert!(said.contains(&wanted), "{step} {by} {down}: {said}");
                assert!(!said.contains("warning"), "{said}");
                assert_eq!(pulls.len(), 1);
                assert_eq!(pulls[0].rpm, whole[0].rpm, "{step} {by} {down}");
                assert_eq!(pulls[0].torque, whole[0].torque, "{step} {by} {down}");
            }
        }
    }
}

/// What an engine does: coasting down, on the limiter, several pulls, a noisy pick-up, a step test both ways.
#[test]
fn rows_as_an_engine_goes_stay_as_they_are() {
    let up = sheet(25.0);
    let down = |share: f64| {
        let rows = up.iter().rev().skip(1);
        rows.map(move |row| [row[0], share * row[1], row[2]])
    };
    let noisy = up.iter().enumerate().map(|(i, row)| {
        let off = [0.0, 40.0, -35.0, 15.0, -45.0, 30.0][i % 6];
        // What a dyno has smoothed rises on.
        [row[0] + off, 100.0 + i as f64, row[2]]
    });
    let limited = (0..60).map(|i| match i % 2 {
        0 => [7000.0, 110.0, 0.9],
        _ => [6650.0, 4.0, 0.9],
    });
    // The oil grows warmer from row to row.
    let warmer = |rows: Vec<Row>| -> Vec<Row> {
        let rows = rows.into_iter().enumerate();
        rows.map(|(i, row)| [row[0], row[1], 80.0 + 0.1 * (i * i) as f64])
            .collect()
    };
    let short = |from: f64| (0..6).map(move |i| [from + 800.0 * f64::from(i), 150.0, 0.9]);
    let swapped = {
        let mut rows: Vec<Row> = (0..9)
            .map(|i| {
                [
                    2500.0 + 500.0 * f64::from(i),
                    180.0 - 5.0 * f64::from(i),
                    0.9,
                ]
            })
            .collect();
        let (third, fourth) = (rows[2][0], rows[3][0]);
        (rows[2][0], rows[3][0]) = (fourth, third);
        rows
    };
    let engines: [(&str, Vec<Row>); 8] = [
        ("up", up.clone()),
        ("down", down(1.0).collect()),
        (
            "coasting down",
            up.iter().copied().chain(down(-0.1)).collect(),
        ),
        ("noise", noisy.collect()),
        ("limiter", up.iter().copied().chain(limited).collect()),
        ("pulls", up.iter().chain(&up).chain(&up).copied().collect()),
        (
            "short pulls",
            (0..4)
                .flat_map(|k| short(2400.0 + 10.0 * f64::from(k)))
                .collect(),
        ),
        ("two figures swapped", swapped),
    ];
    for (what, rows) in engines {
        for rows in [rows.clone(), warmer(rows)] {
            let of = |row: &Row| format!("{},{},{}\n", row[0], row[1], row[2]);
            let text: String = rows.iter().map(of).collect();
            let source = Source::new("a.csv", format!("rpm,Nm,oil\n{text}"));
            let mut findings = Findings::new();
            let table = Table::parse(source, &mut findings).unwrap();
            parse(&table, "a", &Settings::USUAL, &mut findings);
            let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
            assert!(
                !said.join(" ").contains("rows stand in"),
                "{what}: {said:?}"
            );
        }
    }
}

/// A log with its time is put back in that; runs that are numbered are each put in order.
#[test]
fn time_comes_first_and_numbered_runs_stay_apart() {
    let of = |heading: &str, mut rows: Vec<(f64, String)>| {
        rows.sort_by(|a, b| b.0.total_cmp(&a.0));
        let rows: String = rows.into_iter().map(|(_, row)| row).collect();
        let mut findings = Findings::new();
        let table = Table::parse(
            Source::new("a.csv", format!("{heading}\n{rows}")),
            &mut findings,
        );
        let pulls = parse(&table.unwrap(), "a", &Settings::USUAL, &mut findings);
        let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
        (pulls.unwrap_or_default(), said.join("\n"))
    };
    let sheet = sheet(50.0);
    let timed = sheet.iter().enumerate().map(|(i, row)| {
        let text = format!("{},{},{}\n", 0.1 * i as f64, row[0], row[1]);
        (power(row), text)
    });
    let (pulls, said) = of("time (s),rpm,torque (Nm)", timed.collect());
    assert!(said.contains("in order of time"), "{said}");
    assert!(
        pulls[0]
            .acceleration
            .iter()
            .all(|rate| (rate - 500.0).abs() < 1.0)
    );
    let runs = ["2", "1"]
        .iter()
        .zip([1.0, 1.013])
        .flat_map(|(run, times)| {
            let row = move |row: &Row| {
                let torque = row[1] * times;
                (row[0] * torque, format!("{run},{},{torque}\n", row[0]))
            };
            sheet.iter().map(row).collect::<Vec<_>>()
        });
    let (pulls, said) = of("run,rpm,torque (Nm)", runs.collect());
    assert_eq!(pulls.len(), 2, "{said}");
    assert!(
        pulls.iter().all(|pull| pull.rpm.len() == sheet.len()),
        "{said}"
    );
}
