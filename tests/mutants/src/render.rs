//! Writes a source file with chosen mutants in it, each behind a switch.

use std::ops::Range;

use crate::sites::{Change, Part, Site};

/// A site with the number of its switch.
pub struct Chosen<'a> {
    pub id: usize,
    pub site: &'a Site,
}

/// The text with every chosen mutant behind its switch.
pub fn render(text: &str, chosen: &[Chosen]) -> String {
    let mut sorted: Vec<&Chosen> = chosen.iter().collect();
    // The outer of two nested spans first.
    sorted.sort_by_key(|c| (c.site.span.start, std::cmp::Reverse(c.site.span.end), c.id));
    Writer { text, sorted }.range(0..text.len(), None)
}

struct Writer<'a> {
    text: &'a str,
    sorted: Vec<&'a Chosen<'a>>,
}

impl Writer<'_> {
    /// Text of a range with the mutants inside it, but for those on `of`, which are being written.
    fn range(&self, range: Range<usize>, of: Option<&Range<usize>>) -> String {
        let mut out = String::new();
        let (mut at, mut done) = (range.start, of);
        while let Some(span) = self
            .sorted
            .iter()
            .map(|chosen| &chosen.site.span)
            .find(|span| span.start >= at && span.end <= range.end && Some(*span) != done)
        {
            out += &self.text[at..span.start];
            out += &self.switched(span);
            (at, done) = (span.end, Some(span));
        }
        out + &self.text[at..range.end]
    }

    /// All mutants of one span, one behind the other, the original last.
    fn switched(&self, span: &Range<usize>) -> String {
        let here: Vec<&&Chosen> = self
            .sorted
            .iter()
            .filter(|c| c.site.span == *span)
            .collect();
        let original = self.range(span.clone(), Some(span));
        let mut out = String::new();
        let mut statement = false;
        for chosen in here {
            let on = format!("crate::mutant::on({})", chosen.id);
            match &chosen.site.change {
                Change::Return(value) => out += &format!(" if {on} {{ return {value}; }} "),
                Change::Omit => {
                    statement = true;
                    out += &format!("if !{on} {{ {original} }}");
                }
                Change::Expression(parts) => {
                    let text: String = parts.iter().map(|part| self.part(part, span)).collect();
                    out += &format!("if {on} {{ {text} }} else ");
                }
            }
        }
        if span.is_empty() || statement {
            return out;
        }
        format!("({out}{{ {original} }})")
    }

    fn part(&self, part: &Part, of: &Range<usize>) -> String {
        match part {
            Part::Kept(range) => self.range(range.clone(), Some(of)),
            Part::New(text) => text.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sites::sites;

    /// The text with every mutant in it, the switches written shorter.
    fn planted(text: &str) -> String {
        let sites = sites(text).unwrap();
        let chosen: Vec<Chosen> = sites
            .iter()
            .enumerate()
            .map(|(id, site)| Chosen { id, site })
            .collect();
        render(text, &chosen).replace("crate::mutant::on", "on")
    }

    #[test]
    fn an_operator_and_what_is_inside_it() {
        assert_eq!(
            planted("fn f(a: i8) -> i8 { g(a + 1) }"),
            "fn f(a: i8) -> i8 { g((if on(0) { a - (if on(1) { 2 } else { 1 }) } else { a + (if on(1) { 2 } else { 1 }) })) }"
        );
    }

    #[test]
    fn statements_bodies_and_conditions() {
        assert_eq!(
            planted("fn f(a: &mut A) { a.go(); }"),
            "fn f(a: &mut A) { if on(0) { return (); }  if !on(1) { a.go(); } }"
        );
        assert_eq!(
            planted("fn f(a: bool) -> A { if a { b } else { c } }"),
            "fn f(a: bool) -> A { if (if on(0) { !(a) } else { a }) { b } else { c } }"
        );
    }

    #[test]
    fn constants_patterns_lets_and_tests_are_left_alone() {
        for text in [
            "const A: usize = 1 + 2;",
            "const fn f() -> usize { 1 + 2 }",
            "fn f(a: [u8; 2 + 1]) -> A { match a { [1, 2, 3] => b, _ => c } }",
            "fn f() -> A { if let Some(a) = b && let Some(c) = d { a } else { c } }",
            "#[cfg(test)] mod tests { fn f() -> bool { a + b } }",
        ] {
            assert_eq!(planted(text), text);
        }
    }
}
