//! Engine speed along a tape.
//!
//! Inside a record z = v² is linear in distance, so speed is linear in time, and with the gear fixed
//! so is engine speed. What bends it is cut into spans at the bend: the lowest rpm that the driver
//! allows, and, while braking, the speeds at which a lower gear becomes the best one.

use crate::lap::{Phase, Record};

/// What is needed to read engine speed off a tape.
#[derive(Debug, Clone, PartialEq)]
pub struct Revs {
    /// Engine speed per road speed in each gear, rpm per m/s.
    pub rpm_per_speed: Vec<f64>,
    /// Road speed, m/s, up to which each gear is the best one; the top gear has no such end.
    pub best_up_to: Vec<f64>,
    /// The lowest gear used on the move, counted from 0.
    pub lowest_gear: usize,
    /// Launch rpm.
    pub launch_rpm: f64,
    /// The lowest rpm that the driver lets the engine drop to; 0 for none.
    pub lowest_rpm: f64,
}

/// What the engine is used for during a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// Its full force reaches the road: full throttle, the tyres not limiting.
    Full,
    /// In gear or with the clutch slipping, but not with its full force.
    Part,
    /// Changing gear: in no band.
    Shifting,
}

/// A piece of time over which engine speed runs evenly from one value to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Duration, s.
    pub time: f64,
    /// Engine speed at its start, rpm.
    pub from_rpm: f64,
    /// Engine speed at its end, rpm.
    pub to_rpm: f64,
    /// What the engine is used for.
    pub used: Use,
}

impl Span {
    /// Seconds with the engine in [low, high), rpm.
    pub fn time_within(&self, low: f64, high: f64) -> f64 {
        let (a, b) = (
            self.from_rpm.min(self.to_rpm),
            self.from_rpm.max(self.to_rpm),
        );
        if b > a {
            self.time * ((b.min(high) - a.max(low)) / (b - a)).clamp(0.0, 1.0)
        } else if low <= a && a < high {
            self.time
        } else {
            0.0
        }
    }
}

impl Revs {
    /// Engine speed shown at a road speed in m/s, in a gear.
    pub fn rpm(&self, gear: usize, speed: f64) -> f64 {
        (self.rpm_per_speed[gear] * speed).max(self.lowest_rpm)
    }

    /// The best gear at a road speed, m/s.
    pub fn best_gear(&self, speed: f64) -> usize {
        let top = self.rpm_per_speed.len() - 1;
        (self.lowest_gear..top)
            .find(|&k| speed < self.best_up_to[k])
            .unwrap_or(top)
    }

    /// The gear at the end of a record: while braking any lower one is free.
    pub fn gear_behind(&self, record: &Record) -> usize {
        let gear = usize::from(record.gear);
        match record.phase {
            Phase::Line if record.braking => gear.min(self.best_gear(record.z1.sqrt())),
            _ => gear,
        }
    }

    /// Cuts records into spans, in order.
    pub fn spans(&self, records: &[Record]) -> Vec<Span> {
        let mut out = Vec::with_capacity(records.len() + records.len() / 8);
        for record in records {
            self.cut(record, &mut out);
        }
        out
    }

    /// The spans of records whose tyres slip: engine speed is that of the road times `slip`, one value
    /// a record (see [`slip()`](super::slip())), and no higher than the limit, rpm.
    pub fn slipping_spans(&self, records: &[Record], slip: &[f64], limit_rpm: f64) -> Vec<Span> {
        let mut out = Vec::with_capacity(records.len() + records.len() / 8);
        for (record, slip) in records.iter().zip(slip) {
            let first = out.len();
            self.cut(record, &mut out);
            for span in &mut out[first..] {
                let turns = |rpm: f64| (rpm * slip).min(limit_rpm.max(rpm));
                (span.from_rpm, span.to_rpm) = (turns(span.from_rpm), turns(span.to_rpm));
            }
        }
        out
    }

    fn cut(&self, record: &Record, out: &mut Vec<Span>) {
        let (v0, v1) = (record.z0.sqrt(), record.z1.sqrt());
        let gear = usize::from(record.gear);
        let used = match record.phase {
            Phase::Drive if !record.traction => Use::Full,
            Phase::Shift => Use::Shifting,
            _ => Use::Part,
        };
        match record.phase {
            // The engine turns at its own speed while the clutch slips.
            Phase::Launch | Phase::Held => {
                let held = if record.phase == Phase::Launch {
                    self.launch_rpm
                } else {
                    self.lowest_rpm
                };
                out.push(Span {
                    time: record.time,
                    from_rpm: held,
                    to_rpm: held,
                    used,
                });
            }
            Phase::Line if record.braking => self.cut_braking(record.time, v0, v1, gear, out),
            Phase::Drive | Phase::Limiter | Phase::Shift | Phase::Line => {
                self.cut_in_gear(
                    Piece {
                        time: record.time,
                        v0,
                        v1,
                        gear,
                        used,
                        driven: record.phase == Phase::Drive,
                    },
                    out,
                );
            }
        }
    }

    /// While braking any lower gear is free: the driver is in the best one, never higher than he was.
    fn cut_braking(&self, time: f64, v0: f64, v1: f64, gear: usize, out: &mut Vec<Span>) {
        let mut cuts = vec![v0];
        let (low, high) = (v0.min(v1), v0.max(v1));
        let top = self.rpm_per_speed.len() - 1;
        let mut ends: Vec<f64> = (self.lowest_gear..top)
            .map(|k| self.best_up_to[k])
            .filter(|&v| low < v && v < high)
            .collect();
        ends.sort_by(f64::total_cmp);
        if v1 < v0 {
            ends.reverse();
        }
        cuts.append(&mut ends);
        cuts.push(v1);
        for pair in cuts.windows(2) {
            let share = if v1 == v0 {
                1.0
            } else {
                (pair[1] - pair[0]) / (v1 - v0)
            };
            let gear = gear.min(self.best_gear(0.5 * (pair[0] + pair[1])));
            self.cut_in_gear(
                Piece {
                    time: time * share,
                    v0: pair[0],
                    v1: pair[1],
                    gear,
                    used: Use::Part,
                    driven: false,
                },
                out,
            );
        }
    }

