//! A driver's own scale of grades.

use super::pieces::{speed, turn};
use crate::files::finding::quoted;
use crate::files::yaml::Item;
use crate::venue::grades::{Grade, Grades};

/// A driver's own scale of grades: a speed each, `flat`, or speed and angle, as in
/// `{hairpin: 28 km/h, square: 44 km/h, 3: {apex: 66 km/h, turn: 55 deg}, 6: flat}`.
pub fn grades(item: &Item) -> Option<Grades> {
    let mut list = Vec::new();
    let mut sound = true;
    for entry in item.entries()? {
        match grade(&entry) {
            Some(grade) => list.push(grade),
            None => sound = false,
        }
    }
    if list.is_empty() && sound {
        item.error(
            "a scale without grades",
            "write one, as in `{hairpin: 28 km/h, square: 44 km/h}`",
        );
        return None;
    }
    if sound && let Some(text) = out_of_order(&list) {
        item.warning(text, "check the speeds: a scale rises or falls throughout");
    }
    sound.then_some(Grades {
        grades: list,
        assumed: false,
    })
}

/// What is said of two neighbours among the numbered grades that go against the scale as a whole.
fn out_of_order(grades: &[Grade]) -> Option<String> {
    let mut numbered: Vec<(f64, f64)> = grades
        .iter()
        .filter_map(|grade| {
            Some((
                grade.name.parse().ok()?,
                grade.speed.unwrap_or(f64::INFINITY),
            ))
        })
        .collect();
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

fn grade(item: &Item) -> Option<Grade> {
    let name = item.name().to_owned();
    let usual = Grades::usual_turn(&name);
    let read = |item: &Item| {
        if item.word() == Some("flat") {
            Some(None)
        } else {
            speed(item).map(Some)
        }
    };
    if !item.is_mapping() {
        let speed = read(item)?;
        let Some(turn) = usual else {
            item.error(
                format!(
                    "how far a corner of grade {} turns is not known",
                    quoted(&name)
                ),
                format!("write it, as in `{name}: {{apex: 60 km/h, turn: 55 deg}}`"),
            );
            return None;
        };
        return Some(Grade { name, speed, turn });
    }
    let map = item.mapping(&["apex", "turn"])?;
    let speed = map.require("apex", "66 km/h").and_then(|item| read(&item));
    let turned = match (map.take("turn"), usual) {
        (Some(item), _) => turn(&item),
        (None, Some(usual)) => Some(usual),
        (None, None) => map.require("turn", "55 deg").and_then(|item| turn(&item)),
    };
    Some(Grade {
        name,
        speed: speed?,
        turn: turned?,
    })
}
