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

/// Corners of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// What they are called, such as `hairpin` or `3`.
    pub name: String,
    /// How many.
    pub count: u32,
    /// Speed at the apex, m/s; `None` where they are taken flat.
    pub speed: Option<f64>,
    /// Turned angle, rad.
    pub turn: f64,
    /// Length of one, m, at a nominal grip: it counts towards the length of the venue.
    pub length: f64,
}

/// A venue known by counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// Length, m.
    pub length: f64,
    /// Corners by kind.
    pub counts: Vec<Count>,
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
        let (left, count) = self.straights()?;
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(number);
        let mut corners: Vec<Piece> = Vec::new();
        for kind in &self.counts {
            for _ in 0..kind.count {
                corners.push(corner(kind, &mut random));
            }
        }
        corners.shuffle(&mut random);
        let straights = lengths(left, count, self.longest, &mut random);
        let mut pieces = Vec::with_capacity(2 * count);
        let mut slope = Slopes {
            mean: self.slope,
            spread: self.rolling,
            off: 0.0,
        };
        let mut corners = corners.into_iter();
        for length in straights {
            pieces.push(Piece {
                slope: slope.next(&mut random),
                ..Piece::straight(length)
            });
            if let Some(corner) = corners.next() {
                pieces.push(Piece {
                    slope: slope.next(&mut random),
                    ..corner
                });
            }
        }
        Ok(pieces)
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
            extent: Extent::Turn(kind.turn * turn),
            scales: Scales::Grip,
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

/// Slopes that wander about their mean from piece to piece.
struct Slopes {
    mean: f64,
    spread: f64,
    off: f64,
}

impl Slopes {
    fn next(&mut self, random: &mut ChaCha8Rng) -> f64 {
        const KEPT: f64 = 0.7;
        let fresh = (1.0 - KEPT * KEPT).sqrt() * self.spread;
        self.off = KEPT * self.off + fresh * normal(random);
        (self.mean + self.off).clamp(-0.25, 0.25)
    }
}

/// A standard normal number (Box and Muller).
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let u: f64 = random.random::<f64>().max(f64::MIN_POSITIVE);
    let v: f64 = random.random();
    (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
}
