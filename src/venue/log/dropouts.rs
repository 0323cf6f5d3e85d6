//! Speeds that a logger lost: samples that fall out of the run, values that freeze.

use std::ops::Range;

/// No car of these events slows down faster, m/s² (two g; common practice, no source).
const HARDEST: f64 = 20.0;
/// None gains speed faster, m/s² (a g and a half; common practice, no source).
const QUICKEST: f64 = 15.0;
/// The same for a fall to naught exactly and back, which is a logger's way to say nothing.
const TO_NAUGHT: (f64, f64) = (12.0, 8.0);
/// How cars of these events brake and speed up where they do both, m/s² (common practice, no source).
const USUAL: (f64, f64) = (9.0, 4.0);
/// What falls out keeps less than this share of the speed before it.
const LOST: f64 = 0.5;
/// It is back within this time, s, or by the second row.
const SHORT: f64 = 1.5;
/// A speed that is naught for up to this time, s, is put between its neighbours even so, and one for longer is
/// lost for good. Wheels that are faster than this before and after, m/s, do not stop and start within a row.
const LONG: f64 = 5.0;
const FAST: f64 = 8.0;
/// One row, or two, faster than both neighbours by this much, m/s, and by this rate, m/s², is no speed.
const SPIKE: (f64, f64) = (10.0, 30.0);
/// Slower cars may stop and go within a row, m/s.
const SLOW: f64 = 5.0;
/// A value that stays the same to the last digit for longer is frozen, s, and for so many rows…
const FROZEN: (f64, usize) = (1.5, 5);
/// …if it then jumps by more than this at least, m/s.
const JUMP: f64 = 2.0;
/// Slower is standing, m/s.
const STANDING: f64 = 1.0;
/// A shorter halt is not spoken of, s.
const HALT: f64 = 3.0;

/// Puts speeds between their neighbours where they fall out of the run for a moment, or leap out of it, as no
/// car can; the rows that were mended.
pub fn mend(time: &[f64], speed: &mut [f64]) -> Vec<Range<usize>> {
    let mut mended = Vec::new();
    let mut row = 1;
    while row < speed.len() {
        let end = back(time, speed, row)
            .or_else(|| spike(time, speed, row))
            .or_else(|| naught(time, speed, row).filter(|end| time[*end] - time[row - 1] <= LONG));
        match end {
            Some(end) => {
                let (a, b) = (row - 1, end);
                let taken = (time[b] - time[a]).max(f64::MIN_POSITIVE);
                let (from, to) = (speed[a], speed[b]);
                for i in row..end {
                    let share = (time[i] - time[a]) / taken;
                    speed[i] = from + share * (to - from);
                }
                mended.push(row..end);
                row = end + 1;
            }
            None => row += 1,
        }
    }
    mended
}

/// Rows in which a moving car's speed was naught for too long to be put between its neighbours.
pub fn lost(time: &[f64], speed: &[f64]) -> Option<Range<usize>> {
    (1..speed.len()).find_map(|row| Some(row..naught(time, speed, row)?))
}

/// The lowest speed, m/s, that a car may have had in rows whose speed is lost, braking and speeding up
/// again between its neighbours as cars of these events do.
pub fn lowest(time: &[f64], speed: &[f64], rows: &Range<usize>) -> f64 {
    let (a, b) = (rows.start - 1, rows.end);
    let (brakes, gains) = USUAL;
    let spare = speed[a] / brakes + speed[b] / gains - (time[b] - time[a]);
    let lowest = spare / (1.0 / brakes + 1.0 / gains);
    lowest.clamp(0.0, speed[a].min(speed[b]))
}

/// Change of speed from one row to another, m/s².
fn rate(time: &[f64], speed: &[f64], a: usize, b: usize) -> f64 {
    (speed[b] - speed[a]) / (time[b] - time[a])
}

