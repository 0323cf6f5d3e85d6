//! Which spec, by how much, how sure: read off the times of the draws.
//!
//! Differences are paired: in one draw all specs drive the same car. A draw is won by the fastest of
//! all, and gaps are to the spec that wins most.

use super::times::VenueTimes;

/// Share of the draws that the leader of a clear verdict wins at least.
pub const CLEAR: f64 = 0.975;
/// The same of a likely one.
pub const LIKELY: f64 = 0.80;
/// Share of the seconds between two specs that may come from engine speeds nobody measured.
pub const UNMEASURED: f64 = 0.2;

/// How sure a verdict is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Word {
    /// More than a fifth of what lies between the specs comes from rpm that no pull reached.
    NotMeasured,
    /// In 80 % of the draws or more the two lie closer than anyone can use.
    NothingInIt,
    /// The leader wins 97.5 % of the draws or more, and the interval excludes zero.
    Clear,
    /// The leader wins 80 % of the draws or more.
    Likely,
    /// Neither.
    TooClose,
}

impl Word {
    /// The words that people read.
    pub fn text(self) -> &'static str {
        match self {
            Self::NotMeasured => "not measured",
            Self::NothingInIt => "nothing in it",
            Self::Clear => "clear",
            Self::Likely => "likely",
            Self::TooClose => "too close to call",
        }
    }
}

/// A median with the interval that holds 95 of 100 draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Median, s.
    pub median: f64,
    /// The 2.5 % point, s.
    pub low: f64,
    /// The 97.5 % point, s.
    pub high: f64,
}

impl Range {
    /// The range of some values; `None` where there are none.
    pub fn of(mut values: Vec<f64>) -> Option<Self> {
        values.sort_by(f64::total_cmp);
        Some(Self {
            median: quantile(&values, 0.5)?,
            low: quantile(&values, 0.025)?,
            high: quantile(&values, 0.975)?,
        })
    }
}

/// The verdict at one venue.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// How sure.
    pub word: Word,
    /// Index of the spec that wins most draws.
    pub leader: usize,
    /// Index of the spec that is nearest behind it by the median gap.
    pub next: usize,
    /// By how much the leader is quicker than the next, s.
    pub gap: Range,
    /// Share of the draws that each spec wins, 0 to 1; a tie counts for each in equal parts.
    pub wins: Vec<f64>,
    /// By how much each spec is slower than the leader, s.
    pub behind: Vec<Range>,
    /// Share of the draws in which the leader and the next lie closer than anyone can use.
    pub level: f64,
    /// Draws in which every spec has a time.
    pub draws: usize,
}

impl Verdict {
    /// Reads a venue's times. `useful` is the smallest difference that anyone can use, s; `unmeasured`
    /// says whether too much of what lies between two specs was never measured.
    ///
    /// `None` for fewer than two specs, or where no draw has all their times.
    pub fn of(
        times: &VenueTimes,
        useful: f64,
        unmeasured: impl Fn(usize, usize) -> bool,
    ) -> Option<Self> {
        let draws: Vec<Vec<f64>> = times.whole().collect();
        let specs = draws.first().map(Vec::len).filter(|&count| count > 1)?;
        let wins = wins(&draws, specs);
        let leader = leader(&draws, &wins)?;
        let behind = (0..specs)
            .map(|spec| Range::of(draws.iter().map(|t| t[spec] - t[leader]).collect()))
            .collect::<Option<Vec<_>>>()?;
        let next = (0..specs)
            .filter(|&spec| spec != leader)
            .min_by(|&a, &b| behind[a].median.total_cmp(&behind[b].median))?;
        let gap = behind[next];
        let close = |t: &&Vec<f64>| (t[next] - t[leader]).abs() < useful;
        let level = draws.iter().filter(close).count() as f64 / draws.len() as f64;
        let word = if unmeasured(leader, next) {
            Word::NotMeasured
        } else {
            word(&gap, wins[leader], level)
        };
        Some(Self {
            word,
            leader,
            next,
            gap,
            wins,
            behind,
            level,
            draws: draws.len(),
        })
    }
}

/// The word for a gap: `won` is the share of the draws that the leader wins, `level` that in which nobody could use
/// it.
pub(super) fn word(gap: &Range, won: f64, level: f64) -> Word {
    if level >= LIKELY {
        Word::NothingInIt
    } else if won >= CLEAR && gap.low > 0.0 {
        Word::Clear
    } else if won >= LIKELY {
        Word::Likely
    } else {
        Word::TooClose
    }
}

fn wins(draws: &[Vec<f64>], specs: usize) -> Vec<f64> {
    let mut wins = vec![0.0; specs];
    for times in draws {
        let best = times.iter().copied().fold(f64::INFINITY, f64::min);
        let tied = times.iter().filter(|t| **t == best).count() as f64;
        for (won, time) in wins.iter_mut().zip(times) {
            if *time == best {
                *won += 1.0 / tied;
            }
        }
    }
    wins.iter().map(|won| won / draws.len() as f64).collect()
}

