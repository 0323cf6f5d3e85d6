//! A venue as the lap sees it: an ordered list of sections with constant properties.
//!
//! Pieces written by hand, a mapped path and a logged run all become a [`Course`]. This room knows
//! no car: a measured apex speed stays a speed here and becomes curvature in the room of laps.

pub mod along;
pub mod builtin;
pub mod character;
pub mod grades;
pub mod log;
mod names;
pub mod notes;
pub mod path;
pub mod pieces;
pub mod plan;
pub mod simplify;
pub mod sketch;
mod together;
pub mod typical;

use crate::air::Air;

/// The kind of event a venue is for; it chooses the driver's habits and the unit of the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EventKind {
    /// A rally stage: seconds per kilometre and per stage, tenths.
    Stage,
    /// A circuit: seconds per lap, hundredths.
    Circuit,
    /// A hillclimb: seconds per run, hundredths.
    Hillclimb,
    /// A sprint: seconds per run, hundredths.
    Sprint,
}

/// How a run begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// From rest, the clutch slipping at launch rpm.
    Standing,
    /// A closed lap that repeats itself (circuits only).
    Flying,
    /// With an entry speed, m/s.
    Rolling(f64),
}

/// How a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// Over the line at whatever speed.
    Flying,
    /// At rest on the line.
    Standing,
}

/// A surface by the name the venue uses.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Name as the venue writes it, such as `tarmac`, `damp`, `chippings`.
    pub name: String,
    /// The surface whose grip the car's trim states (`tarmac` for `damp`).
    pub like: String,
    /// Grip here over grip on `like`.
    pub factor: f64,
    /// Rolling resistance coefficient f0 here, replacing the car's; `None` keeps the car's or the
    /// surface's default.
    pub rolling: Option<f64>,
    /// Grip in the state that the venue is in over grip as it is written.
    pub state: f64,
}

/// Whether a limit on speed is set by grip or by the driver's nerve and sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scales {
    /// Moves with grip and with the driver's corner share, which it contains: this driver's own speed.
    Grip,
    /// The same for the usual driver's speed, at his share ([`EventKind::usual_share`]): another share makes
    /// it another speed.
    Usual,
    /// Stays as written: a crest, a chicane, a blind bend.
    Driver,
}

/// How a section bends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bend {
    /// No curvature.
    Straight,
    /// Signed curvature, 1/m, left positive.
    Radius {
        /// Curvature, 1/m, left positive.
        curvature: f64,
    },
    /// A corner known by the speed at its apex, m/s, which already contains the driver's habit.
    Measured {
        /// Apex speed, m/s.
        speed: f64,
        /// +1 left, −1 right; 0 where the venue does not say.
        direction: f64,
        /// What the speed scales with.
        scales: Scales,
    },
}

/// How long a section is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Extent {
    /// Length along the road, m; positive.
    Length(f64),
    /// Turned angle, rad; positive, and only of a [`Bend::Measured`]: its length is the angle over
    /// the curvature, which is known once the car is.
    Turn(f64),
}

/// One stretch of road with constant properties. Every edge of a section is a station of the lap.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// How long it is.
    pub extent: Extent,
    /// How it bends.
    pub bend: Bend,
    /// Slope as the tangent of the angle, rising positive.
    pub slope: f64,
    /// Index into [`Course::surfaces`].
    pub surface: usize,
    /// A speed the driver will not pass here, m/s (a crest, a chicane).
    pub cap: Option<f64>,
    /// Index into [`Course::places`]: the piece of the venue this section belongs to.
    pub place: usize,
    /// The surface that a measured speed is that of, where it is another than this one: its curvature follows from
    /// the grip there, and here the speed goes with the grip. Index into [`Course::surfaces`].
    pub graded_on: Option<usize>,
    /// Curvature of the road itself, 1/m, left positive, where a source shows it beside a measured
    /// speed: for plans and radii, not for the lap.
    pub seen_curvature: Option<f64>,
}

/// A stretch of the venue a person would point at: a straight or a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Name for people: the venue's own, or one made from what it is ("square left 3").
    pub name: String,
    /// A corner rather than a straight.
    pub corner: bool,
    /// A person gave it that name.
    pub named: bool,
}

/// A point between two sections that splits the time of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Sector {
    /// Name for people.
    pub name: String,
    /// Index of the section that the sector begins with.
    pub first_section: usize,
}

