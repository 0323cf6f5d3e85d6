//! The car's limit and the engine speed that pulls reach: over-revving is told by the former.

use super::world::World;
use super::{pullrank, text};

/// Pulls of one spec end 1,000 rpm below the limit, to which the other's go.
fn world() -> World {
    let short = "[2000, 3000, 4000, 5000, 6000], torque: [104, 119, 133, 145, 143]";
    let whole = "[2000, 3000, 4000, 5000, 6000, 7000], torque: [110, 125, 140, 152, 150, 135]";
    World::new().edit("testday.yaml", whole, short).edit(
        "track.yaml",
        "pieces:",
        "pieces:\n  - straight: 1500 m",
    )
}

fn told(world: &World, arguments: &[&str]) -> String {
    let mut command = pullrank();
    let output = command
        .current_dir(world.path("."))
        .args(arguments)
        .output();
    let out = String::from_utf8(output.unwrap().stdout).unwrap();
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn over_revs_are_told_by_the_cars_limit() {
    let world = world();
    let sheet = told(
        &world,
        &[
            "sheet",
            "study.yaml",
            "--venue",
            "Mill Lane",
            "--draws",
            "40",
        ],
    );
    assert!(
        sheet.contains("Change up at 6,150 rpm, as far as all pulls reach"),
        "{sheet}"
    );
    assert!(
        sheet.contains("a change down passes the limit of 7,000 rpm"),
        "{sheet}"
    );
    let gearing = told(&world, &["gearing", "study.yaml"]);
    assert!(
        gearing.contains("A missed downchange passes 7,000 rpm"),
        "{gearing}"
    );
}

#[test]
fn a_car_goes_as_far_as_the_pulls_of_its_own_spec() {
    let world = world();
    let car = |spec| told(&world, &["car", "car.yaml", "--spec", spec]);
    let (long, short) = (car("long"), car("short"));
    for shown in [&long, &short] {
        assert!(shown.contains("limit 7,000 rpm"), "{shown}");
    }
    assert!(!long.contains("Held to"), "{long}");
    assert!(
        short.contains("Held to 6,150 rpm, for the pulls of short end at 6,000 rpm"),
        "{short}"
    );
}

/// Every corner is left once, under its own name, a chicane on a straight too.
#[test]
fn corners_are_left_once_and_chicanes_by_their_names() {
    let rows = |venue: &str| -> Vec<String> {
        let study = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/club-season.yaml");
        let mut command = pullrank();
        command.args(["sheet", study, "--venue", venue, "--draws", "40"]);
        let out = text(&mut command);
        let table = out.lines().skip_while(|line| !line.starts_with("leaving"));
        let table = table.skip(1).take_while(|line| !line.is_empty());
        let name = |line: &str| line.split("  ").next().unwrap().to_owned();
        table.map(name).collect()
    };
    let sprint = rows("pellmarsh");
    for bales in ["first bales", "second bales"] {
        assert!(sprint.iter().any(|name| name == bales), "{sprint:?}");
    }
    for venue in ["pellmarsh", "quillgarth", "vennick", "threnlow"] {
        let names = rows(venue);
        assert!(names.len() > 3, "{names:?}");
        assert!(names.windows(2).all(|pair| pair[0] != pair[1]), "{names:?}");
    }
}

/// Who drives by the sheet is told that its limit is no builder's.
#[test]
fn a_sheet_says_where_nobody_wrote_a_rev_limit() {
    let shown = |world: &World| {
        let output = pullrank()
            .arg("sheet")
            .arg(world.path("study.yaml"))
            .args(["--venue", "Mill Lane", "--draws", "40"])
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let bare = World::new().edit("car.yaml", "rev_limit: 7000 rpm", "currency: EUR");
    let page = shown(&bare);
    assert!(
        page.contains("taken for the limit as none is written"),
        "{page}"
    );
    assert!(!shown(&World::new()).contains("none is written"));
}
