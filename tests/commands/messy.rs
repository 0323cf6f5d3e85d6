//! Folders as people have them in a hurry: what each slip is answered with.

use std::fs;

use super::pullrank;
use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, WEATHER, sheet};
use super::world::World;

fn day() -> String {
    format!("{STEPS}correct_to: DIN 70020\n{WEATHER}{TWO}")
}

/// Rows of a sheet between two engine speeds.
fn part(torque: &[f64], from: f64, to: f64, times: f64) -> String {
    let rows = RPM.iter().zip(torque);
    let kept = rows.filter(|(rpm, _)| (from..=to).contains(*rpm));
    let rows = kept.map(|(rpm, torque)| format!("{rpm},{:.2}\n", torque * times));
    format!("rpm,torque (Nm)\n{}", rows.collect::<String>())
}

#[test]
fn an_aborted_pull_is_asked_about_and_tells_of_no_peak() {
    let bench = Bench::new();
    let (whole, said) = bench.shows(&day());
    assert_eq!(said, "");
    let peak = |out: &str| {
        let row = out
            .lines()
            .find(|line| line.starts_with("long ") && line.contains("1, "))
            .unwrap();
        let words: Vec<&str> = row.split_whitespace().collect();
        words[words.len() - 2].parse::<f64>().unwrap()
    };
    bench.file("long/long-3.csv", part(&LONG, 2500.0, 5000.0, 1.0));
    let (out, said) = bench.shows(&day());
    let wanted = "long-3.csv:1:5: warning: long-3 stops at 5000 rpm, others of long go on to 7500: was it \
                  aborted?";
    assert!(said.contains(wanted), "{said}");
    assert!((peak(&out) - peak(&whole)).abs() < 0.15, "{out}");
    let aside = day().replace(
        "pulls: long}",
        "pulls: [long/long-1.csv, long/long-2.csv, {file: long/long-3.csv, set_aside: aborted}]}",
    );
    assert_eq!(bench.shows(&aside).1, "");
}

#[test]
fn torque_that_goes_and_comes_back_is_asked_about() {
    let bench = Bench::new();
    let mut lifted = LONG;
    lifted[4] *= 0.06;
    lifted[5] *= 0.04;
    bench.file("long/long-2.csv", sheet("rpm,torque (Nm)", &lifted, 1.0));
    let (_, said) = bench.shows(&day());
    let wanted = "long-2.csv:7:6: warning: torque falls to 8 N·m at 5000 rpm and comes back: was the \
                  throttle closed?";
    assert!(said.contains(wanted), "{said}");
    // A hole of a third is an engine's.
    let mut holed = LONG;
    holed[4] *= 0.66;
    holed[5] *= 0.66;
    bench.file("long/long-2.csv", sheet("rpm,torque (Nm)", &holed, 1.0));
    let (_, said) = bench.shows(&day());
    assert!(!said.contains("comes back"), "{said}");
}

#[test]
fn what_was_compared_is_said_where_it_is_a_part() {
    let bench = Bench::new();
    let (out, _) = bench.shows(&day());
    assert!(!out.contains("compared from"), "{out}");
    for k in [1, 2] {
        let file = format!("short/short-{k}.csv");
        bench.file(&file, part(&SHORT, 5500.0, 7500.0, 1.05));
    }
    let (out, _) = bench.shows(&day());
    let wanted = "short makes more than long at every engine speed; compared from 5,500 to 7,500 rpm, \
                  where at least half of the pulls of both reach";
    assert!(out.replace("\n  ", " ").starts_with(wanted), "{out}");
}

#[test]
fn a_pull_among_those_of_another_spec_is_asked_about() {
    let bench = Bench::new();
    bench.file("long/long-3.csv", sheet("rpm,torque (Nm)", &LONG, 1.0));
    assert_eq!(bench.shows(&day()).1, "");
    bench.file("long/long-3.csv", sheet("rpm,torque (Nm)", &SHORT, 1.001));
    let (_, said) = bench.shows(&day());
    let wanted = "long-3.csv:1:5: warning: long-3: 3.3 % off every other pull of long, 0.1 % off short-2 of \
                  short: is it one of short?";
    assert!(said.contains(wanted), "{said}");
    // As far off, and like nobody's.
    bench.file("long/long-3.csv", sheet("rpm,torque (Nm)", &LONG, 1.035));
    let (_, said) = bench.shows(&day());
    assert!(!said.contains("is it one of"), "{said}");
}

#[test]
fn files_in_one_text_are_told_to_be_a_list() {
    let bench = Bench::new();
    for between in [", ", "; "] {
        let names = format!("long/long-1.csv{between}long/long-2.csv");
        let said = bench.fault(&day().replace("pulls: long}", &format!("pulls: '{names}'}}")));
        let wanted = "several files are a list: write `[long/long-1.csv, long/long-2.csv]`";
        assert!(said.contains(wanted), "{said}");
        assert_eq!(said.matches("error: ").count(), 1, "{said}");
    }
}

