//! A logged run as a venue: how fast its corners were, and what that says of grip and driver.
//!
//! The speed at a corner's apex already holds the grip and the driver's habits, so it becomes a
//! measured corner. Where the log has positions or lateral acceleration, the road's shape comes from
//! them and the apex speeds scale it; where it has neither, corners are
//! where the speed dips or the driver holds it.

mod climb;
pub mod dropouts;
mod error;
pub mod gears;
mod held;
mod laps;
pub mod revs;
mod shape;

pub use climb::Climb;
pub use error::LogError;

use super::path::Fix;
use super::path::clean::LONGEST;
use super::path::coarse::Coarse;
use super::path::corners::Corner;
use super::path::cut::{Lap, Where};
use super::path::note::Note;
use super::path::road::Road;
use super::pieces::Layout;

/// A run as recorded: columns of one length.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    /// Time, s.
    pub time: Vec<f64>,
    /// Speed, m/s.
    pub speed: Vec<f64>,
    /// Distance, m, where it was recorded; otherwise speed over time.
    pub distance: Option<Vec<f64>>,
    /// Engine speed, rpm.
    pub rpm: Option<Vec<f64>>,
    /// Lateral acceleration, m/s², left positive.
    pub lateral: Option<Vec<f64>>,
    /// Heights, m, where no positions have them.
    pub heights: Option<Vec<f64>>,
    /// Positions.
    pub fixes: Option<Vec<Fix>>,
}

/// What is wanted of a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Request {
    /// It is a loop.
    pub closed: bool,
    /// Which lap.
    pub lap: Lap,
    /// Where the lap or run starts, along the path.
    pub from: Option<Where>,
    /// Where it ends.
    pub to: Option<Where>,
    /// Width of the smoothing, m.
    pub width: Option<f64>,
}

/// An apex as driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apex {
    /// Distance from the start, m.
    pub at: f64,
    /// Where the corner starts and ends, m.
    pub reach: (f64, f64),
    /// Where within it the speed stays near its lowest, m.
    pub held: (f64, f64),
    /// Lowest speed, m/s.
    pub speed: f64,
    /// Lateral acceleration there, m/s², where the log shows it.
    pub lateral: Option<f64>,
}

/// A run read as a road.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged {
    /// Its climb, where heights tell it beside distances.
    pub climb: Option<Climb>,
    /// Sections and places.
    pub layout: Layout,
    /// The apexes that were driven at the limit.
    pub apexes: Vec<Apex>,
    /// The road, where the log shows its shape.
    pub road: Option<Road>,
    /// Its corners.
    pub corners: Vec<Corner>,
    /// Where its positions are too far apart for them.
    pub coarse: Vec<Coarse>,
    /// Time of the run or lap, s, without its halts.
    pub time: f64,
    /// How long it stood on its way, s.
    pub stood: f64,
    /// Where its speed stays at its highest, which is no corner, of a road that only its speed shows.
    pub flat_out: Option<FlatOut>,
    /// What shows of a loop whose road is not known by positions.
    pub rounds: Option<Rounds>,
    /// It began at rest.
    pub standing: bool,
    /// Speed at its start, m/s.
    pub entry: f64,
    /// What was mended.
    pub notes: Vec<Note>,
    /// What the log shows of grip and driver.
    pub shown: Shown,
    /// Seconds of the run or lap per band of engine speed, as logged; empty where that was not.
    pub turned: Vec<revs::Turned>,
}

/// Stretches on which the speed stays at the highest of the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatOut {
    /// The speed, m/s.
    pub speed: f64,
    /// When the first begins, by the times of the run, s.
    pub from: f64,
    /// How long they take in all, s.
    pub time: f64,
}

/// What a log without positions shows of the loop it is said to be.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rounds {
    /// Its length, m.
    pub length: f64,
    /// The signed sum of its turned angles, rad, where acceleration across the road was recorded.
    pub turned: Option<f64>,
    /// The sum of the turned angles of its corners without sign, rad, where that was recorded.
    pub bends: Option<f64>,
    /// The distance after which its speed repeats itself, m.
    pub period: Option<f64>,
}

/// What a log shows of grip and driver: values to offer, not to use unasked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Shown {
    /// Grip coefficient: the acceleration across the road that is reached and kept at the best
    /// corners, over gravity.
    pub grip: Option<f64>,
    /// Share of the limit speed at the usual corner.
    pub corner_share: Option<f64>,
}

/// A speed below this is standing, m/s.
const STANDING: f64 = 1.0;
/// Shortest run, m.
const SHORTEST: f64 = 100.0;
/// Speeds at the ends of a lap differ by less than this share, beside what a logger's noise makes.
const ALIKE: f64 = 0.04;
/// A speed above this is no car's, m/s.
const FASTEST: f64 = 200.0;

