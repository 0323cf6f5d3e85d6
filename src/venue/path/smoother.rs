//! A smoother for chains of chords: what heading and curvature does the road have, given where
//! noisy chords point?
//!
//! The road is a chain of short steps of constant curvature κ. Along a step of length h the heading
//! turns by κh; between steps κ changes by a random amount of variance q. A chord of length ℓ over
//! one or more steps shows its lateral displacement ∫θ ds with an error of variance r. States are
//! (∫θ ds since the chord's start, θ, κ); the posterior mean is computed by a Kalman filter and the
//! modified Bryson–Frazier smoother (Bierman, "Fixed interval smoothing with discrete
//! measurements", Int. J. Control 18 (1973) 65–75, from memory), which needs no inverse of a
//! covariance and gives the moments of each change of κ for nothing.

/// One chord between two fixes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chord {
    /// Length along the road, m.
    pub length: f64,
    /// Heading of the chord as the mean of the road's heading along it, rad, unwrapped.
    pub heading: f64,
    /// Variance of its lateral error over the path's common variance.
    pub weight: f64,
    /// Number of steps it is cut into.
    pub steps: usize,
}

/// The road as the smoother sees it: per step.
#[derive(Debug, Clone, Default)]
pub(super) struct Smoothed {
    /// Curvature on each step, 1/m.
    pub curvature: Vec<f64>,
    /// Heading at the start of each step, rad.
    pub heading: Vec<f64>,
    /// Score of the change before each step: λ and its variance g; the posterior mean
    /// of the change is −qλ and its variance q − q²g.
    pub score: Vec<(f64, f64)>,
    /// Per chord u and d: its lateral error has the posterior mean ru and the variance r − r²d, r
    /// being its prior variance.
    pub miss: Vec<(f64, f64)>,
}

impl Chord {
    /// Length of one step, m.
    pub fn step(&self) -> f64 {
        self.length / self.steps as f64
    }
}

/// What changes at random between steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Changes {
    /// The curvature: a road seen from above.
    Curvature,
    /// The heading itself, the curvature being nothing: a road seen from the side, heading being
    /// slope, which holds for a while and then is another.
    Heading,
}

impl Changes {
    /// Place in the state.
    fn state(self) -> usize {
        match self {
            Self::Curvature => 2,
            Self::Heading => 1,
        }
    }

    /// Place of its variance.
    fn variance(self) -> usize {
        match self {
            Self::Curvature => 5,
            Self::Heading => 3,
        }
    }
}

type Vector = [f64; 3];
/// Symmetric 3×3: xx, xy, xz, yy, yz, zz.
type Symmetric = [f64; 6];

/// What is kept of the forward pass for the backward one, per step.
struct Kept {
    x: Vector,
    p: Symmetric,
}

/// Prior variance of the first heading about the first chord's, rad².
const FIRST_HEADING: f64 = 1.0;
/// Prior variance of the first curvature, 1/m².
const FIRST_CURVATURE: f64 = 0.01;

/// Scale of the prior of the start where variances are in units of the noise's: wide enough for a
/// noise of a centimetre.
const WIDE: f64 = 1e4;

/// Minus twice the log likelihood of the chords, and its noise variance: `changes` holds the
/// variance of the change of curvature before each step, in units of the noise variance.
pub(super) fn likelihood(chords: &[Chord], what: Changes, changes: &[f64]) -> (f64, f64) {
    let forward = forward(chords, what, changes, 1.0, WIDE, None);
    let n = chords.len() as f64;
    let variance = (forward.square_sum / n).max(1e-300);
    (n * variance.ln() + forward.log_sum, variance)
}

/// The road given the chords: `changes` and `noise` are variances.
pub(super) fn smooth(chords: &[Chord], what: Changes, changes: &[f64], noise: f64) -> Smoothed {
    let steps: usize = chords.iter().map(|c| c.steps).sum();
    let mut kept = Vec::with_capacity(steps);
    forward(chords, what, changes, noise, 1.0, Some(&mut kept));
    backward(chords, what, noise, &kept)
}

struct Forward {
    square_sum: f64,
    log_sum: f64,
}

fn forward(
    chords: &[Chord],
    what: Changes,
    changes: &[f64],
    noise: f64,
    start: f64,
    mut kept: Option<&mut Vec<Kept>>,
) -> Forward {
    let mut x: Vector = [0.0, chords.first().map_or(0.0, |c| c.heading), 0.0];
    let curved = if what == Changes::Curvature {
        start * FIRST_CURVATURE
    } else {
        0.0
    };
    let mut p: Symmetric = [0.0, 0.0, 0.0, start * FIRST_HEADING, 0.0, curved];
    let mut sums = Forward {
        square_sum: 0.0,
        log_sum: 0.0,
    };
    let mut index = 0;
    for chord in chords {
        x[0] = 0.0;
        p[0] = 0.0;
        p[1] = 0.0;
        p[2] = 0.0;
        let h = chord.step();
        for _ in 0..chord.steps {
            p[what.variance()] += changes[index];
            index += 1;
            if let Some(kept) = kept.as_deref_mut() {
                kept.push(Kept { x, p });
            }
            advance(&mut x, &mut p, h);
        }
        let residual = chord.heading * chord.length - x[0];
        let s = p[0] + noise * chord.weight;
        sums.square_sum += residual * residual / s;
        sums.log_sum += s.ln();
        let gain = [p[0] / s, p[1] / s, p[2] / s];
        for (x, k) in x.iter_mut().zip(gain) {
            *x += k * residual;
        }
        let row = [p[0], p[1], p[2]];
        p[0] -= gain[0] * row[0];
        p[1] -= gain[0] * row[1];
        p[2] -= gain[0] * row[2];
        p[3] -= gain[1] * row[1];
        p[4] -= gain[1] * row[2];
        p[5] -= gain[2] * row[2];
    }
    sums
}

