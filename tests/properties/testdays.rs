//! Whatever is pulled in whatever order: curves, intervals and draws stay finite and in order.

use proptest::prelude::*;
use pullrank::dyno::{Normals, Reduced, TestDay, attribute};
use pullrank::files::finding::Findings;
use pullrank::files::source::Source;
use pullrank::files::testday;

/// One pull: level and slope off the usual curve, rpm its range is shifted by.
#[derive(Debug, Clone)]
struct Off {
    level: f64,
    slope: f64,
    shift: i32,
}

/// The specs of a day: each its fittings, each its pulls.
type Day = Vec<Vec<Vec<Off>>>;

fn days() -> impl Strategy<Value = Day> {
    let off = (-0.05f64..0.05, -0.05f64..0.05, -3i32..3).prop_map(|(level, slope, shift)| Off {
        level,
        slope,
        shift: 40 * shift,
    });
    let fitting = prop::collection::vec(off, 1..5);
    let spec = prop::collection::vec(fitting, 1..4);
    prop::collection::vec(spec, 1..5)
}

fn read(day: &Day) -> TestDay {
    let mut yaml = String::from("corrected: DIN 70020\nspecs:\n");
    for (i, spec) in day.iter().enumerate() {
        yaml += &format!(
            "  - name: spec {i}\n    parts: {{a: {}, b: {}}}\n    fittings:\n",
            i % 2,
            i / 2
        );
        for fitting in spec {
            yaml += "      - points:\n";
            for off in fitting {
                let rpm: Vec<i32> = (0..8).map(|k| 2600 + 600 * k + off.shift).collect();
                let torque: Vec<String> = rpm
                    .iter()
                    .map(|n| {
                        let x = (f64::from(*n) - 4700.0) / 2100.0;
                        let torque = 190.0 - 25.0 * x * x;
                        format!("{:.2}", torque * (1.0 + off.level + off.slope * x))
                    })
                    .collect();
                yaml += &format!(
                    "          - {{rpm: {rpm:?}, torque: [{}]}}\n",
                    torque.join(", ")
                );
            }
        }
    }
    let mut findings = Findings::new();
    testday::decode(Source::new("testday.yaml", yaml), &mut findings)
        .unwrap_or_else(|| panic!("{findings:?}"))
}

/// Numbers that stand for normal ones.
struct Waves(f64);

impl Normals for Waves {
    fn shared(&mut self) -> f64 {
        self.0 += 1.0;
        2.0 * self.0.sin()
    }
    fn of_spec(&mut self, _: usize) -> f64 {
        self.shared()
    }
}

fn check(reduced: &Reduced) -> Result<(), TestCaseError> {
    let n = reduced.specs.len();
    for spec in 0..n {
        for (rpm, torque) in reduced.specs[spec].curve.points() {
            let band = reduced.torque(spec, rpm);
            prop_assert!(band.low.is_finite() && band.high.is_finite());
            prop_assert!(band.low < torque && torque < band.high);
        }
        for other in (0..n).filter(|other| *other != spec) {
            let Some(found) = reduced.compare(spec, other) else {
                continue;
            };
            prop_assert!(found.half_width.is_finite() && found.half_width > 0.0);
            let mut last = found.range.from_rpm;
            for stretch in &found.unresolved {
                prop_assert!(last <= stretch.from_rpm && stretch.from_rpm <= stretch.to_rpm);
                last = stretch.to_rpm;
            }
            prop_assert!(last <= found.range.to_rpm);
            for one in &found.crossovers {
                for at in &one.at_rpm {
                    prop_assert!(one.low.is_none_or(|low| low <= *at));
                    prop_assert!(one.high.is_none_or(|high| *at <= high));
                    let zero = found
                        .unresolved
                        .iter()
                        .any(|s| s.from_rpm <= *at && *at <= s.to_rpm);
                    prop_assert!(zero, "a crossover is never resolved where it is");
                }
            }
            for gain in &found.gains {
                prop_assert!(gain.torque.low < gain.torque.high);
            }
        }
    }
    for curve in reduced.drawer().draw(&mut Waves(0.0)) {
        prop_assert!(
            curve
                .points()
                .all(|(_, torque)| torque.is_finite() && torque > 0.0)
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn curves_intervals_and_draws_are_finite_and_in_order(day in days()) {
        let day = read(&day);
        let reduced = day.reduce().unwrap();
        check(&reduced)?;
        for one in reduced.outlying() {
            prop_assert!(one.off.is_finite() && one.usual > 0.0);
        }
        for effect in &attribute(&day.specs).effects {
            prop_assert!(effect.contrast.is_some() || effect.changes.len() > 1);
        }
    }

    /// What everything is multiplied by changes no relative result.
    #[test]
    fn a_dyno_that_reads_high_all_day_changes_no_difference(day in days(), by in 0.8f64..1.25) {
        let first = read(&day);
        let mut second = first.clone();
        for fitting in second.specs.iter_mut().flat_map(|spec| &mut spec.fittings) {
            for pull in &mut fitting.pulls {
                pull.torque.iter_mut().for_each(|torque| *torque *= by);
            }
        }
        let (a, b) = (first.reduce().unwrap(), second.reduce().unwrap());
        if a.specs.len() > 1
            && let (Some(x), Some(y)) = (a.compare(0, 1), b.compare(0, 1))
        {
            prop_assert!((x.half_width / y.half_width - 1.0).abs() < 1e-6);
            prop_assert_eq!(x.crossovers.len(), y.crossovers.len());
            prop_assert!((x.whole.torque.value * by - y.whole.torque.value).abs() < 1e-6);
        }
    }
}
