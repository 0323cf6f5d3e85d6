//! Days as dynos leave them: step tests of few rows, files named twice, several runs in one table.

use super::pullrank;
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;

const SWEEP: &str = "dyno: {measures: flywheel, method: sweep, inertia_compensated: yes}\n";

fn day(dyno: &str) -> String {
    format!("{dyno}correct_to: DIN 70020\n{WEATHER}{TWO}")
}

/// A line of the table of specs, as words.
fn row<'a>(out: &'a str, spec: &str) -> Vec<&'a str> {
    let line = out.lines().find(|line| {
        let mut words = line.split_whitespace();
        words.next() == Some(spec) && words.next().is_some_and(|word| word.ends_with(','))
    });
    line.unwrap_or_default().split_whitespace().collect()
}

#[test]
fn an_entry_that_names_a_file_stands_over_what_catches_it() {
    let bench = Bench::new();
    let hot: Vec<f64> = LONG.iter().map(|torque| 0.9 * torque).collect();
    bench.file("long/long-3.csv", sheet("rpm,torque (Nm)", &hot, 1.0));
    let aside = "{file: long/long-3.csv, set_aside: hot oil}";
    for many in ["long/*.csv", "long", "long/long-3.csv, long"] {
        let pulls = format!("pulls: [{many}, {aside}]}}");
        let (out, said) = bench.shows(&day(STEPS).replace("pulls: long}", &pulls));
        assert_eq!(said, "", "{many}");
        assert_eq!(row(&out, "long")[1..3], ["1,", "2"], "{many}: {out}");
        assert!(out.contains("Set aside: long-3 (hot oil)."), "{out}");
    }
    // Of a file with several pulls the others stay where they are.
    let all = [1, 2, 3].map(|pull| {
        let rows = RPM.iter().zip(LONG);
        let off = 1.0 + 0.002 * f64::from(pull);
        let rows = rows.map(|(rpm, torque)| format!("{pull},{rpm},{:.2}\n", off * torque));
        rows.collect::<String>()
    });
    bench.file(
        "all/day.csv",
        format!("pull,rpm,torque (Nm)\n{}", all.concat()),
    );
    let pulls = "pulls: [all, {file: all/day.csv, pull: 2, set_aside: lifted}]}";
    let (out, _) = bench.shows(&day(STEPS).replace("pulls: long}", pulls));
    assert_eq!(row(&out, "long")[1..3], ["1,", "2"], "{out}");
    assert!(out.contains("Set aside: day #2 (lifted)."), "{out}");
    let pulls = "pulls: [all, {file: all/day.csv, pull: 2, at: 10:40}]}";
    let (out, _) = bench.shows(&day(STEPS).replace("pulls: long}", pulls));
    assert_eq!(row(&out, "long")[1..3], ["1,", "3"], "{out}");
}

#[test]
fn a_fitting_whose_files_another_names_is_told() {
    let bench = Bench::new();
    let pulls = "fittings: [{pulls: [long/long-1.csv, long/long-2.csv]}, {pulls: long}]}";
    let said = bench.fault(&day(STEPS).replace("pulls: long}", pulls));
    let wanted = "no pull is left here: other fittings of the spec name these files one by one";
    assert!(said.contains(wanted), "{said}");
}

/// Ten speeds held for five rows, a second apart, with a row or two between them.
fn held(times: f64, timed: bool) -> String {
    let mut out = String::from(if timed {
        "time (s),rpm,torque (Nm)\n"
    } else {
        "rpm,torque (Nm)\n"
    });
    let mut at = 0;
    for (rpm, torque) in RPM.iter().zip(LONG) {
        for row in 0..5 {
            let (wander, noise) = (
                [-3.0, 2.0, 0.0, 3.0, -2.0][row],
                [0.1, -0.1, 0.2, -0.2, 0.0][row],
            );
            if timed {
                out += &format!("{at},");
            }
            out += &format!("{},{:.1}\n", rpm + wander, times * torque + noise);
            at += 1;
        }
        at += 1;
    }
    out
}

#[test]
fn a_few_rows_of_each_held_speed_are_averaged() {
    for timed in [true, false] {
        let bench = Bench::new();
        for (spec, k, times) in [
            ("long", 1, 1.0),
            ("long", 2, 1.003),
            ("short", 1, 0.97),
            ("short", 2, 0.973),
        ] {
            bench.file(&format!("{spec}/{spec}-{k}.csv"), held(times, timed));
        }
        let (out, said) = bench.shows(&day(STEPS));
        assert_eq!(said, "");
        let most = LONG.iter().fold(0.0_f64, |most, &torque| most.max(torque));
        let found: f64 = row(&out, "long")[3].parse().unwrap();
        assert!(
            (found / (1.0015 * most) - 1.0).abs() < 0.003,
            "{found} {most}\n{out}"
        );
        // As a sweep they are asked about, and nothing is called a spike.
        let (_, said) = bench.shows(&day(SWEEP));
        assert!(said.contains("speeds: a step test?"), "{said}");
        assert!(said.contains("say `dyno: {method: steps}`"), "{said}");
        assert!(!said.contains("spikes"), "{said}");
    }
}

