//! A test day: what each spec makes, where they cross and how surely, what earned it, what next.

mod answer;
mod at;
mod chart;
mod next;
mod scatter;
mod shape;
mod words;

use std::fmt::Write;

pub use answer::{csv, json};
pub use chart::charts;

use super::assumed;
use super::format::{WIDTH, decimal, rpm_fifty, signed, thousands, wrap};
use super::paint::Paint;
use super::table::{Grid, Side};
use crate::dyno::{
    Attribution, Comparison, Interval, Layout, MeasuredAt, Outlying, Reduced, Standard, Step,
    Stretch, TestDay, Trend, Unlike,
};
use crate::files::finding::Findings;
use crate::units::HORSEPOWER;

/// How far beyond a spec's pulls a band may reach, rpm: sweeps end where they end, by the same hand
/// 0.2 s apart, which is 100 rpm at 500 rpm/s (common practice, no source).
pub const NEAR_RPM: f64 = 100.0;

/// Everything that is said of a test day.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// Name for people: that of the file or its folder.
    pub name: &'a str,
    /// The day.
    pub day: &'a TestDay,
    /// Its curves.
    pub reduced: &'a Reduced,
    /// The same without first pulls after a change, where that can be.
    pub without_first: Option<&'a Reduced>,
    /// The spec that the others are set beside.
    pub beside: usize,
    /// Every other spec less that one.
    pub comparisons: Vec<Comparison>,
    /// What earned the differences.
    pub attribution: Attribution,
    /// Pulls that lie outside.
    pub outlying: Vec<Outlying>,
    /// The same day with those set aside.
    pub without_outlying: Option<&'a Reduced>,
    /// Specs whose pulls were not made alike.
    pub unlike: Vec<Unlike>,
    /// What would narrow the first comparison.
    pub steps: Vec<Step>,
    /// A new day that would show a difference asked for, relative to torque.
    pub layout: Option<(f64, Layout)>,
    /// The band that mean power is taken over.
    pub band: Stretch,
    /// Engine speeds that specs are set beside each other at, rpm; bands where there are none.
    pub at: Vec<f64>,
    /// What was found while reading.
    pub findings: &'a Findings,
}

impl Sheet<'_> {
    /// Whether a question is open that decides how the specs compare.
    fn is_asked(&self) -> bool {
        super::findings::deciding(self.findings) > 0
    }

    /// A drift beyond the usual that nothing tells from the change between specs.
    fn open_trend(&self) -> Option<Trend> {
        let alone = self.day.returns().is_empty() && self.reduced.specs.len() > 1;
        self.reduced.levels.trend.filter(|_| alone)
    }

    /// Whether differences are in question.
    fn is_in_question(&self) -> bool {
        self.is_asked() || self.open_trend().is_some()
    }

    fn name_of(&self, spec: usize) -> &str {
        &self.reduced.specs[spec].name
    }

    /// A spec's mean power over the band, W; `None` where it was not pulled through it.
    fn mean_power(&self, spec: usize) -> Option<f64> {
        let curve = &self.reduced.specs[spec].curve;
        let Stretch { from_rpm, to_rpm } = self.band;
        let covers =
            curve.first_rpm() <= from_rpm + NEAR_RPM && to_rpm <= curve.last_rpm() + NEAR_RPM;
        curve.mean_power(from_rpm, to_rpm).filter(|_| covers)
    }
}

