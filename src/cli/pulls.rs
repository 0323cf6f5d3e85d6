//! `pullrank pulls TESTDAY`.

use std::path::{Path, PathBuf};

use super::{Console, Failure, Format, FormatArguments, inputs};
use crate::dyno::{Curve, Reduced, Stretch, TestDay, attribute};
use crate::files::finding::{Finding, Findings, Position};
use crate::files::kind::FileKind;
use crate::files::testday;
use crate::files::write::{Existing, Target};
use crate::report::pulls::{self as report, Sheet};
use crate::units::{self, ENGINE_SPEED};

/// What each spec makes, where they cross, why, what to pull next
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: pullrank pulls cars/rowan-coupe --band 3500..7200 --resolve 1%\n\n\
                  At the dyno: straps and guards checked, nobody in line with what turns, exhaust led \
                  out, ears covered, extinguisher at hand. Stop on oil pressure, mixture or knock; \
                  never rev beyond the builder's limit to fill in a curve."
)]
pub struct Arguments {
    /// The test day's file, or a folder with it
    testday: PathBuf,
    /// Spec that others are set beside [default: the first]
    #[arg(long, value_name = "SPEC")]
    beside: Option<String>,
    /// The band of mean power [default: what every spec was measured at]
    #[arg(long, value_name = "RPM..RPM", value_parser = band)]
    band: Option<Stretch>,
    /// Engine speeds to compare at, in place of bands
    #[arg(long, value_name = "RPM,...", value_parser = speeds)]
    at: Option<Speeds>,
    /// Lay out a day that shows a difference of this size
    #[arg(long, value_name = "PERCENT", value_parser = share)]
    resolve: Option<f64>,
    /// Write charts of curves and differences into a folder
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Write over charts that are there
    #[arg(long, requires = "svg")]
    force: bool,
    #[command(flatten)]
    format: FormatArguments,
}

/// Engine speeds, rpm, rising.
#[derive(Debug, Clone)]
struct Speeds(Vec<f64>);

/// `3000, 4500, 6000 rpm`.
fn speeds(text: &str) -> Result<Speeds, String> {
    let wanted = "write engine speeds, as in '3000, 4500, 6000 rpm'";
    let rpm = |text: &str| {
        units::read(text.trim(), &ENGINE_SPEED, Some("rpm"))
            .map(|reading| reading.si)
            .map_err(|error| format!("{error}; {wanted}"))
    };
    let mut all = text
        .split([',', ';'])
        .map(rpm)
        .collect::<Result<Vec<f64>, _>>()?;
    // `3,000` is no list: nobody asks for what an engine does at 3 rpm and at none.
    if all.iter().any(|rpm| *rpm < 100.0) {
        return Err(format!("{wanted}, 3000 and not 3,000"));
    }
    all.sort_by(f64::total_cmp);
    all.dedup();
    Ok(Speeds(all))
}

/// `3000..7000`.
fn band(text: &str) -> Result<Stretch, String> {
    let wanted = "write two engine speeds, as in 3000..7000";
    let (from, to) = text.split_once("..").ok_or(wanted)?;
    let rpm = |text: &str| {
        units::read(text, &ENGINE_SPEED, Some("rpm"))
            .map(|reading| reading.si)
            .map_err(|error| format!("{error}; {wanted}"))
    };
    let (from_rpm, to_rpm) = (rpm(from)?, rpm(to)?);
    if from_rpm > 0.0 && from_rpm < to_rpm {
        Ok(Stretch { from_rpm, to_rpm })
    } else {
        Err(wanted.to_owned())
    }
}

/// `1%` or `0.01`.
fn share(text: &str) -> Result<f64, String> {
    let value = units::read_share(text).map_err(|error| error.to_string())?;
    if (1e-4..=0.5).contains(&value) {
        Ok(value)
    } else {
        Err("write a difference from 0.01 % to 50 %, as in 1%".to_owned())
    }
}

/// Shows a test day.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let path = inputs::in_folder(&arguments.testday, FileKind::TestDay)?;
    if let Some(finding) = testday::mistaken(&path) {
        return Err(finding.into());
    }
    let (day, found) = inputs::read(|found: &mut Findings| testday::read(&path, found))?;
    let beside = match &arguments.beside {
        Some(name) => inputs::named(name, "spec", day.specs.iter().map(|s| s.name.as_str()))?,
        None => 0,
    };
    let folder = arguments
        .svg
        .as_deref()
        .map(inputs::charts_folder)
        .transpose()?;
    let reduced = reduce(&day, &path)?;
    arguments
        .band
        .map_or(Ok(()), |band| measured(band, &reduced))?;
    arguments
        .at
        .as_ref()
        .map_or(Ok(()), |at| reached(&at.0, &reduced))?;
    let without_first = day.without_first_pulls().reduce().ok();
    let outlying = reduced.outlying();
    let without_outlying = match outlying.is_empty() {
        true => None,
        false => day.without(&reduced, &outlying).reduce().ok(),
    };
    console.findings(&found);
    let sheet = Sheet {
        without_first: without_first.as_ref(),
        outlying,
        without_outlying: without_outlying.as_ref(),
        ..sheet(arguments, &path, &day, &reduced, &found, beside)
    };
    if let Some(folder) = folder {
        let existing = if arguments.force {
            Existing::Replace
        } else {
            Existing::Keep
        };
        for chart in report::charts(&sheet) {
            let target = Target::open(&folder.join(chart.file), existing)?;
            target.spare(found.files())?;
            target.write(chart.svg.as_bytes())?;
        }
    }
    console.print(&match arguments.format.format() {
        Format::Text => report::text(&sheet, console.out),
        Format::Json => report::json(&sheet),
        Format::Csv => report::csv(&sheet),
    })
}