/// What a command says on its way to this exit code.
fn said(world: &World, arguments: &[&str], code: i32) -> String {
    let output = pullrank().current_dir(world).args(arguments).output();
    let output = output.unwrap();
    let text = [&output.stdout, &output.stderr].map(|out| world.said(out));
    let text = text.concat();
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {text}");
    text
}

#[test]
fn pulls_with_road_speed_start_a_folder_at_the_second_try() {
    let world = World::empty();
    for (spec, torque) in [("long", LONG), ("short", SHORT)] {
        fs::create_dir_all(world.path(spec)).unwrap();
        let rows = RPM.iter().zip(torque);
        let rows = rows.map(|(rpm, torque)| format!("{:.3},{torque}\n", rpm / 1000.0 * 26.1));
        let table = format!("speed (km/h),torque (Nm)\n{}", rows.collect::<String>());
        fs::write(world.path(&format!("{spec}/1.csv")), table).unwrap();
    }
    let new = ["new", "mine", "--pulls", "long", "short"];
    let refused = said(&world, &new, 1);
    let flag = "`--speed-per-1000-rpm \"26.1 km/h\"`";
    assert!(refused.contains(flag), "{refused}");
    let with = |speed| [&new[..], &["--speed-per-1000-rpm", speed]].concat();
    let unsaid = said(&world, &with("26.1"), 2);
    assert!(unsaid.contains("write a speed with its unit"), "{unsaid}");
    said(&world, &with("26.1 km/h"), 0);
    let day = fs::read_to_string(world.path("mine/car/testday.yaml")).unwrap();
    assert!(day.contains("\n  speed_per_1000_rpm: 26.1 km/h"), "{day}");
    let pulled = said(&world, &["pulls", "mine/car"], 0);
    assert!(pulled.contains("5,500 rpm"), "{pulled}");

    let brake = "rpm,brake\n2500,70\n3500,80\n4500,90\n5500,100\n6500,95\n";
    fs::write(world.path("long/1.csv"), brake).unwrap();
    let refused = said(&world, &with("26.1 km/h"), 1);
    let wanted = "write `brake: {constant: 4500, power: bhp}` under `dyno` in car/testday.yaml";
    assert!(refused.replace("\n  ", " ").contains(wanted), "{refused}");
}

#[test]
fn an_empty_table_is_told_what_it_wants() {
    let world = World::empty().write("pull.csv", "");
    let empty = said(&world, &["check", "pull.csv"], 1);
    assert!(empty.contains("a line that names the columns"), "{empty}");
    let world = world.write("pull.csv", "rpm,torque (Nm)\n");
    let bare = said(&world, &["check", "pull.csv"], 1);
    assert!(
        bare.contains("put one row for each point under it"),
        "{bare}"
    );
}

#[test]
fn check_names_the_lines_still_to_fill_in() {
    let world = World::empty();
    said(&world, &["new", "mine"], 0);
    let text = said(&world, &["check", "mine"], 0);
    let marked = [
        "mine/car/car.yaml",
        "mine/car/testday.yaml",
        "mine/tracks/stage.yaml",
    ];
    for file in marked {
        let whole = fs::read_to_string(world.path(file)).unwrap();
        let line = whole
            .lines()
            .position(|line| line.contains("FILL IN"))
            .unwrap()
            + 1;
        let wanted = format!("{file}:{line}: warning: to fill in: ");
        assert!(text.contains(&wanted), "{wanted}: {text}");
        fs::write(world.path(file), whole.replace("FILL IN", "mine")).unwrap();
    }
    let text = said(&world, &["check", "mine"], 0);
    assert!(text.starts_with("mine: study, no fault found"), "{text}");
}

#[test]
fn what_is_in_the_car_is_said_to_be_taken_where_nobody_says_it() {
    let world = World::new();
    let season = ["season", "study.yaml", "--draws", "40"];
    let taken = said(&world, &season, 0);
    let wanted = "Minnow, taken to have long, 9/38 now (`fitted` is not written)";
    assert!(taken.contains(wanted), "{taken}");
    let world = world.edit(
        "study.yaml",
        "car: car.yaml",
        "car: car.yaml\nfitted: short",
    );
    let known = said(&world, &season, 0);
    assert!(known.contains("Minnow, now with short, 9/38"), "{known}");
}

#[test]
fn figures_that_no_car_has_are_asked_about_and_the_right_form_is_named() {
    let mass = "car: car.yaml\nminimum_mass: 9500 kg";
    let world = World::new().edit("study.yaml", "car: car.yaml", mass);
    let asked = said(&world, &["check", "study.yaml"], 0);
    let wanted = "study.yaml:3:15: warning: minimum_mass: 9500 kg is an unusual car";
    assert!(asked.contains(wanted), "{asked}");

    for (written, meant) in [
        ("4.41.0", "4:41.0"),
        ("4m41.0s", "4:41.0"),
        ("4 41.05", "4:41.05"),
    ] {
        let known = format!("kind: stage\nknown: {{time: \"{written}\"}}");
        let world = World::new().edit("track.yaml", "kind: stage", &known);
        let refused = said(&world, &["check", "track.yaml"], 1);
        let wanted = format!("`{written}` is not a time as it is read here");
        assert!(refused.contains(&wanted), "{refused}");
        assert!(refused.contains(&format!("write \"{meant}\"")), "{refused}");
    }

    let world = World::new().edit("car.yaml", "185/60R13", "185-60-13");
    let refused = said(&world, &["check", "car.yaml"], 1);
    assert!(
        refused.contains("parted otherwise: `185/60R13`?"),
        "{refused}"
    );
}

