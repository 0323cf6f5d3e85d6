use super::*;
use crate::files::source::Source;
use approx::assert_relative_eq;

fn settings() -> Settings {
    Settings::USUAL
}

fn read_with(text: &str, settings: &Settings) -> (Option<Vec<FilePull>>, Findings) {
    let mut findings = Findings::new();
    let table = Table::parse(Source::new("long-1.csv", text), &mut findings);
    let pulls = table.and_then(|table| parse(&table, "long-1", settings, &mut findings));
    (pulls, findings)
}

fn pull(text: &str) -> FilePull {
    let (pulls, findings) = read_with(text, &settings());
    assert!(findings.is_empty(), "{findings:?}");
    pulls.unwrap().remove(0)
}

/// What is said of a file.
fn said(text: &str) -> String {
    let (pulls, findings) = read_with(text, &settings());
    assert_eq!(pulls.is_none(), findings.has_errors());
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    said.join("\n")
}

/// A file of two columns.
fn two(heading: &str, rows: &[(f64, f64)]) -> String {
    let lines: Vec<String> = rows.iter().map(|(a, b)| format!("{a},{b}")).collect();
    format!("{heading}\n{}\n", lines.join("\n"))
}

const SHEET: [(f64, f64); 6] = [
    (2500.0, 139.0),
    (3000.0, 153.0),
    (3500.0, 166.0),
    (4000.0, 178.5),
    (4500.0, 190.0),
    (5000.0, 199.0),
];

#[test]
fn torque_power_and_brake_reading_give_the_same_pull() {
    let plain = pull(&two("rpm,torque (Nm)", &SHEET));
    let kilowatts: Vec<(f64, f64)> = SHEET
        .iter()
        .map(|(n, t)| (*n, t * n / RPM_PER_RAD_PER_S / 1e3))
        .collect();
    let from_power = pull(&two("rpm,kW", &kilowatts));
    // bhp = reading · rpm / 4500.
    let readings: Vec<(f64, f64)> = kilowatts
        .iter()
        .map(|(n, kw)| (*n, kw * 1e3 / units::HORSEPOWER * 4500.0 / n))
        .collect();
    let brake = Settings {
        brake: Some((4500.0, POWER.unit("bhp").unwrap())),
        ..settings()
    };
    let (from_brake, findings) = read_with(&two("rpm,brake reading", &readings), &brake);
    assert!(findings.is_empty(), "{findings:?}");
    for other in [from_power, from_brake.unwrap().remove(0)] {
        assert_eq!(other.rpm, plain.rpm);
        for (a, b) in other.torque.iter().zip(&plain.torque) {
            assert_relative_eq!(a, b, max_relative = 1e-12);
        }
    }
}

#[test]
fn road_speed_needs_its_speed_per_1000_rpm() {
    let speeds: Vec<(f64, f64)> = SHEET.iter().map(|(n, t)| (n * 0.0261, *t)).collect();
    let text = two("speed (km/h),torque (Nm)", &speeds);
    assert!(said(&text).contains("speed_per_1000_rpm: 26.1 km/h"));
    let known = Settings {
        speed_per_1000_rpm: Some(26.1 / 3.6),
        ..settings()
    };
    let (pulls, findings) = read_with(&text, &known);
    assert!(findings.is_empty(), "{findings:?}");
    assert_relative_eq!(pulls.unwrap()[0].rpm[3], 4000.0, max_relative = 1e-12);
}

#[test]
fn several_pulls_of_one_file_are_parted_by_a_column() {
    let mut text = String::from("pull;rpm;torque (Nm)\n");
    for pull in [1, 2, 5] {
        for (rpm, torque) in SHEET {
            text += &format!("{pull};{rpm};{}\n", torque + f64::from(pull));
        }
    }
    let (pulls, findings) = read_with(&text, &settings());
    assert!(findings.is_empty(), "{findings:?}");
    let pulls = pulls.unwrap();
    let names: Vec<&str> = pulls.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["long-1 #1", "long-1 #2", "long-1 #5"]);
    assert_eq!(pulls[2].torque[0], 144.0);
}

#[test]
fn channels_are_averaged_over_the_pull() {
    let mut text = String::from("rpm,torque (Nm),lambda,oil temp (°F),note\n");
    for (i, (rpm, torque)) in SHEET.iter().enumerate() {
        text += &format!("{rpm},{torque},{},203,x\n", 0.86 + 0.01 * i as f64);
    }
    let channels = pull(&text).channels;
    assert_relative_eq!(channels["lambda"], 0.885, max_relative = 1e-12);
    assert_relative_eq!(channels["oil temperature"], 368.15, max_relative = 1e-12);
    assert_relative_eq!(channels["leanest lambda"], 0.91, max_relative = 1e-12);
    assert_eq!(channels.len(), 3);
}

