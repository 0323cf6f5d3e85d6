//! Parts by the names people use.

use serde::Serialize;

use crate::report::setup;
use crate::study::season::{Fit, Kind};
use crate::study::times::Plan;
use crate::study::{Setup, Study};

/// A part: `long manifold`, `9/41`, `close five-speed`, `limit of 7,500 rpm`.
pub fn part(study: &Study, kind: Kind, index: usize) -> String {
    let car = &study.car;
    match kind {
        Kind::Spec => spec(study, index).to_owned(),
        Kind::FinalDrive => setup::drive(
            car,
            Setup {
                final_drive: Some(index),
                ..Setup::FITTED
            },
        ),
        Kind::GearSet => setup::gear_set(
            car,
            Setup {
                gearbox: Some(index),
                ..Setup::FITTED
            },
        ),
        Kind::Differential => car.purchases.differentials[index].name.clone(),
        Kind::Tyre => car.purchases.tyres[index].name.clone(),
        Kind::Lighter => car.purchases.lighter[index].name.clone(),
        Kind::RevLimit => {
            let rpm = car.purchases.rev_limits[index].rpm;
            format!("limit of {}", crate::report::format::rpm(rpm))
        }
    }
}

/// What kind of part it is, in a word.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Spec => "spec",
        Kind::FinalDrive => "final drive",
        Kind::GearSet => "gear set",
        Kind::Differential => "differential",
        Kind::Tyre => "tyre",
        Kind::Lighter => "lighter",
        Kind::RevLimit => "rev limit",
    }
}

/// The name of a compared spec.
pub fn spec(study: &Study, index: usize) -> &str {
    &study.test_day.specs[study.compared[index]].name
}

/// The spec that is in the car now.
pub fn fitted(study: &Study) -> usize {
    study.rules.fitted.unwrap_or(0)
}

/// What the car has now, and that a spec is taken for fitted where nobody says which is.
pub fn now(study: &Study, own: &Fit) -> String {
    let fit = fit(study, own);
    match study.rules.fitted {
        None if study.compared.len() > 1 => {
            format!("taken to have {fit} now (`fitted` is not written)")
        }
        _ => format!("now with {fit}"),
    }
}

/// What is in the car, the spec and final drive always said: `long manifold, 9/41`.
pub fn fit(study: &Study, fit: &Fit) -> String {
    let own = fit.of(Kind::Spec).unwrap_or_else(|| fitted(study));
    let drive = setup::drive(&study.car, fit.setup());
    let mut words = vec![spec(study, own).to_owned(), drive];
    let more = fit
        .parts()
        .filter(|(kind, _)| !matches!(kind, Kind::Spec | Kind::FinalDrive));
    words.extend(more.map(|(kind, index)| part(study, kind, index)));
    words.join(", ")
}

/// Parts to buy in a row; `nothing` where there are none.
pub fn basket(study: &Study, parts: impl Iterator<Item = (Kind, usize)>) -> String {
    let names: Vec<String> = parts
        .map(|(kind, index)| part(study, kind, index))
        .collect();
    match names.is_empty() {
        true => "nothing".to_owned(),
        false => names.join(", "),
    }
}

/// Work in hours: `2 h`, `0.7 h`.
pub fn work(seconds: f64) -> String {
    let hours = seconds / 3600.0;
    let decimals = if hours < 10.0 && hours.fract() != 0.0 {
        1
    } else {
        0
    };
    format!("{} h", crate::report::format::decimal(hours, decimals))
}

/// A sum of money: `1,150 EUR`, `1,150` where nobody says the currency.
pub fn money(study: &Study, price: f64) -> String {
    let sum = crate::report::format::thousands(price);
    match currency(study) {
        Some(currency) => format!("{sum} {currency}"),
        None => sum,
    }
}

/// The currency of the prices.
pub fn currency(study: &Study) -> Option<&str> {
    let of_day = study.test_day.currency.as_deref();
    of_day.or(study.car.purchases.currency.as_deref())
}

/// What the JSON of every answer over a season begins with.
#[derive(Serialize)]
pub struct Head<'a> {
    study: &'a str,
    car: &'a str,
    currency: Option<&'a str>,
    draws: u64,
    seed: u64,
    useful_s: f64,
    as_stands_s: Option<f64>,
}

/// The head for a study; `useful` is what anyone can use over the season and `now` the season as the
/// car stands, s.
pub fn head<'a>(study: &'a Study, plan: &Plan, useful: f64, now: Option<f64>) -> Head<'a> {
    Head {
        study: &study.name,
        car: &study.car.name,
        currency: currency(study),
        draws: plan.draws,
        seed: plan.seed,
        useful_s: useful,
        as_stands_s: now,
    }
}
