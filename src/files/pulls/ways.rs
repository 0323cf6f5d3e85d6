//! A step test that goes up and comes down again, or the other way round: both ways count, and may disagree.

use crate::dyno::Rows;

/// Fewest rows of each way.
const FEWEST: usize = 4;
/// Share of the first way through which the second goes at least.
const FAR: f64 = 0.5;
/// Shares of torque by which the ways lie apart in the mean, and one row off both, before that is told (common
/// practice, no source).
const APART: f64 = 0.02;
const ONE_OFF: f64 = 0.06;

/// Index of the first row of the second way; `None` where the rows are no two ways.
pub fn turn(rpm: &[f64]) -> Option<usize> {
    let (first, last) = (rpm.first()?, rpm.last()?);
    let sign = (rpm.get(1)? - first).signum();
    let goes = |sign: f64| move |pair: &&[f64]| sign * (pair[1] - pair[0]) >= 0.0;
    let end = rpm.windows(2).take_while(goes(sign)).count();
    let long = end + 1 >= FEWEST && rpm.len() > end + FEWEST;
    let back = rpm[end..].windows(2).all(|pair| goes(-sign)(&pair));
    let far = (last - rpm[end]).abs() >= FAR * (rpm[end] - first).abs();
    (long && back && far).then_some(end + 1)
}

/// The row at which to tell that two ways do not agree, and what.
pub fn disagree(rows: &Rows, turn: usize) -> Option<(usize, String, &'static str)> {
    let rises = rows.rpm[turn - 1] > rows.rpm[0];
    let (one, other) = if rises {
        ("up", "down")
    } else {
        ("down", "up")
    };
    let off: Vec<(usize, f64)> = (turn..rows.rpm.len())
        .filter_map(|row| Some((row, rows.torque[row] / on_way_out(rows, turn, row)? - 1.0)))
        .collect();
    let mean = off.iter().map(|(_, off)| off).sum::<f64>() / off.len().max(1) as f64;
    let side = |off: f64| if off < 0.0 { "below" } else { "above" };
    if mean.abs() > APART {
        let text = format!(
            "torque on the way {other} is {:.1} % {} that on the way {one}: both count",
            100.0 * mean.abs(),
            side(mean)
        );
        let remedy =
            "where the engine got hotter or was not settled, keep the rows of the way that counts";
        return Some((turn, text, remedy));
    }
    let worst = off.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let &(row, off) = Some(worst).filter(|worst| worst.1.abs() > ONE_OFF)?;
    let text = format!(
        "torque on the way {other} is {:.0} % {} that on the way {one} at {:.0} rpm: a slip of the pen?",
        100.0 * off.abs(),
        side(off),
        rows.rpm[row]
    );
    let remedy = "look at the sheet again; at the other speeds the two ways agree";
    Some((row, text, remedy))
}

/// Torque on the way out at the engine speed of a row of the way back, between the rows around it.
fn on_way_out(rows: &Rows, turn: usize, row: usize) -> Option<f64> {
    let at = rows.rpm[row];
    (1..turn).find_map(|i| {
        let (a, b) = (rows.rpm[i - 1], rows.rpm[i]);
        let within = a != b && (at - a) * (at - b) <= 0.0;
        let share = (at - a) / (b - a);
        within.then(|| rows.torque[i - 1] + share * (rows.torque[i] - rows.torque[i - 1]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_ways_have_one_turn() {
        let up = [2500.0, 3000.0, 3500.0, 4000.0, 4500.0];
        let of = |more: &[f64]| turn(&[&up[..], more].concat());
        assert_eq!(of(&[4500.0, 4000.0, 3500.0, 3000.0, 2500.0]), Some(6));
        assert_eq!(of(&[4250.0, 3750.0, 3250.0, 2750.0]), Some(5));
        let down: Vec<f64> = up.iter().map(|rpm| 7000.0 - rpm).collect();
        assert_eq!(
            turn(&[&down[..], &down.iter().rev().copied().collect::<Vec<_>>()].concat()),
            Some(6)
        );
        // A second pull, a row out of place, a short way back, one way alone.
        assert_eq!(of(&up), None);
        assert_eq!(of(&[4000.0, 4600.0, 4700.0, 4800.0, 4900.0]), None);
        assert_eq!(of(&[4400.0, 4300.0, 4200.0, 4100.0]), None);
        assert_eq!(of(&[]), None);
    }

    #[test]
    fn ways_that_disagree_are_told() {
        let up = [
            (2500.0, 140.0),
            (3000.0, 150.0),
            (3500.0, 160.0),
            (4000.0, 170.0),
            (4500.0, 175.0),
        ];
        let said = |times: [f64; 5]| {
            let down = up.iter().rev().zip(times);
            let down = down.map(|((rpm, torque), times)| (*rpm, torque * times));
            let (rpm, torque) = up.iter().copied().chain(down).unzip();
            let rows = Rows {
                rpm,
                torque,
                ..Rows::default()
            };
            disagree(&rows, turn(&rows.rpm).unwrap()).map(|(row, text, _)| (row, text))
        };
        assert_eq!(said([1.0, 1.01, 0.99, 1.01, 0.99]), None);
        let text = "torque on the way down is 3.0 % below that on the way up: both count";
        assert_eq!(said([0.97; 5]).unwrap().1, text);
        let (row, text) = said([1.0, 1.0, 0.92, 1.0, 1.0]).unwrap();
        assert!(
            row == 7 && text.contains("8 % below that on the way up at 3500 rpm"),
            "{row} {text}"
        );
    }
}