/// One step of constant curvature: x ← Fx, P ← FPFᵀ with F = [1 h h²/2; 0 1 h; 0 0 1].
fn advance(x: &mut Vector, p: &mut Symmetric, h: f64) {
    let k = 0.5 * h * h;
    *x = [x[0] + h * x[1] + k * x[2], x[1] + h * x[2], x[2]];
    let [xx, xy, xz, yy, yz, zz] = *p;
    // FP, row by row where it is needed.
    let (ax, ay, az) = (
        xx + h * xy + k * xz,
        xy + h * yy + k * yz,
        xz + h * yz + k * zz,
    );
    let (by, bz) = (yy + h * yz, yz + h * zz);
    *p = [ax + h * ay + k * az, ay + h * az, az, by + h * bz, bz, zz];
}

fn backward(chords: &[Chord], what: Changes, noise: f64, kept: &[Kept]) -> Smoothed {
    let mut out = Smoothed {
        curvature: vec![0.0; kept.len()],
        heading: vec![0.0; kept.len()],
        score: vec![(0.0, 0.0); kept.len()],
        miss: vec![(0.0, 0.0); chords.len()],
    };
    let mut adjoint: Vector = [0.0; 3];
    let mut big: Symmetric = [0.0; 6];
    let mut index = kept.len();
    for (number, chord) in chords.iter().enumerate().rev() {
        let h = chord.step();
        // Filtered moments just before the chord is seen.
        let last = &kept[index - 1];
        let (mut x, mut p) = (last.x, last.p);
        advance(&mut x, &mut p, h);
        let residual = chord.heading * chord.length - x[0];
        let s = p[0] + noise * chord.weight;
        let gain = [p[0] / s, p[1] / s, p[2] / s];
        let back = times(&big, gain);
        out.miss[number] = (residual / s + dot(gain, adjoint), 1.0 / s + dot(gain, back));
        see(&mut adjoint, &mut big, gain, residual, s);
        for _ in 0..chord.steps {
            retreat(&mut adjoint, &mut big, h);
            index -= 1;
            let Kept { x, p } = &kept[index];
            out.heading[index] = x[1] - dot([p[1], p[3], p[4]], adjoint);
            out.curvature[index] = x[2] - dot([p[2], p[4], p[5]], adjoint);
            out.score[index] = (adjoint[what.state()], big[what.variance()]);
        }
        // The next chord's displacement starts from nothing: nothing flows back through it.
        adjoint[0] = 0.0;
        big[0] = 0.0;
        big[1] = 0.0;
        big[2] = 0.0;
    }
    out
}

/// Adjoint moments from after a chord is seen to before: λ ← Cᵀλ − Hᵀy/s, Λ ← CᵀΛC + HᵀH/s with
/// C = I − KH and H = [1 0 0].
fn see(adjoint: &mut Vector, big: &mut Symmetric, gain: Vector, residual: f64, s: f64) {
    let [xx, xy, xz, yy, yz, zz] = *big;
    let lk = times(big, gain);
    let klk = dot(gain, lk);
    *big = [
        xx - 2.0 * lk[0] + klk + 1.0 / s,
        xy - lk[1],
        xz - lk[2],
        yy,
        yz,
        zz,
    ];
    adjoint[0] -= dot(gain, *adjoint) + residual / s;
}

/// Adjoint moments from after a step to before it: λ ← Fᵀλ, Λ ← FᵀΛF.
fn retreat(adjoint: &mut Vector, big: &mut Symmetric, h: f64) {
    let k = 0.5 * h * h;
    let [a, b, c] = *adjoint;
    *adjoint = [a, b + h * a, c + h * b + k * a];
    let [xx, xy, xz, yy, yz, zz] = *big;
    let ay = xy + h * xx;
    let az = xz + h * xy + k * xx;
    let by = yy + h * xy;
    let cy = yz + h * yy + k * xy;
    let cz = zz + h * yz + k * xz;
    *big = [xx, ay, az, by + h * ay, cy + h * az, cz + h * cy + k * az];
}

fn times(m: &Symmetric, v: Vector) -> Vector {
    let [xx, xy, xz, yy, yz, zz] = *m;
    [
        dot([xx, xy, xz], v),
        dot([xy, yy, yz], v),
        dot([xz, yz, zz], v),
    ]
}

fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
