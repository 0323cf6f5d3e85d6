//! The pieces of a track, as a person writes them.

use super::scale::{Scale, assume_usual};
use super::sizes::{length, one_of, radius, speed, turn};
use super::surface_index;
use crate::files::finding::quoted;
use crate::files::yaml::{Item, Map};
use crate::units::STANDARD_GRAVITY;
use crate::venue::grades::{Grade, Grades};
use crate::venue::path::clean::LONGEST as LONGEST_ROAD;
use crate::venue::pieces::{
    Form, Item as Laid, Known, Layout, MOST_PIECES, Piece, Side, lay, write_out,
};
use crate::venue::{Extent, Scales, Surface};

const KINDS: &[&str] = &["straight", "corner", "square", "hairpin", "repeat"];
const STRAIGHT: &[&str] = &[
    "length", "name", "slope", "surface", "cap", "crest", "sector",
];
const CORNER: &[&str] = &[
    "radius",
    "turn",
    "direction",
    "length",
    "apex",
    "scales",
    "grade",
    "opens",
    "name",
    "slope",
    "surface",
    "cap",
    "crest",
    "sector",
];
const GRADED: &[&str] = &[
    "direction",
    "radius",
    "turn",
    "length",
    "opens",
    "name",
    "slope",
    "surface",
    "cap",
    "crest",
    "sector",
];
const SIDES: &[(&str, Side)] = &[
    ("left", Side::Left),
    ("right", Side::Right),
    ("l", Side::Left),
    ("r", Side::Right),
];

/// Reads pieces and lays them out; surfaces that they name are added to `surfaces`.
pub(super) fn layout(list: &Item, scale: &Scale, surfaces: &mut Vec<Surface>) -> Option<Layout> {
    let mut reader = Reader {
        scale,
        surfaces,
        graded: false,
        sloped: false,
        sound: true,
    };
    let items = reader.items(list)?;
    let (graded, sloped, sound) = (reader.graded, reader.sloped, reader.sound);
    if graded {
        assume_usual(list, &scale.grades, &reader.surfaces[0]);
    }
    if !sloped {
        list.assumed("slope", "a level road");
    }
    // With faults in the pieces themselves, what is missing of them is no news.
    if !sound {
        return None;
    }
    match write_out(&items) {
        Ok(pieces) => lay_out(list, &pieces),
        Err(error) => {
            list.error(error.to_string(), EXAMPLE);
            None
        }
    }
}

const EXAMPLE: &str = "write pieces, as in `[{straight: 140 m}, {square: left}]`";

/// Lays pieces out; what is in the way is a fault of `item`.
pub(super) fn lay_out(item: &Item, pieces: &[Piece]) -> Option<Layout> {
    let length: f64 = pieces.iter().map(rough).sum();
    short_enough(item, "this road", length, pieces.len() as f64)?;
    match lay(pieces) {
        Ok(layout) => Some(layout),
        Err(error) => {
            item.error(error.to_string(), EXAMPLE);
            None
        }
    }
}

/// Length of a piece, m; of a corner that waits for the car, as at 1 g.
fn rough(piece: &Piece) -> f64 {
    piece.length_at(STANDARD_GRAVITY)
}

/// Length, m, and number of the pieces that some items are once repeats are written out.
fn written_out(items: &[Laid]) -> (f64, f64) {
    items.iter().fold((0.0, 0.0), |(length, count), item| {
        let (more, pieces) = match item {
            Laid::Piece(piece) => (rough(piece), 1.0),
            Laid::Repeat { times, items } => {
                let (one, pieces) = written_out(items);
                (f64::from(*times) * one, f64::from(*times) * pieces)
            }
        };
        (length + more, count + pieces)
    })
}

/// Refuses a road that nobody drives, before it is laid out.
fn short_enough(item: &Item, what: &str, length: f64, pieces: f64) -> Option<()> {
    let text = if length > LONGEST_ROAD {
        format!(
            "{what} is {:.0} km long, and at most {:.0} km are one road",
            length / 1000.0,
            LONGEST_ROAD / 1000.0
        )
    } else if pieces > MOST_PIECES as f64 {
        format!("{what} has {pieces:.0} pieces, and at most {MOST_PIECES} are one road")
    } else {
        return Some(());
    };
    let remedy = "give one lap of a circuit alone, and check lengths and `times`";
    item.error(text, remedy);
    None
}

