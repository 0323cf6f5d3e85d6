//! What stands in the folders that a workshop is sent: means among pulls, another zero, another day, lean runs, a
//! limiter, runs side by side.

use std::fmt::Write;

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::{json, pullrank};

pub const SWEEP: &str = "dyno: {measures: flywheel}\n";

/// A pull as a logger writes it: rows every 50 rpm, torque so many times and so much more, with what else each row has.
pub fn log(
    of: &[f64; 11],
    times: f64,
    more: f64,
    heading: &str,
    row: impl Fn(usize, f64, f64) -> String,
) -> String {
    let mut out = format!("{heading}\n");
    let (first, last) = (RPM[0], RPM[10]);
    let steps = ((last - first) / 50.0) as usize;
    for i in 0..=steps {
        let rpm = first + 50.0 * i as f64;
        let at = RPM.iter().rposition(|n| *n <= rpm).unwrap().min(9);
        let share = (rpm - RPM[at]) / (RPM[at + 1] - RPM[at]);
        let torque = times * (of[at] + share * (of[at + 1] - of[at])) + more;
        let _ = writeln!(out, "{}", row(i, rpm, torque));
    }
    out
}

pub fn plain(of: &[f64; 11], times: f64, more: f64) -> String {
    log(of, times, more, "rpm,torque (Nm)", |_, n, t| {
        format!("{n:.0},{t:.2}")
    })
}

/// A bench with two logged pulls of each spec.
pub fn logged() -> Bench {
    let bench = Bench::new();
    for (spec, of) in [("long", LONG), ("short", SHORT)] {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            bench.file(&format!("{spec}/{spec}-{k}.csv"), plain(&of, off, 0.0));
        }
    }
    bench
}

pub fn day(dyno: &str, specs: &str) -> String {
    format!("{dyno}correct_to: DIN 70020\n{WEATHER}{specs}")
}

#[test]
fn a_zero_that_moved_is_asked_about_and_taken_off() {
    let bench = logged();
    let idling = |zero: f64, of: &[f64; 11], times: f64| {
        let rows = plain(of, times, zero);
        let (heading, rows) = rows.split_once('\n').unwrap();
        let mut out = format!("{heading}\n");
        for i in 0..8 {
            let _ = writeln!(
                out,
                "{},{:.1}",
                940 + 3 * (i % 4),
                zero + 0.1 * f64::from(i % 3)
            );
        }
        out + rows
    };
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        bench.file(&format!("short/short-{k}.csv"), idling(9.0, &SHORT, off));
        bench.file(&format!("long/long-{k}.csv"), idling(0.2, &LONG, off));
    }
    let (out, said) = bench.shows(&day(SWEEP, TWO));
    assert!(
        said.contains("short reads 9.1 N·m while the engine idles, and long 0.3: has the zero of the load cell moved?"),
        "{said}"
    );
    assert!(
        said.contains("`zero: 9.1 Nm` beside the pulls of short"),
        "{said}"
    );
    assert!(!said.contains("spikes"), "{said}");
    assert!(
        out.starts_with("In question until the question on standard error is answered:"),
        "{out}"
    );
    // Power is made of the same reading.
    let with_power = |zero: f64, of: &[f64; 11], times: f64| {
        log(of, times, zero, "rpm,torque (Nm),power (kW)", |_, n, t| {
            format!("{n:.0},{t:.2},{:.3}", t * n / 9549.3)
        })
    };
    let both = Bench::new();
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        both.file(
            &format!("short/short-{k}.csv"),
            with_power(9.0, &SHORT, off),
        );
        both.file(&format!("long/long-{k}.csv"), with_power(0.0, &LONG, off));
    }
    let zero =
        "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: short, zero: 9 Nm}\n";
    assert_eq!(both.shows(&day(SWEEP, zero)).1, "");
    // With what it says the day is that of two sound zeros.
    let zeros = "specs:\n  - {name: long, pulls: long, zero: 0.3 Nm}\n  - {name: short, pulls: short, zero: 9.1 Nm}\n";
    let (mended, said) = bench.shows(&day(SWEEP, zeros));
    assert_eq!(said, "");
    let sound = logged().shows(&day(SWEEP, TWO)).0;
    let first = |out: &str| out.lines().next().unwrap().to_owned();
    assert_eq!(first(&mended), first(&sound));
    // A zero of both is no matter between them.
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        bench.file(&format!("long/long-{k}.csv"), idling(9.0, &LONG, off));
    }
    assert_eq!(bench.shows(&day(SWEEP, TWO)).1, "");
}

