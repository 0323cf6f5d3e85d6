//! A recorder in a simulated car: what a logger or a phone would have written on a lap. Shared by
//! the program that writes the demo recordings and by the tests that read many of them.

use pullrank::car::{Car, Habits, Trim};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Lap, LapError, Limits, PlainRule, Tape, Variant, lap};
use pullrank::study::reading::revs;
use pullrank::venue::path::geodesy::{LatLon, radii};
use pullrank::venue::path::{Fix, Place};
use pullrank::venue::plan::{self, Spot};
use pullrank::venue::{Bend, Course};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A car as it is driven.
pub struct Setup<'a> {
    /// The car.
    pub car: &'a Car,
    /// Its trim.
    pub trim: &'a Trim,
    /// Its engine.
    pub curve: &'a Curve,
    /// Its driver.
    pub habits: Habits,
    /// Air density, kg/m³.
    pub air_density: f64,
}

/// A lap driven on a course.
pub struct Drive {
    /// Seconds.
    pub time: f64,
    tape: Tape,
    cells: Cells,
    revs: pullrank::explain::Revs,
    /// The road seen from above.
    spots: Vec<Spot>,
    signs: Vec<f64>,
}

/// What is true at an instant.
#[derive(Debug, Clone, Copy)]
pub struct Moment {
    /// Time, s.
    pub time: f64,
    /// Speed, m/s.
    pub speed: f64,
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Lateral acceleration, m/s², left positive.
    pub lateral: f64,
    /// East, north and up, m.
    pub place: [f64; 3],
}

/// Drives a lap by the plain rule.
pub fn drive(setup: &Setup, course: &Course) -> Result<Drive, LapError> {
    let variant = Variant::fitted(
        setup.car,
        setup.trim,
        setup.habits,
        setup.curve,
        setup.air_density,
    );
    let machine = variant.compile(course)?;
    let cells = Cells::new(course, variant.nominal(course)?, 2.0)?;
    let limits = Limits::new(&machine, &cells)?;
    let mut tape = Tape::default();
    let Lap { time, .. } = lap(&machine, &cells, &limits, &mut PlainRule, &mut tape)?;
    let sign = |bend: Bend| match bend {
        Bend::Straight => 0.0,
        Bend::Radius { curvature } => curvature.signum(),
        Bend::Measured { direction, .. } => direction,
    };
    Ok(Drive {
        time,
        tape,
        cells,
        revs: revs(&machine),
        spots: plan::walk(
            &course.sections,
            plan::nominal_lateral(&course.surfaces[0]),
            0.5,
        ),
        signs: course.sections.iter().map(|s| sign(s.bend)).collect(),
    })
}

impl Drive {
    /// Instants `rate` times a second over `laps` rounds of a closed course, or the run of an open
    /// one.
    pub fn moments(&self, rate: f64, laps: f64) -> Vec<Moment> {
        let records = &self.tape.records;
        let length = self.cells.length();
        let first = records
            .first()
            .map_or(0.0, |r| self.cells.stations[r.cell as usize]);
        let mut moments = Vec::new();
        let (mut index, mut begun, mut covered) = (0, 0.0, 0.0);
        let total = self.time * laps;
        let mut k = 0;
        loop {
            let time = k as f64 / rate;
            if time > total {
                return moments;
            }
            while begun + records[index].time < time {
                begun += records[index].time;
                covered += records[index].length;
                index += 1;
                if index == records.len() {
                    if !self.cells.closed {
                        return moments;
                    }
                    index = 0;
                }
            }
            let record = &records[index];
            // Speed is linear in time within a record.
            let (v0, v1) = (record.z0.sqrt(), record.z1.sqrt());
            let dt = time - begun;
            let share = if record.time > 0.0 {
                dt / record.time
            } else {
                0.0
            };
            let speed = v0 + share * (v1 - v0);
            let distance = covered + 0.5 * (v0 + speed) * dt;
            let at = (first + distance).rem_euclid(length.max(1.0));
            let at = if self.cells.closed {
                at
            } else {
                first + distance
            };
            let cell = &self.cells.cells[record.cell as usize];
            let sign = self.signs[cell.section as usize];
            moments.push(Moment {
                time,
                speed,
                rpm: self.revs.rpm(record.gear as usize, speed),
                lateral: sign * cell.curvature * speed * speed,
                place: place(&self.spots, at),
            });
            k += 1;
        }
    }
}

