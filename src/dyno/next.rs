//! What to pull next, and how to lay out a new day.
//!
//! Every proposal is judged by the half width that the difference of two specs would then have,
//! scatter staying as the day showed it; nothing is simulated.

use super::clock::{CHANGE_HOURS, PULL_HOURS};
use super::compare::CONFIDENCE;
use super::design::Design;
use super::levels::{Levels, t_quantile};
use super::reduce::Reduced;

/// Pulls that a refit is worth: fewer leave the first one alone to speak for it.
const REFIT_PULLS: usize = 3;
/// Chance that a day laid out to show a difference shows it.
pub const POWER: f64 = 0.8;

/// Something to do before the engine comes off the dyno.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Specs to fit anew, in order; empty for more pulls on what is fitted.
    pub refit: Vec<usize>,
    /// Pulls on each.
    pub pulls: usize,
    /// Time it takes, h.
    pub hours: f64,
    /// Half width of ln(first/second) it would leave.
    pub half_width: f64,
}

/// A day laid out to show a difference.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// The fittings of two specs in order: 0 and 1.
    pub order: Vec<usize>,
    /// Pulls on each.
    pub pulls: usize,
    /// Time from the first pull to the last, h.
    pub hours: f64,
    /// Half width of ln(first/second) it would leave.
    pub half_width: f64,
    /// The difference it shows in [`POWER`] of all days, relative to torque.
    pub shows: f64,
}

impl Reduced {
    /// Steps that would narrow the difference of two specs, the narrowest last; only those that
    /// narrow it by a twentieth or more, and no dearer one that narrows less.
    pub fn next_steps(&self, first: usize, second: usize) -> Vec<Step> {
        let now = self.half_width_with(first, second, &[], 0);
        let last = self.pulls.last().map_or(first, |pull| pull.spec);
        let mut orders = vec![
            vec![first],
            vec![second],
            vec![first, second],
            vec![second, first],
        ];
        if last == first || last == second {
            orders.push(Vec::new());
        }
        let mut steps: Vec<Step> = orders
            .into_iter()
            .map(|refit| Step {
                pulls: REFIT_PULLS,
                hours: (refit.len().max(1) * REFIT_PULLS) as f64 * PULL_HOURS
                    + refit.len() as f64 * CHANGE_HOURS,
                half_width: self.half_width_with(first, second, &refit, REFIT_PULLS),
                refit,
            })
            .filter(|step| step.half_width < 0.95 * now)
            .collect();
        steps.sort_by(|a, b| {
            let by_width = b.half_width.total_cmp(&a.half_width);
            by_width.then(b.hours.total_cmp(&a.hours))
        });
        let mut worth: Vec<Step> = Vec::new();
        for step in steps.into_iter().rev() {
            if worth.last().is_none_or(|better| step.hours < better.hours) {
                worth.push(step);
            }
        }
        worth.reverse();
        worth
    }

    /// Half width of ln(first/second) with pulls added at the end of the day: on specs fitted anew,
    /// or on what is fitted where there are none.
    fn half_width_with(&self, first: usize, second: usize, refit: &[usize], pulls: usize) -> f64 {
        let mut design = self.levels.design().clone();
        if refit.is_empty() {
            design.append(None, pulls);
        }
        for &spec in refit {
            design.append(Some(spec), pulls);
        }
        half_width(self, &self.levels.foreseen(design), first, second)
    }

    /// The quickest day of two specs that shows a difference, relative to torque, in [`POWER`] of all
    /// days; where ten fittings of six pulls do not, that day with what it shows.
    ///
    /// Specs come in turns (A B A B …) or mirrored (A B B A …), in which an even drift cancels,
    /// whichever is the narrower.
    ///
    /// A true difference D is shown where its estimate exceeds the half width with that chance: D
    /// must be 1 + z(power)/t(97.5 %) half widths.
    pub fn lay_out(&self, difference: f64) -> Layout {
        let normal = |p: f64| t_quantile(p, f64::INFINITY);
        let needed = 1.0 + normal(POWER) / normal(0.5 + 0.5 * CONFIDENCE);
        let layout = |order: &[usize], pulls: usize| {
            let levels = self.levels.foreseen(Design::in_order(order, pulls));
            let half_width = half_width(self, &levels, 0, 1);
            Layout {
                order: order.to_vec(),
                pulls,
                hours: (order.len() * pulls) as f64 * PULL_HOURS
                    + (order.len() - 1) as f64 * (CHANGE_HOURS - PULL_HOURS),
                half_width,
                shows: needed * half_width,
            }
        };
        let better = |a: Layout, b: Layout| if b.shows < 0.999 * a.shows { b } else { a };
        let mut layouts: Vec<Layout> = (2..=10)
            .flat_map(|fittings| (2..=6).map(move |pulls| (fittings, pulls)))
            .map(|(fittings, pulls)| {
                let in_turns: Vec<usize> = (0..fittings).map(|k| k % 2).collect();
                let mirrored: Vec<usize> = (0..fittings).map(|k| k.div_ceil(2) % 2).collect();
                better(layout(&in_turns, pulls), layout(&mirrored, pulls))
            })
            .collect();
        layouts.sort_by(|a, b| a.hours.total_cmp(&b.hours));
        let enough = layouts.iter().position(|l| l.shows <= difference);
        layouts.swap_remove(enough.unwrap_or(layouts.len() - 1))
    }
}

/// Half width of ln(first/second) at the middle of what both reach.
fn half_width(day: &Reduced, levels: &Levels, first: usize, second: usize) -> f64 {
    let design = levels.design();
    let mut contrast = vec![0.0; design.specs()];
    contrast[first] += 1.0;
    contrast[second] -= 1.0;
    let [a, b] = [first, second].map(|spec| &day.specs[spec].curve);
    let middle = 0.5 * (a.first_rpm().max(b.first_rpm()) + a.last_rpm().min(b.last_rpm()));
    let wave = |spec: usize| {
        let own = (0..design.len()).filter(|&p| design.spec[p] == spec);
        let squares: f64 = own.map(|p| design.weight[p] * design.weight[p]).sum();
        squares * day.wave_beyond_level(spec, middle, middle)
    };
    levels
        .spread(&contrast, wave(first) + wave(second), day.wave.df)
        .half_width(CONFIDENCE)
}

#[cfg(test)]
mod tests;