/// Reads a run as a road.
///
/// # Errors
/// See [`LogError`].
pub fn read(run: &Run, request: &Request) -> Result<Logged, LogError> {
    if run.fixes.is_none() && (request.from.is_some() || request.to.is_some()) {
        return Err(LogError::Unplaced);
    }
    let track = Track::new(run)?;
    let length = track.trace().length();
    // Of a loop with positions one lap is cut out, however many were driven.
    if length > LONGEST && !(request.closed && run.fixes.is_some()) {
        return Err(LogError::Long(length));
    }
    let mut notes = Vec::new();
    let surveyed = match &run.fixes {
        Some(fixes) => Some(shape::from_fixes(fixes, &track, request, &mut notes)?),
        None => None,
    };
    let (mut taken, mut coarse) = (None, Vec::new());
    let (road, corners, trace) = match surveyed {
        Some((survey, trace)) => {
            let uncut = !request.closed && request.from.is_none() && request.to.is_none();
            taken = survey.time.or_else(|| match uncut {
                true => Some(track.trace().time()),
                false => trace.time_over(survey.road.length()),
            });
            coarse = survey.coarse;
            (Some(survey.road), survey.corners, trace)
        }
        None => match &run.lateral {
            Some(lateral) => {
                let (road, corners) = shape::from_lateral(&track, lateral, request.closed);
                (Some(road), corners, track.trace())
            }
            None => (None, Vec::new(), track.trace()),
        },
    };
    let (corners_held, flat_out) = match &road {
        Some(_) => (Vec::new(), None),
        None if request.closed && trace.goes_round() => held::corners_of_lap(&trace),
        None => held::corners(&trace),
    };
    let apexes = match &road {
        Some(road) => shape::apexes_of(road, &corners, &trace),
        None => corners_held,
    };
    let layout = match &road {
        Some(road) => shape::layout(road, &corners, &apexes, &trace),
        None => shape::layout_of_dips(&trace, &apexes),
    };
    let shown = shown(&apexes);
    let rounds = (request.closed && run.fixes.is_none()).then(|| Rounds {
        length,
        turned: road.as_ref().map(laps::turned),
        bends: (road.as_ref()).map(|_| corners.iter().map(|corner| corner.turned).sum()),
        period: laps::period(&trace, road.as_ref()),
    });
    let stays = dropouts::halts(&trace.time, &trace.speed);
    let stood = stays
        .iter()
        .map(|rows| trace.time[rows.end] - trace.time[rows.start])
        .sum();
    let entry = trace.speed.first().copied().unwrap_or_default();
    let heights = run.heights.as_deref().filter(|_| run.fixes.is_none());
    Ok(Logged {
        climb: heights.and_then(|heights| climb::climb(&trace, heights, request.closed)),
        layout,
        apexes,
        road,
        corners,
        coarse,
        time: taken.unwrap_or(trace.time()) - stood,
        flat_out,
        stood,
        rounds,
        standing: entry < 2.0 * STANDING && !request.closed,
        entry,
        notes,
        shown,
        turned: run.rpm.as_ref().map_or(Vec::new(), |rpm| {
            let rpm: Vec<f64> = trace.rows.iter().map(|&row| rpm[row]).collect();
            revs::turned(&trace.time, &rpm)
        }),
    })
}

/// The grip of the best corners and the share of the usual one. The best tenth and the median, so
/// that neither one slide nor one lift decides.
fn shown(apexes: &[Apex]) -> Shown {
    let mut lateral: Vec<f64> = apexes
        .iter()
        .filter_map(|a| a.lateral)
        .map(f64::abs)
        .collect();
    if lateral.len() < 3 {
        return Shown::default();
    }
    lateral.sort_by(f64::total_cmp);
    let at = |share: f64| lateral[((lateral.len() - 1) as f64 * share).round() as usize];
    let (best, usual) = (at(0.9), at(0.5));
    Shown {
        grip: Some(best / crate::units::STANDARD_GRAVITY),
        corner_share: Some((usual / best).sqrt()),
    }
}

/// Speed over distance, the car moving.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Trace {
    /// Distance from the start, m, rising.
    pub distance: Vec<f64>,
    /// Speed, m/s.
    pub speed: Vec<f64>,
    /// Time, s.
    pub time: Vec<f64>,
    /// Which row of the run it is.
    pub rows: Vec<usize>,
}

impl Trace {
    /// Whether a lap ends as fast as it began, as one that is driven on does, and not one from rest.
    fn goes_round(&self) -> bool {
        let ends = self.speed.first().zip(self.speed.last());
        ends.is_some_and(|(first, last)| (first - last).abs() < ALIKE * first.max(*last))
    }

