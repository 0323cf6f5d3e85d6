//! Lines and recordings that say less than they seem to: each is read right, or told about.

use super::drawn::{At, coordinates, geometry, gpx, road};
use super::loggers::told;
use super::roads::{along, length, near, shown, venue};
use super::world::World;

/// A stage along points in metres, "x,y" or "x,y,z".
fn drawn(points: &str) -> World {
    let heading = match points.split(' ').next().unwrap().matches(',').count() {
        1 => "x,y",
        _ => "x,y,z",
    };
    let rows = points.split(' ').collect::<Vec<_>>().join("\n");
    along("line.csv", &format!("{heading}\n{rows}\n"))
}

/// Turn of the first corner, degrees; that there is one only.
fn turn(world: &World) -> f64 {
    let shown = shown(world);
    let corners = shown["corners"].as_array().unwrap();
    assert_eq!(corners.len(), 1, "{corners:?}");
    corners[0]["turned_deg"].as_f64().unwrap()
}

#[test]
fn a_kink_turns_as_far_as_it_is_drawn_wherever_it_is() {
    for line in [
        "0,0 100,0 200,0 300,0 400,0 500,0 500,300",
        "500,300 500,0 400,0 300,0 200,0 100,0 0,0",
        "0,0 250,0 500,0 500,150 500,300",
        "0,0 500,0 500,300",
    ] {
        let world = drawn(line);
        near(length(&world), 800.0, 0.01);
        near(turn(&world), 90.0, 0.03);
        let said = told(&world);
        assert!(said.contains("too coarse"), "{line}: {said}");
    }
    // Drawn with a third point in the corner it is not coarse, and is the same.
    let fine = drawn("0,0 100,0 200,0 300,0 400,0 485,0 495.6,4.4 500,15 500,100 500,300");
    near(turn(&fine), 90.0, 0.03);
}

#[test]
fn a_line_that_comes_home_is_no_spiral() {
    let line = "0,0 100,0 200,0 290,0 320,10 340,40 340,100 340,200 0,0";
    let world = drawn(line);
    near(length(&world), 925.0, 0.03);
    let said = told(&world);
    assert!(
        said.contains("ends at the very point where it begins"),
        "{said}"
    );
}

#[test]
fn a_hole_in_a_recording_is_told_with_its_place() {
    let mut points = road();
    points.retain(|at| at.s <= 600.0 || at.s > 900.0);
    let said = told(&along("road.gpx", &gpx(&points)));
    assert!(said.contains("0.60 km from its start"), "{said}");
    assert!(said.contains("lacks 20 s and 2"), "{said}");
    let whole = told(&along("road.gpx", &gpx(&road())));
    assert!(!whole.contains("lacks"), "{whole}");
}

fn climb(world: &World) -> (f64, f64) {
    let shown = shown(world);
    let of = |key: &str| shown[key].as_f64().unwrap();
    (of("climb_m"), of("descent_m"))
}

/// The road with something done to its heights.
fn raised(height: impl FnMut(&At) -> f64) -> World {
    let mut height = height;
    let points: Vec<At> = road()
        .iter()
        .map(|at| At {
            z: height(at),
            ..*at
        })
        .collect();
    along("road.gpx", &gpx(&points))
}

#[test]
fn heights_that_jump_from_point_to_point_keep_the_hills() {
    let (up, down) = climb(&raised(|at| at.z));
    // Numbers even from -1 to 1 (a multiplicative generator modulo 2³¹ − 1).
    let mut state = 7_u64;
    let rough = raised(|at| {
        state = state * 48_271 % 0x7fff_ffff;
        at.z + 4.0 * (2.0 * state as f64 / f64::from(0x7fff_ffff_u32) - 1.0)
    });
    let found = climb(&rough);
    assert!((found.0 - up).abs() < 0.15 * up, "{found:?} for {up}");
    assert!((found.1 - down).abs() < 0.15 * down, "{found:?} for {down}");
}

