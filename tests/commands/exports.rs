//! Folders and exports that are laid out otherwise: what is read of them is told.

use std::fs;

use super::awkward::day;
use super::pullrank;
use super::testdays::{Bench, LONG, RPM, STEPS, WEATHER};

#[test]
fn what_is_no_pull_in_a_folder_of_pulls_is_left_out_and_told() {
    let bench = Bench::new();
    bench.file("long/notes.txt", "fine morning, plugs new\n");
    bench.file("long/scan.pdf", "%PDF-1.4\n");
    bench.file("long/Thumbs.db", [0, 1, 2]);
    bench.file("long/old.csv/x.csv", "not looked at");
    #[cfg(unix)]
    std::os::unix::fs::symlink("nowhere", bench.0.join("long/gone.csv")).unwrap();
    let (out, said) = bench.shows(&day());
    assert!(out.contains("long      1, 2"), "{out}");
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    for wanted in [
        "left out of `long`: ",
        "`notes.txt` (no pull is in it)",
        "`scan.pdf` (not a table)",
        "`old.csv` (a folder)",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    #[cfg(unix)]
    assert!(
        said.contains("`gone.csv` (a link that leads nowhere)"),
        "{said}"
    );
    assert!(!said.contains("Thumbs"), "{said}");
    // Named by hand it is refused, and so is a pull that has a fault.
    let by_hand = day().replace("pulls: long}", "pulls: [long/long-1.csv, long/notes.txt]}");
    let said = bench.fault(&by_hand);
    assert!(said.contains("long/notes.txt: error"), "{said}");
    #[cfg(unix)]
    {
        let said = bench.fault(&day().replace("pulls: long}", "pulls: long\\long-1.csv}"));
        assert!(said.contains("write `long/long-1.csv`"), "{said}");
    }
    bench.file("long/long-3.csv", "rpm,torque (Nm)\n2500,x\n");
    let said = bench.fault(&day());
    assert!(said.contains("long/long-3.csv:2:6: error"), "{said}");
    // Where nothing else is, what stands there is told.
    let alone = Bench::new();
    let _ = fs::remove_dir_all(alone.0.join("long"));
    alone.file("long/notes.txt", "fine morning, plugs new\n");
    let said = alone.fault(&day());
    assert!(said.contains("long/notes.txt: error"), "{said}");
}

#[test]
fn a_new_study_leaves_out_what_is_no_pull() {
    let bench = Bench::new();
    bench.file("long/notes.txt", "fine morning, plugs new\n");
    bench.file("long/scan.pdf", "%PDF-1.4\n");
    let mut command = pullrank();
    let command = command.current_dir(&bench.0);
    let output = command
        .args(["new", "mine", "--pulls", "long", "short"])
        .output();
    let output = output.unwrap();
    let said = bench.said(&output);
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("long: warning: left out of the copies: "),
        "{said}"
    );
    assert!(said.contains("`notes.txt` (no pull is in it)"), "{said}");
    assert!(bench.0.join("mine/car/pulls/long/long-1.csv").exists());
    assert!(!bench.0.join("mine/car/pulls/long/notes.txt").exists());
}

#[test]
fn engine_speeds_in_hundreds_or_thousands_are_told() {
    for (per, wanted) in [
        (100.0, "rpm in hundreds? write them in full, 7500 for 75"),
        (1000.0, "rpm in thousands? write them in full, 7500 for 7.5"),
    ] {
        let bench = Bench::new();
        let rows = RPM.iter().zip(LONG);
        let rows = rows.map(|(n, t)| format!("{},{t}\n", n / per));
        let table = format!("rpm,torque (Nm)\n{}", rows.collect::<String>());
        bench.file("long/long-2.csv", table);
        let said = bench.fault(&day());
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
        assert!(said.contains(wanted), "{said}");
    }
}

