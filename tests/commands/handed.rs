//! Sheets as they are handed over in a hurry: remarks below the figures, cells that a spreadsheet could not show,
//! headings that are a unit and a word, constants and scales that are others than written.

use super::sheets::{files, rows};
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};

fn day() -> String {
    format!("{STEPS}{WEATHER}{TWO}")
}

#[test]
fn remarks_below_the_figures_are_no_rows_and_may_say_what_figures_are_corrected_to() {
    let bench = Bench::new();
    files(&bench, |torque, off| sheet("rpm,torque (Nm)", torque, off));
    let (plain, _) = bench.shows(&day());
    for below in ["\nmax. power see table   -- end of sheet --\n", "\nMax,\n"] {
        files(&bench, |torque, off| {
            sheet("rpm,torque (Nm)", torque, off) + below
        });
        assert_eq!(
            bench.shows(&day()),
            (plain.clone(), String::new()),
            "{below}"
        );
    }
    files(&bench, |torque, off| {
        sheet("rpm,torque (Nm)", torque, off) + "corrected to DIN 70020\n"
    });
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("`corrected to DIN 70020`, and the day takes it as read"),
        "{said}"
    );
    // A sum is no row of the pull, a word that is not known a fault.
    files(&bench, |torque, off| {
        sheet("rpm,torque (Nm)", torque, off) + "Max,205.2\n"
    });
    let (out, _) = bench.shows(&day());
    let out: Vec<&str> = out.split_whitespace().collect();
    let out = out.join(" ");
    assert!(
        out.contains("1 row left out that sums up the others"),
        "{out}"
    );
    files(&bench, |torque, off| {
        sheet("rpm,torque (Nm)", torque, off) + "Target,205.2\n"
    });
    assert!(bench.fault(&day()).contains("`Target` is not a number"));
}

#[test]
fn rows_without_a_figure_are_left_out_and_that_is_said() {
    let bench = Bench::new();
    let with = |lost: &[f64]| {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| match lost.contains(&rpm) {
                true => format!("{rpm},####"),
                false => format!("{rpm},{:.1}", off * torque),
            };
            format!("rpm,torque (Nm)\n{}", rows(torque, cells))
        });
    };
    with(&[4000.0]);
    let (out, said) = bench.shows(&day());
    assert_eq!(said, "");
    let out: Vec<&str> = out.split_whitespace().collect();
    assert!(
        out.join(" ")
            .contains("1 row without a figure left out: line 5"),
        "{out:?}"
    );
    with(&[4000.0, 4500.0]);
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("warning: 2 rows without a figure left out: line 5, 6"),
        "{said}"
    );
    with(&[3000.0, 4000.0, 4500.0]);
    assert!(bench.fault(&day()).contains("`####` is not a number"));
}

#[test]
fn torque_of_the_wheels_by_engine_speed_is_of_the_wheels() {
    let bench = Bench::new();
    let rewrite = |spec: &str, heading: &str, torque: &[f64]| {
        for k in [1, 2] {
            let table = sheet(&format!("rpm;{heading}"), torque, 1.0).replace(',', ";");
            bench.file(&format!("{spec}/{spec}-{k}.csv"), table);
        }
    };
    rewrite("long", "Nm at flywheel", &LONG);
    rewrite("short", "Nm (wheels, per engine rev)", &SHORT);
    for measures in ["wheels", "flywheel"] {
        let (_, said) = bench.shows(&day().replace("flywheel", measures));
        assert!(
            said.contains("measured at different places, which do not compare"),
            "{measures}: {said}"
        );
    }
}

#[test]
fn headings_that_are_a_unit_and_a_word_are_read() {
    let bench = Bench::new();
    files(&bench, |torque, off| sheet("rpm,torque (Nm)", torque, off));
    let plain = bench.shows(&day()).0;
    for heading in [
        "Nm flywheel",
        "Nm (at the flywheel)",
        "Nm uncorrected",
        "M [Nm]",
        "Nm engine, raw",
    ] {
        files(&bench, |torque, off| {
            sheet(&format!("rpm;{heading}"), torque, off).replace(',', ";")
        });
        let (out, said) = bench.shows(&day());
        assert_eq!((out, said.as_str()), (plain.clone(), ""), "{heading}");
    }
    files(&bench, |torque, off| sheet("rpm,Nm wheels", torque, off));
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("and the day takes it for measured at the flywheel"),
        "{said}"
    );
    files(&bench, |torque, off| sheet("rpm,Nm corr", torque, off));
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("`Nm corr`, and the day takes it as read"),
        "{said}"
    );
    // Blanks part the cells; what stands in brackets is about all of them.
    files(&bench, |torque, off| {
        let cells = |rpm: f64, torque: f64| format!("{rpm}  {:.2}", off * torque);
        format!("rpm   Nm   (flywheel, 1012 mb)\n{}", rows(torque, cells))
    });
    assert_eq!(bench.shows(&day()), (plain, String::new()));
}

