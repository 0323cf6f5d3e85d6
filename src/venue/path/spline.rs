//! A smooth line through values that err: is the error of each new, or that of each step?
//!
//! The slope takes a random walk, so the line is a cubic smoothing spline (Wahba, 1978), and a Kalman filter with
//! the smoother of Rauch, Tung and Striebel finds it in one pass to and fro. How stiff it is, and which errors
//! are there, the values themselves say: those under which they are likeliest (marginal likelihood).

use super::search;

/// Values that are asked, at most, from the middle.
const ASKED: usize = 4000;
/// What is not known at the start, over the error of one value: the value, and the slope over a usual step.
const UNKNOWN: f64 = 1e3;
/// Shortest and longest reach of the smoothing, in steps between values and in metres.
const REACH: (f64, f64) = (0.5, 3000.0);

/// Variances of errors, in units of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Errors {
    /// New at each value.
    fresh: f64,
    /// New at each step, and kept.
    kept: f64,
}

const FRESH: Errors = Errors {
    fresh: 1.0,
    kept: 0.0,
};
const KEPT: Errors = Errors {
    fresh: 0.0,
    kept: 1.0,
};

/// Value and slope with their covariances, those in units of the error's variance.
#[derive(Debug, Clone, Copy)]
struct State {
    value: f64,
    slope: f64,
    vv: f64,
    vs: f64,
    ss: f64,
}

impl State {
    fn start(first: f64, apart: f64) -> Self {
        Self {
            value: first,
            slope: 0.0,
            vv: UNKNOWN * UNKNOWN,
            vs: 0.0,
            ss: (UNKNOWN / apart).powi(2),
        }
    }

    /// The same so many metres on, where the slope's variance grows by `q` a metre.
    fn ahead(self, d: f64, q: f64, errors: Errors) -> Self {
        let walked = d * (2.0 * self.vs + d * self.ss) + q * d.powi(3) / 3.0;
        Self {
            value: self.value + d * self.slope,
            slope: self.slope,
            vv: self.vv + walked + errors.kept,
            vs: self.vs + d * self.ss + q * d * d / 2.0,
            ss: self.ss + q * d,
        }
    }

    /// With a value seen, and how far that was off and how far it may have been, as a variance.
    fn seen(self, value: f64, errors: Errors) -> (Self, f64, f64) {
        let (off, variance) = (value - self.value, self.vv + errors.fresh);
        let (to_value, to_slope) = (self.vv / variance, self.vs / variance);
        let state = Self {
            value: self.value + to_value * off,
            slope: self.slope + to_slope * off,
            vv: self.vv * (1.0 - to_value),
            vs: self.vs * (1.0 - to_value),
            ss: self.ss - to_slope * self.vs,
        };
        (state, off, variance)
    }
}

/// The line at each of the places (m, rising) of values; `None` where errors that are kept from step to step are
/// likelier than new ones.
pub(super) fn through(values: &[(f64, f64)]) -> Option<Vec<f64>> {
    const FEWEST: usize = 10;
    if values.len() < FEWEST {
        return None;
    }
    let from = values.len().saturating_sub(ASKED) / 2;
    let some = &values[from..(from + ASKED).min(values.len())];
    let (fresh, q) = likeliest(some, FRESH);
    let (kept, _) = likeliest(some, KEPT);
    (fresh < kept).then(|| smooth(values, q))
}

/// The least [`cost`], and the growth of the slope's variance a metre, over the error's variance, that has it.
fn likeliest(values: &[(f64, f64)], errors: Errors) -> (f64, f64) {
    let apart = apart(values);
    let of = |log: f64| apart / log.exp().powi(4);
    let (low, high) = (REACH.0 * apart, REACH.1.max(2.0 * apart));
    let (cost, log) = search::least(low.ln(), high.ln(), |log| cost(values, of(log), errors));
    (cost, of(log))
}

/// Usual distance of values, m.
fn apart(values: &[(f64, f64)]) -> f64 {
    let whole = values[values.len() - 1].0 - values[0].0;
    (whole / (values.len() - 1) as f64).max(f64::MIN_POSITIVE)
}

/// Minus twice the logarithm of the likelihood, but for a constant, at the likeliest size of the errors.
fn cost(values: &[(f64, f64)], q: f64, errors: Errors) -> f64 {
    let (mut state, mut at) = (State::start(values[0].1, apart(values)), values[0].0);
    let (mut squares, mut logs) = (0.0, 0.0);
    for &(place, value) in values {
        let (next, off, variance) = state.ahead(place - at, q, errors).seen(value, errors);
        squares += off * off / variance;
        logs += variance.ln();
        (state, at) = (next, place);
    }
    let count = values.len() as f64;
    count * (squares / count).max(f64::MIN_POSITIVE).ln() + logs
}

