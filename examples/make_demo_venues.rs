//! Writes the recordings and the notes of the demo venues into a folder, `tracks` unless it is named:
//! `cargo run --example make_demo_venues -- target/demo`.
//!
//! The roads in `examples/roads` are invented. This program drives the demo car over them and writes
//! what people would have of such a place:
//!
//! | venue | what is written | errors |
//! |---|---|---|
//! | Quessmoor | a phone's GPX, once a second | 1.5 m on the map and 2 m in height, forgotten over 10 s |
//! | Ambrel Ring | a logger's table, ten rows a second, two laps and a bit | position 0.8 m over 10 s, speed 0.1 m/s, engine speed 15 rpm, lateral acceleration 0.02 g |
//! | Skarrow Woods | a crew's pace notes | corners graded, straights to the next 5 m |
//!
//! Positions lie in the open Atlantic, where nobody will look for the road. Seeds are 1 to 3 because
//! those come first. The recordings stay as they were once written: a lap of today, driven in other
//! steps, is elsewhere by some centimetres at the same second.

#[path = "support/recorder.rs"]
mod recorder;

use std::fmt::Write;
use std::path::{Path, PathBuf};

use pullrank::car::Habits;
use pullrank::dyno::Curve;
use pullrank::files::finding::Findings;
use pullrank::files::{car, track};
use pullrank::units::{KILOMETRE_PER_HOUR, STANDARD_GRAVITY};
use pullrank::venue::path::geodesy::LatLon;
use pullrank::venue::plan;
use pullrank::venue::{Bend, Course, EventKind};
use recorder::{Normal, Receiver, Setup, drive, to_degrees};

/// The demo car's engine with its long manifold, N·m at 2,500 rpm and every 500 on (invented).
const TORQUE: [f64; 11] = [
    139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let road = |name: &str| -> Result<Course, Box<dyn std::error::Error>> {
        let mut findings = Findings::new();
        let path = root.join("examples/roads").join(name);
        track::read(&path, &mut findings).ok_or_else(|| format!("{findings:?}").into())
    };
    let named = std::env::args_os().nth(1).map(PathBuf::from);
    let folder = named.unwrap_or_else(|| root.join("tracks"));
    std::fs::create_dir_all(&folder)?;
    let write = |name: &str, text: &str| std::fs::write(folder.join(name), text);
    let mut findings = Findings::new();
    let car = car::read(&root.join("cars/rowan-coupe/car.yaml"), &mut findings)
        .ok_or_else(|| format!("{findings:?}"))?;
    let rpm = (0..TORQUE.len())
        .map(|i| 2500.0 + 500.0 * i as f64)
        .collect();
    let curve = Curve::new(rpm, TORQUE.to_vec())?;
    let setup = |trim: &str, kind: EventKind| -> Result<Setup, String> {
        let stage = kind == EventKind::Stage;
        Ok(Setup {
            car: &car,
            trim: car
                .trims
                .iter()
                .find(|t| t.name == trim)
                .ok_or("no such trim")?,
            curve: &curve,
            habits: Habits {
                corner_share: if stage { 0.90 } else { 0.97 },
                brake_share: if stage { 0.825 } else { 0.90 },
                lowest_rpm: 3000.0,
                shift_light_rpm: Some(7100.0),
            },
            air_density: 1.2,
        })
    };
    let moor = road("quessmoor.yaml")?;
    write("quessmoor.gpx", &gpx(&setup("tarmac", moor.kind)?, &moor)?)?;
    let ring = road("ambrel-ring.yaml")?;
    write(
        "ambrel-ring-log.csv",
        &log(&setup("circuit", ring.kind)?, &ring)?,
    )?;
    write("skarrow-woods.yaml", &notes(&road("skarrow-woods.yaml")?)?)?;
    Ok(())
}

/// A phone's recording, once a second.
fn gpx(setup: &Setup, course: &Course) -> Result<String, Box<dyn std::error::Error>> {
    let moments = drive(setup, course)?.moments(1.0, 1.0);
    let receiver = Receiver {
        sigma: 1.5,
        sigma_height: 2.0,
        memory: 10.0,
    };
    let fixes = receiver.fixes(&moments, 1);
    let places = to_degrees(
        &fixes,
        LatLon {
            lat: 48.2,
            lon: -31.5,
        },
    );
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- Invented: no such road exists. Written by \
         examples/make_demo_venues.rs. -->\n<gpx version=\"1.1\" creator=\"invented\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><name>Quessmoor</name><trkseg>\n",
    );
    for ((fix, place), moment) in fixes.iter().zip(places).zip(&moments) {
        let height = 420.0 + fix.height.unwrap_or(0.0);
        let second = moment.time as u32;
        writeln!(
            out,
            "<trkpt lat=\"{:.7}\" lon=\"{:.7}\"><ele>{height:.1}</ele><time>2024-05-04T10:{:02}:{:02}Z</time></trkpt>",
            place.lat,
            place.lon,
            second / 60,
            second % 60
        )?;
    }
    out.push_str("</trkseg></trk>\n</gpx>\n");
    Ok(out)
}

