//! What is not known for sure, drawn: the inputs that all specs share, and the scatter of pulls.
//!
//! A draw is a function, not a stream: every number comes from a generator keyed by the seed, the
//! draw's index and the name of what it belongs to. So neither the order of specs and venues, nor the
//! number of threads, nor a spec or venue more changes a number of any other.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use statrs::distribution::{ContinuousCDF, Normal};

use super::Entry;
use crate::car::{Car, Gearbox, Habits};
use crate::dyno::Normals;
use crate::venue::{Bend, Course};

/// Standard deviations at which a drawn input is cut.
const CUT: f64 = 3.0;
/// Share of draws in which an input lies further to one side than in its pilot.
const FAR: f64 = 0.001;
/// Least share of its nominal value that a drawn input keeps, however unsure it is.
const LEAST: f64 = 0.1;

/// An input that all specs share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Input {
    /// Mass of the car.
    Mass,
    /// Grip on every surface.
    Grip,
    /// Drag area.
    DragArea,
    /// Time of every change of gear.
    ShiftTime,
    /// Rolling radius.
    RollingRadius,
    /// Air density.
    AirDensity,
    /// The driver's share of the cornering limit.
    CornerShare,
    /// The lowest engine speed the driver allows.
    LowestRpm,
    /// The engine speed at which the driver changes up.
    ShiftRpm,
}

impl Input {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Mass,
        Self::Grip,
        Self::DragArea,
        Self::ShiftTime,
        Self::RollingRadius,
        Self::AirDensity,
        Self::CornerShare,
        Self::LowestRpm,
        Self::ShiftRpm,
    ];

    /// Name for people.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mass => "mass",
            Self::Grip => "grip",
            Self::DragArea => "drag area",
            Self::ShiftTime => "shift time",
            Self::RollingRadius => "rolling radius",
            Self::AirDensity => "air density",
            Self::CornerShare => "corner share",
            Self::LowestRpm => "lowest rpm",
            Self::ShiftRpm => "shift rpm",
        }
    }
}

/// One standard deviation of what is uncertain about the driver and the notes; the car states its
/// own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habitual {
    /// Corner share, absolute.
    pub corner_share: f64,
    /// Lowest engine speed, rpm.
    pub lowest_rpm: f64,
    /// Engine speed of the upshift, rpm.
    pub shift_rpm: f64,
    /// Corner speeds written by hand, each on its own, relative.
    pub corner_speed: f64,
}

impl Habitual {
    /// What is usual (common practice, no source).
    pub const USUAL: Self = Self {
        corner_share: 0.025,
        lowest_rpm: 250.0,
        shift_rpm: 50.0,
        corner_speed: 0.06,
    };
    /// All known for sure.
    pub const NONE: Self = Self {
        corner_share: 0.0,
        lowest_rpm: 0.0,
        shift_rpm: 0.0,
        corner_speed: 0.0,
    };
}

/// One draw of the shared inputs.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    seed: u64,
    index: u64,
    even: [f64; Input::ALL.len()],
}

impl Draw {
    /// The draw of an index.
    pub fn new(seed: u64, index: u64) -> Self {
        Self {
            seed,
            index,
            even: Input::ALL.map(|input| even(&mut keyed(seed, index, "input", input.name()))),
        }
    }

    /// One of [`Self::PILOTS`] draws that belong to no study, whose inputs reach further than most: one
    /// after the other lies far to either side, the rest at random.
    pub fn pilot(seed: u64, number: usize) -> Self {
        let mut draw = Self::new(seed, u64::MAX - number as u64);
        if let Some(even) = draw.even.get_mut(number / 2) {
            *even = if number.is_multiple_of(2) {
                FAR
            } else {
                1.0 - FAR
            };
        }
        draw
    }

    /// Number of pilots: two for each input and some like any other.
    pub const PILOTS: usize = 2 * Input::ALL.len() + 6;

    /// Which draw of its seed it is.
    pub fn index(&self) -> u64 {
        self.index
    }

    /// How far an input lies off, in standard deviations, where no bound is near.
    pub fn deviation(&self, input: Input) -> f64 {
        self.above(input, -CUT)
    }

    /// The same, `low` standard deviations being the least.
    fn above(&self, input: Input, low: f64) -> f64 {
        cut_normal(self.even[input as usize], low.max(-CUT))
    }

    /// A factor around 1 for a relative standard deviation.
    pub fn factor(&self, input: Input, sd: f64) -> f64 {
        if sd > 0.0 {
            1.0 + sd * self.above(input, (LEAST - 1.0) / sd)
        } else {
            1.0
        }
    }

