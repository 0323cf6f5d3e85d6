//! `pullrank gearing`.

use serde_json::Value;

use super::belong::pulled_apart;
use super::world::World;
use super::{json, pullrank, text};

const STUDY: &str = "examples/club-season.yaml";

#[test]
fn the_demo_study_on_one_screen() {
    let out = text(pullrank().args(["gearing", STUDY]));
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    insta::assert_snapshot!(out);
}

#[test]
fn one_venue_with_every_gearing() {
    insta::assert_snapshot!(text(
        pullrank().args(["gearing", STUDY, "--venue", "vennick"])
    ));
}

/// Both commands drive the same laps, on the car's own tyres; another size can only add to them.
#[test]
fn the_best_is_the_one_that_rank_finds() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    let rows = gearing["gearings"].as_array().unwrap();
    let pairs = gearing["venues"].as_array().unwrap().iter();
    for (a, b) in pairs.zip(rank["venues"].as_array().unwrap()) {
        for spec in a["specs"].as_array().unwrap() {
            let other = b["specs"].as_array().unwrap();
            let other = other.iter().find(|s| s["name"] == spec["spec"]).unwrap();
            let mine = |row: &&Value| row["venue"] == a["name"] && row["spec"] == spec["spec"];
            let fitted = rows.iter().filter(mine).find(|row| row["fitted"] == true);
            let own = |row: &&Value| mine(row) && row["tyre"] == fitted.unwrap()["tyre"];
            let times = rows.iter().filter(own).map(|row| row["time_s"].as_f64());
            let best = times.flatten().fold(f64::INFINITY, f64::min);
            assert_eq!(other["at_best"]["time_s"].as_f64(), Some(best));
            assert!(spec["time_s"].as_f64().unwrap() <= best);
        }
    }
}

/// Every gearing is as slow as its own best or slower, and one of each spec's is the best; the other
/// tyre size is for two trims of three, which drive all venues but one.
#[test]
fn rows_are_measured_against_the_specs_own_best() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rows = gearing["gearings"].as_array().unwrap();
    assert_eq!(rows.len(), 6 * 2 * 12 + 2 * 6);
    let same = |a: &Value, b: &Value| a["venue"] == b["venue"] && a["spec"] == b["spec"];
    for spec_at_venue in rows.chunk_by(same) {
        let behind = |row: &Value| row["behind_own_best_s"].as_f64().unwrap();
        assert!(spec_at_venue.iter().all(|row| behind(row) >= 0.0));
        assert!(spec_at_venue.iter().any(|row| behind(row) == 0.0));
    }
    let csv = text(pullrank().args(["gearing", STUDY, "--csv"]));
    assert_eq!(csv.lines().count(), 1 + rows.len());
}

