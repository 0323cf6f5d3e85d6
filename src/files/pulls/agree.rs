//! Whether torque and power of one file say the same, and what it is where they do not.

use crate::files::finding::Severity;
use crate::units::{
    Dimension, HORSEPOWER, METRIC_HORSEPOWER, POUND_FOOT, POWER, RPM_PER_RAD_PER_S,
    STANDARD_GRAVITY, TORQUE, Unit, counted,
};

/// Disagreement that is spoken of, relative.
const SPOKEN_OF: f64 = 0.01;
/// Disagreement that is refused, relative.
const REFUSED: f64 = 0.03;
/// How far a ratio may wander over the rows and count as constant, relative.
const CONSTANT: f64 = 0.005;

/// The columns that are compared, SI, row by row.
pub struct Columns<'a> {
    pub rpm: &'a [f64],
    pub torque: &'a [f64],
    pub power: &'a [f64],
    /// Units of torque and of power as written.
    pub units: (Option<&'a str>, Option<&'a str>),
    /// Whether the headings of torque and of power say that they are corrected.
    pub corrected: (bool, bool),
}

/// A disagreement.
#[derive(Debug, Clone, PartialEq)]
pub struct Disagreement {
    pub severity: Severity,
    /// The row it is worst in.
    pub row: usize,
    pub text: String,
    pub remedy: String,
}

/// Compares torque times speed with power over some rows.
pub fn check(of: &Columns<'_>, rows: &[usize]) -> Option<Disagreement> {
    let ratio = |row: usize| of.torque[row] * of.rpm[row] / RPM_PER_RAD_PER_S / of.power[row];
    if let Some(&row) = rows.iter().find(|&&row| of.power[row] <= 0.0) {
        return Some(Disagreement {
            severity: Severity::Error,
            row,
            text: format!("row {}: torque is above zero and power is not", row + 1),
            remedy: "take out rows where the engine is not pulling".to_owned(),
        });
    }
    let off = |row: &usize| (ratio(*row) - 1.0).abs();
    let worst = *rows.iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
    if off(&worst) <= SPOKEN_OF {
        return None;
    }
    let severity = if off(&worst) > REFUSED {
        Severity::Error
    } else {
        Severity::Warning
    };
    let mut sorted: Vec<f64> = rows.iter().map(|&row| ratio(row)).collect();
    sorted.sort_by(f64::total_cmp);
    let typical = sorted[sorted.len() / 2];
    let constant = rows
        .iter()
        .all(|&row| (ratio(row) / typical - 1.0).abs() < CONSTANT);
    if severity == Severity::Error && changed_over(of, rows) {
        return Some(Disagreement {
            severity,
            row: rows[0],
            text: "torque and power stand under each other's headings: changed over they agree"
                .to_owned(),
            remedy: "change the two headings over".to_owned(),
        });
    }
    let known = if constant {
        known(typical, of.units, of.corrected)
    } else {
        None
    };
    let row = if constant { rows[0] } else { worst };
    let (text, remedy) = known.unwrap_or_else(|| {
        let percent = 100.0 * (ratio(worst) - 1.0);
        let many = rows.iter().filter(|row| off(row) > SPOKEN_OF).count();
        (
            format!(
                "torque times speed and power disagree by {percent:+.1} % in row {}, by more than \
                 1 % in {}",
                worst + 1,
                counted(many, "row")
            ),
            "correct the row, or take out the column that is not to be trusted".to_owned(),
        )
    });
    Some(Disagreement {
        severity,
        row,
        text,
        remedy,
    })
}

/// Whether torque and power agree in every row once the figures of each are read in the unit of the other.
fn changed_over(of: &Columns<'_>, rows: &[usize]) -> bool {
    let (torque, power) = of.units;
    let factor =
        |dimension: &'static Dimension, unit: Option<&str>| Some(dimension.unit(unit?)?.factor);
    let Some((newton_metres, watts)) = factor(&TORQUE, torque).zip(factor(&POWER, power)) else {
        return false;
    };
    let ratio = |row: &usize| {
        let (torque, power) = (of.power[*row] / watts, of.torque[*row] / newton_metres);
        torque * newton_metres * of.rpm[*row] / RPM_PER_RAD_PER_S / (power * watts)
    };
    rows.iter().all(|row| (ratio(row) - 1.0).abs() < REFUSED)
}

