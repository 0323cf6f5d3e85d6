//! Logs as they are handed over in a hurry: headings that are a unit, revs that are counted twice, laps that were cut,
//! positions that were rounded.

use super::doubts::{circuit, csv, lap, listed};
use super::drawn::{At, ring, road};
use super::loggers::told;
use super::pullrank;
use super::roads::{along, length, near, shown, warned};
use super::world::World;

/// Five laps of some 42 s, 1,000 m each, with their numbers and engine speed in the upper three of four gears,
/// so many times what a tyre of some 0.29 m and 38/9 make of it.
fn session(times: f64) -> String {
    let mut out = String::from("time (s),lap,km/h,lat_g,engine_rpm\n");
    for (t, v, a) in lap(5.0) {
        let lap = (t / 42.0) as u32;
        let gear = match v {
            slow if slow < 62.0 => 1.94,
            middling if middling < 80.0 => 1.36,
            _ => 1.0,
        };
        out += &format!(
            "{t:.2},{lap},{v:.2},{a:.3},{:.0}\n",
            times * 38.6 * gear * v
        );
    }
    out
}

/// The same log under headings of another language is the same lap.
#[test]
fn metamorphic_headings_of_other_languages_head_the_same_log() {
    let log = session(1.0);
    let (heading, rows) = log.split_once('\n').unwrap();
    let plain = told(&circuit(&log));
    assert!(heading.starts_with("time (s),lap,km/h,lat_g"));
    for other in [
        "Tijd (s),lap,Snelheid (km/u),Dwarsversnelling (g),engine_rpm",
        "Temps (s),lap,Vitesse (km/h),Accélération latérale (g),engine_rpm",
        "čas (s),lap,rychlost (km/h),příčné zrychlení (g),engine_rpm",
    ] {
        assert_eq!(
            told(&circuit(&format!("{other}\n{rows}"))),
            plain,
            "{other}"
        );
    }
}

#[test]
fn a_unit_tells_speed_and_acceleration_across_the_road() {
    let told = told(&circuit(&session(1.0)));
    let plain = listed(&circuit(&session(1.0)));
    assert!(!told.contains("no column of speed"), "{told}");
    assert!(
        plain.contains("acceleration across the road is positive to the left"),
        "{plain}"
    );
    let bare = circuit(&csv(&lap(1.0)));
    assert!(listed(&bare).contains("acceleration across the road"));
}

#[test]
fn what_a_log_does_not_say_is_told_of_the_lap_that_is_taken_alone() {
    let log = session(1.0);
    let hollow = |lap: &str| {
        let mut row = 0;
        let mut out = String::new();
        for line in log.lines() {
            let mut cells: Vec<&str> = line.split(',').collect();
            row = if cells[1] == lap { row + 1 } else { 0 };
            if (100..125).contains(&row) {
                cells[2] = "0";
            }
            out += &(cells.join(",") + "\n");
        }
        circuit(&out)
    };
    let of_lap = |world: World, lap: u32| {
        told(&world.edit(
            "track.yaml",
            "log: run.csv",
            &format!("log: {{file: run.csv, lap: {lap}}}"),
        ))
    };
    assert!(of_lap(hollow("2"), 2).contains("the speed is lost"));
    assert!(of_lap(hollow("2"), 2).contains("where another lap is whole take that"));
    assert!(!of_lap(hollow("2"), 3).contains("the speed is lost"));
}

#[test]
fn revs_of_a_log_that_are_counted_twice_are_asked_about() {
    let driven = |times: f64| warned(&circuit(&session(times)));
    let said = driven(2.0);
    assert!(
        said.contains("the engine speeds of the log are twice what the gears of Minnow make at its road speeds"),
        "{said}"
    );
    assert!(!said.contains("another final drive"), "{said}");
    assert!(!driven(1.0).contains("twice"));
    // The same sentence where the car is named, and none on its tyres.
    let world = circuit(&session(2.0));
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .arg("--car")
        .arg(world.path("car.yaml"))
        .output()
        .unwrap();
    let out = world.said(&output.stdout);
    assert!(
        out.contains(" at a mean of ") && !out.contains("rolling radius"),
        "{out}"
    );
}

