//! Two engine specs at one venue, from the demo's files: `cargo run --example rank_two_specs`.
//!
//! Reads the study, drives its first venue as the car is geared, and says which spec is quicker, by
//! how much, and in which rpm band it wins that.

use pullrank::explain::bands;
use pullrank::files::{finding::Findings, study};
use pullrank::study::{Engines, SpecRun, run};

/// Width of a band, rpm.
const BAND: f64 = 500.0;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut found = Findings::new();
    let Some(mut study) = study::read("examples/club-season.yaml".as_ref(), &mut found) else {
        found.iter().for_each(|finding| eprintln!("{finding}"));
        return Err("the study cannot be read".into());
    };
    study.entries.truncate(1);
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)?;
    let outcome = run(&study, &engines);
    let venue = &outcome.venues[0];
    let [(quicker, time), (slower, other), ..] = venue.order(SpecRun::time)[..] else {
        return Err("two specs are wanted".into());
    };
    let name = |spec: usize| engines.list[spec].name.as_str();
    println!(
        "{}: {} takes {time:.1} s, {} {:.1} s more.",
        study.entries[0].course.name,
        name(quicker),
        name(slower),
        other - time
    );
    let in_bands = |spec: usize| -> Result<_, pullrank::lap::LapError> {
        let reading = venue.specs[spec].as_geared.as_ref().map_err(Clone::clone)?;
        Ok(bands(&reading.spans, BAND))
    };
    let (one, two) = (in_bands(quicker)?, in_bands(slower)?);
    println!("          rpm  {:>16}  {:>16}", name(quicker), name(slower));
    for band in &one.bands {
        let same = two.bands.iter().find(|other| other.low_rpm == band.low_rpm);
        let beside = same.map_or(0.0, |other| other.time);
        println!(
            "{:5.0} to {:5.0}  {:14.1} s  {beside:14.1} s",
            band.low_rpm, band.high_rpm, band.time
        );
    }
    Ok(())
}
