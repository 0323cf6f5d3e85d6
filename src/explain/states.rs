//! Seconds by state, gear changes, corner exits and lowest revs.

use super::revs::Revs;
use crate::lap::{Phase, Record};

/// Share of the limit's z above which a tyre-limited car counts as cornering.
const CORNERING_FROM: f64 = 0.9;

/// Seconds by what the car and driver are doing; they add up to the lap.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct States {
    /// The clutch slips: from rest at launch rpm, or with the revs held out of a slow corner.
    pub clutch: f64,
    /// The engine's full force reaches the road.
    pub engine: f64,
    /// Full throttle would spin the wheels, away from the corner's limit.
    pub traction: f64,
    /// Part throttle at the limit of the road, or tyre-limited near it.
    pub cornering: f64,
    /// On the brakes.
    pub braking: f64,
    /// Changing gear.
    pub shifting: f64,
    /// On the rev limiter.
    pub limiter: f64,
    /// Gear changes made.
    pub shifts: u32,
}

impl States {
    /// Seconds in all states.
    pub fn time(&self) -> f64 {
        self.clutch
            + self.engine
            + self.traction
            + self.cornering
            + self.braking
            + self.shifting
            + self.limiter
    }
}

/// Reads the states; `limit_z` is the square of the speed the road and the driver allow, per cell,
/// infinite where there is none.
pub fn states(records: &[Record], limit_z: &[f64]) -> States {
    let mut out = States::default();
    let mut gear = None;
    for record in records {
        let time = record.time;
        match record.phase {
            Phase::Launch | Phase::Held => out.clutch += time,
            Phase::Drive if record.traction => {
                let limit = limit_z
                    .get(record.cell as usize)
                    .copied()
                    .unwrap_or(f64::INFINITY);
                let near = share_above(record, CORNERING_FROM * limit);
                out.cornering += time * near;
                out.traction += time * (1.0 - near);
            }
            Phase::Drive => out.engine += time,
            Phase::Shift => out.shifting += time,
            Phase::Limiter => out.limiter += time,
            Phase::Line if record.braking => out.braking += time,
            Phase::Line => out.cornering += time,
        }
        // A change that braking interrupts and that goes on afterwards is one change.
        if record.phase == Phase::Shift && gear != Some(record.gear) {
            out.shifts += 1;
        }
        if record.phase != Phase::Line {
            gear = Some(record.gear);
        }
    }
    out
}

/// Share of a record's time above a z; speed is linear in time.
fn share_above(record: &Record, z: f64) -> f64 {
    if z.is_infinite() {
        return 0.0;
    }
    let (low, high) = (
        record.z0.min(record.z1).sqrt(),
        record.z0.max(record.z1).sqrt(),
    );
    let edge = z.sqrt();
    if high > low {
        ((high - edge) / (high - low)).clamp(0.0, 1.0)
    } else if low >= edge {
        1.0
    } else {
        0.0
    }
}

/// Where a stretch of acceleration begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exit {
    /// Index of the record.
    pub record: usize,
    /// Cell.
    pub cell: u32,
    /// Speed, m/s.
    pub speed: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// Engine speed, rpm.
    pub rpm: f64,
    /// The clutch slips there.
    pub clutch: bool,
}

/// The first full throttle after each braking, and the start of a lap that begins with one.
pub fn exits(records: &[Record], revs: &Revs) -> Vec<Exit> {
    let mut out = Vec::new();
    let mut open = true;
    for (index, record) in records.iter().enumerate() {
        match record.phase {
            Phase::Line if record.braking => open = true,
            Phase::Drive | Phase::Launch | Phase::Held if open => {
                let gear = usize::from(record.gear);
                let speed = record.z0.sqrt();
                let clutch = record.phase != Phase::Drive;
                out.push(Exit {
                    record: index,
                    cell: record.cell,
                    speed,
                    gear,
                    rpm: engine_rpm(record, revs, speed),
                    clutch,
                });
                open = false;
            }
            _ => {}
        }
    }
    out
}

fn engine_rpm(record: &Record, revs: &Revs, speed: f64) -> f64 {
    match record.phase {
        Phase::Launch => revs.launch_rpm,
        Phase::Held => revs.lowest_rpm,
        _ => revs.rpm_per_speed[usize::from(record.gear)] * speed,
    }
}

