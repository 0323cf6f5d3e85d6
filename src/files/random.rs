//! No text makes a reader panic, hang or refuse without a word.

use proptest::prelude::*;
use std::path::Path;

use super::finding::{Findings, Severity};
use super::source::Source;
use super::table::Table;
use super::yaml;
use crate::car::tyre::Tyre;
use crate::units::{self, DIMENSIONS};

/// Text as it comes out of accidents: marks that mean something, digits, letters, odd characters.
fn accident() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[-:,;\\[\\]{}#&*!|>'\"%@`?~]{1,3}",
        "[0-9.,+eE]{1,6}",
        "[a-zA-Z°²µ]{1,6}",
        "[ \t\r\n]{1,4}",
        "\\PC{1,2}",
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn property_yaml_is_read_or_refused(text in accident()) {
        let mut findings = Findings::new();
        let read = yaml::decode(Source::new("x.yaml", text), &mut findings, |root| {
            let known = root.is_mapping() || root.is_list() || root.word().is_some();
            Some(known || root.is_empty())
        });
        prop_assert_eq!(read.is_none(), findings.has_errors());
        for finding in &findings {
            prop_assert!(!finding.to_string().is_empty());
        }
    }

    #[test]
    fn property_tables_are_read_or_refused(text in accident()) {
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("x.csv", text), &mut findings);
        prop_assert_eq!(table.is_none(), findings.has_errors());
        let Some(table) = table else { return Ok(()) };
        for column in 0..table.columns.len() {
            for dimension in DIMENSIONS {
                let mut found = Findings::new();
                let unit = dimension.units[0].name();
                let values = table.numbers(column, dimension, Some(unit), &mut found);
                prop_assert_eq!(values.is_none(), found.has_errors());
                prop_assert!(values.unwrap_or_default().iter().all(|v| v.is_finite()));
            }
            for row in 0..table.height() {
                let mark = table.mark(row, column);
                prop_assert!(mark.line > 0 && mark.column > 0);
            }
        }
    }

    #[test]
    fn property_quantities_are_finite_or_refused(text in accident()) {
        for dimension in DIMENSIONS {
            match units::read(&text, dimension, None) {
                Ok(reading) => prop_assert!(reading.si.is_finite()),
                Err(fault) => prop_assert!(!fault.remedy(dimension).is_empty()),
            }
        }
        let _ = units::read_share(&text);
        let _ = units::read_slope(&text);
        let _ = units::clock(&text);
        if let Ok(tyre) = Tyre::parse(&text) {
            prop_assert!((0.1..1.0).contains(&tyre.rolling_radius()));
        }
    }

    /// Cells parted and quoted in any usual way give the numbers that were written.
    #[test]
    fn property_layouts_do_not_change_numbers(
        rows in prop::collection::vec((500.0..9000.0f64, 1.0..900.0f64), 2..30),
        delimiter in prop_oneof![Just(','), Just(';'), Just('\t')],
        comma in any::<bool>(),
        quotes in any::<bool>(),
        ends in prop_oneof![Just("\n"), Just("\r\n")],
        digits in 0usize..4,
    ) {
        let comma = comma && delimiter != ',';
        let cell = |value: f64| {
            let text = format!("{value:.digits$}");
            let text = if comma { text.replace('.', ",") } else { text };
            if quotes { format!("\"{text}\"") } else { text }
        };
        let mut text = format!("rpm{delimiter}torque (Nm){ends}");
        for (rpm, torque) in &rows {
            text += &format!("{}{delimiter}{}{ends}", cell(*rpm), cell(*torque));
        }
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("x.csv", text), &mut findings).unwrap();
        let torque = table.numbers(1, &units::TORQUE, None, &mut findings);
        prop_assert!(findings.is_empty(), "{:?}", findings);
        let written: Vec<f64> =
            rows.iter().map(|(_, t)| format!("{t:.digits$}").parse().unwrap()).collect();
        prop_assert_eq!(torque.unwrap(), written);
    }
}

/// Every file of the demo is what its folder says it is.
#[test]
fn demo_files_are_known_by_their_keys() {
    use super::kind::{FileKind, kind_of};
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let kind = |path: &str| kind_of(&root.join(path));
    assert_eq!(kind("cars/rowan-coupe/car.yaml"), Some(FileKind::Car));
    assert_eq!(
        kind("cars/rowan-coupe/testday.yaml"),
        Some(FileKind::TestDay)
    );
    assert_eq!(kind("examples/club-season.yaml"), Some(FileKind::Study));
    assert_eq!(kind("tracks/vennick.yaml"), Some(FileKind::Track));
    assert_eq!(kind("Cargo.toml"), None);
    assert_eq!(kind("tracks"), None);
}

/// Many faults are listed up to a number, and the file is still refused.
#[test]
fn a_file_of_faults_is_cut_short() {
    let text: String = (0..5000).map(|i| format!("k{i}: 1\n")).collect();
    let mut findings = Findings::new();
    yaml::decode(Source::new("x.yaml", text), &mut findings, |root| {
        root.mapping(&["mass"]).map(|_| ())
    });
    assert!((200..=201).contains(&findings.of(Severity::Error).count()));
    let repeated = "a: 1\n".repeat(50_000);
    let mut findings = Findings::new();
    yaml::decode(Source::new("x.yaml", repeated), &mut findings, |_| Some(()));
    assert!(findings.len() <= 202);
}