/// A state of the whole venue, such as dry or wet, and how likely it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Name for people: `dry`, `damp`, `wet`, or the venue's own.
    pub name: String,
    /// Grip in this state over grip as the surfaces state it.
    pub factor: f64,
    /// Chance of this state, 0 to 1; the chances of a venue sum to 1.
    pub chance: f64,
    /// Nobody said its grip: what is usual was filled in.
    pub assumed: bool,
}

/// A time that this driver has done here; it settles the share of the cornering limit driven.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownTime {
    /// The time, s.
    pub time: f64,
    /// The spec that was fitted.
    pub spec: Option<String>,
    /// The condition of the venue that day.
    pub condition: Option<String>,
    /// Grip in that condition over grip as the surfaces state it.
    pub grip: f64,
    /// The share of the cornering limit that it came to, once that was solved.
    pub corner_share: Option<f64>,
    /// What speeds of corners that are written or were seen are multiplied by for it, once that was solved.
    pub speeds: Option<f64>,
    /// Grip in that condition over the dry that would give it with those speeds as they are, once that was
    /// solved: where it was done in another state than they hold for.
    pub grip_for_speeds: Option<f64>,
}

impl EventKind {
    /// Share of the corner's limit speed that is usually driven (common practice; a stage driven on notes).
    pub fn usual_share(self) -> f64 {
        match self {
            Self::Circuit => 0.97,
            Self::Hillclimb | Self::Sprint => 0.95,
            Self::Stage => 0.90,
        }
    }
}

impl KnownTime {
    /// Whether a time is this one, as far as it is written, s.
    pub fn is(&self, time: f64) -> bool {
        (self.time - time).abs() < 0.006
    }
}

/// What a logged run shows besides the road.
#[derive(Debug, Clone, PartialEq)]
pub struct LogFacts {
    /// Time of the run or lap, s.
    pub time: f64,
    /// Within what it is known, s.
    pub within: f64,
    /// How many corners were driven at the limit.
    pub apexes: usize,
    /// Grip and driver, as far as they show.
    pub shown: log::Shown,
    /// The gears, by engine speed over road speed.
    pub gears: Vec<log::gears::Seen>,
    /// Seconds per band of engine speed as logged; empty where that was not.
    pub turned: Vec<log::revs::Turned>,
}

/// A venue ready for the lap.
///
/// ```
/// use pullrank::venue::{Bend, Course, EventKind, Extent, Section};
///
/// let mile = Section { extent: Extent::Length(1609.344), ..Section::default() };
/// let course = Course { sections: vec![mile], ..Course::new("a mile", EventKind::Sprint) };
/// assert_eq!(course.known_length(), 1609.344);
/// assert_eq!(course.sections[0].bend, Bend::Straight);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Name for people.
    pub name: String,
    /// Kind of event.
    pub kind: EventKind,
    /// How the run begins.
    pub start: Start,
    /// How the run ends.
    pub finish: Finish,
    /// Sections in driving order.
    pub sections: Vec<Section>,
    /// Surfaces that the sections name; never empty.
    pub surfaces: Vec<Surface>,
    /// Places that the sections belong to; never empty.
    pub places: Vec<Place>,
    /// Where sectors begin, in driving order; empty where the venue has none.
    pub sectors: Vec<Sector>,
    /// States of the venue with their chances; empty where it is taken as the surfaces say.
    pub conditions: Vec<Condition>,
    /// A time done here.
    pub known: Option<KnownTime>,
    /// The air over it.
    pub air: Air,
    /// Air density given outright, kg/m³; otherwise from `air`.
    pub air_density: Option<f64>,
    /// What the logged run shows that it comes from.
    pub log: Option<LogFacts>,
    /// What was said of it by distance, and is in its sections already.
    pub along: along::Along,
    /// The counts it was shuffled from: one road of many, [`Course::shuffled`] gives the others.
    pub sketch: Option<sketch::Sketch>,
    /// What this driver's own speeds are multiplied by as he drives, once a known time has told; the road keeps the
    /// shape that it has by the speeds as they are written.
    pub speeds: f64,
    /// It stands in where nobody named a venue: a usual road of its kind, and nobody's event.
    pub stands_in: bool,
    /// Heading of the start, rad from east, counter-clockwise, where it is known.
    pub bearing: Option<f64>,
}

