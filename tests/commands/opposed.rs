//! Pull files that go against their test day, or against one another.

use super::pullrank;
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;

const SWEEP: &str =
    "dyno: {measures: flywheel, method: sweep, rate: 300 rpm/s, inertia_compensated: yes}\n";

/// A sheet with more columns, each row's cells given for its engine speed.
fn with(heading: &str, torque: &[f64], cells: impl Fn(f64) -> String) -> String {
    let rows = RPM.iter().zip(torque);
    let rows = rows.map(|(rpm, torque)| format!("{rpm},{torque:.2},{}\n", cells(*rpm)));
    format!("rpm,torque (Nm),{heading}\n{}", rows.collect::<String>())
}

/// What is said where the pulls of short are this text.
fn said_of(short: &str, dyno: &str) -> String {
    let bench = Bench::new();
    bench.file("short/short-1.csv", short);
    bench.file("short/short-2.csv", short.replace(".50", ".60"));
    bench.shows(&format!("{dyno}{WEATHER}{TWO}")).1
}

fn asked(short: &str, wanted: &str) {
    let said = said_of(short, STEPS);
    assert!(said.contains(wanted), "no `{wanted}` in\n{said}");
    assert!(said.contains("warning: "), "{said}");
}

#[test]
fn figures_that_are_corrected_by_another_word_are_asked_about() {
    for heading in [
        "rpm,CorrTq (Nm)",
        "rpm,TqDIN (Nm)",
        "rpm,Torque (Nm) DIN",
        "rpm,Torque [Nm] (SAE J1349)",
    ] {
        asked(&sheet(heading, &SHORT, 1.0), "and the day takes it as read");
    }
    asked(
        &with("CF", &SHORT, |_| "1.045".to_owned()),
        "short/short-1.csv:1:17: warning: `CF` is 1.045, and the day takes `torque (Nm)` as read: has it been \
         multiplied in?",
    );
    assert_eq!(
        said_of(&with("CF", &SHORT, |_| "1.000".to_owned()), STEPS),
        ""
    );
}

#[test]
fn a_pressure_in_the_file_is_held_against_the_weather() {
    for (heading, value) in [
        ("Barometric pressure (mbar)", "975"),
        ("Baro (hPa)", "975"),
        ("Pressure (kPa)", "97.5"),
        ("Ambient pressure (hPa)", "975"),
    ] {
        asked(
            &with(heading, &SHORT, |_| value.to_owned()),
            "short-1 (and 1 more): 975 hPa in the file, 1009 hPa in the weather: +3.5 % of torque",
        );
    }
    let lines = format!(
        "Barometer: 975 mbar\nIntake temp: 31 C\n{}",
        sheet("rpm,torque (Nm)", &SHORT, 1.0)
    );
    asked(&lines, "975 hPa in the file");
    asked(&lines, "31 °C at the intake, 18 °C in the weather");
    assert_eq!(
        said_of(&with("Baro (hPa)", &SHORT, |_| "1010.5".to_owned()), STEPS),
        ""
    );
}

#[test]
fn a_pressure_that_no_barometer_shows_so_high_up_is_asked_about() {
    let bench = Bench::new();
    let said = |elevation: &str, pressure: &str| {
        let weather = format!(
            "weather: {{pressure: {pressure}, temperature: 18 C, humidity: 55 %, elevation: {elevation}}}\n"
        );
        bench.shows(&format!("{STEPS}{weather}{TWO}")).1
    };
    let high = said("1200 m", "1018 hPa");
    // 881 hPa: the standard atmosphere (ISO 2533) takes 1018 hPa at sea level to that in 1,200 m.
    let wanted = "testday.yaml:2:10: warning: pressure: 1018 hPa at an elevation of 1200 m, where a barometer reads \
                  about 881: is it reduced to sea level?";
    assert!(high.contains(wanted), "{high}");
    assert_eq!(high.matches("reduced").count(), 1, "{high}");
    for (elevation, pressure) in [
        ("1200 m", "885 hPa"),
        ("250 m", "1018 hPa"),
        ("0 m", "1045 hPa"),
    ] {
        assert_eq!(said(elevation, pressure), "", "{elevation}");
    }
}

/// Six pulls of 11 rows one after another, those of short first.
fn export(heading: &str, numbers: [u32; 6]) -> String {
    let pulls = numbers.iter().enumerate().map(|(place, number)| {
        let torque = if place < 3 { &SHORT } else { &LONG };
        let times = 1.0 + 0.001 * place as f64;
        let rows = RPM.iter().zip(torque);
        let row = |(rpm, torque): (&f64, &f64)| format!("{number},{rpm},{:.2}\n", times * torque);
        rows.map(row).collect::<String>()
    });
    format!("{heading},rpm,torque (Nm)\n{}", pulls.collect::<String>())
}

