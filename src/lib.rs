//! pullrank says which engine spec you want at which venue, by how much, how sure it is, and why.
//!
//! A *pull* is one full-throttle run on a dyno. From the pulls of each spec, the car's gearing and
//! the corners of a venue it works out the time of a run, the seconds in each rpm band, and the
//! order of the specs.
//!
//! # The way data flows
//!
//! ```text
//!  test day (pulls, weather)     car + driver            venue
//!           │                        │                     │        files/ reads, checks, names every fault
//!         dyno                      car                  venue      plain domain types, SI, no files, no text
//!      torque curves            wheel force         Course (shape, surface, caps)
//!           └───────────┬────────────┴──────────┬──────────┘
//!                      lap        one machine on one course: limits, driving, a tape of what happened
//!                       │
//!                   schedule      which gear out of each corner, where to shift
//!                       │
//!                    explain      readers of the tape: time in band, states, advice
//!                       │
//!                     study       specs × gearings × venues × draws → verdict
//!                       │
//!                    report       terminal · JSON · CSV · SVG · HTML
//!                       │
//!                      cli
//! ```
//!
//! Imports run one way, from the bottom of the picture to its top. The rooms above `report` format
//! no text and, but for [`files`], know no files. Quantities are `f64` in SI units; engine speed is
//! in rpm in names that end in `_rpm`.
//!
//! # A worked example
//!
//! The first venue of the demo study, as the car is geared:
//!
//! ```
//! use pullrank::files::{finding::Findings, study};
//! use pullrank::study::{Engines, SpecRun, run};
//!
//! let mut found = Findings::new();
//! let mut study = study::read("examples/club-season.yaml".as_ref(), &mut found)
//!     .ok_or_else(|| format!("{} faults", found.errors()))?;
//! study.entries.truncate(1);
//!
//! let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)?;
//! let outcome = run(&study, &engines);
//! let order = outcome.venues[0].order(SpecRun::time);
//! let (quickest, time) = order[0];
//! assert_eq!(engines.list[quickest].name, "long manifold");
//! assert!(time > 270.0 && time < 290.0);
//!
//! let reading = outcome.venues[0].specs[quickest].as_geared.clone()?;
//! let bands = pullrank::explain::bands(&reading.spans, 500.0);
//! let in_band: f64 = bands.bands.iter().map(|band| band.time).sum();
//! assert!((in_band + bands.shifting - time).abs() < 1e-6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

// The sample of cars and roads that tests of rooms share with those of the whole names the crate.
#[cfg(test)]
extern crate self as pullrank;

pub mod air;
pub mod car;
pub mod cli;
pub mod dyno;
pub mod explain;
pub mod files;
pub mod lap;
pub mod report;
pub mod schedule;
pub mod study;
pub mod units;
pub mod venue;
