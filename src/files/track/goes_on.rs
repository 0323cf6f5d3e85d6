//! Logs that go on behind the finish, as a time that is known for the road shows.

use super::path;
use crate::files::finding::{Finding, Severity};
use crate::files::log::Log;
use crate::files::yaml::Item;
use crate::venue::log::{distances, moving};

/// Behind the finish a car that brakes and rolls out covers less than this share of the distance it covered in the
/// same time before (common practice, no source); one that is slower over the road goes on at its pace.
const ROLLS_OUT: f64 = 0.5;
/// Seconds for which that is told from a last corner (common practice, no source).
const LASTING: f64 = 5.0;

/// Asks about a log that covers more than the road of which a time, s, is known.
pub(super) fn ask(item: &Item, log: &Log, known: f64) {
    let Some(beyond) = beyond(&log.run.time, &log.run.speed, &distances(&log.run), known) else {
        return;
    };
    let finding: Finding = path::said(item, "file").finding(
        Severity::Warning,
        format!(
            "the log goes on for {:.0} s and {:.0} m behind the known time, slowly: is the finish before?",
            beyond.seconds, beyond.metres
        ),
    );
    item.push(finding.remedy(format!(
        "end the road there, as in `log: {{file: …, to: {:.0} m}}`",
        beyond.at
    )));
}

#[derive(Debug, PartialEq)]
struct Beyond {
    /// Where the car is at the known time, m from where it sets off.
    at: f64,
    seconds: f64,
    metres: f64,
}

/// What a run of these times, s, speeds, m/s, and distances, m, covers behind a time from where it sets off, where
/// that is slow.
fn beyond(time: &[f64], speed: &[f64], distance: &[f64], known: f64) -> Option<Beyond> {
    let rows = moving(speed);
    let start = (*time.get(rows.start)?, distance[rows.start]);
    let last = rows.end.checked_sub(1)?;
    let finish = rows.clone().find(|row| time[*row] - start.0 >= known)?;
    let (seconds, metres) = (time[last] - time[finish], distance[last] - distance[finish]);
    let at = distance[finish] - start.1;
    let slow = metres / seconds < ROLLS_OUT * at / known;
    (seconds > LASTING && slow).then_some(Beyond {
        at,
        seconds,
        metres,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A run at 30 m/s for a minute that goes on at another speed, m/s, for so many seconds.
    fn run(after: f64, seconds: usize) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..=60 + seconds).map(|t| t as f64).collect();
        let speed = time.iter().map(|t| if *t <= 60.0 { 30.0 } else { after });
        let far = |t: &f64| 30.0 * t.min(60.0) + after * (t - 60.0).max(0.0);
        (
            time.clone(),
            speed.collect(),
            time.iter().map(far).collect(),
        )
    }

    fn told(run: (Vec<f64>, Vec<f64>, Vec<f64>), known: f64) -> Option<Beyond> {
        beyond(&run.0, &run.1, &run.2, known)
    }

    #[test]
    fn what_rolls_out_behind_the_known_time_is_asked_about() {
        let rolls = Beyond {
            at: 1800.0,
            seconds: 20.0,
            metres: 200.0,
        };
        assert_eq!(told(run(10.0, 20), 60.0), Some(rolls));
    }

    /// A run that took longer than the known time, a last hairpin, a run that ends before it.
    #[test]
    fn slower_runs_and_last_corners_are_none() {
        assert_eq!(told(run(29.0, 20), 60.0), None);
        assert_eq!(told(run(10.0, 4), 60.0), None);
        assert_eq!(told(run(10.0, 20), 90.0), None);
    }
}