/// Gauges show the mixture as 14.7 times lambda (common practice, no source).
#[test]
fn a_mixture_as_air_to_fuel_is_lambda() {
    let mut text = String::from("rpm,torque (Nm),AFR\n");
    for (rpm, torque) in SHEET {
        text += &format!("{rpm},{torque},12.94\n");
    }
    assert_relative_eq!(pull(&text).channels["lambda"], 0.8803, max_relative = 1e-4);
}

#[test]
fn a_text_in_row_17_is_named_with_its_line() {
    let mut text = String::from("rpm,torque (Nm)\n");
    for i in 0..20 {
        let torque = if i == 16 {
            "knock".to_owned()
        } else {
            "150".to_owned()
        };
        text += &format!("{},{torque}\n", 2500 + 100 * i);
    }
    let said = said(&text);
    assert!(
        said.contains("long-1.csv:18:6: error: `torque` in row 17"),
        "{said}"
    );
    assert!(said.contains("knock"), "{said}");
}

#[test]
fn what_is_no_curve_is_refused() {
    assert!(said("rpm,torque (Nm)\n3000,150\n").contains("1 engine speed in this pull"));
    assert!(said(&two("rpm,torque (Nm)", &SHEET[..4])).contains("4 engine speeds"));
    assert!(said(&two("rpm,torque (Nm)", &[SHEET[1]; 9])).contains("1 engine speed in"));
    let nan = two("rpm,torque (Nm)", &SHEET).replace("166", "NaN");
    assert!(said(&nan).contains("1 row without a figure left out: line 4"));
    let low = two("rpm,torque (Nm)", &SHEET).replace("166", "-3");
    assert!(said(&low).contains("row 3: at full throttle"));
    assert!(said("rpm,note\n2500,x\n").contains("no column of torque or power"));
    assert!(said("torque (Nm),x\n120,1\n").contains("no column of engine speed"));
    let thousands: Vec<(f64, f64)> = SHEET.iter().map(|(n, t)| (n / 1e3, *t)).collect();
    assert!(said(&two("rpm,torque (Nm)", &thousands)).contains("in thousands?"));
    for heading in [
        "RPM (x1000)",
        "rpm *1000",
        "rpm/1000",
        "rpm [1000 rpm]",
        "krpm",
        "Drehzahl (1000/min)",
    ] {
        let said = said(&two(&format!("{heading},torque (Nm)"), &thousands));
        let wanted =
            format!("`{heading}` is engine speed in thousands? write it in full, 2500 for 2.5,");
        assert!(said.contains(&wanted), "{heading}: {said}");
    }
    assert!(said(&two("rpm (foo),torque (Nm)", &SHEET)).contains("`foo` is not a unit known here"));
    assert!(said(&two("rpm,torque", &SHEET)).contains("has no unit"));
    let text = "rpm,front (Nm),rear (Nm)\n2500,120,110\n3000,130,120\n";
    assert!(said(text).contains("several columns of torque: `front`, `rear`"));
}

#[test]
fn steps_back_and_repeats_are_merged_and_said() {
    let mut rows = SHEET.to_vec();
    rows.insert(3, (3400.0, 165.0));
    rows.insert(4, (3400.0, 166.0));
    let said = said(&two("rpm,torque (Nm)", &rows));
    assert!(
        said.contains(":5:1: warning: engine speed steps back in 1 row and repeats in 1 row"),
        "{said}"
    );
    rows.reverse();
    let said = self::said(&two("rpm,torque (Nm)", &rows));
    assert!(said.contains("turned round"), "{said}");
}

#[test]
fn a_step_test_up_and_down_again_is_told_where_the_ways_disagree() {
    let steps = Settings {
        method: Method::Steps,
        ..settings()
    };
    let of = |times: f64| {
        let down = SHEET
            .iter()
            .rev()
            .map(|(rpm, torque)| (*rpm, torque * times));
        let rows: Vec<(f64, f64)> = SHEET.iter().copied().chain(down).collect();
        let (pulls, findings) = read_with(&two("rpm,torque (Nm)", &rows), &steps);
        (pulls.unwrap().remove(0), format!("{findings:?}"))
    };
    let (pull, said) = of(1.01);
    assert_eq!(said, format!("{:?}", Findings::new()));
    assert_relative_eq!(pull.torque[2], 1.005 * SHEET[2].1);
    assert!(
        of(0.97)
            .1
            .contains("on the way down is 3.0 % below that on the way up")
    );
    // Twice up is two pulls.
    let twice = two("rpm,torque (Nm)", &[SHEET, SHEET].concat());
    let (_, findings) = read_with(&twice, &steps);
    assert!(
        format!("{findings:?}").contains("column named `pull`"),
        "{findings:?}"
    );
}