    /// The same lap from another of its rows on.
    fn begun_at(&self, row: usize) -> Self {
        let onward = |column: &[f64], whole: f64| -> Vec<f64> {
            let first = column[row];
            let rest = column[row..].iter().map(|at| at - first);
            let begun = column[..row].iter().map(|at| at + whole - first);
            rest.chain(begun).collect()
        };
        Self {
            distance: onward(&self.distance, self.length()),
            speed: [&self.speed[row..], &self.speed[..row]].concat(),
            time: onward(&self.time, self.time()),
            rows: [&self.rows[row..], &self.rows[..row]].concat(),
        }
    }

    fn length(&self) -> f64 {
        self.distance.last().copied().unwrap_or(0.0)
    }

    fn time(&self) -> f64 {
        self.time
            .last()
            .zip(self.time.first())
            .map_or(0.0, |(b, a)| b - a)
    }

    /// Time over a road of this length that begins at 0, s: before the first row and behind the last at their
    /// speeds.
    fn time_over(&self, length: f64) -> Option<f64> {
        let (first, last) = (self.distance.first()?, self.distance.last()?);
        let (slow, fast) = (self.speed.first()?, self.speed.last()?);
        let ends = first / slow.max(STANDING) + (length - last) / fast.max(STANDING);
        Some(self.time() + ends)
    }

    /// Rows between two distances.
    fn between(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let a = self.distance.partition_point(|d| *d < from);
        let b = self.distance.partition_point(|d| *d <= to);
        a..b.max(a)
    }
}

/// A run with its distances, cleaned of standing.
struct Track<'a> {
    run: &'a Run,
    distance: Vec<f64>,
    /// First and one after the last row in which the car moves.
    moving: std::ops::Range<usize>,
}

impl<'a> Track<'a> {
    fn new(run: &'a Run) -> Result<Self, LogError> {
        let count = run.speed.len();
        if count < 10 || run.time.len() != count {
            return Err(LogError::Empty);
        }
        let bad = |row: &usize| {
            !(run.time[*row].is_finite() && run.speed[*row].is_finite() && run.speed[*row] >= 0.0)
        };
        if let Some(row) = (0..count).find(bad) {
            return Err(LogError::NotFinite { row: row + 1 });
        }
        if let Some(row) = run.speed.iter().position(|speed| *speed > FASTEST) {
            let (row, speed) = (row + 1, run.speed[row]);
            return Err(LogError::TooFast { row, speed });
        }
        if let Some(row) = (1..count).find(|&row| run.time[row] < run.time[row - 1]) {
            return Err(LogError::Backwards {
                row: row + 1,
                what: "time",
            });
        }
        if let Some(distance) = &run.distance {
            let back = |row: &usize| distance[*row] < distance[*row - 1] - 0.5;
            if let Some(row) = (1..distance.len()).find(back) {
                return Err(LogError::Backwards {
                    row: row + 1,
                    what: "distance",
                });
            }
        }
        let distance = distances(run);
        let moving = moving(&run.speed);
        let track = Self {
            run,
            distance,
            moving,
        };
        let length = track.trace().length();
        if length < SHORTEST {
            Err(LogError::Short(length))
        } else {
            Ok(track)
        }
    }

    /// Speed over distance while the car moves; standing takes no distance and leaves the time.
    fn trace(&self) -> Trace {
        let mut trace = Trace::default();
        let start = self.distance[self.moving.start];
        for row in self.moving.clone() {
            trace.distance.push(self.distance[row] - start);
            trace.speed.push(self.run.speed[row]);
            trace.time.push(self.run.time[row]);
            trace.rows.push(row);
        }
        trace
    }
}

/// The rows in which a car of these speeds, m/s, is under way, from the last at rest, so that a standing start is
/// one.
pub fn moving(speed: &[f64]) -> std::ops::Range<usize> {
    let first = speed.iter().position(|v| *v > STANDING).unwrap_or(0);
    let last = speed.iter().rposition(|v| *v > STANDING).unwrap_or(0);
    first.saturating_sub(1)..last + 1
}

/// Distance of each row from the first, m: as recorded, or speed over time.
pub fn distances(run: &Run) -> Vec<f64> {
    if let Some(distance) = &run.distance {
        return distance.iter().map(|d| d - distance[0]).collect();
    }
    let mut distance = vec![0.0];
    for row in 1..run.speed.len() {
        let dt = run.time[row] - run.time[row - 1];
        let step = 0.5 * (run.speed[row] + run.speed[row - 1]) * dt;
        distance.push(distance[row - 1] + step);
    }
    distance
}