    /// The car of this draw.
    pub fn car(&self, car: &Car) -> Car {
        let mut car = car.clone();
        let sd = car.uncertain;
        let grip = self.factor(Input::Grip, sd.grip);
        let radius = self.factor(Input::RollingRadius, sd.rolling_radius);
        let lightest = car
            .trims
            .iter()
            .map(|t| t.mass)
            .fold(f64::INFINITY, f64::min);
        let mass = if sd.mass > 0.0 {
            sd.mass * self.above(Input::Mass, (LEAST - 1.0) * lightest / sd.mass)
        } else {
            0.0
        };
        for trim in &mut car.trims {
            trim.mass += mass;
            trim.rolling_radius *= radius;
            trim.grip.values_mut().for_each(|g| *g *= grip);
        }
        car.drag_area *= self.factor(Input::DragArea, sd.drag_area);
        self.shift_times(&mut car.gearbox, sd.shift_time);
        for gears in &mut car.gearbox_options {
            self.shift_times(gears, sd.shift_time);
        }
        car
    }

    /// All changes of a gear set take so much more or less, and none less than no time.
    fn shift_times(&self, gears: &mut Gearbox, sd: f64) {
        let shortest = gears
            .shift_times
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        if sd > 0.0 && shortest.is_finite() {
            let more = sd * self.above(Input::ShiftTime, -shortest / sd);
            gears.shift_times.iter_mut().for_each(|t| *t += more);
        }
    }

    /// The driver of this draw.
    pub fn habits(&self, habits: &Habits, sd: &Habitual) -> Habits {
        let off = |input, sd: f64| sd * self.deviation(input);
        let share = habits.corner_share + off(Input::CornerShare, sd.corner_share);
        let lowest = habits.lowest_rpm + off(Input::LowestRpm, sd.lowest_rpm);
        Habits {
            corner_share: share.clamp(LEAST * habits.corner_share, habits.corner_share.max(1.0)),
            // Zero is "never", which is no figure to be unsure of.
            lowest_rpm: if habits.lowest_rpm > 0.0 {
                lowest.max(LEAST * habits.lowest_rpm)
            } else {
                0.0
            },
            shift_light_rpm: habits
                .shift_light_rpm
                .map(|rpm| (rpm + off(Input::ShiftRpm, sd.shift_rpm)).max(LEAST * rpm)),
            ..*habits
        }
    }

    /// What multiplies the speed of each section that is a corner with a speed written by hand; `None`
    /// where the venue has none.
    pub fn corner_speeds(&self, entry: &Entry, sd: f64) -> Option<Vec<f64>> {
        let course = &entry.course;
        if sd <= 0.0 || !has_written_speeds(course) {
            return None;
        }
        let mut stream = keyed(self.seed, self.index, "corner speeds", &course.name);
        let low = ((LEAST - 1.0) / sd).max(-CUT);
        let of_place: Vec<f64> = course
            .places
            .iter()
            .map(|_| 1.0 + sd * cut_normal(even(&mut stream), low))
            .collect();
        let of = |place: usize| of_place.get(place).copied().unwrap_or(1.0);
        Some(course.sections.iter().map(|s| of(s.place)).collect())
    }
}

/// Whether any corner of a course is known by a speed that a person wrote down.
fn has_written_speeds(course: &Course) -> bool {
    course.log.is_none()
        && course
            .sections
            .iter()
            .any(|s| matches!(s.bend, Bend::Measured { .. }))
}

/// The scatter of a day's pulls in one draw: a stream for the day and one for each spec by its name.
#[derive(Debug)]
pub struct PullScatter {
    day: ChaCha8Rng,
    specs: Vec<ChaCha8Rng>,
}

impl PullScatter {
    /// The streams of a draw.
    pub fn new<'a>(seed: u64, index: u64, specs: impl IntoIterator<Item = &'a str>) -> Self {
        Self {
            day: keyed(seed, index, "day", ""),
            specs: specs
                .into_iter()
                .map(|name| keyed(seed, index, "spec", name))
                .collect(),
        }
    }
}

impl Normals for PullScatter {
    fn shared(&mut self) -> f64 {
        Normal::standard().inverse_cdf(even(&mut self.day))
    }

    fn of_spec(&mut self, spec: usize) -> f64 {
        Normal::standard().inverse_cdf(even(&mut self.specs[spec]))
    }
}

/// A standard normal number cut at `low` and at [`CUT`], from one that is even in (0, 1).
fn cut_normal(even: f64, low: f64) -> f64 {
    let normal = Normal::standard();
    let (from, to) = (normal.cdf(low), normal.cdf(CUT));
    normal.inverse_cdf(from + even * (to - from))
}

