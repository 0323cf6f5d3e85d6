mod faults;
mod mistaken;
mod mixed_units;

use super::*;
use crate::car::{Differential, FirstGear};
use crate::files::finding::Severity;
use crate::files::source::Source;
use approx::assert_relative_eq;

const FIVE_LINES: &str = "\
mass: 960 kg
drive: rear
tyre: 185/60R13
ratios: [2.94, 1.94, 1.36, 1.00]
final_drive: 9/38
";

/// Everything given, nothing left to assume.
const WHOLE: &str = "\
name: textbook
drive: front
gearbox:
  ratios: [3.5, 2.1, 1.4]
  shift_time: {1-2: 0.4 s, 2-3: 0.3 s}
  first_gear: any time
  efficiency: [0.90, 0.91, 0.92]
final_drive: 4.1
rev_limit: 7000 rpm
engine: {bore: 86 mm, stroke: 86 mm, cylinders: 4}
trims:
  bare: {mass: 1000 kg, rolling_radius: 0.3 m, grip: {tarmac: 1.0, ploughed field: 0.4}}
weight_front: 60 %
wheelbase: 2.5 m
track: 1.4 m
cg_height: 0 m
drag_area: 0.6 m2
lift_area: 0.1 m2
rolling: [0.012, 0.0001, 0.000002]
differential: {bias: 3}
roll_share: 50 %
inertia: {engine: 0.1 kg m2, wheels: 3 kg m2, gearbox: [0.01, 0.02, 0.03], shaft: 0.005 kg m2}
launch: {tarmac: 4500, ploughed field: 3000 rpm}
uncertain: {mass: 8 kg, drag_area: 0.03 m2, grip: 5 %, shift_time: 0.05 s, rolling_radius: 3 mm, air_density: 1 %}
";

fn read_text(text: &str) -> (Option<Car>, Findings) {
    let mut findings = Findings::new();
    let source = Source::new("fleet/minnow/car.yaml", text);
    let car = yaml::decode(source, &mut findings, |root| car(root, None));
    (car, findings)
}

fn good(text: &str) -> Car {
    let (car, findings) = read_text(text);
    assert!(!findings.has_errors(), "{findings:#?}");
    car.unwrap()
}

/// The errors and warnings of a text, as people read them.
fn said(text: &str) -> String {
    let (_, findings) = read_text(text);
    let said: Vec<String> = findings
        .iter()
        .filter(|f| f.severity != Severity::Assumed)
        .map(ToString::to_string)
        .collect();
    said.join("\n")
}

/// What is said of the five lines and more, or with some of them replaced.
fn with(more: &str) -> String {
    let key = |line: &str| line.split(':').next().unwrap_or_default().to_owned();
    let replaced: Vec<String> = more.lines().map(key).collect();
    let kept: Vec<&str> = FIVE_LINES
        .lines()
        .filter(|l| !replaced.contains(&key(l)))
        .collect();
    said(&format!(
        "{}\nflywheel: standard\n{more}\n",
        kept.join("\n")
    ))
}

