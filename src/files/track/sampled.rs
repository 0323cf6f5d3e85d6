//! What the positions of a log say too little of: corners between its rows, points that scatter.

use super::scattered::corners_hang;
use crate::files::finding::{Finding, Severity};
use crate::files::log::Log;
use crate::files::source::Mark;
use crate::venue::log::Logged;

/// Rows that are nearer to each other in time, s, show any corner that a car can take.
const DENSE: f64 = 0.6;
/// Positions are held where they are new less often than the rows by so many times.
const HELD: f64 = 3.0;

/// Says that corners hang on errors of the positions, or lie between two rows.
pub(super) fn tell(log: &Log, logged: &Logged) -> Option<Finding> {
    log.run.fixes.as_ref()?;
    let found = scattered(logged).or_else(|| sparse(log, logged));
    let (text, remedy) = found.or_else(|| held(log))?;
    let finding = log.source.finding(Severity::Warning, Mark::default(), text);
    Some(finding.remedy(remedy))
}

fn scattered(logged: &Logged) -> Option<(String, &'static str)> {
    let text = corners_hang(logged.road.as_ref()?.scatter, &logged.corners)?;
    let text = format!("the positions {text}, and radii and the grip that corners show are off");
    let remedy = "log it with a better receiver, or acceleration across the road without positions";
    Some((text, remedy))
}

/// Positions that a slow receiver holds over several rows.
fn held(log: &Log) -> Option<(String, &'static str)> {
    let (new, row) = (log.usual_step_of_fixes()?, log.usual_step());
    if new <= DENSE || new < HELD * row {
        return None;
    }
    let text = format!(
        "the positions are new every {new:.1} s, the rows every {row:.2} s: gentle corners may be missing or none"
    );
    let remedy = match log.run.lateral {
        Some(_) => {
            "without the columns of positions, speed and acceleration across the road tell every corner"
        }
        None => "log five positions a second or more",
    };
    Some((text, remedy))
}

fn sparse(log: &Log, logged: &Logged) -> Option<(String, &'static str)> {
    let first = logged
        .coarse
        .first()
        .filter(|_| log.usual_step_of_fixes().is_some_and(|step| step > DENSE))?;
    let apart = logged
        .coarse
        .iter()
        .map(|place| place.chord)
        .fold(0.0, f64::max);
    let text = format!(
        "rows stand up to {apart:.0} m apart, and {} of {} corners lie between two of them, the first {:.2} km from \
         the start, of {:.0}°: radii and the grip that corners show are off there",
        logged.coarse.len(),
        logged.corners.len(),
        first.at / 1000.0,
        first.turn.to_degrees()
    );
    Some((text, "log five rows a second or more"))
}
