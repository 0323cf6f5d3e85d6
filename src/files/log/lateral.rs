//! Headings of acceleration across the road, in the abbreviations that loggers use.

use crate::files::table::{Table, folded};
use crate::units;

/// Words for across the road, `y` by the axes of ISO 8855 (from memory).
const ACROSS: &[&str] = &["lateral", "lat", "y", "transverse"];
/// Whole names of it, as they are folded.
const ALONE: &[&str] = &[
    "lateral",
    "querbeschleunigung",
    "accélérationlatérale",
    "dwarsversnelling",
    "accelerazionelaterale",
    "aceleraciónlateral",
    "sidoacceleration",
    "příčnézrychlení",
];
/// What tells how a road bends and is not read.
const UNREAD: &[&str] = &[
    "yaw",
    "gyro z",
    "heading",
    "gps heading",
    "course",
    "bearing",
    "radius",
    "gps radius",
    "curvature",
];

/// Words for acceleration.
const ACCELERATION: &[&str] = &[
    "acceleration",
    "accelerometer",
    "accel",
    "acc",
    "gforce",
    "a",
    "g",
];
/// Before or behind them, where the acceleration comes from.
const FROM: &[&str] = &["gps", "imu", "vehicle", "car", "chassis", "inline"];

/// The column of acceleration across the road: an accelerometer's before a receiver's.
pub(super) fn column(table: &Table) -> Option<usize> {
    let of = |own: &dyn Fn(&str) -> bool| {
        let mut names = table.columns.iter().map(|column| folded(&column.name));
        names.position(|name| own(&name))
    };
    // `lat_g` is a name and its unit.
    let by_unit = || {
        let of_unit = |unit: &str| units::ACCELERATION.unit(unit).is_some();
        let columns = table.columns.iter().enumerate();
        let mut fitting =
            columns.filter(|(_, column)| ACROSS.contains(&folded(&column.name).as_str()));
        let column = fitting.find(|(_, column)| column.unit.as_deref().is_some_and(of_unit));
        column.map(|(index, _)| index)
    };
    of(&|name| ALONE.contains(&name))
        .or_else(by_unit)
        .or_else(|| of(&is_one))
        .or_else(|| of(&|name| is_one(without_source(name))))
}

/// Whether a heading that is not read speaks of acceleration across the road.
pub(super) fn speaks_of_it(heading: &str) -> bool {
    let name = folded(heading);
    let words: Vec<String> = heading
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .collect();
    let across = words.iter().any(|word| word == "lat") || name.contains("lateral");
    let acceleration = words.iter().any(|word| word == "g" || word == "gs") || name.contains("acc");
    let joined = name.contains("latacc") || name.contains("acclat");
    (across && acceleration || joined) && !name.contains("accuracy")
}

/// One word of each kind, in either order, perhaps with the unit behind them.
fn is_one(name: &str) -> bool {
    // A gyroscope's, about the axis across the car.
    if name == "gy" {
        return false;
    }
    let parts = |name: &str| {
        ACROSS.iter().any(|across| {
            let rest = name.strip_prefix(across).or(name.strip_suffix(across));
            rest.is_some_and(|rest| ACCELERATION.contains(&rest))
        })
    };
    parts(name) || name.strip_suffix('g').is_some_and(parts)
}

fn without_source(name: &str) -> &str {
    let stripped = FROM
        .iter()
        .find_map(|from| name.strip_prefix(from).or(name.strip_suffix(from)));
    stripped.unwrap_or(name)
}

/// Columns that tell how the road bends and are not read; `read` is the one that is.
pub(super) fn unread(table: &Table, read: Option<usize>) -> Vec<String> {
    let named = UNREAD.iter().filter_map(|name| table.find(&[*name]));
    let across = (0..table.columns.len())
        .filter(|column| read != Some(*column) && speaks_of_it(&table.columns[*column].name));
    named
        .chain(across)
        .map(|column| table.columns[column].name.clone())
        .collect()
}

/// Fewest rows at rest that tell what a gyroscope reads there (common practice, no source).
const AT_REST: usize = 10;
/// Slower than this a car stands, m/s: what pulses of a wheel resolve.
const STANDS: f64 = 0.1;
/// Rates, rad/s, from which what is taken off is worth a word: 0.1 degrees a second.
const TOLD: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// Takes off rates of yaw, rad/s, what they are in the mean while the car stands, where it turns by nothing; gives it
/// where that is worth a word.
pub(super) fn at_rest<'r>(rates: impl Iterator<Item = &'r mut f64>, speed: &[f64]) -> Option<f64> {
    let rates: Vec<&mut f64> = rates.collect();
    let rest: Vec<f64> = (rates.iter().zip(speed))
        .filter(|(_, speed)| **speed < STANDS)
        .map(|(rate, _)| **rate)
        .collect();
    if rest.len() < AT_REST {
        return None;
    }
    let zero = rest.iter().sum::<f64>() / rest.len() as f64;
    rates.into_iter().for_each(|rate| *rate -= zero);
    (zero.abs() > TOLD).then_some(zero)
}

#[cfg(test)]
mod tests {
    use super::{at_rest, folded, is_one, speaks_of_it, without_source};

    #[test]
    fn what_a_gyroscope_reads_at_rest_is_taken_off() {
        let speed: Vec<f64> = (0..40).map(|i| if i < 20 { 0.0 } else { 15.0 }).collect();
        let rates = |zero: f64| -> Vec<f64> {
            (0..40)
                .map(|i| {
                    zero + if i < 20 {
                        0.001 * f64::from(i % 2)
                    } else {
                        0.3
                    }
                })
                .collect()
        };
        let mut off = rates(0.02);
        let zero = at_rest(off.iter_mut(), &speed).unwrap();
        assert!((zero - 0.0205).abs() < 1e-12, "{zero}");
        assert!((off[30] - 0.2995).abs() < 1e-12, "{}", off[30]);
        assert_eq!(at_rest(rates(0.0).iter_mut(), &speed), None);
        // A flying lap stands nowhere.
        assert_eq!(at_rest(rates(0.02).iter_mut(), &[15.0; 40]), None);
    }

    #[test]
    fn usual_abbreviations_are_read() {
        for heading in [
            "Lateral acc",
            "Lateral Acc.",
            "lat. acc.",
            "Lat acc",
            "LatAcc",
            "Lateral accel",
            "acc lat",
            "Accel Y",
            "Acc_Y",
            "G Lat",
            "lat g",
            "Lateral G",
            "G-Force Lat",
            "ay",
            "Lateral acceleration",
            "Acceleration lateral",
            "Lateral acc g",
            "GPS LatAcc",
            "Acceleration Y",
            "Lat Accel",
        ] {
            assert!(is_one(without_source(&folded(heading))), "{heading}");
        }
    }

    #[test]
    fn other_columns_are_not() {
        for heading in [
            "Latitude",
            "Lat",
            "Acc X",
            "Longitudinal acc",
            "Gyro Y",
            "Accuracy",
            "Vertical acc",
            "Gear",
            "Long g",
            "Y",
            "Yaw",
            "GPS latitude",
        ] {
            assert!(!is_one(without_source(&folded(heading))), "{heading}");
            assert!(!speaks_of_it(heading), "{heading}");
        }
        assert!(!speaks_of_it("Lat accuracy"));
        for heading in ["Lateral acc corrected", "Sensor 2 lat G", "latacc_filtered"] {
            assert!(!is_one(without_source(&folded(heading))), "{heading}");
            assert!(speaks_of_it(heading), "{heading}");
        }
    }
}
