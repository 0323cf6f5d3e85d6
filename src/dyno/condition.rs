//! From the rows of a file to one rising pull: the sweep cut out, spikes left out, back-steps and
//! repeated engine speeds merged, noise smoothed. Everything done is counted.

mod ends;
mod smooth;
mod steps;
mod sweep;

use self::smooth::{roughness, smooth};
pub use self::steps::most_rows;

use self::sweep::swept;
use super::testday::Method;

/// Rows from which a pull is taken as logged rather than typed by hand.
const LOGGED_ROWS: usize = 40;
/// Width within which logged rows are merged, rpm.
const BIN_RPM: f64 = 25.0;
/// Half width of the smoothing that noisy logs get, rpm.
pub const SMOOTHING_RPM: f64 = 200.0;
/// Scatter of neighbouring points, relative to torque, from which a log is smoothed.
const NOISY: f64 = 0.0025;
/// Rows below the highest one from which a sheet has a way up.
const FEWEST_UP: usize = 4;
/// How far beyond the largest of so many normals a spike lies, sd.
const BEYOND_NOISE: f64 = 1.5;
/// Share of the highest throttle below which a row is no full throttle.
const FULL_THROTTLE: f64 = 0.95;

/// One pull as the file has it, row by row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rows {
    /// Engine speed, rpm.
    pub rpm: Vec<f64>,
    /// Torque, N·m.
    pub torque: Vec<f64>,
    /// Time, s, where it was logged.
    pub time: Option<Vec<f64>>,
    /// Throttle opening, in any unit, where it was logged.
    pub throttle: Option<Vec<f64>>,
}

/// How noise is smoothed: a straight line fitted locally, with tricube weights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Smoothing {
    /// Logged rows that scatter by more than a quarter of a percent, to ± [`SMOOTHING_RPM`].
    WhereNoisy,
    /// Never.
    Off,
    /// Always, with weights that reach zero at this distance, rpm.
    Within(f64),
}

/// What was done to the rows of a pull.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Handling {
    /// Rows in the file.
    pub rows: usize,
    /// Engine speeds, rpm, between which alone the pull counts, where its test day says so; rows beyond are outside.
    pub counts: Option<(f64, f64)>,
    /// What 1,000 rpm were taken to be, m/s, where engine speed was made of road speed.
    pub road_speed: Option<f64>,
    /// Whether road speed did not keep step with engine speed: a clutch slipped, or a tyre.
    pub slips: bool,
    /// Whether they are so many that a logger wrote them: only then is a sweep cut out of them.
    pub logged: bool,
    /// Rows before and after the sweep, on the way back, or not at full throttle.
    pub outside: usize,
    /// Of those, rows of the sweep in which the throttle was not open yet.
    pub opening: usize,
    /// Of those, rows of the sweep in which it was closed again, or a limiter cut in.
    pub closing: usize,
    /// Of those, rows on a loaded way back down after the sweep.
    pub way_down: usize,
    /// Rows left out because they leap from their neighbours.
    pub spikes: Vec<usize>,
    /// Rows whose engine speed is below that of the row before, merged.
    pub back_steps: usize,
    /// Rows that repeat the engine speed of the row before, merged.
    pub repeats: usize,
    /// Whether the engine speed fell through a logged pull.
    pub ran_down: bool,
    /// Whether the rows of a sheet run from the highest engine speed down.
    pub turned_round: bool,
    /// How many engine speeds a sweep stood still at: five or more look like a step test, fewer count as none.
    pub stood: usize,
    /// Half width of the smoothing, rpm, where there was any.
    pub smoothed: Option<f64>,
    /// What torque reads in the mean while the engine idles before the sweep, N·m.
    pub idle: Option<f64>,
    /// Engine speed at which torque came and went after the sweep, as a limiter does it, rpm.
    pub limited: Option<f64>,
}

/// A pull in rising engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditioned {
    /// Engine speed, rpm, strictly rising.
    pub rpm: Vec<f64>,
    /// Torque, N·m.
    pub torque: Vec<f64>,
    /// How fast the engine gained speed, rpm/s; empty where there is no time.
    pub acceleration: Vec<f64>,
    /// The rows that went into it, rising.
    pub used: Vec<usize>,
    /// What was done.
    pub handling: Handling,
}

