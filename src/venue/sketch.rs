//! A venue known by counts: so many hairpins, so many squares, so long. What order they come in and
//! how long each straight is nobody said, so the counts are shuffled into many roads.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::pieces::{Form, Known, Piece, Side};
use super::{Extent, Scales};

/// Spread of corner speeds about their grade, one standard deviation: graded corners differ
/// (common practice, no source).
const SPEED_SPREAD: f64 = 0.06;
/// Spread of turned angles about their grade.
const TURN_SPREAD: f64 = 0.2;
/// Straights are spread like this about their mean: logarithm, one standard deviation. Straights of
/// stages and circuits differ by a factor of five to ten between short and long.
const STRAIGHT_SPREAD: f64 = 0.6;
/// Shortest straight, m.
const SHORTEST: f64 = 5.0;
/// Seed of the roads that sketches are laid out as.
pub const SEED: u64 = 1;
/// Steepest piece, as a tangent, where the mean is none such.
const STEEPEST: f64 = 0.25;

/// Corners of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// What they are called, such as `hairpin` or `3`.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Speed at the apex, m/s; `None` where they are taken flat.
    pub speed: Option<f64>,
    /// Whose speed that is.
    pub scales: Scales,
    /// Length of one, m, at the lateral acceleration of the sketch.
    pub length: f64,
}

/// A venue known by counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// Length, m.
    pub length: f64,
    /// Corners by kind.
    pub counts: Vec<Count>,
    /// Lateral acceleration that they are driven at, m/s²: a nominal one until the car is known.
    pub lateral: f64,
    /// Longest straight, m, where that is known.
    pub longest: Option<f64>,
    /// Slope as a tangent, the mean over the venue, rising positive.
    pub slope: f64,
    /// Spread of the slopes of pieces about that mean, one standard deviation.
    pub rolling: f64,
}

/// Why a sketch is no venue.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SketchError {
    /// The corners alone are longer than the venue.
    #[error(
        "the corners alone are about {corners:.0} m long and leave no room for straights in {length:.0} m"
    )]
    TooManyCorners {
        /// Length of the corners, m.
        corners: f64,
        /// Length of the venue, m.
        length: f64,
    },
    /// The longest straight leaves too little for the others, or the others cannot fill the length.
    #[error(
        "a longest straight of {longest:.0} m does not fit: the others {}",
        if *.others > SHORTEST { format!("average {others:.0} m") } else { "have no room".to_owned() }
    )]
    Longest {
        /// The longest straight, m.
        longest: f64,
        /// Mean of the others, m.
        others: f64,
    },
}

impl Sketch {
    /// Number of corners.
    pub fn corners(&self) -> u32 {
        self.counts.iter().map(|c| c.count).sum()
    }

    /// The same with corners as long as they are at another lateral acceleration, m/s²: their angles and
    /// speeds are known, so their radii go with its inverse.
    #[must_use]
    pub fn cornering_at(&self, lateral: f64) -> Self {
        let mut sketch = self.clone();
        let bends = sketch.counts.iter_mut().filter(|kind| kind.speed.is_some());
        bends.for_each(|kind| kind.length *= self.lateral / lateral);
        Self { lateral, ..sketch }
    }

    /// Length left for the straights, m, and how many there are.
    fn straights(&self) -> Result<(f64, usize), SketchError> {
        let corners: f64 = self
            .counts
            .iter()
            .map(|c| f64::from(c.count) * c.length)
            .sum();
        let count = self.corners() as usize + 1;
        let left = self.length - corners;
        if left < SHORTEST * count as f64 {
            return Err(SketchError::TooManyCorners {
                corners,
                length: self.length,
            });
        }
        if let Some(longest) = self.longest {
            let others = (left - longest) / (count.max(2) - 1) as f64;
            if others < SHORTEST || others > longest {
                return Err(SketchError::Longest { longest, others });
            }
        }
        Ok((left, count))
    }

    /// Checks that there are roads like this.
    ///
    /// # Errors
    /// See [`SketchError`].
    pub fn check(&self) -> Result<(), SketchError> {
        self.straights().map(|_| ())
    }

