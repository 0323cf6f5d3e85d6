//! Long chords beside bends.
//!
//! A chord much longer than its neighbour says nothing about the bend between them, so it is cut with the
//! neighbour's spacing. And who clicks along a road seldom clicks where its bends begin and end: the chord
//! from the last vertex of a bend to the first of the straight cuts the corner, and a road laid through
//! points on that chord would turn too late and too tightly. So the circle through the bend's last three
//! vertices goes on until it points at the vertex on the straight, and the chord is cut there.

use super::Point;
use super::drawn::SHORT;

/// A chord so many times as long as its neighbour says nothing about the bend between them.
const LONGER: f64 = 2.0;
/// Looks that the bends at both ends of a chord take at each other.
const LOOKS: usize = 3;
/// The rest of a bend is at most so many times as long as the chord before it.
const LONGEST: f64 = 1.25;

/// The bend at one end of a chord, as seen from the chord.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bend {
    /// Its last vertex, where the chord begins.
    at: Point,
    /// The vertex before it, and the one before that.
    before: (Point, Option<Point>),
    /// Length of the chord before it, m.
    spacing: f64,
}

impl Bend {
    /// From its vertices, the one at the chord first.
    pub fn new(at: Point, second: Point, third: Option<Point>) -> Self {
        Self {
            at,
            before: (second, third),
            spacing: second.to(&at),
        }
    }

    /// What is left of it, if it looks for a place, m east and north.
    fn rest(&self, ahead: (f64, f64)) -> Option<Rest> {
        let (second, third) = self.before;
        Rest::new([&third?, &second, &self.at], ahead)
    }

    /// The points that its spacing puts on the chord to another point: one, and two where the bend goes
    /// on and there is room.
    fn points(&self, far: &Point, rest: Option<Rest>) -> Vec<Point> {
        let whole = self.at.to(far);
        let room = whole > 2.0 * LONGER * self.spacing;
        let steps = if rest.is_some() && room { 2 } else { 1 };
        let place = |step: i32| {
            let distance = f64::from(step) * self.spacing;
            let on = self.at.towards(far, distance / whole);
            rest.map_or(on, |rest| {
                let (x, y) = rest.place(distance);
                Point { x, y, ..on }
            })
        };
        (1..=steps).map(place).collect()
    }
}

/// The points that the bends at both ends of a chord put on it, each end's from there.
pub(super) fn cuts(chord: [Point; 2], bends: [Option<Bend>; 2]) -> [Vec<Point>; 2] {
    let whole = chord[0].to(&chord[1]);
    let bends = bends.map(|bend| bend.filter(|bend| whole > SHORT.max(LONGER * bend.spacing)));
    let mut rests: [Option<Rest>; 2] = [None, None];
    for _ in 0..LOOKS {
        for (k, other) in [(0, 1), (1, 0)] {
            let far = rests[other].map_or((chord[other].x, chord[other].y), |rest| rest.end());
            rests[k] = bends[k].and_then(|bend| bend.rest(far));
        }
    }
    let points =
        |k: usize, far: &Point| bends[k].map_or(Vec::new(), |bend| bend.points(far, rests[k]));
    [points(0, &chord[1]), points(1, &chord[0])]
}

/// What is left of a bend behind its last vertex.
#[derive(Debug, Clone, Copy)]
struct Rest {
    /// The last vertex.
    at: Point,
    /// Heading there, rad, left positive.
    heading: f64,
    /// Radius, left positive, m.
    radius: f64,
    /// How far the bend still turns, rad, positive.
    angle: f64,
}

impl Rest {
    /// The rest of a bend through three vertices, the last of them at its end, that looks for `ahead`.
    /// None where the three lie on a line, where the chord to `ahead` touches the bend or turns the other
    /// way, or where the rest would be so much longer than the chord before it that a vertex would stand
    /// there.
    fn new(three: [&Point; 3], ahead: (f64, f64)) -> Option<Self> {
        let [first, second, at] = three;
        let chord = second.to(at);
        let (along, aside) = seen(second, first, at);
        // The chord c turns by asin(c / 2R) to either end; 1 / 2R is that of the circle through a triangle.
        let across = first.to(at);
        let bend = aside / (first.to(second) * across);
        if !bend.is_normal() || along > 0.0 {
            return None;
        }
        let radius = 0.5 / bend;
        let heading =
            (at.y - second.y).atan2(at.x - second.x) + (chord * bend).clamp(-1.0, 1.0).asin();
        let (sin, cos) = heading.sin_cos();
        let (dx, dy) = (ahead.0 - at.x, ahead.1 - at.y);
        // Where `ahead` is, straight on and towards the bend's side.
        let (u, v) = (dx * cos + dy * sin, (dy * cos - dx * sin) * radius.signum());
        let size = radius.abs();
        let far = u.hypot(size - v);
        let angle = u.atan2(size - v) - (size / far).min(1.0).acos();
        (far > size && angle > 0.0 && angle * size < LONGEST * chord).then_some(Self {
            at: *at,
            heading,
            radius,
            angle,
        })
    }

