//! Days whose specs were not pulled alike: engine speed counted twice, another gear, other air, cold oil, slip, a
//! misfire, another place; and what is said of that beside the answer.

use std::fmt::Write;

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};

const ROLLS: &str = "dyno: {measures: wheels, method: steps, speed_per_1000_rpm: 26.1 km/h}\n";

fn day(dyno: &str, specs: &str) -> String {
    format!("{dyno}correct_to: DIN 70020\n{WEATHER}{specs}")
}

/// A sheet with engine speed, torque and the rest of each row changed.
fn rows(heading: &str, of: &[f64], row: impl Fn(f64, f64) -> String) -> String {
    let mut out = format!("{heading}\n");
    for (rpm, torque) in RPM.iter().zip(of) {
        let _ = writeln!(out, "{}", row(*rpm, *torque));
    }
    out
}

/// A spec whose two pulls have engine speed and torque so many times.
fn counted(bench: &Bench, spec: &str, of: &[f64], speed: f64, torque: f64) {
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        let text = rows("rpm,torque (Nm)", of, |n, t| {
            format!("{:.0},{:.2}", speed * n, torque * off * t)
        });
        bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
    }
}

#[test]
fn engine_speed_that_is_counted_twice_is_asked_about() {
    let asked = |spec: &str, speed: f64, torque: f64| {
        let bench = Bench::new();
        let of = if spec == "long" { LONG } else { SHORT };
        counted(&bench, spec, &of, speed, torque);
        bench.shows(&day(STEPS, TWO)).1
    };
    let double = asked("short", 2.0, 0.5);
    for wanted in [
        "short-1.csv:1:5: warning: short-1 of short (and 1 more): engine speed is twice that of long-1 of long (up to 15000 and 7500 rpm), \
         and power is the same within ",
        "are its revs counted twice?",
        "if so halve engine speed in these files and double its torque",
    ] {
        assert!(double.contains(wanted), "no `{wanted}` in\n{double}");
    }
    for other in [
        "through the gears",
        "another unit",
        "was it aborted",
        "another gear",
    ] {
        assert!(!double.contains(other), "{other}: {double}");
    }
    // A brake measures torque by itself.
    let braked = asked("short", 2.0, 1.0);
    assert!(
        braked.contains("and torque is the same within "),
        "{braked}"
    );
    assert!(braked.contains("leave its torque as it is"), "{braked}");
    // Of as many either may be wrong.
    let half = asked("long", 0.5, 2.0);
    assert!(
        half.contains(
            "short-1 of short (and 1 more): engine speed is twice that of long-1 of long"
        ),
        "{half}"
    );
    assert!(
        half.contains("if it is long-1 of long that is wrong, the other way round"),
        "{half}"
    );
    for (speed, torque) in [(1.0, 1.0), (1.1, 0.95)] {
        let said = asked("short", speed, torque);
        assert!(!said.contains("revs counted"), "{said}");
    }
}

#[test]
fn one_pull_whose_engine_speed_is_counted_otherwise_is_asked_about() {
    let bench = Bench::new();
    let half = rows("rpm,torque (Nm)", &LONG, |n, t| {
        format!("{:.0},{:.2}", 0.5 * n, 2.0 * t)
    });
    bench.file("long/long-3.csv", half);
    let said = bench.shows(&day(STEPS, TWO)).1;
    let wanted =
        "long-3.csv:1:5: warning: long-3 of long: engine speed is half that of long-1 of long";
    assert!(said.contains(wanted), "{said}");
    assert!(said.contains("are its revs counted by half?"), "{said}");
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
}

/// Road speed and power at the wheels in a gear so many times longer, at most up to an engine speed.
fn geared(heading: &str, of: &[f64], longer: f64, times: f64) -> String {
    rows(heading, of, |rpm, torque| {
        let power = times * torque * rpm * std::f64::consts::PI / 30.0 / 1e3;
        format!("{:.2},{power:.2}", longer * rpm * 26.1 / 1e3)
    })
}

/// Two specs by road speed, the second in a gear so many times longer.
fn rolled(heading: &str, longer: f64) -> Bench {
    let bench = Bench::new();
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        let own = "Speed (km/h),Wheel power (kW)";
        bench.file(&format!("long/long-{k}.csv"), geared(own, &LONG, 1.0, off));
        bench.file(
            &format!("short/short-{k}.csv"),
            geared(heading, &SHORT, longer, off),
        );
    }
    bench
}

const GEARED: &str = "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: short, speed_per_1000_rpm: 17.4 km/h}\n";

