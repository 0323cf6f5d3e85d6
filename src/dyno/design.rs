//! Where the pulls of a day stand: spec, fitting, hour, first after a change.

use super::clock::{CHANGE_HOURS, PULL_HOURS};
use super::linalg::Matrix;
use super::reduce::ReducedPull;

/// Where the pulls of a day stand: what their levels depend on.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Spec of each pull.
    pub spec: Vec<usize>,
    /// Fitting of each pull, counted over the day.
    pub fitting: Vec<usize>,
    /// Whether each is the first after a change.
    pub first: Vec<bool>,
    /// Hours of each.
    pub hours: Vec<f64>,
    /// Day of each.
    pub day: Vec<usize>,
    /// Share of each in its spec's mean.
    pub weight: Vec<f64>,
}

impl Design {
    /// The design of reduced pulls.
    pub fn of(pulls: &[ReducedPull]) -> Self {
        let mut seen: Vec<(usize, usize)> = Vec::new();
        let fitting = pulls
            .iter()
            .map(|pull| {
                let key = (pull.spec, pull.fitting);
                seen.iter().position(|k| *k == key).unwrap_or_else(|| {
                    seen.push(key);
                    seen.len() - 1
                })
            })
            .collect();
        Self {
            spec: pulls.iter().map(|p| p.spec).collect(),
            fitting,
            first: pulls.iter().map(|p| p.first_after_change).collect(),
            hours: pulls.iter().map(|p| p.hours).collect(),
            day: pulls.iter().map(|p| p.day).collect(),
            weight: pulls.iter().map(|p| p.weight).collect(),
        }
    }

    /// Specs fitted in an order, with so many pulls on each, at the usual pace.
    pub fn in_order(order: &[usize], pulls: usize) -> Self {
        let mut design = Self {
            spec: Vec::new(),
            fitting: Vec::new(),
            first: Vec::new(),
            hours: Vec::new(),
            day: Vec::new(),
            weight: Vec::new(),
        };
        for &spec in order {
            design.append(Some(spec), pulls);
        }
        design
    }

    /// Adds pulls at the end of the day: of a spec fitted anew, or of what is fitted.
    pub fn append(&mut self, refit: Option<usize>, pulls: usize) {
        let last = self.hours.last().copied();
        let day = self.day.last().copied().unwrap_or(0);
        let (spec, fitting) = match refit {
            Some(spec) => (spec, self.fittings()),
            None => (
                self.spec.last().copied().unwrap_or(0),
                self.fitting.last().copied().unwrap_or(0),
            ),
        };
        for i in 0..pulls {
            let change = i == 0 && refit.is_some();
            let gap = if change { CHANGE_HOURS } else { PULL_HOURS };
            let before = if i == 0 {
                last
            } else {
                self.hours.last().copied()
            };
            self.hours.push(before.map_or(0.0, |hours| hours + gap));
            self.spec.push(spec);
            self.fitting.push(fitting);
            self.first.push(change);
            self.day.push(day);
            self.weight.push(0.0);
        }
        self.weigh();
    }

    /// Sets the shares in the plain means: one over fittings times pulls of the fitting.
    fn weigh(&mut self) {
        for p in 0..self.len() {
            let own = (0..self.len()).filter(|&q| self.spec[q] == self.spec[p]);
            let mut fittings: Vec<usize> = own.map(|q| self.fitting[q]).collect();
            let alike = fittings.iter().filter(|f| **f == self.fitting[p]).count();
            fittings.sort_unstable();
            fittings.dedup();
            self.weight[p] = 1.0 / (fittings.len() * alike) as f64;
        }
    }

    /// How many pulls.
    pub fn len(&self) -> usize {
        self.spec.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.spec.is_empty()
    }

    /// How many specs.
    pub fn specs(&self) -> usize {
        self.spec.iter().max().map_or(0, |s| s + 1)
    }

    /// How many fittings.
    pub fn fittings(&self) -> usize {
        self.fitting.iter().max().map_or(0, |f| f + 1)
    }

    pub(super) fn indicators(&self) -> Matrix {
        Matrix::new(self.len(), self.specs(), |p, s| {
            f64::from(u8::from(self.spec[p] == s))
        })
    }

    /// How many days.
    pub fn days(&self) -> usize {
        let mut days = self.day.clone();
        days.sort_unstable();
        days.dedup();
        days.len()
    }

    /// How many effects a day has: first pulls, hours, and where there are several which day it was.
    pub fn effects_count(&self) -> usize {
        let last = self.day.iter().max().map_or(0, |day| day + 1);
        2 + if self.days() > 1 { last } else { 0 }
    }

    /// First pull, hours from the mean hour of its day, and of several days which it is.
    pub(super) fn effects(&self) -> Matrix {
        let mean_hour = |day: usize| {
            let own = (0..self.len()).filter(|&p| self.day[p] == day);
            let (sum, n) = own.fold((0.0, 0.0), |(sum, n), p| (sum + self.hours[p], n + 1.0));
            sum / n
        };
        let means: Vec<f64> = self.day.iter().map(|&day| mean_hour(day)).collect();
        Matrix::new(self.len(), self.effects_count(), |p, k| match k {
            0 => f64::from(u8::from(self.first[p])),
            1 => self.hours[p] - means[p],
            _ => f64::from(u8::from(self.day[p] == k - 2)),
        })
    }

    pub(super) fn same_fitting(&self) -> Matrix {
        Matrix::new(self.len(), self.len(), |p, q| {
            f64::from(u8::from(self.fitting[p] == self.fitting[q]))
        })
    }

    /// The weights of the pulls in each spec's plain mean.
    pub(super) fn means(&self) -> Matrix {
        Matrix::new(self.specs(), self.len(), |s, p| {
            if self.spec[p] == s {
                self.weight[p]
            } else {
                0.0
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pulls follow each other; a change of spec takes longer, once.
    #[test]
    fn hours_of_a_planned_day_go_on() {
        let design = Design::in_order(&[0, 1], 3);
        let steps: Vec<f64> = design.hours.windows(2).map(|t| t[1] - t[0]).collect();
        let wanted = [PULL_HOURS, PULL_HOURS, CHANGE_HOURS, PULL_HOURS, PULL_HOURS];
        for (step, wanted) in steps.iter().zip(wanted) {
            approx::assert_relative_eq!(*step, wanted, epsilon = 1e-12);
        }
        assert_eq!(steps.len(), wanted.len());
    }
}
