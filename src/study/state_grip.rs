//! How much grip a state of a venue had, from a time done in it: the driver as he is, the speeds of the dry as
//! they are.

/// Grip of a state over that in the dry, from ice to more than anything is said to add (common practice, no
/// source).
const FACTORS: (f64, f64) = (0.25, 1.5);
/// Nobody knows the grip of a state better (common practice, no source).
const KNOWN_WITHIN: f64 = 0.02;
/// Halvings of the bracket.
const HALVINGS: usize = 14;
/// The lap that is found takes the time to this share of it.
const NEAR: f64 = 1e-3;

/// Whether a grip that was found is another than the one taken.
pub fn moves(found: f64, taken: f64) -> bool {
    (found - taken).abs() >= KNOWN_WITHIN
}

/// The grip of a state over that of the surfaces as written with which a lap takes `actual` seconds; `lap` drives
/// with so much. `None` where none between a quarter and half as much again does.
pub fn factor(actual: f64, lap: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let (mut low, mut high) = FACTORS;
    let mut nearest = lap(high)?;
    if actual < nearest || lap(low).is_some_and(|slowest| actual > slowest) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        match lap(middle) {
            Some(time) if time <= actual => (high, nearest) = (middle, time),
            // What cannot be driven for want of grip is slower than anything.
            _ => low = middle,
        }
    }
    ((nearest / actual - 1.0).abs() < NEAR).then_some(high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Corners at the speed that the grip gives: 100 s in the dry.
    fn lap(grip: f64) -> Option<f64> {
        (grip >= 0.3).then(|| 100.0 / grip.sqrt())
    }

    #[test]
    fn analytic_grip_of_a_lap_of_corners_alone() {
        assert_relative_eq!(factor(125.0, lap).unwrap(), 0.64, epsilon = 2e-4);
        assert_relative_eq!(factor(100.0, lap).unwrap(), 1.0, epsilon = 2e-4);
        // On the way there it is tried with less than it can be driven with.
        let slippery = factor(100.0 / 0.32_f64.sqrt(), lap).unwrap();
        assert_relative_eq!(slippery, 0.32, epsilon = 2e-4);
        // Quicker than with any grip, and slower than can be driven.
        assert_eq!(factor(50.0, lap), None);
        assert_eq!(factor(300.0, lap), None);
    }
}
