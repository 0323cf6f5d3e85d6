//! What a file itself says of correction: in the heading of what was measured, or in a line above the table.

use crate::dyno::Standard;

/// A heading or a line that says that figures are corrected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Claim {
    /// The standards that its word may stand for; none where it names none.
    pub to: &'static [Standard],
}

impl Claim {
    /// The standard to write in a test day, as an example where none is named.
    pub fn example(&self) -> &'static str {
        self.to.first().map_or("SAE J1349", |first| first.name())
    }
}

/// Words, or two together, that name a standard whatever stands beside them.
const CODES: [(&str, &[Standard]); 6] = [
    ("j1349", &[Standard::SaeJ1349]),
    ("j607", &[Standard::SaeJ607]),
    ("iso1585", &[Standard::Iso1585]),
    ("r85", &[Standard::UnR85]),
    ("801269", &[Standard::Eec80_1269]),
    ("70020", &[Standard::Din70020, Standard::Din70020Dry]),
];

/// Words that name one beside a figure or a word of correction (common practice, no source): oil is SAE too.
const SHORT: [(&str, &[Standard]); 6] = [
    ("sae", &[Standard::SaeJ1349, Standard::SaeJ607]),
    ("std", &[Standard::SaeJ607]),
    ("iso", &[Standard::Iso1585]),
    ("eec", &[Standard::Eec80_1269]),
    ("din", &[Standard::Din70020, Standard::Din70020Dry]),
    ("jis", &[Standard::JisD1001]),
];

/// Words that take it back.
const NOT: [&str; 12] = [
    "no", "not", "none", "off", "without", "non", "false", "0", "raw", "ohne", "nicht", "keine",
];

/// Words of a heading that say the same.
const MEASURED: [&str; 4] = ["gem", "gemessen", "measured", "uncorr"];

/// What a heading says, its unit behind its name.
pub fn in_heading(heading: &str) -> Option<Claim> {
    let words = words(heading);
    let horses = |word: &str| matches!(word, "ps" | "hp" | "bhp");
    // DIN horsepower is a unit.
    let unit = |pair: &[String]| pair[0] == "din" && horses(&pair[1]);
    if denied(&words) || words.windows(2).any(unit) {
        return None;
    }
    let named = named(&words, &SHORT).or_else(|| named(&words, &CODES));
    let corrected = words.iter().any(|word| says_corrected(word));
    (named.is_some() || corrected).then(|| Claim {
        to: named.unwrap_or_default(),
    })
}

/// What a line beside a table says.
pub fn in_line(line: &str) -> Option<Claim> {
    let words = words(line);
    let corrected = words.iter().any(|word| says_corrected(word));
    let code = named(&words, &CODES);
    let by_one = |word: &String| word.parse() == Ok(1.0);
    if denied(&words) || words.iter().any(by_one) || !(corrected || code.is_some()) {
        return None;
    }
    let to = code.or_else(|| named(&words, &SHORT));
    Some(Claim {
        to: to.unwrap_or_default(),
    })
}

/// Whether a word of a heading says something of correction, or is part of a standard's name.
pub fn is_of_correction(word: &str) -> bool {
    let number = ["1349", "607", "1585", "70020", "80", "1269", "85"].contains(&word);
    let in_list = |list: &[(&str, &[Standard])]| list.iter().any(|(name, _)| *name == word);
    number
        || in_list(&SHORT)
        || in_list(&CODES)
        || says_corrected(word)
        || NOT.contains(&word)
        || MEASURED.contains(&word)
}

/// Whether a heading says that figures are not corrected.
pub fn is_denied(heading: &str) -> bool {
    let words = words(heading);
    denied(&words) || words.iter().any(|word| MEASURED.contains(&word.as_str()))
}

/// The words of a heading or a line, in lower case.
pub fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !(c.is_alphanumeric() || c == '.'));
    let whole = parts.map(|part| part.trim_matches('.').to_lowercase());
    let whole = whole.filter(|word| !word.is_empty());
    whole
        .flat_map(|word| glued(&word).unwrap_or(vec![word]))
        .collect()
}

