//! Speed and engine speed along the road, for drawing.

use super::revs::Revs;
use crate::lap::{Cells, Phase, Record};

/// A point of a lap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Metres along the road.
    pub distance: f64,
    /// Speed, m/s.
    pub speed: f64,
    /// Engine speed in the gear that is in, rpm, not below what the driver holds.
    pub rpm: f64,
    /// Gear, counted from 0.
    pub gear: usize,
}

/// The ends of the records of a lap in the order of the road, no closer than `spacing` m but where
/// the gear changes.
pub fn trace(records: &[Record], revs: &Revs, cells: &Cells, spacing: f64) -> Vec<Step> {
    let length = cells.length();
    let mut distance = records
        .first()
        .map_or(0.0, |record| cells.stations[record.cell as usize]);
    let mut points: Vec<Step> = Vec::new();
    for record in records {
        distance += record.length;
        let gear = revs.gear_behind(record);
        let speed = record.z1.sqrt();
        let floor = match record.phase {
            Phase::Launch => revs.launch_rpm,
            Phase::Held | Phase::Line => revs.lowest_rpm,
            _ => 0.0,
        };
        let point = Step {
            distance: if distance > length + 1e-6 {
                distance - length
            } else {
                distance
            },
            speed,
            rpm: (revs.rpm_per_speed[gear] * speed).max(floor),
            gear,
        };
        let near = points.last().is_some_and(|last| {
            last.gear == gear && (point.distance - last.distance).abs() < spacing
        });
        if !near {
            points.push(point);
        }
    }
    points.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    points
}