#[test]
fn a_spec_in_another_gear_is_asked_about_whatever_its_unit() {
    for (heading, times) in [("Wheel power (kW)", "1.50"), ("Wheel power (PS)", "1.10")] {
        let bench = rolled(&format!("Speed (km/h),{heading}"), 1.0 / 1.5);
        let (out, said) = bench.shows(&day(ROLLS, TWO));
        let wanted = "short goes from 1667 to 5000 rpm and long from 2500 to 7500, made of road speed, with ";
        assert!(said.contains(wanted), "{times}: {said}");
        assert!(said.contains("another gear?"), "{said}");
        assert!(
            said.contains("`speed_per_1000_rpm`; look at units only after that"),
            "{said}"
        );
        for other in ["not kW", "bhp", "another unit", "counted"] {
            assert!(!said.contains(other), "{other}: {said}");
        }
        assert!(
            out.starts_with("In question until the question on standard error is answered: "),
            "{out}"
        );
    }
    // At one road speed a slip of unit is one.
    let bench = rolled("Speed (km/h),Wheel power (PS)", 1.0);
    let said = bench.shows(&day(ROLLS, TWO)).1;
    assert!(said.contains("are its figures in kW, not PS?"), "{said}");
    assert_eq!(
        rolled("Speed (km/h),Wheel power (kW)", 1.0)
            .shows(&day(ROLLS, TWO))
            .1,
        ""
    );
    // A spec that revs further is no other gear.
    assert_eq!(
        rolled("Speed (km/h),Wheel power (kW)", 1.04)
            .shows(&day(ROLLS, TWO))
            .1,
        ""
    );
}

#[test]
fn a_spec_and_a_fitting_have_a_gear_of_their_own() {
    let known = rolled("Speed (km/h),Wheel power (kW)", 1.0)
        .shows(&day(ROLLS, TWO))
        .0;
    let gains = |out: &str| -> Vec<String> {
        let rows = out
            .lines()
            .filter(|line| line.starts_with("short    ") && !line.contains("1, 2"));
        rows.map(str::to_owned).collect()
    };
    let bench = rolled("Speed (km/h),Wheel power (kW)", 1.0 / 1.5);
    let fitting = GEARED
        .replace("pulls: short, speed", "fittings: {pulls: short, speed")
        .replace("h}\n", "h}}\n");
    for specs in [GEARED, &fitting] {
        let (out, said) = bench.shows(&day(ROLLS, specs));
        assert_eq!(said, "");
        assert_eq!(gains(&out), gains(&known), "{out}");
        assert_eq!(gains(&out).len(), 1, "{out}");
        assert!(
            out.replace("\n  ", " ")
                .contains("in each gear that was pulled in (1,000 rpm are 17.4 and 26.1 km/h)"),
            "{out}"
        );
    }
    let alone = day("dyno: {measures: wheels, method: steps}\n", GEARED);
    let said = bench.fault(&alone);
    assert!(
        said.contains("long-1.csv:1: error: this file has road speed")
            || said.contains("road speed and no engine speed"),
        "{said}"
    );
    assert!(!said.contains("short-1.csv"), "{said}");
    let wrong = bench.fault(&day(ROLLS, &GEARED.replace("17.4 km/h", "17.4")));
    assert!(wrong.contains("`17.4` has no unit"), "{wrong}");
}

/// A spec whose two pulls have one more column with these values.
fn logged(bench: &Bench, spec: &str, of: &[f64], heading: &str, values: [f64; 2]) {
    for (k, value) in [(1, values[0]), (2, values[1])] {
        let off = 1.0 + 0.001 * f64::from(k);
        let text = rows(&format!("rpm,torque (Nm),{heading}"), of, |n, t| {
            format!("{n:.0},{:.2},{value}", off * t)
        });
        bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
    }
}

