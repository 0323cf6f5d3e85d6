//! The season: what every event counts, what one spec or gearing costs over all of them.

mod answer;
mod assumed;
mod fit;
mod legs;
mod money;
mod plan;
mod sure;

pub use answer::{Compromise, Season, SeasonPlan, asks_for_more, season, season_useful, verdict};
pub use assumed::{SeasonMoved, moves as assumed_moves};
pub use fit::{Fit, Ground, Kind, offered, terms};
pub use legs::{Leg, legs, roads};
pub use money::{Basket, Line, Money, driven_with_draws, money};
pub use plan::Plan;
pub use sure::SeasonVerdict;

/// What holds for the whole season.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rules {
    /// The class that parts must be tagged for; those that are not were left out.
    pub allowed_in: Option<String>,
    /// Least mass of the car with crew and fuel, kg: a lighter one carries ballast.
    pub minimum_mass: Option<f64>,
    /// The spec that is in the car, as an index into the compared ones; the first where nobody says.
    pub fitted: Option<usize>,
    /// Times done this season.
    pub results: Vec<EventResult>,
}

/// A time done at an event.
#[derive(Debug, Clone, PartialEq)]
pub struct EventResult {
    /// Index of the entry.
    pub entry: usize,
    /// Index of the spec among the compared ones.
    pub spec: usize,
    /// The time of one run, stage or lap, s.
    pub time: f64,
    /// The state the venue was in; as its surfaces say where `None`.
    pub condition: Option<String>,
    /// Why it does not count, where somebody set it aside.
    pub set_aside: Option<String>,
}
