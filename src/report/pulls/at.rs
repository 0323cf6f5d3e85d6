//! What every spec makes at engine speeds that were asked for, and by how much they differ there.

use super::{Sheet, bracketed, in_lines, kilowatts, lines};
use crate::dyno::{Interval, Stretch};
use crate::report::format::{decimal, thousands};
use crate::report::table::{Grid, Side};
use crate::units::{HORSEPOWER, RPM_PER_RAD_PER_S};

/// What a spec makes at one engine speed.
pub struct AtSpeed {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Index of the spec.
    pub spec: usize,
    /// Its torque, N·m; `None` where it was not measured.
    pub torque: Option<Interval>,
    /// That less the torque of the spec beside, N·m; `None` where either was not measured, and of that spec itself.
    pub gain: Option<Interval>,
}

impl AtSpeed {
    /// Power, W.
    pub fn power(&self) -> Option<f64> {
        Some(self.torque?.value * self.rpm / RPM_PER_RAD_PER_S)
    }
}

/// Every spec at every engine speed that was asked for.
pub fn at_speeds(sheet: &Sheet) -> Vec<AtSpeed> {
    let reduced = sheet.reduced;
    let reaches = |spec: usize, rpm: f64| reduced.specs[spec].curve.reaches(rpm);
    let of = |rpm: f64, spec: usize| {
        let point = Stretch {
            from_rpm: rpm,
            to_rpm: rpm,
        };
        let both = spec != sheet.beside && reaches(spec, rpm) && reaches(sheet.beside, rpm);
        AtSpeed {
            rpm,
            spec,
            torque: reaches(spec, rpm).then(|| reduced.torque(spec, rpm)),
            gain: both.then(|| reduced.gain(spec, sheet.beside, point).torque),
        }
    };
    let all = sheet.at.iter();
    all.flat_map(|&rpm| (0..reduced.specs.len()).map(move |spec| of(rpm, spec)))
        .collect()
}

/// One row for each engine speed and spec.
pub fn table(sheet: &Sheet) -> String {
    const NAME_WIDTH: usize = 24;
    let less = format!(
        "N·m more than\n{}",
        in_lines(sheet.name_of(sheet.beside), NAME_WIDTH)
    );
    let mut grid = Grid::new(&[
        ("at\nrpm", Side::Right),
        ("\nspec", Side::Left),
        ("\nN·m", Side::Right),
        ("\nkW", Side::Right),
        ("\nbhp", Side::Right),
        (&less, Side::Right),
        ("\n±", Side::Right),
    ]);
    let mut last = f64::NAN;
    let or_none = |cell: Option<String>| cell.unwrap_or_else(|| "-".to_owned());
    for one in at_speeds(sheet) {
        let again = one.rpm == last;
        last = one.rpm;
        let beside = one.spec == sheet.beside;
        let half = |gain: Interval| decimal(0.5 * (gain.high - gain.low), 1);
        let gain = one
            .gain
            .map(|gain| bracketed(&gain, sheet.is_in_question()));
        let own = |cell: Option<String>| if beside { String::new() } else { or_none(cell) };
        grid.row(&[
            if again {
                String::new()
            } else {
                thousands(one.rpm)
            },
            in_lines(sheet.name_of(one.spec), NAME_WIDTH),
            or_none(one.torque.map(|torque| decimal(torque.value, 1))),
            or_none(one.power().map(kilowatts)),
            or_none(one.power().map(|power| decimal(power / HORSEPOWER, 0))),
            own(gain),
            own(one.gain.map(half)),
        ]);
    }
    let brackets = match sheet.is_in_question() {
        true => "in question",
        false => "not resolved by these pulls",
    };
    let note = format!(
        "At these engine speeds, ± 95 % of one speed alone (t, refits reckoned with); in brackets: {brackets}; \
         - where it was not measured."
    );
    format!("{}{}", grid.text(0), lines(&note, ""))
}
