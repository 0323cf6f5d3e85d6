//! A road of one typical corner speed and one typical straight: what stands for a venue of which
//! nobody knows more than these two.

use super::{Bend, Course, EventKind, Extent, Place, Section, Start, Surface, plan};

/// Corners of the road; the middle one of so many, ordered by speed, is the typical one.
const CORNERS: usize = 15;
/// Spread of corner speeds: standard deviation of the logarithm (common practice, no source; the
/// demo's venues have 0.2 to 0.5).
const SPEED_SPREAD: f64 = 0.25;
/// Spread of straights, as in a sketch.
const STRAIGHT_SPREAD: f64 = 0.6;
/// Turned angle of a corner, rad: that of a middling one.
const TURN: f64 = 1.2;
/// The standard normal quantiles at (i + ½)/15, so that nothing is left to chance.
const NORMAL: [f64; CORNERS] = [
    -1.833_914_6,
    -1.281_551_6,
    -0.967_421_6,
    -0.727_913_3,
    -0.524_400_5,
    -0.340_694_8,
    -0.167_894_0,
    0.0,
    0.167_894_0,
    0.340_694_8,
    0.524_400_5,
    0.727_913_3,
    0.967_421_6,
    1.281_551_6,
    1.833_914_6,
];
/// Slow and fast corners, short and long straights, come in turns that repeat after the whole round.
const CORNER_STEP: usize = 7;
const STRAIGHT_STEP: usize = 4;

/// A level loop, driven flying, whose median corner speed, m/s at the usual grip of `surface`, and
/// median straight, m, are as given. Corners and straights are spread about them as roads are.
pub fn road(corner_speed: f64, straight: f64, surface: &Surface) -> Course {
    let lateral = plan::nominal_lateral(surface);
    let mut sections = Vec::with_capacity(2 * CORNERS);
    let mut places = Vec::with_capacity(2 * CORNERS);
    for i in 0..CORNERS {
        let length = straight * (STRAIGHT_SPREAD * NORMAL[i * STRAIGHT_STEP % CORNERS]).exp();
        let speed = corner_speed * (SPEED_SPREAD * NORMAL[i * CORNER_STEP % CORNERS]).exp();
        let radius = speed * speed / lateral;
        for (bend, length, corner) in [
            (Bend::Straight, length, false),
            (
                Bend::Radius {
                    curvature: 1.0 / radius,
                },
                TURN * radius,
                true,
            ),
        ] {
            sections.push(Section {
                extent: Extent::Length(length),
                bend,
                place: places.len(),
                ..Section::default()
            });
            places.push(Place {
                name: if corner { "corner" } else { "straight" }.to_owned(),
                corner,
                named: false,
            });
        }
    }
    Course {
        sections,
        places,
        surfaces: vec![surface.clone()],
        start: Start::Flying,
        ..Course::new("a typical road", EventKind::Circuit)
    }
}

#[cfg(test)]
mod tests {
    use super::super::character::character;
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_typical_road_is_what_it_is_asked_to_be() {
        for (speed, straight) in [(9.0, 40.0), (20.0, 150.0), (35.0, 700.0)] {
            let course = road(speed, straight, &Surface::plain("tarmac"));
            let found = character(&course);
            assert_relative_eq!(
                found.typical_corner_speed().unwrap(),
                speed,
                max_relative = 1e-9
            );
            assert_relative_eq!(
                found.typical_straight().unwrap(),
                straight,
                max_relative = 1e-9
            );
            assert_eq!(found.corners.len(), CORNERS);
        }
    }

    /// The quantiles against the normal distribution of a general library.
    #[test]
    fn quantiles_are_those_of_the_normal_distribution() {
        use statrs::distribution::{ContinuousCDF, Normal};
        for (i, q) in NORMAL.iter().enumerate() {
            let p = (i as f64 + 0.5) / CORNERS as f64;
            let wanted = Normal::standard().inverse_cdf(p);
            assert!((q - wanted).abs() < 1e-5, "{i}: {q} {wanted}");
        }
    }
}
