//! What could be bought for the car, on what terms.

use super::{Differential, Trim};

/// What a part costs and asks for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Terms {
    /// Price fitted, in the study's currency.
    pub price: Option<f64>,
    /// What it adds to the car, kg.
    pub mass: Option<f64>,
    /// Seconds of work to put it in or take it out; `None` where it stays once it is in.
    pub swap_time: Option<f64>,
    /// The classes that it is said to be allowed in.
    pub allowed_in: Vec<String>,
}

impl Terms {
    /// Whether the part is said to be allowed in a class.
    pub fn are_tagged(&self, class: &str) -> bool {
        self.allowed_in.iter().any(|tag| tag == class)
    }
}

/// A differential that could be fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedDifferential {
    /// Name for people.
    pub name: String,
    /// What it does.
    pub differential: Differential,
    /// Its terms.
    pub terms: Terms,
}

/// Tyres that could be fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedTyre {
    /// Name for people.
    pub name: String,
    /// The car's trims with them, in the order of its trims; `None` for a trim they are not for.
    pub trims: Vec<Option<Trim>>,
    /// They grip as what is fitted does: a choice of gearing alone.
    pub same_grip: bool,
    /// Their terms.
    pub terms: Terms,
}

/// Mass that could be taken out of the car.
#[derive(Debug, Clone, PartialEq)]
pub struct Lightening {
    /// Name for people.
    pub name: String,
    /// Terms; their mass is below zero.
    pub terms: Terms,
}

/// A higher rev limit, with the rebuild it asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedLimit {
    /// The limit, rpm.
    pub rpm: f64,
    /// Terms; the price is that of the rebuild.
    pub terms: Terms,
}

/// Everything that could be bought beside gears, final drives and specs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Purchases {
    /// Differentials.
    pub differentials: Vec<OfferedDifferential>,
    /// Tyres.
    pub tyres: Vec<OfferedTyre>,
    /// Less mass.
    pub lighter: Vec<Lightening>,
    /// Rev limits.
    pub rev_limits: Vec<OfferedLimit>,
    /// Currency of the prices, where the car says one.
    pub currency: Option<String>,
}
