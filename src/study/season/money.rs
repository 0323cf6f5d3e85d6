//! What to spend the money on: everything that can be bought, by the seconds it wins over the season.

use rayon::prelude::*;

use super::super::Study;
use super::super::times::Plan;
use super::super::verdict::Range;
use super::answer::times_with;
use super::fit::{Fit, Ground, Kind, offered, terms};
use crate::car::offer::Terms;

/// Most combinations of parts that are driven to find the frontier; beyond it pairs are.
const MOST_FITS: usize = 600;

/// A part that could be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is.
    pub kind: Kind,
    /// Which one.
    pub part: usize,
    /// Its terms.
    pub terms: Terms,
    /// Seconds it wins at each event, fitted there; `None` where a lap cannot be driven.
    pub by_event: Vec<Option<f64>>,
    /// Seconds it wins over the season, fitted throughout.
    pub wins: Option<f64>,
    /// The range of that over the draws, and the share of draws in which it wins anything.
    pub sure: Option<(Range, f64)>,
    /// Seconds it wins fitted only where it helps, and how often it goes in or out between events;
    /// `None` where it stays in.
    pub where_it_helps: Option<(f64, usize)>,
}

impl Line {
    /// Seconds it wins as it would be used: only where it helps, where it can be changed.
    pub fn used(&self) -> Option<f64> {
        self.where_it_helps.map(|(wins, _)| wins).or(self.wins)
    }

    /// Seconds per unit of money; `None` without a price, infinite where it costs nothing.
    pub fn per_money(&self) -> Option<f64> {
        let wins = self.used()?;
        let price = self.terms.price?;
        Some(if price > 0.0 {
            wins / price
        } else {
            wins.signum() * f64::INFINITY
        })
    }
}

/// Parts to buy together.
#[derive(Debug, Clone, PartialEq)]
pub struct Basket {
    /// What is fitted.
    pub fit: Fit,
    /// What it costs.
    pub price: f64,
    /// Seconds it wins over the season, parts that can be changed fitted only where they help.
    pub wins: f64,
}

/// Where to spend.
#[derive(Debug, Clone, PartialEq)]
pub struct Money {
    /// Seconds of the season as the car stands; `None` where it cannot be driven.
    pub now: Option<f64>,
    /// Everything that could be bought, most seconds per unit of money first; what has no price last.
    pub lines: Vec<Line>,
    /// The most seconds for every sum of money, the cheapest first; each step is a worse bargain than
    /// the one before.
    pub frontier: Vec<Basket>,
    /// Every combination was driven, not only pairs.
    pub exhaustive: bool,
}

/// How often [`money`] drives all draws: as the car stands, and with each part but the specs, which
/// are driven together.
pub fn driven_with_draws(study: &Study) -> u64 {
    let parts = Kind::ALL
        .into_iter()
        .filter(|kind| *kind != Kind::Spec)
        .map(|kind| offered(study, kind).len());
    1 + parts.sum::<usize>() as u64
}

/// Works out where to spend; `done` is told of each draw of each part.
pub fn money(ground: &Ground, plan: &Plan, done: impl Fn() + Sync) -> Money {
    let study = ground.study;
    let base = ground.seconds(&Fit::NOW);
    let parts: Vec<(Kind, usize)> = Kind::ALL
        .into_iter()
        .flat_map(|kind| {
            offered(study, kind)
                .into_iter()
                .map(move |part| (kind, part))
        })
        .collect();
    let now = times_with(ground, &Fit::NOW, plan, &done);
    let own = ground.spec(&Fit::NOW);
    let mut lines: Vec<Line> = parts
        .iter()
        .map(|&(kind, part)| {
            let fit = Fit::NOW.with(kind, Some(part));
            let with = match kind {
                Kind::Spec => None,
                _ => Some(times_with(ground, &fit, plan, &done)),
            };
            let with = with.as_ref().unwrap_or(&now);
            let spec = ground.spec(&fit);
            let pairs = now.draws.iter().zip(&with.draws);
            let gains =
                pairs.filter_map(|(a, b)| Some(a[own].clone().ok()? - b[spec].clone().ok()?));
            line(ground, (kind, part), &base, gains.collect())
        })
        .collect();
    lines.sort_by(|a, b| {
        let key = |line: &Line| line.per_money().unwrap_or(f64::NEG_INFINITY);
        let by_seconds = || b.used().unwrap_or(0.0).total_cmp(&a.used().unwrap_or(0.0));
        key(b).total_cmp(&key(a)).then_with(by_seconds)
    });
    let (fits, exhaustive) = combinations(study, &lines);
    Money {
        now: base.iter().copied().sum(),
        frontier: frontier(ground, &base, &fits),
        lines,
        exhaustive,
    }
}

fn line(
    ground: &Ground,
    (kind, part): (Kind, usize),
    base: &[Option<f64>],
    gains: Vec<f64>,
) -> Line {
    let terms = terms(ground.study, kind, part);
    let with = ground.seconds(&Fit::NOW.with(kind, Some(part)));
    let by_event: Vec<Option<f64>> = base
        .iter()
        .zip(&with)
        .map(|(now, with)| Some((*now)? - (*with)?))
        .collect();
    let won = gains.iter().filter(|gain| **gain > 0.0).count() as f64 / gains.len().max(1) as f64;
    Line {
        kind,
        part,
        wins: by_event.iter().copied().sum(),
        where_it_helps: terms.swap_time.map(|_| where_it_helps(&by_event)),
        sure: Range::of(gains).map(|range| (range, won)),
        by_event,
        terms,
    }
}