struct Reader<'s> {
    scale: &'s Scale,
    surfaces: &'s mut Vec<Surface>,
    /// A corner was given by its grade alone.
    graded: bool,
    /// A slope was given.
    sloped: bool,
    /// No piece was at fault.
    sound: bool,
}

impl Reader<'_> {
    fn items(&mut self, list: &Item) -> Option<Vec<Laid>> {
        let mut items = Vec::new();
        for item in list.list()? {
            match self.item(&item) {
                Some(laid) => items.push(laid),
                None => self.sound = false,
            }
        }
        Some(items)
    }

    fn item(&mut self, item: &Item) -> Option<Laid> {
        let map = item.mapping(KINDS)?;
        let piece = map.either(KINDS, Some("straight: 140 m"))?;
        match piece.name() {
            "straight" => self.straight(&piece).map(Laid::Piece),
            "corner" => self.corner(&piece).map(Laid::Piece),
            "repeat" => self.repeat(&piece),
            grade => self.graded(&piece, grade).map(Laid::Piece),
        }
    }

    fn repeat(&mut self, item: &Item) -> Option<Laid> {
        let map = item.mapping(&["times", "pieces"])?;
        let times = map
            .require("times", "6")
            .and_then(|item| item.integer(1..=1000));
        let items = map.require("pieces", "[{straight: 60 m}, {square: left}]");
        let items = items.and_then(|item| self.items(&item));
        let (times, items) = (times? as u32, items?);
        let (length, pieces) = written_out(&items);
        let all = f64::from(times);
        short_enough(item, "this repeat", all * length, all * pieces)?;
        Some(Laid::Repeat { times, items })
    }

    fn straight(&mut self, item: &Item) -> Option<Piece> {
        if !item.is_mapping() {
            return length(item).map(Piece::straight);
        }
        let map = item.mapping(STRAIGHT)?;
        let length = map
            .require("length", "140 m")
            .and_then(|item| length(&item));
        self.common(&map, Piece::straight(length.unwrap_or(1.0)))
            .filter(|_| length.is_some())
    }

    fn corner(&mut self, item: &Item) -> Option<Piece> {
        let map = item.mapping(CORNER)?;
        let side = side(&map);
        let by = map.either(&["radius", "apex", "grade"], Some("radius: 45 m"))?;
        let form = match by.name() {
            "radius" => {
                let radius = radius(&by);
                let turn = turned(&map, radius, None);
                Some(Known::Radius {
                    radius: radius?,
                    turn: turn?,
                })
            }
            "apex" => {
                let speed = speed(&by);
                let scales = match map.take("scales") {
                    Some(item) => {
                        item.one_of(&[("grip", Scales::Grip), ("driver", Scales::Driver)])
                    }
                    None => Some(Scales::Grip),
                };
                let extent = extent(&map, None);
                Some(Known::Apex {
                    speed: speed?,
                    extent: extent?,
                    scales: scales?,
                })
            }
            _ => {
                let name = by.text()?;
                return self.by_grade(&by, &map, &name, side);
            }
        };
        let opens = opens(&map);
        let piece = Piece::new(Form::Corner {
            known: form?,
            side: side.ok()?,
            opens: opens?,
            grade: None,
        });
        self.common(&map, piece)
    }

    /// `square: left`, or with more said about it.
    fn graded(&mut self, item: &Item, name: &str) -> Option<Piece> {
        if !item.is_mapping() {
            let side = item.one_of(SIDES)?;
            let grade = self.grade(item, name)?;
            return Some(self.scale.grades.piece(&grade, Some(side)));
        }
        let map = item.mapping(GRADED)?;
        let side = side(&map);
        let Some(by) = map.take("radius") else {
            return self.by_grade(item, &map, name, side);
        };
        // A radius needs no speed: the grade gives its name, and the angle where none is written.
        let radius = radius(&by);
        let usual = self
            .scale
            .grades
            .get(name)
            .map(|g| g.turn)
            .or_else(|| Grades::usual_turn(name));
        let turn = turned(&map, radius, usual);
        let opens = opens(&map);
        let piece = Piece::new(Form::Corner {
            known: Known::Radius {
                radius: radius?,
                turn: turn?,
            },
            side: side.ok()?,
            opens: opens?,
            grade: Some(name.to_owned()),
        });
        self.common(&map, piece)
    }

    fn by_grade(
        &mut self,
        item: &Item,
        map: &Map,
        name: &str,
        side: Result<Option<Side>, ()>,
    ) -> Option<Piece> {
        let mut grade = self.grade(item, name)?;
        if !map.has("turn") && !map.has("length") {
            self.scale.turned(item, |used| used == grade.name)?;
        }
        let opened = opens(map);
        let given = extent(map, Some(Extent::Turn(grade.turn)));
        if let Some(Extent::Turn(turn)) = given {
            grade.turn = turn;
        }
        let mut piece = self.scale.grades.piece(&grade, side.ok()?);
        match &mut piece.form {
            Form::Corner {
                opens,
                known: Known::Apex { extent, .. },
                ..
            } => {
                *opens = opened?;
                *extent = given?;
            }
            Form::Straight { length } => {
                if let Some(Extent::Length(given)) = given {
                    *length = given;
                }
            }
            Form::Corner { .. } => {}
        }
        self.common(map, piece)
    }

    fn grade(&mut self, item: &Item, name: &str) -> Option<Grade> {
        self.graded = true;
        let scale = &self.scale.grades;
        let found = scale.get(name).cloned();
        if found.is_none() {
            let known: Vec<&str> = scale.grades.iter().map(|g| g.name.as_str()).collect();
            item.error(
                format!("there is no grade {} in this driver's scale", quoted(name)),
                format!("grades known here: {}", known.join(", ")),
            );
        }
        found
    }

    /// What every piece may say.
    fn common(&mut self, map: &Map, mut piece: Piece) -> Option<Piece> {
        let mut sound = true;
        if let Some(item) = map.take("name") {
            piece.name = item.title();
            sound &= piece.name.is_some();
        }
        if let Some(item) = map.take("slope") {
            self.sloped = true;
            let slope = item.slope(-0.5..=0.5);
            sound &= slope.is_some();
            piece.slope = slope.unwrap_or(0.0);
        }
        if let Some(item) = map.take("surface") {
            let name = item.text();
            sound &= name.is_some();
            piece.surface = name.map_or(0, |name| surface_index(&name, self.surfaces));
        }
        for (key, place) in [("cap", &mut piece.cap), ("crest", &mut piece.crest)] {
            if let Some(item) = map.take(key) {
                *place = speed(&item);
                sound &= place.is_some();
            }
        }
        if let Some(item) = map.take("crest").filter(|_| piece.length().is_none()) {
            item.error(
                "a crest in the middle of a corner needs the corner's length",
                "add `length: 30 m`, or put the crest on a straight of its own",
            );
            sound = false;
        }
        if let Some(item) = map.take("sector") {
            piece.sector = item.text();
            sound &= piece.sector.is_some();
        }
        sound.then_some(piece)
    }
}

