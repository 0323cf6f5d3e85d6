//! Which labels at one place are worth keeping.

use super::labels::Label;

/// Seconds of a shift that count as nothing.
const SAME: f64 = 1e-6;
/// m²/s² that count as nothing: a microsecond a metre at walking pace.
const SAME_Z: f64 = 1e-4;
/// Share of z within which what is to come goes with z as a straight line.
const NARROW: f64 = 0.004;
/// Seconds by which a label may beat the line through its neighbours and still be dropped.
const CHORD: f64 = 1e-5;

/// Labels of different kinds are not compared: braking, launching, each gear, and each change by
/// where it began.
type Kind = (bool, bool, usize, usize, u64);

fn kind(label: &Label) -> Kind {
    if label.braking {
        return (true, false, 0, 0, 0);
    }
    let begun = if label.left > 0.0 { label.begun } else { 0.0 };
    let (gear, from) = (label.gear, label.from);
    (false, label.launching, gear, from, begun.to_bits())
}

/// Drops every label that another of its kind makes needless, and thins out those in gear.
pub(super) fn prune(labels: &mut Vec<Label>) {
    if labels.len() < 2 {
        return;
    }
    labels.sort_by(|a, b| kind(a).cmp(&kind(b)).then(a.t.total_cmp(&b.t)));
    let mut kept = Vec::with_capacity(labels.len());
    for group in labels.chunk_by(|a, b| kind(a) == kind(b)) {
        let first = kept.len();
        for label in group {
            if !kept[first..].iter().rev().any(|k| covers(k, label)) {
                kept.push(*label);
            }
        }
        if !group[0].braking && group[0].left <= 0.0 {
            thin(&mut kept, first);
        }
    }
    *labels = kept;
}

/// Whether a label that is not later is not worse off either.
fn covers(early: &Label, late: &Label) -> bool {
    if late.braking {
        return early.hidden >= late.hidden - SAME;
    }
    early.z >= late.z - SAME_Z && early.left <= late.left + SAME
}

/// Of labels in one gear, later and faster one after the other, those that no weighing of time
/// against speed prefers to their neighbours are dropped, as long as those are nearly as fast.
fn thin(labels: &mut Vec<Label>, first: usize) {
    let group = labels.split_off(first);
    let narrow = |l: &Label| (l.z.max(1e-6).ln() / NARROW).floor();
    for near in group.chunk_by(|a, b| narrow(a) == narrow(b)) {
        hull(near, labels);
    }
}

fn hull(near: &[Label], out: &mut Vec<Label>) {
    let last = near.len() - 1;
    out.push(near[0]);
    if last > 0 {
        between(near, out);
        out.push(near[last]);
    }
}

/// Keeps what lies below the line from the first to the last.
fn between(near: &[Label], out: &mut Vec<Label>) {
    let (a, b) = (&near[0], &near[near.len() - 1]);
    let gain = |l: &Label| a.t + (b.t - a.t) * (l.z - a.z) / (b.z - a.z) - l.t;
    let inner = 1..near.len() - 1;
    let Some(best) = inner.max_by(|&i, &j| gain(&near[i]).total_cmp(&gain(&near[j]))) else {
        return;
    };
    if gain(&near[best]) > CHORD {
        between(&near[..=best], out);
        out.push(near[best]);
        between(&near[best..], out);
    }
}
