//! Parts of a log by its distances, where no positions tell them.

use std::ops::Range;

use super::path;
use crate::files::log::Log;
use crate::files::yaml::Item;
use crate::venue::log::{Request, distances, moving};
use crate::venue::path::clean::PathError;
use crate::venue::path::cut::Where;

/// Leaves what is between `from` and `to` of a log without positions, m from where the car sets off, and says what
/// is then left to look for. Positions find such places of their own.
pub(super) fn cut(item: &Item, log: &mut Log, mut request: Request) -> Option<Request> {
    let (from, to) = (request.from.take(), request.to.take());
    if log.run.fixes.is_some() || from.is_none() && to.is_none() {
        return Some(Request {
            from,
            to,
            ..request
        });
    }
    let (from, to) = (metres(item, "from", from)?, metres(item, "to", to)?);
    match rows(log, from, to) {
        Ok(rows) => log.cut(rows),
        Err((key, error)) => {
            let remedy = path::remedy(&error, &[]);
            path::said(item, key).error(error.to_string(), remedy);
            return None;
        }
    }
    Some(request)
}

/// The distance of a place that has one.
fn metres(item: &Item, key: &str, place: Option<Where>) -> Option<Option<f64>> {
    match place {
        None => Some(None),
        Some(Where::Distance(at)) => Some(Some(at)),
        Some(Where::Near(_)) => {
            path::said(item, key).error(
                "this log has no positions",
                "write a distance along it, as in `1.2 km`, or a time, as in `10:42:15`",
            );
            None
        }
    }
}

/// The rows from the last at or before the one place to the first at or behind the other.
fn rows(
    log: &Log,
    from: Option<f64>,
    to: Option<f64>,
) -> Result<Range<usize>, (&'static str, PathError)> {
    let moving = moving(&log.run.speed);
    let mut at = distances(&log.run);
    at.truncate(moving.end);
    let start = at.get(moving.start).copied().unwrap_or_default();
    at.iter_mut().for_each(|metres| *metres -= start);
    let length = at.last().copied().unwrap_or_default();
    for (key, place) in [("from", from), ("to", to)] {
        if let Some(at) = place.filter(|at| *at > length) {
            return Err((key, PathError::Beyond { at, length }));
        }
    }
    if let Some((from, to)) = from.zip(to).filter(|(from, to)| from >= to) {
        return Err(("to", PathError::Backwards { from, to }));
    }
    let first = from.map_or(0, |from| at.partition_point(|d| *d <= from).max(1) - 1);
    let end = to.map_or(log.run.speed.len(), |to| {
        at.partition_point(|d| *d < to) + 1
    });
    Ok(first..end)
}
