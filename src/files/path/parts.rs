//! Lines that are written in several parts.

use super::Order;
use crate::venue::path::{Fix, Place};

/// A part that begins farther off than this does not go on, m…
const APART: f64 = 50.0;
/// …where another begins within this share of it.
const NEARER: f64 = 0.2;

/// So many parts behind one are looked at for it.
const LOOKED_AT: usize = 200;

/// Parts of one line, each turned so that it goes on where the one before ends.
pub(super) fn chain(mut parts: Vec<Vec<Fix>>) -> (Vec<Fix>, Option<Order>) {
    parts.retain(|part| !part.is_empty());
    let near =
        |end: Option<&Fix>, part: &[Fix]| apart(end, part.first()).min(apart(end, part.last()));
    let mut turned = 0;
    if let [first, second, ..] = parts.as_mut_slice()
        && near(first.first(), second) < near(first.last(), second)
    {
        first.reverse();
        turned += 1;
    }
    let count = parts.len();
    let mut order = None;
    let mut whole: Vec<Fix> = Vec::new();
    for k in 0..count {
        let end = whole.last();
        if end.is_some() && order.is_none() {
            let gap = near(end, &parts[k]);
            let others = parts[k + 1..].iter().take(LOOKED_AT);
            let other = || others.map(|part| near(end, part));
            if gap > APART && other().fold(f64::INFINITY, f64::min) < NEARER * gap {
                order = Some(Order::Apart(gap));
            }
        }
        let part = &mut parts[k];
        if apart(end, part.last()) < apart(end, part.first()) {
            part.reverse();
            turned += 1;
        }
        whole.append(part);
    }
    let backwards = (count > 1 && turned == count).then_some(Order::Backwards);
    (whole, order.or(backwards))
}

/// Metres between two fixes; without end where one is none.
fn apart(a: Option<&Fix>, b: Option<&Fix>) -> f64 {
    match (a.map(|f| f.place), b.map(|f| f.place)) {
        (Some(Place::LatLon(a)), Some(Place::LatLon(b))) => {
            let (x, y) = crate::venue::path::geodesy::step(a, b);
            x.hypot(y)
        }
        _ => f64::INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::path::geodesy::LatLon;

    /// Thirty thousand parts that all lie apart are looked through once: pairs of them all would be 900 million.
    #[test]
    fn many_parts_that_lie_apart_are_done_with() {
        let at = |i: u32, m: f64| Fix {
            place: Place::LatLon(LatLon {
                lat: 45.0 + 0.0008 * f64::from(i) + m / 111_000.0,
                lon: 7.0,
            }),
            height: None,
            time: None,
        };
        let parts = (0..30_000).map(|i| vec![at(i, 0.0), at(i, 5.0)]).collect();
        let (whole, order) = chain(parts);
        assert_eq!((whole.len(), order), (60_000, None));
    }
}