/// 9/41 for 9/38 is 7.9 %; 3 % is a tyre that slips and is worn.
#[test]
fn engine_speeds_of_another_final_drive_are_asked_about() {
    // 38.6 rpm per km/h in top gear are 290 mm behind 9/38.
    let with = |times: f64| {
        circuit(&session(times)).edit(
            "car.yaml",
            "tyre: 185/60R13\n",
            "tyre: 185/60R13\nrolling_radius: 290 mm\n",
        )
    };
    let said = warned(&with(1.079));
    assert!(
        said.contains("% higher than the gears of Minnow make at its road speeds, in all 2 gears")
            && said.contains("a final drive of 4.5")
            && said.contains("or a rolling radius of 269 mm"),
        "{said}"
    );
    assert!(!warned(&with(1.0)).contains("another final drive"));
    assert!(!warned(&with(0.97)).contains("another final drive"));
    let options = "final_drive: 9/38\noptions: {final_drive: [9/41]}\n";
    let said = warned(&with(1.079).edit("car.yaml", "final_drive: 9/38\n", options));
    assert!(said.contains("(its 9/41) fits"), "{said}");
}

/// The engine turns by the gears for all of the time, and the bands sum to it.
#[test]
fn seconds_per_band_of_a_log_are_told_as_it_was_recorded() {
    let world = circuit(&session(1.0));
    let shown = shown(&world);
    let bands = shown["engine_speed"].as_array().unwrap();
    let sum: f64 = bands
        .iter()
        .map(|band| band["time_s"].as_f64().unwrap())
        .sum();
    assert!((sum - 42.0).abs() < 0.5, "{sum}");
    let most = bands.last().unwrap()["from_rpm"].as_f64().unwrap();
    // 62 km/h in second are 4,643 rpm.
    assert_eq!(most, 4500.0);
    let out = listed(&world);
    assert!(out.contains("Engine speed as logged: "), "{out}");
    assert!(out.contains(" s above 4,500."), "{out}");
    let bare = circuit(&csv(&lap(1.0)));
    assert!(!listed(&bare).contains("Engine speed as logged"));
}

#[test]
fn speeds_that_differ_are_asked_about() {
    let with = |times: f64| {
        let mut out = String::from("time (s),speed (km/h),lateral (g),antenna speed (m/s)\n");
        for (t, v, a) in lap(1.0) {
            out += &format!("{t:.2},{v:.2},{a:.3},{:.3}\n", times * v / 3.6);
        }
        told(&circuit(&out))
    };
    assert!(!with(1.0).contains("over the ground"));
    let said = with(0.94);
    assert!(
        said.contains("`speed` is read, and `antenna speed` beside it is 6.0 % lower in the mean: which is that over"),
        "{said}"
    );
}

#[test]
fn positions_that_were_rounded_are_refused_for_that() {
    let with = |decimals: usize| {
        let rows = road().into_iter().map(|at| {
            let (lat, lon) = at.degrees();
            format!("{lat:.decimals$},{lon:.decimals$}\n")
        });
        along(
            "road.csv",
            &("lat,lon\n".to_owned() + &rows.collect::<String>()),
        )
    };
    let said = with(3).faults();
    assert!(said.contains("road.csv:1:1: error: `lat` has three decimals at most, so its positions lie 111 m apart"), "{said}");
    assert!(!told(&with(6)).contains("decimals"));
}