/// The sheet for people.
pub fn text(sheet: &Sheet, paint: Paint) -> String {
    let mut out = String::new();
    let head = lines(&headline(sheet), "  ");
    let _ = writeln!(out, "{}", paint.strong(head.trim_end()));
    if let Some(line) = words::read_too(sheet) {
        out.push_str(&lines(&line, "  "));
    }
    let _ = writeln!(out, "{}\n", title(sheet));
    out.push_str(&specs(sheet));
    if !sheet.at.is_empty() {
        out.push('\n');
        out.push_str(&at::table(sheet));
    }
    if !sheet.comparisons.is_empty() {
        if sheet.at.is_empty() {
            out.push('\n');
            out.push_str(&gains(sheet));
        }
        for line in words::crossings(sheet) {
            out.push_str(&lines(&line, "  "));
        }
    }
    out.push('\n');
    for line in words::parts(sheet) {
        out.push_str(&lines(&line, "  "));
    }
    out.push_str(&lines(&scatter::repeatability(sheet), "  "));
    let in_part = next::in_part(sheet);
    for line in scatter::handling(sheet).into_iter().chain(in_part) {
        out.push_str(&lines(&line, "  "));
    }
    for line in scatter::warnings(sheet) {
        let line = lines(&line, "  ");
        let word = line.split_inclusive(' ').next().unwrap_or_default();
        let _ = write!(out, "{}{}", paint.warn(word), &line[word.len()..]);
    }
    out.push_str(&assumed::line(sheet.findings, &["repeatability"]));
    for line in next::next(sheet) {
        out.push_str(&lines(&line, "  "));
    }
    out
}

/// Text broken into lines, never between a number and its unit or sign.
fn lines(text: &str, indent: &str) -> String {
    const TIED: char = '\u{a0}';
    let units = [" %", " °C", " rpm", " kW", " h)"];
    let tied = units
        .iter()
        .fold(text.replace("± ", "±\u{a0}"), |text, unit| {
            text.replace(unit, &unit.replace(' ', "\u{a0}"))
        });
    wrap(&tied, indent).replace(TIED, " ")
}

/// The answer first: who makes what, where they cross.
fn headline(sheet: &Sheet) -> String {
    match sheet.comparisons.first() {
        Some(first) => {
            let leads = words::headline(sheet, first);
            words::in_question(sheet) + &leads + &words::slipping(sheet, first)
        }
        None => format!("{}: one spec, nothing to set it beside", sheet.name_of(0)),
    }
}

/// What was measured, where, and what it is corrected to.
fn title(sheet: &Sheet) -> String {
    let place = match sheet.day.dyno.measured_at {
        MeasuredAt::Flywheel => "at the flywheel",
        MeasuredAt::FlywheelEstimated => "at the flywheel as the rolls estimate it",
        MeasuredAt::Hubs => "at the hubs",
        MeasuredAt::Wheels => "at the wheels",
    };
    let standard = match sheet.reduced.standard {
        Standard::Uncorrected => "as read, not corrected".to_owned(),
        Standard::Unknown => {
            "corrected, nobody knows to what: good within this day only".to_owned()
        }
        known => format!("corrected to {}", known.name()),
    };
    format!("{}: torque {place}, {standard}", sheet.name)
}

fn kilowatts(watts: f64) -> String {
    decimal(watts / 1e3, 1)
}

/// One row a spec: peaks with their engine speeds, as read, mean power over the band.
fn specs(sheet: &Sheet) -> String {
    let band = format!(
        "mean kW\n{} to {}",
        thousands(sheet.band.from_rpm),
        thousands(sheet.band.to_rpm)
    );
    let counted = || sheet.day.specs.iter().flat_map(|spec| spec.counted());
    let as_read = match counted().all(|(_, pull)| pull.corrected == Standard::Uncorrected) {
        true => "kW\nas read",
        false => "kW\nin file",
    };
    let mut grid = Grid::new(&[
        ("spec", Side::Left),
        ("fitted,\npulls", Side::Right),
        ("peak\nN·m", Side::Right),
        ("\nat", Side::Right),
        ("peak\nkW", Side::Right),
        ("\nbhp", Side::Right),
        ("\nat", Side::Right),
        (as_read, Side::Right),
        (&band, Side::Right),
    ]);
    for (i, spec) in sheet.reduced.specs.iter().enumerate() {
        let (torque, power) = (spec.curve.peak_torque(), spec.curve.peak_power());
        let fittings = sheet.day.specs[i].fittings.len();
        grid.row(&[
            in_lines(&spec.name, NAME_WIDTH),
            format!("{fittings}, {}", spec.pulls.len()),
            decimal(torque.value, 1),
            rpm_fifty(torque.rpm),
            kilowatts(power.value),
            decimal(power.value / HORSEPOWER, 0),
            rpm_fifty(power.rpm),
            kilowatts(sheet.reduced.peak_as_read(i)),
            sheet.mean_power(i).map_or("-".to_owned(), kilowatts),
        ]);
    }
    grid.text(0)
}

