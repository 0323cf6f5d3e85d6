//! Labels and which of them are worth keeping.

use super::plan::{Change, ChangeKind};
use crate::lap::{Machine, State};

/// Seconds and m²/s² within which two labels are the same.
const SAME: f64 = 1e-9;

/// A state of the car at a station and how it came there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label {
    pub state: State,
    /// Seconds since the lap's start.
    pub time: f64,
    /// On the brakes: shift time from first gear to the gear engaged, and what braking has hidden.
    pub level: f64,
    pub braking: bool,
    /// Gears, a bit each, in which an upshift was left out since the last end of braking.
    pub stayed: u16,
    /// Candidate of the present gear that comes next.
    pub next: u8,
    /// Last decision, an index into the book.
    pub last: u32,
    /// What lanes know of the state; 0 for nothing.
    pub mark: u64,
}

/// No decision yet.
pub(super) const NOTHING: u32 = u32::MAX;

/// Every decision of every label, each pointing at the one before it.
#[derive(Debug, Default)]
pub(super) struct Book {
    entries: Vec<(u32, Change)>,
}

impl Book {
    pub(super) fn clear(&mut self) {
        self.entries.clear();
    }

    pub(super) fn note(
        &mut self,
        before: u32,
        cells_done: usize,
        gear: usize,
        kind: ChangeKind,
    ) -> u32 {
        let change = Change {
            cells_done: cells_done as u32,
            gear: gear as u8,
            kind,
        };
        self.entries.push((before, change));
        (self.entries.len() - 1) as u32
    }

    /// The decisions since the last end of braking that lead to `last`, the latest first, and the one
    /// that left that end.
    pub(super) fn since_exit(&self, mut last: u32) -> impl Iterator<Item = Change> + '_ {
        let mut over = false;
        std::iter::from_fn(move || {
            if over || last == NOTHING {
                return None;
            }
            let (before, change) = self.entries[last as usize];
            last = before;
            over = change.kind == ChangeKind::Exit;
            Some(change)
        })
    }

    /// The decisions that lead to `last`, in driving order.
    pub(super) fn trace(&self, mut last: u32) -> Vec<Change> {
        let mut changes = Vec::new();
        while last != NOTHING {
            let (before, change) = self.entries[last as usize];
            changes.push(change);
            last = before;
        }
        changes.reverse();
        changes
    }
}

impl Label {
    /// Counts a step that began in a state, on the brakes or not; `level` is the shift time from first
    /// gear up to each.
    #[inline(always)]
    pub(super) fn step(
        &mut self,
        before: &State,
        seconds: f64,
        braking: bool,
        level: &[f64],
        machine: &Machine,
    ) {
        self.time += seconds;
        if braking {
            if !self.braking {
                self.level = level[before.from] + before.begun(machine);
            }
            self.level += seconds;
        }
        self.braking = braking;
    }

    /// Labels of different kinds are not compared.
    fn kind(&self) -> (bool, usize, usize, bool) {
        if self.braking {
            (true, 0, 0, false)
        } else {
            (
                false,
                self.state.gear,
                self.state.from,
                self.state.launching,
            )
        }
    }

    /// [`Self::covers`] but for a speed that is hardly less.
    fn covers_nearly(&self, other: &Self) -> bool {
        let slower = Self {
            state: State {
                z: other.state.z * (1.0 - NARROW),
                ..other.state
            },
            ..*other
        };
        self.covers(&slower)
    }

    /// Whether this label, not later than the other, is also at least as well off.
    fn covers(&self, other: &Self) -> bool {
        if self.braking {
            self.level >= other.level - SAME
        } else {
            self.state.z >= other.state.z - SAME
                && self.state.shift_left <= other.state.shift_left + SAME
        }
    }
}

/// Labels above which those of a kind are gone through apart, and such as hardly differ are thinned.
const MANY: usize = 24;
/// Share of z by which a later label must be faster than the one before to be worth keeping among
/// many: at 30 m/s and a slope that the car hardly climbs worth some 10 µs.
const NARROW: f64 = 1e-5;

/// Drops every label that another of its kind makes needless; keeps the order of time.
pub(super) fn prune(labels: &mut Vec<Label>) {
    if labels.len() < 2 {
        return;
    }
    if labels.len() > MANY {
        return prune_many(labels);
    }
    labels.sort_by(|a, b| a.time.total_cmp(&b.time));
    let mut kept = 0;
    for i in 0..labels.len() {
        let label = labels[i];
        let needless = labels[..kept]
            .iter()
            .any(|k| k.kind() == label.kind() && k.covers(&label));
        if !needless {
            labels[kept] = label;
            kept += 1;
        }
    }
    labels.truncate(kept);
}

/// The same kind by kind, thinned. What is kept gets faster as it gets later, so that the last kept
/// mostly decides.
fn prune_many(labels: &mut Vec<Label>) {
    labels.sort_by(|a, b| {
        let by_kind = a.kind().cmp(&b.kind());
        by_kind.then(a.time.total_cmp(&b.time))
    });
    let mut kept: Vec<Label> = Vec::with_capacity(labels.len());
    for kind in labels.chunk_by(|a, b| a.kind() == b.kind()) {
        let first = kept.len();
        for label in kind {
            if !kept[first..].iter().rev().any(|k| k.covers_nearly(label)) {
                kept.push(*label);
            }
        }
    }
    kept.sort_by(|a, b| a.time.total_cmp(&b.time));
    *labels = kept;
}