/// Makes one rising pull of the rows of a file.
///
/// Rows must be finite; all columns must be as long as `rpm`.
pub fn condition(rows: &Rows, method: Method, smoothing: Smoothing) -> Conditioned {
    let all: Vec<usize> = (0..rows.rpm.len()).collect();
    let many = rows.rpm.len() >= LOGGED_ROWS;
    let mut handling = Handling {
        rows: rows.rpm.len(),
        logged: match method {
            Method::Sweep => many,
            Method::Steps if many => !steps::one_row_each(rows),
            Method::Steps => steps::held_briefly(rows, &all) > 0,
        },
        ..Handling::default()
    };
    let (used, merged) = match (handling.logged, method) {
        (false, _) => {
            handling.stood = steps::stood_briefly(rows, &all);
            let used = way_up(rows, method);
            if rows.rpm.first() > rows.rpm.last() && used.len() == all.len() {
                // Rows that were typed have no time, or it runs with the speed.
                handling.ran_down = method == Method::Sweep && time_runs(rows);
                handling.turned_round = !handling.ran_down;
            }
            let merged = merge(rows, &used, &acceleration(rows, &used), 0.0);
            (used, merged)
        }
        (true, Method::Sweep) => {
            handling.stood = steps::stood(rows, &all);
            let used = swept(rows, all, &mut handling);
            let merged = merge(rows, &used, &acceleration(rows, &used), BIN_RPM);
            (used, merged)
        }
        (true, Method::Steps) => steps::held(rows, full_throttle(rows, all)),
    };
    handling.outside = handling.rows - used.len() - handling.spikes.len();
    if handling.logged && method == Method::Sweep && !handling.falls() {
        handling.idle = ends::idle(rows, &used);
        handling.limited = ends::limited(rows, &used);
    }
    if method == Method::Sweep && !handling.falls() {
        handling.way_down = way_down(rows, &used);
    }
    if method == Method::Sweep || !handling.logged {
        count_steps(rows, &used, &mut handling);
    }
    let (rpm, mut torque, acceleration) = merged;
    handling.smoothed = match smoothing {
        Smoothing::Off => None,
        Smoothing::Within(width) => Some(width),
        Smoothing::WhereNoisy => {
            let swept = handling.logged && method == Method::Sweep;
            (swept && roughness(&rpm, &torque) > NOISY).then_some(SMOOTHING_RPM)
        }
    };
    if let Some(width) = handling.smoothed {
        torque = smooth(&rpm, &torque, width);
    }
    Conditioned {
        rpm,
        torque,
        acceleration,
        used,
        handling,
    }
}

impl Handling {
    /// Whether the rows go from the highest engine speed down.
    fn falls(&self) -> bool {
        self.ran_down || self.turned_round
    }
}

/// Whether the last row of a sheet came later than its first.
fn time_runs(rows: &Rows) -> bool {
    let time = rows.time.iter();
    time.flatten().last() > rows.time.iter().flatten().next()
}

/// The rows of a sheet without its way down: one fall to the end of the rows, from the highest speed
/// through a fifth of the range or more.
fn way_up(rows: &Rows, method: Method) -> Vec<usize> {
    let rpm = &rows.rpm;
    let count = rpm.len();
    let highest = (0..count).rev().max_by(|&a, &b| rpm[a].total_cmp(&rpm[b]));
    let Some(top) = highest.filter(|top| *top >= FEWEST_UP && top + 2 < count) else {
        return (0..count).collect();
    };
    let falls = rpm[top..].windows(2).all(|pair| pair[1] < pair[0]);
    let far = rpm[top] - rpm[count - 1] > 0.2 * (rpm[top] - rpm[0]);
    let kept = match method == Method::Sweep && falls && far {
        true => top + 1,
        false => count,
    };
    (0..kept).collect()
}

/// Rows after the sweep in which the engine still pulls on its way down through a fifth of the range
/// or more: after most sweeps it is only let run out, with little or no torque.
fn way_down(rows: &Rows, used: &[usize]) -> usize {
    let (Some(&first), Some(&last)) = (used.first(), used.last()) else {
        return 0;
    };
    let pulling = 0.5 * median(used.iter().map(|&row| rows.torque[row]));
    let down: Vec<usize> = (last + 1..rows.rpm.len())
        .filter(|&row| rows.torque[row] > pulling && rows.rpm[row] < rows.rpm[last])
        .collect();
    let lowest = down.iter().map(|&row| rows.rpm[row]);
    let fallen = rows.rpm[last] - lowest.fold(rows.rpm[last], f64::min);
    match fallen > 0.2 * (rows.rpm[last] - rows.rpm[first]) {
        true => down.len(),
        false => 0,
    }
}

fn without(rows: &[usize], out: &[usize]) -> Vec<usize> {
    // `out` rises, as all lists of rows here do.
    let stays = |row: &usize| out.binary_search(row).is_err();
    rows.iter().copied().filter(stays).collect()
}

fn full_throttle(rows: &Rows, used: Vec<usize>) -> Vec<usize> {
    let Some(throttle) = &rows.throttle else {
        return used;
    };
    let most = throttle.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    used.into_iter()
        .filter(|&row| throttle[row] >= FULL_THROTTLE * most)
        .collect()
}

/// Rows that leap from the median of the eleven around them by more than six of its typical
/// deviations (1.4826 MAD, the normal distribution's sd) and by more than a share of it; at most two
/// in a row, since a longer stretch is no spike.
fn spikes(used: &[usize], values: &[f64], share: f64) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::new();
    for at in 0..used.len() {
        let around = &used[at.saturating_sub(5)..(at + 6).min(used.len())];
        let centre = median(around.iter().map(|&row| values[row]));
        let spread = 1.4826 * median(around.iter().map(|&row| (values[row] - centre).abs()));
        let off = (values[used[at]] - centre).abs();
        if off > (6.0 * spread).max(share * centre.abs()) {
            found.push(at);
        }
    }
    let long = |at: &usize| {
        let run = |step: isize| {
            (1..=2)
                .take_while(|k| {
                    let beside = at.wrapping_add_signed(step * k);
                    found.binary_search(&beside).is_ok()
                })
                .count()
        };
        run(-1) + run(1) >= 2
    };
    found
        .iter()
        .filter(|at| !long(at))
        .map(|&at| used[at])
        .collect()
}

