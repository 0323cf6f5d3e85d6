//! What the driver does, and whether the engine and its pulls allow it.

use super::*;

#[test]
fn the_drivers_habits_go_by_kind_of_event() {
    let driver = "driver: {shift_light: 6500, lowest_rpm: none, corner_share: {stage: 85 %, circuit: 97 %}, brake_share: 0.8}\n";
    let folder = folder(
        "driver",
        &format!("{SMALL}{driver}venues: [{{track: tracks/lane.yaml, passes: 3}}]\n"),
    );
    let (study, findings) = folder.read("study.yaml");
    let entry = &study.unwrap().entries[0];
    assert_eq!(entry.course.kind, EventKind::Stage);
    assert_eq!(
        (
            entry.habits.corner_share,
            entry.habits.brake_share,
            entry.habits.lowest_rpm
        ),
        (0.85, 0.8, 0.0)
    );
    assert_eq!(
        (entry.habits.shift_light_rpm, entry.passes),
        (Some(6500.0), 3)
    );
    assert!(
        !findings
            .iter()
            .any(|f| f.key.as_deref() == Some("corner_share"))
    );
}

#[test]
fn habits_that_do_not_fit_the_engine_are_found() {
    let study = format!(
        "{SMALL}driver: {{shift_light: 7500 rpm, lowest_rpm: 9000}}\nvenues: [tracks/lane.yaml]\n"
    );
    insta::assert_snapshot!(folder("habits", &study).said("study.yaml", Severity::Warning), @r"
    study.yaml:3:23: warning: shift_light: 7500 rpm is above the rev limit of 7000
        driver: {shift_light: 7500 rpm, lowest_rpm: 9000}
                              ^^^^^^^^
      the limiter comes first; set the light below it
    study.yaml:3:45: error: lowest_rpm: 9000 rpm is not below the rev limit of 7000
        driver: {shift_light: 7500 rpm, lowest_rpm: 9000}
                                                    ^^^^
      write the revs below which the clutch is slipped
    ");
}

#[test]
fn a_light_that_leaves_no_room_is_found() {
    let said = |driver: &str| {
        let study = format!("{SMALL}driver: {{{driver}}}\nvenues: [tracks/lane.yaml]\n");
        folder("light", &study).said("study.yaml", Severity::Warning)
    };
    insta::assert_snapshot!(said("shift_light: 6400 rpm, lowest_rpm: 6500 rpm"), @r"
    study.yaml:3:23: error: shift_light: 6400 rpm is not above lowest_rpm, 6500
        driver: {shift_light: 6400 rpm, lowest_rpm: 6500 rpm}
                              ^^^^^^^^
      the light tells when to change up, lowest_rpm when to slip
    ");
    insta::assert_snapshot!(said("shift_light: 3100 rpm"), @r"
    study.yaml:3:23: warning: shift_light: 3100 rpm is far below the rev limit of 7000
        driver: {shift_light: 3100 rpm}
                              ^^^^^^^^
      every change comes that early; check the figure
    ");
    assert_eq!(said("shift_light: 6400 rpm, lowest_rpm: 3000 rpm"), "");
}

#[test]
fn pulls_that_end_apart_are_found_where_no_limit_is_written() {
    let study = format!("{SMALL}venues: [tracks/lane.yaml]\n");
    let folder = folder("apart", &study);
    let further = TEST_DAY.replace("6000, 7000]", "6000, 7200]");
    fs::write(folder.0.join("testday.yaml"), further).unwrap();
    let said = folder.said("study.yaml", Severity::Warning);
    let wanted = "testday.yaml:6:3: warning: the pulls of two end at 6800 rpm, those of one at 7200: nothing \
                  above 6950 rpm is compared";
    assert!(said.starts_with(wanted), "{said}");
    fs::write(folder.0.join("car.yaml"), format!("{CAR}rev_limit: 6800\n")).unwrap();
    assert_eq!(folder.said("study.yaml", Severity::Warning), "");
}

#[test]
fn pulls_that_end_short_of_the_limit_are_found() {
    let folder = folder("reach", &format!("{SMALL}venues: [tracks/lane.yaml]\n"));
    let limit = |rpm: u32| {
        fs::write(
            folder.0.join("car.yaml"),
            format!("{CAR}rev_limit: {rpm}\n"),
        )
    };
    limit(6950).unwrap();
    assert_eq!(folder.said("study.yaml", Severity::Warning), "");
    limit(7200).unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    testday.yaml:6:3: warning: the pulls of two end at 6800 rpm, and the rev limit is 7200
        - {name: two, fittings: [{points: {rpm: [2000, 3000, 4000, 5000, 6000, 6800], torque: [110, 125,…
          ^
      all specs are compared up to 6950 rpm; pull further where its builder lets it turn so far, else write the `rev_limit` that he gives
    ");
    limit(9000).unwrap();
    insta::assert_snapshot!(folder.said("study.yaml", Severity::Warning), @r"
    testday.yaml:6:3: error: the pulls of two end at 6800 rpm, and the rev limit is 9000
        - {name: two, fittings: [{points: {rpm: [2000, 3000, 4000, 5000, 6000, 6800], torque: [110, 125,…
          ^
      pull to the limit the builder allows, or lower `rev_limit` in the car file
    ");
}
