//! Torque with its bands above the seconds won or lost per rpm band, on the same engine speeds.

use super::looks::{line, look, looks, name};
use crate::explain::bands::{Band, bands};
use crate::report::chart::{Axis, Canvas, FAINT, Figure, INK, Plane, Sample, Size, Table, key};
use crate::report::format::{decimal, rpm, signed, thousands};
use crate::report::rank::{Answer, BAND_RPM, Venue};
use crate::report::svg::Anchor;
use crate::report::torque::{self, UNMEASURED, bounds};
use crate::study::Told;

/// Room at the right for what belongs to no band, px.
fn room(size: Size) -> f64 {
    size.pick(54.0, 92.0)
}

/// Seconds that the first of two specs wins over the second, band by band.
#[derive(Debug, Clone, PartialEq)]
pub struct Seconds {
    /// Ends of each band, rpm, and the seconds won in it.
    bands: Vec<(f64, f64, f64)>,
    /// What weight wins; nothing where they weigh the same.
    mass: Option<f64>,
    /// What is left.
    rest: f64,
}

impl Seconds {
    /// Of a venue, the first spec's; nothing where another pair was worked out.
    pub(super) fn of(venue: &Venue, specs: [usize; 2]) -> Option<Self> {
        let gains = venue.gains?;
        let sign = match specs {
            [a, b] if [a, b] == [gains.quicker, gains.slower] => 1.0,
            [a, b] if [b, a] == [gains.quicker, gains.slower] => -1.0,
            _ => return None,
        };
        let bands = gains.bands.iter();
        Some(Self {
            bands: bands
                .map(|band| (band.low_rpm, band.high_rpm, sign * band.seconds))
                .collect(),
            mass: (gains.mass != 0.0).then_some(sign * gains.mass),
            rest: sign * gains.rest,
        })
    }

    /// Seconds won in the bands that begin from one engine speed up to another, rpm.
    fn within(&self, low: f64, high: f64) -> f64 {
        let inside = self
            .bands
            .iter()
            .filter(|(from, _, _)| (low..high).contains(from));
        inside.map(|(_, _, gain)| gain).sum()
    }

    /// What belongs to no band, with its name.
    fn others(&self) -> Vec<(&'static str, f64)> {
        let mass = self.mass.map(|gain| ("mass", gain));
        mass.into_iter().chain([("rest", self.rest)]).collect()
    }
}

/// What the chart shows.
pub(super) struct Shown<'a> {
    /// The answer.
    pub answer: &'a Answer<'a>,
    /// The venue.
    pub venue: Venue<'a>,
    /// The two specs.
    pub specs: [usize; 2],
    /// What the first wins.
    pub seconds: Option<Seconds>,
}

/// The chart.
pub(super) fn figure(shown: &Shown, id: &str) -> Figure {
    let id = format!("{id}-torque");
    let full = full(shown);
    Figure::new(&id, title(shown), table(shown, &full), |size| {
        let (svg, plane) = draw(shown, &id, &full, size);
        (svg, Some(plane))
    })
}

fn title(shown: &Shown) -> String {
    let [first, second] = shown.specs.map(|spec| name(shown.answer, spec));
    let crossings = shown
        .answer
        .engines
        .crossings(shown.specs[0], shown.specs[1]);
    let told = shown.answer.engines.told(shown.specs[0], shown.specs[1]);
    let place = match crossings[..] {
        _ if told == Told::Untold => {
            format!("The pulls do not tell the curves of {first} and {second} apart")
        }
        [] if told == Told::PartlyUntold => {
            format!("The pulls do not tell where the curves of {first} and {second} cross")
        }
        [one] if one.first_leads_below => format!(
            "{first} is the stronger below {}, {second} above",
            rpm(one.rpm)
        ),
        [one] => format!(
            "{second} is the stronger below {}, {first} above",
            rpm(one.rpm)
        ),
        [] => format!("The curves of {first} and {second} do not cross"),
        _ => format!(
            "The curves of {first} and {second} cross {} times",
            crossings.len()
        ),
    };
    let Some(seconds) = &shown.seconds else {
        return format!("{place}; below, how long the engine works where");
    };
    let best = |sign: f64| {
        let gains = seconds
            .bands
            .iter()
            .map(|(low, high, gain)| (*low, *high, sign * gain));
        let most = gains.max_by(|a, b| a.2.total_cmp(&b.2));
        most.filter(|(_, _, gain)| *gain >= 0.005)
    };
    let told = |who: &str, found: Option<(f64, f64, f64)>| {
        found.map(|(low, high, gain)| {
            format!(
                "{who} wins most from {} to {} ({} s)",
                thousands((low / 10.0).round() * 10.0),
                rpm(high),
                decimal(gain, 2)
            )
        })
    };
    let parts: Vec<String> = [told(&first, best(1.0)), told(&second, best(-1.0))]
        .into_iter()
        .flatten()
        .collect();
    match parts.is_empty() {
        true => place,
        false => format!("{place}; {}", parts.join(", ")),
    }
}

