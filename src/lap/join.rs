//! A course in fewer cells: neighbours that are alike made one.

use super::cells::{Cell, Cells};

/// Change of the gravity along the road, m/s², up to which neighbours are alike: 1 % of slope.
const LEVEL: f64 = 0.1;
/// Curvature, 1/m, that counts for judging differences where there is less.
const SLIGHT: f64 = 0.01;

impl Cells {
    /// The same course with neighbours made one where they differ by no more than a share `unlike` of
    /// their curvature, no longer than `wanted`, m, at any of them. The road turns and climbs by as
    /// much as before.
    pub fn joined(&self, wanted: &[f64], unlike: f64) -> Self {
        let mut cells: Vec<Cell> = Vec::new();
        let mut stations = vec![0.0];
        let mut longest = 0.0;
        for (i, cell) in self.cells.iter().enumerate() {
            let end = self.stations[i + 1];
            match cells.last_mut() {
                Some(last)
                    if last.length + cell.length <= wanted[i].min(longest)
                        && alike(last, cell, unlike) =>
                {
                    join(last, cell);
                    longest = longest.min(wanted[i]);
                    *stations.last_mut().expect("one at the start") = end;
                }
                _ => {
                    cells.push(*cell);
                    stations.push(end);
                    longest = wanted[i];
                }
            }
        }
        Self {
            cells,
            stations,
            ..self.clone()
        }
    }
}

/// Whether two neighbours are the same but for a little curvature and slope.
fn alike(a: &Cell, b: &Cell, unlike: f64) -> bool {
    let bend = a.curvature.max(b.curvature).max(SLIGHT);
    // A corner with a speed of its own is a matter of its section.
    let by_speed = |cell: &Cell| cell.curvature > 0.0 && !cell.by_radius;
    (a.section == b.section || !(by_speed(a) || by_speed(b)))
        && a.measured == b.measured
        && a.cap == b.cap
        && a.surface == b.surface
        && a.by_radius == b.by_radius
        && (a.curvature - b.curvature).abs() <= unlike * bend
        && (a.g_sin - b.g_sin).abs() <= LEVEL
}

fn join(a: &mut Cell, b: &Cell) {
    let length = a.length + b.length;
    let share = b.length / length;
    // Of equals their own value, to the bit: a corner that tightens by a rounding error has a place in it
    // at which braking ends, and another gear may be taken.
    let mean = |x: f64, y: f64| x + (y - x) * share;
    (a.curvature, a.g_cos, a.g_sin) = (
        mean(a.curvature, b.curvature),
        mean(a.g_cos, b.g_cos),
        mean(a.g_sin, b.g_sin),
    );
    a.length = length;
}
