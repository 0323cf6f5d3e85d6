//! A driver's own scale of grades.

use super::sizes::turn;
use crate::files::finding::{Finding, Severity, quoted};
use crate::files::yaml::Item;
use crate::units::{KILOMETRE_PER_HOUR, SPEED};
use crate::venue::Surface;
use crate::venue::grades::{Grade, Grades};

/// Slowest and fastest apex that a driver grades, m/s: beyond it corners are walked or flat (common practice,
/// no source).
const GRADED: (f64, f64) = (5.0 * KILOMETRE_PER_HOUR, 300.0 * KILOMETRE_PER_HOUR);

/// Names of grades that may be the angle itself, degrees: scales by numbers end below.
const DEGREES: std::ops::RangeInclusive<u32> = 15..=180;

/// A scale of grades as a file has it.
#[derive(Debug, Clone, Default)]
pub struct Scale {
    /// The grades.
    pub grades: Grades,
    /// Those of whose corners nobody says how far they turn, each with its fault where a road has such a corner.
    unturned: Vec<(String, Finding)>,
}

impl From<Grades> for Scale {
    fn from(grades: Grades) -> Self {
        Self {
            grades,
            unturned: Vec::new(),
        }
    }
}

impl Scale {
    /// Makes sure of the grades that a road has corners of; what is told of one stands where the scale is
    /// written. `None` after a fault.
    pub(super) fn turned(&self, item: &Item, used: impl Fn(&str) -> bool) -> Option<()> {
        let asked = self.unturned.iter().filter(|(name, _)| used(name));
        let faults: Vec<&Finding> = asked.map(|(_, fault)| fault).collect();
        faults.iter().for_each(|fault| item.push((*fault).clone()));
        faults.is_empty().then_some(())
    }
}

/// A grade as written.
struct Written<'a> {
    name: &'a str,
    speed: Option<f64>,
    turn: Option<f64>,
    /// The fault that it is where a road has a corner of it.
    unturned: Option<Finding>,
}

/// A driver's own scale of grades: a speed each, `flat`, or speed and angle, as in
/// `{hairpin: 28 km/h, square: 44 km/h, 3: {apex: 66 km/h, turn: 55 deg}, 6: flat}`. Grades at fault are in it
/// too: the fault is found, and notes that use them are not to blame.
pub fn grades(item: &Item) -> Option<Scale> {
    let entries = item.entries()?;
    if entries.is_empty() {
        item.error(
            "a scale without grades",
            "write one, as in `{hairpin: 28 km/h, square: 44 km/h}`",
        );
        return None;
    }
    let read: Vec<Option<Written>> = entries.iter().map(grade).collect();
    let sound: Vec<&Written> = read.iter().flatten().collect();
    if sound.len() == read.len()
        && let Some(text) = out_of_order(&sound)
    {
        item.warning(text, "check the speeds: a scale rises or falls throughout");
    }
    let scale: Vec<(&str, f64)> = sound.iter().map(|g| (g.name, speed_of(g))).collect();
    let by_name = Grades::is_usual_way(&scale);
    let mut assumed = Vec::new();
    let mut list = Vec::new();
    for (entry, written) in entries.iter().zip(&read) {
        let name = entry.name().to_owned();
        let speed = written.as_ref().and_then(|grade| grade.speed);
        let turn = written.as_ref().and_then(|grade| grade.turn);
        let unturned = written.as_ref().and_then(|grade| grade.unturned.as_ref());
        let turn = turn.unwrap_or_else(|| {
            let named = Grades::usual_turn(&name).filter(|_| by_name);
            let turn = named.unwrap_or_else(|| Grades::turn_at(speed.unwrap_or(f64::INFINITY)));
            if speed.is_some() && unturned.is_none() {
                assumed.push(format!("{name} {:.0}°", turn.to_degrees()));
            }
            turn
        });
        list.push(Grade { name, speed, turn });
    }
    if !assumed.is_empty() {
        let by = if by_name { "names" } else { "speeds" };
        let text = format!("angles of grades by their {by}: {}", assumed.join(", "));
        item.assumed("turn", text);
    }
    let unturned = sound.iter().filter_map(|grade| {
        let fault = grade.unturned.clone()?;
        Some((grade.name.to_owned(), fault))
    });
    Some(Scale {
        unturned: unturned.collect(),
        grades: Grades {
            grades: list,
            assumed: false,
        },
    })
}

/// Lists the usual scale as assumed where it stands in for the driver's own; `main` is the surface of the road.
pub(super) fn assume_usual(item: &Item, grades: &Grades, main: &Surface) {
    if !grades.assumed {
        return;
    }
    let text = "corner speeds by a usual scale of grades, not this driver's own";
    let share = 100.0 * main.factor.sqrt();
    let text = match main.factor == 1.0 {
        true => text.to_owned(),
        false => format!("{text}, at {share:.0} % of its speeds on {}", main.name),
    };
    item.assumed("grades", text);
}

fn speed_of(grade: &Written) -> f64 {
    grade.speed.unwrap_or(f64::INFINITY)
}

/// What is said of two neighbours among the numbered grades that go against the scale as a whole.
fn out_of_order(grades: &[&Written]) -> Option<String> {
    let numbered = grades
        .iter()
        .filter_map(|grade| Some((grade.name.parse().ok()?, speed_of(grade))));
    let mut numbered: Vec<(f64, f64)> = numbered.collect();
    numbered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (numbered.first()?, numbered.last()?);
    let falls = last.1 < first.1;
    let against = |pair: &&[(f64, f64)]| match falls {
        true => pair[1].1 > pair[0].1,
        false => pair[1].1 < pair[0].1,
    };
    let pair = numbered.windows(2).find(against)?;
    let (than, others) = match falls {
        true => ("faster", "fall"),
        false => ("slower", "rise"),
    };
    Some(format!(
        "grade {} is {than} than {}, and the other grades {others}",
        pair[1].0, pair[0].0
    ))
}

fn grade<'a>(item: &Item<'a>) -> Option<Written<'a>> {
    let name = item.name();
    let (by, turn) = match item.is_mapping() {
        true => {
            let map = item.mapping(&["apex", "turn"])?;
            let turn = match map.take("turn") {
                Some(item) => Some(turn(&item)?),
                None => None,
            };
            (map.require("apex", "66 km/h")?, turn)
        }
        false => (*item, None),
    };
    let speed = match by.word() {
        Some("flat") => None,
        _ => Some(by.quantity(&SPEED, GRADED.0..=GRADED.1)?),
    };
    // A flat bend has no angle of its own.
    let asked = turn.is_none() && Grades::usual_turn(name).is_none();
    let unturned = speed
        .filter(|_| asked)
        .map(|_| no_turn(item, by.word().unwrap_or_default()));
    Some(Written {
        name,
        speed,
        turn,
        unturned,
    })
}

/// What is asked of a grade of this apex speed, m/s, where a road has a corner of it.
fn no_turn(item: &Item, written: &str) -> Finding {
    let name = item.name();
    let text = format!(
        "how far a corner of grade {} turns is not known",
        quoted(name)
    );
    let written = format!("{name}: {{apex: {written}, turn: …}}");
    let remedy = match name.parse() {
        Ok(angle) if DEGREES.contains(&angle) => {
            format!("write it as `{written}`; is the grade the angle? then `turn: {angle} deg`")
        }
        _ => format!(
            "write it as `{written}`, with the degrees that the road turns by in such corners: a right angle has 90, \
             a hairpin 150 to 180"
        ),
    };
    item.finding(Severity::Error, text).remedy(remedy)
}
