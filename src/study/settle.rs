//! What would settle an open verdict: pulls and refits, or knowing a shared input better.
//!
//! How far a gap spreads has two parts. That of the pulls is driven on its own, everything else at
//! its nominal value; the rest belongs to the inputs that all specs share. More pulls narrow the
//! first as the scatter model of the day foresees.

use super::certainty::Court;
use super::draws::{Draw, Habitual, Input};
use super::times::{Plan, drive};
use super::verdict::{Range, Verdict, Word};
use super::{Study, VenueTimes};
use crate::car::Uncertain;
use crate::dyno::{CONFIDENCE, POWER, Step, t_quantile};

/// Draws that tell how far the pulls alone spread a gap.
const DRAWS: u64 = 100;
/// Share of a gap's variance from which an input is worth naming.
const NAMED: f64 = 0.1;

/// What would settle a verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Settle {
    /// Half the width that pulls and fittings alone give the interval, s.
    pub by_pulls: f64,
    /// The shared input that moves the gap most, and its share of the gap's variance; `None` where
    /// none is worth naming.
    pub mover: Option<(Input, f64)>,
    /// The least that, done before the engine comes off the dyno, would make the verdict clear with a
    /// chance of [`POWER`], were the gap as it seems; specs by their rows in the day. `None` where two
    /// refits do not.
    pub step: Option<Step>,
}

impl Settle {
    /// For a verdict that is likely or too close to call; `None` for another.
    pub(super) fn of(court: &Court, times: &VenueTimes, verdict: &Verdict) -> Option<Self> {
        if !matches!(verdict.word, Word::Likely | Word::TooClose) {
            return None;
        }
        let by_pulls = by_pulls(court, verdict)?;
        let half = 0.5 * (verdict.gap.high - verdict.gap.low);
        Some(Self {
            by_pulls,
            mover: mover(times, verdict, court.plan.seed),
            step: step(court, verdict, half, by_pulls),
        })
    }
}

/// Half the width of the gap's interval with everything but the pulls at its nominal value.
fn by_pulls(court: &Court, verdict: &Verdict) -> Option<f64> {
    let entry = court.study.entries[court.index].clone();
    let mut study = Study {
        entries: vec![entry],
        ..court.study.clone()
    };
    study.car.uncertain = Uncertain {
        mass: 0.0,
        drag_area: 0.0,
        grip: 0.0,
        shift_time: 0.0,
        rolling_radius: 0.0,
        air_density: 0.0,
    };
    let mut outcome = court.outcome.clone();
    outcome.venues = vec![outcome.venues.swap_remove(court.index)];
    outcome.venues[0].roads.clear();
    let plan = Plan {
        draws: DRAWS.min(court.plan.draws),
        habitual: Habitual::NONE,
        ..*court.plan
    };
    let times = drive(&study, court.engines, &outcome, &plan, || ());
    let gaps = times.venues.first()?.whole();
    let range = Range::of(gaps.map(|t| t[verdict.next] - t[verdict.leader]).collect())?;
    Some(0.5 * (range.high - range.low))
}

/// The input whose deviations go along with the gap most.
fn mover(times: &VenueTimes, verdict: &Verdict, seed: u64) -> Option<(Input, f64)> {
    let draws: Vec<(Draw, f64)> = (0..)
        .zip(&times.draws)
        .filter_map(|(index, draw)| {
            let next = draw[verdict.next].as_ref().ok()?;
            let leader = draw[verdict.leader].as_ref().ok()?;
            Some((Draw::new(seed, index), next - leader))
        })
        .collect();
    let shares = Input::ALL.map(|input| {
        let pairs = draws
            .iter()
            .map(|(draw, gap)| (draw.deviation(input), *gap));
        (input, explained(pairs.collect()))
    });
    shares
        .into_iter()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, share)| *share >= NAMED)
}

/// Square of the correlation of pairs; 0 where one of them does not vary.
fn explained(pairs: Vec<(f64, f64)>) -> f64 {
    let count = pairs.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / count;
    let (x0, y0) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (x, y) in &pairs {
        xx += (x - x0) * (x - x0);
        yy += (y - y0) * (y - y0);
        xy += (x - x0) * (y - y0);
    }
    if xx > 0.0 && yy > 0.0 {
        xy * xy / (xx * yy)
    } else {
        0.0
    }
}

/// The first of the day's next steps with which the gap would be 1 + z(power)/z(97.5 %) half widths.
fn step(court: &Court, verdict: &Verdict, half: f64, by_pulls: f64) -> Option<Step> {
    let day = &court.engines.day;
    let (first, second) = (
        court.engines.rows[verdict.leader],
        court.engines.rows[verdict.next],
    );
    let now = day.compare(first, second)?.half_width;
    let shared = (half * half - by_pulls * by_pulls).max(0.0);
    let normal = |p| t_quantile(p, f64::INFINITY);
    let needed = 1.0 + normal(POWER) / normal(0.5 + 0.5 * CONFIDENCE);
    day.next_steps(first, second).into_iter().find(|step| {
        let pulls = by_pulls * step.half_width / now;
        verdict.gap.median >= needed * (shared + pulls * pulls).sqrt()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn analytic_share_explained() {
        let line: Vec<_> = (0..9)
            .map(|i| (f64::from(i), 3.0 - 2.0 * f64::from(i)))
            .collect();
        assert_relative_eq!(explained(line), 1.0, max_relative = 1e-12);
        let even = vec![(-1.0, 1.0), (1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        assert_eq!(explained(even), 0.0);
        assert_eq!(explained(vec![(1.0, 0.0), (2.0, 0.0)]), 0.0);
    }

    /// Draws whose gap is made of the drawn grip and a little of the drawn mass.
    #[test]
    fn the_input_that_moves_the_gap_is_named() {
        let gap =
            |draw: &Draw| 0.2 * draw.deviation(Input::Grip) + 0.05 * draw.deviation(Input::Mass);
        let draws = (0..400)
            .map(|index| vec![Ok(100.0), Ok(100.05 + gap(&Draw::new(3, index)))])
            .collect();
        let times = VenueTimes { draws };
        let verdict = Verdict::of(&times, 0.0, |_, _| false).unwrap();
        let (input, share) = mover(&times, &verdict, 3).unwrap();
        assert_eq!(input, Input::Grip);
        assert!((share - 16.0 / 17.0).abs() < 0.03, "{share}");
        assert_eq!(mover(&times, &verdict, 4), None);
    }
}
