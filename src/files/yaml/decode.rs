//! The collecting decoder: cursors over a node tree that record findings and go on.

mod commas;
mod places;

use std::cell::RefCell;
use std::path::{Path, PathBuf};

use self::commas::cut_decimals;
use super::tree::{self, Entry, Node, Value};
use crate::files::finding::{Finding, Findings, Position, Severity, quoted};
use crate::files::kind::no_yaml;
use crate::files::nearest::meant_by;
use crate::files::source::{Mark, Source, YAML_LIMIT};

/// Reads a YAML file through `reader`. `None` where the file has a fault: then at least one error
/// was added to `findings`. Findings of the file are added in its order.
pub fn read<T>(
    path: &Path,
    findings: &mut Findings,
    reader: impl FnOnce(Item<'_>) -> Option<T>,
) -> Option<T> {
    let source = Source::read(path, YAML_LIMIT, findings)?;
    decode(source, findings, reader)
}

/// Blanks as pages and word processors write them, which YAML takes for letters, as plain ones.
fn with_plain_spaces(source: Source) -> Source {
    const ODD: [char; 3] = ['\u{a0}', '\u{2007}', '\u{202f}'];
    match source.text.contains(ODD) {
        true => Source::new(source.path, source.text.replace(ODD, " ")),
        false => source,
    }
}

/// As [`read`], from a text already in memory.
pub fn decode<T>(
    source: Source,
    findings: &mut Findings,
    reader: impl FnOnce(Item<'_>) -> Option<T>,
) -> Option<T> {
    let source = with_plain_spaces(source);
    let mut found = Findings::new();
    if let Some(finding) = no_yaml(&source) {
        findings.push(finding);
        return None;
    }
    let Some(root) = tree::parse(&source, &mut found) else {
        findings.append(found);
        return None;
    };
    let document = Document {
        source,
        found: RefCell::new(found),
    };
    let item = Item {
        document: &document,
        node: &root,
        name: "",
        key_mark: Mark::default(),
    };
    let value = reader(item);
    let mut found = document.found.into_inner();
    if value.is_none() && !found.has_errors() {
        // A reader that gives up without a word would leave the person without one.
        let text = "this file cannot be used";
        found.push(
            document
                .source
                .finding(Severity::Error, Mark::default(), text),
        );
    }
    let sound = !found.has_errors();
    found.sort();
    findings.append(found);
    value.filter(|_| sound)
}

/// Most findings of one file; a person mends the first few and looks again.
pub(super) const MOST_FINDINGS: usize = 200;

/// A file while it is being read.
struct Document {
    source: Source,
    found: RefCell<Findings>,
}

/// One value of the file, with the name it goes by in messages.
///
/// Every reading method returns `None` after recording what was wrong.
#[derive(Clone, Copy)]
pub struct Item<'a> {
    document: &'a Document,
    node: &'a Node,
    name: &'a str,
    key_mark: Mark,
}

impl<'a> Item<'a> {
    /// The key it stands under, or the key of the list it stands in; empty for the whole file.
    pub fn name(&self) -> &'a str {
        self.name
    }

    /// The name in a message.
    pub(super) fn called(&self) -> String {
        if self.name.is_empty() {
            "this file".to_owned()
        } else {
            self.name.to_owned()
        }
    }

    /// The file being read.
    pub fn path(&self) -> &'a Path {
        &self.document.source.path
    }

    /// `written` as a path from the folder of the file being read.
    pub fn beside(&self, written: &str) -> PathBuf {
        self.path().parent().unwrap_or(Path::new("")).join(written)
    }

    /// Its place in the file, for findings made elsewhere.
    pub fn position(&self) -> Position {
        let Mark { line, column, .. } = self.node.mark;
        Position {
            path: self.path().to_owned(),
            line,
            column,
        }
    }

    /// A finding at this value, not yet recorded: see [`Item::push`].
    pub fn finding(&self, severity: Severity, text: impl Into<String>) -> Finding {
        self.document.source.finding(severity, self.node.mark, text)
    }

    /// Whether anything that stops the work was found in this file so far.
    pub fn has_errors(&self) -> bool {
        self.document.found.borrow().has_errors()
    }

    /// Notes the files that were read for a list of findings.
    pub fn opened_for(&self, found: &Findings) {
        self.document.found.borrow_mut().opened_for(found);
    }

    /// Records a finding; the same one twice counts once, and so does the same assumption.
    pub fn push(&self, finding: Finding) {
        let mut found = self.document.found.borrow_mut();
        let assumed = finding.severity == Severity::Assumed;
        let same = |f: &Finding| {
            *f == finding || assumed && f.key == finding.key && f.text == finding.text
        };
        if found.iter().any(same) {
            return;
        }
        if found.len() == MOST_FINDINGS {
            let text =
                format!("this file has more than {MOST_FINDINGS} faults; these are the first");
            let whole = Mark::default();
            found.push(self.document.source.finding(Severity::Error, whole, text));
        }
        if found.len() < MOST_FINDINGS {
            found.push(finding);
        }
    }

    /// Records a fault at this value, with what would be right.
    pub fn error(&self, text: impl Into<String>, remedy: impl Into<String>) {
        self.push(self.finding(Severity::Error, text).remedy(remedy));
    }

    /// Records a fault at the key of this value, with what would be right.
    pub fn error_at_key(&self, text: impl Into<String>, remedy: impl Into<String>) {
        let source = &self.document.source;
        self.push(
            source
                .finding(Severity::Error, self.key_mark, text)
                .remedy(remedy),
        );
    }

    /// Records a warning at this value.
    pub fn warning(&self, text: impl Into<String>, remedy: impl Into<String>) {
        self.push(self.finding(Severity::Warning, text).remedy(remedy));
    }

    /// Records a question at this value whose answer decides what is worked out.
    pub fn ask(&self, text: impl Into<String>, remedy: impl Into<String>) {
        let question = self.finding(Severity::Warning, text).remedy(remedy);
        self.push(question.deciding());
    }

    /// Records what was filled in for `key`, which is missing under this value.
    pub fn assumed(&self, key: &str, text: impl Into<String>) {
        let source = &self.document.source;
        let mut finding = source.finding(Severity::Assumed, self.key_mark, text);
        finding.key = Some(key.to_owned());
        finding.excerpt = None;
        self.push(finding);
    }

    /// Whether nothing is written.
    pub fn is_empty(&self) -> bool {
        self.node.value == Value::Null
    }

    /// Whether it is a list.
    pub fn is_list(&self) -> bool {
        matches!(self.node.value, Value::List(_))
    }

    /// Whether it is a mapping.
    pub fn is_mapping(&self) -> bool {
        matches!(self.node.value, Value::Map(_))
    }

    /// The word, number or text as written, where it is one; records nothing.
    pub fn word(&self) -> Option<&'a str> {
        match &self.node.value {
            Value::Scalar(text) => Some(text.trim()),
            _ => None,
        }
    }

    /// The word, number or text as written; anything else is a fault, `wanted` saying what belongs
    /// here, such as ``a mass, as in `960 kg` ``.
    pub fn scalar(&self, wanted: &str) -> Option<&'a str> {
        let word = self.word();
        if word.is_none() {
            self.mismatch(wanted);
        }
        word
    }

    fn mismatch(&self, wanted: &str) {
        let found = match &self.node.value {
            Value::Null => {
                return self.error_at_key(
                    format!("{} has no value", self.called()),
                    format!("write {wanted}"),
                );
            }
            Value::Scalar(text) => quoted(text),
            Value::List(_) => "a list".to_owned(),
            Value::Map(_) => "a mapping of keys".to_owned(),
        };
        let text = format!("{} is {found}", self.called());
        self.error(text, format!("write {wanted}"));
    }

    /// The items of a list.
    pub fn list(&self) -> Option<Vec<Item<'a>>> {
        match &self.node.value {
            Value::List(nodes) => {
                if let Some(number) = cut_decimals(nodes) {
                    let text = format!("a comma parts entries: {} are read here", nodes.len());
                    let remedy =
                        format!("if decimals are meant, write them with a point, as in `{number}`");
                    self.warning(text, remedy);
                }
                Some(nodes.iter().map(|node| self.inside(node)).collect())
            }
            _ => {
                self.mismatch("a list, as in `[first, second]`");
                None
            }
        }
    }

    /// The items of a list, or the one value that stands in its place.
    pub fn one_or_more(&self) -> Vec<Item<'a>> {
        match &self.node.value {
            Value::List(nodes) => nodes.iter().map(|node| self.inside(node)).collect(),
            Value::Null => {
                self.mismatch("a value or a list");
                Vec::new()
            }
            _ => vec![*self],
        }
    }

    fn inside(&self, node: &'a Node) -> Item<'a> {
        Item {
            node,
            key_mark: node.mark,
            ..*self
        }
    }

    /// A mapping whose keys the user names: its values, each named by its key.
    pub fn entries(&self) -> Option<Vec<Item<'a>>> {
        match &self.node.value {
            Value::Map(entries) => {
                let whole = |index: &usize| !self.cut_decimal(entries, *index);
                let indices = (0..entries.len()).filter(whole);
                Some(indices.map(|index| self.under(&entries[index])).collect())
            }
            _ => {
                self.mismatch("keys with their values, as in `{first: 1, second: 2}`");
                None
            }
        }
    }

    fn under(&self, entry: &'a Entry) -> Item<'a> {
        Item {
            document: self.document,
            node: &entry.value,
            name: &entry.key,
            key_mark: entry.key_mark,
        }
    }

    /// A mapping with the keys of `known`; any other key is refused, with the nearest known one.
    #[cfg_attr(test, track_caller)]
    pub fn mapping(&self, known: &'static [&'static str]) -> Option<Map<'a>> {
        self.mapping_where(known, &[])
    }

    /// The same where other keys that people write are `told` what to write in their place.
    #[cfg_attr(test, track_caller)]
    pub fn mapping_where(
        &self,
        known: &'static [&'static str],
        told: &[(&str, &str)],
    ) -> Option<Map<'a>> {
        #[cfg(test)]
        super::asked::note(self.path(), known);
        let Value::Map(entries) = &self.node.value else {
            if !self.slip_in_text(known) {
                self.mismatch(&format!("keys with their values: {}", some_of(known)));
            }
            return None;
        };
        for (index, entry) in entries.iter().enumerate() {
            if !known.contains(&entry.key.as_str()) && !self.cut_decimal(entries, index) {
                self.unknown(entry, known, told);
            }
        }
        Some(Map {
            item: *self,
            entries,
            known,
        })
    }

    fn unknown(&self, entry: &Entry, known: &[&str], told: &[(&str, &str)]) {
        let item = self.under(entry);
        let written = entry.key.to_lowercase().replace([' ', '-'], "_");
        let told = told.iter().find(|(key, _)| *key == written);
        if told.is_none() && item.slip_in_key(known) {
            return;
        }
        let text = format!("{} is not a key known here", quoted(&entry.key));
        let remedy = told.map(|(_, remedy)| (*remedy).to_owned());
        let remedy = remedy
            .or_else(|| meant_by(&entry.key, known.iter().copied()))
            .unwrap_or_else(|| format!("known here: {}", some_of(known)));
        item.error_at_key(text, remedy);
    }
}

