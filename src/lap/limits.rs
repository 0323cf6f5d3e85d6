//! The speed that the road allows: lateral limits, caps, and braking for what follows.
//!
//! Computed backwards from the finish. In each cell the line is
//!
//! z(x) = min(plateau, z_end + slope·r + bend·r²), r = L − x
//!
//! with the plateau what the cell itself allows, slope 2·deceleration at the cell's end, and bend
//! from a fourth-order braking step. Keeping the parts (and not only the value at stations) keeps the
//! place where braking begins exact inside a cell, whatever its length.

use super::LapError;
use super::arc::{becomes_positive, seconds};
use super::cells::{Cell, Cells, UNLIMITED};
use super::machine::{Machine, lesser};

/// Share of a speed squared or of a cell's length by which rounding may miss the line: a car that
/// missed it would meet it again and again in steps too short to count.
const ROUNDING: f64 = 1e-12;

/// How far past the plateau a braking step may reach, as a share of the way to it.
const PAST: f64 = 1.25;

/// Times the square of the speed at the limit in top gear that no car is driven at, not even downhill
/// between two gears: what the tyres hold there does not matter.
const BEYOND: f64 = 4.0;

/// Sweeps that a closed lap is given to settle.
const ROUNDS: usize = 3;

/// One sweep backwards.
#[derive(Debug, Clone, Copy)]
pub(super) struct Round {
    /// z allowed at the finish, m²/s².
    pub(super) z_finish: f64,
    number: usize,
}

impl Round {
    /// Whether nothing changes from a cell back on: z at its end is what it was before.
    #[inline(always)]
    pub(super) fn repeats(&self, line: &Line, z_end: f64) -> bool {
        self.number > 1 && z_end.min(line.plateau) == line.z_end
    }
}

/// The line in one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// What the cell itself allows, m²/s².
    pub plateau: f64,
    /// z allowed at the end of the cell, m²/s².
    pub z_end: f64,
    /// z lost per metre at the cell's end with the brakes at the driver's limit, m/s².
    pub slope: f64,
    /// How that changes, half the second derivative of z backwards, 1/s².
    pub bend: f64,
    /// Metres before the cell's end where braking begins; the cell's length where it has begun.
    pub braking: f64,
    /// z at which full throttle just holds the speed at the edge of the ellipse; [`UNLIMITED`]
    /// where the tyres hold more than that up to the plateau.
    pub z_hold: f64,
}

impl Line {
    /// z allowed with `rest` m of the cell to go.
    #[inline(always)]
    pub fn at(&self, rest: f64) -> f64 {
        if rest > self.braking {
            self.plateau
        } else {
            lesser(self.plateau, self.braked_to(rest))
        }
    }

    /// z allowed by the braking part alone.
    #[inline(always)]
    pub(super) fn braked_to(&self, rest: f64) -> f64 {
        self.z_end + rest * (self.slope + self.bend * rest)
    }

    /// Whether z with `rest` m of a cell to go is on the line.
    #[inline(always)]
    pub fn reached(&self, z: f64, rest: f64, length: f64) -> bool {
        z + ROUNDING * (z + self.slope.abs() * length) >= self.at(rest)
    }

    /// Whether a car on the line with `rest` m of a cell to go is on the part where it must brake.
    #[inline(always)]
    pub fn brakes(&self, rest: f64, length: f64) -> bool {
        rest <= self.braking + ROUNDING * length
    }

    /// Seconds down the line to the cell's end, `rest` m away, from a speed, m/s.
    #[inline(always)]
    pub(super) fn braking_time(&self, rest: f64, v: f64) -> f64 {
        let middle = self.at(0.5 * rest).sqrt();
        seconds(rest, v, middle, self.z_end.sqrt())
    }

    /// Fits the braking part to a cell, given z at its end; gives z at its start.
    pub(super) fn fitted(&mut self, machine: &Machine, cell: &Cell, z_end: f64) -> f64 {
        self.fit(machine, cell, z_end);
        self.at(cell.length)
    }

