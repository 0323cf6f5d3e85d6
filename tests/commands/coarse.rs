//! Lines drawn with too few points for their corners.

use super::loggers::told;
use super::roads::{along, lap, length, near, shown};

fn metres(points: &[(f64, f64)]) -> String {
    let rows = points.iter().map(|(x, y)| format!("{x},{y}\n"));
    std::iter::once("x,y\n".to_owned()).chain(rows).collect()
}

/// How far the corners of a venue turn, degrees.
fn turns(world: &super::world::World) -> Vec<f64> {
    let shown = shown(world);
    let corners = shown["corners"].as_array().unwrap();
    let turn = |corner: &serde_json::Value| corner["turned_deg"].as_f64().unwrap();
    corners.iter().map(turn).collect()
}

/// A square of 300 m from the middle of a side: four corners, and no circle.
#[test]
fn four_points_are_a_square() {
    let world = lap(
        "road.csv",
        &metres(&[
            (0.0, 0.0),
            (150.0, 0.0),
            (150.0, 300.0),
            (-150.0, 300.0),
            (-150.0, 0.0),
        ]),
    );
    let found = turns(&world);
    assert_eq!(found.len(), 4, "{found:?}");
    assert!(
        found.iter().all(|turn| (turn - 90.0).abs() < 5.0),
        "{found:?}"
    );
    near(length(&world), 1200.0, 0.04);
    let said = told(&world);
    let wanted = "a corner of 90° lies between points 300 m apart";
    assert_eq!(said.matches(wanted).count(), 4, "{said}");
    assert!(said.contains("`pieces` with its radius"), "{said}");
}

/// Eight points 200 m apart may be a circle; that they show it is not certain.
#[test]
fn few_points_around_a_circle_are_asked_about() {
    let round = |count: usize| -> String {
        let angle = |i| std::f64::consts::TAU * i as f64 / count as f64;
        let radius = 260.0;
        let points: Vec<(f64, f64)> = (0..count)
            .map(|i| (radius * f64::cos(angle(i)), radius * f64::sin(angle(i))))
            .collect();
        metres(&points)
    };
    assert!(told(&lap("road.csv", &round(8))).contains("the map is too coarse"));
    assert!(!told(&lap("road.csv", &round(24))).contains("the map is too coarse"));
}

/// Three left turns around a block, one after another.
#[test]
fn streets_around_a_block_keep_their_corners() {
    let world = along(
        "road.csv",
        &metres(&[
            (0.0, 0.0),
            (200.0, 0.0),
            (200.0, 150.0),
            (50.0, 150.0),
            (50.0, -200.0),
        ]),
    );
    let found = turns(&world);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(
        found.iter().all(|turn| (turn - 90.0).abs() < 5.0),
        "{found:?}"
    );
}

/// A corner of 30° that one point bears may be as tight as any; one of 15° slows nobody much.
#[test]
fn a_lone_point_of_a_gentle_corner_is_asked_about() {
    let bent = |degrees: f64| {
        let turn = degrees.to_radians();
        let end = (200.0 + 200.0 * turn.cos(), 200.0 * turn.sin());
        told(&along(
            "road.csv",
            &metres(&[(0.0, 0.0), (200.0, 0.0), end]),
        ))
    };
    let said = bent(30.0);
    assert!(
        said.contains("a corner of 30° lies between points 200 m apart"),
        "{said}"
    );
    assert!(!bent(15.0).contains("too coarse"));
}
