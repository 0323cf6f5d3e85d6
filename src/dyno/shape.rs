//! What people read off a torque curve: peaks, means over a band, values on a grid.

use super::curve::Curve;
use crate::units::RPM_PER_RAD_PER_S;

/// How far below the shared limit's last measured engine speed a curve may be carried on along its
/// end slope, rpm.
pub const EXTENSION_RPM: f64 = 150.0;

/// The highest point of a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Where, rpm.
    pub rpm: f64,
    /// Torque in N·m or power in W.
    pub value: f64,
}

impl Curve {
    /// Highest torque over the measured range; the lowest rpm where several tie.
    ///
    /// The interpolant is monotone between points, so the highest is one of them.
    pub fn peak_torque(&self) -> Peak {
        let mut peak = Peak {
            rpm: self.first_rpm(),
            value: f64::NEG_INFINITY,
        };
        for (rpm, value) in self.points() {
            if value > peak.value {
                peak = Peak { rpm, value };
            }
        }
        peak
    }

    /// Highest power over the measured range, W.
    pub fn peak_power(&self) -> Peak {
        // Power bends at most a few times within a cell: eight samples a cell bracket its highest
        // point, a golden-section search finds it.
        const SAMPLES: usize = 8;
        let knots: Vec<f64> = self.points().map(|(rpm, _)| rpm).collect();
        let mut grid = Vec::with_capacity(knots.len() * SAMPLES);
        for pair in knots.windows(2) {
            let step = (pair[1] - pair[0]) / SAMPLES as f64;
            grid.extend((0..SAMPLES).map(|i| pair[0] + step * i as f64));
        }
        grid.push(self.last_rpm());
        let best = (0..grid.len())
            .max_by(|&a, &b| self.power(grid[a]).total_cmp(&self.power(grid[b])))
            .unwrap_or(0);
        let (mut lo, mut hi) = (
            grid[best.saturating_sub(1)],
            grid[(best + 1).min(grid.len() - 1)],
        );
        let golden = (5f64.sqrt() - 1.0) / 2.0;
        while hi - lo > 1e-6 {
            let (a, b) = (hi - golden * (hi - lo), lo + golden * (hi - lo));
            if self.power(a) >= self.power(b) {
                hi = b;
            } else {
                lo = a;
            }
        }
        let found = 0.5 * (lo + hi);
        // A highest point at a corner or an end of the curve is that point itself.
        let rpm = if self.power(found) > self.power(grid[best]) {
            found
        } else {
            grid[best]
        };
        Peak {
            rpm,
            value: self.power(rpm),
        }
    }

    /// Mean torque, N·m, over a band of engine speed in rpm; `None` where the band is empty.
    pub fn mean_torque(&self, from_rpm: f64, to_rpm: f64) -> Option<f64> {
        self.mean(from_rpm, to_rpm, |_, torque| torque)
    }

    /// Mean power, W, over a band of engine speed in rpm, each rpm counting alike; `None` where the
    /// band is empty.
    pub fn mean_power(&self, from_rpm: f64, to_rpm: f64) -> Option<f64> {
        self.mean(from_rpm, to_rpm, |rpm, torque| {
            rpm * torque / RPM_PER_RAD_PER_S
        })
    }

    /// Whether power is highest at the last engine speed: then the peak lies beyond what was measured.
    pub fn still_rises(&self) -> bool {
        self.peak_power().rpm >= self.last_rpm() - 1.0
    }

    /// Three Gauss points a cell integrate the piecewise cubic, and its product with rpm, exactly.
    fn mean(&self, from: f64, to: f64, of: impl Fn(f64, f64) -> f64) -> Option<f64> {
        if from.is_nan() || to.is_nan() || to <= from {
            return None;
        }
        let mut edges = vec![from];
        edges.extend(
            self.points()
                .map(|(rpm, _)| rpm)
                .filter(|&rpm| from < rpm && rpm < to),
        );
        edges.push(to);
        let node = 0.6f64.sqrt();
        let mut sum = 0.0;
        for pair in edges.windows(2) {
            let (half, mid) = (0.5 * (pair[1] - pair[0]), 0.5 * (pair[1] + pair[0]));
            for (x, weight) in [(-node, 5.0), (0.0, 8.0), (node, 5.0)] {
                let rpm = mid + half * x;
                sum += half * weight / 9.0 * of(rpm, self.torque(rpm));
            }
        }
        Some(sum / (to - from))
    }

    /// The curve with every torque multiplied by a factor above zero.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let points = self.points().map(|(rpm, torque)| (rpm, torque * factor));
        let (rpm, torque) = points.unzip();
        // The points of a curve make a curve again, unless the factor is no number.
        Self::new(rpm, torque).unwrap_or_else(|_| self.clone())
    }
}

/// The upper limit that all specs of a comparison share, rpm: the rev limit, or the lowest last
/// measured engine speed among the curves plus [`EXTENSION_RPM`] where that is lower.
///
/// Up to it a curve that ends early goes on along its end slope; comparing further would compare
/// guesses.
pub fn shared_limit<'a>(curves: impl IntoIterator<Item = &'a Curve>, rev_limit_rpm: f64) -> f64 {
    curves
        .into_iter()
        .map(|curve| curve.last_rpm() + EXTENSION_RPM)
        .fold(rev_limit_rpm, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn flat() -> Curve {
        Curve::new(vec![2000.0, 4000.0, 6000.0], vec![100.0; 3]).unwrap()
    }

    #[test]
    fn analytic_means_of_constant_torque() {
        let curve = flat();
        assert_relative_eq!(curve.mean_torque(2500.0, 5500.0).unwrap(), 100.0);
        let mid = 100.0 * 4000.0 * std::f64::consts::PI / 30.0;
        assert_relative_eq!(curve.mean_power(2500.0, 5500.0).unwrap(), mid);
        assert_eq!(curve.mean_torque(3000.0, 3000.0), None);
        assert_eq!(curve.mean_torque(f64::NAN, 3000.0), None);
    }

    #[test]
    fn analytic_peaks() {
        let curve = flat();
        assert_eq!(
            curve.peak_torque(),
            Peak {
                rpm: 2000.0,
                value: 100.0
            }
        );
        assert_relative_eq!(curve.peak_power().rpm, 6000.0, max_relative = 1e-9);
    }

    #[test]
    fn the_shared_limit_is_the_lowest_end_and_a_little() {
        let long = flat();
        let short = Curve::new(vec![2000.0, 5900.0], vec![90.0, 80.0]).unwrap();
        assert_eq!(shared_limit([&long, &short], 7000.0), 6050.0);
        assert_eq!(shared_limit([&long, &short], 6000.0), 6000.0);
    }
}
