//! `check`: everything wrong with files of any kind, in one go.

use std::process::Output;

use insta::assert_snapshot;

use super::pullrank;
use super::world::World;

fn check(world: &World, names: &[&str]) -> Output {
    let paths = names.iter().map(|name| world.path(name));
    pullrank().arg("check").args(paths).output().unwrap()
}

fn said(world: &World, names: &[&str], code: i32) -> String {
    let output = check(world, names);
    let text = world.said(&output.stdout);
    assert_eq!(output.status.code(), Some(code), "{text}");
    assert!(output.stderr.is_empty());
    text
}

#[test]
fn a_sound_study_says_what_was_assumed() {
    assert_snapshot!(said(&World::new(), &["study.yaml"], 0));
}

#[test]
fn faults_of_every_file_in_the_order_to_mend_them() {
    let world = World::new()
        .edit("study.yaml", "driver:", "drivr:")
        .edit("car.yaml", "9/38", "0.4.2")
        .edit("long.csv", "3000,", "three thousand,")
        .edit("track.yaml", "elevation: 200 m", "elevation: 200 kg");
    assert_snapshot!(said(&world, &["study.yaml"], 1));
}

#[test]
fn what_only_shows_on_the_road() {
    let world = World::new()
        .edit("track.yaml", "slope: 2 %", "slope: 45 %")
        .edit("track.yaml", "surface: tarmac", "surface: ice");
    let text = said(&world, &["study.yaml"], 1);
    assert!(text.contains("Mill Lane: "), "{text}");
}

#[test]
fn each_kind_is_known_by_what_is_in_it() {
    let world = World::new()
        .write("road.csv", "x,y\n0,0\n100,0\n200,10\n300,40\n")
        .write(
            "run.csv",
            "time [s],speed [km/h]\n0,50\n1,55\n2,60\n3,64\n4,66\n5,68\n6,69\n7,70\n8,71\n9,72\n10,73\n",
        )
        .write("note.yaml", "hello: there\n");
    let names = [
        "car.yaml",
        "testday.yaml",
        "track.yaml",
        "long.csv",
        "run.csv",
        "road.csv",
        "note.yaml",
        "missing.yaml",
    ];
    assert_snapshot!(said(&world, &names, 1));
}

#[test]
fn json_says_whether_all_is_sound() {
    let world = World::new().edit("car.yaml", "tyre:", "tire:");
    let output = pullrank()
        .args(["check", "--json"])
        .arg(world.path("car.yaml"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["answer"], "check");
    assert_eq!(answer["sound"], false);
    assert_eq!(answer["checked"][0]["what"], "car");
    assert_eq!(answer["checked"][0]["findings"][0]["severity"], "error");
}

#[test]
fn the_demo_is_sound() {
    let output = pullrank()
        .args([
            "check",
            "examples/club-season.yaml",
            "examples/plum-season.yaml",
        ])
        .output()
        .unwrap();
    assert!(output.status.success());
    let text = String::from_utf8_lossy(&output.stdout);
    assert_eq!(text.matches("no fault found").count(), 2, "{text}");
}
