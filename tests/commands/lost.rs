//! Logs that do not say how fast the car was: where, for how far, and what may lie there.

use super::drawn::{anew, bare, log_csv, road};
use super::loggers::{corners, logged, told};
use super::world::World;

/// The log with other speeds in some rows, three a second at some 5 m a row.
fn lost(log: &str, rows: impl Fn(usize) -> bool, value: &str) -> World {
    logged(&anew(log, |row, line| {
        let cells: Vec<&str> = line.split(',').collect();
        match rows(row) {
            true => [&[cells[0], value], &cells[2..]].concat().join(","),
            false => line.to_owned(),
        }
    }))
}

#[test]
fn speeds_lost_for_a_moment_make_no_corner() {
    let log = bare(&log_csv(&road()));
    let sound = logged(&log);
    let world = lost(&log, |row| [60, 150, 151].contains(&row), "0");
    assert_eq!(corners(&world), corners(&sound));
    let said = told(&world);
    assert!(said.contains("run.csv:61:"), "{said}");
    assert!(
        said.contains("to 0 km/h and is back at once, as no car does (3 rows in all)"),
        "{said}"
    );
    let world = lost(&log, |row| (100..130).contains(&row), "84.00");
    let said = told(&world);
    assert!(said.contains("run.csv:131:"), "{said}");
    assert!(
        said.contains("the speed is frozen at 84.0 km/h for"),
        "{said}"
    );
    assert!(
        said.contains(" m before it jumps here: a corner there is not seen"),
        "{said}"
    );
    assert!(!told(&sound).contains("run.csv"));
}

/// Nine rows are 4 s and 53 m at 46 km/h, in which a car that brakes at 9 m/s² and gains 4 m/s² comes down to
/// a walk and is back.
#[test]
fn a_loss_that_may_hide_a_corner_is_told_with_its_place() {
    let log = log_csv(&road());
    let (first, second) = (60..69, 200..209);
    let world = |log: &str| {
        lost(
            log,
            |row| first.contains(&row) || second.contains(&row),
            "0",
        )
    };
    let said = told(&world(&bare(&log)));
    assert!(
        said.contains("run.csv:61:8: warning: the speed is lost for "),
        "{said}"
    );
    let second = "run.csv:201:8: warning: the speed is lost for 4.1 s and 53 m, 0.99 km from its start, between 47 \
                  and 45 km/h: put between them, and a corner there, even one at 5 km/h, is not seen";
    assert!(said.contains(second), "{said}");
    // With positions the corner is there, at a speed that nobody knows.
    let said = told(&world(&log));
    assert!(
        said.contains("a corner there, even one at 5 km/h, is taken too fast"),
        "{said}"
    );
}

/// Loggers that lose rows leave the same hole as those that write 0.
#[test]
fn rows_that_are_missing_for_a_corner_are_told() {
    let log = log_csv(&road());
    let without = |rows: std::ops::Range<usize>| -> String {
        let kept = log
            .lines()
            .enumerate()
            .filter(|(row, _)| !rows.contains(row));
        kept.map(|(_, line)| format!("{line}\n")).collect()
    };
    let said = told(&logged(&without(60..73)));
    let wanted = "run.csv:61:1: warning: the log pauses for 5.5 s and 77 m, 0.29 km from its start, on the move";
    assert!(said.contains(wanted), "{said}");
    assert!(!told(&logged(&without(60..63))).contains("pauses"));
}
