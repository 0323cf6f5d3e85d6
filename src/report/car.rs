//! The figures of a car.

use std::fmt::Write;

use serde::Serialize;

use super::format::{decimal, gear, rpm, rpm_fifty, thousands, wrap};
use super::paint::Paint;
use super::table::{Grid, Side};
use super::{assumed, csv, json};
use crate::car::{Car, FinalDrive, Trim};
use crate::dyno::MeasuredAt;
use crate::files::finding::Findings;
use crate::study::SpecCurve;
use crate::study::figures::{Figures, GearFigures, TopSpeed};
use crate::units::KILOMETRE_PER_HOUR;

/// Everything on the sheet.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// The car.
    pub car: &'a Car,
    /// The trim.
    pub trim: &'a Trim,
    /// The surface it stands on.
    pub surface: &'a str,
    /// The engine.
    pub spec: &'a SpecCurve,
    /// Specs of the test day.
    pub specs: usize,
    /// Where its torque was measured.
    pub measured_at: MeasuredAt,
    /// Upper limit of the engine, rpm.
    pub limit_rpm: f64,
    /// The figures.
    pub figures: &'a Figures,
    /// What was assumed.
    pub findings: &'a Findings,
}

fn kmh(speed: f64) -> f64 {
    speed / KILOMETRE_PER_HOUR
}

/// The sheet for people.
pub fn text(sheet: &Sheet, paint: Paint) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{}",
        paint.strong(&title(sheet.car, sheet.trim, sheet.car.rev_limit_rpm))
    );
    let _ = writeln!(out, "{}", engine_line(sheet));
    if sheet.limit_rpm < sheet.car.rev_limit_rpm {
        out.push_str(&wrap(&held(sheet), "  "));
    }
    out.push('\n');
    out.push_str(&gears(&sheet.figures.gears));
    out.push_str(&rests_on(sheet));
    let figures = sheet.figures;
    let to_100 = figures
        .to_100
        .map_or("not reached".to_owned(), |t| format!("{} s", decimal(t, 1)));
    let _ = writeln!(out);
    let _ = writeln!(
        out,
        "0-100 km/h {to_100}   standing quarter mile {} s, {} km/h   standing kilometre {} s, {} km/h",
        decimal(figures.quarter.time, 1),
        decimal(kmh(figures.quarter.speed), 0),
        decimal(figures.kilometre.time, 1),
        decimal(kmh(figures.kilometre.speed), 0),
    );
    out.push_str(&top_line(figures.top, figures.gears.len()));
    if let Some(size) = &sheet.car.engine {
        let mean = 2.0 * size.stroke * sheet.limit_rpm / 60.0;
        let _ = writeln!(
            out,
            "Mean piston speed at {}: {} m/s. What the engine stands is its builder's to say.",
            rpm(sheet.limit_rpm),
            decimal(mean, 1)
        );
    }
    out.push_str(&assumed::line(sheet.findings, assumed::NOT_ON_A_STRAIGHT));
    out.push_str(&is_it_mine(&figures.gears));
    out
}

/// What "change up at" rests on.
fn rests_on(sheet: &Sheet) -> String {
    let gears = &sheet.figures.gears;
    if gears.len() < 2 {
        return String::new();
    }
    let text = match before_the_limit(gears) {
        true => {
            "Change up where the next gear accelerates the car as hard: below the rpm of equal force at the wheels, \
             as the lower gear spends more of its force on spinning up the engine."
        }
        false => {
            "Change up at the limit: in no gear does the next accelerate the car as hard below it."
        }
    };
    wrap(text, "  ")
}

/// Whether some gear is changed up before the limit.
fn before_the_limit(gears: &[GearFigures]) -> bool {
    let before = |gear: &GearFigures| {
        let at = gear.shift_rpm.zip(gear.after_rpm).zip(gear.after_limit_rpm);
        at.is_some_and(|((_, after), from_limit)| from_limit - after > 0.5)
    };
    gears.iter().any(before)
}

/// Why the figures are not those of the car's limit.
fn held(sheet: &Sheet) -> String {
    format!(
        "Held to {}, for the pulls of {} end at {}: speeds at the limit, times and top speed below are those of an \
         engine changed up there.",
        rpm(sheet.limit_rpm),
        sheet.spec.name,
        rpm(sheet.spec.curve.last_rpm())
    )
}

/// Gears alone, where no engine is known.
#[derive(Debug)]
pub struct Geared<'a> {
    /// The car.
    pub car: &'a Car,
    /// The trim.
    pub trim: &'a Trim,
    /// From first to top, changed at the limit.
    pub gears: &'a [GearFigures],
    /// What was assumed.
    pub findings: &'a Findings,
}

