//! Parts of a recording by its clock: from half past ten on, or between two of its seconds.

use std::ops::{Range, RangeInclusive};

use crate::files::finding::{Finding, Severity, quoted};
use crate::files::yaml::Item;
use crate::units::{self, Fault, LENGTH, TIME};

use super::path::said;

const DAY: f64 = 86_400.0;
/// A clock that begins later than this, s, is that of a day; below it, it was started for the run.
const OF_A_DAY: f64 = 3600.0;
/// Clocks of the world are ahead of UTC or behind it by so many hours.
const ZONES: RangeInclusive<i32> = -12..=14;

/// A moment as somebody wrote it.
#[derive(Debug, Clone, PartialEq)]
struct Moment {
    text: String,
    read: Read,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Read {
    /// Seconds of the recording's own clock, or since its first row.
    Seconds(f64),
    /// The time of day, s since midnight; hours and minutes may be minutes and seconds too.
    Clock(f64, Option<f64>),
}

/// The part of a recording that a track names by times.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Moments {
    from: Option<Moment>,
    to: Option<Moment>,
}

/// Why a recording has no such part.
#[derive(Debug, PartialEq)]
struct Missed {
    key: &'static str,
    text: String,
    remedy: String,
}

impl Moments {
    /// Takes what `key` says where it is a time; `false` where it is not, and is to be read as a place.
    pub fn takes(&mut self, key: &str, item: &Item) -> bool {
        let moment = item.word().and_then(moment);
        let taken = moment.is_some();
        let place = match key {
            "from" => &mut self.from,
            _ => &mut self.to,
        };
        *place = moment.or(place.take());
        taken
    }

    /// Whether they say where the part ends.
    pub fn end(&self) -> bool {
        self.to.is_some()
    }

    /// The rows of these times, s; all of them where no time was written. What is wrong is told where it stands in
    /// `item`, the path or the log of a track.
    pub fn rows(&self, item: &Item, times: &[Option<f64>]) -> Option<Range<usize>> {
        match self.part(times) {
            Ok(rows) => Some(rows),
            Err(Missed { key, text, remedy }) => {
                let finding: Finding = said(item, key).finding(Severity::Error, text);
                item.push(finding.remedy(remedy));
                None
            }
        }
    }

    fn part(&self, times: &[Option<f64>]) -> Result<Range<usize>, Missed> {
        let mut rows = 0..times.len();
        if self.from.is_none() && self.to.is_none() {
            return Ok(rows);
        }
        let known = || times.iter().copied().flatten();
        let Some(clock) = known().next().zip(known().last()) else {
            let key = if self.from.is_some() { "from" } else { "to" };
            return Err(Missed {
                key,
                text: "this recording has no times".to_owned(),
                remedy: "write a distance along it, as in `1.2 km`, or a position".to_owned(),
            });
        };
        let reading = self.reading(clock);
        let at = |key, moment: &Option<Moment>| match moment {
            Some(moment) => moment
                .of(reading, clock)
                .map(Some)
                .ok_or_else(|| self.missed(key, moment, clock)),
            None => Ok(None),
        };
        let (from, to) = (at("from", &self.from)?, at("to", &self.to)?);
        if let Some((from, to)) = from.zip(to).filter(|(from, to)| from >= to) {
            return Err(Missed {
                key: "to",
                text: format!(
                    "the part begins at {} and ends at {}",
                    shown(from, clock.0),
                    shown(to, clock.0)
                ),
                remedy: "`from` is the earlier of the two".to_owned(),
            });
        }
        if let Some(from) = from {
            rows.start = times
                .iter()
                .position(|t| t.is_some_and(|t| t >= from))
                .unwrap_or(rows.end);
        }
        if let Some(to) = to {
            rows.end = times
                .iter()
                .rposition(|t| t.is_some_and(|t| t <= to))
                .map_or(rows.start, |row| row + 1);
        }
        Ok(rows.start..rows.end.max(rows.start))
    }

