//! The course cut into cells: short pieces with constant curvature, slope and surface between
//! stations. Every edge of a section is a station.

use std::sync::Arc;

use super::LapError;
use crate::units::STANDARD_GRAVITY;
use crate::venue::{Bend, Course, Extent, Scales, Section, Start};

/// Speed squared that no car reaches, m²/s²: "no limit" with finite arithmetic.
pub const UNLIMITED: f64 = 1e6;

/// One cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Length along the road, m.
    pub length: f64,
    /// Curvature without sign, 1/m.
    pub curvature: f64,
    /// Gravity across the road, g·cosθ, m/s².
    pub g_cos: f64,
    /// Gravity along the road, g·sinθ, rising positive, m/s².
    pub g_sin: f64,
    /// Square of the speed that a measured corner allows at nominal grip and share, m²/s²;
    /// [`UNLIMITED`] elsewhere.
    pub measured: f64,
    /// Square of the speed the driver will not pass whatever the grip, m²/s².
    pub cap: f64,
    /// Surface of the course.
    pub surface: u16,
    /// The corner is given by its radius, so that the driver's corner share applies.
    pub by_radius: bool,
    /// Section of the course.
    pub section: u32,
}

/// What a measured apex speed was driven with: it fixes the curvature once.
#[derive(Debug, Clone, PartialEq)]
pub struct Nominal {
    /// Grip per surface of the course.
    pub grip: Vec<f64>,
    /// Corner share of the driver.
    pub corner_share: f64,
    /// Corner share that the curvature follows from, the usual driver's: a road has its shape whoever drives it.
    pub usual_share: f64,
    /// [`Course::speeds`].
    pub speeds: f64,
    /// Downforce per mass and z, ½ρ·C_l·A/m, 1/m.
    pub downforce: f64,
}

/// A course cut into cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Cells {
    /// Cells in driving order.
    pub cells: Vec<Cell>,
    /// Distance of each station along the road, m; one more than cells.
    pub stations: Vec<f64>,
    /// How the run begins.
    pub start: Start,
    /// The run ends at rest.
    pub stop_at_finish: bool,
    /// The last station is the first one again.
    pub closed: bool,
    /// What measured corners were driven with.
    pub nominal: Nominal,
    /// Name of the place of each section, for messages.
    pub place_names: Arc<[String]>,
}

impl Cells {
    /// Cuts a course into cells no longer than `spacing` m.
    ///
    /// # Errors
    /// [`LapError::EmptyCourse`] where there is no road.
    pub fn new(course: &Course, nominal: Nominal, spacing: f64) -> Result<Self, LapError> {
        Self::with_lengths(course, nominal, |_| spacing)
    }

    /// Cuts a course into cells, `spacing` giving the longest cell of each section, m.
    ///
    /// # Errors
    /// [`LapError::EmptyCourse`] where there is no road.
    pub fn with_lengths(
        course: &Course,
        nominal: Nominal,
        spacing: impl Fn(usize) -> f64,
    ) -> Result<Self, LapError> {
        let mut cells = Vec::new();
        let mut stations = vec![0.0];
        let mut distance = 0.0;
        for (index, section) in course.sections.iter().enumerate() {
            let whole = whole(section, index, &nominal);
            let count = (whole.length / spacing(index)).ceil().max(1.0) as usize;
            let length = whole.length / count as f64;
            let cell = Cell { length, ..whole };
            for i in 1..=count {
                cells.push(cell);
                stations.push(distance + length * i as f64);
            }
            distance += whole.length;
        }
        if cells.is_empty() || distance <= 0.0 {
            return Err(LapError::EmptyCourse);
        }
        let place_names = course
            .sections
            .iter()
            .map(|s| {
                course
                    .places
                    .get(s.place)
                    .map_or(String::new(), |p| p.name.clone())
            })
            .collect();
        Ok(Self {
            cells,
            stations,
            start: course.start,
            stop_at_finish: course.finish == crate::venue::Finish::Standing,
            closed: course.is_closed(),
            nominal,
            place_names,
        })
    }

    /// The same course cut anew, `wanted` giving the cell length wanted at each present cell, m.
    /// Lengths grade smoothly within a section; no cell crosses the edge of one.
    pub fn regraded(&self, wanted: &[f64]) -> Self {
        let mut cells = Vec::new();
        let mut stations = vec![0.0];
        let mut first = 0;
        for group in self.cells.chunk_by(|a, b| a.section == b.section) {
            let here = first..first + group.len();
            let density = |i: usize| self.cells[i].length / wanted[i];
            let whole: f64 = here.clone().map(density).sum();
            let count = whole.ceil().max(1.0);
            let (mut passed, mut cut) = (0.0, 1.0);
            for i in here {
                let share = density(i);
                while cut < count && passed + share >= cut * whole / count {
                    let part = (cut * whole / count - passed) / share;
                    stations.push(self.stations[i] + part * self.cells[i].length);
                    cut += 1.0;
                }
                passed += share;
            }
            first += group.len();
            stations.push(self.stations[first]);
            for pair in stations.windows(2).skip(cells.len()) {
                cells.push(Cell {
                    length: pair[1] - pair[0],
                    ..group[0]
                });
            }
        }
        Self {
            cells,
            stations,
            ..self.clone()
        }
    }

