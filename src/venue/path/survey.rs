//! From fixes to the sections of a course.

use super::clean::{self, Cleaned, LONGEST, PathError};
use super::coarse::{self, Coarse};
use super::corners::{self, Corner};
use super::cut::{self, Lap, Where};
use super::note::Note;
use super::road::{self, Road};
use super::stands::Stood;
use super::{Fix, Point, creeping, hard, holes, repeats, scatter};
use crate::venue::names;
use crate::venue::pieces::{Form, Known, Layout, Piece};
use crate::venue::{Bend, Extent, Section};

/// A car that turns about on the road takes up less than this, m.
const TURNING: f64 = 50.0;

/// What is wanted of a path.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Request {
    /// It is a loop.
    pub closed: bool,
    /// Driven from its end to its start.
    pub reverse: bool,
    /// Which lap, of a loop driven several times.
    pub lap: Lap,
    /// Where the run starts, along the path as driven; its first fix where nothing is said.
    pub from: Option<Where>,
    /// Where the run ends; where it started or at the last fix where nothing is said.
    pub to: Option<Where>,
    /// Width of the smoothing, m; chosen from the fixes where nothing is said.
    pub width: Option<f64>,
}

impl Request {
    /// Whether start and end of the recording are those of an open road of which nothing is said.
    fn bare_ends(&self) -> [bool; 2] {
        let bare = [self.from, self.to].map(|place| !self.closed && place.is_none());
        match self.reverse {
            true => [bare[1], bare[0]],
            false => bare,
        }
    }
}

/// What lay beyond one end of a recording lies beyond the other of the road.
fn turn_about(note: &mut Note) {
    if let Note::Beyond { place, .. } = note {
        *place = match place {
            Stood::Start => Stood::End,
            _ => Stood::Start,
        };
    }
}

/// A road surveyed from a path.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The road from start to finish.
    pub road: Road,
    /// Its corners.
    pub corners: Vec<Corner>,
    /// Where the path is too coarse.
    pub coarse: Vec<Coarse>,
    /// What was mended.
    pub notes: Vec<Note>,
    /// Mean height of the path, m, where it has heights.
    pub height: Option<f64>,
    /// Time of a lap from line to line, s, where the path has times.
    pub time: Option<f64>,
}

/// Surveys the road along fixes.
///
/// # Errors
/// See [`PathError`].
pub fn survey(fixes: &[Fix], request: &Request) -> Result<Survey, PathError> {
    let Cleaned {
        mut points,
        mut notes,
    } = clean::clean(fixes, request.bare_ends())?;
    if request.reverse {
        notes.iter_mut().for_each(turn_about);
        points.reverse();
        // Recorders drift alike in both directions of time.
        points
            .iter_mut()
            .for_each(|point| point.t = point.t.map(|t| -t));
    }
    let heights: Vec<f64> = points.iter().filter_map(|point| point.z).collect();
    let height = (!heights.is_empty()).then(|| heights.iter().sum::<f64>() / heights.len() as f64);
    let near = |place: Option<Where>, after: usize| match place {
        Some(Where::Near(place)) if request.closed => {
            cut::on_path(fixes, &points, place).map(|at| Some((at, 1)))
        }
        Some(Where::Near(place)) => cut::pass(fixes, &points, place, after).map(Some),
        _ => Ok(None),
    };
    let from = near(request.from, 0)?;
    let to = near(request.to, from.map_or(0, |(at, _)| at + 1))?;
    for (what, pass) in [("from", from), ("to", to)] {
        if let Some((_, count @ 2..)) = pass {
            notes.push(Note::Passes { what, count });
        }
    }
    let (from, to) = (from.map(|(at, _)| at), to.map(|(at, _)| at));
    let fix_of = |index: Option<usize>| index.map(|index| points[index].fix);
    let (from_fix, to_fix) = (fix_of(from), fix_of(to));
    let (mut time, mut scatter) = (None, 0.0);
    if request.closed {
        scatter = scatter::on_straights(&points);
        let round = cut::lap(&points, from, request.lap, &mut notes)?;
        (points, time) = (round.points, round.time);
    }
    let length: f64 = points.windows(2).map(|pair| pair[0].to(&pair[1])).sum();
    if length > LONGEST {
        return Err(PathError::Long { length });
    }
    if !request.closed && request.from.is_none() && request.to.is_none() {
        notes.extend(holes::retrace(&points));
        notes.extend(repeats::again(&points));
    }
    let whole = road::smooth(&points, request.closed, request.width, scatter)
        .ok_or(PathError::TooFew(points.len()))?;
    let sound = |step: &road::Step| {
        step.length.is_finite() && step.curvature.is_finite() && step.slope.is_finite()
    };
    if !whole.steps.iter().all(sound) {
        return Err(PathError::Tangled);
    }
    let distance = |place: Option<Where>, fix: Option<usize>| match (place, fix) {
        (Some(Where::Distance(at)), _) => Some(at),
        // A lap cut at a gate starts there.
        (_, Some(fix)) if !request.closed || to_fix == Some(fix) => {
            Some(position(&whole, &points, fix))
        }
        _ => None,
    };
    let (from, to) = (
        distance(request.from, from_fix),
        distance(request.to, to_fix),
    );
    let mut road = if from.is_none() && to.is_none() {
        whole.clone()
    } else {
        whole.part(from.unwrap_or(0.0), to)?
    };
    let corners = match (from, to) {
        (None, None) => {
            creeping::straighten(&mut road, &points);
            corners::corners(&road)
        }
        _ => corners::corners(&road),
    };
    notes.extend(hard::hard(&road, &corners, &points));
    let mut coarse = coarse::coarse(&points, &whole, from.unwrap_or(0.0));
    coarse.retain(|place| place.at <= road.length());
    // Where it turns about more points would tell nothing.
    for note in &notes {
        if let Note::Retraces { at, .. } = note {
            coarse.retain(|place| (place.at - at).abs() > TURNING);
        }
    }
    Ok(Survey {
        time: time.filter(|_| road.closed),
        road,
        corners,
        coarse,
        notes,
        height,
    })
}

