//! Fixes brought onto a plane, with what is no road taken out: repeats, pauses, single fixes thrown
//! aside. What cannot be mended is refused, naming the fix.

use super::geodesy::{self, LatLon};
use super::note::Note;
use super::stands::{self, usual_step};
use super::{Fix, Place, Point, heights, holes, leaps, thrown};

/// In the order of their times points that were written out of order make a path shorter than this share.
const ORDERED: f64 = 0.99;
/// Fewest points that make a road.
pub const FEWEST: usize = 3;
/// Nothing on a road goes faster, m/s.
const FASTEST: f64 = 120.0;
/// The shortest jump that is called one, m, in a recording and on a map, where straights are long.
const JUMP: (f64, f64) = (500.0, 2000.0);
/// And it is at least this many times the usual step.
const JUMP_STEPS: f64 = 20.0;
/// Poleward of this latitude a grid of degrees says little, and there are no roads.
const HIGHEST_LATITUDE: f64 = 89.0;
/// Heights further from the sea's are no road's, m.
const HIGHEST: f64 = 10_000.0;
/// Longest road, m.
pub const LONGEST: f64 = 200_000.0;

/// Why fixes are no road.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PathError {
    /// Too few points that lie apart.
    #[error("fewer than {FEWEST} points that lie apart are no road")]
    TooFew(usize),
    /// A coordinate or height that is not finite.
    #[error("this point is not made of finite numbers")]
    NotFinite {
        /// The fix.
        fix: usize,
    },
    /// A latitude beyond 90°.
    #[error("latitude {lat:.4} is beyond 90°{}", if *.swapped { ": latitude and longitude seem to be swapped" } else { "" })]
    Latitude {
        /// The fix.
        fix: usize,
        /// What it says.
        lat: f64,
        /// It would be a longitude, and the longitude a latitude.
        swapped: bool,
    },
    /// A longitude beyond 360°.
    #[error("longitude {lon:.4} is beyond 180°")]
    Longitude {
        /// The fix.
        fix: usize,
        /// What it says.
        lon: f64,
    },
    /// At a pole.
    #[error("latitude {lat:.4} is at a pole")]
    Pole {
        /// The fix.
        fix: usize,
        /// What it says.
        lat: f64,
    },
    /// Two neighbours far apart.
    #[error("the path jumps by {:.1} km, {:.2} km from its start", .metres / 1000.0, .at / 1000.0)]
    Jump {
        /// The fix after the jump.
        fix: usize,
        /// How far, m.
        metres: f64,
        /// Where, m of path from its start.
        at: f64,
    },
    /// A height that no road has.
    #[error("a height of {metres:.0} m")]
    Height {
        /// The fix.
        fix: usize,
        /// What it says, m.
        metres: f64,
    },
    /// Longer than any event.
    #[error("the path is {:.0} km long, and at most {:.0} km are one road", .length / 1000.0, LONGEST / 1000.0)]
    Long {
        /// Its length, m.
        length: f64,
    },
    /// No smooth road passes the points.
    #[error("no road can be laid along these points")]
    Tangled,
    /// A circuit that does not come back to its start.
    #[error("the loop is open by {gap:.0} m")]
    Open {
        /// From its end to its start, m.
        gap: f64,
    },
    /// A lap that was not driven.
    #[error("there is no lap {asked}: the path holds {laps}{}", if *.laps == 1 { " lap" } else { " laps" })]
    NoLap {
        /// The lap asked for, from 1.
        asked: usize,
        /// How many there are.
        laps: usize,
    },
    /// A place beyond the road.
    #[error("{at:.0} m is beyond the end of the path at {length:.0} m")]
    Beyond {
        /// The place, m.
        at: f64,
        /// Length of the path, m.
        length: f64,
    },
    /// A place that the path does not come near.
    #[error("the path passes no nearer than {:.2} km", .distance / 1000.0)]
    Far {
        /// How near it comes, m.
        distance: f64,
    },
    /// The finish comes before the start.
    #[error("the finish at {to:.0} m is not after the start at {from:.0} m")]
    Backwards {
        /// Start, m.
        from: f64,
        /// Finish, m.
        to: f64,
    },
}