#[test]
fn raw_figures_beside_corrected_ones_are_told_from_them_by_the_factor() {
    let bench = Bench::new();
    let with = |line: &str| {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| {
                let torque = off * torque;
                format!("{rpm};{:.1};{torque:.1};1.038", 1.038 * torque)
            };
            format!(
                "{line}n [1/min];M_korr [Nm];M_gem [Nm];Faktor\n{}",
                rows(torque, cells)
            )
        });
    };
    files(&bench, |torque, off| sheet("rpm,torque (Nm)", torque, off));
    let read = |out: &str| {
        out.lines()
            .find(|line| line.starts_with("long "))
            .unwrap()
            .to_owned()
    };
    let plain = read(&bench.shows(&day()).0);
    with("# DIN 70020 factor 1.038\n");
    let (out, said) = bench.shows(&day());
    assert_eq!((read(&out), said.as_str()), (plain, ""));
    let corrected = day().replace("specs:", "corrected: DIN 70020\nspecs:");
    let (out, said) = bench.shows(&corrected);
    assert!(
        out.contains("211.") || read(&out) != read(&bench.shows(&day()).0),
        "{out}"
    );
    assert_eq!(said, "");
}

#[test]
fn rollers_that_were_spun_up_say_nothing_of_power() {
    let bench = Bench::new();
    files(&bench, |torque, _| {
        let cells = |rpm: f64, _: f64| format!("{},{}", rpm / 500.0, rpm / 6.0);
        format!("time s,roller rpm\n{}", rows(torque, cells))
    });
    let said = bench.fault(&day());
    assert!(
        said.contains("`roller` over time alone says nothing of power: that wants the inertia of what was spun up"),
        "{said}"
    );
    assert!(!said.contains("call the column of engine speed"), "{said}");
}

#[test]
fn a_column_that_counts_on_numbers_the_pulls_whatever_its_name() {
    let bench = Bench::new();
    let mut day = String::from("Tirada;régimen (rpm);Par (Nm);gear\n");
    for tirada in 3..6 {
        let of = if tirada == 4 { &SHORT } else { &LONG };
        for (row, (rpm, torque)) in RPM.iter().zip(of).enumerate() {
            // The second was cut short, and the gear counts on as well.
            if tirada == 4 && row == 6 {
                day += &format!("4;{rpm};0;4\n");
            } else if tirada != 4 || row < 6 {
                day += &format!("{tirada};{rpm};{torque};{tirada}\n");
            }
        }
    }
    bench.file("day.csv", day);
    let two = "specs:\n  - {name: long, pulls: {file: day.csv, pull: [3, 5]}}\n  - {name: short, pulls: {file: day.csv, \
               pull: 4}}\n";
    let (out, said) = bench.shows(&format!("{STEPS}{WEATHER}{two}"));
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("`Tirada` numbers the pulls"), "{out}");
    assert!(
        out.contains("1 row without torque at the ends of pulls left out"),
        "{out}"
    );
    assert!(!said.contains("one after another"), "{said}");
    // Gears count on too, and begin further and further up.
    bench.file(
        "day.csv",
        "gear;rpm;torque (Nm)\n".to_owned() + &through_the_gears(),
    );
    let fault = bench.fault(&format!("{STEPS}{WEATHER}{two}"));
    assert!(!fault.contains("numbers the pulls"), "{fault}");
}

fn through_the_gears() -> String {
    let row = |(i, rpm): (usize, f64)| format!("{};{rpm};150\n", 2 + i / 6);
    let speeds = (0..18).map(|i| 2500.0 + 500.0 * f64::from(i % 6) + 300.0 * f64::from(i / 6));
    speeds.enumerate().map(row).collect()
}

#[test]
fn a_brake_that_was_read_with_another_constant_is_asked_about() {
    let bench = Bench::new();
    let day = day().replace(
        "method: steps}",
        "method: steps, brake: {constant: 4500, power: bhp}}",
    );
    let with = |constant: f64, slip: f64| {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| {
                let bhp = off * torque * rpm / 9_549.3 / 0.745_7;
                let slip = if rpm == 4000.0 { slip } else { 1.0 };
                format!("{rpm},{:.2},{:.2}", slip * bhp * constant / rpm, bhp)
            };
            format!("rpm,load,power (bhp)\n{}", rows(torque, cells))
        });
        bench.shows(&day).1
    };
    assert_eq!(with(4500.0, 1.0), "");
    let said = with(4000.0, 1.0);
    assert!(
        said.contains("power is 1.125 times what the reading gives with the constant 4500: was it worked out with 4000?"),
        "{said}"
    );
    let said = with(4500.0, 1.06);
    assert!(
        said.contains("reading and power disagree by +6.0 % in row 4"),
        "{said}"
    );
}

#[test]
fn decanewtons_under_a_heading_of_kilograms_are_told_by_power() {
    let bench = Bench::new();
    let with = |heading: &str| {
        files(&bench, |torque, off| {
            let cells = |rpm: f64, torque: f64| {
                let torque = off * torque;
                format!("{rpm},{:.3},{:.3}", torque / 10.0, torque * rpm / 9_549.3)
            };
            format!("giri,{heading},power (kW)\n{}", rows(torque, cells))
        });
        bench.shows(&day()).1
    };
    assert_eq!(with("torque (daNm)"), "");
    let said = with("torque (kgm)");
    assert!(
        said.contains("torque is 0.981 times what power and speed give: daN·m headed as kgf·m"),
        "{said}"
    );
}

