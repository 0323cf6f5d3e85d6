//! Distances on the ellipsoid against published geodesics.

use geo::{Distance, GeodesicMeasure, Point};
use pullrank::venue::path::geodesy::{LatLon, distance, radii, step};
use pullrank::venue::path::survey::{Request, survey};
use pullrank::venue::path::{Fix, Place};

use super::{number, table};

fn ends(row: &std::collections::BTreeMap<String, String>) -> (LatLon, LatLon) {
    let at = |lat, lon| LatLon {
        lat: number(row, lat),
        lon: number(row, lon),
    };
    (at("lat1_deg", "lon1_deg"), at("lat2_deg", "lon2_deg"))
}

/// Vincenty's lines a to e (Survey Review 23 (1975) 88–93), the line Flinders Peak to Buninyong, and
/// lines of Karney's test set, to the millimetre.
#[test]
fn reference_published_lines() {
    for row in table("venue/geodesy_lines.csv") {
        let (from, to) = ends(&row);
        let points = (Point::new(from.lon, from.lat), Point::new(to.lon, to.lat));
        let ours = match row["ellipsoid"].as_str() {
            "Bessel" => GeodesicMeasure::new(6_377_397.155, 1.0 / 299.152_812_8)
                .distance(points.0, points.1),
            "International" => {
                GeodesicMeasure::new(6_378_388.0, 1.0 / 297.0).distance(points.0, points.1)
            }
            "GRS80" => GeodesicMeasure::new(6_378_137.0, 1.0 / 298.257_222_101)
                .distance(points.0, points.1),
            _ => distance(from, to),
        };
        let published = row["published_s_m"]
            .parse()
            .unwrap_or(number(&row, "geographiclib_s_m"));
        assert!(
            (ours - published).abs() < 1e-3,
            "{}: {ours} {published}",
            row["id"]
        );
    }
}

/// Steps between neighbouring fixes in the plane of M and N against the geodesic.
#[test]
fn reference_short_lines_in_the_plane() {
    let mut seen = 0;
    for row in table("venue/geodesy_lines.csv")
        .iter()
        .filter(|r| r["id"].starts_with("short"))
    {
        let (from, to) = ends(row);
        let exact = number(row, "geographiclib_s_m");
        let (east, north) = step(from, to);
        let off = (east.hypot(north) / exact - 1.0).abs();
        // The longest are a degree, and go by the geodesic themselves.
        assert!(off < 1e-8, "{}: {off:e}", row["id"]);
        let azimuth = east.atan2(north).to_degrees();
        let mean = 0.5 * (number(row, "azi1_deg") + number(row, "azi2_deg"));
        assert!(
            (azimuth - mean).abs() < 1e-6,
            "{}: {azimuth} {mean}",
            row["id"]
        );
        seen += 1;
    }
    assert!(seen >= 7);
}

#[test]
fn reference_radii_of_the_ellipsoid() {
    for row in table("venue/wgs84_radii.csv") {
        let (m, n) = radii(number(&row, "lat_deg"));
        assert!((m - number(&row, "M_m")).abs() < 1e-3);
        assert!((n - number(&row, "N_m")).abs() < 1e-3);
    }
}

#[test]
fn steps_go_the_short_way_over_the_antimeridian() {
    let (east, north) = step(
        LatLon {
            lat: 0.0,
            lon: 179.999,
        },
        LatLon {
            lat: 0.0,
            lon: -179.999,
        },
    );
    assert!((east - 222.639).abs() < 1e-3 && north == 0.0, "{east}");
}

/// 36 points on a geodesic circle of 100 m: perimeter 2nR·sin(π/n) = 627.521 m, circle 628.319 m.
#[test]
fn reference_circle_of_36_points() {
    let fixes: Vec<Fix> = table("venue/circle_R100_lat45_lon7.csv")
        .iter()
        .map(|row| Fix {
            place: Place::LatLon(LatLon {
                lat: number(row, "lat_deg"),
                lon: number(row, "lon_deg"),
            }),
            height: None,
            time: None,
        })
        .collect();
    assert_eq!(fixes.len(), 36);
    let place = |fix: &Fix| match fix.place {
        Place::LatLon(at) => at,
        Place::Plane(..) => unreachable!("degrees"),
    };
    let perimeter: f64 = (0..36)
        .map(|i| {
            let (x, y) = step(place(&fixes[i]), place(&fixes[(i + 1) % 36]));
            x.hypot(y)
        })
        .sum();
    assert!((perimeter - 627.521_348).abs() < 1e-3, "{perimeter}");
    let road = survey(
        &fixes,
        &Request {
            closed: true,
            ..Request::default()
        },
    )
    .unwrap()
    .road;
    let radius = |k: f64| 1.0 / k.abs();
    // The road is the circle, not its polygon.
    assert!(
        (road.length() - 628.318_531).abs() < 0.05,
        "{}",
        road.length()
    );
    for step in &road.steps {
        assert!(
            (radius(step.curvature) - 100.0).abs() < 0.2,
            "{}",
            radius(step.curvature)
        );
    }
}
