//! What the page says is what `--json` says.

use std::sync::OnceLock;

use serde_json::Value;

use super::{DRAWS, demo};
use crate::commands::{json, pullrank};

/// The cells of the table rows of a figure, tags taken off.
fn rows(html: &str, figure: &str) -> Vec<Vec<String>> {
    let from = html
        .find(&format!("<figure id=\"{figure}\""))
        .expect(figure);
    let body = html[from..].split("<tbody>").nth(1).unwrap();
    let body = body.split("</tbody>").next().unwrap();
    let cells = |row: &str| -> Vec<String> {
        let parts = row.split("</t").filter(|part| part.contains('>'));
        let texts = parts.filter_map(|part| part.rsplit('>').next());
        let texts = texts.map(str::trim).map(str::to_owned);
        texts.collect()
    };
    body.split("<tr").skip(1).map(cells).collect()
}

fn answer() -> &'static Value {
    static ANSWER: OnceLock<Value> = OnceLock::new();
    ANSWER.get_or_init(|| {
        json(pullrank().args([
            "rank",
            "examples/club-season.yaml",
            "--draws",
            DRAWS,
            "--json",
        ]))
    })
}

#[test]
fn gaps_wins_and_verdicts_are_those_of_the_json() {
    let (html, answer) = (demo().html(), answer());
    let rows = rows(&html, "gaps");
    let venues = answer["venues"].as_array().unwrap();
    assert_eq!(rows.len(), venues.len());
    for (row, venue) in rows.iter().zip(venues) {
        let verdict = &venue["verdict"];
        let places = if venue["kind"] == "stage" { 1 } else { 2 };
        let seconds = |value: &Value| {
            let text = format!("{:.places$}", value.as_f64().unwrap());
            let zero = text.bytes().all(|b| !matches!(b, b'1'..=b'9'));
            if zero { text.replace('-', "") } else { text }
        };
        let gap = &verdict["gap"];
        assert_eq!(row[0], venue["name"].as_str().unwrap());
        assert_eq!(row[1], verdict["leader"].as_str().unwrap());
        assert_eq!(row[2], seconds(&gap["median_s"]));
        let within = format!("{} to {}", seconds(&gap["low_s"]), seconds(&gap["high_s"]));
        assert_eq!(row[3], within);
        assert_eq!(row[6], verdict["word"].as_str().unwrap());
        let leader = answer["specs"]
            .as_array()
            .unwrap()
            .iter()
            .position(|s| s["name"] == verdict["leader"]);
        let wins = verdict["wins_of_100"][leader.unwrap()].as_f64().unwrap();
        // Of a hundred, or of all draws where there are fewer.
        let of = answer["draws"].as_f64().unwrap().min(100.0);
        assert_eq!(row[5], format!("{:.0}", wins * of / 100.0));
    }
}

/// Bands, mass and rest are what the answer says, seen from the spec that is ahead.
#[test]
fn seconds_won_in_bands_are_those_of_the_json() {
    let (html, answer) = (demo().html(), answer());
    for (index, venue) in answer["venues"].as_array().unwrap().iter().enumerate() {
        let rows = rows(&html, &format!("venue-{}-torque", index + 1));
        let gains = &venue["gains"];
        let sign = match gains["quicker"] == venue["verdict"]["leader"] {
            true => 1.0,
            false => -1.0,
        };
        let shown = |name: &str| -> f64 {
            let row = rows.iter().find(|row| row[0] == name).expect(name);
            row[4].parse().unwrap()
        };
        let near = |shown: f64, exact: f64| {
            assert!((shown - sign * exact).abs() < 0.0051, "{shown} {exact}")
        };
        near(shown("rest"), gains["rest_s"].as_f64().unwrap());
        for low in (3_000..7_000).step_by(500) {
            let inside = gains["bands"].as_array().unwrap().iter().filter(|band| {
                (f64::from(low)..f64::from(low + 500)).contains(&band["low_rpm"].as_f64().unwrap())
            });
            let sum: f64 = inside
                .map(|band| band["quicker_wins_s"].as_f64().unwrap())
                .sum();
            let name = format!(
                "{},{:03} to {},{:03}",
                low / 1000,
                low % 1000,
                (low + 500) / 1000,
                (low + 500) % 1000
            );
            near(shown(&name), sum);
        }
    }
}

/// The runs of each venue add up to the gap between the two times, but for what is rounded.
#[test]
fn runs_from_corner_to_corner_add_up_to_the_gap() {
    let (html, answer) = (demo().html(), answer());
    for (index, venue) in answer["venues"].as_array().unwrap().iter().enumerate() {
        let rows = rows(&html, &format!("venue-{}-runs", index + 1));
        let sum: f64 = rows.iter().map(|row| row[3].parse::<f64>().unwrap()).sum();
        let specs = answer["specs"].as_array().unwrap();
        let place = |name: &Value| specs.iter().position(|s| s["name"] == *name).unwrap();
        let verdict = &venue["verdict"];
        let time = |spec: usize| {
            venue["specs"][spec]["as_geared"]["time_s"]
                .as_f64()
                .unwrap()
        };
        let gap = time(place(&verdict["next"])) - time(place(&verdict["leader"]));
        // Each row is rounded to a hundredth: the sum of n such errors has an sd of 0.0029·√n.
        let tolerance = 4.0 * 0.0029 * (rows.len() as f64).sqrt() + 1e-9;
        assert!(
            (sum - gap).abs() < tolerance,
            "{}: {sum} and {gap}",
            venue["name"]
        );
    }
}