/// The gears for people.
pub fn geared_text(sheet: &Geared, paint: Paint) -> String {
    let mut out = String::new();
    let head = title(sheet.car, sheet.trim, sheet.car.rev_limit_rpm);
    let _ = writeln!(out, "{}", paint.strong(&head));
    out.push_str("Gears alone: without pulls nothing is known of the engine.\n\n");
    out.push_str(&gears(sheet.gears));
    out.push('\n');
    out.push_str(&assumed::line(sheet.findings, assumed::NOT_ON_A_STRAIGHT));
    out.push_str(&is_it_mine(sheet.gears));
    out.push_str("Then: a testday.yaml beside the car, or --testday FILE, adds the engine.\n");
    out
}

/// How to tell whether the figures are those of a car.
fn is_it_mine(gears: &[GearFigures]) -> String {
    let top = gears.last().map_or(0.0, |g| g.speed_per_1000_rpm);
    wrap(
        &format!(
            "Next: hold 3,000 rpm in top past two marks a known distance apart. If the speed is not \
             {} km/h, the tyre, the ratio or the final drive is not what the file says.",
            decimal(3.0 * kmh(top), 0)
        ),
        "  ",
    )
}

fn title(car: &Car, trim: &Trim, limit_rpm: f64) -> String {
    format!(
        "{}, {} trim: {} kg, {}, final drive {}, limit {}",
        car.name,
        trim.name,
        decimal(trim.mass, 0),
        trim.tyre,
        final_drive(&car.final_drive),
        rpm(limit_rpm),
    )
}

/// A final drive as people write it: `9/38 (4.22)`.
pub fn final_drive(drive: &FinalDrive) -> String {
    match drive.teeth {
        Some((pinion, crown)) => format!("{pinion}/{crown} ({})", decimal(drive.ratio, 2)),
        None => decimal(drive.ratio, 2),
    }
}

fn engine_line(sheet: &Sheet) -> String {
    let curve = &sheet.spec.curve;
    let (torque, power) = (curve.peak_torque(), curve.peak_power());
    let among = match sheet.specs {
        1 => String::new(),
        n => format!(" (one of {n} specs)"),
    };
    let place = match sheet.measured_at {
        MeasuredAt::Flywheel | MeasuredAt::FlywheelEstimated => "",
        MeasuredAt::Hubs => ", at the hubs",
        MeasuredAt::Wheels => ", at the wheels",
    };
    format!(
        "Engine: {}{among}{place}, {} N·m at {}, {} kW at {}",
        sheet.spec.name,
        decimal(torque.value, 0),
        rpm_fifty(torque.rpm),
        decimal(power.value / 1000.0, 0),
        rpm_fifty(power.rpm),
    )
}

fn gears(gears: &[GearFigures]) -> String {
    let before = before_the_limit(gears);
    let mut titles = vec![
        ("gear", Side::Left),
        ("ratio", Side::Right),
        ("with final\ndrive", Side::Right),
        ("km/h per\n1,000 rpm", Side::Right),
        ("km/h at\nthe limit", Side::Right),
        ("change up\nat rpm", Side::Right),
        ("drops to\nrpm", Side::Right),
    ];
    if before {
        titles.push(("from the\nlimit to", Side::Right));
    }
    let mut grid = Grid::new(&titles);
    let coarse =
        |rpm: Option<f64>| rpm.map_or(String::new(), |rpm| thousands((rpm / 50.0).round() * 50.0));
    for (index, figures) in gears.iter().enumerate() {
        let mut row = vec![
            gear(index),
            decimal(figures.ratio, 2),
            decimal(figures.total_ratio, 2),
            decimal(kmh(figures.speed_per_1000_rpm), 1),
            decimal(kmh(figures.speed_at_limit), 0),
            coarse(figures.shift_rpm),
            coarse(figures.after_rpm),
        ];
        if before {
            row.push(
                figures
                    .after_limit_rpm
                    .map_or(String::new(), |rpm| thousands((rpm / 10.0).round() * 10.0)),
            );
        }
        grid.row(&row);
    }
    grid.text(0)
}

/// Gears above the one of the top speed from which a reduction is likely to be missing in the file: one or two
/// may be there to save fuel (common practice, no source).
const TOO_MANY: usize = 3;

fn top_line(top: Option<TopSpeed>, gears: usize) -> String {
    let above = top.map_or(0, |top| gears - 1 - top.gear);
    match top {
        Some(top) if above >= TOO_MANY => format!(
            "Top speed on the level {} km/h in {}, with {above} gears above that cannot pull: is a reduction missing \
             in the file,\nsuch as the primary drive of a motorcycle's engine? Multiply it into `final_drive`.\n",
            decimal(kmh(top.speed), 0),
            gear(top.gear)
        ),
        Some(top) if top.at_limit => format!(
            "Top speed on the level {} km/h, on the limit in {}: it would pull a longer gear.\n",
            decimal(kmh(top.speed), 0),
            gear(top.gear)
        ),
        Some(top) => format!(
            "Top speed on the level {} km/h in {} at {}, where drag and rolling take all it has.\n",
            decimal(kmh(top.speed), 0),
            gear(top.gear),
            rpm(top.rpm)
        ),
        None => "No gear holds any speed on the level.\n".to_owned(),
    }
}