#[test]
fn parted_thousands_are_read_where_they_can_be_meant_one_way() {
    let table = |heading: &str, between: &str, parted: &dyn Fn(f64) -> String| {
        let rows = RPM.iter().zip(LONG);
        let rows = rows.map(|(n, t)| format!("{}{between}{}\n", parted(*n), parted(t)));
        format!("{heading}\n{}", rows.collect::<String>())
    };
    let whole = |mark: &'static str| {
        move |value: f64| match value >= 1000.0 {
            true => format!(
                "\"{}{mark}{:03}\"",
                (value / 1000.0).floor(),
                value % 1000.0
            ),
            false => format!("{value:.0}"),
        }
    };
    let plain = Bench::new();
    plain.file(
        "long/long-1.csv",
        table("rpm,torque (Nm)", ",", &|v| format!("{v:.0}")),
    );
    let (wanted, _) = plain.shows(&day());
    for (heading, between, mark) in [
        ("rpm,torque (Nm)", ",", ","),
        ("rpm;torque (Nm)", ";", ","),
        ("rpm,torque (Nm)", ",", " "),
        ("rpm;torque (Nm)", ";", "'"),
    ] {
        let bench = Bench::new();
        bench.file("long/long-1.csv", table(heading, between, &whole(mark)));
        let (out, said) = bench.shows(&day());
        assert_eq!(said, "");
        let head = |text: &str| text.lines().skip(2).take(12).collect::<Vec<_>>().join("\n");
        assert_eq!(head(&out), head(&wanted), "{heading} {mark}");
    }
    // Torque of a large engine: once, with the remedy.
    let bench = Bench::new();
    let large = |value: f64| match value >= 1000.0 {
        true => format!("{value:.0}"),
        false => format!("\"1,{value:03.0}\""),
    };
    bench.file("long/long-1.csv", table("rpm,torque (Nm)", ",", &large));
    let said = bench.fault(&day());
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(said.contains("`1,139` can be read in two ways"), "{said}");
    assert!(said.contains("write 1.139 or 1139 throughout"), "{said}");
}

#[test]
fn exports_that_are_laid_out_otherwise_are_told_what_is_read() {
    let rows = |between: &str| -> String {
        let rows = RPM.iter().zip(LONG);
        rows.map(|(n, t)| format!("{n}{between}{t:.1}\n")).collect()
    };
    let commas = rows(",");
    for (text, wanted) in [
        (
            format!("rpm  torque\n{}", rows("  ")).replacen("  1", "  1  ", 1),
            "this row has 3 cells, and 2 columns are named",
        ),
        (
            format!("rpm|torque (Nm)\n{}", rows("|")),
            "are parted by `|`",
        ),
        (
            format!("rpm,torque (Nm)\n{commas}rpm,torque (Nm)\n{commas}"),
            "the heading `rpm` again",
        ),
    ] {
        let bench = Bench::new();
        bench.file("only/1.csv", text);
        let said = bench.fault(&format!(
            "{STEPS}{WEATHER}specs: [{{name: long, pulls: only}}]\n"
        ));
        assert!(said.contains(wanted), "{said}");
    }
    let bench = Bench::new();
    bench.file(
        "long/long-2.csv",
        format!("rpm,torque (Nm)\n{commas}{commas}"),
    );
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("number them in a column named `pull`"),
        "{said}"
    );
    // Units in the cells tell engine speed from road speed.
    let cells = RPM.iter().zip(LONG);
    let cells = cells.map(|(n, t)| format!("{n} rpm,{t} Nm\n"));
    bench.file(
        "long/long-2.csv",
        format!("speed,torque\n{}", cells.collect::<String>()),
    );
    assert_eq!(bench.shows(&day()).1, "");
    // A sweep that is said to be steps.
    let log = (0..200).map(|i| format!("{:.2},{},{}\n", f64::from(i) * 0.05, 2500 + 25 * i, 150));
    let log = format!("time,rpm,torque (Nm)\n{}", log.collect::<String>());
    bench.file("long/long-2.csv", log);
    let said = bench.fault(&day());
    assert!(
        said.contains("is this a sweep? say `dyno: {method: sweep}`"),
        "{said}"
    );
}
