//! Test days as operators bring them: folders, exports of loggers, and what is wrong with them.

use std::fs;
use std::path::PathBuf;
use std::process::Output;
use std::sync::atomic::{AtomicU32, Ordering};

use super::pullrank;

pub const RPM: [f64; 11] = [
    2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 7000.0, 7500.0,
];
pub const LONG: [f64; 11] = [
    139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
];
pub const SHORT: [f64; 11] = [
    132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
];
pub const STEPS: &str = "dyno: {measures: flywheel, method: steps}\n";
pub const WEATHER: &str = "weather: {pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}\n";
pub const TWO: &str = "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: short}\n";

/// A typed sheet.
pub fn sheet(heading: &str, torque: &[f64], times: f64) -> String {
    let rows = RPM.iter().zip(torque);
    let rows = rows.map(|(rpm, torque)| format!("{rpm},{:.2}\n", torque * times));
    format!("{heading}\n{}", rows.collect::<String>())
}

/// A folder for one test, gone with it.
pub struct Bench(pub PathBuf);

impl Bench {
    /// Two specs of two sheets each, in folders of their names.
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!(
            "pullrank-bench-{}-{}",
            std::process::id(),
            COUNT.fetch_add(1, Ordering::Relaxed)
        );
        let bench = Self(std::env::temp_dir().join(name));
        for (spec, torque) in [("long", LONG), ("short", SHORT)] {
            for (k, times) in [(1, 0.998), (2, 1.002)] {
                let text = sheet("rpm,torque (Nm)", &torque, times);
                bench.file(&format!("{spec}/{spec}-{k}.csv"), text);
            }
        }
        bench
    }

    pub fn file(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub fn run(&self, yaml: &str) -> Output {
        self.file("testday.yaml", yaml);
        let folder = pullrank().arg("pulls").arg(&self.0).output();
        folder.unwrap()
    }

    /// What is printed, and what is said beside it.
    pub fn shows(&self, yaml: &str) -> (String, String) {
        let output = self.run(yaml);
        let said = self.said(&output);
        assert!(output.status.success(), "{said}");
        (String::from_utf8(output.stdout).unwrap(), said)
    }

    /// The same for other programs.
    pub fn json(&self, yaml: &str) -> serde_json::Value {
        self.file("testday.yaml", yaml);
        let output = pullrank().arg("pulls").arg(&self.0).arg("--json").output();
        serde_json::from_slice(&output.unwrap().stdout).unwrap()
    }

    /// What is said of a day that cannot be used.
    pub fn fault(&self, yaml: &str) -> String {
        let output = self.run(yaml);
        assert_eq!(output.status.code(), Some(1));
        assert!(output.stdout.is_empty());
        self.said(&output)
    }

    pub fn said(&self, output: &Output) -> String {
        let said = String::from_utf8(output.stderr.clone()).unwrap();
        said.replace(&format!("{}/", self.0.display()), "")
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn a_folder_for_each_spec_and_a_few_lines_answer() {
    let bench = Bench::new();
    // What file systems and spreadsheets leave behind is no pull.
    bench.file("long/._long-1.csv", [0, 5, 22, 7]);
    bench.file("long/~$long-1.csv", "x");
    let (out, said) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    assert_eq!(said, "");
    assert!(out.starts_with("long makes more below "), "{out}");
    for wanted in [
        "short crosses long at 5,3",
        "Which part earned it?",
        "Next: short less long",
    ] {
        assert!(out.contains(wanted), "{wanted}: {out}");
    }
}

#[test]
fn what_is_given_in_place_of_a_test_day_is_answered_with_one() {
    let bench = Bench::new();
    let said = |path: &str| {
        let output = pullrank().arg("pulls").arg(bench.0.join(path)).output();
        let output = output.unwrap();
        assert_eq!(output.status.code(), Some(1));
        bench.said(&output)
    };
    let folder = said("");
    let day = "specs: [{name: long, pulls: long}, {name: short, pulls: short}]";
    assert!(
        folder.contains("has pulls and no `testday.yaml`"),
        "{folder}"
    );
    assert!(folder.contains(day), "{folder}");
    let (out, _) = bench.shows(day);
    assert!(
        out.contains("short crosses long"),
        "what is proposed is a day"
    );
    let table = said("long/long-1.csv");
    assert!(
        table.contains("the table of a pull, not a test day"),
        "{table}"
    );
    assert!(table.contains("pulls: long-1.csv"), "{table}");
}

#[test]
fn a_fault_of_the_weather_is_told_once() {
    let bench = Bench::new();
    for (weather, wanted) in [
        (
            "{pressure: 29.9 hPa, temperature: 18 C}",
            "did you mean `29.9 inHg`?",
        ),
        ("{pressure: 1009 hPa, temperature: 18}", "as in `18 °C`"),
        (
            "{pressure: 1009 hPa, temperature: 18 C, humidity: 150 %}",
            "above 100 %",
        ),
        (
            "{pressure: 1009 hPa, temperature: 18 C, dew_point: 25 C}",
            "above the temperature",
        ),
        ("{pressure: 1009 hPa, humidity: 55 %}", "no temperature"),
        ("sultry", "not known here"),
    ] {
        let said = bench.fault(&format!("{STEPS}weather: {weather}\n{TWO}"));
        let findings = said.matches("error: ").count() + said.matches("warning: ").count();
        assert_eq!(findings, 1, "{said}");
        assert!(
            said.starts_with("testday.yaml:2:") && said.contains(wanted),
            "{said}"
        );
    }
    let (out, said) = bench.shows(&format!("{STEPS}weather: warm, dry\n{TWO}"));
    assert_eq!(said.matches("no pressure is said").count(), 1, "{said}");
    assert_eq!(out.matches("in words: 24 °C").count(), 1, "{out}");
}

#[test]
fn pulls_without_weather_are_one_fault_with_the_way_out() {
    let bench = Bench::new();
    let said = bench.fault(&format!("{STEPS}corrected: none\n{TWO}"));
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(
        said.contains("long-1 and 3 more: bringing figures as read to DIN 70020 needs the weather"),
        "{said}"
    );
    let (out, _) = bench.shows(&format!("{STEPS}corrected: none\ncorrect_to: none\n{TWO}"));
    assert!(out.contains("as read, not corrected"), "{out}");
}

#[test]
fn what_stands_in_the_file_is_as_read_only_where_nothing_was_corrected() {
    let bench = Bench::new();
    let (out, _) = bench.shows(&format!("{STEPS}{WEATHER}{TWO}"));
    assert!(out.contains("as read"), "{out}");
    let (out, _) = bench.shows(&format!("{STEPS}corrected: STD\n{WEATHER}{TWO}"));
    assert!(out.contains("in file") && !out.contains("as read"), "{out}");
}

#[test]
fn specs_are_a_list_and_power_has_a_unit() {
    let bench = Bench::new();
    let said = bench.fault("specs:\n  long: long\n  short: short\n");
    assert!(
        said.contains("specs is a list, one entry for each state"),
        "{said}"
    );
    let points = "{rpm: [3000, 4000, 5000, 6000, 7000], power: [60, 90, 104, 128, 138]}";
    let said = bench.fault(&format!("specs: [{{name: long, points: {points}}}]\n"));
    assert!(
        said.contains("power has no unit") && said.contains("`unit: bhp`"),
        "{said}"
    );
    let said = bench.fault("specs: [{name: long}]\n");
    assert!(
        said.contains("one of fittings, pulls, points is missing"),
        "{said}"
    );
}

#[test]
fn torque_through_the_gears_is_asked_about() {
    let bench = Bench::new();
    let wheels = |torque| sheet("rpm,wheel torque (Nm)", torque, 5.74);
    bench.file("wheels/1.csv", wheels(&LONG));
    bench.file("others/1.csv", wheels(&SHORT));
    let day = "dyno: {measures: wheels, method: steps}\n";
    let both = "specs:\n  - {name: long, pulls: wheels}\n  - {name: short, pulls: others}\n";
    let (_, said) = bench.shows(&format!("{day}{WEATHER}{both}"));
    assert_eq!(said.matches("warning: ").count(), 1, "{said}");
    assert!(
        said.contains("is this torque at the wheels, through the gears?"),
        "{said}"
    );
    let one = "specs:\n  - {name: long, pulls: wheels}\n  - {name: short, pulls: short}\n";
    let said = bench.fault(&format!("{day}{WEATHER}{one}"));
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(said.contains("times the torque of short-1"), "{said}");
}

#[test]
fn the_intake_is_compared_with_the_weather() {
    let bench = Bench::new();
    let rows = RPM.iter().zip(LONG).map(|(n, t)| format!("{n},{t},41\n"));
    let rows: String = rows.collect();
    bench.file(
        "hot/1.csv",
        format!("rpm,torque (Nm),intake temp (C)\n{rows}"),
    );
    let specs = "specs:\n  - {name: long, pulls: hot}\n  - {name: short, pulls: short}\n";
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{specs}"));
    assert!(
        said.contains("1: 41 °C at the intake, 18 °C in the weather"),
        "{said}"
    );
    let blown = "engine: {breathing: turbocharged}\ncorrect_to: none\n";
    let (_, said) = bench.shows(&format!("{STEPS}{blown}{WEATHER}{specs}"));
    assert_eq!(said, "");
}

/// A logged day in one export, in the letters of an older program: three pulls by a column.
#[test]
fn one_export_of_the_day_is_parted_by_its_column() {
    let bench = Bench::new();
    let mut export =
        String::from("Invented cell\n\nPull;Speed [1/min];Torque [N·m];Oil temp [°C]\n");
    for (pull, torque) in [(1, LONG), (2, SHORT), (3, SHORT)] {
        for (rpm, torque) in RPM.iter().zip(torque) {
            let scatter = 1.0 + 0.001 * f64::from(pull);
            let torque = format!("{:.1}", torque * scatter).replace('.', ",");
            export += &format!("{pull};{rpm:.0};{torque};85\n");
        }
    }
    let old: Vec<u8> = export.chars().map(|c| u8::try_from(c).unwrap()).collect();
    bench.file("day.csv", old);
    let specs = |short: &str| {
        format!(
            "specs:\n  - {{name: long, pulls: {{file: day.csv, pull: 1}}}}\n  - {{name: short, pulls: \
             {{file: day.csv, pull: {short}}}}}\n"
        )
    };
    let (out, said) = bench.shows(&format!("{STEPS}{WEATHER}{}", specs("[2, 3]")));
    assert_eq!(said, "");
    assert!(
        out.contains("long      1, 1") && out.contains("short     1, 2"),
        "{out}"
    );
    let said = bench.fault(&format!("{STEPS}{WEATHER}{}", specs("[2, 7]")));
    assert!(said.contains("the file has no pull `7`"), "{said}");
    assert!(said.contains("its pulls are 1, 2, 3"), "{said}");
    let none = "specs: [{name: long, pulls: {file: long/long-1.csv, pull: 1}}]\n";
    let said = bench.fault(&format!("{STEPS}{WEATHER}{none}"));
    assert!(said.contains("it has no column `pull`"), "{said}");
}

#[test]
fn a_step_test_read_as_a_sweep_is_asked_about() {
    let bench = Bench::new();
    let mut log = String::from("time,rpm,torque (Nm)\n");
    for i in 0..880 {
        let (step, within) = (i / 80, i % 80);
        let moving = f64::from((within - 60).max(0)) / 20.0;
        let rpm = 2500.0 + 500.0 * (f64::from(step) + moving);
        let torque = LONG[step as usize] - if moving > 0.0 { 12.0 } else { 0.0 };
        log += &format!("{:.2},{rpm:.0},{torque:.1}\n", f64::from(i) / 20.0);
    }
    bench.file("steps/1.csv", log);
    let specs = "specs: [{name: long, pulls: steps}]\n";
    let (_, said) = bench.shows(&format!("dyno: {{measures: flywheel}}\n{WEATHER}{specs}"));
    assert!(
        said.contains("the engine stands still at 11 speeds: a step test?"),
        "{said}"
    );
    let (_, said) = bench.shows(&format!("{STEPS}{WEATHER}{specs}"));
    assert_eq!(said, "");
    let inertia = STEPS.replace('}', ", engine_inertia: 0.12 kg m2}");
    let (_, said) = bench.shows(&format!("{inertia}{WEATHER}{specs}"));
    assert!(said.contains("engine_inertia is not used"), "{said}");
}

#[test]
fn a_spec_whose_pulls_end_early_has_no_peak_and_no_mean() {
    let bench = Bench::new();
    let short = sheet("rpm,torque (Nm)", &SHORT[..9], 1.0);
    bench.file("early/1.csv", short);
    let specs = "specs:\n  - {name: long, pulls: long}\n  - {name: short, pulls: early}\n";
    bench.file("testday.yaml", format!("{STEPS}{WEATHER}{specs}"));
    let run = |band: &str| {
        let output = pullrank()
            .arg("pulls")
            .arg(&bench.0)
            .args(["--band", band])
            .output();
        String::from_utf8(output.unwrap().stdout).unwrap()
    };
    let out = run("3000..7000");
    assert!(
        out.contains("Ends early: short still gains power where its pulls end, at 6,500 rpm"),
        "{out}"
    );
    let row = out.lines().find(|line| line.starts_with("short ")).unwrap();
    assert!(row.ends_with(" -"), "{row}");
    assert!(!run("3000..6500").contains(" -\n"));
}

#[test]
fn many_specs_with_long_names_stay_on_the_screen() {
    let bench = Bench::new();
    let names = |k: usize| format!("manifold {k} with the long trumpets and the wide airbox");
    let specs: String = (0..7)
        .map(|k| {
            format!(
                "  - {{name: {}, parts: {{manifold: {k}}}, pulls: long}}\n",
                names(k)
            )
        })
        .collect();
    let (out, _) = bench.shows(&format!("{STEPS}{WEATHER}specs:\n{specs}"));
    for line in out.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    // One pull each would once have let rounding widen every interval eightfold.
    let single: String = (0..7)
        .map(|k| {
            let times = 1.0 + 0.0003 * f64::from((3 * k) % 7);
            let text = sheet("rpm,torque (Nm)", &LONG, times);
            bench.file(&format!("m{k}.csv"), text);
            format!(
                "  - {{name: {}, parts: {{manifold: {k}}}, pulls: m{k}.csv}}\n",
                names(k as usize)
            )
        })
        .collect();
    let (out, _) = bench.shows(&format!("{STEPS}{WEATHER}specs:\n{single}"));
    assert!(out.contains("stands at ± 1.7 %"), "{out}");
    assert!(out.contains("do not cross"), "{out}");
}

/// The test day that the README shows, with the demo's pulls in its folders.
#[test]
fn the_test_day_of_the_readme_answers() {
    let readme = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let mut blocks = readme.split("```yaml\n").skip(1);
    let shown = blocks.find(|block| block.contains("specs:")).unwrap();
    let yaml = shown.split("```").next().unwrap();
    assert!(yaml.lines().count() <= 12, "about ten lines");
    let bench = Bench::new();
    let demo = |name: &str| {
        fs::read(format!(
            concat!(env!("CARGO_MANIFEST_DIR"), "/cars/rowan-coupe/pulls/{}.csv"),
            name
        ))
        .unwrap()
    };
    for (folder, name, count) in [
        ("long", "long", 1..=3),
        ("again", "long", 4..=5),
        ("short", "short", 1..=3),
    ] {
        let _ = fs::remove_dir_all(bench.0.join(folder));
        for k in count {
            let name = format!("{name}-{k}");
            bench.file(&format!("{folder}/{name}.csv"), demo(&name));
        }
    }
    let (out, said) = bench.shows(yaml);
    assert_eq!(said, "");
    assert!(
        out.contains("short manifold crosses long manifold at 5,"),
        "{out}"
    );
    assert!(
        out.replace("\n  ", " ")
            .contains("Long manifold again after short manifold"),
        "{out}"
    );
    assert!(out.lines().count() <= 24, "{out}");
}