    /// One road of this sketch: the same for the same seed and number, whatever else is drawn.
    ///
    /// # Errors
    /// See [`SketchError`].
    pub fn road(&self, seed: u64, number: u64) -> Result<Vec<Piece>, SketchError> {
        let (_, count) = self.straights()?;
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(number);
        let mut corners: Vec<Piece> = Vec::new();
        for kind in &self.counts {
            for _ in 0..kind.count {
                corners.push(corner(kind, &mut random));
            }
        }
        let left = self.fitted(&mut corners, count);
        corners.shuffle(&mut random);
        let straights = lengths(left, count, self.longest, &mut random);
        let mut road = Vec::with_capacity(2 * count);
        let mut corners = corners.into_iter();
        for length in straights {
            road.push(Piece::straight(length));
            road.extend(corners.next());
        }
        let slopes = self.slopes(&road, &mut random);
        let pieces = road.into_iter().zip(slopes);
        Ok(pieces
            .map(|(piece, slope)| Piece { slope, ..piece })
            .collect())
    }

    /// Length left for the straights beside the corners of one road, m, each as long as it was drawn. Where
    /// straights cannot make up for those, the corners are a little longer or shorter.
    fn fitted(&self, corners: &mut [Piece], count: usize) -> f64 {
        let sum = |wanted: bool| {
            let those = corners.iter().filter(|corner| bends(corner) == wanted);
            those.map(length_of).sum::<f64>()
        };
        let (bends, flat) = (sum(true), sum(false));
        let (least, most) = match self.longest {
            Some(longest) => (
                longest + SHORTEST * (count - 1) as f64,
                longest * count as f64,
            ),
            None => (SHORTEST * count as f64, f64::INFINITY),
        };
        let left = (self.length - bends - flat).clamp(least, most);
        let share = (self.length - left - flat) / bends;
        corners.iter_mut().for_each(|corner| stretch(corner, share));
        left
    }

    /// Slopes of the pieces of a road: they wander about a mean, which the road has from start to finish.
    fn slopes(&self, road: &[Piece], random: &mut ChaCha8Rng) -> Vec<f64> {
        const KEPT: f64 = 0.7;
        const ROUNDS: usize = 40;
        let fresh = (1.0 - KEPT * KEPT).sqrt() * self.rolling;
        let mut off = 0.0;
        let mut wander = |_: &Piece| {
            off = KEPT * off + fresh * normal(random);
            self.slope + off
        };
        let drawn: Vec<f64> = road.iter().map(&mut wander).collect();
        if self.rolling == 0.0 {
            return drawn;
        }
        let steepest = STEEPEST.max(self.slope.abs() + self.rolling);
        let shifted = |shift: f64| {
            let bounded = drawn
                .iter()
                .map(move |slope| (slope + shift).clamp(-steepest, steepest));
            bounded.collect::<Vec<f64>>()
        };
        let rise = |slope: f64| slope / slope.hypot(1.0);
        let length: f64 = road.iter().map(length_of).sum();
        let mut shift = 0.0;
        // Again and again as the bounds bite.
        for _ in 0..ROUNDS {
            let slopes = shifted(shift);
            let climbed = road.iter().zip(&slopes);
            let climbed = climbed.map(|(piece, slope)| length_of(piece) * rise(*slope));
            shift += rise(self.slope) - climbed.sum::<f64>() / length;
        }
        shifted(shift)
    }
}

fn bends(piece: &Piece) -> bool {
    matches!(piece.form, Form::Corner { .. })
}

/// Length of a piece of a sketch, m: none hangs on the car.
fn length_of(piece: &Piece) -> f64 {
    piece.length().unwrap_or_default()
}

/// Makes a corner so many times as long; straights stay.
fn stretch(piece: &mut Piece, share: f64) {
    if let Form::Corner {
        known: Known::Apex {
            extent: Extent::Length(length),
            ..
        },
        ..
    } = &mut piece.form
    {
        *length *= share;
    }
}

fn corner(kind: &Count, random: &mut ChaCha8Rng) -> Piece {
    let side = if random.random::<bool>() {
        Side::Left
    } else {
        Side::Right
    };
    let speed = (1.0 + SPEED_SPREAD * normal(random)).clamp(0.7, 1.3);
    let turn = (1.0 + TURN_SPREAD * normal(random)).clamp(0.4, 1.6);
    let Some(usual) = kind.speed else {
        return Piece::straight(kind.length.max(SHORTEST));
    };
    Piece::new(Form::Corner {
        known: Known::Apex {
            speed: usual * speed,
            // The radius goes with the square of the speed.
            extent: Extent::Length(kind.length * speed * speed * turn),
            scales: kind.scales,
        },
        side: Some(side),
        opens: 1.0,
        grade: Some(kind.name.clone()),
    })
}