/// The lowest revs from which the engine has to pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowest {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// Cell.
    pub cell: u32,
    /// Speed, m/s.
    pub speed: f64,
    /// The driver holds the revs there with the clutch.
    pub held: bool,
}

/// The lowest revs under full throttle; the slowest such place where revs are held. The launch does
/// not count.
///
/// # None
/// The lap has no full throttle.
pub fn lowest(records: &[Record], revs: &Revs) -> Option<Lowest> {
    records
        .iter()
        .filter(|r| matches!(r.phase, Phase::Drive | Phase::Held))
        .map(|record| {
            let speed = record.z0.min(record.z1).sqrt();
            Lowest {
                rpm: engine_rpm(record, revs, speed),
                gear: usize::from(record.gear),
                cell: record.cell,
                speed,
                held: record.phase == Phase::Held,
            }
        })
        .min_by(|a, b| a.rpm.total_cmp(&b.rpm).then(a.speed.total_cmp(&b.speed)))
}

#[cfg(test)]
mod tests {
    use super::super::revs::tests::{record, revs};
    use super::*;

    #[test]
    fn states_add_up_and_shifts_are_counted_once() {
        let mut braking = record(Phase::Line, 1, 26.0, 20.0, 1.0);
        braking.braking = true;
        let records = [
            record(Phase::Launch, 0, 0.0, 9.0, 1.5),
            record(Phase::Drive, 0, 9.0, 17.0, 2.0),
            record(Phase::Shift, 1, 17.0, 16.95, 0.2),
            record(Phase::Shift, 1, 16.95, 16.9, 0.15),
            record(Phase::Drive, 1, 16.9, 26.0, 3.0),
            record(Phase::Shift, 2, 26.0, 25.9, 0.1),
            braking,
            record(Phase::Shift, 2, 20.0, 19.9, 0.25),
            record(Phase::Line, 2, 19.9, 19.9, 0.5),
            record(Phase::Limiter, 2, 45.0, 45.0, 0.4),
        ];
        let states = states(&records, &[f64::INFINITY]);
        let time: f64 = records.iter().map(|r| r.time).sum();
        approx::assert_relative_eq!(states.time(), time, max_relative = 1e-14);
        assert_eq!(states.shifts, 2);
        approx::assert_relative_eq!(states.cornering, 0.5);
        approx::assert_relative_eq!(states.limiter, 0.4);
        approx::assert_relative_eq!(states.clutch, 1.5);
    }

    #[test]
    fn tyre_limited_near_the_road_limit_is_cornering() {
        let mut sliding = record(Phase::Drive, 1, 18.0, 20.0, 1.0);
        sliding.traction = true;
        // z above 0.9 · 400 is speed above 18.974: 0.513 of the way.
        let states = states(&[sliding], &[400.0]);
        approx::assert_relative_eq!(
            states.cornering,
            (20.0 - 360f64.sqrt()) / 2.0,
            epsilon = 1e-12
        );
        approx::assert_relative_eq!(states.cornering + states.traction, 1.0, epsilon = 1e-12);
    }

    #[test]
    fn an_exit_follows_each_braking() {
        let mut braking = record(Phase::Line, 1, 26.0, 10.0, 1.0);
        braking.braking = true;
        let records = [
            record(Phase::Launch, 0, 0.0, 9.0, 1.5),
            record(Phase::Drive, 0, 9.0, 17.0, 2.0),
            braking,
            record(Phase::Line, 1, 10.0, 10.0, 1.0),
            record(Phase::Held, 1, 10.0, 12.0, 0.5),
            record(Phase::Drive, 1, 12.0, 20.0, 0.5),
        ];
        let exits = exits(&records, &revs());
        assert_eq!(exits.len(), 2);
        assert!(exits[0].clutch && exits[0].rpm == 4500.0);
        assert!(exits[1].clutch && exits[1].rpm == 3000.0 && exits[1].gear == 1);
        let lowest = lowest(&records, &revs()).unwrap();
        assert!(lowest.held && lowest.rpm == 3000.0);
        approx::assert_relative_eq!(lowest.speed, 10.0);
    }
}