    /// Where the road is so many metres behind the last vertex, m east and north.
    fn place(&self, distance: f64) -> (f64, f64) {
        let angle = self.angle.min(distance / self.radius.abs());
        let straight = distance - angle * self.radius.abs();
        let (along, aside) = (
            self.radius.abs() * angle.sin() + straight * angle.cos(),
            (self.radius.abs() * (1.0 - angle.cos()) + straight * angle.sin())
                * self.radius.signum(),
        );
        let (sin, cos) = self.heading.sin_cos();
        (
            self.at.x + along * cos - aside * sin,
            self.at.y + along * sin + aside * cos,
        )
    }

    /// Where the bend ends, m east and north.
    fn end(&self) -> (f64, f64) {
        self.place(self.angle * self.radius.abs())
    }
}

/// A point as seen from another that looks at a third: straight on and to the left, m.
fn seen(from: &Point, point: &Point, towards: &Point) -> (f64, f64) {
    let length = from.to(towards);
    let (cos, sin) = ((towards.x - from.x) / length, (towards.y - from.y) / length);
    let (dx, dy) = (point.x - from.x, point.y - from.y);
    (dx * cos + dy * sin, dy * cos - dx * sin)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    const RADIUS: f64 = 20.0;

    fn point(x: f64, y: f64) -> Point {
        Point {
            x,
            y,
            z: None,
            t: None,
            fix: 0,
        }
    }

    /// A place so many metres along a left arc from the origin, or straight on from where it ends after
    /// `length` m.
    fn road(length: f64, at: f64) -> Point {
        let angle = at.min(length) / RADIUS;
        let beyond = (at - length).max(0.0);
        point(
            RADIUS * angle.sin() + beyond * angle.cos(),
            RADIUS * (1.0 - angle.cos()) + beyond * angle.sin(),
        )
    }

    fn bend(sign: f64, length: f64, last: f64) -> Bend {
        let at = |s: f64| {
            let place = road(length, s);
            point(place.x, sign * place.y)
        };
        Bend::new(at(last), at(last - 6.0), Some(at(last - 12.0)))
    }

    #[test]
    fn a_bend_goes_on_until_it_points_at_the_next_vertex() {
        for sign in [1.0, -1.0] {
            // Vertices at 6, 12 and 18 m of an arc that ends at 22 m, the next one at 72 m.
            let far = road(22.0, 72.0);
            let far = point(far.x, sign * far.y);
            let bend = bend(sign, 22.0, 18.0);
            let [on, none] = cuts([bend.at, far], [Some(bend), None]);
            assert!(none.is_empty());
            assert_eq!(on.len(), 2);
            // The three vertices' chords of 6 m stand for arcs a little longer: distances are to 0.1 m.
            for (place, s) in on.iter().zip([24.0, 30.0]) {
                let wanted = road(22.0, s);
                assert_relative_eq!(place.x, wanted.x, epsilon = 0.05);
                assert_relative_eq!(place.y, sign * wanted.y, epsilon = 0.05);
            }
        }
    }

    #[test]
    fn a_bend_that_ends_at_its_vertex_leaves_the_chord_alone() {
        let bend = bend(1.0, 18.0, 18.0);
        let far = road(18.0, 68.0);
        let [on, _] = cuts([bend.at, far], [Some(bend), None]);
        assert_eq!(on.len(), 1);
        let wanted = road(18.0, 24.0);
        assert_relative_eq!(on[0].x, wanted.x, epsilon = 0.05);
        assert_relative_eq!(on[0].y, wanted.y, epsilon = 0.05);
    }

    #[test]
    fn chords_no_longer_than_their_neighbours_are_not_cut() {
        // Vertices 12 m apart, and a chord of 23 m: long enough to be cut, but not beside these.
        let wide = Bend::new(road(36.0, 36.0), road(36.0, 24.0), Some(road(36.0, 12.0)));
        for (far, count) in [(59.0, 0), (62.0, 1)] {
            let [on, _] = cuts([wide.at, road(36.0, far)], [Some(wide), None]);
            assert_eq!(on.len(), count, "{far}");
        }
    }

    #[test]
    fn bends_at_both_ends_meet() {
        // An S: a left arc that ends 4 m behind its last vertex, 60 m straight, and the same to the right.
        let left = bend(1.0, 22.0, 18.0);
        let (sin, cos) = (22.0_f64 / RADIUS).sin_cos();
        let [start, middle] = [road(22.0, 22.0), road(22.0, 52.0)];
        let turned = |p: Point| point(2.0 * middle.x - p.x, 2.0 * middle.y - p.y);
        let right = Bend {
            at: turned(left.at),
            before: (turned(left.before.0), left.before.1.map(turned)),
            ..left
        };
        let [on, back] = cuts([left.at, right.at], [Some(left), Some(right)]);
        assert_eq!((on.len(), back.len()), (2, 2));
        // Behind the arc all lies on its tangent.
        for place in on.iter().chain(&back) {
            let aside = (place.y - start.y) * cos - (place.x - start.x) * sin;
            assert!(aside.abs() < 0.05, "{aside}");
        }
    }
}
