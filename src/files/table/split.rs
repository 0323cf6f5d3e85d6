//! Cutting a line into cells.

use std::ops::Range;

/// The cells of a line as ranges of its bytes, quotation marks and surrounding blanks left out.
///
/// A quoted cell ends with its line; a doubled quotation mark stays doubled, as no number and no
/// name of a column has one.
///
/// Of a line parted by blanks those are two or more wherever it has such: single ones belong to names.
pub fn cells(line: &str, delimiter: char) -> impl Iterator<Item = Range<usize>> + '_ {
    let blanks = delimiter == ' ';
    let begin = match blanks {
        true => line.len() - line.trim_start().len(),
        false => 0,
    };
    let line = if blanks { line.trim_end() } else { line };
    let wide = blanks && line[begin.min(line.len())..].contains("  ");
    let mut rest = Some(begin).filter(|begin| !blanks || *begin < line.len());
    std::iter::from_fn(move || {
        let start = rest?;
        let tail = &line[start..];
        let (length, gap) = match wide {
            true => gap_of_blanks(tail),
            false => (cell_length(tail, delimiter), delimiter.len_utf8()),
        };
        rest = (start + length < line.len()).then_some(start + length + gap);
        Some(trimmed(line, start..start + length))
    })
}

/// Where a run of two blanks or more begins, and how long it is.
fn gap_of_blanks(tail: &str) -> (usize, usize) {
    let Some(at) = tail.find("  ") else {
        return (tail.len(), 0);
    };
    let behind = tail[at..].trim_start_matches(' ');
    (at, tail.len() - at - behind.len())
}

fn cell_length(tail: &str, delimiter: char) -> usize {
    let blank = tail.len() - tail.trim_start_matches([' ', '"']).len();
    if !tail[..blank].contains('"') {
        return tail.find(delimiter).unwrap_or(tail.len());
    }
    let mut quoted = false;
    for (i, c) in tail.char_indices() {
        match c {
            '"' => quoted = !quoted,
            _ if c == delimiter && !quoted => return i,
            _ => {}
        }
    }
    tail.len()
}

fn trimmed(line: &str, range: Range<usize>) -> Range<usize> {
    let cell = &line[range.clone()];
    let bare = cell.trim();
    let bare = bare
        .strip_prefix('"')
        .map(|b| b.strip_suffix('"').unwrap_or(b).trim())
        .unwrap_or(bare);
    let offset = bare.as_ptr() as usize - cell.as_ptr() as usize;
    range.start + offset..range.start + offset + bare.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(line: &str, delimiter: char) -> Vec<&str> {
        cells(line, delimiter).map(|r| &line[r]).collect()
    }

    #[test]
    fn cuts_at_the_delimiter_outside_quotes() {
        assert_eq!(cut("2500, 139.5 ,x", ','), ["2500", "139.5", "x"]);
        assert_eq!(cut("\"1,5\";2; \"a;b\"", ';'), ["1,5", "2", "a;b"]);
        assert_eq!(cut("a,,b,", ','), ["a", "", "b", ""]);
        assert_eq!(cut("", ','), [""]);
        assert_eq!(cut("\"open,1", ','), ["open,1"]);
        assert_eq!(cut("5\" pipe,2", ','), ["5\" pipe", "2"]);
        assert_eq!(cut("\"\",1", ','), ["", "1"]);
        assert_eq!(cut("\"", ','), [""]);
    }
}
