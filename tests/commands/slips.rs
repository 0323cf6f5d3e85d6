//! Slips that everybody makes: one clear sentence at the place where it is mended.

use std::fs;

use super::pullrank;
use super::world::World;

/// What a command says that is refused, without the folder's own path.
fn refused(world: &World, arguments: &[&str]) -> String {
    let output = pullrank()
        .current_dir(world)
        .args(arguments)
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{arguments:?}: {said}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    assert!(!said.contains("panicked"), "{said}");
    said
}

/// As [`refused`], with one error and no more.
fn one_fault(world: &World, arguments: &[&str]) -> String {
    let said = refused(world, arguments);
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    said
}

/// Sizes that no road has: another unit was meant.
#[test]
fn sizes_in_other_units_are_asked_about() {
    let of = |from: &str, to: &str| World::new().edit("track.yaml", from, to);
    let asked = |from: &str, to: &str| super::loggers::told(&of(from, to));
    let said = asked("radius: 30 m", "radius: 2 miles");
    assert!(
        said.contains("track.yaml:7:22: warning: `2 miles` is a radius of 3.2 km"),
        "{said}"
    );
    let said = asked("turn: 90 deg", "turn: 1.57");
    assert!(
        said.contains("track.yaml:7:34: warning: `1.57` is read as degrees"),
        "{said}"
    );
    let said = asked("turn: 90 deg", "turn: 5.5 rad");
    assert!(
        said.contains("`5.5 rad` is more than three quarters of a circle"),
        "{said}"
    );
    let said = asked("straight: 90 m", "straight: 9 miles");
    assert!(said.contains("`9 miles` is 14.5 km in one piece"), "{said}");
    for (from, to) in [
        ("radius: 30 m", "radius: 1.5 km"),
        ("radius: 30 m", "radius: 3000 m"),
        ("turn: 90 deg", "turn: 180"),
        ("turn: 90 deg", "turn: 4 deg"),
        ("straight: 90 m", "straight: 5 miles"),
    ] {
        assert_eq!(asked(from, to), "", "{to}");
    }
}

#[test]
fn a_file_of_another_kind_is_told_by_what_it_looks_like() {
    let gpx = "<?xml version=\"1.0\"?>\n<gpx><trk/></gpx>\n";
    let line = r#"{"type": "LineString", "coordinates": [[7, 45], [7.1, 45.1]]}"#;
    let world = World::new()
        .write("ride.gpx", gpx)
        .write("line.geojson", line);
    for (arguments, wanted) in [
        (
            ["car", "track.yaml"],
            "looks like a track file, and a car file is asked for",
        ),
        (
            ["venue", "car.yaml"],
            "looks like a car file, and a track file is asked for",
        ),
        (
            ["pulls", "car.yaml"],
            "looks like a car file, and a test-day file is asked for",
        ),
        (
            ["pulls", "study.yaml"],
            "looks like a study file, and a test-day file is asked for",
        ),
        (
            ["rank", "track.yaml"],
            "looks like a track file, and a study file is asked for",
        ),
        (
            ["rank", "car.yaml"],
            "looks like a car file, and a study file is asked for",
        ),
        (
            ["car", "testday.yaml"],
            "looks like a test-day file, and a car file is asked for",
        ),
        (
            ["venue", "ride.gpx"],
            "this file is XML, as GPX is, and one with keys is asked for",
        ),
        (
            ["venue", "line.geojson"],
            "looks like a GeoJSON file, and a track file is asked for",
        ),
        (
            ["car", "long.csv"],
            "this file is a table, and one with keys is asked for",
        ),
    ] {
        let said = one_fault(&world, &arguments);
        assert!(
            said.starts_with(arguments[1]) && said.contains(wanted),
            "{said}"
        );
    }
    let world = world.edit("study.yaml", "car: car.yaml", "car: track.yaml");
    let said = one_fault(&world, &["rank", "study.yaml"]);
    assert!(
        said.starts_with("track.yaml:1:1: error: this looks like a track file"),
        "{said}"
    );
}

