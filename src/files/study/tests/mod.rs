//! Studies read whole: what they assume, and what is wrong with them.

mod driver;
mod folders;

use super::*;
use crate::files::finding::Severity;
use crate::venue::EventKind;
use std::fs;

/// A folder of its own for each test, removed afterwards.
struct Folder(PathBuf);

const CAR: &str = "name: Minnow\nmass: 960 kg\ndrive: rear\ntyre: 185/60R13\n\
                   ratios: [2.94, 1.94, 1.36, 1.00]\nfinal_drive: 9/38\nflywheel: light\n";
const TEST_DAY: &str = "corrected: DIN 70020\ncorrect_to: DIN 70020\ndyno: {measures: flywheel, method: steps}\nspecs:\n\
  - {name: one, fittings: [{points: {rpm: [2000, 3000, 4000, 5000, 6000, 7000], torque: [120, 130, 140, 150, 145, 130]}}]}\n\
  - {name: two, fittings: [{points: {rpm: [2000, 3000, 4000, 5000, 6000, 6800], torque: [110, 125, 140, 152, 150, 135]}}]}\n";
const LANE: &str = "name: Lane\nkind: stage\nsurface: tarmac\npieces: [{straight: 140 m}, {corner: {radius: 30 m, turn: 90 deg, direction: left}}, {straight: 90 m}]\n";

