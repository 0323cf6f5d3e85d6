//! How much of what lies between two specs comes from engine speeds that no pull reached.

use super::Study;
use super::verdict::UNMEASURED;

/// Width of a band, rpm.
const BAND_RPM: f64 = 500.0;
/// Edges nearer than this are one, rpm.
const NARROWEST_RPM: f64 = 1.0;
/// Pulls that begin and end nearer than this reach as far, rpm.
const AS_FAR_RPM: f64 = 100.0;

/// Seconds between two specs, band by band, without sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unmeasured {
    /// In the bands that the pulls of one of them do not reach.
    pub outside: f64,
    /// In all bands.
    pub all: f64,
}

impl Unmeasured {
    /// Nothing between them.
    pub(super) const NONE: Self = Self {
        outside: 0.0,
        all: 0.0,
    };

    /// Share of the seconds that was never measured, 0 to 1; 0 where there are none.
    pub fn share(&self) -> f64 {
        match self.all > 0.0 {
            true => self.outside / self.all,
            false => 0.0,
        }
    }

    /// Whether that is too much for a verdict, `useful` being the smallest difference that anyone can
    /// use, s.
    pub fn is_too_much(&self, useful: f64) -> bool {
        self.outside > useful && self.outside > UNMEASURED * self.all
    }
}

impl std::ops::Mul<f64> for Unmeasured {
    type Output = Self;

    /// The same as often as it counts.
    fn mul(self, factor: f64) -> Self {
        Self {
            outside: factor * self.outside,
            all: factor * self.all,
        }
    }
}

impl std::iter::Sum for Unmeasured {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::NONE, |sum, part| Self {
            outside: sum.outside + part.outside,
            all: sum.all + part.all,
        })
    }
}

/// Of two specs those whose pulls leave out engine speeds that the other's reach; none where both reach as
/// far.
pub fn shorter(study: &Study, pair: [usize; 2]) -> Vec<usize> {
    let range = |spec: usize| {
        let counting = study.test_day.specs[study.compared[spec]].counted();
        let speeds = counting.flat_map(|(_, pull)| pull.rpm.iter().copied());
        speeds.fold((f64::INFINITY, 0.0), |(low, high), rpm| {
            (rpm.min(low), rpm.max(high))
        })
    };
    let leaves_out = |own: (f64, f64), other: (f64, f64)| {
        own.0 > other.0 + AS_FAR_RPM || own.1 < other.1 - AS_FAR_RPM
    };
    let [first, second] = pair;
    let beside = [(first, second), (second, first)];
    let short = beside.into_iter();
    short
        .filter(|&(own, other)| leaves_out(range(own), range(other)))
        .map(|(own, _)| own)
        .collect()
}

/// Bands up to a limit, cut where the measured range begins and ends.
pub(super) fn bands(measured: (f64, f64), limit_rpm: f64) -> Vec<(f64, f64)> {
    let count = (limit_rpm / BAND_RPM).ceil() as usize;
    let mut edges: Vec<f64> = (0..count).map(|i| i as f64 * BAND_RPM).collect();
    edges.extend([measured.0, measured.1, limit_rpm]);
    edges.retain(|edge| *edge <= limit_rpm);
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| *a - *b < NARROWEST_RPM);
    edges.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::super::gains::BandGains;
    use super::super::run::cells;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::dyno::Curve;
    use crate::study::Engines;

    #[test]
    fn bands_cover_the_range_and_part_what_was_measured() {
        let found = bands((2600.0, 7000.0), 7150.0);
        assert_eq!((found[0].0, found[found.len() - 1].1), (0.0, 7150.0));
        assert!(found.windows(2).all(|pair| pair[0].1 == pair[1].0));
        assert!(found.iter().any(|b| b.0 == 2600.0) && found.iter().any(|b| b.0 == 7000.0));
    }

    /// With pulls from 2,500 to 7,500 rpm nothing is driven that was not measured; with a first point
    /// at 5,000 rpm most of the gap is a guess.
    #[test]
    fn what_no_pull_reached_is_found() {
        let mut engines = engines();
        let study = study(vec![entry("tarmac")]);
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let find = |engines: &Engines| {
            let split = BandGains::between(&study, engines, (entry, &cells), (0, 1));
            split.unwrap().unmeasured()
        };
        let whole = find(&engines);
        assert!(!whole.is_too_much(0.0), "{whole:?}");
        let points = engines.list[1].curve.points().filter(|p| p.0 >= 5000.0);
        let (rpm, torque) = points.unzip();
        engines.list[1].curve = Curve::new(rpm, torque).unwrap();
        let short = find(&engines);
        assert!(short.is_too_much(0.005), "{short:?}");
        assert!(!short.is_too_much(10.0));
    }

    /// Pulls of one spec that end at 5,500 rpm hold both to 5,650, though the other's go on to a rev limit of
    /// 7,200: what it would win up there lies between the two unmeasured. In a car that revs no further nothing
    /// does.
    #[test]
    fn what_the_shorter_pulls_leave_out_is_found() {
        let mut engines = engines();
        let points = engines.list[1].curve.points().filter(|p| p.0 <= 5500.0);
        let (rpm, torque) = points.unzip();
        engines.list[1].curve = Curve::new(rpm, torque).unwrap();
        let study = study(vec![entry("tarmac")]);
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let find = |limit| {
            let engines = engines.with_rev_limit(limit);
            let split = BandGains::between(&study, &engines, (entry, &cells), (0, 1)).unwrap();
            (split.beyond, split.unmeasured())
        };
        let (beyond, apart) = find(7200.0);
        assert!(beyond > 0.1, "{beyond}");
        assert!(apart.is_too_much(0.1), "{apart:?}");
        let (beyond, held) = find(5650.0);
        assert_eq!(beyond, 0.0);
        assert!(!held.is_too_much(0.1), "{held:?}");
    }
}
