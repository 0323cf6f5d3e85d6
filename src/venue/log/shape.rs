//! The road of a logged run: its shape, its apexes, its sections.

use super::{Apex, LogError, Request, STANDING, Trace, Track, held};
use crate::venue::path::Fix;
use crate::venue::path::corners::{Corner, corners};
use crate::venue::path::note::Note;
use crate::venue::path::road::{Road, Step};
use crate::venue::path::survey::{self, Survey};
use crate::venue::pieces::{Form, Known, Layout, Piece, lay};
use crate::venue::{Bend, Extent, Scales, Section};

/// Steps that a road from lateral acceleration is cut into, m.
const STEP: f64 = 4.0;
/// Below this speed lateral acceleration says nothing of curvature, m/s.
const SLOWEST: f64 = 4.0;
/// A dip is one where the speed rises again by this share on both sides.
const DIP: f64 = 0.04;
/// The speed dips for a corner within this distance of it, m.
const AROUND: f64 = 150.0;
/// An apex speed is held while the speed stays within this share of it.
const HELD: f64 = 0.025;
/// The road's own shape says at most this much faster than the apex of a corner.
const FASTER: f64 = 2.0;
/// About the apex a corner is cut into parts of at most so much, and none is shorter than the second, m.
const PART: f64 = 4.0;
const LEAST_PART: f64 = 0.5;
/// The least share of grip, squared, that is taken to be left across the road: brakes are not the engine's, and
/// what is left beside them is hard to tell.
const LEAST_ACROSS: f64 = 0.36;

/// The road and the speed along it from positions.
pub(super) fn from_fixes(
    fixes: &[Fix],
    track: &Track,
    request: &Request,
    notes: &mut Vec<Note>,
) -> Result<(Survey, Trace), LogError> {
    // Positions get the log's times, so that laps can be compared.
    let timed: Vec<Fix> = fixes
        .iter()
        .zip(&track.run.time)
        .map(|(fix, time)| Fix {
            time: Some(*time),
            ..*fix
        })
        .collect();
    let mut survey: Survey = survey::survey(&timed[track.moving.clone()], &request.into())?;
    notes.append(&mut survey.notes);
    let trace = along(&survey.road, track);
    Ok((survey, trace))
}

/// Speed along a surveyed road: rows between the fixes that its chords begin at share the distance
/// between them by what they travelled.
fn along(road: &Road, track: &Track) -> Trace {
    let mut trace = Trace::default();
    let first = track.moving.start;
    let length = road.length();
    // A lap whose start was moved goes on where its first rows are.
    let mut later = 0.0;
    for (k, &(fix, at)) in road.marks.iter().enumerate() {
        let row = first + fix;
        let (next_row, next_at) = match road.marks.get(k + 1) {
            Some(&(fix, at)) => (first + fix, at),
            None => (row + 1, length),
        };
        let whole = track
            .distance
            .get(next_row)
            .map_or(0.0, |d| d - track.distance[row]);
        for r in row..next_row.max(row + 1).min(track.run.speed.len()) {
            let share = if whole > 0.0 {
                (track.distance[r] - track.distance[row]) / whole
            } else {
                0.0
            };
            let distance = at + share.clamp(0.0, 1.0) * (next_at - at);
            if trace.distance.last().is_none_or(|last| *last <= distance) {
                trace.distance.push(distance);
                trace.speed.push(track.run.speed[r]);
                let last = trace.time.last().copied().unwrap_or(f64::NEG_INFINITY);
                if track.run.time[r] + later < last {
                    later = last - track.run.time[r];
                }
                trace.time.push(track.run.time[r] + later);
                trace.rows.push(r);
            }
        }
    }
    trace
}

/// Road and corners from lateral acceleration: curvature is a/v².
pub(super) fn from_lateral(track: &Track, lateral: &[f64], closed: bool) -> (Road, Vec<Corner>) {
    let trace = track.trace();
    let length = trace.length();
    let count = (length / STEP).ceil().max(1.0) as usize;
    let h = length / count as f64;
    let (mut sum, mut rows) = (vec![0.0; count], vec![0usize; count]);
    for (i, (&distance, &v)) in trace.distance.iter().zip(&trace.speed).enumerate() {
        if v > SLOWEST {
            let k = ((distance / h) as usize).min(count - 1);
            sum[k] += lateral[track.moving.start + i] / (v * v);
            rows[k] += 1;
        }
    }
    let mut steps: Vec<Step> = Vec::with_capacity(count);
    let (mut heading, mut last) = (0.0, 0.0);
    for k in 0..count {
        if rows[k] > 0 {
            last = sum[k] / rows[k] as f64;
        }
        steps.push(Step {
            start: k as f64 * h,
            length: h,
            heading,
            curvature: last,
            slope: 0.0,
        });
        heading += last * h;
    }
    let road = Road {
        steps,
        marks: Vec::new(),
        closed,
        width: STEP,
        noise: 0.0,
        scatter: 0.0,
        heights: false,
        level: length,
        height_scatter: 0.0,
    };
    let corners = corners(&road);
    (road, corners)
}