/// Close hairpins that nobody says are driven in first: another final drive suits where they are.
#[test]
fn where_the_use_of_first_gear_decides_it_is_said() {
    let road = "pieces:\n".to_owned()
        + &"  - straight: 90 m\n  - corner: {radius: 9 m, turn: 150 deg, direction: left}\n  - straight: 90 m\n  - corner: \
           {radius: 9 m, turn: 150 deg, direction: right}\n"
            .repeat(4);
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\n{road}");
    let world = World::new().write("track.yaml", track).edit(
        "car.yaml",
        "rev_limit: 7000 rpm",
        "rev_limit: 7000 rpm\noptions: {final_drive: [9/31, 9/34, 9/41, 9/46]}",
    );
    let shown = |world: &World| {
        let out = text(pullrank().arg("gearing").arg(world.path("study.yaml")));
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let out = shown(&world);
    assert!(
        out.contains(
            "First gear is taken to be for the start only, as nobody says; used out of slow"
        ),
        "{out}"
    );
    let said = world.edit(
        "car.yaml",
        "flywheel: light",
        "flywheel: light\nfirst_gear: start only",
    );
    assert!(!shown(&said).contains("First gear is taken"));
}

/// A hill on which the fitted final drive is nearer to the ideal one than the other that is offered, and slower.
fn nearer_and_slower() -> World {
    let bends = [
        (60, 9, 165),
        (95, 24, 80),
        (70, 40, 50),
        (120, 8, 170),
        (60, 30, 70),
        (105, 10, 160),
    ];
    let more = [(85, 18, 90), (110, 28, 60), (65, 9, 170), (75, 35, 55)];
    let road: String = bends
        .iter()
        .chain(&more)
        .map(|(straight, radius, turn)| {
            format!(
                "  - straight: {{length: {straight} m, slope: 9 %}}\n  - corner: {{radius: {radius} m, turn: {turn} \
                 deg, direction: left, slope: 9 %}}\n"
            )
        })
        .collect();
    let track = format!(
        "name: Mill Hill\nkind: hillclimb\nsurface: tarmac\npieces:\n{road}  - straight: {{length: 130 m, slope: 9 %}}\n"
    );
    World::new()
        .write("track.yaml", track)
        .edit("car.yaml", "mass: 960 kg", "mass: 690 kg")
        .edit(
            "car.yaml",
            "ratios: [2.94, 1.94, 1.36, 1.00]",
            "ratios: [2.90, 2.03, 1.55, 1.26, 1.05]",
        )
        .edit(
            "car.yaml",
            "final_drive: 9/38",
            "final_drive: 9/37\ndifferential: plate\nfirst_gear: any time",
        )
        .edit(
            "car.yaml",
            "rev_limit: 7000 rpm",
            "rev_limit: 7000 rpm\noptions: {final_drive: [9/37, 8/39]}",
        )
}

/// What the screen says, its lines joined.
fn said(world: &World, more: &[&str]) -> String {
    let out = text(
        pullrank()
            .arg("gearing")
            .arg(world.path("study.yaml"))
            .args(more),
    );
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_quickest_on_offer_is_named_and_not_the_one_nearest_to_the_ideal() {
    let world = nearer_and_slower();
    let out = said(&world, &["--venue", "mill"]);
    assert!(
        out.contains("The quickest offered is 8/39; 9/37, nearer to it, is 0."),
        "{out}"
    );
    assert!(
        out.contains("0.08 s slower: time is lost faster on its side."),
        "{out}"
    );
}

#[test]
fn what_is_not_sure_to_be_quicker_is_said_to_be_so() {
    let world = nearer_and_slower();
    let out = said(&world, &[]);
    assert!(
        out.contains(
            "That it is quicker than 9/37, 5 gears as fitted is not sure everywhere: at Mill Hill"
        ),
        "{out}"
    );
    assert!(out.contains("of 100 draws, quicker in"), "{out}");
    let body = json(
        pullrank()
            .arg("gearing")
            .arg(world.path("study.yaml"))
            .arg("--json"),
    );
    let specs = body["venues"][0]["specs"].as_array().unwrap();
    let sure = &specs[0]["sure"];
    assert_ne!(sure["verdict"], "clear", "{sure}");
    assert!(sure["low_s"].as_f64() < sure["high_s"].as_f64(), "{sure}");
    assert!(specs[1..].iter().all(|other| other["sure"].is_null()));
}

/// As `rank`, which says nothing of other gearings where who is ahead was not measured.
#[test]
fn no_gearing_is_named_where_nobody_measured_who_is_quickest() {
    let world = pulled_apart();
    let shown = |more: &[&str]| {
        let mut run = pullrank();
        let output = run.arg("gearing").arg(world.path("study.yaml")).args(more);
        // The pulls are asked about on standard error.
        String::from_utf8(output.output().unwrap().stdout).unwrap()
    };
    for more in [&[][..], &["--venue", "mill"]] {
        let out = shown(more).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains("Not measured at Mill Lane"), "{out}");
        assert!(!out.contains("Quickest:"), "{out}");
        assert!(!out.contains("quicker in"), "{out}");
    }
    let body: Value = serde_json::from_str(&shown(&["--json"])).unwrap();
    let venue = &body["venues"][0];
    assert_eq!(venue["not_measured"], true);
    let sure = &venue["specs"][0]["sure"];
    assert_eq!(sure["verdict"], "not measured", "{venue}");
}
