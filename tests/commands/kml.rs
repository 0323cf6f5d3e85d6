//! Roads drawn or recorded as KML (OGC 12-007r2, KML 2.3; from memory).

use std::fmt::Write;

use super::drawn::{At, gpx, road};
use super::loggers::told;
use super::roads::{along, length, near, shown};

fn kml(inner: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.3\"><Document><name>invented</name>\n{inner}</Document></kml>\n"
    )
}

fn texts(points: &[At]) -> String {
    let text = |at: &At| {
        let (lat, lon) = at.degrees();
        format!("{lon:.7},{lat:.7},{:.1}", at.z)
    };
    points.iter().map(text).collect::<Vec<_>>().join("\n  ")
}

fn line(points: &[At]) -> String {
    format!(
        "<LineString><coordinates>\n  {}\n</coordinates></LineString>",
        texts(points)
    )
}

/// The same road as GPX, without times.
fn untimed() -> String {
    let timed = gpx(&road());
    let row = |row: &str| match row.split_once("<time>") {
        Some((before, _)) => format!("{before}</trkpt>\n"),
        None => format!("{row}\n"),
    };
    timed.lines().map(row).collect()
}

#[test]
fn a_line_is_the_road_and_places_beside_it_are_not() {
    let place = |name: &str, at: &str| {
        format!(
            "<Placemark><name>{name}</name><Point><coordinates>{at}</coordinates></Point></Placemark>\n"
        )
    };
    let text = kml(&format!(
        "{}<Placemark><name>moor</name>{}</Placemark>\n{}",
        place("service", "9.1,51.2,80"),
        line(&road()),
        place("finish", "9.2,51.3")
    ));
    let (drawn, plain) = (along("road.kml", &text), along("road.gpx", &untimed()));
    near(length(&drawn), length(&plain), 1e-9);
    assert_eq!(told(&drawn), told(&plain));
    assert_eq!(shown(&drawn)["corners"], shown(&plain)["corners"]);
    // Heights above the ground are none.
    let above = text.replace(
        "<LineString>",
        "<LineString><altitudeMode>relativeToGround</altitudeMode>",
    );
    assert_eq!(
        shown(&along("road.kml", &above))["climb_m"].as_f64(),
        Some(0.0)
    );
    assert!(
        shown(&drawn)["climb_m"]
            .as_f64()
            .is_some_and(|climbs| climbs > 10.0)
    );
    let named = drawn.edit(
        "track.yaml",
        "path: road.kml",
        "path: {file: road.kml, line: moor}",
    );
    near(length(&named), length(&plain), 1e-9);
}

#[test]
fn a_recording_has_times_and_goes_on_after_a_pause() {
    let track = |points: &[At]| {
        let mut out = String::from("<Track>\n");
        for at in points {
            let t = at.s / 15.0;
            let _ = writeln!(
                out,
                "<when>2024-05-01T10:{:02}:{:06.3}Z</when>",
                (t / 60.0) as u32,
                t % 60.0
            );
        }
        for at in points {
            let (lat, lon) = at.degrees();
            let _ = writeln!(out, "<coord>{lon:.7} {lat:.7} {:.1}</coord>", at.z);
        }
        out + "</Track>\n"
    };
    let (road, timed) = (road(), along("road.gpx", &gpx(&road())));
    let whole = along(
        "road.kml",
        &kml(&format!("<Placemark>{}</Placemark>", track(&road))),
    );
    assert_eq!(told(&whole), told(&timed));
    assert_eq!(shown(&whole)["corners"], shown(&timed)["corners"]);
    // Points whose place is unknown take their times with them.
    for empty in ["<coord/>", "<coord></coord>"] {
        let mut rows: Vec<String> = track(&road).lines().map(str::to_owned).collect();
        for point in [40, 41, 200] {
            rows[1 + road.len() + point] = empty.to_owned();
        }
        let holed = along(
            "road.kml",
            &kml(&format!("<Placemark>{}</Placemark>", rows.join("\n"))),
        );
        near(length(&holed), length(&whole), 1e-3);
        let part = holed.edit(
            "track.yaml",
            "path: road.kml",
            "path: {file: road.kml, from: 20 s, to: 100 s}",
        );
        near(length(&part), 1200.0, 0.005);
    }
    let (first, second) = road.split_at(150);
    let parts = format!(
        "<Placemark><MultiTrack>{}{}</MultiTrack></Placemark>",
        track(first),
        track(second)
    );
    let parts = along("road.kml", &kml(&parts));
    assert_eq!(shown(&parts)["corners"], shown(&timed)["corners"]);
    let part = parts.edit(
        "track.yaml",
        "path: road.kml",
        "path: {file: road.kml, from: 10:00:20}",
    );
    near(length(&part), 1700.0, 0.005);
}

#[test]
fn parts_of_a_line_are_joined_and_turned() {
    let (road, whole) = (road(), along("road.gpx", &untimed()));
    let mut second = road[150..].to_vec();
    second.reverse();
    let text = format!(
        "<Placemark><MultiGeometry>{}{}</MultiGeometry></Placemark>",
        line(&road[..150]),
        line(&second)
    );
    let joined = along("road.kml", &kml(&text));
    near(length(&joined), length(&whole), 1e-9);
}

#[test]
fn what_is_no_point_is_named() {
    let text = kml(&format!("<Placemark>{}</Placemark>", line(&road())));
    let said = along("road.kml", &text.replacen(",2", ",2,2", 1)).faults();
    assert!(
        said.contains("is no point") && said.contains("as in `7.1234,45.1234,310`"),
        "{said}"
    );
    assert!(said.contains("road.kml:"), "{said}");
    let said = along(
        "road.kml",
        &kml("<Placemark><Track><when>noon</when></Track></Placemark>"),
    )
    .faults();
    assert!(
        said.contains("`noon` is no date and time of the calendar"),
        "{said}"
    );
}
