//! What a better schedule does otherwise than the driver, and what that gains.
//!
//! Two laps over the same cells are cut where both end a braking: there both have the speed that the
//! road allows. Between two such places the difference in time belongs to what was decided there.

use super::runs::slower;
use crate::lap::{Cells, Machine, Tape};
use crate::schedule::{Change, ChangeKind, Schedule};

/// Seconds below which two schedules are a tie and no advice.
pub const INDIFFERENT: f64 = 0.03;

/// Engine speeds nearer than this are one to a driver, rpm: what a needle is read to (common practice, no source).
pub const NEAR_RPM: f64 = 75.0;

/// An upshift: gear left, counted from 0, and engine speed, rpm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Upshift {
    /// Gear left, counted from 0.
    pub from: usize,
    /// Engine speed at which it is left, rpm.
    pub rpm: f64,
}

/// What is done between one end of braking and the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// Gear at its start, counted from 0.
    pub exit: usize,
    /// Upshifts in order.
    pub up: Vec<Upshift>,
}

/// One run from corner to corner that a better schedule drives otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Cell with which the run begins.
    pub cell: usize,
    /// Name of the place where it begins: the corner that is left.
    pub place: String,
    /// Seconds gained.
    pub gain: f64,
    /// What the driver does.
    pub driven: Done,
    /// What would be better.
    pub better: Done,
    /// Highest engine speed in a gear that has another above it, the driver's and the better one, rpm.
    pub highest_rpm: [f64; 2],
}

impl Advice {
    /// Whether it keeps below a driver's shift light, rpm: how far an engine may turn is for who builds it to say, and
    /// the light says it.
    pub fn passes(&self, light: Option<f64>) -> bool {
        let [driven, better] = self.highest_rpm;
        light.is_none_or(|light| {
            let past = |up: &Upshift| up.rpm > light + NEAR_RPM;
            !self.better.up.iter().any(past) && better <= light.max(driven) + NEAR_RPM
        })
    }
}

/// Advice that keeps below a driver's shift light, rpm, and the seconds of what does not.
pub fn under_light(advice: &[Advice], light: Option<f64>) -> (Vec<&Advice>, f64) {
    let (told, past): (Vec<&Advice>, Vec<&Advice>) =
        advice.iter().partition(|one| one.passes(light));
    (told, past.iter().map(|one| one.gain).sum())
}

/// A lap with the schedule it was driven under.
#[derive(Debug, Clone, Copy)]
pub struct Driven<'a> {
    /// The schedule.
    pub schedule: &'a Schedule,
    /// The tape.
    pub tape: &'a Tape,
}

/// Where `better` differs from `driven` and gains more than [`INDIFFERENT`], the largest first.
pub fn advice(machine: &Machine, cells: &Cells, driven: Driven, better: Driven) -> Vec<Advice> {
    let (one, other) = (Clock::new(cells, driven), Clock::new(cells, better));
    let ends = common_ends(cells.len(), driven.schedule, better.schedule);
    let mut found: Vec<Advice> = ends
        .windows(2)
        .filter_map(|pair| {
            let (from, to) = (pair[0], pair[1]);
            let gain = one.between(from, to) - other.between(from, to);
            let cell = (one.first_cell + from) % cells.len();
            let place = match from == 0 && !cells.closed {
                true => cells.place(cell),
                false => cells.place(slower(cells, cell)),
            };
            (gain > INDIFFERENT).then(|| Advice {
                cell,
                place: place.to_owned(),
                gain,
                driven: one.done(machine, from, to),
                better: other.done(machine, from, to),
                highest_rpm: [&one, &other].map(|lap| lap.highest(machine, from, to)),
            })
        })
        .filter(|advice| advice.driven != advice.better)
        .collect();
    found.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    found
}

/// Cells driven at which both laps end a braking, with the start and the end of the lap.
fn common_ends(count: usize, one: &Schedule, other: &Schedule) -> Vec<usize> {
    let exits = |schedule: &Schedule| -> Vec<usize> {
        let ends = schedule
            .changes
            .iter()
            .filter(|c| c.kind == ChangeKind::Exit);
        ends.map(|c| c.cells_done as usize).collect()
    };
    let others = exits(other);
    let mut ends = vec![0];
    ends.extend(exits(one).into_iter().filter(|e| others.contains(e)));
    ends.push(count);
    ends.dedup();
    ends
}

/// Times and speeds of a lap at the stations it passes.
pub(super) struct Clock<'a> {
    first_cell: usize,
    start_gear: usize,
    changes: &'a [Change],
    /// Seconds since the start after so many cells.
    pub(super) time: Vec<f64>,
    /// Speed squared there.
    z: Vec<f64>,
}

impl<'a> Clock<'a> {
    pub(super) fn new(cells: &Cells, driven: Driven<'a>) -> Self {
        let records = &driven.tape.records;
        let (mut time, mut z) = (vec![0.0], vec![records.first().map_or(0.0, |r| r.z0)]);
        let mut now = 0.0;
        for (i, record) in records.iter().enumerate() {
            now += record.time;
            if records
                .get(i + 1)
                .is_none_or(|next| next.cell != record.cell)
            {
                time.push(now);
                z.push(record.z1);
            }
        }
        time.resize(cells.len() + 1, now);
        z.resize(cells.len() + 1, 0.0);
        Self {
            first_cell: driven.schedule.first_cell,
            start_gear: driven.schedule.start_gear,
            changes: &driven.schedule.changes,
            time,
            z,
        }
    }

    fn between(&self, from: usize, to: usize) -> f64 {
        self.time[to] - self.time[from]
    }

    /// Highest engine speed in a gear that has another above it, rpm; 0 in the top gear alone.
    fn highest(&self, machine: &Machine, from: usize, to: usize) -> f64 {
        let top = machine.gears.len() - 1;
        let gear_at = |at: usize| {
            let mut before = self.changes.iter();
            let last = before.rfind(|change| (change.cells_done as usize) < at);
            last.map_or(self.start_gear, |change| usize::from(change.gear))
        };
        let turned = (from + 1..=to).filter_map(|at| {
            let gear = gear_at(at);
            (gear < top).then(|| machine.gears[gear].mode.c1 * self.z[at].sqrt())
        });
        let left = self.done(machine, from, to).up.into_iter().map(|up| up.rpm);
        turned.chain(left).fold(0.0, f64::max)
    }

    pub(super) fn done(&self, machine: &Machine, from: usize, to: usize) -> Done {
        let mut done = Done {
            exit: self.start_gear,
            up: Vec::new(),
        };
        for change in self.changes {
            let at = change.cells_done as usize;
            let gear = usize::from(change.gear);
            let z = match change.kind {
                ChangeKind::Exit if at == from => {
                    done.exit = gear;
                    continue;
                }
                ChangeKind::Up(z) => z,
                ChangeKind::UpHere => self.z[at],
                ChangeKind::Exit | ChangeKind::Down(_) => continue,
            };
            if (from..to).contains(&at) {
                let rpm = machine.gears[gear - 1].mode.c1 * z.sqrt();
                done.up.push(Upshift {
                    from: gear - 1,
                    rpm,
                });
            }
        }
        done
    }
}
