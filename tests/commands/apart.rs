//! Days whose pulls end apart, whose engine is boosted, or whose figures differ for a reason that is told.

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;

const DIN: &str = "correct_to: DIN 70020\n";

/// A sheet up to an engine speed, with one more column.
fn upto(last: f64, torque: &[f64], heading: &str, cell: impl Fn(f64) -> String) -> String {
    let rows = RPM.iter().zip(torque).filter(|(rpm, _)| **rpm <= last);
    let rows = rows.map(|(rpm, torque)| format!("{rpm},{torque:.2},{}\n", cell(*rpm)));
    format!("rpm,torque (Nm),{heading}\n{}", rows.collect::<String>())
}

/// Without a rev limit the car revs as far as the longest pulls: the spec that leads where its own end is
/// not beaten by what it was never pulled to.
#[test]
fn pulls_that_end_early_leave_the_verdict_open() {
    let pulls = "specs:\n  - {name: long, pulls: long.csv}\n  - {name: short, pulls: short.csv}\n";
    let day = format!("{STEPS}{DIN}corrected: DIN 70020\n{pulls}");
    let world = World::new();
    let car = std::fs::read_to_string(world.path("car.yaml")).unwrap();
    let world = world
        .write("car.yaml", car.replace("rev_limit: 7000 rpm\n", ""))
        .write("testday.yaml", day)
        .write("long.csv", sheet("rpm,torque (Nm)", &LONG, 1.0));
    let run = |last: f64| {
        let text = upto(last, &SHORT, "note", |_| String::new());
        std::fs::write(world.path("short.csv"), text).unwrap();
        let out = world.rank();
        (world.said(&out.stdout), world.said(&out.stderr))
    };
    let (printed, said) = run(6000.0);
    assert!(
        said.contains(
            "the pulls of short end at 6000 rpm, those of long at 7500: nothing above 6150 rpm is compared"
        ),
        "{said}"
    );
    assert!(
        said.contains("short is ahead at 6000 rpm, and what it would gain above is left out"),
        "{said}"
    );
    assert!(printed.contains("not measured"), "{printed}");
    assert!(!printed.contains("long clear"), "{printed}");
    let (_, said) = run(5000.0);
    assert!(said.contains("long is ahead at 5000 rpm"), "{said}");
    let (printed, said) = run(7500.0);
    assert!(!said.contains("is compared"), "{said}");
    assert!(!printed.contains("not measured"), "{printed}");
}

#[test]
fn boost_in_the_file_is_held_against_how_the_engine_breathes() {
    let bench = Bench::new();
    let said = |engine: &str, heading: &str, most: f64| {
        let cell = |rpm: f64| format!("{:.3}", most * if rpm < 4000.0 { 0.5 } else { 1.0 });
        for k in [1.0, 2.0] {
            let torque = SHORT.map(|torque| torque + 0.01 * k);
            let text = upto(8000.0, &torque, heading, cell);
            bench.file(&format!("short/short-{k}.csv"), text);
        }
        bench
            .shows(&format!("{engine}{STEPS}{WEATHER}{DIN}{TWO}"))
            .1
    };
    for (heading, most, reaches) in [
        ("Boost (bar)", 0.62, "0.62 bar above the air"),
        ("Boost (psi)", 9.0, "0.62 bar above the air"),
        ("Manifold Pressure (kPa)", 162.0, "1.62 bar, and"),
        ("MAP (kPa)", 162.0, "1.62 bar, and"),
    ] {
        let wanted = format!("short-1 (and 1 more): `{heading}` reaches {reaches}");
        let heard = said("", heading, most);
        assert!(heard.contains(&wanted), "no `{wanted}` in\n{heard}");
        assert!(
            heard.contains("engine: {breathing: turbocharged}"),
            "{heard}"
        );
        let heard = said("engine: {breathing: turbocharged}\n", heading, most);
        assert!(!heard.contains("reaches"), "{heard}");
    }
    assert_eq!(said("", "Boost (bar)", 0.1), "");
    assert_eq!(said("", "MAP (kPa)", 101.0), "");
}

/// Half the throttle is no other unit.
#[test]
fn torque_at_less_throttle_is_not_asked_for_its_unit() {
    let bench = Bench::new();
    let said = |heading: &str| {
        for (k, share) in [(1, 1.0), (2, 0.74), (3, 0.51)] {
            for (spec, torque) in [("long", &LONG), ("short", &SHORT)] {
                let torque = torque.map(|torque| torque * share);
                let open = |_| format!("{}", 125.0 - 25.0 * f64::from(k));
                let text = upto(8000.0, &torque, heading, open);
                bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
            }
        }
        bench.shows(&format!("{STEPS}{WEATHER}{TWO}")).1
    };
    let throttle = said("Throttle (%)");
    assert!(throttle.contains("not full throttle?"), "{throttle}");
    assert!(!throttle.contains("times the torque"), "{throttle}");
    assert!(said("Note").contains("times the torque"));
}

#[test]
fn files_that_are_meant_are_named() {
    let bench = Bench::new();
    bench.file(
        "short/short-1.csv",
        upto(8000.0, &SHORT, "Baro (hPa)", |_| "975".to_owned()),
    );
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    assert!(
        said.contains("`{file: short/short-1.csv, pressure: 975 hPa}`"),
        "{said}"
    );
    for (spec, heading) in [
        ("long", "Wheel Torque (Nm)"),
        ("short", "Engine Torque (Nm)"),
    ] {
        let torque = if spec == "long" { &LONG } else { &SHORT };
        for k in [1, 2] {
            let text = sheet(
                &format!("rpm,{heading}"),
                torque,
                1.0 + 0.001 * f64::from(k),
            );
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    let wanted = "`Wheel Torque (Nm)` in long/long-1.csv of long, and `Engine Torque (Nm)` in \
                  short/short-1.csv of short: measured at different places";
    assert!(said.contains(wanted), "{said}");
}
