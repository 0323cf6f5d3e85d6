//! `pullrank car`.

use super::world::World;
use super::{json, pullrank, text};

#[test]
fn the_demo_car_by_its_folder() {
    insta::assert_snapshot!(text(pullrank().args(["car", "cars/rowan-coupe"])));
}

#[test]
fn a_part_of_a_name_is_enough() {
    let out = text(pullrank().args([
        "car",
        "cars/plum-hatch",
        "--trim",
        "grav",
        "--spec",
        "short",
    ]));
    assert!(
        out.contains("gravel trim") && out.contains("short manifold"),
        "{out}"
    );
}

#[test]
fn json_carries_version_and_figures() {
    let car = json(pullrank().args(["car", "cars/rowan-coupe", "--json"]));
    assert_eq!(car["schema"], 1);
    assert_eq!(car["answer"], "car");
    let gears = car["gears"].as_array().unwrap();
    assert_eq!(gears.len(), 4);
    let top = gears[3]["kmh_per_1000_rpm"].as_f64().unwrap();
    // Rolling circumference of a 185/60R13: 3.05 times its 552 mm (tyre makers' rule for radials).
    let expected = 3.05 * 0.552 / (38.0 / 9.0) * 60.0;
    approx::assert_relative_eq!(top, expected, max_relative = 1e-4);
    assert!(
        car["findings"]
            .as_array()
            .unwrap()
            .iter()
            .all(|f| f["severity"] == "assumed")
    );
}

#[test]
fn csv_has_a_row_a_gear() {
    let out = text(pullrank().args(["car", "cars/plum-hatch", "--csv"]));
    assert_eq!(out.lines().count(), 6);
    assert!(out.starts_with("gear,ratio,total_ratio,"), "{out}");
}

#[test]
fn without_a_test_day_the_gears_are_told() {
    let world = World::new();
    std::fs::remove_file(world.path("testday.yaml")).unwrap();
    let run = |more: &[&str]| {
        let mut command = pullrank();
        command.arg("car").arg(world.path("car.yaml")).args(more);
        command
    };
    let out = text(&mut run(&[]));
    insta::assert_snapshot!(out);
    // Rolling circumference of a 185/60R13: 3.05 times its 552 mm (tyre makers' rule for radials);
    // 7,000 rpm in top through 38/9.
    let speed = 3.05 * 0.552 / (38.0 / 9.0) * 7000.0 * 60.0 / 1000.0;
    assert!(out.contains(&format!("{speed:.0}")), "{out}");
    let car = json(&mut run(&["--json"]));
    assert_eq!(car["gears"].as_array().unwrap().len(), 4);
    let named = run(&["--spec", "long"]).output().unwrap();
    assert_eq!(named.status.code(), Some(1));
}

/// A car whose file lacks a primary reduction of 1.6 has three gears that it cannot pull.
#[test]
fn gears_far_beyond_the_top_speed_are_asked_about() {
    let of = |ratios: &str| {
        let world = World::new().edit("car.yaml", "[2.94, 1.94, 1.36, 1.00]", ratios);
        text(pullrank().arg("car").arg(world.path("car.yaml")))
    };
    let lacks = of("[1.20, 0.94, 0.76, 0.66, 0.58, 0.52]");
    assert!(
        lacks.contains(" gears above that cannot pull: is a reduction missing"),
        "{lacks}"
    );
    let sound = of("[2.3, 1.8, 1.45, 1.25, 1.1, 1.0]");
    assert!(!sound.contains("reduction missing"), "{sound}");
}

/// What "change up at" rests on, and what the revs drop to from the limit.
#[test]
fn a_change_below_the_limit_is_explained_beside_the_one_at_it() {
    let out = text(pullrank().args(["car", "cars/rowan-coupe"]));
    let before = out.contains("Change up where the next gear accelerates the car as hard");
    assert_eq!(before, out.contains("limit to"), "{out}");
    let car = json(pullrank().args(["car", "cars/rowan-coupe", "--json"]));
    let limit = car["limit_rpm"].as_f64().unwrap();
    let gears = car["gears"].as_array().unwrap();
    for pair in gears.windows(2) {
        let ratio = |gear: &serde_json::Value| gear["ratio"].as_f64().unwrap();
        let after = pair[0]["after_limit_rpm"].as_f64().unwrap();
        approx::assert_relative_eq!(
            after,
            limit * ratio(&pair[1]) / ratio(&pair[0]),
            max_relative = 1e-9
        );
    }
    assert!(gears[3]["after_limit_rpm"].is_null());
}
