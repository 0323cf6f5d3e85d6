//! What files say besides their figures: the weather above the table, units in the cells, numbers of pulls.

use super::testdays::{Bench, LONG, RPM, SHORT, STEPS, TWO, sheet};

fn with_head(head: &str, torque: &[f64], times: f64) -> String {
    format!("{head}\n\n{}", sheet("rpm,torque (Nm)", torque, times))
}

/// DIN 70020 goes with the pressure and the root of kelvins: 1013.5 / 989.2 * (305.2 / 289.1)^0.5 = 1.053.
#[test]
fn weather_above_the_tables_is_asked_for_where_it_decides() {
    let bench = Bench::new();
    let cool = "Baro (station): 29.93 inHg\nAir in: 60.7 F\nHumidity: 58 %\nCorrection: OFF";
    let warm = "Baro (station): 29.21 inHg\nAir in: 89.7 F\nHumidity: 38 %\nCorrection: OFF";
    for n in 1..=2 {
        bench.file(
            &format!("long/long-{n}.csv"),
            with_head(cool, &LONG, 1.0 + 0.001 * f64::from(n)),
        );
        bench.file(
            &format!("short/short-{n}.csv"),
            with_head(warm, &SHORT, 0.95 + 0.001 * f64::from(n)),
        );
    }
    let day = format!("{STEPS}{TWO}");
    let (_, said) = bench.shows(&day);
    let cool_air = "{pressure: 29.93 inHg, temperature: 60.7 °F, humidity: 58 %}";
    let warm_air = "{pressure: 29.21 inHg, temperature: 89.7 °F, humidity: 38 %}";
    let wanted = format!(
        "write what they say beside each spec: `weather: {cool_air}` for long, `weather: {warm_air}` for short"
    );
    assert!(
        said.contains("the files say their weather themselves, above their tables, which makes 5.3 % of torque between specs")
            && said.contains(&wanted),
        "{said}"
    );
    // As it advises.
    let given = |long: &str, short: &str| {
        day.replace("pulls: long}", &format!("pulls: long, weather: {long}}}"))
            .replace(
                "pulls: short}",
                &format!("pulls: short, weather: {short}}}"),
            )
    };
    let (_, said) = bench.shows(&given(cool_air, warm_air));
    assert_eq!(said, "");
    let (_, said) = bench.shows(&given(cool_air, cool_air));
    assert!(
        said.contains("the file says 989 hPa and 32 °C, and the day takes 1014 hPa and 16 °C"),
        "{said}"
    );
}

/// `2 400 rpm` and `182.2 N·m` in every cell, thousands parted by a blank that does not break.
#[test]
fn thousands_are_parted_beside_units_in_the_cells_too() {
    let bench = Bench::new();
    let day = format!("{STEPS}corrected: none\ncorrect_to: none\n{TWO}");
    let peaks = |out: &str| {
        let rows = out
            .lines()
            .filter(|line| line.starts_with("long ") || line.starts_with("short "));
        rows.map(str::to_owned).collect::<Vec<String>>()
    };
    let specs = [("long", &LONG), ("short", &SHORT)];
    for (name, torque) in specs {
        bench.file(
            &format!("{name}/{name}-1.csv"),
            sheet("rpm,torque (Nm)", torque, 1.0),
        );
        bench.file(
            &format!("{name}/{name}-2.csv"),
            sheet("rpm,torque (Nm)", torque, 1.0),
        );
    }
    let plain = peaks(&bench.shows(&day).0);
    assert!(!plain.is_empty());
    for mark in ["\u{a0}", ","] {
        for (name, torque) in specs {
            let rows = RPM.iter().zip(torque.iter()).map(|(rpm, torque)| {
                let (thousands, rest) = ((rpm / 1000.0).floor(), rpm % 1000.0);
                format!("{thousands:.0}{mark}{rest:03.0} rpm\t{torque:.2}\u{a0}N·m\n")
            });
            let text = format!("Engine speed\tTorque\n{}", rows.collect::<String>());
            for n in 1..=2 {
                bench.file(&format!("{name}/{name}-{n}.csv"), &text);
            }
        }
        assert_eq!(peaks(&bench.shows(&day).0), plain, "{mark}");
    }
}

#[test]
fn a_pull_numbered_in_its_first_row_alone_is_whole() {
    let bench = Bench::new();
    let day = format!("{STEPS}corrected: none\ncorrect_to: none\n{TWO}");
    for heading in ["Run", "Lauf"] {
        for (name, torque) in [("long", &LONG), ("short", &SHORT)] {
            let of = |n: usize| {
                let rows = RPM.iter().zip(torque.iter()).enumerate();
                rows.map(|(row, (rpm, torque))| {
                    let number = if row == 0 {
                        n.to_string()
                    } else {
                        String::new()
                    };
                    format!("{number};{rpm};{:.2}\n", torque * (1.0 + 0.002 * n as f64))
                })
                .collect::<String>()
            };
            let heading = format!("{heading};rpm;torque (Nm)\n");
            bench.file(
                &format!("{name}/{name}-1.csv"),
                format!("{heading}{}", of(1)),
            );
            bench.file(
                &format!("{name}/{name}-2.csv"),
                format!("{heading}{}{}", of(2), of(3)),
            );
        }
        let (out, said) = bench.shows(&day);
        assert_eq!(said, "");
        let all = out
            .lines()
            .any(|line| line.starts_with("long ") && line.contains("1, 3"));
        assert!(all, "{out}");
    }
}