impl Folder {
    fn new(name: &str, files: &[(&str, &str)]) -> Self {
        let path =
            std::env::temp_dir().join(format!("pullrank-study-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        for (name, text) in files {
            let file = path.join(name);
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(file, text).unwrap();
        }
        Self(path)
    }

    fn read(&self, name: &str) -> (Option<Study>, Findings) {
        let mut findings = Findings::new();
        let study = read(
            &self.0.join(name).components().collect::<PathBuf>(),
            &mut findings,
        );
        (study, findings)
    }

    /// What is said of a study, without the folder's own path.
    fn said(&self, name: &str, least: Severity) -> String {
        let (_, findings) = self.read(name);
        let wanted = findings.iter().filter(|f| f.severity <= least);
        let said: Vec<String> = wanted.map(ToString::to_string).collect();
        said.join("\n")
            .replace(&format!("{}/", self.0.display()), "")
            .replace(&self.0.display().to_string(), "FOLDER")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn folder(name: &str, study: &str) -> Folder {
    Folder::new(
        name,
        &[
            ("study.yaml", study),
            ("car.yaml", CAR),
            ("testday.yaml", TEST_DAY),
            ("tracks/lane.yaml", LANE),
            (
                "tracks/wood.yaml",
                &LANE.replace("Lane", "Wood").replace("tarmac", "gravel"),
            ),
            (
                "tracks/field.yaml",
                &LANE.replace("Lane", "Field").replace("tarmac", "stubble"),
            ),
        ],
    )
}

const SMALL: &str = "car: car.yaml\ntestday: testday.yaml\n";

#[test]
fn a_small_study_reads_and_lists_what_it_assumes() {
    let folder = folder(
        "small",
        &format!("{SMALL}venues: [tracks/lane.yaml, tracks/lane.yaml]\n"),
    );
    let (study, findings) = folder.read("study.yaml");
    assert!(!findings.has_errors(), "{findings:#?}");
    let study = study.unwrap();
    // Called by its folder, for `study.yaml` says nothing.
    assert!(
        study.name.starts_with("pullrank-study-small"),
        "{}",
        study.name
    );
    assert_eq!(study.entries.len(), 2);
    assert_eq!(study.car.rev_limit_rpm, 7000.0);
    assert_eq!(study.entries[0].habits.lowest_rpm, 3000.0);
    let (_, findings) = folder.read("study.yaml");
    let own: Vec<String> = findings
        .of(Severity::Assumed)
        .filter(|f| {
            f.position
                .as_ref()
                .is_some_and(|p| p.path.ends_with("study.yaml"))
        })
        .map(|f| format!("{}: {}", f.key.as_deref().unwrap_or_default(), f.text))
        .collect();
    insta::assert_snapshot!(own.join("\n"), @r"
    corner_share.stage: stage: corners at 90 % of the limit speed
    brake_share.stage: stage: 82.5 % of the tyres' braking
    lowest_rpm.stage: stage: revs kept above 3000 rpm
    shift_light.stage: stage: changes up where the car gains by it
    uncertain: driver uncertain (one sd): corner share 2.5 %, lowest rpm 250 rpm, shift rpm 50 rpm, speeds of single corners 6 %
    slip: driven tyres at their limit slip by 8 % on paved roads
    ");
    let limit = findings
        .iter()
        .find(|f| f.key.as_deref() == Some("rev_limit"));
    assert_eq!(
        limit.unwrap().text,
        "rev limit 7000 rpm, where the longest pulls end"
    );
}

#[test]
fn the_faults_of_all_files_come_together() {
    let folder = folder(
        "faults",
        "car: car.yaml\ntestday: testday.yaml\ndriver: {corner_share: 9}\nvenues:\n  - {track: tracks/lane.yaml, trim: gravle, laps: 3}\n  - {track: tracks/gone.yaml}\n  - {trak: x}\n",
    );
    fs::write(folder.0.join("car.yaml"), CAR.replace("960 kg", "960 mm")).unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    study.yaml:3:24: error: corner_share: `9` is above 100 %
        driver: {corner_share: 9}
                               ^
      it must lie between 30 % and 100 %
    study.yaml:6:13: error: tracks/gone.yaml: there is no such file
        - {track: tracks/gone.yaml}
                  ^^^^^^^^^^^^^^^^
      did you mean `lane.yaml`?
    study.yaml:7:5: error: `track` is missing in `venues`
        - {trak: x}
          ^
      add `track: ../tracks/mill-lane.yaml`
    study.yaml:7:6: error: `trak` is not a key known here
        - {trak: x}
           ^^^^
      did you mean `track`?
    car.yaml:2:7: error: mass: `960 mm` is a length
        mass: 960 mm
              ^^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    fs::write(folder.0.join("car.yaml"), CAR).unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    study.yaml:3:24: error: corner_share: `9` is above 100 %
        driver: {corner_share: 9}
                               ^
      it must lie between 30 % and 100 %
    study.yaml:5:37: error: Minnow has no trim `gravle`
        - {track: tracks/lane.yaml, trim: gravle, laps: 3}
                                          ^^^^^^
      its trims: as is
    study.yaml:5:51: error: laps: Lane is not driven in laps
        - {track: tracks/lane.yaml, trim: gravle, laps: 3}
                                                        ^
      say `passes` for runs over the same road
    study.yaml:6:13: error: tracks/gone.yaml: there is no such file
        - {track: tracks/gone.yaml}
                  ^^^^^^^^^^^^^^^^
      did you mean `lane.yaml`?
    study.yaml:7:5: error: `track` is missing in `venues`
        - {trak: x}
          ^
      add `track: ../tracks/mill-lane.yaml`
    study.yaml:7:6: error: `trak` is not a key known here
        - {trak: x}
           ^^^^
      did you mean `track`?
    ");
}

#[test]
fn trims_follow_the_venue() {
    let study = format!(
        "{SMALL}venues: [tracks/lane.yaml, tracks/wood.yaml, {{track: tracks/wood.yaml, trim: gravle}}]\n"
    );
    let folder = folder("trims", &study);
    let trims = "trims:\n  tarmac: {mass: 960 kg, grip: {tarmac: 1.0}}\n  gravel: {mass: 990 kg, grip: {gravel: 0.6}}\n";
    fs::write(
        folder.0.join("car.yaml"),
        CAR.replace("mass: 960 kg\n", trims),
    )
    .unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    study.yaml:3:78: error: Minnow has no trim `gravle`
        venues: [tracks/lane.yaml, tracks/wood.yaml, {track: tracks/wood.yaml, trim: gravle}]
                                                                                     ^^^^^^
      did you mean `gravel`?
    ");
    fs::write(
        folder.0.join("study.yaml"),
        study.replace("gravle", "gravel"),
    )
    .unwrap();
    let trims: Vec<usize> = folder
        .read("study.yaml")
        .0
        .unwrap()
        .entries
        .iter()
        .map(|e| e.trim)
        .collect();
    assert_eq!(trims, [0, 1, 1]);
}

#[test]
fn grip_is_assumed_only_where_it_is_usual() {
    let study = |track: &str| format!("{SMALL}venues: [tracks/{track}.yaml]\n");
    let folder = folder("grip", &study("wood"));
    let (read, findings) = folder.read("study.yaml");
    assert_eq!(read.unwrap().car.trims[0].grip["gravel"], 0.625);
    assert!(
        findings
            .iter()
            .any(|f| f.text == "as is: grip 0.625 on gravel")
    );
    fs::write(folder.0.join("study.yaml"), study("field")).unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    tracks/field.yaml:3:10: error: Field: `stubble` is no usual surface, and the trim `as is` has no grip for it
        surface: stubble
                 ^^^^^^^
      if it is meant, add it to the tyre in the car file, as in `grip: {stubble: 0.60}`
    ");
}

#[test]
fn missing_files_are_faults_of_the_lines_that_name_them() {
    let folder = folder(
        "missing",
        "car: cars.yaml\ntestday: tesday.yaml\nvenues: [tracks/lanes.yaml, tracks]\n",
    );
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    study.yaml:1:6: error: cars.yaml: there is no such file
        car: cars.yaml
             ^^^^^^^^^
      did you mean `car.yaml`?
    study.yaml:2:10: error: tesday.yaml: there is no such file
        testday: tesday.yaml
                 ^^^^^^^^^^^
      did you mean `testday.yaml`?
    study.yaml:3:10: error: tracks/lanes.yaml: there is no such file
        venues: [tracks/lanes.yaml, tracks]
                 ^^^^^^^^^^^^^^^^^
      did you mean `lane.yaml`?
    study.yaml:3:29: error: tracks: this is a folder, and a file is wanted
        venues: [tracks/lanes.yaml, tracks]
                                    ^^^^^^
      name a file: it has `field.yaml`, `lane.yaml`, `wood.yaml`
    ");
    insta::assert_snapshot!(folder.said("studdy.yaml", Severity::Warning), @r"
    studdy.yaml: error: there is no such file
      did you mean `study.yaml`?
    ");
}

#[test]
fn the_demo_study_reads_without_a_fault() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut findings = Findings::new();
    let study = read(&root.join("examples/club-season.yaml"), &mut findings);
    assert!(!findings.has_errors(), "{findings:#?}");
    let study = study.unwrap();
    assert_eq!(study.entries.len(), 7);
    assert_eq!(study.car.trims[study.entries[2].trim].name, "gravel");
}

#[test]
fn a_study_may_compare_some_of_the_specs() {
    let venues = "venues: [tracks/lane.yaml]\n";
    let one = folder("specs", &format!("{SMALL}specs: two\n{venues}"));
    assert_eq!(one.read("study.yaml").0.unwrap().compared, [1]);
    let turned = folder(
        "specs-turned",
        &format!("{SMALL}specs: [two, one]\n{venues}"),
    );
    assert_eq!(turned.read("study.yaml").0.unwrap().compared, [1, 0]);
    let wrong = folder(
        "specs-wrong",
        &format!("{SMALL}specs: [two, tow, two]\n{venues}"),
    );
    insta::assert_snapshot!(wrong.said("study.yaml", Severity::Error), @r"
    study.yaml:3:14: error: the test day has no spec `tow`
        specs: [two, tow, two]
                     ^^^
      did you mean `two`?
    study.yaml:3:19: error: specs: `two` is named twice
        specs: [two, tow, two]
                          ^^^
      name each spec once
    ");
}

#[test]
fn what_is_named_twice_is_asked_about() {
    let twice = format!("{SMALL}venues: [tracks/lane.yaml, tracks/lane.yaml]\n");
    let folder = folder("twice", &twice);
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    study.yaml:3:28: warning: `Lane` stands in the study twice, and counts twice
        venues: [tracks/lane.yaml, tracks/lane.yaml]
                                   ^^^^^^^^^^^^^^^^
      write it once, with `passes: 2` or `laps`; twice only for another trim
    ");
    fs::write(folder.0.join("tracks/other.yaml"), LANE).unwrap();
    fs::write(
        folder.0.join("study.yaml"),
        format!("{SMALL}venues: [tracks/lane.yaml, tracks/other.yaml]\n"),
    )
    .unwrap();
    let said = folder.said("study.yaml", Severity::Warning);
    assert!(said.contains("two venues are called `Lane`"), "{said}");
    // Another trim is another question.
    let trims = CAR.replace(
        "mass: 960 kg\n",
        "trims: {wet: {mass: 960 kg}, dry: {mass: 950 kg}}\n",
    );
    fs::write(folder.0.join("car.yaml"), trims).unwrap();
    let both =
        "venues: [{track: tracks/lane.yaml, trim: wet}, {track: tracks/lane.yaml, trim: dry}]\n";
    fs::write(folder.0.join("study.yaml"), format!("{SMALL}{both}")).unwrap();
    assert_eq!(folder.said("study.yaml", Severity::Warning), "");
}

#[test]
fn a_piece_is_found_in_its_file() {
    let folder = folder("piece", &format!("{SMALL}venues: [tracks/loop.yaml]\n"));
    let track = "name: Loop\nkind: stage\nsurface: tarmac\npieces:\n- straight: 90 m\n- repeat:\n    \
                 times: 3\n    pieces:\n    - square: left\n    - straight: 50 m\n- hairpin: right\n";
    fs::write(folder.0.join("tracks/loop.yaml"), track).unwrap();
    let line = |index| piece(&folder.0.join("study.yaml"), 0, index).map(|at| at.line);
    let lines: Vec<Option<u32>> = (0..9).map(line).collect();
    let wanted = [5, 9, 10, 9, 10, 9, 10, 11].map(Some);
    assert_eq!(lines[..8], wanted);
    assert_eq!(lines[8], None);
    assert_eq!(piece(&folder.0.join("study.yaml"), 1, 0), None);
}