/// The row at which a speed that falls out at `row` is back.
fn back(time: &[f64], speed: &[f64], row: usize) -> Option<usize> {
    let before = speed[row - 1];
    if before < SLOW || speed[row] >= LOST * before {
        return None;
    }
    let (hardest, quickest) = match speed[row] == 0.0 {
        true => TO_NAUGHT,
        false => (HARDEST, QUICKEST),
    };
    if rate(time, speed, row - 1, row) > -hardest {
        return None;
    }
    let soon = |end: &usize| *end == row + 1 || time[*end] - time[row - 1] <= SHORT;
    let end = (row + 1..speed.len())
        .take_while(soon)
        .find(|&end| speed[end] >= LOST * before)?;
    (rate(time, speed, end - 1, end) >= quickest).then_some(end)
}

/// The row at which a speed that is naught exactly from `row` on is back, however late, where a car neither
/// stops nor starts like that.
fn naught(time: &[f64], speed: &[f64], row: usize) -> Option<usize> {
    if speed[row] != 0.0 || speed[row - 1] < FAST {
        return None;
    }
    let end = row + speed[row..].iter().position(|v| *v != 0.0)?;
    let falls = rate(time, speed, row - 1, row) <= -TO_NAUGHT.0;
    let returns = speed[end] >= FAST && rate(time, speed, end - 1, end) >= TO_NAUGHT.1;
    (falls && returns).then_some(end)
}

/// The row at which a speed that leaps up at `row` is back.
fn spike(time: &[f64], speed: &[f64], row: usize) -> Option<usize> {
    let leaps = |low: usize, high: usize| {
        let taken = (time[high] - time[low]).abs();
        let step = speed[high] - speed[low];
        step > SPIKE.0 && step > SPIKE.1 * taken
    };
    if !leaps(row - 1, row) {
        return None;
    }
    (row + 1..speed.len().min(row + 3)).find(|&end| leaps(end, end - 1))
}

/// Rows over which the speed is the same to the last digit and then jumps as no car does.
pub fn frozen(time: &[f64], speed: &[f64]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut from = 0;
    while from < speed.len() {
        let same = speed[from..].iter().take_while(|v| **v == speed[from]);
        let end = from + same.count();
        let long = end - from >= FROZEN.1 && time[end - 1] - time[from] >= FROZEN.0;
        if long && speed[from] > SLOW && end < speed.len() {
            let step = speed[end] - speed[end - 1];
            let rate = step.abs() / (time[end] - time[end - 1]).max(1e-3);
            if step.abs() > JUMP && rate > QUICKEST {
                found.push(from..end);
            }
        }
        from = end;
    }
    found
}

