//! YAML text to a tree of nodes that know their places.
//!
//! Built from the parser's events without recursion, within limits on depth, nodes and the nodes
//! that aliases repeat. Only a syntax error or a limit stops at once; repeated keys, tags and keys
//! that are no words are findings, and the tree goes on without them.

use std::collections::HashMap;

use serde_yaml::granit_parser::{self as parser, Event, Parser, ScalarStyle, Span};

use super::decode::MOST_FINDINGS;
use super::syntax;
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::source::{Mark, Source};

/// Deepest nesting of lists and mappings.
const DEEPEST: usize = 32;
/// Most nodes of one file.
const MOST_NODES: usize = 500_000;
/// Most nodes that aliases may repeat.
const MOST_REPEATED: usize = 20_000;

/// One value of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Where it begins.
    pub mark: Mark,
    /// What it is.
    pub value: Value,
}

/// The kinds of value; what a word means is decided by who reads it, so `no` and `1.10` stay as
/// written.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Nothing written, `~` or `null`.
    Null,
    /// A word, a number or a quoted text.
    Scalar(String),
    /// A list.
    List(Vec<Node>),
    /// Keys and values in the order of the file, keys unique.
    Map(Vec<Entry>),
}

/// One key of a mapping with its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The key as written.
    pub key: String,
    /// Where the key is.
    pub key_mark: Mark,
    /// Whether it stands in a mapping written with braces.
    pub in_braces: bool,
    /// Its value.
    pub value: Node,
}

impl Node {
    /// How many nodes it holds, itself included.
    fn size(&self) -> usize {
        match &self.value {
            Value::Null | Value::Scalar(_) => 1,
            Value::List(items) => 1 + items.iter().map(Node::size).sum::<usize>(),
            Value::Map(entries) => 1 + entries.iter().map(|e| e.value.size()).sum::<usize>(),
        }
    }
}

/// The tree of a whole file; `None` after a syntax error or where a limit was passed, with the
/// finding that says so.
pub fn parse(source: &Source, findings: &mut Findings) -> Option<Node> {
    let options = parser::options! {
        disallow_directives: true,
        emit_comments: false,
        flow_nesting_limit: DEEPEST,
        block_nesting_limit: DEEPEST,
    };
    let mut builder = Builder {
        source,
        findings: &mut *findings,
        open: Vec::new(),
        anchors: HashMap::new(),
        root: None,
        nodes: 0,
        repeated: 0,
    };
    for step in Parser::new_from_str_with_options(&source.text, options) {
        let done = match step {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => {
                let finding = syntax::finding(source, &error);
                builder.findings.push(finding);
                None
            }
        };
        done?;
    }
    let root = builder.root.filter(|root| root.value != Value::Null);
    if root.is_none() {
        let finding = source.finding(Severity::Error, Mark::default(), "this file is empty");
        findings.push(finding.remedy("`pullrank new` writes files to start from"));
    }
    root
}

struct Builder<'a> {
    source: &'a Source,
    findings: &'a mut Findings,
    open: Vec<Open>,
    anchors: HashMap<usize, Node>,
    root: Option<Node>,
    nodes: usize,
    repeated: usize,
}

/// A list or mapping that is not finished.
struct Open {
    mark: Mark,
    anchor: usize,
    in_braces: bool,
    kind: Kind,
}

enum Kind {
    List(Vec<Node>),
    Map {
        entries: Vec<Entry>,
        lines: HashMap<String, u32>,
        key: Option<Key>,
    },
}

/// A key that waits for its value; `word` is `None` where it was refused.
struct Key {
    word: Option<String>,
    mark: Mark,
}

