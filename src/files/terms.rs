//! What a part costs and asks for: its price, its mass, the work to swap it, the classes it is for.

use super::yaml::{Item, Map};
use crate::car::offer::Terms;
use crate::units::{self, MASS, TIME, grouped};

/// Longest that a part takes to swap, s.
const LONGEST_SWAP: f64 = 1000.0 * 3600.0;

/// Highest price.
const MOST: f64 = 1e9;

/// The currencies written `$` (ISO 4217).
const DOLLARS: [&str; 10] = [
    "USD", "AUD", "CAD", "NZD", "SGD", "HKD", "MXN", "BRL", "TWD", "JMD",
];

/// Reads the terms of a part; prices are in `currency`.
pub fn terms(map: &Map, currency: Option<&str>) -> Terms {
    Terms {
        mass: map.take("mass").and_then(|item| added_mass(&item)),
        swap_time: map.take("swap_time").and_then(|item| swap_time(&item)),
        ..of_purchase(map, currency)
    }
}

/// Price and classes alone: of what stays in once it is done.
pub fn of_purchase(map: &Map, currency: Option<&str>) -> Terms {
    Terms {
        price: map.take("price").and_then(|item| price_in(&item, currency)),
        allowed_in: map.take("allowed_in").map_or_else(Vec::new, |i| tags(&i)),
        ..Terms::default()
    }
}

/// Work to swap a part, s.
pub fn swap_time(item: &Item) -> Option<f64> {
    if let Some(word) = item.word().filter(|word| word.parse::<f64>().is_ok()) {
        item.error(
            format!("{}: `{word}` has no unit", item.name()),
            format!("write `{word} h` or `{word} min`"),
        );
        return None;
    }
    if let Some((hours, minutes)) = item.word().and_then(hours_and_minutes) {
        let whole = 60 * hours + minutes;
        let in_minutes = format!("`{whole} min`");
        let remedy = match whole % 3 {
            0 => format!("write `{} h` or {in_minutes}", f64::from(whole) / 60.0),
            _ => format!("write {in_minutes}"),
        };
        item.error(
            format!(
                "{}: hours and minutes are written as one number",
                item.name()
            ),
            remedy,
        );
        return None;
    }
    item.quantity(&TIME, 0.0..=LONGEST_SWAP)
}

/// What `1h30`, `1 h 30 min` and `1:30` say.
fn hours_and_minutes(text: &str) -> Option<(u32, u32)> {
    let text = text.to_lowercase();
    let (hours, rest) = text.split_once(['h', ':'])?;
    let minutes = rest
        .trim()
        .trim_start_matches("our")
        .trim_start_matches('s');
    let minutes = minutes.trim_end_matches(|c: char| c.is_alphabetic());
    let (hours, minutes) = (hours.trim().parse().ok()?, minutes.trim().parse().ok()?);
    (hours < 1000 && minutes < 60).then_some((hours, minutes))
}

/// The classes a part is said to be allowed in.
pub fn tags(item: &Item) -> Vec<String> {
    let items = item.one_or_more();
    items.iter().filter_map(Item::text).collect()
}

/// What a part adds to the car, kg; it may be lighter.
pub fn added_mass(item: &Item) -> Option<f64> {
    item.quantity(&MASS, -500.0..=500.0)
}

/// A price and the currency written beside it, as in `310`, `310 EUR` or `EUR 310`.
pub fn price(item: &Item) -> Option<(f64, Option<String>)> {
    let text = item.scalar("a price, as in `310` or `310 EUR`")?.trim();
    let word = |c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',' | '-' | '+' | '−' | ' ');
    let start = text.find(|c: char| !word(c) && c != ' ').unwrap_or(0);
    let (before, rest) = text.split_at(start);
    let end = rest.find(word).unwrap_or(rest.len());
    let (number, after) = rest.split_at(end);
    let (before, after) = (before.trim(), after.trim());
    let currency = [before, after].into_iter().find(|part| !part.is_empty());
    let number = number.trim();
    let refuse = |what: String, remedy: String| {
        item.error(format!("{}: `{text}` {what}", item.name()), remedy);
        None
    };
    if let Some((whole, cut)) = thousands(number).filter(|_| number.contains('.')) {
        return refuse(
            format!("may be {whole} or {cut}"),
            format!("write `{whole}` or `{cut}`"),
        );
    }
    // Nobody writes three decimals of a coin behind a comma.
    let whole = thousands(number).map(|(whole, _)| whole);
    let whole = whole.or_else(|| grouped(number).map(|(value, _)| value.to_string()));
    let value = match units::number(whole.as_deref().unwrap_or(number)) {
        Ok((value, "")) if before.is_empty() || after.is_empty() => value,
        _ => {
            return refuse(
                "is no price".to_owned(),
                "write it as in `310` or `310 EUR`".to_owned(),
            );
        }
    };
    if !(0.0..=MOST).contains(&value) {
        return refuse(
            "is outside 0 to 10⁹".to_owned(),
            "write what it costs fitted".to_owned(),
        );
    }
    Some((value, currency.map(str::to_owned)))
}

/// Both readings of a number with one mark and three figures behind it: `1.150` is 1150 or 1.15.
fn thousands(number: &str) -> Option<(String, String)> {
    let (before, after) = number.split_once(['.', ','])?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(before) || !digits(after) || before.len() > 3 || after.len() != 3 || before == "0" {
        return None;
    }
    let cut = after.trim_end_matches('0');
    let cut = match cut {
        "" => before.to_owned(),
        cut => format!("{before}.{cut}"),
    };
    Some((format!("{before}{after}"), cut))
}

/// Whether a sign or a name beside a price is the currency: `$` may be any dollar.
fn stands_for(written: &str, currency: &str) -> bool {
    let code = currency.to_uppercase();
    match written {
        "£" => matches!(code.as_str(), "GBP" | "£"),
        "€" => matches!(code.as_str(), "EUR" | "€"),
        "$" => DOLLARS.contains(&code.as_str()) || code == "$",
        _ => written.to_uppercase() == code,
    }
}

/// A price in `currency`, where there is one; another one beside it is a fault.
pub fn price_in(item: &Item, currency: Option<&str>) -> Option<f64> {
    let (value, written) = price(item)?;
    match (written, currency) {
        (Some(written), Some(currency)) if !stands_for(&written, currency) => {
            item.error(
                format!("{}: {written} beside prices in {currency}", item.name()),
                format!("write every price in {currency}"),
            );
            None
        }
        (Some(written), None) => {
            item.error(
                format!("{}: {written}, and the file says no currency", item.name()),
                format!("add `currency: {written}`"),
            );
            None
        }
        _ => Some(value),
    }
}
