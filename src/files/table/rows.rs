//! The rows of a table, cut into cells.

use std::ops::Range;

use super::layout::{Layout, is_blank, is_hollow, is_number};
use super::places::Places;
use super::split::cells;
use super::{LISTED, Table, list_some, whole_line};
use crate::files::finding::{Finding, Findings, Severity};
use crate::files::source::Source;

/// Most cells of one table.
const MOST_CELLS: usize = 40_000_000;
/// Most rows of one table, nearly three hours at 100 a second: reading them takes half a gigabyte.
const MOST_ROWS: usize = 1_000_000;

/// The cells of all rows, kept small: a table of 150 MB has some 30 million of them.
#[derive(Debug, Clone, Default)]
pub struct Rows {
    /// Byte offset of every cell, row by row, as many to a row as there are columns.
    offsets: Vec<u32>,
    /// Length of every cell; of one longer than this holds, the start is kept.
    lengths: Vec<u16>,
    /// Byte offset and line number of every row.
    pub starts: Vec<(u32, u32)>,
    /// Index of the line from which on no line is a row.
    pub foot: usize,
}

impl Rows {
    /// With room for the cells of a text, so that nothing is moved as they come.
    fn with_room(text: &str, width: usize) -> Self {
        let lines = text.bytes().filter(|b| *b == b'\n').count() + 1;
        let room = (lines * width).min(MOST_CELLS);
        Self {
            offsets: Vec::with_capacity(room),
            lengths: Vec::with_capacity(room),
            starts: Vec::with_capacity(lines.min(MOST_ROWS)),
            foot: 0,
        }
    }

    fn push(&mut self, text: &str, start: usize, length: usize) {
        let mut length = length.min(usize::from(u16::MAX));
        while !text.is_char_boundary(start + length) {
            length -= 1;
        }
        self.offsets.push(start as u32);
        self.lengths.push(length as u16);
    }

    /// Takes rows of so many cells out, named in rising order.
    fn leave_out(&mut self, rows: &[usize], width: usize) {
        let stays = |index: &mut usize, width: usize| {
            let row = *index / width;
            *index += 1;
            rows.binary_search(&row).is_err()
        };
        let (mut offset, mut length, mut start) = (0, 0, 0);
        self.offsets.retain(|_| stays(&mut offset, width));
        self.lengths.retain(|_| stays(&mut length, width));
        self.starts.retain(|_| stays(&mut start, 1));
    }

    /// No rows of the text of these.
    pub fn none_of(other: &Self) -> Self {
        Self {
            foot: other.foot,
            ..Self::default()
        }
    }

    /// Adds a row of another table's, of these of its cells.
    pub fn take_over(&mut self, other: &Self, row: usize, cells: impl Iterator<Item = usize>) {
        for cell in cells {
            self.offsets.push(other.offsets[cell]);
            self.lengths.push(other.lengths[cell]);
        }
        self.starts.push(other.starts[row]);
    }

    /// Where a cell is in the text.
    pub fn range(&self, cell: usize) -> Range<usize> {
        let start = self.offsets[cell] as usize;
        start..start + usize::from(self.lengths[cell])
    }
}

impl Table {
    /// Takes rows out, named in rising order.
    pub fn leave_out(&mut self, rows: &[usize]) {
        self.rows.leave_out(rows, self.columns.len());
    }
}

/// Whether a line below a table that blanks part is none of its rows: they begin with a number.
fn is_remark(line: &str) -> bool {
    let begins = |c: char| c.is_ascii_digit() || ['.', '+', '-'].contains(&c);
    !line.trim_start().starts_with(begins) || !line.contains(|c: char| c.is_ascii_digit())
}

/// Index of the line behind the last one that holds a number: below it stand remarks.
fn foot(text: &str, delimiter: char) -> usize {
    let begins = |cell: &str| {
        cell.trim_start_matches(['+', '-', '.'])
            .starts_with(|c: char| c.is_ascii_digit())
    };
    let figure = |line: &str| {
        let mut all = cells(line, delimiter).map(|range| &line[range]);
        all.any(|cell| begins(cell) || is_number(cell, ';'))
    };
    let remarks = text.rsplit('\n').take_while(|line| !figure(line));
    text.split('\n').count() - remarks.count()
}

/// Cuts the lines under the header into cells; `None` where a row has more cells than there are
/// columns or the table is too large.
pub fn rows(
    source: &Source,
    layout: &Layout,
    width: usize,
    findings: &mut Findings,
) -> Option<Rows> {
    let text = source.text.as_str();
    let mut rows = Rows::with_room(text, width);
    rows.foot = foot(text, layout.delimiter);
    let mut uneven = Vec::new();
    let mut by_place = None;
    let mut places: Option<Option<Places>> = None;
    let mut start = 0;
    for (index, line) in text.split('\n').enumerate() {
        let offset = start;
        start += line.len() + 1;
        if index >= rows.foot {
            break;
        }
        if index < layout.first || is_blank(line) || is_hollow(line, layout.delimiter) {
            continue;
        }
        let number = index as u32 + 1;
        if rows.starts.len() == MOST_ROWS || rows.offsets.len() + width > MOST_CELLS {
            let text = format!("this table has more than {MOST_ROWS} rows or {MOST_CELLS} cells");
            let finding = source.finding(Severity::Error, whole_line(number), text);
            findings.push(finding.remedy("cut the file to the runs that matter"));
            return None;
        }
        let blanks = layout.delimiter == ' ';
        if blanks && is_remark(line) {
            continue;
        }
        if blanks && cells(line, ' ').count() < width {
            let lines = || {
                let lines = text.lines().take(rows.foot).skip(layout.first);
                lines.filter(|line| !is_remark(line))
            };
            let places = places.get_or_insert_with(|| Places::of(lines(), width));
            if let Some(row) = places.as_ref().and_then(|places| places.cells(line)) {
                row.into_iter()
                    .for_each(|cell| rows.push(text, offset + cell.start, cell.len()));
                rows.starts.push((offset as u32, number));
                by_place.get_or_insert(number);
                continue;
            }
        }
        let mut count = 0;
        for range in cells(line, layout.delimiter) {
            if count < width {
                rows.push(text, offset + range.start, range.len());
            }
            count += usize::from(count < width || !range.is_empty());
        }
        for _ in count..width {
            rows.push(text, offset + line.trim_end().len(), 0);
        }
        rows.starts.push((offset as u32, number));
        if (count > width || blanks && count < width) && uneven.len() <= LISTED {
            uneven.push((number, count));
        }
    }
    if let Some(first) = by_place {
        let text = "rows with empty cells read by their place across the line";
        findings.push(Finding {
            key: Some("rows".to_owned()),
            excerpt: None,
            ..source.finding(Severity::Assumed, whole_line(first), text)
        });
    }
    let faults = uneven.iter().map(|&(line, count)| {
        let text = format!("this row has {count} cells, and {width} columns are named");
        let remedy = match layout.delimiter {
            ',' => "name every column; where commas part decimals, part the cells by semicolons",
            ' ' => "part headings and figures by two blanks or more, and write `-` where nothing was read",
            _ => "name every column",
        };
        let finding = source.finding(Severity::Error, whole_line(line), text);
        finding.remedy(remedy)
    });
    list_some(faults, findings).then_some(rows)
}