    /// What both ends are times of, where one reading fits them: minutes since the start beside a time of day are no
    /// part of an hour.
    fn reading(&self, clock: (f64, f64)) -> Option<Reading> {
        let both = || [&self.from, &self.to].into_iter().flatten();
        let fits = |reading: &Reading| both().all(|moment| moment.in_(*reading, clock).is_some());
        let tries = both().next()?.readings(clock.0);
        tries.into_iter().find(fits)
    }

    /// A moment that the recording does not have, and what it is by the clock of another zone.
    fn missed(&self, key: &'static str, moment: &Moment, clock: (f64, f64)) -> Missed {
        let (first, last) = clock;
        let text = format!(
            "{} is not in this recording: its clock runs from {} to {}",
            quoted(&moment.text),
            shown(first, first),
            shown(last, first)
        );
        let both: Vec<&Moment> = [&self.from, &self.to].into_iter().flatten().collect();
        // By the time of day alone: any clock is within a day of another.
        let elsewhere = |moment: &Moment, hours: i32| match moment.read {
            Read::Clock(clock, _) => {
                let there = (clock - 3600.0 * f64::from(hours)).rem_euclid(DAY);
                Some(of_day(first - 1.0, there)).filter(|t| (first..=last).contains(t))
            }
            Read::Seconds(_) => None,
        };
        let mut zones = ZONES.filter(|hours| {
            first >= OF_A_DAY
                && both
                    .iter()
                    .all(|moment| elsewhere(moment, *hours).is_some())
        });
        let remedy = match (zones.next(), zones.next()) {
            (Some(hours), None) => {
                let there = elsewhere(moment, hours).unwrap_or(first);
                let (hours, way) = (hours.abs(), if hours > 0 { "behind" } else { "ahead" });
                format!(
                    "is its clock {hours} h {way}, as one of UTC is? then write {}",
                    shown(there, first)
                )
            }
            _ => "write the time as the recording has it; clocks of receivers are those of UTC as a rule".to_owned(),
        };
        Missed { key, text, remedy }
    }
}

impl Moment {
    /// The time of this moment on a recording's clock that runs from `first` to `last`, s; in the first reading that
    /// fits where none is given.
    fn of(&self, reading: Option<Reading>, clock: (f64, f64)) -> Option<f64> {
        match reading {
            Some(reading) => self.in_(reading, clock),
            None => {
                let mut tries = self.readings(clock.0).into_iter();
                tries.find_map(|reading| self.in_(reading, clock))
            }
        }
    }

    /// The readings of this moment on a clock that begins with `first`, likeliest first.
    fn readings(&self, first: f64) -> [Reading; 3] {
        match self.read {
            Read::Seconds(_) => [Reading::Own, Reading::Since, Reading::Day],
            Read::Clock(_, Some(_)) if first < OF_A_DAY => {
                [Reading::Own, Reading::Since, Reading::Day]
            }
            Read::Clock(..) => [Reading::Day, Reading::Since, Reading::Own],
        }
    }

    /// Its time in one reading. The second or minute in which the recording begins or ends is in it.
    fn in_(&self, reading: Reading, (first, last): (f64, f64)) -> Option<f64> {
        let (seconds, minutes) = match self.read {
            Read::Seconds(seconds) => (seconds, false),
            Read::Clock(clock, Some(short)) => match reading {
                Reading::Day => (clock, true),
                _ => (short, false),
            },
            Read::Clock(clock, None) => (clock, false),
        };
        let within = if minutes { 60.0 } else { 1.0 };
        let time = match (reading, self.read) {
            (Reading::Day, Read::Seconds(_)) => return None,
            (Reading::Day, _) => of_day(first - within, seconds),
            (Reading::Since, _) => first + seconds,
            (Reading::Own, _) => seconds,
        };
        (first - within < time && time < last + within).then(|| time.clamp(first, last))
    }
}

