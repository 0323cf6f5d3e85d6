//! What results are asked that hardly belong with the others.

use super::advice::run_of;
use crate::report::format::{clock, decimal};
use crate::report::rank::words::list;
use crate::study::results::odd::{Apart, Odd};
use crate::study::{Engines, Study};

/// A question with what to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The question.
    pub text: String,
    /// What to write where it is answered with yes.
    pub remedy: String,
}

/// All questions.
pub fn asked(study: &Study, engines: &Engines, odd: &Odd) -> Vec<Asked> {
    let run = |index: usize| run_of(study, engines, &study.rules.results[index]);
    let apart = odd.apart.iter().map(|apart| of_apart(study, apart, run));
    let mut found: Vec<Asked> = apart.collect();
    if let [(first, _), ..] = odd.totals[..] {
        let times: Vec<String> = odd
            .totals
            .iter()
            .map(|&(index, time)| {
                let entry = &study.entries[study.rules.results[index].entry];
                format!("{} `\"{}\"`", entry.name, clock(time, entry.course.kind))
            })
            .collect();
        found.push(Asked {
            text: format!(
                "{} is larger than the result before it by about what was predicted: are these running totals?",
                run(first)
            ),
            remedy: format!("write the time of each: {}", list(&times)),
        });
    }
    found
}

fn of_apart(study: &Study, apart: &Apart, run: impl Fn(usize) -> String) -> Asked {
    let results = &study.rules.results;
    let other = match results[apart.slow].spec == results[apart.quick].spec {
        true => "",
        false => "; where the road changed between the two they tell no spec from the other",
    };
    Asked {
        text: format!(
            "{} is {} % slower than {}, each beside its prediction: held up, a penalty in it, a notional time, a total, \
             another state of the road?",
            run(apart.slow),
            decimal(100.0 * apart.by, 1),
            run(apart.quick)
        ),
        remedy: format!(
            "if so write `set_aside: why` into that result, or its `conditions`{other}"
        ),
    }
}
