//! Sheets and logs as they are handed over in a hurry: remarks below the figures, cells that a spreadsheet could
//! not show, headings that are a unit and a word, revs that are counted twice.

use super::doubts::{circuit, csv, lap};
use super::loggers::told;
use super::sheets::{files, rows};
use super::testdays::{Bench, STEPS, TWO, WEATHER, sheet};
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