#[test]
fn heights_that_are_none_are_left_out_and_impossible_ones_asked_about() {
    let (up, _) = climb(&raised(|at| at.z));
    let lost = raised(|at| {
        if (700.0..900.0).contains(&at.s) {
            0.0
        } else {
            at.z
        }
    });
    let said = told(&lost);
    assert!(
        said.contains("0 m here do not belong to this road and are left out: 40 in all"),
        "{said}"
    );
    assert!((climb(&lost).0 - up).abs() < 0.1 * up);
    let once = raised(|at| if at.s == 700.0 { -9999.0 } else { at.z });
    let said = told(&once);
    assert!(
        said.contains("-9999 m here do not belong to this road and are left out: 1 in all"),
        "{said}"
    );
    let steep = raised(|at| 200.0 + 70.0 * (at.s / 160.0).sin());
    let said = told(&steep);
    assert!(
        said.contains("slopes of up to 4") && said.contains("`height (ft)`"),
        "{said}"
    );
    assert!(!told(&raised(|at| at.z)).contains("slopes"));
}

#[test]
fn a_way_back_over_the_same_road_is_told() {
    let out = road();
    let back = out.iter().rev().skip(1).map(|at| At {
        s: 4000.0 - at.s,
        ..*at
    });
    let both: Vec<At> = out.iter().copied().chain(back).collect();
    let said = told(&along("road.gpx", &gpx(&both)));
    assert!(
        said.contains("2.00 km from its start the path turns about"),
        "{said}"
    );
    assert!(said.contains("to: 2.00 km"), "{said}");
    assert!(!said.contains("too coarse"), "{said}");
}

#[test]
fn a_fix_at_the_origin_leaves_nothing_behind() {
    let mut points = road();
    let plain = along("road.gpx", &gpx(&points));
    let (lat, lon) = points[200].degrees();
    let text = gpx(&points).replace(
        &format!("lat=\"{lat:.7}\" lon=\"{lon:.7}\""),
        "lat=\"0.0\" lon=\"0.0\"",
    );
    let world = along("road.gpx", &text);
    points.remove(200);
    let count = |world: &World| shown(world)["corners"].as_array().unwrap().len();
    assert_eq!(count(&world), count(&plain));
    near(length(&world), 2000.0, 0.005);
}

#[test]
fn columns_of_heights_have_many_names() {
    for name in ["Höhe", "hoehe", "GPSHeight", "GPS Altitude"] {
        let rows: String = road()
            .iter()
            .map(|at| format!("{:.2},{:.2},{:.2}\n", at.x, at.y, at.z))
            .collect();
        let world = along("road.csv", &format!("x,y,{name}\n{rows}"));
        assert!(climb(&world).0 > 10.0, "{name}");
    }
}

#[test]
fn the_fastest_of_laps_without_times_is_told_to_be_none() {
    let ring = super::drawn::ring();
    let rows: String = (0..3 * ring.len() + 1)
        .map(|i| {
            let (lat, lon) = ring[i % ring.len()].degrees();
            format!("{lat:.7},{lon:.7}\n")
        })
        .collect();
    let world = venue("path: {file: ring.csv, lap: fastest}")
        .edit("track.yaml", "kind: stage", "kind: circuit")
        .write("ring.csv", format!("lat,lon\n{rows}"));
    let said = told(&world);
    assert!(said.contains("no times tell the fastest"), "{said}");
}

#[test]
fn parts_of_a_line_out_of_order_are_told() {
    let points = road();
    let (first, rest) = points.split_at(130);
    let (second, third) = rest.split_at(130);
    let said = |parts: [&[At]; 3]| {
        let parts: Vec<String> = parts.iter().map(|part| coordinates(part)).collect();
        let text = geometry("MultiLineString", &format!("[{}]", parts.join(", ")));
        told(&along("road.geojson", &text))
    };
    let sound = said([first, second, third]);
    assert!(!sound.contains("parts of this line"), "{sound}");
    let backwards = said([third, second, first]);
    assert!(backwards.contains("only backwards"), "{backwards}");
    let mixed = said([first, third, second]);
    assert!(mixed.contains("do not meet in the order given"), "{mixed}");
}
