//! Logs whose rows stand in the order of something else than time, as a spreadsheet leaves them that sorted by speed.

use super::DISTANCES;
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::path::points;
use crate::files::table::{Table, each_once, in_order};
use crate::units::LENGTH;

/// Share of the rows that step back beyond which they are in no order of time: clocks that begin anew with each lap do
/// so once a lap.
const BACK: f64 = 0.15;

/// Puts rows in the order of time, else of distance, where each is known once, and says so.
pub(super) fn put(table: &mut Table, findings: &mut Findings) {
    let Some((name, key)) = key(table) else {
        return;
    };
    let back = key.windows(2).filter(|pair| pair[1] < pair[0]).count();
    let turned = key.windows(2).all(|pair| pair[1] < pair[0]);
    if back as f64 <= BACK * key.len() as f64 || turned || !each_once(key.clone()) {
        return;
    }
    let figures = |column: usize| {
        let cells = (0..table.height()).map(|row| table.cell(row, column).replace(',', "."));
        cells
            .map(|cell| cell.parse().ok())
            .collect::<Option<Vec<f64>>>()
    };
    let mut columns = 0..table.columns.len();
    let by = columns.find(|&column| figures(column).is_some_and(|figures| in_order(&figures)));
    let by = by.map_or("no order".to_owned(), |column| {
        format!("order of {}", quoted(&table.columns[column].name))
    });
    let text = format!("rows stand in {by}: put in order of {name}");
    let finding = table.finding(Severity::Warning, table.mark(0, 0), text);
    findings.push(finding.remedy(format!("sort the table by {name}, or export the log again")));
    table.put_in_order(&key);
}

/// Times, else distances, where every row has one.
fn key(table: &Table) -> Option<(&'static str, Vec<f64>)> {
    let mut silent = Findings::new();
    if table.find(points::TIMES).is_some() {
        let times = points::times(table, &mut silent)?;
        return Some(("time", times.into_iter().collect::<Option<_>>()?));
    }
    let column = table.find(DISTANCES)?;
    let found = table.numbers(column, &LENGTH, Some("m"), &mut silent)?;
    Some(("distance", found))
}

#[cfg(test)]
mod tests {
    use crate::files::finding::Findings;
    use crate::files::log::parse;
    use crate::files::source::Source;

    /// Row by row time, distance and speed of a run; `tenth` of the second it is said in.
    fn rows() -> Vec<[f64; 3]> {
        let row = |i: usize| {
            let t = 0.1 * i as f64;
            [t, 20.0 * t, 60.0 + 20.0 * (0.7 * t).sin()]
        };
        (0..200).map(row).collect()
    }

    fn text(heading: &str, rows: &[[f64; 3]], from: usize) -> String {
        let line = |row: &[f64; 3]| {
            let cells = row[from..].iter().map(|value| format!("{value:.3}"));
            cells.collect::<Vec<_>>().join(",") + "\n"
        };
        format!("{heading}\n{}", rows.iter().map(line).collect::<String>())
    }

    #[test]
    fn a_log_that_was_sorted_by_speed_is_put_in_order_and_that_is_said() {
        for (heading, from) in [
            ("time,distance (m),speed (km/h)", 0),
            ("distance (m),speed (km/h)", 1),
        ] {
            let plain = parse(
                Source::new("run.csv", text(heading, &rows(), from)),
                &mut Findings::new(),
            );
            let mut sorted = rows();
            sorted.sort_by(|a, b| a[2].total_cmp(&b[2]));
            let mut findings = Findings::new();
            let found = parse(
                Source::new("run.csv", text(heading, &sorted, from)),
                &mut findings,
            );
            let said = format!("{findings:?}");
            assert_eq!(found.unwrap().run.speed, plain.unwrap().run.speed);
            let name = if from == 0 { "time" } else { "distance" };
            let wanted = format!("rows stand in order of `speed`: put in order of {name}");
            assert!(said.contains(&wanted), "{said}");
        }
    }

    /// Times of whole seconds stand many times, and laps whose clock begins anew are in order.
    #[test]
    fn what_has_no_order_or_is_in_order_stays() {
        let mut sorted = rows();
        sorted.sort_by(|a, b| a[2].total_cmp(&b[2]));
        sorted.iter_mut().for_each(|row| row[0] = row[0].floor());
        let laps: Vec<[f64; 3]> = rows()
            .into_iter()
            .map(|[t, s, v]| [(t + 0.05) % 7.03, s, v])
            .collect();
        for rows in [sorted, laps] {
            let mut findings = Findings::new();
            parse(
                Source::new("run.csv", text("time,distance (m),speed (km/h)", &rows, 0)),
                &mut findings,
            );
            assert!(
                !format!("{findings:?}").contains("put in order"),
                "{findings:?}"
            );
        }
    }
}
