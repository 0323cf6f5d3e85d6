//! Which change of parts earned which difference.
//!
//! The specs' curves, ln τ, are taken as one base plus one effect for every part that differs from
//! the first spec's: additive, without interplay between parts. An effect is told apart where it is
//! estimable, that is where its unit vector lies in the row space of the specs' table of parts; where
//! it is not, the effects that share a null vector of that table stand and fall together.

use std::collections::BTreeMap;

use super::compare::{CONFIDENCE, Interval, Stretch};
use super::reduce::Reduced;
use super::testday::Spec;

/// What is said of a kind of part that a spec does not name.
pub const UNNAMED: &str = "not named";

/// One part in place of the first spec's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Kind of part, such as manifold.
    pub kind: String,
    /// The first spec's part.
    pub from: String,
    /// The part in its place.
    pub to: String,
}

/// Changes that the day tells apart from all others, or not from one another.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// One change, or several that always came together.
    pub changes: Vec<Change>,
    /// How the specs combine to show the effect, one factor for each spec; `None` where even the sum
    /// of the changes shows nowhere.
    pub contrast: Option<Vec<f64>>,
}

/// A spec that was not pulled and would part confounded changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// Index of the spec it is nearest to.
    pub like: usize,
    /// What to change on that spec: kind of part and part.
    pub change: (String, String),
    /// How many effects it would make known.
    pub parts: usize,
}

/// What a day says of its parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Attribution {
    /// Effects, single changes first.
    pub effects: Vec<Effect>,
    /// The one more spec that would part most, where something is confounded.
    pub missing: Option<Missing>,
    /// Pairs of specs that differ by name and not by any part.
    pub unexplained: Vec<(usize, usize)>,
}

/// Attributes the differences between specs to their parts.
pub fn attribute(specs: &[Spec]) -> Attribution {
    let table = Table::of(specs);
    let mut effects: Vec<Effect> = Vec::new();
    let groups = table.groups();
    for (i, change) in table.changes.iter().enumerate() {
        if let Some(contrast) = table.contrast(&[i]) {
            effects.push(Effect {
                changes: vec![change.clone()],
                contrast: Some(contrast),
            });
        }
    }
    for group in &groups {
        effects.push(Effect {
            changes: group.iter().map(|&i| table.changes[i].clone()).collect(),
            contrast: table.contrast(group),
        });
    }
    let unexplained = (0..specs.len())
        .flat_map(|b| (0..b).map(move |a| (a, b)))
        .filter(|&(a, b)| table.rows[a] == table.rows[b])
        .collect();
    Attribution {
        effects,
        missing: if groups.is_empty() {
            None
        } else {
            table.missing(specs)
        },
        unexplained,
    }
}

impl Attribution {
    /// Whether some changes cannot be told apart.
    pub fn is_confounded(&self) -> bool {
        self.effects.iter().any(|e| e.changes.len() > 1)
    }
}

impl Reduced {
    /// What an effect makes in the mean over a band, relative to torque; `None` where it shows
    /// nowhere or a spec in it was not measured there.
    pub fn effect(&self, effect: &Effect, band: Stretch) -> Option<Interval> {
        let contrast = effect.contrast.as_ref()?;
        let mut value = 0.0;
        let mut wave = 0.0;
        for (s, factor) in contrast.iter().enumerate().filter(|(_, c)| c.abs() > 1e-9) {
            let curve = &self.specs[s].curve;
            if curve.first_rpm() > band.from_rpm || curve.last_rpm() < band.to_rpm {
                return None;
            }
            value += factor * curve.mean_torque(band.from_rpm, band.to_rpm)?.ln();
            wave += factor * factor * self.wave_share(s, band);
        }
        let spread = self.levels.spread(contrast, wave, self.wave.df);
        let spread = spread.beside(self.doubt(contrast, band));
        let half = spread.half_width(CONFIDENCE);
        // Logarithms of torque until here.
        Some(Interval {
            value: value.exp_m1(),
            low: (value - half).exp_m1(),
            high: (value + half).exp_m1(),
            df: spread.df,
        })
    }
}

/// The specs' parts as numbers: a 1 for the base, then one column a change.
struct Table {
    kinds: Vec<(String, Vec<String>)>,
    changes: Vec<Change>,
    rows: Vec<Vec<f64>>,
}

/// What is taken for zero: the table holds noughts and ones.
const TINY: f64 = 1e-9;

impl Table {
    fn of(specs: &[Spec]) -> Self {
        let mut kinds: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for kind in specs.iter().flat_map(|spec| spec.parts.keys()) {
            kinds.entry(kind).or_default();
        }
        for (kind, parts) in &mut kinds {
            for spec in specs {
                let part = part(spec, kind);
                if !parts.contains(&part) {
                    parts.push(part);
                }
            }
        }
        let kinds: Vec<(String, Vec<String>)> = kinds
            .into_iter()
            .filter(|(_, parts)| parts.len() > 1)
            .map(|(kind, parts)| (kind.to_owned(), parts))
            .collect();
        let changes = kinds
            .iter()
            .flat_map(|(kind, parts)| {
                parts[1..].iter().map(|to| Change {
                    kind: kind.clone(),
                    from: parts[0].clone(),
                    to: to.clone(),
                })
            })
            .collect();
        let mut table = Self {
            kinds,
            changes,
            rows: Vec::new(),
        };
        table.rows = specs
            .iter()
            .map(|spec| table.row(|kind| part(spec, kind)))
            .collect();
        table
    }