/// The spec with the most wins, among equals the one with the lower median time.
fn leader(draws: &[Vec<f64>], wins: &[f64]) -> Option<usize> {
    let most = wins.iter().copied().fold(0.0, f64::max);
    let equal = (0..wins.len()).filter(|&spec| wins[spec] == most);
    let median = |spec: usize| Range::of(draws.iter().map(|t| t[spec]).collect());
    equal
        .filter_map(|spec| median(spec).map(|range| (spec, range.median)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(spec, _)| spec)
}

/// Quantile of sorted values at the rank p·(N + 1), between neighbours in proportion and at the ends
/// the extreme value, as the NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2, defines it.
pub fn quantile(sorted: &[f64], p: f64) -> Option<f64> {
    let (first, last) = (sorted.first()?, sorted.last()?);
    let rank = p * (sorted.len() + 1) as f64;
    let below = rank.floor();
    if below < 1.0 {
        return Some(*first);
    }
    if below >= sorted.len() as f64 {
        return Some(*last);
    }
    let (low, high) = (sorted[below as usize - 1], sorted[below as usize]);
    // Equal neighbours, infinite ones too, need no sum.
    Some(if low == high {
        low
    } else {
        low + (rank - below) * (high - low)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lap::LapError;
    use approx::assert_relative_eq;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2 (from memory): the 90th percentile of
    /// these twelve measurements is 95.1981.
    #[test]
    fn published_percentile() {
        let mut values = [
            95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065,
            95.0925, 95.1990, 95.1682,
        ];
        values.sort_by(f64::total_cmp);
        let found = quantile(&values, 0.9).unwrap();
        assert!((found - 95.1981).abs() < 5e-5, "{found}");
    }

    #[test]
    fn analytic_quantiles_of_evenly_spaced_values() {
        let values: Vec<f64> = (1..=39).map(f64::from).collect();
        for p in [0.025, 0.25, 0.5, 0.975] {
            assert_relative_eq!(
                quantile(&values, p).unwrap(),
                40.0 * p,
                max_relative = 1e-12
            );
        }
        assert_eq!(quantile(&values, 0.001), Some(1.0));
        assert_eq!(quantile(&values, 0.999), Some(39.0));
        assert_eq!(quantile(&[], 0.5), None);
    }

    /// Two specs: the second is slower by each of these.
    fn two(gaps: impl IntoIterator<Item = f64>) -> VenueTimes {
        VenueTimes {
            draws: gaps
                .into_iter()
                .map(|gap| vec![Ok(100.0), Ok(100.0 + gap)])
                .collect(),
        }
    }

    fn said(times: &VenueTimes) -> Verdict {
        Verdict::of(times, 0.03, |_, _| false).unwrap()
    }

    /// A thousand gaps of which so many are below zero.
    fn with_losses(lost: usize) -> VenueTimes {
        two((0..1000).map(|i| if i < lost { -0.1 } else { 0.2 }))
    }

    #[test]
    fn each_word_begins_where_its_rule_says() {
        assert_eq!(said(&with_losses(24)).word, Word::Clear);
        assert_eq!(said(&with_losses(26)).word, Word::Likely);
        assert_eq!(said(&with_losses(200)).word, Word::Likely);
        assert_eq!(said(&with_losses(201)).word, Word::TooClose);
        let small = two((0..1000).map(|i| 0.029 * f64::from(i) / 1000.0));
        assert_eq!(said(&small).word, Word::NothingInIt);
        let nearly = two((0..1000).map(|i| 0.031 + 0.001 * f64::from(i) / 1000.0));
        assert_eq!(said(&nearly).word, Word::Clear);
        // A long tail to one side: 97 of 100 draws are won, and 85 of 100 by nothing to speak of.
        let tail = |i: i32| if i < 850 { 0.01 } else { 0.7 };
        let skewed = two((0..1000).map(|i| if i < 30 { -0.001 } else { tail(i) }));
        assert_eq!(said(&skewed).word, Word::NothingInIt);
        assert_relative_eq!(said(&skewed).level, 0.85);
        let verdict = Verdict::of(&with_losses(0), 0.03, |_, _| true).unwrap();
        assert_eq!(verdict.word, Word::NotMeasured);
    }

    #[test]
    fn the_gap_is_the_leaders() {
        let verdict = said(&two((0..999).map(|i| -0.5 + f64::from(i) / 4000.0)));
        assert_eq!((verdict.leader, verdict.next), (1, 0));
        assert_relative_eq!(verdict.gap.median, 0.5 - 499.0 / 4000.0, epsilon = 1e-9);
        assert_eq!(verdict.wins, [0.0, 1.0]);
        assert_eq!(verdict.behind[1].high, 0.0);
        assert_eq!(verdict.word, Word::Clear);
    }

    #[test]
    fn ties_are_shared_and_failures_left_out() {
        let mut times = two([0.0; 50]);
        let error = LapError::NoGrip("ice".into());
        times.draws.push(vec![Ok(1.0), Err(error.clone())]);
        let verdict = said(&times);
        assert_eq!((verdict.draws, verdict.wins.clone()), (50, vec![0.5, 0.5]));
        assert_eq!(verdict.word, Word::NothingInIt);
        assert_eq!(
            times.failed().into_iter().collect::<Vec<_>>(),
            [(error.to_string(), 1)]
        );
        let none = VenueTimes {
            draws: vec![vec![Err(error.clone()), Err(error)]],
        };
        assert_eq!(Verdict::of(&none, 0.03, |_, _| false), None);
    }

    #[test]
    fn of_three_the_fastest_of_all_wins_a_draw() {
        let times = VenueTimes {
            draws: (0..100)
                .map(|i| vec![Ok(10.0), Ok(if i < 30 { 9.0 } else { 10.5 }), Ok(10.2)])
                .collect(),
        };
        let verdict = said(&times);
        assert_eq!((verdict.leader, verdict.next), (0, 2));
        assert_eq!(verdict.wins, [0.7, 0.3, 0.0]);
        assert_eq!(verdict.word, Word::TooClose);
    }
}
