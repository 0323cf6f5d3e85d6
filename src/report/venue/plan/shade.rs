//! What the colour of the road says: how tight it is, or how fast a car goes.

use super::super::{Sheet, kmh};
use super::ground::{bounds, lateral};
use crate::report::format::decimal;
use crate::venue::{Section, plan};

/// Radius that is drawn as the tightest and as straight, m.
const RADII: (f64, f64) = (10.0, 250.0);
/// From dark where the road is tight or the car slow to light where it is not: read in grey as in
/// colour, and by colour-blind readers.
const RAMP: [(u8, u8, u8); 5] = [
    (38, 12, 74),
    (120, 28, 109),
    (187, 55, 84),
    (226, 106, 55),
    (238, 165, 62),
];
/// Shades that the ramp is drawn in.
pub const SHADES: f64 = 24.0;

/// What the colour says.
pub enum Shade<'a> {
    /// Radius by distance of the end of each section, m.
    Radius(Vec<(f64, f64)>),
    /// Speed by distance, with the slowest and the fastest, m/s.
    Speed(&'a [(f64, f64)], f64, f64),
}

impl<'a> Shade<'a> {
    pub fn of(sheet: &'a Sheet) -> Self {
        if let Some(driven) = &sheet.driven {
            let (low, high) = bounds(driven.speeds.iter().map(|s| s.1));
            return Self::Speed(&driven.speeds, low, high);
        }
        let lateral = lateral(sheet.course);
        let mut at = 0.0;
        let by_end = sheet.course.sections.iter().map(|section: &Section| {
            at += plan::length(section, lateral);
            (at, 1.0 / plan::tightness(section, lateral).max(1e-9))
        });
        Self::Radius(by_end.collect())
    }

    /// 0 for tight or slow to 1 for straight or fast.
    pub fn at(&self, distance: f64) -> f64 {
        let found = |list: &[(f64, f64)]| {
            let i = list.partition_point(|(end, _)| *end < distance);
            list.get(i).or(list.last()).map_or(0.0, |(_, value)| *value)
        };
        match self {
            Self::Radius(by_end) => {
                let radius = found(by_end).clamp(RADII.0, RADII.1);
                (radius / RADII.0).ln() / (RADII.1 / RADII.0).ln()
            }
            Self::Speed(speeds, low, high) => {
                ((found(speeds) - low) / (high - low).max(0.1)).clamp(0.0, 1.0)
            }
        }
    }

    /// What the dark and the light end mean.
    pub fn labels(&self) -> (String, String) {
        match self {
            Self::Radius(_) => (
                format!("radius {:.0} m and less", RADII.0),
                format!("{:.0} m to straight", RADII.1),
            ),
            Self::Speed(_, low, high) => (
                format!("{} km/h", decimal(kmh(*low), 0)),
                format!("{} km/h", decimal(kmh(*high), 0)),
            ),
        }
    }
}

/// The colour of a share.
pub fn colour(share: f64) -> String {
    let place = share.clamp(0.0, 1.0) * (RAMP.len() - 1) as f64;
    let i = (place as usize).min(RAMP.len() - 2);
    let part = place - i as f64;
    let mix = |a: u8, b: u8| (f64::from(a) + part * (f64::from(b) - f64::from(a))).round() as u8;
    let (a, b) = (RAMP[i], RAMP[i + 1]);
    format!(
        "#{:02x}{:02x}{:02x}",
        mix(a.0, b.0),
        mix(a.1, b.1),
        mix(a.2, b.2)
    )
}
