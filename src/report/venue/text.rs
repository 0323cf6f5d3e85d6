//! Venues for people: one in full, several side by side.

use std::fmt::Write;
use std::path::PathBuf;

use super::{Driven, Sheet, kmh};
use crate::files::finding::shell::shell_path;
use crate::report::assumed;
use crate::report::format::{clock, clock_within, decimal, kind_word, percent, thousands, wrap};
use crate::report::paint::Paint;
use crate::report::table::{Grid, Side};
use crate::venue::character::{Character, RADII};
use crate::venue::log::revs::{BAND, Turned};
use crate::venue::{EventKind, Start};

/// The venues for people; `drawn` are the pictures that were written.
pub fn text(sheets: &[Sheet], drawn: &[PathBuf], paint: Paint) -> String {
    let mut out = String::new();
    for (i, sheet) in sheets.iter().enumerate() {
        if i > 0 {
            out.push('\n');
        }
        one(sheet, paint, &mut out);
    }
    if sheets.len() > 1 {
        out.push('\n');
        out.push_str(&side_by_side(sheets, paint));
    }
    if !drawn.is_empty() {
        let files: Vec<String> = drawn
            .iter()
            .map(|path| shell_path(&path.display().to_string()))
            .collect();
        out.push_str(&wrap(&format!("Written: {}.", files.join(", ")), "  "));
    }
    out.push_str(&next(sheets, !drawn.is_empty()));
    out
}

fn one(sheet: &Sheet, paint: Paint, out: &mut String) {
    let Sheet {
        course, character, ..
    } = sheet;
    let _ = writeln!(out, "{}", paint.strong(&title(sheet)));
    out.push_str(&wrap(&corners_line(character), "  "));
    out.push_str(&wrap(&straights_line(character), "  "));
    if let Some(driven) = &sheet.driven {
        out.push_str(&wrap(&driven_line(driven, course.kind), "  "));
        if let Some(line) = gears_line(driven) {
            out.push_str(&wrap(&line, "  "));
        }
    }
    if let Some(line) = slowest(character) {
        out.push_str(&wrap(&line, "  "));
    }
    if !course.conditions.is_empty() {
        let states: Vec<String> = course
            .conditions
            .iter()
            .map(|c| {
                format!(
                    "{} {} (grip × {})",
                    c.name,
                    percent(c.chance),
                    decimal(c.factor, 2)
                )
            })
            .collect();
        out.push_str(&wrap(&format!("Conditions: {}.", states.join(", ")), "  "));
    }
    if course.stands_in {
        out.push_str("Not your event: a usual road of its kind.\n");
    }
    if let Some(sketch) = &course.sketch {
        let line = format!(
            "A sketch: one of many roads with these {} corners; a study drives many of them.",
            sketch.corners()
        );
        out.push_str(&wrap(&line, "  "));
    }
    if let Some(log) = &course.log {
        out.push_str(&wrap(&log_line(log, course.kind), "  "));
        if let Some(line) = turned_line(&log.turned) {
            out.push_str(&wrap(&line, "  "));
        }
    }
    out.push_str(&assumed::line(sheet.findings, &[]));
}

fn title(sheet: &Sheet) -> String {
    let Sheet {
        course, character, ..
    } = sheet;
    let start = match course.start {
        Start::Standing if course.kind == EventKind::Circuit => ", standing start".to_owned(),
        Start::Rolling(speed) => format!(", rolling start at {} km/h", decimal(kmh(speed), 0)),
        _ => String::new(),
    };
    let surfaces: Vec<&str> = used_surfaces(sheet);
    format!(
        "{}: {}, {} km of {}, climbs {} m, falls {} m{start}",
        course.name,
        kind_word(course.kind),
        decimal(character.length / 1000.0, 2),
        surfaces.join(" and "),
        decimal(character.climb, 0),
        decimal(character.descent, 0),
    )
}

fn used_surfaces<'a>(sheet: &'a Sheet) -> Vec<&'a str> {
    let mut used: Vec<usize> = sheet.course.sections.iter().map(|s| s.surface).collect();
    used.sort_unstable();
    used.dedup();
    used.iter()
        .filter_map(|i| sheet.course.surfaces.get(*i))
        .map(|s| s.name.as_str())
        .collect()
}

