//! Positions on the ellipsoid and steps between them.
//!
//! A step between neighbouring fixes is measured in the plane of the two radii of curvature at its
//! mean latitude, M along the meridian and N across it: M = a(1−e²)/(1−e²sin²φ)^{3/2},
//! N = a/√(1−e²sin²φ). Within 1e-8 of the geodesic over a kilometre at 45°; steps beyond
//! [`LONGEST_PLANE_STEP`] are geodesics (Karney, "Algorithms for geodesics", J. Geodesy 87 (2013)
//! 43–55, as the `geo` crate has them).

use geo::{Bearing, Distance, Geodesic, Point};

/// Semi-major axis of WGS 84, m (NIMA TR8350.2).
pub const WGS84_A: f64 = 6_378_137.0;
/// Flattening of WGS 84 (NIMA TR8350.2).
pub const WGS84_F: f64 = 1.0 / 298.257_223_563;
/// Longest step taken in the plane, m.
pub const LONGEST_PLANE_STEP: f64 = 5_000.0;

/// A position in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LatLon {
    /// Latitude, degrees, north positive.
    pub lat: f64,
    /// Longitude, degrees, east positive.
    pub lon: f64,
}

/// Radii of curvature at a latitude in degrees: along the meridian (M) and across it (N), m.
pub fn radii(lat: f64) -> (f64, f64) {
    let e2 = WGS84_F * (2.0 - WGS84_F);
    let sin = lat.to_radians().sin();
    let w = 1.0 - e2 * sin * sin;
    (WGS84_A * (1.0 - e2) / (w * w.sqrt()), WGS84_A / w.sqrt())
}

/// Length of the geodesic between two positions, m.
pub fn distance(from: LatLon, to: LatLon) -> f64 {
    Geodesic.distance(Point::new(from.lon, from.lat), Point::new(to.lon, to.lat))
}

/// The step from one position to the next: east and north, m. Over the antimeridian it goes the
/// short way.
pub fn step(from: LatLon, to: LatLon) -> (f64, f64) {
    let dlat = (to.lat - from.lat).to_radians();
    let dlon = (to.lon - from.lon + 540.0).rem_euclid(360.0) - 180.0;
    let middle = 0.5 * (from.lat + to.lat);
    let (m, n) = radii(middle);
    let east = n * middle.to_radians().cos() * dlon.to_radians();
    let north = m * dlat;
    if east.hypot(north) <= LONGEST_PLANE_STEP {
        return (east, north);
    }
    let (a, b) = (Point::new(from.lon, from.lat), Point::new(to.lon, to.lat));
    let length = Geodesic.distance(a, b);
    // Half way along the chord the azimuth is the mean of its ends' to third order.
    let out = Geodesic.bearing(a, b).to_radians();
    let back = Geodesic.bearing(b, a).to_radians() + std::f64::consts::PI;
    let (sin, cos) = (out.sin() + back.sin(), out.cos() + back.cos());
    let azimuth = sin.atan2(cos);
    (length * azimuth.sin(), length * azimuth.cos())
}
