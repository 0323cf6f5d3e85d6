//! Logs with what lies around the pull: holds, a throttle that opens and closes, limiters, the way up through
//! the gears.

use std::fmt::Write;

use super::pullrank;
use super::testdays::{Bench, LONG, STEPS, TWO, WEATHER, sheet};

const SWEEP: &str = "dyno: {measures: flywheel, method: sweep, inertia_compensated: yes}\n";

fn day(dyno: &str) -> String {
    format!("{dyno}correct_to: DIN 70020\n{WEATHER}{TWO}")
}

/// Torque of an invented engine, N·m.
fn engine(rpm: f64) -> f64 {
    150.0 + 53.0 * (-((rpm - 5400.0) / 2200.0).powi(2)).exp()
}

/// A log of a sweep at 300 rpm/s from 2,500 rpm.
struct Log {
    /// Rows a second.
    rate: f64,
    /// How long the engine is held before, s.
    held: f64,
    /// How long the throttle takes to open, s.
    opens: f64,
    /// Whether what is measured comes up slowly, as through a filter.
    filtered: bool,
    /// Last engine speed, rpm.
    last: f64,
    /// Rows with half the torque at the end.
    lifted: usize,
    /// Rows on the limiter.
    limited: usize,
    /// Changes of gear before, at part throttle.
    gears: usize,
    /// Rows of running out.
    out: usize,
}

const PLAIN: Log = Log {
    rate: 10.0,
    held: 0.0,
    opens: 0.0,
    filtered: false,
    last: 7240.0,
    lifted: 0,
    limited: 0,
    gears: 0,
    out: 0,
};

impl Log {
    fn text(&self, off: f64) -> String {
        let step = 1.0 / self.rate;
        let mut points: Vec<(f64, f64)> = Vec::new();
        for _ in 0..self.gears {
            points.extend((0..40).map(|k| (1600.0 + 50.0 * f64::from(k), 60.0)));
            points.extend((1..4).map(|k| (3600.0 - 500.0 * f64::from(k), -10.0)));
        }
        let held = (self.held * self.rate) as u32;
        points.extend((0..held).map(|k| (if k % 2 == 0 { 2504.0 } else { 2496.0 }, 35.0)));
        let mut time = 0.0;
        loop {
            let open = match self.filtered {
                true => 1.0 - (-time / self.opens).exp(),
                false => (time / self.opens.max(1e-9)).min(1.0),
            };
            let rpm = 2500.0 + 300.0 * (time - 0.5 * self.opens).max(0.0);
            if rpm > self.last + 0.5 {
                break;
            }
            let open = if self.opens > 0.0 {
                0.2 + 0.8 * open
            } else {
                1.0
            };
            points.push((rpm, open * engine(rpm)));
            time += step;
        }
        points.extend(
            (1..=self.lifted).map(|k| (self.last + 5.0 * k as f64, 0.55 * engine(self.last))),
        );
        let bounce = [(30.0, 150.0), (-20.0, 40.0), (10.0, 95.0), (40.0, 20.0)];
        points.extend((0..self.limited).map(|k| (self.last + bounce[k % 4].0, bounce[k % 4].1)));
        points.extend((1..=self.out).map(|k| (self.last - 120.0 * k as f64, -20.0)));
        let mut out = "time (s),rpm,torque (Nm)\n".to_owned();
        for (row, (rpm, torque)) in points.into_iter().enumerate() {
            let _ = writeln!(out, "{:.3},{rpm:.0},{:.2}", step * row as f64, off * torque);
        }
        out
    }

    /// The curve that comes of it, and what is printed and said.
    fn curve(&self) -> (Vec<(f64, f64)>, String, String) {
        let bench = Bench::new();
        for (spec, by) in [("long", 1.0), ("short", 0.97)] {
            for (k, off) in [(1, 0.999), (2, 1.001)] {
                bench.file(&format!("{spec}/{spec}-{k}.csv"), self.text(by * off));
            }
        }
        let (out, said) = bench.shows(&day(SWEEP));
        let csv = pullrank().arg("pulls").arg(&bench.0).arg("--csv").output();
        let csv = String::from_utf8(csv.unwrap().stdout).unwrap();
        let cells = csv.lines().filter(|line| line.starts_with("long,"));
        let number = |cell: Option<&str>| cell.unwrap().parse::<f64>().unwrap();
        let curve = cells.map(|line| {
            let mut cells = line.split(',').skip(1);
            (number(cells.next()), number(cells.next()))
        });
        (curve.collect(), out.replace("\n  ", " "), said)
    }
}

