//! The known word nearest to a misspelt one.

/// The candidate that `word` most likely stands for; `None` where none is near.
///
/// Counts insertions, deletions, substitutions and swapped neighbours; case, hyphens and spaces do
/// not count.
pub fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    all_nearest(word, candidates).first().copied()
}

/// The question whether one of the nearest candidates was meant.
pub fn meant_by<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<String> {
    let near = all_nearest(word, candidates);
    let names: Vec<String> = near
        .iter()
        .take(3)
        .map(|name| format!("`{name}`"))
        .collect();
    (!names.is_empty()).then(|| format!("did you mean {}?", names.join(" or ")))
}

/// The candidates at the least distance.
fn all_nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let wanted = folded(word);
    if wanted.is_empty() || wanted.len() > 64 {
        return Vec::new();
    }
    let near: Vec<(usize, &str)> = candidates
        .filter(|candidate| candidate.len() <= 128)
        .map(|candidate| (distance(&wanted, &folded(candidate)), candidate))
        .filter(|(d, _)| *d <= wanted.len().div_ceil(3))
        .collect();
    let least = near.iter().map(|(d, _)| *d).min();
    near.iter()
        .filter(|(d, _)| Some(*d) == least)
        .map(|(_, name)| *name)
        .collect()
}

fn folded(word: &str) -> Vec<char> {
    word.chars()
        .map(|c| if matches!(c, '-' | ' ') { '_' } else { c })
        .flat_map(char::to_lowercase)
        .collect()
}

/// Optimal string alignment distance.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut two_back: Vec<usize> = Vec::new();
    let mut back: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = back[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = change.min(back[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(two_back[j - 2] + 1);
            }
        }
        two_back = std::mem::replace(&mut back, row);
    }
    back[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_what_was_meant() {
        let known = ["mass", "rev_limit", "drag_area", "final_drive"];
        let near = |word| nearest(word, known.into_iter());
        assert_eq!(near("mas"), Some("mass"));
        assert_eq!(near("rev limit"), Some("rev_limit"));
        assert_eq!(near("Rev-Limt"), Some("rev_limit"));
        assert_eq!(near("darg_area"), Some("drag_area"));
        assert_eq!(near("colour"), None);
        assert_eq!(near(""), None);
        let tied = meant_by("tires", ["tyre", "trims", "mass"].into_iter());
        assert_eq!(tied.as_deref(), Some("did you mean `tyre` or `trims`?"));
    }

    #[test]
    fn counts_swapped_neighbours_once() {
        let chars = |s: &str| s.chars().collect::<Vec<_>>();
        assert_eq!(distance(&chars("darg"), &chars("drag")), 1);
        assert_eq!(distance(&chars(""), &chars("abc")), 3);
        assert_eq!(distance(&chars("kitten"), &chars("sitting")), 3);
    }
}