#[test]
fn a_mean_among_pulls_is_none_of_them() {
    let bench = Bench::new();
    for (k, off) in [(1, 0.997), (2, 1.001), (3, 1.002)] {
        bench.file(
            &format!("long/long-{k}.csv"),
            sheet("rpm,torque (Nm)", &LONG, off),
        );
    }
    bench.file("long/long-avg.csv", sheet("rpm,torque (Nm)", &LONG, 1.0));
    let (out, said) = bench.shows(&day(STEPS, TWO));
    assert!(
        said.contains("long-avg: the mean of the pulls beside it, so it is not counted"),
        "{said}"
    );
    assert!(
        out.contains("Set aside: long-avg (the mean of others)."),
        "{out}"
    );
    // One that is only called so may be of other pulls.
    bench.file(
        "short/short_AVG.csv",
        sheet("rpm,torque (Nm)", &SHORT, 1.004),
    );
    let said = bench.shows(&day(STEPS, TWO)).1;
    assert!(
        said.contains("short_AVG: a mean by its name, beside single pulls"),
        "{said}"
    );
    // Of four sound pulls one may lie near the middle, and has a wave of its own.
    let sound = Bench::new();
    for (k, off) in [(1, 0.998), (2, 1.0), (3, 1.001), (4, 0.9995)] {
        let wave = |(i, torque): (usize, &f64)| torque * (off + 0.0015 * ((k * i) as f64).sin());
        let torque: Vec<f64> = LONG.iter().enumerate().map(wave).collect();
        sound.file(
            &format!("long/long-{k}.csv"),
            sheet("rpm,torque (Nm)", &torque, 1.0),
        );
    }
    assert_eq!(sound.shows(&day(STEPS, TWO)).1, "");
}

#[test]
fn a_lean_run_at_full_load_is_asked_about() {
    let bench = Bench::new();
    let lambda = |top: f64| {
        move |i: usize, n: f64, t: f64| {
            let own = if i > 80 { top } else { 0.88 };
            format!("{n:.0},{t:.2},{own:.2}")
        }
    };
    let heading = "rpm,torque (Nm),lambda";
    let both = |top: f64| {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            bench.file(
                &format!("long/long-{k}.csv"),
                log(&LONG, off, 0.0, heading, lambda(0.9)),
            );
            bench.file(
                &format!("short/short-{k}.csv"),
                log(&SHORT, off, 0.0, heading, lambda(top)),
            );
        }
        bench.shows(&day(SWEEP, TWO))
    };
    let (_, said) = both(1.06);
    assert!(
        said.contains("short-1 (and 1 more): lambda up to 1.06 at full load, 0.90 at most in others: was the mixture set for it?"),
        "{said}"
    );
    assert_eq!(both(0.95).1, "");
    // A diesel is lean by nature.
    let diesel = "engine: {ignition: compression}\ncorrect_to: none\n";
    both(1.3);
    let said = bench.shows(&format!("{SWEEP}{diesel}{WEATHER}{TWO}")).1;
    assert!(!said.contains("lambda"), "{said}");
}