/// A logger's table, ten rows a second, two laps and a bit.
fn log(setup: &Setup, course: &Course) -> Result<String, Box<dyn std::error::Error>> {
    let moments = drive(setup, course)?.moments(10.0, 2.2);
    let receiver = Receiver {
        sigma: 0.8,
        sigma_height: 1.5,
        memory: 10.0,
    };
    let places = to_degrees(
        &receiver.fixes(&moments, 2),
        LatLon {
            lat: 48.6,
            lon: -31.2,
        },
    );
    let mut noise = Normal::new(3);
    let mut out = String::from(
        "# Invented: no such circuit exists. Written by examples/make_demo_venues.rs.\n\
         time (s),speed (km/h),rpm,lateral g (g),lat (deg),lon (deg)\n",
    );
    for (moment, place) in moments.iter().zip(places) {
        let speed = (moment.speed + 0.1 * noise.next()).max(0.0) / KILOMETRE_PER_HOUR;
        let rpm = moment.rpm + 15.0 * noise.next();
        let lateral = moment.lateral / STANDARD_GRAVITY + 0.02 * noise.next();
        writeln!(
            out,
            "{:.1},{speed:.1},{rpm:.0},{lateral:.2},{:.7},{:.7}",
            moment.time, place.lat, place.lon
        )?;
    }
    Ok(out)
}

/// The crew's scale on gravel: name, apex speed in km/h, usual angle in degrees.
const SCALE: [(&str, f64, f64); 5] = [
    ("hairpin", 24.0, 165.0),
    ("2", 34.0, 70.0),
    ("3", 40.0, 65.0),
    ("4", 54.0, 45.0),
    ("5", 65.0, 40.0),
];

/// A crew's notes: every corner graded by how fast it is on gravel, every straight to the next 5 m.
fn notes(course: &Course) -> Result<String, std::fmt::Error> {
    // Driven at nine tenths of the limit speed on a grip of 0.58.
    let lateral = 0.58 * STANDARD_GRAVITY * 0.9 * 0.9;
    let mut words: Vec<String> = Vec::new();
    let mut slope = 0.0;
    let mut at = 0;
    while at < course.sections.len() {
        let place = course.sections[at].place;
        let end = course.sections[at..]
            .iter()
            .take_while(|s| s.place == place)
            .count()
            + at;
        let sections = &course.sections[at..end];
        at = end;
        let here = (sections[0].slope * 100.0).round();
        if here != slope {
            slope = here;
            words.push(format!("{slope}%"));
        }
        let length: f64 = sections.iter().map(|s| plan::length(s, lateral)).sum();
        match sections[0].bend {
            Bend::Radius { curvature } => {
                let speed = (lateral / curvature.abs()).sqrt() / KILOMETRE_PER_HOUR;
                let turn: f64 = sections
                    .iter()
                    .map(|s| plan::curvature(s, lateral) * plan::length(s, lateral))
                    .sum();
                words.push(note(speed, turn));
                let last = plan::curvature(&sections[sections.len() - 1], lateral);
                if last.abs() < 0.8 * curvature.abs() {
                    words.push("opens".to_owned());
                } else if last.abs() > 1.25 * curvature.abs() {
                    words.push("tightens".to_owned());
                }
            }
            _ => words.push(format!("{:.0}", (length / 5.0).round() * 5.0)),
        }
        if sections.iter().any(|s| s.cap.is_some()) {
            words.push("crest".to_owned());
        }
    }
    let mut out = String::from(
        "# yaml-language-server: $schema=../docs/schema/track.json\n\
         # Invented: no such place exists. A gravel stage in a forest, 5.6 km, 37 corners, from a crew's\n\
         # pace notes as examples/make_demo_venues.rs writes them.\n\
         name: Skarrow Woods\nkind: stage\nsurface: gravel\n\
         air: {elevation: 240 m, temperature: 9 C, humidity: 85 %}\ngrades:\n",
    );
    for (name, speed, turn) in SCALE {
        writeln!(out, "  {name}: {{apex: {speed} km/h, turn: {turn} deg}}")?;
    }
    out.push_str("  6: flat\nnotes:\n  crest: 85 km/h\n  text: >-\n   ");
    let mut width = 3;
    for word in words {
        if width + word.len() > 95 {
            out.push_str("\n   ");
            width = 3;
        }
        width += word.len() + 1;
        write!(out, " {word}")?;
    }
    out.push('\n');
    Ok(out)
}

/// One note: the nearest grade, long or short where the corner turns clearly more or less.
fn note(speed: f64, turn: f64) -> String {
    let off = |s: &(&str, f64, f64)| (s.1 / speed).ln().abs();
    let side = if turn > 0.0 { 'L' } else { 'R' };
    let Some((name, _, usual)) = SCALE.iter().min_by(|a, b| off(a).total_cmp(&off(b))) else {
        return String::new();
    };
    let name = if *name == "hairpin" { "Hp" } else { name };
    let share = turn.abs().to_degrees() / usual;
    let size = match share {
        s if s > 1.25 => " long",
        s if s < 0.75 => " short",
        _ => "",
    };
    format!("{name}{side}{size}")
}
