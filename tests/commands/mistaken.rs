//! Figures that are well written and mean something else: asked about or refused, never answered in silence.

use super::pullrank;
use super::world::World;

const DAY: &str = "corrected: DIN 70020\ncorrect_to: DIN 70020\n";
const TWO: &str =
    "specs:\n  - {name: long, pulls: long.csv}\n  - {name: short, pulls: short.csv}\n";

/// What `check` says of a study and its files.
fn checked(world: &World) -> String {
    let output = pullrank()
        .arg("check")
        .arg(world.path("study.yaml"))
        .output()
        .unwrap();
    world.said(&output.stderr) + &world.said(&output.stdout)
}

/// The sound study with a passage replaced must be told so.
fn says(file: &str, from: &str, to: &str, wanted: &[&str]) {
    let said = checked(&World::new().edit(file, from, to));
    for text in wanted {
        assert!(said.contains(text), "{to}: no `{text}` in\n{said}");
    }
}

/// 2.94, 1.94, 1.36 and 1.00 times 38/9.
#[test]
fn ratios_with_the_final_drive_in_them_are_asked_about() {
    says(
        "car.yaml",
        "ratios: [2.94, 1.94, 1.36, 1.00]",
        "ratios: [12.41, 8.19, 5.74, 4.22]",
        &[
            "car.yaml:5:9: warning: ratios: first gear 12.41 and top gear 4.22: are these multiplied by the \
             final drive?",
            "divide each by it",
        ],
    );
    // A crawler gear and a kart's only one are what they are.
    for sound in ["[6.4, 3.1, 1.7, 1.0]", "[9.0]"] {
        let world = World::new().edit("car.yaml", "[2.94, 1.94, 1.36, 1.00]", sound);
        assert!(!checked(&world).contains("multiplied"), "{sound}");
    }
}

#[test]
fn a_price_that_can_be_read_two_ways_is_refused() {
    let price = |text: &str| {
        format!("rev_limit: 7000 rpm\noptions: {{final_drive: [{{teeth: 9/41, price: {text}}}]}}")
    };
    says(
        "car.yaml",
        "rev_limit: 7000 rpm",
        &price("1.150"),
        &[
            "price: `1.150` may be 1150 or 1.15",
            "write `1150` or `1.15`",
        ],
    );
    says(
        "car.yaml",
        "rev_limit: 7000 rpm",
        &price("\"2.000 EUR\""),
        &["price: `2.000 EUR` may be 2000 or 2", "write `2000` or `2`"],
    );
    // Behind a comma nobody writes three decimals of a coin.
    let parted = ["\"1,150\"", "\"1,234,567\"", "1 150"];
    for sound in ["1150", "12.50", "0.125", "1150.00"].iter().chain(&parted) {
        let world = World::new().edit("car.yaml", "rev_limit: 7000 rpm", &price(sound));
        assert!(!checked(&world).contains("price: `"), "{sound}");
    }
}

#[test]
fn work_without_a_unit_is_in_hours_or_minutes() {
    says(
        "car.yaml",
        "rev_limit: 7000 rpm",
        "rev_limit: 7000 rpm\noptions: {final_drive: [{teeth: 9/41, swap_time: 3}]}",
        &["swap_time: `3` has no unit", "write `3 h` or `3 min`"],
    );
}

#[test]
fn a_pull_is_not_set_aside_by_a_no() {
    for no in ["no", "false", "\"No\""] {
        says(
            "testday.yaml",
            "pulls: long.csv",
            &format!("pulls: [{{file: long.csv, set_aside: {no}}}]"),
            &[
                "testday.yaml:6:",
                "and whatever is written here sets the pull aside",
                "take the line out",
            ],
        );
    }
}

#[test]
fn a_spec_of_the_day_that_is_not_compared_is_told_so() {
    says(
        "study.yaml",
        "name: Small\n",
        "name: Small\nspecs: [long]\nfitted: short\n",
        &[
            "study.yaml:3:9: error: `short` is not among the specs compared",
            "add short to `specs`",
        ],
    );
}

