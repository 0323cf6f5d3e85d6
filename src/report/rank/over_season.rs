//! The season in a sentence, and whether it is worth the money.

use super::Answer;
use crate::report::format::{decimal, of_draws, thousands};
use crate::study::{Verdict, Word};

/// The verdict over all events as they count, the same as `season` gives, and whether it is worth the
/// money. Where nobody leads, nobody is named first.
pub(super) fn over_the_season(answer: &Answer, verdict: &Verdict) -> String {
    let wins = |spec: usize| of_draws(verdict.wins[spec], answer.plan.draws);
    let (leader, next, gap) = (verdict.leader, verdict.next, &verdict.gap);
    let led = matches!(verdict.word, Word::Clear | Word::Likely);
    let how = if led || gap.low >= 0.0 || gap.high <= 0.0 {
        format!(
            "{} in {} draws, {} to {} s",
            answer.name(leader),
            wins(leader),
            decimal(gap.low, 1),
            decimal(gap.high, 1)
        )
    } else {
        let (one, other) = (leader.min(next), leader.max(next));
        let (ahead, behind) = if one == leader {
            (gap.high, -gap.low)
        } else {
            (-gap.low, gap.high)
        };
        format!(
            "{} wins {} draws, from {} s ahead of {} to {} s behind",
            answer.name(one),
            wins(one),
            decimal(ahead, 1),
            answer.name(other),
            decimal(behind, 1)
        )
    };
    format!(
        "Season as geared: {}, {how}{}.",
        verdict.word.text(),
        worth(answer, verdict)
    )
}

/// Whether it is worth the money: what the other spec costs whoever has one of the two in the car, else
/// what the dearer one costs more. Nothing where a price is not said.
fn worth(answer: &Answer, verdict: &Verdict) -> String {
    let (leader, next) = (verdict.leader, verdict.next);
    let led = matches!(verdict.word, Word::Clear | Word::Likely);
    let name = |spec: usize| answer.name(spec);
    let price = |spec: usize| answer.engines.list[spec].price;
    let sum = |sum: f64| match &answer.study.test_day.currency {
        Some(currency) => format!("{} {currency}", thousands(sum)),
        None => thousands(sum),
    };
    match answer.study.rules.fitted {
        Some(own) if own == leader && led => "; it is in the car now".to_owned(),
        Some(own) if own == leader || own == next => {
            let other = if own == leader { next } else { leader };
            match price(other).map(sum) {
                Some(sum) if led => format!("; changing to it costs {sum}"),
                Some(sum) => format!(
                    "; changing to {} costs {sum} and buys nothing sure",
                    name(other)
                ),
                None => String::new(),
            }
        }
        _ => {
            let (Some(a), Some(b)) = (price(leader), price(next)) else {
                return String::new();
            };
            let more = sum((a - b).abs());
            match (led, a > b) {
                _ if a == b => String::new(),
                (true, true) => format!("; it costs {more} more"),
                (true, false) => format!("; it is {more} cheaper too"),
                (false, leads) => {
                    let dear = name(if leads { leader } else { next });
                    format!("; the {more} more for {dear} buy nothing sure")
                }
            }
        }
    }
}
