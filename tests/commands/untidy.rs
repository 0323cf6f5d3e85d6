//! Untidy studies of newcomers: every fault at its own line, and nothing of theirs written over.

use std::fs;

use super::pullrank;
use super::world::World;

/// What a command says on standard error, with its exit code.
fn said(world: &World, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = pullrank();
    let output = command.current_dir(world).args(arguments).output().unwrap();
    (output.status.code(), world.said(&output.stderr))
}

#[test]
fn commas_for_decimals_in_yaml_are_told_with_the_number() {
    let world = World::new().edit("car.yaml", "flywheel: light", "grip: {tarmac: 0,95}");
    let faults = world.faults();
    assert!(
        faults.contains("`95` stands alone: a comma in braces parts entries"),
        "{faults}"
    );
    assert!(faults.contains("as in `0.95`"), "{faults}");
    let torque = "[110, 125, 140, 152, 150, 135]";
    let commas = "[110,5, 125,2, 140,1, 152,4, 150,0, 135,3]";
    let faults = World::new().edit("testday.yaml", torque, commas).faults();
    assert!(
        faults.contains("a comma parts entries: 12 are read here"),
        "{faults}"
    );
    assert!(faults.contains("as in `110.5`"), "{faults}");
    // Pairs that rise are taken as they stand.
    let paired = "[110,125, 140,152, 153,160]";
    let world = World::new().edit("testday.yaml", torque, paired);
    assert!(world.rank().status.success());
}

#[test]
fn every_unknown_word_of_notes_is_named_where_it_stands() {
    let notes = "notes: |\n  100 jct 60 3R\n  80 4L long\n  chikane 120 3L";
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\n{notes}\n");
    let world = World::new().write("track.yaml", track);
    let faults = world.faults();
    assert!(
        faults.contains("track.yaml:5:7: error: note 2, `jct`, is not known"),
        "{faults}"
    );
    assert!(
        faults.contains("track.yaml:7:3: error: note 8, `chikane`, is not known"),
        "{faults}"
    );
    assert_eq!(faults.matches("error: ").count(), 2, "{faults}");
    let quoted = "notes: {text: \"100 jct 60 3R\", slope: 1 %}";
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\n{quoted}\n");
    let faults = World::new().write("track.yaml", track).faults();
    assert!(
        faults.contains("track.yaml:4:20: error: note 2, `jct`"),
        "{faults}"
    );
}

#[test]
fn a_file_that_was_read_is_never_written_over() {
    let world = World::new();
    fs::create_dir(world.path("deep")).unwrap();
    let mut names = vec![
        "study.yaml",
        "./study.yaml",
        "deep/../track.yaml",
        "long.csv",
    ];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("car.yaml", world.path("link.html")).unwrap();
        names.push("link.html");
    }
    let files = ["study.yaml", "car.yaml", "track.yaml", "long.csv"];
    let before = files.map(|name| fs::read(world.path(name)).unwrap());
    for name in names {
        let (code, said) = said(&world, &["report", "study.yaml", "--force", "-o", name]);
        assert_eq!(code, Some(1), "{name}: {said}");
        assert!(
            said.contains("this file was read for the answer and is not written over"),
            "{said}"
        );
        assert_eq!(
            files.map(|name| fs::read(world.path(name)).unwrap()),
            before,
            "{name}"
        );
    }
    let sheet = [
        "sheet",
        "study.yaml",
        "--venue",
        "Mill",
        "--force",
        "-o",
        "long.txt",
    ];
    let world = world.edit("testday.yaml", "long.csv", "long.txt");
    fs::rename(world.path("long.csv"), world.path("long.txt")).unwrap();
    let (code, said) = said(&world, &sheet);
    assert_eq!(code, Some(1), "{said}");
    assert!(
        said.contains("long.txt: error: this file was read"),
        "{said}"
    );
}

#[cfg(unix)]
#[test]
fn pictures_spare_what_was_read_too() {
    let world = World::new();
    fs::create_dir(world.path("plans")).unwrap();
    std::os::unix::fs::symlink("../track.yaml", world.path("plans/mill-lane.svg")).unwrap();
    let before = fs::read(world.path("track.yaml")).unwrap();
    let (code, said) = said(
        &world,
        &["venue", "track.yaml", "--svg", "plans", "--force"],
    );
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("this file was read for the answer"), "{said}");
    assert_eq!(fs::read(world.path("track.yaml")).unwrap(), before);
}

#[test]
fn a_folder_for_plans_is_made_alone_and_a_file_is_refused() {
    let world = World::new();
    let (code, told) = said(&world, &["venue", "track.yaml", "--svg", "plans"]);
    assert_eq!(code, Some(0), "{told}");
    assert!(world.path("plans/mill-lane.svg").exists());
    for (place, wanted) in [
        ("car.yaml", "this is no folder, and pictures go into one"),
        ("one/two", "the folder that this one belongs in is missing"),
    ] {
        let (code, told) = said(&world, &["venue", "track.yaml", "--svg", place]);
        assert_eq!(code, Some(1), "{told}");
        assert!(
            told.contains(wanted) && !told.contains("os error"),
            "{told}"
        );
    }
    assert!(!world.path("one").exists());
}

