//! Hemispheres that a heading of degrees names, and columns of their letters: field 3 of the sentence GGA of NMEA 0183
//! is N or S behind a latitude, field 5 E or W behind a longitude (from memory).

use super::points::{LAT, LON};
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::table::{Table, folded};

/// Latitudes or longitudes.
pub(super) struct Axis {
    what: &'static str,
    above: char,
    below: char,
}

pub(super) const LATITUDES: Axis = Axis {
    what: "latitude",
    above: 'N',
    below: 'S',
};
pub(super) const LONGITUDES: Axis = Axis {
    what: "longitude",
    above: 'E',
    below: 'W',
};

/// The hemisphere that is written where a unit stands: `N`, `°W`, `deg S`.
pub(in crate::files) fn letter(unit: &str) -> Option<char> {
    let unit = unit.trim();
    // Small and without a blank it is the plural.
    if unit == "degs" {
        return None;
    }
    let unit = unit.to_lowercase();
    let degrees = ["degrees", "degree", "deg", "°", "º"];
    let rest = degrees.iter().find_map(|word| unit.strip_prefix(word));
    match rest.unwrap_or(&unit).trim_matches(['.', ' ', '_', '-']) {
        "n" | "north" => Some('N'),
        "s" | "south" => Some('S'),
        "e" | "east" => Some('E'),
        "w" | "west" => Some('W'),
        _ => None,
    }
}

/// Whether both hemispheres of an axis stand where a unit does, as in `Latitude (N/S)`: signs tell which, or
/// letters beside the figures.
pub(in crate::files) fn names_both(unit: &str) -> bool {
    let unit = unit.to_lowercase();
    let words = unit.split(|c: char| !c.is_alphabetic());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    matches!(
        words[..],
        ["n", "s"] | ["ns"] | ["e", "w"] | ["ew"] | ["north", "south"] | ["east", "west"]
    )
}

/// Whether a column of this name holds latitudes or longitudes.
pub(in crate::files) fn is_place(name: &str) -> bool {
    let name = folded(name);
    LAT.iter().chain(LON).any(|known| folded(known) == name)
}

/// Whether a column holds letters of hemispheres.
pub(in crate::files) fn are_letters(table: &Table, column: usize) -> bool {
    holds(table, column, &LATITUDES) || holds(table, column, &LONGITUDES)
}

/// The letter in a cell; `None` for any other cell.
fn of_cell(cell: &str) -> Option<char> {
    let mut letters = cell.chars();
    let first = letters.next().filter(|_| letters.next().is_none())?;
    Some(first.to_ascii_uppercase())
}

fn holds(table: &Table, column: usize, axis: &Axis) -> bool {
    let filled = || (0..table.height()).filter(|&row| !table.is_empty(row, column));
    let fits = |row: usize| {
        let letter = of_cell(table.cell(row, column));
        letter.is_some_and(|letter| letter == axis.above || letter == axis.below)
    };
    filled().all(fits) && filled().next().is_some()
}

/// Gives degrees the sign of the letters in the column beside them, or of the one in their heading.
pub(super) fn signed(
    table: &Table,
    column: usize,
    axis: &Axis,
    angles: &mut [f64],
    findings: &mut Findings,
) -> Option<()> {
    let beside = [column + 1, column.wrapping_sub(1)];
    let letters = beside
        .into_iter()
        .find(|&beside| beside < table.columns.len() && holds(table, beside, axis));
    match letters {
        Some(letters) => by_letters(table, (column, letters), axis, angles, findings),
        None => by_heading(table, column, axis, angles, findings),
    }
}

fn by_letters(
    table: &Table,
    (column, letters): (usize, usize),
    axis: &Axis,
    angles: &mut [f64],
    findings: &mut Findings,
) -> Option<()> {
    let written = |row: usize| of_cell(table.cell(row, letters));
    // Rows without one are as those before them.
    let mut letter = (0..table.height()).find_map(written);
    let mut turned = false;
    for (row, angle) in angles.iter_mut().enumerate() {
        letter = written(row)
            .filter(|_| !table.is_empty(row, letters))
            .or(letter);
        if letter == Some(axis.below) {
            turned |= *angle > 0.0;
            *angle = -angle.abs();
        } else if *angle < 0.0 {
            let text = format!("a {} below zero beside `{}`", axis.what, axis.above);
            let finding = table.finding(Severity::Error, table.mark(row, column), text);
            findings.push(finding.remedy(format!(
                "where it is `{}` write that; where the sign counts take the column of letters out",
                axis.below
            )));
            return None;
        }
    }
    if turned {
        let heading = quoted(&table.heading(letters));
        let text = format!(
            "{heading} tells hemispheres: `{}` is below zero",
            axis.below
        );
        findings.push(table.assumed(axis.what, table.columns[letters].mark, text));
    }
    Some(())
}