    /// Fits the braking part to a cell of `length` m, given z at its end.
    fn fit(&mut self, machine: &Machine, cell: &Cell, z_end: f64) {
        self.z_end = lesser(z_end, self.plateau);
        let dec = |z: f64| 2.0 * machine.decelerate(cell, lesser(z.max(0.0), self.plateau));
        let slope = dec(self.z_end);
        if slope < 0.0 {
            return self.fit_pushed(machine, cell, slope);
        }
        let length = self.reach(slope, cell.length);
        let half = 0.5 * length;
        let second = dec(self.z_end + half * slope);
        let third = dec(self.z_end + half * second);
        let fourth = dec(self.z_end + length * third);
        self.brake_along([slope, second, third, fourth], length, cell.length);
    }

    /// How far back a braking step goes: no further than a little past the plateau, above which other
    /// laws hold.
    #[inline(always)]
    pub(super) fn reach(&self, slope: f64, length: f64) -> f64 {
        let room = self.plateau - self.z_end;
        let past = PAST * room / slope;
        lesser(if slope > 0.0 { past } else { length }, length)
    }

    /// Takes the slopes that the stages of a braking step of `reach` m gave in a cell of `length` m.
    #[inline(always)]
    pub(super) fn brake_along(&mut self, slopes: [f64; 4], reach: f64, length: f64) {
        let [first, second, third, fourth] = slopes;
        let mean = (first + 2.0 * (second + third) + fourth) * (1.0 / 6.0);
        let bend = (mean - first) / reach;
        self.slope = first;
        self.bend = if reach > 0.0 { bend } else { 0.0 };
        self.braking = self.begin(length);
    }

    /// Where a slope pushes the car faster than the brakes hold, z falls backwards; in a bend down to
    /// where they do hold, and no further. The tyres' slope is infinite near the limit, so the step
    /// is the midpoint rule and straight.
    fn fit_pushed(&mut self, machine: &Machine, cell: &Cell, slope: f64) {
        let (z, length) = (self.z_end, cell.length);
        let floor = balance(z, |z| machine.decelerate(cell, z)).unwrap_or(0.0);
        let half = (z + 0.5 * length * slope).max(0.5 * (z + floor));
        let mean = 2.0 * machine.decelerate(cell, half).min(0.0);
        self.slope = mean.max((floor - z) / length);
        self.bend = 0.0;
        self.braking = length;
    }

    /// Metres before the end where braking begins: where the parabola reaches the plateau; the whole
    /// length where it does not.
    #[inline(always)]
    fn begin(&self, length: f64) -> f64 {
        let room = self.plateau - self.z_end;
        let root = self.slope * self.slope + 4.0 * self.bend * room;
        let sum = self.slope + root.max(0.0).sqrt();
        // Length where nothing begins and the quotient is no number.
        let begins = lesser(2.0 * room / sum, length);
        let reaches = (self.slope >= 0.0) & (root >= 0.0) & (sum > 0.0);
        if reaches { begins } else { length }
    }
}