#[test]
fn a_misspelt_surface_is_a_fault_of_the_line_that_names_it() {
    let world = World::new().edit("track.yaml", "surface: tarmac", "surface: tarmca");
    for arguments in [
        &["rank", "study.yaml"][..],
        &["venue", "track.yaml", "--car", "car.yaml"],
    ] {
        let said = one_fault(&world, arguments);
        assert!(
            said.starts_with("track.yaml:3:10: error: Mill Lane: `tarmca` is no usual surface"),
            "{said}"
        );
        assert!(said.contains("did you mean `tarmac`?"), "{said}");
    }
    let world = World::new().edit(
        "track.yaml",
        "straight: 90 m",
        "straight: {length: 90 m, surface: wet gravle}",
    );
    let said = one_fault(&world, &["rank", "study.yaml"]);
    assert!(said.starts_with("track.yaml:8:"), "{said}");
    assert!(said.contains("did you mean `wet gravel`?"), "{said}");
}

#[test]
fn a_folder_in_place_of_a_file_names_what_is_in_it() {
    let world = World::new();
    fs::create_dir(world.path("roads")).unwrap();
    fs::copy(world.path("track.yaml"), world.path("roads/lane.yaml")).unwrap();
    let said = one_fault(&world, &["car", "roads"]);
    assert!(
        said.contains("roads: error: this folder has no car file"),
        "{said}"
    );
    assert!(said.contains("its files are `lane.yaml`"), "{said}");
    fs::copy(world.path("car.yaml"), world.path("roads/one.yaml")).unwrap();
    fs::copy(world.path("car.yaml"), world.path("roads/two.yaml")).unwrap();
    let said = one_fault(&world, &["car", "roads"]);
    assert!(
        said.contains("more than one car file: `one.yaml`, `two.yaml`"),
        "{said}"
    );
    let said = one_fault(&world, &["car", "nowhere.yml"]);
    assert!(
        said.contains("nowhere.yml: error: there is no such file"),
        "{said}"
    );
    let said = one_fault(&world, &["car", "roads/quite-another.yaml"]);
    assert!(
        said.contains("there are `lane.yaml`, `one.yaml`, `two.yaml`"),
        "{said}"
    );
}

#[test]
fn one_faulty_row_is_one_fault() {
    let head = "rpm,torque (Nm),power (kW),time (s)\n";
    let good =
        "2000,100,20.9,0\n3000,120,37.7,1\n4000,130,54.5,2\n5000,125,65.4,3\n6000,110,69.1,4\n";
    for row in ["x,-,?,q\n", ",,4,\n"] {
        let world = World::new().write("long.csv", format!("{head}{row}{good}"));
        let said = one_fault(&world, &["pulls", "testday.yaml"]);
        assert!(said.contains("long.csv:2:"), "{row}: {said}");
    }
}

#[test]
fn a_day_that_no_calendar_has_is_refused() {
    let track = "name: x\nkind: stage\nsurface: tarmac\npath: ride.gpx\n";
    let point = |i: u32, day: u32| {
        format!(
            "<trkpt lat=\"45.00{i}\" lon=\"7.0\"><time>2024-02-{day}T10:00:{i:02}Z</time></trkpt>\n"
        )
    };
    let points = |day| {
        (1..6)
            .map(|i| point(i, if i == 4 { day } else { 29 }))
            .collect::<String>()
    };
    let gpx = |day| format!("<gpx><trk><trkseg>\n{}</trkseg></trk></gpx>\n", points(day));
    let world = World::new()
        .write("x.yaml", track)
        .write("ride.gpx", gpx(31));
    let said = one_fault(&world, &["venue", "x.yaml"]);
    assert!(said.contains("ride.gpx:5:"), "{said}");
    assert!(
        said.contains("`2024-02-31T10:00:04Z` is no date and time of the calendar"),
        "{said}"
    );
    let world = world.write("ride.gpx", gpx(29));
    assert!(
        pullrank()
            .arg("venue")
            .arg(world.path("x.yaml"))
            .output()
            .unwrap()
            .status
            .success()
    );
    let row = |i: u32, month: u32| format!("2024-{month:02}-31 10:00:{i:02},{}\n", 50 + i);
    let rows: String = (1..6).map(|i| row(i, if i == 3 { 4 } else { 3 })).collect();
    let world = world
        .write("run.csv", format!("time,speed (km/h)\n{rows}"))
        .write("x.yaml", track.replace("path: ride.gpx", "log: run.csv"));
    let said = one_fault(&world, &["venue", "x.yaml"]);
    assert!(
        said.contains("run.csv:4:1: error: `2024-04-31 10:00:03` is no date"),
        "{said}"
    );
}

