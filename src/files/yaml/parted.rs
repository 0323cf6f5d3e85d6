//! Numbers whose thousands are parted by a comma, a point or a blank, where one reading alone makes sense.

/// The texts that a written quantity can stand for, each with a number that reads in one way: with the
/// mark as decimal, where it may be that, and with the thousands put together. Empty where no three
/// figures follow a mark.
fn readings(text: &str) -> Vec<String> {
    let text = text.trim();
    let start = text.starts_with(['+', '-', '−']);
    let sign = text.chars().next().filter(|_| start);
    let unsigned = sign.map_or(text, |sign| &text[sign.len_utf8()..]);
    let figures = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let first = figures(unsigned);
    let mark = unsigned[first..].chars().next();
    let Some(mark) = mark.filter(|mark| matches!(mark, ',' | '.' | ' ' | '\'' | '\u{2019}')) else {
        return Vec::new();
    };
    if !(1..=3).contains(&first) || unsigned.starts_with('0') {
        return Vec::new();
    }
    let (mut whole, mut rest) = (unsigned[..first].to_owned(), &unsigned[first..]);
    let mut groups = 0;
    while let Some(behind) = rest.strip_prefix(mark)
        && figures(behind) == 3
    {
        whole += &behind[..3];
        rest = &behind[3..];
        groups += 1;
    }
    if groups == 0 || rest.starts_with(mark) && figures(&rest[mark.len_utf8()..]) > 0 {
        return Vec::new();
    }
    let decimals = rest
        .strip_prefix([',', '.'])
        .filter(|behind| figures(behind) > 0);
    let sign = sign.map(String::from).unwrap_or_default();
    let grouped = match decimals {
        Some(decimals) => format!("{sign}{whole}.{decimals}"),
        None => format!("{sign}{whole}{rest}"),
    };
    match groups == 1 && decimals.is_none() && matches!(mark, ',' | '.') {
        true => {
            let decimal = format!("{sign}{}", unsigned.replacen(mark, ".", 1));
            vec![decimal, grouped]
        }
        false => vec![grouped],
    }
}

/// The one reading of a quantity that is `plausible`; `None` where nothing parts thousands, and where
/// several are or none.
pub fn meant(text: &str, plausible: impl Fn(&str) -> bool) -> Option<String> {
    let mut sound = readings(text).into_iter().filter(|text| plausible(text));
    sound.next().filter(|_| sound.next().is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SI brochure (9th edition, 5.4.4, from memory): blanks part thousands, and the decimal mark is a
    /// point or a comma.
    #[test]
    fn both_readings_of_a_mark_before_three_figures() {
        let of = |text: &str| readings(text).join(" | ");
        assert_eq!(of("1,080 kg"), "1.080 kg | 1080 kg");
        assert_eq!(of("7.000 rpm"), "7.000 rpm | 7000 rpm");
        assert_eq!(of("7 000 rpm"), "7000 rpm");
        assert_eq!(of("-1'200"), "-1200");
        assert_eq!(of("1,234.5 kg"), "1234.5 kg");
        assert_eq!(of("1.234,5 kg"), "1234.5 kg");
        assert_eq!(of("1,234,567"), "1234567");
        for other in [
            "0,125", "1,08", "1,0800", "1,080,5", "12", "1234,567", "a", "7 000 5",
        ] {
            assert_eq!(of(other), "", "{other}");
        }
    }

    #[test]
    fn one_reading_counts_where_the_other_makes_no_sense() {
        let above = |least: f64| {
            meant("1,080", move |text| {
                text.parse::<f64>().is_ok_and(|value| value > least)
            })
        };
        assert_eq!(above(50.0).as_deref(), Some("1080"));
        assert_eq!(above(0.5), None);
        assert_eq!(above(5000.0), None);
    }
}