#[test]
fn sweeps_at_two_rates_are_told_by_time_in_any_tongue_or_by_a_rate_of_each_spec() {
    let bench = Bench::new();
    let timed = |rate: f64| {
        move |i: usize, n: f64, t: f64| format!("{:.3},{n:.0},{t:.2}", 50.0 * i as f64 / rate)
    };
    let by_name = |name: &str| {
        for (spec, of, rate) in [("long", LONG, 250.0), ("short", SHORT, 500.0)] {
            for (k, off) in [(1, 0.999), (2, 1.001)] {
                let heading = format!("{name},rpm,torque (Nm)");
                bench.file(
                    &format!("{spec}/{spec}-{k}.csv"),
                    log(&of, off, 0.0, &heading, timed(rate)),
                );
            }
        }
    };
    for name in ["aika (s)", "čas (s)", "Zeitachse (s)"] {
        by_name(name);
        let said = bench.shows(&day(SWEEP, TWO)).1;
        assert!(
            said.contains("(250 rpm/s) and") && said.contains("in short (500 rpm/s)"),
            "{name}: {said}"
        );
    }
    // A rate of each spec does as the time does.
    let inertia = "dyno: {measures: flywheel, engine_inertia: 0.18 kg m2}\n";
    let by_time = bench.shows(&day(inertia, TWO)).0;
    let untimed = logged();
    let rates = "specs:\n  - {name: long, pulls: long, rate: 250 rpm/s}\n  - {name: short, pulls: short, rate: 500 rpm/s}\n";
    let by_rate = untimed.shows(&day(inertia, rates)).0;
    let row = |out: &str, spec: &str| {
        let line = out
            .lines()
            .find(|line| line.starts_with(spec) && line.contains("kW") | line.contains(" rpm"));
        line.unwrap_or_else(|| panic!("{out}")).to_owned()
    };
    for spec in ["long ", "short "] {
        assert_eq!(row(&by_time, spec), row(&by_rate, spec));
    }
    // One for the day and another for a spec are both as said.
    let with_day = inertia.replace("engine_inertia", "rate: 250 rpm/s, engine_inertia");
    let one =
        "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: short, rate: 500 rpm/s}\n";
    let (out, said) = untimed.shows(&day(&with_day, one));
    assert_eq!(said, "");
    assert_eq!(row(&out, "short "), row(&by_rate, "short "));
    let missing = untimed.fault(&day(inertia, TWO));
    assert!(missing.contains("or to each spec its own"), "{missing}");
}

#[test]
fn pulls_of_two_days_compare_less_surely_and_a_spec_of_both_tells_the_days_apart() {
    let bench = Bench::new();
    let half = |specs: &str| {
        let output = bench.run(&day(STEPS, specs));
        assert!(output.status.success(), "{}", bench.said(&output));
        let json = json(pullrank().arg("pulls").arg(&bench.0).arg("--json"));
        json["comparisons"][0]["half_width_percent"]
            .as_f64()
            .unwrap()
    };
    let one = half(TWO);
    let two = "specs:\n  - {name: long, pulls: long, day: 2026-03-14}\n  - {name: short, pulls: short, day: 2026-05-09}\n";
    let apart = half(two);
    assert!(apart > 1.5 * one, "{one} {apart}");
    let (out, said) = bench.shows(&day(STEPS, two));
    assert_eq!(said, "");
    assert!(out.contains("2 days, 1.0 % from one to the other"), "{out}");
    // The base again on the second day brings most of that back.
    for k in 1..3 {
        bench.file(
            &format!("again/again-{k}.csv"),
            sheet("rpm,torque (Nm)", &LONG, 1.02 + 0.001 * f64::from(k)),
        );
    }
    let both = "specs:\n  - {name: long, fittings: [{pulls: long, day: March}, {pulls: again, day: May}]}\n  - {name: short, \
                pulls: short, day: May}\n";
    let joined = half(both);
    assert!(joined < 0.85 * apart, "{joined} {apart}");
    // One name for all is one day.
    let same = two.replace("2026-03-14", "2026-05-09");
    assert_eq!(half(&same), one);
}

#[test]
fn pressures_that_no_dyno_has_both_are_asked_about_whoever_corrected() {
    let bench = Bench::new();
    let specs = |later: &str| {
        format!(
            "specs:\n  - {{name: long, pulls: long, corrected: SAE J1349, weather: {{pressure: 952 hPa, temperature: 12 C, \
             humidity: 50 %}}}}\n  - {{name: short, pulls: short, weather: {{{later}, temperature: 30 C, humidity: 50 %}}}}\n"
        )
    };
    let day = |later: &str| format!("{STEPS}correct_to: SAE J1349\n{}", specs(later));
    let (out, said) = bench.shows(&day("pressure: 1016 hPa"));
    assert!(
        said.contains("1016 hPa, and 952 hPa for")
            && said.contains("write that as `sea_level_pressure`"),
        "{said}"
    );
    assert!(out.starts_with("In question"), "{out}");
    let said = bench
        .shows(&day("sea_level_pressure: 1016 hPa, elevation: 620 m"))
        .1;
    assert!(!said.contains("hPa for"), "{said}");
}