#[test]
fn a_loaded_way_down_is_spoken_of() {
    let up = (0..11).map(|i| (2000 + 500 * i, 120 + i));
    let down = (1..9).map(|i| (7000 - 500 * i, 140 - i));
    let rows = up
        .chain(down)
        .map(|(rpm, torque)| format!("{rpm},{torque}\n"));
    let table = format!("rpm,torque (Nm)\n{}", rows.collect::<String>());
    let world = World::new().write("long.csv", table).edit(
        "testday.yaml",
        "method: steps",
        "method: sweep",
    );
    let output = pullrank()
        .arg("pulls")
        .arg(world.path("testday.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    assert!(said.contains("long.csv:13:1: warning: after the sweep the engine pulls on its way down too: 8 rows left out"), "{said}");
}

#[test]
fn columns_of_one_name_are_refused_where_they_differ() {
    let rows = "2000,100,150\n3000,120,160\n4000,130,170\n5000,125,160\n6000,110,150\n";
    let world = World::new().write("long.csv", format!("rpm,torque (Nm),torque (Nm)\n{rows}"));
    let said = one_fault(&world, &["pulls", "testday.yaml"]);
    assert!(
        said.contains("long.csv:1:17: error: columns 2 and 3 are both called `torque`"),
        "{said}"
    );
    let rows = "0,50,51\n1,55,70\n2,60,61\n3,64,65\n";
    let world = world
        .write(
            "run.csv",
            format!("time (s),speed (km/h),Speed (km/h)\n{rows}"),
        )
        .write(
            "x.yaml",
            "name: x\nkind: stage\nsurface: tarmac\nlog: run.csv\n",
        );
    let said = one_fault(&world, &["venue", "x.yaml"]);
    assert!(
        said.contains("columns 2 and 3 are both called `speed`"),
        "{said}"
    );
}

#[test]
fn a_next_step_can_be_typed_as_it_stands() {
    let world = World::empty();
    let new = |name: &str| {
        let output = pullrank()
            .current_dir(&world)
            .args(["new", "--", name])
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    assert!(new("-x").contains("pullrank rank ./-x answers"));
    assert!(new("-o x").contains(r#"pullrank rank "./-o x" answers"#));
    let output = pullrank()
        .current_dir(&world)
        .args(["check", "./-x"])
        .output()
        .unwrap();
    assert!(output.status.success());
}

#[cfg(target_os = "linux")]
#[test]
fn a_place_that_takes_no_files_is_said_in_words() {
    let world = World::new();
    for arguments in [
        &["new", "/proc/x"][..],
        &["report", "study.yaml", "-o", "/proc/x.html"],
    ] {
        let said = one_fault(&world, arguments);
        assert!(
            said.contains("it cannot be written: its folder takes no new files"),
            "{said}"
        );
        assert!(!said.contains("os error"), "{said}");
    }
}

/// Whoever may read everything is made somebody who may not, where the system has the means.
#[cfg(target_os = "linux")]
#[test]
fn a_file_that_may_not_be_read_is_said() {
    use std::os::unix::fs::PermissionsExt;
    use std::process::Command;
    let world = World::new();
    let locked = fs::Permissions::from_mode(0o000);
    fs::set_permissions(world.path("car.yaml"), locked).unwrap();
    let program = assert_cmd::cargo::cargo_bin!("pullrank");
    let mut command = match fs::read(world.path("car.yaml")) {
        Err(_) => Command::new(program),
        Ok(_) => {
            // The program may lie where nobody else may go.
            let copy = world.path("program");
            fs::copy(program, &copy).unwrap();
            let mut command = Command::new("setpriv");
            command
                .args(["--reuid=65534", "--regid=65534", "--clear-groups"])
                .arg(copy);
            command
        }
    };
    let Ok(output) = command.arg("rank").arg(world.path("study.yaml")).output() else {
        eprintln!("left out: this user reads everything, and there is no setpriv");
        return;
    };
    let said = world.said(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(
        said.contains("car.yaml: error: this file may not be read: permission denied"),
        "{said}"
    );
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
}

#[test]
fn a_dash_wants_a_space() {
    let world = World::new().edit("testday.yaml", "- name: short", "-name: short");
    let said = refused(&world, &["rank", "study.yaml"]);
    assert!(said.contains("no space stands after the dash"), "{said}");
    assert!(said.contains("put one there: `- name: short`"), "{said}");
}