#[derive(Serialize)]
struct Body<'a> {
    car: &'a str,
    trim: &'a str,
    surface: &'a str,
    spec: &'a str,
    mass_kg: f64,
    rolling_radius_m: f64,
    final_drive: f64,
    limit_rpm: f64,
    gears: Vec<GearBody>,
    to_100_s: Option<f64>,
    quarter_s: f64,
    quarter_kmh: f64,
    kilometre_s: f64,
    kilometre_kmh: f64,
    top_speed_kmh: Option<f64>,
    top_speed_gear: Option<usize>,
    top_speed_rpm: Option<f64>,
    top_speed_at_limit: Option<bool>,
    mean_piston_speed_m_s: Option<f64>,
    findings: &'a Findings,
}

#[derive(Serialize)]
struct GearBody {
    gear: usize,
    ratio: f64,
    total_ratio: f64,
    kmh_per_1000_rpm: f64,
    kmh_at_limit: f64,
    shift_rpm: Option<f64>,
    after_rpm: Option<f64>,
    after_limit_rpm: Option<f64>,
}

fn gear_bodies(gears: &[GearFigures]) -> Vec<GearBody> {
    let one = |(index, g): (usize, &GearFigures)| GearBody {
        gear: index + 1,
        ratio: g.ratio,
        total_ratio: g.total_ratio,
        kmh_per_1000_rpm: kmh(g.speed_per_1000_rpm),
        kmh_at_limit: kmh(g.speed_at_limit),
        shift_rpm: g.shift_rpm,
        after_rpm: g.after_rpm,
        after_limit_rpm: g.after_limit_rpm,
    };
    gears.iter().enumerate().map(one).collect()
}

/// The gears alone as JSON; what an engine would tell is left out.
pub fn geared_json(sheet: &Geared) -> String {
    #[derive(Serialize)]
    struct Body<'a> {
        car: &'a str,
        trim: &'a str,
        mass_kg: f64,
        rolling_radius_m: f64,
        final_drive: f64,
        limit_rpm: f64,
        gears: Vec<GearBody>,
        findings: &'a Findings,
    }
    json::document(
        "car",
        &Body {
            car: &sheet.car.name,
            trim: &sheet.trim.name,
            mass_kg: sheet.trim.mass,
            rolling_radius_m: sheet.trim.rolling_radius,
            final_drive: sheet.car.final_drive.ratio,
            limit_rpm: sheet.car.rev_limit_rpm,
            gears: gear_bodies(sheet.gears),
            findings: sheet.findings,
        },
    )
}

/// The sheet as JSON.
pub fn json(sheet: &Sheet) -> String {
    let figures = sheet.figures;
    let stroke = sheet.car.engine.map(|size| size.stroke);
    json::document(
        "car",
        &Body {
            car: &sheet.car.name,
            trim: &sheet.trim.name,
            surface: sheet.surface,
            spec: &sheet.spec.name,
            mass_kg: sheet.trim.mass,
            rolling_radius_m: sheet.trim.rolling_radius,
            final_drive: sheet.car.final_drive.ratio,
            limit_rpm: sheet.limit_rpm,
            gears: gear_bodies(&figures.gears),
            to_100_s: figures.to_100,
            quarter_s: figures.quarter.time,
            quarter_kmh: kmh(figures.quarter.speed),
            kilometre_s: figures.kilometre.time,
            kilometre_kmh: kmh(figures.kilometre.speed),
            top_speed_kmh: figures.top.map(|t| kmh(t.speed)),
            top_speed_gear: figures.top.map(|t| t.gear + 1),
            top_speed_rpm: figures.top.map(|t| t.rpm),
            top_speed_at_limit: figures.top.map(|t| t.at_limit),
            mean_piston_speed_m_s: stroke.map(|s| 2.0 * s * sheet.limit_rpm / 60.0),
            findings: sheet.findings,
        },
    )
}

/// The gears as CSV.
pub fn csv(gears: &[GearFigures]) -> String {
    let header = [
        "gear",
        "ratio",
        "total_ratio",
        "kmh_per_1000_rpm",
        "kmh_at_limit",
        "shift_rpm",
        "after_rpm",
        "after_limit_rpm",
    ];
    let rows = gears.iter().enumerate().map(|(index, g)| {
        vec![
            (index + 1).to_string(),
            g.ratio.to_string(),
            decimal(g.total_ratio, 4),
            decimal(kmh(g.speed_per_1000_rpm), 3),
            decimal(kmh(g.speed_at_limit), 2),
            csv::number(g.shift_rpm, 0),
            csv::number(g.after_rpm, 0),
            csv::number(g.after_limit_rpm, 0),
        ]
    });
    csv::table(&header, rows)
}
