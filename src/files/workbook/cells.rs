//! The cells of a sheet as text: parted by tabs, a line for each row.

use quick_xml::events::{BytesStart, Event};

use super::formats::Formats;
use super::parts::{Strings, attribute, entity, is_yes, walk};

/// Most bytes of the text of one sheet: empty cells before a far one count.
const LARGEST: usize = 64 << 20;
/// Rows and columns of a sheet (ECMA-376: XFD1048576 is the last cell).
const MOST_ROWS: u32 = 1_048_576;
const MOST_COLUMNS: u32 = 16_384;

/// What was made of a sheet.
pub struct Made {
    /// Its cells.
    pub text: String,
    /// The first of its rows that are hidden and hold something, and how many are.
    pub hidden: Option<(u32, usize)>,
}

/// The cell that is being read.
#[derive(Default)]
struct Cell {
    kind: String,
    format: Option<usize>,
    column: u32,
    value: String,
}

struct Sheet<'s> {
    strings: &'s Strings,
    formats: &'s Formats,
    made: Made,
    /// The row that is being read, from 1, and whether it is hidden.
    row: u32,
    is_hidden: bool,
    /// Rows written so far, and of this one the columns.
    lines: u32,
    columns: u32,
    /// Where the first cell of this row stands in the text, where that is a text.
    first: Option<usize>,
    /// Column of the cell before, from 1.
    last: u32,
    cell: Cell,
}

/// The text of a sheet.
pub fn text(xml: &str, strings: &Strings, formats: &Formats) -> Result<Made, String> {
    let mut sheet = Sheet {
        strings,
        formats,
        made: Made {
            text: String::new(),
            hidden: None,
        },
        row: 0,
        is_hidden: false,
        lines: 1,
        columns: 0,
        first: None,
        last: 0,
        cell: Cell::default(),
    };
    let (mut in_value, mut phonetic) = (false, false);
    walk(xml, |event, _| {
        match event {
            Event::Start(element) => match element.local_name().as_ref() {
                "row" => sheet.begin_row(element)?,
                "c" => sheet.begin_cell(element)?,
                "v" | "t" => in_value = !phonetic,
                "rPh" => phonetic = true,
                _ => {}
            },
            Event::Empty(element) => match element.local_name().as_ref() {
                "row" => sheet.begin_row(element)?,
                "c" => sheet.begin_cell(element)?,
                _ => {}
            },
            Event::End(element) => match element.local_name().as_ref() {
                "c" => sheet.end_cell()?,
                "v" | "t" => in_value = false,
                "rPh" => phonetic = false,
                _ => {}
            },
            Event::Text(text) if in_value => sheet.cell.value.push_str(text),
            Event::CData(text) if in_value => sheet.cell.value.push_str(text),
            Event::GeneralRef(name) if in_value => sheet.cell.value.extend(entity(name)),
            _ => {}
        }
        Ok(())
    })?;
    Ok(sheet.made)
}

impl Sheet<'_> {
    fn begin_row(&mut self, element: &BytesStart) -> Result<(), String> {
        let number = match attribute(element, "r") {
            Some(written) => written.parse().unwrap_or(0),
            None => self.row + 1,
        };
        if number <= self.row || number > MOST_ROWS {
            return Err(format!("after row {} comes none of a sheet", self.row));
        }
        self.row = number;
        self.is_hidden = is_yes(attribute(element, "hidden"));
        (self.columns, self.last) = (0, 0);
        self.first = None;
        Ok(())
    }

    fn begin_cell(&mut self, element: &BytesStart) -> Result<(), String> {
        let column = match attribute(element, "r") {
            Some(written) => column(&written).unwrap_or(0),
            None => self.last + 1,
        };
        if column <= self.last || column > MOST_COLUMNS || self.row == 0 {
            return Err(format!("the cells of row {} are not in order", self.row));
        }
        self.last = column;
        self.cell.kind = attribute(element, "t").unwrap_or_default();
        self.cell.format = attribute(element, "s").and_then(|index| index.parse().ok());
        self.cell.column = column;
        self.cell.value.clear();
        Ok(())
    }

    fn end_cell(&mut self) -> Result<(), String> {
        let value = std::mem::take(&mut self.cell.value);
        let number = || self.formats.shown(&value, self.cell.format);
        let shown = match self.cell.kind.as_str() {
            "s" => {
                let index = value.trim().parse().ok();
                let text = index.and_then(|index| self.strings.get(index));
                let text = text.ok_or_else(|| {
                    format!("a cell of row {} has a text that is not there", self.row)
                })?;
                one_line(text)
            }
            // Its `#` would begin a comment.
            "e" => format!("\"{}\"", one_line(&value)),
            "b" => (if value.trim() == "1" { "TRUE" } else { "FALSE" }).to_owned(),
            "" | "n" => number().unwrap_or_else(|| one_line(&value)),
            _ => one_line(&value),
        };
        if shown.is_empty() {
            return Ok(());
        }
        self.write(&shown)
    }

    /// Adds a cell that is not empty at its place.
    fn write(&mut self, shown: &str) -> Result<(), String> {
        let text = &mut self.made.text;
        let tabs = match self.columns {
            0 => self.cell.column - 1,
            columns => self.cell.column - columns,
        };
        let rows = self.row - self.lines;
        if text.len() + shown.len() + (rows + tabs) as usize > LARGEST {
            return Err(format!(
                "up to row {} it has more than {} MB",
                self.row,
                LARGEST >> 20
            ));
        }
        text.extend(std::iter::repeat_n('\n', rows as usize));
        self.lines = self.row;
        if self.columns == 0 && self.is_hidden {
            let (_, count) = self.made.hidden.get_or_insert((self.row, 0));
            *count += 1;
        }
        // With others beside it a heading such as `#` is no comment.
        if let Some(first) = self.first.take() {
            let end = text.len();
            text.insert(first, '"');
            text.insert(end + 1, '"');
        }
        text.extend(std::iter::repeat_n('\t', tabs as usize));
        if self.columns == 0 && shown.starts_with(['#', '%', '/']) && self.cell.column == 1 {
            self.first = Some(text.len());
        }
        text.push_str(shown);
        self.columns = self.cell.column;
        Ok(())
    }
}

/// A text in one line, without what would part cells or enclose them.
fn one_line(text: &str) -> String {
    let parts = |c: char| c.is_whitespace() || c.is_control();
    let text = text.replace('"', "\u{2033}");
    text.split(parts)
        .filter(|word| !word.is_empty())
        .collect::<Vec<&str>>()
        .join(" ")
}

/// The column of a cell's name, from 1: 28 of `AB12`.
fn column(name: &str) -> Option<u32> {
    let letters = name.trim_end_matches(|c: char| c.is_ascii_digit());
    if letters.is_empty() || letters.len() > 3 {
        return None;
    }
    letters.bytes().try_fold(0, |column, letter| {
        let letter = letter.to_ascii_uppercase();
        letter
            .is_ascii_uppercase()
            .then(|| 26 * column + u32::from(letter - b'A') + 1)
    })
}