#[test]
fn a_log_without_holds_says_what_a_hold_needs() {
    let bench = Bench::new();
    let rows = (0..60).map(|i| format!("{i},{},{}\n", 2500 + 80 * i, 150));
    let text: String = std::iter::once("time (s),rpm,torque (Nm)\n".to_owned())
        .chain(rows)
        .collect();
    bench.file("long/long-1.csv", text);
    let said = bench.fault(&day(STEPS));
    for wanted in [
        "at 5 speeds or more: two rows or more",
        "over a second",
        "has 1 row;",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
}

#[test]
fn what_is_measured_and_what_is_usual_are_told_apart() {
    let bench = Bench::new();
    for (spec, torque, off) in [("long", LONG, 0.001), ("short", SHORT, -0.001)] {
        for (k, times) in [(1, 1.0), (2, 1.0 + off), (3, 1.0 - off)] {
            let text = sheet("rpm,torque (Nm)", &torque, times);
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    // Four squares of 0.1 % over four degrees of freedom, of which first pulls take one: 0.1 √(4/3) %.
    let (out, _) = bench.shows(&day(STEPS));
    let said = out.replace("\n  ", " ");
    assert!(said.contains("measured 0.12 %), their shape"), "{said}");
    let scatter = said.split("(sd ").nth(1).unwrap_or_default();
    assert!(
        !scatter.starts_with("0.12 %"),
        "what is usual is mixed in: {said}"
    );
}

#[test]
fn per_cent_are_of_torque_and_not_of_its_logarithm() {
    let bench = Bench::new();
    for (k, times) in [(3, 1.0), (4, 1.001), (5, 0.75)] {
        bench.file(
            &format!("long/long-{k}.csv"),
            sheet("rpm,torque (Nm)", &LONG, times),
        );
    }
    let (out, _) = bench.shows(&day(STEPS));
    let said = out.replace("\n  ", " ");
    let down = said
        .split("long-5 is ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next());
    let down: f64 = down.unwrap_or("0").parse().unwrap();
    assert!((down - 25.0).abs() < 0.3, "{said}");
}

#[test]
fn runs_side_by_side_are_not_lost() {
    let bench = Bench::new();
    let rows = RPM
        .iter()
        .zip(LONG)
        .map(|(rpm, t)| format!("{rpm},{t},{:.1},{:.1}\n", 1.002 * t, 0.999 * t));
    let heading = "RPM,Run 1 Torque (Nm),Run 2 Torque (Nm),Run 3 Torque (Nm)\n";
    let text: String = std::iter::once(heading.to_owned()).chain(rows).collect();
    bench.file("long/long-1.csv", text);
    let (out, said) = bench.shows(&day(STEPS));
    assert_eq!(said, "");
    // Three in one file and one in the other.
    assert!(out.contains("\nlong      1, 4"), "{out}");
    let listed = "Assumed: 3 pulls side by side: `Run 1 Torque`, `Run 2 Torque`, `Run 3 Torque`";
    let out = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(out.contains(listed), "{out}");
}

#[test]
fn engine_speed_in_thousands_is_told_at_once_and_of_all_files() {
    let bench = Bench::new();
    for file in [
        "long/long-1",
        "long/long-2",
        "short/short-1",
        "short/short-2",
    ] {
        let rows = RPM
            .iter()
            .zip(LONG)
            .map(|(rpm, t)| format!("{},{t}\n", rpm / 1000.0));
        let text: String = std::iter::once("RPM x1000,Torque Nm\n".to_owned())
            .chain(rows)
            .collect();
        bench.file(&format!("{file}.csv"), text);
    }
    let said = bench.fault(&day(STEPS));
    let wanted = "`RPM x1000` is engine speed in thousands? write it in full, 2500 for 2.5, under the heading `rpm`";
    assert!(said.contains(wanted), "{said}");
    assert_eq!(
        said.matches("no column of engine speed").count(),
        1,
        "{said}"
    );
    assert!(said.contains("and so in 3 files more"), "{said}");
}

#[test]
fn a_column_of_factors_is_told_once_where_nothing_is_said_of_the_air() {
    let bench = Bench::new();
    for file in [
        "long/long-1",
        "long/long-2",
        "short/short-1",
        "short/short-2",
    ] {
        let off = if file.ends_with('1') { 0.1 } else { 0.0 };
        let rows = RPM
            .iter()
            .zip(LONG)
            .map(|(rpm, t)| format!("{rpm},{:.1},1.027\n", t + off));
        let heading = "rpm,torque (Nm),Correction Factor\n".to_owned();
        let text: String = std::iter::once(heading).chain(rows).collect();
        bench.file(&format!("{file}.csv"), text);
    }
    let (_, said) = bench.shows(&format!("{STEPS}correct_to: SAE J1349\n{TWO}"));
    assert!(said.contains("corrected to something unknown"), "{said}");
    assert!(
        said.contains("`Correction Factor` of long/long-1.csv is 1.027: was it multiplied in?"),
        "{said}"
    );
    assert!(!said.contains("as read: has it"), "{said}");
    let (_, said) = bench.shows(&format!("{STEPS}correct_to: SAE J1349\n{WEATHER}{TWO}"));
    assert!(
        said.contains("as read: has it been multiplied in?"),
        "{said}"
    );
    let said = bench.fault(&format!("{STEPS}corrected: SAE\n{TWO}"));
    assert!(said.contains("did you mean `SAE J1349`"), "{said}");
}

#[test]
fn a_car_on_a_day_at_the_wheels_says_so() {
    let world = World::new();
    let line = |world: &World| {
        let output = pullrank()
            .arg("car")
            .arg(world.path("car.yaml"))
            .output()
            .unwrap();
        let out = world.said(&output.stdout);
        out.lines()
            .find(|line| line.starts_with("Engine: "))
            .unwrap_or_default()
            .to_owned()
    };
    assert!(line(&world).contains("specs), 152 N·m"), "{}", line(&world));
    let world = world.edit("testday.yaml", "measures: flywheel", "measures: wheels");
    assert!(
        line(&world).contains("specs), at the wheels, 152 N·m"),
        "{}",
        line(&world)
    );
}

#[test]
fn thousands_are_read_where_nothing_else_makes_sense() {
    let world = World::new()
        .edit("car.yaml", "mass: 960 kg", "mass: 1,080 kg")
        .edit("car.yaml", "rev_limit: 7000 rpm", "rev_limit: 7,000 rpm")
        .edit("testday.yaml", "specs:", "currency: £\nspecs:")
        .edit(
            "testday.yaml",
            "pulls: long.csv",
            "pulls: long.csv\n    price: \"£1,150\"",
        );
    let output = pullrank()
        .arg("check")
        .arg(world.path("study.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr) + &world.said(&output.stdout);
    assert!(output.status.success(), "{said}");
    let car = pullrank()
        .arg("car")
        .arg(world.path("car.yaml"))
        .output()
        .unwrap();
    let car = world.said(&car.stdout);
    assert!(
        car.contains("1080 kg") && car.contains("limit 7,000 rpm"),
        "{car}"
    );
}

#[test]
fn ratios_by_gear_are_told_as_their_list() {
    let world = World::new().edit(
        "car.yaml",
        "ratios: [2.94, 1.94, 1.36, 1.00]",
        "ratios: {1: 3.25, 3: 1.36, 2: 1.90}",
    );
    let said = world.faults();
    assert!(said.contains("`ratios: [3.25, 1.90, 1.36]`"), "{said}");
}

#[test]
fn a_folder_of_folders_is_answered_with_them() {
    let bench = Bench::new();
    let output = pullrank()
        .args(["new", "there", "--pulls", "."])
        .current_dir(&bench.0)
        .output()
        .unwrap();
    let said = bench.said(&output);
    assert!(said.contains("no pull in this folder"), "{said}");
    assert!(said.contains("give `--pulls ./long ./short`"), "{said}");
    let new = pullrank()
        .args(["new", "there", "--pulls", "./long", "./short"])
        .current_dir(&bench.0)
        .output()
        .unwrap();
    assert!(new.status.success());
    let checked = pullrank()
        .arg("check")
        .arg(bench.0.join("there"))
        .output()
        .unwrap();
    let said = String::from_utf8(checked.stdout).unwrap();
    let weather = said
        .split("to fill in: the weather")
        .nth(1)
        .unwrap_or_default();
    let remedy = weather.lines().nth(1).unwrap_or_default();
    assert!(
        remedy.contains("until then unknown: figures compare within this day only"),
        "{said}"
    );
    assert!(said.contains("until then it is invented"), "{said}");
    std::fs::rename(bench.0.join("long"), bench.0.join("$long")).unwrap();
    let output = pullrank()
        .args(["new", "there", "--pulls", "."])
        .current_dir(&bench.0)
        .output()
        .unwrap();
    let said = bench.said(&output);
    assert!(said.contains("'./$long'"), "{said}");
}

#[test]
fn two_readings_of_each_step_are_a_step_test() {
    let bench = Bench::new();
    for (spec, of) in [("long", LONG), ("short", SHORT)] {
        for k in 1..3 {
            let rows = RPM.iter().zip(of).enumerate().map(|(at, (rpm, torque))| {
                let wander = [6.0, -3.0, 8.0, -7.0][(at + k) % 4];
                format!(
                    "{:.0},{:.1}\n{:.0},{:.1}\n",
                    rpm + wander,
                    torque + 0.1 * k as f64,
                    rpm - wander,
                    torque + 0.8
                )
            });
            let text = format!("rpm,torque (Nm)\n{}", rows.collect::<String>());
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    let (_, said) = bench.shows(&day(SWEEP));
    assert!(
        said.contains("the engine stands still at 11 speeds: a step test?"),
        "{said}"
    );
    assert_eq!(bench.shows(&day(STEPS)).1, "");
}
