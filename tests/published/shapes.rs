//! Curvature of plane curves whose curvature is known in closed form, from clean points.

use pullrank::venue::path::survey::{Request, survey};
use pullrank::venue::path::{Fix, Place};

/// A curve: place and curvature by parameter.
struct Curve {
    name: &'static str,
    closed: bool,
    from: f64,
    to: f64,
    at: fn(f64) -> (f64, f64),
    curvature: fn(f64) -> f64,
}

/// Points of a curve equally far apart along it, with the true curvature at each.
fn sample(curve: &Curve, apart: f64) -> (Vec<Fix>, Vec<(f64, f64)>) {
    const FINE: usize = 400_000;
    let h = (curve.to - curve.from) / FINE as f64;
    let mut length = 0.0;
    let mut reach = vec![0.0];
    let mut last = (curve.at)(curve.from);
    for i in 1..=FINE {
        let now = (curve.at)(curve.from + h * i as f64);
        length += (now.0 - last.0).hypot(now.1 - last.1);
        reach.push(length);
        last = now;
    }
    let count = (length / apart).round() as usize;
    let points = if curve.closed { count } else { count + 1 };
    let at = |s: f64| curve.from + h * reach.partition_point(|r| *r < s).min(FINE) as f64;
    let mut fixes = Vec::new();
    for i in 0..points {
        let (x, y) = (curve.at)(at(length * i as f64 / count as f64));
        fixes.push(Fix {
            place: Place::Plane(x, y),
            height: None,
            time: None,
        });
    }
    let truth = (0..2000)
        .map(|i| length * (i as f64 + 0.5) / 2000.0)
        .map(|s| (s, (curve.curvature)(at(s))));
    (fixes, truth.collect())
}

/// Largest error of the curvature over the largest curvature, away from the ends of open curves.
fn error(curve: &Curve, apart: f64) -> f64 {
    let (fixes, truth) = sample(curve, apart);
    let road = survey(
        &fixes,
        &Request {
            closed: curve.closed,
            ..Request::default()
        },
    )
    .unwrap()
    .road;
    let top = truth.iter().map(|(_, k)| k.abs()).fold(0.0, f64::max);
    let length = truth[truth.len() - 1].0;
    let mut worst: f64 = 0.0;
    for step in &road.steps {
        // A step is an arc: it has the curvature of its middle.
        let s = step.start + 0.5 * step.length;
        let inside = curve.closed || (s > 3.0 * apart && s < length - 3.0 * apart);
        let index = truth
            .partition_point(|(at, _)| *at < s)
            .clamp(1, truth.len() - 1);
        let ((a, before), (b, after)) = (truth[index - 1], truth[index]);
        let k = before + (after - before) * (s - a) / (b - a);
        if inside {
            worst = worst.max((step.curvature - k).abs() / top);
        }
    }
    worst
}

const ELLIPSE: (f64, f64) = (120.0, 70.0);
/// Clothoid of R 60 over 80 m: A² = 4800 m².
const A2: f64 = 4800.0;

/// Fresnel integrals by the midpoint rule: x = ∫cos(u²/2A²) du.
fn clothoid(s: f64) -> (f64, f64) {
    const N: usize = 200;
    let h = s / N as f64;
    (0..N).fold((0.0, 0.0), |(x, y), i| {
        let angle = (h * (i as f64 + 0.5)).powi(2) / (2.0 * A2);
        (x + h * angle.cos(), y + h * angle.sin())
    })
}

fn ellipse_curvature(t: f64) -> f64 {
    let (a, b) = ELLIPSE;
    a * b / (a * a * t.sin().powi(2) + b * b * t.cos().powi(2)).powf(1.5)
}

/// Figure of eight (Gerono): x = 200 cos t, y = 200 sin t cos t.
fn eight_curvature(t: f64) -> f64 {
    let (x1, y1) = (-200.0 * t.sin(), 200.0 * (2.0 * t).cos());
    let (x2, y2) = (-200.0 * t.cos(), -400.0 * (2.0 * t).sin());
    (x1 * y2 - y1 * x2) / (x1 * x1 + y1 * y1).powf(1.5)
}

const FULL: f64 = 2.0 * std::f64::consts::PI;

fn curves() -> [Curve; 5] {
    [
        Curve {
            name: "circle",
            closed: true,
            from: 0.0,
            to: FULL,
            at: |t| (50.0 * t.cos(), 50.0 * t.sin()),
            curvature: |_| 1.0 / 50.0,
        },
        Curve {
            name: "clothoid",
            closed: false,
            from: 0.0,
            to: 80.0,
            at: clothoid,
            curvature: |s| s / A2,
        },
        Curve {
            name: "ellipse",
            closed: true,
            from: 0.0,
            to: FULL,
            at: |t| (ELLIPSE.0 * t.cos(), ELLIPSE.1 * t.sin()),
            curvature: ellipse_curvature,
        },
        Curve {
            name: "parabola",
            closed: false,
            from: -60.0,
            to: 60.0,
            at: |x| (x, x * x / 100.0),
            // y″/(1 + y′²)^1.5
            curvature: |x| 0.02 / (1.0 + (0.02 * x).powi(2)).powf(1.5),
        },
        Curve {
            name: "figure of eight",
            closed: true,
            from: 0.3,
            to: 0.3 + FULL,
            at: |t| (200.0 * t.cos(), 200.0 * t.sin() * t.cos()),
            curvature: eight_curvature,
        },
    ]
}

/// The closed forms themselves, against the values of the reference computations (scipy): end of the
/// clothoid R 60, L 80 at (76.516858, 17.221323); end radii of the ellipse 40.8333 and 205.7143 m;
/// the parabola's radius 79.300946 m at x = 30.
#[test]
fn reference_shapes() {
    let end = clothoid(80.0);
    assert!(
        (end.0 - 76.516_858).abs() < 1e-3 && (end.1 - 17.221_323).abs() < 1e-3,
        "{end:?}"
    );
    assert!((1.0 / ellipse_curvature(0.0) - 40.833_333).abs() < 1e-5);
    assert!((1.0 / ellipse_curvature(FULL / 4.0) - 205.714_286).abs() < 1e-5);
    let parabola = &curves()[3];
    assert!((1.0 / (parabola.curvature)(30.0) - 79.300_946).abs() < 1e-5);
}

#[test]
fn analytic_curvature_to_one_percent_and_converging() {
    for curve in curves() {
        let errors: Vec<f64> = [20.0, 10.0, 5.0, 2.5]
            .iter()
            .map(|apart| error(&curve, *apart))
            .collect();
        let percent: Vec<String> = errors
            .iter()
            .map(|e| format!("{:.2} %", 100.0 * e))
            .collect();
        println!("{}: {}", curve.name, percent.join(", "));
        assert!(errors[2] < 0.01, "{}: {percent:?}", curve.name);
        // Closer points are better until the half centimetre that any point is taken to err by.
        assert!(
            errors[2] <= errors[0].max(0.005),
            "{}: {percent:?}",
            curve.name
        );
        assert!(errors[3] < 0.02, "{}: {percent:?}", curve.name);
    }
}