/// Which way it goes, if that is said; a fault is an error of its own.
fn side(map: &Map) -> Result<Option<Side>, ()> {
    match map.take("direction") {
        None => Ok(None),
        Some(item) => item.one_of(SIDES).map(Some).ok_or(()),
    }
}

fn opens(map: &Map) -> Option<f64> {
    map.take("opens")
        .map_or(Some(1.0), |item| item.number(0.2..=5.0))
}

/// The turned angle of a corner by radius: written, from its length, or the usual one.
fn turned(map: &Map, radius: Option<f64>, usual: Option<f64>) -> Option<f64> {
    let example = if usual.is_some() {
        None
    } else {
        Some("turn: 70 deg")
    };
    let Some(item) = one_of(map, ["turn", "length"], example) else {
        return usual;
    };
    if item.name() == "turn" {
        return turn(&item);
    }
    let length = length(&item)?;
    // With an opening third the same length turns less: see `Piece::length`.
    let thirds = (2.0 + 1.0 / opens(map)?) / 3.0;
    Some(length / radius? * thirds)
}

/// The length or the turned angle of a corner by its speed.
fn extent(map: &Map, usual: Option<Extent>) -> Option<Extent> {
    let example = if usual.is_some() {
        None
    } else {
        Some("length: 22 m")
    };
    let Some(item) = one_of(map, ["length", "turn"], example) else {
        return usual;
    };
    if item.name() == "length" {
        length(&item).map(Extent::Length)
    } else {
        turn(&item).map(Extent::Turn)
    }
}