fn corners_line(character: &Character) -> String {
    let counts = character.by_radius();
    let mut from = 0.0;
    let mut groups = Vec::new();
    for (bound, count) in RADII.iter().zip(counts) {
        if count > 0 {
            let label = match (from, bound) {
                (0.0, b) => format!("below {b:.0} m"),
                (f, b) if b.is_finite() => format!("{f:.0} to {b:.0} m"),
                (f, _) => format!("{f:.0} m and more"),
            };
            groups.push(format!("{count} of {label}"));
        }
        from = *bound;
    }
    let count = character.corners.len();
    if count == 0 {
        return "No corners.".to_owned();
    }
    let turned = character.turned.to_degrees();
    let plural = if count == 1 { "corner" } else { "corners" };
    format!(
        "{count} {plural}, by radius {}; {}° in all.",
        groups.join(", "),
        thousands(turned)
    )
}

fn straights_line(character: &Character) -> String {
    let longest = character.longest().map_or_else(String::new, |s| {
        let to = s
            .leads_to
            .as_ref()
            .map_or("to the finish".to_owned(), |name| format!("to {name}"));
        format!(
            "Longest straight {} m, {to}; typical straight",
            thousands(s.length)
        )
    });
    let straight = character
        .typical_straight()
        .map_or("none".to_owned(), |s| format!("{} m", thousands(s)));
    let speed = character
        .typical_corner_speed()
        .map_or("none".to_owned(), |v| {
            format!("{} km/h", decimal(kmh(v), 0))
        });
    if longest.is_empty() {
        return format!("Typical corner {speed} at a usual grip.");
    }
    format!("{longest} {straight}, typical corner {speed} at a usual grip.")
}

fn driven_line(driven: &Driven, kind: EventKind) -> String {
    let fastest = driven.speeds.iter().map(|s| s.1).fold(0.0, f64::max);
    format!(
        "{}, {} trim, {}: {} at a mean of {} km/h, fastest {} km/h.",
        driven.car,
        driven.trim,
        driven.spec,
        clock(driven.time, kind),
        decimal(kmh(driven.length / driven.time), 0),
        decimal(kmh(fastest), 0),
    )
}

/// What the log says of the car file's gearing.
fn gears_line(driven: &Driven) -> Option<String> {
    let fitting = driven.gears.as_ref()?;
    let gears = &fitting.found;
    let off = 100.0 * (gears.scale - 1.0);
    let seen = gears.gears.iter().filter(|g| g.seen.is_some()).count();
    let mut line = if off.abs() < 1.0 {
        format!("The log's engine speeds fit the car file in {seen} gears")
    } else {
        format!(
            "The log's engine speeds are {} % {} than the car file says in all {seen} gears: the \
             rolling radius or the final drive is not what it says; {} mm or {} would fit",
            decimal(off.abs(), 1),
            if off > 0.0 { "higher" } else { "lower" },
            decimal(1000.0 * fitting.radius, 0),
            decimal(fitting.final_drive, 2)
        )
    };
    for odd in &gears.odd {
        let found = gears.gears.iter().find(|g| g.gear == *odd);
        if let Some((found, ratio)) =
            found.and_then(|g| g.seen.map(|seen| (g, seen / g.expected / gears.scale)))
        {
            line.push_str(&format!(
                "; gear {} is {} % {} than its ratio in the file",
                found.gear,
                decimal(100.0 * (ratio - 1.0).abs(), 1),
                if ratio > 1.0 { "shorter" } else { "longer" }
            ));
        }
    }
    Some(line + ".")
}

/// The slowest corners by name and place.
fn slowest(character: &Character) -> Option<String> {
    let mut order: Vec<_> = character.corners.iter().collect();
    order.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    let named: Vec<String> = order
        .iter()
        .take(4)
        .map(|c| {
            format!(
                "{} at {} km ({} km/h)",
                c.name,
                decimal(c.start / 1000.0, 2),
                decimal(kmh(c.speed), 0)
            )
        })
        .collect();
    (!named.is_empty()).then(|| format!("Slowest: {}.", named.join(", ")))
}

