//! After the event: what was predicted against what was driven, the driver's shares fitted again, and
//! what that says of the next prediction.

mod between;
mod next;
pub mod odd;

pub use between::Between;
use between::between;
pub use next::Next;
use next::next;
use odd::Odd;

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{cells, time, variant};
use super::season::EventResult;
use super::setup::Setup;
use super::state_grip;
use super::times::{Plan, drive};
use super::verdict::Range;
use super::{Entry, Outcome, Study};
use crate::lap::Cells;
use crate::schedule::grade::Graded;
use crate::study::VenueRun;
use crate::venue::{Condition, Course, EventKind};

/// Corner shares that a driver can have; a time beyond them says that another input is wrong (common
/// practice, no source).
pub const SHARES: (f64, f64) = (0.75, 1.0);
/// How far off a time beyond them lies that counts for nothing, ln of driven over predicted.
const SLIP: f64 = 0.1;
/// Halvings of the bracket of a share.
const HALVINGS: usize = 12;

/// One result looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Reviewed {
    /// What was driven.
    pub result: EventResult,
    /// Seconds predicted from the nominal inputs; `None` where the lap cannot be driven.
    pub predicted: Option<f64>,
    /// The range of that over the draws.
    pub range: Option<Range>,
    /// What the driver's corner share would have to be for the time that was done.
    pub share: Fitted,
    /// What the corner speeds of the venue hang on.
    pub corners_by: CornersBy,
    /// It is the known time of the venue itself, which its prediction was fitted to.
    pub is_known: bool,
    /// It was done in a state whose grip nobody said.
    pub grip_assumed: bool,
    /// What another grip of its state would explain.
    pub state: Option<StateGrip>,
}

/// The grip of a state that is not the dry, at a venue whose corners are driven as a log, a known time or speeds
/// of another state tell: they say nothing of this one but by its grip. Where they hang on the share of the study,
/// a grip that nobody said is told, the driver as his results in the dry have him: such a time tells no share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateGrip {
    /// Grip over that in the dry with which the time comes out, the driver as he is.
    pub factor: f64,
    /// The one taken.
    pub taken: f64,
    /// Nobody said it.
    pub assumed: bool,
}

impl StateGrip {
    /// Whether it is another than the one taken.
    pub fn moves(&self) -> bool {
        state_grip::moves(self.factor, self.taken)
    }
}

/// What tells how fast the corners of a venue are driven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CornersBy {
    /// The corner share of the study, and radii.
    Share,
    /// A known time of the venue.
    Known,
    /// Speeds of the venue itself: a log, notes, a sketch, speeds at the apex. Another share in the study leaves
    /// them as they are.
    Speeds,
}

impl CornersBy {
    fn of(course: &Course) -> Self {
        match course.known {
            Some(_) => Self::Known,
            None if course.has_speeds() => Self::Speeds,
            None => Self::Share,
        }
    }
}

impl Reviewed {
    /// Whether it says something of the next prediction: a time far off that no share of the limit gives is a slip,
    /// or of another run; and nobody set it aside.
    pub fn counts(&self) -> bool {
        if self.result.set_aside.is_some() {
            return false;
        }
        let beyond = matches!(self.share, Fitted::Quicker | Fitted::Slower);
        let off = self
            .predicted
            .map_or(0.0, |predicted| (self.result.time / predicted).ln().abs());
        !(beyond && off > SLIP)
    }

    /// What corner speeds that no share of the study moves would have to be multiplied by at `entry`; `None`
    /// where there are none, or they are right in whole percent.
    pub fn speeds_off(&self, entry: &Entry) -> Option<f64> {
        let Fitted::Share(share) = self.share else {
            return None;
        };
        let times = share / entry.habits.corner_share;
        let told = self.corners_by != CornersBy::Share
            && self.counts()
            && (100.0 * times).round() != 100.0;
        told.then_some(times)
    }

    /// The share it tells of a venue whose corners hang on it; `None` in a state whose grip nobody said.
    fn tells_share(&self) -> Option<f64> {
        let Fitted::Share(share) = self.share else {
            return None;
        };
        let told = self.corners_by == CornersBy::Share && !self.grip_assumed && self.counts();
        told.then_some(share)
    }
}

/// A corner share fitted to a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fitted {
    /// This one gives the time.
    Share(f64),
    /// Quicker than any share of [`SHARES`].
    Quicker,
    /// Slower than any.
    Slower,
    /// No lap, or the share does not matter.
    Unknown,
}

/// What the results say of a kind of event.
#[derive(Debug, Clone, PartialEq)]
pub struct Kind {
    /// The kind.
    pub kind: EventKind,
    /// Results that gave a share, at venues whose corners hang on it.
    pub results: usize,
    /// The share taken so far.
    pub taken: f64,
    /// The mean of the shares that the results give.
    pub fitted: f64,
    /// At each such event of the kind, its index and the gap of its two quickest specs, the quicker one
    /// first, with the share taken and with the one fitted, s.
    pub gaps: Vec<(usize, (usize, usize), [f64; 2])>,
}

