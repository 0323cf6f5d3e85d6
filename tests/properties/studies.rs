//! Whole studies drawn at random, read from their files as a person writes them.

use std::collections::HashMap;
use std::fs;
use std::path::PathBuf;

use proptest::collection::vec;
use proptest::prelude::*;
use pullrank::explain::bands;
use pullrank::files::finding::Findings;
use pullrank::files::study;
use pullrank::study::{Engines, Outcome, Study, run};

use crate::support::random::settled;

/// A piece of road.
#[derive(Debug, Clone, Copy)]
enum Piece {
    /// Length, m; slope.
    Straight(f64, f64),
    /// Radius, m; turned angle, degrees; to the left.
    Corner(f64, f64, bool),
}

/// A study in numbers.
#[derive(Debug, Clone)]
struct Draft {
    mass: f64,
    ratios: Vec<f64>,
    shift_time: f64,
    grip: f64,
    drag_area: f64,
    kind: &'static str,
    pieces: Vec<Piece>,
    /// Torque of each spec at 2,000, 3,000 … 7,000 rpm, N·m.
    specs: Vec<[f64; 6]>,
}

fn pieces() -> impl Strategy<Value = Vec<Piece>> {
    let straight = (30.0..400.0f64, -0.06..0.06f64).prop_map(|(m, s)| Piece::Straight(m, s));
    let corner = (10.0..80.0f64, 20.0..150.0f64, any::<bool>())
        .prop_map(|(radius, turn, left)| Piece::Corner(radius, turn, left));
    vec((straight, corner), 1..5).prop_map(|pairs| {
        pairs
            .into_iter()
            .flat_map(|(straight, corner)| [straight, corner])
            .collect()
    })
}

fn spec() -> impl Strategy<Value = [f64; 6]> {
    (120.0..200.0f64, 3500.0..6500.0f64, 0.1..0.4f64).prop_map(|(most, best, fall)| {
        std::array::from_fn(|i| {
            let away = (2000.0 + 1000.0 * i as f64 - best) / 3000.0;
            // As a sheet has it: a tenth of a newton metre.
            (10.0 * most * (1.0 - fall * away * away)).round() / 10.0
        })
    })
}

fn drafts() -> impl Strategy<Value = Draft> {
    let ratios = (2.6..3.6f64, vec(0.65..0.85f64, 2..5)).prop_map(|(first, steps)| {
        let mut ratios = vec![first];
        ratios.extend(steps.iter().scan(first, |ratio, step| {
            *ratio *= step;
            Some(*ratio)
        }));
        ratios
    });
    let kind = prop_oneof![
        Just("stage"),
        Just("hillclimb"),
        Just("sprint"),
        Just("circuit")
    ];
    (
        (
            700.0..1400.0f64,
            ratios,
            0.1..0.6f64,
            0.5..1.2f64,
            0.4..0.9f64,
        ),
        (kind, pieces(), vec(spec(), 2..4)),
    )
        .prop_map(
            |((mass, ratios, shift_time, grip, drag_area), (kind, pieces, specs))| Draft {
                mass,
                ratios,
                shift_time,
                grip,
                drag_area,
                kind,
                pieces,
                specs,
            },
        )
}

