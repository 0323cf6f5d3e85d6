//! Folders that are studies, and folders that are not.

use super::*;

#[test]
fn a_folder_is_a_study_too() {
    let folder = folder("folder", SMALL);
    fs::remove_file(folder.0.join("study.yaml")).unwrap();
    fs::remove_file(folder.0.join("tracks/field.yaml")).unwrap();
    fs::write(folder.0.join("notes.yaml"), "shopping: [oil]\n").unwrap();
    let (study, findings) = folder.read("");
    assert!(!findings.has_errors(), "{findings:#?}");
    let names: Vec<String> = study
        .unwrap()
        .entries
        .into_iter()
        .map(|e| e.course.name)
        .collect();
    assert_eq!(names, ["Lane", "Wood"]);
    insta::assert_snapshot!(folder.said("", Severity::Warning), @r"
    notes.yaml: warning: this is no car, test day, track or study, and is left out
      move it elsewhere
    ");
    fs::write(folder.0.join("tracks/second.yaml"), CAR).unwrap();
    fs::remove_file(folder.0.join("testday.yaml")).unwrap();
    insta::assert_snapshot!(folder.said("", Severity::Error), @r"
    FOLDER: error: this folder has more than one car: car.yaml, tracks/second.yaml
      write a study file that names the one that is meant
    FOLDER: error: this folder has no test day
      add testday.yaml, as in `specs: [{name: long, pulls: pulls/long}]`
    ");
}

#[test]
fn a_folder_with_a_study_file_is_that_study() {
    let folder = folder(
        "with-study",
        &format!("{SMALL}venues: [tracks/lane.yaml]\n"),
    );
    assert_eq!(folder.read("").0.unwrap().entries.len(), 1);
    let empty = Folder::new("empty", &[("readme.txt", "x")]);
    insta::assert_snapshot!(empty.said("", Severity::Warning), @r"
    FOLDER: error: this folder has no study, car, test day or track
      `pullrank new my-study` makes one that runs
    ");
}

#[test]
fn without_a_track_usual_kinds_of_road_stand_in() {
    let folder = Folder::new("bare", &[("car.yaml", CAR), ("testday.yaml", TEST_DAY)]);
    let (study, findings) = folder.read("");
    let study = study.unwrap_or_else(|| panic!("{findings:#?}"));
    assert!(study.entries.len() >= 5 && study.entries.iter().all(|e| e.course.stands_in));
    assert!(
        folder
            .said("", Severity::Warning)
            .contains("not your event")
    );
    // A list without any venue is a slip.
    let none = Folder::new(
        "none",
        &[
            ("car.yaml", CAR),
            ("testday.yaml", TEST_DAY),
            ("study.yaml", &format!("{SMALL}venues: []\n")),
        ],
    );
    assert!(
        none.said("study.yaml", Severity::Error)
            .contains("venues: none is written")
    );
}

#[test]
fn of_several_studies_the_usual_name_is_meant() {
    let lane = format!("{SMALL}venues: [tracks/lane.yaml]\n");
    let folder = folder("several", &lane);
    fs::write(folder.0.join("autumn.yaml"), SMALL).unwrap();
    assert_eq!(folder.read("").0.unwrap().entries.len(), 1);
    fs::rename(folder.0.join("study.yaml"), folder.0.join("spring.yaml")).unwrap();
    insta::assert_snapshot!(folder.said("", Severity::Error), @r"
    FOLDER: error: this folder has more than one study: autumn.yaml, spring.yaml
      name the one that is meant, or call it study.yaml
    ");
}

#[test]
fn a_folder_of_pulls_alone_says_how_to_begin() {
    let table = "rpm,torque [Nm]\n2000,100\n3000,120\n4000,130\n5000,128\n6000,110\n";
    let files = [("long/a.csv", table), ("short/a.csv", table)];
    let pulls = Folder::new("pulls", &files);
    insta::assert_snapshot!(pulls.said("", Severity::Error), @r"
    FOLDER: error: this folder has pulls (in long), and neither a car nor a test day
      start a study with them: `pullrank new my-study --pulls long short`
    ");
    fs::write(pulls.0.join("car.yaml"), CAR).unwrap();
    insta::assert_snapshot!(pulls.said("", Severity::Error), @r"
    FOLDER: error: this folder has no test day
      write one: `specs: [{name: long, pulls: long}, {name: short, pulls: short}]`, with the `weather` of the day and the `parts` of each spec
    ");
}
