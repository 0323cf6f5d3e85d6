//! One figure of a typed sheet that stands apart from all others: 404 for 204.

/// Least share of torque by which a slip lies off the line between its neighbours.
const LEAST: f64 = 0.08;
/// The same of a first or last point, where torque may come or go steeply.
const LEAST_AT_END: f64 = 0.4;
/// Times as far off as any other point lies once the slip is taken out.
const CLEARER: f64 = 4.0;
/// Fewest and most points that tell: a longer table is a log, whose spikes are left out elsewhere.
const TELLING: std::ops::RangeInclusive<usize> = 6..=100;

/// The point that is most likely a slip of the pen, and how far off it lies as a share of what its
/// neighbours say. One test for all: it lies far off its neighbours, and without it no other point
/// lies off by a quarter as much, so that the sheet is smooth but for this one.
pub fn slip(rpm: &[f64], torque: &[f64]) -> Option<(usize, f64)> {
    if !TELLING.contains(&rpm.len()) || rpm.len() != torque.len() {
        return None;
    }
    let points: Vec<(f64, f64)> = rpm.iter().copied().zip(torque.iter().copied()).collect();
    let roughness = |index: usize| {
        let mut rest = points.clone();
        rest.remove(index);
        let inner = 1..rest.len() - 1;
        inner.map(|i| off(&rest, i).abs()).fold(0.0, f64::max)
    };
    let (index, rest) = (0..points.len())
        .map(|index| (index, roughness(index)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let off = off(&points, index);
    let at_end = index == 0 || index + 1 == points.len();
    let least = if at_end { LEAST_AT_END } else { LEAST };
    (off.abs() > least && off.abs() > CLEARER * rest).then_some((index, off))
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
                let (found, off) = slip(&RPM, &torque).expect("a slip");
                assert_eq!(found, index, "times {times}");
                assert_eq!(off > 0.0, times > 1.0);
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
}
