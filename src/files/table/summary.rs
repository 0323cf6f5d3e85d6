//! Rows that sum the others up, as loggers and spreadsheets put them above or under a table.

use super::cell::cell_number;
use super::{Table, folded};
use crate::files::finding::{Findings, Severity};
use crate::files::source::Mark;
use crate::units::counted;

/// Words for the largest and the least of a column.
const MOST: &[&str] = &[
    "max",
    "maxi",
    "maximum",
    "maxima",
    "maximal",
    "maxwert",
    "maxvalue",
    "peak",
    "spitze",
    "spitzenwert",
    "highest",
    "größtwert",
    "massimo",
    "máximo",
    "maximo",
    "crête",
];
const LEAST: &[&str] = &[
    "min",
    "mini",
    "minimum",
    "minima",
    "minimal",
    "minwert",
    "minvalue",
    "lowest",
    "kleinstwert",
    "minimo",
    "mínimo",
];
/// Words for what no single reading is.
const OF_ALL: &[&str] = &[
    "average",
    "averages",
    "avg",
    "ave",
    "mean",
    "means",
    "meanvalue",
    "averagevalue",
    "median",
    "mittel",
    "mittelwert",
    "durchschnitt",
    "schnitt",
    "moyenne",
    "moyennes",
    "media",
    "medie",
    "promedio",
    "média",
    "gemiddelde",
    "gemiddeld",
    "medel",
    "medelvärde",
    "średnia",
    "total",
    "totals",
    "totale",
    "totaal",
    "grandtotal",
    "sum",
    "sums",
    "summe",
    "summen",
    "somme",
    "somma",
    "suma",
    "som",
    "gesamt",
    "stddev",
    "stdev",
    "std",
    "sd",
    "σ",
    "standarddeviation",
    "stdabweichung",
    "stdabw",
    "standardabweichung",
    "ecarttype",
    "écarttype",
    "deviazionestandard",
    "variance",
    "varianz",
    "range",
    "spanne",
    "count",
    "anzahl",
];
/// Rows at either end of a table among which a word in a column of words tells.
const AT_ENDS: usize = 12;
/// Rows from which is seen whether a column holds numbers.
const LOOKED_AT: usize = 60;
/// Share by which what such a row holds may differ from the column, being rounded.
const ROUNDED: f64 = 0.005;
/// Such rows that are named.
const NAMED: usize = 8;

/// What the word of such a row says of a column.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Says {
    Most,
    Least,
    OfAll,
}

/// A cell that names a row so.
struct Word {
    row: usize,
    column: usize,
    says: Says,
}

fn says(cell: &str) -> Option<Says> {
    const LONGEST: usize = 24;
    if cell.len() > LONGEST || !cell.starts_with(char::is_alphabetic) {
        return None;
    }
    let word = folded(cell.trim_end_matches([':', '=', '.', ' ']));
    [
        (MOST, Says::Most),
        (LEAST, Says::Least),
        (OF_ALL, Says::OfAll),
    ]
    .into_iter()
    .find(|(words, _)| words.contains(&word.as_str()))
    .map(|(_, says)| says)
}

impl Table {
    /// Takes out rows that sum the others up, and says which.
    pub(super) fn leave_summaries_out(&mut self, findings: &mut Findings) {
        let words = self.summaries();
        let Some(first) = words.first() else { return };
        let mark = self.mark(first.row, first.column);
        let named = words.iter().take(NAMED).map(|word| {
            let line = self.mark(word.row, word.column).line;
            format!("line {line} ({})", self.cell(word.row, word.column))
        });
        let mut named: Vec<String> = named.collect();
        if words.len() > NAMED {
            named.push("…".to_owned());
        }
        let text = format!(
            "{} left out that {} up the others{}: {}",
            counted(words.len(), "row"),
            if words.len() == 1 { "sums" } else { "sum" },
            self.of_file(),
            named.join(", ")
        );
        findings.push(self.assumed("rows", mark, text));
        let rows: Vec<usize> = words.iter().map(|word| word.row).collect();
        self.leave_out(&rows);
    }

    /// The file's name, as in ` of long-2.csv`: what is assumed is listed without its place.
    pub fn of_file(&self) -> String {
        let at = self
            .finding(Severity::Assumed, Mark::default(), "")
            .position;
        let name = at.as_ref().and_then(|at| at.path.file_name());
        name.map_or(String::new(), |name| {
            format!(" of {}", name.to_string_lossy())
        })
    }

