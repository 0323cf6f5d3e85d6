use super::*;
use crate::car::{Differential, FirstGear};
use crate::files::finding::Severity;
use crate::files::source::Source;
use proptest::prelude::*;

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
    grip: grip 0.975 on tarmac
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
    insta::assert_snapshot!(said(FIVE_LINES), @r"
    fleet/minnow/car.yaml:4:9: warning: first gear reduces 12.4 to 1, where the ordinary-car rule for what spins up is rough
        ratios: [2.94, 1.94, 1.36, 1.00]
                ^
      give `flywheel: light`, or `inertia: {engine: 0.12 kg m2, wheels: 3.6 kg m2}`
    ");
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
        include_str!("../../../cars/rowan-coupe/car.yaml"),
        include_str!("../../../cars/plum-hatch/car.yaml"),
    ] {
        assert_eq!(said(text), "");
        assert_eq!(good(text).trims.len(), 3);
    }
    let rowan = good(include_str!("../../../cars/rowan-coupe/car.yaml"));
    assert_eq!(rowan.final_drive_options.len(), 3);
    assert_eq!(rowan.final_drive_options[2].price, Some(310.0));
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
fn ratios_are_checked() {
    insta::assert_snapshot!(with("ratios: [1.00, 1.36, 1.94, 2.94]"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: these rise from the first to the last
        ratios: [1.00, 1.36, 1.94, 2.94]
                ^
      first gear comes first: `ratios: [2.94, 1.94, 1.36, 1.00]`
    ");
    insta::assert_snapshot!(with("ratios: [2.94, 1.94, 1.94, 1.00]"), @r"
    fleet/minnow/car.yaml:6:22: error: ratios: gear 3 (1.94) is not below gear 2 (1.94)
        ratios: [2.94, 1.94, 1.94, 1.00]
                             ^^^^
      write the ratios from first gear to top, falling
    ");
    insta::assert_snapshot!(with("ratios: [2,94, 1,94, 1,36, 1,00]"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: commas part the entries, so these are 8 numbers
        ratios: [2,94, 1,94, 1,36, 1,00]
                ^
      write decimals with a point: `[2.94, 1.94, 1.36, 1.00]`
    ");
    insta::assert_snapshot!(with("ratios: []"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: 0 gears
        ratios: []
                ^
      write one ratio for each of 1 to 10 gears
    ");
    insta::assert_snapshot!(with("ratios: [11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: 11 gears
        ratios: [11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]
                ^
      write one ratio for each of 1 to 10 gears
    ");
    insta::assert_snapshot!(with("ratios: [2.94, NaN, 0, -1]"), @r"
    fleet/minnow/car.yaml:6:16: error: ratios: `NaN` is not a finite number
        ratios: [2.94, NaN, 0, -1]
                       ^^^
      write a number
    fleet/minnow/car.yaml:6:21: error: ratios: `0` must be above zero
        ratios: [2.94, NaN, 0, -1]
                            ^
      it must lie between 0.2 and 20
    fleet/minnow/car.yaml:6:24: error: ratios: `-1` must be above zero
        ratios: [2.94, NaN, 0, -1]
                               ^^
      it must lie between 0.2 and 20
    ");
    assert_eq!(
        good(&FIVE_LINES.replace("[2.94, 1.94, 1.36, 1.00]", "[1]"))
            .gearbox
            .ratios,
        [1.0]
    );
}

#[test]
fn final_drives_are_numbers_or_teeth_in_either_order() {
    let drive = |text: &str| good(&FIVE_LINES.replace("9/38", text)).final_drive;
    for text in [
        "9/38",
        "38/9",
        "38:9",
        "9 / 38",
        "{teeth: 38/9, price: 310}",
    ] {
        assert_eq!(
            (drive(text).ratio, drive(text).teeth),
            (38.0 / 9.0, Some((9, 38))),
            "{text}"
        );
    }
    assert_eq!((drive("4.22").ratio, drive("4.22").teeth), (4.22, None));
    assert_eq!(drive("{ratio: 4.22, mass: 2 kg}").mass, Some(2.0));
    insta::assert_snapshot!(with("final_drive: 0/38"), @r"
    fleet/minnow/car.yaml:6:14: error: final_drive: `0/38` are no numbers of teeth
        final_drive: 0/38
                     ^^^^
      write pinion and crownwheel as in `9/38`
    ");
    insta::assert_snapshot!(with("final_drive: 9/x"), @r"
    fleet/minnow/car.yaml:6:14: error: final_drive: `9/x` are no numbers of teeth
        final_drive: 9/x
                     ^^^
      write pinion and crownwheel as in `9/38`
    ");
    insta::assert_snapshot!(with("final_drive: 42.2"), @r"
    fleet/minnow/car.yaml:6:14: error: final_drive: `42.2` is above 20
        final_drive: 42.2
                     ^^^^
      it must lie between 0.1 and 20
    ");
    insta::assert_snapshot!(with("final_drive: {teeth: 9/38, ratio: 4.2}"), @r"
    fleet/minnow/car.yaml:6:28: error: `teeth` and `ratio` cannot both be given
        final_drive: {teeth: 9/38, ratio: 4.2}
                                   ^^^^^
      keep one of the two
    ");
    insta::assert_snapshot!(with("final_drive: {price: 310}"), @r"
    fleet/minnow/car.yaml:6:1: error: one of teeth, ratio is missing in final_drive
        final_drive: {price: 310}
        ^^^^^^^^^^^
      add `teeth: 9/38`
    ");
}

#[test]
fn tyres_are_sizes_or_measures() {
    let radius = |text: &str| good(&FIVE_LINES.replace("185/60R13", text)).trims[0].rolling_radius;
    assert!((radius("{rolled_out: 1.757 m}") - 0.27964).abs() < 1e-5);
    assert_eq!(radius("{radius: 280 mm}"), 0.28);
    assert_eq!(radius("{rolling_radius: 11 in}"), 11.0 * 0.0254);
    assert_eq!(
        radius("180/550-13"),
        radius("{size: 180/550-13, kind: slick}")
    );
    insta::assert_snapshot!(with("tyre: 185x60R13"), @r"
    fleet/minnow/car.yaml:6:7: error: tyre: `185x60R13`: this is no tyre size known here
        tyre: 185x60R13
              ^^^^^^^^^
      write a size as in `185/60R13`, `180/550-13` or `8.0/20.0-13`, or measure: `{rolled_out: 1.757 m}`
    ");
    insta::assert_snapshot!(with("tyre: 185/60R9"), @r"
    fleet/minnow/car.yaml:6:7: error: tyre: `185/60R9`: a rim of 9 inches is not one of 10 to 22
        tyre: 185/60R9
              ^^^^^^^^
      or measure how far one turn rolls: `{rolled_out: 1.757 m}`
    ");
    insta::assert_snapshot!(with("tyre: {size: 185/60R13, radius: 0.28 m}"), @r"
    fleet/minnow/car.yaml:6:25: error: `size` and `radius` cannot both be given
        tyre: {size: 185/60R13, radius: 0.28 m}
                                ^^^^^^
      keep one of the two
    ");
    insta::assert_snapshot!(with("tyre: {grip: 1.1}"), @r"
    fleet/minnow/car.yaml:6:1: error: one of size, rolled_out, radius, rolling_radius is missing in tyre
        tyre: {grip: 1.1}
        ^^^^
      add `size: 185/60R13`
    ");
    insta::assert_snapshot!(with("tyre: {radius: 280 m}"), @r"
    fleet/minnow/car.yaml:6:16: error: radius: `280 m` is above 1 m
        tyre: {radius: 280 m}
                       ^^^^^
      it must lie between 0.1 m and 1 m
    ");
    insta::assert_snapshot!(with("tyre: {size: 185/60R13, kind: slik, grip: {tarmac: lots}}"), @r"
    fleet/minnow/car.yaml:6:31: error: kind: `slik` is not known here
        tyre: {size: 185/60R13, kind: slik, grip: {tarmac: lots}}
                                      ^^^^
      did you mean `slick`? one of road, treaded competition, slick, gravel, studded, mud
    fleet/minnow/car.yaml:6:52: error: tarmac: `lots` does not begin with a number
        tyre: {size: 185/60R13, kind: slik, grip: {tarmac: lots}}
                                                           ^^^^
      write a number
    ");
}

#[test]
fn shift_times_fit_the_gears() {
    insta::assert_snapshot!(with("shift_time: [0.4 s, 0.3 s]"), @r"
    fleet/minnow/car.yaml:7:13: error: shift_time: 2 times for 3 changes of gear
        shift_time: [0.4 s, 0.3 s]
                    ^
      write one time for all, or one for each change
    ");
    insta::assert_snapshot!(with("shift_time: {1-2: 0.4 s, 2-3: 0.3 s}"), @r"
    fleet/minnow/car.yaml:7:1: error: shift_time: the time of 3-4 is missing
        shift_time: {1-2: 0.4 s, 2-3: 0.3 s}
        ^^^^^^^^^^
      add `3-4: 0.35 s`
    ");
    insta::assert_snapshot!(with("shift_time: {1-2: 0.4 s, 2-3: 0.3 s, 3-4: 0.3 s, 4-5: 0.3 s}"), @r"
    fleet/minnow/car.yaml:7:50: error: `4-5` is no change of these gears
        shift_time: {1-2: 0.4 s, 2-3: 0.3 s, 3-4: 0.3 s, 4-5: 0.3 s}
                                                         ^^^
      write 1-2, 2-3, 3-4
    ");
    insta::assert_snapshot!(with("shift_time: -0.1 s"), @r"
    fleet/minnow/car.yaml:7:13: error: shift_time: `-0.1 s` is below 0 s
        shift_time: -0.1 s
                    ^^^^^^
      it must lie between 0 s and 5 s
    ");
    insta::assert_snapshot!(with("shift_time: 350 mm"), @r"
    fleet/minnow/car.yaml:7:13: error: shift_time: `350 mm` is a length
        shift_time: 350 mm
                    ^^^^^^
      time wants s, ms or min, as in `0.35 s`
    ");
    for time in ["0", "0 s", "3 s", "350 ms", "0,35 s"] {
        assert_eq!(with(&format!("shift_time: {time}")), "", "{time}");
    }
}

#[test]
fn words_numbers_and_places_are_checked() {
    insta::assert_snapshot!(with("drive: reer"), @r"
    fleet/minnow/car.yaml:6:8: error: drive: `reer` is not known here
        drive: reer
               ^^^^
      did you mean `rear`? one of front, rear, all
    ");
    insta::assert_snapshot!(with("differential: lsd"), @r"
    fleet/minnow/car.yaml:7:15: error: differential: `lsd` is not known here
        differential: lsd
                      ^^^
      write one of open, plate, torque biasing, spool
    ");
    insta::assert_snapshot!(with("differential: {bias: 9}"), @r"
    fleet/minnow/car.yaml:7:22: error: bias: `9` is above 5
        differential: {bias: 9}
                             ^
      it must lie between 1 and 5
    ");
    insta::assert_snapshot!(with("weight_front: 53"), @r"
    fleet/minnow/car.yaml:7:15: error: weight_front: `53` is more than the whole
        weight_front: 53
                      ^^
      write `53 %` or `0.53`
    ");
    insta::assert_snapshot!(with("weight_front: 153 %"), @r"
    fleet/minnow/car.yaml:7:15: error: weight_front: `153 %` is above 95 %
        weight_front: 153 %
                      ^^^^^
      it must lie between 5 % and 95 %
    ");
    insta::assert_snapshot!(with("efficiency: [0.9, 0.9]"), @r"
    fleet/minnow/car.yaml:7:13: error: efficiency: 2 values for 4 gears
        efficiency: [0.9, 0.9]
                    ^
      write one value for all, or one for each gear
    ");
    insta::assert_snapshot!(with("inertia: 3"), @r"
    fleet/minnow/car.yaml:7:10: error: inertia: the inertias by name belong here
        inertia: 3
                 ^
      write `{engine: 0.12 kg m2, wheels: 3.6 kg m2}`, or `none`
    ");
    insta::assert_snapshot!(with("inertia: {engine: 0.12 kg}"), @r"
    fleet/minnow/car.yaml:7:19: error: engine: `0.12 kg` is a mass
        inertia: {engine: 0.12 kg}
                          ^^^^^^^
      moment of inertia wants kg m2, as in `0.12 kg m2`
    ");
    insta::assert_snapshot!(with("launch: 0 rpm"), @r"
    fleet/minnow/car.yaml:7:9: error: launch: `0 rpm` must be above zero
        launch: 0 rpm
                ^^^^^
      it must lie between 1 rpm and 30000 rpm
    ");
    insta::assert_snapshot!(with("launch: {tarmac: 8200 rpm}\nrev_limit: 7200"), @r"
    fleet/minnow/car.yaml:7:18: error: launch: 8200 rpm is above the rev limit of 7200 rpm
        launch: {tarmac: 8200 rpm}
                         ^^^^^^^^
      launch below the limit
    ");
    insta::assert_snapshot!(with("rolling: [1, 2, 3, 4]"), @r"
    fleet/minnow/car.yaml:7:10: error: rolling: one to three coefficients belong here
        rolling: [1, 2, 3, 4]
                 ^
      write `0.014`, or `[f0, f1, f2]`
    ");
    insta::assert_snapshot!(with("engine: {bore: 86, stroke: 86 mm}"), @r"
    fleet/minnow/car.yaml:7:1: error: `cylinders` is missing in `engine`
        engine: {bore: 86, stroke: 86 mm}
        ^^^^^^
      add `cylinders: 4`
    fleet/minnow/car.yaml:7:16: error: bore: `86` has no unit
        engine: {bore: 86, stroke: 86 mm}
                       ^^
      write it with its unit: mm, m, km, in, ft or mi, as in `86 mm`
    ");
    insta::assert_snapshot!(with("uncertain: {mass: 5 %, drag_area: 200 %}"), @r"
    fleet/minnow/car.yaml:7:19: error: mass: `5 %` is a percentage
        uncertain: {mass: 5 %, drag_area: 200 %}
                          ^^^
      mass wants kg or lb, as in `960 kg`
    fleet/minnow/car.yaml:7:35: error: drag_area: `200 %` is above 50 %
        uncertain: {mass: 5 %, drag_area: 200 %}
                                          ^^^^^
      it must lie between 0 % and 50 %
    ");
    insta::assert_snapshot!(with("trims: {}"), @r"
    fleet/minnow/car.yaml:7:8: error: trims: none is written
        trims: {}
               ^
      write `trims: {circuit: {mass: 960 kg, tyre: 185/60R13}}`
    ");
    insta::assert_snapshot!(with("gearbox: {ratios: [2, 1]}\nratios: [2, 1]"), @r"
    fleet/minnow/car.yaml:7:1: error: `ratios` stands beside `gearbox`
        ratios: [2, 1]
        ^^^^^^
      write it inside `gearbox`
    ");
    insta::assert_snapshot!(with("wheelbse: 2.4 m\ntires: x"), @r"
    fleet/minnow/car.yaml:7:1: error: `wheelbse` is not a key known here
        wheelbse: 2.4 m
        ^^^^^^^^
      did you mean `wheelbase`?
    fleet/minnow/car.yaml:8:1: error: `tires` is not a key known here
        tires: x
        ^^^^^
      did you mean `trims` or `tyre`?
    ");
}

#[test]
fn options_need_names_of_their_own() {
    let set = "{name: close, ratios: [2.5, 1.7, 1.3, 1.1, 1.0]}";
    insta::assert_snapshot!(with(&format!("options: {{gearbox: [{set}, {set}]}}")), @r"
    fleet/minnow/car.yaml:7:10: error: two gear sets are called `close`
        options: {gearbox: [{name: close, ratios: [2.5, 1.7, 1.3, 1.1, 1.0]}, {name: close, ratios: [2.5…
                 ^
      give each its own name
    ");
    insta::assert_snapshot!(with("options: {gearbox: [{ratios: [2, 1]}], final_drive: [9/x, 9/40]}"), @r"
    fleet/minnow/car.yaml:7:21: error: gearbox: this gear set has no name
        options: {gearbox: [{ratios: [2, 1]}], final_drive: [9/x, 9/40]}
                            ^
      add `name: close five-speed`
    fleet/minnow/car.yaml:7:54: error: final_drive: `9/x` are no numbers of teeth
        options: {gearbox: [{ratios: [2, 1]}], final_drive: [9/x, 9/40]}
                                                             ^^^
      write pinion and crownwheel as in `9/38`
    ");
    let car = good(&format!(
        "{FIVE_LINES}shift_time: 0.2 s\noptions: {{gearbox: {set}}}\n"
    ));
    assert_eq!(car.gearbox_options[0].shift_times, [0.2; 4]);
    assert_eq!(
        car.gearbox_options[0].efficiency,
        [0.90, 0.90, 0.90, 0.90, 0.92]
    );
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
      write keys with their values: name, drive, gearbox, ratios, shift_time, first_gear, efficiency, final_drive, rev_limit, engine, trims, mass and 18 more
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

/// A number in one of several units, written out in full.
fn written(si: f64, units: &'static [(&'static str, f64)]) -> impl Strategy<Value = String> {
    (0..units.len()).prop_map(move |i| format!("{} {}", si / units[i].1, units[i].0))
}

const MASSES: &[(&str, f64)] = &[
    ("kg", 1.0),
    ("lb", 0.453_592_37),
    ("Lbs", 0.453_592_37),
    ("t", 1e3),
];
const LENGTHS: &[(&str, f64)] = &[
    ("m", 1.0),
    ("mm", 1e-3),
    ("in", 0.0254),
    ("ft", 0.3048),
    ("cm", 0.01),
];
const AREAS: &[(&str, f64)] = &[
    ("m2", 1.0),
    ("m²", 1.0),
    ("ft2", 0.3048 * 0.3048),
    ("sq ft", 0.3048 * 0.3048),
];
const TIMES: &[(&str, f64)] = &[("s", 1.0), ("ms", 1e-3), ("min", 60.0)];
const SPEEDS: &[(&str, f64)] = &[("rpm", 1.0), ("1/min", 1.0), ("rev/s", 60.0)];
const SHARES: &[(&str, f64)] = &[("%", 0.01), ("", 1.0), ("percent", 0.01)];

proptest! {
    /// Whatever mix of units a car is written in, it is the same car.
    #[test]
    fn property_any_mix_of_units_gives_the_same_car(
        mass in written(960.0, MASSES),
        wheelbase in written(2.41, LENGTHS),
        height in written(0.48, LENGTHS),
        radius in written(0.2796, LENGTHS),
        area in written(0.66, AREAS),
        shift in written(0.35, TIMES),
        limit in written(7200.0, SPEEDS),
        front in written(0.53, SHARES),
    ) {
        let text = |v: [&str; 8]| format!(
            "drive: rear\nmass: {}\nwheelbase: {}\ncg_height: {}\ntyre: {{radius: {}}}\n\
             drag_area: {}\nshift_time: {}\nrev_limit: {}\nweight_front: {}\n\
             ratios: [2.94, 1.94]\nfinal_drive: 4.22\n",
            v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7],
        );
        let plain = good(&text(
            ["960 kg", "2.41 m", "0.48 m", "0.2796 m", "0.66 m2", "0.35 s", "7200 rpm", "53 %"],
        ));
        let mixed = good(&text(
            [&mass, &wheelbase, &height, &radius, &area, &shift, &limit, &front],
        ));
        let numbers = |car: &Car| [
            car.trims[0].mass,
            car.wheelbase,
            car.cg_height,
            car.trims[0].rolling_radius,
            car.drag_area,
            car.gearbox.shift_times[0],
            car.rev_limit_rpm,
            car.front_share,
        ];
        for (a, b) in numbers(&plain).into_iter().zip(numbers(&mixed)) {
            prop_assert!((a - b).abs() <= 4.0 * f64::EPSILON * a, "{a} {b}");
        }
    }

    /// No text makes the reader panic, and a refusal always comes with an error.
    #[test]
    fn property_a_refusal_says_why(cut in 0..WHOLE.len(), noise in "[ -~\n\t:\\[\\]{}]{0,12}") {
        let mut text = WHOLE.to_owned();
        text.insert_str(cut, &noise);
        let (car, findings) = read_text(&text);
        prop_assert_eq!(car.is_none(), findings.has_errors());
    }
}