impl Default for Section {
    /// A straight of no length, level, on the first surface, belonging to the first place: what a
    /// section is made from by setting what differs.
    fn default() -> Self {
        Self {
            extent: Extent::Length(0.0),
            bend: Bend::Straight,
            slope: 0.0,
            surface: 0,
            cap: None,
            place: 0,
            graded_on: None,
            seen_curvature: None,
        }
    }
}

impl Section {
    /// The surface that its speed is known on.
    pub fn known_on(&self) -> usize {
        self.graded_on.unwrap_or(self.surface)
    }

    /// Length along the road, m, where it needs no car to know.
    pub fn length(&self) -> Option<f64> {
        match self.extent {
            Extent::Length(length) => Some(length),
            Extent::Turn(_) => None,
        }
    }
}

impl Surface {
    /// A surface that the car's trims name themselves.
    pub fn plain(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            like: name.to_owned(),
            factor: 1.0,
            rolling: None,
            state: 1.0,
        }
    }
}

impl Course {
    /// A course without sections: tarmac, one nameless place, the standard atmosphere at sea level;
    /// circuits with a flying start, others from rest, the finish flying.
    pub fn new(name: &str, kind: EventKind) -> Self {
        Self {
            name: name.to_owned(),
            kind,
            start: if kind == EventKind::Circuit {
                Start::Flying
            } else {
                Start::Standing
            },
            finish: Finish::Flying,
            sections: Vec::new(),
            surfaces: vec![Surface::plain("tarmac")],
            places: vec![Place {
                name: name.to_owned(),
                corner: false,
                named: true,
            }],
            sectors: Vec::new(),
            conditions: Vec::new(),
            known: None,
            air: Air::isa(0.0),
            air_density: None,
            log: None,
            along: along::Along::default(),
            sketch: None,
            speeds: 1.0,
            stands_in: false,
            bearing: None,
        }
    }

    /// Length along the road, m, of the sections whose length needs no car to know.
    pub fn known_length(&self) -> f64 {
        self.sections.iter().filter_map(Section::length).sum()
    }

    /// Whether speeds of its corners are this driver's, written or seen, and are not reckoned from radii or from
    /// a usual scale.
    pub fn has_speeds(&self) -> bool {
        let seen = |section: &Section| {
            let Bend::Measured { scales, .. } = section.bend else {
                return false;
            };
            scales == Scales::Grip
        };
        self.sections.iter().any(seen)
    }

    /// The state that the venue is in for sure; `None` where none is named, or one of several.
    pub fn sure_state(&self) -> Option<&Condition> {
        let mut likely = self.conditions.iter().filter(|state| state.chance > 0.0);
        likely.next().filter(|_| likely.next().is_none())
    }

    /// The venue in one of its states: every surface grips by so much more or less than written.
    #[must_use]
    pub fn under(&self, state: &Condition) -> Self {
        self.gripping(state.factor)
    }

    /// The venue with its surfaces as they are written, whatever its state.
    #[must_use]
    pub fn as_written(&self) -> Self {
        self.gripping(1.0)
    }

    fn gripping(&self, state: f64) -> Self {
        let mut course = self.clone();
        course.surfaces.iter_mut().for_each(|s| s.state = state);
        course
    }

    /// Another road of the sketch that this course comes from, `number` counting them; the same for
    /// the same seed and number. `None` where it comes from no sketch, or where this road is too short
    /// for what is said along it.
    pub fn shuffled(&self, seed: u64, number: u64) -> Option<Course> {
        let pieces = self.sketch.as_ref()?.road(seed, number).ok()?;
        let layout = pieces::lay(&pieces).ok()?;
        let mut road = Course {
            sections: layout.sections,
            places: layout.places,
            sectors: layout.sectors,
            ..self.clone()
        };
        self.along.apply(&mut road).ok()?;
        Some(road)
    }

    /// A sketch laid out for a car that corners at `lateral`, m/s², on its first surface: as long as written,
    /// the corners as long as they are then. Any other course as it is, and a sketch that has no room.
    #[must_use]
    pub fn cornering_at(&self, lateral: f64) -> Course {
        let Some(sketch) = &self.sketch else {
            return self.clone();
        };
        let fitted = Course {
            sketch: Some(sketch.cornering_at(lateral)),
            ..self.clone()
        };
        let road = fitted.shuffled(sketch::SEED, 0);
        road.unwrap_or_else(|| self.clone())
    }

    /// Whether the last station is the first one again.
    pub fn is_closed(&self) -> bool {
        self.kind == EventKind::Circuit && self.start == Start::Flying
    }
}