    /// One gear, cut where the road's rpm meets the lowest the driver allows. Under power in a high
    /// gear the engine does drop lower: there the driver has no clutch to slip.
    fn cut_in_gear(&self, piece: Piece, out: &mut Vec<Span>) {
        let per_speed = self.rpm_per_speed[piece.gear];
        let (n0, n1) = (per_speed * piece.v0, per_speed * piece.v1);
        let floor = if piece.driven { 0.0 } else { self.lowest_rpm };
        let span = |time, from: f64, to: f64| Span {
            time,
            from_rpm: from.max(floor),
            to_rpm: to.max(floor),
            used: piece.used,
        };
        if (n0 - floor) * (n1 - floor) < 0.0 {
            let share = (floor - n0) / (n1 - n0);
            out.push(span(piece.time * share, n0, floor));
            out.push(span(piece.time * (1.0 - share), floor, n1));
        } else {
            out.push(span(piece.time, n0, n1));
        }
    }
}

struct Piece {
    time: f64,
    v0: f64,
    v1: f64,
    gear: usize,
    used: Use,
    driven: bool,
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub fn revs() -> Revs {
        Revs {
            rpm_per_speed: vec![400.0, 250.0, 150.0],
            best_up_to: vec![17.0, 28.0, f64::INFINITY],
            lowest_gear: 1,
            launch_rpm: 4500.0,
            lowest_rpm: 3000.0,
        }
    }

    /// A record at constant acceleration from v0 to v1.
    pub fn record(phase: Phase, gear: u8, v0: f64, v1: f64, time: f64) -> Record {
        Record {
            cell: 0,
            z0: v0 * v0,
            z1: v1 * v1,
            length: 0.5 * (v0 + v1) * time,
            time,
            gear,
            phase,
            traction: false,
            braking: false,
        }
    }

    #[test]
    fn spans_keep_the_time() {
        let mut braking = record(Phase::Line, 2, 45.0, 8.0, 4.0);
        braking.braking = true;
        let records = [
            record(Phase::Launch, 0, 0.0, 9.0, 1.5),
            record(Phase::Drive, 0, 9.0, 17.0, 2.0),
            record(Phase::Shift, 1, 17.0, 16.9, 0.35),
            braking,
            record(Phase::Held, 1, 8.0, 12.0, 1.0),
        ];
        let spans = revs().spans(&records);
        let sum: f64 = spans.iter().map(|s| s.time).sum();
        approx::assert_relative_eq!(sum, 8.85, max_relative = 1e-14);
    }

    #[test]
    fn braking_is_in_the_best_gear_but_never_a_higher_one() {
        let mut braking = record(Phase::Line, 2, 40.0, 20.0, 2.0);
        braking.braking = true;
        let spans = revs().spans(&[braking]);
        // Third down to 28 m/s (12 of 20 m/s, 1.2 s), then second from 28·250 = 7000 rpm.
        assert_eq!(spans.len(), 2);
        approx::assert_relative_eq!(spans[0].time, 1.2, max_relative = 1e-12);
        approx::assert_relative_eq!(spans[0].to_rpm, 4200.0);
        approx::assert_relative_eq!(spans[1].from_rpm, 7000.0);
        approx::assert_relative_eq!(spans[1].to_rpm, 5000.0);
        assert_eq!(revs().gear_behind(&braking), 1);
        braking.braking = false;
        assert_eq!(revs().gear_behind(&braking), 2, "held at part throttle");
        let mut already_low = record(Phase::Line, 1, 30.0, 26.0, 0.5);
        already_low.braking = true;
        for span in revs().spans(&[already_low]) {
            assert!(span.from_rpm > 6400.0, "still in second: {span:?}");
        }
    }

    #[test]
    fn the_lowest_rpm_holds_at_part_throttle_but_not_under_power_in_a_high_gear() {
        let coast = revs().spans(&[record(Phase::Line, 1, 10.0, 14.0, 1.0)]);
        assert_eq!(coast.len(), 2);
        approx::assert_relative_eq!(coast[0].time, 0.5);
        approx::assert_relative_eq!(coast[0].from_rpm, 3000.0);
        approx::assert_relative_eq!(coast[1].to_rpm, 3500.0);
        let pull = revs().spans(&[record(Phase::Drive, 2, 18.0, 22.0, 1.0)]);
        approx::assert_relative_eq!(pull[0].from_rpm, 2700.0);
        let mut sliding = record(Phase::Drive, 2, 18.0, 22.0, 1.0);
        sliding.traction = true;
        approx::assert_relative_eq!(revs().spans(&[sliding])[0].from_rpm, 2700.0);
    }

    #[test]
    fn time_within_splits_at_the_edge() {
        let span = Span {
            time: 2.0,
            from_rpm: 6000.0,
            to_rpm: 5000.0,
            used: Use::Full,
        };
        approx::assert_relative_eq!(span.time_within(5000.0, 5500.0), 1.0);
        approx::assert_relative_eq!(span.time_within(5750.0, 9000.0), 0.5);
        assert_eq!(span.time_within(6000.0, 7000.0), 0.0);
        let still = Span {
            to_rpm: 6000.0,
            ..span
        };
        assert_eq!(still.time_within(6000.0, 6500.0), 2.0);
        assert_eq!(still.time_within(5500.0, 6000.0), 0.0);
    }
}
