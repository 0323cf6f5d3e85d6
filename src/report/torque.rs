//! Torque curves with their bands on a plane: the part that several charts share.

use super::chart::{Canvas, FAINT, INK, LETTERS, Plane, width};
use super::format::rpm;
use super::svg::Anchor;

/// Ground where nobody measured.
pub const UNMEASURED: &str = "#e6e6e6";
/// Ground where nobody surely leads.
pub const OPEN: &str = "#f1f1f1";
/// Step of drawn curves, rpm.
const STEP_RPM: f64 = 25.0;

/// One spec's curve.
#[derive(Debug, Clone)]
pub struct Line {
    /// What the spec looks like.
    pub look: usize,
    /// Its name.
    pub name: String,
    /// Engine speed, torque and the ends of its interval, rpm and N·m.
    pub points: Vec<(f64, [f64; 3])>,
}

/// Engine speeds from one to another in even steps, ends included.
pub fn speeds(from: f64, to: f64) -> Vec<f64> {
    let steps = ((to - from) / STEP_RPM).ceil().max(1.0) as usize;
    let at = |k: usize| from + (to - from) * k as f64 / steps as f64;
    (0..=steps).map(at).collect()
}

/// Least and largest torque of some curves with their bands, with room about them.
pub fn bounds(lines: &[Line]) -> (f64, f64) {
    let all = lines.iter().flat_map(|line| &line.points);
    let (low, high) = all.fold((f64::INFINITY, 0.0_f64), |(low, high), (_, t)| {
        (low.min(t[1]), high.max(t[2]))
    });
    let room = 0.06 * (high - low).max(1.0);
    (low - room, high + room)
}

/// Bands first, then lines, then the crossings with their engine speeds.
pub fn draw(canvas: &mut Canvas, plane: &Plane, lines: &[Line], crossings: &[(f64, f64)]) {
    for line in lines {
        canvas.open_spec(line.look);
        let upper = line.points.iter().map(|(n, t)| (*n, t[2]));
        let lower = line.points.iter().rev().map(|(n, t)| (*n, t[1]));
        canvas.pale(&plane.all(upper.chain(lower)), line.look);
        canvas.close();
    }
    for line in lines {
        canvas.open_spec(line.look);
        let middle = line.points.iter().map(|(n, t)| (*n, t[0]));
        canvas.curve(&plane.all(middle), line.look);
        canvas.close();
    }
    for (row, &(n, torque)) in crossings.iter().enumerate() {
        let at = plane.at((n, torque));
        canvas.rule(at, (at.0, plane.y.pixels.0), FAINT, 1.0);
        canvas.dot(at, 4.5, "#ffffff", INK);
        // To the left it may meet the foot of a curve: fewer letters to the right come first.
        let texts = [format!("cross at {}", rpm(n)), rpm(n)];
        let fits = |text: &&String| at.0 + 8.0 + width(text, LETTERS) < plane.x.pixels.1;
        let (text, x, anchor) = match texts.iter().find(fits) {
            Some(text) => (text, at.0 + 8.0, Anchor::Start),
            None => (&texts[0], at.0 - 8.0, Anchor::End),
        };
        let y = plane.y.pixels.0 - 8.0 - 15.0 * row as f64;
        canvas.text((x, y), text, anchor);
    }
}
