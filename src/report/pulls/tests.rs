use super::*;
use crate::dyno::attribute;
use crate::files::source::Source;
use crate::files::testday;

/// A day typed in: two specs, the second higher by a share below and above 4,500 rpm.
fn day(below: f64, above: f64, fittings: usize) -> TestDay {
    let rpm: Vec<f64> = (0..=10).map(|i| 2500.0 + 400.0 * f64::from(i)).collect();
    let torque = |share: &dyn Fn(f64) -> f64| {
        let values = rpm.iter().map(|n| 150.0 * (1.0 + share(*n)));
        values
            .map(|t| format!("{t:.3}"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let speeds: Vec<String> = rpm.iter().map(f64::to_string).collect();
    let speeds = speeds.join(", ");
    let spec = |name: &str, torque: &str| {
        let fitting = format!("{{points: {{rpm: [{speeds}], torque: [{torque}]}}}}");
        let list = vec![fitting; fittings].join(", ");
        format!("  - {{name: {name}, parts: {{cam: {name}}}, fittings: [{list}]}}\n")
    };
    let flat = torque(&|_| 0.0);
    let other = torque(&|n| if n < 4500.0 { below } else { above });
    let yaml = format!(
        "corrected: DIN 70020\nspecs:\n{}{}",
        spec("mild", &flat),
        spec("wild", &other)
    );
    let mut findings = Findings::new();
    testday::decode(Source::new("testday.yaml", yaml), &mut findings)
        .unwrap_or_else(|| panic!("{findings:?}"))
}

/// The sheet of a day as text.
fn told(day: &TestDay) -> String {
    let reduced = day.reduce().unwrap();
    let findings = Findings::new();
    let sheet = sheet(day, &reduced, &findings);
    text(&sheet, Paint::plain())
}

fn sheet<'a>(day: &'a TestDay, reduced: &'a Reduced, findings: &'a Findings) -> Sheet<'a> {
    Sheet {
        name: "day",
        day,
        reduced,
        without_first: None,
        beside: 0,
        comparisons: reduced.compare(1, 0).into_iter().collect(),
        attribution: attribute(&day.specs),
        outlying: reduced.outlying(),
        without_outlying: None,
        unlike: day.unlike(),
        steps: reduced.next_steps(1, 0),
        layout: None,
        band: Stretch {
            from_rpm: 3000.0,
            to_rpm: 6000.0,
        },
        at: Vec::new(),
        findings,
    }
}

#[test]
fn nothing_is_said_to_lead_where_the_interval_holds_zero() {
    // One fitting each scatters by 0.7 %: 0.3 % is nothing, 4 % is something.
    let level = told(&day(0.003, 0.003, 1));
    assert!(
        level.starts_with("wild and mild: these pulls show no difference\n"),
        "{level}"
    );
    assert!(
        level.contains("by less than these pulls resolve"),
        "{level}"
    );
    assert!(!level.contains("makes more"), "{level}");
    let above = told(&day(0.04, 0.04, 1));
    assert!(
        above.starts_with("wild makes more than mild at every engine speed\n"),
        "{above}"
    );
    let crossing = told(&day(-0.04, 0.04, 1));
    assert!(crossing.starts_with("mild makes more below "), "{crossing}");
    assert!(crossing.contains("wild crosses mild at 4,"), "{crossing}");
    let open = told(&day(-0.04, 0.003, 1));
    assert!(open.contains(", open above: from "), "{open}");
    assert!(
        open.starts_with("mild makes more than wild below "),
        "{open}"
    );
}

/// For any difference: the headline names a leader exactly where a band is resolved for it.
#[test]
fn property_headline_and_bands_agree() {
    for below in [-0.05, -0.02, -0.01, 0.0, 0.01, 0.02, 0.05] {
        for above in [-0.05, -0.01, 0.0, 0.015, 0.05] {
            let day = day(below, above, 2);
            let reduced = day.reduce().unwrap();
            let findings = Findings::new();
            let sheet = sheet(&day, &reduced, &findings);
            let comparison = &sheet.comparisons[0];
            let headline = words::headline(&sheet, comparison);
            let resolved = |sign: f64| {
                comparison
                    .gains
                    .iter()
                    .any(|g| g.torque.is_resolved() && g.torque.value * sign > 0.0)
            };
            let leads = |name: &str, other: &str| {
                headline.starts_with(&format!("{name} makes more"))
                    || headline.contains(&format!(", {name} "))
                        && headline.starts_with(&format!("{other} makes more"))
            };
            for (name, other, sign) in [("wild", "mild", 1.0), ("mild", "wild", -1.0)] {
                if resolved(sign) {
                    assert!(leads(name, other), "{below} {above}: {headline}");
                }
            }
            if comparison.unresolved.len() == 1 && comparison.unresolved[0] == comparison.range {
                assert!(headline.ends_with("show no difference"), "{headline}");
            }
        }
    }
}

/// Slivers between leads, and leads that are slivers, are finer than pulls tell.
#[test]
fn the_headline_passes_over_slivers() {
    let day = day(0.04, 0.04, 1);
    let reduced = day.reduce().unwrap();
    let findings = Findings::new();
    let sheet = sheet(&day, &reduced, &findings);
    let with = |unresolved: &[(f64, f64)]| {
        let mut comparison = sheet.comparisons[0].clone();
        comparison.unresolved = unresolved
            .iter()
            .map(|&(from_rpm, to_rpm)| Stretch { from_rpm, to_rpm })
            .collect();
        words::headline(&sheet, &comparison)
    };
    assert_eq!(
        with(&[(4000.0, 4020.0), (5000.0, 5600.0), (6450.0, 6470.0)]),
        "wild makes more than mild below 5,000 rpm and above 5,600 rpm"
    );
    assert_eq!(
        with(&[(2500.0, 4000.0), (4060.0, 5000.0)]),
        "wild makes more than mild above 5,000 rpm"
    );
    assert_eq!(
        with(&[(2500.0, 4000.0), (4110.0, 6500.0)]),
        "wild makes more than mild from 4,000 rpm to 4,110 rpm"
    );
    assert_eq!(
        with(&[(2500.0, 4000.0), (4060.0, 6500.0)]),
        "wild and mild: these pulls show no difference"
    );
}

#[test]
fn a_return_over_two_fittings_is_one() {
    let mut day = day(0.04, 0.04, 2);
    day.order = vec![(0, 0), (1, 0), (1, 1), (0, 1)];
    let text = told(&day).replace("\n  ", " ");
    assert!(text.contains("Mild again after wild: drift"), "{text}");
    day.order = vec![(0, 0), (0, 1), (1, 0), (1, 1)];
    assert!(day.returns().is_empty());
}

#[test]
fn a_spec_that_kept_its_tune_is_named() {
    let mut day = day(0.04, 0.04, 1);
    assert!(!told(&day).contains("Not retuned"));
    day.specs[1].retuned = Some(false);
    assert!(told(&day).contains("Not retuned: wild; "));
}

#[test]
fn a_new_day_says_what_it_shows_and_what_it_cannot() {
    let day = day(0.04, 0.04, 2);
    let reduced = day.reduce().unwrap();
    let findings = Findings::new();
    let said = |difference: f64| {
        let sheet = Sheet {
            layout: Some((difference, reduced.lay_out(difference))),
            ..sheet(&day, &reduced, &findings)
        };
        next::next(&sheet).pop().unwrap()
    };
    let enough = said(0.025);
    assert!(
        enough.starts_with("To show 2.5 % in four days of five: "),
        "{enough}"
    );
    assert!(enough.contains(" fittings of two specs, A B"), "{enough}");
    let beyond = said(0.0005);
    let wanted = "No day of ten fittings shows 0.05 % in four days of five; 10 fittings";
    assert!(beyond.starts_with(wanted), "{beyond}");
    assert!(beyond.contains(", show 0."), "{beyond}");
}

#[test]
fn a_refit_is_told_as_what_it_is() {
    let once = told(&day(0.04, 0.04, 1));
    assert!(
        once.contains("No spec was pulled twice: every interval rests on what is usual"),
        "{once}"
    );
    let again = told(&day(0.04, 0.04, 2)).replace("\n  ", " ");
    assert!(again.contains("(2 refits, and what is usual)"), "{again}");
    assert!(again.contains("Mild again after wild"), "{again}");
}

#[test]
fn lines_end_before_the_screen_does_and_keep_numbers_with_their_units() {
    for line in told(&day(-0.04, 0.04, 2)).lines() {
        assert!(line.chars().count() <= 100, "{line}");
        let start = line.trim_start();
        assert!(
            !start.starts_with('%') && !start.starts_with("rpm"),
            "{line}"
        );
    }
}

#[test]
fn charts_name_both_specs_and_what_to_notice() {
    let day = day(-0.04, 0.04, 2);
    let reduced = day.reduce().unwrap();
    let findings = Findings::new();
    let charts = charts(&sheet(&day, &reduced, &findings));
    assert_eq!(charts.len(), 1);
    assert_eq!(charts[0].file, "wild-less-mild.svg");
    let svg = &charts[0].svg;
    assert!(svg.contains("<title>mild makes more below ") && svg.contains("<desc>"));
    assert!(svg.contains("difference, N·m") && svg.contains("engine speed, rpm"));
    assert!(!svg.contains("NaN"));
}