#[test]
fn air_that_drifts_between_specs_is_asked_about() {
    let said = |heading: &str, long: [f64; 2], short: [f64; 2], rest: &str| {
        let bench = Bench::new();
        logged(&bench, "long", &LONG, heading, long);
        logged(&bench, "short", &SHORT, heading, short);
        bench.shows(rest).1
    };
    let plain = day(STEPS, TWO);
    let drifts = said("intake_C", [20.0, 22.0], [32.0, 34.0], &plain);
    // 12 K of 294 are 2.0 % of the root.
    let wanted = "warning: short: 33 °C at the intake in the mean, 21 °C with long, and 18 °C in the weather of both: if \
                  that is the air the engine breathed it makes 2.0 % of torque between them";
    assert!(drifts.contains(wanted), "{drifts}");
    assert!(
        drifts.contains("`{file: short/short-2.csv, temperature: 34 C}`"),
        "{drifts}"
    );
    assert_eq!(drifts.matches("warning: ").count(), 1, "{drifts}");
    let cell = said("cell °C", [20.0, 22.0], [32.0, 34.0], &plain);
    assert!(
        cell.contains("short: 33 °C in the cell in the mean"),
        "{cell}"
    );
    let away = said("T_intake (°C)", [27.0, 27.0], [28.0, 28.0], &plain);
    let wanted = "long-1 (and 3 more): 27 °C at the intake, 18 °C in the weather, 1.5 % of torque: which of them is the \
                  air the engine breathed?";
    assert!(away.contains(wanted), "{away}");
    // Within what pulls and fittings scatter.
    assert_eq!(said("intake_C", [19.0, 20.0], [23.0, 24.0], &plain), "");
    // Nearer to the engine counts.
    assert_eq!(
        said("intake_C,cell_C", [18.0, 18.0], [18.0, 18.0], &plain),
        ""
    );
    let without = day(STEPS, TWO)
        .replace(WEATHER, "corrected: none\n")
        .replace("DIN 70020", "none");
    let no_weather = said("intake_C", [20.0, 22.0], [32.0, 34.0], &without);
    assert!(
        no_weather.contains("33 °C at the intake in the mean, 21 °C with long: if"),
        "{no_weather}"
    );
    let by_dyno = day(STEPS, TWO).replace("weather", "corrected: DIN 70020\nweather");
    assert_eq!(said("intake_C", [20.0, 22.0], [32.0, 34.0], &by_dyno), "");
    let own = "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: [{file: short/short-1.csv, temperature: 30 C}, \
               {file: short/short-2.csv, temperature: 32 C}]}\n";
    assert_eq!(
        said("intake_C", [19.0, 20.0], [32.0, 34.0], &day(STEPS, own)),
        ""
    );
}

#[test]
fn a_pull_on_cold_oil_is_asked_about() {
    let bench = Bench::new();
    logged(&bench, "long", &LONG, "oil C", [62.0, 87.0]);
    logged(&bench, "short", &SHORT, "oil C", [86.0, 88.0]);
    // First pulls are colder, and that is estimated.
    assert_eq!(bench.shows(&day(STEPS, TWO)).1, "");
    logged(&bench, "long", &LONG, "oil C", [87.0, 62.0]);
    let said = bench.shows(&day(STEPS, TWO)).1;
    let wanted = "long-2.csv:1:5: warning: long-2: oil at 62 °C, 87 °C in most pulls of the day: a cold pull? cold oil \
                  costs some per cent";
    assert!(said.contains(wanted), "{said}");
    let alone = TWO.replace("pulls: long}", "pulls: long/long-2.csv}");
    let (out, said) = bench.shows(&day(STEPS, &alone));
    assert!(said.contains("long-2: oil at 62 °C"), "{said}");
    assert!(
        out.contains("Unlike: oil temperature 62 °C with long"),
        "{out}"
    );
}

/// A pull that stops early.
fn stopped_early() -> String {
    rows("rpm,torque (Nm)", &LONG, |n, t| format!("{n:.0},{t:.2}"))
        .lines()
        .take(9)
        .map(|line| format!("{line}\n"))
        .collect()
}

#[test]
fn what_was_warned_of_stands_with_the_headline() {
    let bench = Bench::new();
    let line = "on standard error";
    let (out, _) = bench.shows(&day(STEPS, TWO));
    assert!(!out.contains(line), "{out}");
    // The title says that nobody knows to what it is corrected.
    let (out, said) = bench.shows(&format!("{STEPS}{TWO}"));
    assert!(said.contains("corrected to something unknown"), "{said}");
    assert!(!out.contains(line), "{out}");
    bench.file(
        "long/long-3.csv",
        sheet("rpm,torque (Nm)", &LONG, 1.0 / 1.3558),
    );
    let (out, _) = bench.shows(&day(STEPS, TWO));
    let head = "In question until the question on standard error is answered: ";
    assert!(out.starts_with(head), "{out}");
    // In brackets is every difference, and more pulls are no answer.
    let mut gains = out.lines().filter(|line| line.starts_with("short"));
    let gains = gains.find(|line| line.contains('(')).unwrap_or_default();
    assert!(gains.matches('(').count() > 7, "{out}");
    assert!(out.contains("in brackets: in question."), "{out}");
    assert!(
        out.contains("Next: what is asked on standard error"),
        "{out}"
    );
    assert!(!out.contains("Read the warning"), "{out}");
    bench.file(
        "short/short-3.csv",
        sheet("rpm,torque (Nm)", &SHORT, 1.0 / 1.3558),
    );
    let (out, _) = bench.shows(&day(STEPS, TWO));
    let head = "In question until the 2 questions on standard error are answered: ";
    assert!(out.starts_with(head), "{out}");
    // What decides nothing is to be read too.
    let other = Bench::new();
    other.file("long/long-1.csv", stopped_early());
    let (out, said) = other.shows(&day(STEPS, TWO));
    assert!(said.contains("was it aborted?"), "{said}");
    assert!(
        out.contains("\nRead the warning on standard error too.\n"),
        "{out}"
    );
}

