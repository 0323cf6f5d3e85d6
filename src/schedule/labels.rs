//! Labels and which of them are worth keeping.

use std::cmp::Ordering;

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
    /// Gears have been offered here.
    pub asked: bool,
    /// What lanes know of the state; 0 for nothing.
    pub mark: u64,
    /// The lane it has, or [`NOWHERE`](crate::lap::lanes::NOWHERE).
    pub lane: u32,
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

    /// What of one kind it is the better for having more of, and what for owing less of: z in m²/s² or, on
    /// the brakes, what they have hidden; seconds of a shift.
    fn merits(&self) -> (f64, f64) {
        if self.braking {
            (self.level, 0.0)
        } else {
            (self.state.z, self.state.shift_left)
        }
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

/// By time; labels of one time in an order that does not hang on where they came from.
fn order(a: &Label, b: &Label) -> Ordering {
    a.time.total_cmp(&b.time).then_with(|| {
        let rest = |l: &Label| (l.state.gear, l.state.from, l.next, l.stayed);
        (b.state.z.total_cmp(&a.state.z))
            .then(a.state.shift_left.total_cmp(&b.state.shift_left))
            .then(b.level.total_cmp(&a.level))
            .then(rest(a).cmp(&rest(b)))
    })
}

/// Labels above which those of a kind are gone through apart, and such as hardly differ are thinned.
const MANY: usize = 24;
/// Share of z by which a later label must be faster than the one before to be worth keeping among
/// many: at 30 m/s and a slope that the car hardly climbs worth some 10 µs.
const NARROW: f64 = 1e-5;
/// Labels of a kind that are kept at most. A car that hunts for gears on hills, with shifts of seconds, has
/// a shift under way from every metre; those that matter lie among the earliest and fastest. What the bound
/// gives up is in DEVELOPERS.md.
pub(super) const MOST: usize = 200;
/// Seconds of a shift still to come that are worth as much as a share of z, where labels must go.
const OWED: f64 = 5.0;

/// Drops every label that another of its kind makes needless; keeps the order of time. `drops` is told
/// of each and of what makes it needless. True where there were too many to keep all that was needed.
pub(super) fn prune(labels: &mut Vec<Label>, mut drops: impl FnMut(&Label, &Label)) -> bool {
    if labels.len() < 2 {
        return false;
    }
    if labels.len() > MANY {
        return prune_many(labels, drops);
    }
    labels.sort_by(order);
    let mut kept = 0;
    for i in 0..labels.len() {
        let label = labels[i];
        let better = labels[..kept]
            .iter()
            .find(|k| k.kind() == label.kind() && k.covers(&label));
        if let Some(better) = better {
            drops(&label, better);
        } else {
            labels[kept] = label;
            kept += 1;
        }
    }
    labels.truncate(kept);
    false
}

/// The same kind by kind, thinned; of a kind with more than [`MOST`] labels the alike go, by twice as wide
/// a margin again and again, until so many are left.
fn prune_many(labels: &mut Vec<Label>, mut drops: impl FnMut(&Label, &Label)) -> bool {
    labels.sort_by(|a, b| {
        let by_kind = a.kind().cmp(&b.kind());
        by_kind.then_with(|| order(a, b))
    });
    let mut kept: Vec<Label> = Vec::with_capacity(labels.len());
    let (mut front, mut too_many) = (Front::default(), false);
    for kind in labels.chunk_by_mut(|a, b| a.kind() == b.kind()) {
        let mut narrow = NARROW;
        let mut left = front.thin(kind, narrow, 0.0, &mut drops);
        while left > MOST {
            too_many = true;
            narrow *= 2.0;
            left = front.thin(&mut kind[..left], narrow, OWED * narrow, &mut drops);
        }
        kept.extend_from_slice(&kind[..left]);
    }
    kept.sort_by(order);
    *labels = kept;
    too_many
}

/// Of the labels of a kind gone through in order of time, those that none of the others makes needless:
/// merit and what is owed, both rising, and the label's number.
#[derive(Debug, Default)]
struct Front(Vec<(f64, f64, usize)>);

impl Front {
    /// Moves the labels of a kind, earliest first, that are worth keeping to the front; gives their number.
    /// One is needless where an earlier one has all its merit, but for a share `narrow` of z, and owes at
    /// most `owed` s more.
    fn thin(
        &mut self,
        kind: &mut [Label],
        narrow: f64,
        owed: f64,
        drops: &mut impl FnMut(&Label, &Label),
    ) -> usize {
        self.0.clear();
        let mut kept = 0;
        for i in 0..kind.len() {
            let label = kind[i];
            let (merit, owes) = label.merits();
            let least = if label.braking {
                merit - owed - SAME
            } else {
                merit * (1.0 - narrow) - SAME
            };
            let at = self.0.partition_point(|&(merit, ..)| merit < least);
            let better = self.0.get(at).filter(|f| f.1 <= owes + owed + SAME);
            if let Some(&(.., better)) = better {
                drops(&label, &kind[better]);
                continue;
            }
            let end = self.0.partition_point(|f| f.0 <= merit);
            let start = self.0[..end].partition_point(|f| f.1 < owes);
            self.0.splice(start..end, [(merit, owes, kept)]);
            kind[kept] = label;
            kept += 1;
        }
        kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Labels of one kind in a shift, with earlier ones slower and further on by chance.
    fn shifting(count: usize) -> Vec<Label> {
        let mut x = 0x9e37_79b9_7f4a_7c15_u64;
        let mut even = || {
            x ^= x << 13;
            x ^= x >> 7;
            x ^= x << 17;
            (x >> 11) as f64 / (1u64 << 53) as f64
        };
        let label = |_| Label {
            state: State {
                shift_left: 0.01 + 2.0 * even(),
                from: 1,
                ..State::in_gear(100.0 + 300.0 * even(), 0)
            },
            time: 20.0 + even(),
            level: 0.0,
            braking: false,
            stayed: 0,
            next: 0,
            last: NOTHING,
            asked: false,
            mark: 0,
            lane: crate::lap::lanes::NOWHERE,
        };
        (0..count).map(label).collect()
    }

    /// Whether a label makes another needless but for a share of z and so many s of shift.
    fn serves(a: &Label, b: &Label, narrow: f64, owed: f64) -> bool {
        a.time <= b.time
            && a.state.z >= b.state.z * (1.0 - narrow) - 2.0 * SAME
            && a.state.shift_left <= b.state.shift_left + owed + 2.0 * SAME
    }

    #[test]
    fn property_nothing_needed_is_dropped() {
        let all = shifting(900);
        let (mut kept, mut told) = (all.clone(), 0);
        let too_many = prune(&mut kept, |label, better| {
            told += 1;
            assert!(serves(better, label, NARROW, 0.0));
        });
        assert!(!too_many && kept.len() > MANY && kept.len() + told == all.len());
        assert!(kept.is_sorted_by(|a, b| a.time <= b.time));
        for (i, label) in kept.iter().enumerate() {
            let needless = kept[..i].iter().any(|k| serves(k, label, 0.0, 0.0));
            assert!(!needless, "{label:?}");
        }
    }

    /// However many there are a bounded number stays, and each of the others is near one of them.
    #[test]
    fn property_a_bounded_number_stays() {
        let mut all = shifting(20_000);
        // The later the faster: all of them are needed.
        for label in &mut all {
            label.state.z = 100.0 * label.time - 1600.0 + 20.0 * label.state.shift_left;
        }
        let mut kept = all.clone();
        assert!(prune(&mut kept, |_, _| ()));
        assert!((MOST / 8..=MOST).contains(&kept.len()), "{}", kept.len());
        for label in &all {
            let near = kept.iter().any(|k| serves(k, label, 0.1, 0.5));
            assert!(near, "{label:?}");
        }
    }
}
