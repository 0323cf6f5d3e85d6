//! One figure of a typed sheet that stands apart from all others: 404 for 204, 2000 for 200.

use crate::files::finding::Severity;

/// Least share of torque by which a slip lies off the line between its neighbours.
const LEAST: f64 = 0.08;
/// The same of a first or last point, where torque may come or go steeply.
const LEAST_AT_END: f64 = 0.4;
/// The same of a point off the curve through four others, which follows bends that the line cuts.
const LEAST_OFF_CURVE: f64 = 0.12;
/// Times as far off as any other point lies once the slip is taken out.
const CLEARER: f64 = 4.0;
/// Times what stands on each side of it that no engine makes at one speed.
const IMPOSSIBLE: f64 = 3.0;
/// Fewest and most points that tell: a longer table is a log, whose spikes are left out elsewhere.
const TELLING: std::ops::RangeInclusive<usize> = 6..=100;

/// A figure that stands apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Which point it is.
    pub index: usize,
    /// How far off it lies, as a share of what its neighbours say.
    pub off: f64,
    /// Whether they are four on a curve, not two on a line.
    pub curved: bool,
    /// Whether that is more than an engine can do.
    pub impossible: bool,
}

impl Slip {
    /// What cannot be is refused, else it is a question.
    pub fn severity(&self) -> Severity {
        match self.impossible {
            true => Severity::Error,
            false => Severity::Warning,
        }
    }
}

/// The point that is most likely a slip of the pen. One test for all: it lies far off its neighbours, and
/// without it no other point lies off by a quarter as much, so that the sheet is smooth but for this one.
/// Neighbours are two on a line, else four on a curve.
pub fn slip(rpm: &[f64], torque: &[f64]) -> Option<Slip> {
    if rpm.len() > *TELLING.end() || rpm.len() != torque.len() {
        return None;
    }
    let points: Vec<(f64, f64)> = rpm.iter().copied().zip(torque.iter().copied()).collect();
    if let Some(slip) = impossible(&points) {
        return Some(slip);
    }
    if !TELLING.contains(&rpm.len()) {
        return None;
    }
    let last = points.len() - 1;
    let least = |index| match index == 0 || index == last {
        true => LEAST_AT_END,
        false => LEAST,
    };
    apart(&points, 0..=last, off, least).or_else(|| {
        let slip = apart(&points, 1..=last - 1, off_curve, |_| LEAST_OFF_CURVE)?;
        Some(Slip {
            curved: true,
            ..slip
        })
    })
}

/// A figure several times as high as both beside it; at an end as the one beside it.
fn impossible(points: &[(f64, f64)]) -> Option<Slip> {
    (0..points.len()).find_map(|index| {
        let before = index.checked_sub(1).and_then(|i| points.get(i));
        let beside = [before, points.get(index + 1)];
        let highest = beside.into_iter().flatten().map(|point| point.1);
        let highest = highest.max_by(f64::total_cmp)?;
        (points[index].1 > IMPOSSIBLE * highest).then_some(Slip {
            index,
            off: points[index].1 / highest - 1.0,
            curved: false,
            impossible: true,
        })
    })
}