/// Lengths of straights that sum to `left`, the longest as given.
fn lengths(left: f64, count: usize, longest: Option<f64>, random: &mut ChaCha8Rng) -> Vec<f64> {
    let others = if longest.is_some() { count - 1 } else { count };
    let sum = left - longest.unwrap_or(0.0);
    let ceiling = longest.unwrap_or(f64::INFINITY);
    let mut lengths: Vec<f64> = (0..others)
        .map(|_| (STRAIGHT_SPREAD * normal(random)).exp())
        .collect();
    // Scaled to the sum, again and again as the bounds bite.
    for _ in 0..50 {
        let now: f64 = lengths.iter().sum();
        lengths
            .iter_mut()
            .for_each(|l| *l = (*l * sum / now).clamp(SHORTEST, ceiling));
    }
    lengths.extend(longest);
    lengths.shuffle(random);
    lengths
}

/// A standard normal number (Box and Muller).
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let u: f64 = random.random::<f64>().max(f64::MIN_POSITIVE);
    let v: f64 = random.random();
    (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Lateral acceleration of the nominal lengths, m/s².
    const LATERAL: f64 = 8.0;

    fn kind(name: &str, count: u32, kmh: f64, degrees: f64) -> Count {
        let (speed, turn) = (kmh / 3.6, degrees.to_radians());
        Count {
            name: name.to_owned(),
            count,
            speed: Some(speed),
            scales: Scales::Grip,
            length: turn * speed * speed / LATERAL,
        }
    }

    fn sketch(slope: f64, rolling: f64) -> Sketch {
        Sketch {
            length: 10_000.0,
            counts: vec![
                kind("hairpin", 3, 28.0, 165.0),
                kind("square", 8, 44.0, 90.0),
                kind("3", 14, 66.0, 55.0),
                kind("5", 10, 105.0, 25.0),
                Count {
                    speed: None,
                    length: 30.0,
                    ..kind("6", 4, 1.0, 15.0)
                },
            ],
            lateral: LATERAL,
            longest: Some(400.0),
            slope,
            rolling,
        }
    }

    /// Length and climb from start to finish of a road, m, by its pieces.
    fn surveyed(pieces: &[Piece]) -> (f64, f64) {
        let length = |piece: &Piece| piece.length().unwrap();
        let climb = |piece: &Piece| length(piece) * piece.slope.atan().sin();
        (
            pieces.iter().map(length).sum(),
            pieces.iter().map(climb).sum(),
        )
    }

    #[test]
    fn roads_are_as_long_as_written() {
        for number in 0..40 {
            let (length, _) = surveyed(&sketch(0.0, 0.0).road(1, number).unwrap());
            assert_relative_eq!(length, 10_000.0, max_relative = 1e-6);
        }
    }

    /// A car that grips less takes wider, so longer, corners at the same speeds: straights make up for it.
    #[test]
    fn roads_are_as_long_as_written_whatever_the_car_grips() {
        let corners = |sketch: &Sketch| {
            let pieces = sketch.road(1, 0).unwrap();
            let bending = pieces.iter().filter(|piece| bends(piece));
            (surveyed(&pieces).0, bending.map(length_of).sum::<f64>())
        };
        let nominal = sketch(0.0, 0.0);
        let (length, of_corners) = corners(&nominal.cornering_at(0.8 * LATERAL));
        assert_relative_eq!(length, 10_000.0, max_relative = 1e-6);
        assert_relative_eq!(of_corners, 1.25 * corners(&nominal).1, max_relative = 1e-9);
    }

    #[test]
    fn roads_climb_from_start_to_finish_by_the_slope_written_however_they_roll() {
        for slope in [-0.02, 0.0, 0.02, 0.08, 0.3] {
            for rolling in [0.0, 0.03, 0.15] {
                for number in 0..40 {
                    let pieces = sketch(slope, rolling).road(1, number).unwrap();
                    let (length, climb) = surveyed(&pieces);
                    let wanted = length * slope.atan().sin();
                    assert!(
                        (climb - wanted).abs() < 1e-3 * length * slope.abs().max(1e-3),
                        "{slope} {rolling} {number}: {climb} for {wanted}"
                    );
                }
            }
        }
    }

    /// Straights at their shortest leave corners no room to be longer than usual.
    #[test]
    fn corners_are_shorter_where_straights_are_short_already() {
        let mut tight = sketch(0.0, 0.0);
        tight.longest = None;
        let corners: f64 = tight
            .counts
            .iter()
            .map(|c| f64::from(c.count) * c.length)
            .sum();
        tight.length = corners + SHORTEST * f64::from(tight.corners() + 1) + 1.0;
        for number in 0..40 {
            let (length, _) = surveyed(&tight.road(1, number).unwrap());
            assert_relative_eq!(length, tight.length, max_relative = 1e-3);
        }
    }
}
