//! Where the driver may change up.

use crate::lap::machine::{MAX_GEARS, Mode};
use crate::lap::{Cells, Machine, Phase, Record};

/// Shares of the way, in z, from the crossing of accelerations to the limiter at which an upshift is
/// tried. With a shift time the best shift lies later than the crossing.
const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
/// Steps over the engine's range in which earlier crossings are looked for.
const STEPS: usize = 256;
/// Share of the last crossing's z below which another is not the same.
const APART: f64 = 0.98;
/// Change of curvature, 1/m, from one cell to the next that makes an edge of a corner.
const EDGE: f64 = 1.0 / 500.0;
/// Change of the gravity along the road, m/s², that makes a crest or a foot: 1 % of slope.
const BRINK: f64 = 0.1;
/// Change of grip that makes the edge of a patch.
const PATCH: f64 = 0.02;
/// Tries over the length of an upshift.
const TRIES: f64 = 5.0;
/// Lengths of an upshift ahead of a corner's end over which one is tried.
const TO_MAKE_GOOD: f64 = 4.0;

/// What the driver may choose from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Choice {
    /// Shifts at the light; chooses the gear to leave a corner in, and whether a last upshift before
    /// braking is left out.
    AsDriven,
    /// Shifts wherever it pays.
    AtBest,
}

/// Speeds squared at which upshifts are tried, per gear, rising.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Candidates {
    z: [Vec<f64>; MAX_GEARS],
}

impl Candidates {
    /// Candidates of a machine.
    pub(super) fn new(machine: &Machine, choice: Choice) -> Self {
        let mut candidates = Self::default();
        let top = machine.gears.len() - 1;
        for (k, gear) in machine.gears[..top].iter().enumerate() {
            let z = &mut candidates.z[k];
            z.push(gear.z_light);
            if choice == Choice::AtBest {
                z.extend(SHARES.map(|s| gear.z_cross + s * (gear.z_limit - gear.z_cross)));
                z.extend(earlier_crossings(machine, k));
                z.sort_by(f64::total_cmp);
                z.dedup();
            }
        }
        candidates
    }

    /// The candidate number `next` of a gear; infinite past the last.
    #[inline]
    pub(super) fn at(&self, gear: usize, next: usize) -> f64 {
        self.z[gear].get(next).copied().unwrap_or(f64::INFINITY)
    }

    /// The first candidate of a gear at or above z.
    pub(super) fn first_from(&self, gear: usize, z: f64) -> usize {
        self.z[gear].partition_point(|&c| c < z)
    }

    /// The candidate that is due at z: the last one passed, else the first to come.
    pub(super) fn due_at(&self, gear: usize, z: f64) -> usize {
        self.z[gear].partition_point(|&c| c <= z).saturating_sub(1)
    }
}

/// Speeds squared, below the last crossing of accelerations, from which on the gear after `k` pulls more
/// for a while: where torque has a hole. Engine against engine.
fn earlier_crossings(machine: &Machine, k: usize) -> Vec<f64> {
    let [gear, next] = [k, k + 1].map(|k| &machine.gears[k]);
    let pull = |mode: &Mode, v: f64| mode.c2 * mode.inv_gamma * machine.table.at(mode.c1 * v);
    let gain = |v: f64| pull(&next.mode, v) - pull(&gear.mode, v);
    let [from, to] = [machine.lowest_rpm / gear.mode.c1, gear.z_limit.sqrt()];
    let at = |i: usize| from + (to - from) * i as f64 / STEPS as f64;
    (1..STEPS)
        .map(|i| [at(i - 1), at(i)])
        .filter(|&[slower, faster]| gain(slower) <= 0.0 && gain(faster) > 0.0)
        .map(|[slower, faster]| {
            let (a, b) = (gain(slower), gain(faster));
            (slower - a * (faster - slower) / (b - a)).powi(2)
        })
        .filter(|z| *z < APART * gear.z_cross)
        .collect()
}

/// Where along the road upshifts are tried whatever the speed, cell by cell.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Places {
    edge: Vec<bool>,
    apart: Vec<f64>,
}

impl Places {
    /// Edges of corners, slopes and patches; and, on the lap on `tape`, the road ahead of three kinds
    /// of place: where braking begins, since what it hides of an upshift costs nothing; where a
    /// corner that held the car back lets it go, since what a shift loses before is soon made good;
    /// and where the road takes less from then on, since there is less to lose before.
    pub(super) fn new(machine: &Machine, cells: &Cells, tape: &[Record]) -> Self {
        let count = cells.len();
        let edge = (0..count).map(|i| is_edge(machine, cells, (i + count - 1) % count, i));
        let mut places = Self {
            edge: edge.collect(),
            apart: vec![f64::INFINITY; count],
        };
        let mut done = 0.0;
        for pair in tape.windows(2) {
            let (before, record) = (&pair[0], &pair[1]);
            done += before.length;
            if before.cell != record.cell {
                done = 0.0;
            }
            let held = before.phase == Phase::Line && !before.braking;
            let (from, to) = (before.cell as usize, record.cell as usize);
            let shifts = match (record.braking, held) {
                (true, _) if !before.braking => 1.0,
                (false, true) if record.phase != Phase::Line => TO_MAKE_GOOD,
                (false, false) if from != to && eases(machine, cells, from, to) => 1.0,
                _ => continue,
            };
            let shift = machine.gears[usize::from(record.gear)].shift_time * record.z0.sqrt();
            places.approach(
                cells,
                record.cell as usize,
                done,
                shifts * shift,
                shift / TRIES,
            );
        }
        places
    }

    /// Marks `reach` m of the road before a place `done` m into a cell.
    fn approach(&mut self, cells: &Cells, mut cell: usize, done: f64, reach: f64, apart: f64) {
        let mut marked = done;
        loop {
            self.apart[cell] = self.apart[cell].min(apart);
            if marked >= reach || (cell == 0 && !cells.closed) {
                return;
            }
            cell = (cell + cells.len() - 1) % cells.len();
            marked += cells.cells[cell].length;
        }
    }

    /// Whether an upshift is tried at the start of a cell.
    pub(super) fn tries_at(&self, cell: usize) -> bool {
        self.edge[cell] || self.apart[cell] < f64::INFINITY
    }

    /// Metres that tries should be apart in a cell; infinite where none is needed.
    pub(super) fn apart(&self, cell: usize) -> f64 {
        self.apart[cell]
    }
}

/// Change of what the road takes from the car across the start of a cell: of curvature, 1/m, of the
/// gravity along the road, m/s², and of grip.
fn change(machine: &Machine, cells: &Cells, before: usize, i: usize) -> [f64; 3] {
    let (a, b) = (&cells.cells[before], &cells.cells[i]);
    let grip = |surface: u16| machine.ground[usize::from(surface)].mu;
    [
        b.curvature - a.curvature,
        b.g_sin - a.g_sin,
        grip(a.surface) - grip(b.surface),
    ]
}

fn is_edge(machine: &Machine, cells: &Cells, before: usize, i: usize) -> bool {
    let [curvature, gravity, grip] = change(machine, cells, before, i);
    curvature.abs() > EDGE || gravity.abs() > BRINK || grip.abs() > PATCH
}

/// Whether the road takes less from there on, so that a shift costs less before.
fn eases(machine: &Machine, cells: &Cells, before: usize, i: usize) -> bool {
    let [curvature, gravity, grip] = change(machine, cells, before, i);
    curvature < -EDGE || gravity < -BRINK || grip < -PATCH
}
