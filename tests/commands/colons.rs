//! Keys whose colon is missing or has no space behind it, told where they stand, in a file of any name.

use super::pullrank;
use super::world::World;

/// What `check` says of a file that has one fault.
fn one_fault(name: &str, text: &str) -> String {
    faults(name, text, 1)
}

fn faults(name: &str, text: &str, count: usize) -> String {
    let world = World::empty().write(name, text);
    let output = pullrank()
        .arg("check")
        .arg(world.path(name))
        .output()
        .unwrap();
    let said = world.said(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert_eq!(said.matches("error: ").count(), count, "{said}");
    said
}

fn holds(said: &str, parts: &[&str]) {
    for part in parts {
        assert!(said.contains(part), "no `{part}` in {said}");
    }
}

const REST: &str = "drive: RWD\ntyre: 185/60R13\nratios: [2.94, 1.94, 1.00]\nfinal_drive: 38/9\n";

#[test]
fn a_colon_without_a_space_is_told_on_its_own_line() {
    for name in ["car.yaml", "minnow.yaml"] {
        let place = format!("{name}:1:1: error: no space stands after the colon of `mass`");
        let remedy = "put a space after the colon: `mass: 960 kg`";
        let said = one_fault(name, &format!("mass:960 kg\n{REST}"));
        holds(&said, &[&format!("{name}: car, 1 fault"), &place, remedy]);
        let said = one_fault(name, &format!("mass:960 kg   # empty\n\n{REST}"));
        holds(&said, &[&place, remedy]);
        let said = one_fault(name, &format!("mass:960 kg\nname:Minnow\n{REST}"));
        holds(&said, &[&place, remedy]);
        let said = one_fault(name, &format!("{REST}mass:960 kg\nname: x\n"));
        holds(&said, &[&place.replace("1:1", "5:1"), remedy]);
    }
    let said = one_fault("a.yaml", "gearbox:\n  shift_time:0.3 s\n  ratios: [2, 1]\n");
    holds(
        &said,
        &["a.yaml:2:3: error: no space", "`shift_time: 0.3 s`"],
    );
}

#[test]
fn keys_without_a_colon_are_told_on_their_own_line() {
    let pieces = "name: x\nkind: stage\npieces:\n  - straight: 170 m\n";
    let said = one_fault(
        "plan.yaml",
        &format!("{pieces}  - corner {{radius: 18 m, turn: 150 deg, direction: right}}\n"),
    );
    holds(
        &said,
        &[
            "plan.yaml: track, 1 fault",
            "plan.yaml:5:5: error: a colon is missing after `corner`",
            "write `- corner: {…}`",
        ],
    );
    // What is missing of the piece follows from it.
    let said = faults(
        "plan.yaml",
        &format!("{pieces}  - corner {{radius: 18 m}}\n"),
        2,
    );
    holds(
        &said,
        &[
            "plan.yaml:5:5: error: a colon is missing after `corner`",
            "write `corner: {…}`",
        ],
    );
    let said = one_fault("plan.yaml", &format!("{pieces}  - straight:90 m\n"));
    holds(
        &said,
        &["plan.yaml:5:5: error: no space", "`straight: 90 m`"],
    );
    let several = "gearbox {\n  ratios: [2, 1]\n}\nmass: 960 kg\n";
    let said = one_fault("car.yaml", several);
    holds(
        &said,
        &["car.yaml:1:1: error: a colon is missing after `gearbox`"],
    );
    let said = one_fault("car.yaml", &format!("mass: 960 kg\nratios [2, 1]\n{REST}"));
    holds(
        &said,
        &["car.yaml:2:1: error: a colon", "write `ratios: […]`"],
    );
    let said = one_fault("car.yaml", &format!("mass 960 kg\n{REST}"));
    holds(&said, &["car.yaml:1:1: error: a key without its colon"]);
}

/// The line of an error is its own where nothing above it is at fault.
#[test]
fn other_faults_keep_their_place() {
    for (text, place) in [
        ("drive: RWD\nname: Rowan: coupe\n", "2:12"),
        ("drive: http://here\n  name: x\n", "2:3"),
        ("drive: RWD\n  name: x\n", "2:3"),
        ("ratios: [2,\n  one\ndrive: x\n", "3:6"),
        ("specs:\n  - short:1\nb\ndrive: x\n", "3:1"),
    ] {
        let said = one_fault("car.yaml", text);
        holds(&said, &[&format!("car.yaml:{place}: error: ")]);
    }
}

#[test]
fn a_file_that_is_no_yaml_is_told_why_and_not_that_it_is_of_no_kind() {
    let said = one_fault("note.yaml", "hello: there: x\n");
    holds(
        &said,
        &["note.yaml:1:13: error: a colon followed by a space"],
    );
    let said = one_fault("note.yml", "");
    holds(&said, &["note.yml: error: this file is empty"]);
    let said = one_fault("note", "hello: there: x\n");
    holds(&said, &["this is no study, car, test day or track"]);
}
