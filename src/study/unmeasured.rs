//! How much of what lies between two specs comes from engine speeds that no pull reached.
//!
//! Each band of engine speed is given from one spec to the other, both ways, and driven: the mean of
//! the two changes of time is what the band is worth between them.

use super::engines::Engines;
use super::run::{time, variant};
use super::setup::Setup;
use super::verdict::UNMEASURED;
use super::{Entry, Study};
use crate::dyno::Curve;
use crate::lap::Cells;

/// Width of a band, rpm.
const BAND_RPM: f64 = 500.0;
/// Distance between the points of a curve made of two, rpm.
const GRID_RPM: f64 = 25.0;
/// Half the width over which such a curve goes from one to the other, rpm.
const SEAM_RPM: f64 = 0.5;

/// Seconds between two specs, band by band, without sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unmeasured {
    /// In the bands that the pulls of one of them do not reach.
    pub outside: f64,
    /// In all bands.
    pub all: f64,
}

impl Unmeasured {
    /// Whether that is too much for a verdict, `useful` being the smallest difference that anyone can
    /// use, s.
    pub fn is_too_much(&self, useful: f64) -> bool {
        self.outside > useful && self.outside > UNMEASURED * self.all
    }

    /// Of two specs at a venue, as geared. The bands that were measured are driven only where the
    /// others are worth more than `useful`, s; otherwise `all` holds the others alone.
    ///
    /// `None` where a lap cannot be driven.
    pub fn between(
        study: &Study,
        engines: &Engines,
        (entry, cells): (&Entry, &Cells),
        (first, second): (usize, usize),
        useful: f64,
    ) -> Option<Self> {
        let (a, b) = (&engines.list[first].curve, &engines.list[second].curve);
        let drive = |spec: usize, curve: &Curve| {
            let mut variant = variant(study, engines, entry, spec, Setup::FITTED);
            variant.curve = curve;
            time(&variant, entry, cells).ok()
        };
        let (time_a, time_b) = (drive(first, a)?, drive(second, b)?);
        let worth = |band: (f64, f64)| {
            let given_a = spliced(a, b, band, engines.limit_rpm)?;
            let given_b = spliced(b, a, band, engines.limit_rpm)?;
            let changes = (drive(first, &given_a)? - time_a) - (drive(second, &given_b)? - time_b);
            Some((0.5 * changes).abs())
        };
        let measured = (
            a.first_rpm().max(b.first_rpm()),
            a.last_rpm().min(b.last_rpm()),
        );
        let (inside, beyond): (Vec<_>, Vec<_>) = bands(measured, engines.limit_rpm)
            .into_iter()
            .partition(|band| band.0 >= measured.0 && band.1 <= measured.1);
        let sum = |bands: &[(f64, f64)]| bands.iter().map(|&band| worth(band)).sum::<Option<f64>>();
        let outside = sum(&beyond)?;
        let rest = if outside > useful { sum(&inside)? } else { 0.0 };
        Some(Self {
            outside,
            all: outside + rest,
        })
    }
}

/// Bands up to a limit, cut where the measured range begins and ends.
fn bands(measured: (f64, f64), limit_rpm: f64) -> Vec<(f64, f64)> {
    let count = (limit_rpm / BAND_RPM).ceil() as usize;
    let mut edges: Vec<f64> = (0..count).map(|i| i as f64 * BAND_RPM).collect();
    edges.extend([measured.0, measured.1, limit_rpm]);
    edges.retain(|edge| *edge <= limit_rpm);
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| *a - *b < 2.0 * SEAM_RPM);
    edges.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// One curve with the other's torque within a band.
fn spliced(own: &Curve, other: &Curve, band: (f64, f64), limit_rpm: f64) -> Option<Curve> {
    let count = (limit_rpm / GRID_RPM).ceil().max(2.0) as usize;
    let mut rpm: Vec<f64> = (1..=count).map(|i| i as f64 * GRID_RPM).collect();
    for edge in [band.0, band.1] {
        // Two points on either side keep the slope of the seam out of the next interval.
        rpm.extend([-2.0, -1.0, 1.0, 2.0].map(|step| edge + step * SEAM_RPM));
    }
    rpm.extend(own.points().chain(other.points()).map(|(rpm, _)| rpm));
    rpm.retain(|n| *n > 0.0);
    rpm.sort_by(f64::total_cmp);
    rpm.dedup_by(|a, b| *a - *b < 0.01);
    let of = |n: f64| {
        let curve = if band.0 < n && n < band.1 { other } else { own };
        curve.torque(n)
    };
    let torque = rpm.iter().map(|&n| of(n)).collect();
    Curve::new(rpm, torque).ok()
}

#[cfg(test)]
mod tests {
    use super::super::run::cells;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn bands_cover_the_range_and_part_what_was_measured() {
        let found = bands((2600.0, 7000.0), 7150.0);
        assert_eq!((found[0].0, found[found.len() - 1].1), (0.0, 7150.0));
        assert!(found.windows(2).all(|pair| pair[0].1 == pair[1].0));
        assert!(found.iter().any(|b| b.0 == 2600.0) && found.iter().any(|b| b.0 == 7000.0));
    }

    #[test]
    fn a_spliced_curve_is_the_others_within_its_band() {
        let engines = engines();
        let (a, b) = (&engines.list[0].curve, &engines.list[1].curve);
        let both = spliced(a, b, (4000.0, 4500.0), 7200.0).unwrap();
        for (rpm, wanted) in [(3990.0, a), (4010.0, b), (4490.0, b), (4510.0, a)] {
            assert_relative_eq!(both.torque(rpm), wanted.torque(rpm), max_relative = 1e-4);
        }
    }

    /// With pulls from 2,500 to 7,500 rpm nothing is driven that was not measured; with a first point
    /// at 5,000 rpm most of the gap is a guess.
    #[test]
    fn what_no_pull_reached_is_found() {
        let mut engines = engines();
        let study = study(vec![entry("tarmac")]);
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let find = |engines: &Engines, useful| {
            Unmeasured::between(&study, engines, (entry, &cells), (0, 1), useful).unwrap()
        };
        let whole = find(&engines, -1.0);
        assert!(!whole.is_too_much(0.0), "{whole:?}");
        let points = engines.list[1].curve.points().filter(|p| p.0 >= 5000.0);
        let (rpm, torque) = points.unzip();
        engines.list[1].curve = Curve::new(rpm, torque).unwrap();
        let short = find(&engines, 0.005);
        assert!(short.is_too_much(0.005), "{short:?}");
        assert!(!short.is_too_much(10.0));
    }
}
