//! Courses of a few sections.

use pullrank::venue::{Bend, Course, EventKind, Extent, Finish, Section, Start};

/// A level straight, m.
pub fn straight(length: f64) -> Section {
    Section {
        extent: Extent::Length(length),
        ..Section::default()
    }
}

/// A level left-hand bend of constant radius, both in m.
pub fn bend(length: f64, radius: f64) -> Section {
    Section {
        bend: Bend::Radius {
            curvature: 1.0 / radius,
        },
        ..straight(length)
    }
}

/// A half circle, m.
pub fn half_circle(radius: f64) -> Section {
    bend(std::f64::consts::PI * radius, radius)
}

/// From point to point.
pub fn road(start: Start, finish: Finish, sections: Vec<Section>) -> Course {
    Course {
        start,
        finish,
        sections,
        ..Course::new("road", EventKind::Sprint)
    }
}

/// From a standstill over the line.
pub fn drag_strip(length: f64) -> Course {
    road(Start::Standing, Finish::Flying, vec![straight(length)])
}

/// From a speed in m/s over the line.
pub fn rolling(speed: f64, sections: Vec<Section>) -> Course {
    road(Start::Rolling(speed), Finish::Flying, sections)
}

/// A lap that repeats itself.
pub fn ring(sections: Vec<Section>) -> Course {
    Course {
        sections,
        ..Course::new("ring", EventKind::Circuit)
    }
}