fn log_line(log: &crate::venue::LogFacts, kind: EventKind) -> String {
    let mut line = format!(
        "Logged in {}, {} at the limit",
        clock_within(log.time, log.within, kind),
        crate::units::counted(log.apexes, "corner")
    );
    if let Some(grip) = log.shown.grip {
        line.push_str(&format!(
            "; the best corners reach a grip of {}",
            decimal(grip, 2)
        ));
    }
    if let Some(share) = log.shown.corner_share {
        line.push_str(&format!(
            ", the usual one {} of their speed",
            percent(share)
        ));
    }
    line.push_str(". Offered, not used: the car's grip and the driver's corner share are for their files to say.");
    line
}

/// Seconds per band as logged; what little lies beyond the bands that are used goes with the outer ones.
fn turned_line(turned: &[Turned]) -> Option<String> {
    /// Share of the time that makes a band of its own.
    const LEAST: f64 = 0.01;
    let all: f64 = turned.iter().map(|band| band.seconds).sum();
    let used = |band: &&Turned| band.seconds >= LEAST * all;
    let first = turned.iter().find(used)?.from_rpm;
    let last = turned.iter().rfind(used)?.from_rpm;
    let sum = |wanted: &dyn Fn(f64) -> bool| {
        let those = turned.iter().filter(|band| wanted(band.from_rpm));
        decimal(those.map(|band| band.seconds).sum::<f64>(), 1)
    };
    let inner = turned.iter().map(|band| band.from_rpm);
    let inner = inner.filter(|from| (first..last).contains(from));
    let mut parts: Vec<String> = inner
        .map(|from| {
            let end = thousands(from + BAND);
            match from == first {
                true => format!("{} s below {end} rpm", sum(&|at| at <= first)),
                false => format!("{} s to {end}", sum(&|at| at == from)),
            }
        })
        .collect();
    parts.push(format!(
        "{} s above {}",
        sum(&|at| at >= last),
        thousands(last)
    ));
    Some(format!("Engine speed as logged: {}.", parts.join(", ")))
}

/// The measures that venues are compared by, and which two are most alike.
fn side_by_side(sheets: &[Sheet], paint: Paint) -> String {
    let mut grid = Grid::new(&[
        ("venue", Side::Left),
        ("km", Side::Right),
        ("corners\nper km", Side::Right),
        ("below 20 m\nper km", Side::Right),
        ("typical\ncorner km/h", Side::Right),
        ("typical\nstraight m", Side::Right),
        ("longest\nstraight m", Side::Right),
        ("climb\nm per km", Side::Right),
    ]);
    let prints: Vec<_> = sheets.iter().map(|s| s.character.fingerprint()).collect();
    for (sheet, print) in sheets.iter().zip(&prints) {
        grid.row(&[
            sheet.course.name.clone(),
            decimal(sheet.character.length / 1000.0, 2),
            decimal(print.corners_per_km, 1),
            decimal(print.tight_per_km, 1),
            decimal(kmh(print.corner_speed), 0),
            thousands(print.straight),
            thousands(print.longest),
            decimal(print.climb_per_km, 0),
        ]);
    }
    let mut out = paint.strong("Side by side");
    out.push('\n');
    out.push_str(&grid.text(1));
    let mut nearest: Option<(f64, usize, usize)> = None;
    for a in 0..prints.len() {
        for b in a + 1..prints.len() {
            let distance = prints[a].distance(&prints[b]);
            if nearest.is_none_or(|(least, _, _)| distance < least) {
                nearest = Some((distance, a, b));
            }
        }
    }
    if let Some((_, a, b)) = nearest.filter(|_| sheets.len() > 2) {
        let (a, b) = (&sheets[a].course.name, &sheets[b].course.name);
        out.push_str(&format!("Most alike: {a} and {b}.\n"));
    }
    out
}

fn next(sheets: &[Sheet], drawn: bool) -> String {
    let driven = sheets.iter().any(|s| s.driven.is_some());
    let hint = match (driven, drawn) {
        (true, false) => {
            "Next: look at the plan with --svg DIR, or edit the road as pieces with --pieces."
        }
        (true, true) => "Next: edit the road as pieces with --pieces.",
        (false, false) => {
            "Next: name a car with --car for its time and mean speed, or look at the plan with --svg DIR."
        }
        (false, true) => "Next: name a car with --car for its time and mean speed.",
    };
    wrap(hint, "  ")
}
