//! How long cells may be: short where speed changes quickly, long where it does not, and no longer
//! than an estimate of the error allows.
//!
//! The error is the difference to cells finer than any that are tried: what halving changes tells
//! too little, since the error of a kink that no step splits at, or of a shift that no cell starts
//! at, falls by leaps. Lengths are proportional to the distance over which z changes by its own size,
//! z/(2|a|), read off a lap on fine cells; where the search tries an upshift at the start of every
//! cell they are no longer than the tries should be apart.

use super::candidates::Places;
use super::{Choice, Workspace, quickest, search};
use crate::lap::{Cells, Lap, LapError, Limits, Machine, PlainRule, Tape, lap};

/// Longest cells of the fine lap from which lengths are read, m.
pub const FINE: f64 = 1.0;
/// Shortest and longest cell, m.
const SHORTEST: f64 = 0.35;
const LONGEST: f64 = 40.0;
/// Shares of z/(2|a|) tried, longest cells first. Within the longest an engine gains an eighth of its
/// speed: further apart the bends of a measured curve fall between the stages of a step, and smooth
/// engines, for which roads are graded, do not show it.
const SHARES: [f64; 6] = [0.28, 0.2, 0.14, 0.1, 0.07, 0.05];

/// Shares of z/(2|a|) tried for joined cells, each with the relative difference of curvature up to
/// which neighbours count as alike.
const JOINED: [(f64, f64); 6] = [
    (0.8, 0.2),
    (0.56, 0.12),
    (0.4, 0.08),
    (0.28, 0.05),
    (0.2, 0.03),
    (0.14, 0.02),
];

/// Cells and the error that they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The course cut into cells.
    pub cells: Cells,
    /// Estimated error of a time, s: as driven or at best, of the machine with the largest; `None`
    /// where nothing was driven to tell.
    pub error: Option<f64>,
    /// How long the cells are, as a share of z/(2|a|); `None` where they are not cut by that.
    pub share: Option<f64>,
}

/// Cuts a course, given in cells of [`FINE`] length, into cells that leave every machine an estimated
/// error of the times as driven and at best below `tolerance`, s.
///
/// # Errors
/// As [`search`].
pub fn graded(machines: &[&Machine], fine: &Cells, tolerance: f64) -> Result<Graded, LapError> {
    let mut wanted = vec![Wanted::ANY; fine.len()];
    for machine in machines {
        lessen(&mut wanted, machine, fine)?;
    }
    let finest = cut(fine, &wanted, SHARES[SHARES.len() - 1]).halved();
    let true_times = times(machines, &finest)?;
    let mut last: Option<Graded> = None;
    for share in SHARES {
        let cells = cut(fine, &wanted, share);
        let error = times(machines, &cells)?
            .iter()
            .zip(&true_times)
            .fold(0.0_f64, |worst, (time, truth)| {
                worst.max((time - truth).abs())
            });
        let done = error <= tolerance;
        last = Some(Graded {
            cells,
            error: Some(error),
            share: Some(share),
        });
        if done {
            break;
        }
    }
    last.ok_or(LapError::EmptyCourse)
}

/// Cuts a course, given in cells of [`FINE`] length, as another of its like was cut by [`graded`], whose
/// `share` it takes: a few laps in place of a few dozen, and no estimate of the error.
///
/// # Errors
/// As [`search`].
pub fn graded_as(machines: &[&Machine], fine: &Cells, share: f64) -> Result<Cells, LapError> {
    let mut wanted = vec![Wanted::ANY; fine.len()];
    for machine in machines {
        lessen(&mut wanted, machine, fine)?;
    }
    Ok(cut(fine, &wanted, share))
}

fn cut(fine: &Cells, wanted: &[Wanted], share: f64) -> Cells {
    let lengths: Vec<f64> = wanted
        .iter()
        .map(|w| (share * w.scale).min(w.apart * (share / SHARES[0]).sqrt()))
        .map(|length| length.clamp(SHORTEST, LONGEST))
        .collect();
    fine.regraded(&lengths)
}

/// Every machine's time as driven and at best, s.
fn times(machines: &[&Machine], cells: &Cells) -> Result<Vec<f64>, LapError> {
    let mut times = Vec::new();
    for machine in machines {
        let limits = Limits::new(machine, cells)?;
        for choice in [Choice::AsDriven, Choice::AtBest] {
            times.push(search(machine, cells, &limits, choice)?.lap.time);
        }
    }
    Ok(times)
}

/// Joins neighbouring cells that are alike, as many as leave the difference between the times of the
/// two machines of every pair, shifting at the light, within `tolerance`, the larger of so many s and
/// such a share of the time, and the times themselves within fifty times as much: a road for draws,
/// whose differences are paired. The same road where nothing can be joined or driven.
pub fn coarser(pairs: &[[&Machine; 2]], road: &Cells, tolerance: (f64, f64)) -> Cells {
    try_coarser(pairs, road, tolerance).unwrap_or_else(|_| road.clone())
}