/// A number even in (0, 1), both ends left out.
fn even(stream: &mut ChaCha8Rng) -> f64 {
    ((stream.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
}

/// A generator of its own for every seed, index and name.
fn keyed(seed: u64, index: u64, kind: &str, name: &str) -> ChaCha8Rng {
    let mut key = [0; 32];
    key[..8].copy_from_slice(&seed.to_le_bytes());
    key[8..16].copy_from_slice(&index.to_le_bytes());
    key[16..].copy_from_slice(&hash(kind, name).to_le_bytes());
    ChaCha8Rng::from_seed(key)
}

/// The 128-bit FNV-1a hash (draft-eastlake-fnv) of a kind and a name, a zero byte between.
fn hash(kind: &str, name: &str) -> u128 {
    const OFFSET: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    kind.bytes()
        .chain([0])
        .chain(name.bytes())
        .fold(OFFSET, |hash, byte| {
            (hash ^ u128::from(byte)).wrapping_mul(PRIME)
        })
}

#[cfg(test)]
mod tests {
    use super::super::tests::{car, entry};
    use super::*;
    use approx::assert_relative_eq;

    fn sample(of: impl Fn(&Draw) -> f64) -> Vec<f64> {
        (0..4000).map(|index| of(&Draw::new(5, index))).collect()
    }

    fn mean_and_sd(values: &[f64]) -> (f64, f64) {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        (mean, (squares / values.len() as f64).sqrt())
    }

    /// A normal distribution cut at ±3 has the variance 1 − 6φ(3)/(2Φ(3) − 1) = 0.98658².
    #[test]
    fn analytic_inputs_scatter_as_stated() {
        let mut uncertain = car();
        uncertain.uncertain.mass = 8.0;
        uncertain.uncertain.grip = 0.05;
        uncertain.uncertain.shift_time = 0.05;
        let by = |of: fn(&Car) -> f64| mean_and_sd(&sample(|draw| of(&draw.car(&uncertain))));
        let checks = [
            (by(|c| c.trims[0].mass), 1080.0, 8.0),
            (by(|c| c.trims[0].grip["tarmac"]), 1.0, 0.05),
            (by(|c| c.gearbox.shift_times[0]), 0.35, 0.05),
        ];
        for ((mean, sd), wanted, wanted_sd) in checks {
            assert!((mean - wanted).abs() < 0.06 * wanted_sd, "{mean}");
            assert_relative_eq!(sd, 0.986_58 * wanted_sd, max_relative = 0.04);
        }
    }

    #[test]
    fn inputs_are_drawn_apart() {
        let grip = sample(|draw| draw.deviation(Input::Grip));
        let mass = sample(|draw| draw.deviation(Input::Mass));
        let product: Vec<f64> = grip.iter().zip(&mass).map(|(a, b)| a * b).collect();
        assert!(mean_and_sd(&product).0.abs() < 0.06);
        assert_ne!(Draw::new(5, 0), Draw::new(6, 0));
        assert_eq!(Draw::new(5, 7), Draw::new(5, 7));
    }

    #[test]
    fn nothing_turns_negative_however_unsure_it_is() {
        let mut wild = car();
        wild.uncertain.mass = 500.0;
        wild.uncertain.grip = 0.5;
        wild.uncertain.shift_time = 2.0;
        wild.uncertain.rolling_radius = 0.5;
        let habits = Habits {
            corner_share: 0.9,
            brake_share: 0.9,
            lowest_rpm: 300.0,
            shift_light_rpm: Some(7000.0),
        };
        for index in 0..2000 {
            let draw = Draw::new(1, index);
            let car = draw.car(&wild);
            assert!(car.trims[0].mass > 0.0 && car.trims[0].grip["tarmac"] > 0.0);
            assert!(car.trims[0].rolling_radius > 0.0);
            assert!(car.gearbox.shift_times.iter().all(|t| *t > 0.0));
            let habits = draw.habits(&habits, &Habitual::USUAL);
            assert!(habits.lowest_rpm > 0.0 && habits.corner_share <= 1.0);
        }
    }

    #[test]
    fn what_is_known_for_sure_stays() {
        let draw = Draw::new(1, 3);
        assert_eq!(draw.car(&car()), car());
        let entry = entry("tarmac");
        assert_eq!(draw.habits(&entry.habits, &Habitual::NONE), entry.habits);
        assert_eq!(draw.corner_speeds(&entry, 0.06), None);
    }

    #[test]
    fn a_specs_scatter_belongs_to_its_name() {
        let mut two = PullScatter::new(1, 2, ["a", "b"]);
        let mut three = PullScatter::new(1, 2, ["c", "b", "a"]);
        for _ in 0..5 {
            assert_eq!(two.of_spec(0).to_bits(), three.of_spec(2).to_bits());
            assert_eq!(two.of_spec(1).to_bits(), three.of_spec(1).to_bits());
            assert_eq!(two.shared().to_bits(), three.shared().to_bits());
        }
    }

    /// FNV-1a test vectors as published: the empty string gives the offset basis, "a" (from memory)
    /// d228cb696f1a8caf78912b704e4a8964.
    #[test]
    fn published_hash_values() {
        let plain = |text: &str| {
            text.bytes()
                .fold(0x6c62_272e_07bb_0142_62b8_2175_6295_c58d_u128, |h, b| {
                    (h ^ u128::from(b)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b)
                })
        };
        assert_eq!(plain("a"), 0xd228_cb69_6f1a_8caf_7891_2b70_4e4a_8964);
        assert_eq!(hash("", ""), plain("\0"));
        assert_eq!(hash("spec", "a"), plain("spec\0a"));
    }
}