impl PathError {
    /// What is wrong with the place of a fix; `None` where it is one on earth.
    pub fn off_earth(fix: usize, LatLon { lat, lon }: LatLon) -> Option<Self> {
        let swapped = lon.abs() <= 90.0 && lat.abs() <= 180.0;
        if lat.abs() > 90.0 {
            return Some(Self::Latitude { fix, lat, swapped });
        }
        (lon.abs() > 360.0).then_some(Self::Longitude { fix, lon })
    }

    /// The fix it is about, where it is about one.
    pub fn fix(&self) -> Option<usize> {
        match *self {
            Self::NotFinite { fix }
            | Self::Latitude { fix, .. }
            | Self::Longitude { fix, .. }
            | Self::Pole { fix, .. }
            | Self::Height { fix, .. }
            | Self::Jump { fix, .. } => Some(fix),
            _ => None,
        }
    }
}

/// Points in a plane, with what was mended.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cleaned {
    /// The points, neighbours apart.
    pub points: Vec<Point>,
    /// What was mended.
    pub notes: Vec<Note>,
}

/// Brings fixes onto a plane and takes out what is no road; of `ends` (start and end of the recording) what lies
/// beyond a stand there is cut off.
///
/// # Errors
/// Fewer than [`FEWEST`] points apart, coordinates that are none, a jump.
pub fn clean(fixes: &[Fix], ends: [bool; 2]) -> Result<Cleaned, PathError> {
    check(fixes)?;
    let (mut points, mut notes) = unspiked(fixes, &[], ends);
    let thrown: Vec<usize> = notes
        .iter()
        .filter_map(|note| match note {
            Note::Spike { fix, .. } => Some(*fix),
            _ => None,
        })
        .collect();
    if !thrown.is_empty() {
        // A step to the far side of the globe and back does not end where it began.
        let spikes = notes
            .into_iter()
            .filter(|n| matches!(n, Note::Spike { .. }));
        let spikes: Vec<Note> = spikes.collect();
        (points, notes) = unspiked(fixes, &thrown, ends);
        notes.extend(spikes);
    }
    check_jumps(&points)?;
    let reach = |p: &Point| points[0].to(p) > 0.0;
    if points.len() < FEWEST || points.iter().filter(|p| reach(p)).count() + 1 < FEWEST {
        return Err(PathError::TooFew(points.len()));
    }
    notes.extend(leaps::spread(&mut points));
    notes.extend(holes::holes(&points));
    Ok(Cleaned { points, notes })
}

/// Fixes but for those thrown aside before, on a plane, with stays, false heights and those thrown
/// aside taken out.
fn unspiked(fixes: &[Fix], but: &[usize], ends: [bool; 2]) -> (Vec<Point>, Vec<Note>) {
    let mut notes = Vec::new();
    let mut points = flatten(fixes, but);
    let before = points.len();
    points.dedup_by(|b, a| a.x == b.x && a.y == b.y && a.t == b.t);
    if points.len() < before {
        notes.push(Note::Repeats(before - points.len()));
    }
    if let Some(i) =
        (1..points.len()).find(|&i| points[i].t < points[i - 1].t && points[i].t.is_some())
    {
        let fix = points[i].fix;
        match in_order(&points) {
            Some(ordered) => {
                points = ordered;
                notes.push(Note::Disordered { fix });
            }
            None => {
                points.iter_mut().for_each(|point| point.t = None);
                notes.push(Note::Backwards { fix });
            }
        }
    }
    notes.extend(heights::leave_out(&mut points));
    points = stands::without_stands(points, ends, &mut notes);
    points = without_spikes(points, &mut notes);
    notes.extend(thrown::without(&mut points));
    (points, notes)
}

/// Points in the order of their times, where all have one and that makes the shorter path: written out of
/// order, and not timed by a clock that was set back.
fn in_order(points: &[Point]) -> Option<Vec<Point>> {
    let length = |points: &[Point]| points.windows(2).map(|p| p[0].to(&p[1])).sum::<f64>();
    let mut ordered = points.to_vec();
    ordered.sort_by(|a, b| a.t.unwrap_or(f64::NAN).total_cmp(&b.t.unwrap_or(f64::NAN)));
    let timed = points.iter().all(|point| point.t.is_some());
    (timed && length(&ordered) < ORDERED * length(points)).then_some(ordered)
}

