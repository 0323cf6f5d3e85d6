//! `pullrank report STUDY`.

use std::path::PathBuf;

use super::rank::keys;
use super::worked::{Asked, Worked};
use super::{Console, DrawArguments, Failure, inputs};
use crate::files::finding::printable;
use crate::files::finding::shell::shell_path;
use crate::files::opened::Opened;
use crate::files::write::{Existing, Target};
use crate::report::page::{self, Input, Page};
use crate::report::season as season_report;
use crate::study::Plan;
use crate::study::season::{self, Ground, Money, Season, SeasonMoved};

/// Draws of each part that could be bought: as many as wins are told of.
const PART_DRAWS: u64 = 100;

/// The whole answer as one file for any browser: charts, reasons
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: pullrank report examples/club-season.yaml -o report.html")]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    /// The file to write
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Write each chart alone into a folder too
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    drawn: DrawArguments,
}

/// Writes the report of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let existing = match arguments.force {
        true => Existing::Replace,
        false => Existing::Keep,
    };
    let folder = arguments
        .svg
        .as_deref()
        .map(inputs::charts_folder)
        .transpose()?;
    let target = Target::open(&arguments.output, existing)?;
    let asked = Asked {
        study: &arguments.study,
        drawn: &arguments.drawn,
        venue: None,
        spec: None,
        target: Some(&target),
    };
    let worked = Worked::out(&asked, console)?;
    let files: Vec<Input> = worked.found.files().iter().map(input).collect();
    let command = command(arguments);
    let over = Over::the_season(&worked, console);
    let mut page = worked.page(&files, &command);
    over.put(&mut page, &worked);
    if let Some(folder) = &folder {
        let charts = page::charts(&page).into_iter();
        let opened: Vec<(Target, String)> = charts
            .map(|chart| {
                let target = Target::open(&folder.join(chart.file), existing)?;
                target.spare(worked.found.files())?;
                Ok((target, chart.svg))
            })
            .collect::<Result<_, Failure>>()?;
        for (target, svg) in opened {
            target.write(svg.as_bytes())?;
        }
    }
    let html = page::html(&page).map_err(inputs::template)?;
    target.write(html.as_bytes())?;
    console.print(&format!(
        "{}: {} kB, opens in any browser.\nNext: pullrank sheet {} --venue NAME writes the page for the driver.\n",
        printable(&arguments.output.display().to_string()),
        html.len().div_ceil(1000),
        shell_path(&worked.path)
    ))?;
    worked.faults(&arguments.study)
}

/// What the events come to together.
struct Over {
    season: Option<Season>,
    moves: Vec<SeasonMoved>,
    money: Option<Money>,
    draws: Plan,
    useful: f64,
}

impl Over {
    /// Works out a season of several events; of one there is nothing to add.
    fn the_season(worked: &Worked, console: &Console) -> Self {
        let (study, engines) = (&worked.study, &worked.engines);
        // What a part wins throughout is told to a tenth: fewer draws show it.
        let draws = Plan {
            draws: worked.plan.draws.min(PART_DRAWS),
            ..worked.plan
        };
        let legs = season::legs(study);
        let roads = season::roads(study, engines, &legs);
        let ground = Ground {
            study,
            engines,
            legs: &legs,
            roads: &roads,
        };
        let several = study.entries.len() > 1;
        let steps = worked.plan.draws + draws.draws * season::driven_with_draws(study);
        let progress = console.progress(steps);
        let season = several.then(|| season::season(&ground, &worked.plan, || progress.step()));
        let over = Self {
            moves: season.as_ref().map_or_else(Vec::new, |season| {
                season::assumed_moves(&ground, season, &keys(&worked.found))
            }),
            season,
            money: several.then(|| season::money(&ground, &draws, || progress.step())),
            draws,
            useful: season::season_useful(&ground),
        };
        progress.finish();
        over
    }

    /// Puts it on a page.
    fn put<'a>(&'a self, page: &mut Page<'a>, worked: &'a Worked) {
        page.season = self.season.as_ref().map(|season| season_report::Answer {
            study: &worked.study,
            season,
            moves: &self.moves,
            findings: &worked.found,
            plan: &worked.plan,
            path: &worked.path,
        });
        let money = self.money.as_ref().filter(|money| !money.lines.is_empty());
        page.spend = money.map(|money| season_report::spend::Answer {
            study: &worked.study,
            money,
            plan: &self.draws,
            useful: self.useful,
        });
    }
}

/// The command line that makes the page again.
fn command(arguments: &Arguments) -> String {
    let output = arguments.output.file_name().unwrap_or_default();
    let output = output.to_string_lossy();
    let mut text = format!(
        "pullrank report {} -o {}",
        shell_path(&arguments.study.display().to_string()),
        shell_path(&output),
    );
    text.push_str(&arguments.drawn.words());
    text
}

/// A file as it was read: by now it may be another.
fn input(file: &Opened) -> Input {
    Input {
        name: file.path.display().to_string(),
        size: file.size,
        text: file.text.as_deref().map(str::to_owned),
    }
}
