//! Kinds of road to answer for where nobody has named a venue yet. They are nobody's event: counts of
//! a typical road of its kind (common practice, no source), shuffled.

use super::grades::Grades;
use super::sketch::{Count, Sketch};
use super::{Course, EventKind, Surface, pieces, plan};

/// A kind of road by its counts.
struct Kind {
    name: &'static str,
    event: EventKind,
    surface: &'static str,
    length: f64,
    /// Corners by grade of the usual scale.
    corners: &'static [(&'static str, u32)],
    longest: f64,
    slope: f64,
    rolling: f64,
}

const KINDS: &[Kind] = &[
    Kind {
        name: "tight lanes",
        event: EventKind::Stage,
        surface: "tarmac",
        length: 6000.0,
        corners: &[
            ("hairpin", 3),
            ("square", 12),
            ("2", 8),
            ("3", 12),
            ("4", 10),
        ],
        longest: 260.0,
        slope: 0.0,
        rolling: 0.03,
    },
    Kind {
        name: "open road",
        event: EventKind::Stage,
        surface: "tarmac",
        length: 12_000.0,
        corners: &[
            ("hairpin", 2),
            ("square", 6),
            ("3", 14),
            ("4", 18),
            ("5", 16),
        ],
        longest: 600.0,
        slope: 0.0,
        rolling: 0.03,
    },
    Kind {
        name: "forest gravel",
        event: EventKind::Stage,
        surface: "gravel",
        length: 8000.0,
        corners: &[
            ("hairpin", 4),
            ("square", 6),
            ("2", 12),
            ("3", 16),
            ("4", 12),
        ],
        longest: 350.0,
        slope: 0.0,
        rolling: 0.04,
    },
    Kind {
        name: "hill",
        event: EventKind::Hillclimb,
        surface: "tarmac",
        length: 1400.0,
        corners: &[("hairpin", 2), ("square", 2), ("3", 3), ("4", 2)],
        longest: 200.0,
        slope: 0.08,
        rolling: 0.02,
    },
    Kind {
        name: "tight circuit",
        event: EventKind::Circuit,
        surface: "tarmac",
        length: 2000.0,
        corners: &[("hairpin", 2), ("square", 3), ("3", 3), ("4", 2)],
        longest: 350.0,
        slope: 0.0,
        rolling: 0.0,
    },
    Kind {
        name: "fast circuit",
        event: EventKind::Circuit,
        surface: "tarmac",
        length: 4000.0,
        corners: &[("square", 1), ("3", 2), ("4", 4), ("5", 4)],
        longest: 800.0,
        slope: 0.0,
        rolling: 0.0,
    },
];

/// The built-in kinds of road, each the first of many like it ([`Course::shuffled`]).
pub fn roads() -> Vec<Course> {
    KINDS.iter().filter_map(road).collect()
}

fn road(kind: &Kind) -> Option<Course> {
    let grades = Grades::default();
    let surface = Surface::plain(kind.surface);
    let lateral = plan::nominal_lateral(&surface);
    let count = |(name, count): &(&str, u32)| {
        let grade = grades.get(name)?;
        Some(Count {
            name: (*name).to_owned(),
            count: *count,
            speed: grade.speed,
            scales: grades.scales(),
            length: super::grades::length(grade.turn, grade.speed, lateral),
        })
    };
    let sketch = Sketch {
        length: kind.length,
        counts: kind.corners.iter().filter_map(count).collect(),
        lateral,
        longest: Some(kind.longest),
        slope: kind.slope,
        rolling: kind.rolling,
    };
    let layout = pieces::lay(&sketch.road(1, 0).ok()?).ok()?;
    Some(Course {
        sections: layout.sections,
        places: layout.places,
        surfaces: vec![surface],
        sketch: Some(sketch),
        stands_in: true,
        ..Course::new(kind.name, kind.event)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_road_is_one() {
        let roads = roads();
        assert_eq!(roads.len(), KINDS.len());
        for road in &roads {
            let lateral = plan::nominal_lateral(&road.surfaces[0]);
            let length = road.sketch.as_ref().map_or(0.0, |s| s.length);
            let off = road.nominal_length(lateral) / length - 1.0;
            assert!(off.abs() < 1e-3, "{}: {off}", road.name);
            assert_ne!(road.shuffled(1, 1), road.shuffled(1, 2));
            assert_eq!(road.shuffled(1, 5), road.shuffled(1, 5));
        }
    }
}
