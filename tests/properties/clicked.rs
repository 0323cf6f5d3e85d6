//! Roads clicked on a map as people do, seldom where bends begin and end and never quite on the road:
//! how far is the lap time off, and are there as many corners?

use pullrank::venue::path::survey::survey;
use pullrank::venue::path::{Fix, Place};
use pullrank::venue::{Course, plan};

use super::recorder::Normal;
use super::recordings::{ROADS, World, error, points, request, road};

/// Metres between the points of the line that is clicked along.
const FINE: f64 = 0.25;

fn at(fix: &Fix) -> (f64, f64) {
    match fix.place {
        Place::Plane(x, y) => (x, y),
        Place::LatLon(_) => unreachable!("these roads lie on a plane"),
    }
}

/// How far a point lies from the line through two others, m.
fn aside(from: &Fix, to: &Fix, point: &Fix) -> f64 {
    let [(x0, y0), (x1, y1), (x, y)] = [from, to, point].map(at);
    let (ux, uy) = (x1 - x0, y1 - y0);
    ((ux * (y - y0) - uy * (x - x0)) / ux.hypot(uy)).abs()
}

/// A click every so many metres on straights and in bends.
fn clicked(course: &Course, straight: f64, bend: f64) -> Vec<Fix> {
    let line = points(course, FINE, 0.0);
    let spots = plan::walk(&course.sections, 1.0, FINE);
    let length = spots[spots.len() - 1].distance;
    let bends = |i: usize| {
        let along = i as f64 * length / line.len() as f64;
        let k = spots
            .partition_point(|p| p.distance <= along)
            .clamp(1, spots.len() - 2);
        (spots[k + 1].heading - spots[k - 1].heading).abs() > 1e-4
    };
    let mut out = vec![line[0]];
    let mut since = 0.0;
    for (i, fix) in line.iter().enumerate().skip(1) {
        since += FINE;
        if since > if bends(i) { bend } else { straight } {
            out.push(*fix);
            since = 0.0;
        }
    }
    if !course.is_closed() {
        out.push(line[line.len() - 1]);
    }
    out
}

/// The fewest of a line's points that leave it within so many metres: the farthest point is kept, and the
/// two halves are thinned alike (Douglas and Peucker, The Canadian Cartographer 10 (1973) 112–122, from
/// memory).
fn thinned(line: &[Fix], within: f64) -> Vec<Fix> {
    let [first, .., last] = line else {
        return line.to_vec();
    };
    let (far, distance) = (1..line.len() - 1)
        .map(|i| (i, aside(first, last, &line[i])))
        .fold(
            (0, 0.0),
            |most, next| if next.1 > most.1 { next } else { most },
        );
    if distance <= within {
        return vec![*first, *last];
    }
    let mut out = thinned(&line[..=far], within);
    out.pop();
    out.extend(thinned(&line[far..], within));
    out
}

/// The same line, each point off by an error of this size to either side.
fn shaken(line: &[Fix], sigma: f64, seed: u64) -> Vec<Fix> {
    let mut errors = Normal::new(seed);
    let shake = |fix: &Fix| {
        let (x, y) = at(fix);
        let place = Place::Plane(x + sigma * errors.next(), y + sigma * errors.next());
        Fix { place, ..*fix }
    };
    line.iter().map(shake).collect()
}

/// Coordinates in whole so many metres.
fn rounded(line: &[Fix], to: f64) -> Vec<Fix> {
    let round = |v: f64| (v / to).round() * to;
    let place = |fix: &Fix| {
        let (x, y) = at(fix);
        Place::Plane(round(x), round(y))
    };
    line.iter()
        .map(|fix| Fix {
            place: place(fix),
            ..*fix
        })
        .collect()
}

#[test]
fn clicked_lines_give_the_lap_time_and_the_corners() {
    let world = World::new();
    // Corners of 14 m are clicked more closely than those of 48.
    for (name, bend) in ROADS.into_iter().zip([5.0, 8.0, 12.0]) {
        let course = road(name);
        let truth = world.drive(&course).time;
        let fine = points(&course, FINE, 0.0);
        let corners = survey(&points(&course, 4.0, 0.0), &request(&course))
            .unwrap()
            .corners
            .len();
        let by_hand = clicked(&course, 25.0, bend);
        let sparse = clicked(&course, 60.0, bend);
        let true_lines = [
            ("clicked", by_hand.clone()),
            ("clicked sparsely", sparse.clone()),
            ("rounded to 0.1 m", rounded(&sparse, 0.1)),
            ("rounded to 0.5 m", rounded(&by_hand, 0.5)),
            ("thinned within 0.3 m", thinned(&fine, 0.3)),
            ("thinned within 1 m", thinned(&fine, 1.0)),
        ];
        let beside = (0..3).flat_map(|seed| {
            [
                ("0.15 m beside", shaken(&by_hand, 0.15, seed)),
                ("0.3 m beside", shaken(&sparse, 0.3, seed)),
            ]
        });
        let lines = true_lines
            .into_iter()
            .map(|line| (line, 1.0, 1))
            // Errors of 0.3 m hide the slightest bends of a road of 55.
            .chain(beside.map(|line| (line, 2.0, 2.max(corners / 15))));
        for ((what, line), percent, more) in lines {
            let off = error(&world, &course, &line, truth);
            let found = survey(&line, &request(&course)).unwrap().corners.len();
            let told = format!("{name} {what}: {off:+.2} %, {found} corners for {corners}");
            println!("{told}");
            assert!(off.abs() < percent, "{told}");
            assert!(found.abs_diff(corners) <= more, "{told}");
        }
    }
}
