use super::*;

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
    insta::assert_snapshot!(with("ratios: [2.94, 1.94, 1,36, 1.00]"), @r"
    fleet/minnow/car.yaml:6:22: error: ratios: a comma in brackets parts entries, so `1` and `36` are two numbers
        ratios: [2.94, 1.94, 1,36, 1.00]
                             ^
      write decimals with a point: `[2.94, 1.94, 1.36, 1.00]`
    ");
    insta::assert_snapshot!(with("ratios: [4.1, 2, 1, 36]"), @r"
    fleet/minnow/car.yaml:6:21: error: ratios: `36` is above 20
        ratios: [4.1, 2, 1, 36]
                            ^^
      it must lie between 0.2 and 20
    ");
    insta::assert_snapshot!(with("ratios: 2.94 / 1.94 / 1.36 / 1.00"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: 4 numbers in one text
        ratios: 2.94 / 1.94 / 1.36 / 1.00
                ^^^^^^^^^^^^^^^^^^^^^^^^^
      write a list, as in `[2.94, 1.94, 1.36, 1.00]`
    ");
    insta::assert_snapshot!(with("ratios: [2.94 1.94 1.00]"), @r"
    fleet/minnow/car.yaml:6:10: error: ratios: 3 numbers in one text
        ratios: [2.94 1.94 1.00]
                 ^^^^^^^^^^^^^^
      write a list, as in `[2.94, 1.94, 1.00]`
    ");
    insta::assert_snapshot!(with("ratios: []"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: 0 gears
        ratios: []
                ^
      write one for each of 1 to 10 gears
    ");
    insta::assert_snapshot!(with("ratios: [11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]"), @r"
    fleet/minnow/car.yaml:6:9: error: ratios: 11 gears
        ratios: [11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]
                ^
      write one for each of 1 to 10 gears
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
    assert_eq!(drive("{ratio: 4.22, mass: 2 kg}").terms.mass, Some(2.0));
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
    insta::assert_snapshot!(with("final_drive: 0.4"), @r"
    fleet/minnow/car.yaml:6:14: warning: final_drive: 0.4 to 1 is an unusual final drive
        final_drive: 0.4
                     ^^^
      right for a chain or a drop box; otherwise check the figure
    ");
    for (line, wanted) in [
        (
            "efficiency: 15 %",
            "warning: efficiency: 15 % reaches the wheels",
        ),
        (
            "shift_time: 3.5 s",
            "warning: shift_time: 3.5 s without drive at each change",
        ),
    ] {
        let said = with(&format!("final_drive: 9/38\n{line}"));
        assert!(said.contains(wanted), "{said}");
    }
    for (teeth, ratio) in [
        ("9/38", "4.2"),
        ("38/9", "4.222"),
        ("9/41", "4.56"),
        ("9/41", "4.55"),
    ] {
        let line = format!("final_drive: {{teeth: {teeth}, ratio: {ratio}}}");
        let read = good(&FIVE_LINES.replace("final_drive: 9/38", &line)).final_drive;
        assert!(read.teeth.is_some(), "{line}");
    }
    insta::assert_snapshot!(with("final_drive: {teeth: 41/9, ratio: 4.11}"), @r"
    fleet/minnow/car.yaml:6:35: error: 41/9 is 4.56, not 4.11
        final_drive: {teeth: 41/9, ratio: 4.11}
                                          ^^^^
      count the teeth, and keep the right one
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
    fleet/minnow/car.yaml:6:7: error: tyre: `185x60R13`: the figures of a tyre size, parted otherwise: `185/60R13`?
        tyre: 185x60R13
              ^^^^^^^^^
      or measure how far one turn rolls: `{rolled_out: 1.757 m}`
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