/// Full-throttle seconds of the first spec in each band.
fn full(shown: &Shown) -> Vec<Band> {
    match &shown.venue.run.specs[shown.specs[0]].as_geared {
        Ok(reading) => bands(&reading.spans, BAND_RPM).bands,
        Err(_) => Vec::new(),
    }
}

/// Engine speeds that the chart spans.
fn ends(shown: &Shown, full: &[Band]) -> (f64, f64) {
    let curves = shown
        .specs
        .map(|spec| &shown.answer.engines.list[spec].curve);
    let driven = full.iter().filter(|band| band.full > 0.05);
    let low = curves
        .iter()
        .map(|c| c.first_rpm())
        .chain(driven.clone().map(|b| b.low_rpm));
    let high = curves
        .iter()
        .map(|c| c.last_rpm())
        .chain(driven.map(|b| b.high_rpm));
    let low = low.fold(f64::INFINITY, f64::min);
    let high = high.fold(0.0, f64::max);
    (
        (low / BAND_RPM).floor() * BAND_RPM,
        (high / BAND_RPM).ceil() * BAND_RPM,
    )
}

fn table(shown: &Shown, full: &[Band]) -> Table {
    let [first, second] = shown.specs.map(|spec| name(shown.answer, spec));
    let curves = shown
        .specs
        .map(|spec| &shown.answer.engines.list[spec].curve);
    let mut head = vec![
        "rpm".to_owned(),
        format!("{first}, N·m"),
        format!("{second}, N·m"),
        "full throttle, s".to_owned(),
    ];
    if shown.seconds.is_some() {
        head.push(format!("{first} wins, s"));
    }
    let mut table = Table::new(head);
    let (from, to) = ends(shown, full);
    let mut low = from;
    while low < to {
        let mean = |spec: usize| {
            let curve = curves[spec];
            let mean = curve.mean_torque(
                low.max(curve.first_rpm()),
                (low + BAND_RPM).min(curve.last_rpm()),
            );
            mean.map_or("not measured".to_owned(), |torque| decimal(torque, 0))
        };
        let seconds = full
            .iter()
            .find(|band| band.low_rpm == low)
            .map_or(0.0, |band| band.full);
        let mut cells = vec![
            format!("{} to {}", thousands(low), thousands(low + BAND_RPM)),
            mean(0),
            mean(1),
            decimal(seconds, 1),
        ];
        if let Some(won) = &shown.seconds {
            cells.push(signed(won.within(low, low + BAND_RPM), 2));
        }
        table.row_at(low, cells);
        low += BAND_RPM;
    }
    for (name, gain) in shown.seconds.iter().flat_map(Seconds::others) {
        let mut cells = vec![name.to_owned()];
        cells.extend([(); 3].map(|()| String::new()));
        cells.push(signed(gain, 2));
        table.row(cells);
    }
    table
}

fn draw(shown: &Shown, id: &str, full: &[Band], size: Size) -> (String, Plane) {
    let answer = shown.answer;
    let lines = shown.specs.map(|spec| line(answer, spec));
    let (upper, lower) = size.pick((180.0, 150.0), (230.0, 180.0));
    let mut canvas = Canvas::new(id, size, upper + lower, looks(answer));
    let names: Vec<(usize, String)> = lines.iter().map(|l| (l.look, l.name.clone())).collect();
    let top = key(&mut canvas, (12.0, 16.0), Sample::Line, &names) + 26.0;
    let x = Axis::new(ends(shown, full), (46.0, canvas.width - room(size) - 8.0));
    let plane = Plane {
        x,
        y: Axis::new(bounds(&lines), (top + upper, top)),
    };
    let foot = top + upper + 48.0;
    canvas.set_height(foot + lower + 52.0);
    unmeasured(&mut canvas, shown, &plane, foot + lower);
    let marks = size.pick(5, 10);
    plane.columns(&mut canvas, marks);
    plane.rows(&mut canvas, "torque, N·m", size.pick(5, 7), |v| {
        decimal(v, 0)
    });
    let curve = &answer.engines.list[shown.specs[0]].curve;
    let crossings: Vec<(f64, f64)> = answer
        .engines
        .crossings(shown.specs[0], shown.specs[1])
        .iter()
        .map(|c| (c.rpm, curve.torque(c.rpm)))
        .collect();
    torque::draw(&mut canvas, &plane, &lines, &crossings);
    let bars = Plane {
        x,
        y: Axis::new(scale(shown), (foot + lower, foot)),
    };
    bars.columns(&mut canvas, marks);
    working(&mut canvas, &bars, full, shown.seconds.is_some());
    if let Some(seconds) = &shown.seconds {
        won(&mut canvas, shown, &bars, seconds);
    }
    bars.foot(&mut canvas, "engine speed, rpm", marks, thousands);
    let about = "Above, corrected torque of both specs with 95 % bands. Below, on the same engine speeds, \
                 seconds that the first spec wins (up) or loses (down) in each band of 500 rpm; thin \
                 outlines: seconds at full throttle there. Grey: not measured.";
    (
        canvas.finish("Torque, and what it is worth on this road", about),
        plane,
    )
}

