//! The road cut into short steps, each either below the speed that its place allows or braking.

use pullrank::venue::{Course, Extent, Finish, Start};

use super::forces::{FREE, Forces, Spot};

/// One step of the road.
#[derive(Debug, Clone, Copy)]
pub struct Step {
    pub length: f64,
    pub at: Spot,
    /// Speeds squared allowed at its start and its end; between them a straight line.
    pub enter: f64,
    pub leave: f64,
    pub braking: bool,
    /// Speed squared that full drive just holds at the edge of the ellipse.
    pub balance: f64,
    /// Speed squared above which a slope pushes the car faster than the brakes hold.
    pub held: f64,
    /// Metres from the start of the course.
    pub from: f64,
}

/// The whole road.
pub struct Road {
    pub steps: Vec<Step>,
    pub closed: bool,
}

impl Road {
    /// None where the brakes do not hold, or a lap has no end of braking.
    pub fn new(forces: &Forces, course: &Course, step: f64) -> Option<Self> {
        let pieces = pieces(forces, course, step);
        let closed = course.is_closed();
        assert!(!matches!(course.start, Start::Rolling(_)), "not covered");
        let mut finish = match course.finish {
            Finish::Standing => 0.0,
            Finish::Flying if closed => pieces[0].at.allowed,
            Finish::Flying => FREE,
        };
        let mut steps = backwards(forces, &pieces, finish)?;
        for _ in 0..3 * usize::from(closed) {
            finish = steps[0].enter.min(finish);
            steps = backwards(forces, &pieces, finish)?;
        }
        if closed {
            let count = steps.len();
            let first = (0..count)
                .filter(|&i| {
                    let next = &steps[(i + 1) % count];
                    steps[i].braking
                        && !(next.braking && steps[i].leave >= next.enter * (1.0 - 1e-9))
                })
                .min_by(|&a, &b| steps[a].leave.total_cmp(&steps[b].leave))?;
            steps.rotate_left((first + 1) % count);
        }
        Some(Self { steps, closed })
    }
}

fn pieces(forces: &Forces, course: &Course, step: f64) -> Vec<Step> {
    let mut out: Vec<Step> = Vec::new();
    let mut from = 0.0;
    for section in &course.sections {
        let at = forces.spot(course, section);
        let length = match section.extent {
            Extent::Length(length) => length,
            Extent::Turn(angle) => angle / at.curvature,
        };
        let (mut balance, mut held) = (FREE, 0.0);
        if at.curvature > 0.0 && at.allowed < FREE {
            // Downhill the brakes may hold less than the tyres do sideways.
            held = last_positive(at.allowed, |z| forces.brake(&at, z)).unwrap_or(0.0);
            balance = last_positive(at.allowed, |z| forces.by_tyres(&at, z)).unwrap_or(FREE);
        }
        let count = (length / step).ceil().max(1.0);
        for i in 0..count as usize {
            let one = length / count;
            out.push(Step {
                length: one,
                at,
                enter: at.allowed,
                leave: at.allowed,
                braking: false,
                balance,
                held,
                from: from + one * i as f64,
            });
        }
        from += length;
    }
    out
}

/// Where a function positive at rest and negative at the top becomes negative.
fn last_positive(top: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    if f(top) >= 0.0 || f(0.0) < 0.0 {
        return None;
    }
    let (mut low, mut high) = (0.0, top);
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if f(mid) >= 0.0 { low = mid } else { high = mid }
    }
    Some(low)
}

/// One Runge–Kutta step of dz/ds.
pub fn rk4(z: f64, h: f64, slope: impl Fn(f64) -> f64) -> f64 {
    let slope = |z: f64| slope(z.max(0.0));
    let k1 = slope(z);
    let k2 = slope(z + 0.5 * h * k1);
    let k3 = slope(z + 0.5 * h * k2);
    let k4 = slope(z + h * k3);
    z + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
}

/// The allowed speeds, from the finish backwards; a step in which braking begins is cut there.
fn backwards(forces: &Forces, pieces: &[Step], finish: f64) -> Option<Vec<Step>> {
    let mut out = Vec::new();
    let mut z = finish;
    for piece in pieces.iter().rev() {
        let top = piece.at.allowed;
        let end = z.min(top);
        let brake = |z: f64| 2.0 * forces.brake(&piece.at, z.min(top));
        let mut before = rk4(end, piece.length, brake);
        if before < end {
            before = before.max(piece.held);
        }
        let at_top = end >= top * (1.0 - 1e-12) && before >= top;
        let share = if at_top {
            0.0
        } else if before > top {
            (top - end) / (before - end)
        } else {
            1.0
        };
        if share > 0.0 {
            out.push(Step {
                length: share * piece.length,
                enter: before.min(top),
                leave: end,
                braking: true,
                from: piece.from + (1.0 - share) * piece.length,
                ..*piece
            });
        }
        if share < 1.0 {
            out.push(Step {
                length: (1.0 - share) * piece.length,
                ..*piece
            });
        }
        z = before.min(top);
        if z <= 0.0 {
            return None;
        }
    }
    out.reverse();
    Some(out)
}