/// Distance of a fix along a road, whichever way the path was driven.
fn position(road: &Road, points: &[Point], fix: usize) -> f64 {
    // Points that were joined into chords have the distance of the last chord before them.
    let order = points
        .iter()
        .position(|point| point.fix == fix)
        .unwrap_or(0);
    let before = |mark: usize| {
        points
            .iter()
            .position(|p| p.fix == mark)
            .is_some_and(|i| i <= order)
    };
    let index = road.marks.partition_point(|(mark, _)| before(*mark));
    road.marks
        .get(index.saturating_sub(1))
        .map_or(0.0, |(_, distance)| *distance)
}

/// Neighbouring steps become one section while their curvature and slope differ by less, 1/m and
/// tangent, and in relation to the curvature.
const SAME: (f64, f64, f64) = (2e-5, 1e-3, 0.01);
/// Longest section, m, so that overlays and pictures find edges.
const LONGEST_SECTION: f64 = 50.0;

impl Survey {
    /// The sections and places of the road, level or sloped as surveyed. `allowance` is how much
    /// larger a radius the driver's line has than the path.
    pub fn layout(&self, allowance: f64) -> Layout {
        let mut layout = Layout::default();
        let mut pieces: Vec<Piece> = Vec::new();
        let mut next = 0;
        let mut step = 0;
        while step < self.road.steps.len() {
            let corner = self.corners.get(next).filter(|c| c.steps.0 <= step);
            let end = match (corner, self.corners.get(next)) {
                (Some(corner), _) => corner.steps.1,
                (None, Some(coming)) => coming.steps.0,
                (None, None) => self.road.steps.len(),
            };
            let place = pieces.len();
            match corner {
                Some(corner) => {
                    pieces.push(as_piece(corner));
                    next += 1;
                }
                None => pieces.push(Piece::straight(1.0)),
            }
            self.push_sections(step, end, place, allowance, &mut layout.sections);
            step = end;
        }
        layout.places = names::Namer::new(&pieces).places();
        layout
    }

    fn push_sections(
        &self,
        from: usize,
        to: usize,
        place: usize,
        allowance: f64,
        out: &mut Vec<Section>,
    ) {
        let steps = &self.road.steps;
        let mut i = from;
        while i < to {
            let first = &steps[i];
            let (mut length, mut turn, mut rise) = (0.0, 0.0, 0.0);
            let close = |a: f64, b: f64| (a - b).abs() <= SAME.0 + SAME.2 * a.abs();
            while i < to
                && (length == 0.0
                    || close(first.curvature, steps[i].curvature)
                        && (first.slope - steps[i].slope).abs() <= SAME.1
                        && length + steps[i].length <= LONGEST_SECTION)
            {
                length += steps[i].length;
                turn += steps[i].curvature * steps[i].length;
                rise += steps[i].slope * steps[i].length;
                i += 1;
            }
            let slope = rise / length;
            // The road is longer than its map, and turns by the same angle.
            let road = length * slope.hypot(1.0);
            out.push(Section {
                extent: Extent::Length(road),
                bend: Bend::Radius {
                    curvature: turn / road / allowance,
                },
                slope,
                place,
                ..Section::default()
            });
        }
    }
}

/// The corner as a person would write it, for its name.
fn as_piece(corner: &Corner) -> Piece {
    let square = names::is_square(corner.radius, corner.turned);
    Piece::new(Form::Corner {
        known: Known::Radius {
            radius: corner.radius,
            turn: corner.turned,
        },
        side: Some(corner.side),
        opens: 1.0,
        grade: square.then(|| "square".to_owned()),
    })
}