/// The apexes of corners that were driven at the limit: the speed dips for them.
pub(super) fn apexes_of(road: &Road, corners: &[Corner], trace: &Trace) -> Vec<Apex> {
    let lowest = |rows: std::ops::Range<usize>| {
        rows.min_by(|&a, &b| trace.speed[a].total_cmp(&trace.speed[b]))
    };
    let fastest = |from: f64, to: f64| {
        trace
            .between(from, to)
            .map(|row| trace.speed[row])
            .fold(0.0, f64::max)
    };
    // A lap goes on where it began.
    let round = match road.closed && trace.goes_round() {
        true => road.length(),
        false => f64::INFINITY,
    };
    let highest = |from: f64, to: f64| {
        fastest(from, to)
            .max(fastest(from + round, round))
            .max(fastest(0.0, to - round))
    };
    let apex = |corner: &Corner| {
        let row = lowest(trace.between(corner.start, corner.end))?;
        let speed = trace.speed[row];
        let before = highest(corner.start - AROUND, trace.distance[row]);
        let after = highest(trace.distance[row], corner.end + AROUND);
        // Where the car stands it did not corner.
        let dips = speed > STANDING && before > speed * (1.0 + DIP) && after > speed * (1.0 + DIP);
        let near = |r: &usize| trace.speed[*r] <= speed * (1.0 + HELD);
        let rows = trace.between(corner.start, corner.end);
        let from = rows
            .clone()
            .take_while(|r| *r < row)
            .filter(|r| !near(r))
            .last();
        let to = rows.clone().skip_while(|r| *r < row).find(|r| !near(r));
        let held = (
            from.map_or(corner.start, |r| trace.distance[r]),
            to.map_or(corner.end, |r| trace.distance[r]),
        );
        // The mean, not the lowest row: a logger's speed is noisy.
        let rows = trace.between(held.0, held.1);
        let count = rows.len().max(1) as f64;
        let speed = rows.map(|r| trace.speed[r]).sum::<f64>() / count;
        dips.then(|| Apex {
            at: trace.distance[row],
            reach: (corner.start, corner.end),
            held,
            speed,
            lateral: mean_curvature(road, held).map(|curvature| speed * speed * curvature),
        })
    };
    corners.iter().filter_map(apex).collect()
}

/// Mean curvature of a road between two distances, 1/m, without sign.
fn mean_curvature(road: &Road, (from, to): (f64, f64)) -> Option<f64> {
    let (mut turn, mut length) = (0.0, 0.0);
    for step in &road.steps {
        let inside = (step.start + step.length).min(to) - step.start.max(from);
        if inside > 0.0 {
            turn += step.curvature * inside;
            length += inside;
        }
    }
    (length > 0.0 && turn != 0.0).then(|| (turn / length).abs())
}

/// Sections of a road whose shape is known: corners driven at the limit take their apex speed where
/// it was held, and before and after that speed opened or tightened as the road is. Smoothed positions blunt
/// the ends of corners, so there it is no less than what the car did.
pub(super) fn layout(road: &Road, found: &[Corner], apexes: &[Apex], trace: &Trace) -> Layout {
    let survey = Survey {
        road: road.clone(),
        corners: found.to_vec(),
        coarse: Vec::new(),
        notes: Vec::new(),
        height: None,
        time: None,
    };
    let mut layout = survey.layout(1.0);
    let accelerations = held::accelerations(trace);
    let mut at = 0.0;
    let mut sections = Vec::with_capacity(layout.sections.len());
    for section in layout.sections {
        let (Extent::Length(length), Bend::Radius { curvature }) = (section.extent, section.bend)
        else {
            // A survey has no others.
            sections.push(section);
            continue;
        };
        // Along the map, as corners are.
        let end = at + length / section.slope.hypot(1.0);
        for (from, to) in parts((at, end), apexes) {
            let middle = 0.5 * (from + to);
            let speed = apexes
                .iter()
                .find(|apex| within(apex.reach, middle))
                .map(|apex| {
                    let blunt = opened(road, apex, curvature, middle);
                    blunt
                        .max(could_do(trace, &accelerations, apex, middle))
                        .min(FASTER * apex.speed)
                });
            sections.push(measured(&section, length * (to - from) / (end - at), speed));
        }
        at = end;
    }
    layout.sections = sections;
    layout
}

