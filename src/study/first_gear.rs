//! What the use of first gear, where nobody says it, changes of the revs at a venue: a lap with it used out of slow
//! corners too may take as long and turn the engine otherwise.

use super::corners::{CornerGear, corner_gears};
use super::run::{Outcome, SpecRun, reading, variant};
use super::setup::Setup;
use super::{Engines, Study};
use crate::car::FirstGear;
use crate::explain::bands::{Band, bands};

/// Width of the bands among which the edge is looked for, rpm.
const BAND_RPM: f64 = 500.0;

/// A lap with first gear used whenever it pays beside the one with first gear for the start only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Otherwise {
    /// Index of the spec: the quickest.
    pub spec: usize,
    /// Corners that would be taken in first.
    pub corners: usize,
    /// The edge of a band below which the seconds of the two differ most, rpm.
    pub below_rpm: f64,
    /// Seconds below it, first gear for the start only, then any time.
    pub seconds: [f64; 2],
}

/// What it changes at a venue for the quickest spec; `None` where no corner would be taken in first.
pub fn otherwise(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    index: usize,
) -> Option<Otherwise> {
    if study.car.gearbox.first_gear != FirstGear::StartOnly {
        return None;
    }
    let (entry, venue) = (&study.entries[index], &outcome.venues[index]);
    let cells = &venue.road.as_ref().ok()?.cells;
    let (spec, _) = *venue.order(SpecRun::time).first()?;
    let mut other = study.clone();
    other.car.gearbox.first_gear = FirstGear::AnyTime;
    let with = variant(&other, engines, entry, spec, Setup::FITTED);
    let in_first = |corner: &&CornerGear| corner.gear == 0;
    let driven = corner_gears(&with, entry, cells).ok()?;
    let corners = driven.iter().filter(in_first).count();
    if corners == 0 {
        return None;
    }
    let now = &venue.specs[spec].as_geared.as_ref().ok()?.spans;
    let then = reading(&with, entry, cells).ok()?.spans;
    let all = [bands(now, BAND_RPM).bands, bands(&then, BAND_RPM).bands];
    let below = |edge: f64| {
        all.each_ref().map(|bands: &Vec<Band>| {
            let under = bands.iter().filter(|band| band.high_rpm <= edge);
            under.map(|band| band.time).sum::<f64>()
        })
    };
    let edges = all.iter().flatten().map(|band| band.high_rpm);
    let apart = |edge: f64| {
        let [now, then] = below(edge);
        (now - then).abs()
    };
    let below_rpm = edges.max_by(|a, b| apart(*a).total_cmp(&apart(*b)))?;
    Some(Otherwise {
        spec,
        corners,
        below_rpm,
        seconds: below(below_rpm),
    })
}

#[cfg(test)]
mod tests {
    use super::super::run;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::venue::{Bend, Place};

    /// Tight corners keep the engine low in second; in first it turns faster there.
    #[test]
    fn revs_of_tight_corners_hang_on_first_gear() {
        let mut slow = entry("tarmac");
        slow.course.places = [false, true]
            .map(|corner| Place {
                name: "lane".into(),
                corner,
                named: false,
            })
            .to_vec();
        for section in &mut slow.course.sections {
            if section.bend != Bend::Straight {
                section.bend = Bend::Radius { curvature: 0.125 };
                section.place = 1;
            }
        }
        let (mut study, engines) = (study(vec![slow]), engines());
        let outcome = run(&study, &engines);
        let found = otherwise(&study, &engines, &outcome, 0).unwrap();
        assert!(found.corners > 0, "{found:?}");
        let [now, then] = found.seconds;
        assert!(then < now, "{found:?}");
        study.car.gearbox.first_gear = FirstGear::AnyTime;
        assert_eq!(otherwise(&study, &engines, &outcome, 0), None);
    }
}