/// The first few of many keys, for a message.
fn some_of(known: &[&str]) -> String {
    const SHOWN: usize = 12;
    match known.len().saturating_sub(SHOWN) {
        0 => known.join(", "),
        more => format!("{} and {more} more", known[..SHOWN].join(", ")),
    }
}

/// A mapping of known keys.
pub struct Map<'a> {
    item: Item<'a>,
    entries: &'a [Entry],
    known: &'static [&'static str],
}

impl<'a> Map<'a> {
    /// The mapping as a value: its place, and where findings about all of it go.
    pub fn item(&self) -> Item<'a> {
        self.item
    }

    /// The value of a key, where it is written.
    pub fn take(&self, key: &str) -> Option<Item<'a>> {
        debug_assert!(
            self.known.contains(&key),
            "`{key}` is not among the known keys"
        );
        let entry = self.entries.iter().find(|e| e.key == key)?;
        Some(self.item.under(entry))
    }

    /// Whether a key is written.
    pub fn has(&self, key: &str) -> bool {
        self.take(key).is_some()
    }

    /// The value of a key that must be there; `example` is a value to show where it is not.
    pub fn require(&self, key: &str, example: &str) -> Option<Item<'a>> {
        let found = self.take(key);
        if found.is_none() {
            let place = if self.item.name.is_empty() {
                "this file".to_owned()
            } else {
                quoted(self.item.name)
            };
            self.item.error_at_key(
                format!("`{key}` is missing in {place}"),
                format!("add `{key}: {example}`"),
            );
        }
        found
    }

    /// Records what was filled in for a key that is not written.
    pub fn assumed(&self, key: &str, text: impl Into<String>) {
        self.item.assumed(key, text);
    }

    /// The one key of `keys` that is written. Two of them are a fault; so is none, where `example`
    /// says how one of them would be written.
    pub fn either(&self, keys: &[&str], example: Option<&str>) -> Option<Item<'a>> {
        let written: Vec<Item<'a>> = keys.iter().filter_map(|key| self.take(key)).collect();
        if let [first, second, ..] = written.as_slice() {
            second.error_at_key(
                format!(
                    "{} and {} cannot both be given",
                    quoted(first.name),
                    quoted(second.name)
                ),
                "keep one of the two",
            );
        }
        if let (true, Some(example)) = (written.is_empty(), example) {
            let text = format!(
                "one of {} is missing in {}",
                keys.join(", "),
                self.item.called()
            );
            self.item.error_at_key(text, format!("add `{example}`"));
        }
        written.first().copied()
    }
}
