//! What pulls leave open that lie outside over a stretch and are kept all the same.
//!
//! Whether such a pull shows the engine or a misfire the day does not say. Scatter is one for the whole
//! curve, and too small just there, so what setting the pull aside would move is a standard deviation of
//! its own: intervals over that stretch hold the answer with the pull and the one without it.

use super::compare::Stretch;
use super::levels::Spread;
use super::reduce::Reduced;

/// A stretch of a spec's curve that hangs on one pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// Index of the spec.
    pub spec: usize,
    /// Where.
    pub stretch: Stretch,
    /// How far the pull moves the curve there, ln τ.
    pub shift: f64,
}

impl Doubt {
    /// How far the pull moves the curve at an engine speed, ln τ.
    pub(super) fn at(&self, rpm: f64) -> f64 {
        self.over(Stretch {
            from_rpm: rpm,
            to_rpm: rpm,
        })
    }

    /// How far the pull moves the mean over a band (at one engine speed where both ends are equal), ln τ.
    pub(super) fn over(&self, band: Stretch) -> f64 {
        let from = band.from_rpm.max(self.stretch.from_rpm);
        let to = band.to_rpm.min(self.stretch.to_rpm);
        let width = band.to_rpm - band.from_rpm;
        match width > 0.0 {
            true => self.shift * ((to - from) / width).max(0.0),
            false if from <= to => self.shift,
            false => 0.0,
        }
    }
}

impl Reduced {
    /// The stretches that hang on one pull each.
    pub fn doubts(&self) -> impl Iterator<Item = Doubt> {
        self.off_in_part.iter().filter_map(|one| {
            let pull = &self.pulls[one.pull];
            let (from_rpm, to_rpm) = one.stretch?;
            Some(Doubt {
                spec: pull.spec,
                stretch: Stretch { from_rpm, to_rpm },
                shift: pull.weight * one.off,
            })
        })
    }

    /// What such pulls add to the variance of a contrast of specs, in the mean over a band.
    pub(super) fn doubt(&self, contrast: &[f64], band: Stretch) -> f64 {
        let moved = |doubt: Doubt| contrast[doubt.spec] * doubt.over(band);
        self.doubts().map(|doubt| moved(doubt).powi(2)).sum()
    }
}

impl Spread {
    /// The same with a variance beside it whose size is known.
    pub(super) fn beside(self, known: f64) -> Self {
        if known == 0.0 {
            return self;
        }
        let variance = self.variance + known;
        Self {
            variance,
            df: self.df * (variance / self.variance).powi(2),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dyno::Interval;
    use crate::dyno::attribution::Effect;
    use crate::dyno::sample::{self, misfiring};

    fn band(from_rpm: f64, to_rpm: f64) -> Stretch {
        Stretch { from_rpm, to_rpm }
    }

    #[test]
    fn intervals_hold_the_answer_without_a_pull_that_misfires() {
        let day = misfiring(0.11);
        let reduced = day.reduce().unwrap();
        let without = day.without(&reduced, &reduced.outlying()).reduce().unwrap();
        for at in [band(5000.0, 5500.0), band(5300.0, 5300.0)] {
            let (kept, aside) = (reduced.gain(0, 1, at), without.gain(0, 1, at));
            let held = kept.torque.low..=kept.torque.high;
            assert!(held.contains(&aside.torque.value), "{kept:?} {aside:?}");
            assert!((kept.torque.value - aside.torque.value).abs() > 3.0);
        }
        let (curve, of) = (reduced.torque(1, 5300.0), without.torque(1, 5300.0).value);
        assert!((curve.low..=curve.high).contains(&of), "{curve:?} {of}");
    }

    #[test]
    fn what_a_part_makes_is_as_open_as_the_curves() {
        let day = misfiring(0.11);
        let reduced = day.reduce().unwrap();
        let without = day.without(&reduced, &reduced.outlying()).reduce().unwrap();
        let effect = Effect {
            changes: Vec::new(),
            contrast: Some(vec![-1.0, 1.0]),
        };
        let at = band(5000.0, 5500.0);
        let [kept, aside] = [&reduced, &without].map(|one| one.effect(&effect, at).unwrap());
        assert!(
            (kept.low..=kept.high).contains(&aside.value),
            "{kept:?} {aside:?}"
        );
        let sure = |one: &Interval| one.high - one.low;
        assert!(sure(&kept) > 1.5 * sure(&aside), "{kept:?} {aside:?}");
    }

    #[test]
    fn elsewhere_nothing_is_in_doubt() {
        let reduced = misfiring(0.11).reduce().unwrap();
        let contrast = [1.0, -1.0];
        assert_eq!(reduced.doubt(&contrast, band(3000.0, 4000.0)), 0.0);
        assert_eq!(reduced.doubt(&[1.0, 0.0], band(5000.0, 5500.0)), 0.0);
        let whole = reduced.doubt(&contrast, band(5000.0, 5500.0));
        let half = reduced.doubt(&contrast, band(4500.0, 5500.0));
        assert!(whole > 0.0 && half < 0.3 * whole, "{half} {whole}");
        assert_eq!(
            sample::plain(&[(0, 3), (1, 3)])
                .reduce()
                .unwrap()
                .doubts()
                .count(),
            0
        );
    }
}