#[test]
fn a_gear_that_nothing_was_made_with_is_told() {
    let bench = Bench::new();
    let specs = "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: short, speed_per_1000_rpm: 22.9 km/h}\n";
    let said = bench.shows(&day(STEPS, specs)).1;
    assert!(
        said.contains("speed_per_1000_rpm is not used: these files have engine speed of their own"),
        "{said}"
    );
}

#[test]
fn a_limiter_that_ended_the_pulls_of_one_spec_is_named() {
    let bench = logged();
    let cut = |of: &[f64; 11], off: f64| {
        let mut out = String::from("rpm,torque (Nm)\n");
        for line in plain(of, off, 0.0).lines().skip(1) {
            let rpm: f64 = line.split(',').next().unwrap().parse().unwrap();
            if rpm <= 6850.0 {
                let _ = writeln!(out, "{line}");
            }
        }
        for (rpm, torque) in [
            (6910, 70.0),
            (6950, 118.0),
            (6900, 40.0),
            (6940, 105.0),
            (6890, 35.0),
            (6930, 98.0),
        ] {
            let _ = writeln!(out, "{rpm},{torque}");
        }
        out
    };
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        bench.file(&format!("short/short-{k}.csv"), cut(&SHORT, off));
    }
    let (out, _) = bench.shows(&day(SWEEP, TWO));
    let out = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(
        out.contains("Limiter: the pulls of short were cut at 6,920 rpm, others go on to 7,500 rpm: above 6,8"),
        "{out}"
    );
    let told = bench.json(&day(SWEEP, TWO));
    let [only] = &told["limiters"].as_array().unwrap()[..] else {
        panic!("{}", told["limiters"]);
    };
    assert_eq!(only["spec"], "short");
    assert!(only["last_rpm"].as_f64() < only["others_last_rpm"].as_f64());
    assert!(!logged().shows(&day(SWEEP, TWO)).0.contains("Limiter"));
}

#[test]
fn runs_side_by_side_start_a_study() {
    let bench = Bench::new();
    let mut wide = "rpm,Old pipe 1 (Nm),Old pipe 2 (Nm),New pipe 1 (Nm)\n".to_owned();
    for (i, rpm) in RPM.iter().enumerate() {
        let _ = writeln!(
            wide,
            "{rpm},{:.1},{:.1},{:.1}",
            LONG[i],
            1.003 * LONG[i],
            SHORT[i]
        );
    }
    bench.file("pipes.csv", &wide);
    let specs = "specs:\n  - {name: old, pulls: [{file: pipes.csv, pull: [Old pipe 1, Old pipe 2]}]}\n  - {name: new, pulls: \
                 [{file: pipes.csv, pull: New pipe 1}]}\n";
    let (out, said) = bench.shows(&day(STEPS, specs));
    assert_eq!(said, "");
    assert!(
        out.contains("\nold      1, 2") && out.contains("\nnew      1, 1"),
        "{out}"
    );
}

/// Of three pulls two knocked: the sound one stands out, and is not the one to look at.
#[test]
fn the_pull_that_did_not_knock_is_not_accused() {
    let bench = logged();
    let knocks = |k: usize, most: f64, times: f64| {
        let row = |i: usize, n: f64, t: f64| {
            let share = if i > 60 { most } else { 0.0 };
            format!("{n:.0},{:.2},{share}", t * (1.0 - 0.006 * share))
        };
        let heading = "rpm,torque (Nm),knock retard (deg)";
        bench.file(
            &format!("short/short-{k}.csv"),
            log(&SHORT, times, 0.0, heading, row),
        );
    };
    let told = |all: [f64; 3]| {
        for (k, most) in all.into_iter().enumerate() {
            knocks(k + 1, most, 0.999 + 0.001 * k as f64);
        }
        bench.shows(&day(SWEEP, TWO))
    };
    let (out, said) = told([0.0, 6.0, 6.0]);
    assert!(
        said.contains("short-2 (and 1 more): ignition is pulled back by up to 6°"),
        "{said}"
    );
    assert!(!out.contains("Look: short-1"), "{out}");
    // The one that knocked is looked at as before.
    let (out, _) = told([6.0, 0.0, 0.0]);
    assert!(out.contains("Look: short-1"), "{out}");
}