fn by_heading(
    table: &Table,
    column: usize,
    axis: &Axis,
    angles: &mut [f64],
    findings: &mut Findings,
) -> Option<()> {
    let unit = table.columns[column].unit.as_deref();
    let (heading, mark) = (quoted(&table.heading(column)), table.columns[column].mark);
    if unit.is_some_and(names_both) && angles.iter().all(|angle| *angle >= 0.0) {
        let text = format!(
            "{heading}: figures without a sign, and no letters beside them, are `{}`",
            axis.above
        );
        findings.push(table.assumed(axis.what, mark, text));
    }
    let Some(letter) = unit.and_then(letter) else {
        return Some(());
    };
    if letter == axis.below {
        let text = match angles.iter().all(|angle| *angle >= 0.0) {
            true => {
                angles.iter_mut().for_each(|angle| *angle = -*angle);
                format!(
                    "{heading}: every {} is in `{letter}`, below zero",
                    axis.what
                )
            }
            false => format!("{heading}: the signs of the figures count, below zero is `{letter}`"),
        };
        findings.push(table.assumed(axis.what, mark, text));
    } else if letter != axis.above {
        let text = format!("{heading}: `{letter}` is no hemisphere of a {}", axis.what);
        let finding = table.finding(Severity::Error, mark, text);
        findings.push(finding.remedy(format!(
            "write `{}` or `{}`, or `deg` for degrees of which `{}` is below zero",
            axis.above, axis.below, axis.below
        )));
        return None;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::path::points;
    use crate::files::source::Source;
    use crate::venue::path::Place;

    /// The places of a table, or what is said.
    fn read(text: &str) -> (Vec<(f64, f64)>, String) {
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("run.csv", text), &mut findings).unwrap();
        let fixes = points::fixes(&table, &mut findings).unwrap_or_default();
        let place = |place| match place {
            Place::LatLon(at) => (1e4 * at.lat, 1e4 * at.lon),
            Place::Plane(..) => (f64::NAN, f64::NAN),
        };
        let round = |(lat, lon): (f64, f64)| (lat.round() / 1e4, lon.round() / 1e4);
        let places = fixes.iter().map(|fix| round(place(fix.place))).collect();
        let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
        (places, said.join("\n"))
    }

    #[test]
    fn headings_name_hemispheres() {
        for (heading, lat, lon) in [
            ("Latitude (N),Longitude (E)", 48.3, 31.2),
            ("Latitude (N),Longitude (W)", 48.3, -31.2),
            ("lat [deg S],lon [deg E]", -48.3, 31.2),
            ("Latitude °N,Longitude °W", 48.3, -31.2),
            ("Latitude S,Longitude_W", -48.3, -31.2),
            ("Latitude (deg) (N),Longitude (deg) (W)", 48.3, -31.2),
            ("lat,lon\ndeg N,deg W", 48.3, -31.2),
            ("lat (degs),lon (degs)", 48.3, 31.2),
        ] {
            let (places, said) = read(&format!("{heading}\n48.3,31.2\n48.4,31.3\n"));
            assert_eq!(places.first(), Some(&(lat, lon)), "{heading}: {said}");
            let turned = said.matches("below zero").count();
            let wanted = usize::from(lat < 0.0) + usize::from(lon < 0.0);
            assert_eq!(turned, wanted, "{heading}: {said}");
        }
        // Both hemispheres tell nothing: signs do, and where there are none it is said what is taken.
        let (places, said) = read("Latitude (N/S),Longitude (E/W)\n48.3,-31.2\n48.4,-31.3\n");
        assert_eq!(places[0], (48.3, -31.2), "{said}");
        assert!(
            said.contains("are `N`") && !said.contains("are `E`"),
            "{said}"
        );
        // Figures that have their signs keep them.
        let (places, said) = read("Latitude (N),Longitude (W)\n48.3,-31.2\n48.4,-31.3\n");
        assert_eq!(places[0], (48.3, -31.2));
        assert!(said.contains("the signs of the figures count"), "{said}");
        let (places, said) = read("Latitude (E),Longitude (N)\n48.3,31.2\n48.4,31.3\n");
        assert!(places.is_empty());
        assert!(
            said.contains("`E` is no hemisphere of a latitude"),
            "{said}"
        );
    }

    #[test]
    fn letters_beside_degrees_are_their_signs() {
        let rows = |a: &str, b: &str| {
            format!("lat,N/S,lon,E/W\n48°18.0',{a},31°12.0',{b}\n48°18.6',{a},31°12.6',{b}\n")
        };
        let (places, said) = read(&rows("S", "w"));
        assert_eq!(places, [(-48.3, -31.2), (-48.31, -31.21)], "{said}");
        assert!(said.contains("`E/W` tells hemispheres"), "{said}");
        let (places, said) = read(&rows("N", "E"));
        assert_eq!(places, [(48.3, 31.2), (48.31, 31.21)], "{said}");
        assert_eq!(said, "");
        let signed = rows("N", "W").replace(",31°", ",-31°");
        assert_eq!(read(&signed).0[1], (48.31, -31.21));
        let (places, said) = read(&rows("N", "E").replace(",31°", ",-31°"));
        assert!(places.is_empty());
        assert!(said.contains("a longitude below zero beside `E`"), "{said}");
    }
}