#[test]
fn five_lines_are_enough_and_the_rest_is_listed() {
    let (car, findings) = read_text(FIVE_LINES);
    let car = car.unwrap();
    assert_eq!(car.name, "minnow");
    assert_eq!(car.trims[0].name, "as is");
    assert_eq!(car.gearbox.efficiency, [0.90, 0.90, 0.90, 0.92]);
    assert_eq!(car.final_drive.teeth, Some((9, 38)));
    let assumed: Vec<String> = findings
        .of(Severity::Assumed)
        .map(|f| format!("{}: {}", f.key.as_deref().unwrap_or_default(), f.text))
        .collect();
    insta::assert_snapshot!(assumed.join("\n"), @r"
    grip.tarmac: grip 0.975 on tarmac
    first_gear: first gear: start only
    shift_time: shift time 0.4 s
    efficiency: efficiency 90 %, direct gear 92 %
    rev_limit: rev limit 7000 rpm
    inertia: inertia as in ordinary cars
    launch: launch at 5000 rpm, on gravel at 3750
    weight_front: weight on the front axle: 53 %
    wheelbase: wheelbase 2.4 m
    track: track width 1.4 m
    cg_height: height of the centre of mass 0.5 m
    drag_area: drag area 0.66 m2
    lift_area: neither lift nor downforce
    rolling: rolling resistance 0.014 on paved, 0.03 on loose roads
    differential: differential: open
    roll_share: roll stiffness on the driven axle: 50 %
    uncertain: uncertain (one sd): mass 8 kg, drag area 6 %, grip 5 %, shift time 0.05 s, rolling radius 0.5 %, air density 0.5 %
    ");
    assert_eq!(said(FIVE_LINES), "");
}

#[test]
fn a_whole_car_leaves_nothing_to_assume() {
    let (car, findings) = read_text(WHOLE);
    assert!(findings.is_empty(), "{findings:#?}");
    let car = car.unwrap();
    assert_eq!(car.gearbox.shift_times, [0.4, 0.3]);
    assert_eq!(car.gearbox.first_gear, FirstGear::AnyTime);
    assert_eq!(car.cg_height, 0.0);
    assert_eq!(car.differential, Differential::Bias(3.0));
    assert_eq!(car.trims[0].grip["ploughed field"], 0.4);
    assert_eq!(car.launch_rpm["ploughed field"], 3000.0);
    assert_eq!(car.default_launch_rpm, 4500.0);
    assert_eq!(car.uncertain.drag_area, 0.03 / 0.6);
    assert_eq!(car.uncertain.rolling_radius, 0.003 / 0.3);
    assert_eq!(car.rolling.f2, 2e-6);
}

#[test]
fn the_demo_cars_read_without_a_word() {
    for text in [
        include_str!("../../../../cars/rowan-coupe/car.yaml"),
        include_str!("../../../../cars/plum-hatch/car.yaml"),
    ] {
        assert_eq!(said(text), "");
        assert_eq!(good(text).trims.len(), 3);
    }
    let rowan = good(include_str!("../../../../cars/rowan-coupe/car.yaml"));
    assert_eq!(rowan.final_drive_options.len(), 3);
    assert_eq!(rowan.final_drive_options[2].terms.price, Some(310.0));
    assert_eq!(rowan.gearbox_options[0].shift_times, [0.30; 4]);
    assert!((rowan.trims[0].rolling_radius - 0.26795).abs() < 1e-5);
}

#[test]
fn a_faulty_trim_does_not_hide_another() {
    let text = "drive: rear\nratios: [2, 1]\nfinal_drive: 4\nflywheel: light\ntrims:\n  \
                tarmac: {mass: 900 mm, tyre: 185/60R13}\n  gravel: {tyre: 185/60Q13, grip: {gravel: 0}}\n";
    insta::assert_snapshot!(said(text), @r"
    fleet/minnow/car.yaml:6:18: error: mass: `900 mm` is a length
        tarmac: {mass: 900 mm, tyre: 185/60R13}
                       ^^^^^^
      mass wants kg or lb, as in `960 kg`
    fleet/minnow/car.yaml:7:3: error: `mass` is missing in `gravel`
        gravel: {tyre: 185/60Q13, grip: {gravel: 0}}
        ^^^^^^
      add `mass: 960 kg`
    fleet/minnow/car.yaml:7:18: error: tyre: `185/60Q13`: this is no tyre size known here
        gravel: {tyre: 185/60Q13, grip: {gravel: 0}}
                       ^^^^^^^^^
      write a size as in `185/60R13`, `180/550-13` or `8.0/20.0-13`, or measure: `{rolled_out: 1.757 m}`
    fleet/minnow/car.yaml:7:44: error: gravel: `0` must be above zero
        gravel: {tyre: 185/60Q13, grip: {gravel: 0}}
                                                 ^
      it must lie between 0.01 and 5
    ");
}

#[test]
fn a_long_first_gear_asks_for_inertias() {
    insta::assert_snapshot!(said(&FIVE_LINES.replace("2.94", "3.94")), @r"
    fleet/minnow/car.yaml:4:9: warning: first gear reduces 16.6 to 1, where the ordinary-car rule for what spins up is rough
        ratios: [3.94, 1.94, 1.36, 1.00]
                ^
      give `flywheel: light`, or `inertia: {engine: 0.12 kg m2, wheels: 3.6 kg m2}`
    ");
}

#[test]
fn empty_and_foreign_files_are_refused() {
    insta::assert_snapshot!(said("rpm,torque\n2500,139\n"), @r"
    fleet/minnow/car.yaml:1:1: error: this file is `rpm,torque 2500,139`
        rpm,torque
        ^
      write keys with their values: name, drive, gearbox, ratios, shift_time, first_gear, efficiency, final_drive, rev_limit, engine, trims, mass and 21 more
    ");
    insta::assert_snapshot!(said("drive:\nmass: ~\n"), @r"
    fleet/minnow/car.yaml: error: `tyre` is missing in this file
      add `tyre: 185/60R13`
    fleet/minnow/car.yaml: error: `ratios` is missing in this file
      add `ratios: [2.94, 1.94, 1.36, 1.00]`
    fleet/minnow/car.yaml: error: `final_drive` is missing in this file
      add `final_drive: 9/38`
    fleet/minnow/car.yaml:1:1: error: drive has no value
        drive:
        ^^^^^
      write one of front, rear, all
    fleet/minnow/car.yaml:2:1: error: mass has no value
        mass: ~
        ^^^^
      write a mass, as in `960 kg`
    ");
}

/// A gear chart in km/h at 1,000 rpm, to a tenth, of gears 2.667, 1.842, 1.360, 1.084 and 0.916 with 47/11 behind them
/// and a tyre of 1.744 m around: 60 m/h a turn of it, and so 60 · 1.744 / (2.667 · 4.273) = 9.18 km/h in first.
#[test]
fn a_gear_chart_tells_the_ratios() {
    let chart = "[9.2 km/h, 13.3 km/h, 18.0 km/h, 22.6 km/h, 26.7 km/h]";
    let of = |chart: &str| {
        format!(
            "mass: 982 kg\ndrive: front\ntyre: {{rolled_out: 1.744 m}}\nfinal_drive: 11/47\nspeed_per_1000_rpm: {chart}\n"
        )
    };
    let car = good(&of(chart));
    for (told, is) in car
        .gearbox
        .ratios
        .iter()
        .zip([2.667, 1.842, 1.360, 1.084, 0.916])
    {
        assert_relative_eq!(*told, is, max_relative = 0.005);
    }
    let (_, findings) = read_text(&of(chart));
    let told = findings
        .iter()
        .any(|finding| finding.text.starts_with("ratios 2.66"));
    assert!(told, "{findings:#?}");
    // In miles an hour they are the same gears.
    let mph = "[5.717 mph, 8.264 mph, 11.185 mph, 14.043 mph, 16.591 mph]";
    for (one, other) in good(&of(mph))
        .gearbox
        .ratios
        .iter()
        .zip(&car.gearbox.ratios)
    {
        assert_relative_eq!(one, other, max_relative = 1e-3);
    }
    for (chart, wanted) in [
        (
            "[26.7 km/h, 9.2 km/h]",
            "speed_per_1000_rpm: these fall from the first to the last",
        ),
        (
            "[9.2 km/h, 18 km/h, 13 km/h]",
            "speed_per_1000_rpm: gear 3 ",
        ),
        ("[69.8 km/h, 101 km/h, 137 km/h]", "it makes a gear of 0.18"),
        (
            "[9.2 km/h]\nratios: [2.6]",
            "`speed_per_1000_rpm` stands beside `ratios`",
        ),
    ] {
        assert!(said(&of(chart)).contains(wanted), "{}", said(&of(chart)));
    }
}
