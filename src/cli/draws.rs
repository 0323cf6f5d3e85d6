//! How many draws, and which.

use std::time::Instant;

use super::Failure;
use crate::study::times::{self, FEWEST, MOST, USUAL};
use crate::study::{Engines, Outcome, Plan, Study};

/// Draws that are timed to tell how long too many would take.
const TIMED: u64 = 32;

/// The options that say what is drawn.
#[derive(Debug, clap::Args)]
pub struct DrawArguments {
    /// Times it is driven with other inputs, to tell how sure it is; 40 at least [default: 2000;
    /// spend and gearing 400]
    #[arg(long, value_name = "NUMBER", value_parser = whole, allow_hyphen_values = true)]
    draws: Option<u64>,
    /// Which draws: one number, the same ones
    #[arg(
        long,
        value_name = "NUMBER",
        default_value = "1",
        value_parser = whole,
        allow_hyphen_values = true
    )]
    seed: u64,
}

impl DrawArguments {
    /// The options as they are typed, where they are not the usual ones.
    pub fn words(&self) -> String {
        let mut words = String::new();
        if let Some(draws) = self.draws {
            words += &format!(" --draws {draws}");
        }
        if self.seed != 1 {
            words += &format!(" --seed {}", self.seed);
        }
        words
    }

    /// What to draw, [`USUAL`] times where nobody says how often.
    ///
    /// # Errors
    /// Too few draws to mean anything, or more than anyone would wait for.
    pub fn plan(
        &self,
        study: &Study,
        engines: &Engines,
        outcome: &Outcome,
    ) -> Result<Plan, Failure> {
        self.plan_or(USUAL, study, engines, outcome)
    }

    /// The same with another number of draws where nobody says how often.
    ///
    /// # Errors
    /// As [`Self::plan`].
    pub fn plan_or(
        &self,
        usual: u64,
        study: &Study,
        engines: &Engines,
        outcome: &Outcome,
    ) -> Result<Plan, Failure> {
        let draws = self.draws.unwrap_or(usual);
        let plan = Plan {
            seed: self.seed,
            draws,
            habitual: study.habitual,
        };
        if draws < FEWEST {
            return Err(Failure::CommandLine(format!(
                "--draws {}: at least {FEWEST}, so that one in forty is one draw",
                draws
            )));
        }
        if draws > MOST {
            let seconds = |draws: u64| {
                let started = Instant::now();
                times::drive(study, engines, outcome, &Plan { draws, ..plan }, || ());
                started.elapsed().as_secs_f64()
            };
            // What comes before the first draw is done once.
            let before = seconds(0);
            let each = (seconds(TIMED) - before).max(0.0) / TIMED as f64;
            return Err(Failure::CommandLine(format!(
                "--draws {}: that would take about {}; at most {MOST}",
                draws,
                duration(each * draws as f64)
            )));
        }
        Ok(plan)
    }
}

/// A whole number from zero up.
fn whole(text: &str) -> Result<u64, String> {
    let wanted = "write a whole number, as in 2000";
    let rest = text.strip_prefix('-');
    text.parse().map_err(|_| match rest {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => {
            format!("it must not be below zero: {wanted}")
        }
        Some(_) => format!("the number before {text} is missing: {wanted}"),
        None => wanted.to_owned(),
    })
}

/// A duration to its largest unit.
fn duration(seconds: f64) -> String {
    let (value, unit) = match seconds {
        s if s < 120.0 => (s, "seconds"),
        s if s < 7200.0 => (s / 60.0, "minutes"),
        s if s < 172_800.0 => (s / 3600.0, "hours"),
        s if s < 730.0 * 86_400.0 => (s / 86_400.0, "days"),
        s => (s / (365.25 * 86_400.0), "years"),
    };
    format!("{value:.0} {unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_told_in_their_largest_unit() {
        assert_eq!(duration(90.0), "90 seconds");
        assert_eq!(duration(600.0), "10 minutes");
        assert_eq!(duration(86_400.0), "24 hours");
        assert_eq!(duration(3e6), "35 days");
        assert_eq!(duration(1e9), "32 years");
    }
}
