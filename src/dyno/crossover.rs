//! Where two torque curves cross.

use super::curve::Curve;

/// One change of lead between two curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossover {
    /// Where, rpm.
    pub rpm: f64,
    /// Whether the first curve leads below it.
    pub first_leads_below: bool,
}

/// Every engine speed at which `first` − `second` changes sign over the range both were measured
/// in, rising. Where the curves coincide over a stretch between two leads, its middle.
pub fn crossovers(first: &Curve, second: &Curve) -> Vec<Crossover> {
    let lo = first.first_rpm().max(second.first_rpm());
    let hi = first.last_rpm().min(second.last_rpm());
    if lo >= hi {
        return Vec::new();
    }
    let difference = |rpm: f64| first.torque(rpm) - second.torque(rpm);
    let mut found = Vec::new();
    // The last place with a lead, and who led there.
    let mut last: Option<(f64, f64)> = None;
    // The stretch of exact equality since then.
    let mut level: Option<(f64, f64)> = None;
    for rpm in brackets(first, second, lo, hi) {
        let d = difference(rpm);
        // Interpolants that should coincide differ by rounding.
        if d.abs() <= 1e-12 * first.torque(rpm).abs() {
            level = Some((level.map_or(rpm, |(start, _)| start), rpm));
            continue;
        }
        if let Some((at, before)) = last
            && (before > 0.0) != (d > 0.0)
        {
            let rpm = match level {
                Some((start, end)) => 0.5 * (start + end),
                None => bisect(difference, at, rpm),
            };
            found.push(Crossover {
                rpm,
                first_leads_below: before > 0.0,
            });
        }
        last = Some((rpm, d));
        level = None;
    }
    found
}

/// Engine speeds between which the difference of two piecewise cubics is monotone: the points of
/// both curves, and within a cell the two turning points of the cubic.
fn brackets(first: &Curve, second: &Curve, lo: f64, hi: f64) -> Vec<f64> {
    let mut knots: Vec<f64> = first
        .points()
        .chain(second.points())
        .map(|(rpm, _)| rpm)
        .filter(|&rpm| lo < rpm && rpm < hi)
        .chain([lo, hi])
        .collect();
    knots.sort_by(f64::total_cmp);
    knots.dedup();
    let mut all = vec![knots[0]];
    for pair in knots.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        // The cubic through four samples at u = 0, 1/3, 2/3, 1 and its turning points in u.
        let y: [f64; 4] = std::array::from_fn(|i| {
            let rpm = a + (b - a) * i as f64 / 3.0;
            first.torque(rpm) - second.torque(rpm)
        });
        let c1 = 0.5 * (-11.0 * y[0] + 18.0 * y[1] - 9.0 * y[2] + 2.0 * y[3]);
        let c2 = 4.5 * (2.0 * y[0] - 5.0 * y[1] + 4.0 * y[2] - y[3]);
        let c3 = 4.5 * (-y[0] + 3.0 * y[1] - 3.0 * y[2] + y[3]);
        all.extend(
            quadratic_roots(3.0 * c3, 2.0 * c2, c1)
                .into_iter()
                .filter(|u| 0.0 < *u && *u < 1.0)
                .map(|u| a + (b - a) * u),
        );
        all.push(b);
    }
    all
}

/// Real roots of a·u² + b·u + c, rising.
fn quadratic_roots(a: f64, b: f64, c: f64) -> Vec<f64> {
    let square = b * b - 4.0 * a * c;
    if square <= 0.0 {
        return Vec::new();
    }
    // The larger sum first: no cancellation where a is next to nothing.
    let q = -0.5 * (b + square.sqrt().copysign(b));
    let mut roots: Vec<f64> = [q / a, c / q]
        .into_iter()
        .filter(|u| u.is_finite())
        .collect();
    roots.sort_by(f64::total_cmp);
    roots
}

/// The sign change of a continuous function between two places of opposite sign.
fn bisect(f: impl Fn(f64) -> f64, mut lo: f64, mut hi: f64) -> f64 {
    let rising = f(hi) > 0.0;
    for _ in 0..60 {
        let mid = 0.5 * (lo + hi);
        if (f(mid) > 0.0) == rising {
            hi = mid;
        } else {
            lo = mid;
        }
    }
    0.5 * (lo + hi)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn curve(rpm: &[f64], torque: &[f64]) -> Curve {
        Curve::new(rpm.to_vec(), torque.to_vec()).unwrap()
    }

    #[test]
    fn analytic_straight_lines_cross_where_they_must() {
        let a = curve(&[2000.0, 6000.0], &[180.0, 140.0]);
        let b = curve(&[2500.0, 6500.0], &[150.0, 190.0]);
        let found = crossovers(&a, &b);
        assert_eq!(found.len(), 1);
        assert!(found[0].first_leads_below);
        // 180 − 0.01 (n − 2000) = 150 + 0.01 (n − 2500)
        assert_relative_eq!(found[0].rpm, 3750.0, max_relative = 1e-12);
    }

    #[test]
    fn a_touch_is_no_crossover_and_a_shared_stretch_is_one() {
        let a = curve(&[2000.0, 3000.0, 4000.0], &[100.0, 90.0, 100.0]);
        let level = curve(&[2000.0, 4000.0], &[90.0, 90.0]);
        assert_eq!(crossovers(&a, &level), []);
        let over = curve(
            &[2000.0, 3000.0, 4000.0, 5000.0],
            &[100.0, 90.0, 90.0, 80.0],
        );
        let flat = curve(&[2000.0, 3000.0, 4000.0, 5000.0], &[90.0, 90.0, 90.0, 90.0]);
        let found = crossovers(&over, &flat);
        assert_eq!(found.len(), 1);
        assert_relative_eq!(found[0].rpm, 3500.0, max_relative = 1e-12);
    }

    #[test]
    fn curves_without_a_common_range_do_not_cross() {
        let a = curve(&[2000.0, 3000.0], &[100.0, 90.0]);
        let b = curve(&[3000.0, 4000.0], &[90.0, 100.0]);
        assert_eq!(crossovers(&a, &b), []);
    }

    #[test]
    fn two_crossings_within_one_cell_are_both_found() {
        // Between 3000 and 4000 both interpolants are cubics; the difference is negative at both
        // ends of the cell and positive inside.
        let a = curve(
            &[2000.0, 3000.0, 4000.0, 5000.0],
            &[100.0, 110.0, 110.0, 100.0],
        );
        let b = curve(
            &[2000.0, 3000.0, 3499.0, 3501.0, 4000.0, 5000.0],
            &[101.0, 111.0, 109.9, 109.9, 111.0, 101.0],
        );
        let found = crossovers(&a, &b);
        assert_eq!(found.len(), 2);
        assert!(!found[0].first_leads_below && found[1].first_leads_below);
    }
}
