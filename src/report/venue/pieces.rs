//! A venue written as a track file of pieces.

use std::fmt::Write;

use super::{kmh, side_word};
use crate::report::format::{decimal, kind_word};
use crate::units::ZERO_CELSIUS;
use crate::venue::pieces::{Form, Known, Piece};
use crate::venue::{Course, EventKind, Extent, Finish, Scales, Start, Surface, simplify};

/// The track file of a course: pieces that a person can edit.
pub fn yaml(course: &Course) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "name: {}", quoted(&course.name));
    let _ = writeln!(out, "kind: {}", kind_word(course.kind));
    ends(course, &mut out);
    let _ = writeln!(out, "surface: {}", quoted(&course.surfaces[0].name));
    surfaces(course, &mut out);
    air(course, &mut out);
    conditions(course, &mut out);
    known(course, &mut out);
    let _ = writeln!(out, "pieces:");
    for piece in simplify::pieces(course) {
        let _ = writeln!(out, "  - {}", line(&piece, course));
    }
    out
}

fn ends(course: &Course, out: &mut String) {
    let usual = if course.kind == EventKind::Circuit {
        Start::Flying
    } else {
        Start::Standing
    };
    if course.start != usual {
        let word = match course.start {
            Start::Standing => "standing".to_owned(),
            Start::Flying => "flying".to_owned(),
            Start::Rolling(speed) => format!("{} km/h", decimal(kmh(speed), 1)),
        };
        let _ = writeln!(out, "start: {word}");
    }
    if course.finish == Finish::Standing {
        let _ = writeln!(out, "finish: standing");
    }
}

fn surfaces(course: &Course, out: &mut String) {
    let defined = |s: &&Surface| s.name != s.like || s.factor != 1.0 || s.rolling.is_some();
    let list: Vec<&Surface> = course.surfaces.iter().filter(defined).collect();
    if list.is_empty() {
        return;
    }
    let _ = writeln!(out, "surfaces:");
    for surface in list {
        let rolling = surface
            .rolling
            .map_or(String::new(), |f0| format!(", rolling: {f0}"));
        let _ = writeln!(
            out,
            "  {}: {{like: {}, factor: {}{rolling}}}",
            quoted(&surface.name),
            quoted(&surface.like),
            surface.factor
        );
    }
}

fn air(course: &Course, out: &mut String) {
    let density = course
        .air_density
        .map_or(String::new(), |d| format!(", density: {d} kg/m3"));
    let _ = writeln!(
        out,
        "air: {{pressure: {} hPa, temperature: {} C, humidity: {} %{density}}}",
        decimal(course.air.pressure / 100.0, 2),
        decimal(course.air.temperature - ZERO_CELSIUS, 1),
        decimal(100.0 * course.air.humidity, 0)
    );
}

fn conditions(course: &Course, out: &mut String) {
    let states: Vec<String> = course
        .conditions
        .iter()
        .map(|c| {
            format!(
                "{}: {{chance: {}, factor: {}}}",
                quoted(&c.name),
                c.chance,
                c.factor
            )
        })
        .collect();
    if !states.is_empty() {
        let _ = writeln!(out, "conditions: {{{}}}", states.join(", "));
    }
}

fn known(course: &Course, out: &mut String) {
    let Some(known) = &course.known else { return };
    let mut parts = vec![format!("time: {} s", known.time)];
    parts.extend(
        known
            .spec
            .as_ref()
            .map(|spec| format!("spec: {}", quoted(spec))),
    );
    parts.extend(
        known
            .condition
            .as_ref()
            .map(|state| format!("conditions: {}", quoted(state))),
    );
    let _ = writeln!(out, "known: {{{}}}", parts.join(", "));
}

/// One piece on one line.
fn line(piece: &Piece, course: &Course) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(
        piece
            .name
            .as_ref()
            .map(|name| format!("name: {}", quoted(name))),
    );
    let word = match &piece.form {
        Form::Straight { length } => {
            parts.push(format!("length: {} m", metres(*length)));
            "straight"
        }
        Form::Corner { known, side, .. } => {
            match *known {
                Known::Radius { radius, turn } => {
                    parts.push(format!("radius: {} m", rounded(radius)));
                    parts.push(format!("turn: {} deg", decimal(turn.to_degrees(), 1)));
                }
                Known::Apex {
                    speed,
                    extent,
                    scales,
                } => {
                    parts.push(format!("apex: {} km/h", decimal(kmh(speed), 1)));
                    parts.push(match extent {
                        Extent::Length(length) => format!("length: {} m", metres(length)),
                        Extent::Turn(turn) => {
                            format!("turn: {} deg", decimal(turn.to_degrees(), 0))
                        }
                    });
                    if scales == Scales::Driver {
                        parts.push("scales: driver".to_owned());
                    }
                }
            }
            parts.extend(side.map(|side| format!("direction: {}", side_word(side))));
            "corner"
        }
    };
    let slope = decimal(100.0 * piece.slope, 1);
    if slope != "0.0" {
        parts.push(format!("slope: {slope} %"));
    }
    if let Some(surface) = course
        .surfaces
        .get(piece.surface)
        .filter(|_| piece.surface > 0)
    {
        parts.push(format!("surface: {}", quoted(&surface.name)));
    }
    parts.extend(
        piece
            .cap
            .map(|cap| format!("cap: {} km/h", decimal(kmh(cap), 1))),
    );
    parts.extend(
        piece
            .sector
            .as_ref()
            .map(|name| format!("sector: {}", quoted(name))),
    );
    match (parts.as_slice(), &piece.form) {
        ([_], Form::Straight { length }) => format!("straight: {} m", metres(*length)),
        _ => format!("{word}: {{{}}}", parts.join(", ")),
    }
}

/// A length to a tenth of a metre, without an idle zero.
fn metres(length: f64) -> String {
    let text = decimal(length.max(0.1), 1);
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// A radius as far as it is worth writing.
fn rounded(radius: f64) -> String {
    match radius {
        r if r < 30.0 => decimal(r, 1),
        r if r < 1000.0 => decimal(r, 0),
        r => decimal((r / 10.0).round() * 10.0, 0),
    }
}

/// A text as YAML reads it back: plain where that is safe.
fn quoted(text: &str) -> String {
    let plain = text
        .chars()
        .all(|c| c.is_alphanumeric() || " -_./".contains(c))
        && text.starts_with(|c: char| c.is_alphabetic())
        && !text.ends_with([' ', '-'])
        && !["yes", "no", "true", "false", "on", "off", "null", "y", "n"]
            .contains(&text.to_lowercase().as_str());
    if plain {
        return text.to_owned();
    }
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