/// Somebody was pulled through the band that is asked for.
fn measured(band: Stretch, reduced: &Reduced) -> Result<(), Failure> {
    let covers = |curve: &Curve| {
        curve.first_rpm() <= band.from_rpm + report::NEAR_RPM
            && band.to_rpm <= curve.last_rpm() + report::NEAR_RPM
    };
    if reduced.specs.iter().any(|spec| covers(&spec.curve)) {
        return Ok(());
    }
    let Stretch { from_rpm, to_rpm } = whole(reduced);
    Err(Failure::CommandLine(format!(
        "--band {:.0}..{:.0} reaches beyond what was pulled ({from_rpm:.0} to {to_rpm:.0} rpm with \
         every spec)",
        band.from_rpm, band.to_rpm
    )))
}

/// Somebody was pulled at each of the engine speeds that are asked for.
fn reached(at: &[f64], reduced: &Reduced) -> Result<(), Failure> {
    let curves = || reduced.specs.iter().map(|spec| &spec.curve);
    let reaches = |rpm: f64| curves().any(|curve| curve.reaches(rpm));
    let Some(beyond) = at.iter().find(|&&rpm| !reaches(rpm)) else {
        return Ok(());
    };
    let low = curves().map(Curve::first_rpm).fold(f64::INFINITY, f64::min);
    let high = curves().map(Curve::last_rpm).fold(0.0, f64::max);
    Err(Failure::CommandLine(format!(
        "--at {beyond:.0} lies beyond what was pulled ({low:.0} to {high:.0} rpm with any spec)"
    )))
}

fn reduce(day: &TestDay, path: &Path) -> Result<Reduced, Failure> {
    day.reduce().map_err(|error| {
        Finding::error(error.to_string())
            .at(Position::file(path))
            .into()
    })
}

fn sheet<'a>(
    arguments: &Arguments,
    path: &'a Path,
    day: &'a TestDay,
    reduced: &'a Reduced,
    findings: &'a Findings,
    beside: usize,
) -> Sheet<'a> {
    let others = (0..day.specs.len()).filter(|&spec| spec != beside);
    let comparisons: Vec<_> = others
        .filter_map(|spec| reduced.compare(spec, beside))
        .collect();
    let steps = comparisons
        .first()
        .map(|first| reduced.next_steps(first.first, first.second));
    Sheet {
        name: name(path),
        day,
        reduced,
        without_first: None,
        beside,
        attribution: attribute(&day.specs),
        outlying: Vec::new(),
        without_outlying: None,
        unlike: day.unlike(),
        steps: steps.unwrap_or_default(),
        layout: arguments
            .resolve
            .filter(|_| day.specs.len() > 1)
            .map(|difference| (difference, reduced.lay_out(difference))),
        band: arguments.band.unwrap_or_else(|| whole(reduced)),
        at: arguments
            .at
            .as_ref()
            .map_or_else(Vec::new, |at| at.0.clone()),
        comparisons,
        findings,
    }
}

/// What a test day goes by: its folder where the file has the usual name.
fn name(path: &Path) -> &str {
    let stem = path.file_stem().and_then(|s| s.to_str());
    let folder = path.parent().and_then(Path::file_name);
    match (stem, folder.and_then(|f| f.to_str())) {
        (Some("testday"), Some(folder)) => folder,
        (Some(stem), _) => stem,
        _ => "test day",
    }
}

/// The engine speeds that every spec was measured at.
fn whole(reduced: &Reduced) -> Stretch {
    let curves = || reduced.specs.iter().map(|spec| &spec.curve);
    let from = curves().map(|c| c.first_rpm()).fold(0.0, f64::max);
    let to = curves().map(|c| c.last_rpm()).fold(f64::INFINITY, f64::min);
    // Whole fifties where the range leaves any.
    let (low, high) = ((from / 50.0).ceil() * 50.0, (to / 50.0).floor() * 50.0);
    if low < high {
        Stretch {
            from_rpm: low,
            to_rpm: high,
        }
    } else {
        Stretch {
            from_rpm: from,
            to_rpm: to,
        }
    }
}