#[test]
fn the_headline_says_whose_pulls_slip() {
    let bench = Bench::new();
    let wheels = "dyno: {measures: wheels, method: steps}\n";
    for (spec, of, keeps) in [("long", LONG, 1.0), ("short", SHORT, 0.9)] {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            let text = rows("rpm,torque (Nm),speed (km/h)", &of, |n, t| {
                let held = if n > 5000.0 { keeps } else { 1.0 };
                format!("{n:.0},{:.2},{:.1}", off * held * t, 0.0176 * held * n)
            });
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    let (out, said) = bench.shows(&day(wheels, TWO));
    assert!(said.contains("does the clutch slip"), "{said}");
    let head = out.replace("\n  ", " ");
    let head = head.lines().next().unwrap_or_default();
    let question = "In question until the question on standard error is answered: ";
    let leads = "long makes more than short";
    assert!(head.starts_with(&format!("{question}{leads}")), "{head}");
    assert!(
        head.ends_with("; 2 of 2 pulls of short slip on the rollers"),
        "{head}"
    );
}

/// Of two pulls one misfires at the top: below they agree, so the other is no other spec's.
#[test]
fn beside_a_misfire_the_sound_pull_is_not_asked_about() {
    for near in [1.0, 1.008] {
        let bench = Bench::new();
        bench.file("short/short-1.csv", sheet("rpm,torque (Nm)", &LONG, near));
        let mut misfires = LONG;
        misfires[8..].iter_mut().for_each(|torque| *torque *= 0.87);
        bench.file(
            "short/short-2.csv",
            sheet("rpm,torque (Nm)", &misfires, near),
        );
        let (_, said) = bench.shows(&day(STEPS, TWO));
        assert!(!said.contains("is it one of"), "{said}");
    }
}

#[test]
fn places_that_files_say_are_told_apart_whatever_the_day_says() {
    let bench = Bench::new();
    for (k, off) in [(1, 0.999), (2, 1.001)] {
        let kilowatts = |n: f64, t: f64| off * n * t * std::f64::consts::PI / 30.0 / 1e3;
        let bench_sheet = rows("rpm,Nm at flywheel,kW", &LONG, |n, t| {
            format!("{n:.0},{:.2},{:.2}", off * t, kilowatts(n, t))
        });
        bench.file(&format!("long/long-{k}.csv"), bench_sheet);
        let rollers = rows("rpm,wheel torque (Nm)", &SHORT, |n, t| {
            format!("{n:.0},{:.2}", 0.87 * off * t)
        });
        bench.file(&format!("short/short-{k}.csv"), rollers);
    }
    for dyno in [STEPS, &STEPS.replace("flywheel", "wheels")] {
        let said = bench.shows(&day(dyno, TWO)).1;
        assert!(
            said.contains("measured at different places, which do not compare"),
            "{said}"
        );
        assert!(said.contains("at flywheel"), "{said}");
        assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    }
}

#[test]
fn a_drivelines_loss_beside_a_file_that_says_no_place_is_asked_about() {
    let said = |heading: &str, times: [f64; 2]| {
        let bench = Bench::new();
        for k in [1, 2] {
            let torque: Vec<f64> = RPM
                .iter()
                .zip(LONG)
                .map(|(n, t)| {
                    t * if *n < 5000.0 { times[0] } else { times[1] } * (1.0 + 0.001 * f64::from(k))
                })
                .collect();
            bench.file(
                &format!("short/short-{k}.csv"),
                sheet(heading, &torque, 1.0),
            );
        }
        bench
            .shows(&day(STEPS.replace("flywheel", "wheels").as_str(), TWO))
            .1
    };
    let asked = said("rpm,wheel torque (Nm)", [0.86, 0.88]);
    for wanted in [
        "`wheel torque (Nm)` of short is measured at the wheels, `torque (Nm)` of long says no place, and short has 0.86 to \
         0.88 times the torque of long, as a driveline leaves: was long measured at the flywheel?",
        "if both are from one, nothing is to be done",
    ] {
        assert!(asked.contains(wanted), "no `{wanted}` in\n{asked}");
    }
    for (heading, times) in [
        ("rpm,torque (Nm)", [0.86, 0.88]),
        ("rpm,wheel torque (Nm)", [0.95, 0.95]),
        ("rpm,wheel torque (Nm)", [0.84, 0.9]),
    ] {
        let sound = said(heading, times);
        assert!(!sound.contains("as a driveline leaves"), "{sound}");
    }
}