/// Seconds won where a part helps, and how often it goes in or out between events.
fn where_it_helps(by_event: &[Option<f64>]) -> (f64, usize) {
    let helps = |gain: &Option<f64>| gain.is_some_and(|gain| gain > 0.0);
    let wins = by_event.iter().filter_map(|gain| gain.filter(|g| *g > 0.0));
    let changes = by_event.windows(2).filter(|w| helps(&w[0]) != helps(&w[1]));
    (wins.sum(), changes.count())
}

/// Everything that can be bought together and has a price: one part of each kind, or pairs where
/// there is too much of it.
fn combinations(study: &Study, lines: &[Line]) -> (Vec<Fit>, bool) {
    let priced = || lines.iter().filter(|line| line.terms.price.is_some());
    let of = |kind: Kind| priced().filter(move |line| line.kind == kind);
    let count: usize = Kind::ALL.iter().map(|&kind| of(kind).count() + 1).product();
    let mut fits = vec![Fit::NOW];
    if count <= MOST_FITS {
        for kind in Kind::ALL {
            let more: Vec<Fit> = fits
                .iter()
                .flat_map(|fit| of(kind).map(|line| fit.with(kind, Some(line.part))))
                .collect();
            fits.extend(more);
        }
    } else {
        for (i, a) in priced().enumerate() {
            let one = Fit::NOW.with(a.kind, Some(a.part));
            fits.push(one);
            let later = priced().skip(i + 1).filter(|b| b.kind != a.kind);
            fits.extend(later.map(|b| one.with(b.kind, Some(b.part))));
        }
    }
    debug_assert!(fits.iter().all(|fit| price(study, fit).is_some()));
    (fits, count <= MOST_FITS)
}

fn price(study: &Study, fit: &Fit) -> Option<f64> {
    fit.parts()
        .map(|(kind, part)| terms(study, kind, part).price)
        .sum()
}

/// The upper hull of seconds over money.
fn frontier(ground: &Ground, base: &[Option<f64>], fits: &[Fit]) -> Vec<Basket> {
    let study = ground.study;
    let seconds: Vec<Vec<Option<f64>>> = fits.par_iter().map(|fit| ground.seconds(fit)).collect();
    let of = |fit: &Fit| fits.iter().position(|f| f == fit).map(|i| &seconds[i]);
    let baskets: Vec<Basket> = fits
        .iter()
        .filter_map(|fit| {
            let rows: Option<Vec<_>> = uses(study, fit).iter().map(of).collect();
            let rows = rows?;
            let best = |event: usize| {
                let times = rows.iter().filter_map(|row| row[event]);
                times.min_by(f64::total_cmp)
            };
            let wins = (0..base.len())
                .map(|event| Some(base[event]? - best(event)?))
                .sum::<Option<f64>>()?;
            Some(Basket {
                fit: *fit,
                price: price(study, fit)?,
                wins,
            })
        })
        .collect();
    hull(baskets)
}

/// What a basket lets one fit at an event: parts that can be changed in or out, the others in.
fn uses(study: &Study, fit: &Fit) -> Vec<Fit> {
    let mut uses = vec![*fit];
    for (kind, part) in fit.parts() {
        if terms(study, kind, part).swap_time.is_some() {
            let without: Vec<Fit> = uses.iter().map(|fit| fit.with(kind, None)).collect();
            uses.extend(without);
        }
    }
    uses
}

/// The baskets that no mixture of two others beats, the cheapest first.
fn hull(mut baskets: Vec<Basket>) -> Vec<Basket> {
    baskets.sort_by(|a, b| a.price.total_cmp(&b.price).then(b.wins.total_cmp(&a.wins)));
    let mut kept: Vec<Basket> = Vec::new();
    let bargain = |a: &Basket, b: &Basket| (b.wins - a.wins) / (b.price - a.price);
    for basket in baskets {
        if kept.last().is_some_and(|last| basket.wins <= last.wins) {
            continue;
        }
        while let [.., a, b] = &kept[..] {
            if bargain(a, b) > bargain(a, &basket) {
                break;
            }
            kept.pop();
        }
        kept.push(basket);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn basket(price: f64, wins: f64) -> Basket {
        Basket {
            fit: Fit::NOW,
            price,
            wins,
        }
    }

    #[test]
    fn the_frontier_is_never_a_worse_bargain_than_a_mixture() {
        let all = [
            (0.0, 0.0),
            (100.0, 1.0),
            (200.0, 1.5),
            (150.0, 0.9),
            (300.0, 4.0),
            (400.0, 3.9),
            (500.0, 4.5),
        ];
        let kept = hull(all.iter().map(|&(p, w)| basket(p, w)).collect());
        let kept: Vec<(f64, f64)> = kept.iter().map(|b| (b.price, b.wins)).collect();
        assert_eq!(kept, [(0.0, 0.0), (300.0, 4.0), (500.0, 4.5)]);
    }

    #[test]
    fn what_costs_nothing_and_helps_comes_before_what_is_bought() {
        let kept = hull(vec![basket(0.0, 0.0), basket(0.0, 0.5), basket(10.0, 1.0)]);
        let kept: Vec<f64> = kept.iter().map(|b| b.wins).collect();
        assert_eq!(kept, [0.5, 1.0]);
    }

    #[test]
    fn a_part_goes_in_and_out_where_it_helps() {
        let gains = [Some(0.4), Some(-0.2), None, Some(0.1), Some(0.3)];
        let (wins, changes) = where_it_helps(&gains);
        assert!((wins - 0.8).abs() < 1e-12);
        assert_eq!(changes, 2);
    }
}
