//! Whether a circuit is a loop: what its corners turn by in all, and where it ends.

use crate::files::yaml::{Item, Map};
use crate::venue::{Bend, Course, EventKind, Extent, Section, plan};

/// Turned angles of a circuit may miss a full turn by this much, rad (1°), before a warning.
const ANGLE_SLACK: f64 = 0.017_5;

/// Corners of one grade turn by angles that differ by this share, one standard deviation (common practice,
/// no source).
const GRADE_SPREAD: f64 = 0.25;

/// A plan measured by hand ends no farther from its start than this share of its length: lengths that are off by
/// 1.5 %, radii by 10 and angles by 2° leave 1.2 % in the middle and 3 % on 2 plans of 100 (sizes of errors: common
/// practice, no source).
const GAP: f64 = 0.03;

/// Where other radii close a plan, it is asked about from this share on, and if they leave so much of the gap: of
/// honest plans by the errors above 1 of 200 is.
const GAP_OF_RADII: (f64, f64) = (0.015, 0.125);

/// What corners by apex speed and length turn by is known within this share: twice what grip (20 %) and speeds
/// (6 %, squared) leave open (common practice, no source).
const BY_SPEED: f64 = 0.5;

/// By how much the turned angles of a circuit's notes may miss a full turn, rad: twice what the usual
/// angles of so many grades are off by together.
fn slack_of_notes(sections: &[Section]) -> f64 {
    let squares = sections
        .iter()
        .filter_map(|section| plan::turned(std::slice::from_ref(section)).map(|turn| turn * turn));
    2.0 * GRADE_SPREAD * squares.sum::<f64>().sqrt()
}

/// Warns of a circuit that is no loop.
pub(super) fn ask(root: &Item, map: &Map, kind: EventKind, course: &Course) {
    // A path is joined, or refused, where it is surveyed.
    let noted = map.has("notes");
    if kind != EventKind::Circuit || !(map.has("pieces") || noted) {
        return;
    }
    let full = 2.0 * std::f64::consts::PI;
    let Some(turned) = plan::turned(&course.sections) else {
        ask_turned_by_speed(root, course);
        return;
    };
    let slack = if noted {
        slack_of_notes(&course.sections)
    } else {
        ANGLE_SLACK
    };
    // Notes are too rough to tell a loop that crosses over itself, or where they end.
    if noted && turned.abs() < slack {
        return;
    }
    if (turned.abs() - full).abs() > slack {
        let degrees = turned.to_degrees();
        let side = if degrees > 0.0 { "left" } else { "right" };
        let text = format!(
            "the corners of this circuit turn {:.0}° to the {side} in all",
            degrees.abs()
        );
        match !noted && (between_roads(&course.sections).abs() - full).abs() <= slack {
            true => root.ask(
                format!("{text}, and 360° if each turns by 180° less the angle written"),
                "are these the angles between one road and the next, as a protractor on a plan shows them? write \
                 180° less each as its `turn`",
            ),
            false => root.warning(
                text,
                "a loop turns 360° in all (0° where it crosses over itself): check angles and directions",
            ),
        }
        return;
    }
    if noted {
        return;
    }
    let Some(closure) = plan::closure(&course.sections) else {
        return;
    };
    let length: f64 = course.sections.iter().filter_map(|s| s.length()).sum();
    ask_gap(root, course, closure.gap, length);
    if closure.rise.abs() > 1.0 {
        let way = if closure.rise > 0.0 { "above" } else { "below" };
        root.warning(
            format!(
                "this circuit ends {:.1} m {way} its start",
                closure.rise.abs()
            ),
            "make the slopes of a lap cancel",
        );
    }
}

/// What the corners turn by in all if what is written are the angles between the roads before and behind them, rad.
fn between_roads(sections: &[Section]) -> f64 {
    let corners = sections.chunk_by(|a, b| a.place == b.place);
    let turns = corners.filter_map(plan::turned).filter(|turn| *turn != 0.0);
    turns
        .map(|turn| turn.signum() * (std::f64::consts::PI - turn.abs()))
        .sum()
}

/// Asks about a plan whose end lies off its start.
fn ask_gap(root: &Item, course: &Course, gap: f64, length: f64) {
    let other = [0.5, 2.0].into_iter().find_map(|times| {
        let other = plan::closure(&with_radii(&course.sections, times))?.gap;
        let closes = other < GAP_OF_RADII.1 * gap && gap > GAP_OF_RADII.0 * length;
        closes.then_some((times, other))
    });
    let text = format!("this circuit of {length:.0} m ends {gap:.0} m from where it starts");
    match other {
        Some((times, other)) => {
            let (of, half) = match times < 1.0 {
                true => ("diameters", "half"),
                false => ("radii halved once too often", "twice"),
            };
            root.ask(
                format!("{text}, and with {half} of every radius {other:.0} m"),
                format!("are these {of}? write {half} of each as its `radius`"),
            );
        }
        None if gap > GAP * length => root.warning(
            text,
            "check the lengths of the straights, the radii and which way each corner goes",
        ),
        None => {}
    }
}

/// The same road with every radius so many times as large; angles stay.
fn with_radii(sections: &[Section], times: f64) -> Vec<Section> {
    let other = |section: &Section| match (section.bend, section.extent) {
        (Bend::Radius { curvature }, Extent::Length(length)) => Section {
            bend: Bend::Radius {
                curvature: curvature / times,
            },
            extent: Extent::Length(length * times),
            ..section.clone()
        },
        _ => section.clone(),
    };
    sections.iter().map(other).collect()
}

/// Asks about corners by apex speed and length that turn by far more or less than a loop, where all have a
/// direction.
fn ask_turned_by_speed(root: &Item, course: &Course) {
    let (mut turned, mut loose) = (0.0, 0.0);
    for section in &course.sections {
        let lateral = plan::lateral(course, section);
        let own = plan::curvature(section, lateral) * plan::length(section, lateral);
        if let Bend::Measured { direction, .. } = section.bend {
            if direction == 0.0 {
                return;
            }
            loose += own.abs();
        }
        turned += own;
    }
    let full = 2.0 * std::f64::consts::PI;
    let slack = ANGLE_SLACK + BY_SPEED * loose;
    if turned.abs() < slack || (turned.abs() - full).abs() <= slack {
        return;
    }
    let side = if turned > 0.0 { "left" } else { "right" };
    root.warning(
        format!(
            "by their speeds and lengths the corners of this circuit turn about {:.0}° to the {side} in all",
            turned.abs().to_degrees()
        ),
        "a loop turns 360° in all (0° where it crosses over itself): check speeds, lengths and directions, and \
         whether corners are missing",
    );
}
