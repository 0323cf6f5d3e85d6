use super::*;
use crate::dyno::{Breathing, MeasuredAt, Standard};
use crate::files::finding::Severity;
use approx::assert_relative_eq;
use std::path::PathBuf;

/// A folder of pull files for one test, removed with it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str, files: &[(&str, &str)]) -> Self {
        let path = std::env::temp_dir().join(format!("pullrank-{}-{name}", std::process::id()));
        for (file, text) in files {
            let file = path.join(file);
            std::fs::create_dir_all(file.parent().unwrap()).unwrap();
            std::fs::write(file, text).unwrap();
        }
        Self(path)
    }

    fn day(&self, yaml: &str) -> (Option<TestDay>, Findings) {
        let mut findings = Findings::new();
        let source = Source::new(self.0.join("testday.yaml"), yaml);
        let day = decode(source, &mut findings);
        (day, findings)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn typed(yaml: &str) -> (Option<TestDay>, Findings) {
    let mut findings = Findings::new();
    let day = decode(Source::new("testday.yaml", yaml), &mut findings);
    (day, findings)
}

/// The faults and warnings of a day, with places.
fn said(yaml: &str) -> String {
    let (day, findings) = typed(yaml);
    assert_eq!(day.is_none(), findings.has_errors(), "{findings:?}");
    let spoken = findings
        .iter()
        .filter(|f| f.severity != Severity::Assumed)
        .map(ToString::to_string);
    spoken.collect::<Vec<_>>().join("\n")
}

fn assumed(findings: &Findings) -> Vec<String> {
    findings
        .of(Severity::Assumed)
        .filter_map(|f| f.key.clone())
        .collect()
}

const SHEET: &str = "rpm,torque (Nm)\n2500,139\n3000,153\n3500,166\n4000,178\n4500,190\n";
const POINTS: &str = "{rpm: [2500, 3000, 3500, 4000, 4500], torque: [139, 153, 166, 178, 190]}";

fn one_spec(rest: &str) -> String {
    format!("specs:\n  - name: A\n    points: {POINTS}\n{rest}")
}

#[test]
fn five_lines_are_a_test_day() {
    let (day, findings) = typed(&one_spec("    corrected: DIN 70020\n"));
    let day = day.unwrap();
    assert_eq!(day.correct_to, Standard::Din70020);
    assert_eq!(day.dyno.measured_at, MeasuredAt::Flywheel);
    assert_relative_eq!(day.reduce().unwrap().specs[0].curve.torque(4000.0), 178.0);
    assert_eq!(
        assumed(&findings),
        ["measures", "repeatability", "unit", "as_raced"]
    );
}

#[test]
fn folders_globs_and_lists_find_their_files_in_the_order_people_count() {
    let sheet = |i: usize| SHEET.replace("139", &format!("{}", 130 + i));
    let texts: Vec<(String, String)> = [1, 2, 10]
        .into_iter()
        .map(|i| (format!("pulls/a-{i}.csv"), sheet(i)))
        .collect();
    let files: Vec<(&str, &str)> = texts
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    let folder = Folder::new("sources", &files);
    for pulls in [
        "pulls",
        "pulls/",
        "pulls/*.csv",
        "pulls/a-*",
        "[pulls/a-1.csv, {file: pulls/a-2.csv}, pulls/a-10.csv]",
    ] {
        let yaml = format!("corrected: DIN 70020\nspecs: [{{name: A, pulls: {pulls}}}]\n");
        let (day, findings) = folder.day(&yaml);
        assert!(!findings.has_errors(), "{pulls} {findings:?}");
        let day = day.unwrap();
        let names: Vec<&str> = day.specs[0]
            .counted()
            .map(|(_, p)| p.name.as_str())
            .collect();
        assert_eq!(names, ["a-1", "a-2", "a-10"], "{pulls}");
    }
    let (_, findings) = folder.day("specs: [{name: A, pulls: pulls/b-*.csv}]\n");
    assert!(
        findings
            .iter()
            .any(|f| f.text.contains("no pull file in `pulls/b-*.csv`"))
    );
    let (_, findings) = folder.day("specs: [{name: A, pulls: pulls/a-3.csv}]\n");
    assert!(findings.iter().any(|f| f.text.contains("no such file")));
}

#[test]
fn each_pull_is_corrected_in_its_own_air() {
    let other = SHEET.replace("139", "140");
    let folder = Folder::new("air", &[("a.csv", SHEET), ("b.csv", &other)]);
    let yaml = "correct_to: DIN 70020
weather: {pressure: 1013 hPa, temperature: 20 C, humidity: 50 %}
specs:
  - name: A
    fittings:
      - weather: {temperature: 30 C}
        pulls: [a.csv, {file: b.csv, pressure: 980 hPa}]
";
    let (day, findings) = folder.day(yaml);
    assert!(!findings.has_errors(), "{findings:?}");
    let reduced = day.unwrap().reduce().unwrap();
    let warm = (303.0f64 / 293.0).sqrt();
    assert_relative_eq!(reduced.pulls[0].factor, warm, max_relative = 1e-12);
    let high = 1013.0 / 980.0 * warm;
    assert_relative_eq!(reduced.pulls[1].factor, high, max_relative = 1e-12);
}

#[test]
fn weather_is_read_in_every_way_people_have_it() {
    let day = |weather: &str| {
        let yaml = format!("weather: {weather}\n{}", one_spec(""));
        let (day, findings) = typed(&yaml);
        assert!(!findings.has_errors(), "{weather} {findings:?}");
        day.unwrap().specs[0].fittings[0].pulls[0].air.unwrap()
    };
    let air = day("{pressure: 29.92 inHg, temperature: 77 F, dew_point: 14 C}");
    assert_relative_eq!(air.pressure, 101_320.8, max_relative = 1e-5);
    assert!((0.50..0.51).contains(&air.humidity));
    let air =
        day("{sea_level_pressure: 1020 hPa, elevation: 300 m, temperature: 18 C, wet_bulb: 14 C}");
    assert!((98_200.0..98_500.0).contains(&air.pressure));
    assert!((0.63..0.66).contains(&air.humidity));
    assert_eq!(day("hot, damp").humidity, 0.85);
}

#[test]
fn weather_that_cannot_be_is_refused() {
    let weather = |weather: &str| said(&format!("weather: {weather}\n{}", one_spec("")));
    let base = "pressure: 1009 hPa, temperature: 18 C";
    assert!(weather(&format!("{{{base}, humidity: 150 %}}")).contains("above 100 %"));
    assert!(
        weather("{pressure: 29.9 hPa, temperature: 18 C}").contains("did you mean `29.9 inHg`?")
    );
    assert!(weather(&format!("{{{base}, dew_point: 25 C}}")).contains("above the temperature"));
    assert!(
        weather(&format!("{{{base}, humidity: 50 %, dew_point: 5 C}}")).contains("cannot both")
    );
    assert!(weather("{pressure: 1009 hPa}").contains("no temperature"));
    assert!(weather("{sea_level_pressure: 1009 hPa, temperature: 18 C}").contains("elevation"));
    assert!(weather("sultry").contains("`sultry` is not known here"));
}

#[test]
fn weather_outside_the_limits_is_kept_and_warned_of() {
    let yaml = format!(
        "correct_to: ISO 1585\nweather: {{pressure: 1010 hPa, temperature: 4 C, humidity: 50 %}}\n{}",
        one_spec("")
    );
    let said = said(&yaml);
    assert!(
        said.contains("warning: typed in: 4 °C is outside the 15 to 35 °C of ISO 1585"),
        "{said}"
    );
}

#[test]
fn standards_are_never_mixed() {
    let two = |a: &str, b: &str| {
        format!(
            "specs:\n  - {{name: A, points: {POINTS}{a}}}\n  - {{name: B, points: {POINTS}{b}}}\n"
        )
    };
    let weather = "weather: {pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}";
    let mixed = said(&two(", corrected: DIN 70020", ", corrected: STD"));
    assert!(
        mixed.contains("bringing SAE J607 to DIN 70020 needs the weather"),
        "{mixed}"
    );
    let known = two(
        ", corrected: DIN 70020",
        &format!(", corrected: STD, {weather}"),
    );
    assert_eq!(said(&known), "");
    let unknown = said(&two("", ""));
    assert!(
        unknown.contains("every pull is corrected to something unknown"),
        "{unknown}"
    );
    let part = said(&two("", ", corrected: DIN 70020"));
    assert!(
        part.contains("error: typed in: corrected to something unknown"),
        "{part}"
    );
    let (day, _) = typed(&two(", corrected: STD", ", corrected: STD"));
    assert_eq!(day.unwrap().correct_to, Standard::SaeJ607);
}

#[test]
fn a_printed_factor_is_compared_with_its_standard() {
    let yaml = |factor: &str, standard: &str| {
        let points = POINTS.replace('}', &format!(", factor: {factor}}}"));
        format!(
            "correct_to: SAE J1349
weather: {{pressure: 990 hPa, temperature: 30 C, humidity: 40 %}}
specs: [{{name: A, points: {points}, corrected: {standard}}}]
"
        )
    };
    // 1.0306 by the formula with 537, 1.0684 with 505; J607 gives 1.0670.
    assert_eq!(said(&yaml("1.0306", "SAE J1349")), "");
    let misprint = said(&yaml("1.0690", "SAE J1349"));
    assert!(misprint.contains("505 misprinted for 537"), "{misprint}");
    let other = said(&yaml("1.0665", "DIN 70020"));
    assert!(other.contains("that is SAE J607"), "{other}");
    let none = said(&yaml("1.02", "none"));
    assert!(none.contains("belongs to a named standard") && none.contains("beside `points`"));
}

#[test]
fn boosted_engines_are_not_corrected_by_a_rule_for_others() {
    let yaml = format!(
        "engine: {{breathing: turbocharged}}
correct_to: SAE J1349
weather: {{pressure: 990 hPa, temperature: 30 C, humidity: 40 %}}
{}",
        one_spec("")
    );
    let said = said(&yaml);
    assert!(
        said.contains("not corrected to SAE J1349: its formula is for engines that breathe freely")
    );
    let day = typed(&yaml).0.unwrap();
    assert_eq!(day.engine.breathing, Breathing::Turbocharged);
    assert_eq!(day.reduce().unwrap().pulls[0].factor, 1.0);
    let by_dyno = yaml.replace("correct_to:", "corrected: SAE J1349\ncorrect_to:");
    let told = self::said(&by_dyno);
    assert!(
        told.contains(
            "corrected to SAE J1349 by the dyno: its formula is for engines that breathe"
        ),
        "{told}"
    );
    assert!(
        told.contains("`correct_to: none` takes the factors out"),
        "{told}"
    );
    let iso = typed(&yaml.replace("SAE J1349", "ISO 1585")).0.unwrap();
    assert!(iso.reduce().unwrap().pulls[0].factor > 1.02);
}

#[test]
fn the_order_of_the_day_is_written_clocked_or_assumed() {
    let specs = |a1: &str, a2: &str, b: &str| {
        let fitting = |at: &str| {
            let points = POINTS.replace('}', &format!("{at}}}"));
            format!("{{points: {points}}}")
        };
        format!(
            "corrected: DIN 70020\nspecs:\n  - {{name: A, fittings: [{}, {}]}}\n  - {{name: B, fittings: {}}}\n",
            fitting(a1),
            fitting(a2),
            fitting(b)
        )
    };
    let plain = specs("", "", "");
    let (day, findings) = typed(&plain);
    assert_eq!(day.unwrap().order, [(0, 0), (1, 0), (0, 1)]);
    assert!(assumed(&findings).contains(&"order".to_owned()));
    let (day, findings) = typed(&format!("order: [B, A, A]\n{plain}"));
    assert_eq!(day.unwrap().order, [(1, 0), (0, 0), (0, 1)]);
    assert!(!assumed(&findings).contains(&"order".to_owned()));
    let clocked = specs(", at: \"9:00\"", ", at: \"09:40\"", ", at: \"10:15\"");
    let (day, _) = typed(&clocked);
    let day = day.unwrap();
    assert_eq!(day.order, [(0, 0), (0, 1), (1, 0)]);
    let hours: Vec<f64> = day
        .reduce()
        .unwrap()
        .pulls
        .iter()
        .map(|p| p.hours)
        .collect();
    assert_relative_eq!(hours[2], 1.25);
    assert!(said(&format!("order: [A, B]\n{plain}")).contains("`A` stands 1 time,"));
    assert!(said(&format!("order: [A, B, C]\n{plain}")).contains("no spec is called `C`"));
    assert!(said(&format!("order: [A, B, A]\n{clocked}")).contains("its clock lies before"));
    assert!(said(&specs(", at: 25:00", "", "")).contains("is not a time of day"));
}

#[test]
fn inertia_of_a_sweep_needs_its_rate() {
    let dyno = |dyno: &str| {
        format!(
            "dyno: {{{dyno}}}\n{}",
            one_spec("    corrected: DIN 70020\n")
        )
    };
    let made_good = typed(&dyno("engine_inertia: 0.12 kg m2, rate: 300 rpm/s"))
        .0
        .unwrap();
    let torque = made_good.reduce().unwrap().specs[0].curve.torque(4000.0);
    assert_relative_eq!(torque, 178.0 + 3.77, max_relative = 1e-4);
    assert!(said(&dyno("engine_inertia: 0.12 kg m2")).contains("add `rate: 300 rpm/s`"));
    assert!(
        said(&dyno(
            "engine_inertia: 0.12 kg m2, inertia_compensated: yes"
        ))
        .contains("twice")
    );
    assert!(said(&dyno("inertia_compensated: no")).contains("warning"));
}

#[test]
fn repeatability_is_taken_from_the_file_or_the_kind_of_dyno() {
    let day = |head: &str| {
        let yaml = format!("{head}{}", one_spec("    corrected: DIN 70020\n"));
        typed(&yaml).0.unwrap().repeatability
    };
    assert_eq!(day("").pull, 0.003);
    assert_eq!(
        day("dyno: {measures: wheels, restrapped: yes}\n").fitting,
        0.015
    );
    let given = day("repeatability: {pull: 0.4 %, fitting: 0.6 %}\n");
    assert_eq!((given.pull, given.fitting), (0.004, 0.006));
    // 190 N·m at 4,500 rpm are 89.5 kW: 2 kW within 3 pulls is 2.2 % over 1.693.
    let range = day("repeatability: {within: 2 kW, over: 3}\n");
    assert_relative_eq!(range.pull, 2.0 / 89.535 / 1.693, max_relative = 1e-3);
    let words = day("repeatability: within 2 kW over 3\n");
    assert_relative_eq!(words.pull, range.pull, max_relative = 1e-12);
    let nonsense = said(&format!(
        "repeatability: close enough\n{}",
        one_spec("    corrected: DIN 70020\n")
    ));
    assert!(
        nonsense.contains("write `within 2 bhp over 3`"),
        "{nonsense}"
    );
}

#[test]
fn faults_of_a_day_are_all_said_at_once() {
    let yaml = "correct_to: DIN 70200
specs:
  - {name: A, corrected: DIN 70020, pulls: nowhere.csv}
  - {name: A, corrected: DIN 70020, points: {rpm: [2500, 3000], torque: [139]}}
  - {name: B, corrected: DIN 70020}
  - {corrected: DIN 70020, points: {rpm: [2500, 3000], torque: [139, 140]}}
";
    let said = said(yaml);
    for fault in [
        "testday.yaml:1:13: error: correct_to: `DIN 70200` is not known here",
        "error: nowhere.csv: there is no such file",
        "2 engine speeds and 1 values",
        "two specs are called `A`",
        "one of fittings, pulls, points is missing",
        "`name` is missing",
    ] {
        assert!(said.contains(fault), "{fault}\n{said}");
    }
}

#[test]
fn specs_without_a_common_range_are_refused() {
    let yaml = "corrected: DIN 70020
specs:
  - {name: A, points: {rpm: [2000, 2250, 2500, 2750, 3000], torque: [100, 105, 110, 115, 120]}}
  - {name: B, points: {rpm: [4000, 4250, 4500, 4750, 5000], torque: [100, 105, 110, 115, 120]}}
";
    assert!(
        said(yaml).contains("A (2000 to 3000 rpm) and B (4000 to 5000 rpm) share no engine speeds")
    );
}

#[test]
fn what_differs_between_dyno_and_event_is_listed() {
    let yaml = format!(
        "as_tested: {{silencer: none, fuel: 98}}\nas_raced: {{silencer: event, fuel: 98}}\n{}",
        one_spec("    corrected: DIN 70020\n")
    );
    assert!(said(&yaml).contains("silencer: none on the dyno, event at the event"));
}

#[test]
fn a_pull_set_aside_counts_for_nothing_and_stays_listed() {
    let folder = Folder::new(
        "aside",
        &[("a.csv", SHEET), ("b.csv", &SHEET.replace("178", "150"))],
    );
    let yaml = "corrected: DIN 70020
specs: [{name: A, pulls: [a.csv, {file: b.csv, set_aside: leaking plug lead}]}]
";
    let day = folder.day(yaml).0.unwrap();
    assert_eq!(day.specs[0].fittings[0].pulls.len(), 2);
    assert_relative_eq!(day.reduce().unwrap().specs[0].curve.torque(4000.0), 178.0);
    let (_, findings) = folder.day(&yaml.replace("a.csv,", ""));
    assert!(
        findings
            .iter()
            .any(|f| f.text.contains("every pull is set aside"))
    );
}

#[test]
fn the_same_pulls_for_two_specs_are_asked_about() {
    let points =
        "{points: {rpm: [2000, 3000, 4000, 5000, 6000], torque: [100, 120, 130, 128, 110]}}";
    let text = format!(
        "corrected: DIN 70020\nspecs:\n- {{name: long, fittings: [{points}]}}\n- {{name: short, fittings: [{points}]}}\n"
    );
    let mut found = Findings::new();
    decode(Source::new("testday.yaml", &text), &mut found).unwrap();
    let said: Vec<&str> = found
        .of(Severity::Warning)
        .map(|f| f.text.as_str())
        .collect();
    assert_eq!(
        said,
        ["short, typed in: the same figures stand for long already"]
    );
    let other = text.replacen("torque: [100", "torque: [101", 1);
    let mut found = Findings::new();
    decode(Source::new("testday.yaml", &other), &mut found).unwrap();
    assert_eq!(found.of(Severity::Warning).count(), 0);
}