/// What the times of a part may be counted in.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Reading {
    /// The time of day.
    Day,
    /// Seconds or minutes since the first row.
    Since,
    /// The recording's own clock.
    Own,
}

/// The first time of day `clock` behind `from`, s; over midnight it is the next day's.
fn of_day(from: f64, clock: f64) -> f64 {
    let there = (from / DAY).floor() * DAY + clock;
    if there <= from { there + DAY } else { there }
}

/// A time of a clock that began with `first`, as people write it.
fn shown(time: f64, first: f64) -> String {
    if first < OF_A_DAY {
        return format!("{time:.1} s");
    }
    let seconds = time.rem_euclid(DAY).floor();
    let (hours, rest) = ((seconds / 3600.0).floor(), seconds.rem_euclid(3600.0));
    format!(
        "{hours:02.0}:{:02.0}:{:02.0}",
        (rest / 60.0).floor(),
        rest % 60.0
    )
}

/// What is written, where it is a time: `10:42:15`, `10:42`, `83 s`, `2.5 min`.
fn moment(text: &str) -> Option<Moment> {
    let read = match units::clock(text) {
        Some(seconds) if text.matches(':').count() == 2 => Read::Clock(seconds, None),
        Some(seconds) => Read::Clock(60.0 * seconds, Some(seconds)),
        None => match units::read(text, &LENGTH, None) {
            Err(Fault::OtherDimension { dimension, .. }) if std::ptr::eq(dimension, &TIME) => {
                Read::Seconds(units::read(text, &TIME, None).ok()?.si)
            }
            _ => return None,
        },
    };
    Some(Moment {
        text: text.to_owned(),
        read,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(from: &str, to: &str, times: &[f64]) -> Range<usize> {
        let times: Vec<Option<f64>> = times.iter().copied().map(Some).collect();
        let moments = Moments {
            from: moment(from),
            to: moment(to),
        };
        moments.part(&times).unwrap()
    }

    #[test]
    fn a_recording_goes_on_over_midnight() {
        // From 23:59:50 on, a row each 10 s, as the time of day and as seconds since 1970.
        for begun in [86_390.0, 1_714_607_990.0] {
            let times: Vec<f64> = (0..12).map(|row| begun + 10.0 * f64::from(row)).collect();
            assert_eq!(part("23:59:55", "0:00:30", &times), 1..5);
            assert_eq!(part("00:00:05", "00:01:00", &times), 2..8);
        }
    }

    /// A recording from 10:42:00.4 to 11:02:00.4: its first second and its last minute are in it.
    #[test]
    fn the_second_in_which_a_recording_begins_is_its_own() {
        let times: Vec<f64> = (0..=1200).map(|row| 38_520.4 + f64::from(row)).collect();
        for from in ["10:42", "10:42:00"] {
            assert_eq!(part(from, "11:02", &times), 0..1200);
        }
        assert_eq!(part("10:43", "11:02:00", &times), 60..1200);
    }

    /// From 10:00 to 11:00: both are minutes of it, or both times of day.
    #[test]
    fn both_ends_are_read_alike() {
        let times: Vec<f64> = (0..=3600).map(|row| 36_000.0 + f64::from(row)).collect();
        assert_eq!(part("5:00", "10:30", &times), 300..631);
        assert_eq!(part("10:05", "10:30", &times), 300..1801);
    }

    #[test]
    fn hours_and_minutes_are_told_from_minutes_and_seconds() {
        let of =
            |begun: f64| -> Vec<f64> { (0..70).map(|row| begun + 10.0 * f64::from(row)).collect() };
        // A stopwatch, then a clock that stands at 10:00:00.
        assert_eq!(part("1:00", "10:00", &of(0.0)), 6..61);
        assert_eq!(part("10:01", "10:10", &of(36_000.0)), 6..61);
        // Seconds of the recording's own clock, and since its first row.
        assert_eq!(part("160 s", "200 s", &of(100.0)), 6..11);
        assert_eq!(part("1 min", "100 s", &of(36_000.0)), 6..11);
    }
}