/// Of some points the one without which the others lie least off, where it lies off by much more itself.
fn apart(
    points: &[(f64, f64)],
    candidates: std::ops::RangeInclusive<usize>,
    off: fn(&[(f64, f64)], usize) -> f64,
    least: impl Fn(usize) -> f64,
) -> Option<Slip> {
    let roughness = |index: usize| {
        let mut rest = points.to_vec();
        rest.remove(index);
        let inner = 1..rest.len() - 1;
        inner.map(|i| off(&rest, i).abs()).fold(0.0, f64::max)
    };
    let (index, rest) = candidates
        .map(|index| (index, roughness(index)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let off = off(points, index);
    let tells = off.abs() > least(index) && off.abs() > CLEARER * rest;
    tells.then_some(Slip {
        index,
        off,
        curved: false,
        impossible: false,
    })
}

/// How far a point lies off the cubic through the four others nearest to it, as a share of what that says.
fn off_curve(points: &[(f64, f64)], index: usize) -> f64 {
    let from = index.saturating_sub(2).min(points.len() - 5);
    let near: Vec<(f64, f64)> = (from..from + 5)
        .filter(|&i| i != index)
        .map(|i| points[i])
        .collect();
    let (x, y) = points[index];
    // Lagrange's form: each value times a weight that is 1 at its own point and 0 at the others.
    let weight = |own: f64| {
        let others = near
            .iter()
            .map(|point| point.0)
            .filter(|other| *other != own);
        others
            .map(|other| (x - other) / (own - other))
            .product::<f64>()
    };
    let curve: f64 = near.iter().map(|point| weight(point.0) * point.1).sum();
    match curve > 0.0 {
        true => y / curve - 1.0,
        false => 0.0,
    }
}

/// How far a point lies off the line through its neighbours, those of an end off the line through the
/// next two, as a share of what that line says.
fn off(points: &[(f64, f64)], index: usize) -> f64 {
    let last = points.len() - 1;
    let (a, b) = match index {
        0 => (1, 2),
        i if i == last => (last - 2, last - 1),
        i => (i - 1, i + 1),
    };
    let ((x0, y0), (x1, y1)) = (points[a], points[b]);
    let (x, y) = points[index];
    let line = y0 + (y1 - y0) * (x - x0) / (x1 - x0);
    match line > 0.0 {
        true => y / line - 1.0,
        false => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RPM: [f64; 11] = [
        2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 7000.0, 7500.0,
    ];
    const LONG: [f64; 11] = [
        139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
    ];

    #[test]
    fn one_wrong_figure_is_found_wherever_it_stands() {
        assert_eq!(slip(&RPM, &LONG), None);
        for index in 0..LONG.len() {
            for times in [0.5, 0.8, 1.25, 2.0, 10.0] {
                let at_end = index == 0 || index + 1 == LONG.len();
                if at_end && (0.6..1.4).contains(&times) {
                    continue;
                }
                let mut torque = LONG;
                torque[index] *= times;
                let found = slip(&RPM, &torque).expect("a slip");
                assert_eq!(found.index, index, "times {times}");
                assert_eq!(found.off > 0.0, times > 1.0);
                assert_eq!(found.impossible, times > 3.0);
            }
        }
    }

    /// A step (a cam that changes over, a turbine that comes in), a dip of two points and a rough
    /// sheet are engines, not slips.
    #[test]
    fn steps_and_rough_sheets_are_left_alone() {
        let mut step = LONG;
        step[5..].iter_mut().for_each(|torque| *torque *= 1.3);
        assert_eq!(slip(&RPM, &step), None);
        let mut dip = LONG;
        dip[4..6].iter_mut().for_each(|torque| *torque *= 0.85);
        assert_eq!(slip(&RPM, &dip), None);
        let mut early = LONG;
        early[0] *= 0.7;
        assert_eq!(slip(&RPM, &early), None);
        let mut rough = LONG;
        let ragged = rough.iter_mut().enumerate();
        ragged.for_each(|(i, torque)| *torque *= if i % 2 == 0 { 1.05 } else { 0.95 });
        assert_eq!(slip(&RPM, &rough), None);
        assert_eq!(slip(&RPM[..5], &LONG[..5]), None);
    }

    /// Every other point: the line between two neighbours cuts the bend, the curve through four does not.
    #[test]
    fn a_fifth_too_low_is_found_among_few_points() {
        let every_other = |of: [f64; 11]| of.into_iter().step_by(2).collect::<Vec<f64>>();
        let (rpm, sound) = (every_other(RPM), every_other(LONG));
        assert_eq!(slip(&rpm, &sound), None);
        let mut torque = sound;
        torque[3] *= 0.8;
        assert_eq!(slip(&rpm, &torque).map(|slip| slip.index), Some(3));
    }

    #[test]
    fn ten_times_too_high_is_impossible_however_few_points_there_are() {
        for index in 0..5 {
            let mut torque = LONG[..5].to_vec();
            torque[index] *= 10.0;
            let found = slip(&RPM[..5], &torque).expect("a slip");
            assert_eq!((found.index, found.impossible), (index, true));
        }
    }
}
