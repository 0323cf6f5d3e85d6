//! One step of motion backwards: the derivatives of where it ends and how long it takes.

use super::law::{Gradient, Law, per_z};

/// Weights of the stages' slopes half way through a step: of the first, of either in the middle, of
/// the last.
const HALF_WAY: [f64; 3] = [5.0 / 24.0, 1.0 / 6.0, -1.0 / 24.0];

/// A step under one law: from z over a length.
#[derive(Clone, Copy)]
pub(super) struct Step<'a> {
    pub law: Law<'a>,
    pub z0: f64,
    pub z1: f64,
    pub length: f64,
    /// Between which speeds squared the law holds.
    pub between: (f64, f64),
}

/// What the time to the finish gains per unit of something at the end of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct After {
    /// Of the speed squared there.
    pub z: f64,
    /// Of the seconds that the step takes.
    pub time: f64,
}

impl Step<'_> {
    /// Adds the derivatives by the coefficients; the one by z at the step's start comes back, and apart
    /// the one by z at its end, which where `given` follows from something else than the step.
    pub(super) fn back(&self, after: After, given: bool, gradient: &mut Gradient) -> (f64, f64) {
        let (z0, length) = (self.z0, self.length);
        let half = 0.5 * length;
        let first = self.slope(z0);
        let z2 = z0 + half * first;
        let second = self.slope(z2);
        let z3 = z0 + half * second;
        let third = self.slope(z3);
        let z4 = z0 + length * third;
        let fourth = self.slope(z4);
        let middle = z0
            + length
                * (HALF_WAY[0] * first + HALF_WAY[1] * (second + third) + HALF_WAY[2] * fourth);
        let ends = [z0, middle, self.z1];
        let [by_z0, by_middle, by_z1] = seconds_back(length, ends, after.time);
        let end = after.z + by_z1;
        let onward = if given { 0.0 } else { end };
        let (sixth, mid) = (length / 6.0 * onward, length * by_middle);
        let bar4 = sixth + HALF_WAY[2] * mid;
        let at4 = self.stage(z4, bar4, gradient);
        let bar3 = 2.0 * sixth + HALF_WAY[1] * mid + length * at4;
        let at3 = self.stage(z3, bar3, gradient);
        let bar2 = 2.0 * sixth + HALF_WAY[1] * mid + half * at3;
        let at2 = self.stage(z2, bar2, gradient);
        let bar1 = sixth + HALF_WAY[0] * mid + half * at2;
        let at1 = self.stage(z0, bar1, gradient);
        (by_z0 + by_middle + onward + at1 + at2 + at3 + at4, end)
    }

    fn slope(&self, z: f64) -> f64 {
        self.law.slope(z.max(self.between.0).min(self.between.1))
    }

    fn stage(&self, z: f64, bar: f64, gradient: &mut Gradient) -> f64 {
        let inside = z.max(self.between.0).min(self.between.1);
        let by_z = self.law.back(inside, bar, gradient);
        if inside == z { by_z } else { 0.0 }
    }
}

/// Derivatives of the seconds over a length by z = v² at its start, middle and end, times `bar`.
pub(super) fn seconds_back(length: f64, z: [f64; 3], bar: f64) -> [f64; 3] {
    let [v0, middle, v1] = z.map(|z| z.max(0.0).sqrt());
    let (least, most) = (v0.min(v1), v0.max(v1));
    let inside = middle.max(least).min(most);
    let over = |sum: f64| -bar * length / (sum * sum);
    let once = 2.0 * over(v0 + v1);
    let (before, behind) = (over(v0 + inside), over(inside + v1));
    let mut by = [
        4.0 / 3.0 * before - once / 3.0,
        4.0 / 3.0 * (before + behind),
        4.0 / 3.0 * behind - once / 3.0,
    ];
    if inside != middle {
        // Held between the ends, it is one of them.
        let end = if inside == v0 { 0 } else { 2 };
        by[end] += by[1];
        by[1] = 0.0;
    }
    [by[0] * per_z(v0), by[1] * per_z(middle), by[2] * per_z(v1)]
}
