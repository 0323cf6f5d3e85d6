//! Sheets and logs as they are handed over in a hurry: remarks below the figures, cells that a spreadsheet could
//! not show, headings that are a unit and a word, revs that are counted twice.

use super::doubts::{circuit, csv, lap};
use super::drawn::{At, ring, road};
use super::loggers::told;
use super::sheets::{files, rows};
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;

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
    // A sum is a row that cannot be read.
    files(&bench, |torque, off| {
        sheet("rpm,torque (Nm)", torque, off) + "Max,205.2\n"
    });
    assert!(bench.fault(&day()).contains("`Max` is not a number"));
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

/// Five laps of some 42 s, 1,000 m each, with their numbers and engine speed in the upper three of four gears,
/// so many times what a tyre of some 0.29 m and 38/9 make of it.
fn session(times: f64) -> String {
    let mut out = String::from("time (s),lap,km/h,lat_g,engine_rpm\n");
    for (t, v, a) in lap(5.0) {
        let lap = (t / 42.0) as u32;
        let gear = match v {
            slow if slow < 62.0 => 1.94,
            middling if middling < 80.0 => 1.36,
            _ => 1.0,
        };
        out += &format!(
            "{t:.2},{lap},{v:.2},{a:.3},{:.0}\n",
            times * 38.6 * gear * v
        );
    }
    out
}

#[test]
fn a_unit_tells_speed_and_acceleration_across_the_road() {
    let told = told(&circuit(&session(1.0)));
    let plain = super::doubts::listed(&circuit(&session(1.0)));
    assert!(!told.contains("no column of speed"), "{told}");
    assert!(
        plain.contains("acceleration across the road is positive to the left"),
        "{plain}"
    );
    let bare = circuit(&csv(&lap(1.0)));
    assert!(super::doubts::listed(&bare).contains("acceleration across the road"));
}

#[test]
fn what_a_log_does_not_say_is_told_of_the_lap_that_is_taken_alone() {
    let log = session(1.0);
    let hollow = |lap: &str| {
        let mut row = 0;
        let mut out = String::new();
        for line in log.lines() {
            let mut cells: Vec<&str> = line.split(',').collect();
            row = if cells[1] == lap { row + 1 } else { 0 };
            if (100..125).contains(&row) {
                cells[2] = "0";
            }
            out += &(cells.join(",") + "\n");
        }
        circuit(&out)
    };
    let of_lap = |world: World, lap: u32| {
        told(&world.edit(
            "track.yaml",
            "log: run.csv",
            &format!("log: {{file: run.csv, lap: {lap}}}"),
        ))
    };
    assert!(of_lap(hollow("2"), 2).contains("the speed is lost"));
    assert!(of_lap(hollow("2"), 2).contains("where another lap is whole take that"));
    assert!(!of_lap(hollow("2"), 3).contains("the speed is lost"));
}

#[test]
fn revs_of_a_log_that_are_counted_twice_are_asked_about() {
    let driven = |times: f64| super::roads::warned(&circuit(&session(times)));
    let said = driven(2.0);
    assert!(
        said.contains("the engine speeds of the log are twice what the gears of Minnow make at its road speeds"),
        "{said}"
    );
    assert!(!driven(1.0).contains("engine speeds of the log"));
}

/// The engine turns by the gears for all of the time, and the bands sum to it.
#[test]
fn seconds_per_band_of_a_log_are_told_as_it_was_recorded() {
    let world = circuit(&session(1.0));
    let shown = super::roads::shown(&world);
    let bands = shown["engine_speed"].as_array().unwrap();
    let sum: f64 = bands
        .iter()
        .map(|band| band["time_s"].as_f64().unwrap())
        .sum();
    assert!((sum - 42.0).abs() < 0.5, "{sum}");
    let most = bands.last().unwrap()["from_rpm"].as_f64().unwrap();
    // 62 km/h in second are 4,643 rpm.
    assert_eq!(most, 4500.0);
    let out = super::doubts::listed(&world);
    assert!(out.contains("Engine speed as logged: "), "{out}");
    assert!(out.contains(" s above 4,500."), "{out}");
    let bare = circuit(&csv(&lap(1.0)));
    assert!(!super::doubts::listed(&bare).contains("Engine speed as logged"));
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
fn speeds_that_differ_are_asked_about() {
    let with = |times: f64| {
        let mut out = String::from("time (s),speed (km/h),lateral (g),antenna speed (m/s)\n");
        for (t, v, a) in lap(1.0) {
            out += &format!("{t:.2},{v:.2},{a:.3},{:.3}\n", times * v / 3.6);
        }
        told(&circuit(&out))
    };
    assert!(!with(1.0).contains("over the ground"));
    let said = with(0.94);
    assert!(
        said.contains("`speed` is read, and `antenna speed` beside it is 6.0 % lower in the mean: which is that over"),
        "{said}"
    );
}

#[test]
fn positions_that_were_rounded_are_refused_for_that() {
    let with = |decimals: usize| {
        let rows = road().into_iter().map(|at| {
            let (lat, lon) = at.degrees();
            format!("{lat:.decimals$},{lon:.decimals$}\n")
        });
        super::roads::along(
            "road.csv",
            &("lat,lon\n".to_owned() + &rows.collect::<String>()),
        )
    };
    let said = with(3).faults();
    assert!(said.contains("road.csv:1:1: error: `lat` has three decimals at most, so its positions lie 111 m apart"), "{said}");
    assert!(!told(&with(6)).contains("decimals"));
}

/// A lap that leaves out a corner is quicker, and not the fastest.
#[test]
fn a_lap_that_was_cut_short_is_not_taken_for_the_fastest() {
    let ring = ring();
    let short: Vec<At> = ring
        .iter()
        .filter(|at| !(150.0..650.0).contains(&at.s))
        .copied()
        .collect();
    let mut rows = String::from("time (s),lat,lon,speed (km/h)\n");
    let mut t = 0.0;
    for lap in [&ring, &short, &ring, &ring, &ring] {
        for (at, next) in lap.iter().zip(lap.iter().cycle().skip(1)) {
            let (lat, lon) = at.degrees();
            rows += &format!("{t:.3},{lat:.7},{lon:.7},54\n");
            t += f64::hypot(next.x - at.x, next.y - at.y) / 15.0;
        }
    }
    let world = circuit(&rows).edit(
        "track.yaml",
        "log: run.csv",
        "log: {file: run.csv, lap: fastest}",
    );
    super::roads::near(super::roads::length(&world), 1200.0, 0.02);
    let out = super::doubts::listed(&world);
    assert!(
        out.contains("the fastest of those that are whole, of "),
        "{out}"
    );
    assert!(out.contains(" s over 1"), "{out}");
    let asked = world.edit("track.yaml", "lap: fastest", "lap: 2");
    let said = told(&asked);
    assert!(
        said.contains("is it whole, and by the road that counts?")
            || super::roads::length(&asked) > 1180.0,
        "{said}"
    );
}
