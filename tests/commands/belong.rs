//! Times that do not belong together, roads whose answer was not measured, lights that are not passed, and what first
//! gear makes of the bands.

use super::states::{DRY, RESULTS, told};
use super::world::World;
use super::{one_line, pullrank, text};

/// A study with these results at its venue, of long manifold but where they say more.
fn with(results: &[&str]) -> String {
    let lines = results.iter().map(|result| match result.contains("spec") {
        true => format!("  - {{venue: Mill Lanes, {result}}}\n"),
        false => format!("  - {{venue: Mill Lanes, spec: long manifold, {result}}}\n"),
    });
    format!("{DRY}results:\n{}", lines.collect::<String>())
}

#[test]
fn runs_further_apart_than_one_driver_does_are_asked_about_and_may_be_set_aside() {
    let asked = "is 4.8 % slower than Mill Lanes, 1:22.0 with long manifold, each beside its prediction: held up, a \
                 penalty in it";
    let both = one_line(&told(RESULTS, &with(&["time: \"1:22.0\"", "time: \"1:25.9\""])).0);
    assert!(both.contains(asked), "{both}");
    assert!(
        both.contains("If so write `set_aside: why` into that result"),
        "{both}"
    );
    assert!(both.contains("Over 2 results"), "{both}");
    let aside = with(&[
        "time: \"1:22.0\"",
        "time: \"1:25.9\", set_aside: notional time",
    ]);
    let out = one_line(&told(RESULTS, &aside).0);
    assert!(
        out.contains("Set aside: Mill Lanes, 1:25.9 with long manifold (notional time)."),
        "{out}"
    );
    assert!(
        !out.contains("slower than Mill Lanes") && !out.contains("Over 2"),
        "{out}"
    );
    assert!(out.contains("One result says little of the next"), "{out}");
    // A second pass of a road that is known by then, and another spec that is as it was predicted.
    let near = one_line(&told(RESULTS, &with(&["time: \"1:23.5\"", "time: \"1:22.0\""])).0);
    assert!(!near.contains("slower than Mill Lanes"), "{near}");
    let other = with(&["time: \"1:22.0\"", "spec: short manifold, time: \"1:25.9\""]);
    let out = one_line(&told(RESULTS, &other).0);
    assert!(out.contains("they tell no spec from the other"), "{out}");
    let no = told(RESULTS, &with(&["time: \"1:22.0\", set_aside: no"])).1;
    assert!(
        no.contains("whatever is written here sets the result aside"),
        "{no}"
    );
}

#[test]
fn running_totals_are_asked_about_with_the_times_to_write() {
    let results = ["time: \"1:23.0\"", "time: \"2:45.5\"", "time: \"4:08.1\""];
    let out = one_line(&told(RESULTS, &with(&results)).0);
    assert!(
        out.contains(
            "are these running totals? Write the time of each: Mill Lanes `\"1:22.5\"` and Mill Lanes `\"1:22.6\"`."
        ),
        "{out}"
    );
    assert!(!out.contains("was it a clean run"), "{out}");
    let stages = one_line(&told(RESULTS, &with(&["time: \"1:23.0\"", "time: \"1:22.5\""])).0);
    assert!(!stages.contains("totals"), "{stages}");
}

/// One spec pulled up to 5,000 rpm alone, the other from 4,250: who is ahead was measured nowhere.
pub fn pulled_apart() -> World {
    let rows = |from: u32, to: u32| {
        let rows = (from..=to).step_by(250).map(|rpm| {
            let x = (f64::from(rpm) - 5000.0) / 3000.0;
            format!("{rpm},{:.1}\n", 150.0 - 30.0 * x * x)
        });
        format!("rpm,torque (Nm)\n{}", rows.collect::<String>())
    };
    World::new()
        .write("low.csv", rows(2000, 5000))
        .write("high.csv", rows(4250, 6500))
        .write(
            "testday.yaml",
            "dyno: {measures: flywheel, method: steps}\ncorrect_to: DIN 70020\ncorrected: DIN 70020\nspecs:\n  - name: \
             low\n    pulls: low.csv\n  - name: high\n    pulls: high.csv\n",
        )
        .edit("car.yaml", "rev_limit: 7000 rpm", "options: {final_drive: [9/35, 9/41]}")
}

#[test]
fn a_map_of_what_nobody_measured_names_no_winner() {
    let world = pulled_apart();
    // The pulls are asked about on standard error.
    let out = |command: &str, how: &[&str]| {
        let mut run = pullrank();
        let output = run.arg(command).arg(world.path("study.yaml")).args(how);
        one_line(&String::from_utf8(output.output().unwrap().stdout).unwrap())
    };
    let roads = out("roads", &[]);
    assert!(!roads.contains("on every road of the map"), "{roads}");
    assert!(
        roads.contains("`?` is not measured: too much of what lies between the two comes from rpm that the pulls of low"),
        "{roads}"
    );
    let map: serde_json::Value = serde_json::from_str(&out("roads", &["--json"])).unwrap();
    let roads = map["roads"].as_array().unwrap();
    let marked = roads.iter().filter(|road| road["not_measured"] == true);
    assert!(marked.count() > roads.len() / 2);
    // Rank says as much, and names no winner at another gearing beside it.
    let rank = out("rank", &["--draws", "40"]);
    assert!(rank.contains("not measured at Mill Lane"), "{rank}");
    assert!(!rank.contains("Each at best gearing"), "{rank}");
}

#[test]
fn no_advice_goes_past_a_light_that_somebody_wrote() {
    let world = |light: &str| {
        World::new()
            .edit(
                "study.yaml",
                "{lowest_rpm: 2500 rpm}",
                &format!("{{lowest_rpm: 2500 rpm{light}}}"),
            )
            .edit("track.yaml", "  - straight: 90 m", "  - straight: 600 m")
    };
    let sheet = |world: &World| {
        let mut command = pullrank();
        command.arg("sheet").arg(world.path("study.yaml"));
        one_line(&text(command.args(["--venue", "mill", "--draws", "40"])))
    };
    let out = sheet(&world(", shift_light: 6000 rpm"));
    assert!(out.contains("Change up at the light, 6,000 rpm"), "{out}");
    assert!(
        out.contains("The light at 6,000 rpm costs 0.")
            && out.contains("is for its builder to say"),
        "{out}"
    );
    assert!(
        !out.contains("old 2nd to 6,") && !out.contains("old 1st to 6,"),
        "{out}"
    );
    assert!(!sheet(&world("")).contains("The light at"));
}

#[test]
fn bands_that_hang_on_first_gear_say_so() {
    let road = "pieces:\n".to_owned()
        + &"  - straight: 90 m\n  - corner: {radius: 9 m, turn: 150 deg, direction: left}\n"
            .repeat(4);
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\n{road}");
    let bands = |world: &World| {
        let mut command = pullrank();
        command.arg("rank").arg(world.path("study.yaml"));
        one_line(&text(command.args(["--venue", "mill", "--draws", "40"])))
    };
    let world = World::new().write("track.yaml", track);
    let out = bands(&world);
    assert!(
        out.contains("would take 4 corners in it and spend")
            && out.contains("Write `first_gear` into the car."),
        "{out}"
    );
    let said = world.edit(
        "car.yaml",
        "flywheel: light",
        "flywheel: light\nfirst_gear: start only",
    );
    assert!(!bands(&said).contains("corners in it and spend"));
}
