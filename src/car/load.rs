//! What a tyre of a load index carries.

use super::tyre::Tyre;
use super::{Car, Trim};

/// Load on one tyre, kg, of the load indices from 60 up. Public load tables of tyre sellers.
const LOADS: [f64; 51] = [
    250.0, 257.0, 265.0, 272.0, 280.0, 290.0, 300.0, 307.0, 315.0, 325.0, 335.0, 345.0, 355.0,
    365.0, 375.0, 387.0, 400.0, 412.0, 425.0, 437.0, 450.0, 462.0, 475.0, 487.0, 500.0, 515.0,
    530.0, 545.0, 560.0, 580.0, 600.0, 615.0, 630.0, 650.0, 670.0, 690.0, 710.0, 730.0, 750.0,
    775.0, 800.0, 825.0, 850.0, 875.0, 900.0, 925.0, 950.0, 975.0, 1000.0, 1030.0, 1060.0,
];
/// The load index of the first of them.
const FIRST: u32 = 60;

/// Load on one tyre, kg; `None` beyond 60 to 110.
pub fn of_index(index: u32) -> Option<f64> {
    LOADS.get(index.checked_sub(FIRST)? as usize).copied()
}

/// Static load on one wheel of the heavier axle, kg.
pub fn static_load(car: &Car, trim: &Trim) -> f64 {
    0.5 * trim.mass * car.front_share.max(1.0 - car.front_share)
}

/// What the tyres of a trim carry and what stands on one of them, kg, where that is more; the car
/// standing still.
pub fn too_much(car: &Car, trim: &Trim) -> Option<(f64, f64)> {
    let tyre = Tyre::parse(&trim.tyre).ok()?;
    let carries = of_index(tyre.load_index?)?;
    let stands = static_load(car, trim);
    (stands > carries).then_some((carries, stands))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `tests/reference/tyres/load_index.csv`.
    #[test]
    fn published_loads() {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/reference/tyres/load_index.csv"
        );
        let text = std::fs::read_to_string(path).unwrap();
        let rows = text.lines().skip(1).filter_map(|line| line.split_once(','));
        let mut count = 0;
        for (index, load) in rows {
            let index: u32 = index.parse().unwrap();
            assert_eq!(of_index(index), load.parse().ok(), "{index}");
            count += 1;
        }
        assert_eq!(count, LOADS.len());
        assert_eq!((of_index(59), of_index(111)), (None, None));
    }
}
