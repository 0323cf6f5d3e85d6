//! The least of a cost that may have two valleys: looked for everywhere before it is looked at closely.

/// Steps of a look, and looks, each about the best place of the one before.
const GRID: usize = 14;
const LOOKS: usize = 3;

/// The least cost between two bounds, and where it is.
pub(super) fn least(mut low: f64, mut high: f64, cost: impl Fn(f64) -> f64) -> (f64, f64) {
    let mut best = (f64::INFINITY, low);
    for _ in 0..LOOKS {
        let step = (high - low) / GRID as f64;
        for i in 0..=GRID {
            let at = low + step * i as f64;
            let value = cost(at);
            if value < best.0 {
                best = (value, at);
            }
        }
        (low, high) = (best.1 - step, best.1 + step);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_deeper_of_two_valleys_is_found() {
        let cost = |x: f64| (x * x - 4.0).powi(2) + 0.3 * x;
        let (value, at) = least(-5.0, 5.0, cost);
        assert!((at + 2.0).abs() < 0.03, "{at}");
        assert_eq!(value, cost(at));
    }
}
