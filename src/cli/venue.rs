//! `pullrank venue TRACK…`.

use std::path::{Path, PathBuf};

use super::{Console, Failure, Format, FormatArguments, inputs};
use crate::car::driveline::rpm_per_speed;
use crate::car::{Car, Trim};
use crate::dyno::TestDay;
use crate::files::finding::{Finding, Findings, Position};
use crate::files::kind::FileKind;
use crate::files::write::{Existing, Target};
use crate::files::{car as car_file, folder, study, testday, track};
use crate::lap::{Cells, LapError, Limits, Tape, Variant, lap};
use crate::report::format::{clock, kind_word};
use crate::report::venue::{self as report, Driven, Fitting, Sheet};
use crate::schedule::grade::{FINE, graded};
use crate::schedule::{Choice, FollowSchedule, search};
use crate::study::run::TOLERANCE;
use crate::study::{Engines, roads, usual};
use crate::venue::character::{Character, character};
use crate::venue::log::gears;
use crate::venue::{Course, Surface, builtin};

/// What a venue is like: length, climb, corners, straights, its plan
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: pullrank venue tracks/*.yaml --car cars/rowan-coupe --svg plans")]
pub struct Arguments {
    /// Track files, or folders of them; without any, the built-in kinds of road
    tracks: Vec<PathBuf>,
    /// A car to drive the venues: its file, or the folder that holds its car.yaml
    #[arg(long, value_name = "CAR")]
    car: Option<PathBuf>,
    /// The test day [default: testday.yaml beside the car]
    #[arg(long, value_name = "FILE", requires = "car")]
    testday: Option<PathBuf>,
    /// The engine spec [default: the first of the test day]
    #[arg(long, value_name = "NAME", requires = "car")]
    spec: Option<String>,
    /// The trim [default: the one called as the kind of event or as the venue's surface]
    #[arg(long, value_name = "NAME", requires = "car")]
    trim: Option<String>,
    /// Write the plan of each venue into this folder
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Write over pictures that exist
    #[arg(long, requires = "svg")]
    force: bool,
    /// Write the venue as pieces to edit, to standard output
    #[arg(long, conflicts_with_all = ["json", "csv", "svg"])]
    pieces: bool,
    #[command(flatten)]
    format: FormatArguments,
}

/// A car to drive with.
struct Visitor {
    car: Car,
    car_path: PathBuf,
    engines: Engines,
    spec: usize,
    trim: Option<usize>,
}

/// Shows what venues are like.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let mut venues: Vec<(Course, Findings)> = Vec::new();
    let mut faults = Findings::new();
    for path in tracks(&arguments.tracks)? {
        match inputs::read(|found| track::read(&path, found)) {
            Ok(read) => venues.push(read),
            Err(Failure::Input(found)) => faults.append(found),
            Err(other) => return Err(other),
        }
    }
    if faults.has_errors() {
        return Err(Failure::Input(faults));
    }
    if arguments.tracks.is_empty() {
        venues = builtin::roads()
            .into_iter()
            .map(|road| (road, Findings::new()))
            .collect();
    }
    if arguments.pieces {
        return pieces(&venues, console);
    }
    let visitor = arguments
        .car
        .as_ref()
        .map(|path| visitor(arguments, path, console))
        .transpose()?;
    if let Some(visitor) = &visitor {
        for (course, _) in &mut venues {
            *course = visitor.laid_out(course);
        }
    }
    let characters: Vec<Character> = venues.iter().map(|(course, _)| character(course)).collect();
    let mut laps = Vec::new();
    for (course, found) in &mut venues {
        let lap = visitor.as_ref().map(|visitor| visitor.drive(course, found));
        // What is wrong with the road may be why the car stalls on it.
        let lap = lap
            .transpose()
            .inspect_err(|_| console.findings(&warnings(found)));
        laps.push(lap?);
        if visitor.is_none() {
            ask_surfaces(course, found);
        }
    }
    let mut sheets = Vec::new();
    for (((course, findings), character), driven) in venues.iter().zip(&characters).zip(laps) {
        console.findings(&warnings(findings));
        sheets.push(Sheet {
            course,
            character,
            driven,
            findings,
        });
    }
    let drawn = match &arguments.svg {
        Some(folder) => pictures(&sheets, folder, arguments.force)?,
        None => Vec::new(),
    };
    console.print(&match arguments.format.format() {
        Format::Text => report::text(&sheets, &drawn, console.out),
        Format::Json => report::json(&sheets),
        Format::Csv => report::csv(&sheets),
    })
}

/// Asks about surfaces that only a car can know, where no car is named.
fn ask_surfaces(course: &Course, found: &mut Findings) {
    let unusual = |surface: &&Surface| car_file::usual_grip(&surface.like).is_none();
    let Some(track) = found.files().first().map(|file| file.path.clone()) else {
        return;
    };
    for surface in course.surfaces.iter().filter(unusual) {
        found.push(study::unusual_surface(&track, surface));
    }
}

/// The tracks that are named, those of a folder among them.
fn tracks(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut tracks = Vec::new();
    for path in paths {
        if !path.is_dir() {
            tracks.push(path.clone());
            continue;
        }
        let found = folder::sorted(path).map(|of| of.tracks).unwrap_or_default();
        if found.is_empty() {
            let finding = Finding::error("this folder has no track").at(Position::file(path));
            return Err(finding.remedy("name a track file").into());
        }
        tracks.extend(found);
    }
    Ok(tracks)
}

/// What a person should look at; what was assumed is part of the answer.
fn warnings(findings: &Findings) -> Findings {
    let mut list = Findings::new();
    for finding in findings.of(crate::files::finding::Severity::Warning) {
        list.push(finding.clone());
    }
    list
}

fn pieces(venues: &[(Course, Findings)], console: &Console) -> Result<(), Failure> {
    let [(course, findings)] = venues else {
        return Err(Failure::CommandLine(
            "--pieces writes one venue: name one track".to_owned(),
        ));
    };
    console.findings(&warnings(findings));
    console.print(&report::pieces::yaml(course))
}

fn pictures(sheets: &[Sheet], folder: &Path, force: bool) -> Result<Vec<PathBuf>, Failure> {
    inputs::made_folder(folder)?;
    let existing = if force {
        Existing::Replace
    } else {
        Existing::Keep
    };
    let mut drawn = Vec::new();
    for sheet in sheets {
        let path = folder.join(format!("{}.svg", report::file_stem(&sheet.course.name)));
        let target = Target::open(&path, existing)?;
        let mut read = sheets.iter().map(|sheet| sheet.findings.files());
        read.try_for_each(|files| target.spare(files))?;
        target.write(report::plan::svg(sheet).as_bytes())?;
        drawn.push(path);
    }
    Ok(drawn)
}

fn visitor(arguments: &Arguments, path: &Path, console: &Console) -> Result<Visitor, Failure> {
    let car_path = inputs::in_folder(path, FileKind::Car)?;
    let day_path = match &arguments.testday {
        Some(path) => inputs::in_folder(path, FileKind::TestDay)?,
        None => car_path.with_file_name("testday.yaml"),
    };
    let ((car, day), found): ((Car, TestDay), Findings) = inputs::read(|found| {
        let day = testday::read(&day_path, found);
        let ends = day.as_ref().and_then(|day| study::pulls_end(day, None));
        let car = car_file::read_beside(&car_path, ends, found);
        Some((car?, day?))
    })?;
    console.findings(&warnings(&found));
    let spec = match &arguments.spec {
        Some(name) => inputs::named(name, "spec", day.specs.iter().map(|s| s.name.as_str()))?,
        None => 0,
    };
    let trims = car.trims.iter().map(|t| t.name.as_str());
    let trim = arguments
        .trim
        .as_ref()
        .map(|name| inputs::named(name, "trim", trims))
        .transpose()?;
    let all: Vec<usize> = (0..day.specs.len()).collect();
    let engines = Engines::of(&day, &all, car.rev_limit_rpm)
        .map_err(|error| Finding::error(error.to_string()).at(Position::file(&day_path)))?;
    Ok(Visitor {
        car,
        car_path,
        engines,
        spec,
        trim,
    })
}

impl Visitor {
    fn trim_at(&self, course: &Course) -> &Trim {
        let usual = || usual::trim(&self.car, course, kind_word(course.kind));
        &self.car.trims[self.trim.unwrap_or_else(usual)]
    }

    /// A venue as its lap is driven: a sketch with corners as long as they are to this car.
    fn laid_out(&self, course: &Course) -> Course {
        roads::for_car(course, self.trim_at(course))
    }

    /// A lap at the usual habits of the kind of event; usual grip where the trim says none is added
    /// to `found` as assumed.
    fn drive(&self, course: &Course, found: &mut Findings) -> Result<Driven<'_>, Failure> {
        let trim = self.trim_at(course);
        let mut gripping = trim.clone();
        for surface in &course.surfaces {
            let known = |name: &str| trim.grip.contains_key(name);
            if known(&surface.name) || known(&surface.like) {
                continue;
            }
            if let Some(grip) = car_file::usual_grip(&surface.like) {
                let text = car_file::grip_in_words(&surface.like, grip);
                found.push(Finding::assumed("grip", text));
                gripping.grip.insert(surface.like.clone(), grip);
            }
        }
        if let Some(known) = &course.known {
            let text = format!(
                "the driver's usual share of the cornering limit, not the one by the known time of {}: `rank` \
                 settles that",
                clock(known.time, course.kind)
            );
            found.push(Finding::assumed("known", text));
        }
        if let Some(track) = found.files().first().map(|file| file.path.clone()) {
            let asked = study::counted_twice(&track, course, &self.car, trim);
            asked.into_iter().for_each(|asked| found.push(asked));
        }
        let engine = &self.engines.list[self.spec];
        let density = course.air_density.unwrap_or_else(|| course.air.density());
        let mut variant = Variant::fitted(
            &self.car,
            &gripping,
            usual::habits(course.kind, self.car.rev_limit_rpm),
            &engine.curve,
            density,
        );
        variant.at_wheels = self.engines.at_wheels;
        variant.limit_rpm = self.engines.limit_rpm;
        variant.extra_mass = engine.extra_mass;
        variant.torque_factor = self.engines.torque_factor(&course.air);
        let (tape, cells, time) = drive(&variant, course)
            .map_err(|error| self.fault(&error, course, &gripping, found))?;
        let seen = course
            .log
            .as_ref()
            .map(|log| log.gears.as_slice())
            .unwrap_or_default();
        let of = |ratio: &f64| rpm_per_speed(ratio * variant.final_drive, trim.rolling_radius);
        let expected: Vec<f64> = variant.gearbox.ratios.iter().map(of).collect();
        Ok(Driven {
            car: &self.car.name,
            trim: &trim.name,
            spec: &engine.name,
            time,
            length: cells.length(),
            speeds: speeds(&tape, &cells),
            gears: gears::compare(seen, &expected)
                .filter(|_| gears::counted(seen, &expected).is_none())
                .map(|found| Fitting {
                    final_drive: found.final_drive(variant.final_drive),
                    radius: found.rolling_radius(trim.rolling_radius),
                    found,
                }),
        })
    }
}

impl Visitor {
    /// Why a lap cannot be driven; a surface without grip is a fault of the track that names it.
    fn fault(&self, error: &LapError, course: &Course, trim: &Trim, found: &Findings) -> Finding {
        let slips = |surface: &&Surface| {
            !trim.grip.contains_key(&surface.name) && !trim.grip.contains_key(&surface.like)
        };
        if let (LapError::NoGrip(_), Some(track), Some(surface)) = (
            error,
            found.files().first(),
            course.surfaces.iter().find(slips),
        ) {
            return study::no_grip(&track.path, surface, trim, &course.name);
        }
        let text = format!("{}: {error}", course.name);
        let fault = Finding::error(text).at(Position::file(&self.car_path));
        fault.remedy(inputs::remedy(error))
    }
}

/// The lap as `rank` drives it.
fn drive(variant: &Variant, course: &Course) -> Result<(Tape, Cells, f64), LapError> {
    let machine = variant.compile(course)?;
    let fine = Cells::new(course, variant.nominal(course)?, FINE)?;
    let cells = graded(&[&machine], &fine, TOLERANCE)?.cells;
    let limits = Limits::new(&machine, &cells)?;
    let found = search(&machine, &cells, &limits, Choice::AsDriven)?;
    let mut driver = FollowSchedule::new(&found.schedule, cells.len());
    let mut tape = Tape::default();
    let lap = lap(&machine, &cells, &limits, &mut driver, &mut tape)?;
    Ok((tape, cells, lap.time))
}

/// Speed by distance from the start of the course.
fn speeds(tape: &Tape, cells: &Cells) -> Vec<(f64, f64)> {
    let mut by_cell = vec![0.0; cells.len()];
    for record in &tape.records {
        by_cell[record.cell as usize] = record.z1.max(0.0).sqrt();
    }
    cells.stations[1..].iter().copied().zip(by_cell).collect()
}
