//! How long the engine of a logged run turned at which speeds, as its own pick-up counted.

/// Width of a band, rpm.
pub const BAND: f64 = 500.0;
/// Engine speeds above this are a logger's, and no engine's, rpm.
const FASTEST: f64 = 30_000.0;

/// Seconds spent in a band of engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned {
    /// Where the band of [`BAND`] begins, rpm.
    pub from_rpm: f64,
    /// Seconds in it.
    pub seconds: f64,
}

/// The bands of a run from the lowest to the highest that it reaches, by times in s and engine speeds in rpm of
/// its rows, between which both run evenly.
pub(super) fn turned(time: &[f64], rpm: &[f64]) -> Vec<Turned> {
    let mut seconds: Vec<f64> = Vec::new();
    for (times, ends) in time.windows(2).zip(rpm.windows(2)) {
        let (low, high) = (
            ends[0].min(ends[1]).max(0.0),
            ends[0].max(ends[1]).min(FASTEST),
        );
        let (first, last) = ((low / BAND) as usize, (high / BAND) as usize);
        seconds.resize(seconds.len().max(last + 1), 0.0);
        let whole = times[1] - times[0];
        for (band, sum) in seconds.iter_mut().enumerate().take(last + 1).skip(first) {
            let from = BAND * band as f64;
            let within = high.min(from + BAND) - low.max(from);
            *sum += match high > low {
                true => whole * within / (high - low),
                false => whole,
            };
        }
    }
    let all = seconds
        .into_iter()
        .enumerate()
        .map(|(band, seconds)| Turned {
            from_rpm: BAND * band as f64,
            seconds,
        });
    all.skip_while(|band| band.seconds == 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn seconds_are_parted_at_the_edges_of_bands_and_none_is_lost() {
        let time = [0.0, 1.0, 3.0, 4.0];
        let rpm = [4250.0, 4750.0, 3750.0, 3750.0];
        let found = turned(&time, &rpm);
        let bands: Vec<f64> = found.iter().map(|band| band.from_rpm).collect();
        assert_eq!(bands, [3500.0, 4000.0, 4500.0]);
        let seconds: Vec<f64> = found.iter().map(|band| band.seconds).collect();
        assert_relative_eq!(seconds[0], 0.5 + 1.0);
        assert_relative_eq!(seconds[1], 0.5 + 1.0);
        assert_relative_eq!(seconds[2], 0.5 + 0.5);
        assert_eq!(turned(&[], &[]), []);
    }
}
