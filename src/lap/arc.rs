//! One step of motion and every point inside it.
//!
//! dz/ds = 2·a(z) by the classical fourth-order Runge–Kutta rule, with the third-order interpolant
//! that its own stages give (Hairer, Nørsett & Wanner, "Solving Ordinary Differential Equations I",
//! section II.6, from memory; the order is measured in the tests). The time over a step is
//! ∫ds/√z: with z linear it is 2·L/(v₀ + v₁), exact at constant acceleration and from rest; the same
//! over the two halves and one step of Richardson's extrapolation take away its error.

use super::machine::{greater, lesser};

/// Share of a step, or of the change over it, that counts as nothing.
const ROUNDING: f64 = 1e-12;
/// Steps of Newton's method that are enough from a good start, or nothing is.
const NEWTON: usize = 8;

/// A step from z over a length, with the slopes of its stages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arc {
    z: f64,
    v: f64,
    length: f64,
    first: f64,
    middle: f64,
    last: f64,
}

/// dz/ds over z. A trait and no closure, which the compiler would call and not spread out.
pub(super) trait Slope {
    /// m/s² at z, m²/s².
    fn at(&self, z: f64) -> f64;
}

impl Arc {
    /// A step over `length` m from z = v² where dz/ds is `first`; `slope` gives dz/ds elsewhere.
    #[inline(always)]
    pub(super) fn new(z: f64, v: f64, length: f64, first: f64, slope: &impl Slope) -> Self {
        let half = 0.5 * length;
        let second = slope.at(z + half * first);
        let third = slope.at(z + half * second);
        let last = slope.at(z + length * third);
        Self::of(z, v, length, [first, second, third, last])
    }

    /// A step whose stages after the first have been taken.
    #[inline(always)]
    pub(super) fn of(z: f64, v: f64, length: f64, [first, second, third, last]: [f64; 4]) -> Self {
        Self {
            z,
            v,
            length,
            first,
            middle: second + third,
            last,
        }
    }

    /// Its length, m.
    #[inline(always)]
    pub(super) fn length(&self) -> f64 {
        self.length
    }

    /// z after a share of the step, 0 to 1.
    #[inline(always)]
    pub(super) fn at(&self, share: f64) -> f64 {
        let (s2, s3) = (share * share, share * share * share * (2.0 / 3.0));
        let slope = (share - 1.5 * s2 + s3) * self.first
            + (s2 - s3) * self.middle
            + (s3 - 0.5 * s2) * self.last;
        self.z + self.length * slope
    }

    /// d[`Self::at`]/dshare.
    #[inline(always)]
    pub(super) fn rate(&self, share: f64) -> f64 {
        let s2 = share * share;
        let slope = (1.0 - 3.0 * share + 2.0 * s2) * self.first
            + 2.0 * (share - s2) * self.middle
            + (2.0 * s2 - share) * self.last;
        self.length * slope
    }

    /// The share up to `high`, beyond which z leaves it, at which the step is at z.
    #[inline(always)]
    pub(super) fn share_at(&self, z: f64, high: f64) -> f64 {
        let guess = high * ((z - self.z) / (self.at(high) - self.z));
        let found = newton(guess, high, |share| (self.at(share) - z) / self.rate(share));
        found.unwrap_or_else(|| {
            let sign = if z > self.z { 1.0 } else { -1.0 };
            becomes_positive(|share| sign * (self.at(share) - z), high)
        })
    }

    /// The share of the step that takes some of its `whole` seconds.
    #[inline(always)]
    pub(super) fn share_after(&self, seconds: f64, whole: f64) -> f64 {
        let v1 = self.at(1.0).max(0.0).sqrt();
        // At constant acceleration.
        let mean = self.v + 0.5 * (v1 - self.v) * (seconds / whole);
        let late = |share: f64| {
            let v = self.at(share).max(0.0).sqrt();
            (self.time(share, v) - seconds, v)
        };
        let found = newton(seconds * mean / self.length, 1.0, |share| {
            let (late, v) = late(share);
            late * v / self.length
        });
        found.unwrap_or_else(|| becomes_positive(|share| late(share).0, 1.0))
    }

    /// Seconds over a share of the step that ends at z1 = v1².
    #[inline(always)]
    pub(super) fn time(&self, share: f64, v1: f64) -> f64 {
        let middle = self.at(0.5 * share).max(0.0).sqrt();
        seconds(share * self.length, self.v, middle, v1)
    }
}

