//! A surveyed course as a few pieces that a person can edit.
//!
//! Neighbouring sections are joined, the pair first that loses least, until joining would lose more
//! than the tolerance: the loss of a join is the length-weighted square of the change of the
//! logarithm of the speed that the road allows. The turned angle and the length of what is joined
//! stay.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::pieces::{Form, Known, Piece, Side};
use super::{Bend, Course, Extent, Scales, Section, plan};

/// Loss up to which sections are joined, m: 20 m of road driven a tenth off in speed.
const TOLERANCE: f64 = 0.2;
/// No road is driven faster, m/s: a bend that allows more is straight.
const FASTEST: f64 = 65.0;
/// Slopes that differ by less are one slope, tangent.
const SAME_SLOPE: f64 = 0.012;
/// A bend that turns less is written as a straight, rad (1.5°).
const LEAST_TURN: f64 = 0.026;

/// Sections joined so far.
#[derive(Debug, Clone)]
struct Run {
    length: f64,
    /// Signed turned angle; of a measured run its direction times its length.
    turn: f64,
    /// Sum of length times logarithm of the speed allowed.
    log_speed: f64,
    rise: f64,
    measured: Option<Scales>,
    first: usize,
    /// Index of the next run.
    next: usize,
    previous: usize,
    /// Raised when it changes, so that what was computed of it before is known to be old.
    version: u32,
    gone: bool,
}

/// The pieces of a course. Graded corners stay as they are.
pub fn pieces(course: &Course) -> Vec<Piece> {
    let runs = join(course);
    let mut pieces = Vec::with_capacity(runs.len());
    let mut named = None;
    for (i, run) in runs.iter().enumerate() {
        let section = &course.sections[run.first];
        let mut piece = piece(course, run, section);
        piece.slope = run.rise / run.length.max(1e-9);
        piece.surface = section.surface;
        piece.cap = section.cap;
        let place = course.places.get(section.place);
        // One name a place: a corner of two pieces keeps it on the first.
        if named != Some(section.place) {
            piece.name = place.filter(|p| is_given(&p.name)).map(|p| p.name.clone());
        }
        named = Some(section.place);
        let after = runs
            .get(i + 1)
            .map_or(course.sections.len(), |next| next.first);
        let own = run.first..after;
        let sector = course
            .sectors
            .iter()
            .find(|s| own.contains(&s.first_section));
        piece.sector = sector.map(|s| s.name.clone());
        pieces.push(piece);
    }
    pieces
}

/// Whether a person gave this name, rather than the rules for names.
pub fn is_given(name: &str) -> bool {
    let mut words = name.split(' ');
    let first = words.next().unwrap_or_default();
    let second = words.next().unwrap_or_default();
    let side = matches!(second, "left" | "right" | "");
    let made = match first {
        "straight" => second == "to",
        "run" => second == "to",
        "hairpin" | "square" => side,
        "grade" => true,
        _ => {
            let number = first.trim_start_matches('R');
            number.parse::<f64>().is_ok() && (side || second == "km/h")
        }
    };
    !made
}

/// The runs in driving order.
fn join(course: &Course) -> Vec<Run> {
    let mut runs: Vec<Run> = course
        .sections
        .iter()
        .enumerate()
        .map(|(i, s)| run(course, s, i))
        .collect();
    let count = runs.len();
    let mut queue = BinaryHeap::new();
    for i in 0..count {
        runs[i].next = i + 1;
        runs[i].previous = i.wrapping_sub(1);
        push(course, &runs, i, &mut queue);
    }
    while let Some(Reverse((loss, a, version_a, version_b))) = queue.pop() {
        if f64::from_bits(loss) > TOLERANCE {
            break;
        }
        let b = runs[a].next;
        if runs[a].gone
            || b >= count
            || runs[a].version != version_a
            || runs[b].version != version_b
        {
            continue;
        }
        let joined = sum(&runs[a], &runs[b]);
        let (previous, next) = (runs[a].previous, runs[b].next);
        runs[b].gone = true;
        runs[a] = Run {
            previous,
            next,
            version: version_a + 1,
            ..joined
        };
        if next < count {
            runs[next].previous = a;
        }
        push(course, &runs, a, &mut queue);
        if previous < count {
            push(course, &runs, previous, &mut queue);
        }
    }
    runs.retain(|run| !run.gone);
    runs
}

type Entry = Reverse<(u64, usize, u32, u32)>;