/// Rows of halts between the first and the last row that move.
pub fn halts(time: &[f64], speed: &[f64]) -> Vec<Range<usize>> {
    let moves = |v: &f64| *v > STANDING;
    let (Some(first), Some(last)) = (speed.iter().position(moves), speed.iter().rposition(moves))
    else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut row = first;
    while row < last {
        let stands = speed[row..last].iter().take_while(|v| !moves(v)).count();
        let end = row + stands;
        if stands > 0 && time[end] - time[row] >= HALT {
            found.push(row..end);
        }
        row = end + 1;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten rows a second at 28 m/s, slowing to 15 and back as a car does.
    fn run() -> (Vec<f64>, Vec<f64>) {
        let time: Vec<f64> = (0..100).map(|i| 0.1 * f64::from(i)).collect();
        let speed = time.iter().map(|t| 28.0 - 13.0 * (0.6 * t).sin().powi(2));
        let speed = speed.collect();
        (time, speed)
    }

    #[test]
    fn a_sample_lost_is_put_between_its_neighbours() {
        let (time, sound) = run();
        let mut speed = sound.clone();
        assert!(mend(&time, &mut speed).is_empty());
        speed[20] = 0.0;
        speed[50..54].fill(3.0);
        assert_eq!(mend(&time, &mut speed), [20..21, 50..54]);
        for (row, (mended, sound)) in speed.iter().zip(&sound).enumerate() {
            assert!(
                (mended - sound).abs() < 0.5,
                "row {row}: {mended} for {sound}"
            );
        }
    }

    #[test]
    fn a_speed_of_naught_at_full_speed_is_lost_however_long() {
        let (time, sound) = run();
        let mut speed = sound.clone();
        speed[40..70].fill(0.0);
        let mut long = speed.clone();
        assert_eq!(
            mend(&time, &mut speed).as_slice(),
            std::slice::from_ref(&(40..70))
        );
        assert_eq!(lost(&time, &speed), None);
        let between = 0.5 * (sound[39] + sound[70]);
        assert!((speed[54] - between).abs() < 0.5, "{}", speed[54]);
        long[30..85].fill(0.0);
        assert!(mend(&time, &mut long).is_empty());
        assert_eq!(lost(&time, &long), Some(30..85));
    }

    /// From 20 m/s at 9 m/s² for 1 s and back at 4 m/s² for 2.25 s: down to 11 m/s.
    #[test]
    fn what_a_loss_may_hide_goes_by_its_length() {
        let (time, speed) = ([0.0, 1.0, 3.25], [20.0, 0.0, 20.0]);
        assert!((lowest(&time, &speed, &(1..2)) - 11.0).abs() < 1e-9);
        // In a tenth there is no time for a corner, and in a minute for any.
        assert!(lowest(&[0.0, 0.05, 0.1], &speed, &(1..2)) > 19.7);
        assert_eq!(lowest(&[0.0, 30.0, 60.0], &speed, &(1..2)), 0.0);
        // From one end to the other it only slows down.
        let apart = [30.0, 0.0, 12.0];
        assert_eq!(lowest(&[0.0, 1.0, 1.5], &apart, &(1..2)), 12.0);
    }

    #[test]
    fn a_leap_up_is_no_speed() {
        let (time, sound) = run();
        let mut speed = sound.clone();
        speed[20] = 182.0;
        speed[50..52].fill(60.0);
        assert_eq!(mend(&time, &mut speed), [20..21, 50..52]);
        assert!((speed[20] - sound[20]).abs() < 0.5);
        // Wheels that spin gain 6 m/s in a tenth.
        let mut spun = sound.clone();
        spun[20..22].iter_mut().for_each(|v| *v += 6.0);
        assert!(mend(&time, &mut spun).is_empty());
    }

    /// A stop at one g, a stay and a start at half a g is what cars do.
    #[test]
    fn a_stop_is_no_lost_sample() {
        let time: Vec<f64> = (0..200).map(|i| 0.1 * f64::from(i)).collect();
        let of = |t: &f64| (20.0 - 10.0 * t).max(5.0 * (t - 12.0)).max(0.0);
        let mut speed: Vec<f64> = time.iter().map(of).collect();
        let before = speed.clone();
        assert!(mend(&time, &mut speed).is_empty());
        assert_eq!(speed, before);
        let halts = halts(&time, &speed);
        assert_eq!(halts.len(), 1);
        assert!((time[halts[0].start] - 1.9).abs() < 0.15, "{halts:?}");
        assert!((time[halts[0].end] - 12.2).abs() < 0.15, "{halts:?}");
    }

    #[test]
    fn a_frozen_value_is_known_by_its_jump() {
        let (time, mut speed) = run();
        assert!(frozen(&time, &speed).is_empty());
        let held = speed[5];
        speed[5..26].fill(held);
        assert_eq!(
            frozen(&time, &speed).as_slice(),
            std::slice::from_ref(&(5..26))
        );
        // Held at a limiter and let go.
        let (_, sound) = run();
        let limited: Vec<f64> = sound.iter().map(|v| v.min(20.0)).collect();
        assert!(frozen(&time, &limited).is_empty());
    }
}
