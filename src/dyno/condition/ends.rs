//! What a log shows beside its sweep: the engine idling before it, a limiter behind it.

use super::{Rows, median};

/// Engines idle below this, rpm, and keep within this share of it (common practice, no source).
const IDLE_RPM: f64 = 1500.0;
const STEADY: f64 = 0.15;
/// Fewest rows of either.
const FEWEST: usize = 4;
/// How far torque scatters while nothing pulls, as a share of what the engine makes: load cells are read to 0.5 % of
/// their range and better, vibration comes on top (common practice, no source).
const QUIET: f64 = 0.02;
/// Share of the sweep's last engine speed above which a limiter holds it: limiters come back within 100 to 300 rpm
/// (common practice, no source).
const HELD: f64 = 0.96;
/// Share of the torque there below which it is cut, and how many times that it comes back to: a cut of one
/// cylinder of four leaves 0.75, and 1 / 0.75 is 1.33.
const CUT: f64 = 0.7;
const BACK: f64 = 1.3;

/// What torque reads in the mean while the engine idles before the sweep; `None` where it does not.
pub fn idle(rows: &Rows, used: &[usize]) -> Option<f64> {
    let first = *used.first()?;
    let before: Vec<usize> = (0..first).filter(|&row| rows.rpm[row] < IDLE_RPM).collect();
    let speed = median(before.iter().map(|&row| rows.rpm[row]));
    let idling: Vec<usize> = before
        .into_iter()
        .filter(|&row| (rows.rpm[row] / speed - 1.0).abs() < STEADY)
        .collect();
    let pulling = median(used.iter().map(|&row| rows.torque[row]));
    let mean = idling.iter().map(|&row| rows.torque[row]).sum::<f64>() / idling.len() as f64;
    let quiet = |&row: &usize| (rows.torque[row] - mean).abs() < QUIET * pulling;
    (idling.len() >= FEWEST && idling.iter().all(quiet)).then_some(mean)
}

/// The middle engine speed of the rows behind the sweep in which torque is cut and comes back while the engine keeps
/// its speed; `None` where the throttle was closed.
pub fn limited(rows: &Rows, used: &[usize]) -> Option<f64> {
    let last = *used.last()?;
    let held = |row: &usize| rows.rpm[*row] > HELD * rows.rpm[last];
    let held: Vec<usize> = (last + 1..rows.rpm.len()).take_while(held).collect();
    let mut least = f64::INFINITY;
    let comes_back = held.iter().any(|&row| {
        least = least.min(rows.torque[row]);
        least > 0.0 && least < CUT * rows.torque[last] && rows.torque[row] > BACK * least
    });
    let middle = median(held.iter().map(|&row| rows.rpm[row]));
    (held.len() >= FEWEST && comes_back).then_some(middle)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(points: &[(f64, f64)]) -> Rows {
        Rows {
            rpm: points.iter().map(|p| p.0).collect(),
            torque: points.iter().map(|p| p.1).collect(),
            ..Rows::default()
        }
    }

    #[test]
    fn idling_before_a_sweep_shows_the_zero() {
        let mut points: Vec<(f64, f64)> = (0..8)
            .map(|i| (950.0 + f64::from(i % 3), 9.0 + 0.1 * f64::from(i % 2)))
            .collect();
        points.extend((0..20).map(|i| (2500.0 + 100.0 * f64::from(i), 150.0)));
        let used: Vec<usize> = (8..28).collect();
        let zero = idle(&rows(&points), &used).unwrap();
        assert!((zero - 9.05).abs() < 1e-9, "{zero}");
        // On the way from idling to the sweep the engine pulls already.
        points[6] = (1400.0, 60.0);
        assert!(idle(&rows(&points), &used).is_some());
        points[7] = (960.0, 30.0);
        assert_eq!(idle(&rows(&points), &used), None);
        points[7] = (960.0, -12.0);
        assert_eq!(idle(&rows(&points), &used), None);
        assert_eq!(idle(&rows(&points[8..]), &[0, 1, 2, 3]), None);
    }

    #[test]
    fn a_limiter_cuts_and_lets_go_where_a_closed_throttle_does_not() {
        let mut points: Vec<(f64, f64)> = (0..20)
            .map(|i| (5000.0 + 100.0 * f64::from(i), 150.0))
            .collect();
        let used: Vec<usize> = (0..20).collect();
        points.extend([
            (6930.0, 60.0),
            (6990.0, 120.0),
            (6940.0, 40.0),
            (6960.0, 110.0),
        ]);
        assert_eq!(limited(&rows(&points), &used), Some(6950.0));
        points.truncate(20);
        points.extend([
            (6900.0, 60.0),
            (6880.0, 20.0),
            (6850.0, 5.0),
            (6820.0, 2.0),
            (6500.0, 1.0),
        ]);
        assert_eq!(limited(&rows(&points), &used), None);
    }
}
