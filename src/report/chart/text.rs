//! Text in pictures. No font is at hand when a picture is made, so widths are taken on the safe
//! side.

/// Width of a letter over its size, wide enough for the usual sans-serif fonts.
fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' => 0.34,
        't' | 'f' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' => 0.42,
        'm' | 'M' | 'W' | '%' | '@' => 1.0,
        'w' | '<' | '>' | '=' | '+' | '~' | '#' | '_' | '&' => 0.86,
        'A'..='Z' => 0.78,
        c if c.is_ascii() => 0.64,
        '\u{2066}'..='\u{2069}' => 0.0,
        '\u{00a0}'..='\u{1fff}' | '–' | '−' | '→' => 0.72,
        _ => 1.05,
    }
}

/// Width of a text of a size, px, on the safe side.
pub fn width(text: &str, size: f64) -> f64 {
    text.chars().map(letter).sum::<f64>() * size
}

/// A text cut to a width, px, with three dots where something is gone.
pub fn cut(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    let mut used = letter('m') * size;
    for c in text.chars() {
        used += letter(c) * size;
        if used > room {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

/// A text broken at blanks into lines of a width, px; a word that is longer is cut.
pub fn lines(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let word = cut(word, size, room);
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), size) <= room => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// A name whose letters run from right to left, kept from turning the words about it round (Unicode
/// Standard Annex 9: first strong isolate and its end); other names as they are.
pub fn isolated(name: &str) -> String {
    let turns = |c: char| {
        matches!(c, '\u{0590}'..='\u{08ff}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{feff}'
            | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
    };
    if name.chars().any(turns) {
        // Marks in the name itself could end what is put around it.
        let bare = name.replace(
            |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'),
            "",
        );
        format!("\u{2068}{bare}\u{2069}")
    } else {
        name.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_are_cut_to_the_room_there_is() {
        let name = "long manifold ".repeat(20);
        for room in [40.0, 90.0, 300.0] {
            let cut = cut(&name, 12.0, room);
            assert!(width(&cut, 12.0) <= room && cut.ends_with('…'), "{cut}");
        }
        assert_eq!(cut("short", 12.0, 100.0), "short");
    }

    #[test]
    fn lines_hold_all_words_and_keep_their_width() {
        let text = "Which engine spec you want at which venue, by how much, and why";
        let broken = lines(text, 12.0, 120.0);
        assert_eq!(broken.join(" "), text);
        assert!(broken.iter().all(|line| width(line, 12.0) <= 120.0));
    }

    #[test]
    fn names_from_right_to_left_stand_apart() {
        assert_eq!(isolated("long manifold"), "long manifold");
        assert_eq!(isolated("סעפת"), "\u{2068}סעפת\u{2069}");
        assert_eq!(isolated("a\u{202e}b\u{2069}"), "\u{2068}ab\u{2069}");
    }
}
