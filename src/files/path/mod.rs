//! Lines on maps and recordings: GPX, GeoJSON and tables of points.

mod clock;
pub(in crate::files) mod degrees;
pub(in crate::files) mod fixless;
mod geojson;
pub(in crate::files) mod hemisphere;
mod instant;
mod kml;
mod parts;
pub(in crate::files) mod points;
mod xml;

pub use instant::instant;

use std::ops::Range;
use std::path::Path;

use super::finding::{Finding, Findings, Severity, quoted};
use super::source::{Mark, Source, TABLE_LIMIT};
use crate::venue::path::Fix;

/// One line of a file: a track, a route, a drawn line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    /// Its name.
    pub name: Option<String>,
    /// Its vertices or fixes.
    pub fixes: Vec<Fix>,
    /// The line of the file that each fix stands on; empty where that is not known.
    pub rows: Vec<u32>,
    /// What is odd about the parts that it was put together from.
    pub order: Option<Order>,
}

impl Line {
    /// Some of its fixes.
    pub fn part(&self, rows: Range<usize>) -> Self {
        Self {
            name: self.name.clone(),
            fixes: self.fixes[rows.clone()].to_vec(),
            rows: self.rows.get(rows).unwrap_or_default().to_vec(),
            order: self.order,
        }
    }
}

/// How parts of a line lie that are not in driving order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Order {
    /// They go on from each other only when each is driven from its end.
    Backwards,
    /// One does not go on where the one before ends, by so many metres, and a later one would.
    Apart(f64),
}

/// The lines of a file.
#[derive(Debug, Clone)]
pub struct Lines {
    /// The file, for findings.
    pub source: Source,
    /// Its lines in order, none of them empty.
    pub lines: Vec<Line>,
}

/// Most points of one file.
const MOST_POINTS: usize = 1_500_000;

/// Which line of a file.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Which {
    /// The only one, or the longest.
    #[default]
    Longest,
    /// By its number, from 1.
    Number(usize),
    /// By its name.
    Name(String),
}

/// Reads the lines of a GPX, KML, GeoJSON or table file, told apart by what is in it.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Lines> {
    parse(Source::read_table(path, TABLE_LIMIT, findings)?, findings)
}

/// As [`read`], from a text already in memory.
pub fn parse(source: Source, findings: &mut Findings) -> Option<Lines> {
    let (source, lines) = match source.text.trim_start().chars().next() {
        Some('<') => {
            let lines = xml::lines(&source, findings)?;
            (source, lines)
        }
        Some('{' | '[') => {
            let lines = geojson::lines(&source, findings)?;
            (source, lines)
        }
        _ => {
            let (line, source) = points::line(source, findings)?;
            (source, vec![line])
        }
    };
    let lines: Vec<Line> = lines
        .into_iter()
        .filter(|line| !line.fixes.is_empty())
        .collect();
    if lines.is_empty() {
        let finding = source.finding(
            Severity::Error,
            Mark::default(),
            "there is no path in this file",
        );
        findings.push(
            finding.remedy("a track or a route with points, a line, or a table of lat and lon"),
        );
        return None;
    }
    Some(Lines { source, lines })
}

impl Lines {
    /// The line that is wanted.
    ///
    /// # Errors
    /// There is none: what is wrong, and what would be right.
    pub fn choose(&self, which: &Which) -> Result<&Line, (String, String)> {
        let found = match which {
            Which::Number(number) => self.lines.get(number.wrapping_sub(1)),
            Which::Name(name) => self
                .lines
                .iter()
                .find(|line| line.name.as_ref() == Some(name)),
            Which::Longest => self.lines.iter().rev().max_by_key(|line| line.fixes.len()),
        };
        found.ok_or_else(|| {
            let what = match which {
                Which::Name(name) => format!("there is no line {} in this file", quoted(name)),
                Which::Number(number) => format!("there is no line {number} in this file"),
                Which::Longest => "there is no path in this file".to_owned(),
            };
            (what, format!("it holds {}", self.listed()))
        })
    }

    /// Asks which of several lines is meant, where nothing says so.
    pub fn several(&self, which: &Which) -> Option<Finding> {
        if *which != Which::Longest || self.lines.len() < 2 {
            return None;
        }
        let count = self.lines.len();
        let points = |line: &Line| line.fixes.len();
        let most = self.lines.iter().map(points).max();
        let alike = self.lines.iter().filter(|line| Some(points(line)) == most);
        let taken = match alike.count() {
            1 => "the one with the most points is taken",
            _ => "the first of those with the most points is taken",
        };
        let text = format!("{count} lines in this file; {taken}");
        let finding = self
            .source
            .finding(Severity::Warning, Mark::default(), text);
        let remedy = format!("choose with `line: 1`, or by name: {}", self.listed());
        Some(finding.remedy(remedy))
    }

    /// The lines by name and number of points, for people.
    fn listed(&self) -> String {
        let shown = self.lines.iter().take(8).enumerate().map(|(i, line)| {
            let name = line
                .name
                .as_deref()
                .map(|name| format!(" {}", quoted(name)));
            format!(
                "{}{} of {} points",
                i + 1,
                name.unwrap_or_default(),
                line.fixes.len()
            )
        });
        shown.collect::<Vec<_>>().join(", ")
    }

    /// The place of a fix in the file.
    pub fn mark(&self, line: &Line, fix: usize) -> Mark {
        let row = line.rows.get(fix).copied().unwrap_or(0);
        Mark {
            line: row,
            column: u32::from(row > 0),
            width: 1,
        }
    }
}
