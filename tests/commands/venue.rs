//! `pullrank venue`.

use std::fs;
use std::path::PathBuf;

use insta::assert_snapshot;

use super::world::World;
use super::{json, pullrank, text};

const DEMO: [&str; 7] = [
    "ambrel-ring",
    "pellmarsh-sprint",
    "quessmoor",
    "quillgarth-hill",
    "skarrow-woods",
    "threnlow-lanes",
    "vennick",
];

fn track(name: &str) -> String {
    format!("tracks/{name}.yaml")
}

#[test]
fn two_demo_venues_side_by_side() {
    assert_snapshot!(text(pullrank().args([
        "venue",
        "tracks/vennick.yaml",
        "tracks/skarrow-woods.yaml"
    ])));
}

#[test]
fn a_logged_venue_with_a_car() {
    let arguments = [
        "venue",
        "tracks/ambrel-ring.yaml",
        "--car",
        "cars/rowan-coupe",
    ];
    assert_snapshot!(text(pullrank().args(arguments)));
}

#[test]
fn without_a_track_the_usual_kinds_of_road() {
    let out = text(pullrank().arg("venue"));
    assert!(
        out.contains("tight lanes: stage") && out.contains("Not your event"),
        "{out}"
    );
}

#[test]
fn json_carries_corners_and_the_fingerprint() {
    let out = json(pullrank().args(["venue", "tracks/vennick.yaml", "--json"]));
    assert_eq!(
        (&out["schema"], &out["answer"]),
        (&1.into(), &"venue".into())
    );
    let venue = &out["venues"][0];
    assert_eq!(venue["corners"].as_array().unwrap().len(), 10);
    assert_eq!(venue["corners"][0]["name"], "first right");
    assert_eq!(venue["corners"][0]["direction"], "right");
    approx::assert_relative_eq!(venue["length_m"].as_f64().unwrap(), 1800.0, epsilon = 2.0);
    let print = &venue["fingerprint"];
    approx::assert_relative_eq!(
        print["corners_per_km"].as_f64().unwrap(),
        10.0 / 1.8,
        max_relative = 1e-3
    );
    approx::assert_relative_eq!(
        print["longest_straight_m"].as_f64().unwrap(),
        // The start straight and the one before the line.
        170.0 + 90.0,
        max_relative = 1e-9
    );
}

#[test]
fn csv_has_a_row_a_corner() {
    let out = text(pullrank().args(["venue", "tracks/vennick.yaml", "--csv"]));
    assert_eq!(out.lines().count(), 1 + 10);
    assert!(
        out.contains("\nVennick,first right,170.0,46.1,24.0,110.0,right,"),
        "{out}"
    );
}

/// A folder of its own, gone when dropped.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("pullrank-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn time_of(track: &str) -> f64 {
    let out = pullrank()
        .args(["venue", track, "--car", "cars/rowan-coupe", "--json"])
        .output()
        .unwrap();
    let out: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    out["venues"][0]["driven"]["time_s"].as_f64().unwrap()
}

/// Pieces, points and pieces again: what is written is read back and takes the same time.
#[test]
fn a_venue_written_as_pieces_takes_the_same_time_to_a_percent() {
    let folder = Folder::new("pieces");
    for name in DEMO {
        let yaml = text(pullrank().args(["venue", &track(name), "--pieces"]));
        let path = folder.0.join(format!("{name}.yaml"));
        fs::write(&path, yaml).unwrap();
        let (first, again) = (time_of(&track(name)), time_of(path.to_str().unwrap()));
        let off = 100.0 * (again / first - 1.0);
        println!("{name}: {off:+.2} %");
        assert!(off.abs() < 1.0, "{name}: {off:+.2} %");
        let yaml = text(pullrank().args(["venue", path.to_str().unwrap(), "--pieces"]));
        fs::write(&path, yaml).unwrap();
        let off = 100.0 * (time_of(path.to_str().unwrap()) / again - 1.0);
        assert!(off.abs() < 0.5, "{name} once more: {off:+.2} %");
    }
}

/// What stands at a place of a picture: text, left, top, right, bottom.
type Label = (String, [f64; 4]);

/// The labels of a plan. Letters of sans-serif are some 0.55 of their size wide.
fn labels(svg: &str) -> Vec<Label> {
    let texts = svg
        .lines()
        .filter(|l| l.starts_with("<text") && !l.contains("rotate"));
    texts
        .map(|line| {
            let number = |name: &str| -> f64 {
                let (_, rest) = line.split_once(&format!(" {name}=\"")).unwrap();
                rest.split('"').next().unwrap().parse().unwrap()
            };
            let (_, rest) = line.split_once('>').unwrap();
            let words = rest.split('<').next().unwrap().to_owned();
            let (x, y, size) = (number("x"), number("y"), number("font-size"));
            let width = 0.5 * size * words.chars().count() as f64;
            let left = match line {
                l if l.contains("\"middle\"") => x - 0.5 * width,
                l if l.contains("\"end\"") => x - width,
                _ => x,
            };
            (words, [left, y - 0.7 * size, left + width, y + 0.1 * size])
        })
        .collect()
}

