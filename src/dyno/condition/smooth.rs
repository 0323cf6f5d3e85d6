//! Noise of a pull: how much there is, and what is left when it is smoothed.

/// Scatter of points about the line through their neighbours, relative to torque: the noise sd, for
/// independent noise on even spacing.
pub fn roughness(rpm: &[f64], torque: &[f64]) -> f64 {
    let mut sum = 0.0;
    let mut count = 0.0;
    for i in 1..rpm.len().saturating_sub(1) {
        let share = (rpm[i] - rpm[i - 1]) / (rpm[i + 1] - rpm[i - 1]);
        let between = torque[i - 1] + share * (torque[i + 1] - torque[i - 1]);
        sum += ((torque[i] - between) / between).powi(2);
        count += 1.0;
    }
    if count > 0.0 {
        (sum / count / 1.5).sqrt()
    } else {
        0.0
    }
}

/// Locally fitted straight line with tricube weights that reach zero at ± `width` (Cleveland,
/// "Robust locally weighted regression", J. Am. Stat. Assoc. 74 (1979) 829–836, without the
/// robustness).
pub fn smooth(rpm: &[f64], torque: &[f64], width: f64) -> Vec<f64> {
    rpm.iter()
        .zip(torque)
        .map(|(&at, &own)| {
            let (mut s0, mut s1, mut s2, mut t0, mut t1) = (0.0, 0.0, 0.0, 0.0, 0.0);
            let from = rpm.partition_point(|&x| x <= at - width);
            for (x, y) in rpm[from..].iter().zip(&torque[from..]) {
                let u = (x - at) / width;
                if u >= 1.0 {
                    break;
                }
                let w = (1.0 - u.abs().powi(3)).powi(3);
                s0 += w;
                s1 += w * u;
                s2 += w * u * u;
                t0 += w * y;
                t1 += w * u * y;
            }
            let det = s0 * s2 - s1 * s1;
            if det > 1e-9 * s0 * s0 {
                (s2 * t0 - s1 * t1) / det
            } else {
                own
            }
        })
        .collect()
}