/// Widest name in a table, letters, and where the table is too wide with that; longer names are
/// broken at blanks.
const NAME_WIDTH: usize = 24;
const NARROW_NAME: usize = 14;

/// A name on as many lines as it needs in a table.
fn in_lines(name: &str, widest: usize) -> String {
    let mut out = String::new();
    let mut width = 0;
    for word in name.split(' ') {
        let length = word.chars().count();
        if width > 0 && width + 1 + length > widest {
            out.push('\n');
            width = 0;
        } else if width > 0 {
            out.push(' ');
            width += 1;
        }
        out.push_str(word);
        width += length;
    }
    out
}

/// One row a comparison: gain in each band; in brackets where the pulls do not say who leads. Names
/// are broken, then bands joined in pairs, until a row fits the screen.
fn gains(sheet: &Sheet) -> String {
    let mut bands = sheet
        .comparisons
        .iter()
        .max_by_key(|c| c.gains.len())
        .map(|c| c.gains.iter().map(|g| g.band).collect::<Vec<_>>())
        .unwrap_or_default();
    let mut width_rpm = 500.0;
    let fits = |table: &String| table.lines().all(|line| line.chars().count() <= WIDTH);
    let table = loop {
        let tables = [NAME_WIDTH, NARROW_NAME].map(|name| gain_rows(sheet, &bands, name));
        let [_, narrow] = &tables;
        if bands.len() < 3 || fits(narrow) {
            let narrow = narrow.clone();
            break tables.into_iter().find(fits).unwrap_or(narrow);
        }
        width_rpm *= 2.0;
        bands = bands
            .chunks(2)
            .map(|pair| Stretch {
                from_rpm: pair[0].from_rpm,
                to_rpm: pair[pair.len() - 1].to_rpm,
            })
            .collect();
    };
    let brackets = match sheet.is_in_question() {
        true => "in question",
        false => "not resolved by these pulls",
    };
    let note = format!(
        "Means over {} rpm, ± 95 % (t, refits reckoned with); in brackets: {brackets}.",
        thousands(width_rpm)
    );
    format!("{table}{}", lines(&note, ""))
}

fn gain_rows(sheet: &Sheet, bands: &[Stretch], name: usize) -> String {
    let less = in_lines(&format!("{} at", sheet.name_of(sheet.beside)), name);
    let mut titles = vec![(format!("N·m more than\n{less}"), Side::Left)];
    for band in bands {
        let middle = 0.5 * (band.from_rpm + band.to_rpm);
        titles.push((thousands((middle / 50.0).round() * 50.0), Side::Right));
    }
    titles.push(("±".to_owned(), Side::Right));
    let columns: Vec<(&str, Side)> = titles.iter().map(|(t, s)| (t.as_str(), *s)).collect();
    let mut grid = Grid::new(&columns);
    for comparison in &sheet.comparisons {
        let mut row = vec![in_lines(sheet.name_of(comparison.first), name)];
        row.extend(bands.iter().map(|band| gain_in(sheet, comparison, band)));
        let Interval { low, high, .. } = comparison.whole.torque;
        row.push(decimal(0.5 * (high - low), 1));
        grid.row(&row);
    }
    grid.text(0)
}

/// The gain in a band; empty where less than half of it was measured.
fn gain_in(sheet: &Sheet, comparison: &Comparison, band: &Stretch) -> String {
    let measured = Stretch {
        from_rpm: band.from_rpm.max(comparison.range.from_rpm),
        to_rpm: band.to_rpm.min(comparison.range.to_rpm),
    };
    if measured.to_rpm - measured.from_rpm < 0.5 * (band.to_rpm - band.from_rpm) {
        return String::new();
    }
    let (first, second) = (comparison.first, comparison.second);
    let gain = sheet.reduced.gain(first, second, measured).torque;
    bracketed(&gain, sheet.is_in_question())
}

fn bracketed(interval: &Interval, in_question: bool) -> String {
    let value = signed(interval.value, 1);
    if interval.is_resolved() && !in_question {
        value
    } else {
        format!("({value})")
    }
}

#[cfg(test)]
mod tests;
