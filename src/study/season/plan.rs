//! Which parts for which event, with so many changes of parts between events.

/// The events of a season with what could be in the car: seconds per event and choice, and the work
/// between any two choices.
#[derive(Debug, Clone, PartialEq)]
pub struct Choices {
    /// Seconds that an event counts with a choice, event by event.
    pub seconds: Vec<Vec<f64>>,
    /// Events before which nothing is changed.
    pub sealed: Vec<bool>,
    /// Parts changed from one choice to another, and the work, s; `None` where a part stays in.
    pub change: Vec<Vec<Option<(usize, f64)>>>,
}

/// A choice for every event.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The choice at each event.
    pub choices: Vec<usize>,
    /// Seconds over the season.
    pub seconds: f64,
    /// Parts changed between events.
    pub changes: usize,
    /// Work between events, s.
    pub work: f64,
}

/// The quickest plan for every number of changes up to `most`, those left out that are no quicker
/// than one with fewer. Among equally quick ones the least work counts.
pub fn plans(choices: &Choices, most: usize) -> Vec<Plan> {
    let mut found: Vec<Plan> = Vec::new();
    for plan in quickest(choices, most).into_iter().flatten() {
        if found.last().is_none_or(|best| plan.seconds < best.seconds) {
            found.push(plan);
        }
    }
    found
}

/// Where a partial plan came from: seconds and work so far, and the choice before with its changes.
#[derive(Debug, Clone, Copy)]
struct Reached {
    seconds: f64,
    work: f64,
    before: Option<usize>,
}

/// The quickest plan with exactly so many changes, for 0 to `most`.
fn quickest(choices: &Choices, most: usize) -> Vec<Option<Plan>> {
    let count = choices.change.len();
    // reached[event][changes][choice]
    let mut reached: Vec<Vec<Vec<Option<Reached>>>> = Vec::new();
    for (event, seconds) in choices.seconds.iter().enumerate() {
        let sealed = choices.sealed.get(event).is_some_and(|sealed| *sealed);
        let mut here = vec![vec![None; count]; most + 1];
        for (to, &own) in seconds.iter().enumerate().filter(|(_, t)| t.is_finite()) {
            let Some(last) = reached.last() else {
                here[0][to] = Some(Reached {
                    seconds: own,
                    work: 0.0,
                    before: None,
                });
                continue;
            };
            for (from, changes) in choices.change.iter().enumerate() {
                let Some((parts, work)) = changes[to].filter(|_| !sealed || from == to) else {
                    continue;
                };
                for before in 0..=most.saturating_sub(parts) {
                    let Some(so_far) = last[before][from].filter(|_| before + parts <= most) else {
                        continue;
                    };
                    let next = Reached {
                        seconds: so_far.seconds + own,
                        work: so_far.work + work,
                        before: Some(from),
                    };
                    let place = &mut here[before + parts][to];
                    if place.is_none_or(|best: Reached| quicker(&next, &best)) {
                        *place = Some(next);
                    }
                }
            }
        }
        reached.push(here);
    }
    (0..=most).map(|k| trace(choices, &reached, k)).collect()
}

fn quicker(one: &Reached, other: &Reached) -> bool {
    (one.seconds, one.work) < (other.seconds, other.work)
}

