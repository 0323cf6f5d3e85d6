//! Words as a command line takes them back.

/// A path as a command line takes it back: as a word, and never as an option.
pub fn shell_path(path: &str) -> String {
    match path.starts_with('-') {
        true => shell_word(&format!("./{path}")),
        false => shell_word(path),
    }
}

/// A word as a shell takes it back: in quotes where it needs them. Double ones, which every system's
/// shells take, where nothing in it means something within them; a backslash alone does not.
pub fn shell_word(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./".contains(c);
    let means = |c: char| "$`\"!%".contains(c) || c.is_control();
    let escapes = word.contains("\\\\") || word.ends_with('\\');
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else if !word.contains(means) && !escapes {
        format!("\"{word}\"")
    } else {
        format!("'{}'", word.replace('\'', "'\\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shell_takes_words_back() {
        assert_eq!(shell_word("tracks/lane.yaml"), "tracks/lane.yaml");
        assert_eq!(shell_word("-x"), "-x");
        assert_eq!(shell_path("-x"), "./-x");
        assert_eq!(shell_path("-o x"), "\"./-o x\"");
        assert_eq!(shell_path("Mill Lane"), "\"Mill Lane\"");
        assert_eq!(shell_path("C:\\rally\\my car"), "\"C:\\rally\\my car\"");
        assert_eq!(shell_path("it's"), "\"it's\"");
        assert_eq!(shell_path("a $b"), "'a $b'");
        assert_eq!(shell_path("a\\"), "'a\\'");
        assert_eq!(shell_word("Mill Lane"), "\"Mill Lane\"");
        assert_eq!(shell_word("Farmer's $"), "'Farmer'\\''s $'");
    }
}