/// The words of one such as `TqDIN` or `CorrTq`: a quantity or its unit, and what it is corrected to.
fn glued(word: &str) -> Option<Vec<String>> {
    const SAY: [&str; 9] = [
        "corr", "korr", "sae", "std", "din", "iso", "eec", "jis", "j1349",
    ];
    const OF: [&str; 15] = [
        "tq",
        "trq",
        "torque",
        "drehmoment",
        "moment",
        "couple",
        "power",
        "pwr",
        "leistung",
        "hp",
        "bhp",
        "whp",
        "ps",
        "kw",
        "nm",
    ];
    let two = |first: &str, then: &str| Some(vec![first.to_owned(), then.to_owned()]);
    SAY.iter().find_map(|say| {
        let behind = word.strip_suffix(say).filter(|rest| OF.contains(rest));
        let before = word.strip_prefix(say).filter(|rest| OF.contains(rest));
        behind
            .and_then(|rest| two(rest, say))
            .or_else(|| two(say, before?))
    })
}

fn named(words: &[String], list: &[(&str, &'static [Standard])]) -> Option<&'static [Standard]> {
    let together = words.windows(2).map(|pair| pair.concat());
    let mut all = words.iter().cloned().chain(together);
    let of = |word: String| list.iter().find(|(name, _)| *name == word);
    all.find_map(of).map(|(_, to)| *to)
}

fn says_corrected(word: &str) -> bool {
    let stems = ["correct", "corrig", "korrig", "korrekt"];
    let short = word.ends_with("corr") || word.ends_with("korr");
    short || stems.iter().any(|stem| word.contains(stem))
}

fn denied(words: &[String]) -> bool {
    let undone = |word: &&String| word.starts_with("un") && says_corrected(word);
    words
        .iter()
        .any(|word| NOT.contains(&word.as_str()) || undone(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Headings as operators and exports write them (common practice, no source).
    #[test]
    fn headings_that_say_so_are_known() {
        let first = |heading: &str| in_heading(heading).map(|claim| claim.to.first().copied());
        for plain in [
            "Torque corr (Nm)",
            "Corrected (Nm)",
            "Drehmoment korr. (Nm)",
            "TqCorr",
            "CorrTq (Nm)",
        ] {
            assert_eq!(first(plain), Some(None), "{plain}");
        }
        assert_eq!(first("SAE torque"), Some(Some(Standard::SaeJ1349)));
        assert_eq!(first("STD (hp)"), Some(Some(Standard::SaeJ607)));
        for din in ["Power DIN (kW)", "TqDIN (Nm)", "Torque (Nm) DIN"] {
            assert_eq!(first(din), Some(Some(Standard::Din70020)), "{din}");
        }
        for none in [
            "torque (Nm)",
            "torque uncorrected (Nm)",
            "Torque uncorr",
            "torque, not corrected",
            "DIN hp",
            "Leistung (DIN PS)",
            "DINPS",
            "correlated torque",
        ] {
            assert_eq!(first(none), None, "{none}");
        }
    }

    #[test]
    fn lines_that_say_so_are_known() {
        let first = |line: &str| in_line(line).map(|claim| claim.to.first().copied());
        assert_eq!(
            first("# corrected to SAE J1349"),
            Some(Some(Standard::SaeJ1349))
        );
        assert_eq!(first("Correction: STD"), Some(Some(Standard::SaeJ607)));
        assert_eq!(first("Norm;ISO 1585"), Some(Some(Standard::Iso1585)));
        assert_eq!(first("# to 80/1269/EEC"), Some(Some(Standard::Eec80_1269)));
        assert_eq!(first("Norm;DIN 70020"), Some(Some(Standard::Din70020)));
        assert_eq!(first("# correction factor 1.021"), Some(None));
        for none in [
            "# oil SAE 10W-40",
            "# correction: none",
            "# correction factor 1.000",
            "# as read, not corrected",
            "# the corresponding run",
            "# std manifold, run 1585",
        ] {
            assert_eq!(first(none), None, "{none}");
        }
    }
}