/// By what share a row lies off the median of the eleven around it.
fn share_off(used: &[usize], values: &[f64], row: usize) -> f64 {
    let at = used.binary_search(&row).unwrap_or_else(|at| at);
    let around = &used[at.saturating_sub(5)..(at + 6).min(used.len())];
    let centre = median(around.iter().map(|&row| values[row]));
    ((values[row] - centre) / centre).abs()
}

/// The share by which rows of a log lie off as mere noise: the largest of so many normals is next to √(2 ln n)
/// sd; eleven rows show their own spread too roughly to tell that. `None` without rows.
fn noise(used: &[usize], values: &[f64]) -> Option<f64> {
    let off = |&row: &usize| share_off(used, values, row);
    let sd = 1.4826 * median(used.iter().map(off));
    let largest = (2.0 * (used.len() as f64).ln()).sqrt() + BEYOND_NOISE;
    sd.is_finite().then_some(largest * sd)
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match n {
        0 => f64::NAN,
        _ if n % 2 == 1 => sorted[n / 2],
        _ => 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]),
    }
}

/// Engine speed as the median of five rows, of fewer next to an end, which stays where it is.
fn steady(rows: &Rows, used: &[usize]) -> Vec<f64> {
    (0..used.len())
        .map(|at| {
            let beside = 2.min(at).min(used.len() - 1 - at);
            let around = &used[at - beside..=at + beside];
            median(around.iter().map(|&row| rows.rpm[row]))
        })
        .collect()
}

fn count_steps(rows: &Rows, used: &[usize], handling: &mut Handling) {
    let sign = if handling.falls() { -1.0 } else { 1.0 };
    for pair in used.windows(2) {
        let step = sign * (rows.rpm[pair[1]] - rows.rpm[pair[0]]);
        handling.back_steps += usize::from(step < 0.0);
        handling.repeats += usize::from(step == 0.0);
    }
}

/// Slope of engine speed over time at each used row, fitted over the rows within 0.4 s, at most a
/// hundred to each side.
fn acceleration(rows: &Rows, used: &[usize]) -> Vec<f64> {
    let Some(time) = &rows.time else {
        return Vec::new();
    };
    (0..used.len())
        .map(|at| {
            let now = time[used[at]];
            let near = |&&row: &&usize| (time[row] - now).abs() <= 0.4;
            let before = used[..at].iter().rev().take(100).take_while(near).count();
            let after = used[at..].iter().take(100).take_while(near).count();
            let (before, after) = (before.max(1), after.max(2));
            let window = &used[at.saturating_sub(before)..(at + after).min(used.len())];
            slope(window.iter().map(|&row| (time[row], rows.rpm[row])))
        })
        .collect()
}

/// Least-squares slope through points; 0 where they do not differ in x.
fn slope(points: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
    let n = points.clone().count() as f64;
    let (sx, sy) = points
        .clone()
        .fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y));
    let (mx, my) = (sx / n, sy / n);
    let (sxy, sxx) = points.fold((0.0, 0.0), |(a, b), (x, y)| {
        (a + (x - mx) * (y - my), b + (x - mx) * (x - mx))
    });
    if sxx > 0.0 { sxy / sxx } else { 0.0 }
}

/// Engine speed, torque and gain in speed of merged rows.
type Merged = (Vec<f64>, Vec<f64>, Vec<f64>);

/// Means of the rows within bins of engine speed, or of equal engine speed where `bin` is 0.
fn merge(rows: &Rows, used: &[usize], gain: &[f64], bin: f64) -> Merged {
    let mut order: Vec<usize> = (0..used.len()).collect();
    order.sort_by(|&a, &b| rows.rpm[used[a]].total_cmp(&rows.rpm[used[b]]));
    let key = |at: usize| {
        let rpm = rows.rpm[used[at]];
        if bin > 0.0 { (rpm / bin).floor() } else { rpm }
    };
    let (mut rpm, mut torque, mut rise) = (Vec::new(), Vec::new(), Vec::new());
    for group in order.chunk_by(|&a, &b| key(a) == key(b)) {
        let mean = |of: &dyn Fn(usize) -> f64| {
            group.iter().map(|&at| of(at)).sum::<f64>() / group.len() as f64
        };
        rpm.push(mean(&|at| rows.rpm[used[at]]));
        torque.push(mean(&|at| rows.torque[used[at]]));
        if !gain.is_empty() {
            rise.push(mean(&|at| gain[at]));
        }
    }
    (rpm, torque, rise)
}

#[cfg(test)]
mod tests;