#[test]
fn pressure_of_a_mercury_glass_and_degrees_of_another_scale_are_asked_about() {
    let bench = Bench::new();
    let with = |weather: &str| format!("{STEPS}weather: {{{weather}}}\n{TWO}");
    let (_, said) = bench.shows(&with("pressure: 757 hPa, temperature: 18 C"));
    assert!(
        said.contains("pressure: 757 hPa is the air more than 2,000 m up: is it mmHg?"),
        "{said}"
    );
    assert!(said.contains("write `757 mmHg`"), "{said}");
    for sound in ["757 mmHg", "757 hPa, elevation: 2400 m", "870 hPa"] {
        let (_, said) = bench.shows(&with(&format!("pressure: {sound}, temperature: 18 C")));
        assert!(!said.contains("mmHg"), "{sound}: {said}");
    }
    let said = bench.fault(&with("pressure: 1009 hPa, temperature: 64 C"));
    assert!(said.contains("did you mean `64 F`?"), "{said}");
}

#[test]
fn losses_that_differ_between_specs_are_asked_about() {
    let bench = Bench::new();
    let with = |spec: &str, torque: &[f64], times: f64| {
        let cells = |rpm: f64, torque: f64| {
            let power = torque * rpm / 9_549.3;
            let loss = times * 14.0 * (rpm / 7000.0).powf(1.5);
            format!("{rpm};{:.2};{loss:.2};{:.2}", power - loss, power)
        };
        for k in [1, 2] {
            let text = rows(torque, cells);
            bench.file(
                &format!("{spec}/{spec}-{k}.csv"),
                format!("rpm;moc na kolach [kW];moc strat [kW];power [kW]\n{text}"),
            );
        }
    };
    let day = day().replace("flywheel", "flywheel estimated");
    with("long", &LONG, 1.05);
    with("short", &SHORT, 1.0);
    assert!(!bench.shows(&day).1.contains("losses of"));
    with("long", &LONG, 1.4);
    let (_, said) = bench.shows(&day);
    assert!(
        said.contains("kW in the mean were added for long, and"),
        "{said}"
    );
    assert!(
        said.contains("did the car roll as freely both times?"),
        "{said}"
    );
}

#[test]
fn ignition_that_was_pulled_back_is_asked_about() {
    let bench = Bench::new();
    let with = |back: f64| {
        let cells = |rpm: f64, torque: f64| {
            let retard = if rpm > 5000.0 { back } else { 0.0 };
            format!("{rpm},{torque},{retard:.1}")
        };
        let text = format!("rpm,torque (Nm),knock retard (deg)\n{}", rows(&LONG, cells));
        bench.file("long/long-2.csv", text);
        bench.shows(&day()).1
    };
    assert_eq!(with(1.0), "");
    let said = with(6.0);
    assert!(
        said.contains("long-2: ignition is pulled back by up to 6° against knock"),
        "{said}"
    );
}

#[test]
fn figures_that_were_smoothed_unlike_are_asked_about() {
    let bench = Bench::new();
    let smoothed = |spec: &str, torque: &[f64], by: u32| {
        for k in [1, 2] {
            let table = sheet("rpm,torque (Nm)", torque, 1.0 + 0.001 * f64::from(k));
            bench.file(
                &format!("{spec}/{spec}-{k}.csv"),
                format!("# smoothing: {by}\n{table}"),
            );
        }
    };
    smoothed("long", &LONG, 5);
    smoothed("short", &SHORT, 5);
    assert_eq!(bench.shows(&day()).1, "");
    smoothed("long", &LONG, 0);
    let (_, said) = bench.shows(&day());
    assert!(
        said.contains("short-1 (and 1 more): smoothing 5, and 0 in long-1"),
        "{said}"
    );
}

#[test]
fn load_that_comes_up_where_a_pull_begins_is_asked_about() {
    let bench = Bench::new();
    let with = |lost: f64| {
        let row = |i: i32| {
            let rpm = 2500.0 + 50.0 * f64::from(i);
            let torque = 150.0 + 0.004 * (rpm - 2500.0);
            let coming = 1.0 - lost * (-(rpm - 2500.0) / 70.0_f64).exp();
            format!("{rpm},{:.1}\n", torque * coming)
        };
        let text: String = (0..80).map(row).collect();
        bench.file("long/long-1.csv", format!("rpm,torque (Nm)\n{text}"));
        bench.shows(&day()).1
    };
    let asked = "within 150 rpm of 2500 rpm and hardly any more: was the load still coming up?";
    assert!(with(0.35).contains(asked), "{}", with(0.35));
    assert!(!with(0.05).contains(asked));
}

#[test]
fn a_pattern_within_braces_is_told_to_want_quotes() {
    let bench = Bench::new();
    let said = bench.fault("specs: [{name: long, pulls: long/long-[12].csv}]\n");
    assert!(
        said.contains("a pattern with brackets is no text within braces"),
        "{said}"
    );
}
