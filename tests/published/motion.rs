//! Values of `tests/reference/motion`.

use super::{number, table};

/// The value of a case.
pub fn case(case: &str, quantity: &str) -> f64 {
    table("motion/cases.csv")
        .iter()
        .find(|row| row["case"] == case && row["quantity"] == quantity)
        .map_or_else(
            || panic!("no {quantity} of {case}"),
            |row| number(row, "value"),
        )
}