#[test]
fn few_draws_are_told_by_their_own_number() {
    let world = World::new();
    let arguments = ["rank", "study.yaml", "--venue", "Mill", "--draws"];
    let run = |draws: &str| {
        let mut command = pullrank();
        let command = command.current_dir(&world).args(arguments).arg(draws);
        String::from_utf8(command.output().unwrap().stdout).unwrap()
    };
    let few = run("40");
    assert!(
        few.contains("of 40 draws") && !few.contains("of 100"),
        "{few}"
    );
    assert!(run("200").contains("of 100 draws"));
}

#[test]
fn a_number_of_draws_that_is_none_is_told_in_words() {
    let world = World::new();
    for draws in ["-5", "4.5", "many"] {
        let (code, said) = said(&world, &["rank", "study.yaml", "--draws", draws]);
        assert_eq!(code, Some(2));
        assert!(said.contains("write a whole number, as in 2000"), "{said}");
        assert!(!said.contains("tip:") && !said.contains("digit"), "{said}");
    }
    let (_, said) = said(&world, &["rank", "study.yaml", "--venue", "Mlil"]);
    assert!(said.contains("did you mean `Mill Lane`?"), "{said}");
}

#[test]
fn a_road_made_enormous_by_repeats_is_refused_at_the_repeat() {
    let road = "  - repeat:\n      times: 30\n      pieces:\n        - repeat: {times: 1000, pieces: \
                [{straight: 33 m}]}\n";
    let track = format!(
        "name: Mill Lane\nkind: stage\nsurface: tarmac\npieces:\n  - straight: 90 m\n{road}"
    );
    let faults = World::new().write("track.yaml", track).faults();
    assert_eq!(faults.matches("error: ").count(), 1, "{faults}");
    assert!(
        faults.starts_with("track.yaml:7:7: error: this repeat is 990 km long, and at most 200 km"),
        "{faults}"
    );
    let pieces = ["  - straight: 90 km\n"; 3].concat();
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\npieces:\n{pieces}");
    let faults = World::new().write("track.yaml", track).faults();
    assert!(faults.contains("this road is 270 km long"), "{faults}");
}

#[test]
fn what_a_track_names_is_missing_at_its_line() {
    let head = "name: Mill Lane\nkind: stage\nsurface: tarmac\n";
    for (source, wanted) in [
        (
            "path: gone.gpx\n",
            "track.yaml:4:7: error: gone.gpx: there is no such file",
        ),
        (
            "log: {file: gone.csv}\n",
            "track.yaml:4:13: error: gone.csv: there is no such file",
        ),
    ] {
        let faults = World::new()
            .write("track.yaml", format!("{head}{source}"))
            .faults();
        assert!(faults.starts_with(wanted), "{faults}");
    }
    let known = World::new().edit(
        "track.yaml",
        "pieces:",
        "known: {time: \"0:01.0\"}\npieces:",
    );
    let faults = known.faults();
    assert!(
        faults.starts_with("track.yaml:5:8: error: Mill Lane: the known time"),
        "{faults}"
    );
}

#[test]
fn grades_out_of_order_are_asked_about() {
    let graded = |scale: &str| {
        let track = format!(
            "name: Mill Lane\nkind: stage\nsurface: tarmac\ngrades: {scale}\nnotes: 100 3R 60 4L 80\n"
        );
        let world = World::new().write("track.yaml", track);
        said(&world, &["venue", "track.yaml"]).1
    };
    let said = graded("{3: 66 km/h, 4: 48 km/h, 5: 105 km/h}");
    assert!(
        said.contains("grade 4 is slower than 3, and the other grades rise"),
        "{said}"
    );
    assert_eq!(graded("{3: 66 km/h, 4: 84 km/h, 6: flat}"), "");
    assert_eq!(graded("{3: 105 km/h, 4: 84 km/h, 5: 66 km/h}"), "");
}

#[test]
fn results_that_no_share_explains_have_a_next_step_of_their_own() {
    let run = |time: &str| {
        let results =
            format!("results: [{{venue: Mill Lane, spec: long, time: \"{time}\"}}]\nvenues:");
        let world = World::new().edit("study.yaml", "venues:", &results);
        let mut command = pullrank();
        let command = command.current_dir(&world);
        let arguments = ["results", "study.yaml", "--draws", "40"];
        let output = command.args(arguments).output().unwrap();
        assert!(output.status.success(), "{}", world.said(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let absurd = run("0:01.0");
    assert!(
        absurd.contains("Next: look at what is named above"),
        "{absurd}"
    );
    assert!(!absurd.contains("write the shares"), "{absurd}");
    assert!(absurd.contains("Small: 1 result against"), "{absurd}");
}