/// What the road allows one machine on one course.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    /// The line, cell by cell.
    pub lines: Vec<Line>,
    /// Seconds through each cell of a car that brakes all through it and has braked before, s; 0 where
    /// a braking that reaches the cell ends there.
    pub braked: Vec<f64>,
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
        let mut round = Some(self.prepare(machine, cells));
        while let Some(sweep) = round {
            self.z_start = self.sweep(machine, cells, sweep)?;
            round = self.next(cells, sweep)?;
        }
        self.settle(cells);
        Ok(())
    }

    /// What is left to do when the line is known.
    pub(super) fn settle(&mut self, cells: &Cells) {
        self.braked.clear();
        let mut before = self.lines.last().copied().filter(|_| cells.closed);
        for (cell, line) in cells.cells.iter().zip(&self.lines) {
            let goes_on = before.is_some_and(|before| {
                let z = before.z_end;
                line.reached(z, cell.length, cell.length) && line.brakes(cell.length, cell.length)
            });
            let from = before.map_or(0.0, |before| before.z_end.sqrt());
            self.braked.push(match goes_on {
                true => line.braking_time(cell.length, from),
                false => 0.0,
            });
            before = Some(*line);
        }
    }

    /// Takes over what the road allows another machine just so, using the memory that is there.
    pub(super) fn take(&mut self, other: &Self) {
        self.lines.clone_from(&other.lines);
        self.braked.clone_from(&other.braked);
        self.z_start = other.z_start;
    }

    /// Lays out what each cell allows by itself; gives the first sweep.
    pub(super) fn prepare(&mut self, machine: &Machine, cells: &Cells) -> Round {
        self.lines.clear();
        let mut before: Option<(Cell, Line)> = None;
        self.lines.extend(cells.cells.iter().map(|cell| {
            // Cells of one section differ in nothing but length.
            if let Some((same, line)) = before
                && same
                    == (Cell {
                        length: same.length,
                        ..*cell
                    })
            {
                return line;
            }
            let plateau = machine.plateau(cell, &cells.nominal);
            let line = Line {
                plateau,
                z_end: UNLIMITED,
                slope: 0.0,
                bend: 0.0,
                braking: 0.0,
                z_hold: hold(machine, cell, plateau),
            };
            before = Some((*cell, line));
            line
        }));
        let z_finish = match (cells.closed, cells.stop_at_finish) {
            (true, _) => self.lines[0].plateau,
            (_, true) => 0.0,
            (_, false) => UNLIMITED,
        };
        Round {
            z_finish,
            number: 1,
        }
    }

    /// The sweep that follows one. Braking runs across the line of a closed lap: a second round settles
    /// it; it moves once more only where the brakes never hold, all the way round.
    pub(super) fn next(&self, cells: &Cells, last: Round) -> Result<Option<Round>, LapError> {
        if !cells.closed || self.z_start >= last.z_finish {
            Ok(None)
        } else if last.number < ROUNDS {
            Ok(Some(Round {
                z_finish: self.z_start,
                number: last.number + 1,
            }))
        } else {
            Err(no_brakes(cells, 0))
        }
    }

    /// z allowed at the end of the cell before one of a closed course, m²/s².
    pub fn z_before(&self, cell: usize) -> f64 {
        let count = self.lines.len();
        self.lines[(cell + count - 1) % count].z_end
    }

    fn sweep(&mut self, machine: &Machine, cells: &Cells, round: Round) -> Result<f64, LapError> {
        let mut z = round.z_finish;
        for (i, (cell, line)) in cells.cells.iter().zip(&mut self.lines).enumerate().rev() {
            if round.repeats(line, z) {
                return Ok(self.z_start);
            }
            z = line.fitted(machine, cell, z);
            if z <= 0.0 {
                return Err(no_brakes(cells, i));
            }
        }
        Ok(z)
    }
}

impl Machine {
    /// Whether every road allows another machine the same: of the engine only its limit in top gear
    /// matters.
    pub(super) fn is_allowed_as(&self, other: &Self) -> bool {
        let numbers = |m: &Self| {
            let top = m.gears.last().map_or(UNLIMITED, |gear| gear.z_limit);
            let share = m.corner_share_squared;
            [m.drag, m.downforce, m.f1, m.f2, m.brake_share, share, top]
        };
        numbers(self) == numbers(other) && self.ground == other.ground
    }
}

pub(super) fn no_brakes(cells: &Cells, i: usize) -> LapError {
    LapError::NoBrakes {
        distance: cells.stations[i],
        place: cells.place(i).to_string(),
    }
}

/// Where drive at the edge of the ellipse equals resistance: the speed a car holds in a corner that
/// is driven at the limit. Bracketed, since the tyre's slope is infinite there and a step chatters.
fn hold(machine: &Machine, cell: &Cell, plateau: f64) -> f64 {
    if cell.curvature == 0.0 || plateau >= UNLIMITED {
        return UNLIMITED;
    }
    let top = machine.gears.last().map_or(UNLIMITED, |g| g.z_limit);
    let excess = |z: f64| machine.traction(cell, z) - machine.resistance(cell, z, z.sqrt());
    balance(plateau.min(BEYOND * top), excess).unwrap_or(UNLIMITED)
}

/// The last z below `high` at which an excess of force is left; none where it is left at `high` too,
/// or not even at rest.
fn balance(high: f64, excess: impl Fn(f64) -> f64) -> Option<f64> {
    if excess(high) >= 0.0 || excess(0.0) <= 0.0 {
        return None;
    }
    let down = becomes_positive(|share| excess(high * (1.0 - share)), 1.0);
    Some(high * (1.0 - down))
}
