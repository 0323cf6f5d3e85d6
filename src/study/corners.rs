//! Which gear each corner is taken in.

use super::Entry;
use super::driving::Driving;
use super::reading::revs;
use crate::lap::{Cells, LapError, Variant};
use crate::schedule::Choice;

/// A corner as it is driven.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerGear {
    /// Name of the corner.
    pub name: String,
    /// Gear where it is slowest, counted from 0.
    pub gear: usize,
    /// Speed there, m/s.
    pub speed: f64,
}

/// The corners of an event in driving order, each with the gear at its slowest point.
///
/// # Errors
/// Why the lap cannot be driven.
pub fn corner_gears(
    variant: &Variant,
    entry: &Entry,
    cells: &Cells,
) -> Result<Vec<CornerGear>, LapError> {
    let driving = Driving::of(variant, entry, cells, Choice::AsDriven)?;
    let revs = revs(&driving.machine);
    let course = &entry.course;
    let mut corners: Vec<(usize, CornerGear)> = Vec::new();
    for record in &driving.tape.records {
        let section = cells.cells[record.cell as usize].section as usize;
        let place = course.sections[section].place;
        if !course.places.get(place).is_some_and(|p| p.corner) {
            continue;
        }
        let speed = record.z0.min(record.z1).sqrt();
        let gear = usize::from(record.gear);
        let here = CornerGear {
            name: course.places[place].name.clone(),
            // Brakes on, the driver is already in the gear he leaves the corner in.
            gear: if record.braking {
                gear.min(revs.best_gear(speed))
            } else {
                gear
            },
            speed,
        };
        match corners.last_mut() {
            Some((last, slowest)) if *last == place => {
                if speed < slowest.speed {
                    *slowest = here;
                }
            }
            _ => corners.push((place, here)),
        }
    }
    Ok(corners.into_iter().map(|(_, corner)| corner).collect())
}

#[cfg(test)]
mod tests {
    use super::super::run::{cells, variant};
    use super::super::setup::Setup;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::venue::{Bend, Place};

    /// The test road's corners have radii of 14, 40 and 12 m: a faster corner is never taken in a
    /// lower gear.
    #[test]
    fn faster_corners_are_not_taken_in_lower_gears() {
        let mut study = study(vec![entry("tarmac")]);
        let course = &mut study.entries[0].course;
        course.places = Vec::new();
        for section in &mut course.sections {
            section.place = course.places.len();
            course.places.push(Place {
                name: format!("place {}", section.place),
                corner: section.bend != Bend::Straight,
                named: true,
            });
        }
        let engines = engines();
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let variant = variant(&study, &engines, entry, 0, Setup::FITTED);
        let found = corner_gears(&variant, entry, &cells).unwrap();
        assert_eq!(found.len(), 3);
        let (slow, fast) = (&found[2], &found[1]);
        assert!(slow.speed < found[0].speed && found[0].speed < fast.speed);
        assert!(slow.gear <= found[0].gear && found[0].gear <= fast.gear);
        assert!(slow.gear >= 1, "first is for the start only");
    }
}
