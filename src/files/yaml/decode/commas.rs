//! Commas that were meant for decimals where they part entries.

use super::Item;
use crate::files::finding::quoted;
use crate::files::yaml::tree::{Entry, Node, Value};

impl Item<'_> {
    /// Whether one comma without a blank parts it from the entry that follows it in its list.
    pub fn is_joined_to(&self, next: &Item) -> bool {
        are_joined(self.node, next.node)
    }

    /// Whether a key is the rest of a number whose comma was meant for decimals: then that is told.
    pub(super) fn cut_decimal(&self, entries: &[Entry], index: usize) -> bool {
        let entry = &entries[index];
        let item = self.under(entry);
        let digit = entry.key.starts_with(|c: char| c.is_ascii_digit());
        if !(entry.in_braces && item.is_empty() && digit) {
            return false;
        }
        let before = index
            .checked_sub(1)
            .map(|before| &entries[before].value.value);
        let (number, thousands) = match before {
            Some(Value::Scalar(whole)) if is_whole(whole) => (
                format!("{whole}.{}", entry.key),
                is_group(whole, &entry.key).then(|| format!("{whole}{}", entry.key)),
            ),
            _ => ("0.35 s".to_owned(), None),
        };
        let text = format!(
            "{} stands alone: a comma in braces parts entries",
            quoted(&entry.key)
        );
        let remedy = match thousands {
            Some(whole) => format!(
                "write thousands without a comma, as in {}, and decimals with a point, as in {}",
                quoted(&whole),
                quoted(&number)
            ),
            None => format!("write decimals with a point, as in {}", quoted(&number)),
        };
        item.error_at_key(text, remedy);
        true
    }
}

/// Whether what stands behind the comma may be three figures of thousands.
fn is_group(whole: &str, rest: &str) -> bool {
    let figures = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    (1..=3).contains(&figures(whole)) && whole != "0" && figures(rest) == 3
}

/// Whether a scalar may be the whole part of a number.
fn is_whole(text: &str) -> bool {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
}

fn are_joined(one: &Node, next: &Node) -> bool {
    let (a, b) = (one.mark, next.mark);
    a.line == b.line && a.column + a.width + 1 == b.column
}

/// The first of the decimals that a list of whole numbers was most likely meant to hold, as in
/// `[2,94, 1,94]`: pairs without a blank inside, and blanks between them. Numbers that rise or fall
/// throughout are taken as they stand.
pub fn cut_decimals(nodes: &[Node]) -> Option<String> {
    let digits = |node: &Node| match &node.value {
        Value::Scalar(text) if text.bytes().all(|b| b.is_ascii_digit()) => text.parse().ok(),
        _ => None,
    };
    if nodes.len() < 4 || nodes.len() % 2 == 1 {
        return None;
    }
    let numbers: Vec<f64> = nodes.iter().map(digits).collect::<Option<_>>()?;
    let joined = |pair: &[Node]| are_joined(&pair[0], &pair[1]);
    let paired = nodes.chunks(2).all(joined) && !nodes[1..].chunks_exact(2).any(joined);
    let rises = numbers.is_sorted();
    let falls = numbers.iter().rev().is_sorted();
    let word = |node: &Node| match &node.value {
        Value::Scalar(text) => text.clone(),
        _ => String::new(),
    };
    (paired && !rises && !falls).then(|| format!("{}.{}", word(&nodes[0]), word(&nodes[1])))
}