/// Compares power with what a brake's reading gives, both W row by row, over some rows: what it was worked out with,
/// or the row that was miscopied.
pub fn brake(
    reading: &[f64],
    power: &[f64],
    constant: f64,
    rows: &[usize],
) -> Option<Disagreement> {
    let ratio = |row: usize| reading[row] / power[row];
    let mut sorted: Vec<f64> = rows.iter().map(|&row| ratio(row)).collect();
    sorted.sort_by(f64::total_cmp);
    let typical = *sorted.get(sorted.len() / 2)?;
    let warn = |row: usize, text: String, remedy: &str| {
        Some(Disagreement {
            severity: Severity::Warning,
            row,
            text,
            remedy: remedy.to_owned(),
        })
    };
    if (typical - 1.0).abs() > SPOKEN_OF {
        let text = format!(
            "power is {:.3} times what the reading gives with the constant {constant}: was it worked out with {:.0}?",
            1.0 / typical,
            constant * typical
        );
        return warn(
            rows[0],
            text,
            "power is read: ask which constant holds for this brake and arm, and take out what does not",
        );
    }
    let off = |row: &usize| (ratio(*row) / typical - 1.0).abs();
    let worst = *rows.iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
    if off(&worst) <= REFUSED {
        return None;
    }
    let text = format!(
        "reading and power disagree by {:+.1} % in row {}",
        100.0 * (ratio(worst) - 1.0),
        worst + 1
    );
    warn(worst, text, "power is read: correct the row")
}

/// What a constant ratio of torque times speed to power gives away, with its remedy.
fn known(
    ratio: f64,
    (torque_unit, unit): (Option<&str>, Option<&str>),
    corrected: (bool, bool),
) -> Option<(String, String)> {
    let torque_unit = torque_unit.unwrap_or_default();
    let near = |wanted: f64| (ratio / wanted - 1.0).abs() < 0.002;
    let unit = unit.unwrap_or_default();
    let say = |text: String, remedy: &str| Some((text, remedy.to_owned()));
    let horses = HORSEPOWER / METRIC_HORSEPOWER;
    if near(1.0 / horses) {
        let text = format!("power is 1.4 % above torque times speed: PS headed as `{unit}`");
        return say(text, "head the column `Power (PS)`; torque is used");
    }
    if near(horses) {
        let text = format!("power is 1.4 % below torque times speed: bhp headed as `{unit}`");
        return say(text, "head the column `Power (bhp)`; torque is used");
    }
    for (factor, says, is) in [
        (POUND_FOOT, "lb-ft", "Nm"),
        (1.0 / POUND_FOOT, "Nm", "lb-ft"),
        (STANDARD_GRAVITY, "kgf·m", "Nm"),
        (1.0 / STANDARD_GRAVITY, "Nm", "kgf·m"),
        (0.1 * STANDARD_GRAVITY, "kgf·m", "daN·m"),
        (10.0 / STANDARD_GRAVITY, "daN·m", "kgf·m"),
    ] {
        // Two per cent may be anything, but between the unit written and its twin.
        let twins = (factor - 1.0).abs() < 0.1;
        if twins && TORQUE.unit(torque_unit).map(Unit::name) != Some(says) {
            continue;
        }
        if near(factor) {
            let text = format!(
                "torque is {ratio:.3} times what power and speed give: {is} headed as {says}"
            );
            return say(text, &format!("head the column `Torque ({is})`"));
        }
    }
    if (1.5..30.0).contains(&ratio) {
        let text = format!(
            "torque is {ratio:.2} times what power and engine speed give: torque at the wheels, \
             through the gears"
        );
        return say(text, "take the torque column out; power is read instead");
    }
    let text = format!(
        "torque times speed is {:+.1} % off power, the same in every row",
        100.0 * (ratio - 1.0)
    );
    let sides = match corrected {
        (true, false) => Some(("torque", "power")),
        (false, true) => Some(("power", "torque")),
        _ => None,
    };
    if let Some((corrected, as_read)) = sides {
        return say(
            format!("{text}: {corrected} is corrected and {as_read} is not"),
            "keep one of the two columns; for the corrected one say to what, as in `corrected: DIN 70020`",
        );
    }
    say(
        text,
        "one of them is scaled or in another unit: correct its heading",
    )
}