impl Kind {
    /// Whether the share that was fitted is another than the one taken, in whole percent.
    pub fn moves(&self) -> bool {
        (100.0 * self.fitted).round() != (100.0 * self.taken).round()
    }
}

/// All results of a study.
#[derive(Debug, Clone, PartialEq)]
pub struct Review {
    /// One by one.
    pub events: Vec<Reviewed>,
    /// By kind of event.
    pub kinds: Vec<Kind>,
    /// The next prediction; `None` without a prediction.
    pub next: Option<Next>,
    /// Those that hardly belong with the others.
    pub odd: Odd,
    /// Gaps between specs that were driven otherwise than predicted.
    pub between: Vec<Between>,
}

/// Looks at every result of a study; `done` is told of each draw.
pub fn review(study: &Study, engines: &Engines, plan: &Plan, done: impl Fn() + Sync) -> Review {
    let entries: Vec<Entry> = study
        .rules
        .results
        .iter()
        .map(|result| as_driven(study, result))
        .collect();
    let roads: Vec<Option<Cells>> = study
        .rules
        .results
        .par_iter()
        .map(|result| cells(study, engines, &study.entries[result.entry]).ok())
        .collect();
    let ranges = ranges(study, engines, &entries, &roads, plan, done);
    let mut events: Vec<Reviewed> = study
        .rules
        .results
        .par_iter()
        .enumerate()
        .map(|(i, result)| {
            let lap = |share: Option<f64>| {
                let mut entry = entries[i].clone();
                entry.habits.corner_share = share.unwrap_or(entry.habits.corner_share);
                let variant = variant(study, engines, &entry, result.spec, Setup::FITTED);
                time(&variant, &entry, roads[i].as_ref()?).ok()
            };
            Reviewed {
                result: result.clone(),
                predicted: lap(None),
                range: ranges[i],
                share: fit(result.time, |share| lap(Some(share))),
                corners_by: CornersBy::of(&entries[i].course),
                is_known: entries[i]
                    .course
                    .known
                    .as_ref()
                    .is_some_and(|known| known.is(result.time)),
                grip_assumed: state_of(result, &entries[i])
                    .is_some_and(|state| state.assumed && state.factor != 1.0),
                state: None,
            }
        })
        .collect();
    let kinds = kinds(study, engines, &events);
    events.par_iter_mut().enumerate().for_each(|(i, event)| {
        let mut entry = entries[i].clone();
        let own = kinds.iter().find(|kind| kind.kind == entry.course.kind);
        if let Some(own) = own.filter(|_| event.corners_by == CornersBy::Share) {
            entry.habits.corner_share = own.fitted;
        }
        event.state = roads[i]
            .as_ref()
            .and_then(|road| state_grip(study, engines, event, &entry, road));
    });
    let odd = odd::among(study, &events);
    Review {
        kinds,
        next: next(&events),
        between: between(study, &events, &odd),
        odd,
        events,
    }
}

/// The state that a result was done in.
fn state_of<'a>(result: &EventResult, entry: &'a Entry) -> Option<&'a Condition> {
    let name = result.condition.as_ref()?;
    entry.course.conditions.iter().find(|s| s.name == *name)
}

/// Where a result was done: its venue, and the state where that has another grip than the dry. A result without a
/// state is of the dry.
fn place<'a>(study: &'a Study, result: &EventResult) -> (usize, Option<&'a str>) {
    let state = state_of(result, &study.entries[result.entry]);
    let state = state.filter(|state| state.factor != 1.0);
    (result.entry, state.map(|state| state.name.as_str()))
}

/// What the grip of the state would have to be; `None` in the dry, and where the venue's corners are told by the
/// share of the study under a grip that was said, or by a time in that very state.
fn state_grip(
    study: &Study,
    engines: &Engines,
    event: &Reviewed,
    entry: &Entry,
    road: &Cells,
) -> Option<StateGrip> {
    let result = &event.result;
    let state = state_of(result, entry).filter(|_| event.result.set_aside.is_none())?;
    let known = entry.course.known.as_ref();
    let own = known.is_some_and(|known| known.grip == state.factor);
    let counted = event.corners_by == CornersBy::Share && !event.grip_assumed;
    if state.factor == 1.0 || own || counted {
        return None;
    }
    let factor = state_grip::factor(result.time, |factor| {
        let course = entry.course.under(&Condition {
            factor,
            ..state.clone()
        });
        let entry = Entry {
            course,
            ..entry.clone()
        };
        let variant = variant(study, engines, &entry, result.spec, Setup::FITTED);
        time(&variant, &entry, road).ok()
    })?;
    Some(StateGrip {
        factor,
        taken: state.factor,
        assumed: state.assumed,
    })
}

