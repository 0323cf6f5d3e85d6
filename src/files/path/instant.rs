//! Instants as recorders write them.

/// Seconds since 1970 of an instant in the profile of ISO 8601 that GPX uses, such as
/// `2024-05-01T10:20:30.25Z`; also with a blank for the T, an offset for the Z, or neither.
pub fn instant(text: &str) -> Option<f64> {
    let text = text.trim();
    let (date, rest) = text.split_once(['T', 't', ' '])?;
    let mut parts = date.split('-');
    let (year, month, day) = (
        number(parts.next()?)?,
        number(parts.next()?)?,
        number(parts.next()?)?,
    );
    if parts.next().is_some() || !(1..=12).contains(&month) {
        return None;
    }
    let next_month = match month {
        12 => days(year + 1, 1, 1),
        _ => days(year, month + 1, 1),
    };
    if !(1..=next_month - days(year, month, 1)).contains(&day) {
        return None;
    }
    let (clock, offset) = match rest.find(['Z', 'z', '+', '-']) {
        Some(at) => (&rest[..at], offset(&rest[at..])?),
        None => (rest, 0.0),
    };
    let mut parts = clock.split(':');
    let (hour, minute) = (number(parts.next()?)?, number(parts.next()?)?);
    let second: f64 = parts.next().map_or(Some(0.0), |s| s.parse().ok())?;
    let sane =
        (0..24).contains(&hour) && (0..60).contains(&minute) && (0.0..61.0).contains(&second);
    // ISO 8601-1 writes the end of a day as 24:00:00 too.
    let sane = sane || (hour, minute) == (24, 0) && second == 0.0;
    if parts.next().is_some() || !sane {
        return None;
    }
    let seconds = (hour * 3600 + minute * 60) as f64 + second;
    Some(days(year, month, day) as f64 * 86_400.0 + seconds - offset)
}

fn number(text: &str) -> Option<i64> {
    let digits = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
    if digits { text.parse().ok() } else { None }
}

/// Seconds east of Greenwich.
fn offset(text: &str) -> Option<f64> {
    if text.eq_ignore_ascii_case("z") {
        return Some(0.0);
    }
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let text = &text[1..];
    let (hours, minutes) = match text.split_once(':') {
        Some((hours, minutes)) => (number(hours)?, number(minutes)?),
        None if text.len() == 4 && text.is_ascii() => (number(&text[..2])?, number(&text[2..])?),
        None => (number(text)?, 0),
    };
    Some(sign * (hours * 3600 + minutes * 60) as f64)
}

/// Days since 1970 of a date of the Gregorian calendar.
fn days(year: i64, month: i64, day: i64) -> i64 {
    // Years that begin in March have their leap day at the end.
    let (y, m) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    let leaps = y.div_euclid(4) - y.div_euclid(100) + y.div_euclid(400);
    365 * y + leaps + (153 * m + 2) / 5 + day - 1 - 719_468
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_count_from_1970() {
        assert_eq!(instant("1970-01-01T00:00:00Z"), Some(0.0));
        // 30 years of 365 days with the leap days of 1972 to 1996.
        assert_eq!(
            instant("2000-01-01T00:00:00Z"),
            Some((30.0 * 365.0 + 7.0) * 86_400.0)
        );
        assert_eq!(
            instant("2000-03-01 00:00"),
            Some((30.0 * 365.0 + 7.0 + 60.0) * 86_400.0)
        );
        assert_eq!(instant("1970-01-01T01:00:00.25+01:00"), Some(0.25));
        assert_eq!(instant("1970-01-01T00:00:00-0130"), Some(5400.0));
        let day = |text: &str| instant(text).map(|s| s / 86_400.0);
        assert_eq!(day("2024-02-29T00:00:00Z"), day("2024-02-28T24:00:00Z"));
        assert!(day("2000-02-29T00:00:00Z").is_some());
        assert_eq!(day("2023-12-31T24:00Z"), day("2024-01-01T00:00Z"));
    }

    #[test]
    fn what_is_no_instant_is_none() {
        for text in [
            "",
            "2024-02-31T00:00:00Z",
            "2023-02-29T00:00:00Z",
            "2100-02-29T00:00:00Z",
            "2024-04-31T00:00:00Z",
            "2024-12-32T00:00:00Z",
            "2024-01-00T00:00:00Z",
            "2024-01-01T24:00:01Z",
            "10:20:30",
            "2024-13-01T00:00:00Z",
            "2024-01-01T25:00:00Z",
            "2024-01-01",
            "T",
        ] {
            assert_eq!(instant(text), None, "{text}");
        }
    }
}