fn try_coarser(
    pairs: &[[&Machine; 2]],
    road: &Cells,
    tolerance: (f64, f64),
) -> Result<Cells, LapError> {
    let mut workspace = Workspace::default();
    let mut times = |cells: &Cells| -> Result<Vec<[f64; 2]>, LapError> {
        let mut time = |machine| Ok(quickest(machine, cells, None, &mut workspace)?.time);
        let each = pairs.iter();
        each.map(|[a, b]| Ok([time(a)?, time(b)?])).collect()
    };
    let exact = times(road)?;
    let mut wanted = vec![Wanted::ANY; road.len()];
    for machine in pairs.iter().flatten() {
        lessen(&mut wanted, machine, road)?;
    }
    for (share, unlike) in JOINED {
        let lengths: Vec<f64> = wanted
            .iter()
            .map(|w| (share * w.scale).clamp(SHORTEST, LONGEST))
            .collect();
        let joined = road.joined(&lengths, unlike);
        let stays = |(now, then): (&[f64; 2], &[f64; 2])| {
            let off = [now[0] - then[0], now[1] - then[1]];
            let tolerance = tolerance.0.max(tolerance.1 * then[0]);
            let worst = off[0].abs().max(off[1].abs());
            worst <= 50.0 * tolerance && (off[1] - off[0]).abs() <= tolerance
        };
        if times(&joined)?.iter().zip(&exact).all(stays) {
            return Ok(joined);
        }
    }
    Ok(road.clone())
}

/// What one cell of the fine lap asks for, m.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    /// The distance over which z changes by its own size.
    scale: f64,
    /// Distance between upshifts tried.
    apart: f64,
}

impl Wanted {
    const ANY: Self = Self {
        scale: LONGEST,
        apart: LONGEST,
    };
}

/// Takes what a machine asks for into what is wanted, cell by cell.
fn lessen(wanted: &mut [Wanted], machine: &Machine, fine: &Cells) -> Result<(), LapError> {
    let limits = Limits::new(machine, fine)?;
    let mut tape = Tape::default();
    let _: Lap = lap(machine, fine, &limits, &mut PlainRule, &mut tape)?;
    for record in &tape.records {
        let slope = (record.z1 - record.z0).abs() / record.length;
        let scale = 0.5 * (record.z0 + record.z1) / slope;
        let cell = &mut wanted[record.cell as usize].scale;
        *cell = cell.min(scale);
    }
    let places = Places::new(machine, fine, &tape.records);
    for (i, cell) in wanted.iter_mut().enumerate() {
        cell.apart = cell.apart.min(places.apart(i));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::car::sample::point_mass;
    use crate::schedule::tests::{coupe, curve, ready};
    use crate::venue::{Bend, Course, EventKind, Extent, Section};

    fn course(pieces: &[(f64, f64)]) -> Course {
        let section = |&(length, curvature): &(f64, f64)| Section {
            extent: Extent::Length(length),
            bend: Bend::Radius { curvature },
            ..Section::default()
        };
        Course {
            sections: pieces.iter().map(section).collect(),
            ..Course::new("road", EventKind::Stage)
        }
    }

    /// Under constant force from rest z = 2·a·s, so the distance over which z changes by its own size is the
    /// distance come so far.
    #[test]
    fn analytic_cells_grow_with_the_distance_from_a_standing_start() {
        let mut car = point_mass(1000.0, 0.2);
        car.default_launch_rpm = 9000.0;
        let strip = course(&[(100.0, 0.0)]);
        let (machine, fine, _) = ready(&car, &curve(0), &strip, 1.0, FINE, None);
        let mut wanted = vec![Wanted::ANY; fine.len()];
        lessen(&mut wanted, &machine, &fine).unwrap();
        for (i, wanted) in wanted.iter().enumerate() {
            let come = (i as f64 + 0.5).min(LONGEST);
            assert!((wanted.scale - come).abs() < 1e-6 * come, "{i} {wanted:?}");
        }
    }

    /// Where changes are tried cells are as long as the tries are apart, an upshift's length by five.
    #[test]
    fn cells_are_no_longer_than_tries_are_apart() {
        let road = course(&[(60.0, 0.0), (30.0, 1.0 / 20.0), (150.0, 0.0)]);
        let (machine, fine, limits) = ready(&coupe(), &curve(0), &road, 1.0, FINE, None);
        let mut wanted = vec![Wanted::ANY; fine.len()];
        lessen(&mut wanted, &machine, &fine).unwrap();
        // Ahead of the corner's end by what a change takes at its speed, which is driven a hair below the line.
        let apart = 0.35 * limits.lines[75].plateau.sqrt() / 5.0;
        for (at, wanted) in wanted.iter().enumerate().take(91).skip(85) {
            assert!((wanted.apart / apart - 1.0).abs() < 3e-3, "{at} {wanted:?}");
        }
        let rough = graded(&[&machine], &fine, 1.0).unwrap();
        let bend = rough.cells.cells.iter().filter(|c| c.section == 1);
        let shortest = bend.map(|c| c.length).fold(LONGEST, f64::min);
        assert!(
            (0.7 * apart..=apart).contains(&shortest),
            "{shortest} {apart}"
        );
    }
}