#[test]
fn plans_name_corners_without_one_over_another() {
    let folder = Folder::new("plans");
    let mut arguments = vec!["venue".to_owned()];
    arguments.extend(DEMO.map(track));
    arguments.extend(["--svg".to_owned(), folder.0.display().to_string()]);
    text(pullrank().args(&arguments));
    for name in DEMO {
        let svg = fs::read_to_string(folder.0.join(format!("{name}.svg"))).unwrap();
        let labels = labels(&svg);
        let has = |wanted: &str| labels.iter().any(|(words, _)| words.contains(wanted));
        assert!(has("start") && has(" km"), "{name}: {labels:?}");
        let is_length = |words: &str| {
            let number = words.strip_suffix(" km").or(words.strip_suffix(" m"));
            number.is_some_and(|number| number.parse::<u32>().is_ok())
        };
        assert!(
            labels.iter().any(|(words, _)| is_length(words)),
            "{name}: a scale"
        );
        assert_eq!(
            has("above the start") || svg.contains("above the start"),
            !["ambrel-ring", "pellmarsh-sprint", "vennick"].contains(&name),
            "{name}"
        );
        for given in [
            "summit hairpin",
            "well hairpin",
            "pit hairpin",
            "pump house hairpin",
        ] {
            let mine = fs::read_to_string(track(name)).unwrap().contains(given);
            assert_eq!(has(given), mine, "{name}: {given}");
        }
        // North is known where positions are.
        let north = labels.iter().any(|(words, _)| words == "N");
        assert_eq!(
            north,
            ["ambrel-ring", "quessmoor"].contains(&name),
            "{name}"
        );
        for (i, (a, first)) in labels.iter().enumerate() {
            for (b, second) in &labels[i + 1..] {
                let apart = first[2] <= second[0]
                    || second[2] <= first[0]
                    || first[3] <= second[1]
                    || second[3] <= first[1];
                assert!(apart, "{name}: `{a}` over `{b}`");
            }
        }
    }
    // Pictures that exist stay, unless told otherwise.
    let output = pullrank().args(&arguments).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    arguments.push("--force".to_owned());
    assert!(
        pullrank()
            .args(&arguments)
            .output()
            .unwrap()
            .status
            .success()
    );
}

/// A tyre and a third gear that are not what the file says show in the log's engine speeds.
#[test]
fn a_log_finds_a_wrong_tyre_and_a_wrong_ratio() {
    let folder = Folder::new("gears");
    let car = fs::read_to_string("cars/rowan-coupe/car.yaml").unwrap();
    let day = fs::canonicalize("cars/rowan-coupe/testday.yaml").unwrap();
    let said = |car: &str| {
        let path = folder.0.join("car.yaml");
        fs::write(&path, car).unwrap();
        let output = pullrank()
            .args(["venue", "tracks/ambrel-ring.yaml", "--car"])
            .arg(&path)
            .arg("--testday")
            .arg(&day)
            .output()
            .unwrap();
        let out = String::from_utf8(output.stdout).unwrap();
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(
        said(&car).contains("engine speeds fit the car file"),
        "{}",
        said(&car)
    );
    let tyre = car.replace("185/60R13", "185/70R13");
    assert_ne!(tyre, car);
    let out = said(&tyre);
    assert!(
        out.contains("the rolling radius or the final drive is not what it says"),
        "{out}"
    );
    let ratio = car.replacen("1.36", "1.45", 1);
    assert_ne!(ratio, car);
    let out = said(&ratio);
    assert!(
        out.contains("gear 3 is 6.2 % longer than its ratio in the file"),
        "{out}"
    );
}

/// A study without a venue is answered for usual kinds of road, and says so.
#[test]
fn a_study_without_a_venue_is_not_your_event() {
    let world = World::new().edit("study.yaml", "venues: [track.yaml]\n", "");
    let output = pullrank()
        .arg("rank")
        .arg(world.path("study.yaml"))
        .args(["--draws", "40"])
        .output()
        .unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success());
    assert!(
        out.contains("Not your event") && out.contains("tight lanes"),
        "{out}"
    );
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    assert_snapshot!(world.said(&output.stderr));
}