/// Ends of the axis of seconds won.
fn scale(shown: &Shown) -> (f64, f64) {
    let Some(seconds) = &shown.seconds else {
        return (0.0, 1.0);
    };
    let all = || {
        let bands = seconds.bands.iter().map(|(_, _, gain)| *gain);
        bands.chain(seconds.others().into_iter().map(|(_, gain)| gain))
    };
    let low = all().fold(0.0, f64::min);
    let high = all().fold(0.0, f64::max);
    let room = 0.1 * (high - low).max(0.02);
    (low - room, high + room)
}

/// Greys the engine speeds that not both were pulled at.
fn unmeasured(canvas: &mut Canvas, shown: &Shown, plane: &Plane, bottom: f64) {
    let curves = shown
        .specs
        .map(|spec| &shown.answer.engines.list[spec].curve);
    let low = curves[0].first_rpm().max(curves[1].first_rpm());
    let high = curves[0].last_rpm().min(curves[1].last_rpm());
    let top = plane.y.pixels.1;
    let (from, to) = plane.x.ends;
    for (a, b) in [(from, low), (high, to)] {
        if b > a {
            let (a, b) = (plane.x.at(a), plane.x.at(b));
            canvas.ground((a, top), (b - a, bottom - top), UNMEASURED);
        }
    }
}

/// Seconds at full throttle as thin outlines, with their figures in a row above.
fn working(canvas: &mut Canvas, bars: &Plane, full: &[Band], beside: bool) {
    let most = full.iter().map(|band| band.full).fold(0.1, f64::max);
    let (base, top) = (bars.y.at(0.0), bars.y.pixels.1);
    let title = match (beside, canvas.size) {
        (true, Size::Phone) => "bars: s won or lost; outlines, figures: s at full throttle",
        (true, Size::Desk) => {
            "bars: seconds won or lost; outlines and figures: seconds at full throttle"
        }
        (false, _) => "outlines and figures: seconds at full throttle",
    };
    canvas.note((2.0, top - 22.0), title, Anchor::Start);
    canvas.open("working");
    for band in full.iter().filter(|band| band.full >= 0.05) {
        let (x0, x1) = (bars.x.within(band.low_rpm), bars.x.within(band.high_rpm));
        if x1 - x0 < 2.0 {
            continue;
        }
        let height = (base - top) * band.full / most;
        canvas.outline((x0 + 1.5, base - height), (x1 - x0 - 3.0, height));
        let text = decimal(band.full, if band.full >= 9.95 { 0 } else { 1 });
        let middle = 0.5 * (x0 + x1);
        canvas.letters((middle, top - 5.0), &text, Anchor::Middle, 10.5, FAINT);
    }
    canvas.close();
}

/// Bars of seconds won or lost, and the rest.
fn won(canvas: &mut Canvas, shown: &Shown, bars: &Plane, seconds: &Seconds) {
    let zero = bars.y.at(0.0);
    let size = canvas.size;
    let mut bar = |x: f64, width: f64, gain: f64| {
        let spec = look(shown.answer, shown.specs[usize::from(gain < 0.0)]);
        canvas.open_spec(spec);
        canvas.bar((x, zero), (width, bars.y.at(gain) - zero), spec);
        canvas.close();
    };
    for &(low, high, gain) in &seconds.bands {
        let (x0, x1) = (bars.x.within(low), bars.x.within(high));
        if gain != 0.0 && x1 - x0 > 1.0 {
            bar(x0 + 0.2 * (x1 - x0), 0.6 * (x1 - x0), gain);
        }
    }
    let (left, right) = bars.x.pixels;
    let others = seconds.others();
    let all = room(size);
    let first = right + size.pick(8.0, 24.0);
    let step = (right + all - first) / others.len() as f64;
    for (i, (_, gain)) in others.iter().enumerate() {
        bar(first + step * i as f64 + 0.2 * step, 0.6 * step, *gain);
    }
    for (i, (name, _)) in others.iter().enumerate() {
        let x = first + step * (i as f64 + 0.5);
        // On a phone the names stand under the last figure of the axis, one under the other.
        let row = canvas
            .size
            .pick(30.0 + 14.0 * (others.len() - 1 - i) as f64, 16.0);
        canvas.note((x, bars.y.pixels.0 + row), name, Anchor::Middle);
    }
    let places = bars.y.places(5, 2);
    for value in bars.y.ticks(5) {
        canvas.note(
            (left - 6.0, bars.y.at(value) + 4.0),
            &signed(value, places),
            Anchor::End,
        );
    }
    canvas.rule((left, zero), (right + all, zero), INK, 1.2);
}