/// The event in the state it was driven in.
fn as_driven(study: &Study, result: &EventResult) -> Entry {
    let entry = &study.entries[result.entry];
    Entry {
        course: match state_of(result, entry) {
            Some(state) => entry.course.under(state),
            None => entry.course.clone(),
        },
        ..entry.clone()
    }
}

/// The range of every predicted time over the draws.
fn ranges(
    study: &Study,
    engines: &Engines,
    entries: &[Entry],
    roads: &[Option<Cells>],
    plan: &Plan,
    done: impl Fn() + Sync,
) -> Vec<Option<Range>> {
    let with = Study {
        entries: entries.to_vec(),
        ..study.clone()
    };
    let venue = |road: &Option<Cells>| VenueRun {
        length: road.as_ref().map_or(0.0, Cells::length),
        road: match road {
            Some(cells) => Ok(Graded {
                cells: cells.clone(),
                error: None,
                share: None,
            }),
            None => Err(crate::lap::LapError::NoGrip(String::new())),
        },
        specs: Vec::new(),
        roads: Vec::new(),
    };
    let outcome = Outcome {
        offered: Vec::new(),
        venues: roads.iter().map(venue).collect(),
    };
    let times = drive(&with, engines, &outcome, plan, done);
    let results = study.rules.results.iter().zip(&times.venues);
    results
        .map(|(result, venue)| {
            let own = venue.draws.iter();
            Range::of(own.filter_map(|d| d[result.spec].clone().ok()).collect())
        })
        .collect()
}

/// The share that gives a time; laps get quicker with it.
fn fit(actual: f64, lap: impl Fn(f64) -> Option<f64>) -> Fitted {
    let (Some(slow), Some(quick)) = (lap(SHARES.0), lap(SHARES.1)) else {
        return Fitted::Unknown;
    };
    if slow <= quick {
        return Fitted::Unknown;
    }
    if actual > slow {
        return Fitted::Slower;
    }
    if actual < quick {
        return Fitted::Quicker;
    }
    let (mut low, mut high) = SHARES;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        match lap(middle) {
            Some(time) if time > actual => low = middle,
            Some(_) => high = middle,
            None => return Fitted::Unknown,
        }
    }
    Fitted::Share(0.5 * (low + high))
}

fn kinds(study: &Study, engines: &Engines, events: &[Reviewed]) -> Vec<Kind> {
    let mut found: Vec<(EventKind, f64, Vec<f64>)> = Vec::new();
    for event in events {
        let entry = &study.entries[event.result.entry];
        let Some(share) = event.tells_share() else {
            continue;
        };
        let (kind, taken) = (entry.course.kind, entry.habits.corner_share);
        match found.iter_mut().find(|(known, ..)| *known == kind) {
            Some((.., shares)) => shares.push(share),
            None => found.push((kind, taken, vec![share])),
        }
    }
    found
        .into_iter()
        .map(|(kind, taken, shares)| {
            let fitted = shares.iter().sum::<f64>() / shares.len() as f64;
            let of_kind = study.entries.par_iter().enumerate();
            Kind {
                kind,
                results: shares.len(),
                taken,
                fitted,
                gaps: of_kind
                    .filter(|(_, entry)| entry.course.kind == kind)
                    .filter(|(_, entry)| CornersBy::of(&entry.course) == CornersBy::Share)
                    .filter_map(|(i, entry)| gaps(study, engines, i, entry, [taken, fitted]))
                    .collect(),
            }
        })
        .collect()
}

/// The gap of the two quickest specs of an event with one share and another.
fn gaps(
    study: &Study,
    engines: &Engines,
    index: usize,
    entry: &Entry,
    shares: [f64; 2],
) -> Option<(usize, (usize, usize), [f64; 2])> {
    let cells = cells(study, engines, entry).ok()?;
    let times = shares.map(|share| {
        let mut entry = entry.clone();
        entry.habits.corner_share = share;
        let specs = 0..engines.list.len();
        specs
            .map(|spec| {
                let variant = variant(study, engines, &entry, spec, Setup::FITTED);
                time(&variant, &entry, &cells).ok()
            })
            .collect::<Option<Vec<f64>>>()
    });
    let [Some(then), Some(now)] = times else {
        return None;
    };
    let mut order: Vec<usize> = (0..then.len()).collect();
    order.sort_by(|&a, &b| then[a].total_cmp(&then[b]));
    let (quicker, slower) = (*order.first()?, *order.get(1)?);
    let gap = |times: &[f64]| times[slower] - times[quicker];
    Some((index, (quicker, slower), [gap(&then), gap(&now)]))
}

#[cfg(test)]
mod tests;