impl Builder<'_> {
    /// Takes one event; `None` stops.
    fn take(&mut self, event: Event<'_>, span: Span) -> Option<()> {
        let mark = mark_of(&span);
        if self.findings.len() >= MOST_FINDINGS {
            return self.stop(mark, "there are too many faults to go on from here");
        }
        if let Some(tag) = span.tag_span() {
            self.tag(&tag);
        }
        match event {
            Event::DocumentStart(..) if self.root.is_some() => self.stop(
                mark,
                "`---` begins a second document, and one file holds one document",
            ),
            Event::Scalar(text, style, anchor, _) => {
                self.count(mark)?;
                let null = style == ScalarStyle::Plain && matches!(&*text, "" | "~" | "null");
                let value = if null {
                    Value::Null
                } else {
                    Value::Scalar(text.into_owned())
                };
                self.attach(Node { mark, value }, anchor)
            }
            Event::SequenceStart(style, anchor, _) => {
                self.begin(mark, style, anchor, Kind::List(Vec::new()))
            }
            Event::MappingStart(style, anchor, _) => {
                let map = Kind::Map {
                    entries: Vec::new(),
                    lines: HashMap::new(),
                    key: None,
                };
                self.begin(mark, style, anchor, map)
            }
            Event::SequenceEnd | Event::MappingEnd => self.end(),
            Event::Alias(id) => self.alias(id, mark),
            _ => Some(()),
        }
    }

    fn count(&mut self, mark: Mark) -> Option<()> {
        self.nodes += 1;
        if self.nodes > MOST_NODES {
            let text = format!("this file has more than {MOST_NODES} values");
            return self.stop(mark, &text);
        }
        Some(())
    }

    fn begin(
        &mut self,
        mark: Mark,
        style: parser::StructureStyle,
        anchor: usize,
        kind: Kind,
    ) -> Option<()> {
        self.count(mark)?;
        if self.open.len() >= DEEPEST {
            let text = format!("lists and mappings are nested deeper than {DEEPEST} here");
            return self.stop(mark, &text);
        }
        let in_braces = style == parser::StructureStyle::Flow;
        self.open.push(Open {
            mark: Mark { width: 1, ..mark },
            anchor,
            in_braces,
            kind,
        });
        Some(())
    }

    fn end(&mut self) -> Option<()> {
        let Some(open) = self.open.pop() else {
            return Some(());
        };
        let value = match open.kind {
            Kind::List(items) => Value::List(items),
            Kind::Map { entries, .. } => Value::Map(entries),
        };
        self.attach(
            Node {
                mark: open.mark,
                value,
            },
            open.anchor,
        )
    }

    fn alias(&mut self, id: usize, mark: Mark) -> Option<()> {
        let Some(node) = self.anchors.get(&id).cloned() else {
            return self.stop(mark, "this alias stands inside the value it repeats");
        };
        self.count_repeated(&node, mark)?;
        self.attach(node, 0)
    }

    /// Counts what a named value or its repetition adds to the tree.
    fn count_repeated(&mut self, node: &Node, mark: Mark) -> Option<()> {
        self.repeated += node.size();
        if self.repeated > MOST_REPEATED {
            let text = format!("anchors and aliases repeat more than {MOST_REPEATED} values");
            return self.stop(mark, &text);
        }
        Some(())
    }

    /// Puts a finished node where it belongs.
    fn attach(&mut self, node: Node, anchor: usize) -> Option<()> {
        if anchor > 0 {
            self.count_repeated(&node, node.mark)?;
            self.anchors.insert(anchor, node.clone());
        }
        match self.open.last_mut().map(|open| &mut open.kind) {
            None => self.root = Some(node),
            Some(Kind::List(items)) => items.push(node),
            Some(Kind::Map { key, .. }) => match key.take() {
                None => self.begin_entry(node),
                Some(key) => self.end_entry(key, node),
            },
        }
        Some(())
    }

    /// Keeps a key until its value comes.
    fn begin_entry(&mut self, node: Node) {
        let mark = node.mark;
        let word = match node.value {
            Value::Scalar(word) => Some(word),
            _ => None,
        };
        if word.is_none() {
            self.fault(mark, "a key must be a word", "write `key: value`");
        }
        if let Some(Kind::Map { key, .. }) = self.open.last_mut().map(|open| &mut open.kind) {
            *key = Some(Key { word, mark });
        }
    }

    /// Adds a key with its value, unless the key was refused or is there already.
    fn end_entry(&mut self, key: Key, value: Node) {
        let Key {
            word: Some(word),
            mark,
        } = key
        else {
            return;
        };
        let Some(Open {
            in_braces,
            kind: Kind::Map { entries, lines, .. },
            ..
        }) = self.open.last_mut()
        else {
            return;
        };
        if let Some(line) = lines.get(&word) {
            let text = format!(
                "{} is written a second time; it stands on line {line} already",
                quoted(&word)
            );
            self.fault(mark, &text, "keep one of the two");
            return;
        }
        lines.insert(word.clone(), mark.line);
        entries.push(Entry {
            key: word,
            key_mark: mark,
            in_braces: *in_braces,
            value,
        });
    }

    fn tag(&mut self, tag: &Span) {
        let written = tag.slice(&self.source.text).unwrap_or("!");
        let text = format!(
            "{} is a YAML tag, and tags mean nothing here",
            quoted(written)
        );
        self.fault(mark_of(tag), &text, "leave it out");
    }

    fn fault(&mut self, mark: Mark, text: &str, remedy: &str) {
        let finding = self
            .source
            .finding(Severity::Error, mark, text)
            .remedy(remedy);
        self.findings.push(finding);
    }

    fn stop(&mut self, mark: Mark, text: &str) -> Option<()> {
        let finding = self.source.finding(Severity::Error, mark, text);
        self.findings.push(finding);
        None
    }
}

fn mark_of(span: &Span) -> Mark {
    let (start, end) = (&span.start, &span.end);
    let width = if end.line() == start.line() {
        end.col().saturating_sub(start.col())
    } else {
        1
    };
    Mark {
        line: start.line() as u32,
        column: start.col() as u32 + 1,
        width: width.max(1) as u32,
    }
}
