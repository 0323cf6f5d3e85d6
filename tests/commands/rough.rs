//! What disks, shells and other people do to a run: nothing is lost, nothing half-written is left.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use super::pullrank;
use super::world::World;

/// `report` of the small study into a file of its folder.
fn report(world: &World, file: &str) -> assert_cmd::Command {
    let mut command = pullrank();
    command
        .arg("report")
        .arg(world.path("study.yaml"))
        .args(["--draws", "40", "-o"])
        .arg(world.path(file));
    command
}

fn names(world: &World) -> Vec<String> {
    let listing = fs::read_dir(world).unwrap();
    let mut names: Vec<String> = listing
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

const SOUND: [&str; 5] = [
    "car.yaml",
    "long.csv",
    "study.yaml",
    "testday.yaml",
    "track.yaml",
];

/// One clear fault, exit code 1, nothing on standard output.
fn refused(world: &World, output: &Output) -> String {
    let said = world.said(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(output.stdout.is_empty());
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(!said.contains("panicked"), "{said}");
    said
}

fn is_whole(page: &[u8]) -> bool {
    let text = String::from_utf8_lossy(page);
    text.starts_with("<!") && text.trim_end().ends_with("</html>")
}

#[test]
fn a_place_that_cannot_be_written_is_said_before_the_work() {
    let world = World::new();
    fs::create_dir(world.path("folder.html")).unwrap();
    fs::write(world.path("kept.html"), "old").unwrap();
    for (file, wanted) in [
        ("none/x.html", "there is no folder"),
        ("folder.html", "no ordinary file"),
        ("kept.html", "exists already"),
        ("car.yaml/x.html", "there is no folder car.yaml"),
    ] {
        let said = refused(&world, &report(&world, file).output().unwrap());
        assert!(said.starts_with(file) && said.contains(wanted), "{said}");
    }
    assert_eq!(fs::read(world.path("kept.html")).unwrap(), b"old");
    assert_eq!(names(&world).len(), SOUND.len() + 2);
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_may_only_be_read_is_said() {
    let world = World::new();
    let mut command = pullrank();
    command.arg("report").arg(world.path("study.yaml"));
    let output = command.args(["-o", "/proc/x.html"]).output().unwrap();
    let said = refused(&world, &output);
    assert!(
        said.starts_with("/proc/x.html: error: it cannot be written"),
        "{said}"
    );
}

/// Runs the shell line with the program as `$0` and its arguments after it.
#[cfg(unix)]
fn in_shell(line: &str, world: &World, file: &str) -> Output {
    Command::new("sh")
        .args(["-c", line])
        .arg(assert_cmd::cargo::cargo_bin!("pullrank"))
        .arg("report")
        .arg(world.path("study.yaml"))
        .args(["--draws", "40", "--force", "-o"])
        .arg(world.path(file))
        .output()
        .unwrap()
}

#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_the_old_file_and_nothing_else() {
    let world = World::new();
    fs::write(world.path("page.html"), "old").unwrap();
    // No file may grow beyond a few blocks; the signal for that is left to the program.
    let output = in_shell(
        "ulimit -f 8; trap '' XFSZ; exec \"$0\" \"$@\"",
        &world,
        "page.html",
    );
    let said = refused(&world, &output);
    assert!(
        said.starts_with("page.html: error: it cannot be written"),
        "{said}"
    );
    assert_eq!(fs::read(world.path("page.html")).unwrap(), b"old");
    assert_eq!(names(&world).len(), SOUND.len() + 1);
}

#[cfg(unix)]
#[test]
fn killed_while_writing_the_old_file_is_intact() {
    use std::os::unix::process::ExitStatusExt;
    let world = World::new();
    fs::write(world.path("page.html"), "old").unwrap();
    let output = in_shell(
        "ulimit -c 0; ulimit -f 8; exec \"$0\" \"$@\"",
        &world,
        "page.html",
    );
    assert!(output.status.signal().is_some(), "{:?}", output.status);
    assert_eq!(fs::read(world.path("page.html")).unwrap(), b"old");
    // What a killed run leaves does not hinder the next.
    let output = report(&world, "page.html").arg("--force").output().unwrap();
    assert!(output.status.success(), "{}", world.said(&output.stderr));
    assert!(is_whole(&fs::read(world.path("page.html")).unwrap()));
}

/// Waits until the program has begun to draw, which it does in several threads.
#[cfg(target_os = "linux")]
fn wait_for_draws(process: u32) {
    for _ in 0..600 {
        let about = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
        let threads = about.lines().find_map(|line| line.strip_prefix("Threads:"));
        if threads.is_some_and(|count| count.trim() != "1") {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    panic!("the program does not begin to draw");
}

#[cfg(target_os = "linux")]
#[test]
fn stopped_from_the_keyboard_it_has_written_nothing() {
    use std::os::unix::process::ExitStatusExt;
    let world = World::new();
    fs::write(world.path("page.html"), "old").unwrap();
    for arguments in [&["rank"][..], &["report", "--force", "-o"]] {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("pullrank"));
        command.args(arguments);
        if arguments.len() > 1 {
            command.arg(world.path("page.html"));
        }
        let child = command
            .arg(world.path("study.yaml"))
            .args(["--draws", "100000"])
            .env("RAYON_NUM_THREADS", "2")
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        wait_for_draws(child.id());
        let process = child.id().to_string();
        let sent = Command::new("kill").args(["-INT", &process]).status();
        assert!(sent.unwrap().success());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.signal(), Some(2), "{:?}", output.status);
        assert!(output.stdout.is_empty());
        assert_eq!(fs::read(world.path("page.html")).unwrap(), b"old");
        assert_eq!(names(&world).len(), SOUND.len() + 1, "{:?}", names(&world));
    }
}

#[test]
fn a_reader_who_has_gone_is_no_error() {
    let world = World::new();
    for command in ["rank", "check", "gearing"] {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin!("pullrank"))
            .arg(command)
            .arg(world.path("study.yaml"))
            .args(if command == "rank" {
                &["--draws", "40"][..]
            } else {
                &[]
            })
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(
            output.status.code(),
            Some(0),
            "{command}: {}",
            world.said(&output.stderr)
        );
    }
}

#[test]
fn two_runs_that_write_one_file_leave_one_whole_file() {
    for (force, successes) in [(true, 2), (false, 1)] {
        let world = World::new();
        let start = || {
            let mut command = Command::new(assert_cmd::cargo::cargo_bin!("pullrank"));
            command.arg("report").arg(world.path("study.yaml"));
            command
                .args(["--draws", "40", "-o"])
                .arg(world.path("page.html"));
            command.args(force.then_some("--force"));
            command.stdout(Stdio::piped()).stderr(Stdio::piped());
            command.spawn().unwrap()
        };
        let runs = [start(), start()];
        let outputs = runs.map(|child| child.wait_with_output().unwrap());
        let good = outputs
            .iter()
            .filter(|output| output.status.success())
            .count();
        assert_eq!(good, successes, "{outputs:?}");
        for output in outputs.iter().filter(|output| !output.status.success()) {
            assert!(refused(&world, output).contains("exists already"));
        }
        assert!(is_whole(&fs::read(world.path("page.html")).unwrap()));
        assert_eq!(names(&world).len(), SOUND.len() + 1);
    }
}

/// A copy of the small study in a folder of this name, and its page beside it.
fn works_in(folder: &Path) {
    let world = World::new();
    let inside = world.path("").join(folder);
    fs::create_dir(&inside).unwrap();
    for name in SOUND {
        fs::copy(world.path(name), inside.join(name)).unwrap();
    }
    // Named from within, as a person would: no part of the path but the name itself.
    let run = |arguments: &[&std::ffi::OsStr]| {
        let mut command = pullrank();
        command.current_dir(world.path("")).args(arguments);
        command.output().unwrap()
    };
    let shown = |output: Output| {
        let said = world.said(&output.stderr);
        assert!(output.status.success(), "{folder:?}: {said}");
        output.stdout
    };
    let draws = ["--draws", "40"].map(std::ffi::OsStr::new);
    let whole = [
        &["rank".as_ref()][..],
        &draws,
        &["--".as_ref(), folder.as_os_str()],
    ]
    .concat();
    let out = shown(run(&whole));
    assert!(String::from_utf8_lossy(&out).contains("Mill Lane"));
    let page = folder.join("page.html");
    let mut arguments = [&["report".as_ref()][..], &draws].concat();
    arguments.extend(["--".as_ref(), folder.as_os_str()]);
    let mut with = std::ffi::OsString::from("--output=");
    with.push(&page);
    arguments.insert(1, &with);
    shown(run(&arguments));
    assert!(is_whole(&fs::read(world.path("").join(&page)).unwrap()));
    fs::write(inside.join("car.yaml"), "").unwrap();
    let said = refused(&world, &run(&whole));
    assert!(
        said.contains("car.yaml: error: this file is empty"),
        "{said}"
    );
}

#[test]
fn odd_names_of_folders_are_only_names() {
    for name in [
        "a b",
        "Größe 9°",
        "-o",
        "--help",
        "[1]*?",
        "a'b\"c",
        "%s{x}",
        &"n".repeat(250),
    ] {
        works_in(Path::new(name));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn names_that_are_no_text_are_only_names() {
    use std::os::unix::ffi::OsStrExt;
    for name in [&b"two\nlines"[..], b"\x1b[2J", b"\xff\xfe", b"tab\there"] {
        works_in(&PathBuf::from(std::ffi::OsStr::from_bytes(name)));
    }
}

#[cfg(unix)]
#[test]
fn what_is_no_ordinary_file_is_refused_with_its_name() {
    let world = World::new();
    std::os::unix::fs::symlink("loop.yaml", world.path("loop.yaml")).unwrap();
    std::os::unix::fs::symlink("nowhere.yaml", world.path("dangling.yaml")).unwrap();
    fs::create_dir(world.path("folder.yaml")).unwrap();
    fs::write(world.path("empty.yaml"), "").unwrap();
    fs::write(world.path("blank.yaml"), " \n\n# nothing\n").unwrap();
    fs::write(
        world.path("binary.yaml"),
        [0x7f, b'E', b'L', b'F', 0, 0, 1, 2],
    )
    .unwrap();
    let long = format!("{}.yaml", "n".repeat(300));
    for (name, wanted) in [
        ("loop.yaml", "cannot be read"),
        (
            "dangling.yaml",
            "this is a link to a file that is not there",
        ),
        ("folder.yaml", "this is a folder, and a file is wanted"),
        ("empty.yaml", "this file is empty"),
        ("blank.yaml", "this file is empty"),
        ("binary.yaml", "it is not text"),
        (long.as_str(), "cannot be read"),
    ] {
        let output = pullrank()
            .arg("car")
            .arg(world.path(name))
            .output()
            .unwrap();
        let said = world.said(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{name}: {said}");
        assert!(!said.contains("panicked"), "{said}");
        let quoted = serde_json::to_string(name).unwrap();
        let study = World::new().edit("study.yaml", "car: car.yaml", &format!("car: {quoted}"));
        for file in ["loop.yaml", "dangling.yaml"] {
            std::os::unix::fs::symlink(world.path(file), study.path(file)).unwrap();
        }
        fs::create_dir(study.path("folder.yaml")).unwrap();
        for file in ["empty.yaml", "blank.yaml", "binary.yaml"] {
            fs::copy(world.path(file), study.path(file)).unwrap();
        }
        let said = study.faults();
        assert!(said.contains(wanted), "{name}: {said}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_file_that_fails_while_it_is_read_is_said() {
    let world = World::new().edit("study.yaml", "car: car.yaml", "car: /proc/self/mem");
    let said = world.faults();
    assert!(
        said.contains("/proc/self/mem: error: this file cannot be read"),
        "{said}"
    );
}

/// A page goes with the files as they were when it was worked out, also when one has changed since.
#[test]
fn the_page_shows_its_files_as_they_were_read() {
    use pullrank::files::finding::Findings;
    let world = World::new();
    let mut found = Findings::new();
    let study = pullrank::files::study::read(&world.path("study.yaml"), &mut found);
    assert!(study.is_some());
    let before = fs::read_to_string(world.path("car.yaml")).unwrap();
    let world = world.edit("car.yaml", "960 kg", "690 kg");
    let files = found.files();
    let read: Vec<&str> = files
        .iter()
        .filter_map(|file| file.path.file_name()?.to_str())
        .collect();
    assert_eq!(
        read,
        [
            "study.yaml",
            "testday.yaml",
            "long.csv",
            "car.yaml",
            "track.yaml"
        ]
    );
    let car = files
        .iter()
        .find(|file| file.path == world.path("car.yaml"));
    assert_eq!(car.unwrap().text.as_deref(), Some(before.as_str()));
}

/// Somebody saves a file over and over while it is read: it is read or refused.
#[test]
fn a_file_that_changes_while_it_is_read_is_read_or_refused() {
    use pullrank::files::finding::Findings;
    use std::sync::atomic::{AtomicBool, Ordering};
    let world = World::new();
    let path = world.path("track.yaml");
    let text = fs::read_to_string(&path).unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for cut in (0..text.len()).cycle() {
                if done.load(Ordering::Relaxed) {
                    break;
                }
                fs::write(&path, &text[..cut]).unwrap();
            }
        });
        for _ in 0..300 {
            let mut found = Findings::new();
            let track = pullrank::files::track::read(&path, &mut found);
            assert_eq!(track.is_none(), found.has_errors());
        }
        done.store(true, Ordering::Relaxed);
    });
}
