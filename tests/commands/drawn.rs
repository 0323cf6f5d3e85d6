//! An invented winding road as people bring it along: recorded, drawn on a map, measured.

use std::fmt::Write;

/// Metres to a degree of latitude and of longitude at 52° north, near enough to draw with.
const DEGREE: (f64, f64) = (111_250.0, 68_700.0);
const ORIGIN: (f64, f64) = (52.1, -3.4);

/// A point of the road.
#[derive(Debug, Clone, Copy)]
pub struct At {
    /// Distance, m.
    pub s: f64,
    /// East, m.
    pub x: f64,
    /// North, m.
    pub y: f64,
    /// Height, m.
    pub z: f64,
}

impl At {
    /// Latitude and longitude, degrees.
    pub fn degrees(&self) -> (f64, f64) {
        (ORIGIN.0 + self.y / DEGREE.0, ORIGIN.1 + self.x / DEGREE.1)
    }
}

/// Two kilometres of bends, none tighter than 30 m, every 5 m.
pub fn road() -> Vec<At> {
    follow(401, |s| 1.2 * (s / 36.0).sin() + 0.9 * (s / 171.0).sin())
}

/// A loop of 1,200 m, egg-shaped, every 5 m.
pub fn ring() -> Vec<At> {
    let turn = std::f64::consts::TAU / 1200.0;
    follow(240, move |s| turn * s + 0.4 * (2.0 * turn * s).sin())
}

fn follow(count: usize, heading: impl Fn(f64) -> f64) -> Vec<At> {
    let (mut x, mut y) = (0.0, 0.0);
    let step = 0.05;
    let mut points = Vec::new();
    for i in 0..count * 100 {
        let s = step * i as f64;
        if i % 100 == 0 {
            let z = 200.0 + 12.0 * (s / 320.0).sin();
            points.push(At { s, x, y, z });
        }
        let along = heading(s + 0.5 * step);
        x += step * along.cos();
        y += step * along.sin();
    }
    points
}

/// A GPX track with heights, and with times at 15 m/s.
pub fn gpx(points: &[At]) -> String {
    let mut rows = String::new();
    for (i, at) in points.iter().enumerate() {
        let (lat, lon) = at.degrees();
        let t = at.s / 15.0;
        let _ = writeln!(
            rows,
            "<trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><ele>{:.1}</ele>\
             <time>2024-05-01T10:{:02}:{:06.3}Z</time></trkpt><!-- {i} -->",
            at.z,
            (t / 60.0) as u32,
            t % 60.0
        );
    }
    format!(
        "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"invented\">\n<trk><name>moor</name>\
         <trkseg>\n{rows}</trkseg></trk>\n</gpx>\n"
    )
}

/// Coordinates of points as GeoJSON writes them.
pub fn coordinates(points: &[At]) -> String {
    let pairs: Vec<String> = points
        .iter()
        .map(|at| {
            let (lat, lon) = at.degrees();
            format!("[{lon:.7}, {lat:.7}]")
        })
        .collect();
    format!("[{}]", pairs.join(", "))
}

/// A GeoJSON geometry.
pub fn geometry(kind: &str, coordinates: &str) -> String {
    format!("{{\"type\": \"{kind}\", \"coordinates\": {coordinates}}}\n")
}

/// A table of latitude and longitude.
pub fn degrees_csv(points: &[At]) -> String {
    let rows = points.iter().map(|at| {
        let (lat, lon) = at.degrees();
        format!("{lat:.7},{lon:.7}\n")
    });
    std::iter::once("lat,lon\n".to_owned())
        .chain(rows)
        .collect()
}

/// A table of metres.
pub fn metres_csv(points: &[At]) -> String {
    let rows = points
        .iter()
        .map(|at| format!("{:.2},{:.2},{:.2}\n", at.x, at.y, at.z));
    std::iter::once("x,y,z\n".to_owned()).chain(rows).collect()
}

/// A logged run at a speed that dips where the road bends.
pub fn log_csv(points: &[At]) -> String {
    let mut out = String::from("time,speed [km/h],lat,lon\n");
    let mut t = 0.0;
    for pair in points.windows(2) {
        let (lat, lon) = pair[0].degrees();
        let speed: f64 = 60.0 - 18.0 * (pair[0].s / 36.0).cos().abs();
        let _ = writeln!(out, "{t:.3},{speed:.2},{lat:.7},{lon:.7}");
        t += (pair[1].s - pair[0].s) / (speed / 3.6);
    }
    out
}

/// A table whose lines, counted from the heading's 0, are written anew.
pub fn anew(table: &str, line: impl Fn(usize, &str) -> String) -> String {
    let lines = table.lines().enumerate();
    lines.map(|(row, text)| line(row, text) + "\n").collect()
}

/// Only time and speed of a log.
pub fn bare(log: &str) -> String {
    anew(log, |_, line| {
        line.splitn(3, ',').take(2).collect::<Vec<_>>().join(",")
    })
}