fn trace(choices: &Choices, reached: &[Vec<Vec<Option<Reached>>>], changes: usize) -> Option<Plan> {
    let ends = reached.last()?[changes].iter().enumerate();
    let (last, end) = ends.filter_map(|(i, r)| Some((i, (*r)?))).min_by(|a, b| {
        let by_work = a.1.work.total_cmp(&b.1.work);
        a.1.seconds.total_cmp(&b.1.seconds).then(by_work)
    })?;
    let mut path = vec![last];
    let (mut at, mut left) = (last, changes);
    for event in (1..reached.len()).rev() {
        let from = reached[event][left][at]?.before?;
        left -= choices.change[from][at]?.0;
        path.push(from);
        at = from;
    }
    path.reverse();
    Some(Plan {
        choices: path,
        seconds: end.seconds,
        changes,
        work: end.work,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two kinds of part with two of each; the second kind stays in once it is fitted.
    fn random(seed: u64, events: usize, stays: bool) -> Choices {
        let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        let mut even = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let parts = [(0, 0), (0, 1), (1, 0), (1, 1)];
        let change = |a: (u32, u32), b: (u32, u32)| {
            let (first, second) = (a.0 != b.0, a.1 != b.1);
            let work = 600.0 * f64::from(u8::from(first)) + 900.0 * f64::from(u8::from(second));
            (!(stays && second)).then_some((usize::from(first) + usize::from(second), work))
        };
        Choices {
            sealed: (0..events)
                .map(|event| event > 0 && (seed + event as u64).is_multiple_of(4))
                .collect(),
            seconds: (0..events)
                .map(|_| (0..4).map(|_| 100.0 + even()).collect())
                .collect(),
            change: parts
                .iter()
                .map(|&a| parts.iter().map(|&b| change(a, b)).collect())
                .collect(),
        }
    }

    /// Every plan there is, tried.
    fn brute(choices: &Choices, most: usize) -> Vec<Option<f64>> {
        let events = choices.seconds.len();
        let count = choices.change.len();
        let mut best = vec![None; most + 1];
        for number in 0..count.pow(events as u32) {
            let path: Vec<usize> = (0..events)
                .map(|e| number / count.pow(e as u32) % count)
                .collect();
            let changes = path
                .windows(2)
                .zip(&choices.sealed[1..])
                .map(|(w, sealed)| {
                    choices.change[w[0]][w[1]]
                        .filter(|_| !sealed || w[0] == w[1])
                        .map(|c| c.0)
                })
                .sum::<Option<usize>>();
            let seconds: f64 = path.iter().zip(&choices.seconds).map(|(&c, s)| s[c]).sum();
            if let Some(changes) = changes.filter(|&c| c <= most) {
                let place: &mut Option<f64> = &mut best[changes];
                *place = Some(place.map_or(seconds, |b| b.min(seconds)));
            }
        }
        best
    }

    #[test]
    fn plans_agree_with_trying_every_one() {
        for seed in 1..40 {
            let choices = random(seed, 5, seed % 3 == 0);
            let all = brute(&choices, 6);
            for (found, wanted) in quickest(&choices, 6).iter().zip(&all) {
                let found = found.as_ref().map(|plan| plan.seconds);
                assert_eq!(found.is_some(), wanted.is_some());
                if let (Some(found), Some(wanted)) = (found, wanted) {
                    assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
                }
            }
        }
    }

    #[test]
    fn a_plan_is_what_it_says() {
        let choices = random(7, 6, false);
        let plans = plans(&choices, 8);
        assert_eq!(plans[0].changes, 0);
        assert!(plans.windows(2).all(|w| w[0].seconds > w[1].seconds));
        for plan in &plans {
            let pairs = plan.choices.windows(2);
            let made: Vec<(usize, f64)> =
                pairs.filter_map(|w| choices.change[w[0]][w[1]]).collect();
            assert_eq!(made.iter().map(|c| c.0).sum::<usize>(), plan.changes);
            assert_eq!(made.iter().map(|c| c.1).sum::<f64>(), plan.work);
        }
        // With changes enough every event has its best, where nothing is sealed.
        let open = Choices {
            sealed: Vec::new(),
            ..choices
        };
        let (choices, plans) = (&open, super::plans(&open, 8));
        let free: f64 = choices
            .seconds
            .iter()
            .map(|s| s.iter().copied().fold(f64::INFINITY, f64::min))
            .sum();
        assert!((plans[plans.len() - 1].seconds - free).abs() < 1e-9);
    }

    #[test]
    fn an_event_that_cannot_be_driven_has_no_plan() {
        let mut choices = random(3, 3, false);
        choices.seconds[1] = vec![f64::INFINITY; 4];
        assert!(plans(&choices, 4).is_empty());
    }
}