#[test]
fn a_venue_that_cannot_be_read_is_one_fault() {
    let world = World::new()
        .edit(
            "study.yaml",
            "name: Small\n",
            "name: Small\nresults: [{venue: Mill Lane, time: \"0:20.0\"}]\n",
        )
        .edit("track.yaml", "radius: 30 m", "radius: 30 kg");
    let said = checked(&world);
    assert!(said.contains("track.yaml:7:"), "{said}");
    assert!(!said.contains("there is no venue"), "{said}");
    let world = World::new().edit(
        "study.yaml",
        "name: Small\n",
        "name: Small\nresults: [{venue: Mill Road, time: \"0:20.0\"}]\n",
    );
    assert!(checked(&world).contains("there is no venue `Mill Road`"));
}

/// Pulls of the same engine, one of them from 4,500 rpm up alone.
#[test]
fn pulls_that_begin_apart_are_asked_about() {
    let table = |from: u32| {
        let rows = (from / 250..=28).map(|i| {
            let rpm = 250.0 * f64::from(i);
            format!(
                "{rpm},{:.1}\n",
                152.0 - 30.0 * ((rpm - 5000.0) / 3000.0).powi(2)
            )
        });
        rows.fold("rpm,torque (Nm)\n".to_owned(), |all, row| all + &row)
    };
    let world = |from: u32| {
        World::new()
            .write(
                "testday.yaml",
                format!("dyno: {{measures: flywheel, method: steps}}\n{DAY}{TWO}"),
            )
            .write("long.csv", table(2000))
            .write("short.csv", table(from))
    };
    let said = checked(&world(4500));
    let wanted = "the pulls of short begin at 4500 rpm, those of long at 2000: what it makes below is a guess";
    assert!(said.contains(wanted), "{said}");
    assert!(!checked(&world(2250)).contains("is a guess"));
}

/// A study of pulls over road speed from `km/h` times 48 to 168, where 1,000 rpm are said to be `speed`.
fn on_rollers(times: f64, speed: &str) -> World {
    let rows = |scale: f64| {
        let rows = (0..24).map(|i| {
            let kmh = times * (48.0 + 5.2 * f64::from(i));
            format!("{kmh:.1},{:.1}\n", scale * (60.0 + 2.0 * f64::from(i)))
        });
        rows.fold("speed (km/h),wheel power (kW)\n".to_owned(), |all, row| {
            all + &row
        })
    };
    let dyno = format!("dyno: {{measures: wheels, method: steps, speed_per_1000_rpm: {speed}}}\n");
    World::new()
        .write("testday.yaml", format!("{dyno}{DAY}{TWO}"))
        .write("long.csv", rows(1.0))
        .write("short.csv", rows(1.01))
}

/// Top gear of 185/60R13 with 38/9 makes 23.9 km/h at 1,000 rpm, as `pullrank car` prints of the demo.
#[test]
fn road_speed_that_is_no_gear_of_the_car_is_asked_about() {
    let said = checked(&on_rollers(1.0, "26.1 km/h"));
    assert!(
        said.contains("speed_per_1000_rpm: 26.1 km/h is no gear of Minnow: its gears make 8.1, 12.3, 17.6, 23.9 km/h"),
        "{said}"
    );
    for sound in ["23.9 km/h", "17.4 km/h"] {
        let said = checked(&on_rollers(1.0, sound));
        assert!(!said.contains("no gear"), "{said}");
    }
}

/// Pulled in top, from 2,000 to 7,000 rpm; third makes 17.6 km/h at 1,000 rpm.
#[test]
fn the_speed_of_another_gear_than_was_pulled_in_is_asked_about() {
    let sound = checked(&on_rollers(1.0, "23.9 km/h"));
    assert!(!sound.contains("was it pulled"), "{sound}");
    let third = on_rollers(1.0, "17.6 km/h");
    let said = checked(&third);
    let gear = "was it pulled in gear 4, at 23.9 km/h, where they would end at 7005 rpm";
    for wanted in [
        "testday.yaml:1:61: warning: speed_per_1000_rpm: at 17.6 km/h the pulls end at 952",
        "and the rev limit is 7000 rpm",
        gear,
    ] {
        assert!(said.contains(wanted), "no `{wanted}` in\n{said}");
    }
    let said = checked(&third.edit("car.yaml", "rev_limit: 7000 rpm\n", ""));
    assert!(said.contains("and no `rev_limit` is written"), "{said}");
    assert!(said.contains(gear), "{said}");
    // The other way round they end far below the limit, which is refused.
    let said = on_rollers(17.6 / 23.9, "23.9 km/h").faults();
    assert!(
        said.contains("end at 5163 rpm, and the rev limit is 7000"),
        "{said}"
    );
    assert!(
        said.contains("was it pulled in gear 3, at 17.6 km/h, where they would end at 70"),
        "{said}"
    );
}