const BY_NUMBER: &str = "specs:\n  - {name: long, pulls: {file: day.csv, pull: [1, 2, 3]}}\n  \
                         - {name: short, pulls: {file: day.csv, pull: [4, 5, 6]}}\n";

#[test]
fn pulls_go_by_the_numbers_of_their_file_not_by_their_place() {
    let turned = [4, 5, 6, 1, 2, 3];
    for heading in [
        "Run No.", "Test", "Run #", "Session", "Pull No", "Messung", "Lauf", "run_id",
    ] {
        let bench = Bench::new();
        bench.file("day.csv", export(heading, turned));
        let (out, said) = bench.shows(&format!("{STEPS}{WEATHER}{BY_NUMBER}"));
        assert!(
            out.starts_with("long makes more below "),
            "{heading}: {out}"
        );
        assert_eq!(said, "", "{heading}");
    }
    let bench = Bench::new();
    bench.file("day.csv", export("Probe", turned));
    let day = format!("{STEPS}{WEATHER}{BY_NUMBER}");
    let said = bench.fault(&day);
    let wanted = "error: pull: the file's column `Probe` looks like the numbers of its pulls, and is not read as such";
    assert!(said.contains(wanted), "{said}");
    // In the order of the file there is nothing to tell apart, and a column of three pulls each numbers none.
    bench.file("day.csv", export("Probe", [1, 2, 3, 4, 5, 6]));
    assert!(bench.shows(&day).0.starts_with("long makes more above "));
    bench.file("day.csv", export("Session", [1, 1, 1, 2, 2, 2]));
    assert!(
        bench
            .fault(&day)
            .contains("looks like the numbers of its pulls")
    );
}

#[test]
fn a_throttle_less_open_than_in_other_pulls_is_asked_about() {
    let bench = Bench::new();
    let throttle = |torque: &[f64], open: u32| with("Throttle (%)", torque, |_| open.to_string());
    let said = |open: u32| {
        for k in [1, 2] {
            bench.file(
                &format!("long/long-{k}.csv"),
                throttle(&LONG.map(|t| t + 0.01 * f64::from(k)), 100),
            );
            bench.file(
                &format!("short/short-{k}.csv"),
                throttle(&SHORT.map(|t| t + 0.01 * f64::from(k)), open),
            );
        }
        bench.shows(&format!("{STEPS}{WEATHER}{TWO}")).1
    };
    let low = said(86);
    let wanted = "short-1 (and 1 more): throttle 86, and 100 in long-";
    assert!(low.contains(wanted), "{low}");
    assert_eq!(said(98), "");
}

#[test]
fn rows_before_the_throttle_is_opened_are_asked_about() {
    let row = |rpm: u32, torque: f64| format!("{rpm},{torque:.1}\n");
    let idle: String = (9..25).map(|i| row(100 * i, 20.0)).collect();
    let pull = |i: u32| 150.0 + 50.0 * (f64::from(i - 25) / 16.0).sin();
    let full: String = (25..75).map(|i| row(100 * i, pull(i))).collect();
    let short = format!("rpm,torque (Nm)\n{idle}{full}");
    let said = said_of(&short, SWEEP);
    assert!(
        said.contains("torque leaps from 20 N·m at 2300 rpm to 15"),
        "{said}"
    );
    // An engine that comes on over 1,000 rpm is no throttle.
    let slow: String = (9..75)
        .map(|i| row(100 * i, 30.0 + 150.0 * (f64::from(i - 9) / 20.0).min(1.0)))
        .collect();
    let said = said_of(&format!("rpm,torque (Nm)\n{slow}"), SWEEP);
    assert!(!said.contains("leaps"), "{said}");
}

#[test]
fn another_gear_and_a_clutch_that_slips_show_where_both_speeds_are_logged() {
    let bench = Bench::new();
    let said = |per_rpm: f64, above: f64| {
        for k in [1, 2] {
            let off = |torque: [f64; 11]| torque.map(|t| t + 0.01 * f64::from(k));
            let speed = |rpm: f64| {
                format!(
                    "{:.1}",
                    rpm * per_rpm * if rpm > 5000.0 { above } else { 1.0 }
                )
            };
            bench.file(
                &format!("long/long-{k}.csv"),
                with("speed (km/h)", &off(LONG), |n| format!("{:.1}", n * 0.0176)),
            );
            bench.file(
                &format!("short/short-{k}.csv"),
                with("speed (km/h)", &off(SHORT), speed),
            );
        }
        bench
            .shows(&format!(
                "dyno: {{measures: wheels, method: steps}}\n{WEATHER}{TWO}"
            ))
            .1
    };
    let gear = said(0.0239, 1.0);
    assert!(gear.contains("short-1 (and 1 more): 23.9 km/h at 1,000 rpm, and 17.6 in long-1: pulled in another gear, or is engine speed set wrong?"), "{gear}");
    assert!(!gear.contains("slip"), "{gear}");
    let slips = said(0.0176, 0.9);
    assert!(
        slips.contains(
            "the speed at 1,000 rpm changes by -10 % through the pull: does the clutch slip"
        ),
        "{slips}"
    );
    assert_eq!(said(0.0179, 0.98), "");
}