fn place(spots: &[Spot], at: f64) -> [f64; 3] {
    let next = spots
        .partition_point(|s| s.distance <= at)
        .clamp(1, spots.len() - 1);
    let (a, b) = (&spots[next - 1], &spots[next]);
    let share = ((at - a.distance) / (b.distance - a.distance).max(1e-12)).clamp(0.0, 1.0);
    let mix = |a: f64, b: f64| a + share * (b - a);
    [mix(a.x, b.x), mix(a.y, b.y), mix(a.z, b.z)]
}

/// Errors of a receiver: each coordinate wanders about the truth with a standard deviation and is
/// forgotten over a time (a first-order Gauss–Markov process, the usual model of receivers).
pub struct Receiver {
    /// Standard deviation on the map, m.
    pub sigma: f64,
    /// Standard deviation of the height, m.
    pub sigma_height: f64,
    /// Time over which an error is forgotten, s.
    pub memory: f64,
}

impl Receiver {
    /// Fixes in a plane as the receiver writes them.
    pub fn fixes(&self, moments: &[Moment], seed: u64) -> Vec<Fix> {
        let mut random = Normal::new(seed);
        let sigma = [self.sigma, self.sigma, self.sigma_height];
        let mut error = sigma.map(|s| s * random.next());
        let mut last: Option<f64> = None;
        let mut fixes = Vec::with_capacity(moments.len());
        for moment in moments {
            if let Some(last) = last {
                let kept = (-(moment.time - last) / self.memory).exp();
                let fresh = (1.0 - kept * kept).sqrt();
                for (error, sigma) in error.iter_mut().zip(sigma) {
                    *error = kept * *error + fresh * sigma * random.next();
                }
            }
            last = Some(moment.time);
            let [x, y, z] = moment.place;
            fixes.push(Fix {
                place: Place::Plane(x + error[0], y + error[1]),
                height: Some(z + error[2]),
                time: Some(moment.time),
            });
        }
        fixes
    }
}

/// Fixes of a plane brought to where the first one is `origin`, step by step with the radii of
/// curvature of the ellipsoid.
pub fn to_degrees(fixes: &[Fix], origin: LatLon) -> Vec<LatLon> {
    let mut here = origin;
    let mut last = (0.0, 0.0);
    let mut places = Vec::with_capacity(fixes.len());
    for (i, fix) in fixes.iter().enumerate() {
        if let Place::Plane(x, y) = fix.place {
            if i > 0 {
                let (dx, dy) = (x - last.0, y - last.1);
                let (m, _) = radii(here.lat);
                let middle = here.lat + 0.5 * (dy / m).to_degrees();
                let (m, n) = radii(middle);
                here.lat += (dy / m).to_degrees();
                here.lon += (dx / (n * middle.to_radians().cos())).to_degrees();
            }
            last = (x, y);
        }
        places.push(here);
    }
    places
}

/// Standard normal numbers from a seed (Marsaglia's polar method).
pub struct Normal {
    random: ChaCha8Rng,
    spare: Option<f64>,
}

impl Normal {
    /// From a seed.
    pub fn new(seed: u64) -> Self {
        Self {
            random: ChaCha8Rng::seed_from_u64(seed),
            spare: None,
        }
    }

    /// The next number.
    pub fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let mut uniform = || (self.random.next_u64() >> 11) as f64 / (1u64 << 52) as f64 - 1.0;
            let (u, v) = (uniform(), uniform());
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let scale = (-2.0 * s.ln() / s).sqrt();
                self.spare = Some(v * scale);
                return u * scale;
            }
        }
    }
}
