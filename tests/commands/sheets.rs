//! Sheets as dynos write them: lines about the run above the table, rows of separators, raw figures beside
//! corrected ones, rates told twice.

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};

/// All four files of the day, made of the torque of each.
fn files(bench: &Bench, text: impl Fn(&[f64], f64) -> String) {
    for (spec, torque) in [("long", &LONG[..]), ("short", &SHORT[..])] {
        for k in [1, 2] {
            let off = 1.0 + 0.001 * f64::from(k);
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text(torque, off));
        }
    }
}

/// The rows of a sheet, each of these cells.
fn rows(torque: &[f64], cells: impl Fn(f64, f64) -> String) -> String {
    let rows = RPM.iter().zip(torque);
    rows.map(|(rpm, torque)| cells(*rpm, *torque) + "\n")
        .collect()
}

#[test]
fn what_stands_about_the_table_changes_nothing() {
    let bench = Bench::new();
    let day = format!("{STEPS}{WEATHER}{TWO}");
    files(&bench, |torque, off| sheet("RPM,Torque (Nm)", torque, off));
    let (plain, said) = bench.shows(&day);
    assert_eq!(said, "");
    for above in [
        "Owner,Rowan,,\nBore,86,Stroke,69\n",
        "RPM from,2500,to,7200\nRamp,300,rpm/s,\n,,,\n",
        "Peak,176.1,at,4500\n",
    ] {
        files(&bench, |torque, off| {
            let table = sheet("RPM,Torque (Nm)", torque, off).replacen("\n3000,", "\n,\n3000,", 1);
            format!("{above}{table},\n,\n")
        });
        assert_eq!(bench.shows(&day), (plain.clone(), String::new()), "{above}");
    }
}

#[test]
fn nobody_is_asked_what_the_column_beside_answers() {
    let bench = Bench::new();
    let day = format!("{STEPS}correct_to: SAE J1349\n{WEATHER}{TWO}");
    let with = |headings: &str, times: f64| {
        let head = format!("RPM,Torque (Nm),{headings},SAE CF\n");
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| {
                let torque = off * torque;
                format!("{rpm},{torque:.1},{:.1},1.020", times * torque)
            };
            head.clone() + &rows(torque, cells)
        });
        bench.shows(&day).1
    };
    assert_eq!(with("SAE Torque (Nm)", 1.020), "");
    let said = with("Lambda", 0.01);
    assert!(said.contains("has it been multiplied in?"), "{said}");
}

#[test]
fn a_line_names_the_standard_that_a_heading_leaves_open() {
    let bench = Bench::new();
    files(&bench, |torque, off| {
        let table = sheet("RPM,Corr Torque (Nm)", torque, off);
        format!("# Correction: DIN 70020, CF 1.013\n{table}")
    });
    let (_, said) = bench.shows(&format!("{STEPS}{TWO}"));
    let wanted = "long-1.csv:1: warning: `# Correction: DIN 70020, CF 1.013`, and the day does not say to what it \
                  is corrected";
    assert!(said.contains(wanted), "{said}");
    assert!(
        said.contains("corrected it, as in `corrected: DIN 70020`"),
        "{said}"
    );
}

#[test]
fn a_rate_that_the_time_in_files_overrules_is_told() {
    let bench = Bench::new();
    // A thousand rpm in so many seconds.
    let timed = |seconds: f64| {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| {
                format!("{:.2},{rpm},{:.2}", rpm / 1000.0 * seconds, off * torque)
            };
            "time (s),rpm,torque (Nm)\n".to_owned() + &rows(torque, cells)
        });
    };
    let dyno =
        "dyno: {measures: flywheel, method: sweep, rate: 300 rpm/s, engine_inertia: 0.12 kg m2}\n";
    let day = format!("{dyno}{WEATHER}{TWO}");
    timed(1.0 / 0.3);
    assert_eq!(bench.shows(&day).1, "");
    timed(1.0 / 0.6);
    let (_, said) = bench.shows(&day);
    let wanted = "warning: rate: 300 rpm/s, and the time in long/long-1.csv says 600 rpm/s, which is reckoned with";
    assert!(said.contains(wanted), "{said}");
    assert_eq!(said.matches("reckoned with").count(), 1, "{said}");
}