    /// The rows that sum others up, in rising order, each once: a word that is known stands in place of a number, or
    /// in a column of words near an end of the table, where numbers beside it bear it out.
    fn summaries(&self) -> Vec<Word> {
        let mut found: Vec<Word> = Vec::new();
        for row in 0..self.height() {
            let word = (0..self.columns.len()).find_map(|column| {
                let says = says(self.cell(row, column))?;
                Some(Word { row, column, says })
            });
            found.extend(word.filter(|word| self.holds_figures(word)));
        }
        if found.is_empty() {
            return found;
        }
        // The average of several pulls, point by point, is a pull, and its rows all go by one word.
        let again = |a: &Word, b: &Word| {
            a.row + 1 == b.row
                && a.column == b.column
                && folded(self.cell(a.row, a.column)) == folded(self.cell(b.row, b.column))
        };
        if found.windows(2).any(|pair| again(&pair[0], &pair[1])) {
            return Vec::new();
        }
        let all: Vec<usize> = found.iter().map(|word| word.row).collect();
        let sums_up = |word: &Word| {
            let at_end = word.row < AT_ENDS || word.row + AT_ENDS >= self.height();
            self.is_of_numbers(word.column, &all)
                || at_end && (word.says == Says::OfAll || self.bears_out(word, &all))
        };
        found.retain(sums_up);
        found
    }

    fn figure(&self, row: usize, column: usize) -> Option<f64> {
        let found = cell_number(self.cell(row, column), self.layout.decimal_comma);
        found.ok().map(|(value, _)| value)
    }

    fn holds_figures(&self, word: &Word) -> bool {
        let mut others = (0..self.columns.len()).filter(|column| *column != word.column);
        others.any(|column| self.figure(word.row, column).is_some())
    }

    /// Whether most cells of a column are numbers, but for some rows.
    fn is_of_numbers(&self, column: usize, but_for: &[usize]) -> bool {
        let others = (0..self.height()).filter(|row| but_for.binary_search(row).is_err());
        let looked: Vec<usize> = others.take(LOOKED_AT).collect();
        let numbers = looked
            .iter()
            .filter(|row| self.figure(**row, column).is_some());
        2 * numbers.count() > looked.len()
    }

    /// Whether two numbers of a row or more are the largest or the least of their columns, as its word says, and
    /// none is not: a remark beside a reading says so of one.
    fn bears_out(&self, word: &Word, but_for: &[usize]) -> bool {
        let others = || (0..self.height()).filter(|row| but_for.binary_search(row).is_err());
        let mut columns = 0;
        for column in (0..self.columns.len()).filter(|column| *column != word.column) {
            let Some(own) = self.figure(word.row, column) else {
                continue;
            };
            let figures = others().filter_map(|row| self.figure(row, column));
            let extreme = match word.says {
                Says::Least => figures.min_by(f64::total_cmp),
                _ => figures.max_by(f64::total_cmp),
            };
            let Some(extreme) = extreme else { continue };
            if (own - extreme).abs() > ROUNDED * extreme.abs() {
                return false;
            }
            columns += 1;
        }
        columns >= 2
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::source::Source;

    const ROWS: [&str; 4] = [
        "0.1,2500,139",
        "0.2,3000,153",
        "0.3,3500,166",
        "0.4,4000,160",
    ];

    fn read(text: &str) -> (usize, String) {
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("long-1.csv", text), &mut findings).unwrap();
        let said: Vec<&str> = findings.iter().map(|f| f.text.as_str()).collect();
        (table.height(), said.join("; "))
    }

    #[test]
    fn rows_that_sum_up_are_left_out_with_a_note() {
        let rows = ROWS.join("\n");
        for (text, lines) in [
            (
                format!("time,rpm,torque\n{rows}\nMax,4000,166\nAverage,3250,154.5\n"),
                "line 6 (Max), line 7 (Average)",
            ),
            (
                format!("time,rpm,torque\nMittelwert:,3250,154.5\nMin,2500,139\n{rows}\n"),
                "line 2 (Mittelwert:), line 3 (Min)",
            ),
            (
                format!("time,rpm,torque\n{rows}\n\nStd. dev.,645,11.6\nTotals,13000,618\n"),
                "line 7 (Std. dev.), line 8 (Totals)",
            ),
        ] {
            let (height, said) = read(&text);
            assert_eq!(height, 4, "{text}{said}");
            let wanted = format!("2 rows left out that sum up the others of long-1.csv: {lines}");
            assert_eq!(said, wanted);
        }
        let beside: String = ROWS.iter().map(|row| format!(",{row}\n")).collect();
        let (height, said) = read(&format!(
            ",time,rpm,torque\n{beside}Peak,0.4,4000,166\nMoyenne,0.25,3250,154.5\n"
        ));
        assert_eq!(height, 4, "{said}");
    }

    /// A remark beside a reading, a word that is not known, and a pull that is the average of others.
    #[test]
    fn readings_stay() {
        for foot in ["0.4,4000,170,max", "0.5,4000,139,min", "0.5,4500,159,knock"] {
            let rows: String = ROWS.iter().map(|row| format!("{row},\n")).collect();
            let (height, said) = read(&format!("time,rpm,torque,note\n{rows}{foot}\n"));
            assert_eq!((height, said.as_str()), (5, ""), "{foot}");
        }
        let of = |pull: &str| ROWS.map(|row| format!("{pull},{row}\n")).concat();
        let text = format!("pull,time,rpm,torque\n{}{}", of("1"), of("Average"));
        assert_eq!(read(&text), (8, String::new()));
        let text = format!("time,rpm,torque\n{}\nSollwert,3000,150\n", ROWS.join("\n"));
        assert_eq!(read(&text).0, 5);
    }
}
