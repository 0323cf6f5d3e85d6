//! A torque curve: monotone piecewise cubic through measured points.
//!
//! Slopes are the Fritsch–Butland harmonic mean with one-sided three-point ends, what the
//! general-purpose libraries call PCHIP. Below the first measured rpm torque falls linearly to zero
//! at zero rpm; above the last one it goes on along the end slope.

/// Why a set of points is no curve.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// Not one torque for each engine speed.
    #[error("{rpm} engine speeds but {torque} torques")]
    Uneven {
        /// How many engine speeds.
        rpm: usize,
        /// How many torques.
        torque: usize,
    },
    /// Fewer points than a curve needs.
    #[error("{0} points: a curve needs at least 2")]
    TooFewPoints(usize),
    /// Engine speeds do not rise.
    #[error("engine speed does not rise at point {0}")]
    NotRising(usize),
    /// An engine speed is zero or below.
    #[error("engine speed is not above zero at point {0}")]
    NotPositive(usize),
    /// A value is not a finite number.
    #[error("point {0} is not a finite number")]
    NotFinite(usize),
}

/// A torque curve over engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    rpm: Vec<f64>,
    torque: Vec<f64>,
    slope: Vec<f64>,
}

impl Curve {
    /// A curve through points, engine speed in rpm strictly rising, torque in N·m.
    ///
    /// # Errors
    /// Fewer than two points, speeds that do not rise or are not above zero, values that are not
    /// finite.
    pub fn new(rpm: Vec<f64>, torque: Vec<f64>) -> Result<Self, CurveError> {
        let n = rpm.len();
        if n != torque.len() {
            return Err(CurveError::Uneven {
                rpm: n,
                torque: torque.len(),
            });
        }
        if n < 2 {
            return Err(CurveError::TooFewPoints(n));
        }
        if let Some(i) = (0..n).find(|&i| !(rpm[i].is_finite() && torque[i].is_finite())) {
            return Err(CurveError::NotFinite(i));
        }
        if rpm[0] <= 0.0 {
            return Err(CurveError::NotPositive(0));
        }
        if let Some(i) = (1..n).find(|&i| rpm[i] <= rpm[i - 1]) {
            return Err(CurveError::NotRising(i));
        }
        let slope = slopes(&rpm, &torque);
        Ok(Self { rpm, torque, slope })
    }

    /// First measured engine speed, rpm.
    pub fn first_rpm(&self) -> f64 {
        self.rpm[0]
    }

    /// Last measured engine speed, rpm.
    pub fn last_rpm(&self) -> f64 {
        self.rpm[self.rpm.len() - 1]
    }

    /// Whether an engine speed, rpm, was measured.
    pub fn reaches(&self, rpm: f64) -> bool {
        (self.first_rpm()..=self.last_rpm()).contains(&rpm)
    }

    /// The points it goes through: rpm and N·m.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.rpm.iter().copied().zip(self.torque.iter().copied())
    }

    /// Torque, N·m, at an engine speed in rpm.
    pub fn torque(&self, rpm: f64) -> f64 {
        self.torque_from(self.rpm.partition_point(|&x| x <= rpm), rpm)
    }

    /// [`Curve::torque`] for engine speeds that mostly rise from one call to the next: the same
    /// values, without searching for the place from the start.
    pub fn reader(&self) -> impl FnMut(f64) -> f64 + '_ {
        let mut above = 0;
        move |rpm| {
            if above > 0 && self.rpm[above - 1] > rpm {
                above = 0;
            }
            while above < self.rpm.len() && self.rpm[above] <= rpm {
                above += 1;
            }
            self.torque_from(above, rpm)
        }
    }

    /// Torque at an engine speed of which it is known which point is the first above it.
    fn torque_from(&self, above: usize, rpm: f64) -> f64 {
        let last = self.rpm.len() - 1;
        if rpm <= self.rpm[0] {
            return self.torque[0] * (rpm / self.rpm[0]).max(0.0);
        }
        if rpm >= self.rpm[last] {
            return self.torque[last] + self.slope[last] * (rpm - self.rpm[last]);
        }
        let i = above - 1;
        let h = self.rpm[i + 1] - self.rpm[i];
        let x = (rpm - self.rpm[i]) / h;
        let (y0, y1) = (self.torque[i], self.torque[i + 1]);
        let (d0, d1) = (self.slope[i] * h, self.slope[i + 1] * h);
        let y = 1.0 - x;
        y0 * (1.0 + 2.0 * x) * y * y + d0 * x * y * y + y1 * x * x * (3.0 - 2.0 * x)
            - d1 * x * x * y
    }

    /// Power, W, at an engine speed in rpm.
    pub fn power(&self, rpm: f64) -> f64 {
        self.torque(rpm) * rpm / crate::units::RPM_PER_RAD_PER_S
    }
}

/// Fritsch & Butland, "A method for constructing local monotone piecewise cubic interpolants",
/// SIAM J. Sci. Stat. Comput. 5 (1984) 300–304; ends after Moler, "Numerical Computing with
/// MATLAB", section 3.4 (both from memory; checked against the general libraries in the tests).
fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let delta: Vec<f64> = (0..n - 1).map(|i| (y[i + 1] - y[i]) / h[i]).collect();
    if n == 2 {
        return vec![delta[0]; 2];
    }
    let mut d = vec![0.0; n];
    for i in 1..n - 1 {
        if delta[i - 1] * delta[i] > 0.0 {
            let w1 = 2.0 * h[i] + h[i - 1];
            let w2 = h[i] + 2.0 * h[i - 1];
            d[i] = (w1 + w2) / (w1 / delta[i - 1] + w2 / delta[i]);
        }
    }
    d[0] = end_slope(h[0], h[1], delta[0], delta[1]);
    d[n - 1] = end_slope(h[n - 2], h[n - 3], delta[n - 2], delta[n - 3]);
    d
}

fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let d = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if d * d0 <= 0.0 {
        0.0
    } else if d0 * d1 <= 0.0 && d.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        d
    }
}
