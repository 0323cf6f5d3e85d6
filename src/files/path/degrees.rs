//! Degrees as people write them: `48°12.30'N`, `48° 12' 18" N`, `W 7 30.1`.

use crate::venue::path::geodesy::LatLon;

/// Degrees from parts of sixty; `None` where a text is no such thing, a plain number among them.
pub(in crate::files) fn degrees(text: &str) -> Option<f64> {
    let text = text.trim().trim_matches('"').trim();
    let (sign, rest) = hemisphere(text);
    let (minus, rest) = match rest.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, rest),
    };
    let marked = rest.contains(['°', 'º']);
    if !marked && sign.is_none() {
        return None;
    }
    let marks = |c: char| c.is_whitespace() || "°º'’′\"”″".contains(c);
    let parts: Vec<&str> = rest.split(marks).filter(|part| !part.is_empty()).collect();
    if !(1..=3).contains(&parts.len()) {
        return None;
    }
    let mut value = 0.0;
    for (place, part) in parts.iter().enumerate() {
        let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
        let number: f64 = part
            .chars()
            .all(digits)
            .then(|| part.replace(',', ".").parse().ok())??;
        // Only the last part has decimals, and minutes and seconds end at sixty.
        let sound = place == 0 || number < 60.0;
        let whole = place + 1 == parts.len() || number.fract() == 0.0;
        (sound && whole).then_some(())?;
        value += number / 60_f64.powi(place as i32);
    }
    Some(sign.unwrap_or(1.0) * minus * value)
}

/// Whether a value that went through radians is a whole number, and too large for minutes.
fn is_count(value: f64) -> bool {
    value.abs() > 20_000.0 && (value - value.round()).abs() < 1e-3
}

/// What would make latitudes and longitudes right of which most are none: another way to write them.
pub(in crate::files) fn meant(places: &[LatLon]) -> Option<String> {
    let none = |at: &&LatLon| at.lat.abs() > 90.0 || at.lon.abs() > 180.0;
    let first = places.iter().find(none)?;
    if 2 * places.iter().filter(none).count() < places.len() {
        return None;
    }
    let fits = |degrees: &dyn Fn(f64) -> Option<f64>| {
        places.iter().all(|at| {
            let within = |value: f64, most: f64| degrees(value).is_some_and(|d| d.abs() <= most);
            within(at.lat, 90.0) && within(at.lon, 180.0)
        })
    };
    if places.iter().all(|at| is_count(at.lat) && is_count(at.lon)) {
        let parts = [
            (1e6, "millionths", "1,000,000"),
            (1e7, "ten-millionths", "10,000,000"),
        ];
        let part = parts
            .iter()
            .find(|(parts, ..)| fits(&|value| Some(value / parts)));
        return part.map(|(parts, name, number)| {
            let degrees = first.lat / parts;
            format!("are these {name} of a degree? divide them by {number}, as in `{degrees:.7}`")
        });
    }
    let minutes = |value: f64| value.abs() % 100.0;
    let whole = |value: f64| (value / 100.0).trunc();
    let of_arc = fits(&|value| Some(value / 60.0)).then(|| {
        let degrees = first.lat / 60.0;
        format!("minutes of arc? divide them by 60, as in `{degrees:.7}`")
    });
    if fits(&|value| (minutes(value) < 60.0).then(|| whole(value))) {
        let or = of_arc.map_or(String::new(), |of_arc| format!("; or {of_arc}"));
        return Some(format!(
            "are these degrees and minutes in one number (ddmm.mmmm)? write them as in `{}°{:.5}'`{or}",
            whole(first.lat),
            minutes(first.lat)
        ));
    }
    of_arc.map(|of_arc| format!("are these {of_arc}"))
}

/// The sign of the letter at either end, where there is one, and the rest.
fn hemisphere(text: &str) -> (Option<f64>, &str) {
    let sign = |c: char| match c.to_ascii_uppercase() {
        'N' | 'E' => Some(1.0),
        'S' | 'W' => Some(-1.0),
        _ => None,
    };
    if let Some(found) = text.chars().next().and_then(sign) {
        return (Some(found), text[1..].trim());
    }
    match text.chars().next_back().and_then(sign) {
        Some(found) => (Some(found), text[..text.len() - 1].trim()),
        None => (None, text),
    }
}

#[cfg(test)]
mod tests {
    use super::degrees;

    /// 12.5 minutes are 0.208333°, 18 seconds 0.005°: sixty to each, as everywhere.
    #[test]
    fn parts_of_sixty_are_degrees() {
        let near = |text: &str, wanted: f64| {
            let found = degrees(text).unwrap_or(f64::NAN);
            assert!((found - wanted).abs() < 1e-9, "{text}: {found}");
        };
        near("48°12.5'N", 48.0 + 12.5 / 60.0);
        near("48° 12' 18\" N", 48.205);
        near("W 7 30,6", -7.51);
        near("-7°30'", -7.5);
        near("33.9 S", -33.9);
        for none in [
            "48.2",
            "-7.5",
            "lat",
            "N",
            "48°72'N",
            "48°12.5'18\"N",
            "1 2 3 4 N",
            "",
        ] {
            assert_eq!(degrees(none), None, "{none}");
        }
    }
}
