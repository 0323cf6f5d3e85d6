//! Demo test days.

use std::path::Path;

use pullrank::dyno::{Curve, Reduced};
use pullrank::files::finding::{Findings, Severity};
use pullrank::files::testday;

use super::make_demo_pulls::{demo_curves, demo_pulls};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn reduced(car: &str) -> Reduced {
    let mut findings = Findings::new();
    let path = root().join("cars").join(car).join("testday.yaml");
    let day = testday::read(&path, &mut findings);
    let loud = findings.iter().filter(|f| f.severity != Severity::Assumed);
    assert_eq!(loud.count(), 0, "{findings:?}");
    day.unwrap().reduce().unwrap()
}

#[test]
fn the_committed_pulls_are_what_the_generator_writes() {
    let pulls = demo_pulls();
    assert_eq!(pulls.len(), 12 + 8);
    for (path, text) in pulls {
        let committed = std::fs::read_to_string(root().join(&path)).unwrap();
        assert!(
            committed == text,
            "{path}: run `cargo run --example make_demo_pulls`"
        );
    }
}

/// At the shift of the day the curves behind the pulls come back within the scatter: levels within
/// three standard deviations of their mean (fitting 0.5 %, pull 0.3 %, first pull −0.8 %), shapes
/// within three of the smooth residual's.
#[test]
fn the_demo_days_give_back_the_curves_behind_them() {
    for car in ["rowan-coupe", "plum-hatch"] {
        let reduced = reduced(car);
        let mut levels = Vec::new();
        for (i, (_, name, torque)) in demo_curves()
            .into_iter()
            .filter(|(folder, ..)| folder.contains(car))
            .enumerate()
        {
            let rpm = (0..torque.len())
                .map(|i| 2500.0 + 500.0 * i as f64)
                .collect();
            let behind = Curve::new(rpm, torque).unwrap();
            let spec = &reduced.specs[i];
            assert!(spec.name.starts_with(name));
            // Below 6,000 rpm the leaking plug lead has no part in it.
            let off: Vec<f64> = (26..=60)
                .map(|k| 100.0 * f64::from(k))
                .map(|n| (spec.curve.torque(n) / behind.torque(n)).ln())
                .collect();
            let level = off.iter().sum::<f64>() / off.len() as f64;
            let pulls = spec.pulls.len() as f64;
            for one in &off {
                let residual = (one - level).abs();
                assert!(
                    residual < 3.0 * 0.002 / pulls.sqrt() + 4e-4,
                    "{name} {residual}"
                );
            }
            levels.push((name, level, pulls));
        }
        for (name, level, pulls) in levels {
            let sd = (0.005f64.powi(2) + 0.003f64.powi(2) / pulls).sqrt();
            // First pulls and the drift pull every level down.
            let expected = -0.008 / pulls.min(3.0) - 0.003 * 2.0;
            assert!(
                (level - expected).abs() < 3.0 * sd + 0.006,
                "{name} {level}"
            );
        }
    }
}