#[test]
fn engine_speed_that_reads_double_is_asked_about() {
    let table = |times: f64| {
        let rows = (0..21).map(|i| {
            let rpm = 2000.0 + 250.0 * f64::from(i);
            let torque = 152.0 - 30.0 * ((rpm - 5000.0) / 3000.0).powi(2);
            format!("{:.0},{:.1}\n", times * rpm, torque / times)
        });
        rows.fold("rpm,torque (Nm)\n".to_owned(), |all, row| all + &row)
    };
    let said = |times: f64| {
        let day = format!("dyno: {{measures: flywheel, method: steps}}\n{DAY}{TWO}");
        let world = World::new().write("testday.yaml", day);
        checked(
            &world
                .write("long.csv", table(times))
                .write("short.csv", table(times)),
        )
    };
    let double = said(2.0);
    let wanted = "reach 14000 rpm, 2.0 times the rev limit of 7000: does engine speed read double?";
    assert!(double.contains(wanted), "{double}");
    assert!(!said(1.0).contains("read double"));
    assert!(!said(1.2).contains("times the rev limit"));
    let beyond = said(1.45);
    let wanted =
        "reach 10150 rpm, 1.4 times the rev limit of 7000: is engine speed right, and that limit?";
    assert!(beyond.contains(wanted), "{beyond}");
    // One spec of two, and a limit that can be bought.
    let one = |limits: &str| {
        let day = format!("dyno: {{measures: flywheel, method: steps}}\n{DAY}{TWO}");
        let world = World::new()
            .write("testday.yaml", day)
            .write("long.csv", table(1.0))
            .write("short.csv", table(2.0));
        checked(&world.edit("car.yaml", "rev_limit: 7000 rpm\n", limits))
    };
    let double = one("rev_limit: 7000 rpm\n");
    assert!(
        double.contains("the pulls of short reach 14000 rpm, 2.0 times the rev limit"),
        "{double}"
    );
    let bought = one("rev_limit: 7000 rpm\noptions: {rev_limit: {rpm: 11000 rpm}}\n");
    assert!(!bought.contains("times the rev limit"), "{bought}");
    let unwritten = one("");
    assert!(
        unwritten.contains("does engine speed of short read double? else long is ahead"),
        "{unwritten}"
    );
}

/// Top and third of 185/60R13 with 38/9 make 23.9 and 17.6 km/h at 1,000 rpm.
#[test]
fn the_gear_of_a_spec_is_held_against_those_of_the_car_too() {
    let of = |short: &str| {
        let world = on_rollers(1.0, "23.9 km/h");
        let slower = std::fs::read_to_string(world.path("short.csv")).unwrap();
        let rows = slower.lines().skip(1).map(|row| {
            let (speed, power) = row.split_once(',').unwrap();
            format!(
                "{:.2},{power}\n",
                speed.parse::<f64>().unwrap() * 17.6 / 23.9
            )
        });
        let table = rows.fold("speed (km/h),wheel power (kW)\n".to_owned(), |all, row| {
            all + &row
        });
        let own = format!("short.csv, speed_per_1000_rpm: {short}}}");
        checked(
            &world
                .write("short.csv", table)
                .edit("testday.yaml", "short.csv}", &own),
        )
    };
    let sound = of("17.6 km/h");
    assert!(!sound.contains("per_1000_rpm: "), "{sound}");
    let none = of("20 km/h");
    assert!(
        none.contains("speed_per_1000_rpm: 20 km/h is no gear of Minnow"),
        "{none}"
    );
    let other = of("12.3 km/h");
    assert!(
        other.contains("speed_per_1000_rpm: at 12.3 km/h the pulls end at 100"),
        "{other}"
    );
    assert!(
        other.contains("was it pulled in gear 3, at 17.6 km/h"),
        "{other}"
    );
}
