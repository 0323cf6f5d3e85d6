use super::super::{FilePull, Settings, parse};
use crate::files::finding::Findings;
use crate::files::source::Source;
use crate::files::table::Table;

fn read(text: &str) -> (Option<Vec<FilePull>>, Findings) {
    let mut findings = Findings::new();
    let table = Table::parse(Source::new("runs.csv", text), &mut findings).unwrap();
    let pulls = parse(&table, "runs", &Settings::USUAL, &mut findings);
    (pulls, findings)
}

fn torque(rpm: f64, run: f64) -> f64 {
    150.0 + 10.0 * run + rpm / 100.0
}

/// Rows of runs that each have an engine speed of their own, between separators, the last run shorter.
fn rows(between: &str, runs: usize) -> String {
    (0..12)
        .map(|i| {
            let cells = (0..runs).map(|run| {
                let rpm = 3000.0 + 250.0 * i as f64 + 10.0 * run as f64;
                match i > 8 && run + 1 == runs {
                    true => ",".to_owned(),
                    false => format!("{rpm:.0},{:.1}", torque(rpm, run as f64)),
                }
            });
            cells.collect::<Vec<String>>().join(between) + "\n"
        })
        .collect()
}

fn alone(run: usize) -> String {
    let rows = (0..if run == 2 { 9 } else { 12 }).map(|i| {
        let rpm = 3000.0 + 250.0 * i as f64 + 10.0 * run as f64;
        format!("{rpm:.0},{:.1}\n", torque(rpm, run as f64))
    });
    format!("rpm,torque (Nm)\n{}", rows.collect::<String>())
}

fn labels(pulls: &[FilePull]) -> Vec<&str> {
    pulls.iter().map(|pull| pull.label.as_str()).collect()
}

/// However they are headed, three runs side by side are the three files they might be.
#[test]
fn metamorphic_runs_abreast_are_the_runs_alone() {
    let headings = [
        (
            "Run 7,,Run 8,,Run 12,\nRPM,Nm,RPM,Nm,RPM,Nm\n",
            ["Run 7", "Run 8", "Run 12"],
        ),
        (
            "Cold,,Warm,,Hot,\nrpm,Torque (Nm),rpm,Torque (Nm),rpm,Torque (Nm)\n",
            ["Cold", "Warm", "Hot"],
        ),
        (
            "RPM,Torque Nm,RPM,Torque Nm,RPM,Torque Nm\n",
            ["1", "2", "3"],
        ),
        (
            "rpm 1,torque 1 (Nm),rpm 2,torque 2 (Nm),rpm 3,torque 3 (Nm)\n",
            ["1", "2", "3"],
        ),
        (
            "Drehzahl_1;Nm;Drehzahl_2;Nm;Drehzahl_3;Nm\n",
            ["1", "2", "3"],
        ),
    ];
    for (heading, names) in headings {
        let rows = match heading.contains(';') {
            true => rows(",", 3).replace(',', ";"),
            false => rows(",", 3),
        };
        let (pulls, findings) = read(&format!("{heading}{rows}"));
        let pulls = pulls.unwrap_or_else(|| panic!("{heading}{findings:?}"));
        assert_eq!(labels(&pulls), names, "{heading}");
        for (run, pull) in pulls.iter().enumerate() {
            let other = &read(&alone(run)).0.unwrap()[0];
            assert_eq!(
                (&pull.rpm, &pull.torque),
                (&other.rpm, &other.torque),
                "{heading}"
            );
            assert_eq!(pull.name, format!("runs #{}", names[run]));
        }
        let listed = format!("3 pulls side by side: `{}`", names[0]);
        assert!(
            findings.iter().any(|f| f.text.contains(&listed)),
            "{findings:?}"
        );
    }
    // Empty columns between them.
    let apart = format!("rpm,Nm,,rpm,Nm,,rpm,Nm\n{}", rows(",,", 3));
    assert_eq!(labels(&read(&apart).0.unwrap()), ["1", "2", "3"]);
}

#[test]
fn runs_under_one_engine_speed_have_the_rows_in_which_they_were_read() {
    let mut text = "rpm;Old exhaust 1 (Nm);New exhaust 1 (Nm);Old exhaust 2 (Nm)\n".to_owned();
    for i in 0..12 {
        let rpm = 2500.0 + 300.0 * f64::from(i);
        let new = match i < 2 {
            true => String::new(),
            false => format!("{:.1}", torque(rpm, 1.0)),
        };
        text += &format!(
            "{rpm};{:.1};{new};{:.1}\n",
            torque(rpm, 0.0),
            torque(rpm, 0.1)
        );
    }
    let pulls = read(&text).0.unwrap();
    assert_eq!(
        labels(&pulls),
        ["Old exhaust 1", "New exhaust 1", "Old exhaust 2"]
    );
    assert_eq!((pulls[0].rpm[0], pulls[1].rpm[0]), (2500.0, 3100.0));
    assert_eq!(pulls[1].torque[0], torque(3100.0, 1.0));
    // Torque and power of each.
    let mut text = "rpm,Nm 1,kW 1,Nm 2,kW 2\n".to_owned();
    for i in 0..10 {
        let rpm = 3000.0 + 400.0 * f64::from(i);
        let pair = |run: f64| {
            let torque = torque(rpm, run);
            format!("{torque:.2},{:.3}", torque * rpm / 9549.3)
        };
        text += &format!("{rpm},{},{}\n", pair(0.0), pair(0.5));
    }
    let pulls = read(&text).0.unwrap();
    assert_eq!(labels(&pulls), ["1", "2"]);
    assert!((pulls[1].torque[0] - torque(3000.0, 0.5)).abs() < 0.01);
    // Without a unit the refusal says what to write.
    let bare = "rpm,Old 1,Old 2,New 1\n3000,150,151,152\n3500,160,161,162\n4000,165,166,167\n";
    let (pulls, findings) = read(bare);
    let told = findings.iter().find_map(|f| f.remedy.as_deref()).unwrap();
    assert!(
        pulls.is_none() && told.contains("as in `Old 1 (Nm)`, and each is a pull"),
        "{told}"
    );
}

/// One run measured in two ways, and parts of one figure, are no two runs.
#[test]
fn columns_of_another_kind_are_no_runs() {
    for heading in [
        "engine rpm,engine (Nm),wheel rpm,wheel (Nm)",
        "rpm,engine (Nm),rpm,wheel (Nm)",
        "rpm,brake (Nm),losses (Nm),sum (Nm)",
        "rpm,air (Nm),oil (Nm),rest (Nm)",
    ] {
        let mut text = format!("{heading}\n");
        for i in 0..10 {
            let rpm = 3000 + 300 * i;
            text += &format!("{rpm},{},{},{}\n", 150 + i, 140 + i, 130 + 2 * i);
        }
        let (pulls, findings) = read(&text);
        let several = pulls.is_some_and(|pulls| pulls.len() > 1);
        assert!(!several, "{heading} {findings:?}");
    }
}

#[test]
fn a_fault_of_a_run_is_told_at_its_own_cell() {
    let text = format!(
        "rpm,Nm,rpm,Nm\n{}",
        rows(",", 2).replacen("3260,192.6", "3260,x", 1)
    );
    let (pulls, findings) = read(&text);
    assert!(pulls.is_none());
    let at = findings.iter().find(|f| f.is_error()).unwrap();
    let place = at.position.as_ref().unwrap();
    assert_eq!((place.line, place.column), (3, 17), "{at:?}");
}
