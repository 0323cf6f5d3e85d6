//! One step of motion and every point inside it.
//!
//! dz/ds = 2·a(z) by the classical fourth-order Runge–Kutta rule, with the third-order interpolant
//! that its own stages give (Hairer, Nørsett & Wanner, "Solving Ordinary Differential Equations I",
//! section II.6, from memory; the order is measured in the tests). The time over a step is
//! ∫ds/√z: with z linear it is 2·L/(v₀ + v₁), exact at constant acceleration and from rest; the same
//! over the two halves and one step of Richardson's extrapolation take away its error.

/// Share of a step, or of the change over it, that counts as nothing.
const ROUNDING: f64 = 1e-12;

/// A step from z over a length, with the slopes of its stages.
#[derive(Debug, Clone, Copy)]
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

    /// z after a share of the step, 0 to 1.
    #[inline(always)]
    pub(super) fn at(&self, share: f64) -> f64 {
        let (s2, s3) = (share * share, share * share * share * (2.0 / 3.0));
        let slope = (share - 1.5 * s2 + s3) * self.first
            + (s2 - s3) * self.middle
            + (s3 - 0.5 * s2) * self.last;
        self.z + self.length * slope
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
    let middle = middle.max(v0.min(v1)).min(v0.max(v1));
    let once = 2.0 * length / (v0 + v1);
    let twice = length / (v0 + middle) + length / (middle + v1);
    twice + (twice - once) * (1.0 / 3.0)
}

/// Where a function that is not positive at zero and positive at `high` becomes positive: a share at
/// which it is, by no more than rounding (Illinois variant of the false position, a step past the
/// root so that both sides close in).
#[inline(never)]
pub(super) fn becomes_positive(g: impl Fn(f64) -> f64, high: f64) -> f64 {
    let (mut a, mut b) = (0.0, high);
    let (mut ga, mut gb) = (g(a).min(0.0), g(b));
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
