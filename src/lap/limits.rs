//! The speed that the road allows: lateral limits, caps, and braking for what follows.
//!
//! Computed backwards from the finish. In each cell the line is
//!
//! z(x) = min(plateau, z_end + slope·(L − x))
//!
//! with the plateau what the cell itself allows and slope 2·deceleration at the midpoint of a
//! braking step. Keeping the two parts apart (and not only the value at stations) keeps the place
//! where braking begins exact inside a cell, whatever its length.

use super::LapError;
use super::cells::{Cell, Cells, UNLIMITED};
use super::machine::Machine;

/// Share of a speed squared or of a cell's length by which rounding may miss the line: a car that
/// missed it would meet it again and again in steps too short to count.
const ROUNDING: f64 = 1e-12;

/// The line in one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// What the cell itself allows, m²/s².
    pub plateau: f64,
    /// z lost per metre with the brakes at the driver's limit, m/s².
    pub slope: f64,
    /// z allowed at the end of the cell, m²/s².
    pub z_end: f64,
    /// z at which full throttle just holds the speed at the edge of the ellipse; [`UNLIMITED`]
    /// where the tyres hold more than that up to the plateau.
    pub z_hold: f64,
}

impl Line {
    /// z allowed with `rest` m of the cell to go.
    #[inline(always)]
    pub fn at(&self, rest: f64) -> f64 {
        self.plateau.min(self.z_end + self.slope * rest)
    }

    /// Whether z with `rest` m of a cell to go is on the line.
    #[inline(always)]
    pub fn reached(&self, z: f64, rest: f64, length: f64) -> bool {
        z + ROUNDING * (z + self.slope.abs() * length) >= self.at(rest)
    }

    /// Whether a car on the line with `rest` m of a cell to go is on the part where it must brake.
    #[inline(always)]
    pub fn brakes(&self, rest: f64, length: f64) -> bool {
        rest <= self.braking(length) + ROUNDING * length
    }

    /// Metres before the cell's end where braking begins (at most the cell's length).
    #[inline(always)]
    pub fn braking(&self, length: f64) -> f64 {
        if self.plateau > self.z_end || self.slope < 0.0 {
            if self.z_end + self.slope * length > self.plateau {
                (self.plateau - self.z_end) / self.slope
            } else {
                length
            }
        } else {
            0.0
        }
    }
}

/// What the road allows one machine on one course.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    /// The line, cell by cell.
    pub lines: Vec<Line>,
    /// z allowed at the first station, m²/s².
    pub z_start: f64,
}

impl Limits {
    /// Computes the limits.
    ///
    /// # Errors
    /// [`LapError::NoBrakes`] where no speed above zero is slow enough for what follows.
    pub fn new(machine: &Machine, cells: &Cells) -> Result<Self, LapError> {
        let mut limits = Self::default();
        limits.compute(machine, cells)?;
        Ok(limits)
    }

    /// Computes the limits anew, using the memory that is there.
    ///
    /// # Errors
    /// As [`Limits::new`].
    pub fn compute(&mut self, machine: &Machine, cells: &Cells) -> Result<(), LapError> {
        self.lines.clear();
        self.lines.extend(cells.cells.iter().map(|cell| {
            let plateau = held_back(machine, cell, machine.plateau(cell, &cells.nominal));
            let z_hold = hold(machine, cell, plateau);
            Line {
                plateau,
                slope: 0.0,
                z_end: UNLIMITED,
                z_hold,
            }
        }));
        let mut z_finish = if cells.stop_at_finish { 0.0 } else { UNLIMITED };
        if cells.closed {
            z_finish = self.lines[0].plateau;
        }
        self.z_start = self.sweep(machine, cells, z_finish)?;
        if !cells.closed {
            return Ok(());
        }
        // Braking runs across the line of a closed lap: a second round settles it. It moves once more
        // only where the brakes never hold, all the way round.
        for _ in 0..2 {
            if self.z_start >= z_finish {
                return Ok(());
            }
            z_finish = self.z_start;
            self.z_start = self.sweep(machine, cells, z_finish)?;
        }
        if self.z_start >= z_finish {
            Ok(())
        } else {
            Err(no_brakes(cells, 0))
        }
    }

    fn sweep(&mut self, machine: &Machine, cells: &Cells, z_finish: f64) -> Result<f64, LapError> {
        let mut z = z_finish;
        for (i, (cell, line)) in cells.cells.iter().zip(&mut self.lines).enumerate().rev() {
            line.z_end = z.min(line.plateau);
            // Above the plateau other laws hold: the midpoint stays half way to it.
            let half = line.z_end + cell.length * machine.decelerate(cell, line.z_end);
            let half = half.max(0.0).min(0.5 * (line.z_end + line.plateau));
            line.slope = 2.0 * machine.decelerate(cell, half);
            z = line.at(cell.length);
            if z <= 0.0 {
                return Err(no_brakes(cells, i));
            }
        }
        Ok(z)
    }
}

fn no_brakes(cells: &Cells, i: usize) -> LapError {
    LapError::NoBrakes {
        distance: cells.stations[i],
        place: cells.place(i).to_string(),
    }
}

/// Where drive at the edge of the ellipse equals resistance: the speed a car holds in a corner that
/// is driven at the limit. Bracketed, since the tyre's slope is infinite there and a step chatters.
fn hold(machine: &Machine, cell: &Cell, plateau: f64) -> f64 {
    balance(cell, plateau, |z| {
        machine.traction(cell, z) - machine.resistance(cell, z, z.sqrt())
    })
    .unwrap_or(UNLIMITED)
}

/// The plateau, or less where a downhill corner pushes a car at its limit faster than the brakes
/// can hold: the speed that they do hold.
fn held_back(machine: &Machine, cell: &Cell, plateau: f64) -> f64 {
    balance(cell, plateau, |z| machine.decelerate(cell, z)).unwrap_or(plateau)
}

/// In a bend, the speed squared below the plateau up to which an excess of force is left; none where
/// it is left at the plateau too, or not even at rest.
fn balance(cell: &Cell, plateau: f64, excess: impl Fn(f64) -> f64) -> Option<f64> {
    if cell.curvature == 0.0 || plateau >= UNLIMITED {
        return None;
    }
    let (mut low, mut high) = (0.0, plateau);
    if excess(high) >= 0.0 || excess(low) < 0.0 {
        return None;
    }
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if excess(mid) >= 0.0 {
            low = mid
        } else {
            high = mid
        }
    }
    Some(low)
}