/// The furthest the curve lies off the engine, as a share.
fn off(curve: &[(f64, f64)]) -> f64 {
    let off = curve
        .iter()
        .map(|(rpm, torque)| (torque / engine(*rpm) - 1.0).abs());
    off.fold(0.0, f64::max)
}

#[test]
fn a_clean_sweep_keeps_its_first_and_its_last_row() {
    for log in [
        PLAIN,
        Log {
            rate: 20.0,
            ..PLAIN
        },
        Log { out: 30, ..PLAIN },
    ] {
        let (curve, out, said) = log.curve();
        let (first, last) = (curve[0].0, curve[curve.len() - 1].0);
        assert!(first < 2512.0 && last > 7225.0, "{first} to {last}: {out}");
        assert!(off(&curve) < 0.003, "{}", off(&curve));
        assert_eq!(said, "");
    }
}

#[test]
fn what_is_pulled_while_the_throttle_opens_is_left_out() {
    for (rate, held, opens, filtered) in [
        (10.0, 2.0, 0.8, false),
        (50.0, 2.0, 0.4, false),
        (10.0, 0.0, 0.4, false),
        (20.0, 3.0, 1.2, false),
        (20.0, 2.0, 0.2, true),
    ] {
        let log = Log {
            rate,
            held,
            opens,
            filtered,
            ..PLAIN
        };
        let (curve, out, said) = log.curve();
        assert!(
            off(&curve) < 0.03,
            "{rate} {opens}: {} {:?}",
            off(&curve),
            &curve[..4]
        );
        assert!(curve[0].0 < 2650.0 + 450.0 * opens, "{:?}", curve[0]);
        assert!(out.contains("while the throttle opened or closed"), "{out}");
        assert_eq!(said, "", "{rate} {opens}");
    }
}

#[test]
fn a_lift_and_a_limiter_are_no_spikes_and_bend_nothing() {
    let lifted = Log { lifted: 2, ..PLAIN };
    let limited = Log {
        limited: 12,
        rate: 20.0,
        out: 20,
        ..PLAIN
    };
    let mut told = false;
    for log in [lifted, limited] {
        let (curve, out, said) = log.curve();
        assert!(off(&curve) < 0.003, "{}", off(&curve));
        assert!(
            curve[curve.len() - 1].0 > 7200.0,
            "{:?}",
            curve[curve.len() - 1]
        );
        told |= out.contains("while the throttle opened or closed");
        assert_eq!(said, "");
    }
    assert!(told, "rows of a limiter are counted");
}

#[test]
fn the_way_up_through_the_gears_is_no_part_of_the_pull() {
    let log = Log {
        gears: 2,
        held: 2.0,
        opens: 0.4,
        out: 20,
        ..PLAIN
    };
    let (curve, out, said) = log.curve();
    assert!(off(&curve) < 0.03, "{}: {out}", off(&curve));
    assert!(curve[0].0 > 2400.0 && curve[0].0 < 2700.0, "{:?}", curve[0]);
    assert_eq!(said, "");
}

/// Boost that builds up within a thousand rpm is the engine's own.
#[test]
fn boost_that_builds_up_is_kept() {
    let bench = Bench::new();
    for spec in ["long", "short"] {
        for (k, off) in [(1, 0.999), (2, 1.001)] {
            let mut text = "time (s),rpm,torque (Nm)\n".to_owned();
            for row in 0..160 {
                let rpm = 2000.0 + 30.0 * f64::from(row);
                let torque = (100.0 + 220.0 * ((rpm - 2000.0) / 1000.0).min(1.0)) * off;
                let _ = writeln!(text, "{:.1},{rpm:.0},{torque:.2}", 0.1 * f64::from(row));
            }
            bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
        }
    }
    let (out, _) = bench.shows(&day(SWEEP));
    assert!(!out.contains("outside the sweeps"), "{out}");
}

#[test]
fn steps_may_be_held_from_the_highest_down() {
    let bench = Bench::new();
    for k in 1..3 {
        let text = sheet("rpm,torque (Nm)", &LONG, 1.0 + 0.001 * f64::from(k));
        let (heading, rows) = text.split_once('\n').unwrap();
        let rows: Vec<&str> = rows.lines().rev().collect();
        bench.file(
            &format!("long/long-{k}.csv"),
            format!("{heading}\n{}\n", rows.join("\n")),
        );
    }
    let (_, said) = bench.shows(&day(STEPS));
    assert_eq!(said, "");
    let (out, said) = bench.shows(&day(SWEEP));
    assert_eq!(said, "");
    assert!(
        out.contains("highest engine speed down are turned round"),
        "{out}"
    );
}
