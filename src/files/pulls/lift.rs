//! Torque that falls away within a pull and stays away while the engine runs on: the throttle was lifted, or it
//! misfires.

/// Engine speeds within which it falls, rpm: a foot is quicker than any curve.
const LEAP: f64 = 350.0;
/// Share of the torque before to which it falls at least, and that it does not come back to (common practice, no
/// source).
const FALLEN: f64 = 0.7;
const BACK: f64 = 0.8;
/// Share of the torque before above which it has not begun to fall.
const BEFORE: f64 = 0.97;
/// Engine speeds over which it goes on after the fall, rpm: no limiter lets an engine run on so far.
const RUNS_ON: f64 = 500.0;
/// Share of its torque that it keeps over the last of them: a governor takes all of it.
const KEPT: f64 = 0.5;

/// The last point before torque falls away for good, and the first after.
pub fn lift(rpm: &[f64], torque: &[f64], smoothed: Option<f64>) -> Option<(usize, usize)> {
    // Smoothing draws a leap out to both sides.
    let leap = LEAP + 2.0 * smoothed.unwrap_or(0.0);
    let last = rpm.len().checked_sub(1)?;
    let within = |from: usize| (from + 1..=last).take_while(move |&i| rpm[i] - rpm[from] <= leap);
    let falls = |from: &usize| within(*from).any(|i| torque[i] < FALLEN * torque[*from]);
    let begin = (0..last).find(falls)?;
    let high = |&i: &usize| torque[i] >= BEFORE * torque[begin];
    let before = within(begin).filter(high).last().unwrap_or(begin);
    let after = (before + 1..=last).find(|&i| torque[i] < FALLEN * torque[before])?;
    let stays = torque[after..].iter().all(|t| *t < BACK * torque[before]);
    let late = rpm.iter().rposition(|n| *n <= rpm[last] - RUNS_ON)?;
    let pulls = late >= after && torque[last] > KEPT * torque[late] && torque[late] > 0.0;
    (stays && pulls).then_some((before, after))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Torque from 3,000 to 7,300 rpm in steps of 100, times a share that depends on engine speed.
    fn of(share: impl Fn(f64) -> f64) -> Option<f64> {
        let rpm: Vec<f64> = (0..=43).map(|i| 3000.0 + 100.0 * f64::from(i)).collect();
        let full = |n: f64| 180.0 - 50.0 * ((n - 5200.0) / 2200.0).powi(2);
        let torque: Vec<f64> = rpm.iter().map(|&n| full(n) * share(n)).collect();
        lift(&rpm, &torque, None).map(|(before, _)| rpm[before])
    }

    #[test]
    fn a_throttle_that_was_lifted_is_told_with_where() {
        let at_once = |n: f64| if n > 5600.0 { 0.4 } else { 1.0 };
        assert_eq!(of(at_once), Some(5600.0));
        let in_time = |n: f64| 1.0 - 0.6 * ((n - 5600.0) / 600.0).clamp(0.0, 1.0);
        assert_eq!(of(in_time), Some(5600.0));
        let misfires = |n: f64| match n > 5000.0 {
            true if (n / 100.0) as i32 % 2 == 0 => 0.55,
            true => 0.68,
            false => 1.0,
        };
        assert_eq!(of(misfires), Some(5000.0));
    }

    /// A fall to the top end as engines have it, a limiter, a governor, a lift that is taken back.
    #[test]
    fn what_engines_do_is_none() {
        assert_eq!(of(|_| 1.0), None);
        assert_eq!(of(|n| 1.0 - 0.5 * ((n - 5600.0) / 1700.0).max(0.0)), None);
        assert_eq!(of(|n| if n > 7000.0 { 0.1 } else { 1.0 }), None);
        assert_eq!(of(|n| 1.0 - ((n - 6650.0) / 650.0).clamp(0.0, 1.0)), None);
        assert_eq!(
            of(|n| if (5000.0..5600.0).contains(&n) {
                0.4
            } else {
                1.0
            }),
            None
        );
        assert_eq!(lift(&[], &[], None), None);
    }
}