/// Seconds over a length from the speeds, m/s, at its start, middle and end.
#[inline(always)]
pub(super) fn seconds(length: f64, v0: f64, middle: f64, v1: f64) -> f64 {
    // At the edge of the ellipse an interpolant may leave the range of its ends.
    let middle = lesser(greater(middle, lesser(v0, v1)), greater(v0, v1));
    // Once 2·L/(v₀+v₁), twice L/(v₀+v) + L/(v+v₁), and (4·twice − once)/3 with a single division.
    let (ends, begun, done) = (v0 + v1, v0 + middle, middle + v1);
    let halves = begun * done;
    length * (4.0 * (begun + done) * ends - 2.0 * halves) / (3.0 * halves * ends)
}

/// Newton's method from a guess; nothing where it does not soon settle between 0 and `high`. `step`
/// gives value over slope.
#[inline(always)]
pub(super) fn newton(guess: f64, high: f64, step: impl Fn(f64) -> f64) -> Option<f64> {
    let mut at = guess;
    for _ in 0..NEWTON {
        let next = at - step(at);
        if !(-ROUNDING..=high + ROUNDING).contains(&next) {
            return None;
        }
        if (next - at).abs() <= ROUNDING {
            return Some(next.max(0.0).min(high));
        }
        at = next;
    }
    None
}

/// Where a function that is not positive at zero and positive at `high` becomes positive: a share at
/// which it is, by no more than rounding.
#[inline(never)]
pub(super) fn becomes_positive(g: impl Fn(f64) -> f64, high: f64) -> f64 {
    let ends = [g(0.0), g(high)];
    becomes_positive_between(g, high, ends)
}

/// The same, the values at zero and at `high` being known (Illinois variant of the false position, a
/// step past the root so that both sides close in).
#[inline(always)]
pub(super) fn becomes_positive_between(g: impl Fn(f64) -> f64, high: f64, ends: [f64; 2]) -> f64 {
    let (mut a, mut b) = (0.0, high);
    let (mut ga, mut gb) = (ends[0].min(0.0), ends[1]);
    let enough = ROUNDING * (gb - ga);
    let mut kept = 0;
    for _ in 0..60 {
        if gb <= enough || b - a <= ROUNDING * high {
            break;
        }
        let c = a - ga * ((b - a) / (gb - ga)) + 0.25 * ROUNDING * high;
        let c = if c > a && c < b { c } else { 0.5 * (a + b) };
        let gc = g(c);
        if gc > 0.0 {
            (b, gb) = (c, gc);
            if kept == 1 {
                ga *= 0.5;
            }
            kept = 1;
        } else {
            (a, ga) = (c, gc);
            if kept == 2 {
                gb *= 0.5;
            }
            kept = 2;
        }
    }
    b
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Steps of ordinary laps: z rises or falls all along by a part of itself.
    fn arc() -> impl Strategy<Value = Arc> {
        let slopes = (0.3..1.0, 0.3..1.0, 0.3..1.0, 0.3..1.0);
        (10.0..2000.0, 1.0..30.0, -0.7_f64..0.7, slopes).prop_map(|(z, length, change, slopes)| {
            let slope = change * z / length;
            let (a, b, c, d) = slopes;
            Arc::of(z, f64::sqrt(z), length, [a, b, c, d].map(|s| s * slope))
        })
    }

    /// What counts as nought goes by the function's own size.
    #[test]
    fn closing_in_is_as_close_for_small_functions() {
        for size in [1e-9, 1.0, 1e9] {
            let found = becomes_positive(|x| size * (x - 0.3), 1.0);
            assert!((found - 0.3).abs() < 1e-9, "{size} {found}");
        }
    }

    proptest! {
        /// Newton's method ends where closing in does: on a speed, and on a moment.
        #[test]
        fn property_shares_are_those_of_closing_in(arc in arc(), part in 0.01..0.99_f64, high in 0.5..1.0_f64) {
            let z = arc.at(part * high);
            prop_assert!((arc.share_at(z, high) - part * high).abs() < 1e-9);
            let at = |share: f64| arc.time(share, arc.at(share).sqrt());
            let (some, whole) = (at(part), at(1.0));
            prop_assert!((arc.share_after(some, whole) - part).abs() < 1e-9);
            let closed_in = becomes_positive(|share| at(share) - some, 1.0);
            prop_assert!((closed_in - part).abs() < 1e-9);
        }

        /// One division gives what the rule says.
        #[test]
        fn property_seconds_are_extrapolated(
            length in 0.1..40.0_f64, v0 in 0.0..50.0_f64, v1 in 0.1..50.0_f64, share in 0.0..1.0_f64,
        ) {
            let middle = v0 + share * (v1 - v0);
            let once = 2.0 * length / (v0 + v1);
            let twice = length / (v0 + middle) + length / (middle + v1);
            let rule = (4.0 * twice - once) / 3.0;
            prop_assert!((seconds(length, v0, middle, v1) / rule - 1.0).abs() < 1e-13);
        }
    }
}
