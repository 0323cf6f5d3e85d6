//! The keys of a track.

use std::collections::BTreeMap;

use schemars::JsonSchema;

use super::{PlainOr, Scalar, words, yes_no};

words! {
    kinds: "stage", "circuit", "hillclimb", "sprint";
    finishes: "flying", "standing";
    sides: "left", "right", "l", "r";
    scalings: "grip", "driver";
    trips: "km", "m", "mi";
    signs: "left positive", "right positive", "left", "right";
}

/// A driver's own scale: a speed each, `flat`, or speed and angle.
pub type Grades = BTreeMap<String, PlainOr<Grade>>;
/// States of a venue with their chances.
pub type Conditions = BTreeMap<String, PlainOr<Condition>>;

/// One venue: its road from pieces, notes, a sketch, a path or a logged run.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Track {
    /// Name for people.
    pub name: Scalar,
    /// The kind of event.
    #[schemars(schema_with = "kinds")]
    pub kind: Scalar,
    /// `standing`, `flying` (circuits), or the speed over the line.
    pub start: Option<Scalar>,
    /// Over the line at speed, or standing in a box.
    #[serde(default)]
    #[schemars(schema_with = "finishes")]
    pub finish: Option<Scalar>,
    /// As the car's grip names it; `damp` or `wet` may stand before it.
    pub surface: Option<Scalar>,
    /// Surfaces of your own, over the grip on known ones.
    pub surfaces: Option<BTreeMap<String, Surface>>,
    /// The air over the venue.
    pub air: Option<Air>,
    /// A time done here; gives the driver's share of the limit.
    pub known: Option<Known>,
    /// Chances of dry, damp and wet.
    pub conditions: Option<Conditions>,
    /// The driver's scale of grades here.
    pub grades: Option<Grades>,
    /// The road, piece by piece.
    pub pieces: Option<Vec<Piece>>,
    /// The road, as a line on a map or a recording.
    pub path: Option<PlainOr<Path>>,
    /// The road, from a logged run.
    pub log: Option<PlainOr<Log>>,
    /// The road, as notes: `100 HpL 60 3R`.
    pub notes: Option<PlainOr<Notes>>,
    /// The road, as counts that are shuffled into many.
    pub sketch: Option<Sketch>,
    /// Length of the road, of one lap, by the organiser: the road as read is compared with it.
    pub length: Option<Scalar>,
    /// What is said by distance along the road.
    pub along: Option<Vec<Along>>,
}

/// A grade: its speed, and how far such a corner turns.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Grade {
    /// Speed at the apex, as in `66 km/h`, or `flat`.
    pub apex: Scalar,
    /// Turned angle, as in `55 deg`.
    pub turn: Option<Scalar>,
}

/// A state of a venue.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// Its chance, as in `40 %`.
    pub chance: Scalar,
    /// Its grip over that in the dry.
    pub factor: Option<f64>,
}

/// A surface.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Surface {
    /// The surface whose grip the car states.
    pub like: String,
    /// Grip over that one's.
    pub factor: f64,
    /// Rolling resistance over weight.
    pub rolling: Option<f64>,
}

/// The air, outright or from the elevation.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Air {
    /// As in `310 m`.
    pub elevation: Option<Scalar>,
    /// As in `11 C`.
    pub temperature: Option<Scalar>,
    /// Relative, as in `80 %`.
    pub humidity: Option<Scalar>,
    /// As in `975 hPa`.
    pub pressure: Option<Scalar>,
    /// As in `1.18 kg/m3`.
    pub density: Option<Scalar>,
}

/// A time done.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Known {
    /// The time, in quotes where it has minutes, as in `"4:41.0"`.
    pub time: Scalar,
    /// The spec that was fitted.
    pub spec: Option<Scalar>,
    /// The state of the venue then.
    pub conditions: Option<Scalar>,
}

/// A piece of road: one of these.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
#[schemars(extend("minProperties" = 1, "maxProperties" = 1))]
pub struct Piece {
    /// A straight: its length, or more.
    pub straight: Option<PlainOr<Straight>>,
    /// A corner by radius, apex speed or grade.
    pub corner: Option<Corner>,
    /// A right angle: the side, or more.
    pub square: Option<PlainOr<Graded>>,
    /// A hairpin: the side, or more.
    pub hairpin: Option<PlainOr<Graded>>,
    /// Pieces that come several times.
    pub repeat: Option<Repeat>,
}

/// A straight.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Straight {
    /// As in `140 m`.
    pub length: Scalar,
    /// Name for people.
    pub name: Option<Scalar>,
    /// Rising positive, as in `-4 %`.
    pub slope: Option<Scalar>,
    /// Its surface, where that is another.
    pub surface: Option<Scalar>,
    /// Highest speed along it, as in `50 km/h`.
    pub cap: Option<Scalar>,
    /// Highest speed over a crest in its middle.
    pub crest: Option<Scalar>,
    /// The sector that begins here.
    pub sector: Option<Scalar>,
}

/// A corner.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Of the driven line, as in `45 m`.
    pub radius: Option<Scalar>,
    /// Turned angle, as in `70 deg`.
    pub turn: Option<Scalar>,
    /// Which way.
    #[serde(default)]
    #[schemars(schema_with = "sides")]
    pub direction: Option<Scalar>,
    /// In place of the angle, as in `30 m`.
    pub length: Option<Scalar>,
    /// Speed measured at the apex, as in `62 km/h`.
    pub apex: Option<Scalar>,
    /// Whether that speed goes with the tyres' grip or is the driver's.
    #[serde(default)]
    #[schemars(schema_with = "scalings")]
    pub scales: Option<Scalar>,
    /// A grade of the driver's scale.
    pub grade: Option<Scalar>,
    /// Radius at the exit over that at the entry.
    pub opens: Option<f64>,
    /// Name for people.
    pub name: Option<Scalar>,
    /// Rising positive, as in `-4 %`.
    pub slope: Option<Scalar>,
    /// Its surface, where that is another.
    pub surface: Option<Scalar>,
    /// Highest speed along it, as in `50 km/h`.
    pub cap: Option<Scalar>,
    /// Highest speed over a crest in its middle.
    pub crest: Option<Scalar>,
    /// The sector that begins here.
    pub sector: Option<Scalar>,
}