/// The line through values whose errors are new at each.
fn smooth(values: &[(f64, f64)], q: f64) -> Vec<f64> {
    let (mut state, mut at) = (State::start(values[0].1, apart(values)), values[0].0);
    let mut passed = Vec::with_capacity(values.len());
    for &(place, value) in values {
        let before = state.ahead(place - at, q, FRESH);
        let (after, ..) = before.seen(value, FRESH);
        passed.push((before, after));
        (state, at) = (after, place);
    }
    let (mut value, mut slope) = (state.value, state.slope);
    let mut line = vec![value; values.len()];
    for i in (0..values.len() - 1).rev() {
        let (here, next) = (passed[i].1, passed[i + 1].0);
        let d = values[i + 1].0 - values[i].0;
        let determinant = next.vv * next.ss - next.vs * next.vs;
        let (off, turned) = (value - next.value, slope - next.slope);
        let by_value = (next.ss * off - next.vs * turned) / determinant;
        let by_slope = (next.vv * turned - next.vs * off) / determinant;
        (value, slope) = (here.value, here.slope);
        if by_value.is_finite() && by_slope.is_finite() {
            value += (here.vv + d * here.vs) * by_value + here.vs * by_slope;
            slope += (here.vs + d * here.ss) * by_value + here.ss * by_slope;
        }
        line[i] = value;
    }
    line
}

#[cfg(test)]
mod tests {
    use super::super::scatter::tests::normal;
    use super::*;

    /// Hills of so many metres to either side, 600 m long, a value every `apart` m.
    fn hills(metres: f64, apart: f64) -> Vec<(f64, f64)> {
        let angle = |at: f64| at / 600.0 * std::f64::consts::TAU;
        let places = (0..300).map(|i| apart * f64::from(i));
        places.map(|at| (at, metres * angle(at).sin())).collect()
    }

    fn spread(values: impl ExactSizeIterator<Item = f64>) -> f64 {
        let count = values.len() as f64;
        (values.map(|z| z * z).sum::<f64>() / count).sqrt()
    }

    #[test]
    fn hills_stay_as_high_as_they_are_and_errors_make_none() {
        for apart in [3.0, 10.0, 22.0] {
            for metres in [0.0, 3.0, 6.0, 20.0] {
                let mut draw = normal();
                let truth = hills(metres, apart);
                let seen: Vec<_> = truth.iter().map(|(at, z)| (*at, z + draw())).collect();
                let line = through(&seen).unwrap();
                let off = spread(line.iter().zip(&truth).map(|(line, (_, z))| line - z));
                assert!(off < 0.7, "{metres} {apart}: {off}");
                let ratio = spread(line.into_iter()) / spread(truth.iter().map(|(_, z)| *z));
                assert!(
                    metres == 0.0 || (0.9..1.06).contains(&ratio),
                    "{metres} {apart}: {ratio}"
                );
            }
        }
    }

    #[test]
    fn errors_that_are_kept_are_told_from_new_ones() {
        for apart in [3.0, 10.0, 22.0] {
            let (mut draw, mut error) = (normal(), 0.0);
            let drifts = |(at, z): (f64, f64)| {
                error += 0.9 * draw();
                (at, z + error)
            };
            let seen: Vec<_> = hills(6.0, apart).into_iter().map(drifts).collect();
            assert_eq!(through(&seen), None, "{apart}");
        }
    }

    /// A line of least squares is the stiffest spline; this one by its normal equations.
    #[test]
    fn the_stiffest_line_is_that_of_least_squares() {
        let values = [(0.0, 1.0), (1.0, 2.5), (3.0, 2.0), (4.0, 5.0), (7.0, 6.0)];
        let line = smooth(&values, 1e-12);
        for (line, by_hand) in line.iter().zip([1.2, 1.9, 3.3, 4.0, 6.1]) {
            assert!((line - by_hand).abs() < 1e-3, "{line} {by_hand}");
        }
    }

    #[test]
    fn places_that_coincide_share_a_value() {
        let values = [(0.0, 1.0), (0.0, 3.0), (5.0, 2.0), (9.0, 2.2), (9.0, 2.6)];
        let line = smooth(&values, 1e-3);
        assert!(line.iter().all(|z| z.is_finite()));
        assert!((line[0] - line[1]).abs() < 1e-6 && (line[3] - line[4]).abs() < 1e-6);
    }
}
