//! Sheets as dynos write them: lines about the run above the table, rows of separators, raw figures beside
//! corrected ones, rates told twice.

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};

/// All four files of the day, made of the torque of each.
pub(super) fn files(bench: &Bench, text: impl Fn(&[f64], f64) -> String) {
    for (spec, torque) in [("long", &LONG[..]), ("short", &SHORT[..])] {
        for k in [1, 2] {
            let off = 1.0 + 0.001 * f64::from(k);
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text(torque, off));
        }
    }
}

/// The rows of a sheet, each of these cells.
pub(super) fn rows(torque: &[f64], cells: impl Fn(f64, f64) -> String) -> String {
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

/// Many rows without time that are sorted from the top show no run down.
#[test]
fn a_table_sorted_from_the_top_is_a_pull() {
    let bench = Bench::new();
    let day =
        format!("{STEPS}{WEATHER}{TWO}").replace("method: steps", "method: sweep, rate: 300 rpm/s");
    let shown = |turned: bool| {
        files(&bench, |torque, off| {
            let curve = |rpm: f64| {
                let at = (RPM.partition_point(|of| *of <= rpm)).clamp(1, RPM.len() - 1);
                let share = (rpm - RPM[at - 1]) / (RPM[at] - RPM[at - 1]);
                off * (torque[at - 1] + share * (torque[at] - torque[at - 1]))
            };
            let top = RPM[RPM.len() - 1];
            let count = ((top - RPM[0]) / 25.0) as usize;
            let speeds = (0..=count).map(|i| RPM[0] + 25.0 * i as f64);
            let row = |rpm: f64| format!("{rpm:.0},{:.2}\n", curve(rpm));
            let mut rows: Vec<String> = speeds.map(row).collect();
            if turned {
                rows.reverse();
            }
            format!("RPM,Torque (Nm)\n{}", rows.concat())
        });
        bench.shows(&day)
    };
    let (up, said) = shown(false);
    assert_eq!(said, "");
    let (down, said) = shown(true);
    assert_eq!(said, "");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let turned = "rows from the highest engine speed down are turned round";
    assert!(words(&down).contains(turned), "{down}");
    let table = |out: &str| out.lines().take(12).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(table(&up), table(&down));
}

#[test]
fn blanks_may_part_a_sheet() {
    let bench = Bench::new();
    let day = format!("{STEPS}{WEATHER}{TWO}");
    files(&bench, |torque, off| sheet("RPM,Torque (Nm)", torque, off));
    let (plain, _) = bench.shows(&day);
    for (above, heading, between) in [
        ("Engine 4, long manifold\n\n", "RPM   Torque Nm", "    "),
        ("", "rpm Torque_Nm", " "),
        (
            "brake, run 1, J. Holt\n\n",
            "  RPM    Torque Nm\n-----  -----",
            "      ",
        ),
    ] {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| format!(" {rpm}{between}{:.2}", off * torque);
            format!(
                "{above}{heading}\n{}* oil light flickered at 4000\n",
                rows(torque, cells)
            )
        });
        assert_eq!(
            bench.shows(&day),
            (plain.clone(), String::new()),
            "{heading}"
        );
    }
    // Words and dashes in cells, and titles of as many words as there are columns.
    for (title, third) in [
        ("", "---"),
        ("Dyno run today\n\n", "ok"),
        ("Torque curve 2\n", "-"),
        ("not corrected yet\n\n", "clean"),
    ] {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| format!("{rpm}   {:.2}   {third}", off * torque);
            format!("{title}rpm   Nm   remark\n{}", rows(torque, cells))
        });
        let (out, said) = bench.shows(&day);
        let gains = |out: &str| out.lines().skip(2).take(8).collect::<Vec<_>>().join("\n");
        assert_eq!(
            (gains(&out), said),
            (gains(&plain), String::new()),
            "{title}"
        );
    }
    // A cell that is left out moves those behind it.
    files(&bench, |torque, off| {
        let cells = |rpm: f64, torque: f64| match rpm == 4000.0 {
            true => format!("{rpm}   {:.2}", off * torque),
            false => format!("{rpm}   0.9   {:.2}", off * torque),
        };
        format!("RPM   Lambda   Torque Nm\n{}", rows(torque, cells))
    });
    let said = bench.fault(&day);
    assert!(
        said.contains("this row has 2 cells, and 3 columns are named"),
        "{said}"
    );
}

