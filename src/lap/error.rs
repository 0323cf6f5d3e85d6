//! Why a machine cannot lap a course.

/// A machine or a lap that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LapError {
    /// The course has no road.
    #[error("the venue has no length")]
    EmptyCourse,
    /// More gears than the lap holds.
    #[error("{0} gears: at most {max} can be driven", max = super::machine::MAX_GEARS)]
    TooManyGears(usize),
    /// The trim states no grip for a surface of the venue.
    #[error("no grip is given for the surface `{0}`")]
    NoGrip(String),
    /// The car comes to rest on a climb or never gets going.
    #[error("the car cannot pull on beyond {distance:.0} m ({place}): it comes to rest there")]
    Stalled {
        /// Distance along the venue, m.
        distance: f64,
        /// Place of the venue.
        place: String,
    },
    /// The brakes cannot hold the car on a slope.
    #[error(
        "the car cannot slow down for what follows {distance:.0} m ({place}): the slope is steeper than its tyres can brake"
    )]
    NoBrakes {
        /// Distance along the venue, m.
        distance: f64,
        /// Place of the venue.
        place: String,
    },
    /// The start is faster than the road allows.
    #[error(
        "the entry speed is {entry:.0} m/s, above the {allowed:.0} m/s from which the car can slow down for what follows"
    )]
    EntryTooFast {
        /// Entry speed, m/s.
        entry: f64,
        /// Highest speed that the first station allows, m/s.
        allowed: f64,
    },
    /// Launch rpm at or below zero, or above the limit.
    #[error("launch at {launch:.0} rpm: it must lie above 0 and below the limit of {limit:.0} rpm")]
    Launch {
        /// Launch speed asked for, rpm.
        launch: f64,
        /// Upper limit, rpm.
        limit: f64,
    },
    /// The driver wants to keep the engine above its upper limit.
    #[error(
        "revs kept above {lowest:.0} rpm: that is not below the engine's limit of {limit:.0} rpm"
    )]
    Lowest {
        /// Lowest speed the driver allows, rpm.
        lowest: f64,
        /// Upper limit, rpm.
        limit: f64,
    },
}