    /// The same course with every cell cut in two.
    pub fn halved(&self) -> Self {
        let cells = self.cells.iter().flat_map(|c| {
            let half = Cell {
                length: 0.5 * c.length,
                ..*c
            };
            [half, half]
        });
        let middles = self
            .stations
            .windows(2)
            .flat_map(|w| [w[0], 0.5 * (w[0] + w[1])]);
        let stations = middles.chain([self.length()]).collect();
        Self {
            cells: cells.collect(),
            stations,
            ..self.clone()
        }
    }

    /// The same course with the speed of every measured corner multiplied, section by section of the
    /// `course` it was cut from. A corner that is known by its turned angle keeps the angle, so its
    /// length goes with its radius.
    pub fn with_corner_speeds(&self, course: &Course, factors: &[f64]) -> Self {
        let mut changed = self.clone();
        for cell in &mut changed.cells {
            let section = &course.sections[cell.section as usize];
            let Bend::Measured {
                speed,
                direction,
                scales,
            } = section.bend
            else {
                continue;
            };
            let speed = speed * factors[cell.section as usize];
            let faster = Bend::Measured {
                speed,
                direction,
                scales,
            };
            let (curvature, measured, _) = bend(
                faster,
                grips(section, &self.nominal),
                cell.g_cos,
                &self.nominal,
            );
            if matches!(section.extent, Extent::Turn(_)) {
                cell.length *= cell.curvature / curvature;
            }
            if scales == Scales::Driver {
                cell.cap = section.cap.map_or(UNLIMITED, |v| v * v).min(speed * speed);
            }
            (cell.curvature, cell.measured) = (curvature, measured);
        }
        let mut distance = 0.0;
        for (cell, station) in changed.cells.iter().zip(&mut changed.stations[1..]) {
            distance += cell.length;
            *station = distance;
        }
        changed
    }

    /// The same cuts on another course of as many sections, each with as many cells as here, of the same
    /// shares of its length.
    pub fn on(&self, course: &Course, nominal: Nominal) -> Self {
        let (mut cells, mut stations) = (Vec::new(), vec![0.0]);
        let mut begun = 0.0;
        for group in self.cells.chunk_by(|a, b| a.section == b.section) {
            let index = group[0].section as usize;
            let whole = whole(&course.sections[index], index, &nominal);
            let before: f64 = group.iter().map(|cell| cell.length).sum();
            let mut done = 0.0;
            for cell in group {
                let length = cell.length * (whole.length / before);
                cells.push(Cell { length, ..whole });
                done += length;
                stations.push(begun + done);
            }
            begun += whole.length;
        }
        Self {
            cells,
            stations,
            start: course.start,
            nominal,
            ..self.clone()
        }
    }

    /// Number of cells.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether there are none (never, for cells built from a course).
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// Length along the road, m.
    pub fn length(&self) -> f64 {
        self.stations[self.len()]
    }

    /// Name of the place a cell belongs to.
    pub fn place(&self, cell: usize) -> &str {
        &self.place_names[self.cells[cell].section as usize]
    }
}

/// A whole section as one cell.
fn whole(section: &Section, index: usize, nominal: &Nominal) -> Cell {
    let cos = 1.0 / (1.0 + section.slope * section.slope).sqrt();
    let g_cos = STANDARD_GRAVITY * cos;
    let (curvature, measured, by_radius) =
        bend(section.bend, grips(section, nominal), g_cos, nominal);
    let driver = match section.bend {
        Bend::Measured {
            speed,
            scales: Scales::Driver,
            ..
        } => speed * speed,
        _ => UNLIMITED,
    };
    Cell {
        length: match section.extent {
            Extent::Length(length) => length,
            Extent::Turn(angle) => angle / curvature,
        },
        curvature,
        g_cos,
        g_sin: STANDARD_GRAVITY * section.slope * cos,
        measured,
        cap: section.cap.map_or(UNLIMITED, |v| v * v).min(driver),
        surface: section.surface as u16,
        by_radius,
        section: index as u32,
    }
}

/// Grip where the speed of a section is known, and where it lies.
fn grips(section: &Section, nominal: &Nominal) -> (f64, f64) {
    (
        nominal.grip[section.known_on()],
        nominal.grip[section.surface],
    )
}

/// Curvature, the square of the speed that grip was seen to allow, and whether it is by radius. A speed that is
/// known at one grip is carried over to the grip `here`: with s the usual share, κ = s²·µ·(g + d·v²)/v² at both.
fn bend(bend: Bend, (grip, here): (f64, f64), g_cos: f64, nominal: &Nominal) -> (f64, f64, bool) {
    match bend {
        Bend::Straight => (0.0, UNLIMITED, false),
        Bend::Radius { curvature } => (curvature.abs(), UNLIMITED, true),
        Bend::Measured { speed, scales, .. } => {
            let z = speed * speed;
            let share = nominal.usual_share * nominal.usual_share;
            let curvature = share * grip * (g_cos + nominal.downforce * z) / z;
            let z = if here == grip {
                z
            } else {
                let left = curvature - share * here * nominal.downforce;
                match left > 0.0 {
                    true => share * here * g_cos / left,
                    false => UNLIMITED,
                }
            };
            let measured = match scales {
                Scales::Grip => z * nominal.speeds * nominal.speeds,
                Scales::Usual => z * nominal.corner_share * nominal.corner_share / share,
                Scales::Driver => UNLIMITED,
            };
            (curvature, measured, false)
        }
    }
}