fn check(fixes: &[Fix]) -> Result<(), PathError> {
    for (
        fix,
        &Fix {
            place,
            height,
            time,
        },
    ) in fixes.iter().enumerate()
    {
        let (a, b) = match place {
            Place::LatLon(LatLon { lat, lon }) => (lat, lon),
            Place::Plane(x, y) => (x, y),
        };
        let finite = |v: Option<f64>| v.is_none_or(f64::is_finite);
        if !(a.is_finite() && b.is_finite() && finite(height) && finite(time)) {
            return Err(PathError::NotFinite { fix });
        }
        if let Some(metres) = height.filter(|height| height.abs() > HIGHEST) {
            return Err(PathError::Height { fix, metres });
        }
        if let Place::LatLon(LatLon { lat, lon }) = place {
            if let Some(error) = PathError::off_earth(fix, LatLon { lat, lon }) {
                return Err(error);
            }
            if lat.abs() > HIGHEST_LATITUDE {
                return Err(PathError::Pole { fix, lat });
            }
        }
    }
    if fixes.len() < FEWEST {
        Err(PathError::TooFew(fixes.len()))
    } else {
        Ok(())
    }
}

/// Fixes but for some step by step onto one plane; steps keep their length and direction, so that
/// headings and distances are right at any place of a long road.
fn flatten(fixes: &[Fix], but: &[usize]) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::with_capacity(fixes.len());
    let (mut x, mut y) = (0.0, 0.0);
    for (fix, now) in fixes.iter().enumerate() {
        if but.binary_search(&fix).is_ok() {
            continue;
        }
        if let Some(last) = points.last() {
            let (dx, dy) = match (fixes[last.fix].place, now.place) {
                (Place::LatLon(a), Place::LatLon(b)) => geodesy::step(a, b),
                (Place::Plane(ax, ay), Place::Plane(bx, by)) => (bx - ax, by - ay),
                // Readers give one kind; a mixture has no distances.
                _ => (f64::INFINITY, 0.0),
            };
            x += dx;
            y += dy;
        }
        points.push(Point {
            x,
            y,
            z: now.height,
            t: now.time,
            fix,
        });
    }
    points
}

/// Takes out single fixes far aside of both neighbours, which lie near each other.
fn without_spikes(points: Vec<Point>, notes: &mut Vec<Note>) -> Vec<Point> {
    let usual = usual_step(&points);
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    let mut i = 0;
    while i < points.len() {
        let spike = kept.last().is_some_and(|before| {
            points.get(i + 1).is_some_and(|after| {
                let (there, back) = (before.to(&points[i]), points[i].to(after));
                let past = before.to(after);
                there.min(back) > 10.0 * usual.max(1.0) && past < 0.2 * there.min(back)
            })
        });
        if spike {
            let metres = kept[kept.len() - 1].to(&points[i]);
            notes.push(Note::Spike {
                fix: points[i].fix,
                metres,
            });
        } else {
            kept.push(points[i]);
        }
        i += 1;
    }
    kept
}

fn check_jumps(points: &[Point]) -> Result<(), PathError> {
    let usual = usual_step(points);
    let mut at = 0.0;
    for pair in points.windows(2) {
        let metres = pair[0].to(&pair[1]);
        let taken = pair[0].t.zip(pair[1].t).map(|(a, b)| b - a);
        let shortest = if taken.is_some() { JUMP.0 } else { JUMP.1 };
        let flew = taken.is_some_and(|dt| metres > FASTEST * dt.max(0.1) && metres > 100.0);
        if (metres > shortest && metres > JUMP_STEPS * usual) || flew || !metres.is_finite() {
            return Err(PathError::Jump {
                fix: pair[1].fix,
                metres,
                at,
            });
        }
        at += metres;
    }
    Ok(())
}