/// A lap that leaves out a corner is quicker, and not the fastest.
#[test]
fn a_lap_that_was_cut_short_is_not_taken_for_the_fastest() {
    let ring = ring();
    let short: Vec<At> = ring
        .iter()
        .filter(|at| !(150.0..650.0).contains(&at.s))
        .copied()
        .collect();
    let mut rows = String::from("time (s),lat,lon,speed (km/h)\n");
    let mut t = 0.0;
    for lap in [&ring, &short, &ring, &ring, &ring] {
        for (at, next) in lap.iter().zip(lap.iter().cycle().skip(1)) {
            let (lat, lon) = at.degrees();
            rows += &format!("{t:.3},{lat:.7},{lon:.7},54\n");
            t += f64::hypot(next.x - at.x, next.y - at.y) / 15.0;
        }
    }
    let world = circuit(&rows).edit(
        "track.yaml",
        "log: run.csv",
        "log: {file: run.csv, lap: fastest}",
    );
    near(length(&world), 1200.0, 0.02);
    let out = listed(&world);
    assert!(
        out.contains("the fastest of those that are whole, of "),
        "{out}"
    );
    assert!(out.contains(" s over 1"), "{out}");
    let asked = world.edit("track.yaml", "lap: fastest", "lap: 2");
    let said = told(&asked);
    assert!(
        said.contains("is it whole, and by the road that counts?") || length(&asked) > 1180.0,
        "{said}"
    );
}

#[test]
fn a_hillclimb_that_goes_down_is_asked_about() {
    let hill = |kind: &str, slope: &str| {
        let track = format!(
            "name: Fern Bank\nkind: {kind}\nsurface: tarmac\npieces:\n  - straight: {{length: 300 m, slope: {slope}}}\n  - \
             corner: {{radius: 30 m, turn: 90 deg, direction: left}}\n  - straight: 90 m\n"
        );
        told(&World::new().write("track.yaml", track))
    };
    let said = hill("hillclimb", "-8 %");
    assert!(
        said.contains(
            "this hillclimb falls 24 m and climbs 0: was the road recorded on the way down?"
        ),
        "{said}"
    );
    assert!(!hill("hillclimb", "8 %").contains("falls"));
    assert!(!hill("stage", "-8 %").contains("falls"));
}

#[test]
fn a_tally_of_two_passes_is_asked_about() {
    let sketch = |corners: u32| {
        let track = format!(
            "name: Fern Bank\nkind: stage\nsurface: tarmac\nsketch: {{length: 4.6 km, squares: {corners}, corners: {{3: 10, 4: \
             {corners}}}}}\n"
        );
        told(&World::new().write("track.yaml", track))
    };
    let said = sketch(40);
    assert!(
        said.contains("90 corners in 4.60 km leave ") && said.contains("over several passes?"),
        "{said}"
    );
    assert!(!sketch(15).contains("passes"));
    // A long straight in it hides how little is left between the other corners.
    let tally = |counts: &str, times: u32| {
        let grades =
            "grades: {hairpin: 27 km/h, square: 44 km/h, 3: 64 km/h, 4: 82 km/h, 5: 106 km/h}";
        let [hairpins, squares, threes, fours, fives] = [3, 7, 11, 9, 5].map(|one| one * times);
        told(&World::new().write(
            "track.yaml",
            format!(
                "name: Fern Bank\nkind: stage\nsurface: tarmac\n{grades}\nsketch: {{length: 4.6 km, hairpins: {hairpins}, \
                 squares: {squares}, corners: {{3: {threes}, 4: {fours}, 5: {fives}}}, longest_straight: {counts}}}\n"
            ),
        ))
    };
    assert!(tally("280 m", 2).contains("over several passes?"));
    assert!(!tally("280 m", 1).contains("passes"));
}

#[test]
fn a_speed_that_is_held_from_a_slow_receiver_is_told_for_that() {
    let mut held = lap(1.0);
    for row in 0..held.len() {
        held[row].1 = held[row - row % 10].1;
    }
    let said = told(&circuit(&csv(&held)));
    assert!(
        said.contains("`speed` is new in one row of 13 only"),
        "{said}"
    );
    assert!(!said.contains("check the unit"), "{said}");
}