#[test]
fn sweeps_read_low_by_how_fast_each_spec_was_swept() {
    let bench = Bench::new();
    let timed = |torque: &[f64], rate: f64| {
        with("time (s)", torque, |rpm| {
            format!("{:.4}", (rpm - 2500.0) / rate)
        })
    };
    let said = |dyno: &str, rates: [f64; 2]| {
        for k in [1, 2] {
            let off = |torque: [f64; 11]| torque.map(|t| t + 0.01 * f64::from(k));
            bench.file(&format!("long/long-{k}.csv"), timed(&off(LONG), rates[0]));
            bench.file(
                &format!("short/short-{k}.csv"),
                timed(&off(SHORT), rates[1]),
            );
        }
        bench
            .shows(&format!(
                "dyno: {{measures: flywheel{dyno}}}\n{WEATHER}{TWO}"
            ))
            .1
    };
    // 0.12 kg m2 times 150 and 900 rpm/s are 1.9 and 11.3 N·m.
    let by = "for 0.12 kg m2 2 N·m in long (150 rpm/s) and 11 N·m in short (900 rpm/s), 9 N·m between them";
    let apart = said(", inertia_compensated: no", [150.0, 900.0]);
    assert!(apart.contains(by), "{apart}");
    assert!(
        apart.contains("add `engine_inertia: 0.12 kg m2`\n"),
        "{apart}"
    );
    let unsaid = said("", [150.0, 900.0]);
    assert!(
        unsaid.contains(by) && unsaid.contains("say `inertia_compensated: yes` where it does"),
        "{unsaid}"
    );
    let alike = said(", inertia_compensated: no", [600.0, 600.0]);
    assert!(
        alike.contains("8 N·m for 0.12 kg m2 at 600 rpm/s"),
        "{alike}"
    );
    for sound in [", inertia_compensated: yes", ", engine_inertia: 0.12 kg m2"] {
        assert_eq!(said(sound, [150.0, 900.0]), "");
    }
    assert_eq!(said("", [600.0, 600.0]), "");
}

#[test]
fn torque_of_two_places_does_not_compare() {
    let bench = Bench::new();
    for k in [1, 2] {
        bench.file(
            &format!("long/long-{k}.csv"),
            sheet("rpm,Wheel Torque (Nm)", &LONG, 1.0 + 0.001 * f64::from(k)),
        );
        bench.file(
            &format!("short/short-{k}.csv"),
            sheet("rpm,Engine Torque (Nm)", &SHORT, 1.0 + 0.001 * f64::from(k)),
        );
    }
    for day in ["flywheel", "wheels"] {
        let (_, said) = bench.shows(&format!(
            "dyno: {{measures: {day}, method: steps}}\n{WEATHER}{TWO}"
        ));
        assert!(
            said.contains("measured at different places, which do not compare"),
            "{said}"
        );
        assert!(!said.contains("measures: "), "{said}");
    }
}

/// At 24 km/h to 1,000 rpm a third of this range lies a bit above its end.
#[test]
fn what_a_part_earns_shows_at_any_engine_speeds() {
    let bench = Bench::new();
    let rows = |slope: f64| {
        let rows = (0..50).map(|i| {
            let rpm = 2500.0 + 100.0 * f64::from(i);
            let mph = rpm * 0.024 / 1.609_344;
            format!("{mph:.1},{:.1}\n", 170.0 + slope * (rpm - 5000.0) / 1000.0)
        });
        format!("Speed MPH,Torque (Nm)\n{}", rows.collect::<String>())
    };
    for (name, slope) in [("long", 0.0), ("short", 4.0)] {
        for k in [1, 2] {
            bench.file(
                &format!("{name}/{name}-{k}.csv"),
                rows(slope + 0.01 * f64::from(k)),
            );
        }
    }
    let specs = "specs:\n  - {name: long, parts: {manifold: l}, pulls: long}\n  - {name: short, parts: {manifold: s}, pulls: short}\n";
    let dyno = "dyno: {measures: wheels, method: sweep, speed_per_1000_rpm: 24 km/h, rate: 300 rpm/s, inertia_compensated: yes}\n";
    let (out, _) = bench.shows(&format!("{dyno}{WEATHER}{specs}"));
    assert!(!out.contains("does not show"), "{out}");
    assert!(out.contains("manifold s for l: "), "{out}");
}