#[test]
fn time_running_backwards_asks_for_a_pull_column() {
    let mut text = String::from("time,rpm,torque (Nm)\n");
    for pull in 0..2 {
        for (i, (rpm, torque)) in SHEET.iter().enumerate() {
            text += &format!("{i},{rpm},{}\n", torque + f64::from(pull));
        }
    }
    let said = said(&text);
    assert!(
        said.contains(":8:3: error: time runs backwards in row 7"),
        "{said}"
    );
    assert!(said.contains("named `pull`"), "{said}");
}

/// Torque and power in one file: what each constant ratio gives away.
#[test]
fn torque_and_power_that_disagree_are_diagnosed() {
    let file = |heading: &str, watts: f64, scale: f64| {
        let mut text = format!("rpm,{heading}\n");
        for (rpm, torque) in SHEET {
            let power = torque * rpm / RPM_PER_RAD_PER_S / watts;
            text += &format!("{rpm},{},{power}\n", torque * scale);
        }
        text
    };
    let (bhp, ps) = (units::HORSEPOWER, units::METRIC_HORSEPOWER);
    assert_eq!(said(&file("torque (Nm),power (bhp)", bhp, 1.0)), "");
    assert_eq!(said(&file("torque (Nm),power (bhp)", bhp, 1.009)), "");
    // Each under the heading of the other.
    let swapped = file("power (kW),torque (Nm)", 1000.0, 1.0);
    let found = said(&swapped);
    assert!(
        found.contains("under each other's headings")
            && found.contains("change the two headings over"),
        "{found}"
    );
    let says = |text: &str, severity: &str, what: &str| {
        let said = said(text);
        assert!(said.contains(severity) && said.contains(what), "{said}");
    };
    says(
        &file("torque (Nm),power (bhp)", ps, 1.0),
        "warning",
        "PS headed as `bhp`",
    );
    says(
        &file("torque (Nm),power (PS)", bhp, 1.0),
        "warning",
        "bhp headed as `PS`",
    );
    let lb_ft = 1.0 / units::POUND_FOOT;
    says(
        &file("torque (Nm),power (kW)", 1e3, lb_ft),
        "error",
        "lb-ft headed as Nm",
    );
    says(
        &file("torque (Nm),power (kW)", 1e3, 8.13),
        "error",
        "through the gears",
    );
    says(
        &file("torque (Nm),power (kW)", 1e3, 1.02),
        "warning",
        "+2.0 % off power",
    );
    let row = file("torque (Nm),power (kW)", 1e3, 1.0).replace("166", "176");
    says(&row, "long-1.csv:4:6: error", "disagree by +6.0 % in row 3");
    let row = file("torque (Nm),power (kW)", 1e3, 1.0).replace("166", "169");
    says(
        &row,
        "warning",
        "disagree by +1.8 % in row 3, by more than 1 % in 1 row",
    );
}

#[test]
fn a_run_down_is_no_pull() {
    let mut text = String::from("time,rpm,torque (Nm)\n");
    for i in 0..60 {
        text += &format!("{},{},{}\n", f64::from(i) * 0.2, 7000 - 70 * i, 150 + i % 2);
    }
    let (pulls, findings) = read_with(&text, &settings());
    assert!(pulls.unwrap()[0].acceleration[20] < -300.0);
    let said = findings.iter().next().unwrap().to_string();
    assert!(said.contains("a run down, not a pull"), "{said}");
}

#[test]
fn throttle_is_known_by_its_usual_headings() {
    for heading in [
        "throttle_pct",
        "Throttle (%)",
        "TPS",
        "TPS position",
        "pedal pos [%]",
        "Drosselklappe",
    ] {
        let text = format!("rpm,torque (Nm),{heading}\n2500,139,99\n3000,153,100\n3500,166,100\n");
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("long-1.csv", &text), &mut findings).unwrap();
        let columns = columns::find(&table, &settings(), &mut findings).unwrap();
        assert_eq!(columns.throttle, Some(2), "{heading}");
    }
}

/// As an engine's computer logs it beside its per cent; five rows of a sheet may lie on a plateau.
#[test]
fn torque_that_is_one_figure_all_along_is_none() {
    let of = |heading: &str, rows: u32, torque: fn(u32) -> u32| {
        let mut text = format!("time,rpm,{heading}\n");
        for i in 0..rows {
            text += &format!(
                "{},{},{},{}\n",
                f64::from(i) * 0.2,
                2500 + 60 * i,
                45 + i % 9,
                torque(i)
            );
        }
        let (pulls, findings) = read_with(&text, &settings());
        let said: String = findings.iter().map(ToString::to_string).collect();
        (pulls.is_some(), said)
    };
    let log = |rows, torque| of("percent torque (%),reference torque (Nm)", rows, torque);
    let (read, said) = log(40, |_| 240);
    assert!(
        !read && said.contains("`reference torque` is 240 in every row"),
        "{said}"
    );
    assert!(log(40, |i| 240 + i % 2).0);
    assert!(log(8, |_| 240).0);
    // An engine that is held to a torque.
    assert!(of("throttle (%),torque (Nm)", 40, |_| 240).0);
}