#[test]
fn a_number_left_out_is_told_from_one_below_zero() {
    let world = World::new();
    let rank = |words: &[&str]| said(&world, &[&["rank", "study.yaml"], words].concat(), 2);
    let missing = rank(&["--draws", "--json"]);
    assert!(
        missing.contains("the number before --json is missing"),
        "{missing}"
    );
    let below = rank(&["--seed", "-3"]);
    assert!(below.contains("it must not be below zero"), "{below}");
}

/// Pulls of one spec that end 1,000 rpm below the rev limit, to which the other's go: what is left out there is
/// more than what lies between the two.
#[test]
fn a_lead_that_hangs_on_revs_one_spec_was_not_pulled_to_is_not_measured() {
    let short = "[2000, 3000, 4000, 5000, 6000], torque: [104, 119, 133, 145, 143]";
    let whole = "[2000, 3000, 4000, 5000, 6000, 7000], torque: [110, 125, 140, 152, 150, 135]";
    let world = World::new().edit("testday.yaml", whole, short);
    let long = "pieces:\n  - straight: 1500 m";
    let world = world.edit("track.yaml", "pieces:", long);
    let answer = said(&world, &["rank", "study.yaml", "--draws", "200"], 0);
    assert!(answer.contains("not measured"), "{answer}");
    let whole = said(
        &world,
        &[
            "rank",
            "study.yaml",
            "--draws",
            "200",
            "--venue",
            "Mill Lane",
        ],
        0,
    );
    let whole = whole.split_whitespace().collect::<Vec<_>>().join(" ");
    let held = "All are held to 6,150 rpm, for the pulls of short end at 6,000; driven as far as its own pulls reach, long \
                would win another ";
    let seconds = whole
        .split(held)
        .nth(1)
        .unwrap_or_else(|| panic!("{whole}"));
    let seconds: f64 = seconds.split(' ').next().unwrap().parse().unwrap();
    // Most of what is not measured: more than the rows of the bands that short did not reach.
    assert!(seconds > 0.1, "{whole}");
    let world = world.edit("car.yaml", "rev_limit: 7000", "rev_limit: 6150");
    let answer = said(&world, &["rank", "study.yaml", "--draws", "200"], 0);
    assert!(!answer.contains("not measured"), "{answer}");
    let whole = said(
        &world,
        &[
            "rank",
            "study.yaml",
            "--draws",
            "200",
            "--venue",
            "Mill Lane",
        ],
        0,
    );
    assert!(!whole.contains("held to"), "{whole}");
}

#[test]
fn a_low_last_point_may_be_the_limiter() {
    let bench = Bench::new();
    let cut = |index: usize, times: f64| {
        let mut torque = LONG;
        torque[index] *= times;
        bench.file("long/long-2.csv", sheet("rpm,torque (Nm)", &torque, 1.0));
        bench.shows(&day()).1
    };
    let last = cut(10, 0.5);
    assert!(last.contains("leave a point on the limiter out"), "{last}");
    let amid = cut(4, 0.8);
    assert!(amid.contains("a dip of the engine's own"), "{amid}");
    let high = cut(4, 1.2);
    assert!(high.contains("every other point lies near"), "{high}");
}

/// Both sheets of short under another heading.
fn headed(bench: &Bench, heading: &str) {
    for (k, times) in [(1, 0.998), (2, 1.002)] {
        let file = format!("short/short-{k}.csv");
        bench.file(&file, sheet(heading, &SHORT, times));
    }
}

#[test]
fn a_file_that_says_it_is_corrected_is_believed_whatever_its_words() {
    let bench = Bench::new();
    let says = "short-1.csv:1:5: warning: `SAE torque (Nm)`, and the day";
    headed(&bench, "rpm,SAE torque (Nm)");
    for (yaml, takes, standard) in [
        (day(), "takes it as read", "SAE J1349"),
        (format!("{STEPS}{TWO}"), "does not say to what", "SAE J1349"),
        (
            format!("{STEPS}corrected: DIN 70020\n{TWO}"),
            "takes it as corrected to DIN 70020",
            "SAE J1349",
        ),
    ] {
        let (_, said) = bench.shows(&yaml);
        assert!(said.contains(&format!("{says} {takes}")), "{said}");
        assert!(said.contains(&format!("`corrected: {standard}`")), "{said}");
    }
    let (_, said) = bench.shows(&format!("{STEPS}corrected: STD\n{TWO}"));
    assert_eq!(said, "");
    headed(&bench, "# corrected to DIN 70020\nrpm,torque (Nm)");
    let (_, said) = bench.shows(&day());
    let wanted = "short-1.csv:1: warning: `# corrected to DIN 70020`, and the day takes it as read";
    assert!(said.contains(wanted), "{said}");
    assert!(said.contains("`corrected: DIN 70020`"), "{said}");
}