/// A square or a hairpin with more said of it.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Graded {
    /// Which way.
    #[serde(default)]
    #[schemars(schema_with = "sides")]
    pub direction: Option<Scalar>,
    /// Of the driven line, in place of the scale's speed.
    pub radius: Option<Scalar>,
    /// Turned angle, as in `95 deg`.
    pub turn: Option<Scalar>,
    /// In place of the angle, as in `20 m`.
    pub length: Option<Scalar>,
    /// Radius at the exit over that at the entry.
    pub opens: Option<f64>,
    /// Name for people.
    pub name: Option<Scalar>,
    /// Rising positive, as in `-4 %`.
    pub slope: Option<Scalar>,
    /// Its surface, where that is another.
    pub surface: Option<Scalar>,
    /// Highest speed along it, as in `50 km/h`.
    pub cap: Option<Scalar>,
    /// Highest speed over a crest in its middle.
    pub crest: Option<Scalar>,
    /// The sector that begins here.
    pub sector: Option<Scalar>,
}

/// Pieces that come several times.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Repeat {
    /// How often.
    pub times: u32,
    /// The pieces.
    pub pieces: Vec<Piece>,
}

/// A line on a map or a recording.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Path {
    /// GPX, GeoJSON or a table, from this file.
    pub file: String,
    /// Name or number of a line in the file.
    pub line: Option<Scalar>,
    /// Driven the other way.
    #[serde(default)]
    #[schemars(schema_with = "yes_no")]
    pub reverse: Option<Scalar>,
    /// Number of a lap, or `fastest`.
    pub lap: Option<Scalar>,
    /// Where the run begins: a distance, a position, or a time of the recording, as in `10:42:15` or `83 s`.
    pub from: Option<PlainOr<Place>>,
    /// Where it ends.
    pub to: Option<PlainOr<Place>>,
    /// Length over which the path is smoothed, as in `20 m`.
    pub smoothing: Option<Scalar>,
    /// Radii of the driven line over those of the path.
    pub line_allowance: Option<f64>,
}

/// A position.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Latitude, degrees.
    pub lat: Option<f64>,
    /// Longitude, degrees.
    pub lon: Option<f64>,
    /// Metres east.
    pub x: Option<Scalar>,
    /// Metres north.
    pub y: Option<Scalar>,
}

/// A logged run.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Log {
    /// The table, from this file.
    pub file: String,
    /// Which sheet of a workbook.
    pub sheet: Option<String>,
    /// Number of a lap, or `fastest`.
    pub lap: Option<Scalar>,
    /// Where the run begins: a distance, a position, or a time of the recording, as in `10:42:15` or `83 s`.
    pub from: Option<PlainOr<Place>>,
    /// Where it ends.
    pub to: Option<PlainOr<Place>>,
    /// Length over which the path is smoothed, as in `20 m`.
    pub smoothing: Option<Scalar>,
    /// Sign of lateral acceleration in the log.
    #[serde(default)]
    #[schemars(schema_with = "signs")]
    pub lateral: Option<Scalar>,
}

/// Notes with what holds for all of them.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Notes {
    /// The notes, as in `100 HpL 60 3R`.
    pub text: String,
    /// The numbers are readings of the trip meter in this unit, each where the corner after it begins.
    #[serde(default)]
    #[schemars(schema_with = "trips")]
    pub trip: Option<Scalar>,
    /// Speed over crests, as in `90 km/h`.
    pub crest: Option<Scalar>,
    /// Rising positive, as in `2 %`.
    pub slope: Option<Scalar>,
}

/// A road by its counts.
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Sketch {
    /// As in `5.4 km`.
    pub length: Scalar,
    /// Hairpins.
    pub hairpins: Option<u32>,
    /// Right angles.
    pub squares: Option<u32>,
    /// Corners by grade, as in `{3: 12}`.
    pub corners: Option<BTreeMap<String, u32>>,
    /// Corners by the gear they are taken in, as in `{2: 8}`.
    pub gears: Option<BTreeMap<String, u32>>,
    /// As in `300 m`.
    pub longest_straight: Option<Scalar>,
    /// From start to finish, rising positive.
    pub slope: Option<Scalar>,
    /// Up and down on the way, as in `3 %`.
    pub rolling: Option<Scalar>,
}

/// What is said of a stretch (`from`, `to`) or of a place (`at`).
#[derive(Debug, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(deny_unknown_fields)]
pub struct Along {
    /// Where the stretch begins, as in `1.2 km`.
    pub from: Option<Scalar>,
    /// Where it ends.
    pub to: Option<Scalar>,
    /// Where the place is.
    pub at: Option<Scalar>,
    /// Surface of the stretch.
    pub surface: Option<Scalar>,
    /// Highest speed along it, as in `50 km/h`.
    pub cap: Option<Scalar>,
    /// Rising positive, as in `-4 %`.
    pub slope: Option<Scalar>,
    /// Radii of the driven line over those of the path.
    pub line_allowance: Option<f64>,
    /// Highest speed over a crest at the place.
    pub crest: Option<Scalar>,
    /// Name for people.
    pub name: Option<Scalar>,
    /// The sector that begins at the place.
    pub sector: Option<Scalar>,
}