#[test]
fn units_that_are_not_known_are_told_which_are() {
    let bench = Bench::new();
    for (heading, wanted) in [
        ("rpm,Power (ehp)", "power is read in "),
        ("rpm,Torque (kNm)", "torque is read in "),
    ] {
        bench.file("short/short-1.csv", sheet(heading, &SHORT, 1.0));
        let said = bench.fault(&format!("{STEPS}{WEATHER}{TWO}"));
        assert!(
            said.contains("is not a unit known here") && said.contains(wanted),
            "{said}"
        );
        assert!(
            said.contains("else convert them") && !said.contains("as in `"),
            "{said}"
        );
    }
}

/// A study with a circuit of two states, and results of it.
fn with_results(results: &str) -> (String, String) {
    let ring = "pieces: [{straight: 300 m}, {corner: {radius: 40 m, turn: 180 deg, direction: left}}, \
                {straight: 300 m}, {corner: {radius: 40 m, turn: 180 deg, direction: left}}]";
    let air = "air: {elevation: 200 m, temperature: 15 C, humidity: 60 %}";
    let world = World::new()
        .write(
            "track.yaml",
            format!("name: Fern Ring\nkind: circuit\nsurface: tarmac\n{air}\n{ring}\n"),
        )
        .edit(
            "study.yaml",
            "venues: [track.yaml]",
            "venues: [{track: track.yaml, conditions: {dry: 70 %, wet: 30 %}}]",
        );
    let study = std::fs::read_to_string(world.path("study.yaml")).unwrap();
    let world = world.write("study.yaml", format!("{study}results: [{results}]\n"));
    let results = pullrank()
        .args(["results", "--draws", "40"])
        .arg(world.path("study.yaml"))
        .output()
        .unwrap();
    assert!(results.status.success(), "{}", world.said(&results.stderr));
    let check = pullrank()
        .arg("check")
        .arg(world.path("study.yaml"))
        .output()
        .unwrap();
    (
        world
            .said(&results.stdout)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" "),
        world.said(&check.stderr) + &world.said(&check.stdout),
    )
}

#[test]
fn a_result_without_the_state_of_the_venue_is_told_so() {
    let (_, said) = with_results("{venue: Fern Ring, spec: long, time: \"0:34.5\"}");
    let wanted = "warning: no `conditions` of a result at Fern Ring, which may be dry or wet: taken for one on its \
                  surfaces as written";
    assert!(said.contains(wanted), "{said}");
    let (_, said) =
        with_results("{venue: Fern Ring, spec: long, time: \"0:34.5\", conditions: dry}");
    assert!(!said.contains("no `conditions`"), "{said}");
}

#[test]
fn a_result_that_no_driving_gives_says_nothing_of_the_next() {
    let dry =
        |time: &str| format!("{{venue: Fern Ring, spec: long, time: \"{time}\", conditions: dry}}");
    let (shown, _) = with_results(&format!("{}, {}", dry("0:34.5"), dry("0:20.0")));
    assert!(
        shown.contains("Not counted, as no driving gives it: Fern Ring, dry, 20.00 with long."),
        "{shown}"
    );
    assert!(
        shown.contains("One result says little of the next"),
        "{shown}"
    );
    let (shown, _) = with_results(&format!("{}, {}", dry("0:34.5"), dry("0:34.9")));
    assert!(!shown.contains("Not counted"), "{shown}");
    assert!(shown.contains("They are all of one venue"), "{shown}");
}

#[test]
fn what_is_written_another_way_is_told_how() {
    let world = World::new().edit("study.yaml", "venues:", "specs: long, short\nvenues:");
    let said = world.faults();
    assert!(
        said.contains("several specs are a list: write `[long, short]`"),
        "{said}"
    );
    let world = World::new().edit(
        "car.yaml",
        "[2.94, 1.94, 1.36, 1.00]",
        "[2,94 1,94 1,36 1,00]",
    );
    let said = world.faults();
    assert!(
        said.contains("write decimals with a point: `[2.94, 1.94, 1.36, 1.00]`"),
        "{said}"
    );
    let bench = Bench::new();
    let said = bench.fault(
        &format!("{STEPS}{WEATHER}{TWO}").replace("pulls: long}", "pulls: long\\long-*.csv}"),
    );
    assert!(
        said.contains("folders are parted by `/`: write `long/long-*.csv`"),
        "{said}"
    );
    let timed = "specs:\n  - {name: long, pulls: [{file: long/long-1.csv, at: \"10:40\"}]}\n  \
                 - {name: short, pulls: [{file: short/short-1.csv, at: \"9:40\"}]}\norder: [long, short]\n";
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{timed}"));
    assert!(said.contains("its clock lies before"), "{said}");
    assert!(said.contains("mend `order`, or the times `at`"), "{said}");
}
