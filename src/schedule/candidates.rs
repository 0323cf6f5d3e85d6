//! Where the driver may change up.

use crate::lap::machine::MAX_GEARS;
use crate::lap::{Cells, Machine};

/// Shares of the way, in z, from the crossing of accelerations to the limiter at which an upshift is
/// tried. With a shift time the best shift lies later than the crossing.
const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
/// Change of curvature, 1/m, from one cell to the next that makes an edge of a corner.
const EDGE: f64 = 1.0 / 500.0;
/// Share of the crossing's z from which an upshift is tried at the edges of corners.
const EARLY: f64 = 0.6;

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
    early: [f64; MAX_GEARS],
}

impl Candidates {
    /// Candidates of a machine.
    pub(super) fn new(machine: &Machine, choice: Choice) -> Self {
        let mut candidates = Self::default();
        let top = machine.gears.len() - 1;
        for (k, gear) in machine.gears[..top].iter().enumerate() {
            let z = &mut candidates.z[k];
            z.push(gear.z_light);
            candidates.early[k] = f64::INFINITY;
            if choice == Choice::AtBest {
                z.extend(SHARES.map(|s| gear.z_cross + s * (gear.z_limit - gear.z_cross)));
                candidates.early[k] = EARLY * gear.z_cross;
                z.sort_by(f64::total_cmp);
                z.dedup();
            }
        }
        candidates.early[top] = f64::INFINITY;
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

    /// z from which an upshift is tried at the edges of corners.
    pub(super) fn early(&self, gear: usize) -> f64 {
        self.early[gear]
    }
}

/// Whether a corner begins, ends or changes where cell `i` begins, coming from cell `before`.
pub(super) fn is_edge(cells: &Cells, before: usize, i: usize) -> bool {
    (cells.cells[i].curvature - cells.cells[before].curvature).abs() > EDGE
}
