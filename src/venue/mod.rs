//! A venue as the lap sees it: an ordered list of sections with constant properties.
//!
//! Pieces written by hand, a mapped path and a logged run all become a [`Course`]. This room knows
//! no car: a measured apex speed stays a speed here and becomes curvature in [`crate::lap`].

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
}

/// Whether a limit on speed is set by grip or by the driver's nerve and sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scales {
    /// Moves with grip and with the driver's corner share.
    Grip,
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

/// One stretch of road with constant properties. Every edge of a section is a station of the lap.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Length along the road, m; positive.
    pub length: f64,
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
}

/// A stretch of the venue a person would point at: a straight or a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Name for people: the venue's own, or one made from what it is ("square left 3").
    pub name: String,
    /// A corner rather than a straight.
    pub corner: bool,
}

/// A venue ready for the lap.
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
    /// Surfaces that the sections name.
    pub surfaces: Vec<Surface>,
    /// Places that the sections belong to.
    pub places: Vec<Place>,
    /// The air over it.
    pub air: Air,
    /// Air density given outright, kg/m³; otherwise from `air`.
    pub air_density: Option<f64>,
}

impl Course {
    /// Length along the road, m.
    pub fn length(&self) -> f64 {
        self.sections.iter().map(|s| s.length).sum()
    }
    /// Whether the last station is the first one again.
    pub fn is_closed(&self) -> bool {
        self.kind == EventKind::Circuit && self.start == Start::Flying
    }
}
