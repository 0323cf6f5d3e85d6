//! `pullrank car CAR`.

use std::path::{Path, PathBuf};

use super::{Console, Failure, Format, FormatArguments, inputs};
use crate::car::{Car, Trim};
use crate::files::finding::{Finding, Findings, Position};
use crate::files::kind::FileKind;
use crate::files::{car as car_file, study, testday};
use crate::lap::Variant;
use crate::report::car::{self as report, Geared, Sheet};
use crate::study::Engines;
use crate::study::figures::{HABITS, figures, gears_at_limit, straight};
use crate::venue::Surface;

/// Is this my car? Speed in each gear, 0-100 km/h, top speed
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: pullrank car cars/rowan-coupe --spec 'short manifold'")]
pub struct Arguments {
    /// The car's file, or a folder with it
    car: PathBuf,
    /// The test day [default: testday.yaml beside the car]
    #[arg(long, value_name = "FILE")]
    testday: Option<PathBuf>,
    /// The engine spec [default: the first of the test day]
    #[arg(long, value_name = "NAME")]
    spec: Option<String>,
    /// The trim, as the car goes to a kind of event [default: the first of the car]
    #[arg(long, value_name = "NAME")]
    trim: Option<String>,
    #[command(flatten)]
    format: FormatArguments,
}

/// Shows the figures of a car.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let car_path = inputs::in_folder(&arguments.car, FileKind::Car)?;
    let day_path = match &arguments.testday {
        Some(path) => inputs::in_folder(path, FileKind::TestDay)?,
        None => car_path.with_file_name("testday.yaml"),
    };
    if arguments.testday.is_none() && arguments.spec.is_none() && !day_path.exists() {
        return gears_alone(arguments, &car_path, console);
    }
    let ((car, day), found) = inputs::read(|found: &mut Findings| {
        let day = testday::read(&day_path, found);
        let ends = day.as_ref().and_then(|day| study::pulls_end(day, None));
        let car = car_file::read_beside(&car_path, ends, found);
        Some((car?, day?))
    })?;
    let spec = match &arguments.spec {
        Some(name) => inputs::named(name, "spec", day.specs.iter().map(|s| s.name.as_str()))?,
        None => 0,
    };
    let trim = trim(arguments, &car)?;
    console.findings(&found);
    let all: Vec<usize> = (0..day.specs.len()).collect();
    let engines = Engines::of(&day, &all, car.rev_limit_rpm)
        .map_err(|error| Finding::error(error.to_string()).at(Position::file(&day_path)))?;
    // The figures of one spec, whatever others were pulled to.
    let engines = engines.as_far_as(spec).unwrap_or(engines);
    let trim = &car.trims[trim];
    let surface = surface(trim);
    let course = straight(Surface::plain(surface));
    let mut variant = Variant::fitted(
        &car,
        trim,
        HABITS,
        &engines.list[spec].curve,
        course.air.density(),
    );
    variant.at_wheels = engines.at_wheels;
    variant.limit_rpm = engines.limit_rpm;
    variant.extra_mass = engines.list[spec].extra_mass;
    variant.torque_factor = engines.torque_factor(&course.air);
    let figures = figures(&variant, &course)
        .map_err(|error| Finding::error(error.to_string()).at(Position::file(&car_path)))?;
    let sheet = Sheet {
        car: &car,
        trim,
        surface,
        spec: &engines.list[spec],
        specs: engines.list.len(),
        measured_at: day.dyno.measured_at,
        limit_rpm: engines.limit_rpm,
        figures: &figures,
        findings: &found,
    };
    console.print(&match arguments.format.format() {
        Format::Text => report::text(&sheet, console.out),
        Format::Json => report::json(&sheet),
        Format::Csv => report::csv(&figures.gears),
    })
}

/// What a car file tells by itself.
fn gears_alone(arguments: &Arguments, path: &Path, console: &Console) -> Result<(), Failure> {
    let (car, found) = inputs::read(|found| car_file::read(path, found))?;
    let trim = &car.trims[trim(arguments, &car)?];
    console.findings(&found);
    let sheet = Geared {
        car: &car,
        trim,
        gears: &gears_at_limit(&car, trim, car.rev_limit_rpm),
        findings: &found,
    };
    console.print(&match arguments.format.format() {
        Format::Text => report::geared_text(&sheet, console.out),
        Format::Json => report::geared_json(&sheet),
        Format::Csv => report::csv(sheet.gears),
    })
}

/// The trim that is meant.
fn trim(arguments: &Arguments, car: &Car) -> Result<usize, Failure> {
    let names = car.trims.iter().map(|trim| trim.name.as_str());
    let named = |name: &String| inputs::named(name, "trim", names);
    arguments.trim.as_ref().map_or(Ok(0), named)
}

/// The surface that a trim is most at home on: tarmac where it knows it.
fn surface(trim: &Trim) -> &str {
    let first = trim.grip.keys().next().map_or("tarmac", String::as_str);
    if trim.grip.contains_key("tarmac") {
        "tarmac"
    } else {
        first
    }
}