    fn row(&self, part: impl Fn(&str) -> String) -> Vec<f64> {
        let has = |change: &Change| f64::from(u8::from(part(&change.kind) == change.to));
        std::iter::once(1.0)
            .chain(self.changes.iter().map(has))
            .collect()
    }

    /// The combination of specs that shows the sum of some changes and nothing else, smallest in
    /// squares; `None` where there is none.
    fn contrast(&self, changes: &[usize]) -> Option<Vec<f64>> {
        let mut wanted = vec![0.0; self.changes.len() + 1];
        for &change in changes {
            wanted[change + 1] = 1.0;
        }
        least_squares_combination(&self.rows, &wanted)
    }

    /// Changes that are not estimable, those that share a null vector together.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for null in null_space(&self.rows, self.changes.len() + 1) {
            let mut group: Vec<usize> = (1..null.len())
                .filter(|&i| null[i].abs() > TINY)
                .map(|i| i - 1)
                .collect();
            groups.retain(|other| {
                let meets = other.iter().any(|i| group.contains(i));
                if meets {
                    group.extend(other);
                }
                !meets
            });
            group.sort_unstable();
            group.dedup();
            groups.push(group);
        }
        groups
    }

    /// The spec, one part away from one that was pulled, that makes most effects known.
    fn missing(&self, specs: &[Spec]) -> Option<Missing> {
        let known = |rows: &[Vec<f64>]| {
            let estimable = |i: usize| {
                let mut wanted = vec![0.0; self.changes.len() + 1];
                wanted[i + 1] = 1.0;
                least_squares_combination(rows, &wanted).is_some()
            };
            (0..self.changes.len()).filter(|&i| estimable(i)).count()
        };
        let now = known(&self.rows);
        let mut best: Option<Missing> = None;
        // First the specs that carry what is confounded; of them the later, likelier still fitted.
        let groups = self.groups();
        let carries = |spec: usize| {
            let has = |i: &usize| self.rows[spec][i + 1] > 0.5;
            groups.iter().flatten().any(has)
        };
        let mut likes: Vec<usize> = (0..specs.len()).rev().collect();
        likes.sort_by_key(|&spec| !carries(spec));
        for like in likes {
            for (kind, parts) in &self.kinds {
                for to in parts.iter().filter(|p| **p != part(&specs[like], kind)) {
                    let row = self.row(|k| match k == kind {
                        true => to.clone(),
                        false => part(&specs[like], k),
                    });
                    let mut rows = self.rows.clone();
                    rows.push(row);
                    let parts = known(&rows) - now;
                    if parts > best.as_ref().map_or(0, |b| b.parts) {
                        best = Some(Missing {
                            like,
                            change: (kind.clone(), to.clone()),
                            parts,
                        });
                    }
                }
            }
        }
        best
    }
}

fn part(spec: &Spec, kind: &str) -> String {
    spec.parts
        .get(kind)
        .cloned()
        .unwrap_or_else(|| UNNAMED.to_owned())
}

/// The shortest c with Σ cᵢ·rowᵢ = wanted; `None` where there is none.
fn least_squares_combination(rows: &[Vec<f64>], wanted: &[f64]) -> Option<Vec<f64>> {
    // An orthonormal basis of the row space by modified Gram–Schmidt, each vector with the
    // combination of rows that makes it.
    let mut basis: Vec<(Vec<f64>, Vec<f64>)> = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let mut vector = row.clone();
        let mut made = vec![0.0; rows.len()];
        made[i] = 1.0;
        for (unit, of) in &basis {
            let along = dot(&vector, unit);
            subtract(&mut vector, along, unit);
            subtract(&mut made, along, of);
        }
        let length = dot(&vector, &vector).sqrt();
        if length > TINY {
            vector.iter_mut().for_each(|v| *v /= length);
            made.iter_mut().for_each(|v| *v /= length);
            basis.push((vector, made));
        }
    }
    let mut left = wanted.to_vec();
    let mut combination = vec![0.0; rows.len()];
    for (unit, of) in &basis {
        let along = dot(&left, unit);
        subtract(&mut left, along, unit);
        subtract(&mut combination, -along, of);
    }
    if dot(&left, &left).sqrt() > 1e-7 {
        return None;
    }
    // Combinations of rows that make nothing are taken out: what is left is the shortest.
    let columns: Vec<Vec<f64>> = (0..wanted.len())
        .map(|k| rows.iter().map(|row| row[k]).collect())
        .collect();
    for idle in null_space(&columns, rows.len()) {
        let along = dot(&combination, &idle);
        subtract(&mut combination, along, &idle);
    }
    Some(combination)
}

/// An orthonormal basis of the vectors of a length that every row is orthogonal to.
fn null_space(rows: &[Vec<f64>], length: usize) -> Vec<Vec<f64>> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let unit = |i: usize| {
        let mut vector = vec![0.0; length];
        vector[i] = 1.0;
        vector
    };
    let mut rank = 0;
    let candidates = rows.iter().cloned().chain((0..length).map(unit));
    for (i, mut vector) in candidates.enumerate() {
        // Twice is enough to be orthogonal to rounding.
        for _ in 0..2 {
            for other in &basis {
                let along = dot(&vector, other);
                subtract(&mut vector, along, other);
            }
        }
        let size = dot(&vector, &vector).sqrt();
        if size > 1e-7 {
            vector.iter_mut().for_each(|v| *v /= size);
            basis.push(vector);
        }
        if i + 1 == rows.len() {
            rank = basis.len();
        }
    }
    basis.split_off(rank)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn subtract(from: &mut [f64], factor: f64, other: &[f64]) {
    for (a, b) in from.iter_mut().zip(other) {
        *a -= factor * b;
    }
}

#[cfg(test)]
mod tests;