fn push(course: &Course, runs: &[Run], a: usize, queue: &mut BinaryHeap<Entry>) {
    let b = runs[a].next;
    if runs[a].gone || b >= runs.len() || !alike(course, &runs[a], &runs[b]) {
        return;
    }
    let loss = loss(course, &runs[a], &runs[b]);
    // Not negative, so that the order of its bits is its own.
    queue.push(Reverse((
        loss.max(0.0).to_bits(),
        a,
        runs[a].version,
        runs[b].version,
    )));
}

fn run(course: &Course, section: &Section, index: usize) -> Run {
    let lateral = plan::lateral(course, section);
    let length = plan::length(section, lateral);
    let (turn, measured) = match section.bend {
        Bend::Straight => (0.0, None),
        Bend::Radius { curvature } => (curvature * length, None),
        Bend::Measured {
            direction, scales, ..
        } => (direction * length, Some(scales)),
    };
    Run {
        length,
        turn,
        log_speed: length * allowed(section, lateral).ln(),
        rise: section.slope * length,
        measured,
        first: index,
        next: 0,
        previous: 0,
        version: 0,
        gone: matches!(section.extent, Extent::Length(l) if l <= 0.0),
    }
}

fn allowed(section: &Section, lateral: f64) -> f64 {
    let speed = match section.bend {
        Bend::Straight => FASTEST,
        Bend::Radius { curvature } => (lateral / curvature.abs().max(1e-9)).sqrt(),
        Bend::Measured { speed, .. } => speed,
    };
    speed.min(FASTEST)
}

/// Whether two neighbours may be joined at all.
fn alike(course: &Course, a: &Run, b: &Run) -> bool {
    let (first, second) = (&course.sections[a.first], &course.sections[b.first]);
    let graded = |s: &Section| matches!(s.extent, Extent::Turn(_));
    let slope = |run: &Run| run.rise / run.length;
    let sectors = course.sectors.iter().any(|s| s.first_section == b.first);
    !graded(first)
        && !graded(second)
        && !sectors
        && first.surface == second.surface
        && first.cap == second.cap
        && a.measured == b.measured
        && (slope(a) - slope(b)).abs() < SAME_SLOPE
        && !(bends(a) && bends(b) && a.turn * b.turn < 0.0)
        && (first.place == second.place || !(bends(a) && bends(b)))
}

fn bends(run: &Run) -> bool {
    run.turn.abs() > LEAST_TURN
}

fn sum(a: &Run, b: &Run) -> Run {
    Run {
        length: a.length + b.length,
        turn: a.turn + b.turn,
        log_speed: a.log_speed + b.log_speed,
        rise: a.rise + b.rise,
        ..a.clone()
    }
}

/// Speed that a run allows once it is one piece.
fn speed(course: &Course, run: &Run) -> f64 {
    if run.measured.is_some() {
        return (run.log_speed / run.length).exp();
    }
    let lateral = plan::lateral(course, &course.sections[run.first]);
    (lateral * run.length / run.turn.abs().max(1e-9))
        .sqrt()
        .min(FASTEST)
}

/// What joining two runs loses: how far the speed of each is from that of the whole.
fn loss(course: &Course, a: &Run, b: &Run) -> f64 {
    let whole = speed(course, &sum(a, b)).ln();
    let off = |run: &Run| {
        let difference = speed(course, run).ln() - whole;
        run.length * difference * difference
    };
    off(a) + off(b)
}

fn piece(course: &Course, run: &Run, section: &Section) -> Piece {
    let side = match run.turn {
        t if t > 0.0 => Some(Side::Left),
        t if t < 0.0 => Some(Side::Right),
        _ => None,
    };
    let corner = |known| Form::Corner {
        known,
        side,
        opens: 1.0,
        grade: None,
    };
    if let (
        Extent::Turn(_),
        Bend::Measured {
            speed,
            direction,
            scales,
        },
    ) = (section.extent, section.bend)
    {
        let side = match direction {
            d if d > 0.0 => Some(Side::Left),
            d if d < 0.0 => Some(Side::Right),
            _ => None,
        };
        return Piece::new(Form::Corner {
            known: Known::Apex {
                speed: speed * plan::carried(course, section),
                extent: section.extent,
                scales,
            },
            side,
            opens: 1.0,
            grade: None,
        });
    }
    Piece::new(match run.measured {
        Some(scales) => corner(Known::Apex {
            speed: speed(course, run),
            extent: Extent::Length(run.length),
            scales,
        }),
        None if bends(run) => {
            let turn = run.turn.abs();
            corner(Known::Radius {
                radius: run.length / turn,
                turn,
            })
        }
        None => Form::Straight { length: run.length },
    })
}
