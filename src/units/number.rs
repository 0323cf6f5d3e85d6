//! The number at the front of a written quantity.

/// Why a text does not begin with a number.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NumberFault {
    /// No digits where a number should begin.
    #[error("`{0}` does not begin with a number")]
    NoNumber(String),
    /// A comma or a space that could part thousands as well as decimals.
    #[error("`{written}` can be read as {decimal} or as {grouped}")]
    Ambiguous {
        /// As written.
        written: String,
        /// Read with a decimal comma.
        decimal: String,
        /// Read with thousands parted.
        grouped: String,
    },
    /// Thousands parted by a comma, a dot or a space.
    #[error("`{written}` has its thousands parted")]
    Grouped {
        /// As written.
        written: String,
        /// Without the separators.
        plain: String,
    },
    /// Not a number, or infinite, or too large to hold.
    #[error("`{0}` is not a finite number")]
    NotFinite(String),
}

/// The number at the front of `text` and what follows it, trimmed.
///
/// Takes a sign (the typographic minus too), a decimal point or comma, and an exponent. A comma
/// before exactly three digits is refused unless a zero stands before it, because `1,080` is one
/// thing in one country and another in the next.
///
/// # Errors
/// No number, an infinite one, or separators that can be read in two ways.
pub fn number(text: &str) -> Result<(f64, &str), NumberFault> {
    let text = text.trim();
    if let Some(word) = not_finite_word(text) {
        return Err(NumberFault::NotFinite(word.to_owned()));
    }
    let length = number_length(text);
    let (written, rest) = text.split_at(length);
    if !written.contains(|c: char| c.is_ascii_digit()) {
        return Err(NumberFault::NoNumber(text.to_owned()));
    }
    check_separators(written, rest)?;
    let plain = written.replace('−', "-").replace(',', ".");
    let value: f64 = plain
        .parse()
        .map_err(|_| NumberFault::NoNumber(text.to_owned()))?;
    if !value.is_finite() {
        return Err(NumberFault::NotFinite(written.to_owned()));
    }
    Ok((value, rest.trim()))
}

fn not_finite_word(text: &str) -> Option<&str> {
    let word = text.split_whitespace().next()?;
    let bare = word.trim_start_matches(['+', '-', '−', '.']);
    let known = ["nan", "inf", "infinity", "infinite", "∞"];
    known
        .iter()
        .any(|k| bare.eq_ignore_ascii_case(k))
        .then_some(word)
}

/// Bytes of `text` that look like a number, separators included.
fn number_length(text: &str) -> usize {
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    if let Some(&(_, c)) = chars.peek()
        && matches!(c, '+' | '-' | '−')
    {
        end = c.len_utf8();
        chars.next();
    }
    let mut digits = false;
    while let Some(&(i, c)) = chars.peek() {
        let follows = text[i + c.len_utf8()..].starts_with(|n: char| n.is_ascii_digit());
        let takes = match c {
            '0'..='9' => true,
            '.' => follows || digits,
            ',' => follows,
            _ => false,
        };
        if !takes {
            break;
        }
        digits |= c.is_ascii_digit();
        end = i + c.len_utf8();
        chars.next();
    }
    if digits {
        end + exponent_length(&text[end..])
    } else {
        end
    }
}

fn exponent_length(rest: &str) -> usize {
    let Some(tail) = rest.strip_prefix(['e', 'E']) else {
        return 0;
    };
    let digits = tail.strip_prefix(['+', '-']).unwrap_or(tail);
    let count = digits.bytes().take_while(u8::is_ascii_digit).count();
    if count == 0 {
        return 0;
    }
    rest.len() - digits.len() + count
}

fn check_separators(written: &str, rest: &str) -> Result<(), NumberFault> {
    let marks = written.matches([',', '.']).count();
    let spaced: String = rest
        .chars()
        .skip_while(|c| c.is_whitespace() || *c == '\'')
        .take_while(char::is_ascii_digit)
        .collect();
    if marks > 1 || spaced.len() == 3 {
        let joined = format!("{written}{spaced}");
        let shown = if spaced.is_empty() {
            written.to_owned()
        } else {
            format!("{written} {spaced}")
        };
        return Err(NumberFault::Grouped {
            written: shown,
            plain: ungrouped(&joined),
        });
    }
    let unsigned = written.trim_start_matches(['+', '-', '−']);
    if let Some((whole, part)) = unsigned.split_once(',')
        && part.len() == 3
        && (1..=3).contains(&whole.len())
        && !whole.trim_start_matches('0').is_empty()
    {
        return Err(NumberFault::Ambiguous {
            written: written.to_owned(),
            decimal: written.replace(',', "."),
            grouped: written.replace(',', ""),
        });
    }
    Ok(())
}

/// The number without its thousands separators: the last mark is the decimal one unless all marks
/// are alike.
fn ungrouped(text: &str) -> String {
    let last = text.rfind([',', '.']);
    let all_alike = !(text.contains(',') && text.contains('.'));
    let single = text.matches([',', '.']).count() == 1;
    text.char_indices()
        .filter_map(|(i, c)| match c {
            ',' | '.' if Some(i) == last && (!all_alike || single) => Some('.'),
            ',' | '.' => None,
            _ => Some(c),
        })
        .collect()
}

/// A number, its thousands parted or not, and the unit behind it, as `2 400` and `rpm` of `2 400 rpm`; where no known
/// unit stands there, all of the text.
pub fn apart(text: &str) -> (&str, &str) {
    let text = text.trim();
    let at = match number(text) {
        Ok((_, rest)) => Some(text.len() - rest.len()),
        Err(_) => text.find(|c: char| c.is_alphabetic() || matches!(c, '%' | '°')),
    };
    let (number, unit) = text.split_at(at.unwrap_or(text.len()));
    match super::unit(unit).is_some() {
        true => (number.trim_end(), unit),
        false => (text, ""),
    }
}

/// A whole number whose thousands are parted, as `2,500`, `2 500.5` or `1'234'567`, and what parts
/// them; `None` for everything else.
pub fn grouped(text: &str) -> Option<(f64, char)> {
    let (whole, decimals) = match text.split_once('.') {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (text, None),
    };
    let parts = [',', ' ', '\'', '\u{2019}', '\u{a0}', '\u{202f}'];
    let mark = whole.chars().find(|c| parts.contains(c))?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let mut groups = whole.split(mark);
    let first = groups.next()?.trim_start_matches('-');
    let sound = digits(first)
        && first.len() <= 3
        && !first.starts_with('0')
        && groups.all(|group| group.len() == 3 && digits(group))
        && decimals.is_none_or(digits);
    let plain = text.replace(mark, "");
    sound
        .then(|| plain.parse().ok())
        .flatten()
        .map(|value| (value, mark))
}

/// The same where points part thousands and a comma the decimals, as `2.500` or `1.234,5`.
pub fn grouped_by_points(text: &str) -> Option<f64> {
    let turned: String = text
        .chars()
        .map(|c| match c {
            '.' => ',',
            ',' => '.',
            other => other,
        })
        .collect();
    grouped(&turned)
        .filter(|(_, mark)| *mark == ',')
        .map(|(value, _)| value)
}

/// A count with its noun: `1 event`, `3 events`.
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// A number for people: three significant digits, or all before the point, without trailing zeros.
pub fn plain(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let decimals = (2 - value.abs().log10().floor() as i32).clamp(0, 9) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