/// A part of a section of a radius, so many metres long: with the speed that was measured there, m/s.
fn measured(section: &Section, length: f64, speed: Option<f64>) -> Section {
    let mut part = Section {
        extent: Extent::Length(length),
        ..section.clone()
    };
    if let (Some(speed), Bend::Radius { curvature }) = (speed, section.bend) {
        part.seen_curvature = Some(curvature);
        part.bend = Bend::Measured {
            speed,
            direction: curvature.signum(),
            scales: Scales::Grip,
        };
    }
    part
}

/// The speed of an apex where it was held, and elsewhere as much more as the road opens from there, m/s.
fn opened(road: &Road, apex: &Apex, curvature: f64, at: f64) -> f64 {
    if within(apex.held, at) {
        return apex.speed;
    }
    let tight = mean_curvature(road, apex.held).unwrap_or(curvature.abs());
    apex.speed * (tight / curvature.abs().max(1e-9)).sqrt().max(1.0)
}

fn within((from, to): (f64, f64), at: f64) -> bool {
    from <= at && at <= to
}

/// A stretch of road, on the map, cut where the speed of a corner is held and finely about that.
fn parts((from, to): (f64, f64), apexes: &[Apex]) -> Vec<(f64, f64)> {
    let edges = |apex: &Apex| [apex.reach.0, apex.held.0, apex.held.1, apex.reach.1];
    let first = apexes.partition_point(|apex| apex.reach.1 <= from);
    let about = apexes[first..].iter().take_while(|a| a.reach.0 < to);
    let mut cuts: Vec<f64> = about.clone().flat_map(edges).collect();
    cuts.retain(|at| *at > from + LEAST_PART && *at < to - LEAST_PART);
    cuts.push(to);
    let mut parts = Vec::new();
    let mut at = from;
    for cut in cuts {
        let middle = 0.5 * (at + cut);
        let turns_in = |a: &Apex| within(a.reach, middle) && !within(a.held, middle);
        let count = match about.clone().any(turns_in) {
            true => ((cut - at) / PART).ceil().max(1.0),
            false => 1.0,
        };
        let step = (cut - at) / count;
        parts.extend(
            (0..count as usize)
                .map(|i| at + step * i as f64)
                .map(|a| (a, a + step)),
        );
        at = cut;
    }
    parts
}

/// The speed that the car could have had in a corner where it had another, speeding up or slowing down,
/// m/s: what grip was left across the road shows how tight that is, a² = across² + along². 0 where an apex was
/// held: its mean speed is known better.
fn could_do(trace: &Trace, accelerations: &[f64], apex: &Apex, at: f64) -> f64 {
    if within(apex.held, at) {
        return 0.0;
    }
    let next = trace.distance.partition_point(|d| *d < at);
    let Some(row) = next.checked_sub(1).filter(|_| next < trace.speed.len()) else {
        return 0.0;
    };
    let whole = trace.distance[next] - trace.distance[row];
    let share = if whole > 0.0 {
        (at - trace.distance[row]) / whole
    } else {
        0.0
    };
    let mix = |column: &[f64]| column[row] + share * (column[next] - column[row]);
    let along = apex.lateral.map_or(0.0, |limit| mix(accelerations) / limit);
    let across = (1.0 - along * along).max(LEAST_ACROSS).sqrt();
    mix(&trace.speed) / across.sqrt()
}

/// Sections of a run that shows only its speed.
pub(super) fn layout_of_dips(trace: &Trace, apexes: &[Apex]) -> Layout {
    let mut pieces = Vec::new();
    let mut at = 0.0;
    for apex in apexes {
        let (start, end) = apex.reach;
        if start > at {
            pieces.push(Piece::straight(start - at));
        }
        pieces.push(Piece::new(Form::Corner {
            known: Known::Apex {
                speed: apex.speed,
                extent: Extent::Length(end - start.max(at)),
                scales: Scales::Grip,
            },
            side: None,
            opens: 1.0,
            grade: None,
        }));
        at = end;
    }
    if trace.length() > at {
        pieces.push(Piece::straight(trace.length() - at));
    }
    lay(&pieces).unwrap_or_default()
}

impl From<&Request> for survey::Request {
    fn from(request: &Request) -> Self {
        Self {
            closed: request.closed,
            reverse: false,
            lap: request.lap,
            from: request.from,
            to: request.to,
            width: request.width,
        }
    }
}