#[test]
fn figures_of_other_places_and_other_powers_stand_beside() {
    let bench = Bench::new();
    let day = format!("{STEPS}{WEATHER}{TWO}");
    let with = |head: &str, times: &dyn Fn(f64, f64) -> String| {
        files(&bench, |torque, off| {
            format!(
                "{head}\n{}",
                rows(torque, |rpm, torque| times(rpm, off * torque))
            )
        });
        bench.shows(&day)
    };
    let power = |rpm: f64, torque: f64| torque * rpm / 9549.3;
    let hubs = |rpm: f64, t: f64| format!("{rpm},{:.1},{:.3}", 5.74 * t, power(rpm, t));
    let (_, said) = with("engine rpm,hub torque (Nm),power (kW)", &hubs);
    let wanted = "`hub torque` is measured at the hubs, and `power (kW)` beside it is taken for the flywheel's";
    assert!(said.contains(wanted), "{said}");
    assert!(said.contains("`dyno: {measures: hubs}`"), "{said}");
    let (_, said) = with("engine rpm,hub torque (Nm),flywheel power (kW)", &hubs);
    assert_eq!(said, "");
    let several = |rpm: f64, t: f64| {
        let power = power(rpm, t);
        format!("{rpm},{:.3},3.0,{power:.3},{t:.2}", power - 3.0)
    };
    let (out, said) = with(
        "n (1/min),P_Rad (kW),P_Schlepp (kW),P_Motor (kW),M_Motor (Nm)",
        &several,
    );
    assert_eq!(said, "");
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!words.contains("none of the columns of power"), "{out}");
    // Torque of the engine is held against power of the engine, not against that of the wheels.
    let unlike = |rpm: f64, t: f64| {
        let power = power(rpm, t);
        format!("{rpm},{:.3},3.0,{:.3},{t:.2}", power - 3.0, 1.1 * power)
    };
    files(&bench, |torque, off| {
        let rows = rows(torque, |rpm, torque| unlike(rpm, off * torque));
        format!("n (1/min),P_Rad (kW),P_Schlepp (kW),P_Motor (kW),M_Motor (Nm)\n{rows}")
    });
    let said = bench.fault(&day);
    assert!(
        said.contains("torque times speed is -9.1 % off power"),
        "{said}"
    );
    let letter = |rpm: f64, t: f64| format!("{rpm},{t:.2},{:.3}", power(rpm, t) / 0.735_499);
    assert_eq!(with("U/min,Md (Nm),N (PS)", &letter).1, "");
}

#[test]
fn what_a_heading_means_is_told() {
    let bench = Bench::new();
    let day = format!("{STEPS}{WEATHER}{TWO}");
    // Engine speed in thousands is no road speed.
    files(&bench, |torque, off| {
        let cells = |rpm: f64, torque: f64| format!("{:.3},{:.1}", rpm / 1000.0, off * torque);
        "Speed (rpm x1000),Torque (Nm)\n".to_owned() + &rows(torque, cells)
    });
    let said = bench.fault(&day);
    assert!(said.contains("engine speed in thousands?"), "{said}");
    assert!(!said.contains("road speed"), "{said}");
    // Torque as read beside power that is corrected.
    files(&bench, |torque, off| {
        let cells = |rpm: f64, torque: f64| {
            let torque = off * torque;
            format!(
                "{rpm},{torque:.2},{:.3},1.040",
                1.04 * torque * rpm / 9549.3
            )
        };
        "RPM,Torque (Nm),Corrected Power (kW),CF\n".to_owned() + &rows(torque, cells)
    });
    let said = bench.fault(&format!("{STEPS}{TWO}"));
    assert!(
        said.contains(": power is corrected and torque is not"),
        "{said}"
    );
    assert!(said.contains("keep one of the two columns"), "{said}");
}

/// The same question of every file is asked once.
#[test]
fn what_holds_for_all_files_is_said_once() {
    let bench = Bench::new();
    files(&bench, |torque, off| {
        let cells = |rpm: f64, torque: f64| {
            let torque = off * torque;
            format!(
                "{rpm},{torque:.2}\n{rpm},{:.2}\n{rpm},{torque:.2}",
                torque + 0.2
            )
        };
        "RPM,Torque (Nm)\n".to_owned() + &rows(torque, cells)
    });
    let day =
        format!("{STEPS}{WEATHER}{TWO}").replace("method: steps", "method: sweep, rate: 300 rpm/s");
    let (_, said) = bench.shows(&day);
    assert_eq!(said.matches("a step test?").count(), 1, "{said}");
    assert!(said.contains("and so in 3 files more"), "{said}");
}