/// Units that a study may be written in, with their size.
#[derive(Clone, Copy)]
struct Units {
    mass: (&'static str, f64),
    length: (&'static str, f64),
    torque: (&'static str, f64),
    time: (&'static str, f64),
    area: (&'static str, f64),
}

const METRIC: Units = Units {
    mass: ("kg", 1.0),
    length: ("m", 1.0),
    torque: ("Nm", 1.0),
    time: ("s", 1.0),
    area: ("m2", 1.0),
};
/// The pound, foot and inch of 1959 and the pound-force foot that follows from them and standard
/// gravity (NIST SP 811, appendix B, from memory).
const MIXED: Units = Units {
    mass: ("lb", 0.453_592_37),
    length: ("ft", 0.3048),
    torque: ("lb-ft", 0.453_592_37 * 9.806_65 * 0.3048),
    time: ("ms", 1e-3),
    area: ("ft2", 0.3048 * 0.3048),
};

impl Draft {
    fn car(&self, units: &Units) -> String {
        let of = |value: f64, (name, size): (&str, f64)| format!("{} {name}", value / size);
        format!(
            "name: Drawn\ndrive: rear\nmass: {}\ntyre: {{size: 185/60R13, grip: {{tarmac: {}}}}}\n\
             ratios: {:?}\nfinal_drive: 9/38\nshift_time: {}\ndrag_area: {}\nrev_limit: 6900 rpm\n",
            of(self.mass, units.mass),
            self.grip,
            self.ratios,
            of(self.shift_time, units.time),
            of(self.drag_area, units.area),
        )
    }

    /// The test day, its specs in the order that is asked for.
    fn test_day(&self, units: &Units, order: &[usize]) -> String {
        let (name, size) = units.torque;
        let spec = |&i: &usize| {
            let torque: Vec<String> = self.specs[i]
                .iter()
                .map(|t| format!("{} {name}", t / size))
                .collect();
            let rpm = "[2000, 3000, 4000, 5000, 6000, 7000]";
            let torque = torque.join(", ");
            format!("  - {{name: spec {i}, points: {{rpm: {rpm}, torque: [{torque}]}}}}\n")
        };
        let specs: String = order.iter().map(spec).collect();
        format!("dyno: {{method: steps}}\ncorrected: DIN 70020\nspecs:\n{specs}")
    }

    fn track(&self, units: &Units, pieces: &str) -> String {
        let elevation = format!("{} {}", 200.0 / units.length.1, units.length.0);
        format!(
            "name: Drawn Road\nkind: {}\nstart: standing\nsurface: tarmac\n\
             air: {{elevation: {elevation}, temperature: 15 C, humidity: 60 %}}\npieces:\n{pieces}",
            self.kind
        )
    }

    fn pieces(&self, units: &Units) -> String {
        self.pieces
            .iter()
            .map(|piece| piece.written(units))
            .collect()
    }

    fn all(&self) -> Vec<usize> {
        (0..self.specs.len()).collect()
    }

    /// What comes of it.
    fn run(&self, units: &Units, order: &[usize], pieces: &str) -> Ran {
        let folder = Folder::new();
        let study = "car: car.yaml\ntestday: testday.yaml\ndriver: {lowest_rpm: none}\nvenues: [track.yaml]\n";
        folder.write("car.yaml", &self.car(units));
        folder.write("testday.yaml", &self.test_day(units, order));
        folder.write("track.yaml", &self.track(units, pieces));
        folder.write("study.yaml", study);
        let mut found = Findings::new();
        let read = study::read(&folder.0.join("study.yaml"), &mut found);
        let study = read.unwrap_or_else(|| {
            panic!(
                "{}",
                found.iter().map(|f| format!("{f}\n")).collect::<String>()
            )
        });
        let limit = study.car.rev_limit_rpm;
        let engines = Engines::of(&study.test_day, &study.compared, limit).expect("engines");
        let outcome = run(&study, &engines);
        Ran { study, outcome }
    }

    fn plain(&self) -> Ran {
        self.run(&METRIC, &self.all(), &self.pieces(&METRIC))
    }
}

impl Piece {
    fn written(&self, units: &Units) -> String {
        let (name, size) = units.length;
        match *self {
            Self::Straight(length, slope) => {
                format!(
                    "  - straight: {{length: {} {name}, slope: {} %}}\n",
                    length / size,
                    100.0 * slope
                )
            }
            Self::Corner(radius, turn, left) => format!(
                "  - corner: {{radius: {} {name}, turn: {turn} deg, direction: {}}}\n",
                radius / size,
                if left { "left" } else { "right" }
            ),
        }
    }
}

struct Ran {
    study: Study,
    outcome: Outcome,
}

impl Ran {
    /// Seconds as geared and at the quickest gearing of each spec by its name; nothing where the car
    /// cannot drive the road.
    fn times(&self) -> HashMap<String, Option<(f64, f64)>> {
        let specs = self
            .study
            .compared
            .iter()
            .map(|&i| &self.study.test_day.specs[i]);
        let runs = &self.outcome.venues[0].specs;
        specs
            .zip(runs)
            .map(|(spec, run)| (spec.name.clone(), run.time().zip(run.best_time())))
            .collect()
    }
}

/// A folder that goes when dropped.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        use std::sync::atomic::{AtomicU32, Ordering};
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("pullrank-drawn-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder).expect("a folder");
        Self(folder)
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.0.join(name), text).expect("a file");
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

proptest! {
    #![proptest_config(settled(24))]

    /// Times are finite and positive, and every second of them is in a band or in a change of gear.
    #[test]
    fn property_every_second_of_a_study_is_accounted_for(draft in drafts()) {
        let ran = draft.plain();
        for run in &ran.outcome.venues[0].specs {
            let Ok(reading) = &run.as_geared else { continue };
            prop_assert!(reading.time.is_finite() && reading.time > 0.0);
            for width in [100.0, 500.0, 777.0] {
                let split = bands(&reading.spans, width);
                prop_assert!(split.bands.iter().all(|band| band.time >= 0.0));
                let inside: f64 = split.bands.iter().map(|band| band.time).sum();
                prop_assert!((inside + split.shifting - reading.time).abs() < 1e-6);
            }
            prop_assert!(run.best_time().is_some_and(|best| best <= reading.time));
        }
    }

    /// Specs in another order, and one spec less, change no bit of anyone's time.
    #[test]
    fn property_who_else_is_compared_changes_no_bit(draft in drafts()) {
        let all = draft.plain().times();
        let backwards: Vec<usize> = (0..draft.specs.len()).rev().collect();
        prop_assert_eq!(&draft.run(&METRIC, &backwards, &draft.pieces(&METRIC)).times(), &all);
        let fewer = draft.run(&METRIC, &draft.all()[1..], &draft.pieces(&METRIC)).times();
        for (name, times) in fewer {
            prop_assert_eq!(&times, &all[&name], "{}", name);
        }
    }

    /// The same study in other units is the same but for the rounding of its numbers.
    #[test]
    fn property_any_mix_of_units_gives_the_same_study(draft in drafts(), which in 0..32u32) {
        let pick = |bit: u32| if which & (1 << bit) == 0 { &METRIC } else { &MIXED };
        let units = Units {
            mass: pick(0).mass,
            length: pick(1).length,
            torque: pick(2).torque,
            time: pick(3).time,
            area: pick(4).area,
        };
        let plain = draft.plain().times();
        let mixed = draft.run(&units, &draft.all(), &draft.pieces(&units)).times();
        for (name, times) in plain {
            match (times, mixed[&name]) {
                (Some((a, b)), Some((c, d))) => {
                    prop_assert!((a - c).abs() < 1e-6 && (b - d).abs() < 1e-6, "{a} {c} {b} {d}");
                }
                (one, other) => prop_assert_eq!(one, other),
            }
        }
    }

    /// A road written out and as a repetition, and a corner by its length or by its angle, are one.
    #[test]
    fn property_a_road_is_one_in_every_form(draft in drafts()) {
        let once = draft.pieces(&METRIC);
        let indented = once.replace("  - ", "        - ");
        let repeated = format!("  - repeat:\n      times: 2\n      pieces:\n{indented}");
        let written_out = draft.run(&METRIC, &draft.all(), &format!("{once}{once}")).times();
        prop_assert_eq!(&draft.run(&METRIC, &draft.all(), &repeated).times(), &written_out);
        let by_length: String = draft
            .pieces
            .iter()
            .map(|piece| match *piece {
                Piece::Corner(radius, turn, left) => format!(
                    "  - corner: {{radius: {radius} m, length: {} m, direction: {}}}\n",
                    radius * turn.to_radians(),
                    if left { "left" } else { "right" }
                ),
                straight => straight.written(&METRIC),
            })
            .collect();
        let plain = draft.plain().times();
        for (name, times) in draft.run(&METRIC, &draft.all(), &by_length).times() {
            match (times, plain[&name]) {
                (Some((a, _)), Some((b, _))) => prop_assert!((a - b).abs() < 1e-6, "{a} {b}"),
                (one, other) => prop_assert_eq!(one, other),
            }
        }
    }
}
